# Sealing session, and change between two envelope tests.

test-sealing-session = sealing session
figure-leakage-now = leakage at 50 Pa now
figure-leakage-start = leakage at 50 Pa at the start
figure-leakage-since-start = came down since the start
figure-leakage-to-target = left to the target
figure-repair-worth = worth at 50 Pa
figure-repair-per-minute = per crew minute
figure-smallest-seen = smallest hole that two minutes before and after would show today
check-sealing-line = leakage at 50 Pa
# $what: the repair; $most: the largest it can have been
note-repair-hidden = { $what }: smaller than the wind today, under { $most } at 50 Pa.
# $what: what is due
note-sealing-line = The house is at the line, or near it: { $what }.
note-sealing-combustion = The house became tighter and an appliance burns fuel in it: a qualified person repeats the combustion tests today, before anybody leaves.
note-sealing-not-inspected = Nobody has recorded a look for fuel in this house: a qualified person looks before the work goes on.
note-sealing-exponent = The way to 50 Pa takes an exponent of { $exponent }, measured in other houses; a test of several stations tells this one’s.

test-change = change between two tests
figure-change-flow50 = change of leakage at 50 Pa
figure-change-share = change as a share of the first test
check-change = change at 50 Pa
# $first, $second: names of the tests
note-change-of = From { $first } to { $second }.
# $criterion: the least fall, as text
note-change-criterion = Criterion, set before the result: down by at least { $criterion }.
note-change-chance = Chance that the criterion is met: { $chance }.
note-change-chance-high = Chance that the criterion is met: over 99 %.
note-change-chance-low = Chance that the criterion is met: under 1 %.
note-change-met = Met.
note-change-not-met = Not met.
note-change-too-close = Too close to call.
# $plain: outcome of comparing the two numbers alone
note-change-plain-met = The two numbers alone, without their uncertainty: met.
note-change-plain-not-met = The two numbers alone, without their uncertainty: not met.
note-change-shared = The same instruments took both tests; their own error is in both and drops out of the change.
note-change-apart = Different instruments took the tests; the error of each is in the change.
note-change-withheld = No verdict, because the setups differ.
note-change-accepted = The setups differ; the tester says why it does not matter: { $why }
note-change-differs-direction = The direction of the fan differs.
note-change-differs-standard = The standard differs: { $first } against { $second }.
note-change-differs-method = The preparation method differs: { $first ->
        [none] not recorded
       *[other] { $first }
    } against { $second ->
        [none] not recorded
       *[other] { $second }
    }.
note-change-differs-opening = { $opening } was { $first ->
        [none] not recorded
       *[other] { $first }
    } in the first test and { $second ->
        [none] not recorded
       *[other] { $second }
    } in the second.

test-guarded-unit = guarded and unguarded test of a unit
figure-guarded-share = share of the leakage that goes to the neighbours
figure-guarded-outdoors = leakage to outdoors at 50 Pa
figure-guarded-party = leakage to the neighbours at 50 Pa
figure-guarded-whole = whole leakage at 50 Pa
figure-guarded-per-floor = leakage to outdoors a floor area
note-guarded-contradiction = More air was measured to outdoors alone than through everything: the two tests contradict each other; check whether the neighbours were held at the same pressure.
