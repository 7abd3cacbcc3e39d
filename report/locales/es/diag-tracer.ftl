# Renovación de aire por trazador. Una frase, sin punto final.

A101 = hay { $found ->
        [one] una lectura utilizable
       *[other] { $found } lecturas utilizables
    } y hacen falta { $needed }
    .because = con menos no se pueden conocer un ritmo, un nivel y su dispersión
    .help = tome más lecturas, o amplíe la parte del registro
A102 = { $count ->
        [one] una lectura está
       *[other] { $count } lecturas están
    } en el fondo de { $background } o por debajo y queda fuera de la recta
    .because = no existe el logaritmo de un exceso nulo
    .help = termine antes el decaimiento, o lea de nuevo el fondo con el mismo medidor
A103 = el gas no baja: el ritmo sería { $rate }
    .because = sin caída no hay decaimiento
    .help = revise el principio y el final, y que no hubiera nadie; para una subida está la clase `build-up`
A104 = el gas no sube
    .because = una acumulación necesita una subida
    .help = revise el principio y el final; para una caída está la clase `decay`
A105 = el registro es demasiado corto o demasiado recto para saber dónde acaba
    .because = el final de una curva solo se ve donde se dobla
    .help = registre más tiempo: tres constantes de tiempo muestran una meseta
A106 = este ensayo necesita `points` con columnas `time` y `gas`, o una `series`
    .because = trabaja con un solo registro
    .help = escriba `points` con columnas como `time min` y `gas ppm` y una fila por lectura, o `series = "log.csv"`
A107 = el nivel de { $level } no supera el fondo de { $background }
    .because = sin exceso no hay caudal que calcular
    .help = lea ambos con el mismo medidor
A108 = nada indica cuánto gas se emite
    .because = un nivel solo no da un caudal
    .help = escriba `given_off`, o las personas como `[[test.NOMBRE.person]]` con sexo, edad y actividad
A109 = falta el volumen de { $of }
    .because = la suma de los cuartos se pondera con sus volúmenes
    .help = escriba `volumes.bedroom = "35 m3"` y así las demás, o llame a las columnas como las zonas de la casa
A110 = ningún intercambio de los dos cuartos se ajusta a estos registros
    .because = el ajuste no se asentó
    .help = revise las columnas, y que solo participen los dos cuartos y el exterior
A111 = este momento no está en el registro
    .because = solo se puede usar lo registrado
    .help = escriba fecha y hora, una hora del día, o un tiempo desde la primera fila como `40 min`
A112 = no hay fondo, y el registro no lo indica
    .because = todo ritmo depende del exceso sobre el exterior
    .help = lea el exterior con el mismo medidor y escriba `background`
A113 = la lectura { $row } no es una concentración y queda fuera
    .because = una fracción de gas es finita y no negativa
    .help = corríjala
A114 = el tiempo { $time } no es posterior a la fila anterior; la fila queda fuera
    .because = un reloj que va hacia atrás da ritmos sin sentido
    .help = corrija el tiempo
A115 = no se encontró ningún decaimiento en este registro
    .because = un decaimiento pierde al menos la mitad de su exceso sobre el exterior a un solo ritmo, en 15 minutos o más
    .help = registre hasta después de que salga la gente, dé el fondo, o indique usted el principio y el final
A116 = la serie tiene varias columnas y no se nombra ninguna
    .because = nadie puede adivinar cuál se quiere
    .help = escriba `column`; hay: { $known }
A117 = el intercambio entre cuartos necesita dos columnas, y hay { $found }
    .because = cada cuarto necesita su propio registro
    .help = escriba `column = ["bedroom", "hall"]`
