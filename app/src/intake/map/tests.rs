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
