//! Control rules of a job: put together, provoked, and lived through series.

use crate::{File, Job, Listen};
use engine::diag::{Diagnostic, Span, code};
use engine::doc::rules::{Does, IfLost};
use engine::doc::series::{self, Series};
use engine::house::House;
use engine::plan;
use engine::plan::model::{Luck, Surroundings};
use engine::rule::{self, Event, Kind, Part, Set, Worst};
use engine::units::Quantity;
use engine::year::{self, Days, Year};
use serde::Serialize;
use std::ops::ControlFlow;

/// The rules of a job.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Rules {
    /// Each rule that can run, the strongest first.
    pub rules: Vec<Rule>,
    /// Devices that may be commanded; all others are advised.
    pub commanded: Vec<String>,
    /// Devices whose command is refused, with the reasons.
    pub refused: Vec<(String, Vec<rule::Refusal>)>,
    /// What the provocation of each rule showed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub provoked: Vec<Provoked>,
    /// Series lived through.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub lived: Vec<Lived>,
    /// A year with and without the rules.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub year: Option<Years>,
    /// The set itself.
    #[serde(skip)]
    pub set: Option<Set>,
}

/// One rule.
#[derive(Clone, Debug, Serialize)]
pub struct Rule {
    /// Its name.
    pub name: String,
    /// The name people read.
    pub label: String,
    /// Its device.
    pub device: String,
    /// Share of full while on; nothing for a lock-out.
    pub on: Option<f64>,
    /// Share of full while no rule is on.
    pub off: Option<f64>,
    /// Share of full that a lock-out leaves.
    pub floor: Option<f64>,
    /// When it starts.
    pub on_when: String,
    /// When it ends.
    pub off_when: Option<String>,
    /// Least time on, s.
    pub min_on_s: f64,
    /// Least time off, s.
    pub min_off_s: f64,
    /// Most time on in 24 hours, s.
    pub most_on_s: Option<f64>,
    /// Priority.
    pub priority: usize,
    /// On a lost signal.
    pub if_lost: IfLost,
    /// The most that it comes to owe in one go.
    pub worst_debt: Option<Worst>,
}

/// A rule provoked.
#[derive(Clone, Debug, Serialize)]
pub struct Provoked {
    /// The rule, by place.
    pub rule: usize,
    /// Whether all was seen that was expected.
    pub as_expected: bool,
    /// What was done.
    pub parts: Vec<Part>,
    /// What happened.
    pub events: Vec<Event>,
    /// Alternatives of the condition for which no signals were found.
    pub without: usize,
}

/// A series lived through.
#[derive(Clone, Debug, Serialize)]
pub struct Lived {
    /// The file.
    pub file: String,
    /// Date and time of its first row, where it tells: by the clock on the wall, or in UTC.
    pub start: Option<jiff::civil::DateTime>,
    /// The zone whose clock people live by, where the series is in UTC and the job tells it.
    #[serde(skip)]
    pub zone: Option<jiff::tz::TimeZone>,
    /// What happened, in order.
    pub events: Vec<Event>,
    /// How long it is, s.
    pub lasts_s: f64,
    /// Owed at its end, s of one excess exposure; nothing where the documents owe nothing.
    pub owed_s: Option<f64>,
}

impl Lived {
    /// The clock on the wall at a time of the series, summer time included.
    pub fn clock(&self, time_s: f64) -> Option<jiff::civil::DateTime> {
        wall(self.start?, time_s, self.zone.as_ref())
    }
}

/// The clock on the wall a time after `start`, which is itself by that clock, or in UTC where `zone` says
/// whose clock is meant.
fn wall(
    start: jiff::civil::DateTime,
    time_s: f64,
    zone: Option<&jiff::tz::TimeZone>,
) -> Option<jiff::civil::DateTime> {
    let at = start.checked_add(jiff::SignedDuration::from_secs_f64(time_s)).ok()?;
    let Some(zone) = zone else { return Some(at) };
    Some(zone.to_datetime(jiff::tz::TimeZone::UTC.to_timestamp(at).ok()?))
}

/// A year with and without the rules.
#[derive(Clone, Debug, Serialize)]
pub struct Years {
    /// The plan it is lived with, by name; nothing for the house as found.
    pub plan: Option<String>,
    /// Without the rules.
    pub without: Figures,
    /// With them.
    pub with: Figures,
}

/// Figures of a year.
#[derive(Clone, Debug, Serialize)]
pub struct Figures {
    /// Outdoor air that reaches the living space straight, 1/h.
    pub outdoor_air_per_h: f64,
    /// Electricity of everything the model knows, J.
    pub electricity_j: f64,
    /// Part of the time that the air handler runs.
    pub handler_duty: f64,
    /// Rooms that people live in.
    pub rooms: Vec<Room>,
}

/// A room in a year.
#[derive(Clone, Debug, Serialize)]
pub struct Room {
    /// The name people read.
    pub label: String,
    /// CO2 at night, 95 % of the hours below, ppm.
    pub night_co2_p95_ppm: f64,
    /// Hours above 60 %, h.
    pub damp_h: f64,
    /// Mean PM2.5, kg/m3.
    pub pm25_mean_kg_m3: f64,
}

/// Days that stand for the year, four a month.
const DAYS: usize = 48;

/// A year of the house as fitted, perhaps after a plan, with and without the rules.
pub(crate) fn years(
    job: &Job,
    set: &Set,
    plan: Option<&str>,
    listen: &mut Listen<'_>,
    stopped: &mut bool,
) -> Option<Years> {
    let (house, place) = (job.house.as_ref()?, &job.documents.job.place);
    let Some(weather) = &job.weather else {
        job.say(Diagnostic::warning(code::J104).at(Span::new("job.toml", 0..0)));
        return None;
    };
    let planned = job.planned.iter().find(|p| Some(p.name.as_str()) == plan);
    if let (Some(name), None) = (plan, planned) {
        let known: Vec<&str> = job.planned.iter().map(|p| p.name.as_str()).collect();
        job.say(
            Diagnostic::error(code::T011)
                .arg("name", name)
                .arg("kind", "plan")
                .arg("near", engine::text::closest(name, known.iter().copied()).unwrap_or(""))
                .arg("known", known.join(", ")),
        );
        return None;
    }
    let fit = job.fit(false, listen, stopped)?;
    let mut theta = vec![0.0; house.params.len()];
    for draw in &fit.draws {
        theta.iter_mut().zip(draw).for_each(|(t, d)| *t += d / fit.draws.len() as f64);
    }
    let luck = Luck { seed: job.documents.job.seed, draw: 0 };
    let around = Surroundings { place, weather, rules: None };
    let changes = planned.map_or(&[][..], |p| p.changes.as_slice());
    let run = |rules: bool| {
        let mut model = plan::model::model(house, &theta, changes, luck, around)?;
        let altitude_m = place.altitude_m.unwrap_or(0.0);
        let controls = rules.then(|| plan::controls(house, &theta, altitude_m, &mut model, set));
        let days = Days::Picked(weather.stratified_days(DAYS));
        let options = year::Options { days, controls, ..year::Options::default() };
        year::run(&model, weather, &options, &mut |_| ControlFlow::Continue(()))
    };
    match (run(false), run(true)) {
        (Ok(without), Ok(with)) => Some(Years {
            plan: plan.map(str::to_owned),
            without: figures(&without, house),
            with: figures(&with, house),
        }),
        (Err(error), _) | (_, Err(error)) => {
            job.say(error.diagnostic());
            None
        }
    }
}

fn figures(year: &Year, house: &House) -> Figures {
    let lived = house.zones.iter().zip(&year.zones).filter(|(z, _)| z.kind.is_indoors());
    let room = |(z, y): (&engine::house::Zone, &year::ZoneYear)| Room {
        label: z.label.clone(),
        night_co2_p95_ppm: y.night_co2_p95_ppm,
        damp_h: y.damp_h,
        pm25_mean_kg_m3: y.pm25_mean_kg_m3,
    };
    Figures {
        outdoor_air_per_h: year.outdoor_air_per_h,
        electricity_j: year.energy.electricity_j(),
        handler_duty: year.handler_duty,
        rooms: lived.map(room).collect(),
    }
}

/// The rules of a job; with `test`, provoked and lived through every `rules/*.csv`.
pub(crate) fn answer(job: &Job, files: &[File], test: bool) -> Option<Rules> {
    if job.documents.house.is_none() {
        job.no_house();
        return None;
    }
    let set = job.rules.clone()?;
    if job.documents.rules.rules.is_empty() {
        job.say(Diagnostic::warning(code::R126).at(Span::new("rules", 0..0)));
        return None;
    }
    let rules = set.rules.iter().enumerate().map(|(at, r)| {
        let (on, off, floor) = match r.does {
            Does::Set { on, off } => (Some(on), off, None),
            Does::LockOut { floor } => (None, None, Some(floor)),
        };
        Rule {
            name: r.name.clone(),
            label: r.label.clone(),
            device: set.signals.devices[r.device].name.clone(),
            on,
            off,
            floor,
            on_when: r.text.0.text.clone(),
            off_when: r.text.1.as_ref().map(|c| c.text.clone()),
            min_on_s: r.min_on_s,
            min_off_s: r.min_off_s,
            most_on_s: Some(r.most_on_s).filter(|m| m.is_finite()),
            priority: r.priority,
            if_lost: r.if_lost,
            worst_debt: set.worst_debt(at),
        }
    });
    let name = |device: usize| set.signals.devices[device].name.clone();
    let mut out = Rules {
        rules: rules.collect(),
        commanded: job.commands.0.iter().map(|c| name(c.device)).collect(),
        refused: job.commands.1.clone(),
        ..Rules::default()
    };
    if test {
        let provoke = |at| {
            rule::provoke(&set, at).map(|p| Provoked {
                rule: at,
                as_expected: p.is_as_expected(),
                parts: p.parts,
                events: p.events,
                without: p.without,
            })
        };
        out.provoked = (0..set.rules.len()).filter_map(provoke).collect();
        let named = |f: &&File| f.name.starts_with("rules/") && f.name.ends_with(".csv");
        out.lived = files.iter().filter(named).filter_map(|f| live(job, &set, f)).collect();
    }
    out.set = Some(set);
    Some(out)
}

/// Lives through one series; signals without a column stand at their usual values.
fn live(job: &Job, set: &Set, file: &File) -> Option<Lived> {
    let series: Series = series::read(file, job.sink())?;
    let mut rows = vec![set.signals.usual(); series.time_s.len()];
    let mut given = vec![false; set.signals.list.len()];
    for name in series.names() {
        let Some(slot) = set.signals.slot(name) else {
            let near = engine::text::closest(name, set.signals.list.iter().map(|s| s.name.as_str()));
            job.say(
                Diagnostic::warning(code::R141)
                    .at(Span::new(&file.name, 0..0))
                    .arg("name", name)
                    .arg("near", near.unwrap_or("")),
            );
            continue;
        };
        let quantity = match set.signals.list[slot].kind {
            Kind::Flag => Quantity::Number,
            Kind::Measure(q) => q,
        };
        given[slot] = true;
        let Some(column) = series.column(name, quantity, job.sink()) else { continue };
        for (row, value) in rows.iter_mut().zip(column) {
            row[slot] = value;
        }
    }
    let place = &job.documents.job.place;
    let zone = series.utc.then(|| place.time_zone.as_ref().and_then(crate::zone::known)).flatten();
    // The clock is known where dates are: hour, weekday and month need no column of their own.
    if let Some(start) = series.start {
        type Reads = fn(jiff::civil::DateTime) -> f64;
        let clocks: [(&str, Reads); 3] = [
            ("time.hour", |t| {
                let midnight = t.duration_since(t.date().at(0, 0, 0, 0));
                midnight.as_secs_f64() / 3600.0
            }),
            ("time.weekday", |t| f64::from(t.weekday().to_monday_one_offset())),
            ("time.month", |t| f64::from(t.month())),
        ];
        for (name, reads) in clocks {
            let Some(slot) = set.signals.slot(name).filter(|s| !given[*s]) else { continue };
            given[slot] = true;
            for (row, time_s) in rows.iter_mut().zip(&series.time_s) {
                if let Some(t) = wall(start, *time_s, zone.as_ref()) {
                    row[slot] = reads(t);
                }
            }
        }
    }
    let own = |name: &str| matches!(name, "house.relative_exposure" | "house.debt");
    let mut missing: Vec<&str> = set
        .rules
        .iter()
        .flat_map(|r| &r.slots)
        .map(|s| usize::from(*s))
        .filter(|s| !given[*s])
        .map(|s| set.signals.list[s].name.as_str())
        .filter(|n| !own(n))
        .collect();
    missing.sort_unstable();
    missing.dedup();
    if !missing.is_empty() {
        let names = missing.join(", ");
        job.say(Diagnostic::note(code::R142).at(Span::new(&file.name, 0..0)).arg("names", names));
    }
    // What no column tells of the outdoor air is what the documents count: infiltration alone.
    if let Some(slot) = set.signals.slot("house.outdoor_air").filter(|s| !given[*s]) {
        rows.iter_mut().for_each(|row| row[slot] = f64::NAN);
    }
    let (events, machine) = rule::live(set, &series.time_s, &rows);
    Some(Lived {
        file: file.name.clone(),
        start: series.start,
        zone,
        events,
        lasts_s: series.time_s.last().copied().unwrap_or(0.0),
        owed_s: machine.ledger().map(rule::Ledger::owed_s),
    })
}

#[cfg(test)]
mod tests {
    use crate::{Inputs, READY_SETS, Request, answer, demo, ready_rules};
    use engine::doc::File;
    use engine::doc::rules::Does;
    use std::ops::ControlFlow;

    fn inputs(rules: &[(String, String)]) -> Inputs {
        let mut files = demo().unwrap();
        files.extend(rules.iter().map(|(name, text)| File { name: name.clone(), text: text.clone() }));
        Inputs { files, now: String::new() }
    }

    fn said(inputs: &Inputs) -> (Vec<String>, crate::Outcome) {
        let out = answer(&Request::Rules { test: true, year: false, plan: None }, inputs, &mut |_| {
            ControlFlow::Continue(())
        });
        let ours = |d: &&engine::diag::Diagnostic| {
            d.code.0.starts_with('R') || d.spans.first().is_some_and(|s| s.file.starts_with("rules"))
        };
        let words = crate::words(inputs);
        let list = out.diagnostics.list.iter().filter(ours);
        (list.map(|d| format!("{} {}", d.code, words.diagnostic(d).text)).collect(), out)
    }

    /// The demonstration house has no dehumidifier: a plan of it gets one.
    fn with_dehumidifier(mut inputs: Inputs) -> Inputs {
        let plans = inputs.files.iter_mut().find(|f| f.name == "plans.toml").unwrap();
        plans.text += "\n[[plan.c.change]]\ndo = \"dehumidify\"\nzone = \"main\"\ncapacity = \"50 pt/d\"\nefficiency = \"1.8 L/kWh\"\nset_point = \"50 %\"\n";
        inputs
    }

    #[test]
    fn every_ready_set_reads_and_does_what_it_says() {
        let empty = with_dehumidifier(inputs(&[]));
        let all: Vec<(String, String)> = READY_SETS
            .iter()
            .map(|set| (format!("rules/{set}.toml"), ready_rules(&empty, set).unwrap()))
            .collect();
        assert!(all.iter().all(|(_, text)| !text.contains('{')), "{all:?}");
        let inputs = with_dehumidifier(inputs(&all));
        let (said, out) = said(&inputs);
        assert!(said.is_empty(), "{said:#?}");
        let rules = out.data.rules.unwrap();
        assert_eq!(rules.rules.len(), 14);
        for p in &rules.provoked {
            assert!(p.as_expected && p.without == 0, "{} {p:#?}", rules.rules[p.rule].name);
        }
        // Lock-outs leave a floor, end in hours and owe for longer than they act.
        let set = rules.set.unwrap();
        let locks: Vec<_> = set.rules.iter().filter(|r| matches!(r.does, Does::LockOut { .. })).collect();
        assert_eq!(locks.len(), 3);
        for (rule, lock) in rules.rules.iter().zip(&set.rules).filter(|(r, _)| r.floor.is_some()) {
            assert!(rule.floor.unwrap() > 0.0 && lock.debt && lock.most_on_s <= 16.0 * 3600.0);
            assert!(rule.worst_debt.unwrap().owed_s > 0.0, "{rule:?}");
        }
        let html = &out.documents[0].text;
        assert!(html.contains("Commissioning sheet") && !html.contains("rules-"), "a key without words");
        assert!(out.summary.text.contains("must be seen:"), "{}", out.summary.text);
    }

    #[test]
    fn the_documented_rules_read_and_act() {
        let text = include_str!("../../docs/RULES.md");
        let blocks = text.split("```toml\n").skip(1).filter_map(|part| part.split("```").next());
        let text = blocks.collect::<Vec<_>>().join("\n");
        let inputs = inputs(&[("rules/documented.toml".to_owned(), text)]);
        let (said, out) = said(&inputs);
        assert!(said.is_empty(), "{said:#?}");
        let rules = out.data.rules.unwrap();
        assert!(rules.rules.len() >= 4 && rules.provoked.iter().all(|p| p.as_expected));
        assert_eq!((rules.commanded.len(), rules.refused.len()), (1, 0));
    }

    #[test]
    fn every_signal_is_documented() {
        let text = include_str!("../../docs/RULES.md");
        let inputs = inputs(&[]);
        let job = crate::Job::open(&inputs);
        let signals = &job.rules.as_ref().unwrap().signals;
        let zones = ["main", "bedroom", "closet", "attic", "crawl"];
        for signal in &signals.list {
            let (place, field) = signal.name.split_once('.').unwrap();
            let place = match place {
                p if zones.contains(&p) => "zone",
                p if signals.devices.iter().any(|d| d.name == p) => "device",
                p => p,
            };
            assert!(text.contains(&format!("`{place}.{field}`")), "{place}.{field} of {}", signal.name);
        }
    }

    /// In the demonstration's house after the plan with a ventilator, which runs all year by itself,
    /// the run-time set leaves it a third of every hour.
    #[test]
    fn rules_act_in_the_year() {
        let empty = inputs(&[]);
        let text = ready_rules(&empty, "run-time").unwrap();
        let inputs = inputs(&[("rules/a.toml".into(), text)]);
        let request = Request::Rules { test: false, year: true, plan: Some("c".into()) };
        let out = answer(&request, &inputs, &mut |_| ControlFlow::Continue(()));
        let years = out.data.rules.unwrap().year.unwrap();
        let (with, without) = (&years.with, &years.without);
        assert!(with.outdoor_air_per_h < without.outdoor_air_per_h, "{years:?}");
        assert!(with.rooms[1].night_co2_p95_ppm > 1.1 * without.rooms[1].night_co2_p95_ppm, "{years:?}");
        assert!(with.electricity_j < without.electricity_j, "{years:?}");
        assert!(out.summary.text.contains("A year with plan c"), "{}", out.summary.text);
    }

    #[test]
    fn a_series_is_lived_through() {
        let rule = "format = 1\n[rule.air]\nlabel = \"air\"\ndevice = \"bath_fan\"\non = \"100 %\"\non_when = 'bedroom.co2 > q(\"1000 ppm\")'\noff_when = 'bedroom.co2 < q(\"800 ppm\")'\nmin_on = \"10 min\"\n";
        let csv = "time,bedroom.co2 ppm,main.tmp degC\n2026-11-12 22:00,700,20\n2026-11-12 22:30,1100,20\n2026-11-12 22:35,700,20\n2026-11-12 23:00,700,20\n2026-11-12 23:30,,20\n";
        let inputs = inputs(&[("rules/a.toml".into(), rule.into()), ("rules/a.csv".into(), csv.into())]);
        let (said, out) = said(&inputs);
        assert!(said.len() == 1 && said[0].starts_with("R141"), "{said:?}");
        let lived = &out.data.rules.as_ref().unwrap().lived[0];
        let seen: Vec<(f64, engine::rule::Act)> = lived.events.iter().map(|e| (e.time_s, e.act)).collect();
        use engine::rule::Act::{Lost, Off, On};
        // Ten minutes at least: five minutes later it is still on.
        assert_eq!(seen, [(1800.0, On), (3600.0, Off), (5400.0, Lost)]);
        assert!(
            out.summary.text.contains("2026-11-12 22:30  air: on, bath fan at 100"),
            "{}",
            out.summary.text
        );
    }

    #[test]
    fn rules_are_read_in_the_words_of_the_house() {
        let rule = "format = 1\n[rule.crowd]\nlabel = 'more air for a crowd'\ndevice = 'bath_fan'\non = '100 %'\n\
             on_when = 'main.people > 4 && outdoor.pm25 < q(\"20 ug/m3\")'\n";
        let files = [("rules/crowd.toml".to_owned(), rule.to_owned())];
        let (said, out) = said(&inputs(&files));
        assert!(said.is_empty(), "{said:?}");
        let page = out.documents.iter().find(|d| d.name.ends_with("rules.html")).unwrap();
        let house = crate::Job::open(&inputs(&files)).house.unwrap();
        let main = &house.zones.iter().find(|z| z.name == "main").unwrap().label;
        let plain = format!("people in {main} &gt; 4 and outdoor PM2.5 &lt; 20 ug/m3");
        assert!(page.text.contains(&plain), "{plain}\n{}", page.text);
        // The names themselves stand small beside their words.
        assert!(page.text.contains("<span class=\"hash\">main.people</span>"), "{}", page.text);
        assert!(!page.text.contains('`'));
    }

    /// New York in 2026: summer time until 1 November, 6 o'clock UTC.
    #[test]
    fn times_in_utc_are_shown_by_the_clock_on_the_wall() {
        let name = engine::doc::Sp {
            value: "America/New_York".to_owned(),
            span: engine::diag::Span::new("job.toml", 0..1),
        };
        let zone = crate::zone::known(&name);
        let at = |text: &str, after_s: f64, zone: Option<&jiff::tz::TimeZone>| {
            super::wall(text.parse().unwrap(), after_s, zone).unwrap().to_string()
        };
        assert_eq!(at("2026-07-01T02:00", 0.0, zone.as_ref()), "2026-06-30T22:00:00");
        assert_eq!(at("2026-11-01T05:30", 0.0, zone.as_ref()), "2026-11-01T01:30:00");
        assert_eq!(at("2026-11-01T05:30", 3600.0, zone.as_ref()), "2026-11-01T01:30:00");
        // A clock on the wall is one already.
        assert_eq!(at("2026-07-01T02:00", 60.0, None), "2026-07-01T02:01:00");
    }
}
