# Diagnósticos de los documentos de un trabajo: códigos J, H, V y P.
# Una oración, sin punto final. `.because` es la razón, `.help` es qué hacer.

J101 = aquí no hay ningún `job.toml`
    .because = dice dónde está la casa, quién vive en ella y de qué se queja
    .help = empiece en la carpeta que contiene `job.toml`, o escriba uno que comience con `format = 1`

H101 = el techo de `{ $zone }` no está por encima de su suelo: techo { $ceiling }, suelo { $floor }
    .because = ambas son alturas sobre el terreno, y entre ellas tiene que caber aire
    .help = revise `floor` y `ceiling`; un suelo bajo el terreno lleva signo menos
H102 = el volumen de `{ $zone }` es { $volume }; el área del suelo por la altura da { $boxed }
    .because = un techo inclinado quita una parte, pero menos de la cuarta parte o más de una vez y media suele ser un error de unidad
    .help = revise `volume`, `floor_area`, `floor` y `ceiling`; el volumen cuenta como está escrito
H103 = los dos lados son el mismo: `{ $name }`
    .because = el aire fluye, y la presión difiere, solo entre dos lugares distintos
    .help = nombre otra zona, o `outdoors`, en uno de los lados
H104 = `{ $name }` tiene tiro natural y su conducto de humos no tiene área
    .because = sin ella, el aire que se lleva el conducto de humos falta en todos los caudales
    .help = añada `flue_area` y `flue_top`, la altura de la boca del conducto sobre el terreno
H105 = la manejadora de aire no tiene rejilla de { $side ->
        [supply] impulsión
       *[return] retorno
    }
    .because = lo que impulsa a los cuartos tiene que volver a ella
    .help = añada una rejilla con { $side ->
        [supply] `side = "supply"`
       *[return] `side = "return"`
    } en `air_handler`, con la zona a la que abre
H106 = `{ $zone }` no tiene ningún camino al exterior
    .because = un ventilador por sí solo no fija ninguna presión, así que allí podría haber cualquiera
    .help = añada una fuga de la zona al exterior, o una fuga o puerta a otra zona que tenga salida
H107 = el ventilador `{ $name }` no tiene el exterior en ninguno de sus lados
    .because = aquí un ventilador saca aire de la casa o lo mete en ella
    .help = escriba `outdoors` en `from` o en `to`

V101 = `{ $name }` no puede estar en `{ $found }`
    .because = puede estar en: { $choices }
    .help = use una de estas palabras
V102 = una lectura de caudal no es mayor que cero
    .because = los caudales se comparan por su cociente, que necesita un número mayor que cero; esta lectura queda fuera
    .help = si el instrumento mostró menos de lo que puede leer, escriba su límite inferior como `below` en lugar de `value`
V103 = esta lectura no nombra ningún instrumento
    .because = sin exactitud declarada cuenta menos
    .help = escriba en `with` el nombre de uno de los instrumentos de la visita
V104 = se lee el caudal del ventilador de ensayo sin que ninguno funcione
    .because = el estado se hereda de la lectura anterior, y en este no hay ningún ventilador de ensayo en marcha
    .help = ponga `test_fan` en `depressurise` o `pressurise` en el `set` de esta lectura
V105 = se lee el caudal de `{ $name }` mientras no funciona
    .because = el estado se hereda de la lectura anterior, y solo se anota lo que se tocó
    .help = póngalo en marcha en el `set` de esta lectura, o corrija lo que se leyó

P101 = el plan `{ $plan }` se amplía a sí mismo
    .because = los cambios del plan ampliado van primero, y en un círculo ninguno es el primero
    .help = quite un `extends` del círculo
P102 = este cambio necesita una manejadora de aire y la casa no tiene ninguna
    .because = sellar conductos, filtrar y mezclar actúa sobre el aire que ella mueve
    .help = descríbala como `air_handler` en `house.toml`, o quite el cambio
P103 = el plan `{ $plan }` sella `{ $leak }` más de una vez
    .because = cada parte se quita de lo que dejó la anterior
    .help = deje una sola, a menos que se quiera sellar en dos veces
