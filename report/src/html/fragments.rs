//! Parts of the report one by one, for pages that show them beside what can be done with them.
//!
//! A fragment is markup of this crate alone, everything from outside escaped, and wants [`fragment_style`]
//! around it; colours come from the tokens of the page that shows it.

use super::{house, parts, style};
use crate::figure;
use crate::markup::{El, classed};
use crate::rules::RulesView;
use crate::view::{HouseDrawing, HouseReport, Ladder, SetupDrawing, Tightness};
use crate::words::Words;
use serde::Serialize;

/// A part of the report.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Fragment {
    /// What it is; one of a fixed list.
    pub id: &'static str,
    /// Its heading.
    pub title: String,
    /// Its markup, without the heading.
    pub html: String,
}

impl Fragment {
    fn new(id: &'static str, title: String, content: Vec<El>) -> Option<Fragment> {
        let some = !content.is_empty();
        some.then(|| Fragment { id, title, html: classed("div", "part").with_all(content).render() })
    }
}

/// The rules that fragments are drawn by, without tokens of colour.
pub fn fragment_style() -> String {
    [figure::CSS, style::PAGE].concat()
}

/// The drawing and the ladder of one scene, each in both widths, and all flows as tables.
pub fn scene(drawing: &HouseDrawing, ladder: &Ladder, words: &Words) -> Vec<Fragment> {
    let caption = Some(words.say("ladder-caption"));
    let rungs = parts::figure("lad-fig", caption, |size| figure::ladder(ladder, words, size));
    [
        Fragment::new("section", drawing.title.clone(), house::drawing(drawing, words)),
        Fragment::new("ladder", words.say("ladder-title"), vec![rungs]),
        Fragment::new("flows", words.say("flows-title"), vec![house::flow_tables(drawing, words)]),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// The house with the marks of a reading, in both widths.
pub fn taps(drawing: &SetupDrawing, title: String, words: &Words) -> Fragment {
    let shown = parts::figure("setup-fig", None, |size| figure::setup(drawing, words, size));
    Fragment { id: "tap", title, html: classed("div", "part").with(shown).render() }
}

/// What one envelope test came to.
pub fn tightness_alone(tightness: &Tightness, words: &Words) -> Option<Fragment> {
    Fragment::new("tightness", words.say("tightness-title"), house::tightness(tightness, words))
}

/// What the control rules do, as a table, and on whose authority.
pub fn rules_table(view: &RulesView, words: &Words) -> Option<Fragment> {
    Fragment::new("rules", words.say("rules-title"), super::rules::plainly(view, words))
}

/// Every part of the report that has something in it but its scene, in the report's order.
pub fn fragments(r: &HouseReport, words: &Words) -> Vec<Fragment> {
    let say = |key: &str| words.say(key);
    let findings = |of: fn(&crate::findings::FindingsView, &Words) -> Vec<El>| {
        r.findings.as_ref().map(|f| of(f, words)).unwrap_or_default()
    };
    let tests = r.tests.iter().flat_map(|t| house::test(t, words)).collect();
    let field = r.field.iter().flat_map(|t| super::field::test(t, words)).collect();
    let complaints = r.complaints.iter().map(|c| house::complaint(c, words)).collect();
    let known = r.known.as_ref().map(|k| house::known(k, words)).unwrap_or_default();
    let plans = r.plans.as_ref().map(|p| house::plans(p, words)).unwrap_or_default();
    let tight = r.tightness.as_ref().map(|t| house::tightness(t, words)).unwrap_or_default();
    let instruments = match r.instruments.is_empty() {
        true => Vec::new(),
        false => vec![parts::instruments(&r.instruments, words)],
    };
    [
        Fragment::new("safety", say("safety-title"), parts::safety(&r.safety, words).into_iter().collect()),
        Fragment::new("complaints", say("complaints-title"), complaints),
        Fragment::new("tightness", say("tightness-title"), tight),
        Fragment::new("findings", say("findings-title"), findings(super::findings::short)),
        Fragment::new("plans", say("plans-title"), plans),
        Fragment::new("todo", say("todo-title"), house::todo(r, words)),
        Fragment::new("cautions", say("cautions-title"), house::list(&r.cautions)),
        Fragment::new("known", say("known-title"), known),
        Fragment::new("undetermined", say("undetermined-title"), house::list(&r.undetermined)),
        Fragment::new("next", say("next-title"), house::next(r, words)),
        Fragment::new("beyond", say("beyond-title"), house::list(&r.beyond)),
        Fragment::new("answers", say("answers-title"), house::answers(r, words)),
        Fragment::new("rooms", say("rooms-title"), house::rooms(r, words)),
        Fragment::new("tests", say("tests-title"), tests),
        Fragment::new("field", say("field-title"), field),
        Fragment::new("residuals", say("residuals-title"), house::residuals(r, words)),
        Fragment::new("findings-all", say("findings-appendix"), findings(super::findings::appendix)),
        Fragment::new("instruments", say("instruments-title"), instruments),
    ]
    .into_iter()
    .flatten()
    .collect()
}
