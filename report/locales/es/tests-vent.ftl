# Caudales de extracción y ventilación, caudales de la vivienda, infiltración, facturas.
# Los nombres son partes de una línea: sin mayúscula ni punto final. Las notas son frases.

test-fan-flow = caudal de un ventilador
figure-fan-flow = caudal
figure-fan-flow-shown = caudal mostrado, antes de corregir
figure-back-pressure = presión que la campana o la caja opone al ventilador
figure-flow-lowered = parte en que eso rebajó la lectura
figure-site-factor = factor de lugar de la sonda
check-fan-flow = caudal mínimo
check-local-exhaust = extracción local
check-box-pressure = presión en la caja
note-hood-not-corrected = La campana frena al ventilador y rebaja el caudal; cuánto, está en el intervalo y no en el valor. Indique la resistencia de la campana y la presión del ventilador para corregirlo.
note-box-not-corrected = La caja frena al ventilador y rebaja el caudal; indique la presión del ventilador para corregirlo.
note-fan-curve-unknown = Solo se conoce la presión del ventilador en marcha: la corrección está entre ninguna y la de una curva plana, y se toma el punto medio.
note-site-unknown = Nadie ha comparado la sonda con un caudal fiable en este lugar: se toma la velocidad mostrada por la media del conducto, y rara vez lo es.
note-site-other-probe = El factor de lugar se obtuvo con otra sonda; los errores de ambas están en el intervalo.
note-site-factor-odd = El factor de lugar está lejos de lo que da una sonda en un conducto redondo (0,8 a 1): compruebe el tamaño del conducto, la unidad y dónde está la sonda.
note-kitchen-volume-missing = La extracción continua de una cocina se exige según el volumen de la cocina, que no se ha indicado.

test-settled-reading = lectura estabilizada
figure-outdoor-behind-duct = temperatura exterior, sin el calor del conducto
figure-settled = valor estabilizado
figure-wait = espera desde el arranque hasta estar cerca
figure-time-constant = constante de tiempo
figure-standing-share = parte de la diferencia con el local que el conducto nunca pierde
note-record-flat = El registro no muestra cambio mayor que su dispersión: el valor es su media.
note-record-settles = El registro se estabiliza: las lecturas posteriores valen tal como están.
note-record-extrapolated = El registro termina antes de estabilizarse: el valor es adonde lleva la curva, no lo que se leyó.
note-record-drifts = El registro aún está en camino y no dice hacia dónde: lea durante más tiempo.
note-record-gaps = { $gaps } { $gaps ->
        [one] fila es un hueco y se dejó
       *[other] filas son huecos y se dejaron
    } fuera.

test-recovery-balance = equilibrio y recuperación de calor
figure-imbalance = impulsión menos extracción, sobre la mayor
figure-effectiveness-sensible = eficacia sensible
figure-effectiveness-apparent = eficacia sensible aparente
figure-effectiveness-without-fans = recuperación sensible sin el calor de los ventiladores
figure-effectiveness-latent = eficacia latente
figure-effectiveness-total = eficacia total
figure-heat-balance = calor tomado sobre calor cedido
figure-carried-over = aire de los locales en la impulsión
figure-outdoor-air-supplied = aire exterior en la impulsión
check-balance = equilibrio de impulsión y extracción
note-heat-balance-open = La impulsión y la extracción no intercambian el mismo calor: un caudal, una temperatura o la mezcla ante una sonda está mal, o pasa aire de un lado a otro. Hasta hallarlo, la eficacia dice poco.
note-effectiveness-impossible = Una eficacia menor que 0 o mayor que el 100 % no puede ser: compruebe qué conducto es cuál.
note-small-difference = El interior y el exterior están a temperaturas parecidas: pequeños errores de las sondas pesan mucho.
note-carry-over-unknown = El aire que pasa a través del núcleo cuenta aquí como recuperación; un trazador dice cuánto es.

test-ventilation-rate = aire exterior de toda la vivienda
figure-fan-delivered = caudal que dan los ventiladores
figure-fan-needed-balanced = caudal de ventilador necesario, equilibrado
figure-fan-needed-one-way = caudal de ventilador necesario, en un sentido
figure-ventilation-total = aire exterior necesario en total
figure-infiltration-credited = infiltración
figure-outdoor-air = aire exterior de ventiladores e infiltración juntos
figure-local-shortfall = suma de lo que falta en las extracciones locales
figure-ventilation-added = añadido por ello
figure-exposure-mean = exposición relativa, media
figure-exposure-peak = exposición relativa, máxima
check-whole-house-fan = caudal de ventilador de toda la vivienda
check-exposure-mean = exposición relativa media
check-exposure-peak = exposición relativa máxima
note-credit-not-given = Esta regla no descuenta nada por infiltración.
note-credit-no-factor = No se descuenta nada por infiltración: no se conoce el factor climático del lugar. Tómelo de la tabla de la propia norma.
note-credit-no-envelope-test = No se descuenta nada por infiltración: no hay ensayo de la envolvente.
note-credit-from-model = La infiltración viene de un modelo que la regla no nombra: la comparación no decide.
note-credit-capped = En una vivienda nueva la infiltración puede descontar dos tercios como máximo, y descontaría más.
note-schedule-averaged = Algunos ventiladores no funcionan siempre; sin el volumen de la casa su caudal se promedia en el día, lo que favorece demasiado.
note-schedule-equivalent = Algunos ventiladores no funcionan siempre: el caudal indicado es el constante con la misma exposición media.
note-no-whole-house-fan = No se indica ningún ventilador para toda la vivienda: nada se compara con el caudal exigido.
note-no-air-at-all = El horario no da aire en ningún momento.

test-tightness-room = margen para hacer más estanca la casa
figure-tightness-room = caudal a 50 Pa que se puede sellar antes de pasar el límite
figure-least-flow50 = caudal mínimo a 50 Pa para el límite
figure-depressurisation = depresión con todo en marcha, calculada
figure-depressurisation-measured = depresión con todo en marcha, medida
check-depressurisation = depresión calculada
check-depressurisation-measured = depresión medida
note-depressurisation-differs = La depresión medida no es la calculada: un caudal está mal, funcionaba algo más o la fuga era otra.
note-no-tightness-room = Según el límite escrito aquí no queda margen: con todo en marcha la presión calculada lo pasa. El aire de reposición o menos extracción va antes que sellar.
note-depressurisation-calm = Calculado para aire en calma; el viento y el tiro se suman. No sustituye a un ensayo de revoco.

test-infiltration = infiltración
figure-infiltration = infiltración media actual
figure-infiltration-moment = infiltración con este tiempo
figure-infiltration-change = renovaciones por infiltración
figure-infiltration-effective = caudal constante con el mismo efecto sobre el aire
figure-stack-share = parte debida al tiro
note-infiltration-accuracy-not-stated = El texto de este modelo no indica exactitud, por eso no hay intervalo; es una cifra aproximada.
note-infiltration-one-moment = Vale para el tiempo de la visita, no para un año.

test-bills = facturas y clima
figure-use-base = consumo que no sigue al clima
figure-use-mean = consumo medio de las facturas
figure-heating-slope = consumo de más por cada grado más frío
figure-heating-balance = temperatura exterior a la que empieza la calefacción
figure-cooling-slope = consumo de más por cada grado más cálido
figure-cooling-balance = temperatura exterior a la que empieza la refrigeración
figure-heat-loss = pérdida de calor de la casa según las facturas
figure-heating-outdoor = temperatura exterior media de la calefacción
figure-usual-year = consumo de un año usual
figure-explained = parte explicada de la variación
note-bills-too-few = { $fuel }: { $periods } { $periods ->
        [one] factura no basta
       *[other] facturas no bastan
    } para separar el consumo del clima; { $wanted } son el mínimo, un año es mejor.
note-bills-no-season = { $fuel }: las facturas tienen muy poca diferencia de clima para separar calefacción o refrigeración del resto.
note-bills-no-slope = { $fuel }: ningún consumo que siga al clima se distingue de la dispersión.
note-bills-not-a-year = { $fuel }: las facturas cubren { $days } días, menos de un año; no se sabe qué pasa en los demás meses.
note-bills-base-hidden = { $fuel }: apenas hay una factura sin calefacción, así que la base y la temperatura de equilibrio no se distinguen; solo se indica la pendiente.
note-bills-autocorrelated = { $fuel }: facturas vecinas yerran igual (correlación { $r }); se ampliaron los intervalos. Busque un cambio en la casa, en sus habitantes o en sus equipos.
note-bills-estimated = { $fuel }: { $merged } { $merged ->
        [one] lectura estimada se unió
       *[other] lecturas estimadas se unieron
    } a la factura siguiente.
note-bills-open-end = { $fuel }: se dejó fuera una lectura estimada sin otra buena después.
note-bills-means-only = { $fuel }: solo se conocen temperaturas medias de las facturas; en meses suaves se pierden días a ambos lados de la temperatura de equilibrio. Las temperaturas diarias son mejores.
note-bills-usual-weather = Las temperaturas son de un año usual, no de los días de las facturas: las pendientes son aproximadas.
