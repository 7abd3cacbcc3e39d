# Tests of ducts and of the air handler.
# Names are parts of a line: no capital, no full stop. Notes are sentences.

quantity-floor-leakage = a leakage per floor area
quantity-static-pressure = a static pressure
quantity-duct-speed = a speed of air in a duct
quantity-heat-flow = a heat flow

test-duct-leakage = duct leakage
figure-duct-25 = total leakage at 25 Pa
figure-duct-25-outdoors = leakage to outdoors at 25 Pa
figure-duct-25-supply = supply side, total at 25 Pa
figure-duct-25-supply-outdoors = supply side, to outdoors at 25 Pa
figure-duct-25-return = return side, total at 25 Pa
figure-duct-25-return-outdoors = return side, to outdoors at 25 Pa
figure-duct-25-run = leakage at 25 Pa
figure-duct-exponent = flow exponent
figure-duct-per-floor = total leakage per floor area
figure-duct-per-floor-outdoors = leakage to outdoors per floor area
figure-duct-of-handler = total leakage over handler flow
figure-duct-of-handler-outdoors = leakage to outdoors over handler flow
figure-duct-operating-supply = supply leakage in operation, total
figure-duct-operating-supply-outdoors = supply leakage in operation, to outdoors
figure-duct-operating-return = return leakage in operation, total
figure-duct-operating-return-outdoors = return leakage in operation, from outdoors
figure-duct-split-gap = supply and return less the whole
check-duct-limit = total duct leakage
check-duct-limit-outdoors = duct leakage to outdoors
note-duct-not-reached = { $run }: the ducts reached { $pressure } at most; leakage at 25 Pa is extrapolated.
note-duct-house-closed = { $run }: the house was not at outdoor pressure, so part of the leaks felt another pressure; open a door or a window.
note-duct-null = { $run }: up to { $pressure } may have stood between ducts and house, and leaks into the house took part in that; how much, a total test would tell.
note-duct-directions = Blowing in and drawing out disagree beyond their intervals: something moved, such as a seal, a damper or a loose liner.
note-duct-split = Supply and return do not add up to the whole: the barrier leaked, or something changed between the tests.
note-duct-tap = The pressure of the ducts was read { $place ->
        [supply-plenum] in the supply plenum
        [return-plenum] in the return plenum
        [near-register] at a register near the handler
        [far-register] at the register farthest from the test fan
       *[at-fan] at the test fan
    }; other places may differ by { $share } of it { $read ->
        [yes] (as read there)
       *[no] (assumed, nobody read them)
    }, which is in the intervals.
note-duct-exponent = Where too few points tell, the flow exponent is taken as { $n } (from memory of ASTM E1554 and ANSI/RESNET/ICC 380).
note-duct-summed = The whole is the sum of supply and return.
note-duct-no-split = How the leakage divides between supply and return was not measured.
note-duct-operating-total = Leakage in operation is of total leakage: what goes to the rooms is not lost.
note-duct-half-plenum = Leakage in operation takes the leaks at half the plenum's pressure (ASHRAE 152, from memory); the interval reaches from a quarter to three quarters.

test-pressure-pans = pressure pans
figure-pan = pan, brought to 50 Pa
figure-pan-ratio = leak area over open area
check-pan = pan
note-pan-blunt = { $zone } was at less than half the pressure of the house: the pans in it are blunt; open it to outdoors and read them again.
note-pan-zone = No pressure was read in the zone of some ducts; they are taken to lie at outdoor pressure, and read too low where they do not.
note-pan-connected = Connected to outside: { $registers }.
note-pan-detached = More leak than open duct, as where a run has come apart: { $registers }. Look at them first.
note-pan-no-flow = Pans tell which run to look at, not how much leaks.

test-dominant-leak = dominant duct leak
figure-handler-shift = house pressure, handler on less off
figure-net-duct-leak = supply less return leakage to outdoors
note-dominant-doors = Interior doors were shut: closed rooms shift the pressure of the house too.
note-dominant-intake = The outdoor air duct to the return was open: it acts like a return leak.
note-dominant-supply = The supply ducts leak more to outdoors (chance { $chance }): the house loses air while the handler runs. The differences scatter by { $noise }.
note-dominant-return = The return ducts leak more (chance { $chance }): the house takes in air through them while the handler runs. The differences scatter by { $noise }.
note-dominant-few = Cannot tell: at least three repeats off and on are needed.
note-dominant-unclear = Cannot tell: the differences scatter by { $noise }, as much as what the handler does, or both sides leak alike (chance that the supply leaks more: { $chance }).
note-dominant-net = The flow is a guide: while the shift is small against stack and wind, it may be more.

test-delivery-effectiveness = delivery effectiveness of ducts
figure-delivery = delivery effectiveness
figure-delivery-tight = the same without leakage
figure-delivery-insulated = the same without conduction
figure-register-temperature = air at the registers
figure-supply-plenum-temperature = air in the supply plenum
figure-return-plenum-temperature = air in the return plenum
note-delivery-form = Steady operation in the form of ASHRAE 152 (from memory); what the rooms regain is not in it.
note-delivery-sensible = Sensible heat only: damp air drawn into the return costs more than this.

test-duct-leakage-by-difference = duct leakage by difference
figure-sealed-difference = registers open less sealed, at 50 Pa
figure-sealed-share = the same as a share of the open test
figure-duct-50-difference = duct leakage to outdoors at 50 Pa
figure-duct-25-difference = duct leakage to outdoors at 25 Pa
note-difference-unclear = The difference is not told apart from nothing at { $level }: measure the ducts themselves.
note-difference-negative = More leakage with sealed registers than with open ones: something else changed between the tests.
note-difference-factor = The sealed ducts still leaked from the house; what they passed follows from their pressure.
note-difference-low = The sealed ducts still leaked from the house, so this is the least it can be; their pressure against the house would tell the rest.

test-static-pressure = static pressures
figure-external-static = external static pressure
figure-static-flow = flow by the maker's table
note-static-table = The maker's table gives no flow: the pressure it is stated for was not read, or lies beyond its ends.
figure-static-return-side = on the return side
figure-static-supply-side = on the supply side
figure-drop-return-ducts = drop of the return ducts
figure-drop-filter = drop of the filter
figure-drop-coil = drop of the coil
figure-drop-supply-ducts = drop of the supply ducts
figure-filter-of-rated = filter over rated external static
check-external-static = external static pressure
note-box-both-in = Filter and coil are inside the rated box: their drops were part of the rating and are not external.
note-box-filter-in = The filter is inside the rated box: its drop was part of the rating; what is outside counts as external.
note-box-coil-in = The coil is inside the rated box: its drop was part of the rating; what is outside counts as external.
note-box-none-in = Everything but the rated box counts as external: ducts, filter and coil, where there are any.
note-coil-dry = The coil was not told to be wet: a wet coil takes more pressure.
check-running-time = time since start
note-steady-untold = Nobody told how long the equipment needs to settle.
note-not-run-in = The equipment had not run long enough: nothing is decided from these readings.
note-modulating = The equipment was free to change its output, so no state is known: hold it at a fixed output and read again.
note-motor-airflow = The motor holds the flow: a loading filter shows in watts and speed, not in flow.
note-motor-torque = The motor holds its torque: a loading filter lowers the flow a little.
note-motor-fixed = The motor has fixed windings: a loading filter lowers the flow.
note-motor-unknown = The kind of motor was not told: it decides whether a loading filter shows in flow or in watts.
note-motor-watts-missing = Read the blower's power as well, to have something to compare with next time.

test-handler-flow = flow of the air handler
figure-handler-flow = flow
figure-handler-flow-standard = the same mass as standard air
figure-flow-per-capacity = standard flow per rated capacity
figure-power-per-flow = power per flow
figure-hoods-supply = sum of the supply registers
figure-hoods-return = sum of the return grilles
figure-plenum-correction = correction by plenum pressures
figure-temperature-rise = temperature rise
figure-mean-speed = mean speed
check-traverse-quality = readings above a tenth of the largest velocity pressure
check-straight-before = straight duct before the plane, in diameters
check-straight-after = straight duct after the plane, in diameters
check-flow-per-capacity = flow per capacity
check-power-per-flow = power per flow
note-sea-level = Neither barometer nor altitude is known: the air is taken at sea level.
note-plate-far = The correction by plenum pressures is beyond 0.9 to 1.2, where it is commonly trusted (from memory).
note-matching-return = The fan stood in for the return: what the return ducts leak or resist is not in it.
note-rise-fuel = The heat of a fuel furnace was not measured: the flow is as doubtful as its output.
note-rise-one-place = Warm air was read in one place only: a supply plenum is seldom mixed, and the interval does not know it.
note-traverse-below-zero = { $count ->
        [one] { $count } reading is below zero and counts
       *[other] { $count } readings are below zero and count
    } as no flow: air turns back in this plane.
note-traverse-one-line = One line over a round duct misses a lopsided profile: read a second one across it.
note-traverse-slow = The air is slower than 2 m/s (400 ft/min): velocity pressures are too small for a pitot tube.
note-hoods = The larger sum stands for the handler: leaks between registers and handler are not in it.

test-coil-capacity = capacity of the coil
figure-coil-total = total heat taken from the air
figure-coil-sensible = sensible
figure-coil-latent = latent
figure-coil-heat = heat given to the air
figure-coil-heat-sensible = sensible
figure-coil-water = water taken
figure-sensible-share = sensible share
figure-coil-split = temperature difference
note-coil-wetter = The air leaves with more water than it brought: the coil dries off, or a humidity is misread.
note-coil-charge = This says nothing of the refrigerant: a licensed technician judges the charge.
note-coil-blower = Heat of the blower is in it where the blower lies between the two places.
