# Air exchange by tracer, and moisture: names of kinds, figures and checks; sentences of results.
# Names are parts of a line: no capital, no full stop. Notes are sentences.

quantity-vapour-concentration = a mass of water vapour in air
quantity-vapour_concentration = a mass of water vapour in air
quantity-gas-flow = a flow of a gas
quantity-gas_flow = a flow of a gas

test-decay = decay of a gas
test-build-up = build-up of a gas
test-steady-state = outdoor air from a steady level
test-two-zones = exchange between two rooms
test-mould-index = mould risk over time
test-wood-moisture = moisture of wood
test-surface-meter = surface moisture, compared
test-infrared = infrared pairs

figure-air-change = air change
figure-zone-outdoor-air = outdoor air
figure-air-change-line = air change by the line through the logarithms
figure-air-change-fitted = air change with the background fitted
figure-fitted-background = background that the record runs towards
figure-fall-rate = rate of fall in this room alone
figure-plateau = plateau
figure-end-value = level it runs towards (extrapolated)
figure-outdoor-air-level = outdoor air, from the level and what is given off
figure-outdoor-air-shape = outdoor air, from the shape and the volume
figure-co2-given-off = CO2 given off
figure-excess = excess over outdoors
figure-exchange-flow = flow between the rooms
figure-moisture-excess = moisture excess over outdoors
figure-moisture-excess-ratio = humidity ratio above that outdoors
figure-mould-index-very-sensitive = highest mould index, very sensitive material
figure-mould-index-sensitive = highest mould index, sensitive material
figure-mould-index-medium = highest mould index, medium resistant material
figure-mould-index-resistant = highest mould index, resistant material
figure-mould-index-end = mould index at the end
figure-critical-share = share of the time at or above the critical humidity
figure-wood-moisture = moisture content
figure-wood-equilibrium = moisture content that this air would leave
figure-wood-above = above that of the air
figure-meter-above = above the dry reference, on the meter's scale
figure-infrared-moved = moved towards outdoors while the fan ran

check-air-change = air change
check-outdoor-air = outdoor air
check-decay-span = time constants between first and last reading
check-rate-interval = half width of the interval, share of the rate
check-build-up-span = time constants in the record
check-steady = time constants before the level was read
check-moisture-excess = moisture excess, against what one house in ten goes above
check-surface-mould = relative humidity at the surface
check-mould-month = highest mean humidity of 30 days (2009 edition)
check-mould-index = highest mould index (addendum e of 2016)
check-wood-moisture = moisture content
check-infrared-difference = indoors against outdoors
check-infrared-steady = time of steady temperatures

note-background-told = The record runs into its tail and tells the background better than it was read, so the background is fitted with the reading as what was known before.
note-background-fitted = No background was read; the record itself tells it.
note-background-moves = A background { $by } lower would make the rate { $lower }, one { $by } higher { $higher }.
note-background-unsure = Nothing says how well the background is known, and it is not in the interval. Zero the meter outdoors, or read the background with the same meter.
note-background-elsewhere = The record runs towards { $told }, not towards the background of { $read }: the meter is off, somebody was still there, or air came from another room.
note-background-lowest = No background was read. The lowest readings of the record, { $level }, stand for it; outdoors is at most that.
note-decay-tail = The last readings are close to the background, where the logarithm magnifies every error.
note-between-rooms = { $of }: another room rose meanwhile, so part of the fall is exchange between rooms. The air change is that of the rooms together.
note-only-between-rooms = { $of }: another room rose and the rooms together did not fall. This is exchange between rooms; it tells no outdoor air.
note-search-turned-down = { $count ->
    [one] Another fall was looked at and is no decay
   *[other] { $count } other falls were looked at and are no decays
    }: too short, not at one rate, or less than half of the excess lost.
note-no-plateau = The record ends at { $last } after { $turns } time constants. That is no plateau: three are needed. The level is the end of the fitted curve.
note-not-steady = Nothing shows that the level was steady. A level read too early is too low and makes the flow too high.
note-mass-from-table = Mass not given: the mean for sex and age is taken (from memory).
note-flows-disagree = The two ways to the flow do not meet: people, volume or mixing differ from what was taken.
note-exchange-untold = The data cannot tell the flow between { $of }.
note-outdoor-untold = The data cannot tell the outdoor air of { $of }.
note-two-zones-scatter = The readings lie { $scatter } about the fitted curves (standard deviation).
note-surface-once = One reading is a moment. Mould needs weeks: log the surface for a judgement.
note-mould-classes = The classes are coarse and real materials fall between them: read the index as a range over neighbouring classes.
note-no-month = The record holds no 30 days with a mean between 5 and 40 °C, so the 30-day rule says nothing.
note-wood-wetter = The wood is wetter than this air leaves it: water comes or came from elsewhere, or it is still drying.
note-wood-uncorrected = No correction for the species was given. Take it from the meter's own table, or say `species_correction = "0 %"` where the meter is set to the species.
note-wood-saturated = Above about 30 % (fibre saturation) such meters tell wet from dry, not how wet.
note-meter-wetter = { $of } reads above the dry place by more than chance.
note-meter-relative = The scale is the meter's own. It says where it is wetter, not how wet: salt, metal and density move it too.
note-meter-one-reference = With one dry reading nobody can say what is chance. Take three or more.
note-infrared-leak = { $of } moved towards outdoors while air was drawn in: outdoor air comes through there.
note-infrared-conduction = { $of } stood out beforehand and did not move: heat is lost through the material there.
note-infrared-no-pressure = The pressure of the house was not given. Only a house drawn down shows air leaks from indoors.
note-infrared-blown = The house was blown up: indoor air goes out through the leaks and leaves no trace on the inside.
note-infrared-no-accuracy = Nothing says what difference the camera tells, so no spot is judged.
