quantity-radon-activity = radón en el aire

Q101 = el hallazgo `{ $finding }` lee magnitudes de cosas de dos clases
    .because = una regla se pregunta una vez por cuarto o por aparato, y no puede emparejar unos con otros
    .help = use magnitudes de una sola clase de cosas y de toda la casa
Q102 = ya hay un hallazgo llamado `{ $finding }`
    .because = cuenta el primero
    .help = déle otro nombre; el límite de un hallazgo ya hecho se cambia con `[[adopt]]`
Q103 = { $wants ->
        [no] `{ $name }` es de toda la casa y no lleva `of`
       *[other] `{ $name }` necesita `of`: de qué es
    }
    .because = un valor se asigna al cuarto, ventilador o aparato en que se leyó
    .help = docs/FINDINGS.md dice de qué es cada magnitud
Q104 = el límite `{ $limit }` es de algo que es verdadero o falso
    .because = un límite es algo con lo que se compara un número
    .help = nombre en `of` una magnitud que sea un número
Q105 = el patrón del hallazgo `{ $finding }` tiene un contrario, `!(...)`, junto a `either = true`
    .because = una comparación con algo no medido es falsa, y su contrario sería verdadero
    .help = dé la vuelta a la comparación
Q106 = el hallazgo `{ $finding }` no estropea nada aunque trata de la calidad de lecturas, o estropea algo aunque no
    .because = las reglas sobre lecturas van primero y retienen lo que se apoya en la lectura estropeada
    .help = dé `spoils` a las reglas con `sort = "reading quality"`, y a ninguna otra
Q107 = `{ $text }` no es una magnitud y un estado
    .because = una regla pregunta en qué estado de la casa se tomó una magnitud
    .help = escríbalo como `room.pressure: doors shut`
