//! How often a passage that nobody drew is found, and how often one is found that is not there.
//! `cargo test -p airwright-validate --bench unseen`; the number of houses is the first argument.
#![expect(
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "a bench prints; it stops where its own house cannot be made"
)]

use engine::fit::{Options, simulate};
use validate::fit_cases::{
    HOUSE, Hunt, Making, VISIT, full_visit, house_with_sealed_ceiling, hunt, large_case, long_visit, mean,
    timed,
};

fn main() {
    let houses: usize = std::env::args().filter_map(|a| a.parse().ok()).next().unwrap_or(40);
    speed();
    let sealed = house_with_sealed_ceiling();
    let visits =
        [("usual visit", VISIT.to_owned()), ("both directions", long_visit()), ("full visit", full_visit())];
    let (full, usual) = (&visits[2], &visits[0]);
    let pairs = [
        ("sealed ceiling", sealed.as_str(), ["main", "attic"]),
        ("house", HOUSE, ["bedroom", "crawl"]),
        ("house", HOUSE, ["attic", "crawl"]),
        ("house", HOUSE, ["main", "attic"]),
    ];
    for (kind, house, pair) in pairs {
        for (making, (title, visit)) in [
            (Making::AsDrawn, full),
            (Making::Other, usual),
            (Making::Other, full),
            (Making::AsDrawn, usual),
            (Making::AsDrawn, &visits[1]),
        ] {
            for share in [0.0, 0.1, 0.2, 0.4] {
                let got = hunt((house, visit), pair, share, making, houses, 11);
                let ends = format!("{} to {}", pair[0], pair[1]);
                line(&format!("{making:?}, {title}, {kind}, {ends}, {:.0} %", 100.0 * share), &got);
            }
        }
    }
    for (title, visit) in &visits {
        for (kind, house) in [("house", HOUSE), ("sealed ceiling", sealed.as_str())] {
            let got = hunt((house, visit), ["main", "attic"], 0.0, Making::AsDrawn, 3 * houses, 31);
            line(&format!("{title}, {kind}, as drawn"), &got);
        }
    }
}

/// The fit alone and with everything beyond it, as drawn and with one reading wrong (every slip is
/// tried then).
fn speed() {
    let case = large_case();
    let theta = case.house.prior_mean();
    let seen = simulate::readings(&case.house, &case.seen, &theta, 1).unwrap();
    let mut wrong = seen.clone();
    let last = wrong.list.len() - 1;
    wrong.list[last].value += 0.75;
    for (name, seen) in [("as drawn", &seen), ("one slip", &wrong)] {
        let plain = timed(&case.house, seen, Options { whole: false, ..Options::default() }).1;
        let (fit, whole) = timed(&case.house, seen, Options::default());
        let unseen = fit.unseen.unwrap();
        println!(
            "{} zones, {} readings, {} parameters, {name}: fit {:.0} ms, with all beyond {:.0} ms more; {} candidates, p {:.3}, {} slips tried",
            case.house.zones.len(),
            seen.list.len(),
            theta.len(),
            1e3 * plain,
            1e3 * (whole - plain),
            unseen.candidates,
            unseen.probability,
            fit.suspect.map_or(0, |s| s.tried.len())
        );
    }
}

fn line(title: &str, got: &[Hunt]) {
    let count = |is: &dyn Fn(&Hunt) -> bool| got.iter().filter(|h| is(h)).count();
    let at = |level: f64| count(&|h: &Hunt| h.unseen.probability <= level);
    println!(
        "{title}: alarm {} named {} among {} misfit {} of {}; p <= 0.01, 0.05, 0.1: {} {} {}; {} candidates, {:.0} ms",
        count(&|h| h.unseen.found.is_some()),
        count(&|h| h.named),
        count(&|h| h.among),
        count(&|h| h.fits <= 0.01),
        got.len(),
        at(0.01),
        at(0.05),
        at(0.1),
        got.first().map_or(0, |h| h.unseen.candidates),
        1e3 * mean(&got.iter().map(|h| h.seconds).collect::<Vec<_>>())
    );
}
