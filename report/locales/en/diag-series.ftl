# Series beside a visit.
# One sentence, no full stop. `.because` is the reason, `.help` is what to do.

V201 = column `{ $column }` is in { $unit ->
        [none] no unit
       *[other] `{ $unit }`
    }; needed is { $wanted }
    .because = a number without the right unit would be read as something else
    .help = write name and unit in the header, such as `bedroom ppm`, or name the column that was meant
V202 = { $more } more rows of this series cannot be read
    .because = only the first ones are told singly; every good row is used
    .help = correct the first ones: what is wrong with them is often wrong with all
V203 = this series has no row that can be read
    .because = without rows there is nothing to work with
    .help = write a header such as `time,bedroom ppm` and one row a reading
V204 = the first column is `{ $found }`, which is no time
    .because = every row needs its time
    .help = call it `time` for dates with times, or `time s`, `time min` or `time h` since the start
V205 = the time `{ $found }` is not after the row before
    .because = a clock that runs backwards or stands still gives rates without meaning; the row is left out
    .help = correct the time, or split the series where the clock was set
V206 = there is no series `{ $file }` in the folder of this visit
    .because = the test names it
    .help = put the file beside visit.toml, or correct the name{ $near ->
        [none] {""}
       *[other] {" "}(did you mean `{ $near }`?)
    }
V207 = the series has no column `{ $name }`
    .because = the test names it
    .help = it has: { $known }{ $near ->
        [none] {""}
       *[other] {" "}(did you mean `{ $near }`?)
    }
