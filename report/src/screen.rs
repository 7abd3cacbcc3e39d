//! The safety of a visit as people read it: the hazard screen, the combustion guide, what is owed, and
//! what was touched and put back.

use crate::text::columns;
use crate::words::Words;
use serde::Serialize;

/// All of it, worded.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct SafetyView {
    /// The hazard screen of the last visit.
    pub screen: Option<ScreenView>,
    /// Tests that were taken against a screen: a sentence each.
    pub flags: Vec<String>,
    /// Combustion, an entry an appliance.
    pub guides: Vec<GuideView>,
    /// Combustion to be tested again: a sentence each.
    pub repeats: Vec<String>,
    /// What was touched, an entry a visit.
    pub restore: Vec<RestoreView>,
}

/// The hazard screen.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct ScreenView {
    /// Of which visit.
    pub title: String,
    /// What it comes to: a sentence.
    pub outcome: String,
    /// Whether the work ends, or something is not looked at yet.
    pub holds: bool,
    /// Why.
    pub reasons: Vec<ReasonView>,
    /// What has not been looked at: item and why it is looked at, in order.
    pub missing: Vec<(String, String)>,
    /// What was looked at: item and what was found by whom.
    pub seen: Vec<(String, String)>,
    /// Who agreed to what.
    pub agreed: Vec<String>,
}

/// Why the procedure changes, or why the work stops.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct ReasonView {
    /// Whether the work ends.
    pub stop: bool,
    /// What it is about.
    pub item: String,
    /// What changes: a sentence.
    pub says: String,
    /// The reading and its level; may be empty.
    pub measured: String,
    /// What it forbids until then; may be empty.
    pub bars: String,
    /// Who must act.
    pub who: String,
    /// Where the rule stands, with its mark.
    pub source: String,
}

impl ReasonView {
    fn rest(&self) -> String {
        let parts = [&self.measured, &self.bars, &self.who, &self.source];
        parts.into_iter().filter(|p| !p.is_empty()).map(String::as_str).collect::<Vec<_>>().join(" ")
    }
}

/// The combustion guide of one appliance.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct GuideView {
    /// Which appliance, and where.
    pub title: String,
    /// What to do now: a sentence.
    pub now: String,
    /// State, and what is recorded and missing in it.
    pub stands: Vec<(String, String)>,
    /// Which setup is expected the worst, or the rule: a sentence.
    pub worst: String,
    /// Setups to try: what runs and is shut; what was read and what is expected.
    pub tries: Vec<(String, String)>,
    /// How many combinations were not tried: a sentence.
    pub untried: String,
}

/// What one visit touched.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct RestoreView {
    /// Of which visit, and how it stands.
    pub title: String,
    /// What is open: the name that closes it, what it is and how it was found.
    pub open: Vec<(String, String)>,
    /// What was put back: what it is; by whom and when.
    pub back: Vec<(String, String)>,
    /// How to close it: a sentence; empty where nothing is open.
    pub how: String,
}

fn block(out: &mut String, heading: &str, body: &str) {
    if !body.is_empty() {
        *out += &format!("{heading}\n{body}\n");
    }
}

/// As lines of a terminal.
pub fn text(view: &SafetyView, words: &Words) -> String {
    let mut out = String::new();
    if let Some(s) = &view.screen {
        let mut body = format!("  {}{}\n", if s.holds { "!! " } else { "" }, s.outcome);
        for r in &s.reasons {
            body += &format!(
                "  {} {}: {}\n     {}\n",
                if r.stop { "!!" } else { "--" },
                r.item,
                r.says,
                r.rest()
            );
        }
        block(&mut out, &s.title, &body);
        block(&mut out, &words.say("screen-missing-title"), &columns(&s.missing));
        block(&mut out, &words.say("screen-seen-title"), &columns(&s.seen));
        block(&mut out, &words.say("screen-agreed-title"), &lines(&s.agreed));
    }
    block(&mut out, &words.say("screen-flags-title"), &lines(&view.flags));
    for g in &view.guides {
        let mut body = format!("  {}\n", g.now);
        body += &columns(&g.stands);
        body += &format!("  {}\n", g.worst);
        body += &columns(&g.tries);
        if !g.untried.is_empty() {
            body += &format!("  {}\n", g.untried);
        }
        block(&mut out, &g.title, &body);
    }
    block(&mut out, &words.say("repeat-title"), &lines(&view.repeats));
    for r in &view.restore {
        let mut body = columns(&r.open);
        if !r.how.is_empty() {
            body += &format!("  {}\n", r.how);
        }
        body += &columns(&r.back);
        block(&mut out, &r.title, &body);
    }
    out + &format!("{}\n", words.say("safety-never"))
}

fn lines(list: &[String]) -> String {
    list.iter().map(|l| format!("  {l}\n")).collect()
}

/// The few lines for the summary of a whole job: what the screen comes to, what is owed, what is open.
pub fn headlines(view: &SafetyView) -> String {
    let mut out = String::new();
    if let Some(s) = &view.screen {
        out += &format!("  {}{}\n", if s.holds { "!! " } else { "" }, s.outcome);
        out += &s
            .reasons
            .iter()
            .filter(|r| r.stop)
            .map(|r| format!("  !! {} {}\n", r.says, r.who))
            .collect::<String>();
    }
    out += &lines(&view.flags);
    out += &lines(&view.repeats);
    out + &view
        .restore
        .iter()
        .filter(|r| !r.open.is_empty())
        .map(|r| format!("  {}\n", r.title))
        .collect::<String>()
}
