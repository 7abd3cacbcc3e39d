//! Which reading to take next: the one that tells most about the question per minute of work.
//!
//! Candidates are setups that the house allows (the test fan at 50 Pa with one door or hatch
//! turned, the air handler or an exhaust on, nothing on) with one tap or flow each (`trials`). For
//! every draw of the fit the network says what would be read, errors of instruments and wind included
//! (`expect`); how closely that goes with the question's own value over the draws is the share of the
//! question's variance the reading would remove, alone and with others (`gain`). Cost is the changeover
//! from the present state plus the reading (`minutes`); a route carries the state from reading to
//! reading (`route`). What safety forbids now is counted and never shown.

mod expect;
mod gain;
mod minutes;
mod moment;
mod proof;
mod question;
mod route;
#[cfg(test)]
mod tests;
mod trials;

pub use minutes::{Minutes, Stand};
pub use moment::{Forbids, Instrument, Kit, Moment, Tool, USUAL_LEFT_MIN};
pub use proof::{Proof, Turn};
pub use question::{Question, Season};
pub use route::{Route, Stop, Together};
pub use trials::draws_down;

use crate::house::{House, Setup, start};
use crate::math;
use crate::measure::{Estimate, NoInterval, normal_quantile};
use crate::rng::Stream;
use crate::units::Quantity;
use expect::Bench;
use gain::Gains;
use serde::Serialize;
use trials::{Board, Trial};

/// What would be read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "reads", rename_all = "kebab-case")]
pub enum Reads {
    /// Pressure of a zone against another or outdoors; where the test fan holds the rooms, its flow
    /// stands beside it.
    Tap {
        /// Index of the zone felt.
        feels: usize,
        /// Index of the zone it is compared with; nothing for outdoors.
        compared_with: Option<usize>,
    },
    /// Only the test fan's flow.
    FanFlow,
    /// The flow of an exhaust fan, by hood.
    Exhaust {
        /// Index in [`House::fans`].
        fan: usize,
    },
    /// The flow of a register or return grille, by hood.
    Register {
        /// Index in the air handler's registers.
        register: usize,
    },
    /// The flow through the air handler.
    Handler,
    /// What the ducts of one side lose or draw in operation, by a duct tester with the plenum's
    /// pressure; to outdoors, with the test fan beside it, where they run outside of the rooms.
    Ducts {
        /// Supply side, else return.
        supply: bool,
    },
    /// The same by pans over all registers of the side, their open areas and the plenum's pressure.
    Pans {
        /// Supply side, else return.
        supply: bool,
    },
}

/// One reading worth taking.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Candidate {
    /// What is read.
    #[serde(flatten)]
    pub reads: Reads,
    /// The state it is read in.
    #[serde(skip)]
    pub setup: Setup,
    /// The test fan runs.
    pub test_fan: bool,
    /// Pressure below outdoors at which it holds the rooms, Pa.
    pub fan_pa: Option<f64>,
    /// The air handler runs.
    pub air_handler: bool,
    /// Door or hatch to be turned from its usual state, by index.
    pub toggled: Option<usize>,
    /// Whether that door then stands open.
    pub toggled_open: bool,
    /// Where that door is open by a hole of known size: its area, m2.
    pub hole_m2: Option<f64>,
    /// Opening that is masked for it, by index of the leak.
    pub masked: Option<usize>,
    /// Exhaust fans that run, by index.
    pub running: Vec<usize>,
    /// Coming here from the present state, min.
    pub changeover_min: f64,
    /// Work, changeover and reading, min.
    pub minutes: f64,
    /// Share of the question's variance it would remove, 0 to 1.
    pub removes: f64,
    /// What would be read (the tap's pressure or the flow), before it is read (90 %).
    pub expected: Estimate,
    /// Beyond these ends the reading is a surprise: one in a hundred, if the house is as known (99 %).
    pub surprise: Estimate,
    /// The question's range after it, as a share of the present range.
    pub narrower: f64,
    /// What the number must do when something is turned; only for those that are shown.
    pub proof: Option<Proof>,
}

/// What stands in the way of readings that would help.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "missing", rename_all = "kebab-case")]
pub enum Missing {
    /// Nothing may be drawn down now.
    Safety,
    /// No such instrument is at hand.
    Tool {
        /// Which.
        instrument: Instrument,
    },
}

/// Readings that cannot be taken now, told by what is missing and never by themselves.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Help {
    /// What is missing.
    #[serde(flatten)]
    pub missing: Missing,
    /// How many readings.
    pub count: usize,
    /// Share of the question's variance that the strongest of them would remove, 0 to 1.
    pub removes: f64,
}

/// The answer.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Next {
    /// The question.
    pub question: Question,
    /// What is known of it now.
    pub now: Estimate,
    /// Readings, best for each minute first.
    pub list: Vec<Candidate>,
    /// The best three together.
    pub together: Option<Together>,
    /// Time left on site, min.
    pub left_min: f64,
    /// The route for the time left.
    pub route: Option<Route>,
    /// Readings left out because safety forbids them now.
    pub forbidden: usize,
    /// Why.
    pub forbids: Vec<Forbids>,
    /// What would help beside what can be read now.
    pub helps: Vec<Help>,
    /// Different draws of the house behind the numbers, as equally weighted ones.
    pub effective_draws: f64,
}

/// A reading that removes less than this share is said to be no help.
pub const LEAST_HELP: f64 = 0.02;
/// Readings of the head of the list that get a proof step.
const SHOWN: usize = 6;
/// Probability inside the interval beyond which a reading is a surprise.
const SURPRISE_LEVEL: f64 = 0.99;

impl Next {
    /// Whether no reading that can be taken now makes the answer noticeably narrower.
    pub fn nothing_helps(&self) -> bool {
        self.list.iter().all(|c| c.removes < LEAST_HELP)
    }
}

/// Ranks further readings for a question of the model.
pub fn next(house: &House, draws: &[Vec<f64>], question: Question, moment: &Moment) -> Next {
    let values = question.values(house, draws, moment.pressure_pa);
    next_of(house, draws, question, &values, moment)
}

/// Ranks further readings for a question of which the value in every draw is given.
pub fn next_of(
    house: &House,
    draws: &[Vec<f64>],
    question: Question,
    values: &[f64],
    moment: &Moment,
) -> Next {
    let mut sorted: Vec<f64> = values.iter().copied().filter(|v| v.is_finite()).collect();
    sorted.sort_by(f64::total_cmp);
    let mut out = Next {
        question,
        now: Estimate::from_sorted_draws(&sorted, crate::fit::LEVEL, question.quantity()),
        list: Vec::new(),
        together: None,
        left_min: moment.left_min,
        route: None,
        forbidden: 0,
        forbids: moment.forbids.clone(),
        helps: Vec::new(),
        effective_draws: 0.0,
    };
    let board = Board::new(house, moment);
    let held = |t: &Trial| moment.holds(house, &board.setups[t.setup], Some(&t.reads));
    out.forbidden = board.trials.iter().filter(|t| held(t)).count();
    let Some(mut bench) = Bench::new(house, draws, moment) else { return out };
    let table = bench.table(&board);
    let noise: Vec<f64> = board.columns.iter().map(|c| bench.noise_sd(&c.reads)).collect();
    // Flows by hood, plate and duct tester are straight in what they read.
    let bends: Vec<bool> =
        board.columns.iter().map(|c| matches!(c.reads, Reads::Tap { .. } | Reads::FanFlow)).collect();
    let Some(gains) = Gains::new(values, gain::different(draws), &table, &noise, &bends) else { return out };
    out.effective_draws = gains.effective;
    let judged: Vec<(usize, f64)> = (0..board.trials.len())
        .filter(|t| board.trials[*t].columns.iter().all(|c| gains.knows(*c)))
        .map(|t| (t, gains.removes(&board.trials[t].columns)))
        .collect();
    out.helps = helps(&board, &judged, &held);
    let m = &moment.minutes;
    let may = |t: &Trial| !held(t) && t.missing.is_none();
    let mut ranked: Vec<(usize, f64, f64, String)> = judged
        .iter()
        .filter(|(t, _)| may(&board.trials[*t]))
        .map(|(t, removes)| {
            let trial = &board.trials[*t];
            let setup = &board.setups[trial.setup];
            let changeover = moment.stand.changeover_min(house, setup, &trial.reads, trial.draws_down, m);
            (*t, *removes, changeover, key(house, (setup, board.fan_pa[trial.setup]), trial))
        })
        .collect();
    let rate = |r: &(usize, f64, f64, String)| r.1 / (r.2 + m.reading_min);
    ranked.sort_by(|a, b| rate(b).total_cmp(&rate(a)).then_with(|| a.3.cmp(&b.3)));
    for (t, removes, changeover_min, name) in &ranked {
        let trial = &board.trials[*t];
        let column = trial.columns[0];
        out.list.push(candidate(
            house,
            (&board, trial),
            (&table[column], noise[column], name),
            (*removes, *changeover_min, changeover_min + m.reading_min),
        ));
    }
    let list: Vec<(usize, f64)> = ranked.iter().map(|r| (r.0, r.1)).collect();
    let choice = route::Choice { house, moment, board: &board, gains: &gains, list: &list };
    out.together = choice.three();
    out.route = choice.route();
    let picked = |next: &Next| -> Vec<usize> {
        let three = next.together.iter().flat_map(|t| t.picks.iter().copied());
        let route = next.route.iter().flat_map(|r| r.stops.iter().map(|s| s.pick));
        three.chain(route).chain(0..SHOWN.min(next.list.len())).collect()
    };
    for at in picked(&out) {
        if out.list[at].proof.is_none() {
            let trial = &board.trials[list[at].0];
            out.list[at].proof =
                proof::proof(&mut bench, (&board.setups[trial.setup], board.fan_pa[trial.setup]), trial);
        }
    }
    out
}

/// What is missing, strongest first.
fn helps(board: &Board, judged: &[(usize, f64)], held: &dyn Fn(&Trial) -> bool) -> Vec<Help> {
    let mut out: Vec<Help> = Vec::new();
    for (t, removes) in judged {
        let trial = &board.trials[*t];
        let missing = match trial.missing {
            Some(instrument) => Missing::Tool { instrument },
            None if held(trial) => Missing::Safety,
            None => continue,
        };
        match out.iter_mut().find(|h| h.missing == missing) {
            Some(h) => {
                h.count += 1;
                h.removes = if *removes > h.removes { *removes } else { h.removes };
            }
            None => out.push(Help { missing, count: 1, removes: *removes }),
        }
    }
    out.sort_by(|a, b| b.removes.total_cmp(&a.removes));
    out
}

fn candidate(
    house: &House,
    (board, trial): (&Board, &Trial),
    (shown, noise_sd, name): (&[f64], f64, &str),
    (removes, changeover_min, minutes): (f64, f64, f64),
) -> Candidate {
    let setup = board.setups[trial.setup].clone();
    let (expected, surprise) = before_it_is_read(shown, noise_sd, name, &trial.reads);
    let usual = start(house);
    let masked = (0..house.leaks.len()).find(|l| setup.sealed[*l] && !usual.sealed[*l]);
    let toggled_open = trial.toggled.is_some_and(|d| setup.open[d]);
    let running = (0..house.fans.len()).filter(|f| setup.running[*f] && !usual.running[*f]).collect();
    Candidate {
        reads: trial.reads.clone(),
        test_fan: setup.test_fan.is_some(),
        fan_pa: setup.test_fan.map(|_| board.fan_pa[trial.setup]),
        air_handler: setup.air_handler,
        toggled: trial.toggled,
        toggled_open,
        hole_m2: trial.toggled.and_then(|d| setup.hole[d]).map(|h| h.area_m2),
        masked,
        running,
        changeover_min,
        minutes,
        removes,
        expected,
        surprise,
        narrower: (1.0 - removes).sqrt(),
        proof: None,
        setup,
    }
}

/// The expected reading with 90 % interval, and the ends beyond which it is a surprise: the tails are
/// taken as those of a normal on either side of the middle.
fn before_it_is_read(shown: &[f64], noise_sd: f64, name: &str, reads: &Reads) -> (Estimate, Estimate) {
    let mut stream = Stream::new(1, name);
    let mut values: Vec<f64> =
        shown.iter().map(|v| v + noise_sd * stream.normal()).filter(|v| v.is_finite()).collect();
    values.sort_by(f64::total_cmp);
    let is_flow = !matches!(reads, Reads::Tap { .. });
    let quantity = if is_flow { Quantity::AirFlow } else { Quantity::Pressure };
    let plain = Estimate::from_sorted_draws(&values, crate::fit::LEVEL, quantity);
    let Some((lo, hi)) = plain.bounds() else {
        return (plain, Estimate::without(f64::NAN, quantity, NoInterval::NotComputed));
    };
    let z = |level: f64| normal_quantile(0.5 + level / 2.0);
    let wider = z(SURPRISE_LEVEL) / z(crate::fit::LEVEL);
    let back = |v: f64| if is_flow { math::exp(v) } else { v };
    let around = |low: f64, high: f64, level: f64| {
        Estimate::range(back(plain.si), back(low), back(high), level, quantity)
    };
    let (low, high) = (plain.si + wider * (lo - plain.si), plain.si + wider * (hi - plain.si));
    (around(lo, hi, crate::fit::LEVEL), around(low, high, SURPRISE_LEVEL))
}

/// A name of a reading that does not hang on the order of things in the document.
fn key(house: &House, state: (&Setup, f64), trial: &Trial) -> String {
    let zone = |z: usize| house.zones[z].name.as_str();
    let what = match trial.reads {
        Reads::Tap { feels, compared_with } => {
            format!("tap {} {}", zone(feels), compared_with.map_or("", zone))
        }
        Reads::FanFlow => "test fan".to_owned(),
        Reads::Exhaust { fan } => format!("fan {}", house.fans[fan].text.name.value),
        Reads::Register { register } => {
            let name = house.air_handler.as_ref().and_then(|h| h.text.registers.get(register));
            format!("register {}", name.map_or("", |r| r.name.value.as_str()))
        }
        Reads::Handler => "handler".to_owned(),
        Reads::Ducts { supply } => format!("ducts {supply}"),
        Reads::Pans { supply } => format!("pans {supply}"),
    };
    format!("{what} {}", expect::wind_name(house, state))
}
