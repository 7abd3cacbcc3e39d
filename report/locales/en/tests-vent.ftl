# Exhaust and ventilation flows, whole-house rates, infiltration, bills.
# Names are parts of a line: no capital, no full stop. Notes are sentences.

test-fan-flow = flow of a fan
figure-fan-flow = flow
figure-fan-flow-shown = flow as shown, before corrections
figure-back-pressure = pressure that the hood or box holds against the fan
figure-flow-lowered = share by which that lowered the reading
figure-site-factor = site factor of the probe
check-fan-flow = least flow
check-local-exhaust = local exhaust
check-box-pressure = pressure in the box
note-hood-not-corrected = The hood presses back on the fan and lowers the flow; by how much is in the interval, not in the value. Give the hood's resistance and the fan's pressure to have it corrected.
note-box-not-corrected = The box presses back on the fan and lowers the flow; give the fan's pressure to have it corrected.
note-fan-curve-unknown = Only the fan's pressure as it runs is known: the correction lies between none and that of a flat fan curve, and its middle is taken.
note-site-unknown = Nobody has compared the probe with a good flow at this place: the flow takes the shown speed for the mean of the duct, which it seldom is.
note-site-other-probe = The site factor was learned with another probe; the errors of both are in the interval.
note-site-factor-odd = The site factor is far from what a probe in a round duct gives (0.8 to 1): check the duct's size, the unit and where the probe sits.
note-kitchen-volume-missing = An exhaust of a kitchen that always runs is asked for by the kitchen's volume, which is not told.

test-settled-reading = settled reading
figure-outdoor-behind-duct = outdoor temperature, the duct's warmth taken out
figure-settled = settled value
figure-wait = wait after the start until it is near
figure-time-constant = time constant
figure-standing-share = share of the difference to the room that the duct never loses
note-record-flat = The record shows no change beyond its scatter: the value is its mean.
note-record-settles = The record comes to rest: later readings may be taken as they are.
note-record-extrapolated = The record ends before it has come to rest: the value is where the curve leads, not what was read.
note-record-drifts = The record is still on its way and does not tell where to: read for longer.
note-record-gaps = { $gaps } { $gaps ->
        [one] row is a gap and was
       *[other] rows are gaps and were
    } left out.

test-recovery-balance = balance and heat recovery
figure-imbalance = supply less exhaust, of the larger
figure-effectiveness-sensible = sensible effectiveness
figure-effectiveness-apparent = apparent sensible effectiveness
figure-effectiveness-without-fans = sensible recovery without the fans' heat
figure-effectiveness-latent = latent effectiveness
figure-effectiveness-total = total effectiveness
figure-heat-balance = heat taken up over heat given off
figure-carried-over = air of the rooms in the supply
figure-outdoor-air-supplied = outdoor air in the supply
check-balance = balance of supply and exhaust
note-heat-balance-open = Supply and exhaust do not exchange the same heat: a flow, a temperature or the mixing before a probe is wrong, or air leaks across. The effectiveness says little until that is found.
note-effectiveness-impossible = An effectiveness below 0 or above 100 % cannot be: check which duct is which.
note-small-difference = Indoors and outdoors are close in temperature: small errors of the probes weigh heavily.
note-carry-over-unknown = Air that leaks across the core counts as recovery here; a tracer tells how much.

test-ventilation-rate = outdoor air of the whole house
figure-fan-delivered = fan flow delivered
figure-fan-needed-balanced = fan flow needed, balanced
figure-fan-needed-one-way = fan flow needed, one way
figure-ventilation-total = outdoor air needed in all
figure-infiltration-credited = infiltration
figure-outdoor-air = outdoor air of fans and infiltration together
figure-local-shortfall = sum that local exhausts fall short of
figure-ventilation-added = added for that
figure-exposure-mean = relative exposure, mean
figure-exposure-peak = relative exposure, highest
check-whole-house-fan = fan flow of the whole house
check-exposure-mean = mean relative exposure
check-exposure-peak = highest relative exposure
note-credit-not-given = This rule takes nothing off for infiltration.
note-credit-no-factor = Nothing is taken off for infiltration: the weather factor of the place is not known. Enter it from the standard's own table.
note-credit-no-envelope-test = Nothing is taken off for infiltration: there is no envelope test.
note-credit-from-model = The infiltration comes from a model that the rule does not name: the comparison does not decide.
note-credit-capped = In a new house infiltration may take off two thirds at most, and would take off more.
note-schedule-averaged = Some fans do not run all the time; without the house's volume their flow is averaged over the day, which is too kind.
note-schedule-equivalent = Some fans do not run all the time: the flow stated is the steady one with the same mean exposure.
note-no-whole-house-fan = No fan for the whole house is listed: nothing is compared with the rate.
note-no-air-at-all = The schedule gives no air at any time.

test-tightness-room = room for tightening
figure-tightness-room = flow at 50 Pa that may be sealed before the limit is passed
figure-least-flow50 = least flow at 50 Pa for the limit
figure-depressurisation = depressurisation with everything running, computed
figure-depressurisation-measured = depressurisation with everything running, measured
check-depressurisation = depressurisation, computed
check-depressurisation-measured = depressurisation, measured
note-depressurisation-differs = The measured depressurisation is not the computed one: a flow is wrong, something else was running, or the leakage was another.
note-no-tightness-room = By the limit written here there is no room left: with everything running the computed pressure passes it. Make-up air or less exhaust comes before tightening.
note-depressurisation-calm = Computed for calm air; wind and stack come on top. It is no replacement for a spillage test.

test-infiltration = infiltration
figure-infiltration = average infiltration now
figure-infiltration-moment = infiltration in this weather
figure-infiltration-change = air changes by infiltration
figure-infiltration-effective = steady flow with the same effect on the air
figure-stack-share = share of the stack
note-infiltration-accuracy-not-stated = The text of this model states no accuracy, so there is no interval; it is a rough figure.
note-infiltration-one-moment = This holds for the weather of the visit, not for a year.

test-bills = bills and weather
figure-use-base = use that does not follow the weather
figure-use-mean = mean use over the bills
figure-heating-slope = more use for each degree colder
figure-heating-balance = outdoor temperature at which heating starts
figure-cooling-slope = more use for each degree hotter
figure-cooling-balance = outdoor temperature at which cooling starts
figure-heat-loss = heat loss of the house by the bills
figure-heating-outdoor = mean outdoor temperature of the heating
figure-usual-year = use of a usual year
figure-explained = share of the variation explained
note-bills-too-few = { $fuel }: { $periods } { $periods ->
        [one] bill is
       *[other] bills are
    } too few to tell use from weather; { $wanted } are the least, a year is better.
note-bills-no-season = { $fuel }: the bills hold too little difference of weather to tell heating or cooling from the rest.
note-bills-no-slope = { $fuel }: no use that follows the weather stands out from the scatter.
note-bills-not-a-year = { $fuel }: the bills cover { $days } days, less than a year; what happens in the other months is not known.
note-bills-base-hidden = { $fuel }: hardly a bill is free of heating, so the base and the balance temperature cannot be told apart; only the slope is stated.
note-bills-autocorrelated = { $fuel }: neighbouring bills err alike (correlation { $r }); intervals were widened. Look for a change in the house, its people or its equipment.
note-bills-estimated = { $fuel }: { $merged } estimated { $merged ->
        [one] read was
       *[other] reads were
    } joined with the next bill.
note-bills-open-end = { $fuel }: an estimated read without a good one after it was left out.
note-bills-means-only = { $fuel }: only mean temperatures of the bills are known; in mild months days on both sides of the balance temperature are lost. Daily temperatures are better.
note-bills-usual-weather = The temperatures are those of a usual year, not of the bills' own days: the slopes are rough.
