# Control rules: codes R.
# One sentence, no full stop. `.because` is the reason, `.help` is what to do.

R101 = this condition cannot be read: { $detail }
    .because = conditions are written in CEL, the Common Expression Language
    .help = compare a signal with a written quantity, such as `bedroom.co2 > q("1000 ppm")`
R102 = this house has no signal `{ $name }`
    .because = known here: { $known }
    .help = { $near ->
        [none] use one of the known signals; docs/RULES.md lists what each zone and device has
       *[other] did you mean `{ $near }`?
    }
R103 = { $left } and { $right } cannot meet here
    .because = only numbers of one kind can be compared or added
    .help = compare each with a written quantity of its own kind
R104 = rules do not use this part of the language: { $what }
    .because = a rule has to run in a controller, with a known time and without memory of its own
    .help = use comparisons, `&&`, `||`, `!`, `? :`, `+ - * /`, `in` and `q("...")`
R105 = this is a number where a condition is needed
    .because = a condition is true or false
    .help = compare the number with something
R106 = this is a condition where a number is needed
    .because = true and false cannot be compared by size or added
    .help = join conditions with `&&` or `||`
R107 = this number has no unit; { $wanted } is needed here
    .because = a number without its unit could mean anything
    .help = write it as `q("...")` with one of these units: { $wanted_units }
R108 = nothing tells what kind of quantity this is
    .because = a written quantity takes its kind from the signal that it meets
    .help = compare it with a signal, or add it to one
R109 = measured values are never quite equal
    .because = { $quantity } is measured with noise, so that this would hold by chance
    .help = use `<=` or `>=`
R110 = a whole number in a sum
    .because = the language divides whole numbers otherwise than numbers with a point
    .help = write it with a point, as in `2.0`
R111 = this house has no device `{ $name }` that a rule could set
    .because = { $known ->
        [none] it names no fan, damper, air handler or dehumidifier
       *[other] known here: { $known }
    }
    .help = { $near ->
        [none] use one of the known devices, or add it to `house.toml` or to a plan
       *[other] did you mean `{ $near }`?
    }
R112 = what the house owes is stated twice and differently
    .because = there is one debt for the whole house
    .help = keep one table `[exposure]`
R113 = rule `{ $rule }` may run at most { $most }, yet runs at least { $least }
    .because = both cannot be kept
    .help = shorten `min_on` or lengthen `most_on`
R114 = rule `{ $rule }` locks ventilation out by outdoor relative humidity
    .because = cold air at 100 % dries a house and warm air at 60 % can wet it
    .help = compare `outdoor.humidity_ratio` or `outdoor.dew_point` with indoors
R115 = rule `{ $rule }` leaves no ventilation for up to { $most } a day
    .because = what people give off gathers meanwhile
    .help = leave a floor, such as `floor = "20 %"`
R116 = rule `{ $rule }` owes ventilation, yet nothing says how much the house is meant to have
    .because = a debt that is not counted is forgotten
    .help = add a table `[exposure]` with `target` and `infiltration`
R117 = rule `{ $rule }` can never act
    .because = its condition holds for no values that its signals can have
    .help = look for a bound beyond what can be, or for bounds that shut each other out
R118 = the condition of rule `{ $rule }` always holds
    .because = it holds for all values that its signals can have
    .help = write `true` where that is meant
R119 = rule `{ $rule }` never ends
    .because = `off_when` holds for no values that its signals can have
    .help = correct `off_when`, or leave it out: the rule then ends when `on_when` no longer holds
R120 = `on_when` and `off_when` of rule `{ $rule }` can hold together
    .because = they do at { $example }; what ends a rule is stronger, so it stays off there
    .help = leave a gap between the two
R121 = rules `{ $other }` and `{ $rule }` fight over `{ $device }`
    .because = both can be on with different settings, as at { $example }
    .help = give one a higher `priority`, or part their conditions
R122 = rules `{ $other }` and `{ $rule }` let `{ $device }` rest at { $second } and at { $first }
    .because = at equal priority neither counts more
    .help = state `off` in one of them
R123 = `{ $device }` is a safety exhaust, which no rule and no command may touch
    .because = somebody depends on it running
    .help = choose another device
R124 = a condition of rule `{ $rule }` is too long or too deeply nested
    .because = it has to run in little room
    .help = part it into two rules
R125 = two rules are called `{ $rule }`
    .because = the second would replace the first without anybody noticing
    .help = give it another name
R126 = this job has no rules
    .because = rules stand in `rules/*.toml` of the job
    .help = print a ready set with `airwright rules JOB --ready bath` and keep it in `rules/`
R131 = `{ $device }` cannot be commanded: it has no schedule of its own
    .because = it has to go on when no word comes
    .help = put a schedule into the device and state it: `fallback` and `fallback_hours`
R132 = `{ $device }` cannot be commanded: nothing says how long it waits for a word, or it waits too long
    .because = a silence has to be noticed within { $most }
    .help = set a heartbeat in the device and state it: `heartbeat`
R133 = `{ $device }` cannot be commanded: a silence would leave it without ventilating
    .because = a lost connection must not cost anybody air
    .help = let it return to ventilating and state the share: `on_loss`
R134 = `{ $device }` cannot be commanded: an appliance that draws its air from the rooms could feel it
    .because = moving air in the house can turn a flue's draft around
    .help = a qualified person tests spillage with the device at full, and what they wrote is recorded as `permission`
R141 = column `{ $name }` is no signal of this house and is left out
    .because = columns are named as signals are
    .help = { $near ->
        [none] use a name that rules use, such as `bedroom.co2`
       *[other] did you mean `{ $near }`?
    }
R142 = the rules also read signals without a column here: { $names }
    .because = they stand at a usual value, where nothing is the matter
    .help = add the columns where they matter
# Plans and rules in the year
R143 = the blower makes { $rise } as found and its stated limit is { $limit }: the limit has to lie above
    .because = a blower makes no air at its limit, so that it cannot work at or beyond it
    .help = check `rise`, `shut_off` and `up_to` of `[air_handler.blower]` against the sheet of the blower
R144 = filter and return take { $drops }, the blower makes { $rise } as found: the air handler has no working point and its flow is taken as it was found
    .because = what the parts of the return take is a part of what the blower makes
    .help = check the filter's `drop`, `at` and `loading`, the duct's `suction` and the blower's `rise`: all are those of the handler as found
R145 = the filter's drop is stated and the house file knows no blower (`[air_handler.blower]`): the flow of the air handler stays
    .because = without the blower nobody knows how its flow answers to more pressure
    .help = add `[air_handler.blower]` with its motor and the pressure that it makes
R147 = the hours of the weather file are { $of_weather } h ahead of UTC and those of `{ $zone }` { $of_zone } h: people would live in another part of its day
    .because = weather comes by its own hours and people live by the clock of the zone
    .help = check `time_zone` in `job.toml` and that the weather file is that of the place
R149 = model and bills disagree on { $part ->
        [electricity] the electricity of heating, cooling and air handler
       *[other] what is burnt for heating
    } in a usual year: { $model } and { $bills }, { $ratio } times as much; energy is shown scaled to the bills, with the difference in its range
    .because = model and bills speak of the same weather; set points, people's habits, efficiencies or insulation differ from what is written
    .help = check set points, efficiency and surfaces in `house.toml`, and the fuel's name and heat content in the bills
R150 = the bills do not tell what follows the weather: the plans' energy is the model's alone
    .because = base use and season cannot be told apart, or the bills show no slope
    .help = add bills until a year is whole, months without heating among them, and a weather file
