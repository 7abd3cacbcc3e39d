//! The fit and the choice of the next reading against truths that are known: synthetic visits from
//! the fit's own priors, a case with a closed form, readings promised and then taken.
//!
//! Few repetitions with fixed seeds; `cargo test -p airwright-validate --bench fit` prints the large
//! tables.

mod order;

use engine::fit::observe::{Observation, Observations, Seen, SharedError, Station};
use engine::fit::problem::Problem;
use engine::fit::suspect::Slip;
use engine::fit::{Options, prior_draws, simulate, solve};
use engine::next::{Forbids, Moment, Next, Question, Reads, next};
use std::ops::ControlFlow;
use validate::fit_cases::{
    Case, FAMILIES, HOUSE, Making, VISIT, coverage, full_visit, further, hidden, house_with_sealed_ceiling,
    house_without_ducts, hunt, mean, misfit, moment, short_visit, timed, visit_without_fan,
};
use validate::rounds::Visit;

#[test]
fn intervals_cover_the_truth() {
    let case = Case::new(HOUSE, VISIT);
    assert!(case.seen.list.len() >= 20);
    let got = coverage(&case, 100, 7);
    for (name, tally) in FAMILIES.iter().zip(&got.families) {
        assert!((0.82..=0.97).contains(&tally.coverage()), "{name}: {tally:?}");
    }
    assert!((0.85..=0.95).contains(&got.pooled.coverage()), "{:?}", got.pooled);
    assert!(got.pooled.even() > 0.001, "{:?}", got.pooled);
    let good = got.pareto_k.iter().filter(|k| **k < 0.7).count();
    assert!(good >= 95, "{:?}", got.pareto_k);
    assert!(mean(&got.effective) > 150.0, "{:?}", got.effective);
    // As drawn, the sum of squares is what the degrees of freedom say.
    assert!(got.fits.iter().filter(|p| **p <= 0.01).count() <= 4, "{:?}", got.fits);
    assert!((0.4..=0.6).contains(&mean(&got.fits)), "{:?}", got.fits);
}

#[test]
fn a_large_passage_that_nobody_drew_shows_where_there_is_no_room_for_it() {
    let sealed = house_with_sealed_ceiling();
    let passage = hidden(["main", "attic"]);
    let said = |share| misfit(&sealed, &passage, share, 40, 11).iter().filter(|p| **p <= 0.01).count();
    let (none, large) = (said(0.0), said(0.4));
    assert!(none <= 2, "said not to fit though as drawn: {none} of 40");
    assert!(large >= 28, "said not to fit with 40 % of the total hidden: {large} of 40");
}

#[test]
fn a_passage_beside_a_drawn_one_cannot_be_told_from_it() {
    // Between the same rooms a hidden passage is part of the drawn leak, whose range has room for it:
    // the total must hold it, and no reading can say that there are two.
    let fits = misfit(HOUSE, &hidden(["main", "attic"]), 0.1, 20, 11);
    assert!(mean(&fits) > 0.3, "{fits:?}");
}

/// Three fans read by one hood, nothing else: the posterior has a closed form.
struct Hood {
    case: Case,
    gain_sd: f64,
    noise_sd: f64,
    read: [f64; 3],
}

fn hood() -> Hood {
    let text = "
format = 1
[zone.room]
kind = 'living'
volume = '100 m3'
floor_area = '40 m2'
floor = '0 m'
ceiling = '2.5 m'
[leak.walls]
between = ['room', 'outdoors']
at50 = '0.1 to 0.3 m3/s'
[fan.one]
from = 'room'
to = 'outdoors'
flow = '10 to 40 L/s'
[fan.two]
from = 'room'
to = 'outdoors'
flow = '20 to 60 L/s'
[fan.three]
from = 'room'
to = 'outdoors'
flow = '30 to 50 L/s'
";
    let mut case = Case::new(text, "format = 1\ndate = '2026-11-12'\n");
    let (gain_sd, noise_sd) = (0.08, 0.03);
    let read: [f64; 3] = [0.031_f64.ln(), 0.029_f64.ln(), 0.044_f64.ln()];
    let setup = engine::house::start(&case.house);
    case.seen = Observations {
        stations: vec![Station {
            visit: 0,
            setup,
            fan_zone: None,
            zone_k: vec![293.15],
            outdoor_k: 283.15,
            pressure_pa: 101_325.0,
        }],
        list: (0..3)
            .map(|fan| Observation {
                station: 0,
                seen: Seen::Fan(fan),
                value: read[fan],
                noise_sd,
                below: false,
                instrument: Some(0),
                span: engine::diag::Span::new("", 0..0),
            })
            .collect(),
        instruments: vec![SharedError { label: "hood".into(), gain_sd, offset_sd: 0.0 }],
        wind_sd_pa: vec![0.1],
        ..Observations::default()
    };
    Hood { case, gain_sd, noise_sd, read }
}

impl Hood {
    /// Prior mean and variance of a fan's theta, and its index.
    fn fan(&self, fan: usize) -> (usize, f64, f64) {
        let at = self.case.house.fans[fan].flow;
        let p = &self.case.house.params[at];
        (at, p.mean, p.sd * p.sd)
    }

    /// The most probable gain: the fans drop out by hand, the rest is one equation.
    fn gain(&self) -> f64 {
        let slope = |g: f64| {
            let pull: f64 = (0..3)
                .map(|i| {
                    let (_, mean, variance) = self.fan(i);
                    (self.read[i] - (1.0 + g).ln() - mean) / (variance + self.noise_sd.powi(2)) / (1.0 + g)
                })
                .sum();
            g / self.gain_sd.powi(2) - pull
        };
        let (mut lo, mut hi) = (-0.5, 0.5);
        for _ in 0..80 {
            let middle = 0.5 * (lo + hi);
            if slope(middle) > 0.0 { hi = middle } else { lo = middle }
        }
        0.5 * (lo + hi)
    }

    fn best(&self, fan: usize, gain: f64) -> f64 {
        let (_, mean, variance) = self.fan(fan);
        mean + variance / (variance + self.noise_sd.powi(2)) * (self.read[fan] - (1.0 + gain).ln() - mean)
    }

    /// Posterior variance of each fan with `ln(1 + g)` straightened to `g`: `S - S (S + N)^-1 S`, where
    /// N is the noise plus the common gain, inverted by Sherman and Morrison's formula.
    fn variance(&self, fan: usize) -> f64 {
        let own = |i: usize| self.fan(i).2 + self.noise_sd.powi(2);
        let sum: f64 = (0..3).map(|i| 1.0 / own(i)).sum();
        let common = 1.0 / (1.0 / self.gain_sd.powi(2) + sum);
        let inverse = 1.0 / own(fan) - common / own(fan).powi(2);
        let prior = self.fan(fan).2;
        prior - prior * prior * inverse
    }
}

#[test]
fn fans_under_one_hood_agree_with_the_closed_form() {
    let hood = hood();
    let mut problem = Problem::new(&hood.case.house, &hood.case.seen).unwrap();
    let optimum = solve::optimum(&mut problem, &mut |_| ControlFlow::Continue(())).unwrap();
    let gain = hood.gain();
    for fan in 0..3 {
        let at = problem.first_house + hood.fan(fan).0;
        let (got, want) = (optimum.x[at], hood.best(fan, gain));
        assert!((got - want).abs() < 1e-6, "fan {fan}: {got} {want}");
    }
    let options = Options { tries: 4000, draws: 4000, seed: 5, ..Options::default() };
    let (fit, _) = timed(&hood.case.house, &hood.case.seen, options);
    assert!(fit.effective_draws > 3900.0, "{}", fit.effective_draws);
    let sd = |p: usize| {
        let values: Vec<f64> = fit.draws.iter().map(|d| d[p]).collect();
        let middle = mean(&values);
        mean(&values.iter().map(|v| (v - middle).powi(2)).collect::<Vec<_>>()).sqrt()
    };
    for fan in 0..3 {
        let (got, want) = (sd(hood.fan(fan).0), hood.variance(fan).sqrt());
        assert!((got / want - 1.0).abs() < 0.05, "fan {fan}: {got} {want}");
    }
    // What nobody read keeps its prior.
    for leak in &hood.case.house.leaks {
        let want = hood.case.house.params[leak.at50].sd;
        let got = sd(leak.at50);
        assert!((got / want - 1.0).abs() < 0.05, "leak: {got} {want}");
    }
}

#[test]
fn without_readings_the_fit_is_the_prior() {
    let case = Case::new(HOUSE, "format = 1\ndate = '2026-11-12'\n");
    let (fit, _) =
        timed(&case.house, &case.seen, Options { tries: 1000, draws: 1000, seed: 3, ..Options::default() });
    assert_eq!(fit.readings_used, 0);
    for (p, param) in case.house.params.iter().enumerate() {
        let middle = mean(&fit.draws.iter().map(|d| d[p]).collect::<Vec<_>>());
        assert!((middle - param.mean).abs() < 0.15 * param.sd, "{}: {middle} {}", param.name, param.mean);
    }
    assert!(fit.known.iter().all(|k| k.from_readings < 0.15));
}

#[test]
fn a_reading_below_its_range_pulls_down_and_no_more() {
    let case = Case::new(HOUSE, VISIT);
    let fan = case.house.fans[0].flow;
    let theta = case.house.prior_mean();
    // The prior's middle is 42 cfm; the hood's limit of 30 cfm was not reached.
    let seen = simulate::readings(&case.house, &case.seen, &theta, 4).unwrap();
    let last = seen.list.last().unwrap();
    assert!(!last.below, "42 cfm does not show as less than 30 cfm");
    let mut low = theta.clone();
    low[fan] = 0.008_f64.ln();
    let seen = simulate::readings(&case.house, &case.seen, &low, 4).unwrap();
    let last = seen.list.last().unwrap();
    assert!(last.below && (last.value - case.seen.list.last().unwrap().value).abs() < 1e-12);
    let (fit, _) = timed(&case.house, &seen, Options::default());
    let flow = fit.known.iter().find(|k| k.name == "bath_fan").unwrap();
    let (lo, hi) = flow.posterior.bounds().unwrap();
    // 30 cfm is 0.01416 m3/s; the hood may err by 5 % and 2 cfm.
    assert!(hi < 0.0175 && lo < 0.010, "{lo} {hi}");
}

fn asked(question: Question, visit: &str) -> Next {
    let case = Case::new(house_without_ducts(), visit);
    let theta = &prior_draws(&case.house, 1, 42)[0];
    let seen = simulate::readings(&case.house, &case.seen, theta, 42).unwrap();
    let (fit, _) = timed(&case.house, &seen, Options::default());
    next(&case.house, &fit.draws, question, &moment(&case.house, &seen))
}

#[test]
fn what_is_asked_for_is_what_is_read() {
    let house = Case::new(house_without_ducts(), &short_visit()).house;
    let got = asked(Question::Total, &visit_without_fan());
    assert!(got.list.iter().all(|c| (0.0..=1.0).contains(&c.removes) && (0.0..=1.0).contains(&c.narrower)));
    assert_eq!(got.forbidden, 0);
    // The flow that holds -50 Pa is the total itself: nothing tells more a minute.
    let first = &got.list[0];
    assert!(first.reads == Reads::FanFlow && first.removes > 0.95, "{first:?}");
    let hood = got.list.iter().find(|c| matches!(c.reads, Reads::Exhaust { .. })).unwrap();
    assert!(hood.removes < 0.1, "{hood:?}");
    let crawl = house.zone("crawl").unwrap();
    let got = asked(Question::AirFrom { zone: crawl }, &short_visit());
    let first = &got.list[0];
    let about = first.reads == Reads::Tap { feels: crawl, compared_with: None }
        || first.toggled.is_some_and(|d| house.doors[d].text.name.value == "crawl_hatch");
    assert!(about, "{first:?}");
}

#[test]
fn a_question_that_was_read_is_worth_little_more() {
    let fresh = asked(Question::Total, &visit_without_fan());
    let read = asked(Question::Total, &short_visit());
    let best = |n: &Next| n.list.iter().map(|c| c.removes).fold(0.0, f64::max);
    assert!(best(&read) < best(&fresh), "{} {}", best(&read), best(&fresh));
}

#[test]
fn nothing_is_drawn_down_while_it_may_not_be() {
    let case = Case::new(HOUSE, VISIT);
    let draws = prior_draws(&case.house, 100, 9);
    let free = moment(&case.house, &case.seen);
    let held = Moment { forbids: vec![Forbids::Combustion], ..free.clone() };
    let (all, few) = (
        next(&case.house, &draws, Question::Total, &free),
        next(&case.house, &draws, Question::Total, &held),
    );
    assert!(few.forbidden > 0 && few.list.len() + few.forbidden >= all.list.len());
    for c in &few.list {
        assert!(!c.test_fan && !matches!(c.reads, Reads::Exhaust { .. }), "{c:?}");
        assert!(!(c.air_handler && c.toggled.is_some() && !c.toggled_open), "{c:?}");
    }
    assert!(all.list.iter().any(|c| c.test_fan));
}

#[test]
fn readings_remove_what_was_promised() {
    let house = Case::new(house_without_ducts(), &short_visit()).house;
    for further in further(&house).iter().filter(|f| f.tested) {
        let list = further.promises(20, 23);
        let expected = mean(&list.iter().map(|p| p.expected).collect::<Vec<_>>());
        let removed = mean(&list.iter().map(|p| p.removed).collect::<Vec<_>>());
        let ratio = expected / removed;
        // Means that are linear in the readings and their squares promise less than a bent model may
        // give, and twenty houses scatter. Followed over whole visits the two agree (docs/NEXT.md).
        assert!((0.4..=1.5).contains(&ratio), "{}: {expected} {removed}", further.name);
    }
}

#[test]
fn leverage_agrees_with_the_closed_form() {
    let hood = hood();
    let (fit, _) = timed(&hood.case.house, &hood.case.seen, Options::default());
    for fan in 0..3 {
        // Readings vary by prior, noise and the common gain; Sherman and Morrison's inverse.
        let own = |i: usize| hood.fan(i).2 + hood.noise_sd.powi(2);
        let sum: f64 = (0..3).map(|i| 1.0 / own(i)).sum();
        let common = 1.0 / (1.0 / hood.gain_sd.powi(2) + sum);
        let want = 1.0 - hood.noise_sd.powi(2) * (1.0 / own(fan) - common / own(fan).powi(2));
        let got = fit.readings[fan].decides.leverage;
        // ln(1 + g) is not quite straight.
        assert!((got - want).abs() < 0.02, "fan {fan}: {got} {want}");
        // Exhaust fans say nothing about leaks.
        assert!(fit.readings[fan].decides.of_total < 1e-9, "{:?}", fit.readings[fan]);
    }
}

/// The readings of a house as drawn, its parameters at their prior means.
fn plain_visit() -> (Case, Observations) {
    let case = Case::new(HOUSE, VISIT);
    let seen = simulate::readings(&case.house, &case.seen, &case.house.prior_mean(), 4).unwrap();
    (case, seen)
}

#[test]
fn the_wrong_reading_is_named_and_its_slip() {
    use engine::fit::suspect::Slip;
    let (case, seen) = plain_visit();
    let at = |is: &dyn Fn(&Observation) -> bool| seen.list.iter().rposition(is).unwrap();
    let pressure = at(&|o| matches!(o.seen, Seen::Pressure { .. }) && o.value < -5.0);
    let flow = at(&|o| matches!(o.seen, Seen::TestFan { .. }));
    let cases = [
        (pressure, -seen.list[pressure].value, Slip::Hoses),
        (pressure, seen.list[pressure].value / 249.089, Slip::InchesAsPascals),
        (flow, seen.list[flow].value + 2.118_88_f64.ln(), Slip::CfmAsLitres),
        (flow, seen.list[flow].value - 10.0_f64.ln(), Slip::TenTooSmall),
    ];
    for (reading, value, slip) in cases {
        let mut wrong = seen.clone();
        wrong.list[reading].value = value;
        let (fit, _) = timed(&case.house, &wrong, Options { tries: 40, draws: 20, ..Options::default() });
        let suspect = fit.suspect.unwrap();
        assert_eq!(suspect.reading, reading, "{slip:?}: {suspect:#?}");
        let explained: Vec<_> = suspect.tried.iter().filter(|t| t.explains).map(|t| &t.slip).collect();
        assert!(explained.contains(&&slip), "{slip:?}: {:#?}", suspect.tried);
    }
    // Without a slip nothing is explained away.
    let (fit, _) = timed(&case.house, &seen, Options { tries: 40, draws: 20, ..Options::default() });
    assert!(fit.suspect.unwrap().tried.iter().all(|t| !t.explains));
}

#[test]
fn a_door_that_stood_otherwise_explains() {
    use engine::fit::suspect::Slip;
    let case = Case::new(HOUSE, VISIT);
    let hatch = case.house.doors.iter().position(|d| d.text.name.value == "attic_hatch").unwrap();
    let mut there = case.seen.clone();
    let station = there.stations.iter().position(|s| s.setup.open[hatch]).unwrap();
    there.stations[station].setup.open[hatch] = false;
    let made = simulate::readings(&case.house, &there, &case.house.prior_mean(), 5).unwrap();
    let mut seen = case.seen.clone();
    for (to, from) in seen.list.iter_mut().zip(&made.list) {
        (to.value, to.below) = (from.value, from.below);
    }
    let (fit, _) = timed(&case.house, &seen, Options { tries: 40, draws: 20, ..Options::default() });
    let suspect = fit.suspect.unwrap();
    let named = suspect.tried.iter().any(|t| {
        t.explains && matches!(&t.slip, Slip::Door { door, open } if !open && *door == case.house.doors[hatch].text.label)
    });
    assert!(named, "{suspect:#?}");
}

#[test]
fn a_door_nobody_noted_is_told_by_the_readings() {
    let unnoted = VISIT.replacen("attic_hatch = 'open'", "attic_hatch = 'unknown'", 1);
    let (truth, asked) = (Case::new(HOUSE, VISIT), Case::new(HOUSE, &unnoted));
    let made = simulate::readings(&truth.house, &truth.seen, &truth.house.prior_mean(), 6).unwrap();
    let mut seen = asked.seen.clone();
    for (to, from) in seen.list.iter_mut().zip(&made.list) {
        (to.value, to.below) = (from.value, from.below);
    }
    let (fit, _) = timed(&asked.house, &seen, Options { tries: 80, draws: 40, ..Options::default() });
    assert_eq!(fit.doors.len(), 1, "{:?}", fit.doors);
    let door = &fit.doors[0];
    assert!(door.open_probability > 0.95 && !door.in_doubt && !door.ask, "{door:?}");
    assert_eq!(fit.draws.len(), 40);
    // Without a reading that feels it, both states stay, and the answer is asked for.
    let text = "format = 1\ndate = '2026-11-12'\n[instrument.hood]\nmeasures = 'air flow'\n\
                shows = 'flow at actual density'\n\
                accuracy = '5 % + 2 cfm'\n[[reading]]\nflow_of = 'bath_fan'\nvalue = '40 cfm'\n\
                with = 'hood'\nset = { bath_fan = 'on', attic_hatch = 'unknown' }\n";
    let blind = Case::new(HOUSE, text);
    let (fit, _) = timed(&blind.house, &blind.seen, Options { tries: 80, draws: 40, ..Options::default() });
    let door = &fit.doors[0];
    assert!((door.open_probability - 0.5).abs() < 1e-6 && door.in_doubt && door.ask, "{door:?}");
}

#[test]
fn a_robust_fit_bends_less_to_a_slip() {
    let (case, seen) = plain_visit();
    let flow = seen.list.iter().position(|o| matches!(o.seen, Seen::TestFan { .. })).unwrap();
    let mut wrong = seen.clone();
    wrong.list[flow].value += 2.118_88_f64.ln();
    let total = |seen: &Observations, robust| {
        let options =
            Options { tries: 80, draws: 80, robust, whole: false, set_right: false, ..Options::default() };
        timed(&case.house, seen, options).0
    };
    let right = total(&seen, false).total_at50.si.ln();
    let (plain, robust) = (total(&wrong, false), total(&wrong, true));
    let off = |f: &engine::fit::Fit| (f.total_at50.si.ln() - right).abs();
    assert!(off(&robust) < 0.5 * off(&plain) && off(&robust) < 0.03, "{} {}", off(&robust), off(&plain));
    assert!(robust.readings[flow].weight < 0.1, "{:?}", robust.readings[flow]);
}

#[test]
fn a_passage_that_is_not_there_is_seldom_reported() {
    for visit in [VISIT.to_owned(), full_visit()] {
        let got = hunt((HOUSE, &visit), ["main", "attic"], 0.0, Making::AsDrawn, 100, 31);
        let alarms = got.iter().filter(|h| h.unseen.found.is_some()).count();
        // 5 % allowed, and luck: 10 or more of 100 come 3 times in a hundred at 5 %.
        assert!(alarms <= 9, "{alarms} of 100");
    }
}

#[test]
fn a_large_passage_is_found_named_and_sized() {
    let sealed = house_with_sealed_ceiling();
    let got = hunt((&sealed, &full_visit()), ["main", "attic"], 0.4, Making::AsDrawn, 30, 11);
    let named = got.iter().filter(|h| h.among).count();
    assert!(named >= 24, "named in {named} of 30");
    let mut apart = Vec::new();
    for found in got.iter().filter(|h| h.named).filter_map(|h| h.unseen.found.as_ref()) {
        let confirm = found.confirm.as_ref().unwrap();
        apart.push((confirm.with_it_pa - confirm.without_it_pa).abs());
        let (lo, hi) = found.size.bounds().unwrap();
        assert!(lo > 0.0 && hi > lo && found.improvement > 4.0, "{found:?}");
    }
    // The reading that would confirm it can tell: by more than the gauge is stated to, 0.15 Pa, and
    // most by far more.
    apart.sort_by(f64::total_cmp);
    assert!(apart[0] > 0.15 && apart[apart.len() / 2] > 0.5, "{apart:?}");
}

#[test]
fn answers_are_given_before_and_after() {
    let (case, seen) = plain_visit();
    let (fit, _) = timed(&case.house, &seen, Options::default());
    assert!(fit.answers.len() >= 3, "{:?}", fit.answers);
    for a in &fit.answers {
        let (lo, hi) = a.posterior.bounds().unwrap();
        assert!(
            lo <= a.posterior.si && a.posterior.si <= hi && (0.0..=1.0).contains(&a.from_readings),
            "{a:?}"
        );
    }
    assert!(fit.answers.iter().any(|a| a.from_readings > 0.2), "{:?}", fit.answers);
}

#[test]
fn a_clear_slip_is_taken_back_and_named() {
    let (case, seen) = plain_visit();
    let options = |set_right| Options { tries: 80, draws: 80, whole: false, set_right, ..Options::default() };
    let plain = timed(&case.house, &seen, options(true)).0;
    assert!(plain.set_right.is_empty(), "{:?}", plain.set_right);
    let pressure =
        seen.list.iter().rposition(|o| matches!(o.seen, Seen::Pressure { .. }) && o.value < -5.0).unwrap();
    let flow = seen.list.iter().position(|o| matches!(o.seen, Seen::TestFan { .. })).unwrap();
    let inch = 249.089 * seen.list[pressure].value;
    for (at, value, slip) in [
        (pressure, -seen.list[pressure].value, Some(Slip::Hoses)),
        (pressure, inch, Some(Slip::PascalsAsInches)),
        (flow, seen.list[flow].value + 0.75, Some(Slip::CfmAsLitres)),
        (flow, seen.list[flow].value - std::f64::consts::LN_10, Some(Slip::TenTooSmall)),
        (flow, seen.list[flow].value + 0.4, None),
    ] {
        let mut wrong = seen.clone();
        wrong.list[at].value = value;
        let fit = timed(&case.house, &wrong, options(true)).0;
        assert_eq!(
            (fit.set_right.set_aside.as_slice(), fit.set_right.as_slip.as_slice()),
            (&[at][..], &[slip][..])
        );
        assert!(!fit.fits_as_drawn() && fit.set_right.doors.is_empty());
        let off = |f: &engine::fit::Fit| (f.total_at50.si / plain.total_at50.si).ln().abs();
        assert!(off(&fit) < 0.03, "{}", off(&fit));
    }
}

#[test]
fn a_hatch_that_stood_otherwise_is_turned_and_named() {
    let case = Case::new(HOUSE, VISIT);
    let hatch = case.house.doors.iter().position(|d| d.text.name.value == "attic_hatch").unwrap();
    let mut there = case.seen.clone();
    for s in &mut there.stations {
        s.setup.open[hatch] = false;
    }
    let made = simulate::readings(&case.house, &there, &case.house.prior_mean(), 5).unwrap();
    let mut noted = case.seen.clone();
    for (to, from) in noted.list.iter_mut().zip(&made.list) {
        (to.value, to.below) = (from.value, from.below);
    }
    let options = Options { tries: 80, draws: 80, whole: false, ..Options::default() };
    let fit = timed(&case.house, &noted, options).0;
    let turned: Vec<_> = fit.set_right.doors.iter().map(|d| (d.door.as_str(), d.open)).collect();
    assert_eq!(turned, [(case.house.doors[hatch].text.label.as_str(), false)], "{:?}", fit.set_right);
    assert!(!fit.fits_as_drawn());
}

#[test]
fn intervals_hold_in_houses_of_another_making() {
    let (drawn, other) = validate::fit_coverage::both(&Visit::once(), 40, 5);
    let [a, b] = [&drawn, &other].map(|all| validate::fit_coverage::covered(all));
    assert!((85.0..=95.0).contains(&a), "{a}");
    assert!((78.0..=97.0).contains(&b), "{b}");
}

/// What is wrong in a house of another making whose readings were all taken twice, and what the fit takes back: readings,
/// and doors with the first station.
type Wrong = (Vec<usize>, Vec<(String, usize)>);
fn wrong_and_taken_back(house: u64) -> (Wrong, Wrong) {
    let visit = Visit::twice();
    let case = Case::new(HOUSE, &visit.text);
    let made = validate::truth_other::make(&case, (HOUSE, &visit), true, 41, house).unwrap();
    let options = Options { tries: 20, further: false, draws: 10, ..Options::default() };
    let go = &mut |_| ControlFlow::Continue(());
    let back = engine::fit::fit(&case.house, &made.seen, options, go).unwrap().set_right;
    let label = |door: usize| case.house.doors[door].text.label.clone();
    let mut wrong: Wrong = (made.slips, made.doors.iter().map(|(door, at)| (label(*door), *at)).collect());
    let doors = back.doors.iter().map(|d| (d.door.clone(), d.stations.0));
    let mut found: Wrong = (back.set_aside, doors.collect());
    for list in [&mut wrong.1, &mut found.1] {
        list.sort_unstable();
    }
    found.0.sort_unstable();
    (wrong, found)
}

/// A hatch that stood open through a fan test and another that was not shut again explain everything together, and next
/// to nothing each alone: nearer at hand were four readings set aside.
#[test]
fn two_doors_that_only_together_explain_the_readings_are_found() {
    let (wrong, found) = wrong_and_taken_back(55);
    assert!(wrong.0.is_empty() && wrong.1.len() == 2, "{wrong:?}");
    assert_eq!(found, wrong);
}

/// Two readings of a tenth and two doors: each hides the others.
#[test]
fn four_mistakes_at_once_are_found() {
    let (wrong, found) = wrong_and_taken_back(46);
    assert_eq!((wrong.0.len(), wrong.1.len()), (2, 2), "{wrong:?}");
    assert_eq!(found, wrong);
}

#[test]
fn seven_mistakes_at_once_are_found() {
    let (wrong, found) = wrong_and_taken_back(9);
    assert_eq!((wrong.0.len(), wrong.1.len()), (4, 3), "{wrong:?}");
    assert_eq!(found.0, wrong.0);
    assert!(wrong.1.iter().all(|door| found.1.contains(door)), "{found:?}");
}
