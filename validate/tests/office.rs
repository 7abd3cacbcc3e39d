//! A real record: CO2, temperature and humidity of one office room for two days, with occupancy told
//! from pictures (UCI "Occupancy Detection", Candanedo and Feldheim 2016, CC BY 4.0). It is read
//! from `../shared/data` beside the repository and never copied; without it these tests say so.

use engine::air::{STANDARD_PRESSURE_PA, humidity_ratio, saturation_pressure_pa};
use engine::procedure::tracer::decay;
use engine::procedure::tracer::search::{Asked, Kind, search};
use std::path::Path;

pub(crate) struct Record {
    pub(crate) time_s: Vec<f64>,
    temp_k: Vec<f64>,
    rh: Vec<f64>,
    pub(crate) co2: Vec<f64>,
    ratio: Vec<f64>,
    pub(crate) occupied: Vec<bool>,
}

/// The record, where it is there. Beside the repository, or one folder further up from a worktree.
pub(crate) fn record() -> Option<Record> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap();
    let name = "shared/data/office-room-co2-2015.csv";
    let text = ["..", "../.."].iter().find_map(|up| std::fs::read_to_string(root.join(up).join(name)).ok());
    let Some(text) = text else {
        println!("NOT RUN: ../{name} is not there");
        return None;
    };
    let mut r = Record {
        time_s: Vec::new(),
        temp_k: Vec::new(),
        rh: Vec::new(),
        co2: Vec::new(),
        ratio: Vec::new(),
        occupied: Vec::new(),
    };
    // The header has one name fewer than the rows.
    for line in text.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').map(|c| c.trim_matches('"')).collect();
        let number = |i: usize| cells[i].parse::<f64>().unwrap();
        r.time_s.push(seconds(cells[1]));
        r.temp_k.push(number(2) + 273.15);
        r.rh.push(number(3) / 100.0);
        r.co2.push(number(5) * 1e-6);
        r.ratio.push(number(6));
        r.occupied.push(cells[7] == "1");
    }
    let first = r.time_s[0];
    r.time_s.iter_mut().for_each(|t| *t -= first);
    Some(r)
}

/// `2015-02-02 14:19:00` as seconds of February.
fn seconds(text: &str) -> f64 {
    let part = |from: usize| text.get(from..from + 2).unwrap().parse::<f64>().unwrap();
    86_400.0 * part(8) + 3600.0 * part(11) + 60.0 * part(14) + part(17)
}

#[test]
fn humidity_ratio_is_the_authors() {
    let Some(r) = record() else { return };
    let mut worst = 0.0_f64;
    for i in 0..r.ratio.len() {
        let own = humidity_ratio(r.rh[i] * saturation_pressure_pa(r.temp_k[i]), STANDARD_PRESSURE_PA);
        worst = worst.max((own / r.ratio[i] - 1.0).abs());
    }
    println!("humidity ratio: {} rows, largest difference {:.2e}", r.ratio.len(), worst);
    // The authors do not say which pressure and which saturation curve they took.
    assert!(worst < 0.005, "{worst}");
}

#[test]
fn decays_are_found_where_nobody_was_in_the_room() {
    let Some(r) = record() else { return };
    // The search sees time and CO2 alone.
    let asked = Asked { time_s: &r.time_s, gas: vec![&r.co2], volume_m3: None, background: None };
    let found = search(&asked).unwrap();
    println!("background taken: {:.0} ppm; turned down: {}", found.background.value * 1e6, found.turned_down);
    // Ends of occupancy after which nobody came back for an hour.
    let mut ends: Vec<usize> =
        (1..r.occupied.len()).filter(|i| r.occupied[i - 1] && !r.occupied[*i]).collect();
    let empty = |i: usize| {
        r.time_s
            .iter()
            .zip(&r.occupied)
            .skip(i)
            .take_while(|(t, _)| **t < r.time_s[i] + 3600.0)
            .all(|(_, o)| !o)
    };
    ends.retain(|i| empty(*i));
    let (mut inside, mut right) = (0, 0);
    for s in &found.stretches {
        let rows = s.rows.0..=s.rows.1;
        let alone = rows.clone().filter(|i| !r.occupied[*i]).count();
        inside += rows.clone().count();
        right += alone;
        let (lo, hi) = s.decay.rate.bounds().unwrap();
        println!(
            "{:.2} h to {:.2} h: {:.3} 1/h ({:.3} to {:.3}), {:?}, {:.1} % of it unoccupied",
            s.time_s.0 / 3600.0,
            s.time_s.1 / 3600.0,
            s.decay.rate.si * 3600.0,
            lo * 3600.0,
            hi * 3600.0,
            s.decay.method,
            100.0 * alone as f64 / rows.count() as f64,
        );
        assert_eq!(s.kind, Kind::Outdoors);
    }
    let hit =
        ends.iter().filter(|e| found.stretches.iter().any(|s| (s.time_s.0 - r.time_s[**e]).abs() < 1800.0));
    let (hit, all) = (hit.count(), ends.len());
    println!("ends of occupancy: {all}, with a decay that begins within half an hour: {hit}");
    println!("precision {:.3} ({right} of {inside} minutes)", right as f64 / inside as f64);
    assert!(all >= 2 && hit == all, "recall {hit} of {all}");
    assert!(right as f64 >= 0.95 * inside as f64, "precision");
}

#[test]
fn a_wrong_background_moves_the_rate_and_the_result_says_by_how_much() {
    let Some(r) = record() else { return };
    let asked = Asked { time_s: &r.time_s, gas: vec![&r.co2], volume_m3: None, background: None };
    let found = search(&asked).unwrap();
    for s in &found.stretches {
        let (time_s, gas) = (&r.time_s[s.rows.0..=s.rows.1], &r.co2[s.rows.0..=s.rows.1]);
        let at = |value: f64| {
            let background = Some(engine::procedure::tracer::Background { value, half: Some(0.0) });
            let d = decay::evaluate(&decay::Asked { time_s, gas, background, volume_m3: None }).unwrap();
            d.rate.si * 3600.0
        };
        let (low, high) = (at(found.background.value - 20e-6), at(found.background.value));
        println!("20 ppm less background: {low:.3} for {high:.3} 1/h, {:.0} %", 100.0 * (low / high - 1.0));
        assert!(low < high);
    }
}

#[test]
fn zeroing_against_outdoors_moves_the_rate_and_the_raw_series_stays() {
    use engine::series::Point;
    use engine::series::correct::Correction;
    let Some(r) = record() else { return };
    let asked = Asked { time_s: &r.time_s, gas: vec![&r.co2], volume_m3: None, background: None };
    let found = search(&asked).unwrap();
    // What the sensor shows when the room has long been empty, against the 400 ppm of the air outdoors
    // in 2015 (global mean of that year, from memory): taken as a reading outdoors.
    let shows = found.background.value;
    let truth = 400e-6;
    let points = |gas: &[f64]| -> Vec<Point> {
        r.time_s.iter().zip(gas).map(|(t, v)| Point { time_ms: (t * 1000.0) as i64, value: *v }).collect()
    };
    let raw = points(&r.co2);
    let zeroed = Correction::Zero { shows, truth }.series(&raw, None, 0);
    assert_eq!(raw, points(&r.co2));
    let mut most = 0.0_f64;
    for s in &found.stretches {
        let rows = s.rows.0..=s.rows.1;
        let rate = |series: &[Point], value: f64| {
            let gas: Vec<f64> = series[rows.clone()].iter().map(|p| p.value).collect();
            let background = Some(engine::procedure::tracer::Background { value, half: Some(0.0) });
            let time_s = &r.time_s[rows.clone()];
            let asked = decay::Asked { time_s, gas: &gas, background, volume_m3: None };
            decay::evaluate(&asked).unwrap().rate.si * 3600.0
        };
        // A background from outside the sensor needs a sensor that is zeroed; one from the sensor itself
        // takes its offset out by itself, to the last digit.
        let (off, on, own) = (rate(&raw, truth), rate(&zeroed, truth), rate(&raw, shows));
        println!(
            "{:.0} ppm off: {off:.3}, zeroed {on:.3} 1/h, {:.0} %",
            (shows - truth) * 1e6,
            100.0 * (on / off - 1.0)
        );
        assert!((on / own - 1.0).abs() < 1e-9);
        most = most.max(on / off - 1.0);
    }
    assert!(most > 0.1, "{most}");
}
