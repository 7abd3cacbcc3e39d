# Field tests: names of kinds, figures and checks; sentences of results.
# Names are parts of a line: no capital, no full stop. Notes are sentences.

field-title = Field tests
field-of = { $name }, { $of }
field-caution = Caution:
# What the tester touched or wrote.
field-note = Note: { $note }

test-surface = moisture at a surface
figure-dew-point = dew point of the air
figure-surface-rh = relative humidity at the surface
figure-dew-margin = surface above the dew point
figure-surface-factor = surface factor
note-surface-wet = The surface is at or below the dew point: water condenses on it.
