# Caudales de extracción y ventilación (X), facturas (B).
# Una frase, sin punto final. `.because` es la razón, `.help` es qué hacer.

X101 = `{ $test }` no tiene ninguna lectura mayor que cero
    .because = un ventilador que no mueve aire no se distingue de una lectura fallida
    .help = corrija la lectura, o quite el ensayo y diga en una nota que el ventilador no mueve aire
X102 = la campana de `{ $test }` opone { $hood } a un ventilador de { $fan }
    .because = un ventilador no da aire contra más presión de la que tiene
    .help = compruebe las dos presiones: la de la campana es de unos pascales, la del ventilador de decenas
X103 = esta forma de medir necesita `{ $key }`
    .because = sin ello no hay caudal
    .help = añada la clave, o corrija `by`
X104 = `{ $test }` no tiene ese resultado
    .because = este ensayo lo toma de allí
    .help = nombre un ensayo que lo mida, y escríbalo antes que este
X105 = este instrumento no muestra el caudal del aire que pasa por él
    .because = una presión de ventilador, o un caudal llevado a otras condiciones, no es lo que mueve un ventilador
    .help = use un instrumento con `shows = "flow at actual density"` o `"flow at calibration density"`
X111 = { $rows ->
        [one] queda { $rows } fila
       *[other] quedan { $rows } filas
    } de este registro; { $wanted } son el mínimo
    .because = un valor final con tan pocas filas sería una conjetura
    .help = lea durante más tiempo, o empiece antes el registro
X121 = la regla { $rule } necesita `{ $key }`
    .because = el caudal se deduce de ello
    .help = escríbalo en este ensayo, o en [building] de job.toml
X122 = un ventilador no puede funcionar { $on } de cada { $every }
    .because = el tiempo en marcha tiene que ser menor que su ciclo
    .help = corrija `on` o `every`
X131 = no hay ensayo de la envolvente del que tomar la fuga
    .because = este ensayo calcula con la fuga de la casa
    .help = añada un ensayo de la envolvente a esta visita o a una anterior
X132 = no se conocen ni un año de clima ni la temperatura exterior y el viento
    .because = son los que mueven la infiltración
    .help = nombre un archivo de clima en [place] de job.toml, o escriba `outdoor` y `wind` en [conditions]
X133 = `{ $test }` no contiene ningún límite de presión
    .because = el límite se toma de allí
    .help = escriba `limit`, `limit_source` y `limit_confirmed` en este ensayo
B101 = la factura { $row } de { $fuel } cubre { $days } días
    .because = sirve una factura de 1 a 400 días; la primera fila de una serie no tiene lectura anterior
    .help = corrija las fechas, o deje vacío el consumo de la primera fila
B102 = el consumo de la factura { $row } de { $fuel } falta o es menor que cero
    .because = una factura sin consumo no dice nada; un abono no es un consumo
    .help = corríjalo, o marque como estimada la lectura anterior
B103 = no hay temperatura exterior para la factura { $row } de { $fuel }
    .because = el consumo se compara con ella; hacen falta nueve décimos de los días de una factura
    .help = complete las temperaturas, o escriba la media de la factura en una columna
B104 = no se puede usar ninguna factura de { $fuel }
    .because = no hay nada que ajustar
    .help = corrija lo que se dice de cada factura
B105 = estas facturas no nombran ningún combustible
    .because = una tabla por combustible dice qué columna es cuál
    .help = añada una tabla como [test.bills.fuel.gas]
B106 = { $fuel } está en volumen, y no se indica su calor
    .because = las pendientes se dan como potencia
    .help = añada `heat_content`, como "1.03 therm/ccf" o "10.0 kWh/L", del suministrador
B107 = los días de estas facturas o temperaturas no tienen fecha
    .because = se unen por días
    .help = escriba fechas en la columna `time`, o `start` para filas por días
