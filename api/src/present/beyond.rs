//! What the readings say beyond the sizes: passages that nobody drew, the reading that disagrees and
//! why, doors whose state nobody noted, what decides the total, answers to what people ask.

use super::phrase;
use engine::fit::Fit;
use engine::fit::answers::{Answer, Asks};
use engine::fit::observe::LeftOut;
use engine::fit::suspect::Slip;
use engine::fit::unseen::{Confirm, Duct, Found, Hides, Way};
use engine::measure::Estimate;
use engine::units::Quantity;
use report::view::{Answered, Number};
use report::words::{Show, Usage, Words};

/// Lines of the terminal show this many answers.
const MOST_LINES: usize = 12;
/// A share of the total below this is not worth a sentence.
const WORTH_A_SENTENCE: f64 = 0.1;
/// A reading below this weight counts less.
const COUNTS_LESS: f64 = 0.5;
/// Readings that removed less than this of an answer's variance do not bear on it.
const NEXT_TO_NOTHING: f64 = 0.02;
/// Questions named in one sentence.
const MOST_NAMED: usize = 4;

/// Sentences, most urgent first.
pub(crate) fn sentences(fit: &Fit, words: &Words) -> Vec<String> {
    let mut out = Vec::new();
    if let Some(unseen) = &fit.unseen {
        match &unseen.found {
            Some(found) => out.extend(passage(found, unseen.probability, words)),
            None if unseen.candidates > 0 => {
                out.push(words.text("unseen-none", &[("candidates", unseen.candidates.into())]));
            }
            None => {}
        }
    }
    out.extend(suspect(fit, words));
    for d in &fit.doors {
        let args = [("door", d.door.as_str().into()), ("share", words.percent(d.open_probability).into())];
        out.push(words.text("door-unnoted", &args));
        if d.ask {
            out.push(words.text("door-ask", &args));
        }
    }
    out.extend(decides(fit, words));
    if fit.robust {
        let least = fit.readings.iter().filter(|r| r.weight < COUNTS_LESS).count();
        out.push(words.text("fit-robust", &[("count", least.into())]));
    }
    out.extend(nothing_bears(fit, words));
    out.extend(left_out(fit, words));
    out
}

/// What was asked and no reading bears on.
fn nothing_bears(fit: &Fit, words: &Words) -> Option<String> {
    let untouched: Vec<String> = (fit.answers.iter().filter(|a| a.from_readings < NEXT_TO_NOTHING))
        .map(|a| asked(&a.asks, words))
        .collect();
    let (shown, more) = untouched.split_at(untouched.len().min(MOST_NAMED));
    let args = [("list", shown.join("; ").into()), ("more", more.len().into())];
    (!untouched.is_empty()).then(|| words.text("fit-nothing-bears", &args))
}

/// What was read and is not in the fit, each with the question that would save it.
fn left_out(fit: &Fit, words: &Words) -> Vec<String> {
    let sentence = |l: &LeftOut| {
        let question = words.text(l.question, &[("of", l.of.replace('_', " ").into())]);
        let what = l.what.replace('_', " ");
        words.text("left-out", &[("what", what.into()), ("question", question.into())])
    };
    fit.left_out.iter().map(sentence).collect()
}

fn end(name: &str, words: &Words) -> String {
    if name.is_empty() { words.say("unseen-outdoors") } else { name.to_owned() }
}

fn route(way: &Way, words: &Words) -> String {
    let (a, b) = (end(&way.between[0], words), end(&way.between[1], words));
    let key = match way.duct {
        Some(Duct::Supply) => "unseen-way-supply",
        Some(Duct::Return) => "unseen-way-return",
        None => "unseen-way",
    };
    words.text(key, &[("a", a.into()), ("b", b.into())])
}

fn passage(found: &Found, chance: f64, words: &Words) -> Vec<String> {
    let size = words.estimate(&found.size, Show::usage(Usage::TestFlow));
    let key = match (found.way.duct, found.way.beside_drawn) {
        (Some(_), _) => "unseen-found-duct",
        (None, true) => "unseen-found-beside",
        (None, false) => "unseen-found",
    };
    let args = [
        ("way", route(&found.way, words).into()),
        ("size", size.into()),
        ("chance", words.number((chance * 1000.0).round() / 10.0).into()),
        ("improvement", words.fixed(found.improvement, 1).into()),
    ];
    let mut out = vec![words.text(key, &args)];
    let hides = match found.way.hides {
        Hides::Chase => "unseen-hides-chase",
        Hides::TubWall => "unseen-hides-tub-wall",
        Hides::BalloonWall => "unseen-hides-balloon-wall",
        Hides::GarageCeiling => "unseen-hides-garage-ceiling",
        Hides::BandJoist => "unseen-hides-band-joist",
        Hides::Vents => "unseen-hides-vents",
        Hides::Partition => "unseen-hides-partition",
        Hides::PlatformReturn => "unseen-hides-platform-return",
        Hides::Boot => "unseen-hides-boot",
    };
    out.push(words.say(hides));
    out.extend(found.confirm.as_ref().map(|c| confirm(c, words)));
    if !found.or.is_empty() {
        let list: Vec<String> = found.or.iter().map(|w| route(w, words)).collect();
        out.push(words.text("unseen-or", &[("list", list.join("; ").into())]));
    }
    out
}

fn confirm(c: &Confirm, words: &Words) -> String {
    let mut parts = Vec::new();
    if c.test_fan {
        parts.push(words.say("next-fan-hold"));
    }
    if c.air_handler {
        parts.push(words.say("next-handler-on"));
    }
    if let Some((door, open)) = &c.turned {
        let key = if *open { "next-door-open" } else { "next-door-shut" };
        parts.push(words.text(key, &[("door", door.as_str().into())]));
    }
    let pa = |si: f64| words.about(si, Quantity::Pressure, Show::default());
    words.text(
        "unseen-confirm",
        &[
            ("setup", parts.join("; ").into()),
            ("feels", c.feels.as_str().into()),
            ("with", pa(c.with_it_pa).into()),
            ("without", pa(c.without_it_pa).into()),
        ],
    )
}

fn suspect(fit: &Fit, words: &Words) -> Vec<String> {
    let Some(s) = &fit.suspect else { return Vec::new() };
    let Some(reading) = fit.readings.get(s.reading) else { return Vec::new() };
    let shown = |e: &Estimate| words.about(e.si, e.quantity, Show::default());
    let mut out = vec![words.text(
        "suspect-named",
        &[
            ("reading", phrase::reading(&reading.what, words).into()),
            ("shown", shown(&reading.shown).into()),
            ("expected", shown(&reading.expected).into()),
            ("z", words.fixed(s.z.abs(), 1).into()),
        ],
    )];
    let explained: Vec<String> = s
        .tried
        .iter()
        .filter(|t| t.explains)
        .take(3)
        .map(|t| slip(&t.slip, shown(&t.value), words))
        .collect();
    if !explained.is_empty() {
        out.push(words.text("suspect-explained", &[("list", explained.join("; ").into())]));
    } else if !s.tried.is_empty() {
        out.push(words.say("suspect-unexplained"));
    }
    out
}

fn slip(slip: &Slip, value: String, words: &Words) -> String {
    let key = match slip {
        Slip::Door { door, open } => {
            let key = if *open { "slip-door-open" } else { "slip-door-shut" };
            return words.text(key, &[("door", door.as_str().into())]);
        }
        Slip::Fan { fan, on } => {
            let key = if *on { "slip-fan-on" } else { "slip-fan-off" };
            return words.text(key, &[("fan", fan.as_str().into())]);
        }
        Slip::Handler { on } => {
            return words.say(if *on { "slip-handler-on" } else { "slip-handler-off" });
        }
        written => &format!("slip-{}", written.id()),
    };
    words.text(key, &[("value", value.into())])
}

/// What decides the total: the reading without which most would be lost, the instrument whose own
/// error is most of what is left.
fn decides(fit: &Fit, words: &Words) -> Vec<String> {
    let mut out = Vec::new();
    let most = fit.readings.iter().max_by(|a, b| a.decides.of_total.total_cmp(&b.decides.of_total));
    if let Some(r) = most.filter(|r| r.decides.of_total > WORTH_A_SENTENCE) {
        let reading = phrase::reading(&r.what, words);
        let share = words.percent(r.decides.of_total);
        out.push(words.text("decides-reading", &[("reading", reading.into()), ("share", share.into())]));
    }
    let most = fit.gains.iter().max_by(|a, b| a.of_total.total_cmp(&b.of_total));
    if let Some(g) = most.filter(|g| g.of_total > WORTH_A_SENTENCE) {
        let args =
            [("instrument", g.instrument.as_str().into()), ("share", words.percent(g.of_total).into())];
        out.push(words.text("decides-instrument", &args));
    }
    out
}

/// Answers as rows of a table.
pub(crate) fn answers(fit: &Fit, words: &Words) -> Vec<Answered> {
    let row = |a: &Answer| {
        let number = Number::computed(a.posterior);
        Answered {
            label: asked(&a.asks, words),
            number: if a.posterior.quantity == Quantity::Pressure { number.signed() } else { number },
            from_readings_frac: a.from_readings,
        }
    };
    fit.answers.iter().map(row).collect()
}

fn asked(asks: &Asks, words: &Words) -> String {
    match asks {
        Asks::AirFrom { zone } => words.text("asks-air-from", &[("zone", zone.as_str().into())]),
        Asks::Conduction => words.say("asks-conduction"),
        Asks::AirHeat => words.say("asks-air-heat"),
        Asks::DoorShut { door, zone } => {
            words.text("asks-door-shut", &[("door", door.as_str().into()), ("zone", zone.as_str().into())])
        }
        Asks::AtAppliance { appliance, fans, air_handler, doors_shut } => {
            let mut on = fans.clone();
            if *air_handler {
                on.push(words.say("asks-handler"));
            }
            if on.is_empty() {
                on.push(words.say("asks-nothing"));
            }
            let key = if *doors_shut { "asks-appliance-shut" } else { "asks-appliance" };
            let args = [("appliance", appliance.as_str().into()), ("list", on.join(", ").into())];
            words.text(key, &args)
        }
    }
}

/// The sentences for a terminal.
pub(crate) fn lines(fit: &Fit, words: &Words) -> String {
    sentences(fit, words).into_iter().map(|s| format!("  {s}\n")).collect()
}

/// The answers for a terminal.
pub(crate) fn answer_lines(fit: &Fit, words: &Words) -> String {
    answers(fit, words)
        .iter()
        .take(MOST_LINES)
        .map(|a| {
            let args = [
                ("label", a.label.as_str().into()),
                ("value", words.estimate(&a.number.estimate, a.number.show()).into()),
                ("share", words.percent(a.from_readings_frac).into()),
            ];
            format!("  {}\n", words.text("fit-known-line", &args))
        })
        .collect()
}
