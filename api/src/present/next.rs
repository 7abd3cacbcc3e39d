//! The next readings in words and on the house.

use super::screen;
use super::{drawing, phrase};
use crate::Job;
use engine::diag::Arg;
use engine::house::{House, Place, start};
use engine::next::{
    Candidate, Forbids, Help, Instrument, LEAST_HELP, Missing, Next, Proof, Question, Reads, Season, Turn,
};
use engine::safety::Bars;
use engine::units::Quantity;
use report::view::{NextReading, OUTDOORS, SetupDrawing, SetupKind, SetupMark};
use report::words::{Show, Usage, Words};

/// A question.
pub(crate) fn question(question: Question, house: &House, words: &Words) -> String {
    let (key, name, value): (&str, &'static str, &str) = match question {
        Question::Total => ("question-total", "zone", ""),
        Question::LeakShare { leak } => ("question-leak-share", "leak", &house.leaks[leak].label),
        Question::ZoneShare { zone } => ("question-zone-share", "zone", &house.zones[zone].label),
        Question::DuctLeakage => ("question-duct-leakage", "zone", ""),
        Question::AirFrom { zone } => ("question-air-from", "zone", &house.zones[zone].label),
        Question::RoomAir { zone } => ("question-room-air", "zone", &house.zones[zone].label),
        Question::AppliancePressure { appliance } => {
            ("question-appliance-pressure", "appliance", &house.appliances[appliance].label)
        }
        Question::AirChange { season: Season::Winter } => ("question-air-change-winter", "zone", ""),
        Question::AirChange { season: Season::Summer } => ("question-air-change-summer", "zone", ""),
        Question::Plans => ("question-plans", "zone", ""),
    };
    words.text(key, &[(name, value.into())])
}

/// What to do for a reading: the setup, then what is read.
pub(crate) fn candidate(c: &Candidate, job: &Job, house: &House, words: &Words) -> String {
    let mut parts = Vec::new();
    if let Some(pa) = c.fan_pa {
        let pressure = words.quantity(pa, Quantity::Pressure);
        parts.push(words.text("next-fan-hold", &[("pressure", pressure.into())]));
    }
    if c.air_handler {
        parts.push(words.say("next-handler-on"));
    }
    for fan in &c.running {
        // A hood at the fan says already that it runs.
        if c.reads != (Reads::Exhaust { fan: *fan }) {
            parts.push(words.text("next-fan-on", &[("fan", house.fans[*fan].text.label.as_str().into())]));
        }
    }
    // Doors that are turned for it, and those that stand otherwise now.
    let now = job.observations.stations.last().map(|s| &s.setup.open);
    for (d, door) in house.doors.iter().enumerate() {
        let open = c.setup.open[d];
        if let Some(hole) = c.setup.hole[d] {
            let args = [
                ("door", door.text.label.as_str().into()),
                ("area", words.quantity(hole.area_m2, Quantity::Area).into()),
            ];
            parts.push(words.text("next-door-hole", &args));
            continue;
        }
        if c.toggled == Some(d) || now.is_some_and(|now| now[d] != open) {
            let key = if open { "next-door-open" } else { "next-door-shut" };
            parts.push(words.text(key, &[("door", door.text.label.as_str().into())]));
        }
    }
    if let Some(leak) = c.masked {
        parts.push(words.text("next-mask", &[("leak", house.leaks[leak].label.as_str().into())]));
    }
    if parts.is_empty() && !matches!(c.reads, Reads::Exhaust { .. }) {
        parts.push(words.say("next-setup-usual"));
    }
    parts.push(match &c.reads {
        Reads::Tap { feels, compared_with } => words.text(
            "next-read-tap",
            &[
                ("feels", house.zones[*feels].label.as_str().into()),
                ("compared_with", compared_with.map_or("", |z| house.zones[z].label.as_str()).into()),
            ],
        ),
        Reads::FanFlow => words.say("next-read-fan-flow"),
        Reads::Exhaust { fan } => {
            words.text("next-read-exhaust", &[("fan", house.fans[*fan].text.label.as_str().into())])
        }
        Reads::Register { register } => {
            let label = house.air_handler.as_ref().map_or("", |h| h.text.registers[*register].label.as_str());
            words.text("next-read-exhaust", &[("fan", label.into())])
        }
        Reads::Handler => words.say("next-read-handler"),
        Reads::Ducts { supply } => {
            words.say(if *supply { "next-read-ducts-supply" } else { "next-read-ducts-return" })
        }
        Reads::Pans { supply } => {
            words.say(if *supply { "next-read-pans-supply" } else { "next-read-pans-return" })
        }
    });
    let mut sentence = parts.join("; ");
    if let Some(first) = sentence.chars().next() {
        sentence.replace_range(..first.len_utf8(), &first.to_uppercase().to_string());
    }
    sentence
}

fn minutes(minutes: f64, words: &Words) -> String {
    words.quantity(minutes * 60.0, Quantity::Time)
}

fn show(c: &Candidate) -> Show {
    match c.reads {
        Reads::Tap { .. } => Show::default().signed(),
        Reads::FanFlow => Show::usage(Usage::TestFlow),
        _ => Show::default(),
    }
}

/// What to expect, what would be a surprise, and the proof of the tap.
fn before(c: &Candidate, house: &House, words: &Words) -> Vec<String> {
    let mut out = Vec::new();
    if let Some((lo, hi)) = c.surprise.bounds() {
        let about = |si: f64| -> Arg { words.about(si, c.surprise.quantity, show(c)).into() };
        out.push(words.text(
            "next-expected",
            &[("value", words.estimate(&c.expected, show(c)).into()), ("lo", about(lo)), ("hi", about(hi))],
        ));
    }
    out.extend(c.proof.as_ref().map(|p| proof(p, house, words)));
    out
}

fn proof(p: &Proof, house: &House, words: &Words) -> String {
    let turn = match p.turn {
        Turn::Door { door, open } => {
            let key = if open { "next-turn-open" } else { "next-turn-shut" };
            words.text(key, &[("door", house.doors[door].text.label.as_str().into())])
        }
        Turn::FanOff => words.say("next-turn-fan-off"),
        Turn::HandlerOff => words.say("next-turn-handler-off"),
        Turn::ExhaustOff => words.say("next-turn-exhaust-off"),
    };
    let signed = Show::default().signed();
    words.text(
        "next-proof",
        &[
            ("turn", turn.into()),
            ("to", words.estimate(&p.to, signed).into()),
            ("change", words.about(p.change.si, Quantity::Pressure, signed).into()),
        ],
    )
}

/// Further readings, best for each minute first.
pub(crate) fn readings(job: &Job, next: &Next, most: usize, words: &Words) -> Vec<NextReading> {
    let Some(house) = &job.house else { return Vec::new() };
    next.list
        .iter()
        .filter(|c| c.removes >= LEAST_HELP)
        .take(most)
        .map(|c| NextReading {
            words: candidate(c, job, house, words),
            gain_frac: 1.0 - c.narrower,
            work_s: c.minutes * 60.0,
            before: before(c, house, words),
            setup: Some(setup(c, job, house, words)),
        })
        .collect()
}

/// The setup's marks: doors that stand otherwise than usual and those of the zones that are read, what
/// runs, where it is read.
fn setup(c: &Candidate, job: &Job, house: &House, words: &Words) -> SetupDrawing {
    let id = |z: usize| house.zones[z].name.clone();
    let side = |p: Place| match p {
        Place::Zone(z) => id(z),
        Place::Outdoors(_) => OUTDOORS.to_owned(),
    };
    let mut marks = Vec::new();
    let mut mark = |kind: SetupKind, at: String, other: String, label: String| {
        marks.push(SetupMark { kind, at, other, label });
    };
    let (feels, compared) = match c.reads {
        Reads::Tap { feels, compared_with } => (Some(feels), compared_with),
        _ => (None, None),
    };
    let usual = start(house);
    for (d, door) in house.doors.iter().enumerate() {
        let touches = |z: Option<usize>| z.is_some_and(|z| door.between.contains(&Place::Zone(z)));
        let open = c.setup.open[d];
        let now = job.observations.stations.last().map_or(open, |s| s.setup.open[d]);
        if c.toggled != Some(d) && open == usual.open[d] && open == now && !touches(feels) {
            continue;
        }
        let (a, b) = (side(door.between[0]), side(door.between[1]));
        let (at, other) = if a == OUTDOORS { (b, a) } else { (a, b) };
        let (kind, state) = match (c.setup.hole[d], open) {
            (Some(hole), _) => (SetupKind::Open, words.quantity(hole.area_m2, Quantity::Area)),
            (None, true) => (SetupKind::Open, words.say("next-mark-open")),
            (None, false) => (SetupKind::Shut, words.say("next-mark-shut")),
        };
        mark(kind, at, other, format!("{}: {state}", door.text.label));
    }
    let fan_zone = engine::fit::fan_zone(house);
    if let Some(zone) = fan_zone.filter(|_| c.test_fan) {
        mark(SetupKind::TestFan, id(zone), OUTDOORS.to_owned(), words.say("next-mark-test-fan"));
    }
    let on = words.say("next-mark-on");
    for fan in &c.running {
        let fan = &house.fans[*fan];
        mark(
            SetupKind::Runs,
            side(fan.between[0]),
            side(fan.between[1]),
            format!("{}: {on}", fan.text.label),
        );
    }
    if let Some(h) = house.air_handler.as_ref().filter(|_| c.air_handler) {
        let room = fan_zone.map_or_else(|| OUTDOORS.to_owned(), id);
        mark(SetupKind::Runs, id(h.zone), room, words.say("next-handler-on"));
    }
    let read = match c.reads {
        Reads::Register { register } => {
            house.air_handler.as_ref().and_then(|h| h.registers.get(register)).map(|r| r.0)
        }
        _ => None,
    };
    if let Some(zone) = read {
        mark(SetupKind::Feels, id(zone), String::new(), words.say("next-mark-read"));
    }
    if let Some(zone) = feels {
        mark(SetupKind::Feels, id(zone), String::new(), words.say("next-mark-feels"));
        if let Some(zone) = compared {
            mark(SetupKind::ComparedWith, id(zone), String::new(), words.say("next-mark-compared"));
        }
    }
    let title = words.say("next-setup-title");
    let house = drawing::plain(house, feels.or(read), title, candidate(c, job, house, words));
    SetupDrawing { house, marks }
}

/// The question and what is known of it.
fn asked(next: &Next, house: &House, words: &Words) -> String {
    let value = match next.question {
        // How often the leader wins is a share; its spread over the draws says nothing to people.
        Question::Plans => String::new(),
        Question::Total | Question::DuctLeakage => words.estimate(&next.now, Show::usage(Usage::TestFlow)),
        _ => words.estimate(&next.now, Show::default()),
    };
    let question = question(next.question, house, words);
    if value.is_empty() {
        return format!("{question}.");
    }
    words.text("next-asked", &[("question", question.into()), ("value", value.into())])
}

/// The question, the best three together, the route, what is left out and what would help: lines.
pub(crate) fn notes(job: &Job, next: &Next, words: &Words) -> Vec<String> {
    let Some(house) = &job.house else { return Vec::new() };
    let mut out = vec![asked(next, house, words)];
    out.extend(after(job, next, house, words));
    out
}

/// All of it after the question.
fn after(job: &Job, next: &Next, house: &House, words: &Words) -> Vec<String> {
    let mut out = Vec::new();
    if next.nothing_helps() {
        out.push(words.say("next-nothing"));
    }
    let share = |narrower: f64| -> Arg { words.percent(1.0 - narrower).into() };
    if let Some(three) = next.together.as_ref().filter(|t| t.removes >= LEAST_HELP) {
        let args = [
            ("count", three.picks.len().into()),
            ("share", share(three.narrower)),
            ("minutes", minutes(three.minutes, words).into()),
        ];
        out.push(words.text("next-together", &args));
        if three.picks.len() > 1 {
            out.extend(
                three
                    .picks
                    .iter()
                    .map(|p| format!("\u{2022} {}", candidate(&next.list[*p], job, house, words))),
            );
        }
    }
    out.extend(route(job, next, house, words));
    out.extend(left_out(job, next, words));
    out
}

fn route(job: &Job, next: &Next, house: &House, words: &Words) -> Vec<String> {
    let Some(route) = &next.route else {
        if next.nothing_helps() {
            return Vec::new();
        }
        let left = minutes(next.left_min, words);
        return vec![words.text("next-route-none", &[("left", left.into())])];
    };
    let args = [
        ("left", minutes(route.left_min, words).into()),
        ("used", minutes(route.minutes, words).into()),
        ("share", words.percent(1.0 - route.narrower).into()),
    ];
    let mut out = vec![words.text("next-route", &args)];
    for (i, stop) in route.stops.iter().enumerate() {
        let line = words.text(
            "next-route-stop",
            &[
                ("words", candidate(&next.list[stop.pick], job, house, words).into()),
                ("changeover", minutes(stop.changeover_min, words).into()),
                ("reading", minutes(stop.reading_min, words).into()),
                ("share", words.percent(1.0 - (1.0 - stop.removes).sqrt()).into()),
            ],
        );
        out.push(format!("{}. {line}", i + 1));
        if stop.last_with_fan {
            out.push(words.say("next-before-fan-down"));
        }
    }
    out
}

/// What safety forbids and why, and what an instrument that is missing would tell.
fn left_out(job: &Job, next: &Next, words: &Words) -> Vec<String> {
    let mut out = Vec::new();
    if next.forbidden > 0 {
        let mut reasons = Vec::new();
        for why in &next.forbids {
            match why {
                Forbids::Stop => {
                    let items = screen::forbidding(job, Bars::Everything, words);
                    reasons.push(words.text("next-held-stop", &[("items", items.join(", ").into())]));
                }
                Forbids::Screen => {
                    let items = screen::forbidding(job, Bars::DrawingDown, words);
                    reasons.push(words.text("next-held-screen", &[("items", items.join(", ").into())]));
                }
                Forbids::NotLooked => {
                    let items = screen::unlooked(job, words);
                    reasons.push(words.text("next-held-not-looked", &[("items", items.into())]));
                }
                Forbids::Repeat => reasons.push(words.say("next-held-repeat")),
                Forbids::KeepOut => reasons.push(words.say("next-held-keep-out")),
                Forbids::Embers => reasons.push(words.say("next-held-embers")),
                Forbids::Asbestos => reasons.push(words.say("next-held-asbestos")),
                Forbids::Combustion => {
                    reasons.extend(job.forbids().1.iter().map(|r| phrase::reason(r, words)));
                }
            }
        }
        let args = [("count", next.forbidden.into()), ("reasons", reasons.join("; ").into())];
        out.push(words.text("next-held", &args));
    }
    out.extend(next.helps.iter().filter(|h| h.removes >= LEAST_HELP).map(|h| help(h, words)));
    out
}

fn help(h: &Help, words: &Words) -> String {
    let share: Arg = words.percent(1.0 - (1.0 - h.removes).sqrt()).into();
    match h.missing {
        Missing::Safety => words.text("next-help-safety", &[("share", share)]),
        Missing::Tool { instrument } => {
            let tool = words.say(match instrument {
                Instrument::Gauge => "next-tool-gauge",
                Instrument::TestFan => "next-tool-test-fan",
                Instrument::Hood => "next-tool-hood",
                Instrument::Plate => "next-tool-plate",
                Instrument::DuctTester => "next-tool-duct-tester",
                Instrument::Pan => "next-tool-pan",
            });
            words
                .text("next-help-tool", &[("tool", tool.into()), ("count", h.count.into()), ("share", share)])
        }
    }
}

/// For the terminal: the readings, then everything that goes with them where they were asked for alone.
pub(crate) fn lines(job: &Job, next: &Next, most: usize, words: &Words) -> String {
    let Some(house) = &job.house else { return String::new() };
    let mut list = readings(job, next, most, words);
    if most == 1 {
        list.iter_mut().for_each(|n| n.before.clear());
        let mut out = format!("  {}\n", asked(next, house, words));
        if list.is_empty() {
            out += &format!("  {}\n", words.say("next-nothing"));
        }
        out += &report::text::next(&list, words);
        return out + &left_out(job, next, words).iter().map(|l| format!("  {l}\n")).collect::<String>();
    }
    let mut out = format!("  {}\n", asked(next, house, words));
    if !list.is_empty() {
        out += &format!("  {}\n", words.say("next-caption"));
    }
    out += &report::text::next(&list, words);
    out + &after(job, next, house, words).iter().map(|l| format!("  {l}\n")).collect::<String>()
}
