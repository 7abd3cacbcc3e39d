# The choice of the next reading: questions, what to expect, proof, sets, route, what is missing.

# $leak, $zone, $appliance
question-leak-share = share of { $leak } in the air that enters at 50 Pa
question-zone-share = share of the air at 50 Pa that enters by way of { $zone }
question-duct-leakage = what the ducts lose and draw outside of the rooms
question-appliance-pressure = pressure at { $appliance }, every exhaust and the air handler on
question-air-change-winter = air change of the rooms on a cold evening, without fans and wind
question-air-change-summer = air change of the rooms on a hot afternoon, without fans and wind
question-plans = whether the plan that is best most often is the best
# $question, $value
next-asked = Asked: { $question }; now { $value }.
# $value, $lo, $hi
next-expected = Expect { $value }. Below { $lo } or above { $hi } it is a surprise: stop and look before going on.
# $turn, $to, $change
next-proof = Proof of the tap: { $turn }, and this number must go to about { $to } (a change of { $change }).
# $door
next-turn-open = open { $door }
next-turn-shut = shut { $door }
next-turn-fan-off = stop and shut the test fan
next-turn-handler-off = stop the air handler
next-turn-exhaust-off = stop the exhaust fans
# $count, $share, $minutes
next-together = { $count ->
        [one] One reading says what there is to say: range narrower by { $share }, { $minutes }.
       *[other] The best { $count } together make the range narrower by { $share }, { $minutes }:
    }
# $left, $used, $share
next-route = Route for { $left }: takes { $used }, range narrower by { $share }.
# $words, $changeover, $reading, $share
next-route-stop = { $words }: { $changeover } to get there, { $reading } to read; range then narrower by { $share }
next-before-fan-down = All above before the fan comes down.
# $left
next-route-none = No reading that helps fits into { $left }.
# $count, $reasons
next-held = { $count ->
        [one] { $count } reading that draws air down is left out
       *[other] { $count } readings that draw air down are left out
    }: { $reasons }.
next-held-embers = a fire burns or glows, and it has to be cold first
next-held-asbestos = material that may hold asbestos lies where air would be drawn from, and a licensed person has to look first
# $share
next-help-safety = Once that is settled, one of them would make the range narrower by { $share }.
# $tool, $count, $share
next-help-tool = With { $tool } at hand { $count ->
        [one] one more reading could be taken; it
       *[other] { $count } more readings could be taken; the strongest
    } would make the range narrower by { $share }.
next-tool-gauge = a pressure gauge
next-tool-test-fan = a test fan
next-tool-hood = a flow hood
next-tool-plate = a flow plate
next-mark-open = open
next-mark-shut = shut
next-mark-test-fan = test fan
next-mark-on = on
next-mark-feels = feels
next-mark-compared = compared with
next-mark-read = read here
next-setup-title = How the house stands for this reading

F111 = nobody can answer `{ $asked }` here
    .because = a question is a complaint of the job, the plans, or a quantity of the house by the names of `house.toml`
    .help = ask one of: { $known }
F112 = there are no draws of the house to ask
    .because = what a reading would tell is worked out over the houses that the readings allow
    .help = look at what was said about the fit; `airwright fit` shows it
F113 = { $stale ->
        [yes] the plans were lived with other readings than those that stand here now
       *[other] the plans were not lived yet
    }
    .because = which plan is best is known from the years that were lived in each draw
    .help = run `airwright plans`, then ask again
F115 = one plan is the best in every draw that was lived: no reading could change that
    .because = the houses that the readings allow differ less than the plans do
    .help = where the plans were lived in few draws, `airwright plans --draws 100` looks at more of them
F114 = no reading of this house bears on `{ $question }`
    .because = over the houses that the readings allow nothing that could be read goes with it
    .help = ask another question, or draw what the question hangs on in `house.toml`
next-mask = mask { $leak }
next-read-ducts-supply = measure the leakage of the supply ducts with a duct tester and the pressure in their plenum (outside of the rooms: that to outdoors)
next-read-ducts-return = measure the leakage of the return ducts with a duct tester and the pressure in their plenum (outside of the rooms: that to outdoors)
next-read-pans-supply = read a pan over every supply register; note their open areas and the pressure in the supply plenum
next-read-pans-return = read a pan over every return grille; note their open areas and the pressure in the return plenum
next-tool-duct-tester = a duct tester
next-tool-pan = a pressure pan
