//! Rules against evidence: quality first, then safety, then the house.

use super::evidence::{Evidence, Item, Origin, Value};
use super::quantity::{Class, QUANTITIES};
use super::{DRAWS, Mark, Rule, Rules, Sort, Texts, Who};
use crate::doc::job::{Complaint, Measure};
use crate::measure::{Estimate, NoInterval};
use crate::rule::Kind;
use serde::Serialize;

/// A pattern that holds at least this often counts as found where its limits may decide.
const FOUND: f64 = 0.5;
/// At least this often: worth a look.
const LOOK: f64 = 0.2;
/// At least this often where lives are at stake.
const LOOK_SAFETY: f64 = 0.05;

/// What a finding is about, in the order they are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Group {
    /// People's lives.
    Hazard,
    /// The readings themselves.
    Quality,
    /// What somebody complains of.
    Complaint,
    /// Neither: for the appendix.
    Other,
}

/// How much a finding claims.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// The pattern holds more often than not, and every limit in it may decide.
    Found,
    /// It may hold, or a limit in it is not confirmed.
    WorthALook,
    /// It rests on a reading that a quality rule spoilt.
    HeldBack,
}

/// How often the pattern holds over the draws.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Chance {
    /// Share of the draws, 0 to 1.
    pub share: f64,
    /// Whether only `likely` or `unlikely` may be said: a value without interval, or few draws.
    pub words_only: bool,
}

/// A value that a finding rests on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Used {
    /// Name of the quantity.
    pub quantity: &'static str,
    /// Of what, as people read it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub of: Option<String>,
    /// The value.
    pub value: Value,
    /// Where it comes from.
    pub origin: Origin,
}

/// A limit beside it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LimitShown {
    /// Name of the quantity it is a value of.
    pub quantity: &'static str,
    /// The value.
    pub value: Estimate,
    /// Where it stands; empty where nothing does.
    pub source: String,
    /// How well it is supported.
    pub mark: Mark,
}

/// What could be behind it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CauseShare {
    /// Its name.
    pub id: String,
    /// Share among the causes, 0 to 1.
    pub share: f64,
    /// Whether other evidence moved it.
    pub moved: bool,
    /// Its words, where the rule is the user's own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub says: Option<String>,
}

/// A finding.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// Name of the rule.
    pub id: String,
    /// Pattern of the list in the documentation.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub row: Option<usize>,
    /// What it is about.
    pub group: Group,
    /// What it claims.
    pub standing: Standing,
    /// How often the pattern holds.
    pub chance: Chance,
    /// Of what, by name in the documents.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub of: Option<String>,
    /// The same as people read it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub label: Option<String>,
    /// The zone, by name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub zone: Option<String>,
    /// What it rests on.
    pub evidence: Vec<Used>,
    /// Limits it was held against.
    pub limits: Vec<LimitShown>,
    /// What could be behind it, the likeliest first.
    pub causes: Vec<CauseShare>,
    /// How long the confirming test takes, s.
    pub test_s: f64,
    /// Kind of that test as written in documents.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub test_kind: Option<String>,
    /// Who may do what it takes.
    pub who: Who,
    /// A plan change, with names to fill in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub change: Option<String>,
    /// Complaints that it touches, by index.
    pub complaints: Vec<usize>,
    /// Quality rules that spoilt what it rests on.
    pub doubted_by: Vec<String>,
    /// Where the pattern stands.
    pub source: String,
    /// How well the pattern is supported.
    pub mark: Mark,
    /// Words, where the rule is the user's own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub texts: Option<Texts>,
}

/// What a rule lacked.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "lacks", rename_all = "snake_case")]
pub enum Lack {
    /// Nobody measured it.
    Quantity {
        /// Which.
        quantity: &'static str,
    },
    /// Nobody noted whether the house was in this state.
    NotRecorded {
        /// Which quantity.
        quantity: &'static str,
        /// Which state.
        setup: &'static str,
    },
    /// It was taken in another state.
    TakenOtherwise {
        /// Which quantity.
        quantity: &'static str,
        /// Which state it should have been in.
        setup: &'static str,
    },
}

/// A rule that has nothing to say.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Silent {
    /// Name of the rule.
    pub id: String,
    /// Pattern of the list in the documentation.
    pub row: Option<usize>,
    /// Of what, where some was measured.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub label: Option<String>,
    /// What it lacked; where one of its quantities is enough, all of them.
    pub lacks: Vec<Lack>,
    /// Whether one of them is enough.
    pub either: bool,
    /// Words, where the rule is the user's own.
    #[serde(skip)]
    pub texts: Option<Texts>,
}

/// A pattern that does not hold.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NotFound {
    /// Name of the rule.
    pub id: String,
    /// Pattern of the list in the documentation.
    pub row: Option<usize>,
    /// Of what.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub label: Option<String>,
    /// How often it holds.
    pub chance: Chance,
    /// Words, where the rule is the user's own.
    #[serde(skip)]
    pub texts: Option<Texts>,
}

/// What the rules say of a job.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Findings {
    /// Hazards first, then the readings, complaints, the rest.
    pub found: Vec<Finding>,
    /// Patterns that were looked for and do not hold.
    pub not_found: Vec<NotFound>,
    /// Rules that lacked something.
    pub silent: Vec<Silent>,
}

/// Runs all rules.
pub fn judge(rules: &Rules, evidence: &Evidence, complaints: &[Complaint]) -> Findings {
    let mut out = Findings::default();
    // Name of the quality rule, what it spoils, and of what.
    let mut spoilt: Vec<(&str, &[String], Option<String>)> = Vec::new();
    let mut order: Vec<&Rule> = rules.rules.iter().collect();
    order.sort_by_key(|r| r.sort);
    let bench = Bench { evidence, complaints };
    for rule in order {
        for subject in bench.subjects(rule) {
            match bench.run(rule, subject.as_deref()) {
                Ran::Lacks(lacks) => out.silent.push(Silent {
                    id: rule.id.clone(),
                    row: rule.row,
                    label: subject.as_deref().and_then(|s| bench.label(rule, s)),
                    lacks,
                    either: rule.either,
                    texts: rule.texts.clone(),
                }),
                Ran::Not(chance) => out.not_found.push(NotFound {
                    id: rule.id.clone(),
                    row: rule.row,
                    label: subject.as_deref().and_then(|s| bench.label(rule, s)),
                    chance,
                    texts: rule.texts.clone(),
                }),
                Ran::Holds(mut finding) => {
                    if rule.sort == Sort::Quality && finding.chance.share >= FOUND {
                        spoilt.push((&rule.id, &rule.spoils, finding.of.clone()));
                    }
                    if rule.sort != Sort::Quality {
                        let doubts = |(_, what, of): &&(&str, &[String], Option<String>)| {
                            let same = of.is_none() || *of == finding.of;
                            same && finding.evidence.iter().any(|e| what.iter().any(|w| names(w, e.quantity)))
                        };
                        let by: Vec<String> = spoilt.iter().filter(doubts).map(|s| s.0.to_owned()).collect();
                        if rule.sort == Sort::House && !by.is_empty() {
                            finding.standing = Standing::HeldBack;
                        }
                        finding.doubted_by = by;
                    }
                    out.found.push(*finding);
                }
            }
        }
    }
    let weight = |f: &Finding| {
        let of = f.complaints.iter().filter_map(|c| complaints.get(*c)).map(|c| c.weight);
        of.sum::<f64>().max(1.0) * f.chance.share
    };
    out.found.sort_by(|a, b| {
        let first = (a.group, a.standing).cmp(&(b.group, b.standing));
        first.then(weight(b).total_cmp(&weight(a))).then(a.row.cmp(&b.row))
    });
    out
}

/// Whether a pattern of names, `envelope.*`, has a name in it.
fn names(pattern: &str, name: &str) -> bool {
    pattern.strip_suffix('*').map_or(pattern == name, |group| name.starts_with(group))
}

enum Ran {
    Lacks(Vec<Lack>),
    Not(Chance),
    Holds(Box<Finding>),
}

struct Bench<'a> {
    evidence: &'a Evidence,
    complaints: &'a [Complaint],
}

impl<'a> Bench<'a> {
    /// What the rule is asked of, one by one; once where it is of the house, or of nothing measured.
    fn subjects(&self, rule: &Rule) -> Vec<Option<String>> {
        if rule.class.is_none() {
            return vec![None];
        }
        let mut out: Vec<Option<String>> = Vec::new();
        for item in self.evidence.items.iter().filter(|i| rule.slots.contains(&i.slot)) {
            if item.of.is_some() && !out.contains(&item.of) {
                out.push(item.of.clone());
            }
        }
        if out.is_empty() { vec![None] } else { out }
    }

    fn label(&self, rule: &Rule, subject: &str) -> Option<String> {
        self.about(rule, subject).and_then(|i| i.label.clone())
    }

    fn about(&self, rule: &Rule, subject: &str) -> Option<&'a Item> {
        let of = |i: &&Item| i.of.as_deref() == Some(subject) && rule.slots.contains(&i.slot);
        self.evidence.items.iter().find(of)
    }

    /// The latest evidence for a slot that was taken in the states asked for, or what is lacking.
    fn pick(
        &self,
        slot: usize,
        subject: Option<&str>,
        setup: &[(usize, &'static str)],
    ) -> Result<&'a Item, Lack> {
        let named = QUANTITIES.get(slot);
        let quantity = named.map_or("", |q| q.name);
        let of = if named.is_some_and(|q| q.class == Class::House) { None } else { subject };
        let fits = |i: &&Item| i.slot == slot && i.of.as_deref() == of;
        let asked = || setup.iter().filter(|(s, _)| *s == slot).map(|(_, word)| *word);
        let mut lack = Lack::Quantity { quantity };
        for item in self.evidence.items.iter().rev().filter(fits) {
            let held = |word: &str| item.setup.iter().find(|(w, _)| *w == word).map(|(_, held)| *held);
            match asked().find(|word| held(word) != Some(true)) {
                None => return Ok(item),
                Some(setup) if matches!(lack, Lack::Quantity { .. }) => {
                    lack = match held(setup) {
                        None => Lack::NotRecorded { quantity, setup },
                        Some(_) => Lack::TakenOtherwise { quantity, setup },
                    };
                }
                Some(_) => {}
            }
        }
        Err(lack)
    }

    fn run(&self, rule: &Rule, subject: Option<&str>) -> Ran {
        let mut items: Vec<&Item> = Vec::new();
        let mut lacks: Vec<Lack> = Vec::new();
        for slot in &rule.slots {
            match self.pick(*slot, subject, &rule.setup) {
                Ok(item) => items.push(item),
                Err(lack) => lacks.push(lack),
            }
        }
        if items.is_empty() || (!lacks.is_empty() && !rule.either) {
            return Ran::Lacks(lacks);
        }
        let holds = self.holds(&rule.when, &items, rule);
        let share = holds.iter().filter(|h| **h).count() as f64 / DRAWS as f64;
        let of_fit = items.iter().any(|i| i.draws.is_some());
        let words_only = items.iter().any(|i| !i.doubt_is_known()) || (of_fit && self.evidence.few_draws);
        let chance = Chance { share, words_only };
        let least = if rule.sort == Sort::Safety { LOOK_SAFETY } else { LOOK };
        if share < least {
            return Ran::Not(chance);
        }
        let read = rule.when.slots();
        let limits: Vec<LimitShown> = rule
            .limits
            .iter()
            .enumerate()
            .filter(|(at, _)| read.iter().any(|s| usize::from(*s) == QUANTITIES.len() + at))
            .filter_map(|(_, l)| shown(l.of, l.si, &l.source, l.mark))
            .chain(items.iter().filter_map(|i| {
                let (source, mark) = i.limit.as_ref()?;
                let Value::Number(e) = &i.value else { return None };
                shown(i.slot, e.si, source, *mark)
            }))
            .collect();
        let decides = rule.mark.decides() && limits.iter().all(|l| l.mark.decides());
        let standing = if share >= FOUND && decides { Standing::Found } else { Standing::WorthALook };
        let about = subject.and_then(|s| self.about(rule, s));
        let zone = about.and_then(|i| i.zone.clone());
        let complaints = self.touched(rule, zone.as_deref());
        let group = match rule.sort {
            Sort::Safety => Group::Hazard,
            Sort::Quality => Group::Quality,
            Sort::House if !complaints.is_empty() => Group::Complaint,
            Sort::House => Group::Other,
        };
        Ran::Holds(Box::new(Finding {
            id: rule.id.clone(),
            row: rule.row,
            group,
            standing,
            chance,
            of: subject.map(str::to_owned),
            label: about.and_then(|i| i.label.clone()),
            zone,
            evidence: items.iter().filter(|i| i.limit.is_none()).map(|i| used(i)).collect(),
            limits,
            causes: self.causes(rule, subject),
            test_s: rule.test_s,
            test_kind: rule.test_kind.clone(),
            who: rule.who,
            change: rule.change.clone(),
            complaints,
            doubted_by: Vec::new(),
            source: rule.source.clone(),
            mark: rule.mark,
            texts: rule.texts.clone(),
        }))
    }

    /// Whether a condition holds in each draw; what is not there reads as no number.
    fn holds(&self, when: &crate::rule::Program, items: &[&Item], rule: &Rule) -> Vec<bool> {
        let lanes: Vec<(usize, Vec<f64>)> =
            items.iter().map(|i| (i.slot, i.lanes(self.evidence.seed))).collect();
        let mut row = vec![f64::NAN; QUANTITIES.len() + rule.limits.len()];
        for (slot, limit) in row.iter_mut().skip(QUANTITIES.len()).zip(&rule.limits) {
            *slot = limit.si;
        }
        (0..DRAWS)
            .map(|draw| {
                for (slot, lane) in &lanes {
                    row[*slot] = lane.get(draw).copied().unwrap_or(f64::NAN);
                }
                when.holds(&row)
            })
            .collect()
    }

    /// Shares of the causes, each moved by what else was found.
    fn causes(&self, rule: &Rule, subject: Option<&str>) -> Vec<CauseShare> {
        let one = |cause| -> (&super::Cause, f64, bool) {
            let cause: &super::Cause = cause;
            let mut weight = cause.weight;
            let mut moved = false;
            if let Some((when, times)) = &cause.more {
                let slots = when.slots().into_iter().map(usize::from).filter(|s| *s < QUANTITIES.len());
                let items: Result<Vec<&Item>, Lack> = slots.map(|s| self.pick(s, subject, &[])).collect();
                if let Ok(items) = items {
                    let held = self.holds(when, &items, rule);
                    let share = held.iter().filter(|h| **h).count() as f64 / DRAWS as f64;
                    weight *= 1.0 + (times - 1.0) * share;
                    moved = share > 0.0;
                }
            }
            (cause, weight, moved)
        };
        let all: Vec<_> = rule.causes.iter().map(one).collect();
        let sum: f64 = all.iter().map(|c| c.1).sum();
        let mut out: Vec<CauseShare> = all
            .into_iter()
            .map(|(cause, weight, moved)| CauseShare {
                id: cause.id.clone(),
                share: if sum > 0.0 { weight / sum } else { 0.0 },
                moved,
                says: cause.says.clone(),
            })
            .collect();
        out.sort_by(|a, b| b.share.total_cmp(&a.share));
        out
    }

    /// Complaints by quantity and zone: a finding about a zone touches those about it, about air from
    /// it, or about no zone; one about the house touches all of its quantities.
    fn touched(&self, rule: &Rule, zone: Option<&str>) -> Vec<usize> {
        let touches = |c: &Complaint| {
            let said = |z: &Option<crate::doc::Sp<String>>| z.as_ref().map(|z| z.value.clone());
            let here = match (zone, said(&c.zone)) {
                (Some(zone), Some(of)) => zone == of,
                _ => true,
            };
            let from =
                c.quantity.value == Measure::AirFrom && zone.is_some() && said(&c.from).as_deref() == zone;
            rule.touches.contains(&c.quantity.value) && (here || from)
        };
        self.complaints.iter().enumerate().filter(|(_, c)| touches(c)).map(|(at, _)| at).collect()
    }
}

fn used(item: &Item) -> Used {
    Used {
        quantity: QUANTITIES.get(item.slot).map_or("", |q| q.name),
        of: item.label.clone(),
        value: item.value.clone(),
        origin: item.origin.clone(),
    }
}

fn shown(slot: usize, si: f64, source: &str, mark: Mark) -> Option<LimitShown> {
    let named = QUANTITIES.get(slot)?;
    let Kind::Measure(q) = named.kind else { return None };
    let value = Estimate::without(si, q, NoInterval::Exact);
    Some(LimitShown { quantity: named.name, value, source: source.to_owned(), mark })
}
