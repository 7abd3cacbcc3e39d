//! Plans from parts: `plans.toml` as a form, with what this house has to choose from.

use super::form::{Names, Sheet, key};
use crate::Job;
use engine::diag::Diagnostics;
use engine::doc::File;
use engine::doc::form::{Field, Step};
use engine::doc::plans;
use engine::house::House;
use engine::house::Owner;
use report::words::Words;
use serde_json::{Value, json};
use std::collections::BTreeMap;

const PATH: &str = "plans.toml";
/// The plan as which a diagnosis is read.
const ANSWER: &str = "answer";
/// Fields that are shown first where they are not needed anyway.
const MAIN: &[&str] = &["do", "label", "price", "what", "size", "flow", "power", "removes", "change", "plan"];

type Options = Vec<(String, String)>;

/// The page's answer: the lists of the document, each with its entries as forms.
pub(super) fn page(job: &Job, files: &[File], found: &Diagnostics, words: &Words) -> Value {
    let empty = File { name: PATH.to_owned(), text: "format = 1\n".to_owned() };
    let written = files.iter().find(|f| f.name == PATH);
    let file = written.unwrap_or(&empty);
    let fields = plans::form(file);
    let names = named_in(job, (PATH, &file.text), &fields, found, words);
    let sheet = Sheet::new((PATH, &file.text), fields, found, &names, words).with_all();
    json!({
        "job": job.documents.job.name,
        "house": job.house.is_some(),
        "written": written.is_some(),
        "form": sheet.group(&[], MAIN),
        "rules": rules(job, files, words),
    })
}

/// The changes of a diagnosis as forms: its document holds them as a plan does, without a plan around them.
pub(super) fn scope(job: &Job, files: &[File], found: &Diagnostics, words: &Words) -> Value {
    let path = crate::practice::DIAGNOSIS;
    let Some(file) = files.iter().find(|f| f.name == path) else { return Value::Null };
    let text = crate::practice::plan_of(&file.text).unwrap_or_else(|| format!("[plan.{ANSWER}]\n"));
    let around = key(&["plan", ANSWER]);
    let all = plans::form(&File { name: path.to_owned(), text }).into_iter();
    let own = all.filter_map(|mut field| {
        field.at = field.at.strip_prefix(around.as_slice())?.to_vec();
        (!field.at.is_empty() || field.key == "change").then_some(field)
    });
    let fields: Vec<Field> = own.collect();
    let names = named_in(job, (path, &file.text), &fields, found, words);
    let form = Sheet::new((path, &file.text), fields, found, &names, words).with_all().group(&[], MAIN);
    json!({ "change": form["lists"].as_array().and_then(|lists| lists.first()) })
}

/// What each field may name of this house.
fn named_in(
    job: &Job,
    (path, text): (&str, &str),
    fields: &[Field],
    found: &Diagnostics,
    words: &Words,
) -> Names {
    let mut names = Names::default();
    let bare = Names::default();
    let probe = Sheet::new((path, text), fields.to_vec(), found, &bare, words);
    let of = Of { job, words };
    for field in fields {
        let verb = probe.text_at(&[field.at.as_slice(), &key(&["do"])].concat()).unwrap_or_default();
        let options = of.options(field.at.first(), &verb, field.key);
        if !options.is_empty() {
            names.told.push((field.at.clone(), field.key, options));
        }
    }
    names
}

/// Ready sets of control rules as written for this house, and the documents of rules that are there.
fn rules(job: &Job, files: &[File], words: &Words) -> Value {
    let there = files.iter().filter(|f| f.name.starts_with("rules/")).map(|f| f.name.as_str());
    let ready = job.documents.house.iter().flat_map(|house| {
        crate::READY_SETS.iter().filter_map(|set| {
            let name = format!("rules/{set}.toml");
            let there = files.iter().any(|f| f.name == name);
            let text = crate::ready::text(set, house, &job.documents.plans).filter(|_| !there)?;
            Some(json!({ "name": name, "label": words.say(&format!("rules-set-{set}")), "text": text }))
        })
    });
    json!({ "there": there.collect::<Vec<_>>(), "ready": ready.collect::<Vec<_>>() })
}

/// Of what a job has, what a field of a change may name.
struct Of<'a> {
    job: &'a Job,
    words: &'a Words,
}

impl Of<'_> {
    fn options(&self, list: Option<&Step>, verb: &str, key: &str) -> Options {
        if key == "extends" {
            let plans = &self.job.documents.plans;
            return plans.iter().map(|p| pair(&p.name.value, &p.label)).collect();
        }
        if list.is_some_and(|s| *s == Step::Name("event".to_owned())) {
            let days = ["hottest", "coldest", "calmest"];
            let days = days.map(|d| (d.to_owned(), super::form::word(d, self.words)));
            return if key == "when" { days.to_vec() } else { Vec::new() };
        }
        match key {
            "size" => {
                plans::sizes().into_iter().filter(|(_, of)| of == verb).map(|(n, _)| named(&n)).collect()
            }
            "price" if !verb.is_empty() => {
                self.job.documents.job.prices.iter().map(|p| named(&p.name.value)).collect()
            }
            _ => self.job.house.as_ref().map(|h| self.of_house(h, verb, key)).unwrap_or_default(),
        }
    }

    fn of_house(&self, house: &House, verb: &str, key: &str) -> Options {
        let zones = || house.zones.iter().map(|z| pair(&z.name, &z.label)).collect::<Options>();
        let fans = || house.fans.iter().map(|f| pair(&f.text.name.value, &f.text.label)).collect::<Options>();
        match (verb, key) {
            ("seal", "what") => house.leaks.iter().map(|l| pair(&l.name, &l.label)).collect(),
            ("close opening", "what") => {
                let part = |owner: Owner| match owner {
                    Owner::Part(p) => house.parts.get(p),
                    _ => None,
                };
                let parts = house.elements.iter().filter_map(|e| part(e.owner));
                let all: BTreeMap<_, _> = parts.map(|p| pair(&p.name, &p.label)).collect();
                all.into_iter().collect()
            }
            ("filter", "what") => {
                let sized = house.lines.iter().filter_map(|l| l.sized.map(|s| s.drop));
                sized.map(|p| named(&house.params[p].name)).collect()
            }
            ("fan speed", "what") => {
                let handler = house.air_handler.iter();
                let handler =
                    handler.map(|_| ("air_handler".to_owned(), self.words.say("phone-page-job-handler")));
                handler.chain(fans()).collect()
            }
            ("cut source", "what") => {
                let sources = house.text.sources.iter().map(|s| pair(&s.label, &s.label));
                sources.chain(house.text.machines.gases.iter().map(|g| named(&g.name.value))).collect()
            }
            ("rules", "what") => {
                self.job.rules.iter().flat_map(|set| &set.rules).map(|r| named(&r.name)).collect()
            }
            (_, "from" | "to" | "zone" | "between") => zones(),
            (_, "fan") => fans(),
            (_, "door") => house.doors.iter().map(|d| pair(&d.text.name.value, &d.text.label)).collect(),
            (_, "appliance") => house.appliances.iter().map(|a| pair(&a.name, &a.label)).collect(),
            (_, "surface") => {
                house.text.surfaces.iter().filter_map(|s| s.label.as_deref()).map(|l| pair(l, l)).collect()
            }
            _ => Vec::new(),
        }
    }
}

fn pair(name: &str, label: &str) -> (String, String) {
    (name.to_owned(), label.to_owned())
}

fn named(name: &str) -> (String, String) {
    (name.to_owned(), name.replace('_', " "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use engine::doc::form::Want;
    use report::words::Language;

    fn file(text: String) -> File {
        File { name: PATH.to_owned(), text }
    }

    #[test]
    fn every_key_and_word_of_a_plan_has_words_in_every_language() {
        let verbs = plans::Verb::CHOICES.iter();
        let changes = verbs.map(|(verb, _)| format!("[[search.one.change]]\ndo = '{verb}'\n"));
        let events = plans::EventKind::CHOICES.iter();
        let days = events.map(|(kind, _)| format!("[event.one]\nkind = '{kind}'\n"));
        let mut lacking = std::collections::BTreeSet::new();
        for text in changes.chain(days).chain(["[plan.one]\n".to_owned()]) {
            for field in plans::form(&file(text)).iter().filter(|f| f.key != "format") {
                for language in Language::ALL {
                    let words = Words::new(language, engine::units::System::Si);
                    let choices: &[&str] = if let Want::Choice(w) = &field.want { w } else { &[] };
                    let top = if field.at.is_empty() && field.key == "search" { "top-" } else { "" };
                    let own = format!("form-{top}{}", field.key.replace('_', "-"));
                    let all = std::iter::once(own)
                        .chain(choices.iter().filter_map(|w| super::super::form::word_key(w)));
                    lacking.extend(all.filter(|k| words.find(k, &[]).is_none()).map(|k| (language.tag(), k)));
                }
            }
        }
        assert!(lacking.is_empty(), "{lacking:#?}");
    }

    /// A change that says nothing but what is done asks for all that its reader cannot do without, and a
    /// form filled in from its own choices and examples is a plan without a mistake.
    #[test]
    fn every_kind_of_change_asks_for_what_it_needs() {
        for (verb, _) in plans::Verb::CHOICES {
            let fields = plans::form(&file(format!("[[plan.one.change]]\ndo = '{verb}'\n")));
            let at = [key(&["plan", "one", "change"]), vec![Step::Entry(0)]].concat();
            let own: Vec<_> = fields.iter().filter(|f| f.at == at).map(|f| f.key).collect();
            assert!(own.len() >= 5, "{verb}: {own:?}");
        }
    }

    #[test]
    fn the_scope_of_a_diagnosis_is_a_list_of_changes() {
        let mut files = crate::demo().unwrap();
        let name = crate::practice::DIAGNOSIS.to_owned();
        let mut changes = |text: &str| {
            files.retain(|f| f.name != name);
            files.push(File { name: name.clone(), text: text.to_owned() });
            let inputs = crate::Inputs { files: files.clone(), now: "2026-11-26".to_owned() };
            let mut job = Job::open(&inputs);
            let (words, found) = (job.words(), job.take_diagnostics());
            scope(&job, &inputs.files, &found, &words)["change"].clone()
        };
        let head = "format = 1\ncauses = [\"door_tight\"]\n";
        let none = changes(head);
        assert_eq!((&none["path"], &none["key"]), (&json!(name), &json!(["change"])));
        assert_eq!(none["entries"], json!([]));
        let one = changes(&format!("{head}\n[[change]]\ndo = \"seal\"\n"));
        let fields = one["entries"][0]["fields"].as_array().unwrap();
        let what = fields.iter().find(|f| f["name"] == "what").unwrap();
        assert!(what["options"].as_array().unwrap().iter().any(|o| o["value"] == "floor_main"), "{what}");
        assert_eq!(what["key"], json!(["change", 0, "what"]));
    }

    #[test]
    fn fields_of_a_change_offer_what_the_house_has() {
        let mut files = crate::demo().unwrap();
        let plans_file = files.iter_mut().find(|f| f.name == PATH).unwrap();
        plans_file.text += "\n[[plan.d.change]]\ndo = \"exhaust fan\"\n\n[[plan.d.change]]\ndo = \"seal\"\n";
        let inputs = crate::Inputs { files, now: "2026-11-26".to_owned() };
        let mut job = Job::open(&inputs);
        let (words, found) = (job.words(), job.take_diagnostics());
        let page = page(&job, &inputs.files, &found, &words);
        let lists = page["form"]["lists"].as_array().unwrap();
        let plan = lists.iter().find(|l| l["name"] == "plan").unwrap();
        let d = plan["entries"].as_array().unwrap().iter().find(|e| e["name"] == "d").unwrap();
        let changes = d["lists"][0]["entries"].as_array().unwrap();
        let field = |change: usize, name: &str| {
            let all = changes[change]["fields"].as_array().unwrap();
            all.iter().find(|f| f["name"] == name).unwrap().clone()
        };
        let names = |field: &Value| -> Vec<String> {
            let all = field["options"].as_array().unwrap();
            all.iter().map(|o| o["value"].as_str().unwrap().to_owned()).collect()
        };
        assert!(names(&field(1, "from")).contains(&"bedroom".to_owned()));
        assert!(names(&field(1, "size")).iter().all(|s| s.starts_with("exhaust_")));
        assert!(names(&field(2, "what")).contains(&"floor_main".to_owned()));
        assert_eq!(field(1, "do")["choices"].as_array().unwrap().len(), plans::Verb::CHOICES.len());
        assert_eq!(
            (&field(1, "from")["needed"], &field(1, "power")["needed"]),
            (&json!(true), &json!(false))
        );
        assert_eq!(field(0, "capacity")["text"], "70 pt/d");
        // A set of rules is offered until it is there.
        let ready = page["rules"]["ready"].as_array().unwrap();
        assert!(
            ready
                .iter()
                .any(|r| r["name"] == "rules/bath.toml" && r["text"].as_str().unwrap().contains("bath_fan"))
        );
        assert!(ready.iter().all(|r| !r["label"].as_str().unwrap().starts_with("rules-set-")));
        // Bad days: what happens, and when it begins.
        let events = lists.iter().find(|l| l["name"] == "event").unwrap();
        assert_eq!((&events["named"], &events["label"]), (&json!(true), &json!("Bad days")));
    }
}
