//! Each effect against each result.

use super::*;
use crate::doc::plans::{Machine, Sealing, SurfaceOf, When};
use crate::doc::{File, Sink, Sp};

fn house(appliance: &str) -> House {
    let text = format!(
        "format = 1\n[zone.main]\nkind='living'\nvolume='300 m3'\nfloor_area='120 m2'\nfloor='0 m'\nceiling='2.5 m'\n\
         [leak.walls]\nbetween=['main','outdoors']\nat50='200 to 900 cfm'\n[fan.bath]\nfrom='main'\nto='outdoors'\nflow='50 cfm'\n\
         [fan.fresh]\nfrom='outdoors'\nto='main'\nflow='50 cfm'\n{appliance}"
    );
    let sink = Sink::default();
    let doc = crate::doc::house::read(&File { name: "house.toml".into(), text }, &sink);
    let house = crate::house::build(&doc, &sink);
    assert!(!sink.borrow().has_errors(), "{:?}", sink.borrow());
    house
}

const HEATER: &str =
    "[appliance.heater]\nzone='main'\ndraft='natural'\nflue_area='10 to 14 in2'\nflue_top='6 m'\n";

fn spot(text: &str) -> Sp<String> {
    Sp { value: text.into(), span: crate::diag::Span::new("plans.toml", 0..1) }
}

/// One change of every kind and of every way it can be felt, with what the flue feels of it.
fn changes() -> Vec<(Change, Option<Effect>)> {
    use Effect::{AddsExhaust, ChangesDoorsOrReturns, ChangesDuctBalance, Encloses, Tightens};
    let main = || spot("main");
    let wall = || SurfaceOf::Between([main(), spot("outdoors")]);
    let filter = |merv, drop_pa| Change::Filter {
        what: None,
        pm25: 0.5,
        merv,
        drop_pa,
        loading: 1.0,
        at_grille: None,
    };
    let fan = |fan: &str, runs: &[(f64, f64)]| Change::RunFan { fan: spot(fan), runs_s: runs.to_vec() };
    let speed = |what: &str, to| Change::Speed { what: spot(what), to };
    let glass = |surface| Change::Glazing {
        surface,
        u_w_m2_k: 1.5,
        area_m2: None,
        shgc: None,
        zone: None,
        face: None,
    };
    let day = [(0.0, 86_400.0)];
    let balanced = Change::Balanced {
        to: main(),
        from: main(),
        flow_m3_s: 0.03,
        exhaust_m3_s: 0.03,
        power_w: 40.0,
        recovery: 0.7,
        moisture: 0.0,
        pm25: 0.0,
        when: When::Always,
    };
    // 900 cfm into an unchanged shell.
    let hood = Change::Hood { zone: main(), flow_m3_s: 0.425, power_w: 300.0, capture: None, runs_s: vec![] };
    let humidifier =
        crate::doc::house::Humidifier { zone: main(), capacity_kg_s: 1e-4, set_point_rh: 0.4, steam: false };
    let drier = crate::doc::house::Dehumidifier {
        zone: main(),
        capacity_kg_s: 1e-4,
        efficiency_kg_j: 5e-7,
        set_point_rh: 0.5,
    };
    let set_points = Change::SetPoints {
        heat_k: Some(292.0),
        cool_k: None,
        heat_back_k: None,
        cool_back_k: None,
        hours_s: vec![],
    };
    vec![
        (Change::Seal { what: vec![spot("walls")], how: Sealing::Removes((0.3, 0.5)) }, Some(Tightens)),
        (Change::SealDucts { removes: (0.5, 0.8) }, Some(ChangesDuctBalance)),
        (Change::Transfer { between: [main(), main()], area_m2: 0.03 }, Some(ChangesDoorsOrReturns)),
        (Change::CloseOpening { what: spot("grille") }, Some(Encloses)),
        (
            Change::Exhaust { from: main(), flow_m3_s: 0.03, power_w: 10.0, when: When::Always },
            Some(AddsExhaust),
        ),
        (hood, Some(AddsExhaust)),
        (Change::Supply { to: main(), flow_m3_s: 0.02, power_w: 10.0, pm25: 0.0, when: When::Always }, None),
        (balanced, Some(AddsExhaust)),
        (Change::Intake { flow_m3_s: 0.03, share: 0.3 }, Some(ChangesDuctBalance)),
        (filter(None, None), None),
        (filter(Some(8), None), None),
        (filter(Some(13), None), Some(ChangesDuctBalance)),
        (filter(None, Some(60.0)), Some(ChangesDuctBalance)),
        (Change::Cleaner { zone: main(), cadr_m3_s: 0.05, power_w: 30.0, when: When::Always }, None),
        (Change::Mixing { share: 0.3 }, Some(ChangesDuctBalance)),
        (Change::Dehumidify(drier), None),
        (Change::Humidify(humidifier), None),
        (Change::Remove { machine: Machine::Humidifier, zone: main() }, None),
        (speed("air_handler", 0.8), Some(ChangesDuctBalance)),
        (speed("bath", 1.5), Some(AddsExhaust)),
        (speed("bath", 0.5), None),
        (speed("fresh", 0.5), Some(Encloses)),
        (speed("fresh", 1.5), None),
        (fan("bath", &day), Some(AddsExhaust)),
        (fan("bath", &[]), None),
        (fan("fresh", &[]), Some(Encloses)),
        (fan("fresh", &day), None),
        (set_points, None),
        (Change::Door { door: spot("d"), open_at_night: true }, Some(ChangesDoorsOrReturns)),
        (Change::Insulate { surface: wall(), adds_m2_k_w: 2.0, area_m2: None }, Some(Tightens)),
        (
            Change::Insulate {
                surface: SurfaceOf::Between([spot("attic"), spot("outdoors")]),
                adds_m2_k_w: 2.0,
                area_m2: None,
            },
            None,
        ),
        (glass(wall()), Some(Tightens)),
        (Change::Shade { zone: main(), face: None, cuts: 0.5 }, None),
        (Change::GroundCover { zone: main(), cover: 0.9 }, None),
        (Change::CloseCrawl { zone: main(), removes: (0.8, 0.9), cover: 0.9 }, Some(Encloses)),
        (Change::Drain { zone: main(), cuts: 0.5 }, None),
        (Change::VentDryer { zone: main(), flow_m3_s: 0.05 }, Some(AddsExhaust)),
        (Change::CutSource { what: spot("cooking"), cuts: 0.5 }, None),
        (Change::Replace { appliance: spot("heater"), by: Some(Draft::Natural) }, None),
    ]
}

#[test]
fn every_change_is_judged_by_what_a_flue_feels() {
    let house = house(HEATER);
    for (change, felt) in changes() {
        assert_eq!(effect(&change, &house), felt, "{change:?}");
    }
}

#[test]
fn rules_that_may_run_more_exhaust_are_felt() {
    let house = house(HEATER);
    let index = |name: &str| house.fans.iter().position(|f| f.text.name.value == name).unwrap();
    let of = |runs, more| rule_effect(runs, more, &house);
    assert_eq!(of(Runs::Fan(index("bath")), true), Some(Effect::AddsExhaust));
    assert_eq!(of(Runs::Fan(index("bath")), false), None);
    assert_eq!(of(Runs::Fan(index("fresh")), false), Some(Effect::Encloses));
    assert_eq!(of(Runs::Fan(99), false), Some(Effect::AddsExhaust));
    assert_eq!(of(Runs::Exhaust, true), Some(Effect::AddsExhaust));
    assert_eq!(of(Runs::Supply, false), Some(Effect::Encloses));
    assert_eq!(of(Runs::Balanced, false), Some(Effect::AddsExhaust));
    assert_eq!(of(Runs::Handler, true), Some(Effect::ChangesDuctBalance));
    assert_eq!(of(Runs::Opening, false), Some(Effect::ChangesDoorsOrReturns));
    assert_eq!(of(Runs::Nothing, true), None);
}

const OUTCOMES: [Option<Outcome>; 5] = [
    None,
    Some(Outcome::Within),
    Some(Outcome::Beyond),
    Some(Outcome::LimitNotConfirmed),
    Some(Outcome::BasisDiffers),
];

/// Every record that a visit can leave.
fn records() -> Vec<Record> {
    let mut all = Vec::new();
    for spillage in OUTCOMES {
        for flue_co in OUTCOMES {
            all.extend((0..64).map(|flags| Record {
                inspected: flags & 1 == 1,
                fuel_present: flags & 2 == 2,
                signed_off: flags & 4 == 4,
                stopped: flags & 8 == 8,
                unnamed: flags & 16 == 16,
                repeat_owed: flags & 32 == 32,
                findings: vec![Finding { appliance: 0, spillage, flue_co }],
            }));
        }
    }
    all
}

/// Whether something felt may be released.
fn may(record: &Record) -> bool {
    let fine = |o: Option<Outcome>| o == Some(Outcome::Within) || (o.is_none() && record.signed_off);
    let finding = &record.findings[0];
    record.inspected
        && record.fuel_present
        && !record.stopped
        && !record.unnamed
        && !record.repeat_owed
        && fine(finding.spillage)
        && fine(finding.flue_co)
}

/// Every change alone, every pair, every triple, and all of them, against every record: no path
/// releases a change that an open appliance feels unless both results are there and within
/// confirmed limits, or missing and signed off.
#[test]
fn no_path_releases_a_held_change() {
    let house = house(HEATER);
    let all = changes();
    let n = all.len();
    let mut sets: Vec<Vec<usize>> = vec![vec![], (0..n).collect()];
    for a in 0..n {
        sets.push(vec![a]);
        for b in a + 1..n {
            sets.push(vec![a, b]);
            sets.extend((b + 1..n).map(|c| vec![a, b, c]));
        }
    }
    let records = records();
    let mut released = 0;
    for (k, set) in sets.iter().enumerate() {
        let felt = set.iter().any(|i| all[*i].1.is_some());
        let list: Vec<Change> = set.iter().map(|i| all[*i].0.clone()).collect();
        // Triples meet every seventh record, each set others.
        let step = if set.len() == 3 { 7 } else { 1 };
        for record in records.iter().skip(k % step).step_by(step) {
            let free = judge(&list, &house, Some(record)).is_released();
            assert_eq!(free, !felt || may(record), "{list:?} {record:?}");
            released += usize::from(free && felt);
        }
        assert_eq!(judge(&list, &house, None).is_released(), !felt);
    }
    assert!(released > 0);
}

/// Every set of effects, as changes and rules can have them, against every record.
#[test]
fn no_set_of_effects_goes_round() {
    use Effect::{AddsExhaust, ChangesDoorsOrReturns, ChangesDuctBalance, Encloses, Tightens};
    let house = house(HEATER);
    let all = [Tightens, AddsExhaust, ChangesDuctBalance, ChangesDoorsOrReturns, Encloses];
    for pick in 0..1_usize << all.len() {
        let set: Vec<Effect> = (0..all.len()).filter(|i| pick >> i & 1 == 1).map(|i| all[i]).collect();
        for record in records() {
            let free = judge_effects(&set, &[], &house, Some(&record)).is_released();
            assert_eq!(free, set.is_empty() || may(&record), "{set:?} {record:?}");
        }
        assert_eq!(judge_effects(&set, &[], &house, None).is_released(), set.is_empty());
    }
}

#[test]
fn a_changed_reading_withdraws_a_release() {
    let house = house(HEATER);
    let list = vec![changes()[0].0.clone()];
    let record = records().into_iter().find(|r| may(r) && !r.signed_off).unwrap();
    let scope = work_scope("p", &list, &house, Some(&record)).unwrap();
    assert_eq!(scope.clone().recheck(&list, &house, Some(&record)).as_ref(), Ok(&scope));
    // A result that is still within its limit, but another record.
    let signed = Record { signed_off: true, ..record.clone() };
    let changed = Err(vec![Reason::Changed]);
    assert_eq!(scope.clone().recheck(&list, &house, Some(&signed)), changed);
    // Another house, another plan.
    let mut wider = house.clone();
    wider.text.zones[0].ceiling_m += 0.1;
    assert_eq!(scope.clone().recheck(&list, &wider, Some(&record)), changed);
    let more = vec![list[0].clone(), changes()[4].0.clone()];
    assert_eq!(scope.clone().recheck(&more, &house, Some(&record)), changed);
    // A failed result, and no result.
    let finding = Finding { spillage: Some(Outcome::Beyond), ..record.findings[0].clone() };
    let failed = Record { findings: vec![finding], ..record };
    let reasons = scope.clone().recheck(&list, &house, Some(&failed)).unwrap_err();
    assert!(matches!(reasons[..], [Reason::SpillageFailed { .. }]), "{reasons:?}");
    assert_eq!(scope.recheck(&list, &house, None), Err(vec![Reason::NotInspected]));
}

fn list() -> Vec<Change> {
    changes().into_iter().map(|c| c.0).collect()
}

#[test]
fn an_all_electric_house_passes_by_recorded_inspection_only() {
    let house = house("");
    let none = Record {
        inspected: true,
        fuel_present: false,
        findings: vec![],
        signed_off: false,
        stopped: false,
        repeat_owed: false,
        unnamed: false,
    };
    assert!(judge(&list(), &house, Some(&none)).is_released());
    assert!(!judge(&list(), &house, None).is_released());
    let nobody = Record { inspected: false, ..none };
    assert!(!judge(&list(), &house, Some(&nobody)).is_released());
}

#[test]
fn replacing_the_appliance_by_a_sealed_or_electric_one_comes_first() {
    let house = house(HEATER);
    let record = Record {
        inspected: true,
        fuel_present: true,
        findings: vec![],
        signed_off: false,
        stopped: false,
        repeat_owed: false,
        unnamed: false,
    };
    for by in [None, Some(Draft::Sealed)] {
        let set = vec![
            Change::Seal { what: vec![spot("walls")], how: Sealing::Removes((0.3, 0.5)) },
            Change::Replace { appliance: spot("heater"), by },
        ];
        let Gate::Released { conditions } = judge(&set, &house, Some(&record)) else {
            panic!("held");
        };
        assert!(matches!(conditions.first(), Some(Condition::ReplaceFirst { .. })));
    }
}

#[test]
fn air_free_and_as_measured_are_never_compared() {
    let house = house(HEATER);
    let text = "format = 1\ndate='2026-01-10'\n[combustion]\nfuel='present'\nlooked_by='T'\nlooked_where='closet'\n\
        [[combustion.spillage]]\nappliance='heater'\nspilled_for='20 s'\nlimit='60 s'\nlimit_confirmed=true\n\
        [[combustion.flue_co]]\nappliance='heater'\nvalue='40 ppm'\nbasis='as measured'\nlimit='200 ppm'\n\
        limit_basis='air-free'\nlimit_confirmed=true\n";
    let sink = Sink::default();
    let visit =
        crate::doc::visit::read(&File { name: "visits/x/visit.toml".into(), text: text.into() }, &sink);
    assert!(!sink.borrow().has_errors(), "{:?}", sink.borrow());
    let record = record(&house, &visit.combustion.unwrap());
    let Gate::Held { reasons } = judge(&list(), &house, Some(&record)) else { panic!("released") };
    assert_eq!(reasons, [Reason::BasisDiffers { appliance: "heater".into() }]);
}

#[test]
fn a_sign_off_never_covers_a_result_that_was_mistyped() {
    let house = house(HEATER);
    let released = |result: &str| {
        let text = format!(
            "format = 1\ndate='2026-01-10'\n[combustion]\nfuel='present'\nlooked_by='T'\nlooked_where='closet'\n\
             {result}[combustion.sign_off]\nwho='L'\nlicence='1'\nwhat='closet'\n"
        );
        let file = File { name: "visits/x/visit.toml".into(), text };
        let visit = crate::doc::visit::read(&file, &Sink::default());
        judge(&list(), &house, Some(&record(&house, &visit.combustion.unwrap()))).is_released()
    };
    assert!(released(""));
    // Spilled for 200 s: a unit forgotten, an appliance misspelt.
    assert!(!released("[[combustion.spillage]]\nappliance='heater'\nspilled_for=200\nlimit='60 s'\n"));
    assert!(!released("[[combustion.spillage]]\nappliance='heatr'\nspilled_for='200 s'\nlimit='60 s'\n"));
}
