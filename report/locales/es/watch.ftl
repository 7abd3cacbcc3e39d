# La vigilancia de una casa.
# Las oraciones empiezan con mayúscula y terminan con punto; lo demás es parte de una línea.

watch-monoxide-title = Monóxido de carbono
watch-traces-title = Trazas
watch-alerts-title = Avisos
watch-events-title = Sucesos
watch-nights-title = Noches y salidas
watch-filters-title = Filtros
watch-debts-title = Ventilación debida y reglas
# $time, $trace, $value, $level, $source
watch-monoxide-tell = { $time } { $trace }: { $value }; nivel publicado { $level } ppm ({ $source }): avise a todos en la casa, busque la fuente, ventile; un profesional autorizado revisa los aparatos fijos.
watch-monoxide-stop = { $time } { $trace }: { $value }; nivel publicado { $level } ppm ({ $source }): abra ventanas y puertas, apague enseguida toda fuente posible; un profesional autorizado revisa los aparatos fijos.
watch-monoxide-leave = { $time } { $trace }: { $value }; nivel publicado { $level } ppm ({ $source }): todos salen de la casa; llame a emergencias desde fuera.
watch-no-alarm = Debe haber alarmas certificadas de monóxido de carbono. Esta pantalla es adicional y puede fallar.
# $measured, $expected, $range
watch-trace-in = { $measured }, se espera { $expected } (95 %: { $range })
# $measured, $expected, $range
watch-trace-out = { $measured }, se espera { $expected } (95 %: { $range }), fuera
# $measured
watch-trace-learning = { $measured }, todavía se aprende lo habitual
watch-no-model = Nada se espera de los cuartos: hace falta una casa ajustada y su tiempo.
# $of, $value
watch-alert-change = { $of }: se apartó de lo esperado, en { $value } de media.
# $of, $value
watch-alert-silence = { $of }: no envía nada desde hace { $value }.
# $of, $value
watch-alert-below-outdoors = { $of }: { $value } en su mínimo de una semana, por debajo del aire exterior; léalo fuera (420 a 430 ppm).
# $of, $value
watch-alert-filter = { $of }: su filtro llegó a su límite, { $value } veces su resistencia limpia.
# $of, $value
watch-alert-debt = Ventilación debida: { $value } de una exposición de más.
# $count
watch-false = De tales avisos se esperan { $count } al mes en una casa donde nada pasa.
# $time
watch-quiet = Ninguno en lo que se muestra; las lecturas terminan el { $time }.
watch-learns = Contra lo habitual se juzga solo tras cuatro semanas de lecturas; antes se avisa de monóxido de carbono, silencio, CO2 por debajo del exterior y filtros.
watch-event-lasts = sigue
# $time
watch-event-ended = hasta { $time }
# $time
watch-event-usual = tomado como habitual desde { $time }
# $trace, $by, $months
watch-moved = { $trace }: { $by } de media; tanto por azar una vez en { $months } meses
watch-no-causes = No se dice qué causa encaja mejor: hacen falta una casa ajustada y dos horas de lecturas.
watch-where-is-the-filter = ¿Dónde está el filtro (antes de la toma, después, en ella) y qué motor mueve el ventilador? Hasta que esté en `watch.toml` solo se puede decir que cambió el caudal, la presión o la potencia.
# $device
watch-cause-stopped = { $device }: no mueve aire
# $device, $lost
watch-cause-weak = { $device }: mueve cerca de { $lost } menos aire
# $device
watch-cause-runs = { $device }: no se apaga
# $a, $b
watch-cause-door-open = { $a } – { $b }: la puerta queda abierta
# $a, $b
watch-cause-door-shut = { $a } – { $b }: la puerta queda cerrada
# $zone, $area
watch-cause-window = { $zone }: una ventana está abierta, unos { $area }
# $into, $share
watch-cause-duct = un conducto de impulsión se soltó, cerca del { $share } del caudal va a otro sitio: { $into }
# $zone, $count
watch-cause-people = { $zone }: más personas, unas { $count }
# $more
watch-cause-smoke = humo fuera, unos { $more } más
watch-cause-no-heat = la calefacción o el frío no da nada
# $device, $load
watch-cause-filter = { $device }: su filtro se cargó a unas { $load } veces su resistencia limpia
# $trace, $by
watch-cause-sensor = { $trace }: el sensor se movió unos { $by } frente a los demás
watch-cause-other = otra cosa
# $rate, $baseline
watch-decay = tras salir la gente, { $rate }; hacia { $baseline }
# $rate, $baseline
watch-decay-between = tras salir la gente, { $rate }; hacia { $baseline }; otro cuarto subió entretanto: una parte es intercambio entre cuartos
# $plateau, $rate
watch-build-up = meseta { $plateau }, renovación { $rate }.
# $plateau, $rate
watch-build-up-open = meseta no alcanzada, extrapolada { $plateau }, renovación { $rate }.
# $source
watch-source = La gente emite { $source }.
# $with, $across, $outdoor
watch-exchange = con { $with }: { $across } en cada sentido, aire exterior a ambos { $outdoor }, suponiendo que no había nadie
# $excess
watch-moisture = agua sobre el exterior { $excess }
# $mean, $least
watch-pressure = frente al exterior { $mean } de media, hora mínima { $least }
watch-never = no se prevé
watch-from-flow = por su caudal
watch-from-drop = por la presión a través de él
watch-from-power = por la potencia del ventilador
# $device, $trace, $load, $lo, $hi, $due, $from, $to, $what
watch-filter = { $device }: { $load } veces la resistencia limpia (90 %: { $lo } a { $hi }), toca el { $due } (90 %: { $from } a { $to }), { $what } ({ $trace })
# $relative, $owed
watch-debt = exposición relativa { $relative }, debida { $owed } de una exposición de más

# Alertas con la frecuencia de las que vienen por nada, y reglas sobre lecturas en vivo.
# $count
watch-false-kind = unos { $count } avisos falsos de este tipo al mes
# Solo $count, un número entero
watch-false-month = más o menos un aviso falso de este tipo al mes
watch-false-months = más o menos un aviso falso de este tipo en { $count } meses
watch-false-years = más o menos un aviso falso de este tipo en { $count } años
watch-false-rare = menos de un aviso falso de este tipo en { $count } años
watch-false-none = no hay azar en ella: dice lo que hay
# $time
watch-rules-at = Lo que las reglas habrían hecho hasta { $time }; no se manda nada.
# $rule, $device, $share, $time
watch-rule-sets = { $rule }: activa desde { $time }, pondría { $device } al { $share }
watch-rule-holds = { $rule }: activa desde { $time }, limitaría { $device } al { $share }
watch-rule-off = { $rule }: inactiva desde { $time }
watch-rule-never = { $rule }: inactiva desde que se vigila
watch-rule-lost = se perdió una señal, cuenta su posición de fallo
# $owed
watch-rule-owes = por ella se deben { $owed } de una exposición de más
# $device, $share
watch-device-set = { $device } quedaría al { $share }
watch-device-free = { $device } seguiría su propio horario
# $share
watch-device-held = bloqueado por encima del { $share }
