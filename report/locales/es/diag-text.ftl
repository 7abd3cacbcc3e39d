# Diagnósticos de archivos, tablas y unidades: códigos T y U.
# Una oración, sin punto final. `.because` es la razón, `.help` es qué hacer.
# Un valor que falta llega como la palabra "none".

T001 = { $kind ->
        [twice] este nombre aparece aquí por segunda vez
        [unclosed-text] a un texto le faltan las comillas del final
        [unclosed-bracket] un corchete abierto no se cierra
        [unquoted] hay un texto sin comillas
        [no-value] hay un nombre sin `=` ni valor
        [stray-bracket] se cierra un corchete que no se abrió
        [no-comma] falta una coma entre dos valores
       *[other] esto no se puede leer: { $detail }
    }
    .because = { $kind ->
        [twice] nadie sabría cuál de los dos cuenta
       *[other] el archivo es TOML: corchetes, comillas y signos de igual tienen que casar antes de poder leer el resto
    }
    .help = { $kind ->
        [twice] deje uno de los dos o dé otro nombre a este
        [unquoted] ponga el texto entre comillas, como en "4 Pa"; las celdas de una fila van entre comas, como en [-50.1, 1210]
       *[other] mire el lugar marcado y la línea anterior
    }
T002 = nada { $table ->
        [none] al principio de este archivo
       *[other] en { $table }
    } se llama `{ $key }`
    .because = una palabra que no se entiende quedaría fuera sin que nadie lo note
    .help = { $near ->
        [none] revise la ortografía o quite la línea
       *[other] ¿quiso decir `{ $near }`?
    }
T003 = a { $table ->
        [none] este archivo
       *[other] { $table }
    } le falta `{ $key }`
    .because = { $key ->
        [format] dice a qué versión del programa pertenecen las palabras del archivo
       *[other] aquí no se puede dar ningún valor por supuesto
    }
    .help = { $table ->
        [none] { $key ->
            [format] escriba `format = 1` como primera línea
           *[other] añada una línea `{ $key } = ...` al principio, antes de la primera línea que empieza por un corchete
        }
       *[other] añada una línea `{ $key } = ...` a { $table }
    }
T004 = `{ $key }` debe ser { $wanted }; se encontró: { $found }
    .because = un valor de otro tipo no se entiende aquí
    .help = escriba { $wanted }; los textos y las cantidades van entre comillas, como "4 Pa"
T005 = `{ $key }` no puede ser `{ $found }`
    .because = las opciones son { $choices }
    .help = { $near ->
        [none] use una de las opciones
       *[other] ¿quiso decir `{ $near }`?
    }
T006 = la fila { $row } tiene { $found ->
        [one] { $found } columna
       *[other] { $found } columnas
    }; el encabezado tiene { $wanted }
    .because = un valor corrido de columna se leería como otra cosa
    .help = añada las celdas que faltan (una celda puede quedar vacía) o quite las que sobran; una coma decimal hace dos celdas de un número: escriba 61.2
T007 = { $named ->
        [yes] la columna `{ $column }` no nombra su unidad
       *[no] aquí no se conoce ninguna columna `{ $column }`
    }
    .because = { $named ->
        [yes] un número sin unidad no se puede usar
       *[no] una columna que no se entiende quedaría fuera sin que nadie lo note
    }
    .help = { $near ->
        [none] escriba
       *[other] ¿quiso decir `{ $near }`? Escriba
    } el encabezado como un nombre conocido con su unidad: { $known }
T008 = columna `{ $column }`, fila { $row }: `{ $found }` no es un número
    .because = la fila se conserva como está escrita y queda fuera de la serie
    .help = corrija la celda o déjela vacía donde no se leyó nada
T009 = este archivo tiene el formato { $found }; este programa conoce { $known }
    .because = un formato posterior puede decir otra cosa con las mismas palabras
    .help = ábralo con una versión más nueva del programa
T010 = el nombre `{ $name }` se usa dos veces
    .because = otras líneas podrían referirse a cualquiera de los dos
    .help = dé otro nombre a uno de ellos
T011 = { $kind ->
        [zone] no hay ninguna zona con el nombre `{ $name }`
        [instrument] esta visita no tiene ningún instrumento con el nombre `{ $name }`
        [flow] nada cuyo caudal se pueda leer tiene el nombre `{ $name }`
        [switchable] nada que se pueda encender, abrir, cerrar o sellar tiene el nombre `{ $name }`
        [plan] no hay ningún plan con el nombre `{ $name }`
        [leak] no hay ninguna fuga con el nombre `{ $name }`
        [door] no hay ninguna puerta con el nombre `{ $name }`
        [appliance] no hay ningún aparato con el nombre `{ $name }`
        [size] no hay ningún tamaño genérico con el nombre `{ $name }`
        [price] no hay ningún precio con el nombre `{ $name }` en `job.toml`
        [fan] no hay ningún ventilador con el nombre `{ $name }`
        [filter] no hay ningún filtro con el nombre `{ $name }` que esté primero en su línea
        [opening] no hay ninguna rejilla, conducto, compuerta o chimenea con el nombre `{ $name }`
        [surface] no hay ninguna superficie con el nombre `{ $name }`
        [source] no hay ninguna fuente ni gas con el nombre `{ $name }`
        [gas] no hay ningún gas con el nombre `{ $name }`
        [rule] no hay ninguna regla ni archivo en `rules` con el nombre `{ $name }`
        [event] no hay ningún evento con el nombre `{ $name }`
        [quantity] ninguna magnitud de los hallazgos se llama `{ $name }`
        [setup] ningún estado de la casa se llama `{ $name }`
        [finding] no hay ningún hallazgo llamado `{ $name }`
        [limit] este hallazgo no tiene ningún límite llamado `{ $name }`
        [test] no hay ninguna clase de ensayo llamada `{ $name }`
        [place] nada de la casa se llama `{ $name }`: una zona, un ventilador, `air_handler`, una puerta o `outdoors`
        [placeholder] un cambio de plan no tiene nada llamado `{ $name }` que rellenar
       *[other] aquí nada tiene el nombre `{ $name }`
    }
    .because = { $known ->
        [none] todavía no se nombra nada de esta clase
       *[other] se conocen aquí: { $known }
    }
    .help = { $near ->
        [none] use uno de los nombres conocidos o añádalo al archivo
       *[other] ¿quiso decir `{ $near }`?
    }
T012 = `{ $key }` tiene { $found ->
        [one] { $found } entrada
       *[other] { $found } entradas
    }; hacen falta al menos { $wanted }
    .because = los valores van juntos
    .help = añada entradas a la lista
T013 = `{ $found }` no se puede leer como fecha ni como hora
    .because = una hora necesita un solo significado, también cuando cambia el horario
    .help = escriba 2026-11-12, o 2026-11-12T09:40 con la hora local de la casa
T014 = cada una de las { $rows } filas tiene { $found ->
        [one] { $found } celda
       *[other] { $found } celdas
    }, y el encabezado nombra { $wanted ->
        [0] ninguna columna
        [one] { $wanted } columna
       *[other] { $wanted } columnas
    }
    .because = nadie sabría qué número es de qué columna
    .help = nombre todas las columnas en `columns`, en el orden de las celdas; una coma decimal hace dos celdas de un número: escriba 61.2

U001 = `{ $found }` no empieza con un número
    .because = una cantidad es un número seguido de su unidad
    .help = escriba un número y una unidad, por ejemplo { $wanted_units }
U002 = `{ $found }` no tiene unidad
    .because = el mismo número dice cosas distintas en unidades distintas
    .help = añada la unidad, por ejemplo { $wanted_units }
U003 = la coma en `{ $found }` puede significar dos cosas
    .because = puede separar miles o marcar decimales
    .help = escriba 1500 para mil quinientos, y 1.5 con punto para uno y medio
U004 = la unidad en `{ $found }` no se conoce
    .because = unidades que sirven aquí: { $wanted_units }
    .help = { $near ->
        [none] use una de las unidades que sirven
       *[other] ¿quiso decir `{ $near }`?
    }
U005 = `{ $found }` es { $is }, pero aquí hace falta { $wanted }
    .because = una cosa no se puede convertir en la otra
    .help = use una unidad que sirva: { $wanted_units }
U006 = el intervalo `{ $found }` va del valor mayor al menor
    .because = un intervalo se lee de lo menos a lo más que se cree
    .help = escriba primero el valor menor
U007 = `{ $found }` no es un número finito
    .because = con un número infinito o indefinido no se puede calcular
    .help = revise las cifras y el exponente
U008 = `{ $key }` no puede ser { $found }
    .because = está entre { $low } y { $high } en cualquier casa
    .help = revise el valor y su unidad
U009 = `{ $found }` es otra moneda que { $first }, usada antes
    .because = no se pueden sumar importes en dos monedas
    .help = dé todos los precios de un trabajo en una sola moneda

# Qué mide un número.
quantity-pressure = una presión
quantity-air-flow = un caudal de aire
quantity-length = una longitud
quantity-area = un área
quantity-volume = un volumen
quantity-temperature = una temperatura
quantity-temperature-difference = una diferencia de temperaturas
quantity-time = una duración
quantity-speed = una velocidad
quantity-mass = una masa
quantity-mass-rate = una masa por tiempo
quantity-power = una potencia
quantity-energy = una energía
quantity-conductance = una conductancia térmica
quantity-resistance = una resistencia térmica
quantity-heat-capacity = una capacidad térmica
quantity-fraction = una proporción
quantity-gas-fraction = una proporción de un gas en el aire
quantity-particle-concentration = una masa de partículas en el aire
quantity-particle-rate = una masa de partículas por tiempo
quantity-humidity-ratio = una masa de agua en aire seco
quantity-density = una densidad
quantity-angle = un ángulo
quantity-air-change = un número de renovaciones de aire
quantity-permeability = un caudal por área
quantity-mass-per-energy = una masa de agua por energía
quantity-specific-fan-power = una potencia por caudal de aire
quantity-flow-per-power = un caudal de aire por potencia térmica
quantity-money = una suma de dinero
quantity-energy-price = un precio de la energía
quantity-heat-content = el calor de un volumen de combustible
quantity-number = un número sin unidad
quantity-index = una marca de una escala

# Clases de valores y cosas, donde un diagnóstico las nombra.
kind-text = un texto
kind-number = un número
kind-whole-number = un número entero
kind-flag = true o false
kind-list = una lista
kind-table = una tabla
kind-quantity = una cantidad con su unidad
kind-date = una fecha

severity-note = nota
severity-warning = aviso
severity-error = error
