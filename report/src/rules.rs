//! Control rules as people read them: the table, the sheet for commissioning, and what a test showed.

use crate::words::Words;
use serde::Serialize;

/// Everything about the rules of a job, worded.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct RulesView {
    /// Letterhead, instruments and tester; its title is not shown.
    pub head: crate::sheets::Head,
    /// Name of the job.
    pub title: String,
    /// Said where rules could not be read and are missing here.
    pub missing: Option<String>,
    /// Each rule, the strongest first.
    pub rules: Vec<RuleView>,
    /// What may be commanded and what is only advised, as sentences.
    pub authority: Vec<String>,
    /// How each rule is tried on site.
    pub sheet: Vec<SheetView>,
    /// What the program's own provocation showed.
    pub tested: Vec<TestedView>,
}

/// A rule.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RuleView {
    /// What it is called.
    pub label: String,
    /// Its name in the document.
    pub name: String,
    /// What it does, as a sentence.
    pub does: String,
    /// When it starts, in plain words.
    pub on_words: String,
    /// When it starts, as written.
    pub on_when: String,
    /// When it ends, in plain words; empty where it ends with its start.
    pub off_words: String,
    /// When it ends, as written; empty where it ends with its start.
    pub off_when: String,
    /// What it remembers, what happens on a lost signal: one line each.
    pub keeps: Vec<String>,
    /// What it owes at worst, and how long that takes to repay.
    pub debt: Option<String>,
}

/// How one rule is tried on site.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SheetView {
    /// The rule.
    pub label: String,
    /// What to do and what must be seen.
    pub steps: Vec<(String, String)>,
}

/// What a rule did.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TestedView {
    /// The rule, or the series.
    pub label: String,
    /// Whether all was seen that was expected; nothing where nothing was expected.
    pub as_expected: Option<bool>,
    /// One line each.
    pub lines: Vec<String>,
}

/// The lines of a terminal.
pub fn text(view: &RulesView, words: &Words) -> String {
    let mut out = view.missing.as_ref().map_or_else(String::new, |m| format!("{m}\n\n"));
    let mut block = |key: &str, body: String| {
        if !body.is_empty() {
            out += &format!("{}\n{body}\n", words.say(key));
        }
    };
    let rule = |r: &RuleView| {
        let mut body = format!("  {} (`{}`): {}\n", r.label, r.name, r.does);
        for (key, plain, written) in
            [("rules-on-when", &r.on_words, &r.on_when), ("rules-off-when", &r.off_words, &r.off_when)]
        {
            if !written.is_empty() {
                body += &format!("    {}  {plain}\n      `{written}`\n", words.say(key));
            }
        }
        for line in r.keeps.iter().chain(&r.debt) {
            body += &format!("    {line}\n");
        }
        body
    };
    block("rules-title", view.rules.iter().map(rule).collect());
    block("rules-authority-title", view.authority.iter().map(|l| format!("  {l}\n")).collect());
    let sheet = |s: &SheetView| {
        let step = |(act, see): &(String, String)| {
            format!("    [ ] {act}\n        {} {see}\n", words.say("rules-see"))
        };
        format!("  {}\n{}", s.label, s.steps.iter().map(step).collect::<String>())
    };
    block("rules-sheet-title", view.sheet.iter().map(sheet).collect());
    let tested = |t: &TestedView| {
        let lines: String = t.lines.iter().map(|l| format!("    {l}\n")).collect();
        format!("  {}{}\n{lines}", t.label, verdict(t, words).map_or(String::new(), |v| format!(": {v}")))
    };
    block("rules-tested-title", view.tested.iter().map(tested).collect());
    out
}

/// The word for what a provocation came to.
pub fn verdict(tested: &TestedView, words: &Words) -> Option<String> {
    tested.as_expected.map(|good| words.say(if good { "rules-as-expected" } else { "rules-not-as-expected" }))
}
