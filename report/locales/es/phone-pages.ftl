# Lo que dicen las páginas del teléfono. Ninguna clave lleva argumentos; las páginas ponen los números al lado.

phone-page-app = Airwright
phone-page-app-line = Un ensayo de hermeticidad, de la puerta a la hoja

# Las tres páginas del borde inferior; ocho letras como máximo.
phone-page-bar-tests = Ensayos
phone-page-bar-books = Libros
phone-page-bar-device = Equipo
phone-page-bar-label = Páginas

# Ensayos en este dispositivo.
phone-page-tests-title = En este dispositivo
phone-page-tests-none = Todavía no hay ensayos. Lo que escribe queda en este dispositivo, también sin red.
phone-page-tests-new = Ensayo nuevo
phone-page-tests-import = Traer una carpeta de trabajo
phone-page-tests-import-help = Un archivo zip o los archivos de la carpeta
phone-page-tests-unnamed = Lugar todavía sin nombre
phone-page-tests-closed = cerrado
phone-page-tests-running = todavía no cerrado
phone-page-tests-exported = ya llevado
phone-page-tests-not-exported = solo en este dispositivo
phone-page-tests-remind = Estos ensayos terminados están solo en este dispositivo. Lléveselos antes de que se pierda o se borre.
phone-page-tests-remove = Quitar de este dispositivo
phone-page-tests-remove-sure = ¿Quitarlo con todas sus revisiones? No hay vuelta atrás.
phone-page-tests-remove-yes = Quitar
phone-page-tests-import-failed = No se pudo leer como carpeta de trabajo de un solo ensayo.
phone-page-tests-imported = Traído como ensayo nuevo.
phone-page-tests-last-change = último cambio

# Pasos de un ensayo.
phone-page-step-word = Paso
phone-page-of = de
phone-page-step-all = Todos los pasos
phone-page-step-back = Atrás
phone-page-step-next = Siguiente
phone-page-step-profile = Norma
phone-page-step-place = Lugar y casa
phone-page-step-instruments = Instrumentos
phone-page-step-preparation = Preparación
phone-page-step-baseline = Línea base
phone-page-step-points = Puntos
phone-page-step-after = Después de los puntos
phone-page-step-restore = Dejar como estaba
phone-page-step-sheet = Hoja
phone-page-step-done = hecho
phone-page-step-open = todavía no
phone-page-step-lacks = falta

# 1 Norma.
phone-page-profile-lead = ¿Qué norma pide este ensayo?
phone-page-profile-direction = Sentido del ventilador
phone-page-depressurise = Despresurizar
phone-page-depressurise-help = El ventilador saca aire de la casa. Su presión queda por debajo de la exterior; se escribe sin signo.
phone-page-pressurise = Presurizar
phone-page-pressurise-help = El ventilador mete aire en la casa. Su presión queda por encima de la exterior.
phone-page-profile-second = Y después el otro sentido
phone-page-profile-second-help = Las dos series forman un ensayo; el resultado es la media de ambas.
phone-page-profile-second-held = El segundo sentido tiene números y se queda.
phone-page-run-depressurise = En depresión
phone-page-run-pressurise = En presión
phone-page-profile-units = Unidades de lo que escribe
phone-page-units-ip = EE. UU.: ft, °F, cfm
phone-page-units-si = SI: m, °C, m³/h
phone-page-units-fixed = Las unidades no cambian una vez escritos números, para que ningún número cambie de sentido.
phone-page-profile-language = Idioma de la hoja

# 2 Lugar y casa.
phone-page-place-from-book = Del libro de lugares
phone-page-place-name = Lugar o nombre del trabajo
phone-page-place-altitude = Altitud
phone-page-place-limit = Límite adoptado
phone-page-place-limit-help = El número que ha adoptado la autoridad de aquí para el resultado de esta norma. Déjelo vacío si no lo hay.
phone-page-place-limit-source = Dónde está escrito este límite
phone-page-place-limit-confirmed = He leído este límite en ese texto
phone-page-place-limit-confirmed-help = Un límite que nadie ha leído en su fuente no decide nada.
phone-page-place-other-units = La altitud de esta entrada se escribió en las otras unidades: escríbala aquí.
phone-page-house-lead = La casa
phone-page-house-volume = Volumen
phone-page-house-floor-area = Superficie de suelo
phone-page-house-envelope-area = Superficie de la envolvente
phone-page-house-height = Altura
phone-page-house-height-help = Del suelo más bajo al techo más alto dentro de la envolvente
phone-page-house-basement = ¿Forma parte el sótano de estos números?
phone-page-basement-in = Está dentro
phone-page-basement-out = Está fuera
phone-page-basement-none = No hay sótano
phone-page-house-includes = Qué más incluyen o dejan fuera estos números

# 3 Instrumentos y ensayador.
phone-page-instruments-lead = Qué mide presión y caudal, y quién ensaya
phone-page-gauge = Manómetro
phone-page-fan = Ventilador de ensayo y su indicador de caudal
phone-page-from-book = Del libro
phone-page-instrument-label = Nombre que se lee
phone-page-instrument-accuracy = Exactitud según su certificado
phone-page-gauge-accuracy-help = Por ejemplo: 1 % or 0.25 Pa. Déjelo vacío si nadie la conoce: entonces no hay veredicto.
phone-page-fan-accuracy-help = Por ejemplo: 4 %. Déjelo vacío si nadie la conoce: entonces no hay veredicto.
phone-page-instrument-serial = Número de serie
phone-page-instrument-calibrated = Calibrado el
phone-page-gauge-baseline = ¿Quita este manómetro la línea base por sí mismo?
phone-page-gauge-subtracts = Sí, la resta
phone-page-gauge-shows-raw = No, muestra la presión tal cual
phone-page-fan-shows = El caudal que muestra es
phone-page-fan-calibration-density = caudal a la densidad de su calibración
phone-page-fan-actual-density = caudal del aire que hay
phone-page-fan-through-envelope = caudal a través de la envolvente
phone-page-fan-reference-conditions = caudal en las condiciones de referencia de la norma
phone-page-fan-density = Densidad de su calibración
phone-page-fan-density-help = Según su certificado
phone-page-fan-fan-pressure = la presión en el ventilador
phone-page-fan-add = Añadir un ventilador
phone-page-fan-remove = Quitar este ventilador
phone-page-fans-help = Todos los ventiladores funcionan a la vez, cada uno con su columna. El que está sellado en un punto muestra 0.
phone-page-fan-short = Vent.
phone-page-calibration = Calibración
phone-page-calibration-kind = Su certificado la da como
phone-page-calibration-equation = una ecuación
phone-page-calibration-table = una tabla
phone-page-calibration-flow = Caudal con 1 Pa en el ventilador
phone-page-calibration-exponent = Exponente
phone-page-calibration-low = Vale desde
phone-page-calibration-high = hasta
phone-page-calibration-table-help = Vale entre su presión menor y la mayor.
phone-page-range = Rango
phone-page-range-name = Nombre de este rango
phone-page-range-name-help = Con sus palabras, por ejemplo: anillo grande
phone-page-range-add = Añadir un rango
phone-page-range-remove = Quitar este rango
phone-page-points-fan-pressure = Presión del ventilador
phone-page-basis = Qué significa esto
phone-page-keep-in-book = Guardar en el libro
phone-page-kept-in-book = Guardado en el libro
phone-page-tester = Ensayador
phone-page-tester-name = Nombre
phone-page-tester-credential = Acreditación
phone-page-firm = Membrete
phone-page-firm-none = Aún sin membrete
phone-page-firm-name = Empresa
phone-page-firm-address = Dirección
phone-page-firm-phone = Teléfono
phone-page-firm-licence = Licencia o acreditación de la empresa

# 4 Preparación.
phone-page-preparation-lead = Cómo está cada abertura durante el ensayo. Se guarda con él y se imprime en la hoja.
phone-page-preparation-usual = Poner todo como suele pedirlo esta norma
phone-page-preparation-usual-word = lo usual
phone-page-preparation-differs = no es lo usual
phone-page-open = abierta
phone-page-closed = cerrada
phone-page-sealed = sellada
phone-page-preparation-none = Esta norma no tiene lista aquí.
phone-page-preparation-undo = Deshacer

# 5 Línea base, 6 Puntos, 7 Después.
phone-page-baseline-lead = Ventilador parado y tapado. Escriba lo que muestra el manómetro, una lectura tras otra, con su signo.
phone-page-baseline-reading = Lectura de línea base
phone-page-baseline-shared = Lo leído después del primer sentido vale también antes de este. Léalo otra vez si ha pasado un rato.
phone-page-point = Punto
phone-page-points-house = Presión de la casa
phone-page-points-fan = Caudal del ventilador
phone-page-points-table = Todos los puntos
phone-page-points-done = Basta, seguir
phone-page-after-lead = Ventilador otra vez parado y tapado. La misma línea base una vez más, y luego el tiempo.
phone-page-after-baseline = Línea base después
phone-page-after-indoor = Temperatura interior
phone-page-after-outdoor = Temperatura exterior
phone-page-after-indoor-rh = Humedad interior
phone-page-after-outdoor-rh = Humedad exterior
phone-page-after-wind = Viento
phone-page-after-barometer = Presión del aire por barómetro
phone-page-after-barometer-help = Solo si lo tiene en el lugar. Sin él se usa la altitud.
phone-page-reading-none = vacío

# El teclado numérico.
phone-page-pad = Teclado numérico
phone-page-pad-next = Siguiente
phone-page-pad-back = Borrar la última cifra
phone-page-pad-sign = Cambiar el signo
phone-page-pad-point = Coma decimal
phone-page-pad-before = Entrada anterior

# Estado de lo escrito.
phone-page-kept = guardado
phone-page-keeping = guardando
phone-page-not-kept = sin guardar
phone-page-storage-full = Este dispositivo no admite lo que escribe: su memoria está llena o cerrada. Nada se pierde mientras esta página siga abierta. Llévese el ensayo ahora, haga sitio y pruebe otra vez.
phone-page-storage-none = Este navegador no da memoria a esta página. Lo escrito se pierde al cerrarla: llévese antes el ensayo.
phone-page-storage-retry = Probar otra vez
phone-page-storage-export = Llevarse el ensayo ahora
phone-page-engine-failed = La parte que calcula no arrancó. Lo que escribe se guarda de todos modos.
phone-page-engine-retry = Arrancarla otra vez
phone-page-loading = Cargando

# La respuesta mientras gira el ventilador.
phone-page-answer = La respuesta hasta ahora
phone-page-answer-none = El intervalo aparece con el tercer punto.
phone-page-answer-lacks = Para la respuesta falta
phone-page-answer-limit = límite
phone-page-answer-others = También de estos puntos
phone-page-picture-title = El intervalo de la respuesta, más estrecho de punto en punto
phone-page-picture-table = Lo mismo en una tabla
phone-page-picture-points = puntos
phone-page-picture-value = valor
phone-page-picture-from = de
phone-page-picture-to = a
phone-page-residuals = Cuánto se aparta cada punto de la recta
phone-page-residuals-point = punto
phone-page-advice = Qué hacer ahora
phone-page-second = s
phone-page-checks = Lo que pide la norma
phone-page-check-holds = se cumple
phone-page-check-failed = no se cumple
phone-page-check-undecided = sin decidir
phone-page-check-found = hallado
phone-page-check-wanted = pedido
phone-page-extrapolated = extrapolado a la presión del resultado
phone-page-pass = cumple
phone-page-fail = no cumple
phone-page-too-close = demasiado justo para decidir
phone-page-limit-not-confirmed = límite sin confirmar

# Una lectura que se contradice.
phone-page-challenge = Mire otra vez
phone-page-challenge-right = Está bien
phone-page-challenge-change = Cambiarla

# 8 Dejar como estaba.
phone-page-restore-lead = Lo que la preparación alteró. El ensayo se cierra completo solo con todas las líneas marcadas.
phone-page-restore-none = La preparación no alteró nada que haya que devolver a su estado.
phone-page-restore-left = por dejar como estaba
phone-page-restore-complete = Todo está como estaba.

# 9 Hoja.
phone-page-sheet-lead = Léala, fírmela, entréguela.
phone-page-sheet-none = A la hoja le faltan algunos números.
phone-page-sheet-preview = La hoja como se imprimirá
phone-page-sheet-print = Imprimir
phone-page-sheet-share = Compartir la hoja
phone-page-sheet-save = Guardar la hoja
phone-page-sheet-job = Llevarse la carpeta de trabajo
phone-page-sheet-job-help = Un archivo zip con todo lo escrito, legible en cualquier ordenador
phone-page-sheet-close = Cerrar el ensayo
phone-page-sheet-closed = Este ensayo está cerrado y completo.
phone-page-sheet-reopen = Abrirlo otra vez
phone-page-sheet-cannot-close = Todavía no se puede cerrar

# El día del ensayo, junto a la hoja.
phone-page-day-of-test = Día del ensayo
phone-page-day-help = Según el reloj de este dispositivo al empezar el ensayo; la hoja lo lleva
phone-page-day-doubt = ¿Es este el día del ensayo? Las lecturas se escribieron en otro, o se cambió el reloj de este dispositivo.
phone-page-day-clock = Días de las lecturas según este dispositivo:
phone-page-day-right = es correcto

# Libros.
phone-page-books-title = Libros
phone-page-books-lead = Se escribe una vez y sirve en todos los ensayos de este dispositivo.
phone-page-books-places = Lugares
phone-page-books-gauges = Manómetros
phone-page-books-fans = Ventiladores de ensayo
phone-page-books-testers = Ensayadores
phone-page-books-firms = Membretes
phone-page-books-none = Aquí todavía no hay nada.
phone-page-books-add = Añadir
phone-page-books-change = Cambiar
phone-page-books-remove = Quitar
phone-page-books-undo = Deshacer
phone-page-books-removed = Quitado.
phone-page-books-limit-for = Límite para
phone-page-books-done = Hecho

# Dispositivo.
phone-page-device-title = Este dispositivo
phone-page-device-language = Idioma
phone-page-device-units = Unidades de los ensayos nuevos
phone-page-device-theme = Pantalla
phone-page-theme-auto = como el dispositivo
phone-page-theme-light = clara
phone-page-theme-dark = oscura
phone-page-theme-sun = sol
phone-page-device-storage = Memoria
phone-page-storage-persisted = El navegador ha prometido no vaciar esta memoria por su cuenta.
phone-page-storage-may-clear = El navegador puede vaciar esta memoria si falta sitio. Llévese los ensayos terminados.
phone-page-storage-ask = Pedir memoria duradera
phone-page-device-offline = Sin red
phone-page-offline-ready = Todo está en este dispositivo; no hace falta red.
phone-page-offline-not-yet = Todavía no está listo para usarse sin red: cargue la página otra vez.
phone-page-offline-never = Este navegador o esta dirección no permite el uso sin red.
phone-page-device-about = Acerca de
phone-page-about-text = Airwright trabaja solo en este dispositivo. Nada de lo que escribe sale de él si no se lo lleva o lo comparte.
phone-page-about-version = Versión
phone-page-install = Instalar en este dispositivo
phone-page-device-version = Versiones nuevas
phone-page-version-look = Buscar una versión nueva
phone-page-version-looking = Buscando …
phone-page-version-newest = Esta es la versión más nueva.
phone-page-version-failed = Sin respuesta: sin red no se encuentra ninguna versión nueva.
phone-page-new-version = Hay una versión nueva.
phone-page-new-version-take = Tomarla
phone-page-new-version-later = Más tarde
phone-page-skip = Al contenido
phone-page-close = Cerrar
phone-page-yes = Sí
phone-page-no = No
phone-page-optional = puede quedar vacío
phone-page-on-this-page = En esta página
