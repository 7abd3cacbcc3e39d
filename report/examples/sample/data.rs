//! An invented house, its people, readings and prices; nothing here was computed by a model.
#![allow(
    dead_code,
    clippy::missing_panics_doc,
    missing_docs,
    reason = "sample data, shared by the example and the tests"
)]

use engine::measure::{Estimate, NoInterval};
use engine::procedure::test_out::{Became, Written};
use engine::units::{Quantity, unit};
use report::sheets::*;
use report::view::*;
use report::words::Usage;

fn si(value: f64, symbol: &str, quantity: Quantity) -> f64 {
    unit(symbol, quantity).map_or(value, |u| u.to_si(value))
}

fn range(symbol: &str, quantity: Quantity, mid: f64, lo: f64, hi: f64, level: f64) -> Estimate {
    let s = |v| si(v, symbol, quantity);
    Estimate::range(s(mid), s(lo), s(hi), level, quantity)
}

fn cfm(mid: f64, lo: f64, hi: f64) -> Number {
    Number::computed(range("cfm", Quantity::AirFlow, mid, lo, hi, 0.9))
}

fn pa(mid: f64, lo: f64, hi: f64) -> Number {
    Number::computed(range("Pa", Quantity::Pressure, mid, lo, hi, 0.9)).signed()
}

fn money(mid: f64, lo: f64, hi: f64) -> Number {
    Number::assumed(range("USD", Quantity::Money, mid, lo, hi, 0.9), "priced by the tester")
}

fn zone(
    id: &str,
    name: &str,
    kind: ZoneKind,
    heights_m: (f64, f64),
    width: f64,
    storey: i32,
    p: f64,
) -> Zone {
    Zone {
        id: id.into(),
        name: name.into(),
        kind,
        floor_m: heights_m.0,
        ceiling_m: heights_m.1,
        width,
        storey,
        pressure: (kind != ZoneKind::Duct).then(|| pa(p, p - 0.3, p + 0.4)),
        inside: None,
        selected: false,
    }
}

fn passage(
    from: &str,
    to: &str,
    height_m: f64,
    kind: PassageKind,
    label: &str,
    flow: (f64, f64, f64),
) -> Passage {
    Passage {
        from: from.into(),
        to: to.into(),
        height_m,
        flow: cfm(flow.0, flow.1, flow.2),
        via_buffer: false,
        kind,
        label: label.into(),
        selected: false,
    }
}

fn buffered(p: Passage) -> Passage {
    Passage { via_buffer: true, ..p }
}

pub(crate) fn drawing() -> HouseDrawing {
    use PassageKind as K;
    use ZoneKind as Z;
    let zones = vec![
        zone("main", "main floor", Z::Living, (0.6, 3.0), 78.0, 0, -1.6),
        zone("closet", "heater closet", Z::Closet, (0.6, 3.0), 12.0, 0, -1.7),
        zone("hall", "upper hall", Z::Living, (3.2, 5.6), 52.0, 1, 0.5),
        Zone { selected: true, ..zone("east", "east bedroom", Z::Living, (3.2, 5.6), 38.0, 1, 2.9) },
        zone("attic", "attic", Z::Buffer, (5.7, 8.0), 90.0, 2, 0.3),
        zone("garage", "garage", Z::Buffer, (0.1, 2.7), 40.0, 0, -1.0),
        zone("crawl", "crawl space", Z::Ground, (-0.5, 0.5), 90.0, -1, 0.0),
        Zone {
            inside: Some("crawl".into()),
            ..zone("supply", "supply ducts", Z::Duct, (-0.3, 0.1), 1.0, 0, 24.0)
        },
        Zone {
            inside: Some("garage".into()),
            ..zone("return", "return platform", Z::Duct, (1.7, 2.1), 1.0, 0, -31.0)
        },
    ];
    let passages = vec![
        passage("return", "supply", 1.2, K::Fan, "air handler", (884.0, 829.0, 943.0)),
        passage("main", "return", 1.9, K::Duct, "return grille", (838.0, 780.0, 896.0)),
        passage("supply", "main", 0.6, K::Duct, "registers, main floor", (436.0, 401.0, 472.0)),
        passage("supply", "hall", 3.2, K::Duct, "registers, upper hall", (312.0, 285.0, 339.0)),
        passage("supply", "east", 3.2, K::Duct, "register, east bedroom", (79.0, 73.0, 86.0)),
        passage("supply", "crawl", 0.0, K::Leak, "supply duct, in the crawl space", (57.0, 30.0, 99.0)),
        buffered(passage("garage", "return", 1.6, K::Leak, "return platform", (46.0, 16.0, 121.0))),
        Passage { selected: true, ..passage("east", "hall", 3.3, K::Door, "door gap", (24.0, 18.0, 34.0)) },
        passage("hall", "main", 3.1, K::Door, "stairwell", (281.0, 240.0, 325.0)),
        buffered(passage("crawl", "main", 0.6, K::Leak, "floor", (59.0, 41.0, 85.0))),
        buffered(passage("garage", "main", 1.2, K::Leak, "wall to the garage", (17.0, -19.0, 50.0))),
        passage(OUTDOORS, "main", 1.5, K::Leak, "outside walls", (36.0, 20.0, 55.0)),
        passage(OUTDOORS, "closet", 1.2, K::Vent, "combustion air vent", (18.0, 9.0, 27.0)),
        passage(OUTDOORS, "closet", 3.0, K::Flue, "flue of the water heater", (4.2, 1.1, 7.4)),
        passage("hall", "attic", 5.6, K::Leak, "hatch and ceiling", (55.0, 39.0, 76.0)),
        passage("east", "attic", 5.6, K::Leak, "ceiling", (24.0, 16.0, 36.0)),
        passage("east", OUTDOORS, 4.4, K::Leak, "outside wall", (30.0, 17.0, 41.0)),
        passage("hall", OUTDOORS, 4.4, K::Leak, "outside wall", (16.0, 9.0, 25.0)),
        passage("attic", OUTDOORS, 7.8, K::Vent, "ridge vents", (79.0, 55.0, 104.0)),
        passage(OUTDOORS, "garage", 0.3, K::Leak, "overhead door", (35.0, 20.0, 60.0)),
        passage(OUTDOORS, "garage", 2.2, K::Leak, "garage walls", (27.0, 15.0, 46.0)),
    ];
    HouseDrawing {
        title: "How air moves on a cold evening".into(),
        setup: "36 °F outside, 70 °F inside. Air handler on, east bedroom door shut, exhaust fans off."
            .into(),
        zones,
        passages,
    }
}

fn ladder() -> Ladder {
    let rung = |name: &str, floor: f64, mid: f64, ceiling: f64| Rung {
        name: name.into(),
        middle: pa(mid, mid - 0.3, mid + 0.4),
        floor_pa: floor,
        ceiling_pa: ceiling,
        selected: false,
    };
    Ladder {
        rungs: vec![
            rung("crawl space", -0.2, 0.0, 0.2),
            rung("garage", -1.3, -1.0, -0.7),
            rung("heater closet", -2.8, -1.7, -0.6),
            rung("main floor", -2.7, -1.6, -0.5),
            rung("upper hall", -0.6, 0.5, 1.6),
            Rung { selected: true, ..rung("east bedroom", 1.8, 2.9, 4.0) },
            rung("attic", -0.1, 0.3, 0.7),
        ],
        drop: Some(Drop {
            from: 5,
            to: 4,
            from_pa: 1.9,
            to_pa: -0.5,
            label: "drives 24 cfm through the door gap".into(),
        }),
    }
}

/// Stations near a line of C = 176 cfm/Pa^n, n = 0.655 (invented).
pub(crate) fn test() -> TestPlot {
    let line = |dp: f64| 176.0 * engine::math::pow(dp, 0.655);
    let station = |dp: f64, residual: f64, used: bool| Station {
        dp_pa: dp,
        flow_m3_s: si(line(dp) * (1.0 + residual), "cfm", Quantity::AirFlow),
        residual_frac: residual,
        used,
    };
    let points = (0..=20).map(|i| {
        let dp = 10.0 * engine::math::pow(6.2, f64::from(i) / 20.0);
        let wide = 0.012 + 0.05 * (engine::math::ln(dp / 30.0)).abs() * 0.5;
        let flow = si(line(dp), "cfm", Quantity::AirFlow);
        LinePoint { dp_pa: dp, flow_m3_s: flow, lo_m3_s: flow * (1.0 - wide), hi_m3_s: flow * (1.0 + wide) }
    });
    TestPlot {
        title: "Envelope, depressurised".into(),
        stations: vec![
            station(12.0, 0.014, true),
            station(18.5, -0.011, true),
            station(25.2, 0.004, true),
            station(32.0, 0.048, false),
            station(38.1, -0.006, true),
            station(45.0, 0.002, true),
            station(52.2, -0.004, true),
            station(59.6, 0.003, true),
        ],
        line: points.collect(),
        level: 0.95,
        residual_limit_frac: Some(0.03),
        result: Evidence {
            label: "CFM50".into(),
            number: Number::computed(range("cfm", Quantity::AirFlow, 2282.0, 2214.0, 2351.0, 0.95))
                .used_as(Usage::TestFlow),
        },
        reference_pa: 50.0,
        facts: vec![
            Evidence {
                label: "flow exponent n".into(),
                number: Number::computed(Estimate::range(0.655, 0.631, 0.679, 0.95, Quantity::Number)),
            },
            Evidence {
                label: "leakage area at 4 Pa".into(),
                number: Number::computed(range("in2", Quantity::Area, 123.0, 111.0, 136.0, 0.95))
                    .used_as(Usage::LeakageArea),
            },
            Evidence {
                label: "baseline before and after".into(),
                number: Number::measured(Estimate::range(-1.4, -1.9, -0.9, 0.95, Quantity::Pressure), "9:12")
                    .signed(),
            },
        ],
    }
}

fn tightness() -> Tightness {
    Tightness {
        name: "ACH50".into(),
        number: Number::computed(range("1/h", Quantity::AirChange, 9.13, 8.71, 9.56, 0.95)),
        wind_counted: Some(Number::computed(range("1/h", Quantity::AirChange, 9.08, 8.55, 9.63, 0.95))),
        limit: Some(Limit {
            si: si(3.0, "1/h", Quantity::AirChange),
            quantity: Quantity::AirChange,
            usage: Usage::Usual,
            at_most: true,
            source: "adopted for new houses, climate zones 3 to 8".into(),
            confirmed: true,
        }),
        verdict: Some(Verdict::Fail),
        others: vec![
            Evidence {
                label: "CFM50".into(),
                number: Number::computed(range("cfm", Quantity::AirFlow, 2282.0, 2214.0, 2351.0, 0.95))
                    .used_as(Usage::TestFlow),
            },
            Evidence {
                label: "volume".into(),
                number: Number {
                    estimate: Estimate::without(
                        si(15_000.0, "ft3", Quantity::Volume),
                        Quantity::Volume,
                        NoInterval::TypedWithoutInstrument,
                    ),
                    state: State::Measured { at: "with a tape".into() },
                    usage: Usage::Usual,
                    signed: false,
                },
            },
        ],
        others_counted: Vec::new(),
    }
}

fn known() -> Known {
    let row = |label: &str, prior: (f64, f64, f64), post: (f64, f64, f64), share: f64| KnownRow {
        label: label.into(),
        prior: (
            si(prior.0, "cfm", Quantity::AirFlow),
            si(prior.1, "cfm", Quantity::AirFlow),
            si(prior.2, "cfm", Quantity::AirFlow),
        ),
        posterior: range("cfm", Quantity::AirFlow, post.1, post.0, post.2, 0.9),
        from_readings_frac: share,
        determined: share > 0.4,
    };
    Known {
        level: 0.9,
        readings: 15,
        loose: Vec::new(),
        groups: vec![
            KnownGroup {
                title: "Leaks, flow at 50 Pa".into(),
                quantity: Quantity::AirFlow,
                usage: Usage::TestFlow,
                rows: vec![
                    row("crawl space vents", (470.0, 1500.0, 4700.0), (1050.0, 1210.0, 1390.0), 0.98),
                    row("outside walls, windows, rim", (440.0, 1100.0, 2700.0), (772.0, 1026.0, 1363.0), 0.9),
                    row("ceiling into the attic", (110.0, 410.0, 1540.0), (385.0, 603.0, 945.0), 0.88),
                    row("floor over the crawl space", (100.0, 380.0, 1400.0), (239.0, 381.0, 606.0), 0.88),
                    row("supply duct, in the crawl space", (15.0, 58.0, 220.0), (23.0, 49.0, 98.0), 0.71),
                    row("wall to the garage", (50.0, 190.0, 710.0), (109.0, 256.0, 600.0), 0.58),
                    row("return platform, in the garage", (9.0, 41.0, 180.0), (13.0, 43.0, 146.0), 0.34),
                    row("flue of the water heater", (36.0, 60.0, 99.0), (37.0, 60.0, 98.0), 0.0),
                ],
            },
            KnownGroup {
                title: "Fans as installed".into(),
                quantity: Quantity::AirFlow,
                usage: Usage::Usual,
                rows: vec![
                    row("air handler", (700.0, 950.0, 1290.0), (829.0, 884.0, 943.0), 0.95),
                    row("range hood", (140.0, 210.0, 320.0), (190.0, 221.0, 256.0), 0.87),
                    row("hall bath fan", (30.0, 50.0, 83.0), (40.0, 49.0, 59.0), 0.86),
                ],
            },
        ],
    }
}

fn plans() -> Plans {
    let held = PlanStatus::Held(vec![
        "combustion results missing after the failed spillage test of the water heater".into(),
    ]);
    let plan =
        |letter: &str, name: &str, changes: &[&str], price: (f64, f64, f64), if_released: f64, meets: f64| {
            Plan {
                letter: letter.into(),
                name: name.into(),
                changes: changes.iter().map(|c| (*c).to_owned()).collect(),
                price: money(price.0, price.1, price.2),
                status: held.clone(),
                best_frac: 0.0,
                if_released_frac: Some(if_released),
                targets_frac: meets,
                best: false,
            }
        };
    let ppm = |m, l, h| Number::computed(range("ppm", Quantity::GasFraction, m, l, h, 0.9));
    let usd = |m, l, h| Number::computed(range("USD", Quantity::Money, m, l, h, 0.9));
    let ach = |m, l, h| Number::computed(range("1/h", Quantity::AirChange, m, l, h, 0.9));
    let at_most = |value: f64, symbol: &str, quantity: Quantity| Limit {
        si: si(value, symbol, quantity),
        quantity,
        usage: Usage::Usual,
        at_most: true,
        source: "your target".into(),
        confirmed: true,
    };
    Plans {
        rule: "Best: meets both targets for the least yearly cost.".into(),
        list: vec![
            plan(
                "A",
                "Cut the garage off",
                &[
                    "seal the return platform and the wall to the garage",
                    "grille, 43 in², east bedroom to upper hall",
                    "sealed water heater",
                ],
                (3400.0, 2700.0, 4200.0),
                0.13,
                0.14,
            ),
            plan(
                "B",
                "A, seal, steady exhaust",
                &["all of A", "seal ceiling, floor, supply duct", "hall bath fan always on, 55 cfm"],
                (5450.0, 4500.0, 6600.0),
                0.1,
                0.15,
            ),
            plan(
                "C",
                "A, seal, balanced air",
                &["all of A", "seal ceiling, floor, supply duct", "recovery unit, 70 cfm, bedrooms first"],
                (7900.0, 6700.0, 9300.0),
                0.69,
                0.92,
            ),
            Plan {
                status: PlanStatus::Released(vec!["the bath fan is measured again after the work".into()]),
                best_frac: 0.84,
                if_released_frac: None,
                best: true,
                ..plan(
                    "D",
                    "Grille and fan only",
                    &["grille, 43 in², east bedroom to upper hall", "hall bath fan on at night, 55 cfm"],
                    (900.0, 700.0, 1200.0),
                    0.0,
                    0.05,
                )
            },
        ],
        as_found_frac: 0.16,
        none_meets_frac: 0.08,
        rest: Vec::new(),
        notes: Vec::new(),
        bad_days: Vec::new(),
        scores: vec![
            Score {
                name: "CO2 at night, east bedroom".into(),
                detail: "yearly mean of nights".into(),
                target: Some(at_most(1200.0, "ppm", Quantity::GasFraction)),
                as_found: Some(ppm(1720.0, 1574.0, 1836.0)),
                plans: vec![
                    ppm(1244.0, 1177.0, 1296.0),
                    ppm(1217.0, 1188.0, 1247.0),
                    ppm(781.0, 775.0, 786.0),
                    ppm(1305.0, 1248.0, 1377.0),
                ],
            },
            Score {
                name: "Garage air into the rooms".into(),
                detail: "yearly mean".into(),
                target: Some(at_most(15.0, "cfm", Quantity::AirFlow)),
                as_found: Some(cfm(31.0, 17.5, 58.0)),
                plans: vec![
                    cfm(9.6, 4.8, 18.7),
                    cfm(9.8, 4.9, 21.6),
                    cfm(8.1, 4.7, 16.6),
                    cfm(33.0, 18.0, 61.0),
                ],
            },
            Score {
                name: "Outdoor air".into(),
                detail: "yearly mean".into(),
                target: None,
                as_found: Some(cfm(115.0, 105.0, 131.0)),
                plans: vec![
                    cfm(102.0, 94.0, 113.0),
                    cfm(107.0, 103.0, 113.0),
                    cfm(146.0, 141.0, 153.0),
                    cfm(121.0, 110.0, 138.0),
                ],
            },
            Score {
                name: "Heat for that air, and fans".into(),
                detail: "a year".into(),
                target: None,
                as_found: Some(usd(650.0, 592.0, 738.0)),
                plans: vec![
                    usd(571.0, 524.0, 635.0),
                    usd(574.0, 551.0, 606.0),
                    usd(560.0, 536.0, 600.0),
                    Number::computed(Estimate::without(f64::NAN, Quantity::Money, NoInterval::NotComputed)),
                ],
            },
            Score {
                name: "Air-tightness".into(),
                detail: "ACH50".into(),
                target: None,
                as_found: Some(ach(9.13, 8.71, 9.56)),
                plans: vec![
                    ach(8.5, 8.0, 9.2),
                    ach(6.8, 6.3, 7.7),
                    ach(6.8, 6.3, 7.7),
                    ach(9.13, 8.71, 9.56),
                ],
            },
        ],
    }
}

fn instruments() -> Vec<Instrument> {
    vec![
        Instrument {
            name: "two-channel manometer".into(),
            serial: "2041-77".into(),
            calibrated: "2026-03-02".into(),
            accuracy: "1 % or 0.25 Pa".into(),
            basis: "raw difference, baseline not subtracted".into(),
        },
        Instrument {
            name: "fan with calibrated openings".into(),
            serial: "F-318".into(),
            calibrated: "2025-11-19".into(),
            accuracy: "3 %".into(),
            basis: "flow at 68 °F and sea level".into(),
        },
        Instrument {
            name: "CO detector, electrochemical".into(),
            serial: "88-120".into(),
            calibrated: "2026-09-14".into(),
            accuracy: "5 % or 3 ppm".into(),
            basis: "as shown, not air-free".into(),
        },
    ]
}

fn provenance() -> Provenance {
    Provenance {
        inputs_hash: "b3-5f0c1e9a77d24d1b86a1c3f09e2ab4d65b7fce11".into(),
        seed: "20261112".into(),
        engine_version: "0.1.0".into(),
        made: "2026-11-12 13:40".into(),
    }
}

pub(crate) fn house() -> HouseReport {
    HouseReport {
        photos: Vec::new(),
        left_out: Vec::new(),
        letterhead: None,
        tester: String::new(),
        title: "Linden house".into(),
        subtitle: "test-in visit, 12 November 2026, 9:10 to 11:55 · 50 °F outside, wind 7 mph".into(),
        stale: None,
        findings: None,
        care: None,
        safety: vec![SafetyLine {
            headline: "Water heater: stop before any sealing.".into(),
            found: "With all fans on, its flue gas came into the house for".into(),
            measured: Some(
                Number::measured(Estimate::without(72.0, Quantity::Time, NoInterval::TypedWithoutInstrument), "11:16").used_as(Usage::Seconds),
            ),
            limit: Some(Limit { si: 60.0, quantity: Quantity::Time, usage: Usage::Seconds, at_most: true, source: "older procedure".into(), confirmed: true }),
            who: "A licensed heating contractor has to see it first.".into(),
        }],
        complaints: vec![
            Complaint {
                words: "The east bedroom is stuffy by morning, and some evenings the hall smells of the garage.".into(),
                by: "two adults, since last winter".into(),
                statement: "CO2 in the east bedroom, 2:00 to 6:00 with the door shut, at most 1,200 ppm".into(),
                explanation: "With its door shut the heating blows more air into that room than the gap under the door lets out. The room is pushed above the hall, and little of its air is renewed.".into(),
                evidence: vec![
                    Evidence { label: "blown into the room".into(), number: cfm(79.0, 73.0, 86.0) },
                    Evidence { label: "out through the door gap".into(), number: cfm(24.0, 18.0, 34.0) },
                    Evidence { label: "bedroom minus hall".into(), number: Number::measured(Estimate::range(2.9, 2.3, 3.5, 0.9, Quantity::Pressure), "11:16").signed() },
                    Evidence { label: "garage air into the rooms, yearly mean".into(), number: cfm(31.0, 17.5, 58.0) },
                ],
            },
        ],
        tightness: Some(tightness()),
        house: Some(drawing()),
        ladder: Some(ladder()),
        tests: vec![test()],
        field: Vec::new(),
        known: Some(known()),
        residuals: vec![
            Residual { label: "crawl space minus outdoors, house at −50 Pa".into(), value: Number::measured(Estimate::range(-22.1, -22.4, -21.8, 0.9, Quantity::Pressure), "10:31").signed(), expected: Estimate::range(-11.3, -14.9, -7.8, 0.9, Quantity::Pressure), z: -4.9, suspect: true },
            Residual { label: "bedroom minus hall, air handler on".into(), value: Number::measured(Estimate::range(2.9, 2.3, 3.5, 0.9, Quantity::Pressure), "11:16").signed(), expected: Estimate::range(2.6, 2.1, 3.2, 0.9, Quantity::Pressure), z: 0.7, suspect: false },
            Residual { label: "range hood flow".into(), value: Number::measured(range("cfm", Quantity::AirFlow, 225.0, 214.0, 236.0, 0.9), "11:40"), expected: range("cfm", Quantity::AirFlow, 221.0, 190.0, 256.0, 0.9), z: 0.2, suspect: false },
        ],
        undetermined: vec![
            "How much garage air comes through the return platform and how much through the wall: the readings fix only their sum.".into(),
            "The flue of the water heater: no reading bears on it.".into(),
        ],
        beyond: vec!["The readings call for no passage beyond the drawing.".into()],
        answers: vec![],
        rooms: vec![],
        plans: Some(plans()),
        next: vec![
            NextReading { words: "Cover the return grille with the pan, read the flow".into(), gain_frac: 0.42, work_s: 720.0, ..NextReading::default() },
            NextReading { words: "Open the garage overhead door, read the flow again".into(), gain_frac: 0.10, work_s: 240.0, ..NextReading::default() },
            NextReading { words: "Repeat the crawl space pressure, hatch shut".into(), gain_frac: 0.003, work_s: 180.0, ..NextReading::default() },
        ],
        next_notes: Vec::new(),
        todo: vec![
            Todo { what: "Change the water heater".into(), place: "heater closet".into(), who: "licensed heating contractor".into(), price: Some(money(2250.0, 1900.0, 2600.0)), change: "no flue gas from it into the rooms".into(), goes_with: "nothing; comes first".into(), proof: "contractor’s record, then our worst-case test again".into() },
            Todo { what: "Cut off the garage".into(), place: "foot of the air handler, wall to the house".into(), who: "air-sealing or duct contractor".into(), price: Some(money(650.0, 500.0, 800.0)), change: "less smell and exhaust in the hall".into(), goes_with: "carbon monoxide alarm outside the bedrooms".into(), proof: "garage at least 47 Pa away from the house when the house is held at 50 Pa".into() },
            Todo { what: "Seal the ceiling, give the bedrooms air".into(), place: "attic floor, east bedroom wall".into(), who: "air-sealing and ventilation contractor".into(), price: Some(money(5000.0, 4300.0, 5900.0)), change: "fresh bedroom, fewer drafts".into(), goes_with: "new filter about every 5 months".into(), proof: "flow of each grille, one week of CO2 in the bedroom".into() },
        ],
        cautions: vec![
            "Radon was not measured. A long-term test kit answers it; sealing the floor may change it either way.".into(),
            "The house was built before 1978: paint may hold lead. Cutting into painted walls needs a certified firm.".into(),
        ],
        instruments: instruments(),
        provenance: provenance(),
    }
}

pub(crate) fn certificate() -> Certificate {
    let check = |name: &str, found: &str, wanted: &str, source: &str, state: CheckState| Check {
        name: name.into(),
        found: found.into(),
        wanted: wanted.into(),
        source: source.into(),
        state,
    };
    let fact = |label: &str, text: &str| Fact { label: label.into(), text: text.into() };
    Certificate {
        letterhead: Some(Letterhead {
            name: "Example Home Performance".into(),
            lines: vec!["12 Example Street, Sampleton".into(), "phone 555 0100".into()],
            logo: None,
        }),
        undecided: None,
        title: "Linden house".into(),
        tested: "12 November 2026, 9:10 to 9:55".into(),
        standard: "ASTM E779-19, depressurisation".into(),
        tightness: tightness(),
        stale: None,
        checks: vec![
            check(
                "height times temperature difference",
                "64 m K",
                "at most 200 m K",
                "sample limit",
                CheckState::Holds,
            ),
            check("stations", "7 used", "at least 5", "sample limit", CheckState::Holds),
            check(
                "baseline against the smallest station",
                "1.4 Pa of 12.0 Pa",
                "at most 10 %",
                "common practice",
                CheckState::Failed,
            ),
            check("flow exponent", "0.655", "0.5 to 1.0", "sample limit", CheckState::Holds),
            check("wind", "7 mph", "at most 4.5 mph", "sample limit", CheckState::Undecided),
        ],
        plots: vec![test()],
        building: vec![
            fact("volume", "15,000 ft³, with a tape"),
            fact("floor area", "1,850 ft²"),
            fact("height", "18 ft over grade"),
            fact("built", "1964"),
        ],
        weather: vec![
            fact("outside", "50 °F"),
            fact("inside", "69 °F"),
            fact("wind", "7 mph, west"),
            fact("pressure", "100.2 kPa"),
        ],
        preparation: vec![
            "Windows, outside doors and the attic hatch shut, inside doors open".into(),
            "Exhaust fans, dryer and range hood off, not sealed".into(),
            "Combustion appliances off; fireplace: none".into(),
            "Fan in the front door".into(),
        ],
        tester: vec![fact("tested by", "A. Tester"), fact("certificate", "none stated")],
        confirmed: vec![
            "Station 4: 905 cfm. Asked: does it go with the others? The tester confirmed it.".into(),
        ],
        instruments: instruments().into_iter().take(2).collect(),
        provenance: provenance(),
    }
}

fn head(title: &str) -> Head {
    let house = house();
    Head {
        letterhead: certificate().letterhead,
        title: title.into(),
        lead: "Linden house \u{b7} visited 12 November 2026".into(),
        stale: None,
        safety: house.safety,
        instruments: instruments(),
        tester: "Tested by R. Sample, field tester (invented).".into(),
        provenance: provenance(),
    }
}

pub(crate) fn owner() -> OwnerPage {
    let house = house();
    let computed = |text: &str| Said { text: text.into(), state: Some(State::Computed) };
    OwnerPage {
        head: head("Your house on one page"),
        complaints: vec![OwnerComplaint {
            words: house.complaints[0].words.clone(),
            says: vec![
                computed("With its door shut the heating blows 79 cfm into that room and 24 get out."),
                Said { text: "The room is pushed 2.9 Pa above the hall.".into(), state: Some(State::Measured { at: "11:16".into() }) },
            ],
        }],
        more_complaints: 1,
        house: house.house,
        todo: house.todo,
        waiting: vec!["Not yet: \u{201c}Seal the ceiling\u{201d}. First: a licensed heating contractor sees to the water heater.".into()],
        changes: vec![NowAfter {
            name: "garage air coming in".into(),
            now: cfm(32.0, 18.0, 59.0),
            after: Some(cfm(8.0, 4.5, 16.5)),
            goal: Some(Limit { si: si(20.0, "cfm", Quantity::AirFlow), quantity: Quantity::AirFlow, usage: Usage::Usual, at_most: true, source: "agreed".into(), confirmed: true }),
        }],
        tightness: Some(tightness()),
        tightness_note: "all the air changes while a test fan pulls hard.".into(),
        unknown: vec!["Radon was not measured.".into()],
        left_open: "Touched on the visit and not put back yet: bath fan. Your tester has to see to it.".into(),
        put_back: "Touched on the visit and put back as it was: opening that the test fan stood in.".into(),
        explained: vec!["cfm: cubic feet of air each minute.".into()],
        rest: "The rest stands in the full record.".into(),
    }
}

pub(crate) fn hand_off(released: bool) -> HandOff {
    let status = if released {
        HandOffStatus::Released(Box::new(Work {
            conditions: vec!["a qualified person tests spillage and CO again after the work".into()],
            price: Some(money(650.0, 500.0, 800.0)),
            hazards: vec!["water heater in heater closet burns fuel.".into()],
            stops: vec!["a carbon monoxide alarm sounds".into()],
            steps: vec![WorkStep {
                stage: "air barrier".into(),
                what: "seal the wall to the garage".into(),
                place: "garage".into(),
                marks: vec![MarkLine {
                    read: "pressure in garage against main floor, test fan at 50 Pa".into(),
                    before: pa(38.0, 35.0, 41.0),
                    after: pa(47.0, 45.5, 48.5),
                    stop: "it is +47.0 Pa or more".into(),
                    steers: true,
                }],
                materials: vec!["Sheet metal at the flue (common practice, no source).".into()],
            }],
            retest: vec!["The tester reads every number again.".into()],
            release: "00ff".into(),
            computed: true,
        }))
    } else {
        HandOffStatus::Held(vec![
            "water heater has no spillage result: a qualified person has to test it".into(),
        ])
    };
    HandOff { head: head("Work for the contractor"), plan: "Plan A: Cut off the garage".into(), status }
}

pub(crate) fn test_out() -> TestOutView {
    let row = |name: &str| OutRow {
        name: name.into(),
        before: cfm(32.0, 18.0, 59.0),
        promised: Some(cfm(8.0, 4.5, 16.5)),
        after: cfm(9.0, 5.0, 18.0),
        change: Some(cfm(-23.0, -52.0, -4.0).signed()),
        note: "the promise lies in the range".into(),
    };
    TestOutView {
        head: head("What the work came to"),
        intro: vec!["The work of plan A lies between two visits.".into()],
        complaints: vec![OutComplaint {
            words: "The hall smells of the garage.".into(),
            criterion: "To be reached: air from the garage at most 20 cfm (agreed).".into(),
            written: Written::Before,
            written_text: "Agreed 2026-11-12, before the result.".into(),
            before: cfm(32.0, 18.0, 59.0),
            after: cfm(9.0, 5.0, 18.0),
            change: cfm(-23.0, -52.0, -4.0).signed(),
            became: Became::Gone,
            said: "Gone: the whole range after the work keeps it.".into(),
        }],
        promised: vec![row("air from the garage")],
        tests: vec![OutTest {
            title: "envelope".into(),
            rows: vec![row("flow at 50 Pa")],
            differs: vec!["fireplace: shut before, open after".into()],
            notes: vec!["Same instruments.".into()],
            checks: Vec::new(),
        }],
        readings: vec![row("flow of bath fan")],
        setups: vec![["outdoors".into(), "50 \u{b0}F".into(), "41 \u{b0}F".into()]],
        instruments_before: instruments(),
        photos: Vec::new(),
    }
}
