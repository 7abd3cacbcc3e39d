# Reglas de control: la tabla, la hoja de puesta en marcha, lo que mostró una prueba.
# Las oraciones empiezan con mayúscula y terminan con punto; lo demás es parte de una línea.

cli-rules-need-a-house = un conjunto listo necesita los nombres de una casa: añada `house.toml` al trabajo
rules-page-title = { $job }: reglas de control
rules-title = Reglas
rules-authority-title = Qué se puede mandar
rules-sheet-title = Hoja de puesta en marcha
rules-tested-title = Qué hizo cada regla al probarla
rules-sheet-caption = Pruebe cada regla en el lugar: provoque lo que está a la izquierda y marque lo que se vio.
rules-tried-by = probado por
rules-tried-on = fecha
rules-head-rule = regla
rules-head-when = condiciones
rules-head-keeps = a qué se atiene
rules-head-do = haga esto
rules-head-see = esto debe verse
rules-head-seen = visto
rules-see = debe verse:
rules-on-when = se activa si
rules-off-when = se apaga si
rules-own = su propio horario
# $most
rules-own-at-most = su propio horario, como máximo { $most }
# $most
rules-no-more-than = no más de { $most }
# $device, $on
rules-sets = Pone { $device } al { $on } mientras está activa.
# $device, $on, $off
rules-sets-and-rests = Pone { $device } al { $on } mientras está activa; reposa al { $off }.
# $device, $floor
rules-locks = Limita { $device } al { $floor } mientras está activa.
# $priority
rules-priority = Prioridad { $priority }.
# $time
rules-min-on = Funciona al menos { $time }.
rules-min-off = Descansa al menos { $time }.
rules-most-on = Actúa como máximo { $time } en 24 horas cualesquiera.
rules-lost-on = Si se pierde una señal: como si su condición se cumpliera.
rules-lost-off = Si se pierde una señal: como si su condición no se cumpliera.
rules-lost-let-go = Si se pierde una señal: el aparato sigue su propio horario.
# $acts, $flow, $exposure, $owed, $full, $repay
rules-debt = Deuda: { $acts } con { $flow } de aire exterior, contando la infiltración, suben la exposición relativa a { $exposure } y deben { $owed } de una exposición de más; { $full } lo pagan en { $repay }.
# $acts, $flow, $exposure, $owed, $full
rules-debt-never = Deuda: { $acts } con { $flow } de aire exterior, contando la infiltración, suben la exposición relativa a { $exposure } y deben { $owed } de una exposición de más; { $full } nunca lo pagan.
rules-advises = Este programa aconseja y exporta; solo manda lo que aquí se nombra como mandado.
# $device
rules-commanded = { $device }: se puede mandar; tiene horario propio, nota el silencio y vuelve a él.
# $device, $why
rules-refused = { $device }: solo se aconseja, porque { $why }.
rules-refused-device = no es un aparato que se pueda mandar
rules-refused-fallback = no tiene horario propio
rules-refused-heartbeat = nada hace que note el silencio a tiempo
rules-refused-loss = el silencio lo dejaría sin ventilar
rules-refused-permission = una chimenea lo podría sentir y no hay permiso anotado
# $signal
rules-bound-true = { $signal } verdadera
rules-bound-false = { $signal } falsa
# $signal, $value
rules-bound-at = { $signal } en { $value }
rules-bound-above = { $signal } por encima de { $value }
rules-bound-below = { $signal } por debajo de { $value }
# $signal, $low, $high
rules-bound-between = { $signal } entre { $low } y { $high }
# $condition
rules-bound-so-that = de modo que se cumpla: { $condition }
# $what
rules-provoke = Provoque: { $what }.
rules-undo = Deshágalo.
# $time
rules-provoke-cap = Déjelo seguir más de { $time } o adelante el reloj del aparato.
# $signal
rules-provoke-lost = Quite la señal { $signal }: desconecte o tape lo que la mide.
# $device, $at, $time
rules-see-on = { $device } pasa a { $at } en { $time }.
rules-see-off = { $device } vuelve a { $at } en { $time }.
rules-see-cap = { $device } vuelve a { $at } en { $time } de todos modos.
# $time
rules-see-stays = Sigue así al menos { $time }.
rules-as-expected = como se esperaba
rules-not-as-expected = no como se esperaba
rules-stage-rest = nada llama
# $number
rules-stage-provoke = condición, modo { $number }
rules-stage-cap = la condición sigue y sigue
rules-stage-end = terminada
rules-stage-lose = una señal perdida
rules-is-on = activa
rules-is-off = apagada
# $stage, $held, $state, $device, $setting
rules-part = { $stage }, { $held }: { $state }, { $device } en { $setting }
rules-part-wrong = { $stage }, { $held }: { $state }, { $device } en { $setting } (no se esperaba)
# $count
rules-without = { $count ->
        [one] un modo de la condición no se pudo provocar solo: pruébelo en el lugar
       *[other] { $count } modos de la condición no se pudieron provocar solos: pruébelos en el lugar
    }
# $rule, $device, $setting
rules-event-on = { $rule }: activa, { $device } en { $setting }
rules-event-off = { $rule }: apagada, { $device } en { $setting }
rules-event-lost = { $rule }: se perdió una señal, { $device } en { $setting }
rules-event-back = { $rule }: volvieron todas las señales, { $device } en { $setting }
rules-nothing-happened = Ninguna regla se activó ni se apagó.
# $owed
rules-owed-at-end = Se debe al final: { $owed } de una exposición de más.
# Un año con y sin las reglas.
rules-year-found = Un año en la casa como se encontró y ajustó, sin y con las reglas
# $plan
rules-year-plan = Un año con el plan { $plan }, sin y con las reglas
# $without, $with
rules-year-air = Aire exterior directo a los cuartos: { $without } sin, { $with } con.
rules-year-electricity = Electricidad: { $without } sin, { $with } con.
# $room, $without, $with
rules-year-co2 = { $room }, CO2 de noche, como máximo en 95 de 100 horas: { $without } sin, { $with } con.
rules-year-damp = { $room }, por encima del 60 % de humedad: { $without } sin, { $with } con.
rules-year-particles = { $room }, PM2.5 media: { $without } sin, { $with } con.
rules-some-missing = Algunas reglas no se pudieron leer y faltan aquí: corríjalas antes de usar esta hoja.

# Señales de las reglas en palabras llanas. $place: un recinto o un aparato
signal-room-temp = temperatura en { $place }
signal-room-rh = humedad relativa en { $place }
signal-room-dew-point = punto de rocío en { $place }
signal-room-humidity-ratio = razón de humedad en { $place }
signal-room-humidity-rise = razón de humedad en { $place } por encima de la de la casa
signal-room-co2 = CO2 en { $place }
signal-room-pm25 = PM2,5 en { $place }
signal-room-people = personas en { $place }
signal-device-on = { $place } en marcha
signal-device-flow = aire a través de { $place }
signal-device-pressure = presión a través de { $place }
signal-device-filter-drop = caída de presión en el filtro de { $place }
signal-device-power = electricidad de { $place }
signal-device-run-share = parte de la última hora en que funcionó { $place }
signal-device-coil-water = agua en el serpentín de { $place }
signal-device-mixing-power = potencia que cuesta mezclar con { $place }
signal-device-leak-air = aire exterior por fugas de conductos de { $place }
signal-outdoor-temp = temperatura exterior
signal-outdoor-rh = humedad relativa exterior
signal-outdoor-dew-point = punto de rocío exterior
signal-outdoor-humidity-ratio = razón de humedad exterior
signal-outdoor-pm25 = PM2,5 exteriores
signal-outdoor-co2 = CO2 exterior
signal-outdoor-wind = velocidad del viento
signal-outdoor-smoke = aviso de humo
signal-time-hour = hora del día
signal-time-weekday = día de la semana, 1 es lunes
signal-time-month = mes
signal-house-relative-exposure = exposición sobre la del caudal fijado
signal-house-debt = exposición que se debe
signal-house-outdoor-air = aire exterior que entra en la casa
signal-house-mean-age = edad media del aire
signal-house-pressure = presión de la casa respecto al exterior
signal-house-lowest-co2 = CO2 en el recinto que menos tiene
signal-house-lowest-pm25 = PM2,5 en el recinto que menos tiene
signal-house-temp = temperatura media de los recintos
signal-house-humidity-ratio = razón de humedad media de los recintos
signal-house-windows-open = una ventana está abierta
signal-cooktop-on = cocina encendida
signal-cooktop-presence = alguien ante la cocina
signal-cooktop-temp-rise = temperatura sobre la cocina por encima del recinto
device-air-handler = manejadora de aire
device-dehumidifier = deshumidificador
device-ventilator = ventilador de aire exterior
rule-word-and = y
rule-word-or = o
rule-word-not = no
rule-word-in = es una de
rule-word-always = siempre
