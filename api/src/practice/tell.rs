//! A step of practice in words.

use super::Practised;
use super::reveal::Revealed;
use engine::units::Quantity;
use report::words::{Show, Words};

fn minutes(min: f64, words: &Words) -> String {
    words.quantity(min.max(0.0) * 60.0, Quantity::Time)
}

/// The lines for a terminal.
pub(super) fn lines(p: &Practised, words: &Words) -> String {
    let mut out = Vec::new();
    let left = |key: &str| words.text(key, &[("left", minutes(p.left_min, words).into())]);
    if !p.story.is_empty() {
        out.push(p.label.clone());
        out.push(p.story.clone());
        out.push(left("practice-begins"));
        out.push(words.say("practice-how"));
        return out.join("\n") + "\n";
    }
    if let Some(step) = &p.taken {
        let args = [
            ("what", step.what.as_str().into()),
            ("shown", step.shown.as_str().into()),
            ("minutes", minutes(step.minutes, words).into()),
        ];
        out.push(words.text(p.saw, &args));
        out.push(left("practice-left"));
    }
    if let (Some(named), None) = (&p.named, &p.revealed) {
        out.push(words.text("practice-handed-in", &[("causes", named.join(", ").into())]));
    }
    if let Some(revealed) = &p.revealed {
        reveal(revealed, words, &mut out);
        out.push(left("practice-left"));
    }
    out.join("\n") + "\n"
}

fn reveal(r: &Revealed, words: &Words, out: &mut Vec<String>) {
    out.push(words.say("practice-causes"));
    for c in &r.causes {
        let key = match (c.is_true, c.named) {
            (true, true) => "practice-cause-found",
            (true, false) => "practice-cause-missed",
            (false, true) => "practice-cause-wrong",
            (false, false) => continue,
        };
        let args = [("label", c.label.as_str().into()), ("seen_by", c.seen_by.as_str().into())];
        out.push(format!("  {}", words.text(key, &args)));
    }
    if !r.hazards.is_empty() {
        out.push(words.say("practice-hazards"));
    }
    let last = r.steps.len();
    for h in &r.hazards {
        let key = match (h.walked_past, h.looked) {
            (Some(step), _) if step > last => "practice-hazard-scope",
            (Some(_), _) => "practice-hazard-past",
            (None, Some(_)) => "practice-hazard-seen",
            (None, None) => "practice-hazard-unseen",
        };
        let step = h.walked_past.or(h.looked).unwrap_or(0);
        let what = step.checked_sub(1).and_then(|i| r.steps.get(i)).map_or("", |s| s.what.as_str());
        let args = [("label", h.label.as_str().into()), ("step", step.into()), ("what", what.into())];
        out.push(format!("  {}", words.text(key, &args)));
    }
    if let (Some(before), Some(after)) = (&r.before, &r.after) {
        let show = Show::default();
        let truth = r.truth.map_or_else(String::new, |t| words.about(t, before.quantity, show));
        out.push(words.text(
            "practice-question",
            &[
                ("question", r.question.as_str().into()),
                ("before", words.estimate(before, show).into()),
                ("after", words.estimate(after, show).into()),
                ("truth", truth.into()),
            ],
        ));
    }
    if !r.steps.is_empty() {
        out.push(words.say("practice-steps"));
    }
    for (i, s) in r.steps.iter().enumerate() {
        let share = s.removed.map_or_else(String::new, |v| words.percent(v));
        let args = [
            ("step", (i + 1).into()),
            ("what", s.what.as_str().into()),
            ("shown", s.shown.as_str().into()),
            ("minutes", minutes(s.minutes, words).into()),
            ("share", share.into()),
        ];
        out.push(format!("  {}", words.text("practice-step", &args)));
    }
    if !r.would_tell.is_empty() {
        out.push(words.say("practice-would"));
    }
    for w in &r.would_tell {
        let args = [
            ("what", w.what.as_str().into()),
            ("minutes", minutes(w.minutes, words).into()),
            ("share", words.percent(w.removes).into()),
        ];
        out.push(format!("  {}", words.text("practice-would-one", &args)));
    }
    if let Some(scope) = &r.scope {
        out.push(words.say("practice-scope"));
        for l in &scope.lived {
            let met = match l.met {
                Some(true) => "yes",
                Some(false) => "no",
                None => "",
            };
            let show = Show::default();
            let about = |e: &engine::measure::Estimate| words.about(e.si, e.quantity, show);
            let args = [
                ("what", l.what.as_str().into()),
                ("found", about(&l.found).into()),
                ("after", about(&l.after).into()),
                ("met", met.into()),
            ];
            out.push(format!("  {}", words.text("practice-lived", &args)));
        }
        if !scope.held.is_empty() {
            out.push(format!(
                "  {}",
                words.text("practice-held", &[("reasons", scope.held.join("; ").into())])
            ));
        }
    }
    out.push(words.text("practice-again", &[("seed", r.seed.to_string().into())]));
}
