//! Short plain-text pieces for the command line: labels from the catalogue, numbers as on pages.

use crate::view::{
    Check, CheckState, Evidence, FieldTest, HouseReport, Limit, NextReading, Number, Plan, PlanStatus,
    SafetyLine, State, Tightness, Verdict,
};
use crate::words::{Show, Words};
use engine::units::Quantity;

/// The word for a state: `measured 11:16`, `computed`, `assumed by the tester`.
pub fn state(state: &State, words: &Words) -> String {
    match state {
        State::Measured { at } if at.is_empty() => words.say("state-measured"),
        State::Measured { at } => words.text("state-measured-at", &[("at", at.clone().into())]),
        State::Computed => words.say("state-computed"),
        State::Assumed { by } if by.is_empty() => words.say("state-assumed"),
        State::Assumed { by } => words.text("state-assumed-by", &[("by", by.clone().into())]),
    }
}

/// The word for a verdict.
pub fn verdict(verdict: Verdict, words: &Words) -> String {
    match verdict {
        Verdict::Pass => words.say("verdict-pass"),
        Verdict::Fail => words.say("verdict-fail"),
        Verdict::TooClose => words.say("verdict-too-close"),
        Verdict::LimitNotConfirmed => words.say("verdict-not-confirmed"),
    }
}

/// A number with range and state: `26 cfm, 90 % range 19 to 37 [computed]`.
pub fn number(n: &Number, words: &Words) -> String {
    format!("{} [{}]", words.estimate(&n.estimate, n.show()), state(&n.state, words))
}

/// A limit with its source.
pub fn limit(l: &Limit, words: &Words) -> String {
    let value = words.quantity_as(l.si, l.quantity, Show::usage(l.usage));
    let args = [("value", value.into()), ("source", l.source.clone().into())];
    let mut text =
        if l.at_most { words.text("limit-at-most", &args) } else { words.text("limit-at-least", &args) };
    if !l.confirmed {
        text += ", ";
        text += &words.say("limit-not-confirmed");
    }
    text
}

/// Labels on the left in one column, numbers on the right.
pub fn evidence(list: &[Evidence], words: &Words) -> String {
    let rows: Vec<(String, String)> =
        list.iter().map(|e| (e.label.clone(), number(&e.number, words))).collect();
    columns(&rows)
}

/// Rows of two columns, the first as wide as its widest text.
pub fn columns(rows: &[(String, String)]) -> String {
    let width = rows.iter().map(|r| r.0.chars().count()).max().unwrap_or(0);
    rows.iter().map(|(a, b)| format!("  {a}{}  {b}\n", " ".repeat(width - a.chars().count()))).collect()
}

/// One line a safety finding.
pub fn safety(lines: &[SafetyLine], words: &Words) -> String {
    let mut out = String::new();
    for line in lines {
        out += &format!("!! {} {}", line.headline, line.found);
        if let Some(n) = &line.measured {
            out += &format!(" {}.", words.shown_estimate(&n.estimate, n.show()).value);
        }
        if let Some(l) = &line.limit {
            out += &format!(" {}", words.text("safety-limit", &[("limit", limit(l, words).into())]));
        }
        out += &format!(" {}\n", line.who);
    }
    if !lines.is_empty() {
        out += &format!("   {}\n", words.say("safety-never"));
    }
    out
}

/// The result, its limit and its verdict.
pub fn tightness(t: &Tightness, words: &Words) -> String {
    let mut rows = vec![(t.name.clone(), number(&t.number, words))];
    if let Some(n) = &t.wind_counted {
        rows.push((words.say("wind-counted-title"), number(n, words)));
    }
    if let Some(l) = &t.limit {
        rows.push((words.say("limit-title"), limit(l, words)));
    }
    if let Some(v) = t.verdict {
        rows.push((words.say("verdict-title"), verdict(v, words)));
    }
    rows.extend(
        t.others.iter().chain(&t.others_counted).map(|e| (e.label.clone(), number(&e.number, words))),
    );
    columns(&rows)
}

/// Field tests: cautions, numbers, checks that do not simply hold, sentences.
pub fn field(tests: &[FieldTest], words: &Words) -> String {
    let mut out = String::new();
    for test in tests {
        out += &format!("  {}\n", test.title);
        for caution in &test.cautions {
            out += &format!("  !! {} {caution}\n", words.say("field-caution"));
        }
        for lead in &test.lead {
            out += &format!("    {lead}\n");
        }
        let figures =
            |e: &Evidence| (format!("  {}", e.label), words.estimate(&e.number.estimate, e.number.show()));
        out += &columns(&test.figures.iter().map(figures).collect::<Vec<_>>());
        for check in &test.checks {
            out += &format!("    {}\n", self::check(check, words));
        }
        for note in &test.notes {
            out += &format!("    {note}\n");
        }
    }
    out
}

/// A check in one line: `failed: baseline 6 Pa, at most 5 Pa (source)`.
pub fn check(c: &Check, words: &Words) -> String {
    let state = match c.state {
        CheckState::Holds => words.say("check-holds"),
        CheckState::Failed => words.say("check-failed"),
        CheckState::Undecided => words.say("check-undecided"),
    };
    let wanted = if c.wanted.is_empty() { String::new() } else { format!(", {}", c.wanted) };
    let source = if c.source.is_empty() { String::new() } else { format!(" ({})", c.source) };
    format!("{state}: {} {}{wanted}{source}", c.name, c.found)
}

/// Further readings in order.
pub fn next(list: &[NextReading], words: &Words) -> String {
    let mut out = String::new();
    for (i, n) in list.iter().enumerate() {
        let work = words.quantity(n.work_s, Quantity::Time);
        let gain = if n.gain_frac < 0.005 {
            words.say("next-no-help")
        } else {
            words.text("next-narrower", &[("share", words.percent(n.gain_frac).into())])
        };
        out += &format!("  {}. {}: {work}, {gain}\n", i + 1, n.words);
        for line in &n.before {
            out += &format!("     {line}\n");
        }
    }
    out
}

/// A plan in a few lines; a held one says so.
pub fn plan(p: &Plan, words: &Words) -> String {
    let mut out = format!("{}  {}: {}\n", p.letter, p.name, number(&p.price, words));
    for c in &p.changes {
        out += &format!("   - {c}\n");
    }
    let status = match &p.status {
        PlanStatus::Held(reasons) => {
            let why = words.text("plan-held", &[("reasons", reasons.join("; ").into())]);
            format!("{} {why}", words.say("plan-held-title"))
        }
        PlanStatus::Released(conditions) => released(conditions, words),
    };
    out += &format!("   {status}\n   {}\n", plan_best(p, words));
    out + &format!("   {}\n", words.text("plan-targets", &[("share", words.percent(p.targets_frac).into())]))
}

/// That a plan is released, and to what it has to be kept.
pub fn released(conditions: &[String], words: &Words) -> String {
    if conditions.is_empty() {
        words.say("plan-released")
    } else {
        words.text("plan-released-with", &[("conditions", conditions.join("; ").into())])
    }
}

/// In how many of the possible houses a plan is best, or would be if it were released.
pub fn plan_best(p: &Plan, words: &Words) -> String {
    match (&p.status, p.if_released_frac) {
        (PlanStatus::Held(_), Some(share)) => {
            words.text("plan-if-released", &[("share", words.percent(share).into())])
        }
        _ => words.text("plan-best-share", &[("share", words.percent(p.best_frac).into())]),
    }
}

/// The house in a dozen lines: safety, tightness, plans, next readings.
pub fn summary(r: &HouseReport, words: &Words) -> String {
    let head = [r.title.as_str(), r.subtitle.as_str()];
    let mut out: String = head.iter().filter(|l| !l.is_empty()).map(|l| format!("{l}\n")).collect();
    out += "\n";
    out += &safety(&r.safety, words);
    if let Some(why) = &r.stale {
        out += &format!("{} {why}\n", words.say("stale-title"));
    }
    if let Some(t) = &r.tightness {
        out += &format!("\n{}\n{}", words.say("tightness-title"), tightness(t, words));
    }
    if let Some(p) = &r.plans {
        out += &format!("\n{}\n", words.say("plans-title"));
        out += &p.list.iter().map(|x| plan(x, words)).collect::<String>();
    }
    if !r.next.is_empty() {
        out += &format!("\n{}\n{}", words.say("next-title"), next(&r.next, words));
    }
    out
}

#[cfg(test)]
mod tests;
