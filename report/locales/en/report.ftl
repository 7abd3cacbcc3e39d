# Words of documents and of short texts.

estimate-range = { $value }, { $level } range { $lo } to { $hi }
estimate-no-range = { $value }, no interval: { $reason }
from-to = { $lo } to { $hi }
no-interval-typed = typed without instrument
no-interval-assumed = assumed
no-interval-few = too few points
no-interval-exact = exact
no-interval-not-computed = could not be computed
no-interval-not-defined = the standard states none

terminal-because = because
terminal-help = help
terminal-and = and
terminal-count = { $errors ->
        [one] { $errors } error
       *[other] { $errors } errors
    }, { $warnings ->
        [one] { $warnings } warning
       *[other] { $warnings } warnings
    }, { $notes ->
        [one] { $notes } note
       *[other] { $notes } notes
    }
