# Hallazgos: el marco de lo que dice cada hallazgo (findings-rules.ftl, findings-names.ftl).
# Las frases empiezan con mayúscula y terminan con punto; lo demás es parte de una línea.

findings-title = Hallazgos
findings-appendix = Otros hallazgos
findings-appendix-caption = No tocan ninguna queja ni ningún peligro.
findings-caption = A qué apuntan los números, primero los peligros. La probabilidad es la del patrón, dada la duda de las lecturas; las partes de las causas son pesos aproximados sin fuente, movidos por lo demás que se encontró.
findings-none = No se encontró nada que toque un peligro, una lectura o una queja.
findings-group-hazard = Peligro
findings-group-quality = Sobre las lecturas
findings-group-complaint = Sobre una queja
findings-group-other = Otros
# $share
findings-chance = probabilidad { $share }
findings-chance-over = probabilidad de más del 99 %
findings-likely = probable
findings-unlikely = poco probable, no descartado
findings-look = merece una mirada
findings-look-limit = merece una mirada, porque un límite no está confirmado
findings-look-practice = merece una mirada, porque se apoya en práctica común
# $by
findings-held = retenido por otro hallazgo: { $by }
# $by
findings-doubted = La propia lectura está en duda: { $by }
# $words
findings-complaint = queja: { $words }
findings-rests = se apoya en
findings-limits = comparado con
findings-causes = podría ser
# $cause, $share
findings-cause = { $cause } ({ $share })
# $cause, $share
findings-cause-moved = { $cause } ({ $share }, movido por otros indicios)
findings-test = siguiente ensayo
# $time
findings-test-takes = lleva { $time }
findings-test-now = ahora
# $test
findings-test-sheet = se guarda como ensayo `{ $test }` en visit.toml
findings-refuted = hablaría en contra
findings-remedy = suele hacer falta
findings-change = para plans.toml, donde lo juzga la barrera de seguridad
findings-who = quién puede hacerlo
findings-who-must = quién debe actuar
findings-caution = cuidado
findings-source = patrón según
# $value, $source
findings-limit = { $value }, { $source }
findings-yes = sí
findings-no = no
findings-mark-seen = leído en la fuente misma
findings-mark-derived = se deduce de una fórmula
findings-mark-memory = límite no confirmado
findings-mark-practice = práctica común, sin fuente
findings-mark-adopted = en vigor, según se escribió
# $test, $visit
findings-from-test = ensayo { $test }, { $visit }
# $visit
findings-from-reading = lectura, { $visit }
# $visit
findings-from-conditions = escrito en { $visit }
findings-from-fit = todas las lecturas juntas
findings-from-complaint = queja
findings-from-house = archivo de la casa
# $note
findings-from-seen = visto: { $note }
findings-from-seen-bare = visto
findings-not-found = Buscado y no encontrado
findings-not-found-caption = Estos patrones no se cumplen en las lecturas que hay. Eso no descarta nada: habla solo de estas lecturas.
findings-silent = En silencio, por falta de algo
# $rules, $found, $not, $silent
findings-counts = { $rules } reglas: { $found } tienen algo que decir, el patrón de { $not } no se cumple, { $silent } callan por falta de una lectura.
findings-ask-all = Con --all se ven, y lo que faltó a cada regla callada.
# $quantity
findings-lacks = no se sabe: { $quantity }
# $quantity
findings-lacks-typed = nadie dijo: { $quantity } (un `[[seen]]` en findings/*.toml)
# $quantity, $setup
findings-lacks-setup = { $quantity }: no consta si { $setup }
# $quantity, $setup
findings-lacks-state = { $quantity }: no tomado con { $setup }
findings-any-of = basta uno de estos
setup-doors-open = puertas abiertas
setup-doors-shut = puertas cerradas
setup-handler-on = manejadora de aire en marcha
setup-handler-off = manejadora de aire parada
setup-fan-at-50-Pa = el ventilador de ensayo con la casa a 50 Pa
setup-test-fan-on = el ventilador de ensayo en marcha
setup-whole-house-fan-on = el ventilador general en marcha
setup-exhausts-on = extractores en marcha
setup-windows-shut = ventanas cerradas
setup-heating-season = frío fuera
setup-outdoor-smoke = humo en el exterior
setup-asleep = gente dormida en el cuarto
who-tester = quien ensaya
who-occupant = quien vive allí
who-crew = la cuadrilla que sella, aísla y monta conductos
who-hvac = una empresa habilitada de climatización
who-appliance = una persona habilitada para el aparato y su conducto de humos
who-emergency = emergencias, llamadas desde el exterior
who-radon = una persona certificada en mitigación de radón
who-controls = quien instaló los sensores o el control
