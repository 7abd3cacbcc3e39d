# Sesión de sellado, y cambio entre dos ensayos de la envolvente.

test-sealing-session = sesión de sellado
figure-leakage-now = fuga a 50 Pa ahora
figure-leakage-start = fuga a 50 Pa al comienzo
figure-leakage-since-start = bajada desde el comienzo
figure-leakage-to-target = falta hasta la meta
figure-repair-worth = valor a 50 Pa
figure-repair-per-minute = por minuto de cuadrilla
figure-smallest-seen = menor agujero que dos minutos antes y después mostrarían hoy
check-sealing-line = fuga a 50 Pa
# $what: the repair; $most: the largest it can have been
note-repair-hidden = { $what }: menor que el viento de hoy, menos de { $most } a 50 Pa.
# $what: what is due
note-sealing-line = La casa está en la línea, o cerca de ella: { $what }.
note-sealing-combustion = La casa quedó más hermética y en ella un aparato quema combustible: una persona cualificada repite hoy los ensayos de combustión, antes de que nadie se vaya.
note-sealing-not-inspected = Nadie ha anotado una búsqueda de combustible en esta casa: una persona cualificada mira antes de seguir el trabajo.
note-sealing-exponent = El paso a 50 Pa usa un exponente de { $exponent }, medido en otras casas; un ensayo de varias estaciones da el de esta.

test-change = cambio entre dos ensayos
figure-change-flow50 = cambio de la fuga a 50 Pa
figure-change-share = cambio como parte del primer ensayo
check-change = cambio a 50 Pa
# $first, $second: names of the tests
note-change-of = De { $first } a { $second }.
# $criterion: the least fall, as text
note-change-criterion = Criterio, fijado antes del resultado: bajar al menos { $criterion }.
note-change-chance = Probabilidad de que se cumpla el criterio: { $chance }.
note-change-chance-high = Probabilidad de que se cumpla el criterio: más del 99 %.
note-change-chance-low = Probabilidad de que se cumpla el criterio: menos del 1 %.
note-change-met = Se cumple.
note-change-not-met = No se cumple.
note-change-too-close = Demasiado justo para decidir.
# $plain: outcome of comparing the two numbers alone
note-change-plain-met = Los dos números solos, sin su incertidumbre: se cumple.
note-change-plain-not-met = Los dos números solos, sin su incertidumbre: no se cumple.
note-change-shared = Los mismos instrumentos hicieron ambos ensayos; su propio error está en los dos y desaparece del cambio.
note-change-apart = Instrumentos distintos hicieron los ensayos; el error de cada uno está en el cambio.
note-change-withheld = Sin veredicto, porque las condiciones difieren.
note-change-accepted = Las condiciones difieren; quien ensayó dice por qué no importa: { $why }
note-change-differs-direction = El sentido del ventilador difiere.
note-change-differs-standard = La norma difiere: { $first } frente a { $second }.
note-change-differs-method = El método de preparación difiere: { $first ->
        [none] no anotado
       *[other] { $first }
    } frente a { $second ->
        [none] no anotado
       *[other] { $second }
    }.
note-change-differs-opening = { $opening } estaba { $first ->
        [none] no anotado
       *[other] { $first }
    } en el primer ensayo y { $second ->
        [none] no anotado
       *[other] { $second }
    } en el segundo.

test-guarded-unit = ensayo de una unidad con y sin presión en las vecinas
figure-guarded-share = parte de la fuga que va a las vecinas
figure-guarded-outdoors = fuga al exterior a 50 Pa
figure-guarded-party = fuga a las vecinas a 50 Pa
figure-guarded-whole = fuga total a 50 Pa
figure-guarded-per-floor = fuga al exterior por superficie de suelo
note-guarded-contradiction = Se midió más aire solo hacia el exterior que por todo el conjunto: los dos ensayos se contradicen; compruebe si las vecinas se mantuvieron a la misma presión.
