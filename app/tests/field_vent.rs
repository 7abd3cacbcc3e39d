//! Ventilation, infiltration and bills through the command line.
#![expect(clippy::disallowed_methods, reason = "expectations use the standard library's functions")]

use crate::run::{Folder, airwright, json};
use serde_json::Value;

const JOB: &str = "format = 1\nname = 'ventilation'\n[building]\nfloor_area = '2000 ft2'\nbedrooms = 3\n\
    volume = '16000 ft3'\nheight = '16.4 ft'\n[place]\naltitude = '0 ft'\n";
const INSTRUMENTS: &str = "format = 1\ndate = '2026-11-12'\n\
    [conditions]\nindoor = '70 degF'\noutdoor = '28 degF'\nwind = '6 mph'\n\
    [instrument.gauge]\nmeasures = 'pressure'\naccuracy = '1 % or 0.2 Pa'\nbaseline = 'subtracted'\n\
    [instrument.fan]\nmeasures = 'air flow'\nshows = 'flow at actual density'\naccuracy = '3 %'\n\
    [instrument.hood]\nmeasures = 'air flow'\nshows = 'flow at actual density'\naccuracy = '3 % or 2 cfm'\n\
    [instrument.wire]\nmeasures = 'air speed'\naccuracy = '3 % + 4 fpm'\n\
    [instrument.thermometer]\nmeasures = 'temperature'\naccuracy = '0.5 degC'\n";
const SHELL: &str = "[test.shell]\nstandard = 'astm-e779'\ndirection = 'depressurise'\n\
    pressure_with = 'gauge'\nflow_with = 'fan'\nstations = { columns = ['house Pa', 'fan cfm'], rows = \
    [[-15, 690],[-25, 960],[-35, 1190],[-45, 1405],[-50, 1500],[-60, 1690]] }\n";
const BATH: &str = "[test.bath_fan]\nkind = 'fan flow'\nby = 'powered hood'\nflows = ['cfm', 51, 53, 52]\n\
    with = 'hood'\nserves = 'bath'\n";

fn job(visit: &str) -> Folder {
    let folder = Folder::new();
    folder.write("job.toml", JOB);
    folder.write("visits/2026-11-12/visit.toml", format!("{INSTRUMENTS}{visit}"));
    folder
}

fn spanish(folder: &Folder) {
    folder.write("job.toml", JOB.replacen("name =", "language = 'es'\nunits = 'SI'\nname =", 1));
}

fn test<'a>(answer: &'a Value, name: &str) -> &'a Value {
    let all = answer["data"]["field"].as_array().unwrap();
    all.iter().find(|t| t["name"] == name).unwrap_or_else(|| panic!("no {name}: {answer}"))
}

fn figure(test: &Value, id: &str) -> f64 {
    let all = test["figures"].as_array().unwrap();
    let found = all.iter().find(|f| f["id"] == id).unwrap_or_else(|| panic!("no {id}: {test}"));
    found["number"]["value"].as_f64().unwrap()
}

const CFM: f64 = 0.000_471_947_443_2;

#[test]
fn a_whole_house_is_worked_from_its_fans() {
    let folder = job(&format!(
        "{SHELL}{BATH}\
        [test.hall]\nkind = 'fan flow'\nby = 'hood'\nflow = '22 cfm'\nwith = 'hood'\nserves = 'bath'\n\
        [test.fresh]\nkind = 'fan flow'\nby = 'probe'\nspeed = '520 fpm'\ndiameter = '6 in'\nwith = 'wire'\n\
        way = 'supply'\nsite = {{ good = '95 cfm', good_with = 'hood', speed = '560 fpm' }}\n\
        [test.later]\nkind = 'fan flow'\nby = 'probe'\nspeed = '280 fpm'\ndiameter = '6 in'\nwith = 'wire'\n\
        site_from = 'fresh'\n\
        [test.leaks]\nkind = 'infiltration'\nmodel = 'enhanced'\nstoreys = 2\nshelter = 'moderate'\n\
        foundation = 'basement'\n\
        [test.rate]\nkind = 'ventilation rate'\nrule = '62.2-2013'\ndwelling = 'existing'\nweather_factor = 0.6\n\
        weather_factor_confirmed = true\nfan = [{{ flow_from = 'fresh' }}]\n\
        room = [{{ name = 'hall', room = 'bath', flow_from = 'hall' }}]\n\
        [test.room]\nkind = 'tightness room'\nexhausts = ['bath_fan', 'hall']\nsupplies = ['fresh']\n\
        limit = '3 Pa'\nlimit_source = 'programme text'\nmeasured = '-0.4 Pa'\nmeasured_with = 'gauge'\n"
    ));
    let (code, answer) = json(&["results"], folder.path());
    assert_eq!(code, 1, "the hall's exhaust fails its limit");
    // k = 95/560 per fpm, the duct's size cancels.
    assert!((figure(test(&answer, "fresh"), "figure-fan-flow") / CFM - 95.0 * 520.0 / 560.0).abs() < 1e-6);
    assert!((figure(test(&answer, "later"), "figure-fan-flow") / CFM - 47.5).abs() < 1e-6);
    // 90 cfm by the table; a quarter of the 28 cfm that the hall's exhaust falls short of.
    let rate = test(&answer, "rate");
    assert!((figure(rate, "figure-ventilation-total") / CFM - 97.0).abs() < 1e-6);
    let nl = answer["data"]["results"][0]["result"]["figures"]["nl"]["total"]["value"].as_f64().unwrap();
    let credit = nl * 0.6 * 2000.0 / 7.3;
    assert!((figure(rate, "figure-infiltration-credited") / CFM - credit).abs() < 1e-6);
    assert!((figure(rate, "figure-fan-needed-one-way") / CFM - (97.0 - credit)).abs() < 1e-6);
    let check = |test: &Value, id: &str| {
        let all = test["checks"].as_array().unwrap();
        all.iter().find(|c| c["id"] == id).unwrap()["verdict"].as_str().unwrap().to_owned()
    };
    assert_eq!(check(rate, "check-whole-house-fan"), "pass");
    assert_eq!(check(rate, "check-local-exhaust"), "fail");
    // Nobody confirmed the programme's limit.
    assert_eq!(check(test(&answer, "room"), "check-depressurisation"), "limit_not_confirmed");
    let told = airwright(&["results"], folder.path()).out;
    assert!(told.contains("infiltration in this weather"), "{told}");
    spanish(&folder);
    let told = airwright(&["results"], folder.path()).out;
    assert!(told.contains("caudal que dan los ventiladores"), "{told}");
    assert!(told.contains("margen para hacer más estanca la casa"), "{told}");
}

#[test]
fn without_a_weather_factor_the_credit_is_zero_and_said() {
    let folder = job(&format!(
        "{SHELL}{BATH}[test.rate]\nkind = 'ventilation rate'\nrule = '62.2-2019'\ndwelling = 'new'\n\
        fan = [{{ flow_from = 'bath_fan', hours = '22:00 to 6:00' }}]\n"
    ));
    let told = airwright(&["results"], folder.path());
    assert!(told.out.contains("Nothing is taken off for infiltration: the weather factor"), "{}", told.out);
    let (_, answer) = json(&["results"], folder.path());
    let rate = test(&answer, "rate");
    assert!((figure(rate, "figure-fan-needed-balanced") / CFM - 90.0).abs() < 1e-6);
    // A third of the day does less than a third of the flow.
    assert!(figure(rate, "figure-fan-delivered") / CFM < 52.0 / 3.0);
    assert!(figure(rate, "figure-exposure-peak") > figure(rate, "figure-exposure-mean"));
    // Entered once, under the place.
    folder.write("job.toml", format!("{JOB}weather_factor = 0.6\n"));
    let (_, answer) = json(&["results"], folder.path());
    assert!(figure(test(&answer, "rate"), "figure-fan-needed-balanced") / CFM < 45.0);
}

#[test]
fn recovery_says_when_its_readings_contradict_each_other() {
    let unit = |exhausted: &str| {
        format!(
            "[test.unit]\nkind = 'recovery balance'\nsupply = '100 cfm'\nsupply_with = 'hood'\n\
            exhaust = '104 cfm'\nexhaust_with = 'hood'\noutdoor = '0 degC'\nsupplied = '16.5 degC'\n\
            extract = '22 degC'\nexhausted = '{exhausted}'\ntemperature_with = 'thermometer'\n\
            [test.unit.tracer]\noutdoor = '420 ppm'\nsupply = '450 ppm'\nextract = '1020 ppm'\n"
        )
    };
    let (code, answer) = json(&["results"], job(&unit("6 degC")).path());
    assert_eq!(code, 0, "{answer}");
    assert!((figure(test(&answer, "unit"), "figure-effectiveness-apparent") - 0.75).abs() < 1e-9);
    assert!((figure(test(&answer, "unit"), "figure-carried-over") - 0.05).abs() < 1e-9);
    let told = airwright(&["results"], job(&unit("15 degC")).path()).out;
    assert!(told.contains("do not exchange the same heat"), "{told}");
}

#[test]
fn an_intake_is_read_where_it_comes_to_rest() {
    let folder = job("[test.intake]\nkind = 'settled reading'\nseries = 'intake.csv'\ncolumn = 'duct'\n\
        measures = 'temperature'\nwith = 'thermometer'\nfrom = '20 s'\ntolerance = '0.5 degC'\n\
        duct = { diameter = '150 mm', length = '6 m', flow = '50 L/s', insulation = '0.7 m2 K/W', around = '18 degC' }\n");
    // As the duct's own model gives it: 5.5 % of 28 K never go.
    let rows: String = (0..90)
        .map(|i| {
            let t = (f64::from(i) * 10.0 - 20.0).max(0.0);
            let c = -10.0 + 28.0 * (0.0546 + 0.379 * (-t / 165.0).exp()) + 0.02 * f64::from(i % 3);
            format!("{},{c:.3}\n", i * 10)
        })
        .collect();
    folder.write("visits/2026-11-12/intake.csv", format!("time s,duct degC\n{rows}"));
    let (code, answer) = json(&["results"], folder.path());
    assert_eq!(code, 0, "{answer}");
    let intake = test(&answer, "intake");
    assert!((figure(intake, "figure-outdoor-behind-duct") - 263.15).abs() < 0.1);
    assert!((figure(intake, "figure-wait") - 165.0 * (0.379 * 28.0 / 0.5_f64).ln()).abs() < 10.0);
    // A column that is not there, and a record cut short.
    folder.write("visits/2026-11-12/intake.csv", "time s,duct degC\n0,18\n10,17\n30,NaN\n20,16\n");
    let told = airwright(&["results"], folder.path());
    assert!(told.err.contains("V205") && told.err.contains("X111"), "{}", told.err);
}

#[test]
fn bills_are_held_against_their_own_days() {
    let folder = job("[test.bills]\nkind = 'bills'\nseries = 'bills.csv'\ntemperatures = 'days.csv'\n\
        estimated_column = 'estimated'\n[test.bills.fuel.gas]\ncolumn = 'gas'\nheat_content = '1.03 therm/ccf'\n\
        efficiency = '80 %'\n[test.bills.fuel.electricity]\n");
    let first: jiff::civil::Date = "2025-01-01".parse().unwrap();
    let temp = |day: i32| -> f64 {
        let season = -f64::from(day - 20) * std::f64::consts::TAU / 365.0;
        10.0 - 14.0 * season.cos() + 5.0 * (f64::from(day) * 1.7).sin()
    };
    let mut days = String::from("time,outdoor degC\n");
    for day in 0..365 {
        let date = first.saturating_add(jiff::Span::new().days(day));
        days += &format!("{date},{:.3}\n", temp(day));
    }
    let mut bills = String::from("time,gas ccf,electricity kWh,estimated 1\n2025-01-01,,,0\n");
    for month in 0..12 {
        let (from, to) = (month * 30, month * 30 + 30);
        // 300 W and 150 W/K below 15 degC as gas; 500 W of electricity whatever the weather.
        let joules: f64 = (from..to).map(|d| 86400.0 * (300.0 + 150.0 * (15.0 - temp(d)).max(0.0))).sum();
        let ccf = joules / (1.03 * 105_505_585.262);
        let date = first.saturating_add(jiff::Span::new().days(to));
        bills += &format!("{date},{ccf:.4},{},0\n", if month % 2 == 0 { 362 } else { 358 });
    }
    folder.write("visits/2026-11-12/days.csv", &days);
    folder.write("visits/2026-11-12/bills.csv", &bills);
    let (code, answer) = json(&["results"], folder.path());
    assert_eq!(code, 0, "{answer}");
    let found = test(&answer, "bills");
    assert!((figure(found, "figure-heating-slope") - 150.0).abs() < 0.5, "{found}");
    assert!((figure(found, "figure-heating-balance") - 288.15).abs() < 0.1);
    assert!((figure(found, "figure-heat-loss") - 120.0).abs() < 0.5);
    let told = airwright(&["results"], folder.path()).out;
    assert!(told.contains("electricity: no use that follows the weather"), "{told}");
    // Five bills are too few; one of them is a credit and one of the days has no temperature.
    let short: String = bills.lines().take(7).map(|l| format!("{l}\n")).collect();
    let short = short.replacen("2025-01-31,", "2025-01-31,-", 1);
    folder.write("visits/2026-11-12/bills.csv", &short);
    let told = airwright(&["results"], folder.path());
    assert_eq!(told.code, 1);
    assert!(told.err.contains("bill 1 of gas is missing or below zero"), "{}", told.err);
    assert!(told.out.contains("5 bills are too few"), "{}", told.out);
}

/// What a tired person writes.
#[test]
fn mistakes_are_named_and_the_rest_computes() {
    let folder = job(&format!(
        "{BATH}\
        [test.unit]\nkind = 'fan flow'\nby = 'hood'\nflow = '52 Pa'\n\
        [test.nothing]\nkind = 'fan flow'\nby = 'orifice box'\npressure = '4 Pa'\n\
        [test.too_much]\nkind = 'fan flow'\nby = 'hood'\nflow = '40 cfm'\nhood_pressure = '80 Pa'\nfan_pressure = '60 Pa'\n\
        [test.ahead]\nkind = 'tightness room'\nexhausts = ['bath_fam']\nlimit = '3 Pa'\n\
        [test.leaks]\nkind = 'infiltration'\nmodel = 'basic'\nstoreys = 9\nshelter = 'moderate'\n\
        [test.rate]\nkind = 'ventilation rate'\nrule = '62.2-2015'\ndwelling = 'existing'\n\
        fan = [{{ flow = '50 cfm', on = '2 h', every = '1 h' }}]\n\
        [test.bills]\nkind = 'bills'\n"
    ));
    let told = airwright(&["results"], folder.path());
    assert_eq!(told.code, 1, "{}", told.err);
    for code in ["U005", "X103", "X102", "T011", "U008", "T005", "X122", "B105"] {
        assert!(told.err.contains(&format!("error[{code}]")), "{code}: {}", told.err);
    }
    assert!(told.err.contains("did you mean `bath_fan`?"), "{}", told.err);
    assert!(told.out.contains("bath fan"), "{}", told.out);
}
