//! The account of the fit's coverage: 90 % intervals of houses whose truth is known, made in two
//! ways that know nothing of each other ([`crate::truth_drawn`], [`crate::truth_other`]); how often
//! the program says that the readings do not fit; what the readings could have told at best.

use crate::fit_cases::{Case, HOUSE, hidden};
use crate::rounds::{Visit, only};
use crate::{truth_drawn, truth_other};
use engine::fit::observe::Observations;
use engine::fit::problem::Problem;
use engine::fit::scene::{Scene, owner_label, picture};
use engine::fit::{Fit, LEVEL, Options, fit, solve, total_at50_m3_s};
use engine::house::air::Air;
use engine::house::{House, ParamKind};
use engine::math;
use engine::measure::{Estimate, chi_square_above, normal_below};
use engine::rng::Stream;
use engine::units::Quantity;
use nalgebra::DVector;
use std::fmt::Write;
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicU64, Ordering};

/// A house with a known truth and the readings of a visit.
pub struct Made {
    /// The house as it is.
    pub house: House,
    /// Its numbers.
    pub theta: Vec<f64>,
    /// What was written down.
    pub seen: Observations,
    /// The same with every door as it stood and without the readings that are slips.
    pub told: Observations,
    /// The stations of the visit's text at which readings were taken.
    pub stations: Vec<usize>,
    /// The passage that nobody drew.
    pub hidden: Option<Hidden>,
    /// Readings wrong by a slip, by index.
    pub slips: Vec<usize>,
    /// Doors recorded wrongly, each with the first station of the stretch.
    pub doors: Vec<(usize, usize)>,
}

/// A passage that is in the truth and not in the drawing.
pub struct Hidden {
    /// Its ends.
    pub pair: [&'static str; 2],
    /// What it passes of the total flow at 50 Pa.
    pub share: f64,
    /// Its parameter in the true house.
    pub size: usize,
    /// The drawn leak between the same ends, of which it is then a part.
    pub beside: Option<usize>,
}

/// Families of quantities.
const FAMILIES: [&str; 5] = [
    "leaks at 50 Pa, ln",
    "door gaps, ln",
    "total at 50 Pa, ln",
    "room pressure, Pa",
    "air from the crawl space, kg/s",
];

/// What is asked of a house: family and value. Names and order are those of the house as drawn.
fn quantities(drawn: &House, house: &House, air: &mut Air, theta: &[f64]) -> Option<Vec<(usize, f64)>> {
    let mut all = Vec::new();
    for p in &drawn.params {
        let family = match p.kind {
            ParamKind::LeakAt50 => 0,
            ParamKind::Gap => 1,
            _ => continue,
        };
        let at = house.params.iter().position(|q| q.name == p.name && q.kind == p.kind)?;
        all.push((family, theta[at]));
    }
    all.push((2, math::ln(total_at50_m3_s(house, air, theta))));
    let one = picture(house, &Scene::cold_evening(house, 101_325.0), &[theta.to_vec()]).ok()?;
    all.push((3, one.rungs[house.zone("bedroom")?].middle.si));
    let crawl = house.zone("crawl");
    let up = one
        .streams
        .iter()
        .filter(|s| s.from == crawl && s.to.is_some_and(|z| house.zones[z].kind.is_indoors()));
    // Supply registers bring house air past the crawl space; they are not its air.
    all.push((4, up.filter(|s| !owner_label(house, s.owner).contains("supply")).map(|s| s.flow.si).sum()));
    Some(all)
}

/// Hits, scores and ranks of one family.
#[derive(Clone, Debug, Default)]
struct Tally {
    inside: usize,
    count: usize,
    score: f64,
    bins: [usize; 10],
}

impl Tally {
    fn take(&mut self, truth: f64, mut draws: Vec<f64>, stream: &mut Stream) {
        draws.retain(|d| d.is_finite());
        draws.sort_by(f64::total_cmp);
        let Some((lo, hi)) = Estimate::from_sorted_draws(&draws, LEVEL, Quantity::Number).bounds() else {
            return;
        };
        self.count += 1;
        self.inside += usize::from(lo <= truth && truth <= hi);
        let miss = (lo - truth).max(truth - hi).max(0.0);
        self.score += hi - lo + 2.0 / (1.0 - LEVEL) * miss;
        let below = draws.iter().filter(|d| **d < truth).count() as f64;
        // Where the truth stands between two draws is drawn too, so that ranks are even.
        let place = (below + stream.uniform()) / (draws.len() + 1) as f64;
        self.bins[((place * 10.0) as usize).min(9)] += 1;
    }

    fn join(&mut self, other: &Tally) {
        self.inside += other.inside;
        self.count += other.count;
        self.score += other.score;
        for (to, from) in self.bins.iter_mut().zip(other.bins) {
            *to += from;
        }
    }

    fn coverage(&self) -> f64 {
        100.0 * self.inside as f64 / self.count as f64
    }

    fn mean_score(&self) -> f64 {
        self.score / self.count as f64
    }

    /// Probability of ranks as uneven as these, were they independent and uniform.
    fn even(&self) -> f64 {
        let expected = self.count as f64 / 10.0;
        let chi: f64 = self.bins.iter().map(|b| (*b as f64 - expected).powi(2) / expected).sum();
        chi_square_above(chi, 9.0)
    }
}

/// What became of one house.
#[derive(Clone, Debug)]
pub struct One {
    tallies: Vec<Tally>,
    /// The same, every reading and door taken as noted.
    noted: Vec<Tally>,
    /// The same, had the fit been told which readings and doors are wrong.
    told: Vec<Tally>,
    /// The same, had somebody drawn the passage too.
    drawn: Vec<Tally>,
    pareto_k: f64,
    /// Readings taken.
    readings: usize,
    said: Said,
    /// What was wrong, and what the fit took back, in words.
    account: String,
}

/// What the program said of the readings of one house.
#[derive(Clone, Debug)]
struct Said {
    /// They do not fit the house as drawn.
    says: bool,
    misfit: bool,
    passage: bool,
    taken_back: bool,
    /// Share of the passage, whether it runs beside a drawn leak, power of the best test.
    hidden: Option<(f64, bool, f64)>,
    slips: usize,
    doors: usize,
}

impl Said {
    fn new(case: &Case, visit: &Visit, made: &Made, fit: &Fit) -> Said {
        let misfit = fit.fits_probability <= 0.01;
        let passage = fit.unseen.as_ref().is_some_and(|u| u.found.is_some());
        let hidden = made
            .hidden
            .as_ref()
            .and_then(|h| Some((h.share, h.beside.is_some(), could_tell(case, visit, made)?)));
        Said {
            says: !fit.fits_as_drawn() || passage,
            misfit,
            passage,
            taken_back: !fit.set_right.is_empty(),
            hidden,
            slips: made.slips.len(),
            doors: made.doors.len(),
        }
    }

    fn clean(&self) -> bool {
        self.slips + self.doors == 0
    }
}

/// The true answers to what is asked of a house.
fn asked(case: &Case, made: &Made) -> Option<Vec<(usize, f64)>> {
    answered(case, made, &made.house, &mut Air::new(&made.house).ok()?, &made.theta)
}

/// The answers of a house as drawn, or of one with the passage in it.
fn answered(
    case: &Case,
    made: &Made,
    house: &House,
    air: &mut Air,
    theta: &[f64],
) -> Option<Vec<(usize, f64)>> {
    let mut right = quantities(&case.house, house, air, theta)?;
    let size = house.params.iter().position(|p| p.name == "hidden" && p.kind == ParamKind::LeakAt50);
    if let Some((size, leak)) = size.and_then(|size| Some((size, made.hidden.as_ref()?.beside?))) {
        // What lies between the same ends as a drawn leak is part of it.
        let name = &case.house.leaks[leak].name;
        let leaks = case.house.params.iter().filter(|p| p.kind == ParamKind::LeakAt50);
        let at = leaks.clone().position(|p| p.name == *name)?;
        let q = right.iter_mut().filter(|q| q.0 == 0).nth(at)?;
        q.1 = math::ln(math::exp(q.1) + math::exp(theta[size]));
    }
    Some(right)
}

/// Looks at one house.
fn look(case: &Case, visit: &Visit, made: &Made, seed: u64) -> Option<One> {
    let mut stream = Stream::new(seed, "ranks");
    let right = asked(case, made)?;
    let mut tallied = |house: &House, fit: &Fit| {
        let mut tallies = vec![Tally::default(); FAMILIES.len()];
        let mut air = Air::new(house).ok()?;
        let draws: Option<Vec<_>> =
            fit.draws.iter().map(|d| answered(case, made, house, &mut air, d)).collect();
        let draws = draws?;
        for (i, (family, value)) in right.iter().enumerate() {
            tallies[*family].take(*value, draws.iter().map(|d| d[i].1).collect(), &mut stream);
        }
        Some(tallies)
    };
    let go = &mut |_| ControlFlow::Continue(());
    let plain = fit(&case.house, &made.seen, Options { seed, ..Options::default() }, go).ok()?;
    let options = Options { seed, set_right: false, whole: false, further: false, ..Options::default() };
    let noted = fit(&case.house, &made.seen, options, go).ok()?;
    let said = Said::new(case, visit, made, &plain);
    let told = if said.clean() {
        tallied(&case.house, &noted)?
    } else {
        tallied(&case.house, &fit(&case.house, &made.told, options, go).ok()?)?
    };
    let drawn = match &made.hidden {
        None => told.clone(),
        Some(h) => {
            let mut real = with_passage(h, visit, made);
            real.seen.list.clone_from(&made.told.list);
            for (to, from) in real.seen.stations.iter_mut().zip(&made.told.stations) {
                to.setup.open.clone_from(&from.setup.open);
            }
            tallied(&real.house, &fit(&real.house, &real.seen, options, go).ok()?)?
        }
    };
    let account = accounted(case, made, &plain);
    Some(One {
        tallies: tallied(&case.house, &plain)?,
        noted: tallied(&case.house, &noted)?,
        told,
        drawn,
        pareto_k: plain.pareto_k,
        readings: made.seen.list.len(),
        said,
        account,
    })
}

/// What was wrong with a visit, and what the fit took back.
fn accounted(case: &Case, made: &Made, fit: &Fit) -> String {
    let reading = |at: usize| {
        let o = &made.seen.list[at];
        format!("{at} at {} {:?} = {:.3}", o.station, o.seen, o.value)
    };
    let door = |(door, at): &(usize, usize)| format!("{} from {at}", case.house.doors[*door].text.name.value);
    let slips: Vec<String> = made.slips.iter().map(|at| reading(*at)).collect();
    let doors: Vec<String> = made.doors.iter().map(door).collect();
    let back = &fit.set_right;
    let hidden = made.hidden.as_ref().map(|h| format!("{:?} {:.2}", h.pair, h.share)).unwrap_or_default();
    format!(
        "  wrong: {slips:?} {doors:?} {hidden}\n  taken back: {:?} {:?} expected {:?} {:?} factor {:.2} p {:.4} k {:.2}\n",
        back.set_aside.iter().map(|at| reading(*at)).collect::<Vec<_>>(),
        back.as_slip,
        back.expected,
        back.doors,
        back.noise_factor,
        fit.fits_probability,
        fit.pareto_k,
    )
}

/// The houses of other making that score worst after a visit, with what was wrong in them.
pub fn worst(visit: &Visit, houses: u64, seed: u64) -> String {
    let (drawn, other) = both(visit, houses, seed);
    let base = joined(drawn.iter().map(|o| &o.tallies));
    let mut list: Vec<(f64, f64, usize, &One)> = (other.iter().enumerate())
        .map(|(at, o)| (ratio(&o.tallies, &base), ratio(&o.told, &base), at, o))
        .collect();
    list.sort_by(|a, b| b.0.total_cmp(&a.0));
    let [found, told, with_passage] = [
        joined(other.iter().map(|o| &o.tallies)),
        joined(other.iter().map(|o| &o.told)),
        joined(other.iter().map(|o| &o.drawn)),
    ];
    let without: f64 = list.iter().skip(list.len() / 50).map(|l| l.0).sum();
    let passages: Vec<&Said> =
        (other.iter().map(|o| &o.said)).filter(|s| s.hidden.is_some_and(|h| h.0 > 0.1)).collect();
    let says = |all: &[&Said]| (all.iter().filter(|s| s.says).count(), all.len());
    let clean: Vec<&Said> = passages.iter().copied().filter(|s| s.clean()).collect();
    let ((said, of), (said_clean, clean)) = (says(&passages), says(&clean));
    let mut out = format!(
        "{} houses of each making, as drawn {:.1} % covered; other making {:.1} %, score ratio {:.2} (half of the houses below {:.2}, \
         mean without the worst fiftieth {:.2}), told {:.2}, the passage drawn too {:.2}\n\
         passages of more than 10 %: says so in {said} of {of}, with nothing else wrong in {said_clean} of {clean}\n",
        other.len(),
        pooled(&base).coverage(),
        pooled(&found).coverage(),
        ratio(&found, &base),
        list.get(list.len() / 2).map_or(f64::NAN, |l| l.0),
        without / (list.len() - list.len() / 50) as f64,
        ratio(&told, &base),
        ratio(&with_passage, &base),
    );
    for (score, told, at, one) in list.into_iter().take(WORST) {
        let _ = write!(
            out,
            "house {at}: score ratio {score:.2}, told {told:.2}, the passage drawn too {:.2}\n{}",
            ratio(&one.drawn, &base),
            one.account
        );
    }
    out
}

/// One house of other making after a visit: what was wrong, what the fit took back, and each reading as it was written,
/// as the instrument showed it, and as the fit expects it that finds what is wrong and one that is told. Flows stand as logarithms.
pub fn single(visit: &Visit, at: u64, seed: u64) -> Option<String> {
    let case = Case::new(HOUSE, &visit.text);
    let made = truth_other::make(&case, (HOUSE, visit), true, seed, at)?;
    let made = visit.taken(&case.house, made, seed + at)?;
    let fitted = |seen: &Observations, set_right: bool| {
        let options = Options { seed: seed + at, set_right, ..Options::default() };
        fit(&case.house, seen, options, &mut |_| ControlFlow::Continue(())).ok()
    };
    let (found, told) = (fitted(&made.seen, true)?, fitted(&made.told, false)?);
    let mut out = accounted(&case, &made, &found);
    for (i, o) in made.seen.list.iter().enumerate() {
        let open = &made.told.stations[o.station].setup.open;
        let shown = made.told.list[i].value;
        let (f, t) = (found.readings[i].expected.si, told.readings[i].expected.si);
        let _ = writeln!(
            out,
            "  {i:3} at {:2} {open:?} {:?}: {:9.3} {shown:9.3} | {f:9.3} {t:9.3}",
            o.station, o.seen, o.value
        );
    }
    let right = asked(&case, &made)?;
    let mut air = Air::new(&case.house).ok()?;
    let mut ends = |fit: &Fit, i: usize| {
        let values =
            fit.draws.iter().filter_map(|d| Some(quantities(&case.house, &case.house, &mut air, d)?[i].1));
        let mut values: Vec<f64> = values.collect();
        values.sort_by(f64::total_cmp);
        Estimate::from_sorted_draws(&values, LEVEL, Quantity::Number).bounds()
    };
    for (i, (family, truth)) in right.iter().enumerate() {
        let (f, t) = (ends(&found, i), ends(&told, i));
        let _ = writeln!(out, "  {}: {truth:.3}; found {f:.3?}, told {t:.3?}", FAMILIES[*family]);
    }
    Some(out)
}

/// The house with the passage drawn, and the stations at which readings were taken.
fn with_passage(h: &Hidden, visit: &Visit, made: &Made) -> Case {
    let mut real = Case::new(&format!("{HOUSE}{}", hidden(h.pair)), &visit.text);
    real.seen = only(&real.seen, &made.stations);
    real
}

/// How many of the worst are listed.
const WORST: usize = 12;

/// Power of the best one-sided test at a false-alarm rate of 5 % that is told where the passage runs:
/// no search can do better, and a search that has to look everywhere does worse.
fn could_tell(case: &Case, visit: &Visit, made: &Made) -> Option<f64> {
    const NO_SIZE: f64 = 1e-7;
    let h = made.hidden.as_ref()?;
    let go = &mut |_| ControlFlow::Continue(());
    let mut problem = Problem::new(&case.house, &made.seen).ok()?;
    let optimum = solve::optimum(&mut problem, go).ok()?;
    let first = problem.first_house;
    // The drawn house's parameters under the true one's names, the passage with next to no size.
    let Case { house: open, mut seen } = with_passage(h, visit, made);
    seen.list.clone_from(&made.seen.list);
    let mut x = optimum.x[..first].to_vec();
    let size = open.params.iter().position(|p| p.name == "hidden" && p.kind == ParamKind::LeakAt50)?;
    x.extend(open.params.iter().enumerate().map(|(at, p)| {
        let same = case.house.params.iter().position(|q| q.name == p.name && q.kind == p.kind);
        match same {
            Some(i) => optimum.x[first + i],
            None if at == size => math::ln(NO_SIZE),
            None => p.mean,
        }
    }));
    let mut with = Problem::new(&open, &seen).ok()?;
    let mut rows = Vec::new();
    with.rows(&x, true, &mut rows).ok()?;
    let b = DVector::from_iterator(rows.len(), rows.iter().map(|r| r.slope[first + size] / NO_SIZE));
    let g = optimum.spread.l().solve_lower_triangular(&b)?;
    Some(normal_below(g.norm() * math::exp(made.theta[h.size]) - 1.644_854))
}

/// Something of each of `houses` houses as drawn and of other making, on all processors.
fn of_each<T: Send>(houses: u64, one: impl Fn(bool, u64) -> Option<T> + Sync) -> (Vec<T>, Vec<T>) {
    let next = AtomicU64::new(0);
    let work = || {
        let mut done = Vec::new();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            if at >= 2 * houses {
                return done;
            }
            done.push((at, one(at % 2 == 1, at / 2)));
        }
    };
    let threads = std::thread::available_parallelism().map_or(2, usize::from);
    let mut all: Vec<(u64, Option<T>)> = std::thread::scope(|s| {
        let running: Vec<_> = (0..threads).map(|_| s.spawn(work)).collect();
        running.into_iter().flat_map(|r| r.join().unwrap_or_default()).collect()
    });
    all.sort_by_key(|(at, _)| *at);
    let (mut drawn, mut other) = (Vec::new(), Vec::new());
    for (at, one) in all {
        if at % 2 == 1 { &mut other } else { &mut drawn }.extend(one);
    }
    (drawn, other)
}

/// Both makings of `houses` houses after a visit.
pub fn both(visit: &Visit, houses: u64, seed: u64) -> (Vec<One>, Vec<One>) {
    let case = Case::new(HOUSE, &visit.text);
    of_each(houses, |other, at| {
        let made = if other {
            truth_other::make(&case, (HOUSE, visit), true, seed, at)
        } else {
            truth_drawn::make(&case, seed, at)
        };
        look(&case, visit, &visit.taken(&case.house, made?, seed + at)?, seed + at)
    })
}

/// What the program says after the visit that one asks for where something is not drawn
/// ([`Visit::rich`]): houses as drawn, and of other making with every reading and door right. Next to
/// no draws are made: nothing of this comes from them.
fn after_rich_visit(houses: u64, seed: u64) -> (Vec<Said>, Vec<Said>) {
    let visit = &Visit::rich();
    let case = Case::new(HOUSE, &visit.text);
    of_each(houses, |other, at| {
        let made = if other {
            truth_other::make(&case, (HOUSE, visit), false, seed, at)?
        } else {
            truth_drawn::make(&case, seed, at)?
        };
        let options = Options { seed: seed + at, tries: 20, further: false, draws: 10, ..Options::default() };
        let fit = fit(&case.house, &made.seen, options, &mut |_| ControlFlow::Continue(())).ok()?;
        Some(Said::new(&case, visit, &made, &fit))
    })
}

/// Per cent of all truths inside their intervals.
pub fn covered(all: &[One]) -> f64 {
    pooled(&joined(all.iter().map(|o| &o.tallies))).coverage()
}

fn joined<'a>(all: impl Iterator<Item = &'a Vec<Tally>>) -> Vec<Tally> {
    let mut sum = vec![Tally::default(); FAMILIES.len()];
    for tallies in all {
        for (to, from) in sum.iter_mut().zip(tallies) {
            to.join(from);
        }
    }
    sum
}

fn pooled(tallies: &[Tally]) -> Tally {
    let mut sum = Tally::default();
    for t in tallies {
        sum.join(t);
    }
    sum
}

/// Mean over the families of the ratio of scores.
fn ratio(of: &[Tally], to: &[Tally]) -> f64 {
    of.iter().zip(to).map(|(a, b)| a.mean_score() / b.mean_score()).sum::<f64>() / of.len() as f64
}

/// Headline of the part of `docs/COVERAGE.md`.
pub const TITLE: &str = "# Coverage of the fit\n";

/// A visit, by its name in the tables, and what became of the houses as drawn and of other making.
struct After {
    name: &'static str,
    drawn: Vec<One>,
    other: Vec<One>,
}

/// The part of `docs/COVERAGE.md`.
pub fn account(houses: u64, seed: u64) -> String {
    let after = |name, visit: Visit, houses| {
        let (drawn, other) = both(&visit, houses, seed);
        After { name, drawn, other }
    };
    let (drawn, other) = both(&Visit::once(), houses, seed);
    let more = [
        after("checked visit", Visit::checked(), houses),
        after("rich visit", Visit::rich(), (houses / 5).min(RICH)),
    ];
    let rich = after_rich_visit((houses / 2).min(RICH_RIGHT), seed);
    render((&drawn, &other), &more, &rich, houses, seed)
}

/// Most houses of each making after the rich visit, which takes longest ...
const RICH: u64 = 60;
/// ... and where nothing is wrong.
const RICH_RIGHT: u64 = 200;

fn render(
    (drawn, other): (&[One], &[One]),
    more: &[After],
    rich: &(Vec<Said>, Vec<Said>),
    houses: u64,
    seed: u64,
) -> String {
    let mut out = String::new();
    let _ = write!(
        out,
        "{TITLE}\n\
         How often the fit's 90 % intervals hold the truth of invented houses; {houses} houses of each making, seed {seed}.\n\
         Written by `cargo run -p airwright-validate -- fit-coverage`; the numbers are printed as they fall.\n\n\
         * As drawn (`validate/src/truth_drawn.rs`): the truth is drawn from the fit's own priors.\n\
         * Other making (`validate/src/truth_other.rs`): leakage half a standard deviation off, each leak an exponent of its own, gusts on every face, one door in twenty not as recorded, one reading in fifty wrong by a slip, and one passage that nobody drew, of 2 to 40 % of the total.\n\
           A passage between the same ends as a drawn leak is counted as part of that leak.\n\
         * As noted: without weighing that readings are slips and doors stood otherwise (`engine::fit::right`), which the fit does; what it clearly takes back it names.\n\
         * Told: the fit is told which readings and doors are wrong; no search for them can do better. Passage drawn too: it is also told where the passage runs, not how large it is.\n\
         * No complaint: only houses of which the program did not say that the readings do not fit.\n\
         * Score: mean of width plus 20 times the miss; its ratio to that of the houses as drawn after the same visit is the mean over the families.\n\n\
         | houses | count | {} | all | score ratio | ranks even, p |\n| --- | ---: |{} ---: | ---: | ---: |\n",
        FAMILIES.join(" | "),
        " ---: |".repeat(FAMILIES.len())
    );
    let base = joined(drawn.iter().map(|o| &o.tallies));
    let some = |is: &dyn Fn(&Said) -> bool| -> Vec<&One> { other.iter().filter(|o| is(&o.said)).collect() };
    let row_of = |out: &mut String, name: &str, count: usize, t: &[Tally], base: &[Tally]| {
        let _ = write!(out, "| {name} | {count} |");
        for t in t {
            let _ = write!(out, " {:.1} |", t.coverage());
        }
        let p = pooled(t);
        let _ = writeln!(out, " {:.1} | {:.2} | {:.3} |", p.coverage(), ratio(t, base), p.even());
    };
    let mut row = |name: &str, count: usize, t: &[Tally]| row_of(&mut out, name, count, t, &base);
    row("as drawn", drawn.len(), &base);
    row("as drawn, as noted", drawn.len(), &joined(drawn.iter().map(|o| &o.noted)));
    row("other making", other.len(), &joined(other.iter().map(|o| &o.tallies)));
    row("other making, as noted", other.len(), &joined(other.iter().map(|o| &o.noted)));
    row("other making, told", other.len(), &joined(other.iter().map(|o| &o.told)));
    row("other making, told, passage drawn too", other.len(), &joined(other.iter().map(|o| &o.drawn)));
    let mut part =
        |name: &str, some: Vec<&One>| row(name, some.len(), &joined(some.iter().map(|o| &o.tallies)));
    part("other making, no complaint", some(&|s| !s.says));
    part("other making, readings and doors right", some(&|s| s.clean()));
    part("other making, only readings wrong", some(&|s| s.slips > 0 && s.doors == 0));
    part("other making, only doors wrong", some(&|s| s.slips == 0 && s.doors > 0));
    part("other making, both wrong", some(&|s| s.slips > 0 && s.doors > 0));
    for After { name, drawn, other } in more {
        let base = joined(drawn.iter().map(|o| &o.tallies));
        let mut row = |what: &str, all: &[One], of: &dyn Fn(&One) -> &Vec<Tally>| {
            let tallies = joined(all.iter().map(of));
            row_of(&mut out, &format!("{name}, {what}"), all.len(), &tallies, &base);
        };
        row("as drawn", drawn, &|o| &o.tallies);
        row("other making", other, &|o| &o.tallies);
        row("other making, told", other, &|o| &o.told);
        row("other making, told, passage drawn too", other, &|o| &o.drawn);
    }
    out.push_str(
        "\nThe visit of the first rows takes every reading once.\n\
         Checked visit: every setup once, then those set up and read again that the fit asks for (`engine::fit::again`), the doors looked at anew, and again those that it asks for after that (`rounds.rs`).\n",
    );
    for After { name, drawn, other } in more {
        let mean = |all: &[One]| all.iter().map(|o| o.readings as f64).sum::<f64>() / all.len().max(1) as f64;
        let _ = writeln!(
            out,
            "Readings of the {name}, mean: {:.0} in houses as drawn, {:.0} of other making.",
            mean(drawn),
            mean(other)
        );
    }
    let _ = writeln!(
        out,
        "\nRanks in tenths, as drawn, all quantities: {:?}.\n\
         Pareto k of 0.7 or more: {} of {} as drawn, {} of {} of other making.\n",
        pooled(&base).bins,
        drawn.iter().filter(|o| o.pareto_k >= 0.7).count(),
        drawn.len(),
        other.iter().filter(|o| o.pareto_k >= 0.7).count(),
        other.len(),
    );
    let mut each: Vec<f64> = other.iter().map(|o| ratio(&o.tallies, &base)).collect();
    each.sort_by(f64::total_cmp);
    let at = |share: f64| each.get((share * each.len() as f64) as usize).copied().unwrap_or(f64::NAN);
    let without: f64 = each.iter().take(each.len() - each.len() / 50).sum();
    let _ = writeln!(
        out,
        "Score ratio house by house, other making: half of them below {:.2}, nine tenths below {:.2}; the mean without the worst fiftieth {:.2}.\n\
         A house counts with all its quantities in the ranks, which are not independent; p is smaller than it would be for independent ones.\n",
        at(0.5),
        at(0.9),
        without / (each.len() - each.len() / 50) as f64,
    );
    let said = |all: &[One]| all.iter().map(|o| o.said.clone()).collect::<Vec<_>>();
    let more: Vec<_> = more.iter().map(|m| (m.name, said(&m.drawn), said(&m.other))).collect();
    says(&mut out, (&said(drawn), &said(other)), &more, rich);
    out
}

fn says(
    out: &mut String,
    (drawn, other): (&[Said], &[Said]),
    more: &[(&str, Vec<Said>, Vec<Said>)],
    rich: &(Vec<Said>, Vec<Said>),
) {
    out.push_str(
        "## What the program says of the readings\n\n\
         It says that the readings do not fit the house as drawn where the sum of squares is improbable (p below 0.01), where it names a passage (p below 0.05), or where it takes back a reading or a door.\n\
         Could be told: mean power of the best test at a false-alarm rate of 5 % that is told where the passage runs, on the same readings; what the readings do not hold no program can say.\n\
         Rich visit: every zone felt with the test fan blowing either way, the door and both hatches open and shut (`fit_cases::rich_visit`), what `next` asks for one by one.\n\n\
         | houses | count | says so, % | sum of squares | passage named | taken back | could be told, % |\n\
         | --- | ---: | ---: | ---: | ---: | ---: | ---: |\n",
    );
    let mut row = |name: &str, all: Vec<&Said>| {
        let share = |is: &dyn Fn(&Said) -> bool| {
            100.0 * all.iter().filter(|o| is(o)).count() as f64 / all.len().max(1) as f64
        };
        let told: Vec<f64> = all.iter().filter_map(|o| Some(o.hidden?.2)).collect();
        let best = if told.is_empty() {
            String::from("-")
        } else {
            format!("{:.0}", 100.0 * told.iter().sum::<f64>() / told.len() as f64)
        };
        let _ = writeln!(
            out,
            "| {name} | {} | {:.1} | {:.1} | {:.1} | {:.1} | {best} |",
            all.len(),
            share(&|o| o.says),
            share(&|o| o.misfit),
            share(&|o| o.passage),
            share(&|o| o.taken_back),
        );
    };
    let hidden = |o: &Said, lo: f64, hi: f64| o.hidden.is_some_and(|h| h.0 > lo && h.0 <= hi);
    row("as drawn", drawn.iter().collect());
    row("other making", other.iter().collect());
    row("... a reading or door wrong", other.iter().filter(|o| !o.clean()).collect());
    for (lo, hi) in [(0.0, 0.05), (0.05, 0.1), (0.1, 0.2), (0.2, 1.0)] {
        for beside in [true, false] {
            let name = format!(
                "... nothing else wrong, passage of {:.0} to {:.0} %, {}",
                100.0 * lo,
                if hi < 1.0 { 100.0 * hi } else { 40.0 },
                if beside { "beside a drawn leak" } else { "where nothing is drawn" }
            );
            let is = |o: &&Said| o.clean() && hidden(o, lo, hi) && o.hidden.is_some_and(|h| h.1 == beside);
            row(&name, other.iter().filter(is).collect());
        }
    }
    row("... passage of more than 10 %", other.iter().filter(|o| hidden(o, 0.1, 1.0)).collect());
    let told = |o: &&Said| hidden(o, 0.1, 1.0) && o.hidden.is_some_and(|h| h.2 > 0.9);
    row("... passage of more than 10 % that could be told (9 in 10)", other.iter().filter(told).collect());
    let clean = |o: &&Said| o.clean() && hidden(o, 0.1, 1.0);
    row("... passage of more than 10 %, nothing else wrong", other.iter().filter(clean).collect());
    for (name, drawn, other) in more {
        row(&format!("{name}, as drawn"), drawn.iter().collect());
        row(&format!("{name}, other making"), other.iter().collect());
        let large = |o: &&Said| hidden(o, 0.1, 1.0);
        row(&format!("{name}, passage of more than 10 %"), other.iter().filter(large).collect());
        let told = |o: &&Said| hidden(o, 0.1, 1.0) && o.hidden.is_some_and(|h| h.2 > 0.9);
        row(
            &format!("{name}, passage of more than 10 % that could be told (9 in 10)"),
            other.iter().filter(told).collect(),
        );
        let clean = |o: &&Said| o.clean() && hidden(o, 0.1, 1.0);
        row(
            &format!("{name}, passage of more than 10 %, nothing else wrong"),
            other.iter().filter(clean).collect(),
        );
    }
    let (drawn, other) = rich;
    row("rich visit, nothing wrong, as drawn", drawn.iter().collect());
    for (lo, hi) in [(0.0, 0.05), (0.05, 0.1), (0.1, 0.2), (0.2, 1.0), (0.1, 1.0)] {
        let name = format!(
            "rich visit, nothing else wrong, passage of {:.0} to {:.0} %",
            100.0 * lo,
            if hi < 1.0 { 100.0 * hi } else { 40.0 },
        );
        row(&name, other.iter().filter(|o| hidden(o, lo, hi)).collect());
    }
    let told = |o: &&Said| hidden(o, 0.1, 1.0) && o.hidden.is_some_and(|h| h.2 > 0.9);
    row(
        "rich visit, nothing else wrong, passage of more than 10 % that could be told (9 in 10)",
        other.iter().filter(told).collect(),
    );
}
