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
states-all = Todo esto:
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
ladder-caption = El aire cae de un peldaño alto a uno bajo. La línea es el medio de la zona; la caja clara va de su suelo a su techo.
ladder-axis = Pa respecto al exterior, a la misma altura
flows-title = Todos los caudales en este estado
flows-caption = El intervalo del { $level } está junto a cada caudal.
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
known-caption = Contorno discontinuo: antes, para casas como esta. Barra llena: después de { $readings } lecturas en esta casa. Barra clara: las lecturas dijeron poco. Todas las barras abarcan el { $level }.
known-range = medio e intervalo
known-from-readings = por lecturas
known-share = { $share } por lecturas
undetermined-title = Lo que las lecturas no resolvieron
residuals-title = Lecturas frente al modelo
residuals-caption = Cada lectura junto a lo que las demás hacen esperar. La última columna es la diferencia en incertidumbres típicas; 19 de 20 están entre −2 y +2.
residual-reading = lectura
residual-read = leído
residual-expected = esperado
residual-z = diferencia (1)
residual-suspect = dudosa, conservada con poco peso

plans-title = Planes lado a lado
plans-chance = Probabilidad de ser el mejor
plans-as-found = hoy
plans-target = meta { $target }
plans-hatched = A qué llega cada plan. Una barra es el intervalo con el medio marcado; lo rayado está más allá de la meta. Una raya: en ese plan no hay nada que calcular.
plans-held-note = Los planes retenidos no tienen parte en la barra; sus fichas dicen cómo quedarían si se liberaran.
# $share
plans-none-meet = En el { $share } de las casas que las lecturas permiten, ningún plan cumple todas las metas.
plan-best-share = El mejor en el { $share } de las casas que las lecturas permiten.
plan-if-released = Si se liberara: el mejor en el { $share }.
plan-targets = Cumple todas las metas en el { $share }.
plan-held-title = Retenido.
plan-held = Calculado, no liberado: { $reasons }.
plan-released = Liberado: ningún aparato de combustión nota nada de él.
# $conditions
plan-released-with = Liberado, con estas condiciones: { $conditions }.

todo-title = Qué hacer, en este orden
todo-where = Dónde
todo-who = Quién
todo-price = Precio
todo-gain = Se gana
todo-goes-with = Va con
todo-proof = Prueba
next-title = Lecturas que conviene tomar ahora
next-caption = Primero la mejor por minuto de trabajo.
next-reading = lectura
next-work = trabajo
next-gain = más estrecho
next-narrower = más estrecho en { $share }
next-no-help = no ayuda
cautions-title = Tenga cuidado con
instruments-title = Instrumentos
instrument-name = instrumento
instrument-serial = n.º { $serial }
instrument-calibrated = calibrado
instrument-accuracy = exactitud
instrument-basis = qué muestra
provenance-title = De qué se obtuvo esto
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
certificate-scope = El intervalo contiene la incertidumbre de los instrumentos, del ajuste y de las medidas del edificio en cuanto se declararon. Una comprobación fallida queda con el resultado.
certificate-place-date = Lugar y fecha
certificate-signature = Firma de quien midió
checks-title = Comprobaciones de validez
checks-failed = { $failed ->
        [one] { $failed } comprobación falló: el resultado no cumple el procedimiento en este punto
       *[other] { $failed } comprobaciones fallaron: el resultado no cumple el procedimiento en estos puntos
    }
check-name = comprobación
check-found = hallado
check-wanted = pedido
check-source = fuente
check-state = resultado
check-holds = se cumple
check-failed = falla
check-undecided = no se puede decidir
