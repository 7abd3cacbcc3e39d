# The sheets of a job: owner's page, contractor's hand-off, test-out, and what all of them carry.
# The owner's page explains every word it uses and is read by people who do not know the trade.

# $name, $serial, $date: "none" where nobody wrote it down
sheet-instrument = { $name }, { $serial ->
        [none] serial number not on record
       *[other] no. { $serial }
    }, { $date ->
        [none] calibration date not on record
       *[other] calibrated { $date }
    }
# $list
sheet-read-with = Read with: { $list }.
# $name, $credential: "none"
sheet-tester = Tested by { $name }{ $credential ->
        [none] .
       *[other] , { $credential }.
    }
# $credential; $number: "none"
letterhead-credential = { $credential }{ $number ->
        [none] {""}
       *[other] {" "}no. { $number }
    }
# $sheet, $path
sheet-line = { $sheet }: { $path }
sheet-owner = owner’s page
sheet-record = full record
sheet-hand-off = contractor’s hand-off
sheet-test-out = test-out
sheet-commissioning = commissioning sheet of the rules
sheet-certificate = certificate
sheet-lacks-house = a house file and readings that a fit can be made from
sheet-lacks-plans = a plan in plans.toml
sheet-lacks-test-out = a visit with `[test_out]`, whose visit before the work has readings too
sheet-lacks-rules = rules in the folder `rules`
sheet-lacks-test = an envelope test in a visit

# Owner's page
owner-title = Your house on one page
owner-now = { $value } now
owner-after = { $value } after
owner-goal = goal { $value }
# $count
owner-more-complaints = { $count ->
        [one] { $count } more complaint stands in the full record.
       *[other] { $count } more complaints stand in the full record.
    }
owner-todo = { $count ->
        [0] What to do
        [one] One thing to do
        [2] Two things to do, in this order
       *[other] Three things to do, in this order
    }
owner-no-price = no price yet: ask for one
owner-changes = What the work changes
owner-tight = How tight the house is
# The number stands before it, with its unit "times an hour".
owner-tight-note = is how often an hour all the air changes while a test fan pulls hard (50 Pa). Lower is tighter.
# $value, $source
owner-limit = The line is at { $value }: { $source }.
owner-unknown = What is not known yet
owner-unknown-radon = Radon (a gas from the ground that harms the lungs) was not measured; a long-term test kit tells.
owner-picture = A cold evening, 36 °F (2 °C), heating on, doors as at night. Arrows: moving air; striped: it came through attic, garage or crawl space.
owner-rest = All readings stand in the full record that comes with this page.
# $flow, $zone
owner-co2 = On a cold night with the door shut, about { $flow } of air gets into { $zone }. What people breathe out builds up there.
# $zone, $flow, $way
owner-air-from = On a cold evening about { $flow } of air from { $zone } gets into the rooms{ $way ->
        [none] .
       *[other] , most of it through { $way }.
    }
# $measure, $value, $limit, $less
owner-year = Over a year, { $measure } comes to { $value }. The goal is { $less ->
        [yes] at most
       *[no] at least
    } { $limit }.
# $zone, $against, $value, $sheets, $way
owner-reading = Air in { $zone } { $way ->
        [pull] pulls
       *[push] pushes
    } against { $against } with { $value }, like { $sheets ->
        [0] less than one sheet of paper
        [one] one sheet of paper
       *[other] { $sheets } sheets of paper
    } lying flat.
# $list
owner-and = { $list }; and more

# What to do first where a burner is not tested
owner-test-what = Have { $appliance } tested
    .place = { $zone }
    .who = a trained tester, as local code says
    .change = you learn if its exhaust gas stays out of your rooms
    .with = nothing; it comes first
    .proof = time that exhaust gas came into the room, and poison gas (CO) in the pipe, each with its limit
owner-fix-what = Have { $appliance } seen to
    .place = { $zone }
    .who = a licensed heating contractor
    .change = its exhaust gas no longer comes into your rooms
    .with = nothing; it comes first
    .proof = the contractor’s record, then the same test again
owner-look-what = Have somebody look for all that burns fuel
    .place = the whole house, inside and outside
    .who = a trained tester, as local code says
    .change = work that makes the house tighter can be planned
    .with = nothing; it comes first
    .proof = a record of who looked and where
owner-plan-change = see “What the work changes”
owner-plan-with = nothing else
owner-plan-proof = we measure the same things again after the work
# $zone, $value
owner-plan-proof-zone = with a test fan holding the rooms at 50 Pa, we read at least { $value } between { $zone } and the rooms
# $value
owner-plan-proof-flow = the test fan then moves at most { $value } of air
owner-reading-what = Let us take one more reading
    .place = in the house, about { $time }
    .who = your tester
    .change = we can tell you more surely what to do
    .with = nothing else
    .proof = you see the range before and after
owner-at-home = in the house
owner-who-hazards = licensed heating contractor
owner-who-moisture = contractor for crawl space and drains
owner-who-ventilation = ventilation contractor
owner-who-air-barrier = air-sealing contractor
owner-who-ducts = duct contractor
owner-who-insulation = insulation contractor
owner-who-equipment = heating and cooling contractor
# $plans, $first
owner-waiting = Not yet: { $plans }. First: { $first }.
owner-first-look = a trained tester looks for all that burns fuel and writes down where
owner-first-record = a trained tester clears up what the record and the house file say of fuel
# $appliance
owner-first-test = a trained tester tests the exhaust gas of { $appliance }
owner-first-fix = a licensed heating contractor sees to { $appliance }
owner-first-limit = a trained tester confirms the limit for { $appliance }
owner-first-stop = the emergency service, the gas company or a licensed heating contractor act on the gas that was found
owner-first-repeat = a trained tester tests the exhaust gas of what burns fuel again, as work was done since
owner-first-again = your tester checks the plan again, as something changed
owner-condition-replace-first = { $appliance } is taken out before any other work
owner-condition-test-again = a trained tester tests again after the work
owner-condition-signed-off = a licensed person’s word stands in for tests that are missing

# Words and units, where the page uses them
owner-word-cfm = cfm: cubic feet of air each minute.
owner-word-l-s = L/s: liters of air each second.
owner-word-m3-h = m³/h: cubic meters of air each hour.
owner-word-pa = Pa: how hard air pushes; a sheet of paper lying flat presses with about 0.8 Pa.
owner-word-ppm = ppm: parts in a million parts of air.
owner-word-co2 = CO₂: the gas we breathe out; much of it means little fresh air.
owner-word-co = CO: carbon monoxide, a poison gas without smell.
owner-word-pm25 = PM2.5: dust so fine that it gets deep into the lungs.
owner-word-ach50 = 1/h: times an hour.
owner-term-handler = air handler
owner-word-handler = Air handler: the machine that blows warm or cool air through the ducts.
owner-term-returns = return ducts
owner-word-returns = Return ducts: pipes that bring room air back to that machine.
# $label: things on the restore list whose usual name is of the trade
owner-item-flue-plug = plug in the exhaust pipe of { $label }
owner-item-registers = covers over the air outlets and inlets
owner-item-plugs = plugs in the small holes made for measuring
# $list
owner-left-open = Touched on the visit and not put back yet: { $list }. Your tester has to see to it.
# $date, $list, $more, $who
owner-put-back = Touched on the visit of { $date } and put back as it was: { $list }{ $more ->
        [0] {""}
        [one] ; one more stands in the full record
       *[other] ; { $more } more stand in the full record
    }.{ $who ->
        [none] {""}
       *[other] {" "}Put back by { $who }.
    }
owner-word-range = Numbers in brackets and bars: the true value lies inside 9 times in 10.

# Safety in the owner's words: what was found, in a few bold words (.headline), who must act (.who)
owner-safety-no-fuel = { $who } looked and found nothing that burns fuel. Looked at: { $where }.
    .headline = Nothing that burns fuel was found.
    .who = Where nobody looked, nothing is known.
owner-safety-stopped = Carbon monoxide (a poison gas) or fuel gas was found at a level at which work ends.
    .headline = Stop.
    .who = The emergency service, the gas company or a licensed heating contractor must act first.
owner-safety-not-inspected = Nobody has written down a look for fuel in and at the house.
    .headline = First: look for all that burns fuel.
    .who = A trained tester must look before the house is made tighter.
owner-safety-contradiction = The record says that nothing burns fuel, but the house has an appliance that does.
    .headline = Record and house do not agree.
    .who = A trained tester must look again.
owner-safety-not-named = Fuel was found, but no appliance is named.
    .headline = First: name every appliance.
    .who = A trained tester must name and test each of them.
owner-safety-missing = { $appliance } in { $zone } was not tested on this visit: nobody knows if its exhaust gas stays out of the rooms.
    .headline = Test before you make the house tighter.
    .who = A trained tester must do it.
owner-safety-unvented = { $appliance } in { $zone } has no exhaust pipe. Its exhaust gas stays in the house.
    .headline = No exhaust pipe.
    .who = A licensed heating contractor must judge it; local code decides if it may be there.
owner-safety-failed-spillage = Exhaust gas of { $appliance } came into the room for { $value }. The published limit is { $limit }{ $source ->
        [none] .
       *[other] {" "}({ $source }).
    }
    .headline = Stop: exhaust gas comes into the room.
    .who = A licensed heating contractor must see { $appliance } before any other work; local code decides if it may run until then.
owner-safety-failed-co = Carbon monoxide (a poison gas) in the exhaust pipe of { $appliance } is { $value }. The published limit is { $limit }{ $source ->
        [none] .
       *[other] {" "}({ $source }).
    }
    .headline = Stop: too much poison gas in the exhaust pipe.
    .who = A licensed heating contractor must see { $appliance } before any other work; local code decides if it may run until then.
owner-safety-limit-not-confirmed = { $appliance }: { $value } was measured. { $limit ->
        [none] There is no limit on record.
       *[other] The limit on record is { $limit }; nobody has confirmed it.
    }
    .headline = The limit is not confirmed.
    .who = A trained tester must confirm it.
owner-safety-basis-differs = The value and the limit of { $appliance } are stated in two ways that cannot be compared.
    .headline = No result yet.
    .who = A trained tester must state both in one way.
owner-safety-present = The tests of { $appliance } on this visit were within confirmed limits. That does not say that it is without danger.
    .headline = There is an appliance that burns fuel.
    .who = Carbon monoxide alarms must be there; a trained tester tests again after any work.
owner-safety-signed-off = A licensed person’s word stands in for tests that are missing.
    .headline = No test: a licensed person’s word.
    .who = The person who signed stands by it.

# Contractor's hand-off
hand-title = Work for the contractor
# $letter, $plan
hand-plan = Plan { $letter }: { $plan }
hand-held = Held: this plan must not be carried out yet. What holds it, and who acts:
hand-held-note = No target and no step of this plan is given out until each of these is done and the plan was judged again.
hand-conditions = To be kept to
hand-stops = Stop at once and call the tester when
hand-hazards = Known of this house
hand-steps = Work, in this order
hand-steps-caption = Numbers beside the steps are computed from the house as fitted, each step resting on those before it; the range holds the true value 9 times in 10. The test fan holds the rooms 50 Pa below outdoors, inner doors open, fans and air handler off, unless another state is named.
hand-retest = Who tests again
hand-price = Price:
hand-release = Released on this state of combustion results, house and plan; one change of any of them withdraws the release:
hand-done-by = Done by
hand-done-on = Date and signature
# $stage, $place
hand-place = { $stage } · { $place }
hand-read = read
hand-before = before this step
hand-after = after it
hand-stop = stop when
stage-hazards = first: what burns fuel
stage-moisture = water and its sources
stage-ventilation = exhaust and ventilation
stage-air-barrier = air barrier
stage-ducts = ducts
stage-insulation = insulation and glass
stage-equipment = machines and settings
# $zone, $against
hand-mark-zone = pressure in { $zone } against { $against }, test fan at 50 Pa
hand-mark-flow = flow of the test fan at 50 Pa
hand-mark-room = pressure in { $zone } against { $against }, door shut, air handler on
hand-mark-supply = air that the supply ducts lose, air handler on
hand-mark-return = air that the return ducts draw in, air handler on
# $zone
hand-mark-appliance = pressure in { $zone } against outdoors, every exhaust on, inner doors shut, air handler on
# $value
hand-stop-rises = it is { $value } or more
hand-stop-falls = it is { $value } or less
hand-stop-watch = screening: if it reads lower than { $value }, stop and call the tester
hand-stop-weak = it moves too little to steer by; work to the other numbers
hand-hazard-fuel = { $appliance } in { $zone } burns fuel.
hand-hazard-old = Built before 1978, or the year is not known: paint may hold lead, materials may hold asbestos; a licensed person looks before anything is disturbed.
hand-hazard-wiring = In old attics and walls look for open wiring before anything is covered (common practice, no source).
hand-stop-alarm = a carbon monoxide alarm sounds, anybody feels ill, or gas is smelled: everybody leaves, then call the emergency service
hand-stop-found = vermiculite, pipe wrap or board that may hold asbestos, live bare wires, wet or mouldy wood, or a vent nobody drew comes to light
hand-stop-draft = a burner’s exhaust comes out into the room at any time
hand-stop-lower = a pressure beside a step reads beyond what is named there
hand-stop-restore = a fan, damper, vent or burner would be left other than it was found
hand-material-hazards = A new appliance and its vent are set, connected and tested by the licensed contractor alone.
hand-material-moisture = Ground sheet: at least 6 mil (0.15 mm), seams lapped and sealed, carried up the walls (common practice, no source).
hand-material-ventilation = Exhaust ends outdoors, not in attic or crawl space; flow is measured at the grille when done (common practice, no source).
hand-material-air-barrier = At a flue or chimney: sheet metal and sealant rated for the heat, no foam; keep the clearance on its label. Foam in view is covered as local code asks. Lights that get hot stay clear (common practice, no source).
hand-material-ducts = Mastic or tape listed for ducts, no cloth tape; joints near a furnace as its maker says (common practice, no source).
hand-material-insulation = Air leaks are closed and read before anything is covered; eaves stay open where the attic is vented (common practice, no source).
hand-material-equipment = Settings as written here; filter access stays free (common practice, no source).
# $who
hand-retest-tester = { $who ->
        [none] The tester
       *[other] { $who }
    } reads every number of this sheet again with the same instruments and the same state of the house, before the crew leaves.
hand-retest-combustion = A qualified person tests spillage and CO again after the work, on the day it ends, before the house is left.
hand-retest-flows = The flow of every fan that was put in or changed is measured and written down.

# Test-out
out-title = What the work came to
# $plan, $before, $after; $day
out-intro = The work of plan “{ $plan }” lies between the visits { $before } and { $after }.
out-done = It ended { $day }.
out-how = The house is fitted twice, to the readings before the work and to those after it; both houses live through the same weather year.
out-complaints = What became of each complaint
# $statement, $source
out-criterion = To be reached: { $statement }{ $source ->
        [none] .
       *[other] {" "}({ $source }).
    }
# $day
out-written-before = Agreed { $day }, before the result.
out-written-after = Agreed { $day }: after the result was read, so that it was not set beforehand.
out-written-undated = Nobody wrote down when this was agreed (`agreed` in job.toml): whether it was set before the result is not shown.
out-gone = Gone: the whole range after the work keeps it.
# $change
out-better = Better by { $change }; that the goal is kept is not shown.
out-worse = Worse by { $change }.
out-not-shown = Not shown: the readings do not tell a change.
out-before = before
out-after = after
out-change = change
out-promise = promised
out-what = what
out-note = note
out-promised = Promised and obtained
out-promised-caption = Promised: what the plan came to in the houses that the readings before the work allowed. Obtained: the house fitted to the readings after the work alone. The change takes the two fits as independent, which makes its range rather too wide.
out-kept-yes = the promise lies in the range
out-kept-better = better than promised
out-kept-short = short of the promise
out-tests = Tests of both visits
out-test-shared = Same instruments: their calibration error cancels in the change.
out-test-apart = Other instruments: each visit has its own calibration error.
out-field-apart = The change takes both results as independent, which makes its range rather too wide where one instrument took both.
out-readings = Single readings of both visits
out-readings-caption = Change with u² = u₁² + u₂² − 2 r u₁ u₂: where one instrument took both, its calibration error cancels. 95 % ranges.
# $r
out-shared = same instrument, r = { $r }
out-apart = other instrument, r = 0
out-setups = What differs between the visits
out-setups-alike = No difference is on record.
out-instruments-before = Instruments of the visit before
out-indoor = indoors
out-outdoor = outdoors
out-wind = wind
out-tester = tester

# Diagnostics
N101 = this test-out is held against { $before }, which is not an earlier visit with readings
    .because = a change needs a visit before the work and one after it
    .help = name the folder or the date of the visit before the work in `before`
N102 = the limit of a complaint was agreed on { $agreed }, not before the test-out of { $result }
    .because = a criterion that is set when the result is known proves little; the sheet says so
    .help = agree limits before the work
N103 = nobody wrote down when the limit of a complaint was agreed
    .because = the test-out says whether a criterion stood before its result
    .help = add `agreed = "YYYY-MM-DD"` to the complaint in job.toml
N104 = both `[letterhead]` and `[firm]` are written: `[letterhead]` counts
    .because = `[firm]` is an older name of it
    .help = keep one of them
N105 = there is no { $sheet } of this job
    .because = it needs { $lacks }
    .help = ask for another sheet, or write what is missing
N106 = readings from before the work are left out of what is said of the house now: { $visits }
    .because = the house changed with the work; { $after } shows it as it is
    .help = the test-out sheet sets both against each other

# Sheets as PDF
# $file, $count
K180 = { $count } letters of { $file } stand as empty signs
    .because = the fonts of the PDF hold Latin, Greek, Cyrillic and the signs of the page
    .help = the HTML beside it shows them, or write them in one of these scripts
# $file, $why
K181 = { $file } has tags, but is not PDF/UA-1: { $why }
    .because = something in the page is not allowed by the standard of accessible PDF
    .help = it can be printed and read; the HTML beside it is the accessible one
# $file, $why
K182 = { $file } could not be made: { $why }
    .because = the page holds what cannot be set
    .help = print the HTML beside it from a browser
# $logo
K183 = `{ $logo }` is no picture for a letterhead
    .because = a logo is a PNG or JPEG file below `attachments`; other forms can carry programs or fetch from elsewhere
    .help = save it as PNG in the folder `attachments` of the job, and write `logo = "attachments/logo.png"`
# $logo, $kilobytes
K184 = the logo `{ $logo }` is not shown
    .because = it is missing, no PNG or JPEG inside, or larger than { $kilobytes } kB
    .help = put a smaller PNG or JPEG in its place
cli-no-pdf = this program was built without PDF
    .help = build it with `cargo build --release --features pdf`, or print the HTML from a browser
