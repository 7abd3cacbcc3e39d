# Sealing session, and change between two tests.
# One sentence, no full stop. `.because` is the reason, `.help` is what to do.

L101 = { $found ->
        [0] no reading of this session can be used
        [one] only one reading of this session can be used
       *[other] only { $found } readings of this session can be used
    }
    .because = a level and its scatter need three readings at least
    .help = write down pressure and flow every minute, or record them
L102 = the repair `{ $what }` cannot be placed in the record
    .because = it lies outside the readings, or so close to the repair before that no reading tells them apart
    .help = correct its time, or put the two repairs under one name
L103 = `{ $found }` is no time that can be placed in this session
    .because = a time of day needs a series with dates and times
    .help = write the minutes since the first reading, such as `12 min`, or a time such as `10:12` beside a series that has times
L104 = an exponent of { $found } is outside 0.5 to 1
    .because = air through holes flows with an exponent between that of an orifice and that of a capillary
    .help = correct it, or leave it out
L105 = reading { $reading } of this session cannot be brought to 50 Pa; it is left out
    .because = the pressure is below 10 Pa, or the flow is not above zero
    .help = keep the fan at a steady pressure near 50 Pa
L106 = there is no worked envelope test `{ $name }`
    .because = a change needs two envelope tests with a flow at 50 Pa
    .help = { $near ->
        [none] name a test, or a visit and its test as `2026-11-12/envelope`; there are: { $known }
       *[other] did you mean `{ $near }`?
    }
L107 = `{ $found }` is neither a share nor a flow
    .because = the criterion is the least fall that counts as success
    .help = write it as `15 %` or as `200 cfm`
