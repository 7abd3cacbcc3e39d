# The practice house: what a step cannot do, what it says, and the reveal.

S101 = the practice house cannot be used: { $what }
    .because = a learner must not stand in front of a house that does not hold
    .help = put the document right: docs/PRACTICE.md describes it
S102 = this folder is no practice visit, or its visit is missing
    .because = the record `practice.toml` or the visit's document is not there
    .help = `airwright practice new DIR` makes one
S103 = the seal of `practice.toml` is broken
    .because = what was sealed was changed, and nobody knows any more what the house hides
    .help = take the file from a copy, or begin anew with the same seed
# $found, $looks
S104 = nobody understands the reading `{ $found }`
    .because = a reading is `A compared with B` or `flow of A`, then what is touched for it behind `;`
    .help = write, say, `attic compared with outdoors; attic_hatch = open`, or one of: { $looks }
# $needs, $left
S105 = this takes { $needs } minutes and { $left } are left
    .because = a visit has an end, and what is not known by then is not known
    .help = take something nearer to where everything stands, or hand in the diagnosis
# $what, $known, $why
S106 = `{ $what }` cannot be taken here
    .because = { $why ->
        [tool] no instrument of this visit takes it
        [look] nobody has looked for fuel yet
        [network] the air of the house has no solution there: { $known }
       *[unknown] the house has nothing of that name
    }
    .help = { $why ->
        [look] `look for fuel` first
        [unknown] it has: { $known }
       *[other] take another reading
    }
S107 = this house was revealed already
    .because = a reading after the truth teaches nothing
    .help = begin anew, with another seed
# $name, $near, $known
S108 = no cause is called `{ $name }`{ $near ->
        [none] {""}
       *[other] {"; did you mean"} `{ $near }`
    }
    .because = a diagnosis names causes by the words of the list
    .help = the words are: { $known }
S109 = no cause is named yet
    .because = a diagnosis is handed in before the truth is shown
    .help = write `diagnosis.toml`, then `airwright practice answer DIR`
# $name, $known
S110 = there is no practice house `{ $name }`
    .because = those that come with the program have names; a teacher's own is given by its file
    .help = take one of: { $known }
# $detail
S111 = the scope could not be lived through in the true house{ $detail ->
        [none] {""}
       *[other] {": "}{ $detail }
    }
    .because = a change names something that the house has not, or changes do not fit each other
    .help = write the changes as in `plans.toml`

# $left
practice-begins = You have { $left }.
practice-how = Take readings with `airwright practice take`, write diagnosis.toml, hand it in with `practice answer`, then `practice reveal`. `airwright next` and `fit` work here as on any job.
practice-left = Left: { $left }.
# $what, $shown, $minutes
practice-saw-value = { $what }: { $shown } ({ $minutes }).
practice-saw-co = Carbon monoxide in the air: { $shown } ({ $minutes }).
practice-saw = { $what }: { $shown } ({ $minutes }).
practice-saw-nothing = { $what }: nothing found ({ $minutes }).
# $causes
practice-handed-in = Handed in: { $causes }.
practice-causes = What was the matter
# $label, $seen_by
practice-cause-found = found: { $label }.
practice-cause-missed = missed: { $label }{ $seen_by ->
        [none] .
       *[other] {". One sees it so: "}{ $seen_by }.
    }
practice-cause-wrong = named and not so: { $label }.
practice-hazards = Hazards
# $label, $step, $what
practice-hazard-past = walked past: { $label } (step { $step }, `{ $what }`).
practice-hazard-scope = walked past: { $label } (work was ordered and it was never measured).
practice-hazard-seen = looked for in time: { $label } (step { $step }).
practice-hazard-unseen = never looked for: { $label }; nothing was done that it forbids.
# $question, $before, $after, $truth
practice-question = { $question }: before the visit { $before }, after it { $after }{ $truth ->
        [none] .
       *[other] {"; in truth "}{ $truth }.
    }
practice-steps = What each step was worth (share of the question's variance removed)
# $step, $what, $shown, $minutes, $share
practice-step = { $step }. { $what }: { $shown }, { $minutes }{ $share ->
        [none] .
       *[other] {", "}{ $share }.
    }
practice-would = At the door these told most for each minute
# $what, $minutes, $share
practice-would-one = { $what } ({ $minutes }): { $share }.
practice-scope = The scope, lived through a year in the true house
# $what, $found, $after, $met
practice-lived = { $what }: as found { $found }, after it { $after }{ $met ->
        [yes] ; the limit is kept.
        [no] ; the limit is not kept.
       *[other] .
    }
# $reasons
practice-held = The scope would be held: { $reasons }.
# $seed
practice-again = The same house again: --seed { $seed }.
