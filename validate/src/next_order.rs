//! Following the advice against a textbook order: time on site until the total is known to 10 % and the
//! asked quantity to 25 % (90 %), in simulated houses; and what readings promised against what they did.
//!
//! The textbook order stands in `validate/data/textbook-order.toml` and was written before any comparison
//! was run. Both sides pay the same minutes and read the same numbers: every reading that the house has is
//! simulated once a house, and each side takes its own.
#![allow(clippy::unwrap_used, reason = "a test kit: it stops where its own house cannot be made")]

use crate::fit_cases::{Case, HOUSE, VISIT, busy_case, large_case};
use engine::fit::observe::{Observation, Observations, Seen, SharedError, Station, Tap, common_height_m};
use engine::fit::{Fit, Options, fan_zone, fit, prior_draws, simulate};
use engine::house::{House, Setup};
use engine::next::{Candidate, Kit, Minutes, Moment, Question, Reads, Stand, next};
use std::fmt::Write;
use std::ops::ControlFlow;

/// Aimed at: the total, then what is asked.
pub const TARGETS: [f64; 2] = [0.10, 0.25];
/// Who has read this much stops anyway.
const MOST_READINGS: usize = 14;
/// Pressure noise of one reading, sd, Pa: the fit's own for a gauge that shows 0.1 Pa.
const GAUGE_NOISE_PA: f64 = 0.058;

/// What is asked beside the total.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asked {
    /// Share of the air at 50 Pa that enters by way of the crawl space.
    Share,
    /// Air from the crawl space on a cold evening.
    Evening,
}

/// A house, every reading it has, and the textbook's order among them.
pub struct Bench {
    house: House,
    /// What is asked beside the total.
    asked: Question,
    /// Every reading, values as placeholders; one station a setup.
    all: Observations,
    /// Each candidate: setup and what is read, with the observations it brings.
    list: Vec<(Setup, Reads, Vec<usize>)>,
    /// Of each, the pressure at which the test fan holds the rooms, Pa.
    fan_pa: Vec<Option<f64>>,
    /// Of each station, the same.
    held_pa: Vec<Option<f64>>,
    /// Places in the list.
    textbook: Vec<usize>,
    kit: Kit,
}

/// How one side did in one house.
#[derive(Clone, Copy, Debug)]
pub struct Walk {
    /// Minutes until both targets were reached, or until nothing was left to read.
    pub minutes: f64,
    /// Readings taken.
    pub readings: usize,
    /// Both targets were reached.
    pub reached: bool,
    /// Minutes at which the total was known well enough.
    pub total_at: Option<f64>,
}

/// What a reading promised and what it removed.
#[derive(Clone, Copy, Debug)]
pub struct Promise {
    /// Share of the variance that it should remove.
    pub expected: f64,
    /// Share that it removed.
    pub removed: f64,
}

impl Bench {
    /// The invented house of the fit's tests, without its air handler where `ducts` is false.
    pub fn new(ducts: bool, asked: Asked) -> Result<Bench, String> {
        let text = if ducts { HOUSE } else { crate::fit_cases::house_without_ducts() };
        // The visit's handler readings need a handler; only its instruments and conditions are used.
        let visit = crate::fit_cases::visit_without_fan();
        let case = Case::new(text, &visit);
        let full = Case::new(HOUSE, VISIT);
        let house = case.house;
        let crawl = house.zone("crawl").unwrap();
        let mut instruments = full.seen.instruments;
        instruments.push(SharedError { label: "plate".into(), gain_sd: 0.07 / 1.96, offset_sd: 0.0 });
        // The instruments of the textbook's order.
        let mut kit = Kit { duct_tester: None, pan: None, ..Kit::usual() };
        for (at, (tool, noise_sd)) in [
            (&mut kit.gauge, GAUGE_NOISE_PA),
            (&mut kit.test_fan, 0.01),
            (&mut kit.hood, 0.03),
            (&mut kit.plate, 0.01),
        ]
        .into_iter()
        .enumerate()
        {
            if let Some(tool) = tool {
                tool.shared = Some(at);
                tool.gain_sd = instruments[at].gain_sd;
                tool.offset_sd = instruments[at].offset_sd;
                tool.noise_sd = noise_sd;
            }
        }
        let like = case.seen.stations[0].clone();
        let mut bench = Bench {
            asked: match asked {
                Asked::Share => Question::ZoneShare { zone: crawl },
                Asked::Evening => Question::AirFrom { zone: crawl },
            },
            all: Observations { instruments, wind_sd_pa: case.seen.wind_sd_pa, ..Observations::default() },
            list: Vec::new(),
            fan_pa: Vec::new(),
            held_pa: Vec::new(),
            textbook: Vec::new(),
            kit,
            house,
        };
        let draws = prior_draws(&bench.house, 30, 1);
        let found = next(&bench.house, &draws, Question::Total, &Moment::usual(&bench.house));
        for c in &found.list {
            bench.add(c, &like);
        }
        bench.read_textbook()?;
        Ok(bench)
    }

    fn add(&mut self, c: &Candidate, like: &Station) {
        let zone = fan_zone(&self.house).unwrap();
        let stations = &self.all.stations;
        let same = |s: &usize| stations[*s].setup == c.setup && self.held_pa[*s] == c.fan_pa;
        let station = (0..stations.len()).find(same).unwrap_or_else(|| {
            let fan_zone = c.test_fan.then_some(zone);
            self.held_pa.push(c.fan_pa);
            self.all.stations.push(Station { setup: c.setup.clone(), fan_zone, ..like.clone() });
            self.all.stations.len() - 1
        });
        let mut brings = Vec::new();
        if let Some(pa) = c.fan_pa {
            brings.push(self.tap(station, zone, None, -pa));
            brings.push(self.one(station, Seen::TestFan { ln_shown_over_true: 0.0 }, 1, self.kit.test_fan));
        }
        match c.reads {
            Reads::Tap { feels, compared_with } => brings.push(self.tap(station, feels, compared_with, -5.0)),
            Reads::FanFlow => {}
            Reads::Exhaust { fan } => brings.push(self.one(station, Seen::Fan(fan), 2, self.kit.hood)),
            Reads::Register { register } => {
                brings.push(self.one(station, Seen::Register(register), 2, self.kit.hood));
            }
            Reads::Handler => brings.push(self.one(station, Seen::Handler, 3, self.kit.plate)),
            // The textbook's kit has neither.
            Reads::Ducts { .. } | Reads::Pans { .. } => return,
        }
        self.list.push((c.setup.clone(), c.reads.clone(), brings));
        self.fan_pa.push(c.fan_pa);
    }

    fn tap(&mut self, station: usize, feels: usize, against: Option<usize>, value: f64) -> usize {
        let z_m = common_height_m(&self.house, Some(feels), against);
        let seen =
            Seen::Pressure { feels: Tap { zone: Some(feels), z_m }, against: Tap { zone: against, z_m } };
        let at = self.one(station, seen, 0, self.kit.gauge);
        self.all.list[at].value = value;
        at
    }

    fn one(
        &mut self,
        station: usize,
        seen: Seen,
        instrument: usize,
        tool: Option<engine::next::Tool>,
    ) -> usize {
        let known = self.all.list.iter().position(|o| o.station == station && o.seen == seen);
        known.unwrap_or_else(|| {
            self.all.list.push(Observation {
                station,
                seen,
                value: -3.0,
                noise_sd: tool.map_or(0.1, |t| t.noise_sd),
                below: false,
                instrument: Some(instrument),
                span: engine::diag::Span::new("", 0..0),
            });
            self.all.list.len() - 1
        })
    }

    fn read_textbook(&mut self) -> Result<(), String> {
        let text = include_str!("../data/textbook-order.toml");
        let table: toml::Table = text.parse().map_err(|e| format!("textbook-order.toml: {e}"))?;
        let steps = table.get("step").and_then(|s| s.as_array()).ok_or("no steps")?;
        let house = &self.house;
        let rooms = fan_zone(house);
        for step in steps {
            let word = |key: &str| step.get(key).and_then(|v| v.as_str()).unwrap_or("");
            let (state, read, turned) = (word("state"), word("read"), word("turned"));
            let mut setup = engine::house::start(house);
            match state {
                "fan" => setup.test_fan = Some(engine::doc::visit::Direction::Depressurise),
                "handler" if house.air_handler.is_none() => continue,
                "handler" => setup.air_handler = true,
                _ => {}
            }
            if !turned.is_empty() {
                let d = house.doors.iter().position(|d| d.text.name.value == turned).ok_or(turned)?;
                setup.open[d] = !setup.open[d];
            }
            let reads = match read.split_once(' ') {
                Some(("fan", name)) => {
                    let fan = house.fans.iter().position(|f| f.text.name.value == name).ok_or(name)?;
                    setup.running[fan] = true;
                    Reads::Exhaust { fan }
                }
                Some(("register", name)) => {
                    let handler = house.air_handler.as_ref().ok_or("no handler")?;
                    let register =
                        handler.text.registers.iter().position(|r| r.name.value == name).ok_or(name)?;
                    Reads::Register { register }
                }
                _ if read == "flow" => Reads::FanFlow,
                _ if read == "handler" => Reads::Handler,
                _ => {
                    let feels = house.zone(read).ok_or(read)?;
                    let room = house.zones[feels].kind.is_indoors() && Some(feels) != rooms;
                    Reads::Tap { feels, compared_with: rooms.filter(|_| room) }
                }
            };
            let at = (0..self.list.len()).find(|i| {
                let low = self.fan_pa[*i].is_some_and(|pa| pa < 49.0);
                self.list[*i].0 == setup && self.list[*i].1 == reads && !low
            });
            self.textbook.push(at.ok_or_else(|| format!("no such reading: {read} in {state}"))?);
        }
        Ok(())
    }

    /// The observations of the readings taken, with the values of one simulated house.
    fn taken(&self, made: &Observations, taken: &[usize]) -> Observations {
        let mut wanted: Vec<usize> = taken.iter().flat_map(|t| self.list[*t].2.iter().copied()).collect();
        wanted.sort_unstable();
        wanted.dedup();
        let mut out = Observations {
            instruments: made.instruments.clone(),
            wind_sd_pa: made.wind_sd_pa.clone(),
            ..Observations::default()
        };
        let mut place = vec![None; made.stations.len()];
        for at in wanted {
            let mut o = made.list[at].clone();
            let station = *place[o.station].get_or_insert_with(|| {
                out.stations.push(made.stations[o.station].clone());
                out.stations.len() - 1
            });
            o.station = station;
            out.list.push(o);
        }
        out
    }

    fn fit(&self, seen: &Observations, seed: u64) -> Option<Fit> {
        let options = Options { seed, whole: false, ..Options::default() };
        fit(&self.house, seen, options, &mut |_| ControlFlow::Continue(())).ok()
    }

    /// Which targets are reached.
    fn reached(&self, fit: &Fit) -> [bool; 2] {
        let mut at = 0;
        [Question::Total, self.asked].map(|q| {
            let mut values = q.values(&self.house, &fit.draws, 101_325.0);
            values.sort_by(f64::total_cmp);
            let e = engine::measure::Estimate::from_sorted_draws(&values, engine::fit::LEVEL, q.quantity());
            let half = e.bounds().map_or(f64::INFINITY, |(lo, hi)| 0.5 * (hi - lo) / e.si.abs());
            at += 1;
            half <= TARGETS[at - 1]
        })
    }

    fn cost(&self, stand: &mut Stand, at: usize) -> f64 {
        let (setup, reads, _) = &self.list[at];
        let m = Minutes::default();
        let minutes = stand.changeover_min(&self.house, setup, reads, false, &m) + m.reading_min;
        *stand = stand.after(setup, reads, false);
        minutes
    }

    /// The textbook's order in one house.
    fn textbook(&self, made: &Observations, seed: u64) -> Walk {
        let mut stand = Stand::usual(&self.house);
        let mut walk = Walk { minutes: 0.0, readings: 0, reached: false, total_at: None };
        for (i, at) in self.textbook.iter().enumerate() {
            walk.minutes += self.cost(&mut stand, *at);
            walk.readings += 1;
            let so_far = self.textbook.get(..=i).unwrap_or(&[]);
            let Some(fit) = self.fit(&self.taken(made, so_far), seed) else { continue };
            let [total, asked] = self.reached(&fit);
            if total {
                walk.total_at.get_or_insert(walk.minutes);
            }
            if total && asked {
                walk.reached = true;
                break;
            }
        }
        walk
    }

    /// The advice followed in one house: after each reading it is asked again.
    fn advised(&self, made: &Observations, seed: u64, promises: &mut Vec<Promise>) -> Walk {
        let mut moment = Moment { kit: self.kit, seed, ..Moment::usual(&self.house) };
        let mut walk = Walk { minutes: 0.0, readings: 0, reached: false, total_at: None };
        let mut taken: Vec<usize> = Vec::new();
        let Some(mut now) = self.fit(&self.taken(made, &taken), seed) else { return walk };
        while taken.len() < MOST_READINGS {
            let [total, asked] = self.reached(&now);
            if total {
                walk.total_at.get_or_insert(walk.minutes);
            }
            if total && asked {
                walk.reached = true;
                break;
            }
            // What is asked comes first: a tap at the test fan brings its flow along, and that the total.
            let question = if asked { Question::Total } else { self.asked };
            moment.seen = self.taken(made, &taken);
            let found = next(&self.house, &now.draws, question, &moment);
            let place = |c: &Candidate| {
                let same = |i: &usize| {
                    self.list[*i].0 == c.setup && self.list[*i].1 == c.reads && self.fan_pa[*i] == c.fan_pa
                };
                (0..self.list.len()).find(same)
            };
            let route = found.route.iter().flat_map(|r| &r.stops).map(|s| &found.list[s.pick]);
            let fresh = |c: &&Candidate| place(c).is_some_and(|p| !taken.contains(&p));
            let Some(pick) = route.chain(&found.list).find(fresh) else { break };
            let at = place(pick).unwrap();
            walk.minutes += self.cost(&mut moment.stand, at);
            walk.readings += 1;
            taken.push(at);
            let Some(then) = self.fit(&self.taken(made, &taken), seed) else { break };
            let variance = |fit: &Fit| {
                let v = question.values(&self.house, &fit.draws, 101_325.0);
                let mean = v.iter().sum::<f64>() / v.len() as f64;
                v.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / v.len() as f64
            };
            promises
                .push(Promise { expected: pick.removes, removed: 1.0 - variance(&then) / variance(&now) });
            now = then;
        }
        walk
    }

    /// Both sides in `houses` houses from the priors.
    pub fn compare(&self, houses: usize, seed: u64, tell: &mut dyn FnMut(usize, &Account)) -> Account {
        let mut out = Account::default();
        for (at, truth) in prior_draws(&self.house, houses, seed).iter().enumerate() {
            let seed = seed + 5000 + at as u64;
            let Ok(made) = simulate::readings(&self.house, &self.all, truth, seed) else {
                out.unsolved += 1;
                continue;
            };
            let textbook = self.textbook(&made, seed);
            let advised = self.advised(&made, seed, &mut out.promises);
            out.walks.push((textbook, advised));
            tell(at, &out);
        }
        out
    }
}

/// What the houses gave.
#[derive(Clone, Debug, Default)]
pub struct Account {
    /// Textbook and advice, one pair a house.
    pub walks: Vec<(Walk, Walk)>,
    /// Every reading that was advised.
    pub promises: Vec<Promise>,
    /// Houses whose readings could not be simulated.
    pub unsolved: usize,
}

/// Middle value of a list, the upper of two: a time that is never stays one.
fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(f64::NAN)
}

impl Account {
    /// Median minutes of both sides; who did not reach the targets counts as never.
    pub fn medians(&self) -> (f64, f64) {
        let time = |w: &Walk| if w.reached { w.minutes } else { f64::INFINITY };
        (
            median(self.walks.iter().map(|w| time(&w.0)).collect()),
            median(self.walks.iter().map(|w| time(&w.1)).collect()),
        )
    }

    /// Share of the houses in which each side reached both targets.
    pub fn reached(&self) -> (f64, f64) {
        let share = |pick: &dyn Fn(&(Walk, Walk)) -> bool| {
            self.walks.iter().filter(|w| pick(w)).count() as f64 / self.walks.len() as f64
        };
        (share(&|w| w.0.reached), share(&|w| w.1.reached))
    }

    /// Mean promised over mean obtained reduction.
    pub fn promise_ratio(&self) -> f64 {
        let mean = |f: &dyn Fn(&Promise) -> f64| self.promises.iter().map(f).sum::<f64>();
        mean(&|p| p.expected) / mean(&|p| p.removed)
    }
}

/// The measured part of `docs/NEXT.md`.
pub fn render(accounts: &[(&str, u64, Account)], speeds: &[Speed]) -> String {
    let mut out = String::new();
    let _ = writeln!(
        out,
        "Until the total is known to \u{b1}{:.0} % and what is asked to \u{b1}{:.0} % (90 %), in houses drawn from the priors.\n\
         The textbook order stands in `validate/data/textbook-order.toml` and was written before the comparison was run.\n\
         The advice is asked for what is asked first, and for the total where that is still missing: a tap at the test fan brings its flow along, and that the total.\n\
         Who does not reach both counts as never; the time then is until nothing was left to read.\n\
         What a stop has to be worth was settled on seed 20; no choice was made on the others.\n",
        100.0 * TARGETS[0],
        100.0 * TARGETS[1]
    );
    out += "| asked, house | seed | houses | textbook: median min | advice: median min | share | textbook reached | advice reached | readings (median) | promised over obtained |\n";
    out += "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n";
    for (name, seed, a) in accounts {
        let (textbook, advice) = a.medians();
        let (reached, advised) = a.reached();
        let minutes = |m: f64| if m.is_finite() { format!("{m:.0}") } else { "never".to_owned() };
        let share = advice / textbook;
        let share = if textbook.is_finite() { format!("{share:.2}") } else { "-".to_owned() };
        let _ = writeln!(
            out,
            "| {name} | {seed} | {} | {} | {} | {share} | {:.0} % | {:.0} % | {:.0} and {:.0} | {:.2} |",
            a.walks.len(),
            minutes(textbook),
            minutes(advice),
            100.0 * reached,
            100.0 * advised,
            median(a.walks.iter().map(|w| w.0.readings as f64).collect()),
            median(a.walks.iter().map(|w| w.1.readings as f64).collect()),
            a.promise_ratio()
        );
    }
    out += &speed_lines(speeds);
    out
}

/// What fit and question took, one line a house, and what else the machine did.
pub fn speed_lines(speeds: &[Speed]) -> String {
    let mut out = String::from(
        "\nFit (the fit alone, 400 weighted draws, 200 handed on) and one question after it, one core, the least of five, time on the processor:\n\n\
         | zones | readings | numbers of the house | readings to judge | s the fit | s the question |\n\
         | ---: | ---: | ---: | ---: | ---: | ---: |\n",
    );
    for s in speeds {
        let _ = writeln!(
            out,
            "| {} | {} | {} | {} | {:.2} | {:.2} |",
            s.zones, s.readings, s.unknowns, s.candidates, s.fit_s, s.question_s
        );
    }
    let load = std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
    let load: Vec<&str> = load.split(' ').take(3).collect();
    let _ = writeln!(
        out,
        "\nLoad of the machine's two processors meanwhile (1, 5, 15 minutes): {}.",
        load.join(", ")
    );
    out
}

/// Time of fit and question in a house of twelve zones with a full visit.
#[derive(Clone, Copy, Debug)]
pub struct Speed {
    /// Zones of the house.
    pub zones: usize,
    /// Readings taken.
    pub readings: usize,
    /// Unknown numbers of the house.
    pub unknowns: usize,
    /// Readings that were judged.
    pub candidates: usize,
    /// The fit alone, s on the processor.
    pub fit_s: f64,
    /// One question, s on the processor.
    pub question_s: f64,
}

/// Time that this program has had a processor, s: what else runs there does not count.
fn on_processor_s() -> f64 {
    let text = std::fs::read_to_string("/proc/self/schedstat").unwrap_or_default();
    text.split(' ').next().and_then(|ns| ns.parse::<f64>().ok()).map_or(f64::NAN, |ns| 1e-9 * ns)
}

/// Rounds of which the least time counts.
const ROUNDS: usize = 5;

/// Fits the large house and asks one question of it, and of the same house with many doors and windows.
pub fn speeds() -> Vec<Speed> {
    let one = |case: Case| {
        let seen = simulate::readings(&case.house, &case.seen, &case.house.prior_mean(), 1).unwrap();
        let options = Options { whole: false, ..Options::default() };
        let mut moment = crate::fit_cases::moment(&case.house, &seen);
        // Everything that a test fan may read is judged.
        moment.forbids.clear();
        let asked = Question::AirFrom { zone: case.house.zone("crawl").unwrap() };
        let (mut fit_s, mut question_s, mut candidates) = (f64::INFINITY, f64::INFINITY, 0);
        for _ in 0..ROUNDS {
            let start = on_processor_s();
            let known = fit(&case.house, &seen, options, &mut |_| ControlFlow::Continue(())).unwrap();
            fit_s = fit_s.min(on_processor_s() - start);
            let start = on_processor_s();
            let found = next(&case.house, &known.draws, asked, &moment);
            question_s = question_s.min(on_processor_s() - start);
            candidates = found.list.len();
        }
        Speed {
            zones: case.house.zones.len(),
            readings: seen.list.len(),
            unknowns: case.house.params.len(),
            candidates,
            fit_s,
            question_s,
        }
    };
    vec![one(large_case()), one(busy_case())]
}
