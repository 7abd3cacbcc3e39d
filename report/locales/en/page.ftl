# What the pages of a house and of a test say beside the catalogues of work and report.

figure-flow50 = flow at 50 Pa (CFM50)
figure-exponent = exponent n
figure-exponent-wind = exponent n, wind counted
figure-flow50-wind = flow at 50 Pa (CFM50), wind counted
figure-ela-wind = leakage area at 4 Pa (ELA), wind counted
figure-ela = leakage area at 4 Pa (ELA)
figure-eqla = leakage area at 10 Pa (EqLA)
figure-q50 = flow at 50 Pa per envelope area (q50)
figure-nl = normalised leakage (NL)
param-total = all leaks together, at 50 Pa

# $value
wanted-at-least = at least { $value }
wanted-at-most = at most { $value }
not-measured = not measured
check-station-count = number of stations
check-lowest-pressure = lowest pressure
check-highest-pressure = highest pressure
check-pressure-step = largest step between stations
check-lowest-over-baseline = lowest pressure against the baseline
check-baseline = baseline
check-baseline-split = baseline, positive and negative readings apart
check-determination = r² of the line
check-correlation = r of the line
check-relative-error = standard error of the flow at 10 Pa
check-exponent = exponent n
check-height-temperature = height times temperature difference
check-wind = wind
check-outdoor-temperature = outdoor temperature
check-flow-accuracy = accuracy of the flow instrument
check-pressure-accuracy = accuracy of the gauge at 50 Pa
check-directions = directions tested
check-depressurised = runs that draw the house down
direction-depressurise = house drawn down
direction-pressurise = house blown up

fact-volume = volume
fact-floor-area = floor area
fact-envelope-area = envelope area
fact-height = height above ground
fact-includes = counted as inside
fact-indoor = indoors
fact-outdoor = outdoors
fact-indoor-rh = humidity indoors
fact-outdoor-rh = humidity outdoors
fact-wind = wind
fact-barometer = barometer
fact-tester = tester
fact-credential = credential
fact-firm = firm

# $density
basis-fan-pressure = pressure in the fan; flow by the entered calibration, at { $density }
basis-calibration-density = flow as if the air weighed { $density }
basis-actual-density = flow of the air that is there
basis-envelope = flow through the envelope, temperatures already corrected
basis-reference = flow at reference conditions, fully corrected already
basis-baseline-in = pressure with the baseline still in it
basis-baseline-out = pressure with the baseline already taken out

# $date; $value
tested-on = visited { $date }
outside-at = { $value } outside
wind-at = wind { $value }
# $measure; $what
evidence-year = { $measure }, year as found
evidence-flow = { $what }, on a cold evening
return-leak-way = leaks of the return ducts

group-leaks = Leaks, flow at 50 Pa
group-gaps = Doors and hatches, free area when shut
group-fans = Fans as installed
group-drops = Filters and coils, pressure drop at the rated flow
group-shares = Air handler and ducts, shares of the flow
priced-by-you = priced by you
scored-over-year = weather year

# What to do: what, where (.place), who (.who), what it changes (.change), what it needs (.with), proof (.proof)
# $appliance, $zone
todo-combustion = Test { $appliance } for spillage and carbon monoxide
    .place = { $zone }
    .who = a qualified person; local code says who may
    .change = it is known whether flue gas stays out of the rooms, and plans can be released or changed
    .with = nothing; it comes first
    .proof = spillage time and flue CO on record, each with its limit
# $plan
todo-plan = { $plan }
    .place = as listed with the plan
    .who = contractors for each part, licensed where local code asks for it
    .change = see the plans side by side
    .with = the readings below, taken again after the work
    .proof = envelope test, flows and a week of readings after the work
# $measure, $from, $to
todo-gain-from-to = { $measure }: from { $from } to { $to }
todo-reading = one more reading
    .place = on site
    .who = your tester
    .change = the answer above becomes sharper
    .with = the test fan, where it is named
    .proof = the range before and after

caution-screening = Pressures computed at the appliance are screening: spillage and carbon monoxide measured after the work decide.
caution-lead-asbestos = Houses built before 1978 may hold lead paint or asbestos: have suspect materials looked at by a licensed person before they are disturbed.

duct-supply = supply ducts
duct-return = return ducts
scene-cold-evening-title = How air moves on a cold evening
scene-cold-evening = 36 °F (2 °C) outside, no wind, air handler on, doors as at night, exhaust fans off.
# $flow, $door
ladder-drop = drives { $flow } through { $door }
