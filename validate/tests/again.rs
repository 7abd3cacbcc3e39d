//! What the fit asks to be taken again, held to what a mistake does when the house is fitted to it, and
//! readings that a passage bends, which are no mistakes.

use engine::fit::again::Why;
use engine::fit::observe::{Observations, Seen};
use engine::fit::{Fit, Options, fit, simulate};
use std::ops::ControlFlow;
use validate::fit_cases::{Case, HOUSE, VISIT};
use validate::rounds::Visit;
use validate::truth_other;

fn fitted(case: &Case, seen: &Observations, set_right: bool) -> Fit {
    let options = Options { tries: 20, further: false, draws: 10, set_right, ..Options::default() };
    fit(&case.house, seen, options, &mut |_| ControlFlow::Continue(())).unwrap()
}

fn made(case: &Case, seed: u64) -> Observations {
    simulate::readings(&case.house, &case.seen, &case.house.prior_mean(), seed).unwrap()
}

#[test]
fn what_no_other_reading_checks_is_asked_for_and_what_others_check_is_not() {
    let case = Case::new(HOUSE, VISIT);
    let seen = made(&case, 5);
    let again = fitted(&case, &seen, true).again;
    let asked: Vec<usize> =
        again.iter().filter(|a| a.why == Why::Unchecked).flat_map(|a| a.readings.clone()).collect();
    assert!(again.iter().all(|a| a.why != Why::TakenBack) && !asked.is_empty(), "{again:?}");
    // Every flow is tried with litres for cubic feet: what is asked for hides it, and a point of the fan test does not.
    let test = seen.stations.len() - 4;
    let (mut hidden, mut shown) = (0, 0);
    for (at, o) in seen.list.iter().enumerate() {
        if matches!(o.seen, Seen::Pressure { .. }) || o.below {
            continue;
        }
        let mut wrong = seen.clone();
        wrong.list[at].value -= 2.118_88_f64.ln();
        let off = fitted(&case, &wrong, false).readings[at].z.abs();
        if asked.contains(&at) {
            hidden += 1;
            assert!(off < 4.0, "reading {at}: {off}");
        } else if o.station < test {
            shown += 1;
            assert!(off > 3.0, "reading {at}: {off}");
        }
    }
    assert!(hidden >= 1 && shown == 8, "{hidden} {shown}");
}

/// Through the fan test the bedroom's door is noted as open; the readings are as good with it shut, and then much else
/// lies elsewhere.
#[test]
fn a_door_of_which_the_readings_tell_nothing_is_to_be_looked_at() {
    let case = Case::new(HOUSE, VISIT);
    let seen = made(&case, 3);
    let again = fitted(&case, &seen, true).again;
    let looks: Vec<(usize, &str, bool)> =
        again.iter().flat_map(|a| a.doors.iter().map(|l| (a.station, l.door.as_str(), l.open))).collect();
    let [(station, "bedroom door", true)] = looks[..] else { panic!("{again:?}") };
    assert!(
        again.iter().any(|a| a.why == Why::Doubt && a.moves.as_ref().is_some_and(|m| m.by_sd > 1.0)),
        "{again:?}"
    );
    let door = case.house.doors.iter().position(|d| d.text.label == "bedroom door").unwrap();
    let mut shut = seen.clone();
    for s in shut.stations.iter_mut().filter(|s| s.setup.open[door] && s.fan_zone.is_some()) {
        s.setup.open[door] = false;
    }
    assert!(!shut.stations[station].setup.open[door]);
    let [open, shut] = [&seen, &shut].map(|seen| fitted(&case, seen, false));
    assert!((open.chi_square - shut.chi_square).abs() < 4.0, "{} {}", open.chi_square, shut.chi_square);
}

/// Four slips, a door, and a passage from the attic to the crawl space that nobody drew: three more readings were set
/// aside for its sake.
#[test]
fn a_passage_is_found_beside_slips_and_none_is_set_aside_for_its_sake() {
    let visit = Visit::rich();
    let case = Case::new(HOUSE, &visit.text);
    let made = truth_other::make(&case, (HOUSE, &visit), true, 41, 16).unwrap();
    let hidden = made.hidden.as_ref().unwrap();
    assert_eq!((hidden.pair, made.slips.len(), made.doors.len()), (["attic", "crawl"], 4, 1));
    let found = fitted(&case, &made.seen, true);
    assert_eq!(found.set_right.set_aside, made.slips);
    assert!(found.set_right.as_slip.iter().all(Option::is_some), "{:?}", found.set_right);
    assert_eq!(found.set_right.doors.len(), 1);
    let way = found.unseen.and_then(|u| u.found).map(|f| f.way.between);
    assert_eq!(way, Some(["attic".to_owned(), "crawl".to_owned()]));
}
