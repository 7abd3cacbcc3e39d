# Combustión, códigos C101 y siguientes.

C101 = Ensayo `{ $test }`: no hay presión de base en la zona
    .because = La depresión neta es el estado menos la base; sin ella ningún estado se distingue del viento y del efecto chimenea
    .help = Dé `baseline_before` con todos los ventiladores apagados y las puertas interiores abiertas
C102 = Resultados de combustión en una visita sin tabla `[combustion]`
    .because = La compuerta necesita anotado que alguien buscó combustible, quién y dónde; hasta entonces no se libera nada
    .help = Añada `[combustion]` con `fuel`, `looked_by` y `looked_where`
C103 = La visita dice que no se halló combustible, pero se ensayó un aparato
    .because = Una de las dos cosas es falsa; el ensayo cuenta, y vale que hay combustible
    .help = Corrija `fuel` en `[combustion]`
C104 = Ensayo `{ $test }`: no se { $count ->
        [one] toma un nivel superior al
       *[other] toman { $count } niveles superiores a los
    } del protocolo
    .because = Un nivel puede ser más bajo que el del protocolo, nunca más alto
    .help = Bájelo, o elija `protocol = "own"` y dé todos los niveles con su fuente
C105 = Ensayo `{ $test }`: el CO de `{ $appliance }` y su límite no tienen la misma base
    .because = Libre de aire y tal como se midió nunca se comparan; sin el oxígeno del mismo gas no se puede pasar de uno a otro
    .help = Dé `oxygen`, o el valor o el límite en la otra base
C106 = Ensayo `{ $test }`: el oxígeno en los humos de `{ $appliance }` es { $oxygen }, demasiado para convertir
    .because = Hay tanto aire mezclado que un error pequeño del medidor hace grande el del resultado; el gas puede no estar sin diluir
    .help = Lleve la sonda al gas sin diluir y vuelva a leer
C107 = Ensayo `{ $test }`: el estado de `{ $state }` ya se había leído
    .because = Según lo anotado, entre ambos no se cambió nada; cuentan los dos, y para la lista el más bajo
    .help = Revise qué estaba en marcha y qué puertas estaban cerradas
C108 = Ensayo `{ $test }`: el CO de `{ $appliance }` se leyó tras { $after }, el protocolo dice { $wait }
    .because = El CO de un quemador frío no es el de uno estable
    .help = Deje funcionar el quemador y vuelva a leer
