//! Findings as people see them.

use crate::Job;
use engine::finding::quantity::{Fed, QUANTITIES, key as quantity_key, slot};
use engine::finding::{
    Chance, Finding, Findings, Group, Lack, LimitShown, Mark, Origin, Standing, Texts, Used, Value, Who,
    cause_key, key,
};
use engine::measure::Estimate;
use report::findings::{FindingView, FindingsView};
use report::words::{Language, Show, Usage, Words};

fn distinct<'a>(ids: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let mut ids: Vec<&str> = ids.collect();
    ids.sort_unstable();
    ids.dedup();
    ids
}

/// Shares of causes are rough: told in steps of this many per cent.
const STEP: f64 = 10.0;
/// Causes with less than this share are not told.
const LEAST_CAUSE: f64 = 0.05;
/// A chance above this is told as that.
const NEARLY: f64 = 0.99;

/// All findings, worded; `all` with what does not hold and what was silent.
pub(super) fn view(job: &Job, findings: &Findings, all: bool, words: &Words) -> FindingsView {
    let (short, appendix): (Vec<&Finding>, Vec<&Finding>) =
        findings.found.iter().partition(|f| f.group != Group::Other && f.standing != Standing::HeldBack);
    let list = |found: Vec<&Finding>| found.into_iter().map(|f| one(job, f, findings, words)).collect();
    // A rule that speaks of one room and is silent about another has something to say.
    let found = distinct(findings.found.iter().map(|f| f.id.as_str()));
    let mut not = distinct(findings.not_found.iter().map(|f| f.id.as_str()));
    not.retain(|id| !found.contains(id));
    let mut silent = distinct(findings.silent.iter().map(|f| f.id.as_str()));
    silent.retain(|id| !found.contains(id) && !not.contains(id));
    let counts = words.text(
        "findings-counts",
        &[
            ("rules", (found.len() + not.len() + silent.len()).into()),
            ("found", found.len().into()),
            ("not", not.len().into()),
            ("silent", silent.len().into()),
        ],
    );
    // What the screen holds back is said with the tests that findings name.
    let counts = match super::screen::holding_back(job, words) {
        Some(held) => format!("{counts} {held}"),
        None => counts,
    };
    let lead = |label: &Option<String>, id: &str, texts: &Option<Texts>| {
        let name = name(id, texts.as_ref(), words);
        label.as_ref().map_or_else(|| name.clone(), |l| format!("{name}: {l}"))
    };
    FindingsView {
        short: list(short),
        appendix: list(appendix),
        counts,
        not_found: if all {
            let row =
                |n: &engine::finding::NotFound| (lead(&n.label, &n.id, &n.texts), chance(&n.chance, words));
            // Of bands of one level, the one that holds speaks for all.
            let spoken = |n: &&engine::finding::NotFound| {
                !findings.found.iter().any(|f| f.row.is_some() && f.row == n.row && f.label == n.label)
            };
            findings.not_found.iter().filter(spoken).map(row).collect()
        } else {
            Vec::new()
        },
        silent: if all {
            let row = |s: &engine::finding::Silent| {
                let mut lacks: Vec<String> = s.lacks.iter().map(|l| lack(l, words)).collect();
                if s.either && lacks.len() > 1 {
                    lacks.insert(0, words.say("findings-any-of"));
                }
                (lead(&s.label, &s.id, &s.texts), lacks)
            };
            findings.silent.iter().map(row).collect()
        } else {
            Vec::new()
        },
        all,
    }
}

fn says(id: &str, texts: Option<&Texts>, words: &Words) -> String {
    texts.map_or_else(|| words.say(&key(id)), |t| t.says.clone())
}

/// What a pattern is called where nothing is claimed of it.
fn name(id: &str, texts: Option<&Texts>, words: &Words) -> String {
    match texts {
        Some(_) => id.replace('_', " "),
        None => words.say(&format!("{}.name", key(id))),
    }
}

/// A part of a finding's words: an attribute of the catalogue, or the user's own.
fn part(f: &Finding, attribute: &str, own: impl Fn(&Texts) -> String, words: &Words) -> String {
    match &f.texts {
        Some(texts) => own(texts),
        None => words.find(&format!("{}.{attribute}", key(&f.id)), &[]).unwrap_or_default(),
    }
}

fn one(job: &Job, f: &Finding, all: &Findings, words: &Words) -> FindingView {
    let of_rule = |id: &str| {
        let texts = all.found.iter().find(|o| o.id == id).and_then(|o| o.texts.as_ref());
        name(id, texts, words)
    };
    let doubt = |id: &String| {
        let key = if f.standing == Standing::HeldBack { "findings-held" } else { "findings-doubted" };
        words.text(key, &[("by", of_rule(id).into())])
    };
    let complaint = |at: &usize| {
        let said = job.documents.job.complaints.get(*at)?;
        Some(words.text("findings-complaint", &[("words", said.words.value.as_str().into())]))
    };
    let takes = words.quantity(f.test_s, engine::units::Quantity::Time);
    let takes = match f.test_s {
        s if s > 0.0 => words.text("findings-test-takes", &[("time", takes.into())]),
        _ => words.say("findings-test-now"),
    };
    let mut test = format!("{} ({takes}", part(f, "test", |t| t.test.clone(), words));
    if let Some(kind) = f.test_kind.as_deref().filter(|k| *k != "envelope" && f.test_s > 0.0) {
        test += &format!("; {}", words.text("findings-test-sheet", &[("test", kind.into())]));
    }
    test.push(')');
    let caution = part(f, "caution", |t| t.caution.clone().unwrap_or_default(), words);
    FindingView {
        hazard: f.group == Group::Hazard,
        group: words.say(match f.group {
            Group::Hazard => "findings-group-hazard",
            Group::Quality => "findings-group-quality",
            Group::Complaint => "findings-group-complaint",
            Group::Other => "findings-group-other",
        }),
        of: f.label.as_deref().map(capital).unwrap_or_default(),
        says: says(&f.id, f.texts.as_ref(), words),
        sure: sure(f, words),
        doubts: f.doubted_by.iter().map(doubt).collect(),
        complaints: f.complaints.iter().filter_map(complaint).collect(),
        evidence: f.evidence.iter().map(|e| evidence(e, words)).collect(),
        limits: f.limits.iter().map(|l| limit(l, words)).collect(),
        causes: f.causes.iter().filter(|c| c.share >= LEAST_CAUSE).map(|c| cause(c, words)).collect(),
        test,
        refuted: part(f, "refuted", |t| t.refuted.clone(), words),
        remedy: part(f, "remedy", |t| t.remedy.clone(), words),
        change: f.change.clone(),
        who: words.say(who(f.who)),
        caution: Some(caution).filter(|c| !c.is_empty()),
        source: match told(&f.source, f.mark, words) {
            Some(source) => format!("{source}; {}", words.say(mark(f.mark))),
            None => words.say(mark(f.mark)),
        },
    }
}

/// The text with a capital at its start.
pub(super) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().collect::<String>() + chars.as_str())
}

fn chance(c: &Chance, words: &Words) -> String {
    match (c.words_only, c.share) {
        (true, s) if s >= 0.5 => words.say("findings-likely"),
        (true, _) => words.say("findings-unlikely"),
        (false, s) if s > NEARLY => words.say("findings-chance-over"),
        (false, s) => words.text("findings-chance", &[("share", words.percent(s).into())]),
    }
}

fn sure(f: &Finding, words: &Words) -> String {
    let chance = chance(&f.chance, words);
    if f.standing == Standing::Found || f.standing == Standing::HeldBack {
        return chance;
    }
    let marks = || f.limits.iter().map(|l| l.mark).chain([f.mark]);
    let look = if marks().any(|m| m == Mark::Memory) {
        "findings-look-limit"
    } else if marks().any(|m| m == Mark::Practice) {
        "findings-look-practice"
    } else {
        "findings-look"
    };
    format!("{chance}; {}", words.say(look))
}

/// Times in seconds where they are of a flame, else as usual.
fn shown(quantity: &str) -> Show {
    if quantity.starts_with("spillage.") { Show::usage(Usage::Seconds) } else { Show::default() }
}

fn evidence(used: &Used, words: &Words) -> (String, String, String) {
    let value = match &used.value {
        Value::Number(e) => words.estimate(e, shown(used.quantity)),
        Value::Flag(yes) => words.say(if *yes { "findings-yes" } else { "findings-no" }),
    };
    let day = |visit: &str| visit.trim_start_matches("visits/").to_owned();
    let from = match &used.origin {
        Origin::Test { visit, name } => {
            words.text("findings-from-test", &[("test", name.as_str().into()), ("visit", day(visit).into())])
        }
        Origin::Reading { visit, .. } => words.text("findings-from-reading", &[("visit", day(visit).into())]),
        Origin::Conditions { visit } => {
            words.text("findings-from-conditions", &[("visit", day(visit).into())])
        }
        Origin::Fit => words.say("findings-from-fit"),
        Origin::Complaint => words.say("findings-from-complaint"),
        Origin::House => words.say("findings-from-house"),
        Origin::Seen { note: Some(note), .. } => {
            words.text("findings-from-seen", &[("note", note.as_str().into())])
        }
        Origin::Seen { note: None, .. } => words.say("findings-from-seen-bare"),
    };
    (words.say(&quantity_key(used.quantity)), value, from)
}

fn limit(l: &LimitShown, words: &Words) -> (String, String, String) {
    let Estimate { si, quantity, .. } = l.value;
    let value = words.quantity_as(si, quantity, shown(l.quantity));
    let limit = match told(&l.source, l.mark, words) {
        Some(source) => words.text("findings-limit", &[("value", value.into()), ("source", source.into())]),
        None => value,
    };
    (words.say(&quantity_key(l.quantity)), limit, words.say(mark(l.mark)))
}

/// A source as it is told: the program's own words in the reader's language, those of a user and the titles
/// of publications as they are; a habit of the trade is told by its mark alone.
fn told(source: &str, mark: Mark, words: &Words) -> Option<String> {
    let plain = mark == Mark::Practice && source.starts_with("common practice");
    let key = source_key(source);
    // A user's own source may begin as one of ours.
    let ours = Words::new(Language::En, words.system()).find(&key, &[]).is_some_and(|s| s == source);
    let told = || if ours { words.say(&key) } else { source.to_owned() };
    (!source.is_empty() && !plain).then(told)
}

/// The catalogue's key of a source that the program's own findings name: small letters and digits of its
/// text, 64 signs at most.
pub(crate) fn source_key(source: &str) -> String {
    let parts: Vec<String> = source
        .split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|p| !p.is_empty())
        .map(str::to_ascii_lowercase)
        .collect();
    let slug: String = parts.join("-").chars().take(64).collect();
    format!("source-{}", slug.trim_end_matches('-'))
}

fn cause(c: &engine::finding::CauseShare, words: &Words) -> String {
    let says = c.says.clone().unwrap_or_else(|| words.say(&cause_key(&c.id)));
    let rough = ((c.share * 100.0 / STEP).round() * STEP).max(STEP) / 100.0;
    let key = if c.moved { "findings-cause-moved" } else { "findings-cause" };
    words.text(key, &[("cause", says.into()), ("share", words.percent(rough).into())])
}

fn lack(l: &Lack, words: &Words) -> String {
    let name = |q: &str| words.say(&quantity_key(q));
    let state = |s: &str| words.say(&format!("setup-{}", s.replace(' ', "-")));
    match l {
        Lack::Quantity { quantity } => {
            let typed = slot(quantity).and_then(|s| QUANTITIES.get(s)).is_some_and(|q| q.fed == Fed::Typed);
            let key = if typed { "findings-lacks-typed" } else { "findings-lacks" };
            words.text(key, &[("quantity", name(quantity).into())])
        }
        Lack::NotRecorded { quantity, setup } => words.text(
            "findings-lacks-setup",
            &[("quantity", name(quantity).into()), ("setup", state(setup).into())],
        ),
        Lack::TakenOtherwise { quantity, setup } => words.text(
            "findings-lacks-state",
            &[("quantity", name(quantity).into()), ("setup", state(setup).into())],
        ),
    }
}

fn mark(mark: Mark) -> &'static str {
    match mark {
        Mark::Seen => "findings-mark-seen",
        Mark::Derived => "findings-mark-derived",
        Mark::Memory => "findings-mark-memory",
        Mark::Practice => "findings-mark-practice",
        Mark::Adopted => "findings-mark-adopted",
    }
}

fn who(who: Who) -> &'static str {
    match who {
        Who::Tester => "who-tester",
        Who::Occupant => "who-occupant",
        Who::Crew => "who-crew",
        Who::Hvac => "who-hvac",
        Who::Appliance => "who-appliance",
        Who::Emergency => "who-emergency",
        Who::Radon => "who-radon",
        Who::Controls => "who-controls",
    }
}
