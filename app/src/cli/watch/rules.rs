//! The job's control rules over what the store has kept, every five minutes on a thread of its own. Nothing is set.
//!
//! A look is made once: readings that come later than it find it made. What is remembered is written down after each, so
//! that a restart shortens no rest and forgets no debt.

use super::hours::Work;
use crate::clock;
use crate::intake::Stop;
use crate::store::Ruled;
use anyhow::{Result, anyhow};
use api::watch::{Live, LiveRules};
use std::time::Duration;

/// How often it is looked whether another look of the rules is due.
const LOOK: Duration = Duration::from_secs(5);
/// How long after its moment a look is made, ms: what is under way comes in.
const GRACE_MS: i64 = 20_000;
/// Between two looks, ms.
const STEP_MS: i64 = 300_000;
/// What was said before the first look is heard for so long, ms: how often each source speaks.
const BEFORE_MS: i64 = 24 * 3_600_000;
/// A longer rest begins anew with all rules off, ms.
const REST_MS: i64 = 48 * 3_600_000;

/// The rules, ready to look.
pub(super) struct Rules<'a> {
    work: &'a Work<'a>,
    rules: LiveRules,
    /// The last look, ms since 1970.
    until_ms: Option<i64>,
    /// Whether the store has a memory of it.
    went_on: bool,
    trouble: bool,
    said: Vec<String>,
}

impl<'a> Rules<'a> {
    /// With what the store remembers; nothing where the job has no rules.
    pub(super) fn new(work: &'a Work<'a>, live: &Live) -> Result<Option<Rules<'a>>> {
        let Some(mut rules) = live.rules() else {
            work.store.forget_ruled(work.name).map_err(|e| anyhow!("{e}"))?;
            return Ok(None);
        };
        let kept = work.store.ruled(work.name).map_err(|e| anyhow!("{e}"))?;
        let went_on = kept.is_some();
        let until_ms = kept.filter(|k| k.inputs == rules.hash() && rules.resume(&k.body)).map(|k| k.until_ms);
        if went_on && until_ms.is_none() {
            work.line("live-rules-anew", &[]);
        }
        Ok(Some(Rules { work, rules, until_ms, went_on, trouble: false, said: Vec::new() }))
    }

    fn points(&self, from_ms: i64, to_ms: i64) -> Result<Vec<Vec<(i64, f64)>>> {
        let of = |source: &str| {
            let name = format!("{}/{source}", self.work.name);
            self.work.store.points(&name, from_ms, to_ms).map_err(|e| anyhow!("{e}"))
        };
        self.rules.sources().map(of).collect()
    }

    /// All rules off, with what was said in the day before heard.
    fn anew(&mut self, live: &Live, at_ms: i64) -> Result<()> {
        if let Some(rules) = live.rules() {
            self.rules = rules;
        }
        let before = self.points(at_ms - BEFORE_MS, at_ms + 1)?;
        self.rules.hear(&before);
        Ok(())
    }

    /// Looks at all moments before now that were not looked at yet.
    pub(super) fn look(&mut self, live: &Live, now_ms: i64) -> Result<()> {
        let end_ms = (now_ms - GRACE_MS).div_euclid(STEP_MS) * STEP_MS;
        let from_ms = match self.until_ms {
            Some(until_ms) if until_ms >= end_ms => return Ok(()),
            Some(until_ms) if end_ms - until_ms <= REST_MS => until_ms,
            _ => {
                self.anew(live, end_ms - STEP_MS)?;
                end_ms - STEP_MS
            }
        };
        let points = self.points(from_ms + 1, end_ms + 1)?;
        self.rules.step(&points, (from_ms, end_ms));
        let kept = Ruled {
            inputs: self.rules.hash().to_owned(),
            until_ms: end_ms,
            body: self.rules.remembered(),
            standing: serde_json::to_vec(&self.rules.now())?,
        };
        let done = self.work.store.keep_ruled(self.work.name, kept, self.went_on, clock::now_ms());
        match done {
            Ok(true) => (self.until_ms, self.went_on) = (Some(end_ms), true),
            // What it remembers was erased at somebody's request.
            Ok(false) => (self.until_ms, self.went_on) = (None, false),
            Err(error) => {
                // The store stands where it stood, and so do the rules.
                let kept = self.work.store.ruled(self.work.name).map_err(|e| anyhow!("{e}"))?;
                self.until_ms = kept.filter(|k| self.rules.resume(&k.body)).map(|k| k.until_ms);
                return Err(anyhow!("{error}"));
            }
        }
        self.say();
        Ok(())
    }

    /// Says what is different from what was said last.
    fn say(&mut self) {
        let now = self.rules.lines(&self.work.words);
        // The first line has the time of the look, which is always another.
        for line in now.iter().skip(1).filter(|l| !self.said.contains(l)) {
            self.work.line("live-rule", &[("text", line.as_str().into())]);
        }
        self.said = now;
    }

    /// What they would have set, in lines.
    pub(super) fn lines(&self) -> Vec<String> {
        self.rules.lines(&self.work.words)
    }

    /// The same as numbers.
    pub(super) fn now(&self) -> Option<engine::watch::signals::RulesNow> {
        self.rules.now()
    }
}

/// What they would have set at the end: as numbers, and in lines for people.
#[derive(Clone, Debug, Default)]
pub(super) struct RulesStanding {
    pub(super) now: Option<engine::watch::signals::RulesNow>,
    pub(super) lines: Vec<String>,
}

/// Looks until the end is asked for, and then once more.
pub(super) fn run(work: &Work<'_>, inputs: &api::Inputs, end: &Stop) -> Result<RulesStanding> {
    let live = Live::open(inputs);
    let Some(mut rules) = Rules::new(work, &live)? else { return Ok(RulesStanding::default()) };
    loop {
        let last = end.wait(if work.at_the_end { Duration::from_secs(3600) } else { Duration::ZERO });
        match rules.look(&live, clock::now_ms()) {
            Ok(()) => rules.trouble = false,
            Err(error) if !rules.trouble => {
                rules.trouble = true;
                super::talk(&format!("{}: {error:#}\n", work.words.say("severity-error")));
            }
            Err(_) => {}
        }
        if last || end.wait(LOOK) {
            break;
        }
    }
    Ok(RulesStanding { now: rules.now(), lines: rules.lines() })
}
