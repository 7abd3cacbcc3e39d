# Envelope tests, codes E101 and following.

E101 = Test `{ $test }`, run { $run }: { $found ->
        [0] no usable station
        [one] { $found } usable station
       *[other] { $found } usable stations
    } where { $needed ->
        [one] { $needed } is needed
       *[other] { $needed } are needed
    }
    .because = A curve and its interval cannot be drawn through fewer
    .help = Add stations, or choose a procedure that needs fewer
E102 = Test `{ $test }`, run { $run }, station { $station }: the pressure is not a number within { $high }
    .because = A station without a pressure cannot lie on the curve
    .help = Type the pressure that the gauge showed, or remove the station
E103 = Test `{ $test }`, run { $run }, station { $station }{ $fan ->
        [0] {""}
       *[other] {","} fan { $fan }
    }: the flow reading is not above zero, or more than any test fan moves
    .because = The curve is drawn in logarithms, which only numbers above zero have
    .help = Type what the flow gauge showed, with its unit, or remove the station
E104 = Test `{ $test }`, run { $run }, station { $station }: said to { $direction ->
        [depressurise] depressurise
       *[pressurise] pressurise
    }, but the fan-induced pressure of the house is { $induced }
    .because = A house that is depressurised stands below outdoors, one that is pressurised above
    .help = Check which tap is subtracted from which, and the direction of the fan
E105 = Test `{ $test }`, run { $run }: there is no baseline, and the gauge has not taken it out
    .because = Wind and stack press on the envelope also without the fan; their part must come out of every station
    .help = Type the baseline before and after, or say that the gauge subtracted it
E106 = Test `{ $test }`, run { $run }: the baseline was read on one side of the stations only
    .because = The drift of wind and stack during the test stays unknown
    .help = Read the baseline before and after the stations
E107 = Test `{ $test }`, run { $run }: baseline reading { $sample } is not a number within { $high }
    .because = Its mean would be no number either, so that this baseline is not used
    .help = Correct the reading or remove it
E108 = Test `{ $test }`: `{ $field }` is { $value }, which is not above zero
    .because = Results per volume, area or height divide by it
    .help = Type the size of the building, or leave it out
E109 = Test `{ $test }`, run { $run }, station { $station }{ $fan ->
        [0] {""}
       *[other] {","} fan { $fan }
    }: fan pressure { $shown } lies outside the calibration, { $low } to { $high }
    .because = Beyond its ends a calibration says nothing
    .help = Choose the range of the fan that was used, or repeat the station on another range
E110 = Test `{ $test }`, run { $run }, station { $station }{ $fan ->
        [0] {""}
       *[other] {","} fan { $fan }
    }: no calibration for range { $range }
    .because = A raw fan pressure becomes a flow through the calibration of its range only
    .help = Add the calibration of this range to the instrument, as an equation or a table
E111 = Test `{ $test }`{ $fan ->
        [0] {""}
       *[other] {","} fan { $fan }
    }: calibration { $range } of the fan cannot be used
    .because = Factor, exponent and density must be above zero, and a table needs two or more points that rise in pressure and flow
    .help = Correct the calibration as it stands on the fan's certificate
E112 = Test `{ $test }`, run { $run } holds both directions and is worked as two
    .because = Leaks may open or close with the direction, so that each has its own curve
    .help = Nothing needs to be done; the result is the mean of both
E113 = Test `{ $test }`, run { $run }: the highest station is { $highest }; results at 50 Pa are extrapolated
    .because = Beyond the stations the interval grows, and it tells only the scatter and the gauges
    .help = Reach 50 Pa with a second fan or fewer openings, or read the result with its interval
E114 = Test `{ $test }`, run { $run }: the flow exponent is { $exponent }, outside 0.5 to 1
    .because = A leak lies between a sharp opening (0.5) and a fine crack (1); another value tells of wind, of an opening that moved or of a wrong range
    .help = Repeat the test and look at the stations far from the curve; the result is kept as measured
E115 = Test `{ $test }`: the { $field ->
        [indoor] indoor
       *[outdoor] outdoor
    } temperature is missing; 20 °C (68 °F) is taken
    .because = The flow at the fan becomes the flow through the leaks by the ratio of two densities
    .help = Type it as `{ $field }` under `[conditions]` of the visit
E116 = Test `{ $test }`: neither air pressure nor altitude is known; sea level is taken
    .because = Flow meters and leaks depend on the density of the air
    .help = Type the altitude of the house or the barometer's reading there
E117 = Test `{ $test }`: `{ $field }` is { $value }, outside { $low } to { $high }
    .because = No inhabited place has such a value, so that it is not used
    .help = Check number and unit
E118 = Test `{ $test }`{ $fan ->
        [0] {""}
       *[other] {","} fan { $fan }
    }: the flow gauge has no stated accuracy, so the interval holds no part for the flow
    .because = An error that all its readings share does not show in their scatter
    .help = Type the accuracy from the gauge's certificate
E119 = Test `{ $test }`, run { $run }: the stations stand too close together in pressure for an exponent
    .because = An exponent needs pressures that differ
    .help = Add stations at other pressures, or choose a one-point procedure
E120 = Test `{ $test }`: flow at 50 Pa is { $depressurised } depressurised and { $pressurised } pressurised, further apart than their scatter
    .because = A difference has a cause, such as a flap that opens one way; a mean hides it
    .help = Find what opens or closes with the direction before using the mean
E121 = Test `{ $test }`, run { $run }, station { $station } at { $induced } is not used
    .because = A one-point procedure uses the readings at the pressure nearest to 50 Pa
    .help = Choose a multi-point procedure to use every station
E122 = Test `{ $test }`{ $fan ->
        [0] {""}
       *[other] {","} fan { $fan }
    }: the stated accuracy of the { $field } gauge is negative or no number
    .because = The interval cannot be worked out from it, so that it is not used
    .help = Type it as on the certificate, such as 5 % or 1 % or 0.25 Pa
E126 = Test `{ $test }`, run { $run }, station { $station }: the spread, time or count of the average is no usable number
    .because = The interval that counts the wind uses them; this station is taken by its mean alone
    .help = Type the standard deviation and the seconds that the gauge showed, or leave them out
E127 = Test `{ $test }`, run { $run }: none of the { $count } stations can be used, { $why ->
        [pressure] each shows a pressure that no house reaches
        [flow] each shows a flow that is not above zero, or more than any test fan moves
       *[direction] each has the sign of the other direction
    }
    .because = What is wrong with every station alike is mostly wrong once, in the header or in a setting
    .help = { $why ->
        [pressure] Look at the unit of the pressure column, and whether the two columns changed places
        [flow] Look at the unit of the flow column and at the sign
       *[direction] Look at `direction`, and at `reads`: which tap is subtracted from which
    }
E128 = Test `{ $test }`, run { $run }: station { $station } has the very numbers of station { $first }
    .because = A fan test hardly ever shows the same pressure and flow again; both count
    .help = Take one out where it was typed twice
E129 = Test `{ $test }`: there is a limit in air changes, and no volume to divide by
    .because = Air changes at 50 Pa are the flow over the volume, so neither they nor the limit are shown
    .help = Write `volume` under `[building]` in `job.toml`
