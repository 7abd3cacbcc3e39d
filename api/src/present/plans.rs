//! Plans side by side, and as lines for a terminal.

use super::phrase;
use crate::Job;
use engine::gate::Gate;
use engine::house::House;
use engine::measure::{Estimate, NoInterval};
use engine::plan::{Compared, ScoreKind, Scored};
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
                changes: planned.changes.iter().map(|c| phrase::change(c, house, words)).collect(),
                price: price(p, words),
                status: p.gate.as_ref().map_or(PlanStatus::Released(Vec::new()), |g| status(g, words)),
                best_frac: p.best_chance.unwrap_or(0.0),
                if_released_frac: p.best_chance.is_none().then_some(p.best_if_released),
                targets_frac: p.all_met,
                best: compared.best == i + 1,
            }
        })
        .collect();
    let mut scores: Vec<Score> = compared
        .scores
        .iter()
        .enumerate()
        .map(|(s, score)| {
            let lower = match score.kind {
                ScoreKind::Of { measure, .. } => measure.lower_is_better(),
                _ => true,
            };
            let number = |e: &Estimate| {
                let n = Number::computed(*e);
                if score.kind == ScoreKind::AppliancePressure { n.signed() } else { n }
            };
            Score {
                name: phrase::score(score, house, words),
                detail: words.say("scored-over-year"),
                target: score.target.map(|si| Limit {
                    si,
                    quantity: score.kind.quantity(),
                    usage: report::words::Usage::Usual,
                    at_most: lower,
                    source: score.target_source.clone().unwrap_or_default(),
                    confirmed: true,
                }),
                as_found: Some(number(&found.values[s])),
                plans: compared.plans.iter().skip(1).map(|p| number(&p.values[s])).collect(),
            }
        })
        .collect();
    scores.push(Score {
        name: words.say("score-yearly-cost"),
        detail: words.say("scored-over-year"),
        target: None,
        as_found: Some(Number::computed(found.yearly_cost)),
        plans: compared.plans.iter().skip(1).map(|p| Number::computed(p.yearly_cost)).collect(),
    });
    Plans {
        rule: words.text("plans-rule", &[("years", words.number(job.documents.job.years_of_cost).into())]),
        list,
        as_found_frac: found.best_chance.unwrap_or(0.0),
        none_meets_frac: compared.none_meets,
        scores,
    }
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
            out += &format!(
                "     {}: {}\n",
                phrase::score(score, house, words),
                words.estimate_short(&p.values[s], Show::default())
            );
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
