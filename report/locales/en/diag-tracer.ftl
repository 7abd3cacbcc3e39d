# Air exchange by tracer. One sentence, no full stop. `.because` is the reason, `.help` what to do.

A101 = { $found ->
        [one] one usable reading
       *[other] { $found } usable readings
    }, and { $needed } are needed
    .because = a rate, a level and their scatter cannot be told from fewer
    .help = take more readings, or widen the part of the record
A102 = { $count ->
        [one] one reading is
       *[other] { $count } readings are
    } at or below the background of { $background } and left out of the line
    .because = the logarithm of no excess does not exist
    .help = stop the decay earlier, or read the background again with the same meter
A103 = the gas does not fall: the rate would be { $rate }
    .because = without a fall there is no decay
    .help = check start and end, and that nobody was in the room; for a rise there is the kind `build-up`
A104 = the gas does not rise
    .because = a build-up needs a rise
    .help = check start and end; for a fall there is the kind `decay`
A105 = the record is too short or too straight to tell where it ends
    .because = the end of a curve shows only where it bends
    .help = log longer: three time constants show a plateau
A106 = this test needs either `points` with columns `time` and `gas`, or a `series`
    .because = it works on one record
    .help = write `points` with columns such as `time min` and `gas ppm` and a row each, or `series = "log.csv"`
A107 = the level of { $level } is not above the background of { $background }
    .because = without an excess there is no flow to compute
    .help = read both with the same meter
A108 = nothing says how much gas is given off
    .because = a level alone gives no flow
    .help = write `given_off`, or the people as `[[test.NAME.person]]` with sex, age and activity
A109 = no volume for { $of }
    .because = the sum over rooms is weighted with their volumes
    .help = write `volumes.bedroom = "35 m3"` and so on, or name the columns like the zones of the house
A110 = no exchange of the two rooms fits these records
    .because = the fit did not settle
    .help = check the columns, and that only the two rooms and outdoors take part
A111 = this moment is not within the record
    .because = only what was logged can be used
    .help = write a date and time, a time of day, or a time since the first row such as `40 min`
A112 = there is no background, and the record does not tell one
    .because = every rate hangs on the excess over outdoors
    .help = read outdoors with the same meter and write `background`
A113 = reading { $row } is no concentration and left out
    .because = a gas fraction is finite and not negative
    .help = correct it
A114 = the time { $time } is not after the row before; the row is left out
    .because = a clock that runs backwards gives rates without meaning
    .help = correct the time
A115 = no decay was found in this record
    .because = a decay loses at least half of its excess over outdoors at one rate, in at least 15 minutes
    .help = log until after people leave, give the background, or name start and end yourself
A116 = the series has several columns and none is named
    .because = nobody can guess which one is meant
    .help = write `column`; there are: { $known }
A117 = exchange between rooms needs two columns, and there { $found ->
        [one] is one
       *[other] are { $found }
    }
    .because = each room needs its own record
    .help = write `column = ["bedroom", "hall"]`
