# Zone, room and fan pressures; the zone of a combustion appliance.
# Names are parts of a line: no capital, no full stop. Notes are sentences.
# No text here calls an appliance, a room or a house safe.

test-zone-pressures = zone pressures
test-room-pressures = room pressures
test-fan-pressures = fan pressures
test-combustion-zone = combustion zone

# Zone between house and outdoors.
figure-through-zone-hole = flow through the zone at 50 Pa, by the hole
figure-through-zone-door = flow through the zone at 50 Pa, by the door
figure-zone-share-hole = share of the house's flow at 50 Pa, by the hole
figure-zone-share-door = share of the house's flow at 50 Pa, by the door
figure-house-zone-at50-hole = leakage house to zone at 50 Pa, by the hole
figure-house-zone-at50-door = leakage house to zone at 50 Pa, by the door
figure-zone-outdoors-at50-hole = leakage zone to outdoors at 50 Pa, by the hole
figure-zone-outdoors-at50-door = leakage zone to outdoors at 50 Pa, by the door
figure-zone-ratio = leakage zone to outdoors over leakage house to zone
figure-house-zone = pressure house to zone
figure-zone-outdoors = pressure zone to outdoors
figure-zone-series = flow through the zone, share of the house-zone barrier's own
figure-house-zone-at-most = leakage house to zone at 50 Pa, at most
figure-zone-outdoors-at-most = leakage zone to outdoors at 50 Pa, at most
check-zone-loop = house to zone and zone to outdoors less house to outdoors
check-house-zone = pressure house to zone with the house at 50 Pa
note-zone-assumed = Both barriers are taken to follow the same power law, each exponent with its stated half width; the zone is taken to touch only house and outdoors.
note-zone-ratio-only = Pressures alone give a ratio; a known hole or a door opened in one barrier gives flows.
note-zone-ratio-too-wide = Which barrier is leakier by how much the data cannot tell: the interval of the ratio spans more than a factor of three.
note-zone-no-instrument = No gauge is named, so that nothing is known of how sure the ratio is.
# $way
note-opened-too-wide = { $way ->
    [hole] The hole
   *[door] The door
} does not settle it: the data cannot tell the flow through the zone within a factor of three.
# $way
note-opened-not-moved = { $way ->
    [hole] The hole
   *[door] The door
} moved the readings by less than they are exact: the data cannot tell; a larger opening would.
# $way
note-opened-no-instrument = No gauge or fan with an accuracy is named for { $way ->
    [hole] the hole
   *[door] the door
}, so that nothing is known of how sure its flows are.
note-opened-agree = The ways of measuring agree within their intervals.
note-opened-disagree = The ways of measuring contradict each other: one state was not as noted, or the rest of the house changed with it.

# Rooms.
figure-room-pressure = pressure to the main body
figure-return-path-to-add = return path to add
figure-return-path-now = path the air has now
figure-main-body = main body to outdoors, doors shut
figure-main-body-moved = main body, moved by shutting the doors
check-room-pressure = pressure to the main body
note-return-path-assumed = Free areas of a path with a sharp edge; louvres and bends need more.
# $room
note-room-path-disagrees = { $room }: the path noted would pass more than the flow noted, so that one of the two is not as noted.
note-main-body-drawn-down = Shutting the doors draws the main body down: where a fuel-burning appliance stands there, a qualified person tests spillage with the doors shut before anything is tightened.

# Fans.
figure-fan-moved = moves the house by
figure-baseline = baseline
check-fan-moved = pressure moved
# $state
note-fan-lost-in-noise = { $state }: moves the house by less than the baseline wanders.
# $state, $moved
note-fan-greatest = Greatest depressurisation of those tried: { $state }, { $moved }.

# Combustion.
figure-spillage = spillage
figure-spillage-greatest = spillage, greatest depressurisation
figure-spillage-natural = spillage, natural conditions
figure-flue-co-as-measured = CO in the undiluted flue, as measured
figure-flue-co-air-free = CO in the undiluted flue, air-free
figure-oven-co = CO at the oven, as measured
figure-oven-co-air-free = CO at the oven, air-free
figure-room-co = highest CO in the room
figure-greatest-depressurisation = greatest depressurisation of those tried, net
figure-zone-net = net pressure of the zone
figure-draft = draft
check-spillage = spillage
check-spillage-greatest = spillage, greatest depressurisation
check-spillage-natural = spillage, natural conditions
check-flue-co-air-free = CO in the undiluted flue, air-free
check-flue-co-as-measured = CO in the undiluted flue, as measured
check-oven-co = CO at the oven
check-room-co = highest CO in the room
check-draft = draft
check-net-depressurisation = net pressure of the zone
# $place, $sample, $value, $level, $source
note-co-leave = CO{ $place ->
    [none] {""}
   *[other] {" "}in { $place }
} was { $value } at sample { $sample }, at or above { $level } ({ $source }): everybody leaves the house now, emergency services are called from outside, and nobody goes back in before they say so.
# $place, $sample, $value, $level, $source
note-co-stop = CO{ $place ->
    [none] {""}
   *[other] {" "}in { $place }
} was { $value } at sample { $sample }, at or above { $level } ({ $source }): end the testing, tell the people, open windows and doors, stop every possible source; a fixed appliance stays off until a licensed heating contractor has dealt with it.
# $place, $sample, $value, $level, $source
note-co-tell = CO{ $place ->
    [none] {""}
   *[other] {" "}in { $place }
} was { $value } at sample { $sample }, at or above { $level } ({ $source }): tell the people, look for the source, ventilate; where it is a fixed appliance, a licensed heating contractor deals with it.
note-co-no-levels = No protocol and no level of its own stands against the CO of the room: choose one.
# $place, $value, $level
note-gas-leave = Gas{ $place ->
    [none] {""}
   *[other] {" "}at { $place }
} at { $value } of the lower explosive limit, at or above { $level }: touch no switch, everybody leaves now, and the gas utility or emergency services are called from outside.
# $place
note-gas-leak = Gas leak{ $place ->
    [none] {""}
   *[other] {" "}at { $place }
}: mark it, tell the people and the gas utility now; a licensed person repairs it.
# $place
note-gas-none-found = No gas leak was found{ $place ->
    [none] {""}
   *[other] {" "}at { $place }
}; other places were not looked at.
# $appliance, $value and $limit in seconds, $source
note-spillage-beyond = Flue gas of { $appliance } spilled into the house for { $value } s, more than { $limit } s ({ $source ->
    [none] limit typed without a source
   *[other] { $source }
}): tell the people; a licensed heating contractor deals with it, and local code and protocol decide whether it may run until then.
# $appliance
note-spillage-no-limit = { $appliance }: no limit stands against the spillage.
# $appliance
note-spillage-also-natural = { $appliance } spills without depressurisation too: the fault is at least partly in vent or appliance.
# $appliance
note-spillage-drawn-down = { $appliance } spills only while the zone is drawn down: depressurisation and a marginal vent together.
# $appliance
note-spillage-try-natural = { $appliance }: let the vent cool, fans off, doors open, and test spillage again under natural conditions.
# $appliance, $value, $limit, $source
note-flue-co-beyond = CO in the flue of { $appliance } is { $value }, more than { $limit } ({ $source ->
    [none] limit typed without a source
   *[other] { $source }
}): tell the people; a licensed heating contractor deals with it, and local code and protocol decide whether it may run until then.
# $appliance, $value, $limit, $source
note-oven-co-beyond = CO at { $appliance } is { $value }, more than { $limit } ({ $source ->
    [none] limit typed without a source
   *[other] { $source }
}): ventilate, tell the people; a licensed person services it before it is used again.
# $appliance
note-flue-no-limit = { $appliance }: no limit stands against the CO.
# $appliance, $measured, $free, $oxygen
note-co-converted = { $appliance }: { $measured } as measured at { $oxygen } oxygen is { $free } air-free, by 20.9 / (20.9 − oxygen).
# $state, $running, $shut
note-greatest-state = Greatest depressurisation of those tried: { $state }; on: { $running ->
    [none] nothing
   *[other] { $running }
}; shut: { $shut ->
    [none] no door
   *[other] { $shut }
}.
# $state
note-greatest-close = { $state } may be as low: the readings do not tell the two apart.
# $tried, $of, $combinations
note-states-tried = { $tried } of { $of } states of the list tried; every switch and door by itself would make { $combinations }.
# $running, $shut
note-state-untried = Not tried: on: { $running }; shut: { $shut ->
    [none] no door
   *[other] { $shut }
}.
# $count
note-states-more = And { $count } more not tried.
note-pressure-screens = Pressures of the zone only screen: whether work may go on hangs on spillage and CO.
