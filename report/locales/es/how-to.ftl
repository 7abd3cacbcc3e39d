### Cómo se hace cada prueba: qué dice, qué pide, sus pasos con sus razones, qué sale mal, qué cuidar.
# El paso se separa de su razón con dos barras.

how-envelope =
    .tells = Cuánto aire deja pasar toda la envolvente a una presión dada, y cuán hermética es la casa frente a un límite.
    .needs = Un ventilador calibrado, un manómetro con un tubo al exterior, termómetros; unos cuarenta minutos.
    .steps =
        Cierre ventanas y puertas exteriores, abra las interiores, apague los fuegos. // Se mide la envolvente; una ventana olvidada también se mide.
        Lea la línea base con el ventilador tapado. // Viento y calor empujan la casa antes que el ventilador; eso se resta.
        Empiece por la presión más alta y vaya bajando. // A presión alta el viento pesa menos, y lo que cede, cede antes del primer punto.
        Lea presión y caudal a la vez, ambos promediados. // Una racha mueve los dos; leídos por separado no van juntos.
        Lea otra vez la línea base al final. // Si el viento cambió, el intervalo debe decirlo.
    .wrong =
        Una trampilla o compuerta de chimenea que abre el ventilador.
        El tubo exterior al sol, en el aire del ventilador o aplastado por la puerta.
        Un rango del ventilador cambiado y no anotado.
    .minds =
        Donde algo arde o se sospecha asbesto, mire primero: la revisión dice qué impide bajar la presión.
how-combustion-zone =
    .tells = Si lo que arde sigue enviando su gas por la chimenea mientras la casa tira en contra con toda su fuerza.
    .needs = Un manómetro, un analizador de gases, un medidor de monóxido de carbono, un reloj; todas las puertas y ventiladores.
    .steps =
        Entre con el medidor de monóxido encendido desde la puerta. // Lo protege primero a usted, y su primer número es el del exterior.
        Lea la línea base de la zona contra el exterior, todo apagado. // Cada estado se compara con ella.
        Encienda extractores, luego cierre puertas una a una, luego la manejadora. // El estado que más tira se halla probando; no se ve a simple vista.
        En ese estado encienda el aparato y mida el tiempo de revoco. // Una chimenea fría necesita un momento; más allá del límite el gas entra al cuarto.
        Lea el monóxido en la chimenea antes de la abertura de tiro, con el oxígeno. // El gas diluido muestra poco; el oxígeno deshace la dilución.
        Deje controles, piloto y termostato como estaban. // Se movieron para la prueba y así quedan si nadie los devuelve.
    .wrong =
        Una secadora o el ventilador de un calefactor olvidado.
        Una puerta abierta en el peor estado.
        Monóxido leído después de la abertura de tiro.
    .minds =
        Al nivel de salir: afuera con todos y llame desde afuera.
        Sobre el aparato decide una persona con licencia, no esta página.
how-fan-pressures =
    .tells = Cuánto mueve cada ventilador a la casa respecto al exterior, y cuáles juntos pasan un límite.
    .needs = Un manómetro con tubo al exterior; todos los extractores.
    .steps =
        Cierre puertas y ventanas exteriores, lea varias veces la línea base. // Su dispersión es el ruido de cada estado.
        Encienda un ventilador, espere, lea. // El ventilador tarda en acelerar y la casa en seguirlo.
        Anote qué ventiladores funcionan en cada estado. // Un estado sin sus ventiladores no se compara.
        Lea otra vez la línea base. // Un viento que creció parecería un ventilador.
    .wrong =
        Una racha tomada por ventilador.
        Un ventilador con temporizador que se paró.
    .minds =
        Donde algo arde, este es el estado que importa: mire la chimenea.
how-sealing-session =
    .tells = Cuánto vale cada reparación mientras funciona el ventilador, y cuándo parar.
    .needs = Un ventilador de prueba en su puerta, un manómetro, alguien que selle.
    .steps =
        Mantenga una presión y anote una fila de vez en cuando. // El viento de hoy es la vara de lo que cuenta como bajada.
        Marque cada reparación al terminarla. // Una bajada es de la reparación anterior.
        Siga leyendo después de la reparación. // Una sola fila no se distingue de una racha.
        Pare en la meta, o cuando las reparaciones valgan menos que el viento. // Lo demás no se puede probar hoy.
    .wrong =
        Una puerta abierta entremedio.
        Varias reparaciones bajo una marca.
    .minds =
        Lo sellado cambia lo que arde: la combustión se debe de nuevo antes del fin del día.
how-infrared =
    .tells = Si un punto frío o caliente es aire que entra o calor que se conduce.
    .needs = Una cámara o termómetro de superficie, el ventilador de prueba, unos diez kelvin entre interior y exterior.
    .steps =
        Deje estabilizar las temperaturas y mire cada punto antes del ventilador. // La conducción aparece en ambas vistas, el aire solo en la segunda.
        Baje la presión de la casa un cuarto de hora. // El aire necesita tiempo para enfriar lo que toca.
        Mire los mismos puntos desde el mismo lugar. // El ángulo y la distancia cambian la imagen.
        Anote las temperaturas del aire en ambas vistas. // Los puntos se pesan contra ellas.
    .wrong =
        Sol en la pared una hora antes.
        Superficies brillantes que reflejan el cuarto.
    .minds =
        El ventilador baja la presión: lo que lo impide en la revisión también impide esto.
how-zone-pressures =
    .tells = Qué lado de un espacio junto a los cuartos es el más hermético, y cuánto aire toma la casa por ahí.
    .needs = El ventilador a presión estable, un manómetro con tubos al espacio y al exterior; una trampilla o un hueco de tamaño conocido.
    .steps =
        Mantenga la casa a 50 Pa y lea las tres presiones. // Deben cerrar: casa menos zona más zona menos exterior es casa menos exterior.
        Abra la trampilla o un hueco conocido y lea otra vez, con el caudal. // Cuánto se mueven los números dice el tamaño de ambos lados.
        Mantenga la misma presión. // Solo así el cambio es del hueco.
        Cierre y lea una vez más. // Debe volver a lo que era.
    .wrong =
        Menos de tres pascales de movimiento: los datos no pueden decir.
        Un tubo aplastado en la trampilla, o su punta en una corriente.
    .minds =
        El aire viene del espacio a los cuartos: importa lo que hay ahí.
how-room-pressures =
    .tells = Qué cuartos carecen de camino de retorno para su aire, y de qué tamaño debe ser.
    .needs = Un manómetro, la manejadora encendida, puertas cerradas.
    .steps =
        Encienda la manejadora y cierre las puertas interiores. // Así duerme la gente y así se aíslan los cuartos.
        Lea cada cuarto contra el cuerpo principal bajo su puerta. // Esa presión es contra la que empuja el suministro.
        Anote el caudal o la holgura bajo la puerta si puede. // Con eso el retorno que falta tiene tamaño.
        Lea el cuerpo principal contra el exterior, puertas abiertas y cerradas. // Los cuartos cerrados hacen tirar al resto.
    .wrong =
        El tubo en el chorro del suministro.
        Otra puerta abierta.
    .minds =
        Si algo arde en el cuerpo principal, lea también ahí con puertas cerradas.
how-duct-leakage =
    .tells = Cuánto aire pierden los ductos hacia el exterior o en total, y de qué lado.
    .needs = Un ventilador de ductos calibrado, tapas para rejillas, quizá una barrera en la manejadora y el ventilador de prueba.
    .steps =
        Tape las rejillas, saque el filtro, asegure la manejadora apagada. // Lo que queda abierto se mide como fuga.
        Sople a 25 Pa y lea presión y caudal en varios puntos. // Dos o más dan el exponente; uno solo supone.
        Lleve la casa a la misma presión para lo que va al exterior. // Sin diferencia nada fuga hacia la casa.
        Lea la misma toma en otros lugares. // Un ducto desconectado muestra otra presión.
        Quite las tapas. // Una rejilla tapada la encuentra el dueño la primera noche fría.
    .wrong =
        Una tapa que se soltó.
        La toma en el chorro del ventilador.
    .minds =
        Entra aire de los ductos a la casa: también lo que haya en ellos.
how-pressure-pans =
    .tells = En qué rejillas los ductos están abiertos a un espacio sin acondicionar.
    .needs = El ventilador a 50 Pa, una bandeja con tubo, la manejadora apagada.
    .steps =
        Mantenga la casa a 50 Pa, manejadora apagada, rejillas abiertas. // Los ductos con fuga tiran de donde fugan.
        Lea los espacios con ductos contra la casa. // Un espacio a presión de la casa esconde toda fuga.
        Ponga la bandeja en una rejilla tras otra y lea. // La bandeja muestra lo que fuga detrás.
        Anote el área libre si el ajuste debe usarla. // Presión sola no es caudal.
    .wrong =
        Una bandeja que no asienta.
        Una rejilla que quedó tapada.
    .minds =
        La marca usual de 1 Pa es de memoria y nada decide sola.
how-dominant-leak =
    .tells = Si fuga más el suministro o el retorno, por cómo se mueve la casa al arrancar la manejadora.
    .needs = Un manómetro con tubo al exterior, una hora tranquila.
    .steps =
        Abra las puertas interiores. // Los cuartos cerrados también mueven la casa.
        Lea la casa contra el exterior con la manejadora apagada y encendida, cinco veces. // Un par es una racha, cinco son un cambio.
        Anote si la toma de aire exterior está abierta. // Mueve la casa como una fuga.
        Termine con una lectura apagada. // Se ve una deriva.
    .wrong =
        Viento.
        Un extractor que arranca con la manejadora.
    .minds =
        Dice un lado, no un tamaño, sin prueba de la envolvente.
how-delivery-effectiveness =
    .tells = Qué parte del calor o frío llega a los cuartos por los ductos.
    .needs = Caudal, capacidad, fuga, área y aislamiento de ambos lados.
    .steps =
        Mida el caudal de la manejadora. // Todo es parte de él.
        Mida la fuga de ambos lados. // El aire perdido no llega; el que entra hay que tratarlo.
        Mida longitud y aislamiento fuera de los cuartos. // Solo ahí cuenta la conducción.
        Anote la temperatura alrededor. // Un ático caliente cuesta más que un espacio fresco.
    .wrong =
        Ductos dentro de los cuartos contados afuera.
    .minds =
        Se calcula de otras pruebas; sus intervalos entran.
how-duct-leakage-by-difference =
    .tells = Lo que fugan los ductos al exterior, por dos pruebas de la envolvente.
    .needs = El ventilador de prueba, tapas para todas las rejillas, un tubo en los ductos.
    .steps =
        Pruebe la casa con rejillas abiertas. // Envolvente y ductos juntos.
        Tape todas y pruebe otra vez enseguida. // Lo que falta es lo que fugaba por los ductos.
        Lea la presión que queda en los ductos tapados. // Aún fugan un poco, y eso se corrige.
        Quite las tapas. // Impiden calentar y enfriar.
    .wrong =
        Viento entre ambas: la diferencia de dos números grandes es pequeña.
    .minds =
        Si el intervalo es más ancho que la respuesta, use un ventilador de ductos.
how-static-pressure =
    .tells = Si el ventilador trabaja contra más de lo nominal, y qué parte del camino lo causa.
    .needs = Un manómetro con dos sondas, taladro, tapones, la placa de la máquina.
    .steps =
        Lea en la placa qué está dentro de la caja nominal. // Decide qué dos tomas cuentan como externas.
        Haga funcionar el ventilador a su mayor velocidad y espere. // Uno que acelera despacio muestra poco al principio.
        Lea antes y después de filtro y batería, con signo, contra el cuarto. // Cada caída nombra la parte que la causa.
        Tape cada agujero. // Fugaría el resto de su vida.
    .wrong =
        Una sonda que mira a la corriente.
        Un agujero en una batería o bandeja: mire antes de taladrar.
    .minds =
        Corte la corriente antes de abrir un panel.
how-handler-flow =
    .tells = Cuánto aire mueve la manejadora.
    .needs = Placas de caudal, un ventilador en el retorno, termómetros, una sonda o campanas: una de cinco maneras.
    .steps =
        Elija la manera que conviene a máquina y tiempo. // Sus errores difieren, y cada una dice el suyo.
        Anote cómo funcionó: modo, etapa, minutos desde el arranque. // Otra etapa es otro caudal.
        Lea el pleno de suministro en operación y durante la prueba. // La placa frena el ventilador y las dos presiones lo deshacen.
        Vuelva a poner el filtro con su flecha bien. // La ranura se abre para la prueba y así se queda.
    .wrong =
        Una placa que fuga por el borde.
        Temperaturas leídas a la vista del calefactor.
    .minds =
        Corte la corriente antes de abrir un panel.
how-coil-capacity =
    .tells = Lo que la batería quita al aire: total, sensible y como agua.
    .needs = Caudal de la manejadora, temperatura y humedad antes y después de la batería.
    .steps =
        Mida primero el caudal. // Cada kilovatio es caudal por diferencia.
        Déjela funcionar un cuarto de hora. // Una batería tarda en mojarse.
        Lea bulbo seco y húmedo a ambos lados a la vez. // El exterior sigue cambiando.
        Anote modo y etapa. // Media etapa es medio número.
    .wrong =
        Un sensor mojado por gotas.
        Suministro leído donde el aire no se mezcló.
    .minds =
        La placa vale en estados nominales; compare con cuidado.
how-fan-flow =
    .tells = Lo que un extractor o suministro mueve de verdad.
    .needs = Una campana, una con ventilador, una caja con orificio o una sonda; una escalera.
    .steps =
        Cierre la ventana del cuarto y deje la puerta abierta un palmo. // El ventilador necesita aire de alguna parte.
        Cubra toda la rejilla y espere que se estabilice. // Una rendija es caudal sin medir.
        Lea tres veces y anótelas. // La dispersión es parte del intervalo.
        Nombre el ventilador de la casa. // Solo así la lectura entra al ajuste.
    .wrong =
        La campana frena el ventilador: se corrige donde se conoce su contrapresión.
        Una compuerta pegada.
    .minds =
        Una campana sin ventilador yerra un cuarto en campo; lo dice el intervalo.
how-settled-reading =
    .tells = Dónde se asienta una lectura lenta, sin esperarla.
    .needs = Un registro de unos minutos desde el inicio.
    .steps =
        Empiece el registro antes de encender. // El inicio de la subida lleva la constante de tiempo.
        Deje todo como está. // Otro cambio es otra curva.
        Registre al menos dos constantes de tiempo. // Con menos, el final se supone.
    .wrong =
        Dos cosas que cambian a la vez.
    .minds =
        Si el intervalo es ancho, espere más.
how-recovery-balance =
    .tells = Si los dos caudales de un recuperador concuerdan, y cuánto calor conserva.
    .needs = Campana o sonda para ambos caudales, termómetros en los cuatro ductos.
    .steps =
        Mida suministro y extracción en el mismo paso. // Un desbalance se vuelve aire por la envolvente.
        Lea los cuatro ductos a la vez, tras media hora. // El núcleo debe estar estable.
        Anote las potencias de los ventiladores. // Su calor no es recuperación.
        Compruebe que el balance cierra. // Si no, una lectura está mal.
    .wrong =
        Un sensor contra una carcasa fría.
        Filtros llenos.
    .minds =
        El control de escarcha cambia los caudales: no bajo cero.
how-ventilation-rate =
    .tells = Cuánto aire exterior pide una regla, qué tiene la casa y qué falta.
    .needs = Tamaños, dormitorios, una prueba de la envolvente, los caudales.
    .steps =
        Elija la regla y edición vigentes aquí. // Las ediciones difieren en un tercio.
        Nombre ventiladores con caudales de pruebas. // La etiqueta dice lo que podría.
        Anote horas de los que no siempre funcionan. // El aire a deshora cuenta menos.
    .wrong =
        Crédito por fugas sin factor de clima.
    .minds =
        Una parte marcada de memoria nada decide sola.
how-tightness-room =
    .tells = Cuánto más hermética puede ser la casa antes de que sus extractores pasen un límite.
    .needs = Una prueba de la envolvente, los caudales, el límite.
    .steps =
        Mida los extractores que funcionan a la vez. // Tiran juntos.
        Use la prueba de la casa como está hoy. // La de ayer era otra.
        Anote el límite con su fuente. // Hay que decir de quién es.
    .wrong =
        La secadora olvidada.
    .minds =
        No es prueba de combustión; esa se repite después del trabajo.
how-infiltration =
    .tells = Cuánto aire entra solo en un año o en un momento.
    .needs = Una prueba de la envolvente, pisos, abrigo, clima.
    .steps =
        Use la prueba de la envolvente. // Las fugas son su resultado.
        Elija un modelo y diga abrigo y pisos. // Representan viento y tiro térmico.
        Pida un año o un momento. // La media esconde las noches sin viento.
    .wrong =
        Abrigo juzgado solo desde la calle.
    .minds =
        Un modelo; la casa ajustada dice más donde la hay.
how-change =
    .tells = Si la casa es de verdad más hermética entre dos pruebas, y cuánto.
    .needs = Dos pruebas de la envolvente en el mismo estado.
    .steps =
        Diga primero qué bajada contaría. // Una marca puesta después nada prueba.
        Use los mismos instrumentos y estado. // Lo común se cancela.
        Compare el intervalo con la marca. // Dos números solos no son prueba.
    .wrong =
        Una ventana abierta en una de ellas.
    .minds =
        Si los estados difieren, se retiene el veredicto.
how-guarded-unit =
    .tells = Qué parte de la fuga de una unidad va al exterior y cuál a sus vecinos.
    .needs = Dos ventiladores o más, acceso a las unidades vecinas.
    .steps =
        Pruebe la unidad con los vecinos abiertos al exterior. // Todo lo que fuga.
        Lleve los vecinos a su presión y pruebe otra vez. // Entre iguales no pasa aire.
        Mantenga estables las presiones. // Un pascal entre ellas ya es fuga.
    .wrong =
        Una unidad de arriba o abajo olvidada.
    .minds =
        Los aparatos de los vecinos están en la prueba: pregúnteles antes.
how-surface =
    .tells = Si una superficie está fría y el aire junto a ella húmedo como para moho o agua.
    .needs = Un termómetro de superficie, un termohigrómetro.
    .steps =
        Lea aire y humedad a un palmo de la pared. // Ese aire la toca.
        Lea la superficie en su punto más frío. // Primero esquinas y detrás de muebles.
        Anote también el exterior. // Solo así hoy dice algo de enero.
    .wrong =
        Una superficie brillante leída por infrarrojo.
        El aliento en el sensor.
    .minds =
        Una mirada es una hora del año.
how-surface-meter =
    .tells = Si unos puntos de un material están más húmedos que lugares secos del mismo.
    .needs = Un medidor de humedad de superficie.
    .steps =
        Lea varios lugares secos del mismo material. // La escala no tiene unidad; son su cero.
        Lea los puntos de igual modo. // Presión y ángulo cambian el número.
        Nombre cada lugar. // Un número sin lugar no se puede volver a mirar.
    .wrong =
        Metal, lámina o sales detrás.
    .minds =
        Dice más húmedo, no cuánto.
how-wood-moisture =
    .tells = Cuán húmeda está la madera, y si el aire junto a ella lo explica.
    .needs = Un medidor de agujas con su propia tabla.
    .steps =
        Clave las agujas a lo largo de la fibra, lejos de bordes. // Al través cambia el número.
        Tome las correcciones de la tabla del medidor. // Especie y temperatura lo mueven puntos.
        Lea el aire al lado. // Madera más húmeda que su aire tiene otra fuente.
    .wrong =
        Cola, sales, un clavo.
    .minds =
        Decide su límite con su fuente, ningún otro.
how-mould-index =
    .tells = Si una superficie, durante semanas, tuvo el calor y la humedad que quiere el moho.
    .needs = Un registrador en la superficie, unas semanas.
    .steps =
        Ponga el registrador contra la superficie, no en el cuarto. // El cuarto es más seco que la esquina.
        Elija la clase del material. // También se muestran las vecinas.
        Déjelo registrar un tiempo frío. // Un mes suave prueba poco.
    .wrong =
        Un registrador al sol.
    .minds =
        Un índice de riesgo; lo que crece se ve mirando.
how-decay =
    .tells = Cuántas veces se renueva el aire de un cuarto, por cómo baja un gas.
    .needs = Un medidor de gas, nadie dentro, alguna fuente del gas al inicio.
    .steps =
        Suba el gas y mezcle con un ventilador. // Un número debe valer por el cuarto.
        Todos afuera, luego la primera fila. // Una persona es una fuente.
        Lea cada pocos minutos hasta perder la mitad. // Con menos, el fondo pesa demasiado.
        Lea el exterior con el mismo medidor. // Así se cancela su error.
    .wrong =
        Una puerta abierta entremedio.
        El fondo supuesto.
    .minds =
        Es el aire de esa hora con ese viento.
how-build-up =
    .tells = Qué aire exterior recibe un cuarto, por cómo sube un gas con gente dentro.
    .needs = Un medidor o registrador, personas conocidas.
    .steps =
        Empiece con el cuarto ventilado. // Una subida necesita un inicio bajo.
        Cuente personas y qué hacen. // Son la fuente.
        Registre hasta que se curve. // La curva dice la renovación, el final el aire.
    .wrong =
        Alguien que entra y sale.
    .minds =
        Las personas difieren de las tablas.
how-steady-state =
    .tells = Qué aire exterior recibe un cuarto mientras duermen en él.
    .needs = Un medidor de gas al final de una noche.
    .steps =
        Lea cuando el nivel lleve horas quieto. // Solo entonces entra lo que sale.
        Anote personas, edad y actividad. // Dan la fuente.
        Lea el exterior. // Cuenta la diferencia.
    .wrong =
        Una puerta abierta a otros cuartos.
    .minds =
        El aire del cuarto vecino no es exterior.
how-two-zones =
    .tells = Cuánto aire intercambian dos cuartos, y qué recibe cada uno del exterior.
    .needs = Dos medidores o registradores, ambos volúmenes.
    .steps =
        Suba el gas en un solo cuarto. // El otro debe saberlo por el aire.
        Registre ambos hasta que se encuentren. // El encuentro dice el intercambio.
        Anote ambos volúmenes. // Una parte de aire es parte de volumen.
    .wrong =
        Relojes que difieren.
    .minds =
        Si los datos no pueden decirlo, se dice.
how-bills =
    .tells = Qué calor y frío pide la casa por grado, de un año de recibos.
    .needs = Recibos de un año o más, temperaturas diarias.
    .steps =
        Anote el día de cada lectura y lo usado. // Deciden los días, no los meses.
        Marque lecturas estimadas. // Se juntan con la siguiente.
        Nombre las temperaturas del lugar. // La colina de la estación no es el valle de la casa.
    .wrong =
        Un año con otra gente en la casa.
    .minds =
        Dice mucho de las conductancias y poco del aire.
