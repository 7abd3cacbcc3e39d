//! The test-out in words.

use super::head;
use crate::present::{certificate, field, house as whole, phrase};
use crate::test_out::{ComplaintOut, Kept, Promised, ReadingChange, TestOut, Value};
use crate::{Data, Job};
use engine::diag::Arg;
use engine::doc::visit::Visit;
use engine::house::House;
use engine::measure::Estimate;
use engine::plan::ScoreKind;
use engine::procedure::test_out::{Became, Written};
use engine::units::Quantity;
use report::sheets::{OutComplaint, OutRow, OutTest, TestOutView};
use report::view::Number;
use report::words::{Show, Usage, Words};

/// The view; nothing where no visit is a test-out.
pub(crate) fn view(job: &Job, data: &Data, words: &Words, now: &str) -> Option<TestOutView> {
    let out = data.test_out.as_ref()?;
    let visit = |folder: &str| job.documents.visits.iter().find(|v| v.folder == folder);
    let (before, after) = (visit(&out.before)?, visit(&out.after)?);
    let house = job.house.as_ref();
    let named = house.map(|h| Named { job, house: h, words });
    Some(TestOutView {
        head: head(job, words.say("out-title"), Some(after), words, now),
        intro: intro(job, out, before, after, words),
        complaints: named
            .iter()
            .flat_map(|n| out.complaints.iter().filter_map(|c| n.complaint(c, data)))
            .collect(),
        promised: named.iter().flat_map(|n| out.promised.iter().map(|p| n.promised(p))).collect(),
        tests: tests(out, words),
        readings: out.readings.iter().map(|r| reading(r, house, words)).collect(),
        setups: out
            .setups
            .iter()
            .map(|d| {
                [what(&d.what, house, words), written_down(&d.before, words), written_down(&d.after, words)]
            })
            .collect(),
        photos: [before, after]
            .into_iter()
            .filter(|v| !v.photos.is_empty())
            .map(|v| crate::present::photos::of_visit(job, v, words))
            .collect(),
        instruments_before: {
            let list = certificate::instruments(before, words);
            if list == certificate::instruments(after, words) { Vec::new() } else { list }
        },
    })
}

fn intro(job: &Job, out: &TestOut, before: &Visit, after: &Visit, words: &Words) -> Vec<String> {
    let label = job.documents.plans.iter().find(|p| p.name.value == out.plan).map(|p| p.label.as_str());
    let args = [
        ("plan", label.unwrap_or(&out.plan).into()),
        ("before", before.date.as_str().into()),
        ("after", after.date.as_str().into()),
    ];
    let mut list = vec![words.text("out-intro", &args)];
    let done = after.test_out.as_ref().and_then(|t| t.work_done.as_deref());
    list.extend(done.map(|day| words.text("out-done", &[("day", day.into())])));
    if !out.promised.is_empty() {
        list.push(words.say("out-how"));
    }
    list
}

struct Named<'a> {
    job: &'a Job,
    house: &'a House,
    words: &'a Words,
}

impl Named<'_> {
    fn complaint(&self, c: &ComplaintOut, data: &Data) -> Option<OutComplaint> {
        let words = self.words;
        let said = self.job.documents.job.complaints.get(c.complaint)?;
        let thresholds = &self.job.documents.job.thresholds;
        let explained = whole::complaint(said, self.house, (data, thresholds), None, words);
        let source: Arg = said.limit_source.as_deref().unwrap_or("").into();
        let agreed: Arg = said.agreed.as_ref().map_or("", |d| d.value.as_str()).into();
        let key = match c.written {
            Written::Before => "out-written-before",
            Written::After => "out-written-after",
            Written::Undated => "out-written-undated",
        };
        let by = words.estimate_short(&c.change, Show::default().signed());
        let became = match c.became {
            Became::Gone => words.say("out-gone"),
            Became::Better => words.text("out-better", &[("change", by.into())]),
            Became::Worse => words.text("out-worse", &[("change", by.into())]),
            Became::NotShown => words.say("out-not-shown"),
        };
        let statement: Arg = explained.statement.as_str().into();
        Some(OutComplaint {
            words: said.words.value.clone(),
            criterion: words.text("out-criterion", &[("statement", statement), ("source", source)]),
            written: c.written,
            written_text: words.text(key, &[("day", agreed)]),
            before: Number::computed(c.before),
            after: Number::computed(c.after),
            change: Number::computed(c.change).signed(),
            became: c.became,
            said: became,
        })
    }

    fn promised(&self, p: &Promised) -> OutRow {
        let signed = matches!(p.score.kind, ScoreKind::AppliancePressure | ScoreKind::SoilPressure { .. });
        let number = |e: Estimate| {
            let n = Number::computed(e);
            if signed { n.signed() } else { n }
        };
        OutRow {
            name: phrase::score(&p.score, self.house, self.words),
            before: number(p.before),
            promised: Some(number(p.promised)),
            after: number(p.after),
            change: Some(Number::computed(p.change).signed()),
            note: self.words.say(match p.kept {
                Kept::Yes => "out-kept-yes",
                Kept::Better => "out-kept-better",
                Kept::Short => "out-kept-short",
            }),
        }
    }
}

fn tests(out: &TestOut, words: &Words) -> Vec<OutTest> {
    let mut list: Vec<OutTest> = Vec::new();
    for e in &out.envelope {
        let number = |e: Estimate| Number::computed(e).used_as(Usage::TestFlow);
        let shared = if e.shared_error { "out-test-shared" } else { "out-test-apart" };
        list.push(OutTest {
            title: e.name.clone(),
            rows: vec![OutRow {
                name: words.say("figure-flow50"),
                before: number(e.before),
                promised: None,
                after: number(e.after),
                change: Some(number(e.change).signed()),
                note: String::new(),
            }],
            differs: e.differs.iter().map(|n| words.text(n.id, &n.args)).collect(),
            notes: vec![words.say(shared)],
            checks: Vec::new(),
        });
    }
    for f in &out.field {
        let kind = words.say(&field::kind_key(f.kind));
        let title = format!("{}: {kind}", f.test);
        let number = |e: Estimate| Number::computed(e).used_as(field::usage(f.figure));
        let row = OutRow {
            name: field::named(f.figure, f.of.as_deref(), words),
            before: number(f.before),
            promised: None,
            after: number(f.after),
            change: f.change.map(|c| number(c).signed()),
            note: String::new(),
        };
        match list.iter_mut().find(|t| t.title == title) {
            Some(test) => test.rows.push(row),
            None => list.push(OutTest {
                title,
                rows: vec![row],
                differs: Vec::new(),
                notes: vec![words.say("out-field-apart")],
                checks: Vec::new(),
            }),
        }
    }
    list
}

fn reading(r: &ReadingChange, house: Option<&House>, words: &Words) -> OutRow {
    let name = |n: &str| what(n, house, words);
    let label = match &r.of {
        (feels, Some(compared)) => {
            let args = [("feels", name(feels).into()), ("compared_with", name(compared).into())];
            words.text("reading-pressure", &args)
        }
        (of, None) => words.text("reading-flow", &[("of", name(of).into())]),
    };
    let signed = |n: Number| if n.estimate.quantity == Quantity::Pressure { n.signed() } else { n };
    let note = match (&r.change, r.same_instrument) {
        (Some(c), true) => words.text("out-shared", &[("r", words.fixed(c.correlation, 2).into())]),
        _ => words.say("out-apart"),
    };
    OutRow {
        name: label,
        before: signed(Number::measured(r.before, "")),
        promised: None,
        after: signed(Number::measured(r.after, "")),
        change: r.change.as_ref().map(|c| Number::computed(c.value).signed()),
        note,
    }
}

/// A name of the documents as people read it.
fn what(name: &str, house: Option<&House>, words: &Words) -> String {
    if name.starts_with("out-") || name == report::view::OUTDOORS {
        return words.say(name);
    }
    let Some(house) = house else { return name.replace('_', " ") };
    let zones = house.zones.iter().map(|z| (z.name.as_str(), z.label.as_str()));
    let doors = house.doors.iter().map(|d| (d.text.name.value.as_str(), d.text.label.as_str()));
    let fans = house.fans.iter().map(|f| (f.text.name.value.as_str(), f.text.label.as_str()));
    let registers = house.air_handler.iter().flat_map(|h| &h.text.registers);
    let registers = registers.map(|r| (r.name.value.as_str(), r.label.as_str()));
    let mut all = zones.chain(doors).chain(fans).chain(registers);
    all.find(|(n, _)| *n == name).map_or_else(|| name.replace('_', " "), |(_, label)| label.to_owned())
}

fn written_down(value: &Value, words: &Words) -> String {
    match value {
        Value::Text(text) => text.clone(),
        Value::Number { si, quantity } => words.quantity(*si, *quantity),
        Value::Nothing => "\u{2013}".to_owned(),
    }
}
