# Lo que dicen las páginas de una casa y de un ensayo además de los catálogos work y report.

figure-flow50 = caudal a 50 Pa (CFM50)
figure-exponent = exponente n
figure-exponent-wind = exponente n, viento tenido en cuenta
figure-flow50-wind = caudal a 50 Pa (CFM50), viento tenido en cuenta
figure-ela-wind = área de fuga a 4 Pa (ELA), viento tenido en cuenta
figure-ela = área de fuga a 4 Pa (ELA)
figure-eqla = área de fuga a 10 Pa (EqLA)
figure-q50 = caudal a 50 Pa por área de envolvente (q50)
figure-nl = fuga normalizada (NL)
param-total = todas las fugas juntas, a 50 Pa

# $value
wanted-at-least = al menos { $value }
wanted-at-most = como máximo { $value }
not-measured = no medido
check-station-count = número de estaciones
check-lowest-pressure = presión más baja
check-highest-pressure = presión más alta
check-pressure-step = mayor paso entre estaciones
check-lowest-over-baseline = presión más baja frente a la línea base
check-baseline = línea base
check-baseline-split = línea base, lecturas positivas y negativas por separado
check-determination = r² de la recta
check-correlation = r de la recta
check-relative-error = error estándar del caudal a 10 Pa
check-exponent = exponente n
check-height-temperature = altura por diferencia de temperatura
check-wind = viento
check-outdoor-temperature = temperatura exterior
check-flow-accuracy = exactitud del instrumento de caudal
check-pressure-accuracy = exactitud del manómetro a 50 Pa
check-directions = sentidos ensayados
check-depressurised = series que despresurizan la casa
direction-depressurise = casa en depresión
direction-pressurise = casa en sobrepresión

fact-volume = volumen
fact-floor-area = superficie de suelo
fact-envelope-area = superficie de envolvente
fact-height = altura sobre el terreno
fact-includes = contado como interior
fact-indoor = interior
fact-outdoor = exterior
fact-indoor-rh = humedad interior
fact-outdoor-rh = humedad exterior
fact-wind = viento
fact-barometer = barómetro
fact-tester = técnico
fact-credential = acreditación
fact-firm = empresa

# $density
basis-fan-pressure = presión en el ventilador; caudal por la calibración introducida, a { $density }
basis-calibration-density = caudal como si el aire pesara { $density }
basis-actual-density = caudal del aire que hay
basis-envelope = caudal a través de la envolvente, temperaturas ya corregidas
basis-reference = caudal en condiciones de referencia, ya corregido del todo
basis-baseline-in = presión con la línea base todavía dentro
basis-baseline-out = presión con la línea base ya restada

# $date; $value
tested-on = visitada el { $date }
outside-at = { $value } fuera
wind-at = viento { $value }
# $measure; $what
evidence-year = { $measure }, año tal como está
evidence-flow = { $what }, en una noche fría
return-leak-way = fugas de los conductos de retorno

group-leaks = Fugas, caudal a 50 Pa
group-gaps = Puertas y trampillas, área libre cerradas
group-fans = Ventiladores tal como están instalados
group-drops = Filtros y baterías, caída de presión con el caudal nominal
group-shares = Manejadora de aire y conductos, partes del caudal
priced-by-you = precio puesto por usted
scored-over-year = año meteorológico

# $appliance, $zone
todo-combustion = Ensayar { $appliance }: revoco y monóxido de carbono
    .place = { $zone }
    .who = una persona cualificada; la norma local dice quién puede
    .change = se sabe si los gases de combustión quedan fuera de los cuartos, y los planes se pueden liberar o cambiar
    .with = nada; va primero
    .proof = tiempo de revoco y CO en la chimenea registrados, cada uno con su límite
# $plan
todo-plan = { $plan }
    .place = como se indica en el plan
    .who = contratistas de cada parte, con licencia donde la norma local la exige
    .change = véanse los planes uno junto a otro
    .with = las lecturas de abajo, repetidas después de la obra
    .proof = ensayo de la envolvente, caudales y una semana de lecturas después de la obra
# $measure, $from, $to
todo-gain-from-to = { $measure }: de { $from } a { $to }
todo-reading = una lectura más
    .place = en la casa
    .who = su técnico
    .change = la respuesta de arriba se vuelve más precisa
    .with = el ventilador de ensayo, donde se nombra
    .proof = el intervalo antes y después

caution-screening = Las presiones calculadas en el aparato son orientativas: deciden el revoco y el monóxido de carbono medidos después de la obra.
caution-lead-asbestos = Las casas anteriores a 1978 pueden tener pintura con plomo o amianto: una persona con licencia debe mirar los materiales sospechosos antes de tocarlos.

duct-supply = conductos de impulsión
duct-return = conductos de retorno
scene-cold-evening-title = Cómo se mueve el aire en una noche fría
scene-cold-evening = 2 °C (36 °F) fuera, sin viento, manejadora de aire en marcha, puertas como de noche, extractores parados.
# $flow, $door
ladder-drop = mueve { $flow } por { $door }
