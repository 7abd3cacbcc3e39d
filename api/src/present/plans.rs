//! Plans side by side, and as lines for a terminal.

use super::{changes, events, phrase};
use crate::{File, Job};
use engine::diag::Arg;
use engine::gate::Gate;
use engine::house::House;
use engine::measure::{Estimate, NoInterval};
use engine::plan::{BilledPart, Compared, Found, HandlerAir, Hourly, ScoreKind, Scored, Settles};
use engine::units::Quantity;
use report::view::{Limit, Number, Plan, PlanStatus, Plans, Score};
use report::words::{Show, Words};

fn letter(i: usize) -> String {
    u8::try_from(i)
        .ok()
        .and_then(|i| b'A'.checked_add(i))
        .map_or_else(|| format!("{}", i + 1), |b| char::from(b).to_string())
}

fn status(gate: &Gate, words: &Words) -> PlanStatus {
    match gate {
        Gate::Held { reasons } => {
            PlanStatus::Held(reasons.iter().map(|r| phrase::reason(r, words)).collect())
        }
        Gate::Released { conditions } => {
            PlanStatus::Released(conditions.iter().map(|c| phrase::condition(c, words)).collect())
        }
    }
}

/// Price of a plan; one without a price says so.
fn price(plan: &Scored, words: &Words) -> Number {
    let none = Estimate::without(f64::NAN, Quantity::Money, NoInterval::NotComputed);
    Number::assumed(plan.price.unwrap_or(none), &words.say("priced-by-you"))
}

/// The view of the plans.
pub(crate) fn plans(job: &Job, house: &House, compared: &Compared, words: &Words) -> Plans {
    let found = &compared.plans[0];
    let list = compared
        .plans
        .iter()
        .skip(1)
        .enumerate()
        .map(|(i, p)| {
            let planned = &job.planned[i];
            Plan {
                letter: letter(i),
                name: p.label.clone(),
                changes: planned.changes.iter().map(|c| changes::change(c, house, words)).collect(),
                price: price(p, words),
                status: p.gate.as_ref().map_or(PlanStatus::Released(Vec::new()), |g| status(g, words)),
                best_frac: p.best_chance.unwrap_or(0.0),
                if_released_frac: p.best_chance.is_none().then_some(p.best_if_released),
                targets_frac: p.all_met,
                best: compared.best == i + 1,
            }
        })
        .collect();
    let view = |(s, score): (usize, &engine::plan::Score)| {
        let number = |e: &Estimate| {
            let n = Number::computed(*e);
            let signed = matches!(score.kind, ScoreKind::AppliancePressure | ScoreKind::SoilPressure { .. });
            if signed { n.signed() } else { n }
        };
        Score {
            name: phrase::score(score, house, words),
            detail: words.say("scored-over-year"),
            target: score.target.map(|si| Limit {
                si,
                quantity: score.kind.quantity(),
                usage: report::words::Usage::Usual,
                at_most: score.kind.lower_is_better(),
                source: score.target_source.clone().unwrap_or_default(),
                confirmed: true,
            }),
            as_found: Some(number(&found.values[s])),
            plans: compared.plans.iter().skip(1).map(|p| number(&p.values[s])).collect(),
        }
    };
    let short = |short: bool| {
        let all = compared.scores.iter().enumerate();
        all.filter(move |(_, s)| s.short == short).map(view).collect::<Vec<Score>>()
    };
    let cost = |name: &str, of: &dyn Fn(&Scored) -> Estimate| Score {
        name: words.say(name),
        detail: words.say("scored-over-year"),
        target: None,
        as_found: Some(Number::computed(of(found))),
        plans: compared.plans.iter().skip(1).map(|p| Number::computed(of(p))).collect(),
    };
    let mut scores = short(false);
    scores.push(cost("score-yearly-cost", &|p| p.yearly_cost));
    let mut rest = short(true);
    rest.push(cost("score-running-cost", &|p| p.running_cost));
    if compared.owed.iter().any(Option::is_some) {
        let none = Estimate::without(f64::NAN, Quantity::Time, NoInterval::NotComputed);
        let hours = |e: Estimate| Number::computed(e).used_as(report::words::Usage::Hours);
        let of = |part: fn(&(Estimate, Estimate)) -> Estimate, name: &str| Score {
            name: words.say(name),
            detail: words.say("scored-over-year"),
            target: None,
            as_found: Some(hours(compared.owed[0].as_ref().map_or(none, part))),
            plans: compared.owed.iter().skip(1).map(|o| hours(o.as_ref().map_or(none, part))).collect(),
        };
        rest.extend([of(|o| o.0, "event-owed"), of(|o| o.1, "event-repay")]);
    }
    Plans {
        rule: words.text("plans-rule", &[("years", words.number(job.documents.job.years_of_cost).into())]),
        list,
        as_found_frac: found.best_chance.unwrap_or(0.0),
        none_meets_frac: compared.none_meets,
        scores,
        rest,
        notes: notes(job, house, compared, words),
        bad_days: events::views(house, compared, words),
    }
}

/// What a plan is called in a line.
pub(crate) fn called(i: usize, words: &Words) -> String {
    if i == 0 { words.say("plans-as-found") } else { letter(i - 1) }
}

/// What remaining doubt decides, and what searches found: a sentence or a line each.
fn notes(job: &Job, house: &House, compared: &Compared, words: &Words) -> Vec<String> {
    let mut out = Vec::new();
    if let Some(doubt) = &compared.doubt {
        let what = doubt.score.map_or_else(
            || words.say("plans-doubt-cost"),
            |s| phrase::score(&compared.scores[s], house, words),
        );
        out.push(words.text(
            "plans-doubt",
            &[
                ("first", called(doubt.plans[0], words).into()),
                ("second", called(doubt.plans[1], words).into()),
                ("what", what.into()),
                ("chance", words.percent(doubt.first_better).into()),
            ],
        ));
        for share in &doubt.hangs_on {
            let name = match (share.label.is_empty(), share.kind) {
                (_, engine::house::ParamKind::CommonExponent) => words.say("param-common-exponent"),
                (_, engine::house::ParamKind::HandlerFlow) => words.say("param-handler-flow"),
                (_, engine::house::ParamKind::DuctLeak) if share.name == "supply_leak" => {
                    words.say("param-supply-leak")
                }
                (_, engine::house::ParamKind::DuctLeak) => words.say("param-return-leak"),
                (false, _) => share.label.clone(),
                (true, _) => share.name.clone(),
            };
            out.push(words.text(
                "plans-doubt-hangs",
                &[
                    ("share", words.percent(share.share).into()),
                    ("name", name.into()),
                    ("reading", words.say(settles(share.settles)).into()),
                ],
            ));
        }
        if doubt.hangs_on.is_empty() {
            out.push(words.say("plans-doubt-spread"));
        }
    }
    out.extend(handler_lines(compared, words));
    out.extend(billed_lines(compared, words));
    for found in &compared.searches {
        out.extend(searched(job, house, found, words));
    }
    out
}

/// Model against bills, and the plans' energy scaled to them.
fn billed_lines(compared: &Compared, words: &Words) -> Vec<String> {
    let Some(billed) = &compared.billed else { return Vec::new() };
    let short = |e: &Estimate, show: Show| Arg::from(words.estimate_short(e, show));
    let part = |p: &BilledPart| {
        let kind = if p.electricity { "electricity" } else { "burnt" };
        let args = [
            ("part", kind.into()),
            ("model", short(&p.model, Show::default())),
            ("bills", short(&p.bills, Show::default())),
            ("ratio", short(&p.ratio, Show::default())),
        ];
        words.text("plans-bills", &args)
    };
    let plan = |(i, (energy, saved)): (usize, (&Estimate, &Estimate))| {
        let args = [
            ("plan", called(i, words).into()),
            ("energy", short(energy, Show::default())),
            ("by", if i == 0 { "none".into() } else { short(saved, Show::default().signed()) }),
        ];
        words.text("plans-billed", &args)
    };
    let plans = billed.energy.iter().zip(&billed.differences).enumerate().map(plan);
    billed.parts.iter().map(part).chain(plans).collect()
}

/// Where the air handler's blower works, as found and in the plans in which it works elsewhere.
fn handler_lines(compared: &Compared, words: &Words) -> Vec<String> {
    let found = compared.handler.first().and_then(Option::as_ref);
    let moved = |h: &HandlerAir| {
        let other = |a: &Estimate, b: &Estimate| (a.si - b.si).abs() > 0.002 * b.si.abs();
        found.is_none_or(|f| {
            other(&h.flow, &f.flow) || other(&h.intake, &f.intake) || other(&h.filter, &f.filter)
        })
    };
    let line = |(i, h): (usize, &HandlerAir)| {
        let short = |e: &Estimate| Arg::from(words.estimate_short(e, Show::default()));
        let args = [
            ("plan", called(i, words).into()),
            ("flow", short(&h.flow)),
            ("rise", short(&h.rise)),
            ("drop", short(&h.filter)),
            ("intake", short(&h.intake)),
        ];
        let key = if h.intake.si > 0.0 { "plans-handler-intake" } else { "plans-handler" };
        words.text(key, &args)
    };
    let known = compared.handler.iter().enumerate().filter_map(|(i, h)| Some((i, h.as_ref()?)));
    known.filter(|(i, h)| *i == 0 || moved(h)).map(line).collect()
}

fn settles(reading: Settles) -> &'static str {
    match reading {
        Settles::ZonePressure => "settles-zone-pressure",
        Settles::FanTest => "settles-fan-test",
        Settles::RoomPressure => "settles-room-pressure",
        Settles::FanFlow => "settles-fan-flow",
        Settles::HandlerFlow => "settles-handler-flow",
        Settles::DuctTest => "settles-duct-test",
        Settles::RegisterFlow => "settles-register-flow",
        Settles::PressureDrop => "settles-pressure-drop",
    }
}

fn searched(job: &Job, house: &House, found: &Found, words: &Words) -> Vec<String> {
    let Some(search) = job.searches.iter().find(|s| s.name == found.name) else { return Vec::new() };
    let ran = found.rounds.first().map_or(0, |r| r.ran);
    let mut out = vec![words.text(
        "search-found",
        &[("label", found.label.as_str().into()), ("ran", ran.into()), ("years", found.years.into())],
    )];
    for c in &found.kept {
        let one = |(k, setting): (&usize, &Option<f64>)| {
            let choice = &search.choices[*k];
            let text = if choice.label.is_empty() {
                changes::change(&choice.change, house, words)
            } else {
                choice.label.clone()
            };
            let quantity = engine::doc::plans::Setting::of(&choice.change).map(|s| s.quantity);
            match setting.zip(quantity) {
                Some((si, quantity)) => words.text(
                    "search-setting",
                    &[("change", text.into()), ("value", words.about(si, quantity, Show::default()).into())],
                ),
                None => text,
            }
        };
        let taken: Vec<String> = c.taken.iter().zip(&c.settings).map(one).collect();
        let taken = if taken.is_empty() { words.say("search-none-taken") } else { taken.join(" + ") };
        let held = if c.gate.is_released() { String::new() } else { format!("; {}", words.say("gate-held")) };
        let line = words.text(
            "search-kept",
            &[
                ("taken", taken.into()),
                ("cost", words.estimate_short(&c.yearly_cost, Show::default()).into()),
                ("met", words.percent(c.all_met).into()),
            ],
        );
        out.push(format!("{line}{held}"));
    }
    out
}

/// Hourly means of each plan in the first draw, a table each.
pub(crate) fn hourly(compared: &Compared) -> Vec<File> {
    let named = compared.hourly.iter().zip(&compared.plans);
    // A name is the user's own and may hold anything; a file's may not.
    let plain = |c: char| if c.is_alphanumeric() || c == '_' { c } else { '-' };
    let name = |n: &str| {
        if n.is_empty() { "as-found".to_owned() } else { n.chars().map(plain).collect::<String>() }
    };
    named.map(|(h, p)| File { name: format!("plans/{}.csv", name(&p.name)), text: table(h) }).collect()
}

/// Columns with their units in the header, as every table of numbers here.
fn table(h: &Hourly) -> String {
    let mut text = String::from("day,hour,stands_for_days,outdoors degC");
    for zone in &h.zones {
        let zone = zone.replace(',', " ");
        text += &format!(",{zone} degC,{zone} % RH,{zone} ppm CO2,{zone} ug/m3 PM2.5");
    }
    text.push('\n');
    for (k, out_k) in h.outdoor_k.iter().enumerate() {
        let (day, weight) = h.days[k / 24];
        text += &format!("{},{},{weight},{:.2}", day + 1, k % 24, out_k - 273.15);
        for s in &h.series {
            let (temp, rh, co2, pm) =
                (s.temp_k[k] - 273.15, 100.0 * s.rh[k], s.co2_ppm[k], 1e9 * s.pm25_kg_m3[k]);
            text += &format!(",{temp:.2},{rh:.1},{co2:.0},{pm:.2}");
        }
        text.push('\n');
    }
    text
}

/// One plan a line: chance of being best, released or why not, what it does to the complaints.
pub(crate) fn lines(job: &Job, compared: &Compared, words: &Words) -> String {
    let Some(house) = &job.house else { return String::new() };
    let mut out = String::new();
    for (i, p) in compared.plans.iter().enumerate() {
        let (name, chance) = if i == 0 {
            (words.say("plans-as-found"), best(p, words))
        } else {
            (format!("{}  {}", letter(i - 1), p.label), best(p, words))
        };
        out += &format!("  {name}: {chance}\n");
        for (s, score) in compared.scores.iter().enumerate().filter(|(_, s)| s.complaint.is_some()) {
            let mut line = format!(
                "{}: {}",
                phrase::score(score, house, words),
                words.estimate_short(&p.values[s], Show::default())
            );
            if i > 0 {
                let by = words.estimate_short(&p.differences[s], Show::default().signed());
                line += &format!("; {}", words.text("plans-against-found", &[("value", by.into())]));
            }
            if let Some(chance) = p.met[s] {
                let chance = words.percent(chance);
                line += &format!("; {}", words.text("plans-meets", &[("chance", chance.into())]));
            }
            out += &format!("     {line}\n");
        }
        match &p.gate {
            Some(Gate::Held { reasons }) => {
                let why: Vec<String> = reasons.iter().map(|r| phrase::reason(r, words)).collect();
                out += &format!(
                    "     {}\n",
                    words.text("gate-held-because", &[("reasons", why.join("; ").into())])
                );
            }
            Some(Gate::Released { conditions }) => {
                let ask: Vec<String> = conditions.iter().map(|c| phrase::condition(c, words)).collect();
                let said = if ask.is_empty() {
                    words.say("gate-released")
                } else {
                    words.text("gate-released-with", &[("conditions", ask.join("; ").into())])
                };
                out += &format!("     {said}\n");
            }
            None => {}
        }
    }
    for note in notes(job, house, compared, words) {
        out += &format!("  {note}\n");
    }
    out += &events::lines(house, compared, words);
    out + &format!(
        "  {}\n",
        words.text("plans-books", &[("error", format!("{:.0e}", compared.books_worst).into())])
    )
}

fn best(p: &Scored, words: &Words) -> String {
    match p.best_chance {
        Some(chance) => words.text("plans-best-chance", &[("chance", words.percent(chance).into())]),
        None => words.text("plans-if-released", &[("chance", words.percent(p.best_if_released).into())]),
    }
}
