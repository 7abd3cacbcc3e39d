use super::*;
use crate::intake::bench::document;

const NOW_MS: i64 = 1_795_644_600_000;

fn map(payload: &str, more: &str, quantity: &str, unit: &str) -> Map {
    Map::new(&document(&format!(
        "format = 1\n[posts]\nlisten = \"127.0.0.1:1\"\ntoken_env = \"T\"\n[source.s]\npath = \"p\"\n\
         payload = \"{payload}\"\n{more}\nquantity = \"{quantity}\"\nunit = \"{unit}\"\nbasis = \"raw\"\n\
         instrument = \"i\"\nplace = \"room\"\n"
    )))
}

fn sort(map: &Map, body: &str) -> Result<Vec<(i64, f64)>, Trouble> {
    let sorted = map.sort(Arrival::new(Via::Path("p".to_owned()), body.as_bytes().to_vec(), NOW_MS), NOW_MS);
    match sorted.trouble {
        Some(trouble) => Err(trouble),
        None => Ok(sorted.readings.iter().map(|r| (r.time_ms, r.value)).collect()),
    }
}

#[test]
fn json_with_a_time_and_a_unit() {
    let map = map("json", "value = \"$.air[0].t\"\ntime = \"$.at\"", "temp", "degF");
    let good = |at: &str| sort(&map, &format!(r#"{{"at":{at},"air":[{{"t":68}}]}}"#));
    let found = good("\"2026-11-25T16:51:00-05:00\"").unwrap();
    assert_eq!(found[0].0, 1_795_643_460_000);
    assert!((found[0].1 - 293.15).abs() < 1e-9);
    assert_eq!(good("1795643460").unwrap()[0].0, 1_795_643_460_000, "seconds");
    assert_eq!(good("1795643460000").unwrap()[0].0, 1_795_643_460_000, "milliseconds");
    assert_eq!(good("\"1795643460\"").unwrap()[0].0, 1_795_643_460_000);
    for at in ["\"2026-11-25 16:51\"", "\"2026-11-26T16:51:00Z\"", "12", "null", "[]", "1e300", "\"\""] {
        assert_eq!(good(at), Err(Trouble::Time), "{at}");
    }
    for (body, trouble) in [
        ("", Trouble::Malformed),
        ("{\"at\":1795643460}", Trouble::NoValue),
        (r#"{"at":1795643460,"air":[{"t":null}]}"#, Trouble::NoValue),
        (r#"{"at":1795643460,"air":[{"t":"warm"}]}"#, Trouble::Malformed),
        (r#"{"at":1795643460,"air":[{"t":true}]}"#, Trouble::Malformed),
        (r#"{"air":[{"t":68}]}"#, Trouble::Time),
    ] {
        assert_eq!(sort(&map, body), Err(trouble), "{body}");
    }
}

#[test]
fn the_number_alone() {
    let number = map("plain", "", "co2", "ppm");
    assert!((sort(&number, " 812 \n").unwrap()[0].1 - 812e-6).abs() < 1e-12);
    assert_eq!(sort(&number, " 812 \n").unwrap()[0].0, NOW_MS, "the time of its arrival");
    for body in ["", "812 ppm", "inf", "NaN", "on", "8,12"] {
        assert_eq!(sort(&number, body), Err(Trouble::Malformed), "{body}");
    }
    let contact = map("plain", "", "open", "1");
    assert_eq!(sort(&contact, "ON").unwrap()[0].1.to_bits(), 1.0_f64.to_bits());
}

#[test]
fn a_message_that_the_broker_had_stored_needs_a_time() {
    let number = map("plain", "", "co2", "ppm");
    let arrival = Arrival::new(Via::Path("p".to_owned()), b"812".to_vec(), NOW_MS);
    let sorted = number.sort(Arrival { stored: true, ..arrival }, NOW_MS);
    assert_eq!((sorted.trouble, sorted.readings.len()), (Some(Trouble::Stored), 0));
}

/// The pack of RFC 8428, 5.1.3, cut to one sensor, and one whose unit is another.
#[test]
fn senml_by_name_and_in_its_own_unit() {
    let map = map("senml", "value = \"urn:dev:ow:10e2073a01080063:temp\"", "temp", "degF");
    let pack = r#"[{"bn":"urn:dev:ow:10e2073a01080063:","bt":1.320067464e+09,"n":"temp","u":"Cel","v":20},
        {"n":"temp","t":60,"u":"Cel","v":21.5},{"n":"hum","u":"%RH","v":40}]"#;
    let found = sort(&map, pack).unwrap();
    assert_eq!(found.len(), 2);
    assert!((found[0].1 - 293.15).abs() < 1e-9, "the record's unit counts, not the document's");
    assert_eq!(found[1].0, 1_320_067_524_000);
    assert_eq!(
        sort(&map, r#"[{"bn":"urn:dev:ow:10e2073a01080063:","n":"temp","u":"Cel","v":20}]"#).unwrap()[0].0,
        NOW_MS
    );
    for (body, trouble) in [
        ("[]", Trouble::Malformed),
        ("{}", Trouble::Malformed),
        (r#"[{"n":"other","u":"Cel","v":20}]"#, Trouble::NoValue),
        (r#"[{"n":"urn:dev:ow:10e2073a01080063:temp","u":"ppm","v":20}]"#, Trouble::Malformed),
    ] {
        assert_eq!(sort(&map, body), Err(trouble), "{body}");
    }
}

/// The example of the format's open description: 25.06 degC and 50.55 %.
#[test]
fn bthome_alone_and_inside_json() {
    let alone = map("bthome", "value = \"temperature\"", "temp", "degC");
    assert!((sort(&alone, "4002CA0903BF13").unwrap()[0].1 - 298.21).abs() < 1e-9);
    let inside = map("bthome", "value = \"rh\"\ninside = \"$.service_data\"", "rh", "%");
    let found = sort(&inside, r#"{"id":"AA:BB","service_data":"4002ca0903bf13"}"#).unwrap();
    assert!((found[0].1 - 0.5055).abs() < 1e-9);
    for (body, trouble) in [
        ("", Trouble::Malformed),
        ("{\"id\":1}", Trouble::NoValue),
        (r#"{"service_data":"zz"}"#, Trouble::Malformed),
        (r#"{"service_data":"4102ca09"}"#, Trouble::Malformed),
        (r#"{"service_data":"4002ca09"}"#, Trouble::NoValue),
    ] {
        assert_eq!(sort(&inside, body), Err(trouble), "{body}");
    }
}

#[test]
fn a_table() {
    let map = map("csv", "value = \"CO2 ppm\"\ntime = \"t\"", "co2", "ppm");
    let found = sort(&map, "t;CO2 ppm\n1795640000;800\n1795640060;\n1795640120;\"810\"\n").unwrap();
    assert_eq!(found.iter().map(|f| f.0).collect::<Vec<_>>(), [1_795_640_000_000, 1_795_640_120_000]);
    for (body, trouble) in [
        ("", Trouble::Malformed),
        ("t,CO2 ppm\n", Trouble::NoValue),
        ("t,co2\n1795640000,800\n", Trouble::NoValue),
        ("t,CO2 ppm\nnoon,800\n", Trouble::Time),
        ("t,CO2 ppm\n1795640000,high\n", Trouble::Malformed),
    ] {
        assert_eq!(sort(&map, body), Err(trouble), "{body}");
    }
    let untimed = self::map("csv", "value = \"x\"", "co2", "ppm");
    assert_eq!(sort(&untimed, "x\n800\n").unwrap()[0].0, NOW_MS);
    assert_eq!(sort(&untimed, "x\n800\n801\n"), Err(Trouble::Time), "two readings of one moment");
}

#[test]
fn the_document_of_the_page_is_without_a_mistake() {
    let page = include_str!("../../../../docs/WATCH-LIVE.md");
    let text = page.split_once("```toml\n").unwrap().1.split_once("```").unwrap().0;
    let watch = document(text);
    assert_eq!((watch.brokers.len(), watch.sources.len(), watch.alerts.len()), (1, 2, 3));
    assert!(watch.posts.is_some() && watch.outdoor.is_some_and(|o| o.weather && o.particles));
}
