### How each test is done: what it tells, what it takes, its steps with their reasons, what goes wrong, what to mind.
# A step's line is parted from its reason by two strokes.

how-envelope =
    .tells = How much air the whole shell lets through at a stated pressure, and how tight the house is against a limit.
    .needs = A calibrated test fan, a gauge with a tube outdoors, thermometers; about forty minutes.
    .steps =
        Shut windows and outside doors, open inner doors, put fires out. // The shell is what is measured; a forgotten window is measured too.
        Read the baseline with the fan shut. // Wind and warmth push on the house before the fan does; that has to be taken off.
        Bring the house to the highest pressure first and go down. // At high pressure wind matters least, and what gives way gives way before the first point.
        Read pressure and flow together, each averaged. // A gust moves both; read one after the other they do not belong together.
        Read the baseline again at the end. // If the wind changed meanwhile the interval has to say so.
    .wrong =
        A hatch or fireplace damper opened by the fan.
        The outdoor tube in the sun, in the fan's air or crushed by the door.
        The fan's range not changed where it was changed.
    .minds =
        Where something burns or asbestos is suspected, look first: the screen says what stands against drawing air down.
how-combustion-zone =
    .tells = Whether what burns still sends its gas up the flue while the house pulls against it as hard as it can.
    .needs = A gauge, an analyser for flue gas, a carbon monoxide meter, a watch; every door and fan of the house.
    .steps =
        Carry the carbon monoxide meter in from the doorstep. // It protects you first, and its first number is the one outdoors.
        Read the baseline of the zone against outdoors, everything off. // Every state is compared with it.
        Switch exhausts on, then shut inner doors one by one, then the air handler. // The state that pulls hardest is found by trying; no house tells it by its looks.
        In that state fire the appliance and time the spillage. // A cold flue needs a moment; beyond the limit the gas comes into the room.
        Read carbon monoxide in the flue before the draft opening, with the oxygen. // Diluted gas shows little; oxygen undoes the dilution.
        Put controls, pilot and thermostat back as they were. // They were turned for the test and stay so unless somebody turns them.
    .wrong =
        A dryer or the fan of a heater left out.
        A door that stood open in the worst state.
        Carbon monoxide read behind the draft opening.
    .minds =
        At the level to leave: out, with everybody, and call from outside.
        A licensed person decides about the appliance, not this page.
how-fan-pressures =
    .tells = How far each fan of the house moves it against outdoors, and which together pass a limit.
    .needs = A gauge with a tube outdoors; every exhaust of the house.
    .steps =
        Shut outside doors and windows, read the baseline several times. // The spread of the baseline is the noise of every state.
        Switch one fan on, wait, read. // A fan takes a moment to speed up, the house to follow.
        Name the fans that run in each state. // A state without its fans cannot be compared.
        Read the baseline again. // Wind that grew would be taken for a fan.
    .wrong =
        A gust taken for a fan.
        A fan on a timer that stopped meanwhile.
    .minds =
        Where something burns, this is the state that matters: look at the flue.
how-sealing-session =
    .tells = What each repair is worth while the fan runs, and when to stop.
    .needs = A test fan that stays in its door, a gauge, somebody who seals.
    .steps =
        Hold the house at one pressure and write a row now and then. // The wind today is the yardstick for what counts as a drop.
        Mark each repair when it is finished. // A drop belongs to the repair that stands before it.
        Go on reading after the repair. // One row cannot be told from a gust.
        Stop at the target, or where the next repairs are smaller than the wind. // Further work cannot be proved today.
    .wrong =
        A door opened in between.
        Several repairs at once under one mark.
    .minds =
        What was sealed changes what burns: combustion is owed again before the end of the day.
how-infrared =
    .tells = Whether a cold or warm spot is air that leaks in or heat that is conducted.
    .needs = A camera or spot thermometer, the test fan, a difference between indoors and outdoors of some ten kelvin.
    .steps =
        Let temperatures settle, look at every spot before the fan. // Conduction shows in both looks, leaking air in the second alone.
        Draw the house down for a quarter of an hour. // Air needs time to cool what it passes.
        Look at the same spots again from the same place. // Angle and distance change what a camera shows.
        Write air temperatures of both looks. // The spots are weighed against them.
    .wrong =
        Sun on the wall an hour before.
        Shiny surfaces that mirror the room.
    .minds =
        The fan draws down: what stands against it in the screen stands against this too.
how-zone-pressures =
    .tells = Which side of a space around the rooms is the tighter one, and how much air the house takes through it.
    .needs = The test fan at a steady pressure, a gauge with tubes to the space and outdoors; a hatch or a hole of known size.
    .steps =
        Hold the house at 50 Pa and read the three pressures. // They must close: house less zone plus zone less outdoors is house less outdoors.
        Open the hatch or a hole of known size and read again, with the fan's flow. // How far the numbers move tells the size of both sides.
        Hold the house at the same pressure meanwhile. // Only then does the change belong to the hole.
        Shut it and read once more. // It has to come back to what it was.
    .wrong =
        Less than three pascals of movement: then the data cannot tell.
        A tube squeezed in the hatch, or its end in a draught.
    .minds =
        Air comes from the space into the rooms: what lies in there matters.
how-room-pressures =
    .tells = Which rooms lack a way back for their supply air, and how large it has to become.
    .needs = A gauge, the air handler on, doors shut.
    .steps =
        Switch the air handler on, shut all inner doors. // That is how people sleep, and when rooms are cut off.
        Read each room against the main body under its door. // The pressure is what its supply has to push against.
        Write flow or the gap under the door where you can. // With it the missing way back gets a size.
        Read the main body against outdoors, doors open and shut. // Shut rooms make the rest of the house pull.
    .wrong =
        The tube lying in the supply air.
        Another door left open.
    .minds =
        Where something burns in the main body, read it there too with doors shut.
how-duct-leakage =
    .tells = How much air the ducts lose to outdoors or in all, and on which side.
    .needs = A calibrated duct fan, masks for the registers, perhaps a barrier at the air handler and the test fan.
    .steps =
        Mask the registers, take the filter out, switch the handler off for certain. // Whatever is open is measured as leakage.
        Blow to 25 Pa and read pressure and flow at several points. // Two points and more give the exponent, one rests on a guess.
        Bring the house to the same pressure for what goes to outdoors. // Without a difference nothing leaks into the house.
        Read the same tap elsewhere in the ducts. // A duct that is cut off shows another pressure.
        Take the masks off. // A masked register is found by the owner in the first cold night.
    .wrong =
        A mask that came off.
        The tap in the jet of the fan.
    .minds =
        Air is blown into the house from the ducts: what lies in them comes too.
how-pressure-pans =
    .tells = At which registers the ducts are open to an unconditioned space.
    .needs = The test fan at 50 Pa, a pan with a tube, the air handler off.
    .steps =
        Hold the house at 50 Pa, handler off, registers open. // Leaky ducts then draw from where they leak.
        Read the spaces where ducts run against the house. // A space that is itself at house pressure hides every leak.
        Put the pan over one register after another and read. // The pan shows what leaks behind it.
        Write the open area where the fit shall use it. // Pressure alone is no flow.
    .wrong =
        A pan that does not sit flush.
        A register left covered.
    .minds =
        The usual mark of 1 Pa is recalled and decides nothing by itself.
how-dominant-leak =
    .tells = Whether supply or return leaks more to outdoors, from how the house moves when the handler starts.
    .needs = A gauge with a tube outdoors, a calm hour.
    .steps =
        Open all inner doors. // Shut rooms move the house as well.
        Read the house against outdoors with the handler off, then on, five times over. // One pair is a gust, five are a shift.
        Write whether the outdoor air intake is open. // It moves the house as a leak would.
        End with a reading off. // A drift shows.
    .wrong =
        Wind.
        A bath fan that runs with the handler.
    .minds =
        It tells a side, not a size, without an envelope test.
how-delivery-effectiveness =
    .tells = What share of the heat or cold reaches the rooms through the ducts.
    .needs = Flow, capacity, leakage, area and insulation of both sides.
    .steps =
        Measure the flow of the air handler. // Everything is a share of it.
        Measure leakage of both sides. // Supply air lost never arrives; return air drawn in has to be treated.
        Measure length and insulation where ducts leave the rooms. // Conduction counts there alone.
        Write the temperature around the ducts. // A hot attic costs more than a cool crawl space.
    .wrong =
        Ducts within the rooms counted as outside.
    .minds =
        It is computed from other tests; their intervals go in.
how-duct-leakage-by-difference =
    .tells = What the ducts leak to outdoors, from two envelope tests.
    .needs = The test fan, masks for every register, a tube in the ducts.
    .steps =
        Test the house with registers open. // Shell and ducts together.
        Mask every register and test again at once. // What is gone is what leaked through the ducts.
        Read the pressure that stays in the sealed ducts. // They leak a little even so, and that is corrected.
        Take the masks off. // They stop heating and cooling.
    .wrong =
        Wind between the two tests: the difference of two large numbers is small.
    .minds =
        Where the interval is wider than the answer, use a duct fan.
how-static-pressure =
    .tells = Whether the blower works against more than it is rated for, and which part of the air's way takes it.
    .needs = A gauge with two probes, a drill, plugs, the label of the machine.
    .steps =
        Read on the label what is inside the rated box. // It decides which two taps count as external.
        Run the blower at its highest speed and wait. // A blower that ramps up shows too little at first.
        Read before and after filter and coil, with sign, against the room. // Each drop names the part that costs it.
        Plug every hole. // It leaks for the rest of the machine's life.
    .wrong =
        A probe that points into the stream.
        A hole through a coil or a drain pan: look before drilling.
    .minds =
        Power off before you open a panel.
how-handler-flow =
    .tells = How much air the air handler moves.
    .needs = Flow plates, a fan in place of the return, thermometers, a probe or hoods: one of five ways.
    .steps =
        Choose the way that fits machine and time. // Their errors differ, and each says its own.
        Write how the machine ran: mode, stage, minutes since it started. // Another stage is another flow.
        Read the supply plenum in operation and again during the test. // The plate slows the blower, and the two pressures undo that.
        Put the filter back with its arrow right. // The slot is opened for the test and easily stays so.
    .wrong =
        A plate that leaks at its rim.
        Temperatures read in sight of the heater.
    .minds =
        Power off before a panel is opened.
how-coil-capacity =
    .tells = What the coil takes from the air: total, sensible and as water.
    .needs = Flow of the handler, temperature and humidity before and after the coil.
    .steps =
        Measure the flow first. // Every kilowatt is flow times difference.
        Let it run a quarter of an hour. // A wet coil takes its time to be wet.
        Read dry and wet bulb on both sides at once. // The state outdoors moves on.
        Write mode and stage. // Half a stage is half a number.
    .wrong =
        A sensor wet by drops.
        Supply read where air has not mixed.
    .minds =
        The rating holds at rated states; compare with care.
how-fan-flow =
    .tells = What one exhaust or supply really moves.
    .needs = A hood, a powered hood, a box with an orifice or a probe; a ladder.
    .steps =
        Shut the window of the room, open its door a hand's width. // A fan needs air from somewhere.
        Cover the grille wholly and wait until it is steady. // A gap at the rim is flow unmeasured.
        Read three times and write all. // The spread is part of the interval.
        Name the fan of the house. // Only then does the reading enter the fit.
    .wrong =
        The hood itself slows the fan: its back-pressure is corrected where it is known.
        A backdraft flap stuck shut.
    .minds =
        A hood without a fan errs by a quarter in the field; what it says is what the interval says.
how-settled-reading =
    .tells = Where a slow reading comes to rest, without waiting for it.
    .needs = A record of a few minutes from the start.
    .steps =
        Start the record before you switch on. // The beginning of the rise carries the time constant.
        Leave everything as it is. // A second switch is a second curve.
        Record at least two time constants. // Less, and the end is a guess.
    .wrong =
        Two things changing at once.
    .minds =
        Where the interval is wide, wait longer.
how-recovery-balance =
    .tells = Whether both flows of a recovery unit agree, and what of the heat it keeps.
    .needs = A hood or probe for both flows, thermometers in the four ducts.
    .steps =
        Measure supply and exhaust at the same step. // An imbalance becomes air through the shell.
        Read the four ducts at once, after half an hour. // The core has to be settled.
        Write the powers of the fans. // Their heat is no recovery.
        Check that the heat balance closes. // If it does not, one of the readings is wrong.
    .wrong =
        A sensor against a cold casing.
        Filters that are full.
    .minds =
        Frost control changes the flows: not below freezing.
how-ventilation-rate =
    .tells = How much outdoor air a rule asks for, what the house has, and what is short.
    .needs = Sizes, bedrooms, an envelope test, the flows of the fans.
    .steps =
        Choose rule and edition that are in force here. // Editions differ by a third.
        Name fans with their flows from tests. // Labels tell what a fan could do.
        Write hours of fans that do not always run. // Air in the wrong hour counts less.
    .wrong =
        Credit for leakage without a weather factor.
    .minds =
        A part marked as recalled decides nothing by itself.
how-tightness-room =
    .tells = How much tighter the house may become before its exhausts pull beyond a limit.
    .needs = An envelope test, the flows of the exhausts, the limit.
    .steps =
        Measure the exhausts that run at once. // They pull together.
        Take the envelope test of the house as it is now. // Yesterday's house was another.
        Write the limit with its source. // Whose limit it is has to be said.
    .wrong =
        The dryer forgotten.
    .minds =
        It is no test of combustion; that is done again after the work.
how-infiltration =
    .tells = How much air leaks in by itself over a year or in a moment.
    .needs = An envelope test, storeys, shelter, weather.
    .steps =
        Take the envelope test. // Leaks are its result.
        Choose a model and say shelter and storeys. // They stand for wind and stack.
        Ask for a year or a moment. // A mean hides the calm nights.
    .wrong =
        Shelter judged from the street side alone.
    .minds =
        A model; the fitted house says more where there is one.
how-change =
    .tells = Whether the house really became tighter between two tests, and by how much.
    .needs = Two envelope tests in the same setup.
    .steps =
        Say first which fall would count. // A mark set afterwards proves nothing.
        Use the same instruments and setup. // What both tests share drops out.
        Compare the interval with the mark. // Two numbers alone are no proof.
    .wrong =
        A window open in one of them.
    .minds =
        Where setups differ the verdict is withheld.
how-guarded-unit =
    .tells = What of a unit's leakage goes to outdoors and what to its neighbours.
    .needs = Two test fans or more, a way into the units beside.
    .steps =
        Test the unit with the neighbours open to outdoors. // Everything it leaks.
        Bring the neighbours to its pressure and test again. // No air passes between equals.
        Hold all pressures steady. // A pascal between them is a leak again.
    .wrong =
        A unit above or below forgotten.
    .minds =
        Neighbours' appliances are in the test: ask them first.
how-surface =
    .tells = Whether a surface is cold and the air beside it moist enough for mould or water.
    .needs = A surface thermometer, a thermometer with hygrometer.
    .steps =
        Read air and humidity a hand's width from the wall. // It is that air that touches it.
        Read the surface at its coldest place. // Corners and behind furniture first.
        Write outdoors as well. // Only then does today say something about January.
    .wrong =
        A shiny surface read by infrared.
        A breath on the sensor.
    .minds =
        A single look is one hour of the year.
how-surface-meter =
    .tells = Whether spots of a material are wetter than dry places of the same.
    .needs = A surface moisture meter.
    .steps =
        Read several dry places of the same material. // The meter's scale has no unit; they are its zero.
        Read the spots in the same way. // Pressure and angle change the number.
        Name each place. // A number without its place cannot be looked at again.
    .wrong =
        Metal, foil or salt behind the surface.
    .minds =
        It says wetter, not how wet.
how-wood-moisture =
    .tells = How moist wood is, and whether the air beside it explains that.
    .needs = A pin meter with its own table of corrections.
    .steps =
        Drive the pins along the grain, away from edges. // Across it the number differs.
        Take the corrections from the meter's table. // Species and temperature move it by points.
        Read the air beside it. // Wood that is wetter than its air would leave has another source.
    .wrong =
        Glue, salts, a nail.
    .minds =
        Your limit with its source decides, no other.
how-mould-index =
    .tells = Whether a surface, over weeks, had the warmth and moisture that mould wants.
    .needs = A logger at the surface, some weeks.
    .steps =
        Put the logger against the surface, not in the room. // The room is drier than the corner.
        Choose the class of the material. // Its neighbours are shown too.
        Let it record through a cold spell. // A mild month proves little.
    .wrong =
        A logger in the sun.
    .minds =
        An index of risk; what grows is seen by looking.
how-decay =
    .tells = How often the air of a room is changed, from how a gas falls.
    .needs = A gas meter, people out, some source of the gas at the start.
    .steps =
        Raise the gas and mix with a fan. // One number has to stand for the room.
        Everybody out, then write the first row. // A person is a source.
        Read every few minutes until half is gone. // Less, and the background weighs too much.
        Read outdoors with the same meter. // Its offset then drops out.
    .wrong =
        A door opened in between.
        The background guessed.
    .minds =
        It is the air of that hour with that wind.
how-build-up =
    .tells = What outdoor air a room gets, from how a gas rises while people are in.
    .needs = A gas meter or logger, known people.
    .steps =
        Begin with the room aired. // A rise needs a low start.
        Count people and what they do. // They are the source.
        Record until it bends. // The bend tells the air change, the end the air.
    .wrong =
        Somebody coming and going.
    .minds =
        Rates of people differ from table to person.
how-steady-state =
    .tells = What outdoor air a room gets while people sleep in it.
    .needs = A gas meter at the end of a night.
    .steps =
        Read when the level has stood for hours. // Only then does what comes equal what goes.
        Write people, age and activity. // They give the source.
        Read outdoors. // The difference is what counts.
    .wrong =
        A door that stood open to other rooms.
    .minds =
        Air from the next room is not outdoor air.
how-two-zones =
    .tells = How much air two rooms exchange, and what each gets from outdoors.
    .needs = Two gas meters or loggers, both volumes.
    .steps =
        Raise the gas in one room alone. // The other has to learn of it by air.
        Record both until they have met. // The meeting tells the exchange.
        Write both volumes. // A share of air is a share of volume.
    .wrong =
        Clocks of the loggers that differ.
    .minds =
        Where the data cannot tell it is said.
how-bills =
    .tells = What heating and cooling the house takes for each degree, from a year of bills.
    .needs = Bills of a year or more, daily temperatures.
    .steps =
        Write the day of each read and what was used. // Days decide, not months.
        Mark estimated reads. // They are joined with the next.
        Name the temperatures of the place. // The station's hill is not the house's valley.
    .wrong =
        A year with other people in the house.
    .minds =
        It says much of the conductances and little of the air.
