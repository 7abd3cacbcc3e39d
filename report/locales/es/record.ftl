# Partes del informe completo y sus fotos.

record-part-complaint = Quejas
record-part-results = Resultados de los ensayos
record-part-findings = Hallazgos
record-part-fit = La casa como se conoce, con su dibujo
record-part-plans = Planes y trabajo por hacer
record-part-readings = Lecturas frente al modelo, y la siguiente
record-part-photos = Fotos
record-part-sources = Instrumentos y quién los leyó
record-left-out = Fuera de esta copia porque alguien lo pidió así: { $parts }. Lo que toca a la seguridad está en todas las copias.

photos-title = Fotos
photos-of = Visita del { $date }
photo-no-words = Foto sin descripción
photo-missing = La foto «{ $photo }» no se muestra: no está entre los archivos del trabajo, pasa de 2 MB, o no es JPEG ni PNG.
photo-changed = La foto «{ $photo }» no se muestra: sus bytes no son los que dice su nombre.

S112 = la foto `{ $photo }` no se puede mostrar en un documento
    .because = No está entre los archivos del trabajo, pasa de 2 MB, o no es JPEG ni PNG.
    .help = Ponga el archivo donde dice la visita, o quite la entrada.
S113 = la foto `{ $photo }` no es la que se anotó
    .because = Una foto lleva por nombre el SHA-256 de sus bytes, y estos bytes tienen otro.
    .help = Recupere el original, o anote la foto de nuevo.

question-complaint = queja { $number }: «{ $words }»

K190 = esta foto no se acepta
    .because = Una foto es JPEG o PNG y lleva por nombre el SHA-256 de sus bytes; estos bytes o este nombre son otra cosa.
    .help = Tome o elija la foto de nuevo en la página de la visita.
