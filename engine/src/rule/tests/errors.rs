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

#[test]
fn boxes_are_exact() {
    // Straight lines in one signal are bounds: at most 69 and above 71 degF is never.
    let apart = "main.temp + q(\"1 degF\") < q(\"70 degF\") && main.temp - q(\"1 degF\") > q(\"70 degF\")";
    assert_eq!(with(apart).iter().map(|s| s.0).collect::<Vec<_>>(), ["R117"]);
    // No weekday lies between Tuesday and Wednesday; an hour does lie between 2 and 3.
    assert_eq!(with("time.weekday > 2 && time.weekday < 3")[0].0, "R117");
    assert!(with("time.hour > 2 && time.hour < 3").is_empty());
    // A number that hangs on a condition is looked at both ways.
    let either = "(main.people > 0 ? main.co2 : outdoor.co2) > q(\"900 ppm\") && main.people < 1 && outdoor.co2 < q(\"500 ppm\")";
    assert!(with(either).is_empty());
    let neither = either.replace("main.people < 1", "main.people <= 0");
    assert_eq!(with(&neither)[0].0, "R117");
    // What ends a rule is stronger: this one never acts.
    let ended = "[rule.a]\ndevice = \"bath_fan\"\non = \"100 %\"\non_when = 'main.co2 > q(\"1000 ppm\")'\noff_when = 'main.co2 > q(\"900 ppm\")'\n";
    assert_eq!(compiled(ended).2[0].0, "R117");
}

/// A window of a ten-thousandth of a kelvin in each of three signals: no sample of ranges meets it.
#[test]
fn a_fight_in_a_corner_is_found() {
    let window = |zone: &str| {
        format!("{zone}.temp + q(\"1 K\") > q(\"22 degC\") && {zone}.temp - q(\"1 K\") < q(\"20.0001 degC\")")
    };
    let narrow = ["main", "bedroom", "outdoor"].map(window).join(" && ");
    let rules = |other: &str| {
        format!(
            "[rule.a]\ndevice = \"bath_fan\"\non = \"100 %\"\non_when = '{narrow}'\n\
             [rule.b]\ndevice = \"bath_fan\"\non = \"30 %\"\non_when = '{other}'\n"
        )
    };
    assert_eq!(compiled(&rules("main.temp > q(\"20 degC\")")).2[0].0, "R121");
    assert!(compiled(&rules("main.temp > q(\"21.0002 degC\")")).2.is_empty());
}

/// Random conditions of comparisons of one signal each, against every point of a grid that reaches into
/// every box: whether one can hold, and whether two can hold together.
#[test]
fn boxes_say_what_a_search_of_every_point_says() {
    let mut stream = crate::rng::Stream::new(11, "boxes");
    let mut pick = |n: usize| (stream.uniform() * n as f64) as usize % n;
    let mut one = |depth: usize| -> String {
        fn make(pick: &mut dyn FnMut(usize) -> usize, depth: usize) -> String {
            if depth == 0 || pick(3) == 0 {
                let signal = ["time.weekday", "time.month", "time.hour"][pick(3)];
                let order = ["<", "<=", ">", ">="][pick(4)];
                let value = 1 + pick(7);
                return match pick(3) {
                    0 => format!("{signal} + 1.0 {order} {}.0", value + 1),
                    1 => format!("{value}.0 {order} {signal}"),
                    _ => format!("{signal} {order} {value}.0"),
                };
            }
            let (a, b) = (make(pick, depth - 1), make(pick, depth - 1));
            match pick(3) {
                0 => format!("({a} || {b})"),
                1 => format!("!({a} && {b})"),
                _ => format!("({a} && {b})"),
            }
        }
        make(&mut pick, depth)
    };
    let (mut never, mut fights) = (0, 0);
    for _ in 0..150 {
        let (a, b) = (one(3), one(3));
        let text = format!(
            "[rule.a]\ndevice = \"bath_fan\"\non = \"100 %\"\non_when = '{a}'\n\
             [rule.b]\ndevice = \"bath_fan\"\non = \"30 %\"\non_when = '{b}'\n"
        );
        let (set, _, said) = compiled(&text);
        let house = a_house();
        let signals = Signals::of_house(&house, &[]);
        let sink = Sink::default();
        let slots = ["time.weekday", "time.month", "time.hour"].map(|n| signals.slot(n).unwrap());
        let read = |text: &str| {
            let file = File {
                name: "rules/x.toml".to_owned(),
                text: format!(
                    "format = 1\n[rule.x]\ndevice = \"bath_fan\"\non = \"100 %\"\non_when = '{text}'\n"
                ),
            };
            let written = rules::all(std::slice::from_ref(&file), &sink);
            lower::read(&written.rules[0].on_when, &signals, &sink).unwrap()
        };
        let (a, b) = (read(&a), read(&b));
        let (mut holds, mut meet) = ([false; 2], false);
        let mut values = signals.usual();
        for weekday in 1..=7 {
            for month in 1..=12 {
                for quarter in 0..=96 {
                    values[slots[0]] = f64::from(weekday);
                    values[slots[1]] = f64::from(month);
                    values[slots[2]] = f64::from(quarter) / 4.0;
                    let here = [&a, &b].map(|c| region::holds(c, &values));
                    holds = [holds[0] || here[0], holds[1] || here[1]];
                    meet |= here[0] && here[1];
                }
            }
        }
        let has = |code: &str| said.iter().filter(|s| s.0 == code).count();
        let dead = holds.iter().filter(|h| !**h).count();
        assert_eq!(has("R117"), dead, "{text}\n{said:?}");
        assert_eq!(set.rules.len(), 2 - dead);
        assert_eq!(has("R121") > 0, meet, "{text}\n{said:?}");
        never += dead;
        fights += usize::from(meet);
    }
    // The test is about something: both happen, and both do not.
    assert!(never > 5 && fights > 5 && fights < 145, "{never} {fights}");
}
