# Control rules: the table, the sheet for commissioning, what a test showed.
# Sentences begin with a capital and end with a full stop; all else is a part of a line.

cli-rules-need-a-house = a ready set needs the names of a house: add `house.toml` to the job
rules-page-title = { $job }: control rules
rules-title = Rules
rules-authority-title = What may be commanded
rules-sheet-title = Commissioning sheet
rules-tested-title = What each rule did when tried
rules-sheet-caption = Try each rule on site: bring about what stands on the left, and tick what was seen.
rules-tried-by = tried by
rules-tried-on = date
rules-head-rule = rule
rules-head-when = conditions
rules-head-keeps = what it keeps to
rules-head-do = do this
rules-head-see = this must be seen
rules-head-seen = seen
rules-see = must be seen:
rules-on-when = on when
rules-off-when = off when
rules-own = its own schedule
# $most
rules-own-at-most = its own schedule, at most { $most }
# $most
rules-no-more-than = no more than { $most }
# $device, $on
rules-sets = Sets { $device } to { $on } while on.
# $device, $on, $off
rules-sets-and-rests = Sets { $device } to { $on } while on; it rests at { $off }.
# $device, $floor
rules-locks = Holds { $device } down to { $floor } while on.
# $priority
rules-priority = Priority { $priority }.
# $time
rules-min-on = Runs at least { $time }.
rules-min-off = Rests at least { $time }.
rules-most-on = Acts at most { $time } in any 24 hours.
rules-lost-on = With a signal lost: as if its condition held.
rules-lost-off = With a signal lost: as if its condition did not hold.
rules-lost-let-go = With a signal lost: the device runs on its own schedule.
# $acts, $flow, $exposure, $owed, $full, $repay
rules-debt = Debt: { $acts } at { $flow } of outdoor air, infiltration counted, raise relative exposure to { $exposure } and owe { $owed } of one excess exposure; { $full } repay that in { $repay }.
# $acts, $flow, $exposure, $owed, $full
rules-debt-never = Debt: { $acts } at { $flow } of outdoor air, infiltration counted, raise relative exposure to { $exposure } and owe { $owed } of one excess exposure; { $full } never repay that.
rules-advises = This program advises and exports; it commands only what is named here as commanded.
# $device
rules-commanded = { $device }: may be commanded; it has a schedule of its own, notices silence and returns to it.
# $device, $why
rules-refused = { $device }: advised only, because { $why }.
rules-refused-device = it is no device that may be commanded
rules-refused-fallback = it has no schedule of its own
rules-refused-heartbeat = nothing makes it notice silence in time
rules-refused-loss = silence would leave it without ventilating
rules-refused-permission = a flue could feel it and no permission is recorded
# $signal
rules-bound-true = `{ $signal }` true
rules-bound-false = `{ $signal }` false
# $signal, $value
rules-bound-at = `{ $signal }` at { $value }
rules-bound-above = `{ $signal }` above { $value }
rules-bound-below = `{ $signal }` below { $value }
# $signal, $low, $high
rules-bound-between = `{ $signal }` between { $low } and { $high }
# $condition
rules-bound-so-that = so that this holds: { $condition }
# $what
rules-provoke = Bring about: { $what }.
rules-undo = Undo it.
# $time
rules-provoke-cap = Let it go on for longer than { $time }, or set the device's clock ahead.
# $signal
rules-provoke-lost = Take away the signal `{ $signal }`: unplug or cover what measures it.
# $device, $at, $time
rules-see-on = { $device } goes to { $at } within { $time }.
rules-see-off = { $device } goes back to { $at } within { $time }.
rules-see-cap = { $device } goes back to { $at } within { $time } all the same.
# $time
rules-see-stays = It stays there for at least { $time }.
rules-as-expected = as expected
rules-not-as-expected = not as expected
rules-stage-rest = nothing calls
# $number
rules-stage-provoke = condition, way { $number }
rules-stage-cap = the condition goes on and on
rules-stage-end = ended
rules-stage-lose = a signal lost
rules-is-on = on
rules-is-off = off
# $stage, $held, $state, $device, $setting
rules-part = { $stage }, { $held }: { $state }, { $device } at { $setting }
rules-part-wrong = { $stage }, { $held }: { $state }, { $device } at { $setting } (not expected)
# $count
rules-without = { $count ->
        [one] one way of the condition could not be provoked by itself: try it on site
       *[other] { $count } ways of the condition could not be provoked by themselves: try them on site
    }
# $rule, $device, $setting
rules-event-on = { $rule }: on, { $device } at { $setting }
rules-event-off = { $rule }: off, { $device } at { $setting }
rules-event-lost = { $rule }: a signal is lost, { $device } at { $setting }
rules-event-back = { $rule }: all signals are back, { $device } at { $setting }
rules-nothing-happened = No rule went on or off.
# $owed
rules-owed-at-end = Owed at the end: { $owed } of one excess exposure.
# A year with and without the rules.
rules-year-found = A year in the house as found and fitted, without and with the rules
# $plan
rules-year-plan = A year with plan { $plan }, without and with the rules
# $without, $with
rules-year-air = Outdoor air straight into the rooms: { $without } without, { $with } with.
rules-year-electricity = Electricity: { $without } without, { $with } with.
# $room, $without, $with
rules-year-co2 = { $room }, CO2 at night in 95 of 100 hours at most: { $without } without, { $with } with.
rules-year-damp = { $room }, above 60 % humidity: { $without } without, { $with } with.
rules-year-particles = { $room }, mean PM2.5: { $without } without, { $with } with.
rules-some-missing = Some rules could not be read and are missing here: mend them before this sheet is used.
