# Varios ventiladores en un ensayo de la envolvente.
# Una oración, sin punto final. `.because` es la razón, `.help` es qué hacer.

V107 = el ensayo `{ $test }` nombra { $fans ->
        [0] ningún ventilador
        [one] { $fans } ventilador
       *[other] { $fans } ventiladores
    } en `flow_with`, y sus puntos tienen { $columns ->
        [0] ninguna columna de caudal
        [one] una columna de caudal: { $found }
       *[other] { $columns } columnas de caudal: { $found }
    }
    .because = cada ventilador se lee con un instrumento propio, en una columna propia
    .help = { $fans ->
        [0] nombre en `flow_with` el instrumento de cada ventilador, en el orden de las columnas
        [one] escriba su columna como `{ $wanted }`, con su unidad
       *[other] escriba una columna por ventilador, en el orden de `flow_with`: { $wanted }; un ventilador sellado en un punto muestra 0
    }
V108 = ensayo `{ $test }`: la columna `{ $column }` no es lo que muestra { $name }
    .because = una presión en el ventilador se convierte en caudal con la calibración, y un caudal no debe pasar otra vez por ella
    .help = llame a la columna `{ $wanted }` o corrija `shows` del instrumento
V109 = el ensayo `{ $test }` nombra el instrumento `{ $name }` para dos ventiladores
    .because = dos lecturas de un mismo instrumento comparten su error, y las de dos instrumentos no
    .help = describa un instrumento por ventilador, o sume lo que mostró el único instrumento y nómbrelo una vez
E123 = Ensayo `{ $test }`: unos ventiladores muestran caudal en condiciones de referencia y otros no
    .because = Solo se pueden sumar caudales en las mismas condiciones, y de unas a otras lleva el exponente, que sale de la suma
    .help = Ponga todos los medidores a mostrar lo mismo, o al menos caudal a densidad real o de calibración
E124 = Ensayo `{ $test }`, serie { $run }, punto { $station }: { $found ->
        [one] { $found } lectura de caudal
       *[other] { $found } lecturas de caudal
    } para { $wanted ->
        [one] { $wanted } ventilador
       *[other] { $wanted } ventiladores
    }
    .because = El caudal a través de la envolvente es la suma de todos los ventiladores
    .help = Dé una lectura por ventilador, 0 para uno que estaba sellado
V111 = la estación { $row } no dice en qué rango de { $name } se tomó
    .because = cada rango tiene su propia calibración: { $choices }
    .help = añada una columna `range` (`range-2` para el segundo ventilador) y escriba en ella el nombre del rango
V112 = no se conoce la exactitud de { $name }; el ajuste deja fuera sus lecturas
    .because = un error que comparten todas las lecturas de un instrumento no se ve en su dispersión, y sin un límite para él no tienen peso
    .help = escriba `accuracy` como está en su certificado, o su propia estimación
V113 = ensayo `{ $test }`: la columna `{ $column }` nombra rangos de un ventilador que no está
    .because = el ensayo tiene { $fans ->
        [one] un ventilador
       *[other] { $fans } ventiladores
    }
    .help = quite la columna, o nombre el ventilador en `flow_with`
E125 = Ensayo `{ $test }`: el manómetro no tiene exactitud declarada, y el intervalo no la incluye
    .because = Un error que comparten todas sus lecturas no se ve en su dispersión
    .help = Escriba la exactitud del certificado del manómetro
V110 = la presión de ventilador de esta estación no se puede convertir en caudal; el ajuste deja fuera el caudal
    .because = el instrumento no tiene calibración, o la presión queda fuera de su tabla
    .help = añada una calibración que la cubra, o repita la estación en otro rango
