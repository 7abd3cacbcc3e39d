# Palabras de los documentos y de los textos cortos.

estimate-range = { $value }, intervalo del { $level } de { $lo } a { $hi }
estimate-no-range = { $value }, sin intervalo: { $reason }
from-to = { $lo } a { $hi }
no-interval-typed = anotado sin instrumento
no-interval-assumed = supuesto
no-interval-few = demasiado pocos puntos
no-interval-exact = exacto
no-interval-not-computed = no se pudo calcular
no-interval-not-defined = la norma no da ninguno
no-interval-cannot-tell = los datos no lo dicen

terminal-because = porque
terminal-help = ayuda
terminal-and = y
terminal-count = { $errors ->
        [one] { $errors } error
       *[other] { $errors } errores
    }, { $warnings ->
        [one] { $warnings } aviso
       *[other] { $warnings } avisos
    }, { $notes ->
        [one] { $notes } nota
       *[other] { $notes } notas
    }

no-interval = sin intervalo: { $reason }
outdoors = exterior

# Estados de los números
state-measured = medido
state-measured-at = medido { $at }
state-computed = calculado
state-assumed = supuesto
state-assumed-by = supuesto: { $by }
states-measured = leído en el lugar
states-computed = obtenido de las lecturas
states-assumed = sin lectura que lo respalde
states-all = Todos estos:
stale-title = Desactualizado:

# Seguridad
safety-title = Seguridad
safety-limit = Límite publicado: { $limit }.
safety-never = Esta página no juzga ningún aparato ni ninguna casa. Dice lo que se midió y el límite publicado. Deciden las normas locales y los profesionales con licencia.

# Límites y veredictos
limit-title = límite
limit-label = límite { $limit }
limit-is = Límite: { $limit }
limit-at-most = como máximo { $value } ({ $source })
limit-at-least = al menos { $value } ({ $source })
limit-not-confirmed = límite no confirmado en su fuente
wind-counted-title = con viento
wind-counted = Con el viento tenido en cuenta: { $value }
wind-counted-decides = El veredicto se basa en este valor.
verdict-title = veredicto
verdict-pass = cumple
verdict-fail = no cumple
verdict-too-close = demasiado justo para decidir
verdict-not-confirmed = límite no confirmado: sin veredicto

# Partes del informe de una casa
complaints-title = Lo que nos contó y lo que lo explica
quoted = «{ $words }»
complaint-tested = Comprobado así: { $statement }
tightness-title = Qué tan hermética es la casa
ladder-title = Escalera de presiones
ladder-caption = El aire baja del peldaño más alto al más bajo. La línea es la media altura de la zona; la caja clara va de su suelo a su techo.
ladder-axis = Pa respecto al exterior, a la misma altura
flows-title = Todos los caudales de este dibujo
flows-caption = Junto a cada caudal está su intervalo del { $level }.
range-only = intervalo del { $level } de { $lo } a { $hi }
flows-way = de → a
flows-in = hacia la casa
flows-out = desde la casa
flows-within = dentro de la casa
flows-around = alrededor de la casa
flows-flow = caudal
flow-from-to = de { $from } a { $to } { $flow }
section-down-flue = baja por el conducto de humos { $flow }
key-outdoor = aire del exterior
key-buffer = a través de garaje, cámara sanitaria o ático
key-house = aire de la casa
key-sizes = ancho según el caudal:

tests-title = Ensayos
plot-flow-axis = caudal, { $unit }
plot-pressure-axis = diferencia de presión, Pa
plot-residuals = lectura menos recta, %
plot-residual-limit = límite { $limit }
plot-caption = Los puntos son lecturas, la recta está ajustada, la banda la contiene al { $level }. Un cuadrado tachado se leyó pero no se usó.

known-title = Antes y después de las lecturas
known-caption = Contorno discontinuo: lo que se sabía antes, por casas como esta. Barra llena: lo que se sabe después de { $readings } lecturas en esta casa. Barra clara: las lecturas dijeron poco de ello. Contornos y barras son intervalos del { $level }.
known-range = centro e intervalo
known-from-readings = por lecturas
known-share = { $share } por lecturas
undetermined-title = Lo que las lecturas no resolvieron
residuals-title = Lecturas frente al modelo
residuals-caption = Cada lectura junto a lo que el modelo ajustado espera de ella. La última columna es la diferencia, contada en incertidumbres típicas de la lectura; unas 19 de 20 deberían estar entre −2 y +2.
residual-reading = lectura
residual-read = leído
residual-expected = esperado
residual-z = diferencia, en incertidumbres
residual-suspect = dudosa, conservada con poco peso

plans-title = Planes lado a lado
plans-chance = Probabilidad de ser el mejor
plans-as-found = hoy
plans-target = meta { $target }
plans-hatched = A qué llega cada plan. Una barra es el intervalo con el centro marcado; lo rayado está más allá de la meta. Una raya: en ese plan no hay nada que calcular.
plans-held-note = Los planes retenidos no tienen parte en la barra; sus fichas dicen cómo quedarían si se liberaran.
# $share
plans-none-meet = En el { $share } de las casas que las lecturas permiten, ningún plan cumple todas las metas.
plan-best-share = El mejor en el { $share } de las casas que las lecturas permiten.
plan-if-released = Si se liberara: el mejor en el { $share }.
plan-targets = Cumple todas las metas en el { $share }.
plan-held-title = Retenido.
plan-held = Calculado, no liberado: { $reasons }.
plan-released = Liberado: nada de él lo nota un aparato de combustión.
# $conditions
plan-released-with = Liberado, con estas condiciones: { $conditions }.

todo-title = Qué hacer, en este orden
todo-where = Dónde
todo-who = Quién
todo-price = Precio
todo-gain = Se gana
todo-goes-with = Junto con
todo-proof = Comprobación
next-title = Lecturas que conviene tomar ahora
next-caption = Primero las que más dicen por minuto de trabajo.
next-reading = lectura
next-work = trabajo
next-gain = reduce el intervalo
next-narrower = más estrecho en { $share }
next-no-help = no ayuda
cautions-title = Tenga cuidado
instruments-title = Instrumentos
instrument-name = instrumento
instrument-serial = n.º { $serial }
instrument-accuracy-unknown = no se conoce
undecided-no-accuracy = Sin veredicto: falta la exactitud del manómetro o del ventilador, y el intervalo es demasiado estrecho.
# $licence
letterhead-licence = licencia { $licence }
# $phone
letterhead-phone = teléfono { $phone }
instrument-calibrated = calibrado
instrument-accuracy = exactitud
instrument-basis = qué muestra
provenance-title = De qué se hizo esta página
provenance-inputs = datos, huella
provenance-seed = semilla
provenance-engine = motor
provenance-made = hecho
made-with = Hecho con Airwright.

# Certificado de un ensayo
certificate-title = Ensayo de la envolvente
certificate-building = Edificio
certificate-weather = Clima
certificate-preparation = Preparación
certificate-tester = Quién midió
certificate-confirmed = Preguntado, y confirmado por quien ensayó
certificate-scope = El intervalo abarca la incertidumbre de los instrumentos, del ajuste y de las medidas del edificio, en lo que se declaró. Una comprobación fallida queda con el resultado.
certificate-place-date = Lugar y fecha
certificate-signature = Firma de quien midió
checks-title = Comprobaciones de validez
checks-signs = (−) casa por debajo del exterior, (+) casa por encima del exterior
checks-failed = { $failed ->
        [one] { $failed } comprobación falló: el resultado no cumple el procedimiento en este punto
       *[other] { $failed } comprobaciones fallaron: el resultado no cumple el procedimiento en estos puntos
    }
check-name = comprobación
check-found = hallado
check-wanted = exigido
check-source = fuente
check-state = resultado
check-holds = se cumple
check-failed = falla
check-undecided = no se puede decidir
