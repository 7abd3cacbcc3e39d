# The import of files, in plain words.
# $file, $instrument
intake-file = { $file }, instrument `{ $instrument }`
# $mapping
intake-kept = It is read as { $mapping } says.
# $delimiter, $header, $first, $decimal
intake-table = A table with { $delimiter ->
        [comma] commas
        [semicolon] semicolons
        [tab] tabs
       *[bar] bars
    } between the cells{ $header ->
        [0] {""}
       *[other] , the header in line { $header }
    }, readings from line { $first }, decimal { $decimal ->
        [comma] comma
       *[point] point
    }.
intake-json-lines = JSON, one message a line.
intake-senml = SenML (RFC 8428).
# $payload
intake-bthome = BTHome payloads in `{ $payload }`, one message a line.
# $from, $form, $clock
intake-time = Time: { $from }{ $form ->
        [none] {""}
       *[other] {", written as"} { $form }
    }{ $clock ->
        [none] {""}
       *[other] {", clock:"} { $clock }
    }.
# $from, $name, $quantity, $unit, $why
intake-column = `{ $from }` is { $quantity } in { $unit }, called `{ $name }` ({ $why ->
        [written] the file says so
        [values] only this unit makes the values possible
        [asked] the unit is a guess and is asked below
       *[mapping] the mapping says so
    }).
# $from, $example
intake-left-out = `{ $from }` is left out: no reading of a known kind (such as { $example }).
intake-first-rows = The first rows as understood:
intake-none = (none)
# $encoding
intake-why-encoding = The text is in { $encoding }.
# $delimiter, $count
intake-why-delimiter = { $count } cells a row fit best with this delimiter ({ $delimiter }).
# $line
intake-why-units-row = Line { $line } holds the units.
intake-why-header-short = The header has one name less than the rows have cells: the first column has no name.
# $line
intake-why-preamble = The first { $line } lines are no table and are passed over.
# $count
intake-why-time-of-several = { $count } columns hold dates with times; the one in UTC counts, or the first.
intake-why-offset = The offset from UTC stands with the times.
intake-why-utc = The header says that times are UTC.
# $form
intake-why-number-time = Times are plain numbers: { $form }.
# $example
intake-why-order-only = `{ $example }` and the others are dates in one order alone.
# $example
intake-why-order-rises = Dates such as `{ $example }` follow each other day by day in this order, and leap in the other.
intake-why-order-points = Dates with points between have the day first.
intake-why-comma = Numbers have a decimal comma.
# $zone
intake-why-zone = No clock is told, so it is that of the job: { $zone }.
intake-why-senml = Names, units and times are told by the records.
# $column
intake-why-bthome = `{ $column }` holds BTHome version 2.
# $found, $id
intake-ask-date-order = Question: which order has the date `{ $found }`?
intake-ask-clock = Question: which clock shows `{ $found }`? The job names no time zone.
intake-ask-decimal = Question: is the comma in `{ $found }` a decimal comma, or does it part thousands (decimal point)?
intake-ask-start = Question: when did the record begin? `{ $found }` counts from its start.
intake-ask-unit = Question: in which unit is `{ $found }`?
# $id, $choice
intake-answer = --answer "{ $id }={ $choice }"
intake-answer-first = Nothing is written yet: answer the questions, then add --approve.
intake-approve = Nothing is written yet: if this is right, run it again with --approve.
# $series, $rows, $from, $to
intake-made = { $series }: { $rows } rows, { $from } to { $to } UTC.
# $count
intake-rejected = { $count } rows or cells were not taken; each kind is told below with its remedy.
# $column, $flags
intake-flags = { $column }: { $flags }
# $count
intake-flag-out-of-range = { $count } cannot be
intake-flag-saturated = { $count } at an end of the scale
intake-flag-stuck = { $count } that do not change
intake-flag-jump = { $count } that jump
intake-flag-settling = { $count } while it settled
intake-flag-clock = { $count } with a wrong clock
intake-flag-duplicate = { $count } twice
intake-flag-gap = { $count } gaps
# $file, $instrument, $hash
intake-head-from = from { $file } through intake/{ $instrument }.toml, original sha256 { $hash }
# $zone
intake-head-zone = zone: { $zone }
# $clock
intake-head-clock = times: { $clock } throughout
# $name, $from, $how
intake-head-derived = { $name } is derived from { $from }: { $how }
# $path
intake-original = original kept as { $path }
