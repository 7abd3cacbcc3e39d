# Presiones de zonas, cuartos y ventiladores, códigos Z101 y siguientes. El estado 0 es tal como se halló.

Z101 = Ensayo `{ $test }`, { $state ->
        [0] tal como se halló
       *[other] abierto { $state }
    }: menos de dos de las tres presiones
    .because = Dos dan la tercera; una sola no dice nada de la zona
    .help = Lea `house_zone`, `zone_outdoors` y `house_outdoors`; con las tres se comprueba el lazo
Z102 = Ensayo `{ $test }`, { $state ->
        [0] tal como se halló
       *[other] abierto { $state }
    }: el lazo no cierra por { $off }, el manómetro permite { $allowed }
    .because = Casa a zona y zona a exterior suman casa a exterior; { $suspect ->
        [house-zone] lo más probable es que falle `house_zone`
        [zone-outdoors] lo más probable es que falle `zone_outdoors`
        [house-outdoors] lo más probable es que falle `house_outdoors`
       *[unknown] las lecturas no dicen cuál falla
    }
    .help = Vuelva a leer { $suspect ->
        [house-zone] `house_zone`
        [zone-outdoors] `zone_outdoors`
        [house-outdoors] `house_outdoors`
       *[unknown] las tres
    } con el ventilador estable; hasta entonces { $used ->
        [left-out] queda fuera y se deduce de las otras dos
       *[shared] el error se reparte según la exactitud y ensancha los intervalos
    }
Z103 = Ensayo `{ $test }`, abierto { $state }: ni hueco conocido ni caudales
    .because = Sin uno de ellos las presiones dan otra razón y ningún caudal
    .help = Dé `hole_area` o `hole_at50`, o `flow` aquí y en `as_found`
Z104 = Ensayo `{ $test }`, { $state ->
        [0] tal como se halló
       *[other] abierto { $state }
    }: los signos de las presiones se contradicen; se toman sin signo
    .because = La presión de una zona entre casa y exterior está entre las de ambos, así que las tres llevan el mismo signo
    .help = Escriba casa menos zona, zona menos exterior y casa menos exterior, o todas sin signo
Z105 = Ensayo `{ $test }`, { $state ->
        [0] tal como se halló
       *[other] abierto { $state }
    }: la zona no está entre casa y exterior
    .because = Algo más sopla en ella o aspira de ella: un conducto, un ventilador, el viento; entonces los caudales de los dos lados no son iguales
    .help = Apague la manejadora de aire y los ventiladores, revise las mangueras y vuelva a leer
Z106 = Ensayo `{ $test }`, abierto { $state }: { $way ->
        [hole] las presiones se movieron
       *[door] las presiones o el caudal del ventilador se movieron
    } al revés
    .because = Más abertura entre casa y zona acerca la zona a la casa, más hacia el exterior la acerca al exterior, y el ventilador tiene que mover más
    .help = Revise `between`, las mangueras y que la casa se mantuvo a la misma presión
Z107 = Ensayo `{ $test }`: la presión de `{ $room }` no es un número
    .because = Con ella no se puede calcular nada; los demás cuartos sí se calculan
    .help = Escriba lo que mostró el manómetro, con su unidad
Z108 = Ensayo `{ $test }`: no hay presión de base
    .because = El viento y el efecto chimenea actúan también sin ventiladores; lo que mueve un ventilador es la diferencia
    .help = Dé `baseline_before`, y mejor también `baseline_after`, con todos los ventiladores apagados
Z109 = Ensayo `{ $test }`: la presión de base se movió { $drift } entre antes y después
    .because = El viento o el efecto chimenea cambió mientras se leían los estados; la mitad está en cada intervalo
    .help = Lea los estados otra vez más seguidos o con menos viento
Z110 = Ensayo `{ $test }`: ningún estado utilizable
    .because = Todos quedaron fuera o no hay ninguno
    .help = Añada una tabla en `state` con `on` y `pressure`
