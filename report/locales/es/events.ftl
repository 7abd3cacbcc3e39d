# Días malos por los que pasan los planes
event-smoke = Humo afuera
event-heat-wave = Ola de calor
event-cold-snap = Ola de frío
event-power-cut = Corte de luz
event-everything-on = Todo encendido a la vez, puertas cerradas
event-doors-shut = Puertas cerradas de noche
event-guests = Visitas
event-cooking = Más cocina y más baños que de costumbre
# $label, $size: "none" where it has none, $hours, $date: month and day
event-title = { $label }{ $size ->
        [none] {""}
       *[other] {" "}({ $size })
    }: { $hours } h desde el { $date } (mes y día)
# $zone, in all of these
event-pm25-mean = PM2,5 media en { $zone } respecto a la de afuera
event-pm25-peak = la hora más alta de PM2,5 en { $zone } respecto a la más alta de afuera
event-pm25-hours = tiempo con más PM2,5 en { $zone } que el umbral de un día
event-pm25 = PM2,5 media en { $zone }
event-warm-hours = tiempo por encima del umbral de calor en { $zone }
event-warmest = temperatura más alta en { $zone }
event-cool-hours = tiempo por debajo del umbral de frío en { $zone }
event-coldest = temperatura más baja en { $zone }
event-temp-at-end = temperatura en { $zone } en la última hora
event-highest-co2 = la hora más alta de CO₂ en { $zone }
event-night-co2 = CO₂ medio de las noches en { $zone }
event-humid-hours = tiempo más húmedo que el umbral en { $zone }
# $appliance
event-appliance-pressure = presión más baja junto a { $appliance } frente al exterior
event-owed = lo más que llegan a deber los bloqueos de las reglas, como tiempo al doble de exposición
event-repay = tiempo que lo compensa con los equipos a pleno
# $days
event-repaid = tiempo desde el fin del suceso hasta no deber nada, tal como se vivió con las reglas ({ $days } d como mucho)
event-never-repaid = nunca con los equipos a pleno
event-no-value = sin valor
event-appliance-gone = ya no toma aire del cuarto
# $draws
event-draws = Vivido en { $draws ->
        [one] { $draws } casa que las lecturas permiten
       *[other] { $draws } casas que las lecturas permiten
    }; los intervalos son del 90 %.
event-screening = Esto es solo una criba: deciden el retorno de humos y el CO medidos después del trabajo.
event-no-appliance = Aquí ningún aparato toma su aire de los cuartos.
event-power-cut-note = Los conductos de humos y las compuertas quedan como están; se sigue cocinando.
# $plan, $owed, $repay
plans-owed = { $plan }: los bloqueos de sus reglas llegan a deber { $owed } como máximo (como tiempo al doble de exposición); se compensa en { $repay }
# $names
change-rules = reglas de control: { $names }
# $done, $of
progress-events = viviendo los planes en días malos: { $done } de { $of }
# $done, $of, $leading
progress-first-ranking = primer orden tras { $done } de { $of } años: el mejor hasta ahora { $leading }; otros sorteos aún pueden cambiarlo
# Dónde trabaja el ventilador de la manejadora. $plan, $flow, $rise, $drop, $intake
plans-handler = { $plan }: la manejadora mueve { $flow } contra { $rise }, de ellos { $drop } en el filtro
plans-handler-intake = { $plan }: la manejadora mueve { $flow } contra { $rise }, de ellos { $drop } en el filtro; su conducto exterior trae { $intake } mientras marcha
# El modelo frente a las facturas. $part: electricity o burnt, $model, $bills, $ratio
plans-bills = Facturas, lo que sigue al clima en un año usual: { $part ->
        [electricity] electricidad de calefacción, refrigeración y manejadora
       *[other] quemado para calefacción
    } { $model } según el modelo tal como se encontró, { $bills } según las facturas; modelo sobre facturas { $ratio }
# $plan, $energy, $by: "none" para la casa tal como se encontró
plans-billed = { $plan }: energía de un año ajustada a las facturas { $energy }{ $by ->
        [none] {""}
       *[other] ; { $by } respecto a la casa tal como se encontró
    }
