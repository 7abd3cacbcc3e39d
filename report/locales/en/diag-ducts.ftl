# Ducts and air handler.
# One sentence, no full stop. `.because` is the reason, `.help` is what to do.

D201 = no flow follows from this reading
    .because = it is not above zero, or no calibration of the instrument covers it
    .help = check the reading, its unit and the calibration; the other readings are used
D202 = no earlier test called `{ $name }` gives { $wanted ->
        [envelope] the leakage of the house
        [operating-leakage] duct leakage while the handler runs
       *[other] a handler flow
    }
    .because = the number is taken from that test
    .help = { $known ->
        [none] write that test further up in the same visit, or type the number
       *[other] these do: { $known }
    }
D203 = test `{ $test }`, run `{ $run }`, point { $point }: { $pressure } does not drive air the way the run is said to blow
    .because = a wrong sign or a wrong direction would pass unseen; the point is left out
    .help = write pressures as ducts minus house and house minus outdoors, or correct `direction`
D204 = test `{ $test }`, run `{ $run }`: leakage to outdoors without the pressure of the house
    .because = the leaks feel ducts against outdoors, which is ducts against house and house against outdoors together
    .help = add a column `house Pa`, house minus outdoors
D205 = test `{ $test }`, run `{ $run }` has no point that can be used
    .because = each point needs the pressure of the ducts and the flow of the test fan
    .help = write columns `duct Pa` and `fan cfm` (`fan-pressure Pa` where the instrument shows that)
D206 = test `{ $test }`, run `{ $run }`: the points give a flow exponent of { $exponent }
    .because = leaks have an exponent from 0.5 to 1; points outside it show that something changed between them
    .help = look for a register that came off or a fan range that changed; { $used } is used
D207 = the pan at { $register } reads { $pan }, more than the { $zone } that drive it
    .because = a duct cannot be further from the house than the zone around it, so one of the two is misread or the duct lies elsewhere; the pan is left out
    .help = read both again, and name the zone that holds this duct
D208 = pressure pans are read with the handler off
    .because = a running blower makes pressures of its own in every duct
    .help = switch it off at the unit and read the pans again
D209 = test `{ $test }`: the external static pressure needs the tap `{ $tap }`
    .because = what is inside the rated box decides between which two places it is taken
    .help = read the pressure there; the drops that have both their taps are worked
D210 = test `{ $test }`: the sign of the tap `{ $tap }` cannot be
    .because = before the blower the air is below the room, after it above; a lost sign would change the sum; the reading is left out
    .help = write it with its sign, against the room
D211 = test `{ $test }`: { $found ->
        [untaken] the traverse has no readings yet
        [mixed] the lines of the traverse are not of one length
       *[other] lines of { $found } points fit no rule for this duct
    }
    .because = the mean is right only for the positions that the rule sets; it has lines of { $wanted }
    .help = usual depths here, in mm from one wall: { $depths }{ $height ->
        [none] {""}
       *[other] {" "}over the width, { $height } over the height
    }
D212 = test `{ $test }`: the air is not warmer after the heater than before it
    .because = flow follows from heat and temperature rise
    .help = check which readings stand in `before` and in `after`
D213 = test `{ $test }`: the air { $side ->
        [entering] entering
       *[other] leaving
    } the coil is in no possible state
    .because = a wet bulb is never above the dry bulb, and air holds no less water than none
    .help = check dry bulb, wet bulb and humidity, and their units
D214 = more air leaks from the ducts than the handler moves
    .because = one of the two numbers is wrong, or one is in another unit
    .help = check the flow of the handler and the leakage in operation
