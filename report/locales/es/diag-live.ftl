# Fuentes en vivo y a quién se avisa: códigos L.

L131 = `{ $unit }` no es una unidad de `{ $quantity }`
    .because = un número en otra unidad se leería como otra cosa
    .help = escriba la unidad de los números que se envían, como `{ $one }` o `{ $other }`
L132 = la fuente `{ $name }` necesita `topic` o `path`, uno de los dos
    .because = un mensaje llega por un bróker o se envía aquí, y solo uno de los dos puede ser la fuente
    .help = escriba `broker` y `topic` para MQTT, o `path` para lo que se envía por HTTP
L133 = `{ $key }` no debe estar en este documento
    .because = los documentos se copian, se envían y se guardan; un secreto escrito en ellos deja de serlo
    .help = escriba `{ $key }_file` o `{ $key }_env` con el nombre del archivo o de la variable de entorno que lo guarda, y cambie el secreto, porque estuvo escrito aquí
L134 = `{ $one }` y `{ $other }` nombran ambos un secreto
    .because = solo uno puede ser el correcto
    .help = quite una de las dos líneas
L135 = `{ $found }` no es un tema como los de MQTT
    .because = `+` va solo entre barras, `#` solo al final, y ninguno va en un tema en el que se publica
    .help = escríbalo como lo muestra el bróker, por ejemplo `house/+/air`
L136 = no hay ningún bróker con el nombre `{ $name }`
    .because = de dónde vienen los mensajes se escribe en una tabla propia
    .help = { $near ->
        [none] añada una tabla `[broker.{ $name }]` con su `address`
       *[other] ¿quiso decir `{ $near }`?
    }
L137 = esta fuente se envía por HTTP, pero nada escucha
    .because = solo se reciben envíos donde el documento lo dice
    .help = añada una tabla `[posts]` con `listen` y `token_file` o `token_env`
L138 = `{ $found }` no es una dirección
    .because = hacen falta un anfitrión y un puerto
    .help = escriba los dos, como `127.0.0.1:1883` o `broker.home:8883`
L139 = `{ $name }` y `{ $first }` son el mismo valor del mismo mensaje
    .because = una lectura contaría dos veces
    .help = cambie `value` o `topic` de una de las dos, o quítela
L140 = `{ $found }` no es una dirección de esta máquina ni de su propia red
    .because = las lecturas se reciben solo de la red de la casa
    .help = escriba `127.0.0.1` o el número de esta máquina en la red de la casa
L141 = los envíos necesitan una contraseña de acceso (token)
    .because = sin ella cualquiera en la red podría enviar lecturas
    .help = añada `token_file` o `token_env`; quien envía la muestra como `Authorization: Bearer ...`
L142 = la contraseña de `{ $name }` va por la red sin cifrar
    .because = la conexión no está cifrada
    .help = ponga `tls = true` y use el puerto cifrado del bróker, a menudo 8883
L143 = `{ $key }` no es una dirección que se pueda usar
    .because = empieza con `https://` (o `http://` solo en esta máquina) y no contiene usuario, contraseña ni espacios
    .help = corrija la dirección; un secreto va en un archivo o en una variable de entorno
L144 = `{ $found }` no es una dirección de correo
    .because = hacen falta un nombre, una `@` y un anfitrión
    .help = escríbala como `nombre@example.org`, sin nombre visible
L145 = el correo a `{ $found }` iría sin cifrar
    .because = sin cifrado el correo se entrega solo a un servidor de esta máquina
    .help = use `tls = "starttls"` o `tls = "whole"`
L146 = el secreto `{ $name }` no se puede leer: { $why ->
        [missing] no hay tal archivo
        [denied] este usuario no puede leerlo
        [not-set] la variable de entorno no está puesta
        [long] es demasiado largo para un secreto
        [no-line] no contiene un secreto de una línea
        [no-text] no es texto en UTF-8
        [folder] es una carpeta
       *[other] { $what }
    }
    .because = sin él no se puede escuchar ni avisar a nadie
    .help = póngalo donde dice `watch.toml`, legible para el usuario del programa, o corrija allí el nombre
L147 = no se puede escuchar en `{ $address }`: { $why ->
        [in-use] otro programa ya lo hace
        [denied] este usuario no puede
        [not-here] esta máquina no tiene esa dirección
       *[other] { $what }
    }
    .because = allí se reciben las lecturas enviadas, como dice `[posts]`
    .help = termine el otro programa, o escriba otra dirección `listen` en `[posts]`
L148 = una entrada no se puede abrir: { $what }
    .because = nada llegaría por ella
    .help = mire su tabla en `watch.toml`
