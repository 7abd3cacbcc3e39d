# El teléfono: un ensayo desde la puerta hasta la hoja. Las claves sin valores se envían a la página.

# $date
phone-job-name = Ensayo de la envolvente del { $date }
phone-gauge = manómetro
phone-fan = ventilador de ensayo
phone-basement-in = sótano contado como interior
phone-basement-out = sótano contado como exterior
phone-basement-none = sin sótano

# Definiciones de tamaños, de memoria, con nuestras palabras
phone-volume-iso = Interior de la parte calefactada, refrigerada o ventilada del edificio: su superficie por la altura libre media. Los muebles no se descuentan.
phone-volume-astm = Todo el aire dentro de la parte ensayada, medido por dentro: superficie por altura de techo, cuarto por cuarto.
phone-volume-cgsb = Todo el aire dentro de la parte ensayada, medido por dentro, con el sótano.
phone-volume-resnet = Todo el aire dentro de la parte acondicionada que alcanza el ventilador. Los forjados entre plantas cuentan; un garaje adosado no.
phone-floor-iso = Todos los suelos de la parte ensayada, medidos entre las caras interiores de los muros exteriores.
phone-floor-astm = Todos los suelos de la parte ensayada, cada planta, medidos por dentro.
phone-floor-cgsb = Todos los suelos de la parte ensayada, cada planta, con el sótano.
phone-floor-resnet = Suelo del espacio acondicionado, medido como lo define su propia cláusula.
phone-envelope-iso = Muros, suelos y techos alrededor del volumen ensayado, medidos por dentro sin descontar tabiques, con las partes enterradas y los muros medianeros.
phone-envelope-astm = Toda superficie entre interior y exterior, o entre interior y espacio no acondicionado.
phone-envelope-cgsb = Toda superficie alrededor del volumen ensayado, con las partes enterradas, medida por dentro.
phone-envelope-resnet = Toda superficie alrededor del volumen ensayado: muros, suelo más bajo, techo más alto.
phone-definition-note = De memoria, con nuestras palabras: lea la definición en su edición.

# Preparación. Las palabras de un estado dependen de qué es.
phone-prep-note = Preparación habitual, de memoria: compruebe su edición y cambie lo que difiera.
phone-prep-appliance = Aparatos de combustión y sus conductos de humos
phone-prep-fireplace = Chimenea (sin fuego, cenizas tapadas)
phone-prep-air-handler = Manejadora de aire
phone-prep-ventilation = Ventilación de toda la casa
phone-prep-exhaust-fans = Extractores de baño y otros
phone-prep-range-hood = Campana de cocina
phone-prep-dryer = Secadora y su salida
phone-prep-windows = Ventanas y puertas exteriores
phone-prep-inside-doors = Puertas interiores
phone-prep-attic-hatch = Trampillas del ático y del espacio bajo suelo
phone-prep-trickle-vents = Aireadores
phone-prep-combustion-air = Aberturas de aire de combustión y de reposición
phone-prep-registers = Rejillas de impulsión y de retorno
phone-prep-room-coolers = Acondicionadores de ventana y de pared
phone-prep-traps = Sifones
phone-state-opening-open = abierto
phone-state-opening-closed = cerrado
phone-state-opening-sealed = sellado
phone-state-fan-open = apagado, como está
phone-state-fan-closed = apagado, compuerta cerrada
phone-state-fan-sealed = apagado, sellado
phone-state-device-open = en marcha
phone-state-device-closed = desconectado
phone-state-device-sealed = desconectado, sellado
phone-state-trap-open = como están
phone-state-trap-closed = llenos de agua
phone-state-trap-sealed = sellados
phone-restored = repuesto
phone-to-restore = por reponer

# Qué muestran manómetro y ventilador
phone-basis-gauge-in = Este manómetro muestra la presión con la de base incluida, sin restar.
phone-basis-gauge-out = Este manómetro muestra la presión con la de base ya restada.
# $density
phone-basis-calibration-density = Este ventilador muestra el caudal como si el aire pesara { $density }.
phone-basis-actual-density = Este ventilador muestra el caudal del aire que hay.
phone-basis-through-envelope = Este ventilador muestra el caudal a través de la envolvente, ya corregido por temperaturas.
phone-basis-reference-conditions = Este ventilador muestra el caudal en condiciones de referencia, ya corregido del todo.
# $density
phone-basis-fan-pressure = Este ventilador muestra su propia presión; la calibración, hecha a { $density }, la convierte en caudal.
# $number, $shows
phone-basis-of-fan = Ventilador { $number }: { $shows }
phone-basis-not-chosen = Elija qué muestra el ventilador.
phone-shows-calibration-density = caudal a la densidad de calibración
phone-shows-actual-density = caudal a la densidad real
phone-shows-through-envelope = caudal a través de la envolvente
phone-shows-reference-conditions = caudal en condiciones de referencia
phone-shows-fan-pressure = presión en el ventilador

# Veredictos
phone-verdict-pass = Cumple: todo el intervalo respeta el límite.
phone-verdict-fail = No cumple: todo el intervalo rebasa el límite.
phone-verdict-too-close = Demasiado justo: el límite cae dentro del intervalo.
phone-verdict-not-confirmed = Sin veredicto: nadie ha confirmado el límite en su propio texto.
phone-verdict-no-limit = No se ha escrito ningún límite.
phone-verdict-no-accuracy = Sin veredicto: falta la exactitud del manómetro o del ventilador, y el intervalo es demasiado estrecho.
phone-verdict-no-basis = Sin veredicto: no está dicho qué muestra el ventilador.
phone-verdict-no-interval = Sin veredicto: se sabe demasiado poco para un intervalo.

# Lo que falta
phone-missing-profile = Elija la norma.
phone-missing-direction = Elija el sentido.
phone-missing-date = Falta la fecha del ensayo.
phone-missing-place = Nombre el lugar.
phone-missing-altitude = Escriba la altitud o el barómetro; hasta entonces se toma el nivel del mar.
phone-missing-volume = Escriba el volumen; sin él no hay renovaciones.
phone-missing-basement = Diga si el sótano cuenta como interior.
phone-missing-gauge-accuracy = Escriba la exactitud del manómetro.
phone-missing-fan-accuracy = Escriba la exactitud del ventilador.
phone-missing-fan-shows = Diga qué muestra el ventilador.
phone-missing-calibration = Escriba la calibración del ventilador.
phone-missing-range-names = Dé un nombre a cada rango del ventilador, con sus palabras.
phone-missing-preparation = Recorra la lista de preparación.
phone-missing-indoor = Escriba la temperatura interior; hasta entonces se toman 20 °C (68 °F).
phone-missing-outdoor = Escriba la temperatura exterior; hasta entonces se toman 20 °C (68 °F).
phone-missing-baseline-before = Lea la presión de base antes de los puntos.
phone-missing-baseline-after = Lea la presión de base después de los puntos.
phone-missing-tester = Escriba el nombre de quien ensaya.
# $have, $wanted
phone-missing-stations = { $have } de { $wanted } puntos.

# Preguntas sobre valores que se contradicen. Nuestras, práctica común.
# $typed
phone-ask-number = Esto no es un número: { $typed }
    .help = Escriba cifras con un solo signo decimal.
# $height
phone-ask-volume-floor = El volumen entre la superficie da { $height }. ¿Es eso una planta?
    .help = Los cuartos suelen tener de 2 a 6 m (7 a 20 ft) de alto. Compruebe ambos tamaños y sus unidades.
# $area, $volume
phone-ask-envelope-small = Ningún cuerpo de { $volume } tiene tan poca superficie como { $area }.
    .help = Compruebe volumen y superficie de la envolvente; deje fuera los muros medianeros solo si la norma lo hace.
# $area, $volume
phone-ask-envelope-large = { $area } de envolvente es mucho para { $volume }.
    .help = Compruebe volumen y superficie de la envolvente, y sus unidades.
phone-ask-envelope-floor = La superficie de la envolvente es menor que la de los suelos.
    .help = La envolvente son muros, suelo más bajo y techo juntos. Compruebe qué número está en cada sitio.
phone-ask-gauge-accuracy = El manómetro no tiene exactitud, y el intervalo no la incluye.
    .help = Escríbala del certificado, por ejemplo 1 % o 0,25 Pa. Hasta entonces no hay veredicto.
phone-ask-fan-accuracy = El ventilador no tiene exactitud, y el intervalo no la incluye.
    .help = Escríbala del certificado, por ejemplo 4 %. Hasta entonces no hay veredicto.
# $typed
phone-ask-calibration-date = Esto no es una fecha: { $typed }
    .help = Escríbala como año, mes y día: 2026-03-02.
# $date
phone-ask-calibration-future = La calibración está en el futuro: { $date }
    .help = Compruebe la fecha y el reloj de este teléfono.
# $date
phone-ask-calibration-old = La calibración tiene más de un año: { $date }
    .help = Muchos protocolos piden una cada año. Lea el suyo; la hoja muestra la fecha.
# $low, $high
phone-ask-calibration-span = Esta calibración ha de valer de { $low } a { $high }.
    .help = La presión menor va primero.
phone-ask-calibration-table = Esta tabla no crece en las dos columnas.
    .help = Más presión en el ventilador es más caudal. Busque dos números cambiados o una cifra equivocada.
# $typed, $low, $high
phone-ask-outside-span = La calibración de este rango vale de { $low } a { $high }, no para { $typed }.
    .help = La estación queda fuera. Nombre el rango que se usó, o repita la estación en otro.
# $typed
phone-ask-humidity = ¿Una humedad relativa de { $typed } %?
    .help = Este ensayo la toma en tanto por ciento: 45 para el 45 %.
# $typed, $unit, $other
phone-ask-temperature = ¿{ $typed } { $unit }? Parecen { $other }.
    .help = Este ensayo toma { $unit }. Convierta la lectura o cambie las unidades.
# $typed, $expected
phone-ask-barometer = El barómetro dice { $typed }; a esta altitud lo habitual son unos { $expected }.
    .help = Los pronósticos dan la presión reducida al nivel del mar. Escriba lo que muestra un barómetro en la casa, o déjelo vacío.
# $typed, $limit
phone-ask-pressure-high = { $typed } es más de lo que se ensaya en una casa ({ $limit }).
    .help = Compruebe el signo decimal y qué canal se leyó.
# $typed
phone-ask-sign = ¿{ $typed } mientras el ventilador mete aire?
    .help = Una casa presurizada está por encima del exterior. Compruebe los tubos y el sentido.
# $typed, $baseline
phone-ask-within-baseline = { $typed } no pasa de la presión de base, { $baseline }.
    .help = Aquí el ventilador no añade nada. Compruebe la lectura, el signo de la base y el sentido.
# $typed, $expected; $meant es "none" donde no cabe ninguna potencia de diez
phone-ask-decade = { $typed } no va con los otros puntos, que hacen esperar unos { $expected }.{ $meant ->
        [none] {""}
       *[other] {" "}¿Son { $meant }?
    }
    .help = Compruebe las cifras, el rango del ventilador y la unidad.
# $typed, $low, $high, $pressure
phone-ask-not-rising = { $high } a { $pressure }, y sin embargo { $low } a menos presión.
    .help = Más presión pide más caudal. Busque una puerta que se movió, una ráfaga o dos números cambiados.
# $typed, $station
phone-ask-same-pressure = { $typed } ya está en el punto { $station }.
    .help = Una recta pide presiones distintas. Cambie el ventilador unos pascales o corrija el número.
# $baseline
phone-ask-baseline-unused = El manómetro resta la presión de base, y sin embargo se escribió { $baseline }.
    .help = Una base ya restada no se usa otra vez. Si el manómetro no la resta, dígalo.
# $baseline
phone-ask-baseline-out = Los puntos caen en una recta solo si la base de { $baseline } ya está restada de ellos.
    .help = ¿Restó el manómetro la presión de base? Entonces dígalo en el manómetro.
# $baseline
phone-ask-baseline-reversed = Los puntos caen en una recta solo si la base es { $baseline } con el otro signo.
    .help = La presión de base es casa menos exterior. Compruebe el signo y los tubos.
# $baseline, $typed, $direction
phone-ask-baseline-round = Base { $baseline }, lectura { $typed }, { $direction ->
        [depressurise] despresurizada
       *[pressurise] presurizada
    }: ¿restó el manómetro la presión de base?
    .help = Las presiones redondas son lo que muestra un manómetro que la resta. Si lo hace, dígalo; si no, la lectura queda.

# Consejo
phone-advice-baseline-first = Ventilador tapado: lea primero la presión de base, cinco lecturas de 10 s.
# $pressure, $seconds
phone-advice-first = Empiece arriba: { $pressure }, media de { $seconds } s.
phone-advice-next = Siguiente: { $pressure }, media de { $seconds } s.
phone-advice-next-weak = El ventilador no llega a la presión habitual; los resultados más allá son extrapolados. Siguiente: { $pressure }, media de { $seconds } s.
phone-advice-again = Otra vez a { $pressure }, media de { $seconds } s: ese punto es el más alejado, y el intervalo aún se estrecha.
phone-advice-stop-baseline = Bastan los puntos. Pare el ventilador, tápelo y lea otra vez la presión de base.
phone-advice-stop-clear = Basta: el veredicto es claro.
phone-advice-stop-settled = Basta: más puntos apenas estrechan el intervalo.

# Hoja. $name
# Lo que confirmó quien ensayó. $number
phone-field-station = Estación { $number }
phone-field-baseline = Lectura de base { $number }
phone-field-fan = Ventilador { $number }
phone-field-only-fan = Ventilador
phone-field-gauge = Manómetro
phone-field-conditions = Tiempo
phone-field-building = Casa
phone-field-place = Lugar
phone-run-depressurise = en depresión
phone-run-pressurise = en presión
# $place, $value, $asked
phone-confirmed = { $place }{ $value ->
        [none] {""}
       *[other] {" "}({ $value })
    }: «{ $asked }» Quien ensayó: es correcto.

phone-sheet-extrapolated = { $name }, extrapolado
phone-sheet-restore-open = lista de reposición abierta

# Línea de órdenes
cli-no-pages = este programa se compiló sin las páginas del teléfono; ejecute `./web/build` y después `cargo build`
# $address
cli-serving = las páginas del teléfono: { $address } (Ctrl-C lo termina)
# $port
cli-port-taken = no se puede escuchar en el puerto { $port } de esta máquina
# $path, $file
cli-phone-other = `{ $path }` contiene `{ $file }`, que esta orden no ha escrito; nombre otra carpeta
# $path
cli-phone-updated = puesto al día: { $path }
# $path
cli-phone-next = ponga { $path } en cualquier servidor web con https, ábralo una vez en el teléfono e instálelo; después funciona sin red
