# What the command line and the report say of gate, safety, fit, next and plans.
# Sentences begin with a capital and end with a full stop; all else is a part of a line or of a list.
# Values arrive as text with unit and range; counts arrive as numbers. A value that is missing
# arrives as the word "none". No text here calls an appliance or a house safe.

# Gate: one reason a line; they are joined with semicolons. $appliance
gate-reason-not-inspected = nobody has recorded a look for fuel in and at the house: a qualified person has to look and write down who looked and where
gate-reason-contradiction = the record says that no fuel was found, yet the house has an appliance: a qualified person has to look again and correct one of the two
gate-reason-appliance-not-named = fuel was found, yet the house names no appliance: each appliance has to be named, and a qualified person has to test it
gate-reason-spillage-missing = { $appliance } has no spillage result from this visit: a qualified person has to test it
gate-reason-flue-co-missing = { $appliance } has no result for CO in the flue from this visit: a qualified person has to measure it
gate-reason-spillage-failed = flue gas of { $appliance } spilled for longer than the limit: a licensed heating contractor has to act first, local code decides
gate-reason-flue-co-failed = CO in the flue of { $appliance } is above the limit: a licensed heating contractor has to act first, local code decides
gate-reason-limit-not-confirmed = a result of { $appliance } has no limit that anybody confirmed: a qualified person has to confirm it in the text of the protocol or local code in force
gate-reason-basis-differs = CO in the flue of { $appliance } and its limit are not on one basis, air-free or as measured: a qualified person has to give both on the same
gate-reason-changed = a combustion result, the house or the plan changed after the release: the plan has to be judged again
gate-reason-repeat-owed = work was done since combustion was tested: a qualified person has to test spillage and CO again first
gate-reason-stopped = carbon monoxide in a room or at an oven, or gas, was found at a level at which the work ends, or the hazard screen says stop: emergency services, the gas utility or a licensed heating contractor have to act first, local code decides
gate-reason-unvented = { $appliance } has no vent and its exhaust gas stays in the house: a licensed heating contractor has to judge it, local code decides

gate-condition-replace-first = { $appliance } is taken out or replaced by a licensed heating contractor before any other work begins
gate-condition-test-again = a qualified person tests spillage and CO again after the work
gate-condition-signed-off = a licensed person's recorded word stands in for results that are missing

gate-held = computed, not released
# $reasons
gate-held-because = computed, not released: { $reasons }
gate-released = released: may go into a work scope
# $conditions
gate-released-with = released, to be kept to: { $conditions }

# Safety: what was found; in a few bold words (.headline); who must act (.who).
# $who, $where
safety-no-fuel = { $who } looked and found no fuel; looked at: { $where }.
    .headline = No fuel found.
    .who = Where nobody looked, nothing is known; a qualified person looks again before a burner, a stove or a fuel line comes in.
safety-stopped = Carbon monoxide in a room or at an oven, or gas, was found at a level at which the work ends, or the hazard screen says stop.
    .headline = Stop: the work ends here.
    .who = Follow the caution of the combustion zone test; emergency services, the gas utility or a licensed heating contractor act first, and a qualified person tests again before anything is tightened.
safety-not-inspected = Nobody has recorded a look for fuel in and at the house.
    .headline = Look for fuel first.
    .who = A qualified person looks and writes down who looked and where; until then no plan is released that a flue could feel.
safety-contradiction = The record says that no fuel was found, yet the house has an appliance.
    .headline = Record and house disagree.
    .who = A qualified person looks again and corrects one of the two.
safety-not-named = Fuel was found, yet the house names no appliance.
    .headline = Name every appliance.
    .who = A qualified person names and tests each appliance; until then no plan is released that a flue could feel.
# $appliance, $zone
safety-missing = Combustion results of this visit are missing for { $appliance } in { $zone }.
    .headline = Test before tightening.
    .who = A qualified person tests spillage and CO in the flue; until then no plan is released that this appliance could feel.
# $appliance, $zone
safety-unvented = { $appliance } in { $zone } has no vent; its exhaust gas stays in the house.
    .headline = Unvented appliance.
    .who = A licensed heating contractor has to judge it; local code decides whether it may be there.
# $appliance, $value, $limit, $source
safety-failed-spillage = Flue gas of { $appliance } spilled into the house for { $value }; the published limit is { $limit }{ $source ->
        [none] , its source not stated
       *[other] {" "}({ $source })
    }.
    .headline = Stop: flue gas spills.
    .who = Tell the people in the house and hand { $appliance } to a licensed heating contractor; local code and the protocol in force decide whether it may run until then.
# $appliance, $value, $limit, $source; the basis belongs to value and limit
safety-failed-co = CO in the flue of { $appliance } is { $value }; the published limit is { $limit }{ $source ->
        [none] , its source not stated
       *[other] {" "}({ $source })
    }.
    .headline = Stop: high CO in the flue.
    .who = Tell the people in the house and hand { $appliance } to a licensed heating contractor; local code and the protocol in force decide whether it may run until then.
# $appliance, $value, $limit
safety-limit-not-confirmed = { $appliance }: { $value } was measured; { $limit ->
        [none] no limit is on record
       *[other] the limit on record, { $limit }, is not confirmed
    }, so that there is no verdict.
    .headline = Limit not confirmed.
    .who = A qualified person confirms the limit in the text of the protocol or local code in force.
# $appliance
safety-basis-differs = CO in the flue of { $appliance } and its limit are not on one basis, so that there is no verdict.
    .headline = Value and limit cannot be compared.
    .who = A qualified person gives both air-free or both as measured.
# $appliance
safety-present = Combustion results of { $appliance } lay within confirmed limits on this visit; that does not say that it is without danger.
    .headline = Fuel-burning appliance in the house.
    .who = Listed CO alarms must be there; a qualified person tests again after any work on the house, its fans or its ducts.
# .by: $who, $licence, $what
safety-signed-off = A licensed person's recorded word stands in for results that are missing; nothing was measured in their place.
    .headline = Released on a licensed person's word.
    .who = The person who signed stands by it; local code decides whether that is enough.
    .by = Signed by { $who }, licence { $licence }; looked at: { $what }.
safety-alarm-note = Listed CO alarms must be present and working; this display comes in addition to them and can fail.
    .headline = CO alarms.
    .who = Whoever owns the house sees to them, as local code asks.
basis-air-free = air-free
basis-as-measured = as measured

# Fit
fit-heading = What the readings say of the house
fit-known-heading = The three best known
fit-unknown-heading = The three least known
# $label, $value, $share
fit-known-line = { $label }: { $value }, { $share } from readings
# Heading, then a line each and a line for the rest: $label, $draws, $share; $count
fit-limits-heading = Ends of ranges that rest on few draws
fit-limits-loose = { $label }: the rougher end of the range has about { $draws } of the drawn houses beyond it; with other draws it would move by { $share } of the number's spread.
fit-limits-loose-more = { $count ->
        [one] { $count } more like it.
       *[other] { $count } more like these.
    }
# $label, $range
fit-unknown-line = { $label }: still anywhere in { $range }
# $a, $b; $list
fit-undetermined-one = The readings say little about { $a }.
fit-undetermined-pair = The readings cannot tell { $a } from { $b }.
fit-undetermined-many = The readings cannot tell these apart: { $list }.
# $reading
fit-not-as-drawn = The readings do not fit the house as drawn: something is open, sealed or there that nobody drew, or a reading is wrong. Fits worst: { $reading }.
# $k
fit-weights-bad = The ranges on this page may be too narrow: the readings pull against each other harder than the computation can follow (measure { $k }, at most 0.7 is wanted).
# $readings, $instruments
fit-used = { $readings ->
        [one] { $readings } reading
       *[other] { $readings } readings
    } from { $instruments ->
        [one] { $instruments } instrument
       *[other] { $instruments } instruments
    }

param-leak-at50 = flow at 50 Pa
param-common-exponent = exponent that all cracks share
param-exponent = exponent
param-gap = gap when shut
param-fan-flow = flow
param-handler-flow = flow through the air handler
param-supply-leak = share of the flow that supply ducts lose
param-return-leak = share of the flow that return ducts draw in
param-register-weight = weight among the registers of its side

# $feels, $compared_with: "none" is outdoors
reading-pressure = { $feels ->
        [none] pressure outdoors
       *[other] pressure in { $feels }
    } against { $compared_with ->
        [none] outdoors
       *[other] { $compared_with }
    }
reading-test-fan = flow of the test fan
# $of
reading-flow = flow of { $of }
reading-handler = flow through the air handler
reading-duct-leak = leakage of the ducts in operation
reading-duct-leak-supply = leakage of the supply ducts in operation
reading-duct-leak-return = leakage of the return ducts in operation
# $into
reading-heat-loss = heat loss by the bills
reading-inflow = fresh air for { $into }
# $reading, $shown, $expected
reading-against = { $reading }: read { $shown }, expected { $expected }

# Next: a setup is a list of these, then what is read.
next-setup-usual = everything as usual
# $pressure
next-fan-hold = test fan holding the rooms at { $pressure } below outdoors
# $door
next-door-open = { $door } open
next-door-hole = { $door } open by a hole of { $area }, its width and height measured
next-door-shut = { $door } shut
next-handler-on = air handler on
# $fan
next-fan-on = { $fan } on
# $feels, $compared_with: "none" is outdoors
next-read-tap = pressure in { $feels } against { $compared_with ->
        [none] outdoors
       *[other] { $compared_with }
    }
next-read-fan-flow = flow of the test fan
# $fan
next-read-exhaust = flow of { $fan }, with a hood
next-read-handler = flow through the air handler
# $setup, $reading
next-line = { $setup }: read { $reading }
# $minutes
next-minutes = { $minutes } min
# $value
next-expect = expected: { $value }
question-total = air through all leaks at 50 Pa
# $zone
question-air-from = air from { $zone } into the rooms on a cold evening
question-room-air = air that reaches { $zone } on a cold evening, its door as at night
next-nothing = No reading that can be taken now would make this answer noticeably narrower.

# What plans are judged by. $zone: "none" is the whole house
measure-co2-at-night = CO₂ at night{ $zone ->
        [none] {""}
       *[other] {" "}in { $zone }
    }
measure-pm25 = PM2.5 over the year{ $zone ->
        [none] {""}
       *[other] {" "}in { $zone }
    }
measure-humid-hours = share of hours above { $beyond } relative humidity{ $zone ->
        [none] {""}
       *[other] {" "}in { $zone }
    }
measure-dry-hours = share of hours below { $beyond } relative humidity{ $zone ->
        [none] {""}
       *[other] {" "}in { $zone }
    }
measure-co2-hours = share of hours with more than { $beyond } of CO₂{ $zone ->
        [none] {""}
       *[other] {" "}in { $zone }
    }
measure-pm25-over-outdoors = PM2.5 over that outdoors{ $zone ->
        [none] {""}
       *[other] {" "}in { $zone }
    }
measure-pm25-days = share of days with a mean PM2.5 above { $beyond }{ $zone ->
        [none] {""}
       *[other] {" "}in { $zone }
    }
measure-mould-index = highest mould index on the coldest surface{ $zone ->
        [none] {""}
       *[other] {" "}in { $zone }
    }
measure-condensing-hours = share of hours in which water condenses on the coldest surface{ $zone ->
        [none] {""}
       *[other] {" "}in { $zone }
    }
# $gas
measure-gas = { $gas } over the year{ $zone ->
        [none] {""}
       *[other] {" "}in { $zone }
    }
measure-warm-hours = share of hours warmer than { $beyond }{ $zone ->
        [none] {""}
       *[other] {" "}in { $zone }
    }
measure-cool-hours = share of hours cooler than { $beyond }{ $zone ->
        [none] {""}
       *[other] {" "}in { $zone }
    }
# $zone: where the air comes from
measure-air-from = air from { $zone } into the rooms
measure-outdoor-air = outdoor air into the rooms
score-appliance-pressure = lowest pressure at the appliance against outdoors
score-ach50 = air changes at 50 Pa (ACH50)
score-energy = energy a year for heating, cooling, fans and drying
score-yearly-cost = cost a year: energy, and the price spread over the years
score-running-cost = cost a year without the first cost: energy, filters, service
# $people
score-person-pm25 = PM2.5 met at home by { $people }, over that outdoors
score-person-co2 = CO₂ met at home by { $people }
score-relative-exposure = relative exposure: what the rooms give off, against steady ventilation at the rate of ASHRAE 62.2
# $zone
score-now-cast = highest air quality index of PM2.5 (NowCast) in { $zone }
# $zone
score-soil-pressure = mean pressure of { $zone } at its floor against outdoors, which draws soil gas; radon itself is told by a long-term test before and after
score-peak-heating = highest hour of heating
score-peak-cooling = highest hour of cooling
plans-rest-title = Other quantities of the year
plans-rest-caption = Middle values over the houses that the readings allow. A dash: there is no value.
plans-quantity = Quantity
# $value
plans-against-found = { $value } against the house as found
# $chance
plans-meets = meets it in { $chance }
# $first, $second, $what, $chance
plans-doubt = Between { $first } and { $second } the difference is in { $what }; the first does better in { $chance } of the houses that the readings allow.
# $share, $name, $reading
plans-doubt-hangs = { $share } of what is uncertain in it goes with { $name }; it would be told by { $reading }.
plans-doubt-spread = No single unknown number stands out in it.
plans-doubt-cost = the cost a year
settles-zone-pressure = pressures of the zones on both sides while a test fan runs
settles-fan-test = a fan test at several pressures
settles-room-pressure = the pressure of the room with its door shut
settles-fan-flow = the flow of the fan
settles-handler-flow = the flow through the air handler
settles-duct-test = a duct leakage test
settles-register-flow = the flow of the register
settles-pressure-drop = the pressure before and behind it
search-title = Searches
# $label, $ran, $years
search-found = { $label }: { $ran ->
        [one] { $ran } combination
       *[other] { $ran } combinations
    } raced, { $years ->
        [one] { $years } year
       *[other] { $years } years
    } lived; not beaten:
search-none-taken = nothing more
# $taken, $cost, $met
search-kept = { $taken }: { $cost } a year, every target met in { $met }
search-setting = { $change } (best near { $value })

# $years
plans-rule = The best plan solves the complaints first, then meets every target, then costs least over { $years ->
        [one] { $years } year
       *[other] { $years } years
    }; a held plan is never the best.
# $chance
plans-best-chance = best in { $chance } of the houses that the readings allow
plans-if-released = would be best in { $chance } if every plan were released
plans-none-meets = in { $chance } of the houses that the readings allow no plan meets every target
# $error
plans-books = The books of air, water, CO₂ and particles close within { $error }.

# Changes of a plan
# $what, $share
change-seal = seal { $what }: { $share } less leakage
# $what, $flow
change-seal-until = seal { $what } until they pass { $flow } at 50 Pa
# $what
change-close-opening = close { $what } for good
# $from, $flow, $rh
change-exhaust-humid = exhaust fan in { $from }: { $flow }, on above { $rh } relative humidity
# $from, $flow, $share
change-exhaust-share = exhaust fan in { $from }: { $flow }, on for { $share } of each hour
# $zone, $flow
change-hood = range hood in { $zone } that is run while cooking: { $flow }
# $flow, $share
change-intake = duct from outdoors into the return of the air handler: { $flow } while it runs, at least { $share } of each hour
# $what, $share
change-line-filter = { $what } changed for a filter that catches { $share } of PM2.5 in one pass
# $zone, $flow
change-cleaner = portable air cleaner in { $zone }: { $flow } of clean air
# $zone
change-humidify = humidifier in { $zone }
# $zone
change-remove-dehumidifier = take the dehumidifier out of { $zone }
change-remove-humidifier = take the humidifier out of { $zone }
# $what, $share
change-speed = { $what } at { $share } of its present speed
change-speed-handler = air handler at { $share } of its present speed
# $fan, $hours
change-run-fan = { $hours ->
        [none] { $fan } never on
       *[other] { $fan } on { $hours }
    }
# $list
change-set-points = set points: { $list }
set-point-heat = heating { $value }
set-point-cool = cooling { $value }
set-point-heat-back = heating { $value } { $hours }
set-point-cool-back = cooling { $value } { $hours }
# $surface, $r
change-insulate = insulate { $surface }: { $r } more
# $surface, $r
change-glazing = new glazing, { $surface }: { $r } in all
# $zone, $share
change-shade = shade the windows of { $zone }: { $share } less sun
# $zone, $share
change-ground-cover = cover { $share } of the ground under { $zone } with a sheet
# $zone, $share, $cover
change-close-crawl = close { $zone } to outdoors ({ $share } less leakage) and cover { $cover } of its ground
# $zone, $share
change-drain = lead water away from { $zone }: { $share } less from the ground
# $zone, $flow
change-vent-dryer = lead the clothes dryer in { $zone } outdoors: { $flow }
# $what, $share
change-cut-source = { $what }: { $share } less
# $share
change-seal-ducts = seal the ducts: { $share } less leakage
# $a, $b, $area
change-transfer = opening between { $a } and { $b }: { $area } free area
# $from, $flow, $hours: "none" is always
change-exhaust = exhaust fan in { $from }: { $flow }{ $hours ->
        [none] , always on
       *[other] , { $hours }
    }
# $to, $flow
change-supply = supply fan to { $to }: { $flow }
# $to, $from, $flow, $recovery
change-balanced = balanced ventilation, fresh air to { $to }, stale air from { $from }: { $flow }, { $recovery } of the heat recovered
# $share
change-filter = filter in the air handler that catches { $share } of PM2.5 in one pass
change-mix = air handler on for at least { $share } of each hour, to mix the air
# $zone
change-dehumidify = dehumidifier in { $zone }
# $door
change-door-open = { $door } open at night
change-door-shut = { $door } shut at night
# $appliance
change-replace-electric = replace { $appliance } by an electric one, by a licensed contractor
change-replace-sealed = replace { $appliance } by one with sealed combustion, by a licensed heating contractor

# Complaints. $measure, $limit
complaint-statement = { $measure } shall be at most { $limit }
complaint-statement-at-least = { $measure } shall be at least { $limit }
# $zone, $flow
explain-co2 = On a cold evening, with the door shut, { $flow } of air reaches { $zone }; CO₂ leaves the room with that air only.
# $zone, $pressure
explain-room-pressure = With the door shut and the air handler on, the pressure in { $zone } against the other rooms is { $pressure }.
# $zone, $flow
explain-air-from = On a cold evening { $flow } of air comes from { $zone } into the rooms.
# $way, $flow
explain-air-from-way = Most of it comes through { $way }: { $flow }.
# $zone, $flow
explain-air-reaches = On a cold evening { $flow } of air reaches { $zone }.
# $flow
explain-outdoor-air = On a cold evening { $flow } of outdoor air reaches the rooms.

# Command line
# $path
cli-wrote = wrote { $path }
# $command
cli-try-next = next: `{ $command }`
cli-stopped = stopped before the end
# $path
cli-not-a-job = there is no `job.toml` in this folder: { $path }
    .help = { $slip ->
        [none] { $near ->
            [none] name the folder of a job; `airwright new my-house` makes one
           *[other] there is a job in `{ $near }`: name that folder
        }
       *[other] give `{ $slip }` the name `job.toml`
    }
# $path, $near
cli-no-folder = there is no folder `{ $path }`
    .help = { $near ->
        [none] look at the name, and at the folder you are in
       *[other] did you mean `{ $near }`?
    }
# $path, $near
cli-no-folder-but-file = `{ $path }` is a file, and a job is a folder
    .help = { $near ->
        [none] name the folder that holds `job.toml`
       *[other] name its folder: `{ $near }`
    }
# $path
cli-exists = `{ $path }` is there already, and nothing is written over
    .help = name another file, or move that one away
# $path
cli-pack-name = `{ $path }` is a folder, and a pack is a file
    .help = name a file, such as `house.zip`
# $path
cli-import-nothing = there is no file to read in { $path }
    .help = name the files of the loggers, or the folder they were saved in
# $why
cli-system = { $why ->
        [missing] it is not there
        [denied] this user may not read or write it
        [exists] something of that name is there already
        [folder] it is a folder
        [no-folder] it is a file, and a folder is needed
        [no-text] it is no text in UTF-8
        [full] there is no room left on the disk
        [in-use] another program uses it
       *[other] this machine does not allow it
    }
    .help = { $why ->
        [missing] look at the name, and at the folder you are in
        [denied] look at the permissions, or take another folder
        [exists] name another one, or move that one away
        [folder] name a file
        [no-folder] name a folder, or move the file away
        [no-text] save it as UTF-8 in your editor
        [full] make room on the disk, and run it again
        [in-use] end the other program, or choose another one
       *[other] look at its name and where it lies
    }
cli-not-empty = this folder is not empty: { $path }
    .help = name a new or an empty folder
# $count
cli-needs-attention = { $count ->
        [one] { $count } thing needs attention
       *[other] { $count } things need attention
    }
progress-fit = fitting the house to the readings
# $done, $of
progress-draws = drawing houses that the readings allow: { $done } of { $of }
# $leading: "none" where nobody knows yet
progress-plans = living the plans through the year: { $done } of { $of }{ $leading ->
        [none] {""}
       *[other] {"; "}so far the best: { $leading }
    }
cli-safety = Safety
cli-tightness = How tight the house is
cli-plans = Plans
cli-next = Readings worth taking next
cli-report = Report

# What the readings say beyond the sizes
beyond-title = What else the readings say
unseen-outdoors = outdoors
# $a, $b
unseen-way = between { $a } and { $b }
unseen-way-supply = from the supply ducts into { $b }
unseen-way-return = from { $b } into the return ducts
# $way, $size, $chance, $improvement
unseen-found = Air seems to pass where nobody drew a passage: { $way }, { $size } at 50 Pa. In a house that is as drawn, chance gives so clear a sign { $chance } times in a hundred at most; with it drawn, the sum of squares falls by { $improvement }.
unseen-found-beside = More air passes { $way } than was believed when it was drawn: another { $size } at 50 Pa. In a house that is as drawn, chance gives so clear a sign { $chance } times in a hundred at most; with it drawn, the sum of squares falls by { $improvement }.
unseen-found-duct = Duct air seems to leave or enter where nobody drew it: { $way }, { $size } of the air handler's flow. In a house that is as drawn, chance gives so clear a sign { $chance } times in a hundred at most; with it drawn, the sum of squares falls by { $improvement }.
unseen-hides-chase = Such a passage usually hides in a chase of pipes, ducts or a flue, or in a dropped soffit open to the attic (common practice, no source).
unseen-hides-tub-wall = Such a passage usually hides under a tub or shower and where pipes and wires pass the floor (common practice, no source).
unseen-hides-balloon-wall = Such a passage usually hides in walls that are open from below to the attic, or in a chase that runs the height of the house (common practice, no source).
unseen-hides-garage-ceiling = Such a passage usually hides in the garage ceiling, in the joists that run on into the house, or in the common wall (common practice, no source).
unseen-hides-band-joist = Such a passage usually hides at the band joist, under an overhang or at a fireplace (common practice, no source).
unseen-hides-vents = Such a passage usually hides at vents that nobody counted, at the eaves, at the sill or at a hatch (common practice, no source).
unseen-hides-partition = Such a passage usually hides above a dropped ceiling, in a transfer opening or in a partition without a top plate (common practice, no source).
unseen-hides-platform-return = Such a passage usually hides in the platform under the air handler, in panned joists or in a stud bay used as return (common practice, no source).
unseen-hides-boot = Such a passage usually hides at a boot or joint of the supply ducts that came apart (common practice, no source).
# $setup, $feels, $with, $without
unseen-confirm = To confirm it: { $setup }; the pressure in { $feels } against outdoors should be { $with }, without the passage { $without }.
# $list
unseen-or = The readings cannot tell it from these: { $list }.
# $candidates
unseen-none = The readings call for no passage beyond the drawing, of { $candidates } routes they could tell. A small one, or one beside a leak that may be large, can stay unseen.
# $reading, $shown, $expected, $z
suspect-named = The reading that disagrees most with the others: { $reading }, read { $shown }, expected { $expected }, off by { $z } standard uncertainties.
# $list
suspect-explained = It would agree if { $list }.
suspect-unexplained = None of the usual slips explains it: take it again.
# $door; $value
slip-door-open = { $door } stood open
slip-door-shut = { $door } stood shut
# $fan
slip-fan-on = { $fan } ran
slip-fan-off = { $fan } stood still
slip-handler-on = the air handler ran
slip-handler-off = the air handler stood still
slip-hoses = the hoses were swapped: { $value }
slip-inches-as-pascals = the gauge showed inches of water, not pascals: { $value }
slip-pascals-as-inches = the gauge showed pascals, not inches of water: { $value }
slip-cfm-as-litres = the instrument showed cubic feet a minute, not liters a second: { $value }
slip-litres-as-cfm = the instrument showed liters a second, not cubic feet a minute: { $value }
slip-baseline-subtracted = the baseline had been subtracted already: { $value }
slip-baseline-left-in = the baseline was still in it: { $value }
slip-ten-too-large = it was written ten times too large: { $value }
slip-ten-too-small = it was written ten times too small: { $value }
# $door, $share
door-unnoted = Nobody noted how { $door } stood; the readings give { $share } to open.
# $count
fit-robust = Readings far from all the others count less (robust fit); { $count } of them count for less than half.
# $list, $more
fit-nothing-bears = No reading bears on: { $list }{ $more ->
        [0] .
       *[other] , and { $more } more.
    } What is said of it comes from the ranges in house.toml alone.
# $what, $question
left-out = Not in the fit: { $what }. { $question }
# $of: a name, or nothing
left-out-accuracy = How exact is it? Its accuracy is not stated.
left-out-which-zone = Which zone of house.toml was it in{ $of ->
        [none] ?
       *[other] , as { $of } is none of them?
    }
left-out-which-fan = Which fan or register of house.toml was it{ $of ->
        [none] ?
       *[other] , as { $of } is none of them?
    }
left-out-which-way = Did the test fan draw air out or blow it in?
left-out-which-decay = What were doors and temperatures during one of its decays? Write that decay as a test of its own with its start and end.
left-out-opened = Which door or hatch of house.toml was opened? What was read as found is in the fit; read what was opened as single readings with `set`.
left-out-no-handler = Where does the air handler stand and which registers has it? house.toml has none.
left-out-not-drawn = Where does { $of } stand? It is not in house.toml.
left-out-intake = How much outdoor air came through the open intake?
left-out-statics = How much air did the handler move at those pressures? Write the maker's table (`flow_table`), or measure the flow.
left-out-pans = How much do the ducts leak in all? Pans tell it with the open area of every register of a side (`open_area`) and the pressure in its plenum (`supply_plenum`, `return_plenum`){ $of ->
        [none] .
       *[other] : { $of } lacks one.
    }
left-out-pans-inside = How much do the ducts leak in all? Pans tell nothing of ducts in the rooms, or with the air handler on: measure it with a duct tester.
left-out-sealing = What do pressure and flow read now that the repairs are done? The house changed while this was read: take an envelope test.
left-out-bills = Which surfaces lead heat from the rooms to outdoors, and how much? Bills tell conduction and leakage as one sum, and house.toml has no `[surface]` around the rooms.
left-out-bills-efficiency = What share of the heat of { $of } reaches the rooms (`efficiency`)? Its use follows the weather.
left-out-bills-other = Which bills are of the house as it is now? One set of bills is in the fit.
left-out-no-result = What was missing for a result? The test gave none.
left-out-interval = How exact is what it rests on (instrument, volume, source)? Its result has no range.
left-out-not-steady = How long had the room been so (`steady_for`)? It may not have been steady.
left-out-rooms = What did the rooms beside { $of } read? Their air comes in too: log both and write a test of two zones, or open the doors.
left-out-temperatures = How warm was it indoors and outdoors? Without both nobody knows what moved the air.
left-out-water = How much water do people and things give off there (`moisture_given_off` and its accuracy)?
left-out-to-outdoors = How much of the leakage goes outdoors? The total also holds what leaks into the rooms.
left-out-plenum = What are the pressures in the plenums while the air handler runs? Without them leakage at 25 Pa says little about leakage in operation.
door-ask = Was { $door } open or shut? Of all doors, this answer would tell most.
# $list, $more: how many further ones, $moved: names of leaks, gaps, fans
again-title = Worth reading again before the instruments are packed
again-taken-back = Missing, as it was taken back: { $list }{ $more ->
        [0] .
       *[other] , and { $more } more.
    } Set it up as it was meant and read it once more.
again-doubt = Right or a mistake, the readings do not tell: { $list }{ $more ->
        [0] .
       *[other] , and { $more } more.
    } Look at the doors, set it up and read it once more; on it hangs: { $moved }.
again-unchecked = No other reading would show a swapped sign or a wrong unit in: { $list }{ $more ->
        [0] .
       *[other] , and { $more } more.
    } Read it once more; on it hangs: { $moved }.
# $reading, $shown
again-reading = { $reading }, read { $shown }
# $door, $open, $with: readings of that setup
again-door = { $door }, noted as { $open ->
        [yes] open
       *[no] shut
    } with { $with }
# $count
again-held = Setups that would be read again but must not be now, as safety forbids them: { $count }.
# $reading, $share; $instrument
decides-reading = One reading decides most about the total: { $reading }. It removes { $share } of the variance that all others leave.
decides-instrument = Of the doubt (variance) that is left in the total, { $share } is the error of { $instrument } itself.

# What people ask of a house
answers-title = What people ask of the house
answers-caption = On a winter evening without wind, with 90 % ranges; pressures against outdoors.
answers-asked = asked
answers-answer = answer
answers-from-readings = from readings
# $zone; $door, $zone; $appliance, $list
asks-conduction = heat through surfaces, for each degree colder outdoors
asks-air-heat = heat for the air that comes in over the heating season, for each degree colder
asks-air-from = air from { $zone } into the rooms
asks-door-shut = { $door } shut, air handler on: pressure in { $zone } changes by
asks-appliance = pressure at { $appliance }, running: { $list }
asks-appliance-shut = pressure at { $appliance }, inner doors shut, running: { $list }
asks-handler = air handler
asks-nothing = nothing

# Rooms on the design days
rooms-title = Rooms on the hardest days
# $out, $in
rooms-cold = Heating, { $out } outdoors, { $in } in the rooms
rooms-hot = Cooling, { $out } outdoors, { $in } in the rooms
rooms-from-weather = Only one hour in a hundred of the weather year is harder than this outdoor temperature.
rooms-given = The outdoor temperature is the one given in job.toml.
rooms-room = Room
rooms-needs = Needs
rooms-gets = Registers bring
rooms-flow = Air
rooms-short = Missing
rooms-why = Mostly by
rooms-enough = enough
rooms-load = all rooms together ask for more than the machine has
rooms-share = this room gets too small a share of the air
rooms-ducts = leaks and losses of the ducts
# $room, $needs, $gets, $why, $chance
rooms-line-short = { $room }: needs { $needs }, gets { $gets }; falls short with a chance of { $chance }, mostly by: { $why }
rooms-line-enough = { $room }: needs { $needs }, gets { $gets }; falls short with a chance of { $chance }
rooms-caption = Steady state with the machine at full power, sensible heat alone; sun and people count where it cools.
rooms-none-of-its-own = no register of its own
# $room, $needs
rooms-line-none = { $room }: needs { $needs }; no register of its own
