# Zone, room and fan pressures, codes Z101 and following. State 0 is as found, 1 the first opened.

Z101 = Test `{ $test }`, { $state ->
        [0] as found
       *[other] opened { $state }
    }: fewer than two of the three pressures
    .because = Two give the third; one alone says nothing of the zone
    .help = Read `house_zone`, `zone_outdoors` and `house_outdoors`; all three let the loop be checked
Z102 = Test `{ $test }`, { $state ->
        [0] as found
       *[other] opened { $state }
    }: the loop misses by { $off }, the gauge allows { $allowed }
    .because = House to zone and zone to outdoors add up to house to outdoors; { $suspect ->
        [house-zone] most likely `house_zone` is wrong
        [zone-outdoors] most likely `zone_outdoors` is wrong
        [house-outdoors] most likely `house_outdoors` is wrong
       *[unknown] the readings do not say which one is wrong
    }
    .help = Read { $suspect ->
        [house-zone] `house_zone`
        [zone-outdoors] `zone_outdoors`
        [house-outdoors] `house_outdoors`
       *[unknown] all three
    } again with the fan steady; until then { $used ->
        [left-out] it is left out and follows from the other two
       *[shared] the misclosure is laid on the readings by their accuracy and widens the intervals
    }
Z103 = Test `{ $test }`, opened { $state }: neither a known hole nor flows
    .because = Without either the pressures give one more ratio and no flow
    .help = Give `hole_area` or `hole_at50`, or `flow` here and under `as_found`
Z104 = Test `{ $test }`, { $state ->
        [0] as found
       *[other] opened { $state }
    }: the signs of the pressures contradict each other; they are taken without sign
    .because = Between a house and outdoors a zone's pressure lies between theirs, so that all three have one sign
    .help = Write house less zone, zone less outdoors and house less outdoors, or all without sign
Z105 = Test `{ $test }`, { $state ->
        [0] as found
       *[other] opened { $state }
    }: the zone is not between house and outdoors
    .because = Something else blows into it or out of it: a duct, a fan, wind; then the flows on both sides are not equal
    .help = Turn the air handler and fans off, check the hoses, and read again
Z106 = Test `{ $test }`, opened { $state }: { $way ->
        [hole] the pressures
       *[door] the pressures or the fan's flow
    } moved the wrong way
    .because = More opening between house and zone brings the zone nearer to the house, more to outdoors nearer to outdoors, and the fan has to move more
    .help = Check `between`, the hoses, and that the house was held at the same pressure
Z107 = Test `{ $test }`: the pressure of `{ $room }` is no number
    .because = Nothing can be worked with it; the other rooms are
    .help = Type what the gauge showed, with its unit
Z108 = Test `{ $test }`: no baseline
    .because = Wind and stack press on the house without fans too; what a fan moves is the difference
    .help = Give `baseline_before`, and better `baseline_after` too, with all fans off
Z109 = Test `{ $test }`: the baseline moved by { $drift } between before and after
    .because = Wind or stack changed while states were read; half of it is in every interval
    .help = Read the states again closer together, or in calmer air
Z110 = Test `{ $test }`: no state that can be used
    .because = Every one was left out or none is there
    .help = Add a table under `state` with `on` and `pressure`
