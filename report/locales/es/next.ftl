# La elección de la próxima lectura: preguntas, qué se espera, prueba, conjuntos, recorrido, qué falta.

# $leak, $zone, $appliance
question-leak-share = parte de { $leak } en el aire que entra a 50 Pa
question-zone-share = parte del aire a 50 Pa que entra por { $zone }
question-duct-leakage = lo que los conductos pierden y toman fuera de los cuartos
question-appliance-pressure = presión junto a { $appliance }, con todos los extractores y la manejadora en marcha
question-air-change-winter = renovación de aire de los cuartos en una noche fría, sin ventiladores ni viento
question-air-change-summer = renovación de aire de los cuartos en una tarde de calor, sin ventiladores ni viento
question-plans = si el plan que más veces es el mejor lo es
# $question, $value
next-asked = Se pregunta: { $question }; ahora { $value }.
# $value, $lo, $hi
next-expected = Se espera { $value }. Por debajo de { $lo } o por encima de { $hi } es una sorpresa: pare y mire antes de seguir.
# $turn, $to, $change
next-proof = Prueba de la toma: { $turn }, y este número tiene que ir a unos { $to } (un cambio de { $change }).
# $door
next-turn-open = abra { $door }
next-turn-shut = cierre { $door }
next-turn-fan-off = pare y cierre el ventilador de ensayo
next-turn-handler-off = pare la manejadora de aire
next-turn-exhaust-off = pare los extractores
# $count, $share, $minutes
next-together = { $count ->
        [one] Una lectura dice lo que hay que decir: intervalo más estrecho en { $share }, { $minutes }.
       *[other] Las mejores { $count } juntas estrechan el intervalo en { $share }, { $minutes }:
    }
# $left, $used, $share
next-route = Recorrido para { $left }: lleva { $used }, intervalo más estrecho en { $share }.
# $words, $changeover, $reading, $share
next-route-stop = { $words }: { $changeover } para llegar, { $reading } para leer; intervalo entonces más estrecho en { $share }
next-before-fan-down = Todo lo anterior antes de bajar el ventilador.
# $left
next-route-none = Ninguna lectura que ayude cabe en { $left }.
# $count, $reasons
next-held = { $count ->
        [one] Se deja fuera { $count } lectura que despresuriza
       *[other] Se dejan fuera { $count } lecturas que despresurizan
    }: { $reasons }.
next-held-embers = un fuego arde o quedan brasas, y primero tiene que estar frío
next-held-asbestos = hay material que puede tener amianto donde se tomaría el aire, y primero tiene que mirarlo una persona con licencia
# $share
next-help-safety = Una vez resuelto eso, una de ellas estrecharía el intervalo en { $share }.
# $tool, $count, $share
next-help-tool = Con { $tool } a mano { $count ->
        [one] se podría tomar una lectura más; estrecharía
       *[other] se podrían tomar { $count } lecturas más; la mejor estrecharía
    } el intervalo en { $share }.
next-tool-gauge = un manómetro
next-tool-test-fan = un ventilador de ensayo
next-tool-hood = una campana de caudal
next-tool-plate = una placa de caudal
next-mark-open = abierta
next-mark-shut = cerrada
next-mark-test-fan = ventilador de ensayo
next-mark-on = en marcha
next-mark-feels = siente
next-mark-compared = se compara con
next-mark-read = se lee aquí
next-setup-title = Cómo está la casa para esta lectura

F111 = aquí nadie puede responder `{ $asked }`
    .because = una pregunta es una queja del encargo, los planes, o una cantidad de la casa con los nombres de `house.toml`
    .help = pregunte una de estas: { $known }
F112 = no hay muestras de la casa a las que preguntar
    .because = lo que diría una lectura se calcula sobre las casas que las lecturas permiten
    .help = mire lo que se dijo del ajuste; `airwright fit` lo muestra
F113 = { $stale ->
        [yes] los planes se vivieron con otras lecturas que las que hay ahora
       *[other] los planes aún no se han vivido
    }
    .because = qué plan es el mejor se sabe por los años vividos en cada muestra
    .help = ejecute `airwright plans` y pregunte de nuevo
F115 = un plan es el mejor en cada muestra vivida: ninguna lectura podría cambiarlo
    .because = las casas que las lecturas permiten difieren menos que los planes
    .help = si los planes se vivieron en pocas muestras, `airwright plans --draws 100` mira más
F114 = ninguna lectura de esta casa tiene que ver con `{ $question }`
    .because = en las casas que las lecturas permiten, nada de lo que se puede leer va con ella
    .help = haga otra pregunta, o dibuje en `house.toml` aquello de lo que depende
next-mask = tapar { $leak }
next-read-ducts-supply = medir la fuga de los conductos de impulsión con un comprobador de conductos y la presión de su plenum (fuera de los cuartos: la fuga al exterior)
next-read-ducts-return = medir la fuga de los conductos de retorno con un comprobador de conductos y la presión de su plenum (fuera de los cuartos: la fuga al exterior)
next-read-pans-supply = leer una bandeja sobre cada rejilla de impulsión; anotar sus áreas abiertas y la presión del plenum de impulsión
next-read-pans-return = leer una bandeja sobre cada rejilla de retorno; anotar sus áreas abiertas y la presión del plenum de retorno
next-tool-duct-tester = un comprobador de conductos
next-tool-pan = una bandeja de presión
