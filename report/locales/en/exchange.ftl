# Packing a job, exporting it, and what an export has no place for.
# One sentence, no full stop. `.because` is the reason, `.help` is what to do.

O140 = left out of the pack: { $names }
    .because = hidden files, links, and names that cannot be written on every system are not part of a job
    .help = give what belongs to the job a plain name, and pack it again
O141 = nothing can be read in `{ $path }`
    .because = it is no pack, or the damage reaches all of it
    .help = look for another copy
# $name, $why
O142 = lost: `{ $name }` ({ $why })
    .because = what cannot be held against its checksum is not passed on as whole
    .help = take it from another copy
O143 = the pack has no list of checksums, or it is damaged
    .because = each file was held against its own short sum only, and nobody knows whether one is missing
    .help = look through the folder, and compare it with another copy
O144 = refused: `{ $name }` ({ $why })
    .because = a pack from elsewhere must not write outside of its folder, fill the disk or replace a file
    .help = ask who made it
O145 = in part only: `{ $name }` ({ $why })
    .because = what could be read of it stands beside the documents as `{ $name }.damaged`, which no command reads
    .help = take it from another copy, or look through what is there
O146 = the pack has format { $found }, newer than this program knows
    .because = a newer program wrote it; its files were taken out as they are
    .help = use that program for the job
O147 = the table of contents of the pack is damaged; the files were looked for one by one
    .because = the end of the file is missing, or bytes of it were changed
    .help = compare with another copy
O148 = not in this form: { $names }
    .because = { $why ->
        [unit] the registry of the form has no unit for it
        [time] the form needs a time with its date and zone, and none was noted
       *[other] the form has no place for it
    }
    .help = { $where ->
        [extension] it stands in the extension, where only this program looks
       *[other] the pack of the job carries all of it
    }
O149 = there is nothing in this job that the form could carry
    .because = it has neither readings nor results of that kind
    .help = look at docs/EXCHANGE.md for what each form carries

pack-why-missing = it is not in the file
pack-why-changed = its bytes are not those that were packed
pack-why-broken = its data cannot be read to the end
pack-why-name = its name leads out of the folder or cannot be written on every system
pack-why-twice = its name was there before
pack-why-link = it is a link or a device
pack-why-size = it is too large
pack-why-method = it is encrypted or in a compression that is not read
pack-why-unlisted = it is not in the list of checksums
# $count, $path
pack-packed = packed { $count ->
        [one] { $count } file
       *[other] { $count } files
    }, with checksums: { $path }
pack-unpacked = unpacked { $count ->
        [one] { $count } file
       *[other] { $count } files
    }, each as its checksum says: { $path }
pack-unpacked-unlisted = unpacked { $count ->
        [one] { $count } file
       *[other] { $count } files
    }: { $path }
# $count
exchange-exported = exported { $count ->
        [one] { $count } entry
       *[other] { $count } entries
    }
