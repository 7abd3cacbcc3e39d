# Diagnostics of a job's documents: codes J, H, V and P.
# One sentence, no full stop. `.because` is the reason, `.help` is what to do.

J101 = there is no `job.toml` here
    .because = it says where the house stands, who lives there and what they complain of
    .help = start from the folder that holds `job.toml`, or write one that begins with `format = 1`

H101 = the ceiling of `{ $zone }` is not above its floor: ceiling { $ceiling }, floor { $floor }
    .because = both are heights above ground, and air needs room between them
    .help = check `floor` and `ceiling`; a floor below ground has a minus sign
H102 = the volume of `{ $zone }` is { $volume }; floor area times height makes { $boxed }
    .because = a sloped ceiling takes away a part, yet less than a quarter or more than half again is mostly a slip of a unit
    .help = check `volume`, `floor_area`, `floor` and `ceiling`; the volume counts as written
H103 = both sides are the same: `{ $name }`
    .because = air flows, and pressure differs, only between two different places
    .help = name another zone, or `outdoors`, on one side
H104 = `{ $name }` has a natural draft and its flue has no area
    .because = without it the air that the flue takes is missing from every flow
    .help = add `flue_area` and `flue_top`, the height of the flue's mouth above ground
H105 = the air handler has no { $side ->
        [supply] supply
       *[return] return
    } register
    .because = what it blows into the rooms has to come back to it
    .help = add a register with { $side ->
        [supply] `side = "supply"`
       *[return] `side = "return"`
    } under `air_handler`, with the zone it opens to
H106 = `{ $zone }` has no way to outdoors
    .because = a fan alone sets no pressure, so that the pressure there could be anything
    .help = add a leak from it to outdoors, or a leak or door to a zone that has a way out
H107 = the fan `{ $name }` has outdoors on neither side
    .because = a fan here blows air out of the house or into it
    .help = write `outdoors` as its `from` or its `to`
H111 = the fan curve rises: { $low_flow } at { $low }, but { $high_flow } at { $high }
    .because = with a rising part the fan has several flows at one pressure, and nobody could tell which
    .help = leave the points of the stall out, or check the two
H112 = these points make no fan curve
    .because = a curve needs two points or more at different pressures, and a motor that holds its flow stops above the pressure it holds to
    .help = check `curve`, or `holds`, `up_to` and `shut_off`
H113 = `{ $name }` is used twice
    .because = one part has one flow: it stands in one line, or between two places
    .help = copy the part under another name, or take it out of one place
H114 = the top of `{ $name }` is not above its bottom: bottom { $bottom }, top { $top }
    .because = a stack draws by its height
    .help = check `bottom` and `top`, both above ground
H115 = `{ $name }` stands nowhere
    .because = without a place it moves no air
    .help = give it `between`, or name it in the `in_line` of a fan or a duct
H116 = the fan `{ $name }` has parts in its line but no curve
    .because = a fan of fixed flow does not answer to a filter or a duct
    .help = give the fan a `curve`, or `holds`, `up_to` and `shut_off`; or take `in_line` out
H117 = the door `{ $name }` has both `open` and `{ $key }`
    .because = `open` already says when it is open by day and at night
    .help = keep one of the two

V101 = `{ $name }` cannot be `{ $found }`
    .because = it can be: { $choices }
    .help = use one of these words
V102 = a flow reading is not above zero
    .because = flows are compared by their ratio, which needs a number above zero; this reading is left out
    .help = where the instrument showed less than it can read, write its lower limit as `below` in place of `value`
V103 = this reading names no instrument
    .because = without a stated accuracy it counts for less
    .help = write the name of one of the visit's instruments as `with`
V104 = the flow of the test fan is read while no test fan runs
    .because = a setup is inherited from the reading before, and in this one no test fan is on
    .help = set `test_fan` to `depressurise` or `pressurise` in this reading's `set`
V105 = the flow of `{ $name }` is read while it is switched off
    .because = a setup is inherited from the reading before, and only what was touched is written down
    .help = switch it on in this reading's `set`, or correct what was read

P101 = the plan `{ $plan }` extends itself
    .because = the changes of the extended plan come first, and in a circle none is first
    .help = take out one `extends` of the circle
P102 = this change needs an air handler, and the house has none
    .because = sealed ducts, filters and mixing act on the air that it moves
    .help = describe it as `air_handler` in `house.toml`, or take out the change
P103 = the plan `{ $plan }` seals `{ $leak }` more than once
    .because = each share is taken from what the one before has left
    .help = keep one of them, unless two rounds of sealing are meant
P104 = heating to { $heat } and cooling to { $cool } cross
    .because = at some time of the day the heating would hold the house above what the cooling allows
    .help = keep the set point of heating, and its set-back, below that of cooling
P105 = { $thing ->
        [dehumidifier] there is no dehumidifier in { $zone }
        [humidifier] there is no humidifier in { $zone }
        [cooking] nothing is cooked in { $zone } that the hood could run for
        [window] there is no such window in { $zone }
        [wet-ground] there is no wet ground below { $zone }
        [vents] { $zone } has no leak or vent to outdoors
        [dryer] there is no clothes dryer in { $zone } that blows into the room
       *[other] the house has neither heating nor cooling
    }
    .because = a plan can change only what the house file has, after the changes that come before
    .help = describe it in `house.toml`, or take out the change
P106 = the size `{ $size }` is one of another kind of change
    .because = a size gives what a change of its own kind does not write
    .help = take a size of this kind, or write the numbers yourself
P107 = there is nothing between `least` and `most`
    .because = the setting is looked for between the two, and `least` has to be above zero
    .help = write a lower `least` or a higher `most`
P108 = there is no such class of filter
    .because = MERV classes from 5 to 16 have tabled efficiencies
    .help = write a class from 5 to 16, or the share it holds as `pm25`
P109 = the area of `{ $surface }` is not known
    .because = added resistance changes a conductance by way of the area
    .help = write `area` and `r` of the surface in `house.toml`, or `area` in the change
P111 = `{ $found }` is no day that an event can start on
    .because = an event starts at midnight of a day of the weather year
    .help = write `hottest`, `coldest`, `calmest`, or month and day as in `08-15`
P110 = this search has { $count } combinations or more; at most { $most } can be lived through
    .because = each change may be taken or left, so every further one doubles them
    .help = give `group` to changes that exclude each other, or lower `at_most`

J102 = this question needs the house, and the job has no `house.toml`
    .because = results and certificate of a single test need none; fit, plans and next readings do
    .help = add `house.toml`; `airwright new` writes `house-example.toml`, to be renamed and made your own
J107 = the visit is of { $date }, and its folder is `{ $folder }`
    .because = the date in the document counts; a folder of another day misleads whoever looks for it
    .help = mend the one that is wrong
J108 = the visit is of { $date }, a day that is still to come
    .because = results and certificate bear that date
    .help = mend `date`, written as year, month, day
J109 = nothing here reads { $names }
    .because = a job has one `job.toml`, `house.toml` and `plans.toml`, visits in `visits/<date>/visit.toml`, and folders `rules`, `findings`, `intake`
    .help = mend the name, or move what belongs to another house into a folder of its own
J110 = no visit of this job holds a test
    .because = results are those of tests; single readings are worked by `airwright fit`, with a house
    .help = write a table such as `[test.envelope]` into `visit.toml`; docs/TESTS.md shows every kind
J103 = the job has no visit yet
    .because = readings stand in `visits/<date>/visit.toml`
    .help = make a folder of that name and write what was read; `airwright new` writes an example
J104 = plans are there, but no weather to live them through
    .because = a plan is judged by a year of hourly weather
    .help = name a weather file under `place` in `job.toml`, such as `weather = "weather.csv"`
J105 = the weather file is not in the job folder: `{ $file }`
    .because = the name under `place` is looked up in the job folder
    .help = put the file there or mend the name
J106 = there is no time zone called `{ $name }`
    .because = zones go by the names of the IANA data base, such as `America/New_York`
    .help = { $near ->
        [none] take the name of a large city of the same zone, or leave `time_zone` out: then schedules run by standard time
       *[other] did you mean `{ $near }`?
    }
J120 = the house has neither heating nor cooling to set its rooms against
    .because = a room is judged by what its registers bring with the machine at full power
    .help = write `[heating]` or `[cooling]` with capacity and set point into house.toml
J121 = there is no weather to find the design days in
    .because = the outdoor temperature, sun and wind of the hardest hours come from a weather year
    .help = name a weather file under `[place]` in job.toml
V106 = the visit says that no fuel was found, and the house has a fuel-burning appliance
    .because = no plan is released while the two disagree
    .help = look again, then mend `fuel` in the visit or the appliance in `house.toml`
F101 = the draws stand poorly for what the readings allow: Pareto shape { $k }
    .because = above 0.7 the weights of the draws hang on a few of them, and ranges may be too narrow
    .help = mend the reading that disagrees most, or add readings where the least is known
F117 = the ends of the ranges of { $count } of { $of } numbers of the house rest on few draws{ $names ->
        [none] {""}
       *[other] {", first those of"} { $names }
    }
    .because = beyond the roughest of these ends lie about { $draws } independent draws: with other draws it would move by { $error } % of the number's own spread
    .help = take these ends as rough; readings that bear on these things, or less doubt in the drawing, make them firm
F118 = the hole at { $door } is larger than { $door } itself: { $hole } of { $whole }
    .because = what is written is the free area that is left open, at most width times height
    .help = measure width and height of the hole, or write "open"
F102 = the readings do not fit the house as drawn: squares sum to { $chi_square }, about { $readings } are to be expected
    .because = something is open, sealed or there that nobody drew, or a reading is wrong; the one underlined fits worst: read { $shown }, expected { $expected }
    .help = look at that reading first: door, tube, unit, sign; then at what the drawing leaves out
F103 = the house could not be fitted: { $detail }
    .because = the model has to be computable at every setup of the visit
    .help = look at the ranges of the leaks and at the setups; a very large or very small number is the usual cause
F107 = the reading of { $shown } was set aside: the others expect { $expected }
    .because = the readings agree far better without it, as where a sign, a unit or a digit slipped; the ranges of the house are those of the other readings
    .help = look at the reading again and mend or remove it
F116 = the reading of { $shown } is taken with a slip undone: { $slip ->
        [hoses] the hoses were swapped
        [inches-as-pascals] the gauge showed inches of water, not pascals
        [pascals-as-inches] the gauge showed pascals, not inches of water
        [cfm-as-litres] the instrument showed cubic feet a minute, not liters a second
        [litres-as-cfm] the instrument showed liters a second, not cubic feet a minute
        [ten-too-large] it was written ten times too large
       *[ten-too-small] it was written ten times too small
    }
    .because = the others expect { $expected }, and all agree far better that way
    .help = look at the reading again and mend it, or the ranges of the house rest on this guess
F108 = the ranges of the house take `{ $door }` to have stood { $open ->
        [yes] open
       *[no] shut
    }, other than noted
    .because = the readings agree far better that way
    .help = ask who was there, and note the state that held

F104 = no reading enters the fit
    .because = everything said of the house comes from the ranges written in `house.toml`
    .help = see what was left out and answer its questions, or take an envelope test
F105 = { $name }: the range { $lo } to { $hi } has no room for what the readings say, { $found }
    .because = a range is what is believed before any reading; { $readings ->
        [0] all together, no reading much by itself, pull
        [one] the reading shown pulls
       *[other] the { $readings } readings shown pull
    } far out of it
    .help = widen the range if nothing speaks for it, or mend the reading; a thing that nobody drew can also hide behind it
F106 = a fan would have to blow the other way for what was read here
    .because = with the pressures shown, the air that the house lets through runs against the direction noted
    .help = look at the sign of the pressures, the direction of the test fan and what stood open

# A phone's questions and drafts
D101 = this is no question that can be answered: { $detail }
    .because = a question is JSON with `ask` and what belongs to it
    .help = load the page again; if it stays, page and engine are of different versions
D102 = there is no envelope test in this folder
    .because = a draft is made of one envelope test of one visit
    .help = choose the job file of a test
D103 = the test has no date
    .because = a sheet without a date proves nothing
    .help = type the date of the test
D104 = a station has only one of its two numbers and is left out
    .because = a point of the line needs a pressure and a flow
    .help = type the other number, or clear the line
D105 = the folder holds more than one test on a phone can
    .because = a draft has no house, single readings or second test, and one run in each direction at most
    .help = keep the folder; what is typed on here goes into a new one
