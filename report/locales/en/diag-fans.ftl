# Several fans in one envelope test.
# One sentence, no full stop. `.because` is the reason, `.help` is what to do.

V107 = test `{ $test }` names { $fans ->
        [0] no fan
        [one] { $fans } fan
       *[other] { $fans } fans
    } in `flow_with`, and its stations have { $columns ->
        [0] no flow column
        [one] one flow column: { $found }
       *[other] { $columns } flow columns: { $found }
    }
    .because = each fan is read by an instrument of its own, in a column of its own
    .help = { $fans ->
        [0] name the instrument of each fan in `flow_with`, in the order of the columns
        [one] write its column as `{ $wanted }`, with its unit
       *[other] write one column a fan, in the order of `flow_with`: { $wanted }; a fan that was sealed at a station shows 0
    }
V108 = test `{ $test }`: the column `{ $column }` is not what { $name } shows
    .because = a pressure in the fan becomes a flow by the calibration, and a flow must not go through it again
    .help = name the column `{ $wanted }`, or correct `shows` of the instrument
V109 = test `{ $test }` names the instrument `{ $name }` for two fans
    .because = two readings of one instrument share its error, and those of two instruments do not
    .help = describe an instrument for each fan, or add up what the one instrument showed and name it once
E123 = Test `{ $test }`: some of its fans show flow at reference conditions and others do not
    .because = Flows can be added only at the same conditions, and from one to the other leads the exponent, which follows from their sum
    .help = Set all gauges to show the same, or flow at actual or calibration density at least
E124 = Test `{ $test }`, run { $run }, station { $station }: { $found ->
        [one] { $found } flow reading
       *[other] { $found } flow readings
    } for { $wanted ->
        [one] { $wanted } fan
       *[other] { $wanted } fans
    }
    .because = The flow through the envelope is the sum of all fans
    .help = Give one reading a fan, 0 for one that was sealed
V111 = station { $row } does not say in which range of { $name } it was taken
    .because = each range has a calibration of its own: { $choices }
    .help = add a column `range` (`range-2` for the second fan) and write the name of the range in it
V112 = the accuracy of { $name } is not known; the fit leaves its readings out
    .because = an error that all readings of an instrument share does not show in their scatter, and without a limit for it they have no weight
    .help = write `accuracy` as on its certificate, or your own estimate of it
V113 = test `{ $test }`: the column `{ $column }` names ranges of a fan that is not there
    .because = the test has { $fans ->
        [one] one fan
       *[other] { $fans } fans
    }
    .help = take the column out, or name the fan in `flow_with`
E125 = Test `{ $test }`: the pressure gauge has no stated accuracy, so the interval holds no part for it
    .because = An error that all its readings share does not show in their scatter
    .help = Type the accuracy from the gauge's certificate
V110 = the fan pressure of this station cannot be turned into a flow; the fit leaves the flow out
    .because = the instrument has no calibration, or the pressure lies outside its table
    .help = add a calibration that covers it, or take the station again in another range
