//! What work came to: the visit before it against the visit after it.
//!
//! The house is fitted twice, to the readings before the work and to those after it, and both live
//! through one weather year; tests and single readings that both visits took are set against each
//! other with the error that their instruments share cancelled.

use crate::open::{PlansAsked, check_name};
use crate::{Data, Inputs, Job, Listen, TestResult};
use engine::diag::{Diagnostic, code};
use engine::doc::visit::{Instrument, Reading, Subject, Visit};
use engine::fit::LEVEL;
use engine::measure::{Estimate, NoInterval};
use engine::plan::{Compared, Score};
use engine::procedure::change::{self, Asked, Side};
use engine::procedure::field::Note;
use engine::procedure::test_out::{
    Became, Change, Part, Written, became, change, change_apart, change_of_draws, written,
};
use engine::units::Quantity;
use serde::Serialize;
use std::collections::BTreeMap;

/// Accuracy is stated as 95 % limits; this many standard deviations, as in the fit.
const STATED_LIMIT_SD: f64 = 1.96;

/// What work came to.
#[derive(Debug, Serialize)]
pub struct TestOut {
    /// The plan that was carried out.
    pub plan: String,
    /// Folder of the visit before.
    pub before: String,
    /// Folder of the visit after.
    pub after: String,
    /// What became of each complaint that the year tells of.
    pub complaints: Vec<ComplaintOut>,
    /// What the plan promised, and what was obtained.
    pub promised: Vec<Promised>,
    /// Envelope tests of both visits.
    pub envelope: Vec<EnvelopeChange>,
    /// Figures of other tests of both visits.
    pub field: Vec<FigureChange>,
    /// Single readings of both visits.
    pub readings: Vec<ReadingChange>,
    /// What differs between the visits: what, before, after.
    pub setups: Vec<Differs>,
}

/// A complaint before and after.
#[derive(Debug, Serialize)]
pub struct ComplaintOut {
    /// Index in the job.
    pub complaint: usize,
    /// Before the work, the year in the house fitted to the readings before.
    pub before: Estimate,
    /// After it.
    pub after: Estimate,
    /// After minus before.
    pub change: Estimate,
    /// The limit, SI.
    pub limit: f64,
    /// When it was written against the result.
    pub written: Written,
    /// What became of it.
    pub became: Became,
}

/// How a promise was kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kept {
    /// The range of obtained minus promised holds zero.
    Yes,
    /// The whole range is better.
    Better,
    /// The whole range is short of it.
    Short,
}

/// A promise and what was obtained.
#[derive(Debug, Serialize)]
pub struct Promised {
    /// What.
    #[serde(flatten)]
    pub score: Score,
    /// Before the work.
    pub before: Estimate,
    /// As the plan came to in the houses that the readings before allowed.
    pub promised: Estimate,
    /// After the work.
    pub after: Estimate,
    /// After minus before.
    pub change: Estimate,
    /// How it was kept.
    pub kept: Kept,
}

/// An envelope test of both visits.
#[derive(Debug, Serialize)]
pub struct EnvelopeChange {
    /// Its name.
    pub name: String,
    /// Flow at 50 Pa before.
    pub before: Estimate,
    /// And after.
    pub after: Estimate,
    /// After minus before; what the instruments share cancels.
    pub change: Estimate,
    /// Whether the same instruments took both.
    pub shared_error: bool,
    /// What differs between the setups.
    #[serde(skip)]
    pub differs: Vec<Note>,
}

/// A figure of a test of both visits.
#[derive(Debug, Serialize)]
pub struct FigureChange {
    /// Name of the test.
    pub test: String,
    /// Its kind.
    pub kind: &'static str,
    /// Key of the figure.
    pub figure: &'static str,
    /// Of what.
    pub of: Option<String>,
    /// Before.
    pub before: Estimate,
    /// After.
    pub after: Estimate,
    /// After minus before, taken as independent.
    pub change: Option<Estimate>,
}

/// A single reading of both visits.
#[derive(Debug, Serialize)]
pub struct ReadingChange {
    /// What: the place and what it is compared with (nothing for a flow).
    pub of: (String, Option<String>),
    /// Before.
    pub before: Estimate,
    /// After.
    pub after: Estimate,
    /// After minus before; nothing where an accuracy is not stated.
    pub change: Option<Change>,
    /// Whether one instrument took both.
    pub same_instrument: bool,
}

/// A difference between the visits.
#[derive(Debug, Serialize)]
pub struct Differs {
    /// A key of the catalogue, or a name of the documents.
    pub what: String,
    /// Before: a text, or a number of a quantity.
    pub before: Value,
    /// After.
    pub after: Value,
}

/// Something written down, or not.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Value {
    /// A word of the documents.
    Text(String),
    /// A number.
    Number {
        /// SI.
        si: f64,
        /// What it measures.
        #[serde(skip)]
        quantity: Quantity,
    },
    /// Not on record.
    Nothing,
}

/// Works the last test-out of a job; nothing where no visit is one.
pub(crate) fn answer(
    job: &Job,
    inputs: &Inputs,
    data: &Data,
    listen: &mut Listen<'_>,
    stopped: &mut bool,
) -> Option<TestOut> {
    let visits = &job.documents.visits;
    let at = visits.iter().rposition(|v| v.test_out.is_some())?;
    let after = &visits[at];
    let asked = after.test_out.as_ref()?;
    let plans = job.documents.plans.iter().map(|p| p.name.value.as_str());
    check_name(&asked.of, "plan", plans, job.sink());
    let Some(before) = visits[..at].iter().find(|v| asked.is_before(v)) else {
        job.say(
            Diagnostic::error(code::N101)
                .at(asked.before.span.clone())
                .arg("before", asked.before.value.as_str()),
        );
        return None;
    };
    dates(job, after);
    let was = Before::open(job, inputs, at, &asked.of.value);
    let lived = was.live(listen, stopped);
    let now = data.plans.as_ref();
    let both = lived.as_ref().zip(now).filter(|(a, b)| a.scores.len() == b.scores.len());
    Some(TestOut {
        plan: asked.of.value.clone(),
        before: before.folder.clone(),
        after: after.folder.clone(),
        complaints: both.map(|(a, b)| complaints(job, after, a, b)).unwrap_or_default(),
        promised: both.map(|(a, b)| promises(a, b)).unwrap_or_default(),
        envelope: envelope(before, after, &data.results),
        field: fields(before, after, data),
        readings: readings(before, after, [&was.job, job]),
        setups: setups(before, after),
    })
}

/// Says which criteria have no date, or one that is too late.
fn dates(job: &Job, after: &Visit) {
    for c in &job.documents.job.complaints {
        let agreed = c.agreed.as_ref();
        match written(agreed.map(|d| d.value.as_str()), &after.date) {
            Written::Before => {}
            Written::After => job.say(
                Diagnostic::warning(code::N102)
                    .at(agreed.map_or_else(|| c.words.span.clone(), |d| d.span.clone()))
                    .arg("agreed", agreed.map_or("", |d| d.value.as_str()))
                    .arg("result", after.date.as_str()),
            ),
            Written::Undated => job.say(Diagnostic::note(code::N103).at(c.words.span.clone())),
        }
    }
}

/// The job as it was before the work.
struct Before {
    job: Job,
}

impl Before {
    fn open(job: &Job, inputs: &Inputs, at: usize, plan: &str) -> Before {
        let later: Vec<String> =
            job.documents.visits[at..].iter().map(|v| format!("{}/", v.folder)).collect();
        let files = inputs.files.iter().filter(|f| !later.iter().any(|folder| f.name.starts_with(folder)));
        let mut was = Job::open(&Inputs { files: files.cloned().collect(), now: inputs.now.clone() });
        // The plan that was carried out is all that has to be lived.
        was.planned.retain(|p| p.name == plan);
        was.searches.clear();
        was.documents.events.clear();
        Before { job: was }
    }

    /// The house as found and the plan, lived through the year; what is wrong with it was said when the
    /// job itself was read.
    fn live(&self, listen: &mut Listen<'_>, stopped: &mut bool) -> Option<Compared> {
        if !self.job.is_sound() || self.job.planned.is_empty() {
            return None;
        }
        let fit = self.job.fit(false, listen, stopped)?;
        self.job.plans(&fit, PlansAsked::default(), listen, stopped)
    }
}

fn difference(quantity: Quantity) -> Quantity {
    if quantity == Quantity::Temperature { Quantity::TemperatureDifference } else { quantity }
}

/// Values of a candidate (0 as found, 1 the plan) in every draw.
fn draws(compared: &Compared, candidate: usize, score: usize) -> &[f64] {
    compared.draw_scores.values.get(candidate).and_then(|c| c.get(score)).map_or(&[], Vec::as_slice)
}

fn by_draws(before: &[f64], after: &[f64], quantity: Quantity) -> Estimate {
    if before.is_empty() || after.is_empty() || before.iter().chain(after).any(|v| !v.is_finite()) {
        return Estimate::without(f64::NAN, quantity, NoInterval::NotComputed);
    }
    change_of_draws(before, after, LEVEL, difference(quantity))
}

fn complaints(job: &Job, visit: &Visit, was: &Compared, now: &Compared) -> Vec<ComplaintOut> {
    let one = |(s, score): (usize, &Score)| {
        let complaint = score.complaint?;
        let limit = score.target?;
        let (before, after) = (was.plans.first()?.values[s], now.plans.first()?.values[s]);
        let by = by_draws(draws(was, 0, s), draws(now, 0, s), score.kind.quantity());
        let agreed = job.documents.job.complaints.get(complaint)?.agreed.as_ref();
        Some(ComplaintOut {
            complaint,
            before,
            after,
            change: by,
            limit,
            written: written(agreed.map(|d| d.value.as_str()), &visit.date),
            became: became(&after, &by, limit, score.kind.lower_is_better()),
        })
    };
    now.scores.iter().enumerate().filter_map(one).collect()
}

fn promises(was: &Compared, now: &Compared) -> Vec<Promised> {
    let one = |(s, score): (usize, &Score)| {
        let quantity = score.kind.quantity();
        let (before, promised) = (was.plans.first()?.values[s], was.plans.get(1)?.values[s]);
        let after = now.plans.first()?.values[s];
        let against = by_draws(draws(was, 1, s), draws(now, 0, s), quantity);
        let lower = score.kind.lower_is_better();
        let kept = match against.bounds() {
            Some((_, hi)) if hi < 0.0 => {
                if lower {
                    Kept::Better
                } else {
                    Kept::Short
                }
            }
            Some((lo, _)) if lo > 0.0 => {
                if lower {
                    Kept::Short
                } else {
                    Kept::Better
                }
            }
            _ => Kept::Yes,
        };
        let change = by_draws(draws(was, 0, s), draws(now, 0, s), quantity);
        Some(Promised { score: score.clone(), before, promised, after, change, kept })
    };
    now.scores.iter().enumerate().filter(|(_, s)| !s.short).filter_map(one).collect()
}

fn envelope(before: &Visit, after: &Visit, results: &[TestResult]) -> Vec<EnvelopeChange> {
    let of = |visit: &Visit| results.iter().filter(|r| r.visit == visit.folder).collect::<Vec<_>>();
    let earlier = of(before);
    let one = |second: &&TestResult| {
        // By name; the only test of each visit is the same test whatever it is called.
        let seconds = results.iter().filter(|r| r.visit == after.folder).count();
        let named = earlier.iter().find(|r| r.result.name == second.result.name);
        let first = named.or_else(|| earlier.first().filter(|_| earlier.len() == 1 && seconds == 1))?;
        let side = |t: &'_ TestResult| t.result.figures.flow_at(50.0).map(|f| f.flow.total);
        let worked = change::compare(&Asked {
            first: side_of(first),
            second: side_of(second),
            criterion: None,
            source: String::new(),
            accepted: None,
        })?;
        Some(EnvelopeChange {
            name: second.result.name.clone(),
            before: side(first)?,
            after: side(second)?,
            change: worked.flow50,
            shared_error: worked.shared_error,
            differs: worked.differences,
        })
    };
    of(after).iter().filter_map(one).collect()
}

fn side_of(t: &TestResult) -> Side<'_> {
    Side {
        name: format!("{}/{}", t.visit.trim_start_matches("visits/"), t.result.name),
        result: &t.result,
        prepared: &t.prepared,
        method: t.method.as_deref(),
        instruments: t.instruments.clone(),
    }
}

fn fields(before: &Visit, after: &Visit, data: &Data) -> Vec<FigureChange> {
    let mut out = Vec::new();
    for second in data.field.iter().filter(|f| f.visit == after.folder) {
        let same = |f: &&crate::FieldResult| {
            f.visit == before.folder && f.kind == second.kind && f.name == second.name
        };
        let Some(first) = data.field.iter().find(same) else { continue };
        for b in &second.worked.figures {
            let Some(a) = first.worked.figures.iter().find(|a| a.id == b.id && a.of == b.of) else {
                continue;
            };
            out.push(FigureChange {
                test: second.name.clone(),
                kind: second.kind,
                figure: b.id,
                of: b.of.clone(),
                before: a.number,
                after: b.number,
                change: change_apart(&a.number, &b.number, difference(b.number.quantity)),
            });
        }
    }
    out
}

/// State of the house by names, as written.
type State = BTreeMap<String, String>;

/// Every reading with the state in which it was taken.
fn with_state(visit: &Visit) -> Vec<(State, &Reading)> {
    let plain =
        |(k, v): &(engine::doc::Sp<String>, engine::doc::Sp<String>)| (k.value.clone(), v.value.clone());
    let mut state: State = visit.start.iter().map(plain).collect();
    let each = |r| {
        let r: &Reading = r;
        state.extend(r.set.iter().map(plain));
        (state.clone(), r)
    };
    visit.readings.iter().map(each).collect()
}

fn subject(r: &Reading) -> (String, Option<String>) {
    match &r.subject {
        Subject::Pressure { feels, compared_with } => {
            (feels.value.clone(), Some(compared_with.value.clone()))
        }
        Subject::Flow { of } => (of.value.clone(), None),
    }
}

fn instrument<'v>(visit: &'v Visit, r: &Reading) -> Option<&'v Instrument> {
    let name = &r.with.as_ref()?.value;
    visit.instruments.iter().find(|i| i.name.value == *name)
}

/// A reading with the parts of its error; nothing where its accuracy is not stated.
fn part(visit: &Visit, r: &Reading, job: &Job) -> Option<Part> {
    let i = instrument(visit, r)?;
    let stated = i.accuracy?;
    let outdoors = matches!(&r.subject, Subject::Pressure { feels, compared_with }
        if feels.value == report::view::OUTDOORS || compared_with.value == report::view::OUTDOORS);
    let folder = job.documents.visits.iter().position(|v| v.folder == visit.folder);
    let wind = folder.and_then(|k| job.observations.wind_sd_pa.get(k)).copied();
    // An even display step, and against outdoors the wind on a face.
    let step = i.resolution / 12.0_f64.sqrt();
    let own_sd = if outdoors { step.hypot(wind.unwrap_or(0.0)) } else { step };
    let (gain_sd, offset_sd) = (stated.relative / STATED_LIMIT_SD, stated.absolute / STATED_LIMIT_SD);
    Some(Part { si: r.value.value, own_sd, gain_sd, offset_sd })
}

fn readings(before: &Visit, after: &Visit, [was, now]: [&Job; 2]) -> Vec<ReadingChange> {
    let earlier = with_state(before);
    let mut used = vec![false; earlier.len()];
    let mut out = Vec::new();
    for (state, second) in with_state(after) {
        let same = |(k, (s, r)): &(usize, &(State, &Reading))| {
            !used[*k] && subject(r) == subject(second) && *s == state && !r.below && !second.below
        };
        let Some((k, (_, first))) = earlier.iter().enumerate().find(same) else { continue };
        used[k] = true;
        let quantity = match second.subject {
            Subject::Pressure { .. } => Quantity::Pressure,
            Subject::Flow { .. } => Quantity::AirFlow,
        };
        let serial = |v, r| instrument(v, r).and_then(|i| i.serial.as_deref());
        let same_instrument =
            serial(before, first).is_some() && serial(before, first) == serial(after, second);
        let parts = [part(before, first, was), part(after, second, now)];
        let told = |r: &Reading, p: &Option<Part>| match p {
            Some(p) => {
                let half = engine::measure::normal_quantile(0.975) * p.sd();
                Estimate::range(p.si, p.si - half, p.si + half, 0.95, quantity)
            }
            None => Estimate::without(r.value.value, quantity, NoInterval::TypedWithoutInstrument),
        };
        out.push(ReadingChange {
            of: subject(second),
            before: told(first, &parts[0]),
            after: told(second, &parts[1]),
            change: parts[0].zip(parts[1]).map(|(a, b)| change(&a, &b, same_instrument, quantity)),
            same_instrument,
        });
    }
    out
}

fn setups(before: &Visit, after: &Visit) -> Vec<Differs> {
    let mut out = Vec::new();
    let mut differ = |what: &str, before: Value, after: Value| {
        if before != after {
            out.push(Differs { what: what.to_owned(), before, after });
        }
    };
    let number = |si: Option<f64>, quantity| si.map_or(Value::Nothing, |si| Value::Number { si, quantity });
    let (a, b) = (&before.conditions, &after.conditions);
    differ(
        "out-indoor",
        number(a.indoor_k, Quantity::Temperature),
        number(b.indoor_k, Quantity::Temperature),
    );
    differ(
        "out-outdoor",
        number(a.outdoor_k, Quantity::Temperature),
        number(b.outdoor_k, Quantity::Temperature),
    );
    differ("out-wind", number(a.wind_m_s, Quantity::Speed), number(b.wind_m_s, Quantity::Speed));
    let text = |t: Option<&String>| t.map_or(Value::Nothing, |t| Value::Text(t.clone()));
    let start =
        |v: &Visit| -> State { v.start.iter().map(|(k, s)| (k.value.clone(), s.value.clone())).collect() };
    let (first, second) = (start(before), start(after));
    let names: std::collections::BTreeSet<&String> = first.keys().chain(second.keys()).collect();
    for name in names {
        differ(name, text(first.get(name)), text(second.get(name)));
    }
    // Instruments of one name with another serial number or certificate.
    for i in &after.instruments {
        let Some(was) = before.instruments.iter().find(|w| w.name.value == i.name.value) else { continue };
        let identity = |i: &Instrument| {
            let parts = [i.serial.as_deref(), i.calibrated.as_deref()];
            Value::Text(parts.into_iter().flatten().collect::<Vec<_>>().join(", "))
        };
        differ(&i.label, identity(was), identity(i));
    }
    out
}
