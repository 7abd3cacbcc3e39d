# The phone: one test from the doorway to the sheet. Keys without values are sent to the page.

# $date
phone-job-name = Envelope test of { $date }
phone-gauge = pressure gauge
phone-fan = test fan
phone-basement-in = basement counted as inside
phone-basement-out = basement counted as outside
phone-basement-none = no basement

# Definitions of sizes, from memory, in our words
phone-volume-iso = Inside the heated, cooled or ventilated part of the building: its floor area times the mean clear height. Furniture is not taken off.
phone-volume-astm = All air inside the part that is tested, measured inside: floor area times ceiling height, room by room.
phone-volume-cgsb = All air inside the part that is tested, measured inside, the basement with it.
phone-volume-resnet = All air inside the conditioned part that the fan reaches. Floors between storeys count; an attached garage does not.
phone-floor-iso = All floors inside the tested part, measured between the inner faces of the outer walls.
phone-floor-astm = All floors inside the tested part, every storey, measured inside.
phone-floor-cgsb = All floors inside the tested part, every storey, the basement with it.
phone-floor-resnet = Floor of the conditioned space, measured as its own clause defines it.
phone-envelope-iso = Walls, floors and ceilings around the tested volume, measured inside overall, parts below ground and walls to neighbours with it.
phone-envelope-astm = Every surface between inside and outside, or inside and space that is not conditioned.
phone-envelope-cgsb = Every surface around the tested volume, parts below ground with it, measured inside.
phone-envelope-resnet = Every surface around the tested volume: walls, lowest floor, highest ceiling.
phone-definition-note = From memory, in our words: read the definition in your edition.

# Preparation. The words of a state depend on what it is the state of.
phone-prep-note = Usual preparation, from memory: check your edition and change what differs.
phone-prep-appliance = Combustion appliances and their flues
phone-prep-fireplace = Fireplace (no fire, ashes covered)
phone-prep-air-handler = Air handler
phone-prep-ventilation = Whole-house ventilation
phone-prep-exhaust-fans = Bathroom and other exhaust fans
phone-prep-range-hood = Range hood
phone-prep-dryer = Clothes dryer and its vent
phone-prep-windows = Windows and outside doors
phone-prep-inside-doors = Inside doors
phone-prep-attic-hatch = Attic and crawl-space hatches
phone-prep-trickle-vents = Trickle vents
phone-prep-combustion-air = Openings for combustion and make-up air
phone-prep-registers = Supply and return registers
phone-prep-room-coolers = Window and wall air conditioners
phone-prep-traps = Plumbing traps
phone-state-opening-open = open
phone-state-opening-closed = closed
phone-state-opening-sealed = sealed
phone-state-fan-open = off, left as it is
phone-state-fan-closed = off, damper shut
phone-state-fan-sealed = off, sealed
phone-state-device-open = left on
phone-state-device-closed = switched off
phone-state-device-sealed = switched off, sealed
phone-state-trap-open = left as they are
phone-state-trap-closed = filled with water
phone-state-trap-sealed = sealed
phone-restored = put back
phone-to-restore = to be put back

# What gauge and fan show
phone-basis-gauge-in = This gauge shows the pressure with the baseline in it, not subtracted.
phone-basis-gauge-out = This gauge shows the pressure with the baseline already subtracted.
# $density
phone-basis-calibration-density = This fan shows flow as if the air weighed { $density }.
phone-basis-actual-density = This fan shows the flow of the air that is there.
phone-basis-through-envelope = This fan shows flow through the envelope, temperatures already corrected.
phone-basis-reference-conditions = This fan shows flow at reference conditions, fully corrected already.
# $density
phone-basis-fan-pressure = This fan shows its own pressure; the calibration, made at { $density }, turns it into flow.
# $number, $shows
phone-basis-of-fan = Fan { $number }: { $shows }
phone-basis-not-chosen = Choose what the fan shows.
phone-shows-calibration-density = flow at calibration density
phone-shows-actual-density = flow at actual density
phone-shows-through-envelope = flow through the envelope
phone-shows-reference-conditions = flow at reference conditions
phone-shows-fan-pressure = pressure in the fan

# Verdicts
phone-verdict-pass = Pass: the whole interval keeps the limit.
phone-verdict-fail = Fail: the whole interval breaks the limit.
phone-verdict-too-close = Too close to call: the limit lies inside the interval.
phone-verdict-not-confirmed = No verdict: nobody has confirmed the limit in its own text.
phone-verdict-no-limit = No limit is entered.
phone-verdict-no-accuracy = No verdict: the accuracy of gauge or fan is missing, so the interval is too narrow.
phone-verdict-no-basis = No verdict: it is not said what the fan shows.
phone-verdict-no-interval = No verdict: too little is known for an interval.

# Missing
phone-missing-profile = Choose the standard.
phone-missing-direction = Choose the direction.
phone-missing-date = The date of the test is missing.
phone-missing-place = Name the place.
phone-missing-altitude = Type the altitude or the barometer; sea level is taken until then.
phone-missing-volume = Type the volume; without it there are no air changes.
phone-missing-basement = Say whether the basement counts as inside.
phone-missing-gauge-accuracy = Type the accuracy of the gauge.
phone-missing-fan-accuracy = Type the accuracy of the fan.
phone-missing-fan-shows = Say what the fan shows.
phone-missing-calibration = Type the calibration of the fan.
phone-missing-range-names = Name each range of the fan, in words of your own.
phone-missing-preparation = Go through the preparation list.
phone-missing-indoor = Type the temperature indoors; 20 °C (68 °F) is taken until then.
phone-missing-outdoor = Type the temperature outdoors; 20 °C (68 °F) is taken until then.
phone-missing-baseline-before = Read the baseline before the stations.
phone-missing-baseline-after = Read the baseline after the stations.
phone-missing-tester = Type the tester's name.
# $have, $wanted
phone-missing-stations = { $have } of { $wanted } stations.

# Questions about values that contradict. Ours, common practice.
# $typed
phone-ask-number = This is not a number: { $typed }
    .help = Type digits with one decimal mark.
# $height
phone-ask-volume-floor = Volume over floor area is { $height }. Is that a storey?
    .help = Rooms are mostly 2 to 6 m (7 to 20 ft) high. Check both sizes and their units.
# $area, $volume
phone-ask-envelope-small = No body of { $volume } has as little surface as { $area }.
    .help = Check volume and envelope area; leave walls to neighbours out only where the standard does.
# $area, $volume
phone-ask-envelope-large = { $area } of envelope is much for { $volume }.
    .help = Check volume and envelope area, and their units.
phone-ask-envelope-floor = The envelope area is smaller than the floor area.
    .help = The envelope is walls, lowest floor and top together. Check which number stands where.
phone-ask-gauge-accuracy = The gauge has no accuracy, so the interval leaves it out.
    .help = Type it from the certificate, such as 1 % or 0.25 Pa. Until then there is no verdict.
phone-ask-fan-accuracy = The fan has no accuracy, so the interval leaves it out.
    .help = Type it from the certificate, such as 4 %. Until then there is no verdict.
# $typed
phone-ask-calibration-date = This is not a date: { $typed }
    .help = Write it as year, month and day: 2026-03-02.
# $date
phone-ask-calibration-future = The calibration lies in the future: { $date }
    .help = Check the date, and the clock of this phone.
# $date
phone-ask-calibration-old = The calibration is more than a year old: { $date }
    .help = Many protocols ask for one every year. Read yours; the sheet shows the date.
# $low, $high
phone-ask-calibration-span = This calibration is to hold from { $low } to { $high }.
    .help = The lower pressure comes first.
phone-ask-calibration-table = This table does not rise in both columns.
    .help = More pressure in the fan is more flow. Look for two numbers exchanged or a wrong digit.
# $typed, $low, $high
phone-ask-outside-span = The calibration of this range holds from { $low } to { $high }, not for { $typed }.
    .help = The station is left out. Name the range that was used, or take the station again in another one.
# $typed
phone-ask-humidity = A relative humidity of { $typed } %?
    .help = This test takes per cent: 45 for 45 %.
# $typed, $unit, $other
phone-ask-temperature = { $typed } { $unit }? That looks like { $other }.
    .help = This test takes { $unit }. Convert the reading, or change the units.
# $typed, $expected
phone-ask-barometer = The barometer says { $typed }; at this altitude about { $expected } is usual.
    .help = Forecasts give the pressure reduced to sea level. Type what a barometer shows at the house, or leave it empty.
# $typed, $limit
phone-ask-pressure-high = { $typed } is more than any house is tested at ({ $limit }).
    .help = Check the decimal mark and which channel was read.
# $typed
phone-ask-sign = { $typed } while the fan blows air in?
    .help = A house that is pressurised stands above outdoors. Check the hoses and the direction.
# $typed, $baseline
phone-ask-within-baseline = { $typed } is no more than the baseline of { $baseline }.
    .help = The fan adds nothing here. Check the reading, the sign of the baseline and the direction.
# $typed, $expected; $meant is "none" where no power of ten fits
phone-ask-decade = { $typed } does not go with the other stations, which lead one to expect about { $expected }.{ $meant ->
        [none] {""}
       *[other] {" "}Is it { $meant }?
    }
    .help = Check the digits, the range of the fan and the unit.
# $typed, $low, $high, $pressure
phone-ask-not-rising = { $high } at { $pressure }, yet { $low } at a lower pressure.
    .help = More pressure takes more flow. Look for a door that moved, a gust, or two numbers exchanged.
# $typed, $station
phone-ask-same-pressure = { $typed } stands in station { $station } already.
    .help = A line needs pressures that differ. Change the fan by some pascals, or correct the number.
# $baseline
phone-ask-baseline-unused = The gauge subtracts the baseline, yet { $baseline } is typed.
    .help = A baseline that is subtracted already is not used again. If the gauge does not subtract it, say so.
# $baseline
phone-ask-baseline-out = The stations lie on one line only if the baseline of { $baseline } is out of them already.
    .help = Did the gauge subtract the baseline? Then say so under the gauge.
# $baseline
phone-ask-baseline-reversed = The stations lie on one line only if the baseline is { $baseline } with the other sign.
    .help = Baselines are house minus outdoors. Check the sign and the hoses.
# $baseline, $typed, $direction
phone-ask-baseline-round = Baseline { $baseline }, reading { $typed }, { $direction ->
        [depressurise] depressurised
       *[pressurise] pressurised
    }: did the gauge subtract the baseline?
    .help = Round pressures are what a gauge shows that subtracts it. If it does, say so; if not, the reading stands.

# Advice
phone-advice-baseline-first = Fan covered: read the baseline first, five readings of 10 s.
# $pressure, $seconds
phone-advice-first = Start at the top: { $pressure }, average { $seconds } s.
phone-advice-next = Next: { $pressure }, average { $seconds } s.
phone-advice-next-weak = The fan does not reach the usual pressure; results beyond are extrapolated. Next: { $pressure }, average { $seconds } s.
phone-advice-again = Once more at { $pressure }, average { $seconds } s: that station lies farthest off, and the interval still narrows.
phone-advice-stop-baseline = Enough stations. Stop the fan, cover it, and read the baseline again.
phone-advice-stop-clear = Enough: the verdict is clear.
phone-advice-stop-settled = Enough: more stations hardly narrow the interval.

# What the tester confirmed. $number
phone-field-station = Station { $number }
phone-field-baseline = Baseline reading { $number }
phone-field-fan = Test fan { $number }
phone-field-only-fan = Test fan
phone-field-gauge = Pressure gauge
phone-field-conditions = Weather
phone-field-building = House
phone-field-place = Place
phone-run-depressurise = depressurised
phone-run-pressurise = pressurised
# $place, $value (may be empty), $asked
phone-confirmed = { $place }{ $value ->
        [none] {""}
       *[other] {" "}({ $value })
    }: “{ $asked }” The tester: it is right.

# Sheet. $name
phone-sheet-extrapolated = { $name }, extrapolated
phone-sheet-restore-open = restore list open

# Command line
cli-no-pages = this program was built without the pages of the phone; run `./web/build`, then `cargo build`
# $address
cli-serving = the phone's pages: { $address } (Ctrl-C ends it)
# $port
cli-port-taken = cannot listen on port { $port } of this machine
# $path, $file
cli-phone-other = `{ $path }` holds `{ $file }`, which this command has not written; name another folder
# $path
cli-phone-updated = brought up to date: { $path }
# $path
cli-phone-next = put { $path } on any web server with https, open it once on the phone and install it; after that it works without a network
