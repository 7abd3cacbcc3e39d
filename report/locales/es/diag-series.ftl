# Series al lado de una visita.
# Una frase, sin punto final. `.because` es la razón, `.help` es qué hacer.

V201 = la columna `{ $column }` está { $unit ->
        [none] sin unidad
       *[other] en `{ $unit }`
    }; hace falta { $wanted }
    .because = un número sin la unidad correcta se leería como otra cosa
    .help = escriba nombre y unidad en el encabezado, como `dormitorio ppm`, o nombre la columna que se quería decir
V202 = otras { $more } filas de esta serie no se pueden leer
    .because = solo las primeras se dicen una a una; toda fila buena se usa
    .help = corrija las primeras: lo que falla en ellas suele fallar en todas
V203 = esta serie no tiene ninguna fila que se pueda leer
    .because = sin filas no hay con qué trabajar
    .help = escriba un encabezado como `time,dormitorio ppm` y una fila por lectura
V204 = la primera columna es `{ $found }`, que no es un tiempo
    .because = cada fila necesita su tiempo
    .help = llámela `time` para fechas con hora, o `time s`, `time min` o `time h` desde el comienzo
V205 = el tiempo `{ $found }` no es posterior a la fila anterior
    .because = un reloj que retrocede o se detiene da ritmos sin sentido; la fila se deja fuera
    .help = corrija el tiempo, o divida la serie donde se ajustó el reloj
V206 = no hay ninguna serie `{ $file }` en la carpeta de esta visita
    .because = el ensayo la nombra
    .help = ponga el archivo junto a visit.toml, o corrija el nombre{ $near ->
        [none] {""}
       *[other] {" "}(¿quiso decir `{ $near }`?)
    }
V207 = la serie no tiene ninguna columna `{ $name }`
    .because = el ensayo la nombra
    .help = tiene: { $known }{ $near ->
        [none] {""}
       *[other] {" "}(¿quiso decir `{ $near }`?)
    }
