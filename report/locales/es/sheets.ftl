# Las hojas de un trabajo: página del propietario, hoja para el contratista, ensayo final, y lo que todas llevan.
# La página del propietario explica cada palabra que usa y la lee quien no conoce el oficio.

# $name, $serial, $date: "none" donde nadie lo anotó
sheet-instrument = { $name }, { $serial ->
        [none] número de serie sin registrar
       *[other] n.º { $serial }
    }, { $date ->
        [none] fecha de calibración sin registrar
       *[other] calibrado { $date }
    }
# $list
sheet-read-with = Leído con: { $list }.
# $name, $credential: "none"
sheet-tester = Ensayado por { $name }{ $credential ->
        [none] .
       *[other] , { $credential }.
    }
# $credential; $number: "none"
letterhead-credential = { $credential }{ $number ->
        [none] {""}
       *[other] {" "}n.º { $number }
    }
# $sheet, $path
sheet-line = { $sheet }: { $path }
sheet-owner = página del propietario
sheet-record = registro completo
sheet-hand-off = hoja para el contratista
sheet-test-out = ensayo final
sheet-commissioning = hoja de puesta en marcha de las reglas
sheet-certificate = certificado
sheet-lacks-house = un archivo de la casa y lecturas a las que ajustarla
sheet-lacks-plans = un plan en plans.toml
sheet-lacks-test-out = una visita con `[test_out]` cuya visita anterior a la obra también tenga lecturas
sheet-lacks-rules = reglas en la carpeta `rules`
sheet-lacks-test = un ensayo de la envolvente en una visita

# Página del propietario
owner-title = Su casa en una página
owner-now = { $value } ahora
owner-after = { $value } después
owner-goal = meta { $value }
# $count
owner-more-complaints = { $count ->
        [one] { $count } queja más está en el registro completo.
       *[other] { $count } quejas más están en el registro completo.
    }
owner-todo = { $count ->
        [0] Qué hacer
        [one] Una cosa que hacer
        [2] Dos cosas que hacer, en este orden
       *[other] Tres cosas que hacer, en este orden
    }
owner-no-price = aún sin precio: pida uno
owner-changes = Qué cambia con la obra
owner-tight = Cuánto aire deja pasar la casa
# El número va delante, con su unidad «veces por hora».
owner-tight-note = son las veces por hora que cambia todo el aire mientras un ventilador de ensayo tira fuerte (50 Pa). Menos es más cerrada.
# $value, $source
owner-limit = La línea está en { $value }: { $source }.
owner-unknown = Qué no se sabe todavía
owner-unknown-radon = El radón (un gas del suelo que daña los pulmones) no se midió; lo dice un detector de larga duración.
owner-picture = Una tarde fría, 2 °C (36 °F), calefacción en marcha, puertas como de noche. Flechas: aire que se mueve; rayadas: pasó por ático, garaje o espacio inferior.
owner-rest = Todas las lecturas están en el registro completo que acompaña a esta página.
# $flow, $zone
owner-co2 = En una noche fría con la puerta cerrada entran unos { $flow } de aire en { $zone }. Allí se acumula lo que la gente exhala.
# $zone, $flow, $way
owner-air-from = En una tarde fría entran en los cuartos unos { $flow } de aire de { $zone }{ $way ->
        [none] .
       *[other] , la mayor parte por { $way }.
    }
# $measure, $value, $limit, $less
owner-year = A lo largo de un año, { $measure }: { $value }. La meta es { $less ->
        [yes] como mucho
       *[no] al menos
    } { $limit }.
# $zone, $against, $value, $sheets, $way
owner-reading = El aire de { $zone } { $way ->
        [pull] tira
       *[push] empuja
    } contra { $against } con { $value }, como { $sheets ->
        [0] menos de una hoja de papel tendida
        [one] una hoja de papel tendida
       *[other] { $sheets } hojas de papel tendidas
    }.
# $list
owner-and = { $list }; y más

# Qué hacer primero donde un quemador no está ensayado
owner-test-what = Haga ensayar { $appliance }
    .place = { $zone }
    .who = un técnico formado, según la norma local
    .change = se sabe si sus gases quedan fuera de los cuartos
    .with = nada; va primero
    .proof = tiempo que salieron gases al cuarto y gas tóxico (CO) en el tubo, cada uno con su límite
owner-fix-what = Haga revisar { $appliance }
    .place = { $zone }
    .who = un contratista de calefacción con licencia
    .change = sus gases ya no entran en los cuartos
    .with = nada; va primero
    .proof = el informe del contratista y después otra vez el mismo ensayo
owner-look-what = Haga buscar todo lo que quema combustible
    .place = toda la casa, por dentro y por fuera
    .who = un técnico formado, según la norma local
    .change = se puede planear una obra que cierre más la casa
    .with = nada; va primero
    .proof = una nota de quién miró y dónde
owner-plan-change = véase «Qué cambia con la obra»
owner-plan-with = nada más
owner-plan-proof = después de la obra medimos otra vez lo mismo
# $zone, $value
owner-plan-proof-zone = con un ventilador de ensayo que mantiene los cuartos a 50 Pa, leemos al menos { $value } entre { $zone } y los cuartos
# $value
owner-plan-proof-flow = el ventilador de ensayo mueve entonces como mucho { $value } de aire
owner-reading-what = Déjenos tomar una lectura más
    .place = en la casa, unos { $time }
    .who = su técnico
    .change = podemos decirle con más certeza qué hacer
    .with = nada más
    .proof = se ve el intervalo antes y después
owner-at-home = en la casa
owner-who-hazards = contratista de calefacción con licencia
owner-who-moisture = contratista de espacios inferiores y drenajes
owner-who-ventilation = contratista de ventilación
owner-who-air-barrier = contratista de sellado de aire
owner-who-ducts = contratista de conductos
owner-who-insulation = contratista de aislamiento
owner-who-equipment = contratista de calefacción y refrigeración
# $plans, $first
owner-waiting = Todavía no: { $plans }. Primero: { $first }.
owner-first-look = un técnico formado busca todo lo que quema combustible y anota dónde
owner-first-record = un técnico formado aclara lo que dicen del combustible el registro y el archivo de la casa
# $appliance
owner-first-test = un técnico formado ensaya los gases de { $appliance }
owner-first-fix = un contratista de calefacción con licencia revisa { $appliance }
owner-first-limit = un técnico formado confirma el límite de { $appliance }
owner-first-stop = el servicio de emergencias, la compañía de gas o un contratista de calefacción con licencia actúan por el gas hallado
owner-first-repeat = un técnico formado ensaya otra vez los gases de lo que quema combustible, porque hubo obras desde entonces
owner-first-again = su técnico revisa otra vez el plan, porque algo cambió
owner-condition-replace-first = { $appliance } se retira antes de cualquier otra obra
owner-condition-test-again = un técnico formado ensaya otra vez después de la obra
owner-condition-signed-off = la palabra de una persona con licencia sustituye ensayos que faltan

# Palabras y unidades, donde la página las usa
owner-word-cfm = cfm: pies cúbicos de aire por minuto.
owner-word-l-s = L/s: litros de aire por segundo.
owner-word-m3-h = m³/h: metros cúbicos de aire por hora.
owner-word-pa = Pa: con qué fuerza empuja el aire; una hoja de papel tendida aprieta con unos 0,8 Pa.
owner-word-ppm = ppm: partes en un millón de partes de aire.
owner-word-co2 = CO₂: el gas que exhalamos; mucho significa poco aire fresco.
owner-word-co = CO: monóxido de carbono, un gas tóxico sin olor.
owner-word-pm25 = PM2.5: polvo tan fino que llega hondo a los pulmones.
owner-word-ach50 = 1/h: veces por hora.
owner-term-handler = manejadora de aire
owner-word-handler = Manejadora de aire: la máquina que sopla aire caliente o frío por los conductos.
owner-term-returns = conductos de retorno
owner-word-returns = Conductos de retorno: tubos que devuelven el aire de los cuartos a esa máquina.
# $label: cosas de la lista de reposición cuyo nombre usual es del oficio
owner-item-flue-plug = tapón en el tubo de humos de { $label }
owner-item-registers = tapas sobre las salidas y tomas de aire
owner-item-plugs = tapones en los agujeros pequeños hechos para medir
# $list
owner-left-open = Se tocó en la visita y aún no se ha dejado como estaba: { $list }. Le toca a su técnico.
# $date, $list, $more, $who
owner-put-back = Se tocó en la visita del { $date } y se dejó como estaba: { $list }{ $more ->
        [0] {""}
        [one] ; hay una cosa más en el registro completo
       *[other] ; hay { $more } cosas más en el registro completo
    }.{ $who ->
        [none] {""}
       *[other] {" "}Lo dejó así { $who }.
    }
owner-word-range = Números entre paréntesis y barras: el valor verdadero está dentro 9 de cada 10 veces.

# Seguridad en palabras del propietario: qué se halló, en pocas palabras (.headline), quién debe actuar (.who)
owner-safety-no-fuel = { $who } miró y no halló nada que queme combustible. Lugares vistos: { $where }.
    .headline = No se halló nada que queme combustible.
    .who = Donde nadie miró no se sabe nada.
owner-safety-stopped = Se halló monóxido de carbono (un gas tóxico) o gas combustible a un nivel en el que la obra termina.
    .headline = Alto.
    .who = El servicio de emergencias, la compañía de gas o un contratista de calefacción con licencia deben actuar primero.
owner-safety-not-inspected = Nadie ha anotado una búsqueda de combustible dentro y fuera de la casa.
    .headline = Primero: buscar todo lo que quema combustible.
    .who = Un técnico formado debe mirar antes de cerrar más la casa.
owner-safety-contradiction = El registro dice que nada quema combustible, pero la casa tiene un aparato que lo hace.
    .headline = El registro y la casa no coinciden.
    .who = Un técnico formado debe mirar otra vez.
owner-safety-not-named = Se halló combustible, pero no se nombra ningún aparato.
    .headline = Primero: nombrar cada aparato.
    .who = Un técnico formado debe nombrar y ensayar cada uno.
owner-safety-missing = { $appliance } en { $zone } no se ensayó en esta visita: nadie sabe si sus gases quedan fuera de los cuartos.
    .headline = Ensayar antes de cerrar más la casa.
    .who = Debe hacerlo un técnico formado.
owner-safety-unvented = { $appliance } en { $zone } no tiene tubo de salida. Sus gases se quedan en la casa.
    .headline = Sin tubo de salida.
    .who = Debe juzgarlo un contratista de calefacción con licencia; la norma local decide si puede estar ahí.
owner-safety-failed-spillage = Los gases de { $appliance } salieron al cuarto durante { $value }. El límite publicado es { $limit }{ $source ->
        [none] .
       *[other] {" "}({ $source }).
    }
    .headline = Alto: entran gases en el cuarto.
    .who = Un contratista de calefacción con licencia debe ver { $appliance } antes de cualquier otra obra; la norma local decide si puede funcionar hasta entonces.
owner-safety-failed-co = El monóxido de carbono (un gas tóxico) en el tubo de { $appliance } es { $value }. El límite publicado es { $limit }{ $source ->
        [none] .
       *[other] {" "}({ $source }).
    }
    .headline = Alto: demasiado gas tóxico en el tubo de salida.
    .who = Un contratista de calefacción con licencia debe ver { $appliance } antes de cualquier otra obra; la norma local decide si puede funcionar hasta entonces.
owner-safety-limit-not-confirmed = { $appliance }: se midió { $value }. { $limit ->
        [none] No hay ningún límite registrado.
       *[other] El límite registrado es { $limit }; nadie lo ha confirmado.
    }
    .headline = El límite no está confirmado.
    .who = Debe confirmarlo un técnico formado.
owner-safety-basis-differs = El valor y el límite de { $appliance } se dan de dos maneras que no se pueden comparar.
    .headline = Aún sin resultado.
    .who = Un técnico formado debe dar los dos de una manera.
owner-safety-present = Los ensayos de { $appliance } en esta visita quedaron dentro de límites confirmados. Eso no dice que no haya peligro.
    .headline = Hay un aparato que quema combustible.
    .who = Debe haber alarmas de monóxido de carbono; un técnico formado ensaya otra vez después de cualquier obra.
owner-safety-signed-off = La palabra de una persona con licencia sustituye ensayos que faltan.
    .headline = Sin ensayo: la palabra de una persona con licencia.
    .who = Responde de ello quien firmó.

# Hoja para el contratista
hand-title = Obra para el contratista
# $letter, $plan
hand-plan = Plan { $letter }: { $plan }
hand-held = Retenido: este plan no debe ejecutarse todavía. Qué lo retiene y quién actúa:
hand-held-note = No se entrega ninguna meta ni ningún paso de este plan hasta que todo esto esté hecho y el plan se juzgue de nuevo.
hand-conditions = Lo que hay que cumplir
hand-stops = Pare en el acto y llame al técnico cuando
hand-hazards = Lo que se sabe de esta casa
hand-steps = La obra, en este orden
hand-steps-caption = Los números junto a los pasos se calculan con la casa ajustada, cada paso sobre los anteriores; el intervalo contiene el valor verdadero 9 de cada 10 veces. El ventilador de ensayo mantiene los cuartos 50 Pa por debajo del exterior, con puertas interiores abiertas y ventiladores y manejadora de aire parados, salvo que se nombre otro estado.
hand-retest = Quién ensaya otra vez
hand-price = Precio:
hand-release = Liberado con este estado de resultados de combustión, casa y plan; un cambio de cualquiera de ellos retira la liberación:
hand-done-by = Hecho por
hand-done-on = Fecha y firma
# $stage, $place
hand-place = { $stage } · { $place }
hand-read = leer
hand-before = antes de este paso
hand-after = después
hand-stop = parar cuando
stage-hazards = primero: lo que quema combustible
stage-moisture = agua y sus fuentes
stage-ventilation = extracción y ventilación
stage-air-barrier = barrera de aire
stage-ducts = conductos
stage-insulation = aislamiento y vidrio
stage-equipment = máquinas y ajustes
# $zone, $against
hand-mark-zone = presión en { $zone } frente a { $against }, ventilador de ensayo a 50 Pa
hand-mark-flow = caudal del ventilador de ensayo a 50 Pa
hand-mark-room = presión en { $zone } frente a { $against }, puerta cerrada, manejadora de aire en marcha
hand-mark-supply = aire que pierden los conductos de impulsión en marcha
hand-mark-return = aire que aspiran los conductos de retorno en marcha
# $zone
hand-mark-appliance = presión en { $zone } frente al exterior, todos los extractores en marcha, puertas interiores cerradas, manejadora de aire en marcha
# $value
hand-stop-rises = es { $value } o más
hand-stop-falls = es { $value } o menos
hand-stop-watch = orientativo: si lee por debajo de { $value }, pare y llame al técnico
hand-stop-weak = cambia demasiado poco para guiarse; trabaje con los otros números
hand-hazard-fuel = { $appliance } en { $zone } quema combustible.
hand-hazard-old = Construida antes de 1978, o no se sabe el año: la pintura puede tener plomo y los materiales amianto; una persona con licencia mira antes de tocar nada.
hand-hazard-wiring = En áticos y paredes viejos busque cables descubiertos antes de tapar nada (práctica común, sin fuente).
hand-stop-alarm = suena una alarma de monóxido de carbono, alguien se siente mal o huele a gas: todos salen, después se llama a emergencias
hand-stop-found = aparece vermiculita, aislamiento de tubos o placas que pueden tener amianto, cables vivos descubiertos, madera húmeda o con moho, o un tubo de salida que nadie dibujó
hand-stop-draft = los gases de un quemador salen al cuarto en cualquier momento
hand-stop-lower = una presión junto a un paso pasa de lo que allí se nombra
hand-stop-restore = un ventilador, compuerta, salida o quemador quedaría de otra manera que como se halló
hand-material-hazards = Un aparato nuevo y su salida los coloca, conecta y ensaya solo el contratista con licencia.
hand-material-moisture = Lámina en el suelo: al menos 0,15 mm (6 mil), juntas solapadas y selladas, subida por las paredes (práctica común, sin fuente).
hand-material-ventilation = La extracción termina en el exterior, no en ático ni espacio inferior; al acabar se mide el caudal en la rejilla (práctica común, sin fuente).
hand-material-air-barrier = Junto a una chimenea o tubo de gases: chapa y sellador para el calor, sin espuma; respete la distancia de su etiqueta. La espuma a la vista se cubre como pide la norma local. Las luces que se calientan quedan libres (práctica común, sin fuente).
hand-material-ducts = Mastique o cinta certificada para conductos, no cinta de tela; junto a una caldera, como diga su fabricante (práctica común, sin fuente).
hand-material-insulation = Las fugas de aire se cierran y se leen antes de tapar nada; los aleros quedan abiertos donde el ático se ventila (práctica común, sin fuente).
hand-material-equipment = Ajustes como aquí escritos; el acceso al filtro queda libre (práctica común, sin fuente).
# $who
hand-retest-tester = { $who ->
        [none] El técnico
       *[other] { $who }
    } lee otra vez cada número de esta hoja con los mismos instrumentos y el mismo estado de la casa, antes de que se vaya la cuadrilla.
hand-retest-combustion = Una persona cualificada ensaya otra vez revoco y CO después de la obra, el día en que termina, antes de dejar la casa.
hand-retest-flows = Se mide y anota el caudal de cada ventilador colocado o cambiado.

# Ensayo final
out-title = En qué quedó la obra
# $plan, $before, $after; $day
out-intro = La obra del plan «{ $plan }» está entre las visitas { $before } y { $after }.
out-done = Terminó { $day }.
out-how = La casa se ajusta dos veces, a las lecturas de antes y a las de después de la obra; las dos casas viven el mismo año meteorológico.
out-complaints = Qué fue de cada queja
# $statement, $source
out-criterion = Por alcanzar: { $statement }{ $source ->
        [none] .
       *[other] {" "}({ $source }).
    }
# $day
out-written-before = Acordado { $day }, antes del resultado.
out-written-after = Acordado { $day }: después de leer el resultado, de modo que no se fijó de antemano.
out-written-undated = Nadie anotó cuándo se acordó (`agreed` en job.toml): no se muestra si se fijó antes del resultado.
out-gone = Desapareció: todo el intervalo después de la obra lo cumple.
# $change
out-better = Mejor en { $change }; no se muestra que se cumpla la meta.
out-worse = Peor en { $change }.
out-not-shown = No se muestra: las lecturas no dicen un cambio.
out-before = antes
out-after = después
out-change = cambio
out-promise = prometido
out-what = qué
out-note = nota
out-promised = Prometido y obtenido
out-promised-caption = Prometido: en qué quedaba el plan en las casas que permitían las lecturas de antes de la obra. Obtenido: la casa ajustada solo a las lecturas de después. El cambio toma los dos ajustes como independientes, lo que hace su intervalo más bien demasiado ancho.
out-kept-yes = la promesa está en el intervalo
out-kept-better = mejor de lo prometido
out-kept-short = por debajo de lo prometido
out-tests = Ensayos de las dos visitas
out-test-shared = Los mismos instrumentos: su error de calibración se cancela en el cambio.
out-test-apart = Otros instrumentos: cada visita tiene su propio error de calibración.
out-field-apart = El cambio toma los dos resultados como independientes, lo que hace su intervalo más bien demasiado ancho donde un instrumento tomó los dos.
out-readings = Lecturas sueltas de las dos visitas
out-readings-caption = Cambio con u² = u₁² + u₂² − 2 r u₁ u₂: donde un instrumento tomó las dos, su error de calibración se cancela. Intervalos del 95 %.
# $r
out-shared = mismo instrumento, r = { $r }
out-apart = otro instrumento, r = 0
out-setups = En qué difieren las visitas
out-setups-alike = No hay diferencias registradas.
out-instruments-before = Instrumentos de la visita anterior
out-indoor = interior
out-outdoor = exterior
out-wind = viento
out-tester = técnico

# Diagnósticos
N101 = este ensayo final se compara con { $before }, que no es una visita anterior con lecturas
    .because = un cambio necesita una visita antes de la obra y otra después
    .help = indique en `before` la carpeta o la fecha de la visita anterior a la obra
N102 = el límite de una queja se acordó el { $agreed }, no antes del ensayo final del { $result }
    .because = un criterio fijado cuando se conoce el resultado prueba poco; la hoja lo dice
    .help = acuerde los límites antes de la obra
N103 = nadie anotó cuándo se acordó el límite de una queja
    .because = el ensayo final dice si un criterio estaba antes de su resultado
    .help = añada `agreed = "AAAA-MM-DD"` a la queja en job.toml
N104 = están escritos `[letterhead]` y `[firm]`: cuenta `[letterhead]`
    .because = `[firm]` es un nombre más antiguo de lo mismo
    .help = deje uno de los dos
N105 = este trabajo no tiene { $sheet }
    .because = necesita { $lacks }
    .help = pida otra hoja, o escriba lo que falta
N106 = las lecturas de antes de la obra se dejan fuera de lo que se dice de la casa de ahora: { $visits }
    .because = la casa cambió con la obra; { $after } la muestra como es
    .help = la hoja del ensayo final compara las dos

# Hojas en PDF
# $file, $count
K180 = { $count } letras de { $file } figuran como signos vacíos
    .because = los tipos de letra del PDF tienen los alfabetos latino, griego y cirílico y los signos de la página
    .help = el HTML que está al lado las muestra, o escríbalas en uno de esos alfabetos
# $file, $why
K181 = { $file } tiene etiquetas, pero no es PDF/UA-1: { $why }
    .because = algo de la página no lo permite la norma del PDF accesible
    .help = se puede imprimir y leer; el accesible es el HTML que está al lado
# $file, $why
K182 = no se pudo hacer { $file }: { $why }
    .because = la página tiene algo que no se puede componer
    .help = imprima desde un navegador el HTML que está al lado
# $logo
K183 = `{ $logo }` no es una imagen para un membrete
    .because = un logotipo es un archivo PNG o JPEG bajo `attachments`; otras formas pueden llevar programas o pedir cosas de fuera
    .help = guárdelo como PNG en la carpeta `attachments` del trabajo y escriba `logo = "attachments/logo.png"`
# $logo, $kilobytes
K184 = el logotipo `{ $logo }` no se muestra
    .because = falta, por dentro no es PNG ni JPEG, o pasa de { $kilobytes } kB
    .help = ponga en su lugar un PNG o JPEG más pequeño
cli-no-pdf = este programa se compiló sin PDF
    .help = compílelo con `cargo build --release --features pdf`, o imprima el HTML desde un navegador
