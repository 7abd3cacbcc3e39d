//! The truth, and what the learner's visit was worth.

use super::document::{HazardKind, Practice, Record, built, truth};
use super::{Job, take};
use crate::present::{reasons_of, score_of};
use crate::{File, Inputs, Listen, Progress};
use engine::diag::{Diagnostic, Span, code};
use engine::doc::Sink;
use engine::fit;
use engine::fit::observe::collect;
use engine::measure::Estimate;
use engine::next::{Minutes, Moment, Question};
use report::words::Words;
use serde::Serialize;

/// What was the matter or not, and whether the learner said so.
#[derive(Clone, Debug, Serialize)]
pub struct CauseTold {
    /// Its word.
    pub name: String,
    /// What it is.
    pub label: String,
    /// Whether it is so.
    pub is_true: bool,
    /// Whether the diagnosis names it.
    pub named: bool,
    /// How one sees it.
    pub seen_by: String,
}

/// A hazard and how the learner met it.
#[derive(Clone, Debug, Serialize)]
pub struct HazardTold {
    /// Kind.
    pub kind: HazardKind,
    /// What and where.
    pub label: String,
    /// Number of the step that looked for it, from 1.
    pub looked: Option<usize>,
    /// Number of the first step that went past it, from 1; that after the last is the scope.
    pub walked_past: Option<usize>,
}

/// What a step was worth.
#[derive(Clone, Debug, Serialize)]
pub struct Worth {
    /// What was taken.
    pub what: String,
    /// What was shown.
    pub shown: String,
    /// What it took, min.
    pub minutes: f64,
    /// Share of the question's variance before the visit that it removed (of the logarithm, where the question
    /// is of something positive), by fits before and after it; a
    /// reading that contradicts what was known may have less than nothing. Absent for looks.
    pub removed: Option<f64>,
}

/// A reading that was worth taking at the door.
#[derive(Clone, Debug, Serialize)]
pub struct Would {
    /// Setup and reading, in words.
    pub what: String,
    /// What it takes, min.
    pub minutes: f64,
    /// Share of the question's variance that it removes, as known before the visit.
    pub removes: f64,
}

/// A complaint in the true house, as found and after the scope.
#[derive(Clone, Debug, Serialize)]
pub struct Lived {
    /// What is counted, in words.
    pub what: String,
    /// As found.
    pub found: Estimate,
    /// After the scope.
    pub after: Estimate,
    /// Whether the limit is kept after it.
    pub met: Option<bool>,
}

/// The scope lived through a year in the true house.
#[derive(Clone, Debug, Serialize)]
pub struct ScopeTold {
    /// Why the gate holds it; empty where it is released.
    pub held: Vec<String>,
    /// Each complaint.
    pub lived: Vec<Lived>,
}

/// Everything.
#[derive(Clone, Debug, Serialize)]
pub struct Revealed {
    /// The seed, to make the same house again.
    pub seed: u64,
    /// Causes, the true ones first.
    pub causes: Vec<CauseTold>,
    /// Hazards.
    pub hazards: Vec<HazardTold>,
    /// What the complaint asks of the house, in words.
    pub question: String,
    /// What was known of it before the visit.
    pub before: Option<Estimate>,
    /// What the readings say of it.
    pub after: Option<Estimate>,
    /// What it is, SI.
    pub truth: Option<f64>,
    /// Each step.
    pub steps: Vec<Worth>,
    /// What would have told most for each minute, as known at the door and with nothing forbidden.
    pub would_tell: Vec<Would>,
    /// The scope.
    pub scope: Option<ScopeTold>,
}

pub(super) struct Asked<'a> {
    pub(super) practice: &'a Practice,
    pub(super) record: &'a Record,
    pub(super) seed: u64,
    pub(super) causes: &'a [String],
    pub(super) diagnosis: &'a str,
}

pub(super) fn reveal(
    asked: &Asked<'_>,
    inputs: &Inputs,
    words: &Words,
    sink: &Sink,
    listen: &mut Listen<'_>,
    stopped: &mut bool,
) -> Result<Revealed, String> {
    let practice = asked.practice;
    let told = |c: &super::document::Cause| CauseTold {
        name: c.name.clone(),
        label: c.label.clone(),
        is_true: c.is_true,
        named: asked.causes.contains(&c.name),
        seen_by: c.seen_by.clone(),
    };
    let mut causes: Vec<CauseTold> = practice.cause.iter().map(told).collect();
    causes.sort_by_key(|c| !c.is_true);
    let has_scope = plan_of(asked.diagnosis).is_some();
    let mut out = Revealed {
        seed: asked.seed,
        causes,
        hazards: practice.hazard.iter().map(|h| hazard(h, asked.record, has_scope)).collect(),
        question: String::new(),
        before: None,
        after: None,
        truth: None,
        steps: Vec::new(),
        would_tell: Vec::new(),
        scope: None,
    };
    let true_text = practice.true_house()?;
    worth(&mut out, asked, inputs, &true_text, words, listen, stopped)?;
    if !*stopped {
        out.scope = scope(asked, inputs, &true_text, words, sink, listen, stopped);
    }
    Ok(out)
}

fn hazard(h: &super::document::Hazard, record: &Record, has_scope: bool) -> HazardTold {
    let taken = &record.taken;
    let step = |key: &str| taken.iter().position(|t| t.look == key);
    let first = |from: usize, is: &dyn Fn(&super::Step) -> bool| {
        taken.iter().enumerate().skip(from).find(|(_, t)| is(t)).map(|(i, _)| i)
    };
    let (looked, past) = match h.kind {
        HazardKind::CarbonMonoxide => {
            let looked = step("ambient CO");
            // Anything before the door, and work that goes on where it ends.
            let before = (looked != Some(0)).then_some(0).filter(|_| !taken.is_empty());
            let on = looked
                .and_then(|l| if h.ends_work { first(l + 1, &|t| t.look != "ambient CO") } else { None });
            (looked, before.or(on))
        }
        HazardKind::Embers => (step("embers"), first(0, &|t| t.draws_down)),
        HazardKind::Asbestos => (step("asbestos"), first(0, &|t| t.draws_down)),
        HazardKind::Spillage => {
            let looked = step(&format!("spillage {}", h.appliance));
            // The house was drawn down before anybody knew, or work was ordered.
            let drawn = first(0, &|t| t.draws_down).filter(|d| looked.is_none_or(|l| *d < l));
            let ordered = (looked.is_none() && has_scope).then_some(taken.len());
            (looked, drawn.or(ordered))
        }
    };
    HazardTold {
        kind: h.kind,
        label: h.label.clone(),
        looked: looked.map(|l| l + 1),
        walked_past: past.map(|p| p + 1),
    }
}

/// Weighted and handed-on draws of each fit: a variance over few draws of a house known badly wanders by
/// more than a reading is worth.
const TRIES: usize = 4000;
const DRAWS: usize = 2000;

/// Variance over draws: of the logarithm where every value is above zero, as flows and shares are, since
/// the long upper tail of a badly known flow would outweigh all else.
fn variance(values: &[f64]) -> Option<f64> {
    let mut finite: Vec<f64> = values.iter().copied().filter(|v| v.is_finite()).collect();
    if finite.iter().all(|v| *v > 0.0) {
        finite.iter_mut().for_each(|v| *v = engine::math::ln(*v));
    }
    if finite.len() < 3 {
        return None;
    }
    let n = finite.len() as f64;
    let mean = finite.iter().sum::<f64>() / n;
    Some(finite.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / (n - 1.0))
}

/// What is known of the question before the visit and after each reading.
fn worth(
    out: &mut Revealed,
    asked: &Asked<'_>,
    inputs: &Inputs,
    true_text: &str,
    words: &Words,
    listen: &mut Listen<'_>,
    stopped: &mut bool,
) -> Result<(), String> {
    let practice = asked.practice;
    // The house as drawn, as it stands in the folder now: the learner may have drawn on.
    let job = Job::open(inputs);
    let Some(house) = job.house.as_ref().filter(|_| job.is_sound()) else { return Ok(()) };
    let question = job.first_question(house).unwrap_or(Question::Total);
    out.question = crate::present::question(question, house, words);
    let pressure_pa = engine::air::standard_pressure_pa(super::altitude(practice));
    let true_house = built(true_text)?;
    if let Some(q) = Question::find(&true_house, &question.name(house)) {
        let values = q.values(&true_house, &[truth(&true_house, asked.seed)], pressure_pa);
        out.truth = values.first().copied().filter(|v| v.is_finite());
    }
    let name = super::visit_name(practice);
    let Some(text) = super::file(inputs, &name) else { return Ok(()) };
    let visit = take::visit(&name, text, &Sink::default());
    let readings = visit.readings.len();
    let mut known = Vec::new();
    for k in 0..=readings {
        let part = engine::doc::visit::Visit { readings: visit.readings[..k].to_vec(), ..visit.clone() };
        let seen = collect(house, std::slice::from_ref(&part), super::altitude(practice), &Sink::default());
        let options = fit::Options {
            tries: TRIES,
            further: false,
            draws: DRAWS,
            seed: asked.seed,
            whole: false,
            set_right: false,
            ..fit::Options::default()
        };
        let told = Progress { what: "progress-fit", done: k, of: readings + 1, leading: None };
        if listen(told).is_break() {
            *stopped = true;
            return Ok(());
        }
        let found = fit::fit(house, &seen, options, &mut |_| std::ops::ControlFlow::Continue(()));
        if let (0, Ok(fit)) = (k, &found) {
            let moment = Moment {
                minutes: Minutes::of(&super::job_minutes(practice)),
                left_min: asked.record.minutes,
                pressure_pa,
                ..Moment::usual(house)
            };
            let next = engine::next::next(house, &fit.draws, question, &moment);
            let one = |c: &engine::next::Candidate| Would {
                what: crate::present::candidate(c, &job, house, words),
                minutes: c.minutes,
                removes: c.removes,
            };
            out.would_tell = next.list.iter().take(3).map(one).collect();
        }
        known.push(found.ok().map(|f| question.values(house, &f.draws, pressure_pa)));
    }
    let estimate = |values: &Vec<f64>| {
        let mut sorted: Vec<f64> = values.iter().copied().filter(|v| v.is_finite()).collect();
        sorted.sort_by(f64::total_cmp);
        Estimate::from_sorted_draws(&sorted, fit::LEVEL, question.quantity())
    };
    out.before = known.first().and_then(Option::as_ref).map(estimate);
    out.after = known.last().and_then(Option::as_ref).map(estimate);
    let spread: Vec<Option<f64>> = known.iter().map(|k| k.as_ref().and_then(|v| variance(v))).collect();
    let start = spread.first().copied().flatten().filter(|v| *v > 0.0);
    let mut at = 0;
    for step in &asked.record.taken {
        let mut removed = None;
        if step.look.is_empty() {
            let pair = (spread.get(at).copied().flatten(), spread.get(at + 1).copied().flatten());
            if let ((Some(before), Some(after)), Some(start)) = (pair, start) {
                removed = Some((before - after) / start);
            }
            at += 1;
        }
        out.steps.push(Worth {
            what: step.what.clone(),
            shown: step.shown.clone(),
            minutes: step.minutes,
            removed,
        });
    }
    Ok(())
}

/// The changes of a diagnosis as a plan; nothing where there are none.
pub(crate) fn plan_of(diagnosis: &str) -> Option<String> {
    let mut document: toml_edit::DocumentMut = diagnosis.parse().ok()?;
    let changes = document.remove("change")?;
    if changes.as_array_of_tables().is_none_or(toml_edit::ArrayOfTables::is_empty) {
        return None;
    }
    let mut plan = toml_edit::Table::new();
    plan.insert("label", toml_edit::value("answer"));
    plan.insert("change", changes);
    let mut plans = toml_edit::Table::new();
    plans.set_implicit(true);
    plans.insert("answer", toml_edit::Item::Table(plan));
    let mut root = toml_edit::DocumentMut::new();
    root.insert("format", toml_edit::value(1));
    root.insert("plan", toml_edit::Item::Table(plans));
    Some(root.to_string())
}

/// The scope in the true house.
fn scope(
    asked: &Asked<'_>,
    inputs: &Inputs,
    true_text: &str,
    words: &Words,
    sink: &Sink,
    listen: &mut Listen<'_>,
    stopped: &mut bool,
) -> Option<ScopeTold> {
    let plan = plan_of(asked.diagnosis)?;
    let mut files: Vec<File> = inputs
        .files
        .iter()
        .filter(|f| !["house.toml", "plans.toml"].contains(&f.name.as_str()))
        .cloned()
        .collect();
    files.push(File { name: "house.toml".to_owned(), text: true_text.to_owned() });
    files.push(File { name: "plans.toml".to_owned(), text: plan });
    let job = Job::open(&Inputs { files, now: inputs.now.clone() });
    let house = job.house.as_ref()?;
    let lived = job.live(&[truth(house, asked.seed)], listen, stopped);
    let wrong: Vec<String> = {
        let found = job.sink().borrow();
        let of_plans = found.list.iter().filter(|d| d.spans.iter().any(|s| s.file == "plans.toml"));
        of_plans.map(|d| words.diagnostic(d).text).collect()
    };
    let Some(compared) = lived.filter(|c| c.plans.len() > 1) else {
        sink.borrow_mut().push(
            Diagnostic::warning(code::S111)
                .at(Span::new(super::DIAGNOSIS, 0..0))
                .arg("detail", wrong.join("; ")),
        );
        return None;
    };
    let (found, after) = (&compared.plans[0], &compared.plans[1]);
    let mut told = ScopeTold {
        held: after.gate.as_ref().map(|g| reasons_of(g, words)).unwrap_or_default(),
        lived: Vec::new(),
    };
    for (i, score) in compared.scores.iter().enumerate().filter(|(_, s)| s.complaint.is_some()) {
        let (Some(was), Some(is)) = (found.values.get(i), after.values.get(i)) else { continue };
        told.lived.push(Lived {
            what: score_of(score, house, words),
            found: *was,
            after: *is,
            met: after.met.get(i).copied().flatten().map(|share| share > 0.5),
        });
    }
    Some(told)
}
