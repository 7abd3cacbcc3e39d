# Presiones de zonas, cuartos y ventiladores; la zona de un aparato de combustión.
# Los nombres son partes de una línea: sin mayúscula ni punto final. Las notas son frases.
# Ningún texto de aquí juzga un aparato, un cuarto o una casa.

test-zone-pressures = presiones de zonas
test-room-pressures = presiones de cuartos
test-fan-pressures = presiones de ventiladores
test-combustion-zone = zona de combustión

# Zone between house and outdoors.
figure-through-zone-hole = caudal a través de la zona a 50 Pa, por el hueco
figure-through-zone-door = caudal a través de la zona a 50 Pa, por la puerta
figure-zone-share-hole = parte del caudal de la casa a 50 Pa, por el hueco
figure-zone-share-door = parte del caudal de la casa a 50 Pa, por la puerta
figure-house-zone-at50-hole = fuga de casa a zona a 50 Pa, por el hueco
figure-house-zone-at50-door = fuga de casa a zona a 50 Pa, por la puerta
figure-zone-outdoors-at50-hole = fuga de zona a exterior a 50 Pa, por el hueco
figure-zone-outdoors-at50-door = fuga de zona a exterior a 50 Pa, por la puerta
figure-zone-ratio = fuga de zona a exterior entre fuga de casa a zona
figure-house-zone = presión de casa a zona
figure-zone-outdoors = presión de zona a exterior
figure-zone-series = caudal a través de la zona, parte del propio de la barrera casa-zona
figure-house-zone-at-most = fuga de casa a zona a 50 Pa, como mucho
figure-zone-outdoors-at-most = fuga de zona a exterior a 50 Pa, como mucho
check-zone-loop = casa a zona más zona a exterior menos casa a exterior
check-house-zone = presión de casa a zona con la casa a 50 Pa
note-zone-assumed = Se toma para ambas barreras la misma ley de potencia, cada exponente con el semiancho indicado; se supone que la zona solo toca la casa y el exterior.
note-zone-ratio-only = Las presiones solas dan una razón; un hueco conocido o una puerta abierta en una barrera da caudales.
note-zone-ratio-too-wide = Los datos no dicen qué barrera fuga más ni cuánto: el intervalo de la razón abarca más de un factor de tres.
note-zone-no-instrument = No se nombra ningún manómetro, así que no se conoce el intervalo de la razón.
# $way
note-opened-too-wide = { $way ->
    [hole] El hueco
   *[door] La puerta
} no lo resuelve: los datos no dan el caudal a través de la zona dentro de un factor de tres.
# $way
note-opened-not-moved = { $way ->
    [hole] El hueco
   *[door] La puerta
} movió las lecturas menos de lo que son exactas: los datos no lo dicen; una abertura mayor lo diría.
# $way
note-opened-no-instrument = No se nombra manómetro o ventilador con exactitud para { $way ->
    [hole] el hueco
   *[door] la puerta
}, así que no se conoce el intervalo de sus caudales.
note-opened-agree = Las formas de medir concuerdan dentro de sus intervalos.
note-opened-disagree = Las formas de medir se contradicen: un estado no era como se anotó, o cambió con él el resto de la casa.

# Rooms.
figure-room-pressure = presión respecto al cuerpo principal
figure-return-path-to-add = paso de retorno por añadir
figure-return-path-now = paso que tiene ahora el aire
figure-main-body = cuerpo principal a exterior, puertas cerradas
figure-main-body-moved = cuerpo principal, lo que lo mueve cerrar las puertas
check-room-pressure = presión respecto al cuerpo principal
note-return-path-assumed = Áreas libres de un paso de borde vivo; las rejillas y los codos piden más.
# $room
note-room-path-disagrees = { $room }: el paso anotado dejaría pasar más que el caudal anotado, así que uno de los dos no es como se anotó.
note-main-body-drawn-down = Cerrar las puertas pone en depresión el cuerpo principal: donde haya un aparato de combustión, una persona cualificada ensaya el revoco con las puertas cerradas antes de sellar nada.

# Fans.
figure-fan-moved = mueve la casa
figure-baseline = presión de base
check-fan-moved = presión movida
# $state
note-fan-lost-in-noise = { $state }: mueve la casa menos de lo que oscila la presión de base.
# $state, $moved
note-fan-greatest = Mayor depresión de las probadas: { $state }, { $moved }.

# Combustion.
figure-spillage = revoco
figure-spillage-greatest = revoco, mayor depresión
figure-spillage-natural = revoco, condiciones naturales
figure-flue-co-as-measured = CO en los humos sin diluir, tal como se midió
figure-flue-co-air-free = CO en los humos sin diluir, libre de aire
figure-oven-co = CO en el horno, tal como se midió
figure-oven-co-air-free = CO en el horno, libre de aire
figure-room-co = CO más alto en el cuarto
figure-greatest-depressurisation = mayor depresión de las probadas, neta
figure-zone-net = presión neta de la zona
figure-draft = tiro
check-spillage = revoco
check-spillage-greatest = revoco, mayor depresión
check-spillage-natural = revoco, condiciones naturales
check-flue-co-air-free = CO en los humos sin diluir, libre de aire
check-flue-co-as-measured = CO en los humos sin diluir, tal como se midió
check-oven-co = CO en el horno
check-room-co = CO más alto en el cuarto
check-draft = tiro
check-net-depressurisation = presión neta de la zona
# $place, $sample, $value, $level, $source
note-co-leave = El CO{ $place ->
    [none] {""}
   *[other] {" "}en { $place }
} fue { $value } en la muestra { $sample }, no menos de { $level } ({ $source }): todos salen ahora de la casa, se llama a emergencias desde fuera y nadie vuelve a entrar hasta que lo digan.
# $place, $sample, $value, $level, $source
note-co-stop = El CO{ $place ->
    [none] {""}
   *[other] {" "}en { $place }
} fue { $value } en la muestra { $sample }, no menos de { $level } ({ $source }): termine el ensayo, avise a las personas, abra ventanas y puertas, pare toda fuente posible; un aparato fijo queda apagado hasta que se ocupe un técnico de calefacción con licencia.
# $place, $sample, $value, $level, $source
note-co-tell = El CO{ $place ->
    [none] {""}
   *[other] {" "}en { $place }
} fue { $value } en la muestra { $sample }, no menos de { $level } ({ $source }): avise a las personas, busque la fuente, ventile; si es un aparato fijo, se ocupa un técnico de calefacción con licencia.
note-co-no-levels = Ningún protocolo ni nivel propio está frente al CO del cuarto: elija uno.
# $place, $value, $level
note-gas-leave = Gas{ $place ->
    [none] {""}
   *[other] {" "}en { $place }
} al { $value } del límite inferior de explosividad, no menos de { $level }: no toque ningún interruptor, todos salen ahora y se llama desde fuera a la compañía de gas o a emergencias.
# $place
note-gas-leak = Fuga de gas{ $place ->
    [none] {""}
   *[other] {" "}en { $place }
}: márquela, avise ahora a las personas y a la compañía de gas; la repara una persona con licencia.
# $place
note-gas-none-found = No se halló fuga de gas{ $place ->
    [none] {""}
   *[other] {" "}en { $place }
}; otros lugares no se miraron.
# $appliance, $value and $limit in seconds, $source
note-spillage-beyond = Los gases de { $appliance } revocaron a la casa durante { $value } s, más de { $limit } s ({ $source ->
    [none] límite escrito sin fuente
   *[other] { $source }
}): avise a las personas; se ocupa un técnico de calefacción con licencia, y la norma local y el protocolo deciden si puede funcionar hasta entonces.
# $appliance
note-spillage-no-limit = { $appliance }: ningún límite está frente al revoco.
# $appliance
note-spillage-also-natural = { $appliance } revoca también sin depresión: la falla está al menos en parte en el conducto o el aparato.
# $appliance
note-spillage-drawn-down = { $appliance } revoca solo con la zona en depresión: la depresión y un conducto justo, juntos.
# $appliance
note-spillage-try-natural = { $appliance }: deje enfriar el conducto, ventiladores apagados, puertas abiertas, y ensaye otra vez el revoco en condiciones naturales.
# $appliance, $value, $limit, $source
note-flue-co-beyond = El CO en los humos de { $appliance } es { $value }, más de { $limit } ({ $source ->
    [none] límite escrito sin fuente
   *[other] { $source }
}): avise a las personas; se ocupa un técnico de calefacción con licencia, y la norma local y el protocolo deciden si puede funcionar hasta entonces.
# $appliance, $value, $limit, $source
note-oven-co-beyond = El CO en { $appliance } es { $value }, más de { $limit } ({ $source ->
    [none] límite escrito sin fuente
   *[other] { $source }
}): ventile, avise a las personas; una persona con licencia lo revisa antes de volver a usarlo.
# $appliance
note-flue-no-limit = { $appliance }: ningún límite está frente al CO.
# $appliance, $measured, $free, $oxygen
note-co-converted = { $appliance }: { $measured } tal como se midió con { $oxygen } de oxígeno son { $free } libre de aire, por 20,9 / (20,9 − oxígeno).
# $state, $running, $shut
note-greatest-state = Mayor depresión de las probadas: { $state }; en marcha: { $running ->
    [none] nada
   *[other] { $running }
}; cerrado: { $shut ->
    [none] ninguna puerta
   *[other] { $shut }
}.
# $state
note-greatest-close = { $state } puede ser igual de baja: las lecturas no distinguen las dos.
# $tried, $of, $combinations
note-states-tried = { $tried } de { $of } estados de la lista probados; cada interruptor y puerta por separado daría { $combinations }.
# $running, $shut
note-state-untried = Sin probar: en marcha: { $running }; cerrado: { $shut ->
    [none] ninguna puerta
   *[other] { $shut }
}.
# $count
note-states-more = Y { $count } más sin probar.
note-pressure-screens = Las presiones de la zona solo orientan: que el trabajo pueda seguir depende del revoco y del CO.
