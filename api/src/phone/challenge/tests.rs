use super::*;
use crate::phone::draft::Station;
use crate::phone::tests::draft;

fn asked(d: &Draft) -> Vec<(&'static str, String)> {
    let words = d.words();
    let list = challenges(d, "2026-11-12", &words);
    for c in &list {
        assert!(!c.text.contains("phone-") && !c.help.contains("phone-"), "{c:?}");
        assert!(!c.text.contains("{$") && !c.text.contains("{ $"), "{c:?}");
    }
    list.into_iter().map(|c| (c.id, c.field)).collect()
}

/// One change to the good draft and the one question it must raise.
fn raises(id: &str, field: &str, change: impl Fn(&mut Draft)) {
    for language in ["en", "es"] {
        let mut d = draft();
        d.language = language.into();
        assert_eq!(asked(&d), []);
        change(&mut d);
        let got = asked(&d);
        assert!(got.iter().any(|(i, f)| *i == id && f == field), "{id} {field}: {got:?}");
    }
}

#[test]
fn each_mistake_is_asked_about() {
    raises("number", "building.volume", |d| d.building.volume = "9o00".into());
    raises("volume-floor", "building.floor_area", |d| d.building.floor_area = "11250".into());
    raises("envelope-small", "building.envelope_area", |d| d.building.envelope_area = "1500".into());
    raises("envelope-large", "building.envelope_area", |d| d.building.envelope_area = "33000".into());
    raises("envelope-floor", "building.envelope_area", |d| d.building.envelope_area = "1000".into());
    raises("gauge-accuracy", "gauge.accuracy", |d| d.gauge.accuracy.clear());
    raises("fan-accuracy", "fans.0.accuracy", |d| d.fans[0].accuracy.clear());
    raises("calibration-date", "gauge.calibrated", |d| d.gauge.calibrated = "spring".into());
    raises("calibration-future", "fans.0.calibrated", |d| d.fans[0].calibrated = "2026-11-13".into());
    raises("calibration-old", "fans.0.calibrated", |d| d.fans[0].calibrated = "2025-11-10".into());
    raises("temperature", "conditions.indoor", |d| d.conditions.indoor = "21".into());
    raises("barometer", "conditions.barometer", |d| d.conditions.barometer = "24.1".into());
    raises("pressure-high", "stations.2.house", |d| d.stations[2].house = "460".into());
    raises("sign", "stations.2.house", |d| {
        d.direction = "pressurise".into();
        d.stations[2].house = "-46".into();
    });
    raises("within-baseline", "stations.7.house", |d| d.stations[7].house = "1".into());
    raises("decade", "stations.4.fan", |d| d.stations[4].fans = vec!["10920".into()]);
    // Which of the two is wrong nobody can tell; the one typed last is asked about.
    raises("not-rising", "stations.4.fan", |d| d.stations[3].fans = vec!["1000".into()]);
    raises("same-pressure", "stations.5.house", |d| d.stations[5].house = "32".into());
    raises("baseline-unused", "gauge.baseline_subtracted", |d| {
        d.gauge.baseline_subtracted = true;
        d.baseline_before = vec!["-2.5".into()];
        d.baseline_after.clear();
    });
}

#[test]
fn a_decade_says_what_was_perhaps_meant() {
    let mut d = draft();
    d.stations[4].fans = vec!["10920".into()];
    let list = challenges(&d, "", &d.words());
    assert_eq!(list.len(), 1, "{list:?}");
    assert!(list[0].text.contains("1,092\u{a0}cfm"), "{}", list[0].text);
    // The second of two stations is the one that can be asked about.
    d.stations.truncate(2);
    d.stations[1].fans = vec!["153".into()];
    assert_eq!(asked(&d), [("decade", "stations.1.fan".to_owned())]);
}

/// Stations of a house under `typed` baseline whose display had `inside` in it, `n` 0.65.
fn with_baseline(typed: &str, inside: f64) -> Draft {
    let mut d = draft();
    d.baseline_before = vec![typed.into()];
    d.baseline_after = vec![typed.into()];
    d.stations = [58.3, 50.7, 43.4, 36.2, 28.9, 21.6, 14.3]
        .map(|shown: f64| Station {
            house: format!("{shown}"),
            // Depressurised: a baseline of -2.5 adds 2.5 to what is shown.
            fans: vec![format!("{:.1}", 118.0 * math::pow(shown + inside, 0.65))],
            ..Station::default()
        })
        .to_vec();
    d
}

#[test]
fn the_line_tells_how_the_baseline_was_treated() {
    assert_eq!(asked(&with_baseline("-2.5", -2.5)), []);
    let out = asked(&with_baseline("-2.5", 0.0));
    assert_eq!(out, [("baseline-out", "gauge.baseline_subtracted".to_owned())]);
    let reversed = asked(&with_baseline("2.5", -2.5));
    assert_eq!(reversed, [("baseline-reversed", "baseline_before".to_owned())]);
}

#[test]
fn a_round_first_reading_under_a_large_baseline_is_asked_about_at_once() {
    let mut d = draft();
    d.baseline_before = vec!["-2.5".into()];
    d.baseline_after.clear();
    d.stations = vec![Station { house: "50".into(), ..Station::default() }];
    let list = challenges(&d, "", &d.words());
    assert_eq!(list.len(), 1);
    assert!(
        list[0].text.starts_with("Baseline \u{2212}2.5\u{a0}Pa, reading 50\u{a0}Pa, depressurised"),
        "{}",
        list[0].text
    );
    d.stations[0].house = "52.6".into();
    assert_eq!(asked(&d), []);
}

#[test]
fn days_between_dates() {
    let between = |a, b| day(b).unwrap() - day(a).unwrap();
    assert_eq!(between("2024-02-28", "2024-03-01"), 2);
    assert_eq!(between("2025-02-28", "2025-03-01"), 1);
    assert_eq!(between("2025-12-31", "2026-01-01"), 1);
    // Days from the Gregorian calendar's own rule: 400 years are 146 097 days.
    assert_eq!(between("1626-11-12", "2026-11-12"), 146_097);
}

#[test]
fn a_reading_outside_its_range_is_asked_about() {
    raises("humidity", "conditions.indoor_rh", |d| d.conditions.indoor_rh = "0.45".into());
    let ranges = |d: &mut Draft| {
        d.fans[0].shows = "fan-pressure".into();
        let range = |name: &str, flow: &str, low: &str, high: &str| super::super::draft::Calibration {
            name: name.into(),
            flow: flow.into(),
            exponent: "0.5".into(),
            low: low.into(),
            high: high.into(),
            ..Default::default()
        };
        d.fans[0].calibrations = vec![range("wide", "100", "30", "400"), range("narrow", "25", "10", "700")];
        for (i, s) in d.stations.iter_mut().enumerate() {
            let flow = digits(&s.fans[0]).unwrap();
            let (k, name) = if i < 6 { (100.0, "1") } else { (25.0, "2") };
            s.fans = vec![format!("{:.4}", (flow / k) * (flow / k))];
            s.ranges = vec![name.into()];
        }
    };
    let mut d = draft();
    ranges(&mut d);
    // The last of the narrow range is 895 Pa, beyond its 700; the wide one covers the rest.
    assert_eq!(asked(&d), [("outside-span", "stations.6.fan".to_owned())]);
    d.fans[0].calibrations[1].high = "900".into();
    assert_eq!(asked(&d), [], "two ranges are compared by their flows");
    d.stations[7].fans = vec!["12".into()];
    assert_eq!(asked(&d)[0], ("decade", "stations.7.fan".to_owned()));
    d.fans[0].calibrations[1].low = "950".into();
    assert!(asked(&d).contains(&("calibration-span", "fans.0.calibrations.1.high".to_owned())));
}

#[test]
fn what_was_confirmed_is_kept_with_its_value() {
    let mut d = draft();
    d.stations[4].fans = vec!["10920".into()];
    let mark = challenges(&d, "", &d.words())[0].mark.clone();
    assert_eq!(mark, "decade: stations.4.fan=10920");
    assert_eq!(confirmed(&d, "", &d.words()), [""; 0]);
    d.accepted = vec![mark];
    let said = confirmed(&d, "", &d.words());
    assert!(said[0].starts_with("Station 5 (10,920): “10,920\u{a0}cfm does not go"), "{said:?}");
    // Another value is another question.
    d.stations[4].fans = vec!["10930".into()];
    assert_eq!(confirmed(&d, "", &d.words()), [""; 0]);
}
