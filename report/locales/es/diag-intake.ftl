# Archivos de registradores y mensajes de fuentes en vivo.
# $file, $line, $column, $found

I101 = la línea { $line } de `{ $file }` tiene { $found } celdas y el encabezado { $column }
    .because = con una celda de más o de menos cada número quedaría bajo otro nombre
    .help = busque una coma decimal o un delimitador dentro de un texto; la fila queda fuera
I102 = línea { $line } de `{ $file }`: `{ $found }` en `{ $column }` no es un número
    .because = solo los números son lecturas; la celda queda vacía
    .help = si significa "sin valor", póngalo en `missing` del mapa; si los números llevan coma decimal, dígalo allí
I103 = línea { $line } de `{ $file }`: la hora `{ $found }` no está escrita como dice el mapa
    .because = una fila sin hora no tiene lugar; queda fuera
    .help = corrija `written` y `clock` bajo [time] en el mapa
I104 = línea { $line } de `{ $file }`: la hora local `{ $found }` no existió, el reloj acababa de pasar al horario de verano
    .because = un aparato que la muestra no sigue el horario de verano; la fila queda fuera
    .help = ponga en `clock` del mapa el desfase que guarda, como "UTC-05:00"
I105 = la línea { $line } de `{ $file }` es demasiado larga, o nombra demasiados canales
    .because = las líneas se leen hasta 1 MB, para que un archivo dañado no llene la memoria; queda fuera
    .help = vea si el archivo es un texto con una lectura por línea
I106 = la línea { $line } de `{ $file }` tiene una comilla que no se cierra
    .because = todo lo que sigue sería una sola celda; solo esta línea queda fuera
    .help = cierre la comilla o quítela
I107 = la línea { $line } de `{ $file }` no es JSON bien formado: { $found }
    .because = un mensaje cortado no es de fiar ni en parte; queda fuera
    .help = mire la línea; la última suele quedar cortada cuando un registrador se detiene
I108 = la línea { $line } de `{ $file }` no tiene `{ $column }`
    .because = el mapa lo nombra; el mensaje queda fuera
    .help = corrija la ruta en el mapa
I109 = línea { $line } de `{ $file }`: `{ $found }` en `{ $column }` es una fórmula
    .because = las fórmulas no se calculan, solo los números son lecturas; la celda queda vacía
    .help = exporte valores en lugar de fórmulas
I110 = la línea { $line } de `{ $file }` contiene bytes que no son texto (`{ $column }`)
    .because = el archivo está dañado allí o no es texto; la celda o la fila queda fuera
    .help = expórtelo otra vez o corrija `encoding` en el mapa
I111 = línea { $line } de `{ $file }`: un registro SenML está mal en `{ $column }` ({ $found })
    .because = la RFC 8428 lo prohíbe
    .help = corrija el emisor; los demás registros valen
I112 = línea { $line } de `{ $file }`: la carga está cifrada
    .because = aquí solo se leen cargas sin cifrar
    .help = deje que la pasarela la descifre o apague el cifrado
I113 = línea { $line } de `{ $file }`: la carga no se puede leer en `{ $found }`
    .because = está cortada, es de otra versión o contiene un objeto de longitud desconocida; lo anterior vale
    .help = compárela con la descripción del aparato
I114 = línea { $line } de `{ $file }`: `{ $column }` es un texto (`{ $found }`)
    .because = un texto no es una lectura; queda fuera
    .help = no hay nada que hacer si no se esperaba un número
I115 = línea { $line } de `{ $file }`: no hay columna ni unidad para `{ $column }` ({ $found })
    .because = el mapa decide qué se lee; el registro queda fuera
    .help = añada una columna al mapa si lo quiere
I116 = línea { $line } de `{ $file }`: la hora { $found } no es posterior a la fila anterior
    .because = una serie junto a una visita avanza en el tiempo; la fila queda fuera de ella y sigue en el original
    .help = vea si se ajustó el reloj y parta allí el archivo
I117 = { $more } más de la clase { $code } en `{ $file }`
    .because = solo las cinco primeras de cada clase se dicen una por una
    .help = corrija las primeras: lo que está mal en ellas suele estar mal en todas
I118 = el mapa `{ $file }` no tiene ninguna columna que se pueda leer
    .because = sin columnas no hay nada que leer
    .help = escriba una tabla [column.NOMBRE] con `from`, `quantity` y `unit`
I119 = `{ $found }` no es un reloj
    .because = una hora necesita un solo sentido
    .help = escriba "UTC", un desfase como "UTC-05:00", "in the text" o una zona horaria como "America/New_York"
I120 = la unidad `{ $unit }` no mide { $quantity }
    .because = los números se leerían como otra cosa
    .help = unidades probables: { $likely }
I121 = `{ $name }` no puede ser el nombre de una columna
    .because = los nombres de una serie llevan letras minúsculas, cifras y `_`
    .help = llámela `{ $near }`
I122 = no hay columna `{ $name }` de la que derivar
    .because = una columna derivada necesita su origen en el mismo archivo
    .help = el mapa tiene: { $known }
I123 = `{ $key }` necesita dos valores
    .because = una recta pasa por dos puntos
    .help = escriba dos, como ["12 %", "76 %"]
I124 = `{ $column }` de `{ $file }` ronda { $value } { $unit }, lo que no puede ser
    .because = una unidad equivocada hace falso todo resultado sin que se vea
    .help = { $likely ->
        [none] corrija la unidad o la columna en el mapa
       *[other] la unidad es probablemente { $likely }: corríjala en el mapa o responda `unit.{ $column }`
    }
I125 = `{ $file }` no tiene la columna `{ $name }`
    .because = el mapa la nombra
    .help = el archivo tiene: { $known }{ $near ->
        [none] {""}
       *[other] {" "}(¿quería decir `{ $near }`?)
    }
I126 = { $why ->
        [empty] `{ $file }` está vacío
        [one-line] `{ $file }` tiene una sola línea y ninguna lectura debajo
       *[other] en `{ $file }` no se reconoció nada
    }
    .because = se buscan filas de horas y números entre comas, puntos y comas, tabuladores o barras, líneas JSON, SenML y BTHome
    .help = { $why ->
        [empty] vuelva a exportarlo del registrador
        [one-line] vuelva a exportarlo del registrador
       *[other] expórtelo como CSV o escriba un mapa a mano
    }
I127 = `{ $file }` no tiene ninguna columna con fecha y hora
    .because = una lectura sin su hora no tiene lugar
    .help = tiene: { $known }; si los tiempos son transcurridos, ponga la unidad en el encabezado, como `time s`
I128 = `{ $file }` no tiene ninguna lectura de una clase conocida
    .because = lo que mide una columna lo dicen su encabezado o su unidad
    .help = tiene: { $known }; escriba un mapa a mano donde los encabezados no lo digan
I129 = `{ $file }`: la pregunta `{ $id }` está abierta
    .because = lo que un archivo no dice no se adivina
    .help = añada --answer { $id }=VALOR{ $choices ->
        [none] {""}
       *[other] {" "}con uno de: { $choices }
    }
I130 = `{ $file }` ya existe
    .because = nunca se sobrescribe nada
    .help = traiga el archivo con otro nombre con --as o aparte el antiguo
I131 = la casa no tiene la zona `{ $name }`
    .because = las lecturas se ponen frente a la zona donde se tomaron
    .help = tiene: { $known }{ $near ->
        [none] {""}
       *[other] {" "}(¿quería decir `{ $near }`?)
    }
I132 = `{ $column }` de `{ $file }`: { $flag ->
        [out_of_range] { $count } lecturas no pueden ser
        [saturated] { $count } lecturas están en un extremo de la escala
        [stuck] { $count } lecturas no cambian
        [jump] { $count } lecturas saltan
        [clock] en { $count } filas el reloj está mal
        [duplicate] { $count } filas repiten un momento
       *[gap] { $count } huecos
    }, la primera vez { $when }
    .because = las lecturas quedan como están; lo dudoso se dice para que nadie se fíe por error
    .help = mire el lugar y déjelo fuera de un ensayo con `start` y `end`
I133 = el reloj de `{ $of }` marca { $offset } s más que el de `{ $against }` (incertidumbre típica { $std } s, por { $by }, correlación { $correlation })
    .because = ambos vieron lo mismo en momentos distintos; el aire de camino de un cuarto a otro se ve igual
    .help = no se movió nada; si ambos empezaron juntos, ajuste un reloj y anote el desfase
I134 = los relojes de `{ $of }` y `{ $against }` no se pueden comparar: { $why ->
        [too_short] muy poco en común
        [flat] uno de ellos no cambia
        [unlike] no ven lo mismo
        [ambiguous] varios desfases valen igual
       *[other] el mejor desfase queda más allá de lo buscado
    }
    .because = un desfase se dice solo donde las señales lo dicen
    .help = deje que los registradores empiecen y terminen juntos, y sople sobre ellos a la vez
I135 = la serie de `{ $file }` tendría { $size } MB; en un trabajo se leen { $most } MB como mucho
    .because = una serie de un trabajo se lee entera en la memoria
    .help = añada --every "1 min" para guardar medias
I136 = no se pudo leer ninguna fila de `{ $file }`
    .because = sin filas no hay nada que guardar
    .help = mire las primeras rechazadas: dicen en qué falla el mapa
I137 = `{ $found }` no responde a `{ $id }`
    .because = { $id ->
        [every] las medias se toman sobre un tiempo de 1 s a 24 h
       *[other] cada pregunta tiene respuestas de su clase
    }
    .help = { $id ->
        [every] escriba un número con su unidad, como en --every "5 min"
       *[other] ejecútelo sin la respuesta para ver la pregunta
    }
I138 = no hay { $date ->
        [none] visita
       *[other] visita `{ $date }`
    } junto a la que poner una serie
    .because = las series están en la carpeta de una visita
    .help = { $known ->
        [none] haga una carpeta como visits/2026-11-12 con un visit.toml
       *[other] el trabajo tiene: { $known }
    }
I139 = las horas de `{ $file }` van en { $clock } de principio a fin
    .because = el reloj cambió dentro del registro, y las horas de una serie deben avanzar
    .help = téngalo en cuenta al nombrar horas del día en un ensayo
