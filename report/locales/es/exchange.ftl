# Empaquetar un trabajo, exportarlo, y lo que una exportación no puede llevar.
# Una oración, sin punto final. `.because` es la razón, `.help` es qué hacer.

O140 = no se incluyó en el paquete: { $names }
    .because = los archivos ocultos, los enlaces y los nombres que no se pueden escribir en todos los sistemas no son parte de un trabajo
    .help = dé un nombre sencillo a lo que pertenece al trabajo y empaquételo otra vez
O141 = no se puede leer nada en `{ $path }`
    .because = no es un paquete, o el daño lo alcanza todo
    .help = busque otra copia
# $name, $why
O142 = perdido: `{ $name }` ({ $why })
    .because = lo que no concuerda con su suma no se entrega como entero
    .help = tómelo de otra copia
O143 = el paquete no tiene lista de sumas, o está dañada
    .because = cada archivo se comparó solo con su propia suma corta, y nadie sabe si falta alguno
    .help = revise la carpeta y compárela con otra copia
O144 = rechazado: `{ $name }` ({ $why })
    .because = un paquete ajeno no debe escribir fuera de su carpeta, llenar el disco ni reemplazar un archivo
    .help = pregunte a quien lo hizo
O145 = solo en parte: `{ $name }` ({ $why })
    .because = lo que se pudo leer está junto a los documentos como `{ $name }.damaged`, que ningún comando lee
    .help = tómelo de otra copia, o revise lo que hay
O146 = el paquete tiene el formato { $found }, más nuevo que los que este programa conoce
    .because = lo escribió un programa más nuevo; sus archivos se sacaron como están
    .help = use ese programa para el trabajo
O147 = el índice del paquete está dañado; los archivos se buscaron uno por uno
    .because = falta el final del archivo, o se cambiaron bytes
    .help = compárelo con otra copia
O148 = no está en esta forma: { $names }
    .because = { $why ->
        [unit] el registro de la forma no tiene unidad para ello
        [time] la forma necesita una hora con fecha y zona, y no se anotó
       *[other] la forma no tiene lugar para ello
    }
    .help = { $where ->
        [extension] está en la extensión, donde solo mira este programa
       *[other] el paquete del trabajo lo lleva todo
    }
O149 = no hay nada en este trabajo que la forma pueda llevar
    .because = no tiene lecturas ni resultados de esa clase
    .help = vea en docs/EXCHANGE.md qué lleva cada forma

pack-why-missing = no está en el archivo
pack-why-changed = sus bytes no son los que se empaquetaron
pack-why-broken = sus datos no se pueden leer hasta el final
pack-why-name = su nombre sale de la carpeta o no se puede escribir en todos los sistemas
pack-why-twice = su nombre ya estaba
pack-why-link = es un enlace o un dispositivo
pack-why-size = es demasiado grande
pack-why-method = está cifrado o en una compresión que no se lee
pack-why-unlisted = no está en la lista de sumas
# $count, $path
pack-packed = { $count ->
        [one] { $count } archivo empaquetado
       *[other] { $count } archivos empaquetados
    }, con sumas: { $path }
pack-unpacked = { $count ->
        [one] { $count } archivo desempaquetado
       *[other] { $count } archivos desempaquetados
    }, cada uno como dice su suma: { $path }
pack-unpacked-unlisted = { $count ->
        [one] { $count } archivo desempaquetado
       *[other] { $count } archivos desempaquetados
    }: { $path }
# $count
exchange-exported = { $count ->
        [one] se exportó { $count } dato
       *[other] se exportaron { $count } datos
    }
