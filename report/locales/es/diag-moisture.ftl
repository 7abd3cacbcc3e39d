# Humedad. Una frase, sin punto final.

M101 = hay { $found ->
        [one] una lectura utilizable
       *[other] { $found } lecturas utilizables
    } y hacen falta { $needed }
    .because = con menos no se puede decir nada
    .help = tome más lecturas
M102 = { $count ->
        [one] un valor está
       *[other] { $count } valores están
    } fuera de lo posible y se deja fuera
    .because = el instrumento o la columna no es lo que se pensaba
    .help = revise la unidad en la cabecera, y el registrador
M103 = { $hours ->
        [one] una hora no tiene
       *[other] { $hours } horas no tienen
    } lectura; el índice no se mueve entretanto
    .because = nadie sabe qué hizo la superficie
    .help = cierre los huecos, o trabaje las partes por separado
M104 = la referencia es { $reference } y los puntos son { $material }
    .because = un medidor así solo compara dentro de un mismo material
    .help = tome lecturas secas en el mismo material
M105 = interior menos exterior era { $before } antes y { $during } con el ventilador
    .because = sin diferencia de temperatura una imagen no muestra nada del aire ni del aislamiento
    .help = vuelva cuando haga más frío o más calor fuera
M106 = una lectura de { $shown } corregida a { $corrected } no es un contenido de humedad
    .because = la corrección tiene el signo o la unidad equivocados
    .help = tómela de la tabla del propio medidor, en tanto por ciento de humedad
M107 = al punto `{ $spot }` le falta una de sus dos lecturas y se deja fuera
    .because = solo un par muestra qué se movió
    .help = léalo antes y con el ventilador en marcha
