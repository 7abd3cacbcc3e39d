# Parts of the full record, and the photos in it.

record-part-complaint = Complaints
record-part-results = Results of the tests
record-part-findings = Findings
record-part-fit = The house as known, with its drawing
record-part-plans = Plans and work to do
record-part-readings = Readings against the model, and the next one
record-part-photos = Photos
record-part-sources = Instruments and who read them
record-left-out = Left out of this copy because somebody asked for that: { $parts }. What concerns safety is in every copy.

photos-title = Photos
photos-of = Visit of { $date }
photo-no-words = Photo without a description
photo-missing = The photo “{ $photo }” is not shown: it is not among the files of the job, is larger than 2 MB, or is neither JPEG nor PNG.
photo-changed = The photo “{ $photo }” is not shown: its bytes are not those that its name stands for.

S112 = the photo `{ $photo }` cannot be shown in a document
    .because = It is not among the files of the job, is larger than 2 MB, or is neither JPEG nor PNG.
    .help = Put the file where the visit says, or take the entry out.
S113 = the photo `{ $photo }` is not the one that was written down
    .because = A photo is named by the SHA-256 of its bytes, and these bytes have another one.
    .help = Bring the original back, or write the photo down anew.

question-complaint = complaint { $number }: “{ $words }”

K190 = this photo is not taken
    .because = A photo is JPEG or PNG and is named by the SHA-256 of its bytes; these bytes or this name are something else.
    .help = Take or choose the photo anew on the page of the visit.
