# Moisture. One sentence, no full stop. `.because` is the reason, `.help` what to do.

M101 = { $found ->
        [one] one usable reading
       *[other] { $found } usable readings
    }, and { $needed } are needed
    .because = nothing can be said from fewer
    .help = take more readings
M102 = { $count ->
        [one] one value is
       *[other] { $count } values are
    } outside what is possible and left out
    .because = the instrument or the column is another than was thought
    .help = check the unit in the header, and the logger
M103 = { $hours ->
        [one] one hour has
       *[other] { $hours } hours have
    } no reading; the index stands still meanwhile
    .because = nobody knows what the surface did
    .help = close the gaps, or work the parts singly
M104 = the reference is { $reference } and the spots are { $material }
    .because = such a meter compares only within one material
    .help = take dry readings on the same material
M105 = indoors less outdoors was { $before } before and { $during } during the fan
    .because = without a difference of temperature a picture shows nothing of air or insulation
    .help = come back when it is colder or warmer outdoors
M106 = a reading of { $shown } corrected to { $corrected } is no moisture content
    .because = the correction has the wrong sign or unit
    .help = take it from the meter's own table, in percent of moisture
M107 = the spot `{ $spot }` lacks one of its two readings and is left out
    .because = only a pair shows what moved
    .help = read it both before and while the fan runs
