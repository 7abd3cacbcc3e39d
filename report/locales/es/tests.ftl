# Ensayos de campo: nombres de clases, cifras y comprobaciones; frases de los resultados.
# Los nombres son partes de una línea: sin mayúscula ni punto final. Las notas son frases.

field-title = Ensayos de campo
field-of = { $name }, { $of }
field-caution = Cuidado:
# What the tester touched or wrote.
field-note = Nota: { $note }

test-surface = humedad en una superficie
figure-dew-point = punto de rocío del aire
figure-surface-rh = humedad relativa en la superficie
figure-dew-margin = superficie por encima del punto de rocío
figure-surface-factor = factor de superficie
note-surface-wet = La superficie está en el punto de rocío o por debajo: en ella se condensa agua.
