# Diagnósticos de los documentos de un trabajo: códigos J, H, V y P.
# Una oración, sin punto final. `.because` es la razón, `.help` es qué hacer.

J101 = aquí no hay ningún `job.toml`
    .because = dice dónde está la casa, quién vive en ella y de qué se queja
    .help = empiece en la carpeta que contiene `job.toml`, o escriba uno que comience con `format = 1`

H101 = el techo de `{ $zone }` no está por encima de su suelo: techo { $ceiling }, suelo { $floor }
    .because = ambas son alturas sobre el terreno, y entre ellas tiene que caber aire
    .help = revise `floor` y `ceiling`; un suelo bajo el terreno lleva signo menos
H102 = el volumen de `{ $zone }` es { $volume }; el área del suelo por la altura da { $boxed }
    .because = un techo inclinado quita una parte, pero menos de la cuarta parte o más de una vez y media suele ser un error de unidad
    .help = revise `volume`, `floor_area`, `floor` y `ceiling`; el volumen cuenta como está escrito
H103 = los dos lados son el mismo: `{ $name }`
    .because = el aire fluye, y la presión difiere, solo entre dos lugares distintos
    .help = nombre otra zona, o `outdoors`, en uno de los lados
H104 = `{ $name }` tiene tiro natural y su conducto de humos no tiene área
    .because = sin ella, el aire que se lleva el conducto de humos falta en todos los caudales
    .help = añada `flue_area` y `flue_top`, la altura de la boca del conducto sobre el terreno
H105 = la manejadora de aire no tiene rejilla de { $side ->
        [supply] impulsión
       *[return] retorno
    }
    .because = lo que impulsa a los cuartos tiene que volver a ella
    .help = añada una rejilla con { $side ->
        [supply] `side = "supply"`
       *[return] `side = "return"`
    } en `air_handler`, con la zona a la que abre
H106 = `{ $zone }` no tiene ningún camino al exterior
    .because = un ventilador por sí solo no fija ninguna presión, así que allí podría haber cualquiera
    .help = añada una fuga de la zona al exterior, o una fuga o puerta a otra zona que tenga salida
H107 = el ventilador `{ $name }` no tiene el exterior en ninguno de sus lados
    .because = aquí un ventilador saca aire de la casa o lo mete en ella
    .help = escriba `outdoors` en `from` o en `to`
H111 = la curva del ventilador sube: { $low_flow } a { $low }, pero { $high_flow } a { $high }
    .because = con un tramo que sube, el ventilador tiene varios caudales a una presión, y nadie sabría cuál
    .help = quite los puntos del desprendimiento, o revise los dos
H112 = estos puntos no forman una curva de ventilador
    .because = una curva necesita dos puntos o más a presiones distintas, y un motor que mantiene su caudal se detiene por encima de la presión hasta la que lo mantiene
    .help = revise `curve`, o `holds`, `up_to` y `shut_off`
H113 = `{ $name }` se usa dos veces
    .because = una pieza tiene un solo caudal: está en una línea o entre dos lugares
    .help = copie la pieza con otro nombre, o quítela de uno de los lugares
H114 = la parte alta de `{ $name }` no está por encima de la baja: abajo { $bottom }, arriba { $top }
    .because = un conducto vertical tira por su altura
    .help = revise `bottom` y `top`, ambas sobre el terreno
H115 = `{ $name }` no está en ningún sitio
    .because = sin lugar no mueve aire
    .help = póngale `between`, o nómbrela en `in_line` de un ventilador o de un conducto
H116 = el ventilador `{ $name }` tiene piezas en su línea pero no tiene curva
    .because = un ventilador de caudal fijo no responde a un filtro ni a un conducto
    .help = dé al ventilador una `curve`, o `holds`, `up_to` y `shut_off`; o quite `in_line`
H117 = la puerta `{ $name }` tiene a la vez `open` y `{ $key }`
    .because = `open` ya dice cuándo está abierta de día y de noche
    .help = deje una de las dos

V101 = `{ $name }` no puede estar en `{ $found }`
    .because = puede estar en: { $choices }
    .help = use una de estas palabras
V102 = una lectura de caudal no es mayor que cero
    .because = los caudales se comparan por su cociente, que necesita un número mayor que cero; esta lectura queda fuera
    .help = si el instrumento mostró menos de lo que puede leer, escriba su límite inferior como `below` en lugar de `value`
V103 = esta lectura no nombra ningún instrumento
    .because = sin exactitud declarada cuenta menos
    .help = escriba en `with` el nombre de uno de los instrumentos de la visita
V104 = se lee el caudal del ventilador de ensayo sin que ninguno funcione
    .because = el estado se hereda de la lectura anterior, y en este no hay ningún ventilador de ensayo en marcha
    .help = ponga `test_fan` en `depressurise` o `pressurise` en el `set` de esta lectura
V105 = se lee el caudal de `{ $name }` mientras no funciona
    .because = el estado se hereda de la lectura anterior, y solo se anota lo que se tocó
    .help = póngalo en marcha en el `set` de esta lectura, o corrija lo que se leyó

P101 = el plan `{ $plan }` se amplía a sí mismo
    .because = los cambios del plan ampliado van primero, y en un círculo ninguno es el primero
    .help = quite un `extends` del círculo
P102 = este cambio necesita una manejadora de aire y la casa no tiene ninguna
    .because = sellar conductos, filtrar y mezclar actúa sobre el aire que ella mueve
    .help = descríbala como `air_handler` en `house.toml`, o quite el cambio
P103 = el plan `{ $plan }` sella `{ $leak }` más de una vez
    .because = cada parte se quita de lo que dejó la anterior
    .help = deje una sola, a menos que se quiera sellar en dos veces
P104 = calentar a { $heat } y enfriar a { $cool } se cruzan
    .because = a alguna hora del día la calefacción mantendría la casa por encima de lo que permite el enfriamiento
    .help = deje la consigna de calefacción, y su reducción, por debajo de la de enfriamiento
P105 = { $thing ->
        [dehumidifier] no hay ningún deshumidificador en { $zone }
        [humidifier] no hay ningún humidificador en { $zone }
        [cooking] en { $zone } no se cocina nada para lo que la campana pudiera marchar
        [window] no hay tal ventana en { $zone }
        [wet-ground] no hay suelo húmedo bajo { $zone }
        [vents] { $zone } no tiene fuga ni respiradero al exterior
        [dryer] en { $zone } no hay ninguna secadora que sople al cuarto
       *[other] la casa no tiene calefacción ni enfriamiento
    }
    .because = un plan solo puede cambiar lo que tiene el archivo de la casa, después de los cambios anteriores
    .help = descríbalo en `house.toml`, o quite el cambio
P106 = el tamaño `{ $size }` es de otra clase de cambio
    .because = un tamaño da lo que no escribe un cambio de su misma clase
    .help = tome un tamaño de esta clase, o escriba usted los números
P107 = no hay nada entre `least` y `most`
    .because = el ajuste se busca entre los dos, y `least` tiene que estar por encima de cero
    .help = escriba un `least` más bajo o un `most` más alto
P108 = no existe tal clase de filtro
    .because = las clases MERV de 5 a 16 tienen eficiencias tabuladas
    .help = escriba una clase de 5 a 16, o la parte que retiene como `pm25`
P109 = no se conoce el área de `{ $surface }`
    .because = la resistencia añadida cambia una conductancia por medio del área
    .help = escriba `area` y `r` de la superficie en `house.toml`, o `area` en el cambio
P111 = `{ $found }` no es un día en que pueda empezar un evento
    .because = un evento empieza a la medianoche de un día del año meteorológico
    .help = escriba `hottest`, `coldest`, `calmest`, o mes y día como en `08-15`
P110 = esta búsqueda tiene { $count } combinaciones o más; se pueden vivir { $most } como máximo
    .because = cada cambio se puede tomar o dejar, así que cada uno más las duplica
    .help = dé `group` a los cambios que se excluyen, o baje `at_most`

J102 = esta pregunta necesita la casa, y el trabajo no tiene `house.toml`
    .because = los resultados y el certificado de un ensayo suelto no la necesitan; el ajuste, los planes y las próximas lecturas sí
    .help = añada `house.toml`; `airwright new` escribe `house-example.toml`, para cambiarle el nombre y hacerlo suyo
J107 = la visita es del { $date }, y su carpeta es `{ $folder }`
    .because = cuenta la fecha del documento; una carpeta de otro día confunde a quien la busque
    .help = corrija la que esté mal
J108 = la visita es del { $date }, un día que aún no ha llegado
    .because = los resultados y el certificado llevan esa fecha
    .help = corrija `date`, escrita como año, mes, día
J109 = aquí nada lee { $names }
    .because = un trabajo tiene un solo `job.toml`, `house.toml` y `plans.toml`, visitas en `visits/<fecha>/visit.toml` y las carpetas `rules`, `findings`, `intake`
    .help = corrija el nombre, o lleve lo que es de otra casa a una carpeta propia
J110 = ninguna visita de este trabajo tiene un ensayo
    .because = los resultados son los de los ensayos; las lecturas sueltas las trabaja `airwright fit`, con una casa
    .help = escriba una tabla como `[test.envelope]` en `visit.toml`; docs/TESTS.md muestra todas las clases
J103 = el trabajo todavía no tiene ninguna visita
    .because = las lecturas están en `visits/<fecha>/visit.toml`
    .help = cree una carpeta con ese nombre y escriba lo leído; `airwright new` escribe un ejemplo
J104 = hay planes, pero no hay meteorología con la que vivirlos
    .because = un plan se juzga con un año de meteorología horaria
    .help = nombre un archivo meteorológico en `place` de `job.toml`, por ejemplo `weather = "weather.csv"`
J105 = el archivo meteorológico no está en la carpeta del trabajo: `{ $file }`
    .because = el nombre en `place` se busca en la carpeta del trabajo
    .help = ponga el archivo allí o corrija el nombre
J106 = no hay ninguna zona horaria llamada `{ $name }`
    .because = las zonas llevan los nombres de la base de datos de la IANA, como `America/New_York`
    .help = { $near ->
        [none] tome el nombre de una ciudad grande de la misma zona, o quite `time_zone`: los horarios siguen entonces la hora estándar
       *[other] ¿quiso decir `{ $near }`?
    }
J120 = la casa no tiene calefacción ni refrigeración con que comparar sus cuartos
    .because = un cuarto se juzga por lo que traen sus rejillas con la máquina a plena potencia
    .help = escriba `[heating]` o `[cooling]` con capacidad y temperatura de consigna en house.toml
J121 = no hay datos del tiempo de los que sacar los días de cálculo
    .because = la temperatura exterior, el sol y el viento de las horas más duras salen de un año de datos
    .help = nombre un archivo del tiempo en `[place]` de job.toml
V106 = la visita dice que no se encontró combustible, y la casa tiene un aparato de combustión
    .because = no se libera ningún plan mientras no coincidan
    .help = mire otra vez y corrija `fuel` en la visita o el aparato en `house.toml`
F101 = las muestras representan mal lo que permiten las lecturas: forma de Pareto { $k }
    .because = por encima de 0,7 los pesos dependen de unas pocas muestras, y los intervalos pueden ser demasiado estrechos
    .help = corrija la lectura que más discrepa, o añada lecturas donde menos se sabe
F117 = los extremos de los intervalos de { $count } de { $of } números de la casa se apoyan en pocas muestras{ $names ->
        [none] {""}
       *[other] {", primero los de"} { $names }
    }
    .because = más allá del más inseguro de estos extremos hay unas { $draws } muestras independientes: con otras muestras se movería un { $error } % de la dispersión propia del número
    .help = tome estos extremos como aproximados; lecturas que atañan a estas cosas, o menos duda en el dibujo, los hacen firmes
F118 = el hueco en { $door } es mayor que { $door }: { $hole } de { $whole }
    .because = lo que se escribe es el área libre que queda abierta, como máximo ancho por alto
    .help = mida ancho y alto del hueco, o escriba "open"
F102 = las lecturas no encajan con la casa dibujada: los cuadrados suman { $chi_square }, se esperan unos { $readings }
    .because = algo está abierto, sellado o existe sin estar dibujado, o una lectura está mal; la subrayada es la que peor encaja: leído { $shown }, esperado { $expected }
    .help = mire primero esa lectura: puerta, tubo, unidad, signo; después lo que falta en el dibujo
F103 = no se pudo ajustar la casa: { $detail }
    .because = el modelo tiene que poder calcularse en cada situación de la visita
    .help = mire los intervalos de las fugas y las situaciones; un número muy grande o muy pequeño es la causa habitual
F107 = la lectura de { $shown } se apartó: las demás esperan { $expected }
    .because = las lecturas concuerdan mucho mejor sin ella, como cuando falla un signo, una unidad o una cifra; los intervalos de la casa son los de las demás lecturas
    .help = revise la lectura y corríjala o quítela
F116 = la lectura de { $shown } se toma con un descuido deshecho: { $slip ->
        [hoses] las mangueras estaban cambiadas
        [inches-as-pascals] el manómetro mostraba pulgadas de agua, no pascales
        [pascals-as-inches] el manómetro mostraba pascales, no pulgadas de agua
        [cfm-as-litres] el instrumento mostraba pies cúbicos por minuto, no litros por segundo
        [litres-as-cfm] el instrumento mostraba litros por segundo, no pies cúbicos por minuto
        [ten-too-large] se escribió diez veces mayor
       *[ten-too-small] se escribió diez veces menor
    }
    .because = las demás esperan { $expected }, y todas concuerdan mucho mejor así
    .help = revise la lectura y corríjala; si no, los intervalos de la casa descansan en esta suposición
F108 = los intervalos de la casa suponen que `{ $door }` estaba { $open ->
        [yes] en posición abierta
       *[no] en posición cerrada
    }, distinto de lo anotado
    .because = las lecturas concuerdan mucho mejor así
    .help = pregunte a quien estuvo y anote el estado real

F104 = ninguna lectura entra en el ajuste
    .because = todo lo que se dice de la casa viene de los intervalos escritos en `house.toml`
    .help = mire lo que quedó fuera y conteste sus preguntas, o haga un ensayo de la envolvente
F105 = { $name }: el intervalo de { $lo } a { $hi } no deja sitio a lo que dicen las lecturas, { $found }
    .because = un intervalo es lo que se cree antes de leer; { $readings ->
        [0] todas juntas, ninguna mucho por sí sola, tiran
        [one] la lectura mostrada tira
       *[other] las { $readings } lecturas mostradas tiran
    } muy lejos de él
    .help = amplíe el intervalo si nada habla a su favor, o corrija la lectura; también puede esconderse algo que nadie dibujó
F106 = un ventilador tendría que soplar al revés para lo leído aquí
    .because = con las presiones mostradas, el aire que la casa deja pasar va contra el sentido anotado
    .help = mire el signo de las presiones, el sentido del ventilador de ensayo y lo que estaba abierto

# Preguntas y borradores de un teléfono
D101 = esto no es una pregunta que se pueda contestar: { $detail }
    .because = una pregunta es JSON con `ask` y lo que le corresponde
    .help = cargue la página otra vez; si sigue, página y motor son de versiones distintas
D102 = en esta carpeta no hay ningún ensayo de la envolvente
    .because = un borrador se hace de un ensayo de la envolvente de una visita
    .help = elija el archivo de trabajo de un ensayo
D103 = el ensayo no tiene fecha
    .because = una hoja sin fecha no prueba nada
    .help = escriba la fecha del ensayo
D104 = un punto tiene solo uno de sus dos números y se deja fuera
    .because = un punto de la recta necesita una presión y un caudal
    .help = escriba el otro número o borre la línea
D105 = la carpeta contiene más de lo que cabe en un ensayo en el teléfono
    .because = un borrador no tiene casa, lecturas sueltas ni segundo ensayo, y a lo sumo una serie en cada sentido
    .help = conserve la carpeta; lo que se escriba aquí va a una nueva
