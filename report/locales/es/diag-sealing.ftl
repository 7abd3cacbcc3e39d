# Sesión de sellado, y cambio entre dos ensayos.
# Una frase, sin punto final. `.because` es la razón, `.help` es qué hacer.

L101 = { $found ->
        [0] ninguna lectura de esta sesión se puede usar
        [one] solo una lectura de esta sesión se puede usar
       *[other] solo { $found } lecturas de esta sesión se pueden usar
    }
    .because = un nivel y su dispersión necesitan al menos tres lecturas
    .help = anote presión y caudal cada minuto, o regístrelos
L102 = la reparación `{ $what }` no se puede situar en el registro
    .because = está fuera de las lecturas, o tan cerca de la reparación anterior que ninguna lectura las separa
    .help = corrija su hora, o ponga las dos reparaciones bajo un nombre
L103 = `{ $found }` no es una hora que se pueda situar en esta sesión
    .because = una hora del día necesita una serie con fechas y horas
    .help = escriba los minutos desde la primera lectura, como `12 min`, o una hora como `10:12` junto a una serie que tenga horas
L104 = un exponente de { $found } está fuera de 0.5 a 1
    .because = el aire por agujeros fluye con un exponente entre el de un orificio y el de un capilar
    .help = corríjalo, o quítelo
L105 = la lectura { $reading } de esta sesión no se puede llevar a 50 Pa; se deja fuera
    .because = la presión está por debajo de 10 Pa, o el caudal no es mayor que cero
    .help = mantenga el ventilador a una presión estable cerca de 50 Pa
L106 = no hay ningún ensayo de envolvente calculado `{ $name }`
    .because = un cambio necesita dos ensayos de envolvente con un caudal a 50 Pa
    .help = { $near ->
        [none] nombre un ensayo, o una visita y su ensayo como `2026-11-12/envelope`; hay: { $known }
       *[other] ¿quiso decir `{ $near }`?
    }
L107 = `{ $found }` no es ni una parte ni un caudal
    .because = el criterio es la menor bajada que cuenta como éxito
    .help = escríbalo como `15 %` o como `200 cfm`
