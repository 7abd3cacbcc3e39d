//! Findings as people read them: the short list, the appendix, and what was silent and why.

use crate::text::columns;
use crate::words::Words;
use serde::Serialize;

/// All findings of a job, worded.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct FindingsView {
    /// Hazards, readings, complaints, in this order.
    pub short: Vec<FindingView>,
    /// What touches neither.
    pub appendix: Vec<FindingView>,
    /// How many rules said what: a sentence.
    pub counts: String,
    /// Patterns that do not hold, a line each; empty where nobody asked.
    pub not_found: Vec<(String, String)>,
    /// Rules that were silent and what each lacked; empty where nobody asked.
    pub silent: Vec<(String, Vec<String>)>,
    /// Whether those were asked for.
    pub all: bool,
}

/// One finding.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct FindingView {
    /// Whether lives are at stake.
    pub hazard: bool,
    /// What it is about: `Hazard`.
    pub group: String,
    /// Of what, such as a room; may be empty.
    pub of: String,
    /// The sentence.
    pub says: String,
    /// How sure: `chance 86 %`.
    pub sure: String,
    /// Why the reading is in doubt, or why it is held back: sentences.
    pub doubts: Vec<String>,
    /// Complaints that it touches.
    pub complaints: Vec<String>,
    /// What it rests on: name, value, where from.
    pub evidence: Vec<(String, String, String)>,
    /// What it was held against: name, limit with source, its mark.
    pub limits: Vec<(String, String, String)>,
    /// What could be behind it, the likeliest first.
    pub causes: Vec<String>,
    /// The next test and how long it takes.
    pub test: String,
    /// What would speak against it.
    pub refuted: String,
    /// What it usually takes.
    pub remedy: String,
    /// A ready plan change.
    pub change: Option<String>,
    /// Who may do it, or must act.
    pub who: String,
    /// What to be careful of.
    pub caution: Option<String>,
    /// Where the pattern stands, with its mark.
    pub source: String,
}

impl FindingView {
    /// The sentence, led by what it is of where it does not name that itself.
    pub fn headline(&self) -> String {
        let named = self.says.to_lowercase().contains(&self.of.to_lowercase());
        if named { self.says.clone() } else { format!("{}: {}", self.of, self.says) }
    }

    /// Everything beside the sentence: name and text.
    pub fn lines(&self, words: &Words) -> Vec<(String, String)> {
        let mut out: Vec<(String, String)> = Vec::new();
        let mut line = |key: &str, text: String| {
            if !text.is_empty() {
                out.push((words.say(key), text));
            }
        };
        for (name, value, from) in &self.evidence {
            line("findings-rests", format!("{name}: {value} [{from}]"));
        }
        for (name, limit, mark) in &self.limits {
            line("findings-limits", format!("{name}: {limit}; {mark}"));
        }
        line("findings-causes", self.causes.join("; "));
        line("findings-test", self.test.clone());
        line("findings-refuted", self.refuted.clone());
        line("findings-remedy", self.remedy.clone());
        line(if self.hazard { "findings-who-must" } else { "findings-who" }, self.who.clone());
        line("findings-caution", self.caution.clone().unwrap_or_default());
        line("findings-source", self.source.clone());
        out
    }
}

/// The sentences of the short list alone.
pub fn headlines(view: &FindingsView) -> String {
    let lead = |f: &FindingView| if f.hazard { "!! " } else { "" };
    view.short.iter().map(|f| format!("  {}{} [{}]\n", lead(f), f.headline(), f.sure)).collect()
}

/// As lines of a terminal.
pub fn text(view: &FindingsView, words: &Words) -> String {
    let mut out = String::new();
    if view.short.is_empty() {
        out += &format!("  {}\n", words.say("findings-none"));
    }
    for f in &view.short {
        out += &one(f, words);
    }
    if !view.appendix.is_empty() {
        out += &format!("\n{}\n", words.say("findings-appendix"));
        for f in &view.appendix {
            out += &one(f, words);
        }
    }
    if !view.not_found.is_empty() {
        let rows: Vec<(String, String)> = view.not_found.clone();
        out += &format!("\n{}\n", words.say("findings-not-found"));
        out += &format!("  {}\n{}", words.say("findings-not-found-caption"), columns(&rows));
    }
    if !view.silent.is_empty() {
        out += &format!("\n{}\n", words.say("findings-silent"));
        for (rule, lacks) in &view.silent {
            out += &format!("  {rule}\n");
            for lack in lacks {
                out += &format!("     {lack}\n");
            }
        }
    }
    out += &format!("\n{}\n", view.counts);
    if !view.all {
        out += &format!("{}\n", words.say("findings-ask-all"));
    }
    out
}

fn one(f: &FindingView, words: &Words) -> String {
    let lead = if f.hazard { "!!" } else { "--" };
    let mut out = format!("{lead} {} [{}]\n", f.headline(), f.sure);
    for text in &f.doubts {
        out += &format!("   {text}\n");
    }
    for complaint in &f.complaints {
        out += &format!("   {complaint}\n");
    }
    // A name that repeats is said once.
    let mut last = String::new();
    let rows: Vec<(String, String)> = f
        .lines(words)
        .into_iter()
        .map(|(name, text)| {
            let shown = if name == last { String::new() } else { name.clone() };
            last = name;
            (format!(" {shown}"), text)
        })
        .collect();
    out += &columns(&rows);
    if let Some(change) = &f.change {
        out += &format!("   {}\n", words.say("findings-change"));
        for line in change.lines() {
            out += &format!("      {line}\n");
        }
    }
    out + "\n"
}
