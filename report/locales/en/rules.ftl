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
rules-bound-true = { $signal } true
rules-bound-false = { $signal } false
# $signal, $value
rules-bound-at = { $signal } at { $value }
rules-bound-above = { $signal } above { $value }
rules-bound-below = { $signal } below { $value }
# $signal, $low, $high
rules-bound-between = { $signal } between { $low } and { $high }
# $condition
rules-bound-so-that = so that this holds: { $condition }
# $what
rules-provoke = Bring about: { $what }.
rules-undo = Undo it.
# $time
rules-provoke-cap = Let it go on for longer than { $time }, or set the device's clock ahead.
# $signal
rules-provoke-lost = Take away the signal { $signal }: unplug or cover what measures it.
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

# Signals of rules in plain words. $place: a room or a device
signal-room-temp = temperature in { $place }
signal-room-rh = relative humidity in { $place }
signal-room-dew-point = dew point in { $place }
signal-room-humidity-ratio = humidity ratio in { $place }
signal-room-humidity-rise = humidity ratio in { $place } above that of the house
signal-room-co2 = CO2 in { $place }
signal-room-pm25 = PM2.5 in { $place }
signal-room-people = people in { $place }
signal-device-on = { $place } runs
signal-device-flow = air through { $place }
signal-device-pressure = pressure across { $place }
signal-device-filter-drop = pressure drop over the filter of { $place }
signal-device-power = electricity of { $place }
signal-device-run-share = part of the last hour that { $place } ran
signal-device-coil-water = water on the coil of { $place }
signal-device-mixing-power = power that mixing by { $place } costs
signal-device-leak-air = outdoor air through duct leaks of { $place }
signal-outdoor-temp = outdoor temperature
signal-outdoor-rh = outdoor relative humidity
signal-outdoor-dew-point = outdoor dew point
signal-outdoor-humidity-ratio = outdoor humidity ratio
signal-outdoor-pm25 = outdoor PM2.5
signal-outdoor-co2 = outdoor CO2
signal-outdoor-wind = wind speed
signal-outdoor-smoke = smoke notice
signal-time-hour = hour of the day
signal-time-weekday = day of the week, 1 is Monday
signal-time-month = month
signal-house-relative-exposure = exposure over that at the target flow
signal-house-debt = exposure that is owed
signal-house-outdoor-air = outdoor air into the house
signal-house-mean-age = mean age of the air
signal-house-pressure = pressure of the house against outdoors
signal-house-lowest-co2 = CO2 in the room with the least
signal-house-lowest-pm25 = PM2.5 in the room with the least
signal-house-temp = mean temperature of the rooms
signal-house-humidity-ratio = mean humidity ratio of the rooms
signal-house-windows-open = a window is open
signal-cooktop-on = cooktop on
signal-cooktop-presence = somebody at the cooktop
signal-cooktop-temp-rise = temperature over the cooktop above the room
device-air-handler = air handler
device-dehumidifier = dehumidifier
device-ventilator = ventilator
rule-word-and = and
rule-word-or = or
rule-word-not = not
rule-word-in = is one of
rule-word-always = always
