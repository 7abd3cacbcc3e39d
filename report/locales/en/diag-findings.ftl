quantity-radon-activity = radon in air

Q101 = finding `{ $finding }` reads quantities of things of two kinds
    .because = a rule is asked once for each room, or each appliance, and cannot pair one with the other
    .help = keep to quantities of one kind of thing and of the whole house
Q102 = there is already a finding called `{ $finding }`
    .because = the first one counts
    .help = give it another name; a limit of a ready finding is changed with `[[adopt]]`
Q103 = { $wants ->
        [no] `{ $name }` is of the whole house and takes no `of`
       *[other] `{ $name }` needs `of`: what it is of
    }
    .because = a value is put to the room, fan or appliance it was read at
    .help = docs/FINDINGS.md lists what each quantity is of
Q104 = limit `{ $limit }` is one of something that is true or false
    .because = a limit is something that a number is held against
    .help = name a quantity that is a number in `of`
Q105 = the pattern of finding `{ $finding }` has a contrary, `!(...)`, beside `either = true`
    .because = a comparison with something that was not measured is false, and its contrary would be true
    .help = turn the comparison round instead
Q106 = finding `{ $finding }` spoils nothing although it is about reading quality, or spoils something although it is not
    .because = rules about readings run first and hold back what rests on the spoilt reading
    .help = give `spoils` to rules of `sort = "reading quality"`, and to no others
Q107 = `{ $text }` is no quantity and state
    .because = a rule asks in which state of the house a quantity was taken
    .help = write it as `room.pressure: doors shut`
