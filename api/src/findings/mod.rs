//! Findings of a job: the program's rules and the user's own, against everything that results, single
//! readings and the fit say.

mod fill;
mod gather;
mod gather_fit;
mod gather_tests;

#[cfg(test)]
mod tests;

use fill::change_text;

use crate::{Data, File, Job};
use engine::doc::Sink;
use engine::finding::{self, Findings, Rules};

/// Name of the plan that ready changes are written for; the user gives it his own.
const PLAN: &str = "try";

/// The program's own rules, a file a family.
pub(crate) const FAMILIES: &[(&str, &str)] = &[
    ("quality.toml", include_str!("../../assets/findings/quality.toml")),
    ("combustion.toml", include_str!("../../assets/findings/combustion.toml")),
    ("envelope.toml", include_str!("../../assets/findings/envelope.toml")),
    ("ducts.toml", include_str!("../../assets/findings/ducts.toml")),
    ("ventilation.toml", include_str!("../../assets/findings/ventilation.toml")),
    ("moisture.toml", include_str!("../../assets/findings/moisture.toml")),
];

/// The program's own rules; what would be wrong with them goes to the sink, and a test lets nothing be.
pub(crate) fn own_rules(sink: &Sink) -> Rules {
    let mut out = Rules::default();
    for (name, text) in FAMILIES {
        let file = File { name: (*name).to_owned(), text: (*text).to_owned() };
        out.add(finding::read(&file, false, sink), sink);
    }
    out
}

/// All rules of a job, with what people saw and the limits that are in force there.
pub(crate) fn rules(files: &[File], sink: &Sink) -> Rules {
    let mut out = own_rules(&Sink::default());
    let mut own: Vec<&File> =
        files.iter().filter(|f| f.name.starts_with("findings/") && f.name.ends_with(".toml")).collect();
    own.sort_by(|a, b| a.name.cmp(&b.name));
    for file in own {
        out.add(finding::read(file, true, sink), sink);
    }
    out
}

/// What the rules say of a job.
pub(crate) fn answer(job: &Job, data: &Data, files: &[File]) -> Findings {
    let rules = rules(files, job.sink());
    let mut evidence = gather::evidence(job, data);
    evidence.items.extend(rules.seen.iter().cloned());
    let mut findings = finding::judge(&rules, &evidence, &job.documents.job.complaints);
    for finding in &mut findings.found {
        // A change whose names this house does not have is no change.
        finding.change = job.house.as_ref().and_then(|house| change_text(finding, house, PLAN));
    }
    findings
}
