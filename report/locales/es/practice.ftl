# La casa de práctica: lo que un paso no puede hacer, lo que dice, y la verdad al final.

S101 = la casa de práctica no sirve: { $what }
    .because = nadie debe estudiar una casa que no se sostiene
    .help = corrija el documento: docs/PRACTICE.md lo describe
S102 = esta carpeta no es una visita de práctica, o falta su visita
    .because = no está el registro `practice.toml` o el documento de la visita
    .help = `airwright practice new DIR` hace una
S103 = el sello de `practice.toml` está roto
    .because = se cambió lo sellado, y ya nadie sabe qué esconde la casa
    .help = tome el archivo de una copia, o empiece otra vez con la misma semilla
# $found, $looks
S104 = nadie entiende la lectura `{ $found }`
    .because = una lectura es `A compared with B` o `flow of A`, y detrás de `;` lo que se toca para ella
    .help = escriba por ejemplo `attic compared with outdoors; attic_hatch = open`, o una de: { $looks }
# $needs, $left
S105 = esto lleva { $needs } minutos y quedan { $left }
    .because = una visita tiene un final, y lo que entonces no se sabe no se sabe
    .help = tome algo más cercano a como está todo, o entregue el diagnóstico
# $what, $known, $why
S106 = `{ $what }` no se puede tomar aquí
    .because = { $why ->
        [tool] ningún instrumento de esta visita lo toma
        [look] nadie ha buscado combustible todavía
        [network] el aire de la casa no tiene solución ahí: { $known }
       *[unknown] la casa no tiene nada con ese nombre
    }
    .help = { $why ->
        [look] primero `look for fuel`
        [unknown] tiene: { $known }
       *[other] tome otra lectura
    }
S107 = la verdad de esta casa ya se mostró
    .because = una lectura después de la verdad no enseña nada
    .help = empiece otra vez, con otra semilla
# $name, $near, $known
S108 = ninguna causa se llama `{ $name }`{ $near ->
        [none] {""}
       *[other] {"; ¿quiso decir"} `{ $near }`?
    }
    .because = un diagnóstico nombra las causas con las palabras de la lista
    .help = las palabras son: { $known }
S109 = todavía no se nombró ninguna causa
    .because = el diagnóstico se entrega antes de mostrar la verdad
    .help = escriba `diagnosis.toml` y luego `airwright practice answer DIR`
# $name, $known
S110 = no hay casa de práctica `{ $name }`
    .because = las del programa tienen nombre; la propia de quien enseña se da por su archivo
    .help = tome una de: { $known }
# $detail
S111 = el plan de obra no se pudo vivir en la casa verdadera{ $detail ->
        [none] {""}
       *[other] {": "}{ $detail }
    }
    .because = un cambio nombra algo que la casa no tiene, o los cambios no van juntos
    .help = escriba los cambios como en `plans.toml`

# $left
practice-begins = Tiene { $left }.
practice-how = Tome lecturas con `airwright practice take`, escriba diagnosis.toml, entréguelo con `practice answer` y luego `practice reveal`. `airwright next` y `fit` sirven aquí como en cualquier trabajo.
practice-left = Quedan: { $left }.
# $what, $shown, $minutes
practice-saw-value = { $what }: { $shown } ({ $minutes }).
practice-saw-co = Monóxido de carbono en el aire: { $shown } ({ $minutes }).
practice-saw = { $what }: { $shown } ({ $minutes }).
practice-saw-nothing = { $what }: no se encontró nada ({ $minutes }).
# $causes
practice-handed-in = Entregado: { $causes }.
practice-causes = Qué tenía la casa
# $label, $seen_by
practice-cause-found = hallado: { $label }.
practice-cause-missed = no hallado: { $label }{ $seen_by ->
        [none] .
       *[other] {". Se ve así: "}{ $seen_by }.
    }
practice-cause-wrong = nombrado sin ser así: { $label }.
practice-hazards = Peligros
# $label, $step, $what
practice-hazard-past = se pasó por alto: { $label } (paso { $step }, `{ $what }`).
practice-hazard-scope = se pasó por alto: { $label } (se ordenó obra y nunca se midió).
practice-hazard-seen = se buscó a tiempo: { $label } (paso { $step }).
practice-hazard-unseen = nunca se buscó: { $label }; no se hizo nada de lo que prohíbe.
# $question, $before, $after, $truth
practice-question = { $question }: antes de la visita { $before }, después { $after }{ $truth ->
        [none] .
       *[other] {"; en verdad "}{ $truth }.
    }
practice-steps = Qué valió cada paso (parte de la varianza de la pregunta que quitó)
# $step, $what, $shown, $minutes, $share
practice-step = { $step }. { $what }: { $shown }, { $minutes }{ $share ->
        [none] .
       *[other] {", "}{ $share }.
    }
practice-would = En la puerta, esto decía más por minuto
# $what, $minutes, $share
practice-would-one = { $what } ({ $minutes }): { $share }.
practice-scope = El plan de obra, vivido un año en la casa verdadera
# $what, $found, $after, $met
practice-lived = { $what }: como se halló { $found }, después { $after }{ $met ->
        [yes] ; se cumple el límite.
        [no] ; no se cumple el límite.
       *[other] .
    }
# $reasons
practice-held = El plan de obra quedaría retenido: { $reasons }.
# $seed
practice-again = La misma casa otra vez: --seed { $seed }.
