# Ensayos de conductos y de la manejadora de aire.
# Los nombres son partes de una línea: sin mayúscula ni punto final. Las notas son frases.

quantity-floor-leakage = una fuga por superficie de suelo
quantity-static-pressure = una presión estática
quantity-duct-speed = una velocidad de aire en un conducto
quantity-heat-flow = un flujo de calor

test-duct-leakage = fuga de conductos
figure-duct-25 = fuga total a 25 Pa
figure-duct-25-outdoors = fuga al exterior a 25 Pa
figure-duct-25-supply = lado de impulsión, total a 25 Pa
figure-duct-25-supply-outdoors = lado de impulsión, al exterior a 25 Pa
figure-duct-25-return = lado de retorno, total a 25 Pa
figure-duct-25-return-outdoors = lado de retorno, al exterior a 25 Pa
figure-duct-25-run = fuga a 25 Pa
figure-duct-exponent = exponente de caudal
figure-duct-per-floor = fuga total por superficie de suelo
figure-duct-per-floor-outdoors = fuga al exterior por superficie de suelo
figure-duct-of-handler = fuga total entre caudal de la manejadora
figure-duct-of-handler-outdoors = fuga al exterior entre caudal de la manejadora
figure-duct-operating-supply = fuga de impulsión en marcha, total
figure-duct-operating-supply-outdoors = fuga de impulsión en marcha, al exterior
figure-duct-operating-return = fuga de retorno en marcha, total
figure-duct-operating-return-outdoors = fuga de retorno en marcha, desde el exterior
figure-duct-split-gap = impulsión y retorno menos el conjunto
check-duct-limit = fuga total de conductos
check-duct-limit-outdoors = fuga de conductos al exterior
note-duct-not-reached = { $run }: los conductos llegaron a { $pressure } como máximo; la fuga a 25 Pa está extrapolada.
note-duct-house-closed = { $run }: la casa no estaba a la presión exterior, así que parte de las fugas sintió otra presión; abra una puerta o una ventana.
note-duct-null = { $run }: entre conductos y casa pudo haber hasta { $pressure }, y en ello participaron fugas hacia la casa; cuánto, lo diría un ensayo total.
note-duct-directions = Soplar y aspirar discrepan más allá de sus intervalos: algo se movió, como un sello, una compuerta o un revestimiento suelto.
note-duct-split = Impulsión y retorno no suman el conjunto: la barrera fugó, o algo cambió entre los ensayos.
note-duct-tap = La presión de los conductos se leyó { $place ->
        [supply-plenum] en el plénum de impulsión
        [return-plenum] en el plénum de retorno
        [near-register] en una rejilla cercana a la manejadora
        [far-register] en la rejilla más alejada del ventilador de ensayo
       *[at-fan] en el ventilador de ensayo
    }; otros lugares pueden diferir en { $share } de ella { $read ->
        [yes] (como se leyó allí)
       *[no] (supuesto, nadie los leyó)
    }, lo que está en los intervalos.
note-duct-exponent = Donde los puntos son pocos, el exponente de caudal se toma como { $n } (de memoria de ASTM E1554 y ANSI/RESNET/ICC 380).
note-duct-summed = El conjunto es la suma de impulsión y retorno.
note-duct-no-split = No se midió cómo se reparte la fuga entre impulsión y retorno.
note-duct-operating-total = La fuga en marcha es de la fuga total: lo que va a los cuartos no se pierde.
note-duct-half-plenum = La fuga en marcha toma las fugas a la mitad de la presión del plénum (ASHRAE 152, de memoria); el intervalo va de un cuarto a tres cuartos.

test-pressure-pans = bandejas de presión
figure-pan = bandeja, llevada a 50 Pa
figure-pan-ratio = área de fuga entre área abierta
check-pan = bandeja
note-pan-blunt = { $zone } estaba a menos de la mitad de la presión de la casa: las bandejas en esa zona dicen poco; ábrala al exterior y léalas otra vez.
note-pan-zone = No se leyó la presión en la zona de algunos conductos; se suponen a la presión exterior, y marcan de menos donde no lo están.
note-pan-connected = Comunicadas con el exterior: { $registers }.
note-pan-detached = Más fuga que conducto abierto, como donde un tramo se ha soltado: { $registers }. Mírelas primero.
note-pan-no-flow = Las bandejas dicen qué tramo mirar, no cuánto se fuga.

test-dominant-leak = fuga dominante de conductos
figure-handler-shift = presión de la casa, manejadora en marcha menos apagada
figure-net-duct-leak = fuga al exterior, impulsión menos retorno
note-dominant-doors = Las puertas interiores estaban cerradas: los cuartos cerrados también mueven la presión de la casa.
note-dominant-intake = El conducto de aire exterior al retorno estaba abierto: actúa como una fuga del retorno.
note-dominant-supply = La impulsión fuga más al exterior (probabilidad { $chance }): la casa pierde aire con la manejadora en marcha. Las diferencias se dispersan { $noise }.
note-dominant-return = El retorno fuga más (probabilidad { $chance }): la casa toma aire por él con la manejadora en marcha. Las diferencias se dispersan { $noise }.
note-dominant-few = No se puede saber: hacen falta al menos tres repeticiones, apagada y en marcha.
note-dominant-unclear = No se puede saber: las diferencias se dispersan { $noise }, tanto como el efecto de la manejadora, o ambos lados fugan por igual (probabilidad de que la impulsión fugue más: { $chance }).
note-dominant-net = El caudal es orientativo: si el cambio es pequeño frente a tiro y viento, puede ser mayor.

test-delivery-effectiveness = eficacia de entrega de los conductos
figure-delivery = eficacia de entrega
figure-delivery-tight = la misma sin fugas
figure-delivery-insulated = la misma sin conducción
figure-register-temperature = aire en las rejillas
figure-supply-plenum-temperature = aire en el plénum de impulsión
figure-return-plenum-temperature = aire en el plénum de retorno
note-delivery-form = Marcha estable en la forma de ASHRAE 152 (de memoria); lo que los cuartos recuperan no está incluido.
note-delivery-sensible = Solo calor sensible: el aire húmedo que entra por el retorno cuesta más que esto.

test-duct-leakage-by-difference = fuga de conductos por diferencia
figure-sealed-difference = rejillas abiertas menos selladas, a 50 Pa
figure-sealed-share = lo mismo como parte del ensayo abierto
figure-duct-50-difference = fuga de conductos al exterior a 50 Pa
figure-duct-25-difference = fuga de conductos al exterior a 25 Pa
note-difference-unclear = La diferencia no se distingue de nada al { $level }: mida los conductos mismos.
note-difference-negative = Más fuga con rejillas selladas que con abiertas: otra cosa cambió entre los ensayos.
note-difference-factor = Los conductos sellados siguieron fugando desde la casa; lo que pasó por ellos se sigue de su presión.
note-difference-low = Los conductos sellados siguieron fugando desde la casa, así que esto es lo mínimo que puede ser; su presión frente a la casa diría el resto.

test-static-pressure = presiones estáticas
figure-external-static = presión estática externa
figure-static-flow = caudal según la tabla del fabricante
note-static-table = La tabla del fabricante no da caudal: la presión a la que se refiere no se leyó, o está fuera de sus extremos.
figure-static-return-side = en el lado de retorno
figure-static-supply-side = en el lado de impulsión
figure-drop-return-ducts = caída de los conductos de retorno
figure-drop-filter = caída del filtro
figure-drop-coil = caída de la batería
figure-drop-supply-ducts = caída de los conductos de impulsión
figure-filter-of-rated = filtro entre estática externa nominal
check-external-static = presión estática externa
note-box-both-in = Filtro y batería están dentro de la caja nominal: sus caídas entraron en los datos nominales y no son externas.
note-box-filter-in = El filtro está dentro de la caja nominal: su caída entró en los datos nominales; lo que queda fuera cuenta como externo.
note-box-coil-in = La batería está dentro de la caja nominal: su caída entró en los datos nominales; lo que queda fuera cuenta como externo.
note-box-none-in = Todo salvo la caja nominal cuenta como externo: conductos, filtro y batería, donde los haya.
note-coil-dry = No se dijo que la batería estuviera mojada: una batería mojada toma más presión.
check-running-time = tiempo desde el arranque
note-steady-untold = Nadie dijo cuánto necesita el equipo para estabilizarse.
note-not-run-in = El equipo no había funcionado bastante tiempo: de estas lecturas no se decide nada.
note-modulating = El equipo podía cambiar su potencia, así que no se conoce ningún estado: manténgalo en una potencia fija y lea otra vez.
note-motor-airflow = El motor mantiene el caudal: un filtro que se carga se nota en vatios y velocidad, no en caudal.
note-motor-torque = El motor mantiene su par: un filtro que se carga baja un poco el caudal.
note-motor-fixed = El motor tiene devanados fijos: un filtro que se carga baja el caudal.
note-motor-unknown = No se dijo la clase de motor: decide si un filtro que se carga se nota en caudal o en vatios.
note-motor-watts-missing = Lea también la potencia del ventilador, para tener con qué comparar la próxima vez.

test-handler-flow = caudal de la manejadora
figure-handler-flow = caudal
figure-handler-flow-standard = la misma masa como aire estándar
figure-flow-per-capacity = caudal estándar por capacidad nominal
figure-power-per-flow = potencia por caudal
figure-hoods-supply = suma de las rejillas de impulsión
figure-hoods-return = suma de las rejillas de retorno
figure-plenum-correction = corrección por presiones del plénum
figure-temperature-rise = salto de temperatura
figure-mean-speed = velocidad media
check-traverse-quality = lecturas sobre un décimo de la mayor presión dinámica
check-straight-before = conducto recto antes del plano, en diámetros
check-straight-after = conducto recto después del plano, en diámetros
check-flow-per-capacity = caudal por capacidad
check-power-per-flow = potencia por caudal
note-sea-level = No se conoce ni barómetro ni altitud: el aire se toma al nivel del mar.
note-plate-far = La corrección por presiones del plénum está fuera de 0.9 a 1.2, donde suele darse por buena (de memoria).
note-matching-return = El ventilador estuvo en lugar del retorno: lo que los conductos de retorno fugan o resisten no está incluido.
note-rise-fuel = El calor de un horno de combustible no se midió: el caudal es tan dudoso como su potencia.
note-rise-one-place = El aire caliente se leyó en un solo lugar: un plénum de impulsión rara vez está mezclado, y el intervalo no lo sabe.
note-traverse-below-zero = { $count ->
        [one] { $count } lectura está bajo cero y cuenta
       *[other] { $count } lecturas están bajo cero y cuentan
    } como sin caudal: el aire se vuelve en este plano.
note-traverse-one-line = Una sola línea en un conducto redondo no ve un perfil ladeado: lea otra que la cruce.
note-traverse-slow = El aire va a menos de 2 m/s (400 ft/min): las presiones dinámicas son demasiado pequeñas para un tubo de Pitot.
note-hoods = La suma mayor vale por la manejadora: las fugas entre rejillas y manejadora no están incluidas.

test-coil-capacity = capacidad de la batería
figure-coil-total = calor total tomado del aire
figure-coil-sensible = sensible
figure-coil-latent = latente
figure-coil-heat = calor dado al aire
figure-coil-heat-sensible = sensible
figure-coil-water = agua tomada
figure-sensible-share = parte sensible
figure-coil-split = diferencia de temperatura
note-coil-wetter = El aire sale con más agua de la que traía: la batería se seca, o una humedad está mal leída.
note-coil-charge = Esto no dice nada del refrigerante: la carga la juzga un técnico con licencia.
note-coil-blower = El calor del ventilador está incluido si el ventilador queda entre los dos lugares.
