# Ensayos de la envolvente, códigos E101 y siguientes.

E101 = Ensayo `{ $test }`, serie { $run }: { $found ->
        [0] ningún punto utilizable
        [one] { $found } punto utilizable
       *[other] { $found } puntos utilizables
    } donde { $needed ->
        [one] hace falta { $needed }
       *[other] hacen falta { $needed }
    }
    .because = Con menos no se puede trazar la curva ni su intervalo
    .help = Añada puntos o elija un procedimiento que necesite menos
E102 = Ensayo `{ $test }`, serie { $run }, punto { $station }: la presión no es un número dentro de { $high }
    .because = Un punto sin presión no puede estar en la curva
    .help = Escriba la presión que mostró el manómetro o quite el punto
E103 = Ensayo `{ $test }`, serie { $run }, punto { $station }{ $fan ->
        [0] {""}
       *[other] {","} ventilador { $fan }
    }: la lectura de caudal no es mayor que cero, o es más de lo que mueve ningún ventilador de ensayo
    .because = La curva se traza en logaritmos, que solo tienen los números mayores que cero
    .help = Escriba lo que mostró el medidor de caudal, con su unidad, o quite el punto
E104 = Ensayo `{ $test }`, serie { $run }, punto { $station }: se indica { $direction ->
        [depressurise] despresurización
       *[pressurise] presurización
    }, pero la presión que el ventilador induce en la casa es { $induced }
    .because = Una casa despresurizada está por debajo del exterior; una presurizada, por encima
    .help = Compruebe qué toma se resta de cuál y el sentido del ventilador
E105 = Ensayo `{ $test }`, serie { $run }: no hay presión de base y el manómetro no la ha restado
    .because = El viento y el tiro térmico empujan la envolvente también sin ventilador; su parte debe restarse de cada punto
    .help = Escriba la presión de base antes y después, o indique que el manómetro la restó
E106 = Ensayo `{ $test }`, serie { $run }: la presión de base se leyó solo a un lado de los puntos
    .because = No se conoce cuánto cambiaron el viento y el tiro térmico durante el ensayo
    .help = Lea la presión de base antes y después de los puntos
E107 = Ensayo `{ $test }`, serie { $run }: la lectura { $sample } de la presión de base no es un número dentro de { $high }
    .because = Tampoco su media sería un número, así que esta presión de base no se usa
    .help = Corrija la lectura o quítela
E108 = Ensayo `{ $test }`: `{ $field }` es { $value }, que no es mayor que cero
    .because = Los resultados por volumen, superficie o altura dividen por ese valor
    .help = Escriba el tamaño del edificio o déjelo en blanco
E109 = Ensayo `{ $test }`, serie { $run }, punto { $station }{ $fan ->
        [0] {""}
       *[other] {","} ventilador { $fan }
    }: la presión del ventilador { $shown } queda fuera de la calibración, de { $low } a { $high }
    .because = Más allá de sus extremos una calibración no dice nada
    .help = Elija el rango del ventilador que se usó o repita el punto con otro rango
E110 = Ensayo `{ $test }`, serie { $run }, punto { $station }{ $fan ->
        [0] {""}
       *[other] {","} ventilador { $fan }
    }: no hay calibración para el rango { $range }
    .because = Una presión de ventilador solo se convierte en caudal con la calibración de su rango
    .help = Añada al instrumento la calibración de este rango, como ecuación o como tabla
E111 = Ensayo `{ $test }`{ $fan ->
        [0] {""}
       *[other] {","} ventilador { $fan }
    }: la calibración { $range } del ventilador no se puede usar
    .because = Factor, exponente y densidad deben ser mayores que cero, y una tabla necesita dos o más puntos crecientes en presión y caudal
    .help = Corrija la calibración según el certificado del ventilador
E112 = Ensayo `{ $test }`: la serie { $run } contiene ambos sentidos y se trata como dos
    .because = Las fugas pueden abrirse o cerrarse según el sentido, así que cada uno tiene su curva
    .help = No hay que hacer nada; el resultado es la media de ambos
E113 = Ensayo `{ $test }`, serie { $run }: el punto más alto es { $highest }; los resultados a 50 Pa son extrapolados
    .because = Fuera de los puntos el intervalo crece, y solo recoge la dispersión y los instrumentos
    .help = Alcance 50 Pa con otro ventilador o menos aberturas, o lea el resultado con su intervalo
E114 = Ensayo `{ $test }`, serie { $run }: el exponente de caudal es { $exponent }, fuera de 0,5 a 1
    .because = Una fuga está entre una abertura de canto vivo (0,5) y una grieta fina (1); otro valor indica viento, una abertura que se movió o un rango equivocado
    .help = Repita el ensayo y mire los puntos alejados de la curva; el resultado se conserva como se midió
E115 = Ensayo `{ $test }`: falta la temperatura { $field ->
        [indoor] interior
       *[outdoor] exterior
    }; se toman 20 °C (68 °F)
    .because = El caudal en el ventilador pasa a ser el de las fugas por el cociente de dos densidades
    .help = Escríbala como `{ $field }` en `[conditions]` de la visita
E116 = Ensayo `{ $test }`: no se conoce ni la presión del aire ni la altitud; se toma el nivel del mar
    .because = Los medidores de caudal y las fugas dependen de la densidad del aire
    .help = Escriba la altitud de la casa o la lectura del barómetro allí
E117 = Ensayo `{ $test }`: `{ $field }` es { $value }, fuera de { $low } a { $high }
    .because = Ningún lugar habitado tiene ese valor, así que no se usa
    .help = Compruebe el número y la unidad
E118 = Ensayo `{ $test }`{ $fan ->
        [0] {""}
       *[other] {","} ventilador { $fan }
    }: el medidor de caudal no tiene exactitud declarada, así que el intervalo no contiene la parte del caudal
    .because = Un error común a todas sus lecturas no se ve en la dispersión
    .help = Escriba la exactitud del certificado del medidor
E119 = Ensayo `{ $test }`, serie { $run }: los puntos están demasiado juntos en presión para un exponente
    .because = Un exponente necesita presiones distintas
    .help = Añada puntos a otras presiones o elija un procedimiento de un punto
E120 = Ensayo `{ $test }`: el caudal a 50 Pa es { $depressurised } en despresurización y { $pressurised } en presurización, más lejos que su dispersión
    .because = Una diferencia tiene una causa, como una tapa que abre en un solo sentido; la media la oculta
    .help = Busque qué se abre o se cierra con el sentido antes de usar la media
E121 = Ensayo `{ $test }`, serie { $run }: el punto { $station } a { $induced } no se usa
    .because = Un procedimiento de un punto usa las lecturas a la presión más cercana a 50 Pa
    .help = Elija un procedimiento de varios puntos para usar todos
E122 = Ensayo `{ $test }`{ $fan ->
        [0] {""}
       *[other] {","} ventilador { $fan }
    }: la exactitud declarada del { $field ->
        [flow] medidor de caudal
       *[pressure] manómetro
    } es negativa o no es un número
    .because = Con ella no se puede calcular el intervalo, así que no se usa
    .help = Escríbala como en el certificado, por ejemplo 5 % o 1 % or 0.25 Pa
E126 = Ensayo `{ $test }`, serie { $run }, punto { $station }: la dispersión, el tiempo o el número de lecturas del promedio no es un número utilizable
    .because = El intervalo que tiene en cuenta el viento los usa; este punto se toma solo por su media
    .help = Escriba la desviación típica y los segundos que mostró el instrumento, o no los escriba
E127 = Ensayo `{ $test }`, serie { $run }: no se puede usar ninguno de los { $count } puntos, { $why ->
        [pressure] cada uno muestra una presión que ninguna casa alcanza
        [flow] cada uno muestra un caudal que no es mayor que cero, o más de lo que mueve ningún ventilador de ensayo
       *[direction] cada uno tiene el signo de la otra dirección
    }
    .because = Lo que está mal en todos los puntos por igual suele estar mal una sola vez, en el encabezado o en un ajuste
    .help = { $why ->
        [pressure] Mire la unidad de la columna de presión, y si las dos columnas cambiaron de lugar
        [flow] Mire la unidad de la columna de caudal y el signo
       *[direction] Mire `direction` y `reads`: qué toma se resta de cuál
    }
E128 = Ensayo `{ $test }`, serie { $run }: el punto { $station } tiene exactamente los números del punto { $first }
    .because = Un ensayo con ventilador casi nunca muestra otra vez la misma presión y el mismo caudal; los dos cuentan
    .help = Quite uno si se escribió dos veces
E129 = Ensayo `{ $test }`: hay un límite en renovaciones de aire y ningún volumen por el que dividir
    .because = Las renovaciones a 50 Pa son el caudal entre el volumen, así que no se muestran ni ellas ni el límite
    .help = Escriba `volume` en `[building]` de `job.toml`
