# Seguridad, códigos desde O101.

O101 = el combustible va en `[combustion]`, no entre los peligros
    .because = la búsqueda de combustible es una sola cosa con quién miró y dónde, y la barrera la lee allí
    .help = escriba `[combustion]` con `fuel`, `looked_by` y `looked_where`
O102 = la foto `{ $photo }` no está entre los archivos del trabajo
    .because = una foto que no se encuentra no enseña nada a nadie
    .help = póngala en la carpeta del trabajo, o nombre un adjunto por su SHA-256
O103 = { $test ->
        [none] una lectura suelta se hizo
       *[other] el ensayo `{ $test }` se hizo
    } en contra del repaso de peligros: { $items }
    .because = esto se vio, se sospecha o no se había mirado cuando se movió el aire de la casa; el resultado cuenta y queda marcado
    .help = `airwright safety` dice qué cambia y quién debe actuar
O104 = el repaso de peligros dice alto: { $item }
    .because = nada se enciende ni se lee hasta que hayan actuado quienes deben; ninguna firma vale en contra
    .help = `airwright safety` dice quiénes son; una nueva mirada va en una nueva visita
O105 = `{ $name }` no está en la lista de lo que esta visita tocó{ $near ->
        [none] {""}
       *[other] ; ¿quiso decir `{ $near }`?
    }
    .because = la lista se hace de lo que la visita tocó
    .help = en la lista: { $known }
O106 = la visita está cerrada con { $count ->
        [one] { $count } cosa
       *[other] { $count } cosas
    } sin reponer: { $open }
    .because = lo que una visita toca se repone antes de irse
    .help = repóngalo y nómbrelo en `[[restored]]` con `what`, `by` y `when`, o quite `[closed]`
O107 = no se volvió a probar la combustión el { $day } tras: { $what }
    .because = una obra en envolvente, ventiladores o manejadora de aire cambia el tiro de un aparato; se prueba de nuevo antes de acabar ese día
    .help = añada un ensayo de `kind = "combustion zone"` con `stage = "end of day"` a la visita de ese día
