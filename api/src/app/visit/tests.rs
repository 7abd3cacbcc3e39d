//! The visit of a house from answers, typed by the edits that the page makes.

use crate::app::Desk;
use crate::phone::ask_at;
use serde_json::{Value, json};
use std::ops::ControlFlow;

/// A job as a device keeps it.
struct Device {
    desk: Desk,
    files: Vec<Value>,
}

impl Device {
    fn ask(&mut self, question: &Value) -> Value {
        let text = ask_at(&question.to_string(), &mut self.desk, &mut |_| ControlFlow::Continue(()));
        serde_json::from_str(&text).unwrap()
    }

    fn begin() -> Device {
        let mut device = Device { desk: Desk::default(), files: Vec::new() };
        let made = device.ask(&json!({ "ask": "app", "app": "begin", "name": "Fenton Row", "units": "IP",
            "floor_area": "1400 ft2", "storeys": 1, "bedrooms": 2, "foundation": "crawl", "attic": true,
            "ducts": "below", "burns": ["water-heater"] }));
        device.files = made["data"]["files"].as_array().unwrap().clone();
        device
    }

    fn page(&mut self, more: &Value) -> Value {
        let mut question = json!({ "ask": "app", "app": "page", "page": "visit", "files": self.files,
            "now": "2026-11-26T09:30:00" });
        question.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        let answer = self.ask(&question);
        assert!(answer["data"].is_object(), "{answer}");
        answer["data"].clone()
    }

    /// Begins a visit with these tables in it.
    fn begin_visit(&mut self, tables: &str) {
        let begin = self.page(&json!({}))["begin"].clone();
        let text = format!("{}{tables}", begin["text"].as_str().unwrap());
        self.files.push(json!({ "name": begin["path"], "text": text }));
    }

    fn edit(&mut self, operations: &Value) {
        let answer =
            self.ask(&json!({ "ask": "app", "app": "edit", "files": self.files, "operations": operations }));
        let changed = answer["data"]["files"].as_array().unwrap_or_else(|| panic!("{answer}")).clone();
        for file in changed {
            self.files.retain(|f| f["name"] != file["name"]);
            self.files.push(file);
        }
    }

    fn set(&mut self, path: &str, key: &Value, value: &str) {
        self.edit(&json!([{ "path": path, "key": key, "do": "set", "value": value }]));
    }
}

fn field<'v>(group: &'v Value, name: &str) -> &'v Value {
    let fields = group["fields"].as_array().unwrap();
    fields.iter().find(|f| f["name"] == name).unwrap_or_else(|| panic!("{name} in {group:#}"))
}

#[test]
fn a_visit_is_begun_typed_and_closed_by_edits_alone() {
    let mut device = Device::begin();
    let empty = device.page(&json!({}));
    assert!(empty["open"].is_null());
    let begin = &empty["begin"];
    assert_eq!(begin["path"], "visits/2026-11-26/visit.toml");
    let path = begin["path"].as_str().unwrap().to_owned();
    device.edit(&json!([{ "path": path, "key": [], "do": "write", "text": begin["text"] }]));
    let open = device.page(&json!({}))["open"].clone();
    assert_eq!(open["screen"]["items"].as_array().unwrap().len(), 15);
    assert_eq!(open["screen"]["outcome"], "unfinished");
    // One touch is a look; with a name it counts.
    for item in open["screen"]["items"].as_array().unwrap() {
        let mut at = item["key"].as_array().unwrap().clone();
        at.push(item["field"].clone());
        let value = if item["item"] == "fuel" { "\"present\"" } else { "\"none seen\"" };
        device.set(&path, &at.into(), value);
    }
    device.set(&path, &json!(["hazards", "looked_by"]), "\"R. Sample\"");
    device.set(&path, &json!(["combustion", "looked_by"]), "\"R. Sample\"");
    device.set(&path, &json!(["combustion", "looked_where"]), "\"every room\"");
    device.set(&path, &json!(["hazards", "ambient_co", "highest"]), "\"1 ppm\"");
    let open = device.page(&json!({}))["open"].clone();
    let left: Vec<_> =
        open["screen"]["items"].as_array().unwrap().iter().filter(|i| i["done"] != true).collect();
    assert!(left.is_empty(), "{left:#?}");
    // A test is a table with its kind; its form comes with it, what is lacking marked as needed.
    device.set(&path, &json!(["test", "attic", "kind"]), "\"zone pressures\"");
    let page = device.page(&json!({ "test": "attic" }));
    let test = &page["test"];
    assert_eq!((&test["kind"], &test["complete"]), (&json!("zone pressures"), &json!(false)));
    let found = test["form"]["groups"].as_array().unwrap().iter().find(|g| g["name"] == "as_found").unwrap();
    let house_zone = field(found, "house_zone");
    assert_eq!((&house_zone["unit"], &house_zone["signed"]), (&json!("Pa"), &json!(true)));
    assert!(field(&test["form"], "zone")["options"].to_string().contains("\"attic\""));
    device.set(&path, &json!(["test", "attic", "zone"]), "\"attic\"");
    device.set(&path, &json!(["test", "attic", "as_found", "house_zone"]), "\"-42.2 Pa\"");
    device.set(&path, &json!(["test", "attic", "as_found", "zone_outdoors"]), "\"-7.8 Pa\"");
    device.set(&path, &json!(["test", "attic", "as_found", "house_outdoors"]), "\"-50 Pa\"");
    let page = device.page(&json!({ "test": "attic" }));
    let test = &page["test"];
    assert_eq!(test["complete"], true, "{test:#}");
    assert!(test["fragments"].to_string().contains("part"), "{}", test["fragments"]);
    // Three taps are drawn, and the hatch proves that of the attic.
    let taps = test["taps"].as_array().unwrap();
    assert_eq!(taps.len(), 3);
    assert!(taps[0]["proof"].as_str().unwrap().contains("attic hatch"), "{}", taps[0]["proof"]);
    assert!(taps[0]["html"].as_str().unwrap().contains("<svg"));
    // A mistake is said at its field.
    device.set(&path, &json!(["test", "attic", "as_found", "house_zone"]), "\"-42.2 cfm\"");
    let page = device.page(&json!({ "test": "attic" }));
    let found =
        page["test"]["form"]["groups"].as_array().unwrap().iter().find(|g| g["name"] == "as_found").unwrap();
    assert_eq!(field(found, "house_zone")["said"].as_array().unwrap().len(), 1, "{found:#}");
    device.set(&path, &json!(["test", "attic", "as_found", "house_zone"]), "\"-42.2 Pa\"");
    // A switch of the setup is written, and what it disturbed has to be put back.
    let switches = page["test"]["setup"]["switches"].as_array().unwrap();
    let hatch = switches.iter().find(|s| s["id"] == "attic_hatch").unwrap();
    assert_eq!(hatch["now"], "shut");
    device.set(&path, &hatch["key"], "\"open\"");
    let restore = device.page(&json!({}))["open"]["restore"].clone();
    let open: Vec<&str> = restore["items"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|i| i["done"] == false)
        .map(|i| i["id"].as_str().unwrap())
        .collect();
    assert!(open.contains(&"attic_hatch") && restore["may_leave"] == false, "{restore:#}");
    for (n, id) in open.iter().enumerate() {
        let text = format!("what = [\"{id}\"]\nby = \"R. Sample\"\nwhen = \"11:40\"\n");
        device.edit(&json!([{ "path": path, "key": ["restored", n], "do": "insert", "text": text }]));
    }
    let restore = device.page(&json!({}))["open"]["restore"].clone();
    assert_eq!((&restore["open"], &restore["may_leave"]), (&json!(0), &json!(true)), "{restore:#}");
}

#[test]
fn every_kind_of_test_can_be_begun_from_the_page_and_shows_its_form_and_how_to() {
    let mut device = Device::begin();
    let path = "visits/2026-11-26/visit.toml";
    device.edit(
        &json!([{ "path": path, "key": [], "do": "write", "text": "format = 1\ndate = \"2026-11-26\"\n" }]),
    );
    let kinds = device.page(&json!({}))["kinds"].clone();
    for kind in kinds["list"].as_array().unwrap() {
        let word = kind["kind"].as_str().unwrap();
        device.set(path, &json!(["test", "one", "kind"]), &format!("\"{word}\""));
        let page = device.page(&json!({ "test": "one" }));
        let test = &page["test"];
        let form = &test["form"];
        let parts = ["fields", "groups", "lists"].map(|k| form[k].as_array().unwrap().len());
        assert!(parts.iter().sum::<usize>() > 1, "{word}: {form}");
        assert!(test["how_to"]["steps"].as_array().unwrap().len() >= 3, "{word}");
        assert!(!kind["label"].as_str().unwrap().starts_with("test-"), "{word}");
        assert!(kind["minutes"].as_f64().unwrap() > 0.0);
    }
}

#[test]
fn every_key_and_word_of_a_form_has_words_in_every_language() {
    use engine::doc::form::Want;
    use report::words::{Language, Words};
    let mut lacking = std::collections::BTreeSet::new();
    let documents = engine::doc::field::KINDS.iter().map(|k| format!("[test.one]\nkind = '{}'\n", k.0));
    let methods = ["flow plate", "pressure matching", "temperature rise", "traverse", "hoods"]
        .map(|m| format!("[test.one]\nkind = 'handler flow'\nmethod = '{m}'\n"));
    for text in documents.chain(methods).chain(["[test.one]\n".to_owned()]) {
        let file = crate::File { name: "visits/a/visit.toml".to_owned(), text };
        for field in engine::doc::visit::form(&file) {
            if crate::app::form::SILENT.contains(&field.key) || field.at.is_empty() || is_hazard(&field) {
                continue;
            }
            for language in Language::ALL {
                let words = Words::new(language, engine::units::System::Si);
                let key = format!("form-{}", field.key.replace('_', "-"));
                if words.find(&key, &[]).is_none() {
                    lacking.insert(format!("{} {key}", language.tag()));
                }
                let choices = if let Want::Choice(w) = &field.want { w.clone() } else { Vec::new() };
                for word in choices {
                    if crate::app::form::word_key(word).is_some_and(|k| words.find(&k, &[]).is_none()) {
                        lacking.insert(format!("{} {word}", language.tag()));
                    }
                }
            }
        }
    }
    assert!(lacking.is_empty(), "{lacking:#?}");
}

/// Items of the screen have words of their own.
fn is_hazard(field: &engine::doc::form::Field) -> bool {
    field.want == engine::doc::form::Want::Table && field.at == crate::app::form::key(&["hazards"])
}

/// An envelope test with its instruments, as a person in the United States types it.
const ENVELOPE: &str = r#"
[conditions]
indoor = "70 F"
outdoor = "40 F"

[instrument.gauge]
measures = "pressure"
accuracy = "1 % or 0.15 Pa"

[instrument.fan]
measures = "air flow"
accuracy = "3 %"
shows = "flow at actual density"

[test.envelope]
standard = "ASTM E779"
direction = "depressurise"
pressure_with = "gauge"
flow_with = "fan"
baseline_before = ["Pa", -1.2, -0.8, -1.0, -1.1, -0.9]
stations = { columns = ["house Pa", "fan cfm"], rows = [[-61, 1980], [-50, 1735], [-40.5, 1500], [-30, 1240], [-20, 945]] }
"#;

#[test]
fn an_envelope_test_of_a_visit_is_told_as_a_test_alone() {
    let mut device = Device::begin();
    device.begin_visit(ENVELOPE);
    let shown = device.page(&json!({ "test": "envelope" }));
    let typed = &shown["test"]["typed"];
    let look = &typed["look"];
    assert_eq!(typed["draft"]["stations"][1], json!({ "house": "50", "fans": ["1735"], "ranges": [] }));
    let steps: Vec<u64> =
        look["history"].as_array().unwrap().iter().map(|h| h["stations"].as_u64().unwrap()).collect();
    assert_eq!(steps, [3, 4, 5]);
    // The last step is the answer itself, and the answer is the job's own result.
    let answer = &look["answer"];
    assert_eq!(look["history"][2]["value"], answer["value"]);
    assert_eq!(look["residuals"].as_array().unwrap().len(), 5);
    assert!(look["advice"]["text"].as_str().is_some_and(|t| t.contains("Pa")), "{look:#}");
    assert!(look["checks"].as_array().is_some_and(|c| !c.is_empty()));
    let alone = device.ask(&json!({ "ask": "phone-look", "draft": typed["draft"], "now": "2026-11-26" }));
    let flow = |of: &Value| -> Option<Value> { of["residuals"].as_array().map(|r| json!(r)) };
    assert_eq!(flow(look), flow(&alone["data"]["look"]), "the same readings stand as far from the line");
    assert!(shown["test"]["picture"].as_str().is_some_and(|p| p.contains("<svg")));
    let how = device.page(&json!({ "how": "decay" }));
    assert!(how["picture"].as_str().is_some_and(|p| p.contains("<li>")));
}

/// A barometer is read in its own units, not in the pascals of a gauge.
#[test]
fn the_pressure_of_the_air_is_told_as_a_barometer_shows_it() {
    let mut device = Device::begin();
    device.begin_visit("\n[conditions]\nbarometer = \"981 hPa\"\n");
    for (system, unit, shown) in [("SI", "hPa", "981\u{a0}hPa"), ("IP", "inHg", "28.97\u{a0}inHg")] {
        let page = device.page(&json!({ "language": "en", "system": system }));
        let form = &page["open"]["conditions"];
        let barometer = field(form, "barometer");
        assert_eq!(
            (&barometer["units"][0], &barometer["shown"]),
            (&json!(unit), &json!(shown)),
            "{barometer:#}"
        );
    }
}

/// A device of the other units types on in a table that somebody began in theirs.
#[test]
fn a_table_in_other_units_is_told_in_those_of_the_device() {
    let mut device = Device::begin();
    device.begin_visit(ENVELOPE);
    let shown = device.page(&json!({ "test": "envelope", "language": "en", "system": "SI" }));
    let draft = &shown["test"]["typed"]["draft"];
    assert_eq!(draft["system"], "SI");
    // 1735 cfm in m3/h, and 40 and 70 degF in degC, with the digits that a person reads.
    assert_eq!(draft["stations"][1], json!({ "house": "50", "fans": ["2947.8"], "ranges": [] }));
    assert_eq!(draft["stations"][2]["house"], "40.5");
    assert_eq!(
        (&draft["conditions"]["indoor"], &draft["conditions"]["outdoor"]),
        (&json!("21.1"), &json!("4.4"))
    );
    let form = &shown["test"]["form"];
    let grid = field(form, "stations");
    let turn = |at: usize| grid["columns"][at]["turn"].as_f64().unwrap();
    assert!((turn(0) - 1.0).abs() < 1e-12 && (turn(1) * 2947.783 - 1735.0).abs() < 1e-3, "{grid:#}");
    // The answer is that of the documents, whatever the pad shows of them.
    let mine = device.page(&json!({ "test": "envelope", "language": "en", "system": "IP" }));
    let value = |page: &Value| page["test"]["typed"]["look"]["residuals"].clone();
    assert_eq!(mine["test"]["typed"]["draft"]["stations"][1]["fans"][0], "1735");
    assert_eq!(value(&shown), value(&mine));
    // A whole degree of the other scale is read as tenths.
    let conditions = &shown["open"]["conditions"];
    assert_eq!(field(conditions, "outdoor")["shown"], "4.4\u{a0}\u{b0}C");
    assert_eq!(field(&mine["open"]["conditions"], "outdoor")["shown"], "40\u{a0}\u{b0}F");
}
