# Renovación de aire por trazador, y humedad: nombres de clases, cifras y comprobaciones; frases.
# Los nombres son partes de una línea: sin mayúscula ni punto final. Las notas son frases.

quantity-vapour-concentration = una masa de vapor de agua en el aire
quantity-vapour_concentration = una masa de vapor de agua en el aire
quantity-gas-flow = un caudal de un gas
quantity-gas_flow = un caudal de un gas

test-decay = decaimiento de un gas
test-build-up = acumulación de un gas
test-steady-state = aire exterior a partir de un nivel estable
test-two-zones = intercambio entre dos cuartos
test-mould-index = riesgo de moho en el tiempo
test-wood-moisture = humedad de la madera
test-surface-meter = humedad de una superficie, comparada
test-infrared = pares infrarrojos

figure-air-change = renovación de aire
figure-zone-outdoor-air = aire exterior
figure-air-change-line = renovación de aire por la recta de los logaritmos
figure-air-change-fitted = renovación de aire con el fondo ajustado
figure-fitted-background = fondo hacia el que va el registro
figure-fall-rate = ritmo de caída de este cuarto solo
figure-plateau = meseta
figure-end-value = nivel hacia el que va (extrapolado)
figure-outdoor-air-level = aire exterior, por el nivel y lo que se emite
figure-outdoor-air-shape = aire exterior, por la forma y el volumen
figure-co2-given-off = CO2 emitido
figure-excess = exceso sobre el exterior
figure-exchange-flow = caudal entre los cuartos
figure-moisture-excess = exceso de humedad sobre el exterior
figure-moisture-excess-ratio = razón de humedad por encima de la exterior
figure-mould-index-very-sensitive = mayor índice de moho, material muy sensible
figure-mould-index-sensitive = mayor índice de moho, material sensible
figure-mould-index-medium = mayor índice de moho, material de resistencia media
figure-mould-index-resistant = mayor índice de moho, material resistente
figure-mould-index-end = índice de moho al final
figure-critical-share = parte del tiempo en la humedad crítica o por encima
figure-wood-moisture = contenido de humedad
figure-wood-equilibrium = contenido de humedad que dejaría este aire
figure-wood-above = por encima del que deja el aire
figure-meter-above = por encima de la referencia seca, en la escala del medidor
figure-infrared-moved = se movió hacia el exterior con el ventilador en marcha

check-air-change = renovación de aire
check-outdoor-air = aire exterior
check-decay-span = constantes de tiempo entre la primera y la última lectura
check-rate-interval = semiancho del intervalo, parte del ritmo
check-build-up-span = constantes de tiempo en el registro
check-steady = constantes de tiempo antes de leer el nivel
check-moisture-excess = exceso de humedad, frente al que supera una de cada diez casas
check-surface-mould = humedad relativa en la superficie
check-mould-month = mayor humedad media de 30 días (edición de 2009)
check-mould-index = mayor índice de moho (apéndice e de 2016)
check-wood-moisture = contenido de humedad
check-infrared-difference = interior frente a exterior
check-infrared-steady = tiempo con temperaturas estables

note-background-told = El registro llega a su cola e indica el fondo mejor que la lectura; por eso el fondo se ajusta, con la lectura como lo sabido de antemano.
note-background-fitted = No se leyó el fondo; lo indica el propio registro.
note-background-moves = Un fondo { $by } menor daría un ritmo de { $lower }; uno { $by } mayor, { $higher }.
note-background-unsure = Nada indica con qué exactitud se conoce el fondo, y no está en el intervalo. Ponga el medidor a cero en el exterior, o lea el fondo con el mismo medidor.
note-background-elsewhere = El registro va hacia { $told }, no hacia el fondo de { $read }: el medidor está desviado, quedaba alguien, o llegó aire de otro cuarto.
note-background-lowest = No se leyó el fondo. Lo representan las lecturas más bajas del registro, { $level }; el exterior es como mucho eso.
note-decay-tail = Las últimas lecturas están cerca del fondo, donde el logaritmo agranda cada error.
note-between-rooms = { $of }: entretanto subió otro cuarto, así que parte de la caída es intercambio entre cuartos. La renovación es la de todos juntos.
note-only-between-rooms = { $of }: subió otro cuarto y el conjunto no bajó. Es intercambio entre cuartos; no indica aire exterior.
note-search-turned-down = { $count ->
    [one] Se miró otra caída, que no es un decaimiento
   *[other] Se miraron otras { $count } caídas, que no son decaimientos
    }: demasiado cortas, no a un solo ritmo, o con menos de la mitad del exceso perdida.
note-no-plateau = El registro acaba en { $last } tras { $turns } constantes de tiempo. No es una meseta: hacen falta tres. El nivel es el final de la curva ajustada.
note-not-steady = Nada muestra que el nivel fuera estable. Un nivel leído demasiado pronto es demasiado bajo y da un caudal demasiado alto.
note-mass-from-table = No se dio la masa: se toma la media por sexo y edad (de memoria).
note-flows-disagree = Los dos caminos hacia el caudal no coinciden: las personas, el volumen o la mezcla no son lo que se supuso.
note-exchange-untold = Los datos no pueden indicar el caudal entre { $of }.
note-outdoor-untold = Los datos no pueden indicar el aire exterior de { $of }.
note-two-zones-scatter = Las lecturas se apartan { $scatter } de las curvas ajustadas (desviación típica).
note-surface-once = Una lectura es un momento. El moho necesita semanas: registre la superficie para juzgar.
note-mould-classes = Las clases son toscas y los materiales reales caen entre ellas: lea el índice como un margen entre clases vecinas.
note-no-month = El registro no contiene 30 días con media entre 5 y 40 °C; la regla de 30 días no dice nada.
note-wood-wetter = La madera está más húmeda de lo que la deja este aire: llega o llegó agua de otra parte, o aún se está secando.
note-wood-uncorrected = No se dio corrección por la especie. Tómela de la tabla del propio medidor, o escriba `species_correction = "0 %"` si el medidor está ajustado a la especie.
note-wood-saturated = Por encima de un 30 % (saturación de la fibra) estos medidores distinguen mojado de seco, no cuánto.
note-meter-wetter = { $of } está por encima del lugar seco más de lo que explica el azar.
note-meter-relative = La escala es la del medidor. Dice dónde está más húmedo, no cuánto: la sal, el metal y la densidad también la mueven.
note-meter-one-reference = Con una sola lectura seca no se sabe qué es azar. Tome tres o más.
note-infrared-leak = { $of } se movió hacia el exterior mientras entraba aire: por ahí entra aire exterior.
note-infrared-conduction = { $of } destacaba antes y no se movió: ahí se pierde calor a través del material.
note-infrared-no-pressure = No se dio la presión de la casa. Solo una casa en depresión muestra fugas de aire desde dentro.
note-infrared-blown = La casa estaba en sobrepresión: el aire interior sale por las fugas y no deja huella por dentro.
note-infrared-no-accuracy = Nada indica qué diferencia distingue la cámara; no se juzga ningún punto.
