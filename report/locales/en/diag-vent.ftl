# Exhaust and ventilation flows (X), bills (B).
# One sentence, no full stop. `.because` is the reason, `.help` is what to do.

X101 = `{ $test }` has no reading above zero
    .because = a fan that moves no air cannot be told from a reading that failed
    .help = correct the reading, or leave the test out and say in a note that the fan does not move air
X102 = the hood of `{ $test }` holds { $hood } against a fan of { $fan }
    .because = a fan gives no air against more pressure than it has
    .help = check both pressures: the hood's is a few pascals, the fan's tens of them
X103 = this way of measuring needs `{ $key }`
    .because = without it there is no flow
    .help = add the key, or correct `by`
X104 = `{ $test }` has no such result
    .because = this test takes it from there
    .help = name a test that measures it, and write it above this one
X105 = this instrument shows no flow of the air that passes it
    .because = a fan pressure, or a flow brought to other conditions, is not what a fan moves
    .help = use an instrument with `shows = "flow at actual density"` or `"flow at calibration density"`
X111 = { $rows } { $rows ->
        [one] row is
       *[other] rows are
    } left of this record; { $wanted } are the least
    .because = an end value from so few rows would be a guess
    .help = read for longer, or start the record earlier
X121 = the rule { $rule } needs `{ $key }`
    .because = the rate follows from it
    .help = write it in this test, or under [building] in job.toml
X122 = a fan cannot run { $on } out of every { $every }
    .because = the time it is on has to be shorter than its cycle
    .help = correct `on` or `every`
X131 = there is no envelope test to take the leakage from
    .because = this test computes with the house's leakage
    .help = add an envelope test to this visit or an earlier one
X132 = neither a weather year nor outdoor temperature and wind are known
    .because = infiltration is driven by them
    .help = name a weather file under [place] in job.toml, or write `outdoor` and `wind` under [conditions]
X133 = `{ $test }` holds no limit of a pressure
    .because = the limit is taken from there
    .help = write `limit`, `limit_source` and `limit_confirmed` in this test
B101 = bill { $row } of { $fuel } covers { $days } days
    .because = a bill of 1 to 400 days can be used; the first row of a series has no read before it
    .help = correct the dates, or leave the first row's use empty
B102 = the use on bill { $row } of { $fuel } is missing or below zero
    .because = a bill without a use says nothing; a credit is no use
    .help = correct it, or mark the read before it as estimated
B103 = there is no outdoor temperature for bill { $row } of { $fuel }
    .because = use is held against it; nine tenths of a bill's days are needed
    .help = complete the temperatures, or write the bill's mean in a column
B104 = no bill of { $fuel } can be used
    .because = there is nothing to fit
    .help = correct what is said of the single bills
B105 = these bills name no fuel
    .because = one table a fuel says which column is which
    .help = add a table such as [test.bills.fuel.gas]
B106 = { $fuel } is given by volume, and its heat is not told
    .because = slopes are stated as power
    .help = add `heat_content`, such as "1.03 therm/ccf" or "10.0 kWh/L", from the supplier
B107 = the days of these bills or temperatures have no date
    .because = they are put together by day
    .help = write dates in the `time` column, or `start` for rows by days
