//! Mistakes are said with their place.

use super::*;

fn with(on_when: &str) -> Vec<(&'static str, (usize, usize), String)> {
    let text = format!("[rule.a]\ndevice = \"bath_fan\"\non = \"100 %\"\non_when = '{on_when}'\n");
    compiled(&text).2
}

#[test]
fn places_and_codes() {
    for (text, code, at) in [
        ("bedrom.co2 > q(\"1000 ppm\")", "R102", "bedrom.co2"),
        ("true && main.co3 > q(\"1 ppm\")", "R102", "main.co3"),
        ("main.co2 > q(\"70 degF\")", "U005", "\"70 degF\""),
        ("main.co2 > q(\"70 ppn\")", "U004", "\"70 ppn\""),
        ("main.co2 > main.temp", "R103", "main.co2 > main.temp"),
        ("main.co2 > 1000", "R107", "1000"),
        ("main.rh > 0.6", "R107", "0.6"),
        ("main.co2 >", "R101", ""),
        ("main.co2", "R105", "main.co2"),
        ("has(main.co2)", "R104", ""),
        ("main.people + 1 > 2", "R110", "1"),
        ("main.co2 == bedroom.co2", "R109", "main.co2 == bedroom.co2"),
        ("q(\"5 ppm\") > q(\"4 ppm\")", "R108", ""),
        ("(main.co2 > q(\"1 ppm\")) > 3", "R106", ""),
        ("main.temp + main.temp > q(\"1 degC\")", "R103", "main.temp + main.temp"),
        ("main.co2 > q(\"900 ppm\") && main.co2 < q(\"800 ppm\")", "R117", ""),
        ("main.rh > q(\"120 %\")", "R117", ""),
        ("main.co2 - outdoor.co2 > q(\"30000 ppm\")", "R117", ""),
        ("main.co2 > q(\"100 ppm\")", "R118", ""),
    ] {
        let said = with(text);
        assert_eq!(said.iter().map(|s| s.0).collect::<Vec<_>>(), [code], "{text}: {said:?}");
        assert_eq!(said[0].1.0, 5, "{text}: the line");
        if !at.is_empty() {
            assert_eq!(said[0].2, at, "{text}");
        }
    }
    // A degree sign before it does not move the place.
    let said = with("main.temp > q(\"20 \u{b0}C\") && main.cos > q(\"1 ppm\")");
    assert_eq!((said[0].0, said[0].2.as_str(), said[0].1), ("R102", "main.cos", (5, 38)));
}

#[test]
fn the_nearest_name_is_suggested() {
    let sink = Sink::default();
    let text = "format = 1\n[rule.a]\ndevice = \"bath_fam\"\non = \"100 %\"\non_when = 'bedroom.c02 > q(\"1 ppm\")'\n";
    let written = rules::all(&[File { name: "rules/a.toml".to_owned(), text: text.to_owned() }], &sink);
    let house = a_house();
    compile(&written, &house, Signals::of_house(&house, &[]), &sink);
    let near = |code: &str| {
        let list = &sink.borrow().list;
        let d = list.iter().find(|d| d.code.0 == code).unwrap_or_else(|| panic!("{list:?}"));
        d.args.iter().find(|a| a.0 == "near").map(|a| a.1.clone())
    };
    assert_eq!(near("R102"), Some("bedroom.co2".into()));
    assert_eq!(near("R111"), Some("bath_fan".into()));
}

const FIGHT: &str = r#"
[rule.damp]
device = "bath_fan"
on = "100 %"
on_when = 'wet_bath.humidity_rise > q("2 g/kg")'
off_when = 'wet_bath.humidity_rise < q("1 g/kg")'
[rule.quiet]
device = "bath_fan"
on = "30 %"
on_when = 'time.hour >= 22'
"#;

#[test]
fn two_rules_fight_only_where_they_can_meet() {
    assert_eq!(compiled(FIGHT).2[0].0, "R121");
    let ranked = FIGHT.replace("on = \"30 %\"", "on = \"30 %\"\npriority = 3");
    assert!(compiled(&ranked).2.is_empty());
    let same = FIGHT.replace("30 %", "100 %");
    assert!(compiled(&same).2.is_empty());
    let apart = FIGHT.replace("time.hour >= 22", "wet_bath.humidity_rise < q(\"0.5 g/kg\")");
    assert!(compiled(&apart).2.is_empty());
    // Between its thresholds the first rule is still on.
    let between = FIGHT.replace("time.hour >= 22", "wet_bath.humidity_rise < q(\"1.5 g/kg\")");
    assert_eq!(compiled(&between).2[0].0, "R121");
    let rests = same.replacen("on = \"100 %\"", "on = \"100 %\"\noff = \"0 %\"", 1);
    let rests = rests.replacen("on_when = 'time", "off = \"20 %\"\non_when = 'time", 1);
    assert_eq!(compiled(&rests).2[0].0, "R122");
}

#[test]
fn safety_lock_outs_debts_and_authority() {
    let soil = "[rule.a]\ndevice = \"soil_fan\"\non = \"0 %\"\non_when = 'time.hour > 3'\n";
    let (set, _, said) = compiled(soil);
    assert_eq!((said[0].0, set.rules.len()), ("R123", 0));
    let lock = "[exposure]\ntarget = \"40 L/s\"\n[rule.a]\ndevice = \"intake\"\ndoes = \"lock out\"\n";
    let wet = format!("{lock}on_when = 'outdoor.rh > q(\"80 %\")'\n");
    assert_eq!(compiled(&wet).2[0].0, "R114");
    let right = format!("{lock}on_when = 'outdoor.humidity_ratio > main.humidity_ratio + q(\"3 g/kg\")'\n");
    let set = good(&right);
    assert_eq!(set.rules[0].does, Does::LockOut { floor: 0.33 });
    assert!(set.rules[0].debt && (set.rules[0].most_on_s - 43_200.0).abs() < 1e-9);
    let owing = right.replace("[exposure]\ntarget = \"40 L/s\"\n", "");
    assert_eq!(compiled(&owing).2[0].0, "R116");
    let nothing = right.replace("does = ", "floor = \"0 %\"\ndoes = ");
    assert_eq!(compiled(&nothing).2[0].0, "R115");
    let both = "[rule.a]\ndevice = \"intake\"\non = \"1\"\non_when = 'main.co2 > q(\"900 ppm\")'\noff_when = 'main.people < 1'\n";
    assert_eq!(compiled(both).2[0].0, "U002");
    assert_eq!(compiled(&both.replace("\"1\"", "\"100 %\"")).2[0].0, "R120");

    let bare = "[authority.bath_fan]\n";
    let codes: Vec<_> = compiled(bare).2.iter().map(|s| s.0).collect();
    assert_eq!(codes, ["R131", "R132", "R133", "R134"]);
    let whole = "[authority.bath_fan]\nfallback = \"50 %\"\nfallback_hours = [\"06:00 to 22:00\"]\nheartbeat = \"5 min\"\non_loss = \"50 %\"\n[authority.bath_fan.permission]\nby = \"a fitter\"\ndate = \"2026-11-01\"\nsays = \"spillage tested with all fans on\"\n";
    let (set, written, said) = compiled(whole);
    assert!(said.is_empty(), "{said:?}");
    let (commands, refused) = authorities(&written, &set, &a_house(), &Sink::default());
    assert_eq!((commands.len(), refused.len()), (1, 0));
    assert_eq!(commands[0].fallback_s, [(21_600.0, 79_200.0)]);
    let soil = whole.replace("bath_fan", "soil_fan");
    assert_eq!(compiled(&soil).2[0].0, "R123");
    let silent = whole.replace("on_loss = \"50 %\"", "on_loss = \"0 %\"").replace("5 min", "40 min");
    assert_eq!(compiled(&silent).2.iter().map(|s| s.0).collect::<Vec<_>>(), ["R132", "R133"]);
}
