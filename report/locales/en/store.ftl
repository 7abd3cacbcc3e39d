# The keeping store: what it could not do, and what its commands say.
# One sentence, no full stop. `.because` is the reason, `.help` is what to do.

K101 = this file is no store of this program
    .because = another program made it, or it is no database
    .help = name another file; it was left as it is
K102 = there is no store `{ $path }`
    .because = it was never made, or it was moved
    .help = `put` makes one
K103 = this store has version { $version }; this program knows up to { $known }
    .because = a newer program wrote it and may keep things that this one would lose
    .help = open it with that program; it was left as it is
K104 = the store is damaged: { $what }
    .because = going on would make it worse
    .help = `recover` copies what can be read to a new store; a back-up may hold more
K105 = the queue of the store is full: { $waiting } batches wait, { $refused } were refused so far
    .because = more comes than the disk takes
    .help = send the batch again in a moment; a batch sent twice counts once
K106 = the disk does not take it: { $what }
    .because = it is full, or the file may not be written; nothing of this piece of work was kept
    .help = make room, or look at the permissions of the file, and do it again
K107 = the writer of the store has ended
    .because = an earlier fault ended it; what was acknowledged is kept
    .help = open the store again
K108 = another program holds the store and did not let go in time
    .because = one writes at a time, so that nothing is lost
    .help = end its long work, or try again
K109 = there is no job `{ $name }` in the store
    .because = jobs of a store are told by their name
    .help = it has: { $known ->
        [none] no job
       *[other] { $known }
    }
K110 = the job `{ $name }` was erased
    .because = at its owner's request; only the record of it is left
    .help = put the job in again under another name if its owner wants that
K111 = the job has no document `{ $path }`
    .because = documents are told by their path within the job
    .help = `history` without a path lists all
K112 = `{ $path }` has no revision { $number }; the last is { $last }
    .because = revisions of a document are counted from 1
    .help = `history` lists them
K113 = there is nothing to take back or to settle in `{ $path }`
    .because = the document stands as it was first put, and no edit of it waits
    .help = `history` lists revisions and edits that wait
K114 = the path `{ $path }` leads out of the job or cannot be written on every system
    .because = a job can be taken out on any machine, and never outside of its folder
    .help = use plain names with `/`, no `..`, no colon, not below `out`
K115 = `{ $path }`: { $why ->
        [unreadable] line { $line } cannot be read as TOML ({ $what })
        [missing] there is no `{ $what }`
        [taken] there is a `{ $what }` already
        [kind] `{ $what }` is of another kind: a value where a table is needed, or the other way round
        [value] `{ $what }` cannot be read as a TOML value
        [key] `{ $what }` is no key
        [no-value] `{ $what }` needs a key, `=` and a value
        [no-text] it is no text in UTF-8
       *[other] { $what }
    }
    .because = an edit is made whole or not at all
    .help = look at the document as it is now, and edit that
K116 = there is no source `{ $name }`
    .because = readings belong to a source that was named before
    .help = `sources` lists them
K117 = the { $field } of source `{ $name }` was told before{ $was ->
        [none] {""}
       *[other] {": "}{ $was }
    }
    .because = readings were taken under that; what they mean must not change behind them
    .help = give what measures anew a name of its own
K118 = the unit `{ $unit }` does not fit the quantity `{ $quantity }`
    .because = a number means nothing in a unit of another quantity
    .help = `schema` lists quantities and their units
K119 = the folder `{ $folder }` neither came from the job `{ $job }` nor was put into it before
    .because = nobody knows which revisions it stands on, and it would write over what others did
    .help = `get` the job into a folder and edit that, or say `--over` to let this folder count, or `--job` to make another job
K120 = `{ $path }`: { $why ->
        [missing] it is not there
        [denied] this user may not read or write it
        [exists] it is there already
        [folder] it is a folder
        [no-folder] it is no folder
        [no-text] it is no text in UTF-8
        [full] there is no room left on the disk
        [large] it is too large ({ $what })
       *[other] { $what }
    }
    .because = the file could not be read or written
    .help = look at its name, its permissions and the room on the disk
K121 = the database says: { $what }
    .because = this should not happen
    .help = `check` the store, and keep the message
K130 = left out: { $names }
    .because = hidden files, links, and names that cannot be written on every system are not part of a job
    .help = give what belongs to the job a plain name, and put it again
K131 = the name of `{ $path }` is the hash of other bytes
    .because = attachments are told by their hash
    .help = name it by its own, or look whether the file was changed
K132 = `{ $path }`{ $key ->
        [none] {""}
       *[other] {", "}`{ $key }`
    } was changed on both sides: first `{ $theirs }`, then `{ $mine }`
    .because = neither is lost: the first counts, the second is kept with the document (number { $number })
    .help = `settle` takes the second or lets it go
K133 = could not be saved: { $what }
    .because = the damage reaches it
    .help = take it from a back-up, where there is one
K134 = found: { $what }
    .because = the store's own sums do not agree with what is in it
    .help = make a back-up of the file as it is, then `recover`
K135 = copies of the store are not reached
    .because = back-ups and folders made before hold the bytes still
    .help = erase those yourself

store-put = { $job }: { $new } new revisions, { $merged } merged, { $same } as they were
store-put-refused = nothing was changed: { $count } fields were changed on both sides
store-job = { $name }: { $documents } documents, { $revisions } revisions, { $kb } kB{ $conflicts ->
        [0] {""}
       *[other] {", "}{ $conflicts } edits to settle
    }
store-job-erased = { $name }: erased { $when }
store-none = nothing yet
store-got = { $count } documents in { $path }
store-revision = { $when }, { $path } { $number }: { $what ->
        [put] put
        [edit] edit
        [merge] merged
        [undo] undo of { $undoes }
       *[remove] removed
    }, { $size } bytes, { $author } ({ $device })
store-waiting = { $when }, { $path }, number { $number }: an edit of { $author } on revision { $base } waits to be settled
store-kept = revision { $number }
# $number, $path
store-kept-first = revision { $number }: the job had no `{ $path }` before
store-kept-merged = revision { $number }, merged with what came between
store-same = revision { $number } says that already
store-backed-up = a copy of { $kb } kB in { $path }
store-sound = sound: version { $version }, { $contents } contents as they were
store-recovered = saved: { $jobs } jobs, { $revisions } revisions, { $readings } readings
store-erased = erased: { $what }
store-source = { $name }: { $readings } readings{ $held ->
        [0] {""}
       *[other] {", "}{ $held } wait until it is described
    }
store-described = { $name }: { $complete ->
        [yes] its readings count
       *[no] not all is known of it yet; its readings are kept and do not count
    }
