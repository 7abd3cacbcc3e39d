# The watch over a house.
# Sentences begin with a capital and end with a full stop; all else is a part of a line.

watch-monoxide-title = Carbon monoxide
watch-traces-title = Traces
watch-alerts-title = Alerts
watch-events-title = Events
watch-nights-title = Nights and departures
watch-filters-title = Filters
watch-debts-title = Ventilation owed and rules
# $time, $trace, $value, $level, $source
watch-monoxide-tell = { $time } { $trace }: { $value }; published level { $level } ppm ({ $source }): tell everybody in the house, look for the source, ventilate; a licensed professional looks at fixed appliances.
watch-monoxide-stop = { $time } { $trace }: { $value }; published level { $level } ppm ({ $source }): open windows and doors, all possible sources off at once; a licensed professional looks at fixed appliances.
watch-monoxide-leave = { $time } { $trace }: { $value }; published level { $level } ppm ({ $source }): everybody leaves the house; call the emergency services from outside.
watch-no-alarm = Listed carbon monoxide alarms must be present. This display is additional and can fail.
# $measured, $expected, $range
watch-trace-in = { $measured }, expected { $expected } (95 %: { $range })
# $measured, $expected, $range
watch-trace-out = { $measured }, expected { $expected } (95 %: { $range }), outside
# $measured
watch-trace-learning = { $measured }, what is usual is still being learned
watch-no-model = Nothing is expected of rooms: that needs a fitted house and its weather.
# $of, $value
watch-alert-change = { $of }: left what is expected, by { $value } on average.
# $of, $value
watch-alert-silence = { $of }: nothing sent for { $value }.
# $of, $value
watch-alert-below-outdoors = { $of }: { $value } at its lowest of a week, below outdoor air; read it outdoors (420 to 430 ppm).
# $of, $value
watch-alert-filter = { $of }: its filter has reached its limit, { $value } times its clean resistance.
# $of, $value
watch-alert-debt = Ventilation owed: { $value } of one excess exposure.
# $count
watch-false = Of such alerts { $count } a month are expected of a house where nothing is the matter.
# $time
watch-quiet = None among what is shown; the readings end at { $time }.
watch-learns = Judged against what is usual only after four weeks of readings; before that carbon monoxide, silence, CO2 below outdoors and filters are told.
watch-event-lasts = goes on
# $time
watch-event-ended = until { $time }
# $time
watch-event-usual = taken as usual since { $time }
# $trace, $by, $months
watch-moved = { $trace }: { $by } on average; so far by chance once in { $months } months
watch-no-causes = Which cause fits best is not told: that needs a fitted house and two hours of readings.
watch-where-is-the-filter = Where does the filter sit (before the intake, after it, in it), and what motor drives the blower? Until that is in `watch.toml` it can only be said that the flow, pressure or power changed.
# $device
watch-cause-stopped = { $device }: moves no air
# $device, $lost
watch-cause-weak = { $device }: moves about { $lost } less air
# $device
watch-cause-runs = { $device }: does not turn off
# $a, $b
watch-cause-door-open = { $a } – { $b }: the door stays open
# $a, $b
watch-cause-door-shut = { $a } – { $b }: the door stays shut
# $zone, $area
watch-cause-window = { $zone }: a window is open, about { $area }
# $into, $share
watch-cause-duct = a supply duct has come apart, about { $share } of the flow goes elsewhere: { $into }
# $zone, $count
watch-cause-people = { $zone }: more people, about { $count }
# $more
watch-cause-smoke = smoke outside, about { $more } more
watch-cause-no-heat = heating or cooling gives nothing
# $device, $load
watch-cause-filter = { $device }: its filter has loaded to about { $load } times its clean resistance
# $trace, $by
watch-cause-sensor = { $trace }: the sensor has moved by about { $by } against all others
watch-cause-other = something else
# $rate, $baseline
watch-decay = after people left, { $rate }; towards { $baseline }
# $rate, $baseline
watch-decay-between = after people left, { $rate }; towards { $baseline }; another room rose meanwhile: part of it is exchange between rooms
# $plateau, $rate
watch-build-up = plateau { $plateau }, air change { $rate }.
# $plateau, $rate
watch-build-up-open = plateau not reached, extrapolated { $plateau }, air change { $rate }.
# $source
watch-source = People give off { $source }.
# $with, $across, $outdoor
watch-exchange = with { $with }: { $across } either way, outdoor air into both { $outdoor }, nobody taken to be in them
# $excess
watch-moisture = water over outdoors { $excess }
# $mean, $least
watch-pressure = against outdoors { $mean } on average, least hour { $least }
watch-never = not foreseen
watch-from-flow = from its flow
watch-from-drop = from the pressure across it
watch-from-power = from the blower's power
# $device, $trace, $load, $lo, $hi, $due, $from, $to, $what
watch-filter = { $device }: { $load } times the clean resistance (90 %: { $lo } to { $hi }), due { $due } (90 %: { $from } to { $to }), { $what } ({ $trace })
# $relative, $owed
watch-debt = relative exposure { $relative }, owed { $owed } of one excess exposure

# Alerts with how often such ones come for nothing, and rules over live readings.
# $count
watch-false-kind = about { $count } false alerts of this kind a month
# No arguments but $count, a whole number
watch-false-month = about one false alert of this kind a month
watch-false-months = about one false alert of this kind in { $count } months
watch-false-years = about one false alert of this kind in { $count } years
watch-false-rare = less than one false alert of this kind in { $count } years
watch-false-none = no chance in it: it says what is there
# $time
watch-rules-at = What the rules would have done up to { $time }; nothing is commanded.
# $rule, $device, $share, $time
watch-rule-sets = { $rule }: on since { $time }, would set { $device } to { $share }
watch-rule-holds = { $rule }: on since { $time }, would hold { $device } down to { $share }
watch-rule-off = { $rule }: off since { $time }
watch-rule-never = { $rule }: off since it is watched
watch-rule-lost = a signal is lost, what the rule does without it counts
# $owed
watch-rule-owes = owed through it { $owed } of one excess exposure
# $device, $share
watch-device-set = { $device } would be set to { $share }
watch-device-free = { $device } would be left to its own schedule
# $share
watch-device-held = locked out above { $share }
