//! Control rules of a job: put together, provoked, and lived through series.

use crate::{File, Job};
use engine::diag::{Diagnostic, Span, code};
use engine::doc::rules::{Does, IfLost};
use engine::doc::series::{self, Series};
use engine::rule::{self, Event, Kind, Part, Set, Worst};
use engine::units::Quantity;
use serde::Serialize;

/// The rules of a job.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Rules {
    /// Each rule that can run, the strongest first.
    pub rules: Vec<Rule>,
    /// Devices that may be commanded; all others are advised.
    pub commanded: Vec<String>,
    /// Devices whose command is refused, with the reasons.
    pub refused: Vec<(String, Vec<rule::Refusal>)>,
    /// What the provocation of each rule showed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub provoked: Vec<Provoked>,
    /// Series lived through.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub lived: Vec<Lived>,
    /// The set itself.
    #[serde(skip)]
    pub set: Option<Set>,
}

/// One rule.
#[derive(Clone, Debug, Serialize)]
pub struct Rule {
    /// Its name.
    pub name: String,
    /// The name people read.
    pub label: String,
    /// Its device.
    pub device: String,
    /// Share of full while on; nothing for a lock-out.
    pub on: Option<f64>,
    /// Share of full while no rule is on.
    pub off: Option<f64>,
    /// Share of full that a lock-out leaves.
    pub floor: Option<f64>,
    /// When it starts.
    pub on_when: String,
    /// When it ends.
    pub off_when: Option<String>,
    /// Least time on, s.
    pub min_on_s: f64,
    /// Least time off, s.
    pub min_off_s: f64,
    /// Most time on in 24 hours, s.
    pub most_on_s: Option<f64>,
    /// Priority.
    pub priority: usize,
    /// On a lost signal.
    pub if_lost: IfLost,
    /// The most that it comes to owe in one go.
    pub worst_debt: Option<Worst>,
}

/// A rule provoked.
#[derive(Clone, Debug, Serialize)]
pub struct Provoked {
    /// The rule, by place.
    pub rule: usize,
    /// Whether all was seen that was expected.
    pub as_expected: bool,
    /// What was done.
    pub parts: Vec<Part>,
    /// What happened.
    pub events: Vec<Event>,
    /// Alternatives of the condition for which no signals were found.
    pub without: usize,
}

/// A series lived through.
#[derive(Clone, Debug, Serialize)]
pub struct Lived {
    /// The file.
    pub file: String,
    /// Date and time of its first row, where it tells.
    pub start: Option<jiff::civil::DateTime>,
    /// What happened, in order.
    pub events: Vec<Event>,
    /// How long it is, s.
    pub lasts_s: f64,
    /// Owed at its end, s of one excess exposure; nothing where the documents owe nothing.
    pub owed_s: Option<f64>,
}

/// The rules of a job; with `test`, provoked and lived through every `rules/*.csv`.
pub(crate) fn answer(job: &Job, files: &[File], test: bool) -> Option<Rules> {
    if job.documents.house.is_none() {
        job.no_house();
        return None;
    }
    let set = job.rules.clone()?;
    if job.documents.rules.rules.is_empty() {
        job.say(Diagnostic::warning(code::R126).at(Span::new("rules", 0..0)));
        return None;
    }
    let rules = set.rules.iter().enumerate().map(|(at, r)| {
        let (on, off, floor) = match r.does {
            Does::Set { on, off } => (Some(on), off, None),
            Does::LockOut { floor } => (None, None, Some(floor)),
        };
        Rule {
            name: r.name.clone(),
            label: r.label.clone(),
            device: set.signals.devices[r.device].name.clone(),
            on,
            off,
            floor,
            on_when: r.text.0.text.clone(),
            off_when: r.text.1.as_ref().map(|c| c.text.clone()),
            min_on_s: r.min_on_s,
            min_off_s: r.min_off_s,
            most_on_s: Some(r.most_on_s).filter(|m| m.is_finite()),
            priority: r.priority,
            if_lost: r.if_lost,
            worst_debt: set.worst_debt(at),
        }
    });
    let name = |device: usize| set.signals.devices[device].name.clone();
    let mut out = Rules {
        rules: rules.collect(),
        commanded: job.commands.0.iter().map(|c| name(c.device)).collect(),
        refused: job.commands.1.clone(),
        ..Rules::default()
    };
    if test {
        let provoke = |at| rule::provoke(&set, at).map(|p| Provoked {
            rule: at,
            as_expected: p.is_as_expected(),
            parts: p.parts,
            events: p.events,
            without: p.without,
        });
        out.provoked = (0..set.rules.len()).filter_map(provoke).collect();
        let named = |f: &&File| f.name.starts_with("rules/") && f.name.ends_with(".csv");
        out.lived = files.iter().filter(named).filter_map(|f| live(job, &set, f)).collect();
    }
    out.set = Some(set);
    Some(out)
}

/// Lives through one series; signals without a column stand at their usual values.
fn live(job: &Job, set: &Set, file: &File) -> Option<Lived> {
    let series: Series = series::read(file, job.sink())?;
    let mut rows = vec![set.signals.usual(); series.time_s.len()];
    let mut given = vec![false; set.signals.list.len()];
    for name in series.names() {
        let Some(slot) = set.signals.slot(name) else {
            let near = engine::text::closest(name, set.signals.list.iter().map(|s| s.name.as_str()));
            job.say(
                Diagnostic::warning(code::R141)
                    .at(Span::new(&file.name, 0..0))
                    .arg("name", name)
                    .arg("near", near.unwrap_or("")),
            );
            continue;
        };
        let quantity = match set.signals.list[slot].kind {
            Kind::Flag => Quantity::Number,
            Kind::Measure(q) => q,
        };
        given[slot] = true;
        let Some(column) = series.column(name, quantity, job.sink()) else { continue };
        for (row, value) in rows.iter_mut().zip(column) {
            row[slot] = value;
        }
    }
    let own = |name: &str| matches!(name, "house.relative_exposure" | "house.debt");
    let mut missing: Vec<&str> = set
        .rules
        .iter()
        .flat_map(|r| &r.slots)
        .map(|s| usize::from(*s))
        .filter(|s| !given[*s])
        .map(|s| set.signals.list[s].name.as_str())
        .filter(|n| !own(n))
        .collect();
    missing.sort_unstable();
    missing.dedup();
    if !missing.is_empty() {
        let names = missing.join(", ");
        job.say(Diagnostic::note(code::R142).at(Span::new(&file.name, 0..0)).arg("names", names));
    }
    // What no column tells of the outdoor air is what the documents count: infiltration alone.
    if let Some(slot) = set.signals.slot("house.outdoor_air").filter(|s| !given[*s]) {
        rows.iter_mut().for_each(|row| row[slot] = f64::NAN);
    }
    let (events, machine) = rule::live(set, &series.time_s, &rows);
    Some(Lived {
        file: file.name.clone(),
        start: series.start,
        events,
        lasts_s: series.time_s.last().copied().unwrap_or(0.0),
        owed_s: machine.ledger().map(rule::Ledger::owed_s),
    })
}
