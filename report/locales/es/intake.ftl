# La importación de archivos, en palabras llanas.
# $file, $instrument
intake-file = { $file }, instrumento `{ $instrument }`
# $mapping
intake-kept = Se lee como dice { $mapping }.
# $delimiter, $header, $first, $decimal
intake-table = Una tabla con { $delimiter ->
        [comma] comas
        [semicolon] puntos y comas
        [tab] tabuladores
       *[bar] barras
    } entre las celdas{ $header ->
        [0] {""}
       *[other] , el encabezado en la línea { $header }
    }, lecturas desde la línea { $first }, { $decimal ->
        [comma] coma
       *[point] punto
    } decimal.
intake-json-lines = JSON, un mensaje por línea.
intake-senml = SenML (RFC 8428).
# $payload
intake-bthome = Cargas BTHome en `{ $payload }`, un mensaje por línea.
# $from, $form, $clock
intake-time = Hora: { $from }{ $form ->
        [none] {""}
       *[other] {", escrita como"} { $form }
    }{ $clock ->
        [none] {""}
       *[other] {", reloj:"} { $clock }
    }.
# $from, $name, $quantity, $unit, $why
intake-column = `{ $from }` es { $quantity } en { $unit }, llamada `{ $name }` ({ $why ->
        [written] lo dice el archivo
        [values] solo con esta unidad son posibles los valores
        [asked] la unidad es una suposición y se pregunta abajo
       *[mapping] lo dice el mapa
    }).
# $from, $example
intake-left-out = `{ $from }` queda fuera: no es una lectura de clase conocida (como { $example }).
intake-first-rows = Las primeras filas como se entendieron:
intake-none = (nada)
# $encoding
intake-why-encoding = El texto está en { $encoding }.
# $delimiter, $count
intake-why-delimiter = { $count } celdas por fila encajan mejor con este delimitador ({ $delimiter }).
# $line
intake-why-units-row = La línea { $line } lleva las unidades.
intake-why-header-short = El encabezado tiene un nombre menos que celdas las filas: la primera columna no tiene nombre.
# $line
intake-why-preamble = Las primeras { $line } líneas no son tabla y se pasan por alto.
# $count
intake-why-time-of-several = { $count } columnas llevan fecha y hora; vale la de UTC, o la primera.
intake-why-offset = El desfase de UTC está junto a las horas.
intake-why-utc = El encabezado dice que las horas son UTC.
# $form
intake-why-number-time = Las horas son números: { $form }.
# $example
intake-why-order-only = `{ $example }` y las demás son fechas en un solo orden.
# $example
intake-why-order-rises = Fechas como `{ $example }` se siguen día a día en este orden y saltan en el otro.
intake-why-order-points = Las fechas con puntos llevan el día primero.
intake-why-comma = Los números llevan coma decimal.
# $zone
intake-why-zone = No se dice el reloj; vale el del trabajo: { $zone }.
intake-why-senml = Nombres, unidades y horas los dicen los registros.
# $column
intake-why-bthome = `{ $column }` lleva BTHome versión 2.
# $found, $id
intake-ask-date-order = Pregunta: ¿qué orden tiene la fecha `{ $found }`?
intake-ask-clock = Pregunta: ¿qué reloj muestra `{ $found }`? El trabajo no nombra zona horaria.
intake-ask-decimal = Pregunta: la coma de `{ $found }`, ¿es decimal o separa millares (punto decimal)?
intake-ask-start = Pregunta: ¿cuándo empezó el registro? `{ $found }` cuenta desde su inicio.
intake-ask-unit = Pregunta: ¿en qué unidad está `{ $found }`?
# $id, $choice
intake-answer = --answer "{ $id }={ $choice }"
intake-answer-first = Aún no se ha escrito nada: responda las preguntas y luego añada --approve.
intake-approve = Aún no se ha escrito nada: si esto es correcto, ejecútelo otra vez con --approve.
# $series, $rows, $from, $to
intake-made = { $series }: { $rows } filas, de { $from } a { $to } UTC.
# $count
intake-rejected = { $count } filas o celdas no se tomaron; cada clase se dice abajo con su remedio.
# $column, $flags
intake-flags = { $column }: { $flags }
# $count
intake-flag-out-of-range = { $count } que no pueden ser
intake-flag-saturated = { $count } en un extremo de la escala
intake-flag-stuck = { $count } que no cambian
intake-flag-jump = { $count } que saltan
intake-flag-settling = { $count } mientras se asentaba
intake-flag-clock = { $count } con el reloj mal
intake-flag-duplicate = { $count } repetidas
intake-flag-gap = { $count } huecos
# $file, $instrument, $hash
intake-head-from = de { $file } por intake/{ $instrument }.toml, original sha256 { $hash }
# $zone
intake-head-zone = zona: { $zone }
# $clock
intake-head-clock = horas: { $clock } de principio a fin
# $name, $from, $how
intake-head-derived = { $name } se deriva de { $from }: { $how }
# $path
intake-original = original guardado como { $path }
