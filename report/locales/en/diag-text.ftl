# Diagnostics of files, tables and units: codes T and U.
# One sentence, no full stop. `.because` is the reason, `.help` is what to do.
# A value that is missing arrives as the word "none".

T001 = { $kind ->
        [twice] this name stands here a second time
        [unclosed-text] a text has no quotation mark at its end
        [unclosed-bracket] a bracket that was opened is not closed
        [unquoted] a text stands without quotation marks
        [no-value] a name stands without `=` and a value
        [stray-bracket] a bracket is closed that was not opened
        [no-comma] a comma is missing between two values
       *[other] this cannot be read: { $detail }
    }
    .because = { $kind ->
        [twice] nobody could tell which of the two counts
       *[other] the file is TOML: brackets, quotation marks and equal signs have to match before the rest can be read
    }
    .help = { $kind ->
        [twice] keep one of the two, or give this one another name
        [unquoted] put the text between quotation marks, as in "4 Pa"; cells of a row stand between commas, as in [-50.1, 1210]
       *[other] look at the marked place and at the line before it
    }
T002 = nothing { $table ->
        [none] at the top of this file
       *[other] in { $table }
    } is called `{ $key }`
    .because = a word that is not understood would be left out without anybody noticing
    .help = { $near ->
        [none] check the spelling, or take the line out
       *[other] did you mean `{ $near }`?
    }
T003 = { $table ->
        [none] this file
       *[other] { $table }
    } needs `{ $key }`
    .because = { $key ->
        [format] it says which version of the program the words of the file belong to
       *[other] no value can be taken for granted here
    }
    .help = { $table ->
        [none] { $key ->
            [format] write `format = 1` as its first line
           *[other] add a line `{ $key } = ...` at its top, before the first line that begins with a bracket
        }
       *[other] add a line `{ $key } = ...` to { $table }
    }
T004 = `{ $key }` must be { $wanted }; found: { $found }
    .because = a value of another type cannot be understood here
    .help = write { $wanted }; text and quantities stand in quotes, as in "4 Pa"
T005 = `{ $key }` cannot be `{ $found }`
    .because = the choices are { $choices }
    .help = { $near ->
        [none] use one of the choices
       *[other] did you mean `{ $near }`?
    }
T006 = row { $row } has { $found ->
        [one] { $found } column
       *[other] { $found } columns
    }; the header has { $wanted }
    .because = a value that has slipped sideways would be read as something else
    .help = add the missing cells (a cell may be empty) or take out the extra ones; a decimal comma makes two cells of one number, so write 61.2
T007 = { $named ->
        [yes] the column `{ $column }` names no unit
       *[no] no column `{ $column }` is known here
    }
    .because = { $named ->
        [yes] a number without a unit cannot be used
       *[no] a column that is not understood would be left out without anybody noticing
    }
    .help = { $near ->
        [none] write
       *[other] did you mean `{ $near }`? Write
    } the header as a known name with its unit: { $known }
T008 = column `{ $column }`, row { $row }: `{ $found }` is not a number
    .because = the row is kept as written and left out of the series
    .help = correct the cell, or leave it empty where nothing was read
T009 = this file has format { $found }; this program knows { $known }
    .because = a later format may mean something else by the same words
    .help = open it with a newer version of the program
T010 = the name `{ $name }` is used twice
    .because = other lines could mean either of the two
    .help = give one of them another name
T011 = { $kind ->
        [zone] there is no zone called `{ $name }`
        [instrument] this visit has no instrument called `{ $name }`
        [flow] nothing whose flow can be read is called `{ $name }`
        [switchable] nothing that can be switched, opened, shut or sealed is called `{ $name }`
        [plan] there is no plan called `{ $name }`
        [leak] there is no leak called `{ $name }`
        [door] there is no door called `{ $name }`
        [appliance] there is no appliance called `{ $name }`
        [size] there is no generic size called `{ $name }`
        [price] there is no price called `{ $name }` in `job.toml`
        [fan] there is no fan called `{ $name }`
        [filter] there is no filter called `{ $name }` that stands first in a line
        [opening] there is no grille, duct, damper or stack called `{ $name }`
        [surface] there is no surface called `{ $name }`
        [source] there is no source and no gas called `{ $name }`
        [gas] there is no gas called `{ $name }`
        [rule] there is no rule and no file in `rules` called `{ $name }`
        [event] there is no event called `{ $name }`
        [quantity] no quantity of findings is called `{ $name }`
        [setup] no state of the house is called `{ $name }`
        [finding] there is no finding called `{ $name }`
        [limit] this finding has no limit called `{ $name }`
        [test] there is no kind of test called `{ $name }`
        [place] nothing of the house is called `{ $name }`: a zone, a fan, `air_handler`, a door or `outdoors`
        [placeholder] a plan change has nothing called `{ $name }` to fill in
       *[other] nothing here is called `{ $name }`
    }
    .because = { $known ->
        [none] nothing of this kind is named yet
       *[other] known here: { $known }
    }
    .help = { $near ->
        [none] use one of the known names, or add it to the file
       *[other] did you mean `{ $near }`?
    }
T012 = `{ $key }` holds { $found ->
        [one] { $found } entry
       *[other] { $found } entries
    }; at least { $wanted } are needed
    .because = the values belong together
    .help = add entries to the list
T013 = `{ $found }` cannot be read as a date or a time
    .because = a time needs one clear meaning, also at the change of the clock
    .help = write 2026-11-12, or 2026-11-12T09:40 with the house's own local time
T014 = every one of the { $rows } rows has { $found ->
        [one] { $found } cell
       *[other] { $found } cells
    }, and the header names { $wanted ->
        [0] no column
        [one] { $wanted } column
       *[other] { $wanted } columns
    }
    .because = nobody could tell which number belongs to which column
    .help = name every column in `columns`, in the order of the cells; a decimal comma makes two cells of one number, so write 61.2

U001 = `{ $found }` has no number at its start
    .because = a quantity is a number followed by its unit
    .help = write a number and a unit, such as { $wanted_units }
U002 = `{ $found }` has no unit
    .because = the same number means different things in different units
    .help = add the unit, for example { $wanted_units }
U003 = the comma in `{ $found }` may mean two things
    .because = it may group thousands or mark decimals
    .help = write 1500 for fifteen hundred, and 1.5 with a point for one and a half
U004 = the unit in `{ $found }` is not known
    .because = units that fit here: { $wanted_units }
    .help = { $near ->
        [none] use one of the units that fit
       *[other] did you mean `{ $near }`?
    }
U005 = `{ $found }` is { $is }, but { $wanted } is needed here
    .because = one cannot be turned into the other
    .help = use a unit that fits: { $wanted_units }
U006 = the range `{ $found }` runs from the larger value to the smaller
    .because = a range is read as from the least to the most that is believed
    .help = write the smaller value first
U007 = `{ $found }` is not a finite number
    .because = an infinite or undefined number cannot be computed with
    .help = check the digits and the exponent
U008 = `{ $key }` cannot be { $found }
    .because = it lies between { $low } and { $high } in any house
    .help = check the value and its unit
U009 = `{ $found }` is another currency than { $first }, used before
    .because = amounts in two currencies cannot be added
    .help = give all prices of a job in one currency

# What a number measures.
quantity-pressure = a pressure
quantity-air-flow = an air flow
quantity-length = a length
quantity-area = an area
quantity-volume = a volume
quantity-temperature = a temperature
quantity-temperature-difference = a difference of temperatures
quantity-time = a length of time
quantity-speed = a speed
quantity-mass = a mass
quantity-mass-rate = a mass per time
quantity-power = a power
quantity-energy = an energy
quantity-conductance = a heat conductance
quantity-resistance = a thermal resistance
quantity-heat-capacity = a heat capacity
quantity-fraction = a share
quantity-gas-fraction = a share of a gas in air
quantity-particle-concentration = a mass of particles in air
quantity-particle-rate = a mass of particles per time
quantity-humidity-ratio = a mass of water in dry air
quantity-density = a density
quantity-angle = an angle
quantity-air-change = a number of air changes
quantity-permeability = a flow per area
quantity-mass-per-energy = a mass of water per energy
quantity-specific-fan-power = a power per air flow
quantity-flow-per-power = an air flow per thermal power
quantity-money = a sum of money
quantity-energy-price = a price of energy
quantity-heat-content = the heat in a volume of fuel
quantity-number = a number without a unit
quantity-index = a mark on a scale

# Kinds of values and things, where a diagnostic names them.
kind-text = a text
kind-number = a number
kind-whole-number = a whole number
kind-flag = true or false
kind-list = a list
kind-table = a table
kind-quantity = a quantity with its unit
kind-date = a date

severity-note = note
severity-warning = warning
severity-error = error
