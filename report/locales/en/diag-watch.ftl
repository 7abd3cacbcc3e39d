# The watch.
# One sentence, no full stop. `.because` is the reason, `.help` is what to do.

L121 = `{ $name }` is no trace of this house
    .because = a trace is a place and what is measured there: a zone, `outdoor`, a device or a door that may open, and `temp`, `rh`, `co2`, `pm25`, `co`, `pressure`, `flow`, `intake_flow`, `power`, `filter_drop`, `on`, `people`, `open` or `wind`
    .help = name the column as in `bedroom.co2 ppm`, with the names of house.toml
L122 = this series has no dates
    .because = the watch compares with the weather and the habits of that hour
    .help = call the first column `time` and write local dates and times
L123 = there is no series to watch
    .because = the watch lives through `watch/*.csv` and the series beside visits whose columns are named as in `bedroom.co2 ppm`
    .help = put at least one such file into the job
L124 = nothing is expected of the rooms
    .because = an expectation needs a fitted house and its weather; what devices show is watched by itself
    .help = add house.toml, readings of a visit, and `weather` under `[place]`
L125 = the house has no device `{ $name }`; known: { $known }
    .because = a filter is told by the traces of its blower
    .help = write the name of a fan of house.toml, or `air_handler`
L126 = the house cannot be stepped: { $error }
    .because = without an expectation there is no watch
    .help = work the job first (`airwright work`) and correct what it says
