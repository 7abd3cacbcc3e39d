# Palabras de los documentos y de los textos cortos.

estimate-range = { $value }, intervalo del { $level } de { $lo } a { $hi }
estimate-no-range = { $value }, sin intervalo: { $reason }
from-to = { $lo } a { $hi }
no-interval-typed = anotado sin instrumento
no-interval-assumed = supuesto
no-interval-few = demasiado pocos puntos
no-interval-exact = exacto
no-interval-not-computed = no se pudo calcular
no-interval-not-defined = la norma no da ninguno

terminal-because = porque
terminal-help = ayuda
terminal-and = y
terminal-count = { $errors ->
        [one] { $errors } error
       *[other] { $errors } errores
    }, { $warnings ->
        [one] { $warnings } aviso
       *[other] { $warnings } avisos
    }, { $notes ->
        [one] { $notes } nota
       *[other] { $notes } notas
    }
