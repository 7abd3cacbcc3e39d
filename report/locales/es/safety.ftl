# El repaso de peligros, la combustión estado por estado, lo que se debe tras una obra, lo que hay que reponer.

screen-title = Antes, durante y después: qué se miró, se probó y se tocó
# $date
screen-title-of = Repaso de peligros, { $date }
# $missing, $before
screen-outcome-go = Se miró todo lo de la lista y nada se opone al procedimiento habitual.
screen-outcome-changed = Se miró todo lo de la lista, y lo encontrado cambia el procedimiento.
screen-outcome-unfinished = { $missing ->
        [one] Falta mirar { $missing } punto
       *[other] Faltan por mirar { $missing } puntos
    }{ $before ->
        [0] {"."}
       *[other] {", "}{ $before } de ellos antes de extraer aire.
    }
screen-outcome-stop = El trabajo se detiene hasta que hayan actuado quienes se nombran abajo.
screen-missing-title = Sin mirar todavía, en este orden
screen-seen-title = Mirado
screen-agreed-title = Acordado y avisado
screen-flags-title = Hecho en contra del repaso
screen-before-drawing = Antes de extraer aire.

screen-item-ambient-co = monóxido de carbono en el aire
screen-item-gas = olor a gas
screen-item-people = personas a quienes un ensayo puede dañar
screen-item-pets = animales
screen-item-neighbours = aparatos de los vecinos
screen-item-fuel = combustible
screen-item-flues = conductos de humos y salidas
screen-item-unvented = calefactores sin salida de humos
screen-item-embers = fuego, brasas, ceniza
screen-item-structure = suelos, escaleras, pasos del ático
screen-item-wiring = cableado antiguo o desconocido
screen-item-asbestos = amianto, vermiculita
screen-item-mould = moho
screen-item-sewage = aguas fecales
screen-item-lead = pintura con plomo

screen-why-ambient-co = Actúa sobre quien entra, primero sobre quien prueba: el medidor va encendido desde el umbral.
screen-why-gas = Basta una chispa: va antes de tocar ningún interruptor.
screen-why-people = Un ensayo mueve humo, polvo y aire frío por los cuartos; quien tiene asma, oxígeno o un bebé decide antes.
screen-why-pets = Hay puertas abiertas y ventiladores en marcha, y un animal puede escaparse o meterse en uno.
screen-why-neighbours = Por un conducto de humos o un muro común, un ensayo aquí puede aspirar humos allí.
screen-why-fuel = Lo que arde decide qué ensayos van primero: `[combustion]` con quién miró y dónde.
screen-why-flues = Un conducto de humos tapado o suelto se halla con el aparato apagado, antes de encender nada.
screen-why-unvented = Sus gases quedan en la casa, y más cuando la casa es más estanca.
screen-why-embers = El aire que baja por la chimenea trae ceniza y humo al cuarto y puede avivar brasas.
screen-why-structure = Quien va bajo el tejado o bajo el suelo pisa encima.
screen-why-wiring = El cableado sobre aisladores se enfría con el aire que lo rodea; cubierto, puede que no.
screen-why-asbestos = El aire que lo atraviesa puede llevar fibras a los cuartos.
screen-why-mould = El aire que lo atraviesa lleva esporas a los cuartos.
screen-why-sewage = El aire que pasa por encima lleva gérmenes y gas a los cuartos.
screen-why-lead = Sellar y taladrar remueve pintura vieja; con un año en `lead_paint_before` de `[place]` responde la edad de la casa.
screen-lack-no-name = Se anotó sin nombre: ¿quién miró?
screen-lack-no-reading = Nadie puede verlo: anote la lectura más alta del medidor.

screen-found-none-seen = nada visto
screen-found-suspect = se sospecha
screen-found-present = presente
screen-found-no-fuel = no se halló
# $value
screen-highest = máximo { $value }
# $value
screen-lel = { $value } del límite inferior de explosividad
# $area, $published
screen-mould-area = { $area } (la orientación publicada pide un especialista a partir de unos { $published }, de memoria)
screen-from-test = de un ensayo de combustión
screen-from-age = por la edad de la casa
screen-from-house = de house.toml
# $photo
screen-photo = foto { $photo }
# $who, $to, $when
screen-agreed = { $who }: { $to }, { $when }

screen-rule-co-present = Hay monóxido de carbono en el aire: todos salen, no se toca ningún interruptor, se llama desde fuera.
screen-rule-co-suspect = Se sospecha monóxido de carbono: se avisa a la gente, se ventila y se busca la fuente antes de poner nada en marcha.
screen-rule-co-tell = La lectura alcanzó el nivel en que se avisa a la gente, se busca la fuente y se ventila.
screen-rule-co-stop = La lectura alcanzó el nivel en que el trabajo termina: abrir, apagar las fuentes, salir.
screen-rule-co-leave = La lectura alcanzó el nivel en que todos salen y se llama a emergencias desde fuera.
screen-rule-gas-seen = Huele a gas o se halló gas: ni interruptores, ni llamas, ni teléfono dentro; todos salen y se llama desde fuera.
screen-rule-gas-level = El gas en el aire alcanzó el nivel en que todos salen y se llama desde fuera.
screen-rule-combustion-stopped = Un ensayo de combustión halló monóxido de carbono en un cuarto o en un horno, o gas, a un nivel en que el trabajo termina.
screen-rule-people-seen = Se avisa por escrito a quien pueda salir dañado de lo que el ensayo hace con el aire, y sale mientras dura, o el ensayo se aplaza.
screen-rule-pets-seen = Los animales se encierran lejos de puertas y ventiladores, o salen, mientras dura el ensayo.
screen-rule-neighbours-seen = Se avisa a los vecinos; sus aparatos en conducto de humos o muro común están apagados, o se prueban también, antes de extraer aire.
screen-rule-flues-present = Un conducto de humos está tapado, oxidado o suelto: no se enciende ningún aparato en él y nada más se pone en marcha hasta repararlo.
screen-rule-flues-suspect = Un conducto de humos está en duda: no se enciende ningún aparato en él ni se extrae aire hasta que se haya mirado.
screen-rule-unvented-seen = El calefactor sin salida está apagado y frío toda la visita, y sigue apagado mientras se extrae aire.
screen-rule-embers-present = El fuego está apagado y frío, la ceniza retirada o cubierta, puertas y registros de la chimenea cerrados antes de extraer aire.
screen-rule-embers-suspect = La ceniza que puede esconder brasas se revisa, se retira o se cubre antes de extraer aire.
screen-rule-structure-seen = Nadie entra en esa parte, nada se abre ni se lee en ella.
screen-rule-wiring-seen = Ningún aislante lo toca y ningún sellado lo entierra hasta que lo mire un electricista; un cableado desconocido en una cavidad detiene el trabajo en ella.
screen-rule-asbestos-present = No se remueve y no se aspira aire a través de él: la casa se presuriza en vez de despresurizarse, o el ensayo se omite.
screen-rule-asbestos-suspect = Cuenta como amianto hasta que alguien autorizado diga otra cosa: la casa se presuriza en vez de despresurizarse.
screen-rule-asbestos-place = El lugar que lo contiene queda cerrado; trampillas y luminarias hacia él no se tocan.
screen-rule-mould-seen = No se aspira aire del lugar con moho hacia los cuartos; primero la humedad, después el sellado.
screen-rule-sewage-seen = No se aspira aire de allí hacia los cuartos hasta que se limpie y se repare la fuga.
screen-rule-lead-seen = Las superficies pintadas no se lijan, cortan ni taladran fuera de las reglas del plomo; el ensayo mismo no cambia.
# $value, $level
screen-measured = Leído { $value }; nivel { $level }.
screen-bars-entering = No se entra en ese lugar.
# $zone
screen-bars-zone = No se entra en: { $zone }.
screen-bars-drawing-down = Hasta entonces no se extrae aire.
screen-bars-moving-air = Hasta entonces nada mueve la presión de la casa.
screen-bars-everything = Hasta entonces nada se enciende y nada se lee.
screen-until-agreed = Hasta que conste su palabra (`[[agreed]]`) el ensayo espera.
# $who
screen-lifted = De acuerdo: { $who }.
screen-who-emergency = Quién debe actuar: emergencias, llamadas desde fuera.
screen-who-gas-utility = Quién debe actuar: la compañía de gas o emergencias, llamadas desde fuera.
screen-who-heating-contractor = Quién debe actuar: un instalador de calefacción autorizado.
screen-who-electrician = Quién debe actuar: un electricista autorizado.
screen-who-asbestos-inspector = Quién debe actuar: alguien autorizado para amianto.
screen-who-lead-certified = Quién debe actuar: alguien certificado para plomo, donde se remueva pintura.
screen-who-specialist = Quién debe actuar: un especialista en limpieza, y quien repare la causa.
screen-who-builder = Quién debe actuar: un constructor o un ingeniero.
screen-who-people = Quién debe actuar: quienes viven allí, con quien prueba.
screen-who-neighbours = Quién debe actuar: los vecinos, con quien prueba.
screen-who-tester = Quién debe actuar: quien prueba.
# $source
screen-source = [{ $source }]
screen-source-memory = [de memoria, compruebe su programa]
screen-source-practice = [práctica común, sin fuente]
# $test, $items
screen-flag-down = { $test ->
        [none] Una lectura suelta
       *[other] El ensayo { $test }
    } extrajo aire de la casa aunque se oponía o no se había mirado: { $items }. El resultado cuenta y queda marcado.
screen-flag-air = { $test ->
        [none] Una lectura suelta
       *[other] El ensayo { $test }
    } movió el aire de la casa aunque se oponía: { $items }. El resultado cuenta y queda marcado.

screen-check = Repaso de peligros cuando se hizo el ensayo
screen-check-wanted = nada que se le oponga
# $items
screen-caution = Hecho aunque el repaso de peligros se oponía o no estaba completo: { $items }.
# $items
screen-holds-tests = El repaso de peligros retiene todo ensayo que extraiga aire, también los que aquí se nombran: { $items }.

# $items
guide-held = El repaso de peligros se opone ahora a bajar la presión de la zona: { $items }.
# $appliance, $zone
guide-title = Combustión: { $appliance } ({ $zone })
guide-step-as-found = como se halló
guide-step-greatest = mayor depresión
guide-step-natural = condiciones naturales
guide-record-vent-look = mirada al conducto de humos (aparato apagado)
guide-record-ambient-co = monóxido de carbono en el aire
guide-record-gas = gas en las juntas
guide-record-baseline = presión de base de la zona
guide-record-pressure = presión de la zona en los estados probados
guide-record-spillage = revoco
guide-record-flue-co = CO en el conducto de humos
# $recorded, $missing, $needed
guide-stand = { $needed ->
        [no] solo donde falle la mayor depresión{ $recorded ->
            [none] {""}
           *[other] ; anotado: { $recorded }
        }
       *[other] { $recorded ->
            [none] nada anotado
           *[other] anotado: { $recorded }
        }{ $missing ->
            [none] ; nada falta
           *[other] ; falta: { $missing }
        }
    }
# $state, $missing
guide-now = Ahora, { $state }: { $missing }.
guide-whole = Está anotado todo lo que pide esta lista.
guide-stands-title = Estados en orden
guide-tries-title = Disposiciones por probar
# $on, $shut
guide-setup = en marcha: { $on }{ $shut ->
        [none] {""}
       *[other] ; cerrado: { $shut }
    }
guide-not-tried = sin probar
# $value
guide-read = leído { $value }
# $net
guide-expected = se espera { $net } neto
guide-handler = manejadora de aire
# $setup, $net, $by, $share, $close
guide-worst = Según la casa ajustada lo peor se espera con { $setup }: { $net } neto, { $close ->
        [yes] la siguiente a menos de { $by }
       *[no] unos { $by } por debajo de la siguiente
    }; la más baja de la lista en el { $share } de las casas que las lecturas permiten. Dice por dónde empezar; la presión sola no decide nada, el retroceso y el CO se miden.
# $source
guide-rule = Se halla probando: todos los extractores que expulsan afuera en marcha; luego las puertas, cada una como baje más la zona; luego la manejadora de aire, que sigue en marcha solo donde la zona baje más. [{ $source }]
guide-nothing-moves = Nada de lo que nombra house.toml saca aire de la casa ni lo mueve en ella: la mayor depresión es la de la casa como está.
# $tried, $left
guide-untried = { $tried ->
        [0] Todavía no se leyó ninguna disposición
        [one] Se leyó { $tried } disposición
       *[other] Se leyeron { $tried } disposiciones
    }; { $left ->
        [one] es posible { $left } combinación más
       *[other] son posibles { $left } combinaciones más
    }.

repeat-title = Combustión de nuevo tras la obra
# $day, $what, $lacking, $source
repeat-day-owed = { $day }: { $what }. Hay que volver a probar retroceso y CO antes de acabar ese día{ $lacking ->
        [none] {""}
       *[other] {": "}{ $lacking }
    }. [{ $source }]
repeat-day-late = { $day }: { $what }. Se volvió a probar otro día, no ese. [{ $source }]
repeat-day-done = { $day }: { $what }. Se volvió a probar ese día.
# $lacking, $source
repeat-test-out-owed = En el ensayo final hay que volver a probar retroceso y CO{ $lacking ->
        [none] {""}
       *[other] {": "}{ $lacking }
    }. [{ $source }]
repeat-test-out-done = Se volvió a probar en el ensayo final.

# $date, $count, $open, $closed
restore-title = Tocado el { $date }: { $count ->
        [one] { $count } cosa
       *[other] { $count } cosas
    }, { $open ->
        [0] todo repuesto
       *[other] { $open } sin reponer
    }{ $closed ->
        [none] {""}
       *[other] ; visita cerrada { $closed }
    }
restore-open-title = Sin reponer todavía
restore-back-title = Repuesto
restore-how = Cada cosa se cierra por su nombre: `[[restored]]` con `what`, `by` y `when`.
# $thing, $found, $states
restore-open = { $thing }{ $states ->
        [none] {""}
       *[other] ; estuvo { $states }
    }; { $found ->
        [none] nadie anotó cómo se halló
       *[other] se halló { $found }
    }
# $test
restore-test = ensayo { $test }
# $who, $when
restore-back = { $who ->
        [none] anotado con la preparación
       *[other] { $who }, { $when }
    }
# $label
restore-item-appliance = { $label }: piloto, termostato, mandos
restore-item-flue-plug = tapón en el conducto de humos de { $label }
restore-item-handler = manejadora de aire y termostato
restore-item-fan = { $label }
restore-item-door = { $label }
restore-item-cover = cinta o cubierta sobre { $label }
restore-item-test-fan = hueco en que estuvo el ventilador de ensayo
restore-item-registers = tapas y campanas en las rejillas
restore-item-filter = filtro en su ranura, tapa cerrada
restore-item-plugs = tapones en los agujeros de las sondas de presión
restore-item-zone-opening = abertura hacia { $label }

# $items
next-held-stop = el repaso de peligros dice alto ({ $items }): no se lee nada hasta que actúen quienes allí se nombran
# $items
next-held-screen = se opone el repaso de peligros: { $items }
# $items
next-held-not-looked = sin mirar todavía: { $items }
next-held-repeat = algo cambió desde que se probó la combustión, y eso va primero
next-held-keep-out = hay un lugar en que no se entra, no se abre y no se lee
