# Files of loggers and messages of live sources.
# One sentence, no full stop. `.because` is the reason, `.help` is what to do.
# $file, $line, $column, $found

I101 = line { $line } of `{ $file }` has { $found } cells where the header has { $column }
    .because = with a cell too many or too few every number would stand under the wrong name
    .help = look for a decimal comma or a delimiter inside a text; the row is left out
I102 = line { $line } of `{ $file }`: `{ $found }` in `{ $column }` is no number
    .because = only numbers are readings; the cell is left empty
    .help = if it stands for "no value", list it under `missing` in the mapping; if numbers have a decimal comma, say so there
I103 = line { $line } of `{ $file }`: the time `{ $found }` is not written as the mapping says
    .because = a row without a time cannot be placed; it is left out
    .help = correct `written` and `clock` under [time] in the mapping
I104 = line { $line } of `{ $file }`: the local time `{ $found }` did not exist, the clock had just gone ahead to summer time
    .because = a device that shows it does not follow summer time; the row is left out
    .help = set `clock` in the mapping to the offset it keeps, such as "UTC-05:00"
I105 = line { $line } of `{ $file }` is too long, or names too many channels
    .because = lines are read up to 1 MB, so that a broken file cannot fill the memory; it is left out
    .help = look whether the file is a text with one reading a line
I106 = line { $line } of `{ $file }` has a quote that does not close
    .because = everything after it would be one cell; only this line is left out
    .help = close the quote, or take it out
I107 = line { $line } of `{ $file }` is not well-formed JSON: { $found }
    .because = a message that is cut cannot be trusted in part; it is left out
    .help = look at the line; the last one is often cut when a logger stops
I108 = line { $line } of `{ $file }` has no `{ $column }`
    .because = the mapping names it; the message is left out
    .help = correct the path in the mapping
I109 = line { $line } of `{ $file }`: `{ $found }` in `{ $column }` is a formula
    .because = formulas are not worked, only numbers are readings; the cell is left empty
    .help = export values instead of formulas
I110 = line { $line } of `{ $file }` holds bytes that are no text (`{ $column }`)
    .because = the file is damaged there or is no text; the cell or row is left out
    .help = export it again, or correct `encoding` in the mapping
I111 = line { $line } of `{ $file }`: a SenML record is wrong at `{ $column }` ({ $found })
    .because = RFC 8428 forbids it
    .help = correct the sender; the other records stand
I112 = line { $line } of `{ $file }`: the payload is encrypted
    .because = only unencrypted payloads are read here
    .help = let the gateway decrypt it, or switch encryption off
I113 = line { $line } of `{ $file }`: the payload cannot be read at `{ $found }`
    .because = it is cut, of another version, or holds an object of unknown length; what came before it stands
    .help = compare it with the description of the device
I114 = line { $line } of `{ $file }`: `{ $column }` is a text (`{ $found }`)
    .because = a text is no reading; it is left out
    .help = nothing needs to be done unless a number was expected
I115 = line { $line } of `{ $file }`: there is no column or unit for `{ $column }` ({ $found })
    .because = the mapping decides what is read; the record is left out
    .help = add a column to the mapping if it is wanted
I116 = line { $line } of `{ $file }`: the time { $found } is not after the row before
    .because = a series beside a visit rises in time; the row is left out of it and stays in the original
    .help = look whether the clock was set, and split the file there
I117 = { $more } more of the kind { $code } in `{ $file }`
    .because = only the first five of a kind are told singly
    .help = correct the first ones: what is wrong with them is often wrong with all
I118 = the mapping `{ $file }` has no column that can be read
    .because = without columns there is nothing to read
    .help = write a table [column.NAME] with `from`, `quantity` and `unit`
I119 = `{ $found }` is no clock
    .because = a time needs one meaning
    .help = write "UTC", an offset such as "UTC-05:00", "in the text", or a time zone such as "America/New_York"
I120 = the unit `{ $unit }` does not measure { $quantity }
    .because = numbers would be read as something else
    .help = likely units are: { $likely }
I121 = `{ $name }` cannot be the name of a column
    .because = names in a series hold small letters, digits and `_`
    .help = call it `{ $near }`
I122 = there is no column `{ $name }` to derive from
    .because = a derived column needs its source in the same file
    .help = the mapping has: { $known }
I123 = `{ $key }` needs two values
    .because = a straight line goes through two points
    .help = write two, such as ["12 %", "76 %"]
I124 = `{ $column }` of `{ $file }` is about { $value } { $unit }, which cannot be
    .because = a wrong unit makes every result wrong without being seen
    .help = { $likely ->
        [none] correct the unit or the column in the mapping
       *[other] the unit is likely { $likely }: correct it in the mapping, or answer `unit.{ $column }`
    }
I125 = `{ $file }` has no column `{ $name }`
    .because = the mapping names it
    .help = the file has: { $known }{ $near ->
        [none] {""}
       *[other] {" "}(did you mean `{ $near }`?)
    }
I126 = { $why ->
        [empty] `{ $file }` is empty
        [one-line] `{ $file }` has one line and no reading below it
       *[other] in `{ $file }` nothing was recognised
    }
    .because = rows of times and numbers between commas, semicolons, tabs or bars are looked for, JSON lines, SenML and BTHome
    .help = { $why ->
        [empty] export it from the logger again
        [one-line] export it from the logger again
       *[other] export it as CSV, or write a mapping by hand
    }
I127 = `{ $file }` has no column with a date and a time
    .because = a reading without its time cannot be placed
    .help = it has: { $known }; if times are elapsed, name the unit in the header, such as `time s`
I128 = `{ $file }` has no reading of a known kind
    .because = what a column measures is told by its header or its unit
    .help = it has: { $known }; write a mapping by hand where headers do not tell
I129 = `{ $file }`: the question `{ $id }` is open
    .because = what a file does not tell is not guessed
    .help = add --answer { $id }=VALUE{ $choices ->
        [none] {""}
       *[other] {" "}with one of: { $choices }
    }
I130 = `{ $file }` is there already
    .because = nothing is ever overwritten
    .help = bring the file in under another name with --as, or move the old one away
I131 = the house has no zone `{ $name }`
    .because = readings are set against the zone where they were taken
    .help = it has: { $known }{ $near ->
        [none] {""}
       *[other] {" "}(did you mean `{ $near }`?)
    }
I132 = `{ $column }` of `{ $file }`: { $flag ->
        [out_of_range] { $count } readings cannot be
        [saturated] { $count } readings stand at an end of the scale
        [stuck] { $count } readings do not change
        [jump] { $count } readings jump
        [clock] at { $count } rows the clock is wrong
        [duplicate] { $count } rows repeat a moment
       *[gap] { $count } gaps
    }, first at { $when }
    .because = the readings stay as they are; what is doubtful is told so that nobody trusts it by mistake
    .help = look at the place, and leave it out of a test with `start` and `end`
I133 = the clock of `{ $of }` shows { $offset } s more than that of `{ $against }` (standard uncertainty { $std } s, by { $by }, correlation { $correlation })
    .because = both saw the same thing at different times; air on its way from room to room looks the same
    .help = nothing was moved; if both began side by side, set one clock and write the offset into the notes
I134 = the clocks of `{ $of }` and `{ $against }` cannot be compared: { $why ->
        [too_short] too little in common
        [flat] one of them does not change
        [unlike] they do not see the same thing
        [ambiguous] several offsets fit as well
       *[other] the best offset lies beyond what was looked at
    }
    .because = an offset is told only where the signals tell it
    .help = let loggers begin and end side by side, and breathe on them together
I135 = the series of `{ $file }` would be { $size } MB; at most { $most } MB are read in a job
    .because = a series of a job is read into memory as a whole
    .help = add --every "1 min" to keep means
I136 = no row of `{ $file }` could be read
    .because = without rows there is nothing to keep
    .help = look at the first rejects: they tell what the mapping gets wrong
I137 = `{ $found }` is no answer to `{ $id }`
    .because = { $id ->
        [every] means are taken over a length of time from 1 s to 24 h
       *[other] each question has answers of its own kind
    }
    .help = { $id ->
        [every] write a number with its unit, as in --every "5 min"
       *[other] run it without the answer to see the question
    }
I138 = there is no { $date ->
        [none] visit
       *[other] visit `{ $date }`
    } to put a series beside
    .because = series stand in the folder of a visit
    .help = { $known ->
        [none] make a folder such as visits/2026-11-12 with a visit.toml
       *[other] the job has: { $known }
    }
I139 = the times of `{ $file }` stand on { $clock } throughout
    .because = the clock changed within the record, and times of a series must rise
    .help = mind it when you name times of day in a test
