# Words of documents and of short texts.

estimate-range = { $value }, { $level } range { $lo } to { $hi }
estimate-no-range = { $value }, no interval: { $reason }
from-to = { $lo } to { $hi }
no-interval-typed = typed without instrument
no-interval-assumed = assumed
no-interval-few = too few points
no-interval-exact = exact
no-interval-not-computed = could not be computed
no-interval-not-defined = the standard states none
no-interval-cannot-tell = the data cannot tell

terminal-because = because
terminal-help = help
terminal-and = and
terminal-count = { $errors ->
        [one] { $errors } error
       *[other] { $errors } errors
    }, { $warnings ->
        [one] { $warnings } warning
       *[other] { $warnings } warnings
    }, { $notes ->
        [one] { $notes } note
       *[other] { $notes } notes
    }

no-interval = no interval: { $reason }
outdoors = outdoors

# States of numbers
state-measured = measured
state-measured-at = measured { $at }
state-computed = computed
state-assumed = assumed
state-assumed-by = assumed: { $by }
states-measured = read on site
states-computed = worked out from the readings
states-assumed = no reading stands behind it
states-all = All of these:
stale-title = Stale:

# Safety
safety-title = Safety
safety-limit = Published limit: { $limit }.
safety-never = This page does not judge any appliance or house. It states what was measured and the published limit. Local codes and licensed practice decide.

# Limits and verdicts
limit-title = limit
limit-label = limit { $limit }
limit-is = Limit: { $limit }
limit-at-most = at most { $value } ({ $source })
limit-at-least = at least { $value } ({ $source })
limit-not-confirmed = limit not confirmed against its source
wind-counted-title = wind counted
wind-counted = With the wind counted: { $value }
wind-counted-decides = The verdict rests on this one.
verdict-title = verdict
verdict-pass = pass
verdict-fail = fail
verdict-too-close = too close to call
verdict-not-confirmed = limit not confirmed: no verdict

# Sections of the report of a house
complaints-title = What you told us, and what explains it
quoted = “{ $words }”
complaint-tested = Tested as: { $statement }
tightness-title = How tight the house is
ladder-title = Pressure ladder
ladder-caption = Air falls from a higher rung to a lower one. The line is the zone’s middle, the pale box runs from its floor to its ceiling.
ladder-axis = Pa against outdoors, same height
flows-title = Every flow in this picture
flows-caption = Beside each flow stands its { $level } range.
range-only = { $level } range { $lo } to { $hi }
flows-way = from → to
flows-in = into the house
flows-out = out of the house
flows-within = within the house
flows-around = around the house
flows-flow = flow
flow-from-to = { $from } to { $to } { $flow }
section-down-flue = down the flue { $flow }
key-outdoor = air from outdoors
key-buffer = through garage, crawl space or attic
key-house = house air
key-sizes = width by flow:

tests-title = Tests
plot-flow-axis = flow, { $unit }
plot-pressure-axis = pressure difference, Pa
plot-residuals = reading minus line, %
plot-residual-limit = limit { $limit }
plot-caption = Dots are readings, the line is fitted, the band holds it at { $level }. A crossed square was read but not used.

known-title = Before and after the readings
known-caption = Dashed outline: what was known before, from houses like this one. Solid bar: what is known after { $readings } readings in this house. Pale bar: the readings said little about it. Outlines and bars are { $level } ranges.
known-range = middle and range
known-from-readings = from readings
known-share = { $share } from readings
undetermined-title = What the readings did not settle
residuals-title = Readings against the model
residuals-caption = Each reading beside what the fitted model expects of it. The last column is the difference, counted in the reading’s standard uncertainties; about 19 of 20 should lie between −2 and +2.
residual-reading = reading
residual-read = read
residual-expected = expected
residual-z = difference, in uncertainties
residual-suspect = suspect, kept with little weight

plans-title = Plans side by side
plans-chance = Chance of being best
plans-as-found = as found
plans-target = target { $target }
plans-hatched = What each plan comes to. A bar is the range with its middle notched; hatched lies beyond the target. A dash: there is nothing to compute in that plan.
plans-held-note = Held plans have no share in the bar; their cards say how they would stand if they were released.
# $share
plans-none-meet = In { $share } of the houses the readings allow, no plan meets every target.
plan-best-share = Best in { $share } of the houses the readings allow.
plan-if-released = If it were released: best in { $share }.
plan-targets = Meets every target in { $share }.
plan-held-title = Held.
plan-held = Computed, not released: { $reasons }.
plan-released = Released: nothing in it is felt by a burning appliance.
# $conditions
plan-released-with = Released, to be kept to: { $conditions }.

todo-title = What to do, in this order
todo-where = Where
todo-who = Who
todo-price = Price
todo-gain = You gain
todo-goes-with = Along with
todo-proof = Proof
next-title = Readings worth taking next
next-caption = First those that tell most for each minute of work.
next-reading = reading
next-work = work
next-gain = range narrower by
next-narrower = narrower by { $share }
next-no-help = no help
cautions-title = Take care
instruments-title = Instruments
instrument-name = instrument
instrument-serial = no. { $serial }
instrument-accuracy-unknown = not known
undecided-no-accuracy = No verdict: the accuracy of gauge or fan is missing, so the range is too narrow.
# $licence
letterhead-licence = licence { $licence }
# $phone
letterhead-phone = phone { $phone }
instrument-calibrated = calibrated
instrument-accuracy = accuracy
instrument-basis = what it shows
provenance-title = What this page was made from
provenance-inputs = inputs, hash
provenance-seed = seed
provenance-engine = engine
provenance-made = made
made-with = Made with Airwright.

# Certificate of a test
certificate-title = Envelope test
certificate-building = Building
certificate-weather = Weather
certificate-preparation = Preparation
certificate-tester = Tester
certificate-confirmed = Asked about, and confirmed by the tester
certificate-scope = The range covers the uncertainty of the instruments, of the fit and of the building’s dimensions, as far as it was stated. A failed check stays with the result.
certificate-place-date = Place and date
certificate-signature = Signature of the tester
checks-title = Validity checks
checks-signs = (−) house below outdoors, (+) house above outdoors
checks-failed = { $failed ->
        [one] { $failed } check failed: the result does not meet the procedure in this point
       *[other] { $failed } checks failed: the result does not meet the procedure in these points
    }
check-name = check
check-found = found
check-wanted = required
check-source = source
check-state = outcome
check-holds = holds
check-failed = failed
check-undecided = cannot be decided
