use super::*;

fn gauge(absolute: f64) -> GaugeError {
    let accuracy = Some(Accuracy { relative: 0.0, absolute, larger: false });
    GaugeError { accuracy, resolution_pa: 0.0, wandered_pa: 0.0 }
}

fn readings(hz: f64, zo: f64, ho: f64, flow: Option<f64>) -> Readings {
    Readings {
        house_zone_pa: Some(hz),
        zone_outdoors_pa: Some(zo),
        house_outdoors_pa: Some(ho),
        flow_m3_s: flow,
    }
}

fn asked(as_found: Readings, opened: Vec<Opened>, gauge: GaugeError) -> Asked {
    Asked {
        test: "attic".into(),
        as_found,
        baseline: Readings::default(),
        opened,
        exponent: (0.65, 0.0),
        gauge,
        flow_accuracy: None,
        flow_repeats: None,
        house_at50: None,
        density_kg_m3: 1.2041,
        limit: None,
    }
}

fn codes(said: &[Diagnostic]) -> Vec<&'static str> {
    said.iter().map(|d| d.code.0).collect()
}

#[test]
fn a_tap_typed_a_tenth_is_named() {
    let (result, said) = evaluate(&asked(readings(4.2, 8.0, 50.0, None), vec![], gauge(0.5)));
    assert_eq!(codes(&said), ["Z102"]);
    assert_eq!(result.unwrap().closure.unwrap().suspect, Some(Suspect::HouseZone));
}

#[test]
fn house_to_outdoors_is_named_where_the_other_states_held_another_pressure() {
    let hole = Opened {
        barrier: Barrier::HouseZone,
        hole: Some(Hole::At50 { flow_m3_s: (0.3, 0.0), exponent: 0.65 }),
        readings: readings(19.0, 31.0, 50.0, None),
    };
    let (result, said) = evaluate(&asked(readings(42.0, 8.0, 45.0, None), vec![hole], gauge(0.5)));
    assert_eq!(codes(&said), ["Z102"]);
    assert_eq!(result.unwrap().closure.unwrap().suspect, Some(Suspect::HouseOutdoors));
}

#[test]
fn signs_that_contradict_are_said_and_real_ones_refused() {
    let (result, said) = evaluate(&asked(readings(-42.0, 8.0, -50.0, None), vec![], gauge(0.5)));
    assert_eq!(codes(&said), ["Z104"]);
    assert!((result.unwrap().house_zone.si - 42.0).abs() < 1e-9);
    // The zone stands above outdoors while the house is drawn down: something blows into it.
    let (none, said) = evaluate(&asked(readings(-55.0, 5.0, -50.0, None), vec![], gauge(0.5)));
    assert!(none.is_none());
    assert_eq!(codes(&said), ["Z105"]);
}

#[test]
fn a_ratio_at_the_edge_does_not_tell() {
    let (result, _) = evaluate(&asked(readings(49.7, 0.3, 50.0, None), vec![], gauge(0.5)));
    let result = result.unwrap();
    assert_eq!(result.ratio_tells, Telling::TooWide);
    // The reading's error reaches zero: the ratio has no upper end, and none is made up.
    assert_eq!(result.ratio.bounds(), None);
    let (result, _) = evaluate(&asked(readings(25.0, 25.0, 50.0, None), vec![], gauge(0.5)));
    assert_eq!(result.unwrap().ratio_tells, Telling::Tells);
}

#[test]
fn the_exponent_moves_the_ratio_and_not_an_even_one() {
    let with = |hz: f64, half: f64| {
        let mut a = asked(readings(hz, 50.0 - hz, 50.0, None), vec![], gauge(0.01));
        a.exponent.1 = half;
        let (lo, hi) = evaluate(&a).0.unwrap().ratio.bounds().unwrap();
        hi / lo
    };
    assert!(with(45.0, 0.1) > 1.3 * with(45.0, 0.0));
}

/// One more hole of 1000 cfm50 in the inner barrier of the published case Z-2.
fn door(moved: bool) -> Opened {
    let after = match moved {
        true => readings(18.9, 31.1, 50.0, Some(1.612)),
        false => readings(42.1, 7.9, 50.0, Some(1.417)),
    };
    Opened { barrier: Barrier::HouseZone, hole: None, readings: after }
}

#[test]
fn a_door_that_hardly_moves_the_zone_does_not_tell() {
    let found = readings(42.2, 7.8, 50.0, Some(1.416));
    let mut a = asked(found, vec![door(false), door(true)], gauge(0.5));
    a.flow_accuracy = Some(Accuracy { relative: 0.01, absolute: 0.0, larger: false });
    let (result, said) = evaluate(&a);
    assert!(said.is_empty(), "{said:?}");
    let methods = result.unwrap().methods;
    assert_eq!(methods[0].tells, Telling::NotMoved);
    assert_eq!(methods[1].tells, Telling::Tells);
    assert!(methods[0].through.bounds().is_none());
}

#[test]
fn an_opening_in_the_other_barrier_is_refused() {
    let mut wrong = door(true);
    wrong.barrier = Barrier::ZoneOutdoors;
    let mut a = asked(readings(42.2, 7.8, 50.0, Some(1.416)), vec![wrong], gauge(0.5));
    a.flow_accuracy = Some(Accuracy { relative: 0.01, absolute: 0.0, larger: false });
    let (result, said) = evaluate(&a);
    assert_eq!(codes(&said), ["Z106"]);
    assert!(result.unwrap().methods.is_empty());
}

#[test]
fn one_pressure_is_not_enough() {
    let alone = Readings { house_zone_pa: Some(40.0), ..Readings::default() };
    let (none, said) = evaluate(&asked(alone, vec![], gauge(0.5)));
    assert!(none.is_none());
    assert_eq!(codes(&said), ["Z101"]);
}

/// Simulated readings of a known zone: how often the stated interval holds the truth.
#[test]
fn the_interval_of_a_hole_holds_the_truth() {
    let mut rng = crate::rng::Stream::new(7, "zone");
    let (mut held, mut told) = (0, 0);
    for _ in 0..400 {
        let (inner, outer) = (0.2 + 0.3 * rng.uniform(), 0.3 + 0.6 * rng.uniform());
        let hole = 0.3;
        // Pressures of the zone by bisection on continuity, exponent 0.65 for all.
        let split = |extra: f64| {
            let (mut lo, mut hi) = (0.0, 50.0);
            for _ in 0..60 {
                let hz = 0.5 * (lo + hi);
                let balance = (inner + extra) * pow(hz, 0.65) - outer * pow(50.0 - hz, 0.65);
                if balance > 0.0 { hi = hz } else { lo = hz }
            }
            lo
        };
        let mut read = |hz: f64| {
            let mut noise = || 0.25 / 1.96 * rng.normal();
            readings(hz + noise(), 50.0 - hz + noise(), 50.0 + noise(), None)
        };
        let (first, second) = (read(split(0.0)), read(split(hole)));
        let size = Some(Hole::At50 { flow_m3_s: (hole, 0.0), exponent: 0.65 });
        let opened = Opened { barrier: Barrier::HouseZone, hole: size, readings: second };
        let (result, _) = evaluate(&asked(first, vec![opened], gauge(0.25)));
        let Some(method) = result.and_then(|r| r.methods.into_iter().next()) else { continue };
        if method.tells != Telling::Tells {
            continue;
        }
        told += 1;
        let (lo, hi) = method.house_zone.bounds().unwrap();
        held += i32::from(lo <= inner && inner <= hi);
    }
    let share = f64::from(held) / f64::from(told);
    assert!(told > 200, "{told}");
    assert!((0.92..=0.985).contains(&share), "{share} of {told}");
}
