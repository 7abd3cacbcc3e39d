# Combustion, codes C101 and following.

C101 = Test `{ $test }`: no baseline in the zone
    .because = The net depressurisation is the state less the baseline; without it no state can be told from wind and stack
    .help = Give `baseline_before` with all fans off and inside doors open
C102 = Combustion results in a visit without a `[combustion]` table
    .because = The gate needs a recorded look for fuel, with who looked and where; until then nothing is released
    .help = Add `[combustion]` with `fuel`, `looked_by` and `looked_where`
C103 = The visit says that no fuel was found, yet an appliance was tested
    .because = One of the two is wrong; the test counts, and the gate stays as it is with fuel present
    .help = Correct `fuel` under `[combustion]`
C104 = Test `{ $test }`: { $count ->
        [one] a level above the protocol's is
       *[other] { $count } levels above the protocol's are
    } not taken
    .because = A level may be set lower than the protocol's, never higher
    .help = Lower it, or choose `protocol = "own"` and give all levels with their source
C105 = Test `{ $test }`: CO of `{ $appliance }` and its limit are not on one basis
    .because = Air-free and as measured are never compared; without the oxygen of the same gas neither can be turned into the other
    .help = Give `oxygen`, or the value or the limit on the other basis
C106 = Test `{ $test }`: oxygen in the flue of `{ $appliance }` is { $oxygen }, too much to convert by
    .because = So much air is mixed in that a small error of the meter makes a large one of the result; the gas may not be undiluted
    .help = Move the probe into undiluted gas and read again
C107 = Test `{ $test }`: the state of `{ $state }` was read before
    .because = Nothing was switched or shut in between as noted; both count, the lower one for the list
    .help = Check what ran and which doors were shut
C108 = Test `{ $test }`: CO of `{ $appliance }` was read after { $after }, the protocol says { $wait }
    .because = CO of a cold burner is not that of a steady one
    .help = Let the burner run and read again
