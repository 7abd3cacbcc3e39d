# La vigilancia.
# Una oración, sin punto final. `.because` es la razón, `.help` es qué hacer.

L121 = `{ $name }` no es una traza de esta casa
    .because = una traza es un lugar y lo que se mide allí: una zona, `outdoor`, un aparato o una puerta que se abre, y `temp`, `rh`, `co2`, `pm25`, `co`, `pressure`, `flow`, `intake_flow`, `power`, `filter_drop`, `on`, `people`, `open` o `wind`
    .help = nombre la columna como en `bedroom.co2 ppm`, con los nombres de house.toml
L122 = esta serie no tiene fechas
    .because = la vigilancia compara con el tiempo y las costumbres de esa hora
    .help = llame `time` a la primera columna y escriba fechas y horas locales
L123 = no hay ninguna serie que vigilar
    .because = la vigilancia recorre `watch/*.csv` y las series junto a visitas cuyas columnas se llaman como en `bedroom.co2 ppm`
    .help = ponga al menos un archivo así en el trabajo
L124 = nada se espera de los cuartos
    .because = una expectativa necesita una casa ajustada y su tiempo; lo que muestran los aparatos se vigila por sí solo
    .help = añada house.toml, lecturas de una visita, y `weather` en `[place]`
L125 = la casa no tiene ningún aparato `{ $name }`; se conocen: { $known }
    .because = un filtro se conoce por las trazas de su ventilador
    .help = escriba el nombre de un ventilador de house.toml, o `air_handler`
L126 = la casa no se puede simular: { $error }
    .because = sin expectativa no hay vigilancia
    .help = trabaje primero el trabajo (`airwright work`) y corrija lo que diga
