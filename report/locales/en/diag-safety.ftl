# Safety, codes O101 and following.

O101 = fuel stands under `[combustion]`, not among the hazards
    .because = the look for fuel is one thing with who looked and where, and the gate reads it there
    .help = write `[combustion]` with `fuel`, `looked_by` and `looked_where`
O102 = photo `{ $photo }` is not among the job's files
    .because = a photo that cannot be found shows nobody anything
    .help = put it into the job folder, or name an attachment by its SHA-256
O103 = { $test ->
        [none] a single reading was
       *[other] test `{ $test }` was
    } taken against the hazard screen: { $items }
    .because = this was seen, is suspected or was not looked at when the air of the house was moved; the result counts and is marked
    .help = `airwright safety` says what changes and who must act
O104 = the hazard screen says stop: { $item }
    .because = nothing is switched on or read until those who must act have acted; no sign-off stands against it
    .help = `airwright safety` says who that is; a new look belongs to a new visit
O105 = `{ $name }` is not on the restore list of this visit{ $near ->
        [none] {""}
       *[other] ; did you mean `{ $near }`?
    }
    .because = the list is made of what the visit disturbed
    .help = on the list: { $known }
O106 = the visit is closed with { $count ->
        [one] { $count } thing
       *[other] { $count } things
    } not put back: { $open }
    .because = what a visit disturbed is put back before anybody leaves
    .help = put each back and name it in `[[restored]]` with `what`, `by` and `when`, or take `[closed]` away
O107 = combustion was not tested again on { $day } after: { $what }
    .because = work on shell, fans or air handler changes how an appliance draws; it is tested again before the end of that day
    .help = add a test of `kind = "combustion zone"` with `stage = "end of day"` to the visit of that day
