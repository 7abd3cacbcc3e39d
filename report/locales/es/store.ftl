# El almacén: lo que no pudo hacer y lo que dicen sus órdenes.
# Una oración, sin punto final. `.because` es la razón, `.help` es qué hacer.

K101 = este archivo no es un almacén de este programa
    .because = lo hizo otro programa, o no es una base de datos
    .help = indique otro archivo; este quedó como estaba
K102 = no hay ningún almacén `{ $path }`
    .because = nunca se hizo, o se movió
    .help = `put` hace uno
K103 = este almacén tiene la versión { $version }; este programa conoce hasta la { $known }
    .because = lo escribió un programa más nuevo y puede guardar cosas que este perdería
    .help = ábralo con aquel programa; quedó como estaba
K104 = el almacén está dañado: { $what }
    .because = seguir lo empeoraría
    .help = `recover` copia lo legible a un almacén nuevo; una copia de seguridad puede tener más
K105 = la cola del almacén está llena: esperan { $waiting } lotes, hasta ahora se rechazaron { $refused }
    .because = llega más de lo que el disco admite
    .help = envíe el lote otra vez dentro de un momento; un lote enviado dos veces cuenta una
K106 = el disco no lo admite: { $what }
    .because = está lleno, o el archivo no se puede escribir; no se guardó nada de este trabajo
    .help = haga sitio, o mire los permisos del archivo, y repítalo
K107 = quien escribe en el almacén ha terminado
    .because = un fallo anterior lo terminó; lo confirmado está guardado
    .help = abra el almacén otra vez
K108 = otro programa tiene ocupado el almacén y no lo soltó a tiempo
    .because = solo uno escribe a la vez, para que nada se pierda
    .help = termine su trabajo largo, o inténtelo otra vez
K109 = no hay ningún trabajo `{ $name }` en el almacén
    .because = los trabajos de un almacén se distinguen por su nombre
    .help = tiene: { $known ->
        [none] ninguno
       *[other] { $known }
    }
K110 = el trabajo `{ $name }` se borró
    .because = a petición de su dueño; solo queda constancia de ello
    .help = ponga el trabajo otra vez con otro nombre si su dueño lo quiere
K111 = el trabajo no tiene ningún documento `{ $path }`
    .because = los documentos se distinguen por su ruta dentro del trabajo
    .help = `history` sin ruta los enumera todos
K112 = `{ $path }` no tiene revisión { $number }; la última es la { $last }
    .because = las revisiones de un documento se cuentan desde 1
    .help = `history` las enumera
K113 = no hay nada que deshacer ni que resolver en `{ $path }`
    .because = el documento está como se puso al principio y ningún cambio suyo espera
    .help = `history` enumera las revisiones y los cambios que esperan
K114 = la ruta `{ $path }` sale del trabajo o no se puede escribir en todos los sistemas
    .because = un trabajo se puede sacar en cualquier máquina y nunca fuera de su carpeta
    .help = use nombres sencillos con `/`, sin `..`, sin dos puntos, no bajo `out`
K115 = `{ $path }`: { $why ->
        [unreadable] la línea { $line } no se puede leer como TOML ({ $what })
        [missing] no hay `{ $what }`
        [taken] ya hay un `{ $what }`
        [kind] `{ $what }` es de otra clase: un valor donde hace falta una tabla, o al revés
        [value] `{ $what }` no se puede leer como valor TOML
        [key] `{ $what }` no es una clave
        [no-value] `{ $what }` necesita clave, `=` y valor
        [no-text] no es texto en UTF-8
       *[other] { $what }
    }
    .because = un cambio se hace entero o no se hace
    .help = mire el documento como está ahora y cambie ese
K116 = no hay ninguna fuente `{ $name }`
    .because = las lecturas pertenecen a una fuente nombrada antes
    .help = `sources` las enumera
K117 = de la fuente `{ $name }` ya se dijo antes su { $field }{ $was ->
        [none] {""}
       *[other] {": "}{ $was }
    }
    .because = las lecturas se tomaron así; lo que significan no debe cambiar después
    .help = dé un nombre propio a lo que mide de nuevo
K118 = la unidad `{ $unit }` no corresponde a la magnitud `{ $quantity }`
    .because = un número no dice nada en una unidad de otra magnitud
    .help = `schema` enumera las magnitudes y sus unidades
K119 = la carpeta `{ $folder }` ni salió del trabajo `{ $job }` ni se puso antes en él
    .because = nadie sabe sobre qué revisiones está, y escribiría encima de lo que hicieron otros
    .help = saque el trabajo a una carpeta con `get` y cambie esa, o diga `--over` para que valga esta carpeta, o `--job` para hacer otro trabajo
K120 = `{ $path }`: { $why ->
        [missing] no está
        [denied] este usuario no puede leerlo o escribirlo
        [exists] ya está
        [folder] es una carpeta
        [no-folder] no es una carpeta
        [no-text] no es texto en UTF-8
        [full] no queda sitio en el disco
        [large] es demasiado grande ({ $what })
       *[other] { $what }
    }
    .because = no se pudo leer o escribir el archivo
    .help = mire su nombre, sus permisos y el espacio en el disco
K121 = la base de datos dice: { $what }
    .because = esto no debería pasar
    .help = revise el almacén con `check` y guarde el mensaje
K130 = no se incluyó: { $names }
    .because = los archivos ocultos, los enlaces y los nombres que no se pueden escribir en todos los sistemas no son parte de un trabajo
    .help = dé un nombre sencillo a lo que pertenece al trabajo y póngalo otra vez
K131 = el nombre de `{ $path }` es la huella de otros bytes
    .because = los adjuntos se distinguen por su huella
    .help = póngale la suya, o mire si el archivo se cambió
K132 = `{ $path }`{ $key ->
        [none] {""}
       *[other] {", "}`{ $key }`
    } se cambió por los dos lados: primero `{ $theirs }`, luego `{ $mine }`
    .because = no se pierde ninguno: vale el primero, el segundo se guarda con el documento (número { $number })
    .help = `settle` toma el segundo o lo deja ir
K133 = no se pudo salvar: { $what }
    .because = el daño lo alcanza
    .help = tómelo de una copia de seguridad, si la hay
K134 = se encontró: { $what }
    .because = las sumas propias del almacén no concuerdan con lo que contiene
    .help = haga una copia del archivo como está y luego `recover`
K135 = las copias del almacén no se alcanzan
    .because = las copias de seguridad y las carpetas hechas antes aún tienen los bytes
    .help = bórrelas usted

store-put = { $job }: { $new } revisiones nuevas, { $merged } reunidas, { $same } como estaban
store-put-refused = no se cambió nada: { $count } campos se cambiaron por los dos lados
store-job = { $name }: { $documents } documentos, { $revisions } revisiones, { $kb } kB{ $conflicts ->
        [0] {""}
       *[other] {", "}{ $conflicts } cambios por resolver
    }
store-job-erased = { $name }: borrado { $when }
store-none = todavía nada
store-got = { $count } documentos en { $path }
store-revision = { $when }, { $path } { $number }: { $what ->
        [put] puesto
        [edit] cambio
        [merge] reunido
        [undo] deshace { $undoes }
       *[remove] quitado
    }, { $size } bytes, { $author } ({ $device })
store-waiting = { $when }, { $path }, número { $number }: un cambio de { $author } sobre la revisión { $base } espera a que se resuelva
store-kept = revisión { $number }
# $number, $path
store-kept-first = revisión { $number }: el trabajo no tenía `{ $path }` antes
store-kept-merged = revisión { $number }, reunida con lo que hubo entre medias
store-same = la revisión { $number } ya lo dice
store-backed-up = una copia de { $kb } kB en { $path }
store-sound = en orden: versión { $version }, { $contents } contenidos como estaban
store-recovered = salvado: { $jobs } trabajos, { $revisions } revisiones, { $readings } lecturas
store-erased = borrado: { $what }
store-source = { $name }: { $readings } lecturas{ $held ->
        [0] {""}
       *[other] {", "}{ $held } esperan a que se describa
    }
store-described = { $name }: { $complete ->
        [yes] sus lecturas cuentan
       *[no] aún no se sabe todo de ella; sus lecturas se guardan y no cuentan
    }
