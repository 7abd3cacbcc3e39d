# Findings: the frame around what each finding says (findings-rules.ftl, findings-names.ftl).
# Sentences begin with a capital and end with a full stop; all else is a part of a line.

findings-title = Findings
findings-appendix = Further findings
findings-appendix-caption = These touch no complaint and no hazard.
findings-caption = What the numbers point to, hazards first. A chance is that of the pattern, given the doubt of the readings; the shares of the causes are rough weights without a source, moved by what else was found.
findings-none = Nothing found that touches a hazard, a reading or a complaint.
findings-group-hazard = Hazard
findings-group-quality = About the readings
findings-group-complaint = About a complaint
findings-group-other = Further
# $share
findings-chance = chance { $share }
findings-chance-over = chance over 99 %
findings-likely = likely
findings-unlikely = unlikely, not ruled out
findings-look = worth a look
findings-look-limit = worth a look, because a limit in it is not confirmed
findings-look-practice = worth a look, because it rests on common practice
# $by
findings-held = held back, because of another finding: { $by }
# $by
findings-doubted = The reading itself is in doubt: { $by }
# $words
findings-complaint = complaint: { $words }
findings-rests = rests on
findings-limits = held against
findings-causes = could be
# $cause, $share
findings-cause = { $cause } ({ $share })
# $cause, $share
findings-cause-moved = { $cause } ({ $share }, moved by other evidence)
findings-test = next test
# $time
findings-test-takes = takes { $time }
findings-test-now = now
# $test
findings-test-sheet = kept as a `{ $test }` test in visit.toml
findings-refuted = speaks against it
findings-remedy = usually takes
findings-change = for plans.toml, where the gate judges it
findings-who = who may do it
findings-who-must = who must act
findings-caution = careful
findings-source = pattern from
# $value, $source
findings-limit = { $value }, { $source }
findings-yes = yes
findings-no = no
findings-mark-seen = the source itself was read
findings-mark-derived = follows from a formula
findings-mark-memory = limit not confirmed
findings-mark-practice = common practice, no source
findings-mark-adopted = in force, as entered
# $test, $visit
findings-from-test = test { $test }, { $visit }
# $visit
findings-from-reading = reading, { $visit }
# $visit
findings-from-conditions = written in { $visit }
findings-from-fit = all readings together
findings-from-complaint = complaint
findings-from-house = house file
# $note
findings-from-seen = seen: { $note }
findings-from-seen-bare = seen
findings-not-found = Looked for, and not found
findings-not-found-caption = These patterns do not hold in the readings there are. That clears nothing: it tells of these readings only.
findings-silent = Silent, for want of something
# $rules, $found, $not, $silent
findings-counts = { $rules } rules: { $found } have something to say, the pattern of { $not } does not hold, { $silent } are silent for want of a reading.
findings-ask-all = Ask with --all for those, and for what each silent rule lacked.
# $quantity
findings-lacks = not known: { $quantity }
# $quantity
findings-lacks-typed = nobody said: { $quantity } (a `[[seen]]` in findings/*.toml)
# $quantity, $setup
findings-lacks-setup = { $quantity }: not noted whether { $setup }
# $quantity, $setup
findings-lacks-state = { $quantity }: not taken with { $setup }
findings-any-of = one of these is enough
setup-doors-open = doors open
setup-doors-shut = doors shut
setup-handler-on = air handler on
setup-handler-off = air handler off
setup-fan-at-50-Pa = the test fan holding the house at 50 Pa
setup-test-fan-on = the test fan on
setup-whole-house-fan-on = the whole-house fan on
setup-exhausts-on = exhausts on
setup-windows-shut = windows shut
setup-heating-season = cold outdoors
setup-outdoor-smoke = smoke outdoors
setup-asleep = people asleep in the room
who-tester = who tests
who-occupant = who lives there
who-crew = the crew that seals, insulates and hangs ducts
who-hvac = a licensed heating and cooling contractor
who-appliance = a licensed person for the appliance and its vent
who-emergency = emergency services, called from outside
who-radon = a certified radon mitigator
who-controls = who set the sensors or controls up
