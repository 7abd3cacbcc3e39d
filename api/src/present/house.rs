//! The report of a house.

use super::next as advice;
use super::{beyond, certificate, drawing, phrase, plans, safety};
use crate::{Data, Job};
use engine::doc::job::{Complaint as Said, Measure, Thresholds};
use engine::fit::scene::{Picture, Scene, picture};
use engine::fit::{self, Fit, Undetermined, What};
use engine::gate::Gate;
use engine::house::{House, Owner, ParamKind};
use engine::measure::{Estimate, Interval};
use engine::units::Quantity;
use report::view::{Complaint, Evidence, HouseReport, Known, KnownGroup, KnownRow, Number, Residual, Todo};
use report::words::{Show, Usage, Words};

/// Numbers whose limits rest on few draws that are named one by one.
const MOST_LOOSE: usize = 3;

/// A reading further from the others than this, in standard uncertainties, is marked suspect.
const SUSPECT_Z: f64 = 3.0;

/// The whole view.
pub(crate) fn report(job: &Job, data: &Data, words: &Words, now: &str) -> HouseReport {
    let Some(house) = &job.house else { return HouseReport::default() };
    let last = job.documents.visits.last();
    let pressure = engine::air::standard_pressure_pa(job.documents.job.place.altitude_m.unwrap_or(0.0));
    let scene = Scene::cold_evening(house, pressure);
    let seen = data.fit.as_ref().and_then(|f| picture(house, &scene, &f.draws).ok());
    let selected =
        job.documents.job.complaints.iter().find_map(|c| c.zone.as_ref().and_then(|z| house.zone(&z.value)));
    HouseReport {
        letterhead: certificate::letterhead(job, words),
        tester: super::sheets::tester(job, words),
        title: job.documents.job.name.clone(),
        subtitle: subtitle(job, words),
        stale: None,
        safety: safety::lines(job, words),
        care: (data.safety.as_ref().filter(|s| s.is_kept())).map(|s| super::screen::all(job, s, words)),
        complaints: job
            .documents
            .job
            .complaints
            .iter()
            .map(|c| complaint(c, house, (data, &job.documents.job.thresholds), seen.as_ref(), words))
            .collect(),
        findings: data.findings.as_ref().map(|f| super::findings::view(job, f, false, words)),
        tightness: data.results.last().map(|r| certificate::tightness(r, job, words)),
        house: seen.as_ref().map(|p| drawing::drawing(house, p, selected, words)),
        ladder: seen.as_ref().map(|p| drawing::ladder(house, p, selected, words)),
        field: super::screen::field_tests(job, &data.field, words),
        tests: data
            .results
            .iter()
            .flat_map(|r| r.result.runs.iter().map(|run| certificate::plot(run, &r.result.name, words)))
            .collect(),
        known: data.fit.as_ref().map(|f| known(f, words)),
        residuals: data.fit.as_ref().map(|f| residuals(f, words)).unwrap_or_default(),
        undetermined: data.fit.as_ref().map(|f| undetermined(f, words)).unwrap_or_default(),
        beyond: data.fit.as_ref().map(|f| beyond(job, f, words)).unwrap_or_default(),
        answers: data.fit.as_ref().map(|f| beyond::answers(f, words)).unwrap_or_default(),
        rooms: super::rooms::days(&data.rooms, house, words),
        plans: data.plans.as_ref().map(|p| plans::plans(job, house, p, words)),
        next: data.next.as_ref().map(|n| advice::readings(job, n, 5, words)).unwrap_or_default(),
        next_notes: data.next.as_ref().map(|n| advice::notes(job, n, words)).unwrap_or_default(),
        todo: todo(job, data, house, words),
        cautions: cautions(job, data, words),
        photos: super::photos::of_job(job, words),
        instruments: last.map(|v| certificate::instruments(v, words)).unwrap_or_default(),
        provenance: certificate::provenance(job, now),
        left_out: Vec::new(),
    }
}

/// What to take again, and what the readings say beyond the sizes.
fn beyond(job: &Job, fit: &Fit, words: &Words) -> Vec<String> {
    let mut out = super::again::sentences(job, fit, words);
    out.extend(beyond::sentences(fit, words));
    out
}

pub(crate) fn subtitle(job: &Job, words: &Words) -> String {
    let Some(visit) = job.documents.visits.last() else { return String::new() };
    let mut parts = Vec::new();
    if !visit.date.is_empty() {
        parts.push(words.text("tested-on", &[("date", visit.date.as_str().into())]));
    }
    if let Some(k) = visit.conditions.outdoor_k {
        parts.push(words.text("outside-at", &[("value", words.written(k, Quantity::Temperature).into())]));
    }
    if let Some(w) = visit.conditions.wind_m_s {
        parts.push(words.text("wind-at", &[("value", words.written(w, Quantity::Speed).into())]));
    }
    parts.join(" \u{b7} ")
}

/// The complaint, its statement and the number that explains it.
pub(crate) fn complaint(
    said: &Said,
    house: &House,
    (data, usual): (&Data, &Thresholds),
    seen: Option<&Picture>,
    words: &Words,
) -> Complaint {
    let beyond = engine::plan::beyond(said.quantity.value, said.beyond, usual);
    let gas = said.gas.as_ref().map(|g| g.value.as_str());
    let zone = said.zone.as_ref().and_then(|z| house.zone(&z.value));
    let from = said.from.as_ref().and_then(|z| house.zone(&z.value));
    let at = if said.quantity.value == Measure::AirFrom { from } else { zone };
    let name = phrase::measure(said.quantity.value, house, at, (beyond, gas), words);
    let limit = words.about(said.limit.value, said.quantity.value.quantity(), Show::default());
    let args = [("measure", name.as_str().into()), ("limit", limit.into())];
    let statement = if said.quantity.value.lower_is_better() {
        words.text("complaint-statement", &args)
    } else {
        words.text("complaint-statement-at-least", &args)
    };
    let mut evidence = Vec::new();
    if let Some(compared) = &data.plans {
        let index = compared.scores.iter().position(|s| {
            s.complaint.is_some()
                && s.target == Some(said.limit.value)
                && matches!(s.kind, engine::plan::ScoreKind::Of { measure, zone: z, .. }
                    if measure == said.quantity.value && z == zone)
        });
        if let Some(s) = index {
            evidence.push(Evidence {
                label: words.text("evidence-year", &[("measure", name.as_str().into())]),
                number: Number::computed(compared.plans[0].values[s]),
            });
        }
    }
    if let (Some(seen), Some(zone)) = (seen, at) {
        evidence.extend(flows_of(said.quantity.value, zone, house, seen, words));
    }
    if let (Some(fit), Some(zone)) = (&data.fit, zone) {
        evidence.extend(reading_of(fit, &house.zones[zone].label, words));
    }
    Complaint {
        words: said.words.value.clone(),
        by: said.who.clone().unwrap_or_default(),
        statement,
        explanation: at.map_or_else(String::new, |z| explanation(said.quantity.value, z, house, seen, words)),
        evidence,
    }
}

/// One sentence that says what the air does about it.
fn explanation(
    measure: Measure,
    zone: usize,
    house: &House,
    seen: Option<&Picture>,
    words: &Words,
) -> String {
    let Some(seen) = seen else { return String::new() };
    let streams = || wanted_streams(measure, zone, house, seen);
    let total: f64 = streams().map(|s| s.flow.si).sum();
    let label: engine::diag::Arg = house.zones[zone].label.as_str().into();
    let flow = |si: f64| -> engine::diag::Arg { words.about(si, Quantity::AirFlow, Show::default()).into() };
    match measure {
        Measure::Co2AtNight => {
            let shut = house
                .doors
                .iter()
                .any(|d| d.between.contains(&engine::house::Place::Zone(zone)) && !d.text.open_at_night);
            let args = [("zone", label), ("flow", flow(total))];
            if shut { words.text("explain-co2", &args) } else { words.text("explain-air-reaches", &args) }
        }
        Measure::AirFrom => {
            let mut text = words.text("explain-air-from", &[("zone", label), ("flow", flow(total))]);
            if let Some(s) = streams().max_by(|a, b| a.flow.si.total_cmp(&b.flow.si)) {
                let way = stream_name(s, house, words);
                text += " ";
                text +=
                    &words.text("explain-air-from-way", &[("way", way.into()), ("flow", flow(s.flow.si))]);
            }
            text
        }
        _ => String::new(),
    }
}

fn wanted_streams<'p>(
    measure: Measure,
    zone: usize,
    house: &'p House,
    seen: &'p Picture,
) -> impl Iterator<Item = &'p fit::scene::Stream> {
    seen.streams.iter().filter(move |s| match measure {
        Measure::AirFrom => {
            s.from == Some(zone)
                && s.to.is_some_and(|t| house.zones[t].kind.is_indoors())
                && !matches!(s.owner, Owner::Register(r) if r != usize::MAX)
        }
        Measure::Co2AtNight => s.to == Some(zone),
        _ => false,
    })
}

fn stream_name(s: &fit::scene::Stream, house: &House, words: &Words) -> String {
    match s.owner {
        Owner::Register(usize::MAX) => words.say("return-leak-way"),
        owner => fit::scene::owner_label(house, owner),
    }
}

/// Air into the room (or out of the buffer zone) on a cold evening, thing by thing.
fn flows_of(measure: Measure, zone: usize, house: &House, seen: &Picture, words: &Words) -> Vec<Evidence> {
    let mut streams: Vec<_> = wanted_streams(measure, zone, house, seen).collect();
    streams.sort_by(|a, b| b.flow.si.total_cmp(&a.flow.si));
    streams
        .into_iter()
        .take(3)
        .map(|s| Evidence {
            label: words.text("evidence-flow", &[("what", stream_name(s, house, words).into())]),
            number: Number::computed(s.flow),
        })
        .collect()
}

/// The last pressure that was felt in a zone.
fn reading_of(fit: &Fit, label: &str, words: &Words) -> Option<Evidence> {
    let read = fit.readings.iter().rev().find(|r| {
        matches!(&r.what, What::Pressure { feels, compared_with } if feels == label && !compared_with.is_empty())
    })?;
    Some(Evidence {
        label: phrase::reading(&read.what, words),
        number: Number::measured(read.shown, "").signed(),
    })
}

fn triple(e: &Estimate) -> (f64, f64, f64) {
    match e.interval {
        Interval::Range { lo, hi, .. } => (lo, e.si, hi),
        Interval::None(_) => (e.si, e.si, e.si),
    }
}

/// A reading with what was expected of it.
fn against(r: &fit::Compared, words: &Words) -> String {
    let shown = |e: &Estimate| words.about(e.si, e.quantity, Show::default());
    words.text(
        "reading-against",
        &[
            ("reading", phrase::reading(&r.what, words).into()),
            ("shown", shown(&r.shown).into()),
            ("expected", shown(&r.expected).into()),
        ],
    )
}

fn known(fit: &Fit, words: &Words) -> Known {
    let rows = |kinds: &[ParamKind]| -> Vec<KnownRow> {
        let mut rows: Vec<KnownRow> = fit
            .known
            .iter()
            .filter(|k| kinds.contains(&k.kind))
            .map(|k| KnownRow {
                label: phrase::param(k, words),
                prior: triple(&k.prior),
                posterior: k.posterior,
                from_readings_frac: k.from_readings,
                determined: k.from_readings >= 0.5,
            })
            .collect();
        rows.sort_by(|a, b| b.from_readings_frac.total_cmp(&a.from_readings_frac));
        rows
    };
    let group = |key: &str, quantity, usage, kinds: &[ParamKind]| KnownGroup {
        title: words.say(key),
        quantity,
        usage,
        rows: rows(kinds),
    };
    let groups = vec![
        group("group-leaks", Quantity::AirFlow, Usage::TestFlow, &[ParamKind::LeakAt50]),
        group("group-gaps", Quantity::Area, Usage::LeakageArea, &[ParamKind::Gap]),
        group("group-fans", Quantity::AirFlow, Usage::Usual, &[ParamKind::FanFlow, ParamKind::HandlerFlow]),
        group("group-drops", Quantity::Pressure, Usage::Usual, &[ParamKind::FilterDrop]),
        group(
            "group-shares",
            Quantity::Fraction,
            Usage::Usual,
            &[ParamKind::DuctLeak, ParamKind::RegisterWeight],
        ),
    ];
    Known {
        level: fit::LEVEL,
        readings: fit.readings_used,
        loose: loose(fit, words),
        groups: groups.into_iter().filter(|g| !g.rows.is_empty()).collect(),
    }
}

/// What the limits of numbers rest on, where that is few draws: the worst few by name, how many in all.
pub(crate) fn loose(fit: &Fit, words: &Words) -> Vec<String> {
    let all = fit.loose_limits();
    let mut out: Vec<String> = all
        .iter()
        .take(MOST_LOOSE)
        .map(|k| {
            let args = [
                ("label", phrase::param(k, words).into()),
                ("draws", words.number(k.limits.draws_beyond.round()).into()),
                ("share", words.percent(k.limits.error_sd).into()),
            ];
            words.text("fit-limits-loose", &args)
        })
        .collect();
    if all.len() > MOST_LOOSE {
        out.push(words.text("fit-limits-loose-more", &[("count", (all.len() - MOST_LOOSE).into())]));
    }
    out
}

fn residuals(fit: &Fit, words: &Words) -> Vec<Residual> {
    fit.readings
        .iter()
        .map(|r| {
            let value = Number::measured(r.shown, "");
            Residual {
                label: phrase::reading(&r.what, words),
                value: if r.shown.quantity == Quantity::Pressure { value.signed() } else { value },
                expected: r.expected,
                z: r.z,
                suspect: r.z.abs() > SUSPECT_Z,
            }
        })
        .collect()
}

pub(crate) fn undetermined(fit: &Fit, words: &Words) -> Vec<String> {
    fit.undetermined.iter().take(6).map(|u| direction(u, words)).collect()
}

fn direction(u: &Undetermined, words: &Words) -> String {
    let name = |i: usize| -> String {
        match u.parts.get(i).map_or("", |p| p.0.as_str()) {
            "supply_leak" => words.say("param-supply-leak"),
            "return_leak" => words.say("param-return-leak"),
            other => other.to_owned(),
        }
    };
    match u.parts.len() {
        0 | 1 => words.text("fit-undetermined-one", &[("a", name(0).into())]),
        2 => words.text("fit-undetermined-pair", &[("a", name(0).into()), ("b", name(1).into())]),
        _ => {
            let all: Vec<String> = (0..u.parts.len()).map(&name).collect();
            words.text("fit-undetermined-many", &[("list", all.join(", ").into())])
        }
    }
}

/// The three numbers of which the readings said most.
pub(crate) fn three_known(fit: &Fit, words: &Words) -> String {
    let mut sizes: Vec<&fit::Known> = fit.known.iter().filter(|k| is_size(k.kind)).collect();
    sizes.sort_by(|a, b| b.from_readings.total_cmp(&a.from_readings));
    let total = words.text(
        "fit-known-line",
        &[
            ("label", words.say("param-total").into()),
            ("value", words.estimate(&fit.total_at50, Show::usage(Usage::TestFlow)).into()),
            ("share", words.percent(total_share(fit)).into()),
        ],
    );
    let rest = sizes.iter().take(2).map(|k| line(k, words));
    std::iter::once(total).chain(rest).map(|l| format!("  {l}\n")).collect()
}

/// The three of which they said least.
pub(crate) fn three_unknown(fit: &Fit, words: &Words) -> String {
    let mut sizes: Vec<&fit::Known> = fit.known.iter().filter(|k| is_size(k.kind)).collect();
    sizes.sort_by(|a, b| a.from_readings.total_cmp(&b.from_readings));
    sizes
        .iter()
        .take(3)
        .map(|k| {
            let show = phrase::param_show(k.kind);
            let range = words.range(&k.posterior, show);
            let args = [("label", phrase::param(k, words).into()), ("range", range.into())];
            format!("  {}\n", words.text("fit-unknown-line", &args))
        })
        .collect()
}

/// Share of the variance of the total that the readings removed, from the widths of its ranges.
fn total_share(fit: &Fit) -> f64 {
    if fit.readings_used == 0 {
        return 0.0;
    }
    let width = |e: &Estimate| e.bounds().map_or(f64::NAN, |(lo, hi)| engine::math::ln(hi / lo));
    let ratio = width(&fit.total_at50) / width(&fit.total_at50_prior);
    (1.0 - ratio * ratio).clamp(0.0, 1.0)
}

fn is_size(kind: ParamKind) -> bool {
    !matches!(kind, ParamKind::Exponent | ParamKind::CommonExponent | ParamKind::RegisterWeight)
}

fn line(k: &fit::Known, words: &Words) -> String {
    words.text(
        "fit-known-line",
        &[
            ("label", phrase::param(k, words).into()),
            ("value", words.estimate(&k.posterior, phrase::param_show(k.kind)).into()),
            ("share", words.percent(k.from_readings).into()),
        ],
    )
}

/// At most three things to do: what holds the gate first, then the best released plan, then the
/// next reading.
fn todo(job: &Job, data: &Data, house: &House, words: &Words) -> Vec<Todo> {
    let mut out = Vec::new();
    let plain = |key: &str, args: &[(&str, engine::diag::Arg)]| Todo {
        what: words.text(key, args),
        place: words.text(&format!("{key}.place"), args),
        who: words.text(&format!("{key}.who"), args),
        price: None,
        change: words.text(&format!("{key}.change"), args),
        goes_with: words.text(&format!("{key}.with"), args),
        proof: words.text(&format!("{key}.proof"), args),
    };
    let held = job.planned.iter().any(|p| matches!(p.gate, Gate::Held { .. }));
    if held {
        let appliance = house.appliances.first();
        let args = [
            ("appliance", appliance.map_or("", |a| a.label.as_str()).into()),
            ("zone", appliance.map_or("", |a| house.zones[a.zone].label.as_str()).into()),
        ];
        out.push(plain("todo-combustion", &args));
    }
    if let Some(compared) = &data.plans
        && compared.best > 0
    {
        let plan = &compared.plans[compared.best];
        let conditions = match &plan.gate {
            Some(Gate::Released { conditions }) => {
                conditions.iter().map(|c| phrase::condition(c, words)).collect::<Vec<_>>().join("; ")
            }
            _ => String::new(),
        };
        let mut todo = plain("todo-plan", &[("plan", plan.label.as_str().into())]);
        let found = &compared.plans[0];
        let gains: Vec<String> = compared
            .scores
            .iter()
            .enumerate()
            .filter(|(_, s)| s.complaint.is_some())
            .map(|(i, s)| {
                let show = |e: &Estimate| words.estimate_short(e, Show::default());
                words.text(
                    "todo-gain-from-to",
                    &[
                        ("measure", phrase::score(s, house, words).into()),
                        ("from", show(&found.values[i]).into()),
                        ("to", show(&plan.values[i]).into()),
                    ],
                )
            })
            .collect();
        if !gains.is_empty() {
            todo.change = gains.join("; ");
        }
        todo.price = plan.price.map(|p| Number::assumed(p, &words.say("priced-by-you")));
        if !conditions.is_empty() {
            todo.goes_with = conditions;
        }
        out.push(todo);
    }
    if let Some(first) =
        data.next.as_ref().and_then(|n| advice::readings(job, n, 1, words).into_iter().next())
    {
        let mut todo = plain("todo-reading", &[]);
        todo.what = first.words;
        out.push(todo);
    }
    out
}

fn cautions(job: &Job, data: &Data, words: &Words) -> Vec<String> {
    let mut out = Vec::new();
    if job.house.as_ref().is_some_and(|h| !h.appliances.is_empty()) {
        out.push(words.say("safety-alarm-note"));
        out.push(words.say("caution-screening"));
    }
    let built = job.documents.job.building.year_built;
    // Where the hazard screen is kept, it says this by item.
    if built.is_none_or(|y| y < 1978) && !job.screen().is_some_and(|s| s.begun) {
        out.push(words.say("caution-lead-asbestos"));
    }
    if let Some(fit) = &data.fit {
        if !fit.fits_as_drawn() {
            let worst = fit.readings.iter().max_by(|a, b| a.z.abs().total_cmp(&b.z.abs()));
            let reading = worst.map_or_else(String::new, |r| against(r, words));
            out.push(words.text("fit-not-as-drawn", &[("reading", reading.into())]));
        }
        if !fit.draws_hold() {
            out.push(words.text("fit-weights-bad", &[("k", words.number(fit.pareto_k).into())]));
        }
    }
    out
}
