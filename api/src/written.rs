//! What no reader of a single document can see: dates against folders and today, and documents that
//! nothing reads. All of it is told as notes: nothing is refused for it.

use crate::File;
use engine::diag::{Diagnostic, Span, code};
use engine::doc::Sink;
use engine::doc::visit::Visit;

/// Documents at the top of a job.
const READ: [&str; 6] =
    ["job.toml", "house.toml", "plans.toml", "watch.toml", "practice.toml", "diagnosis.toml"];
/// Folders whose documents have names of their own.
const FOLDERS: [&str; 6] = ["rules/", "findings/", "intake/", "watch/", "out/", "attachments/"];
/// What a starter lays beside a job, to be renamed.
const EXAMPLE: &str = "-example.toml";

/// Says what is odd about dates and names; `now` begins with today's date.
pub(crate) fn check(visits: &[Visit], files: &[File], now: &str, sink: &Sink) {
    for visit in visits {
        let document = format!("{}/visit.toml", visit.folder);
        let at = files.iter().find(|f| f.name == document).map(|f| line_of("date", f));
        let (Some(date), Some(at)) = (day(&visit.date), at) else { continue };
        let folder = visit.folder.rsplit('/').next().and_then(day);
        if folder.is_some_and(|folder| folder != date) {
            let said = Diagnostic::note(code::J107).at(at.clone());
            sink.borrow_mut().push(said.arg("date", date).arg("folder", visit.folder.as_str()));
        }
        if day(now).is_some_and(|today| date > today) {
            sink.borrow_mut().push(Diagnostic::note(code::J108).at(at).arg("date", date));
        }
    }
    let unread: Vec<&str> = files.iter().map(|f| f.name.as_str()).filter(|name| is_unread(name)).collect();
    if !unread.is_empty() {
        sink.borrow_mut().push(Diagnostic::note(code::J109).arg("names", unread.join(", ")));
    }
}

/// The day at the start of a text, as `2026-11-12`.
fn day(text: &str) -> Option<&str> {
    let day = text.get(..10)?;
    let fits = day
        .bytes()
        .enumerate()
        .all(|(at, b)| if at == 4 || at == 7 { b == b'-' } else { b.is_ascii_digit() });
    fits.then_some(day)
}

fn is_unread(name: &str) -> bool {
    let apart = FOLDERS.iter().any(|folder| name.starts_with(folder));
    let visit = name.starts_with("visits/") && name.ends_with("/visit.toml");
    name.ends_with(".toml") && !name.ends_with(EXAMPLE) && !apart && !visit && !READ.contains(&name)
}

/// The line of a key at the top of a document, or its first line.
fn line_of(key: &str, file: &File) -> Span {
    let mut start = 0;
    for line in file.text.split_inclusive('\n') {
        let own = line.trim_end();
        if own.strip_prefix(key).is_some_and(|rest| rest.trim_start().starts_with('=')) {
            return Span::new(&file.name, start..start + own.len());
        }
        start += line.len();
    }
    Span::new(&file.name, 0..0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_nothing_reads_is_told_from_what_a_job_has() {
        for read in
            ["job.toml", "visits/2026-11-12/visit.toml", "rules/bath.toml", "house-example.toml", "w.csv"]
        {
            assert!(!is_unread(read), "{read}");
        }
        for unread in ["House.toml", "house2.toml", "other/job.toml", "visits/2026-11-12/visit2.toml"] {
            assert!(is_unread(unread), "{unread}");
        }
    }

    #[test]
    fn a_day_is_told_from_other_words() {
        assert_eq!(day("2026-11-12, second round"), Some("2026-11-12"));
        assert_eq!(day("after the work"), None);
        assert_eq!(day("12.11.2026"), None);
    }
}
