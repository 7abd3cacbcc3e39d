# Lo que la línea de órdenes y el informe dicen de liberación, seguridad, ajuste, lecturas y planes.
# Las oraciones empiezan con mayúscula y terminan en punto; lo demás es parte de una línea o lista.
# Los valores llegan como texto con unidad e intervalo; las cuentas, como números. Un valor que falta
# llega como la palabra "none". Ningún texto dice de un aparato o de una casa que no tenga peligro.

# Liberación: una razón por línea; se unen con punto y coma. $appliance
gate-reason-not-inspected = nadie ha anotado que buscó combustible en la casa y junto a ella: una persona cualificada tiene que buscar y anotar quién miró y dónde
gate-reason-contradiction = la anotación dice que no se halló combustible, pero la casa tiene un aparato: una persona cualificada tiene que volver a mirar y corregir una de las dos cosas
gate-reason-appliance-not-named = se halló combustible, pero la casa no nombra ningún aparato: hay que nombrarlos todos, y una persona cualificada tiene que ensayarlos
gate-reason-spillage-missing = { $appliance } no tiene resultado de revoco de esta visita: una persona cualificada tiene que ensayarlo
gate-reason-flue-co-missing = { $appliance } no tiene resultado de CO en los humos de esta visita: una persona cualificada tiene que medirlo
gate-reason-spillage-failed = el revoco de { $appliance } duró más que el límite: primero tiene que actuar un técnico de calefacción con licencia, decide la norma local
gate-reason-flue-co-failed = el CO en los humos de { $appliance } pasa del límite: primero tiene que actuar un técnico de calefacción con licencia, decide la norma local
gate-reason-limit-not-confirmed = un resultado de { $appliance } no tiene un límite que alguien haya confirmado: una persona cualificada tiene que confirmarlo en el texto del protocolo o de la norma local vigente
gate-reason-basis-differs = el CO en los humos de { $appliance } y su límite no tienen la misma base, libre de aire o tal como se midió: una persona cualificada tiene que dar los dos en la misma
gate-reason-changed = un resultado de combustión, la casa o el plan cambió después de la liberación: hay que juzgar el plan otra vez
gate-reason-repeat-owed = se hicieron obras desde que se ensayó la combustión: primero una persona cualificada tiene que ensayar otra vez el revoco y el CO
gate-reason-stopped = se halló monóxido de carbono en un cuarto o en un horno, o gas, a un nivel en que termina el trabajo, o el repaso de peligros dice alto: primero tienen que actuar emergencias, la compañía de gas o un técnico de calefacción con licencia, decide la norma local
gate-reason-unvented = { $appliance } no tiene salida de humos y sus gases quedan en la casa: un técnico de calefacción con licencia tiene que juzgarlo, decide la norma local

gate-condition-replace-first = un técnico de calefacción con licencia retira o reemplaza { $appliance } antes de empezar cualquier otro trabajo
gate-condition-test-again = una persona cualificada vuelve a ensayar el revoco y el CO después del trabajo
gate-condition-signed-off = la palabra anotada de una persona con licencia ocupa el lugar de resultados que faltan

gate-held = calculado, no liberado
# $reasons
gate-held-because = calculado, no liberado: { $reasons }
gate-released = liberado: puede entrar en un encargo de obra
# $conditions
gate-released-with = liberado, con estas condiciones: { $conditions }

# Seguridad: qué se halló; en pocas palabras destacadas (.headline); quién tiene que actuar (.who).
# $who, $where
safety-no-fuel = { $who } miró y no halló combustible; miró en: { $where }.
    .headline = No se halló combustible.
    .who = Donde nadie miró no se sabe nada; una persona cualificada vuelve a mirar antes de que entre un quemador, una estufa o una tubería de combustible.
safety-stopped = Se halló monóxido de carbono en un cuarto o en un horno, o gas, a un nivel en que termina el trabajo, o el repaso de peligros dice alto.
    .headline = Alto: aquí termina el trabajo.
    .who = Siga el aviso del ensayo de zona de combustión; primero actúan emergencias, la compañía de gas o un técnico de calefacción con licencia, y una persona cualificada vuelve a ensayar antes de sellar nada.
safety-not-inspected = Nadie ha anotado que buscó combustible en la casa y junto a ella.
    .headline = Busque primero combustible.
    .who = Una persona cualificada mira y anota quién miró y dónde; hasta entonces no se libera ningún plan que afecte a un conducto de humos.
safety-contradiction = La anotación dice que no se halló combustible, pero la casa tiene un aparato.
    .headline = La anotación y la casa no concuerdan.
    .who = Una persona cualificada vuelve a mirar y corrige una de las dos cosas.
safety-not-named = Se halló combustible, pero la casa no nombra ningún aparato.
    .headline = Nombre todos los aparatos.
    .who = Una persona cualificada nombra y ensaya cada aparato; hasta entonces no se libera ningún plan que afecte a un conducto de humos.
# $appliance, $zone
safety-missing = Faltan resultados de combustión de esta visita para { $appliance } en { $zone }.
    .headline = Ensaye antes de sellar.
    .who = Una persona cualificada ensaya el revoco y el CO en los humos; hasta entonces no se libera ningún plan que afecte a este aparato.
# $appliance, $zone
safety-unvented = { $appliance } en { $zone } no tiene salida de humos; sus gases quedan en la casa.
    .headline = Aparato sin salida de humos.
    .who = Un técnico de calefacción con licencia tiene que juzgarlo; la norma local decide si puede estar ahí.
# $appliance, $value, $limit, $source
safety-failed-spillage = Los gases de { $appliance } revocaron a la casa durante { $value }; el límite publicado es { $limit }{ $source ->
        [none] , sin fuente indicada
       *[other] {" "}({ $source })
    }.
    .headline = Alto: hay revoco de gases.
    .who = Avise a las personas de la casa y deje { $appliance } en manos de un técnico de calefacción con licencia; la norma local y el protocolo vigente deciden si puede funcionar hasta entonces.
# $appliance, $value, $limit, $source; la base va con el valor y el límite
safety-failed-co = El CO en los humos de { $appliance } es { $value }; el límite publicado es { $limit }{ $source ->
        [none] , sin fuente indicada
       *[other] {" "}({ $source })
    }.
    .headline = Alto: mucho CO en los humos.
    .who = Avise a las personas de la casa y deje { $appliance } en manos de un técnico de calefacción con licencia; la norma local y el protocolo vigente deciden si puede funcionar hasta entonces.
# $appliance, $value, $limit
safety-limit-not-confirmed = { $appliance }: se midió { $value }; { $limit ->
        [none] no hay ningún límite anotado
       *[other] el límite anotado, { $limit }, no está confirmado
    }, así que no hay veredicto.
    .headline = Límite no confirmado.
    .who = Una persona cualificada confirma el límite en el texto del protocolo o de la norma local vigente.
# $appliance
safety-basis-differs = El CO en los humos de { $appliance } y su límite no tienen la misma base, así que no hay veredicto.
    .headline = El valor y el límite no se pueden comparar.
    .who = Una persona cualificada da los dos libres de aire o los dos tal como se midieron.
# $appliance
safety-present = Los resultados de combustión de { $appliance } estuvieron dentro de límites confirmados en esta visita; eso no dice que no tenga peligro.
    .headline = Aparato de combustión en la casa.
    .who = Tiene que haber alarmas de CO homologadas; una persona cualificada vuelve a ensayar después de cualquier trabajo en la casa, sus ventiladores o sus conductos.
# .by: $who, $licence, $what
safety-signed-off = La palabra anotada de una persona con licencia ocupa el lugar de resultados que faltan; en su lugar no se midió nada.
    .headline = Liberado por la palabra de una persona con licencia.
    .who = Responde quien firmó; la norma local decide si basta.
    .by = Firmado por { $who }, licencia { $licence }; revisó: { $what }.
safety-alarm-note = Tiene que haber alarmas de CO homologadas y en funcionamiento; esta pantalla se suma a ellas y puede fallar.
    .headline = Alarmas de CO.
    .who = Se ocupa de ellas el dueño de la casa, como pide la norma local.
basis-air-free = libre de aire
basis-as-measured = tal como se midió

# Ajuste
fit-heading = Lo que las lecturas dicen de la casa
fit-known-heading = Lo que mejor se conoce
fit-unknown-heading = Lo que menos se conoce
# $label, $value, $share
fit-known-line = { $label }: { $value }, { $share } por lecturas
# Título, después una línea por número y otra para el resto: $label, $draws, $share; $count
fit-limits-heading = Extremos de intervalos que se apoyan en pocas muestras
fit-limits-loose = { $label }: más allá del extremo menos firme del intervalo hay unas { $draws } de las casas sorteadas; con otras muestras se movería un { $share } de la dispersión del número.
fit-limits-loose-more = { $count ->
        [one] { $count } más igual.
       *[other] { $count } más como estos.
    }
# $label, $range
fit-unknown-line = { $label }: todavía en cualquier punto de { $range }
# $a, $b; $list
fit-undetermined-one = Las lecturas dicen poco de { $a }.
fit-undetermined-pair = Las lecturas no distinguen { $a } de { $b }.
fit-undetermined-many = Las lecturas no distinguen entre sí: { $list }.
# $reading
fit-not-as-drawn = Las lecturas no concuerdan con la casa dibujada: hay algo abierto, sellado o presente que nadie dibujó, o una lectura es errónea. La que peor concuerda: { $reading }.
# $k
fit-weights-bad = Los intervalos de esta página pueden ser demasiado estrechos: las lecturas tiran unas de otras más de lo que el cálculo puede seguir (medida { $k }, se busca como máximo 0,7).
# $readings, $instruments
fit-used = { $readings ->
        [one] { $readings } lectura
       *[other] { $readings } lecturas
    } de { $instruments ->
        [one] { $instruments } instrumento
       *[other] { $instruments } instrumentos
    }

param-leak-at50 = caudal a 50 Pa
param-common-exponent = exponente común de todas las grietas
param-exponent = exponente
param-gap = rendija con la puerta cerrada
param-fan-flow = caudal
param-handler-flow = caudal de la manejadora de aire
param-supply-leak = parte del caudal que pierden los conductos de impulsión
param-return-leak = parte del caudal que toman los conductos de retorno
param-register-weight = peso entre las rejillas de su lado

# $feels, $compared_with: "none" es el exterior
reading-pressure = { $feels ->
        [none] presión del exterior
       *[other] presión en { $feels }
    } respecto { $compared_with ->
        [none] al exterior
       *[other] a { $compared_with }
    }
reading-test-fan = caudal del ventilador de ensayo
# $of
reading-flow = caudal de { $of }
reading-handler = caudal de la manejadora de aire
reading-duct-leak = fuga de los conductos en marcha
reading-duct-leak-supply = fuga de los conductos de impulsión en marcha
reading-duct-leak-return = fuga de los conductos de retorno en marcha
# $into
reading-heat-loss = pérdida de calor según las facturas
reading-inflow = aire nuevo para { $into }
# $reading, $shown, $expected
reading-against = { $reading }: leído { $shown }, esperado { $expected }

# Lecturas: un estado es una lista de estas partes, después lo que se lee.
next-setup-usual = todo como de costumbre
# $pressure
next-fan-hold = ventilador de ensayo con los cuartos a { $pressure } por debajo del exterior
# $door
next-door-open = { $door } abierta
next-door-hole = { $door } con un hueco abierto de { $area }, medidos su ancho y su alto
next-door-shut = { $door } cerrada
next-handler-on = manejadora de aire en marcha
# $fan
next-fan-on = { $fan } en marcha
# $feels, $compared_with: "none" es el exterior
next-read-tap = presión en { $feels } respecto { $compared_with ->
        [none] al exterior
       *[other] a { $compared_with }
    }
next-read-fan-flow = caudal del ventilador de ensayo
# $fan
next-read-exhaust = caudal de { $fan }, con campana
next-read-handler = caudal de la manejadora de aire
# $setup, $reading
next-line = { $setup }: leer { $reading }
# $minutes
next-minutes = { $minutes } min
# $value
next-expect = se espera: { $value }
question-total = aire por todas las fugas a 50 Pa
# $zone
question-air-from = aire de { $zone } a los cuartos en una noche fría
question-room-air = aire que llega a { $zone } en una noche fría, con su puerta como de noche
next-nothing = Ninguna lectura que se pueda tomar ahora estrecharía de forma apreciable esta respuesta.

# Con qué se juzgan los planes. $zone: "none" es toda la casa
measure-co2-at-night = CO₂ de noche{ $zone ->
        [none] {""}
       *[other] {" "}en { $zone }
    }
measure-pm25 = PM2,5 a lo largo del año{ $zone ->
        [none] {""}
       *[other] {" "}en { $zone }
    }
measure-humid-hours = parte de las horas con más del { $beyond } de humedad relativa{ $zone ->
        [none] {""}
       *[other] {" "}en { $zone }
    }
measure-dry-hours = parte de las horas con menos del { $beyond } de humedad relativa{ $zone ->
        [none] {""}
       *[other] {" "}en { $zone }
    }
measure-co2-hours = parte de las horas con más de { $beyond } de CO₂{ $zone ->
        [none] {""}
       *[other] {" "}en { $zone }
    }
measure-pm25-over-outdoors = PM2,5 respecto a las del exterior{ $zone ->
        [none] {""}
       *[other] {" "}en { $zone }
    }
measure-pm25-days = parte de los días con una media de PM2,5 por encima de { $beyond }{ $zone ->
        [none] {""}
       *[other] {" "}en { $zone }
    }
measure-mould-index = índice de moho más alto en la superficie más fría{ $zone ->
        [none] {""}
       *[other] {" "}en { $zone }
    }
measure-condensing-hours = parte de las horas en que condensa agua en la superficie más fría{ $zone ->
        [none] {""}
       *[other] {" "}en { $zone }
    }
# $gas
measure-gas = { $gas } a lo largo del año{ $zone ->
        [none] {""}
       *[other] {" "}en { $zone }
    }
measure-warm-hours = parte de las horas con más de { $beyond }{ $zone ->
        [none] {""}
       *[other] {" "}en { $zone }
    }
measure-cool-hours = parte de las horas con menos de { $beyond }{ $zone ->
        [none] {""}
       *[other] {" "}en { $zone }
    }
# $zone: de dónde viene el aire
measure-air-from = aire de { $zone } a los cuartos
measure-outdoor-air = aire exterior a los cuartos
score-appliance-pressure = presión más baja junto al aparato respecto al exterior
score-ach50 = renovaciones de aire a 50 Pa (ACH50)
score-energy = energía al año para calentar, enfriar, ventilar y secar
score-yearly-cost = costo al año: energía, y el precio repartido entre los años
score-running-cost = costo al año sin el precio: energía, filtros, servicio
# $people
score-person-pm25 = PM2,5 en casa para { $people }, respecto a las del exterior
score-person-co2 = CO₂ en casa para { $people }
score-relative-exposure = exposición relativa: lo que emiten los cuartos, frente a una ventilación constante con el caudal de ASHRAE 62.2
# $zone
score-now-cast = índice más alto de calidad del aire por PM2,5 (NowCast) en { $zone }
# $zone
score-soil-pressure = presión media de { $zone } en su suelo respecto al exterior, que aspira gas del suelo; el radón mismo lo dice un ensayo largo antes y después
score-peak-heating = hora de mayor calefacción
score-peak-cooling = hora de mayor enfriamiento
plans-rest-title = Otras magnitudes del año
plans-rest-caption = Valores medios entre las casas que las lecturas permiten. Una raya: no hay valor.
plans-quantity = Magnitud
# $value
plans-against-found = { $value } frente a la casa como está
# $chance
plans-meets = la cumple en el { $chance }
# $first, $second, $what, $chance
plans-doubt = Entre { $first } y { $second } la diferencia está en { $what }; el primero va mejor en el { $chance } de las casas que las lecturas permiten.
# $share, $name, $reading
plans-doubt-hangs = El { $share } de lo incierto en ello va con { $name }; lo diría: { $reading }.
plans-doubt-spread = Ningún número desconocido destaca en ello.
plans-doubt-cost = el costo al año
settles-zone-pressure = las presiones de las zonas a ambos lados con un ventilador de ensayo en marcha
settles-fan-test = un ensayo con ventilador a varias presiones
settles-room-pressure = la presión del cuarto con la puerta cerrada
settles-fan-flow = el caudal del ventilador
settles-handler-flow = el caudal por la manejadora de aire
settles-duct-test = un ensayo de fugas de los conductos
settles-register-flow = el caudal de la rejilla
settles-pressure-drop = la presión antes y después
search-title = Búsquedas
# $label, $ran, $years
search-found = { $label }: { $ran ->
        [one] { $ran } combinación
       *[other] { $ran } combinaciones
    } en carrera, { $years ->
        [one] { $years } año vivido
       *[other] { $years } años vividos
    }; sin superar:
search-none-taken = nada más
# $taken, $cost, $met
search-kept = { $taken }: { $cost } al año, todas las metas cumplidas en el { $met }
search-setting = { $change } (lo mejor, cerca de { $value })

# $years
plans-rule = El mejor plan resuelve primero las quejas, después cumple todas las metas y después cuesta lo menos en { $years ->
        [one] { $years } año
       *[other] { $years } años
    }; un plan retenido nunca es el mejor.
# $chance
plans-best-chance = el mejor en el { $chance } de las casas que las lecturas permiten
plans-if-released = sería el mejor en el { $chance } si todos los planes estuvieran liberados
plans-none-meets = en el { $chance } de las casas que las lecturas permiten ningún plan cumple todas las metas
# $error
plans-books = Los balances de aire, agua, CO₂ y partículas cierran con un error de { $error } como máximo.

# Cambios de un plan
# $what, $share
change-seal = sellar { $what }: { $share } menos de fuga
# $what, $flow
change-seal-until = sellar { $what } hasta que pasen { $flow } a 50 Pa
# $what
change-close-opening = cerrar { $what } para siempre
# $from, $flow, $rh
change-exhaust-humid = extractor en { $from }: { $flow }, en marcha por encima del { $rh } de humedad relativa
# $from, $flow, $share
change-exhaust-share = extractor en { $from }: { $flow }, en marcha el { $share } de cada hora
# $zone, $flow
change-hood = campana en { $zone } que se usa al cocinar: { $flow }
# $flow, $share
change-intake = conducto del exterior al retorno de la manejadora de aire: { $flow } mientras marcha, al menos el { $share } de cada hora
# $what, $share
change-line-filter = { $what } cambiado por un filtro que retiene { $share } de las PM2,5 en una pasada
# $zone, $flow
change-cleaner = purificador portátil en { $zone }: { $flow } de aire limpio
# $zone
change-humidify = humidificador en { $zone }
# $zone
change-remove-dehumidifier = quitar el deshumidificador de { $zone }
change-remove-humidifier = quitar el humidificador de { $zone }
# $what, $share
change-speed = { $what } al { $share } de su velocidad actual
change-speed-handler = manejadora de aire al { $share } de su velocidad actual
# $fan, $hours
change-run-fan = { $hours ->
        [none] { $fan } nunca en marcha
       *[other] { $fan } en marcha { $hours }
    }
# $list
change-set-points = consignas: { $list }
set-point-heat = calefacción { $value }
set-point-cool = enfriamiento { $value }
set-point-heat-back = calefacción { $value } { $hours }
set-point-cool-back = enfriamiento { $value } { $hours }
# $surface, $r
change-insulate = aislar { $surface }: { $r } más
# $surface, $r
change-glazing = vidrio nuevo, { $surface }: { $r } en total
# $zone, $share
change-shade = sombra a las ventanas de { $zone }: { $share } menos de sol
# $zone, $share
change-ground-cover = cubrir el { $share } del suelo bajo { $zone } con una lámina
# $zone, $share, $cover
change-close-crawl = cerrar { $zone } al exterior ({ $share } menos de fuga) y cubrir el { $cover } de su suelo
# $zone, $share
change-drain = llevar el agua lejos de { $zone }: { $share } menos del suelo
# $zone, $flow
change-vent-dryer = llevar al exterior la secadora de { $zone }: { $flow }
# $what, $share
change-cut-source = { $what }: { $share } menos
# $share
change-seal-ducts = sellar los conductos: { $share } menos de fuga
# $a, $b, $area
change-transfer = abertura entre { $a } y { $b }: { $area } de área libre
# $from, $flow, $hours: "none" es siempre
change-exhaust = extractor en { $from }: { $flow }{ $hours ->
        [none] , siempre en marcha
       *[other] , { $hours }
    }
# $to, $flow
change-supply = ventilador de impulsión a { $to }: { $flow }
# $to, $from, $flow, $recovery
change-balanced = ventilación equilibrada, aire fresco a { $to }, aire viciado de { $from }: { $flow }, { $recovery } del calor recuperado
# $share
change-filter = filtro en la manejadora de aire que retiene { $share } de las PM2,5 en una pasada
change-mix = manejadora de aire en marcha al menos { $share } de cada hora, para mezclar el aire
# $zone
change-dehumidify = deshumidificador en { $zone }
# $door
change-door-open = { $door } abierta de noche
change-door-shut = { $door } cerrada de noche
# $appliance
change-replace-electric = reemplazar { $appliance } por uno eléctrico, a cargo de un profesional con licencia
change-replace-sealed = reemplazar { $appliance } por uno de cámara estanca, a cargo de un técnico de calefacción con licencia

# Quejas. $measure, $limit
complaint-statement = { $measure } no debe pasar de { $limit }
complaint-statement-at-least = { $measure } no debe bajar de { $limit }
# $zone, $flow
explain-co2 = En una noche fría, con la puerta cerrada, llegan { $flow } de aire a { $zone }; el CO₂ sale del cuarto solo con ese aire.
# $zone, $pressure
explain-room-pressure = Con la puerta cerrada y la manejadora de aire en marcha, la presión en { $zone } respecto a los otros cuartos es { $pressure }.
# $zone, $flow
explain-air-from = En una noche fría llegan { $flow } de aire de { $zone } a los cuartos.
# $way, $flow
explain-air-from-way = La mayor parte entra por { $way }: { $flow }.
# $zone, $flow
explain-air-reaches = En una noche fría llegan { $flow } de aire a { $zone }.
# $flow
explain-outdoor-air = En una noche fría llegan { $flow } de aire exterior a los cuartos.

# Línea de órdenes
# $path
cli-wrote = se escribió { $path }
# $command
cli-try-next = después: `{ $command }`
cli-stopped = detenido antes del final
# $path
cli-not-a-job = no hay ningún `job.toml` en esta carpeta: { $path }
    .help = { $slip ->
        [none] { $near ->
            [none] indique la carpeta de un trabajo; `airwright new mi-casa` crea una
           *[other] hay un trabajo en `{ $near }`: indique esa carpeta
        }
       *[other] dé a `{ $slip }` el nombre `job.toml`
    }
# $path, $near
cli-no-folder = no hay ninguna carpeta `{ $path }`
    .help = { $near ->
        [none] revise el nombre y la carpeta en la que está
       *[other] ¿quiso decir `{ $near }`?
    }
# $path, $near
cli-no-folder-but-file = `{ $path }` es un archivo, y un trabajo es una carpeta
    .help = { $near ->
        [none] indique la carpeta que contiene `job.toml`
       *[other] indique su carpeta: `{ $near }`
    }
# $path
cli-exists = `{ $path }` ya existe, y no se sobrescribe nada
    .help = indique otro archivo o quite aquel de en medio
# $path
cli-pack-name = `{ $path }` es una carpeta, y un paquete es un archivo
    .help = indique un archivo, como `casa.zip`
# $path
cli-import-nothing = no hay ningún archivo que leer en { $path }
    .help = indique los archivos de los registradores o la carpeta donde se guardaron
# $why
cli-system = { $why ->
        [missing] no está ahí
        [denied] este usuario no puede leerlo ni escribirlo
        [exists] ya hay algo con ese nombre
        [folder] es una carpeta
        [no-folder] es un archivo, y hace falta una carpeta
        [no-text] no es texto en UTF-8
        [full] no queda sitio en el disco
        [in-use] lo usa otro programa
       *[other] esta máquina no lo permite
    }
    .help = { $why ->
        [missing] revise el nombre y la carpeta en la que está
        [denied] revise los permisos o tome otra carpeta
        [exists] indique otro o quite aquel de en medio
        [folder] indique un archivo
        [no-folder] indique una carpeta o quite el archivo de en medio
        [no-text] guárdelo como UTF-8 en su editor
        [full] haga sitio en el disco y repítalo
        [in-use] cierre el otro programa o elija otro
       *[other] revise el nombre y dónde está
    }
cli-not-empty = esta carpeta no está vacía: { $path }
    .help = indique una carpeta nueva o vacía
# $count
cli-needs-attention = { $count ->
        [one] { $count } cosa necesita atención
       *[other] { $count } cosas necesitan atención
    }
progress-fit = ajustando la casa a las lecturas
# $done, $of
progress-draws = sorteando casas que las lecturas permiten: { $done } de { $of }
# $leading: "none" where nobody knows yet
progress-plans = viviendo los planes a lo largo del año: { $done } de { $of }{ $leading ->
        [none] {""}
       *[other] {"; "}el mejor hasta ahora: { $leading }
    }
cli-safety = Seguridad
cli-tightness = Qué tan hermética es la casa
cli-plans = Planes
cli-next = Lecturas que conviene tomar ahora
cli-report = Informe

# Lo que las lecturas dicen además de los tamaños
beyond-title = Qué más dicen las lecturas
unseen-outdoors = el exterior
# $a, $b
unseen-way = entre { $a } y { $b }
unseen-way-supply = de los conductos de impulsión hacia { $b }
unseen-way-return = de { $b } hacia los conductos de retorno
# $way, $size, $chance, $improvement
unseen-found = Parece que pasa aire por donde nadie dibujó un paso: { $way }, { $size } a 50 Pa. En una casa igual al dibujo, el azar da una señal tan clara { $chance } veces de cada cien como máximo; con el paso dibujado, la suma de cuadrados baja { $improvement }.
unseen-found-beside = Pasa más aire { $way } de lo que se creía al dibujarlo: otros { $size } a 50 Pa. En una casa igual al dibujo, el azar da una señal tan clara { $chance } veces de cada cien como máximo; con el paso dibujado, la suma de cuadrados baja { $improvement }.
unseen-found-duct = Parece que el aire de los conductos sale o entra por donde nadie lo dibujó: { $way }, { $size } del caudal de la manejadora de aire. En una casa igual al dibujo, el azar da una señal tan clara { $chance } veces de cada cien como máximo; con el paso dibujado, la suma de cuadrados baja { $improvement }.
unseen-hides-chase = Un paso así suele esconderse en un hueco de tuberías, conductos o chimenea, o en un plafón abierto al ático (práctica común, sin fuente).
unseen-hides-tub-wall = Un paso así suele esconderse bajo una bañera o ducha y donde tuberías y cables cruzan el piso (práctica común, sin fuente).
unseen-hides-balloon-wall = Un paso así suele esconderse en paredes abiertas desde abajo hasta el ático, o en un hueco que recorre toda la altura de la casa (práctica común, sin fuente).
unseen-hides-garage-ceiling = Un paso así suele esconderse en el techo del garaje, en las vigas que siguen hacia la casa o en la pared común (práctica común, sin fuente).
unseen-hides-band-joist = Un paso así suele esconderse en la viga de borde, bajo un voladizo o en una chimenea (práctica común, sin fuente).
unseen-hides-vents = Un paso así suele esconderse en rejillas que nadie contó, en los aleros, en la solera o en una escotilla (práctica común, sin fuente).
unseen-hides-partition = Un paso así suele esconderse sobre un plafón, en una abertura de paso o en un tabique sin solera superior (práctica común, sin fuente).
unseen-hides-platform-return = Un paso así suele esconderse en la plataforma bajo la manejadora de aire, entre vigas forradas o en un hueco de pared usado como retorno (práctica común, sin fuente).
unseen-hides-boot = Un paso así suele esconderse en una boca o unión suelta de los conductos de impulsión (práctica común, sin fuente).
# $setup, $feels, $with, $without
unseen-confirm = Para confirmarlo: { $setup }; la presión en { $feels } contra el exterior debería ser { $with }; sin el paso, { $without }.
# $list
unseen-or = Las lecturas no lo distinguen de estos: { $list }.
# $candidates
unseen-none = Las lecturas no piden ningún paso fuera del dibujo, entre { $candidates } caminos que podrían distinguir. Uno pequeño, o uno junto a una fuga que puede ser grande, puede quedar sin ver.
# $reading, $shown, $expected, $z
suspect-named = La lectura que menos concuerda con las demás: { $reading }, leída { $shown }, esperada { $expected }, a { $z } incertidumbres estándar.
# $list
suspect-explained = Concordaría si { $list }.
suspect-unexplained = Ningún descuido habitual la explica: hay que repetirla.
# $door; $value
slip-door-open = { $door } estaba abierta
slip-door-shut = { $door } estaba cerrada
# $fan
slip-fan-on = { $fan } funcionaba
slip-fan-off = { $fan } estaba parado
slip-handler-on = la manejadora de aire funcionaba
slip-handler-off = la manejadora de aire estaba parada
slip-hoses = las mangueras estaban cambiadas: { $value }
slip-inches-as-pascals = el manómetro mostraba pulgadas de agua, no pascales: { $value }
slip-pascals-as-inches = el manómetro mostraba pascales, no pulgadas de agua: { $value }
slip-cfm-as-litres = el instrumento mostraba pies cúbicos por minuto, no litros por segundo: { $value }
slip-litres-as-cfm = el instrumento mostraba litros por segundo, no pies cúbicos por minuto: { $value }
slip-baseline-subtracted = la línea base ya estaba restada: { $value }
slip-baseline-left-in = la línea base seguía dentro: { $value }
slip-ten-too-large = se escribió diez veces mayor: { $value }
slip-ten-too-small = se escribió diez veces menor: { $value }
# $door, $share
door-unnoted = Nadie anotó cómo estaba { $door }; las lecturas dan { $share } a abierta.
# $count
fit-robust = Las lecturas lejos de todas las demás cuentan menos (ajuste robusto); { $count } de ellas cuentan menos de la mitad.
# $list, $more
fit-nothing-bears = Ninguna lectura dice algo de: { $list }{ $more ->
        [0] .
       *[other]  y { $more } más.
    } Lo que se dice de ello viene solo de los intervalos de house.toml.
# $what, $question
left-out = No está en el ajuste: { $what }. { $question }
# $of: un nombre, o nada
left-out-accuracy = ¿Qué exactitud tiene? No está declarada.
left-out-which-zone = ¿En qué zona de house.toml se hizo{ $of ->
        [none] ?
       *[other] , si { $of } no es ninguna de ellas?
    }
left-out-which-fan = ¿Qué ventilador o rejilla de house.toml era{ $of ->
        [none] ?
       *[other] , si { $of } no es ninguno de ellos?
    }
left-out-which-way = ¿El ventilador de ensayo extraía o impulsaba aire?
left-out-which-decay = ¿Cómo estaban puertas y temperaturas durante una de sus caídas? Escriba esa caída como un ensayo propio con su principio y su fin.
left-out-opened = ¿Qué puerta o trampilla de house.toml se abrió? Lo leído tal como se encontró está en el ajuste; lea lo abierto como lecturas sueltas con `set`.
left-out-no-handler = ¿Dónde está la manejadora de aire y qué rejillas tiene? En house.toml no hay ninguna.
left-out-not-drawn = ¿Dónde está { $of }? No está en house.toml.
left-out-intake = ¿Cuánto aire exterior entraba por la toma abierta?
left-out-statics = ¿Cuánto aire movía la manejadora a esas presiones? Escriba la tabla del fabricante (`flow_table`) o mida el caudal.
left-out-pans = ¿Cuánto fugan los conductos en total? Las bandejas lo dicen con el área abierta de cada rejilla de un lado (`open_area`) y la presión de su plenum (`supply_plenum`, `return_plenum`){ $of ->
        [none] .
       *[other] : falta la de { $of }.
    }
left-out-pans-inside = ¿Cuánto fugan los conductos en total? Las bandejas no dicen nada de conductos dentro de los cuartos ni con la manejadora en marcha: mídalo con un comprobador de conductos.
left-out-sealing = ¿Qué presión y caudal se leen ahora que las reparaciones están hechas? La casa cambió mientras se leía: haga un ensayo de la envolvente.
left-out-bills = ¿Qué superficies llevan calor de los cuartos al exterior, y cuánto? Las facturas dan conducción y fugas en una sola suma, y house.toml no tiene `[surface]` alrededor de los cuartos.
left-out-bills-efficiency = ¿Qué parte del calor de { $of } llega a los cuartos (`efficiency`)? Su consumo sigue al clima.
left-out-bills-other = ¿Qué facturas son de la casa como está ahora? En el ajuste hay ya una serie de facturas.
left-out-no-result = ¿Qué faltaba para un resultado? El ensayo no dio ninguno.
left-out-interval = ¿Qué exactitud tiene aquello en que se apoya (instrumento, volumen, fuente)? Su resultado no tiene intervalo.
left-out-not-steady = ¿Cuánto tiempo llevaba así el cuarto (`steady_for`)? Puede que no estuviera estable.
left-out-rooms = ¿Qué se leía en los cuartos junto a { $of }? Su aire también entra: registre ambos y escriba un ensayo de dos zonas, o abra las puertas.
left-out-temperatures = ¿Qué temperatura había dentro y fuera? Sin ambas nadie sabe qué movía el aire.
left-out-water = ¿Cuánta agua dan allí personas y cosas (`moisture_given_off` y su exactitud)?
left-out-to-outdoors = ¿Qué parte de la fuga va al exterior? El total incluye lo que fuga hacia los cuartos.
left-out-plenum = ¿Qué presiones hay en los plenums con la manejadora en marcha? Sin ellas la fuga a 25 Pa dice poco de la fuga en marcha.
door-ask = ¿Estaba { $door } abierta o cerrada? De todas las puertas, esta respuesta diría más.
# $list, $more: how many further ones, $moved: names of leaks, gaps, fans
again-title = Conviene leerlo otra vez antes de guardar los instrumentos
again-taken-back = Falta, porque se retiró: { $list }{ $more ->
        [0] .
       *[other] , y { $more } más.
    } Prepárelo como se quería y léalo otra vez.
again-doubt = Correcto o un error, las lecturas no lo dicen: { $list }{ $more ->
        [0] .
       *[other] , y { $more } más.
    } Mire las puertas, prepárelo y léalo otra vez; de ello depende: { $moved }.
again-unchecked = Ninguna otra lectura mostraría un signo cambiado o una unidad equivocada en: { $list }{ $more ->
        [0] .
       *[other] , y { $more } más.
    } Léalo otra vez; de ello depende: { $moved }.
# $reading, $shown
again-reading = { $reading }, leído { $shown }
# $door, $open, $with: readings of that setup
again-door = { $door }, anotada como { $open ->
        [yes] abierta
       *[no] cerrada
    } con { $with }
# $count
again-held = Preparaciones que convendría leer otra vez y que ahora la seguridad prohíbe: { $count }.
# $reading, $share; $instrument
decides-reading = Una lectura decide más que las otras sobre el total: { $reading }. Quita { $share } de la varianza que dejan todas las demás.
decides-instrument = De la duda (varianza) que queda en el total, { $share } es el error propio de { $instrument }.

# Lo que se pregunta de una casa
answers-title = Lo que se pregunta de la casa
answers-caption = En una noche de invierno sin viento, con intervalos del 90 %; presiones contra el exterior.
answers-asked = pregunta
answers-answer = respuesta
answers-from-readings = por lecturas
# $zone; $door, $zone; $appliance, $list
asks-conduction = calor a través de superficies, por cada grado más frío fuera
asks-air-heat = calor del aire que entra en la época de calefacción, por cada grado más frío
asks-air-from = aire de { $zone } hacia los cuartos
asks-door-shut = { $door } cerrada, manejadora encendida: la presión en { $zone } cambia
asks-appliance = presión junto a { $appliance }; encendido: { $list }
asks-appliance-shut = presión junto a { $appliance }, puertas interiores cerradas; encendido: { $list }
asks-handler = manejadora de aire
asks-nothing = nada

# Cuartos en los días de cálculo
rooms-title = Los cuartos en los días más duros
# $out, $in
rooms-cold = Calefacción, { $out } en el exterior, { $in } en los cuartos
rooms-hot = Refrigeración, { $out } en el exterior, { $in } en los cuartos
rooms-from-weather = La temperatura exterior es la que supera, por su lado, una hora de cada cien del año de datos.
rooms-given = La temperatura exterior es la que da job.toml.
rooms-room = Cuarto
rooms-needs = Necesita
rooms-gets = Traen las rejillas
rooms-flow = Aire
rooms-short = Falta
rooms-why = Sobre todo por
rooms-enough = suficiente
rooms-load = entre todos los cuartos piden más de lo que da la máquina
rooms-share = a este cuarto le llega una parte demasiado pequeña del aire
rooms-ducts = fugas y pérdidas de los conductos
# $room, $needs, $gets, $why, $chance
rooms-line-short = { $room }: necesita { $needs }, recibe { $gets }; se queda corta con una probabilidad de { $chance }, sobre todo por: { $why }
rooms-line-enough = { $room }: necesita { $needs }, recibe { $gets }; se queda corta con una probabilidad de { $chance }
rooms-caption = Régimen permanente con la máquina a plena potencia, solo calor sensible; sol y personas cuentan cuando refrigera.
rooms-none-of-its-own = sin rejilla propia
# $room, $needs
rooms-line-none = { $room }: necesita { $needs }; sin rejilla propia
