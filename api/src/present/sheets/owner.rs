//! The owner's page: plain words, at most three things to do, what is not known.

use super::{hand_off, head};
use crate::present::screen::thing;
use crate::present::{certificate, drawing, next as advice, phrase, safety};
use crate::{Data, Job};
use engine::diag::Arg;
use engine::doc::job::{Complaint, Measure};
use engine::fit::scene::{Picture, Scene, picture};
use engine::fit::{Fit, What};
use engine::gate::{Condition, Gate, Outcome, Reason};
use engine::house::{House, Owner};
use engine::measure::Estimate;
use engine::plan::{Compared, MarkKind, Planned};
use engine::safety::{Disturbed, Sort};
use engine::units::Quantity;
use report::sheets::{NowAfter, OwnerComplaint, OwnerPage, Said};
use report::view::{HouseDrawing, Limit, Number, State, Todo, ZoneKind};
use report::words::{Show, Usage, Words};

/// Complaints, changes and open questions that a sheet has room for.
const COMPLAINTS: usize = 2;
const CHANGES: usize = 2;
const UNKNOWN: usize = 3;
/// Groups of plans that wait for the same, as many as are named.
const WAITING: usize = 2;
/// Things put back that are named.
const TOUCHED: usize = 8;
/// What a sheet of office paper of 80 g/m2 lying flat presses with, Pa.
const SHEET_PA: f64 = 0.78;
/// A pressure beyond this comes from a test fan or a pipe, not from daily life, Pa.
const DAILY_PA: f64 = 20.0;
/// Flows of the picture beside those the page talks about.
const FLOWS: usize = 3;

/// The page; nothing where there is no house or no fit.
pub(crate) fn page(job: &Job, data: &Data, words: &Words, now: &str) -> Option<OwnerPage> {
    let (house, fit) = (job.house.as_ref()?, data.fit.as_ref()?);
    let pressure = engine::air::standard_pressure_pa(job.documents.job.place.altitude_m.unwrap_or(0.0));
    let seen = picture(house, &Scene::cold_evening(house, pressure), &fit.draws).ok();
    let mut head = head(job, words.say("owner-title"), job.documents.visits.last(), words, now);
    head.safety = safety::plain(job, words);
    let mut said: Vec<&Complaint> = job.documents.job.complaints.iter().collect();
    said.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    let shown = said.len().min(COMPLAINTS);
    let around = Around { job, data, house, fit, seen: seen.as_ref(), words };
    let complaints: Vec<OwnerComplaint> = said[..shown].iter().map(|c| around.complaint(c)).collect();
    let zone = said.iter().find_map(|c| c.zone.as_ref().and_then(|z| house.zone(&z.value)));
    let mut page = OwnerPage {
        head,
        complaints,
        more_complaints: said.len() - shown,
        house: seen.as_ref().map(|p| few(drawing::drawing(house, p, zone, words), words)),
        todo: around.todo(),
        waiting: waiting(job, data, words),
        changes: around.changes(),
        tightness: data.results.last().map(|r| {
            let mut t = certificate::tightness(r, job, words);
            (t.others, t.others_counted) = (Vec::new(), Vec::new());
            t
        }),
        tightness_note: words.say("owner-tight-note"),
        unknown: around.unknown(),
        left_open: String::new(),
        put_back: String::new(),
        explained: Vec::new(),
        rest: words.say("owner-rest"),
    };
    (page.left_open, page.put_back) = touched(job, words);
    page.explained = explained(&page, words);
    Some(page)
}

/// What the last visit touched: what is not put back, all of it; what was put back, by whom.
fn touched(job: &Job, words: &Words) -> (String, String) {
    let Some(list) = job
        .documents
        .visits
        .last()
        .and_then(|visit| job.restore_lists().into_iter().find(|r| r.visit == visit.folder))
    else {
        return Default::default();
    };
    let names = |open: bool| -> Vec<String> {
        list.list.iter().filter(|d| d.restored.is_none() == open).map(|d| plain_thing(d, words)).collect()
    };
    let told = |key: &str, names: Vec<String>, more: usize, who: &str| {
        let args = [
            ("list", names.join("; ").into()),
            ("more", more.into()),
            ("who", who.into()),
            ("date", list.date.as_str().into()),
        ];
        if names.is_empty() { String::new() } else { words.text(key, &args) }
    };
    let mut back = names(false);
    let more = back.len().saturating_sub(TOUCHED);
    back.truncate(TOUCHED);
    let mut who: Vec<&str> = Vec::new();
    for by in list.list.iter().filter_map(|d| d.restored.as_ref()).map(|b| b.by.as_str()) {
        if !by.is_empty() && !who.contains(&by) {
            who.push(by);
        }
    }
    (told("owner-left-open", names(true), 0, ""), told("owner-put-back", back, more, &who.join(", ")))
}

/// A thing that was touched, in words that need no explaining.
fn plain_thing(d: &Disturbed, words: &Words) -> String {
    let key = match d.sort {
        Sort::FluePlug => "owner-item-flue-plug",
        Sort::Registers => "owner-item-registers",
        Sort::Plugs => "owner-item-plugs",
        _ => return thing(d, words),
    };
    words.text(key, &[("label", d.label.as_str().into())])
}

/// The picture with the flows that the page talks about and the largest of the others.
fn few(mut drawing: HouseDrawing, words: &Words) -> HouseDrawing {
    let mut order: Vec<f64> = drawing.passages.iter().map(|p| p.flow.estimate.si.abs()).collect();
    order.sort_by(|a, b| b.total_cmp(a));
    let least = order.get(FLOWS.saturating_sub(1)).copied().unwrap_or(0.0);
    drawing.passages.retain(|p| p.selected || p.via_buffer || p.flow.estimate.si.abs() >= least);
    drawing.setup = words.say("owner-picture");
    // Ducts without air in the picture need no name.
    let used = |id: &String| drawing.passages.iter().any(|p| p.from == *id || p.to == *id);
    drawing.zones.retain(|z| z.kind != ZoneKind::Duct || used(&z.id));
    drawing
}

struct Around<'a> {
    job: &'a Job,
    data: &'a Data,
    house: &'a House,
    fit: &'a Fit,
    seen: Option<&'a Picture>,
    words: &'a Words,
}

impl Around<'_> {
    fn flow(&self, si: f64) -> Arg {
        self.words.about(si, Quantity::AirFlow, Show::default()).into()
    }

    /// Index of the score of a complaint.
    fn score_of(&self, compared: &Compared, c: &Complaint) -> Option<usize> {
        let at = self.job.documents.job.complaints.iter().position(|o| std::ptr::eq(o, c))?;
        compared.scores.iter().position(|s| s.complaint == Some(at))
    }

    fn complaint(&self, c: &Complaint) -> OwnerComplaint {
        let mut says: Vec<Said> = Vec::new();
        let computed = |text: String| Said { text, state: Some(State::Computed) };
        says.extend(self.streams(c).map(computed));
        if let Some(compared) = &self.data.plans
            && let Some(s) =
                self.score_of(compared, c).filter(|s| compared.plans[0].values[*s].si.is_finite())
        {
            let value = compared.plans[0].values[s];
            let args = [
                ("measure", phrase::score(&compared.scores[s], self.house, self.words).into()),
                ("value", self.ranged(&value).into()),
                ("limit", self.words.about(c.limit.value, value.quantity, Show::default()).into()),
                ("less", if c.quantity.value.lower_is_better() { "yes" } else { "no" }.into()),
            ];
            says.push(computed(self.words.text("owner-year", &args)));
        }
        says.extend(self.reading(c));
        OwnerComplaint { words: c.words.value.clone(), says }
    }

    /// Value with its range in brackets.
    fn ranged(&self, e: &Estimate) -> String {
        let parts = self.words.shown_estimate(e, Show::default());
        match parts.ends {
            Some((lo, hi)) => format!("{} ({})", parts.value, self.words.from_to(&lo, &hi)),
            None => parts.value.to_string(),
        }
    }

    /// What the air does about a complaint, on a cold evening.
    fn streams(&self, c: &Complaint) -> Option<String> {
        let seen = self.seen?;
        let zone =
            |name: &Option<engine::doc::Sp<String>>| name.as_ref().and_then(|z| self.house.zone(&z.value));
        let label = |z: usize| -> Arg { self.house.zones[z].label.as_str().into() };
        match c.quantity.value {
            Measure::Co2AtNight | Measure::Co2Hours => {
                let at = zone(&c.zone)?;
                let total: f64 = seen.streams.iter().filter(|s| s.to == Some(at)).map(|s| s.flow.si).sum();
                Some(self.words.text("owner-co2", &[("flow", self.flow(total)), ("zone", label(at))]))
            }
            Measure::AirFrom => {
                let from = zone(&c.from)?;
                let into: Vec<_> = seen
                    .streams
                    .iter()
                    .filter(|s| {
                        s.from == Some(from)
                            && s.to.is_some_and(|t| self.house.zones[t].kind.is_indoors())
                            && !matches!(s.owner, Owner::Register(r) if r != usize::MAX)
                    })
                    .collect();
                let total: f64 = into.iter().map(|s| s.flow.si).sum();
                let way = into.iter().max_by(|a, b| a.flow.si.total_cmp(&b.flow.si)).map(|s| match s.owner {
                    Owner::Register(usize::MAX) => self.words.say("return-leak-way"),
                    owner => engine::fit::scene::owner_label(self.house, owner),
                });
                let way: Arg = way.unwrap_or_default().as_str().into();
                let args = [("flow", self.flow(total)), ("zone", label(from)), ("way", way)];
                Some(self.words.text("owner-air-from", &args))
            }
            _ => None,
        }
    }

    /// The last pressure of daily life that was felt in the complaint's room; of air from somewhere else
    /// it says nothing.
    fn reading(&self, c: &Complaint) -> Option<Said> {
        if c.quantity.value == Measure::AirFrom {
            return None;
        }
        let zone = &self.house.zones[self.house.zone(&c.zone.as_ref()?.value)?].label;
        let without_fan = |span: &engine::diag::Span| {
            let all = &self.job.observations;
            let station = all.list.iter().find(|o| o.span == *span).map(|o| &all.stations[o.station]);
            station.is_some_and(|s| s.fan_zone.is_none())
        };
        let (against, si) = self.fit.readings.iter().rev().find_map(|r| match &r.what {
            What::Pressure { feels, compared_with } if feels == zone && without_fan(&r.span) => {
                (r.shown.si.abs() < DAILY_PA).then_some((compared_with.clone(), r.shown.si))
            }
            _ => None,
        })?;
        let against = if against.is_empty() { self.words.say("outdoors") } else { against };
        let args = [
            ("zone", zone.as_str().into()),
            ("against", against.into()),
            ("value", self.words.about(si.abs(), Quantity::Pressure, Show::default()).into()),
            ("sheets", Arg::Number((si.abs() / SHEET_PA).round())),
            ("way", if si < 0.0 { "pull" } else { "push" }.into()),
        ];
        let text = self.words.text("owner-reading", &args);
        Some(Said { text, state: Some(State::Measured { at: String::new() }) })
    }

    fn plain(&self, key: &str, args: &[(&str, Arg)]) -> Todo {
        let part = |name: &str| self.words.text(&format!("{key}.{name}"), args);
        Todo {
            what: self.words.text(key, args),
            place: part("place"),
            who: part("who"),
            price: None,
            change: part("change"),
            goes_with: part("with"),
            proof: part("proof"),
        }
    }

    /// What endangers people or holds plans, then the best plan that may be acted on, then a reading.
    fn todo(&self) -> Vec<Todo> {
        let mut out: Vec<Todo> = self.first().into_iter().collect();
        out.extend(self.best_plan());
        let next = self.data.next.as_ref().map(|n| advice::readings(self.job, n, 1, self.words));
        if let Some(first) = next.into_iter().flatten().next() {
            let time = self.words.quantity_as(first.work_s, Quantity::Time, Show::unit("min"));
            out.push(self.plain("owner-reading-what", &[("time", time.into())]));
        }
        out.truncate(3);
        out
    }

    /// What has to be done about burners before anything else.
    fn first(&self) -> Option<Todo> {
        let record = self.job.record.as_ref();
        let named = |a: usize| {
            let a = &self.house.appliances[a];
            [
                ("appliance", Arg::from(a.label.as_str())),
                ("zone", Arg::from(self.house.zones[a.zone].label.as_str())),
            ]
        };
        let beyond = |f: &&engine::gate::Finding| [f.spillage, f.flue_co].contains(&Some(Outcome::Beyond));
        if let Some(failed) = record.and_then(|r| r.findings.iter().find(beyond)) {
            return Some(self.plain("owner-fix-what", &named(failed.appliance)));
        }
        let held = self.job.planned.iter().any(|p| !p.gate.is_released());
        if !held {
            return None;
        }
        if record.is_none_or(|r| !r.inspected) || self.house.appliances.is_empty() {
            return Some(self.plain("owner-look-what", &[]));
        }
        // The first appliance that some plan waits for.
        let waits = |label: &str| {
            let of = |r: &Reason| matches!(subject(r), Some(a) if a == label);
            self.job
                .planned
                .iter()
                .any(|p| matches!(&p.gate, Gate::Held { reasons } if reasons.iter().any(of)))
        };
        let at = self.house.appliances.iter().position(|a| waits(&a.label)).unwrap_or(0);
        Some(self.plain("owner-test-what", &named(at)))
    }

    fn best_plan(&self) -> Option<Todo> {
        let compared = self.data.plans.as_ref().filter(|c| c.best > 0)?;
        let plan = &compared.plans[compared.best];
        // A held plan is never the best; asked again, so that no slip elsewhere makes one advice.
        let Some(Gate::Released { conditions }) = &plan.gate else { return None };
        let planned = self.job.planned.iter().find(|p| p.name == plan.name)?;
        let words = self.words;
        let mut places: Vec<String> = Vec::new();
        for place in planned.changes.iter().flat_map(|c| hand_off::places(c, self.house)) {
            if !places.contains(&place) {
                places.push(place);
            }
        }
        let more = places.len() > 2;
        places.truncate(2);
        let mut place = places.join("; ");
        if more {
            place = words.text("owner-and", &[("list", place.into())]);
        }
        let mut trades: Vec<&str> = Vec::new();
        for (stage, _) in engine::plan::in_order(&planned.changes) {
            let key = hand_off::stage(stage);
            if !trades.contains(&key) {
                trades.push(key);
            }
        }
        let who: Vec<String> = trades.iter().map(|k| words.say(&format!("owner-who-{k}"))).collect();
        let with: Vec<String> = conditions.iter().map(|c| condition(c, words)).collect();
        let none = |list: Vec<String>, key: &str| {
            if list.is_empty() { words.say(key) } else { list.join("; ") }
        };
        Some(Todo {
            what: plan.label.clone(),
            place: if place.is_empty() { words.say("owner-at-home") } else { place },
            who: who.join(", "),
            price: plan.price.map(|p| Number::assumed(p, &words.say("priced-by-you"))),
            change: words.say("owner-plan-change"),
            goes_with: none(with, "owner-plan-with"),
            proof: self.proof(planned),
        })
    }

    /// The number that the tester reads to prove the work.
    fn proof(&self, planned: &Planned) -> String {
        let words = self.words;
        let steps = hand_off::steps(planned, self.house, self.fit, self.job.documents.job.seed);
        let marks = || steps.iter().flat_map(|s| &s.marks).filter(|m| hand_off::steers(m));
        let zone = marks().rfind(|m| m.kind.rises());
        let fan = marks().rfind(|m| m.kind == MarkKind::TestFlow);
        match (zone, fan) {
            (Some(m), _) => {
                let MarkKind::ZonePressure { zone, .. } = m.kind else { return String::new() };
                let label: Arg = self.house.zones[zone].label.as_str().into();
                words.text(
                    "owner-plan-proof-zone",
                    &[("zone", label), ("value", hand_off::shown(m, words).into())],
                )
            }
            (None, Some(m)) => {
                words.text("owner-plan-proof-flow", &[("value", hand_off::shown(m, words).into())])
            }
            (None, None) => words.say("owner-plan-proof"),
        }
    }

    fn changes(&self) -> Vec<NowAfter> {
        let Some(compared) = &self.data.plans else { return Vec::new() };
        let after = (compared.best > 0).then(|| &compared.plans[compared.best]);
        let row = |(s, score): (usize, &engine::plan::Score)| NowAfter {
            name: phrase::score(score, self.house, self.words),
            now: Number::computed(compared.plans[0].values[s]),
            after: after.filter(|p| p.values[s].si.is_finite()).map(|p| Number::computed(p.values[s])),
            goal: score.target.map(|si| Limit {
                si,
                quantity: score.kind.quantity(),
                usage: Usage::Usual,
                at_most: score.kind.lower_is_better(),
                source: score.target_source.clone().unwrap_or_default(),
                confirmed: true,
            }),
        };
        let told = |(s, score): &(usize, &engine::plan::Score)| {
            score.complaint.is_some() && compared.plans[0].values[*s].si.is_finite()
        };
        compared.scores.iter().enumerate().filter(told).take(CHANGES).map(row).collect()
    }

    fn unknown(&self) -> Vec<String> {
        let mut out: Vec<String> = crate::present::house::undetermined(self.fit, self.words);
        // Nothing here measures it, so that it stays open in every house.
        out.truncate(UNKNOWN - 1);
        out.push(self.words.say("owner-unknown-radon"));
        out
    }
}

/// The appliance that a reason speaks of.
fn subject(reason: &Reason) -> Option<&str> {
    match reason {
        Reason::SpillageMissing { appliance }
        | Reason::FlueCoMissing { appliance }
        | Reason::SpillageFailed { appliance }
        | Reason::FlueCoFailed { appliance }
        | Reason::LimitNotConfirmed { appliance }
        | Reason::BasisDiffers { appliance }
        | Reason::Unvented { appliance } => Some(appliance),
        Reason::NotInspected
        | Reason::Contradiction
        | Reason::ApplianceNotNamed
        | Reason::Changed
        | Reason::RepeatOwed
        | Reason::Stopped => None,
    }
}

/// Who must do what before a held plan may be acted on, in the owner's words.
fn first_step(reason: &Reason, words: &Words) -> String {
    let key = match reason {
        Reason::NotInspected => "owner-first-look",
        Reason::Contradiction | Reason::ApplianceNotNamed => "owner-first-record",
        Reason::SpillageMissing { .. } | Reason::FlueCoMissing { .. } | Reason::BasisDiffers { .. } => {
            "owner-first-test"
        }
        Reason::SpillageFailed { .. } | Reason::FlueCoFailed { .. } | Reason::Unvented { .. } => {
            "owner-first-fix"
        }
        Reason::LimitNotConfirmed { .. } => "owner-first-limit",
        Reason::Stopped => "owner-first-stop",
        Reason::Changed => "owner-first-again",
        Reason::RepeatOwed => "owner-first-repeat",
    };
    words.text(key, &[("appliance", subject(reason).unwrap_or_default().into())])
}

/// Held plans, those first that would do best if they were released.
fn waiting(job: &Job, data: &Data, words: &Words) -> Vec<String> {
    let mut held: Vec<(&Planned, &[Reason], f64)> = Vec::new();
    for planned in &job.planned {
        if let Gate::Held { reasons } = &planned.gate {
            let scored = data.plans.iter().flat_map(|c| &c.plans).find(|p| p.name == planned.name);
            held.push((planned, reasons, scored.map_or(0.0, |p| p.best_if_released)));
        }
    }
    held.sort_by(|a, b| b.2.total_cmp(&a.2));
    // Plans that wait for the same are named together.
    let mut groups: Vec<(Vec<String>, String)> = Vec::new();
    for (planned, reasons, _) in &held {
        let mut steps: Vec<String> = Vec::new();
        for step in reasons.iter().map(|r| first_step(r, words)) {
            if !steps.contains(&step) {
                steps.push(step);
            }
        }
        let name = words.text("quoted", &[("words", planned.label.as_str().into())]);
        let first = steps.join("; ");
        match groups.iter_mut().find(|g| g.1 == first) {
            Some(group) => group.0.push(name),
            None => groups.push((vec![name], first)),
        }
    }
    let one = |(plans, first): &(Vec<String>, String)| {
        let args = [("plans", plans.join(", ").into()), ("first", first.as_str().into())];
        words.text("owner-waiting", &args)
    };
    groups.iter().take(WAITING).map(one).collect()
}

fn condition(condition: &Condition, words: &Words) -> String {
    match condition {
        Condition::ReplaceFirst { appliance } => {
            words.text("owner-condition-replace-first", &[("appliance", appliance.as_str().into())])
        }
        Condition::TestAgain => words.say("owner-condition-test-again"),
        Condition::SignedOff => words.say("owner-condition-signed-off"),
    }
}

/// Units and words of the page, each explained where it is used.
fn explained(page: &OwnerPage, words: &Words) -> Vec<String> {
    let text = report::html::owner_text(page, words);
    // The word by itself, not as a part of another one.
    let edge = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric() && c != '\u{2082}');
    let has = |needle: &str| {
        let parts: Vec<&str> = text.split(needle).collect();
        parts.windows(2).any(|w| edge(w[0].chars().next_back()) && edge(w[1].chars().next()))
    };
    let (handler, returns) = (words.say("owner-term-handler"), words.say("owner-term-returns"));
    let list = [
        ("cfm", "owner-word-cfm"),
        ("L/s", "owner-word-l-s"),
        ("m\u{b3}/h", "owner-word-m3-h"),
        ("Pa", "owner-word-pa"),
        ("ppm", "owner-word-ppm"),
        ("CO\u{2082}", "owner-word-co2"),
        ("CO", "owner-word-co"),
        ("PM2.5", "owner-word-pm25"),
        ("1/h", "owner-word-ach50"),
        (handler.as_str(), "owner-word-handler"),
        (returns.as_str(), "owner-word-returns"),
    ];
    let mut out: Vec<String> =
        list.iter().filter(|(needle, _)| has(needle)).map(|(_, key)| words.say(key)).collect();
    out.push(words.say("owner-word-range"));
    out
}
