# Reglas de control: códigos R.
# Una oración, sin punto final. `.because` es la razón, `.help` es lo que hay que hacer.

R101 = esta condición no se puede leer: { $detail }
    .because = las condiciones se escriben en CEL, el lenguaje común de expresiones
    .help = compare una señal con una cantidad escrita, como `bedroom.co2 > q("1000 ppm")`
R102 = esta casa no tiene la señal `{ $name }`
    .because = se conocen aquí: { $known }
    .help = { $near ->
        [none] use una de las señales conocidas; docs/RULES.md dice qué tiene cada zona y cada aparato
       *[other] ¿quiso decir `{ $near }`?
    }
R103 = { $left } y { $right } no pueden encontrarse aquí
    .because = solo se comparan o suman números de la misma clase
    .help = compare cada uno con una cantidad escrita de su propia clase
R104 = las reglas no usan esta parte del lenguaje: { $what }
    .because = una regla debe funcionar en un controlador, en un tiempo conocido y sin memoria propia
    .help = use comparaciones, `&&`, `||`, `!`, `? :`, `+ - * /`, `in` y `q("...")`
R105 = esto es un número donde hace falta una condición
    .because = una condición es verdadera o falsa
    .help = compare el número con algo
R106 = esto es una condición donde hace falta un número
    .because = verdadero y falso no se comparan por tamaño ni se suman
    .help = una las condiciones con `&&` o `||`
R107 = este número no tiene unidad; aquí hace falta { $wanted }
    .because = un número sin unidad podría significar cualquier cosa
    .help = escríbalo como `q("...")` con una de estas unidades: { $wanted_units }
R108 = nada dice qué clase de cantidad es esta
    .because = una cantidad escrita toma su clase de la señal con que se encuentra
    .help = compárela con una señal o súmela a una
R109 = los valores medidos nunca son del todo iguales
    .because = { $quantity } se mide con ruido, así que esto se cumpliría por azar
    .help = use `<=` o `>=`
R110 = un número entero en una suma
    .because = el lenguaje divide los enteros de otra manera que los números con punto
    .help = escríbalo con punto, como `2.0`
R111 = esta casa no tiene ningún aparato `{ $name }` que una regla pueda ajustar
    .because = { $known ->
        [none] no nombra ningún ventilador, compuerta, manejadora ni deshumidificador
       *[other] se conocen aquí: { $known }
    }
    .help = { $near ->
        [none] use uno de los aparatos conocidos o añádalo a `house.toml` o a un plan
       *[other] ¿quiso decir `{ $near }`?
    }
R112 = lo que la casa debe está escrito dos veces y distinto
    .because = hay una sola deuda para toda la casa
    .help = deje una sola tabla `[exposure]`
R113 = la regla `{ $rule }` puede funcionar como máximo { $most }, pero funciona al menos { $least }
    .because = no se pueden cumplir las dos cosas
    .help = acorte `min_on` o alargue `most_on`
R114 = la regla `{ $rule }` frena la ventilación por la humedad relativa exterior
    .because = el aire frío al 100 % seca la casa y el aire cálido al 60 % puede humedecerla
    .help = compare `outdoor.humidity_ratio` o `outdoor.dew_point` con el interior
R115 = la regla `{ $rule }` deja sin ventilación hasta { $most } al día
    .because = mientras tanto se acumula lo que las personas emiten
    .help = deje un mínimo, como `floor = "20 %"`
R116 = la regla `{ $rule }` debe ventilación, pero nada dice cuánta debe tener la casa
    .because = una deuda que no se cuenta se olvida
    .help = añada una tabla `[exposure]` con `target` e `infiltration`
R117 = la regla `{ $rule }` nunca puede actuar
    .because = su condición no se cumple con ningún valor que sus señales puedan tener
    .help = busque un límite imposible o límites que se excluyen entre sí
R118 = la condición de la regla `{ $rule }` se cumple siempre
    .because = se cumple con todos los valores que sus señales pueden tener
    .help = escriba `true` si eso es lo que se quiere
R119 = la regla `{ $rule }` nunca termina
    .because = `off_when` no se cumple con ningún valor que sus señales puedan tener
    .help = corrija `off_when` o quítelo: la regla termina entonces cuando `on_when` deja de cumplirse
R120 = `on_when` y `off_when` de la regla `{ $rule }` pueden cumplirse a la vez
    .because = ocurre con { $example }; lo que termina una regla es más fuerte, así que allí sigue apagada
    .help = deje un margen entre las dos
R121 = las reglas `{ $other }` y `{ $rule }` se disputan `{ $device }`
    .because = ambas pueden estar activas con ajustes distintos, como con { $example }
    .help = dé a una mayor `priority` o separe sus condiciones
R122 = las reglas `{ $other }` y `{ $rule }` dejan `{ $device }` en reposo al { $second } y al { $first }
    .because = con igual prioridad ninguna cuenta más
    .help = indique `off` solo en una
R123 = `{ $device }` es una extracción de seguridad, que ninguna regla ni orden puede tocar
    .because = alguien depende de que funcione
    .help = elija otro aparato
R124 = una condición de la regla `{ $rule }` es demasiado larga o profunda
    .because = tiene que funcionar en poco espacio
    .help = divídala en dos reglas
R125 = dos reglas se llaman `{ $rule }`
    .because = la segunda reemplazaría a la primera sin que nadie lo note
    .help = dele otro nombre
R126 = este trabajo no tiene reglas
    .because = las reglas están en `rules/*.toml` del trabajo
    .help = imprima un conjunto listo con `airwright rules JOB --ready bath` y guárdelo en `rules/`
R131 = `{ $device }` no se puede mandar: no tiene horario propio
    .because = debe seguir cuando no llega ninguna orden
    .help = ponga un horario en el aparato e indíquelo: `fallback` y `fallback_hours`
R132 = `{ $device }` no se puede mandar: nada dice cuánto espera una orden, o espera demasiado
    .because = un silencio debe notarse en { $most }
    .help = ponga un latido en el aparato e indíquelo: `heartbeat`
R133 = `{ $device }` no se puede mandar: un silencio lo dejaría sin ventilar
    .because = una conexión perdida no debe costarle aire a nadie
    .help = haga que vuelva a ventilar e indique la proporción: `on_loss`
R134 = `{ $device }` no se puede mandar: lo podría sentir un aparato que toma su aire de los cuartos
    .because = mover aire en la casa puede invertir el tiro de una chimenea
    .help = una persona calificada prueba el revoco con el aparato al máximo, y lo que escribió se anota como `permission`
R141 = la columna `{ $name }` no es una señal de esta casa y se omite
    .because = las columnas se llaman como las señales
    .help = { $near ->
        [none] use un nombre que usen las reglas, como `bedroom.co2`
       *[other] ¿quiso decir `{ $near }`?
    }
R142 = las reglas leen además señales sin columna aquí: { $names }
    .because = están en un valor usual, en que no pasa nada
    .help = añada las columnas donde importen
# Planes y reglas en el año
R143 = el ventilador da { $rise } tal como se encontró y su límite declarado es { $limit }: el límite debe quedar por encima
    .because = en su límite un ventilador no mueve aire, así que no puede trabajar en él ni más allá
    .help = compruebe `rise`, `shut_off` y `up_to` de `[air_handler.blower]` con la hoja del ventilador
R144 = el filtro y el retorno toman { $drops }, el ventilador da { $rise } tal como se encontró: la manejadora de aire no tiene punto de trabajo y su caudal se toma como se encontró
    .because = lo que toman las partes del retorno es parte de lo que da el ventilador
    .help = compruebe `drop`, `at` y `loading` del filtro, `suction` del conducto y `rise` del ventilador: todos son los de la manejadora tal como se encontró
R145 = se da la caída del filtro y el archivo de la casa no conoce el ventilador (`[air_handler.blower]`): el caudal de la manejadora se mantiene
    .because = sin el ventilador nadie sabe cómo responde su caudal a más presión
    .help = añada `[air_handler.blower]` con su motor y la presión que da
R147 = las horas del archivo de clima van { $of_weather } h por delante de UTC y las de `{ $zone }`, { $of_zone } h: la gente viviría en otra parte de su día
    .because = el clima llega por sus propias horas y la gente vive según el reloj de la zona
    .help = compruebe `time_zone` en `job.toml` y que el archivo de clima sea el del lugar
R149 = el modelo y las facturas no concuerdan en { $part ->
        [electricity] la electricidad de calefacción, refrigeración y manejadora
       *[other] lo que se quema para calefacción
    } en un año usual: { $model } y { $bills }, { $ratio } veces tanto; la energía se muestra ajustada a las facturas, con la diferencia en su intervalo
    .because = el modelo y las facturas hablan del mismo clima; las consignas, las costumbres, los rendimientos o el aislamiento difieren de lo escrito
    .help = compruebe consignas, rendimiento y superficies en `house.toml`, y el nombre y el poder calorífico del combustible en las facturas
R150 = las facturas no dicen qué sigue al clima: la energía de los planes es solo la del modelo
    .because = el uso base y la temporada no se distinguen, o las facturas no muestran pendiente
    .help = añada facturas hasta completar un año, con meses sin calefacción, y un archivo de clima
