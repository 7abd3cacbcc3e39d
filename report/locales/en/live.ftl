# Live readings: what the watch says while it listens, and what alerts say.
# Sentences begin with a capital and end with a full stop; all else is a part of a line.

cli-no-watch = this job has no `watch.toml`: docs/WATCH-LIVE.md shows how to say where readings come from
# $path
cli-watch-mistakes = `{ $path }` has mistakes; nothing is listened to until they are put right
live-hours-ended = The thread that judges hours has ended; what it had done is kept
# $traces
live-fitted = The house is fitted; { $traces } traces are watched against what it would show.
# $traces
live-fit-kept = The house is fitted as the store has it; { $traces } traces are watched against what it would show.
live-fitting = The house is being fitted; until then only carbon monoxide and silence are told.
live-no-house = Nothing is expected of rooms: that needs house.toml, readings of a visit and weather. Carbon monoxide, silence, sensors below outdoor air and what devices show are watched.
# $why
live-unfitted = The house could not be fitted, and nothing is expected of rooms ({ $why }).
live-anew = What the watch remembered is gone or cannot be read: it begins anew from the readings in the store.
live-catching-up = Living through readings up to { $time }.
# $of, $place, $time, $measured, $range
live-expected = { $of } ({ $place }), hour of { $time }: { $measured }, expected { $range }
live-expected-out = { $of } ({ $place }), hour of { $time }: { $measured }, expected { $range }: outside
# $time
live-judged = Judged up to { $time }.
# $address
live-posts = Posts are taken at { $address }.
# $name
live-up = { $name }: connected.
# $name, $why
live-down = { $name }: not connected ({ $why }); trying again.
# $name, $why
live-agency-away = { $name }: no news ({ $why }).
# $of, $place
live-silent = { $of } ({ $place }): silent.
# $of, $place
live-heard = { $of } ({ $place }): sends again.
# $messages, $readings, $repeated
live-counts = { $messages } messages kept, { $readings } readings, { $repeated } that had come before.
# $mean, $longest
live-delay = From arrival to the store: { $mean } ms on average, { $longest } ms at most.
# $count
live-held = Senders were held back { $count } times because the store was behind.
# $count, $most, $mb
live-dropped = The { $count } oldest messages without a reading are no longer kept: there is room for { $most } of them and { $mb } MB.
# $count
live-failed = The store could not keep a batch { $count } times and was asked again.
# $count, $why
live-trouble = { $count } messages without a reading: { $why }.
live-trouble-unknown = nothing says what they are
live-trouble-malformed = not what the source's `payload` says
live-trouble-no-value = the named value is not in them
live-trouble-time = a time that cannot be read or lies in the future
live-trouble-long = longer than what is kept
live-trouble-stored = stored by the broker, without a time of their own
live-unknown-title = Unknown sources. Their messages, the newest, are kept as they came and do not count; say what each is in `watch.toml`:
# $via, $count, $example
live-unknown = unknown source { $via }, { $count } messages, the last: { $example }
# $count
live-unknown-further = and { $count } messages of further ones
# $of, $place, $value, $time
live-source = { $of } ({ $place }): { $value } at { $time }
# $of, $place
live-source-none = { $of } ({ $place }): nothing yet
# $left, $failed
live-alerts = Alerts: { $left } sent, { $failed } that could not be sent and stay.
live-not-an-alarm = This display is additional and can fail; listed alarms must be present.

# $of, $place, $time, $value, $job
alert-silence-subject = { $job }: no readings from { $of }
alert-silence = { $of } ({ $place }) has sent nothing since { $time }. Look whether it has power, a battery and a connection.
alert-heard-subject = { $job }: readings from { $of } again
alert-heard = { $of } ({ $place }) sends again since { $time }.
alert-carbon-monoxide-subject = { $job }: carbon monoxide, { $value }, { $of }
alert-carbon-monoxide = { $of } ({ $place }) read { $value } of carbon monoxide at { $time }.
alert-carbon-monoxide-tell = Tell everybody in the house, open windows, look for the source, and call a qualified person.
alert-carbon-monoxide-stop = Open windows, shut off every appliance that burns fuel, and call a qualified person now.
alert-carbon-monoxide-leave = Everybody leaves the house now. Call the emergency services from outside.
alert-carbon-monoxide-listed = Listed CO alarms must be present; this display is additional and can fail.
alert-change-subject = { $job }: { $of } is not as expected
alert-change = { $of } ({ $place }) has left what is expected of it, by { $value } on average; known at { $time }.
# $share, $cause
alert-cause = Fits with { $share }: { $cause }.
alert-below-outdoors-subject = { $job }: { $of } reads too low
alert-below-outdoors = { $of } ({ $place }) reads less CO2 than outdoor air has: { $value } at { $time }. The sensor has drifted or was calibrated wrongly.
alert-filter-due-subject = { $job }: a filter is due, { $of }
alert-filter-due = The filter of { $of } has reached the date that was forecast for it ({ $time }).
alert-debt-subject = { $job }: ventilation is owed
alert-debt = More ventilation is owed than a day of one excess exposure ({ $time }): { $value }.
# $limit, $source
alert-limit = Published level that was reached: { $limit } ({ $source }).
# $job
alert-foot = Sent by airwright for { $job }. It states what was measured; local codes and qualified persons decide.
live-rules-anew = The rules are others than those that were remembered, or that cannot be read: they begin anew, all off.
live-rules-ended = The thread of the rules has ended; what it had done is kept
# $text
live-rule = Rule, nothing is commanded: { $text }
alert-late = Told late: readings of that time came after its hour had been judged.
# $time
live-again = Late readings: hours since { $time } are judged again.
