# Conductos y manejadora de aire.
# Una frase, sin punto final. `.because` es la razón, `.help` es qué hacer.

D201 = de esta lectura no se sigue ningún caudal
    .because = no es mayor que cero, o ninguna calibración del instrumento la cubre
    .help = revise la lectura, su unidad y la calibración; las demás lecturas se usan
D202 = ningún ensayo anterior llamado `{ $name }` da { $wanted ->
        [envelope] la fuga de la casa
        [operating-leakage] la fuga de los conductos con la manejadora en marcha
       *[other] un caudal de la manejadora
    }
    .because = el número se toma de ese ensayo
    .help = { $known ->
        [none] escriba ese ensayo más arriba en la misma visita, o escriba el número
       *[other] estos lo dan: { $known }
    }
D203 = ensayo `{ $test }`, serie `{ $run }`, punto { $point }: { $pressure } no mueve el aire en el sentido que se dice
    .because = un signo o un sentido equivocado pasaría inadvertido; el punto se deja fuera
    .help = escriba las presiones como conductos menos casa y casa menos exterior, o corrija `direction`
D204 = ensayo `{ $test }`, serie `{ $run }`: fuga al exterior sin la presión de la casa
    .because = las fugas sienten los conductos frente al exterior, que es conductos frente a casa más casa frente a exterior
    .help = añada una columna `house Pa`, casa menos exterior
D205 = ensayo `{ $test }`, serie `{ $run }`: no tiene ningún punto que se pueda usar
    .because = cada punto necesita la presión de los conductos y el caudal del ventilador de ensayo
    .help = escriba columnas `duct Pa` y `fan cfm` (`fan-pressure Pa` si el instrumento muestra eso)
D206 = ensayo `{ $test }`, serie `{ $run }`: los puntos dan un exponente de caudal de { $exponent }
    .because = las fugas tienen un exponente de 0.5 a 1; fuera de ahí, algo cambió entre los puntos
    .help = busque una rejilla que se soltó o un rango de ventilador que cambió; se usa { $used }
D207 = la bandeja en { $register } marca { $pan }, más que los { $zone } que la mueven
    .because = un conducto no puede estar más lejos de la casa que la zona que lo rodea: una de las dos lecturas está mal o el conducto va por otro lugar; la bandeja se deja fuera
    .help = lea ambas otra vez y nombre la zona que contiene este conducto
D208 = las bandejas de presión se leen con la manejadora apagada
    .because = un ventilador en marcha crea presiones propias en todos los conductos
    .help = apáguela en el equipo y lea las bandejas otra vez
D209 = ensayo `{ $test }`: la presión estática externa necesita la toma `{ $tap }`
    .because = lo que va dentro de la caja nominal decide entre qué dos lugares se toma
    .help = lea la presión allí; se calculan las caídas que tienen sus dos tomas
D210 = ensayo `{ $test }`: el signo de la toma `{ $tap }` no puede ser
    .because = antes del ventilador el aire está por debajo del local, después por encima; un signo perdido cambiaría la suma; la lectura se deja fuera
    .help = escríbala con su signo, frente al local
D211 = ensayo `{ $test }`: { $found ->
        [untaken] la exploración no tiene lecturas todavía
        [mixed] las líneas de la exploración no tienen la misma longitud
       *[other] líneas de { $found } puntos no siguen ninguna regla para este conducto
    }
    .because = la media solo es correcta en las posiciones que fija la regla; tiene líneas de { $wanted }
    .help = profundidades usuales aquí, en mm desde una pared: { $depths }{ $height ->
        [none] {""}
       *[other] {" "}en el ancho, { $height } en el alto
    }
D212 = ensayo `{ $test }`: el aire no está más caliente después del calentador que antes
    .because = el caudal se sigue del calor y del salto de temperatura
    .help = revise qué lecturas están en `before` y en `after`
D213 = ensayo `{ $test }`: el aire que { $side ->
        [entering] entra en
       *[other] sale de
    } la batería está en un estado imposible
    .because = el bulbo húmedo nunca supera al seco, y el aire no lleva menos agua que ninguna
    .help = revise bulbo seco, bulbo húmedo y humedad, y sus unidades
D214 = de los conductos se fuga más aire del que mueve la manejadora
    .because = uno de los dos números está mal, o está en otra unidad
    .help = revise el caudal de la manejadora y la fuga en marcha
