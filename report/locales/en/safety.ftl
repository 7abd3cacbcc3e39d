# The hazard screen, combustion state by state, what is owed after work, what has to be put back.

screen-title = Before, during and after: what was looked at, tested, touched
# $date
screen-title-of = Hazard screen, { $date }
# $missing, $before
screen-outcome-go = Everything on the list was looked at and nothing stands against the usual procedure.
screen-outcome-changed = Everything on the list was looked at, and what was found changes the procedure.
screen-outcome-unfinished = { $missing ->
        [one] { $missing } item has not been looked at
       *[other] { $missing } items have not been looked at
    }{ $before ->
        [0] {"."}
       *[other] {", "}and { $before } of them before any air is drawn down.
    }
screen-outcome-stop = The work stops until those named below have acted.
screen-missing-title = Not looked at yet, in this order
screen-seen-title = Looked at
screen-agreed-title = Agreed and told
screen-flags-title = Taken against the screen
screen-before-drawing = Before air is drawn down.

screen-item-ambient-co = carbon monoxide in the air
screen-item-gas = smell of gas
screen-item-people = people whom a test may harm
screen-item-pets = animals
screen-item-neighbours = neighbours' appliances
screen-item-fuel = fuel
screen-item-flues = flues and vents
screen-item-unvented = heaters without a flue
screen-item-embers = fire, embers, ash
screen-item-structure = floors, stairs, attic walkways
screen-item-wiring = old or unknown wiring
screen-item-asbestos = asbestos, vermiculite
screen-item-mould = mould
screen-item-sewage = sewage
screen-item-lead = lead paint

screen-why-ambient-co = It acts on whoever walks in, the tester first: the meter is on from the doorstep.
screen-why-gas = A spark is enough: it comes before any switch is touched.
screen-why-people = A test moves smoke, dust and cold air through the rooms; who has asthma, oxygen or an infant decides beforehand.
screen-why-pets = Doors stand open, fans run, and an animal may slip out or into a fan.
screen-why-neighbours = A shared flue or wall lets a test here draw flue gas there.
screen-why-fuel = What burns decides which tests come first: `[combustion]` with who looked and where.
screen-why-flues = A blocked or parted flue is found with the appliance off, before anything is fired.
screen-why-unvented = Its exhaust gas stays in the house, and the more so once the house is tighter.
screen-why-embers = Air drawn down the chimney brings ash and smoke into the room and may kindle embers.
screen-why-structure = Whoever goes under the roof or the floor stands on it.
screen-why-wiring = Knob-and-tube wiring keeps cool by the air around it; covered, it may not.
screen-why-asbestos = Air drawn through it may carry fibres into the rooms.
screen-why-mould = Air drawn through it carries spores into the rooms.
screen-why-sewage = Air drawn over it carries germs and gas into the rooms.
screen-why-lead = Sealing and drilling disturb old paint; a year in `lead_paint_before` under `[place]` lets the age of the house answer.
screen-lack-no-name = It was written down without a name: who looked?
screen-lack-no-reading = Nobody can see it: give the highest reading of the meter.

screen-found-none-seen = none seen
screen-found-suspect = suspected
screen-found-present = present
screen-found-no-fuel = none found
# $value
screen-highest = highest { $value }
# $value
screen-lel = { $value } of the lower explosive limit
# $area, $published
screen-mould-area = { $area } (published guidance sends for a specialist beyond about { $published }, from memory)
screen-from-test = from a combustion test
screen-from-age = from the age of the house
screen-from-house = from house.toml
# $photo
screen-photo = photo { $photo }
# $who, $to, $when
screen-agreed = { $who }: { $to }, { $when }

screen-rule-co-present = Carbon monoxide is in the air: everybody goes outside, nothing is switched, help is called from there.
screen-rule-co-suspect = Carbon monoxide is suspected: the people are told, the rooms aired, the source is looked for before anything runs.
screen-rule-co-tell = The reading reached the level at which the people are told, the source is looked for and the rooms are aired.
screen-rule-co-stop = The reading reached the level at which the work ends: open up, put the sources off, go outside.
screen-rule-co-leave = The reading reached the level at which everybody leaves and emergency services are called from outside.
screen-rule-gas-seen = Gas is smelt or found: no switch, no flame, no telephone indoors; everybody goes outside and calls from there.
screen-rule-gas-level = Gas in the air reached the level at which everybody leaves and calls from outside.
screen-rule-combustion-stopped = A combustion test found carbon monoxide in a room or at an oven, or gas, at a level at which the work ends.
screen-rule-people-seen = Whoever may be harmed is told in writing what the test does to the air, and leaves for its time, or the test is put off.
screen-rule-pets-seen = Animals are shut away from doors and fans, or taken out, for the time of the test.
screen-rule-neighbours-seen = The neighbours are told; their appliances on a shared flue or wall are off, or tested too, before air is drawn down.
screen-rule-flues-present = A flue is blocked, rusted through or apart: no appliance on it is fired, and nothing else runs until it is repaired.
screen-rule-flues-suspect = A flue is in doubt: no appliance on it is fired and no air drawn down until it has been looked at.
screen-rule-unvented-seen = The heater without a flue is off and cold for the whole visit, and stays off while air is drawn down.
screen-rule-embers-present = The fire is out and cold, ash is taken out or covered, doors and dampers of the fireplace are shut before air is drawn down.
screen-rule-embers-suspect = Ash that may hide embers is looked into, taken out or covered before air is drawn down.
screen-rule-structure-seen = Nobody goes into that part, nothing is opened or read in it.
screen-rule-wiring-seen = No insulation touches it and no sealing buries it until an electrician has looked; wiring of unknown kind in a cavity ends work on that cavity.
screen-rule-asbestos-present = It is not disturbed, and no air is drawn through it: the house is pressurised instead of depressurised, or the test is left out.
screen-rule-asbestos-suspect = It counts as asbestos until somebody licensed says otherwise: the house is pressurised instead of depressurised.
screen-rule-asbestos-place = The place that holds it stays shut; hatches and lights to it are left alone.
screen-rule-mould-seen = No air is drawn from the mouldy place into the rooms; moisture comes first, sealing after.
screen-rule-sewage-seen = No air is drawn from there into the rooms until it is cleaned up and the leak repaired.
screen-rule-lead-seen = Painted surfaces are not sanded, cut or drilled outside the rules for lead; the test itself does not change.
# $value, $level
screen-measured = Read { $value }; level { $level }.
screen-bars-entering = That place must not be entered.
# $zone
screen-bars-zone = Keep out of: { $zone }.
screen-bars-drawing-down = Until then no air is drawn down.
screen-bars-moving-air = Until then nothing moves the pressure of the house.
screen-bars-everything = Until then nothing is switched on and nothing is read.
screen-until-agreed = Until their recorded word (`[[agreed]]`) the test waits.
# $who
screen-lifted = { $who } agreed.
screen-who-emergency = Who must act: emergency services, called from outside.
screen-who-gas-utility = Who must act: the gas utility or emergency services, called from outside.
screen-who-heating-contractor = Who must act: a licensed heating contractor.
screen-who-electrician = Who must act: a licensed electrician.
screen-who-asbestos-inspector = Who must act: somebody licensed for asbestos.
screen-who-lead-certified = Who must act: somebody certified for lead, where paint is disturbed.
screen-who-specialist = Who must act: a specialist for cleaning up, and who repairs the source.
screen-who-builder = Who must act: a builder or an engineer.
screen-who-people = Who must act: those who live there, with the tester.
screen-who-neighbours = Who must act: the neighbours, with the tester.
screen-who-tester = Who must act: the tester.
# $source
screen-source = [{ $source }]
screen-source-memory = [from memory, check your programme]
screen-source-practice = [common practice, no source]
# $test, $items
screen-flag-down = { $test ->
        [none] A single reading
       *[other] Test { $test }
    } drew the house down although this stood against it or was not looked at: { $items }. The result counts and is marked.
screen-flag-air = { $test ->
        [none] A single reading
       *[other] Test { $test }
    } moved the air of the house although this stood against it: { $items }. The result counts and is marked.

screen-check = Hazard screen when the test was taken
screen-check-wanted = nothing that stands against it
# $items
screen-caution = Taken although the hazard screen stood against it or was not filled in: { $items }.
# $items
screen-holds-tests = The hazard screen holds back every test that draws air down, those named here among them: { $items }.

# $items
guide-held = The hazard screen stands against drawing the zone down now: { $items }.
# $appliance, $zone
guide-title = Combustion: { $appliance } ({ $zone })
guide-step-as-found = as found
guide-step-greatest = greatest depressurisation
guide-step-natural = natural conditions
guide-record-vent-look = look at the flue (appliance off)
guide-record-ambient-co = carbon monoxide in the air
guide-record-gas = gas at the joints
guide-record-baseline = baseline of the zone
guide-record-pressure = pressure of the zone in the states tried
guide-record-spillage = spillage
guide-record-flue-co = CO in the flue
# $recorded, $missing, $needed
guide-stand = { $needed ->
        [no] only where the greatest depressurisation fails{ $recorded ->
            [none] {""}
           *[other] ; recorded: { $recorded }
        }
       *[other] { $recorded ->
            [none] nothing recorded
           *[other] recorded: { $recorded }
        }{ $missing ->
            [none] ; nothing missing
           *[other] ; missing: { $missing }
        }
    }
# $state, $missing
guide-now = Now, { $state }: { $missing }.
guide-whole = Everything that this list asks for is recorded.
guide-stands-title = States in order
guide-tries-title = Setups to try
# $on, $shut
guide-setup = on: { $on }{ $shut ->
        [none] {""}
       *[other] ; shut: { $shut }
    }
guide-not-tried = not tried
# $value
guide-read = read { $value }
# $net
guide-expected = expected { $net } net
guide-handler = air handler
# $setup, $net, $by, $share, $close
guide-worst = By the fitted house the worst is expected with { $setup }: { $net } net, { $close ->
        [yes] the next one within { $by }
       *[no] about { $by } below the next one
    }; lowest of the list in { $share } of the houses that the readings allow. It says where to begin; pressure alone decides nothing, spillage and CO are measured.
# $source
guide-rule = Found by trying: every exhaust on that blows outdoors; then doors, each kept as it makes the zone lower; then the air handler, kept on only where the zone falls further. [{ $source }]
guide-nothing-moves = Nothing that house.toml names blows air out of the house or around in it: the greatest depressurisation is that of the house as it stands.
# $tried, $left
guide-untried = { $tried ->
        [0] No setup was read yet
        [one] { $tried } setup was read
       *[other] { $tried } setups were read
    }; { $left ->
        [one] { $left } more combination is possible
       *[other] { $left } more combinations are possible
    }.

repeat-title = Combustion again after work
# $day, $what, $lacking, $source
repeat-day-owed = { $day }: { $what }. Spillage and CO are to be tested again before the end of that day{ $lacking ->
        [none] {""}
       *[other] {": "}{ $lacking }
    }. [{ $source }]
repeat-day-late = { $day }: { $what }. Tested again on a later day, not on that one. [{ $source }]
repeat-day-done = { $day }: { $what }. Tested again on that day.
# $lacking, $source
repeat-test-out-owed = At test-out spillage and CO are to be tested again{ $lacking ->
        [none] {""}
       *[other] {": "}{ $lacking }
    }. [{ $source }]
repeat-test-out-done = Tested again at test-out.

# $date, $count, $open, $closed
restore-title = Touched on { $date }: { $count ->
        [one] { $count } thing
       *[other] { $count } things
    }, { $open ->
        [0] all put back
       *[other] { $open } not yet put back
    }{ $closed ->
        [none] {""}
       *[other] ; visit closed { $closed }
    }
restore-open-title = Not yet put back
restore-back-title = Put back
restore-how = Each is closed by its name: `[[restored]]` with `what`, `by` and `when`.
# $thing, $found, $states
restore-open = { $thing }{ $states ->
        [none] {""}
       *[other] ; stood { $states }
    }; { $found ->
        [none] nobody noted how it was found
       *[other] found { $found }
    }
# $test
restore-test = test { $test }
# $who, $when
restore-back = { $who ->
        [none] noted with the preparation
       *[other] { $who }, { $when }
    }
# $label
restore-item-appliance = { $label }: pilot, thermostat, controls
restore-item-flue-plug = plug in the flue of { $label }
restore-item-handler = air handler and thermostat
restore-item-fan = { $label }
restore-item-door = { $label }
restore-item-cover = tape or cover over { $label }
restore-item-test-fan = opening that the test fan stood in
restore-item-registers = masks and pans at the registers
restore-item-filter = filter in its slot, door of the slot shut
restore-item-plugs = plugs in the holes of the pressure probes
restore-item-zone-opening = opening to { $label }

# $items
next-held-stop = the hazard screen says stop ({ $items }): nothing is read until those named there have acted
# $items
next-held-screen = the hazard screen stands against it: { $items }
# $items
next-held-not-looked = not looked at yet: { $items }
next-held-repeat = something was changed since combustion was tested, and that comes first
next-held-keep-out = a place must not be entered, opened or read in
