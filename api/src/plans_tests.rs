//! Every change of a plan in the demonstration house: what it moves, what it cannot be.

use crate::{File, Inputs, Job};
use engine::doc::job::Measure;
use engine::doc::plans::SIZES;
use engine::gate::Gate;
use engine::plan::model::Surroundings;
use engine::plan::{self, Compared, Options, ScoreKind};
use engine::year::Days;
use std::ops::ControlFlow;

/// What the demonstration house lacks and some change needs.
const MORE: &str = "
[grille.louvre]
between = ['bedroom', 'main']
area = '0.01 to 0.02 m2'
[[humidifier]]
zone = 'main'
capacity = '0.3 kg/h'
set_point = '32 %'
[[clothes_dryer]]
zone = 'main'
at = '10:00'
lasts = '50 min'
power = '2500 W'
vent = 'room'
water = '2.5 kg'
[gas.nitrogen_dioxide]
outdoors = '20 ug/m3'
decay = '0.8 1/h'
[[gas.nitrogen_dioxide.source]]
zone = 'main'
at = '18:00'
lasts = '20 min'
rate = '3 mg/min'
";

fn files(plans: &str, prices: &str, house: impl Fn(String) -> String) -> Inputs {
    let mut files = crate::demo().unwrap();
    files.retain(|f| f.name != "plans.toml");
    for f in &mut files {
        if f.name == "house.toml" {
            let text = f.text.replace("coldest_factor = 0.55", "coldest_factor = 0.55\nlabel = 'panes'");
            f.text = house(text + MORE);
        } else if f.name == "job.toml" {
            f.text += prices;
        }
    }
    files.push(File { name: "plans.toml".into(), text: format!("format = 1\n{plans}") });
    Inputs { files, now: String::new() }
}

fn job(plans: &str, prices: &str, house: impl Fn(String) -> String) -> Job {
    Job::open(&files(plans, prices, house))
}

fn options(job: &Job, days: usize) -> Options {
    Options {
        draws: 2,
        days: Days::Picked(job.weather.as_ref().unwrap().stratified_days(days)),
        inner_step_s: 900.0,
        years_of_cost: 20.0,
        seed: 7,
        people: 3.0,
        hourly: true,
    }
}

/// Two houses that the prior allows, 24 days.
fn lived(job: &Job) -> Compared {
    let house = job.house.as_ref().unwrap();
    let mut draws = vec![house.prior_mean(), house.prior_mean()];
    draws[1].iter_mut().zip(&house.params).for_each(|(t, p)| *t += 0.5 * p.sd);
    let scores = plan::score_list(house, &job.documents.job);
    let around = Surroundings {
        place: &job.documents.job.place,
        weather: job.weather.as_ref().unwrap(),
        rules: job.rules.as_ref(),
    };
    let how = options(job, 24);
    plan::compare(house, &draws, &job.planned, &scores, around, &how, &mut |_| ControlFlow::Continue(()))
        .unwrap()
}

fn codes(job: &mut Job) -> Vec<String> {
    let found = job.take_diagnostics();
    let errors = found.list.iter().filter(|d| d.severity == engine::diag::Severity::Error);
    errors.map(|d| d.code.to_string()).collect()
}

/// What is looked at.
#[derive(Clone, Copy, Debug)]
enum Look {
    Score(ScoreKind),
    /// Mean water in the air of a zone, by its place.
    Water(usize),
}

const MAIN: usize = 0;
const BEDROOM: usize = 1;
const CRAWL: usize = 4;

fn of(measure: Measure, zone: usize) -> Look {
    let from = match measure {
        Measure::AirFrom => Some(CRAWL),
        Measure::Gas => Some(0),
        _ => None,
    };
    Look::Score(ScoreKind::Of { measure, zone: Some(zone), from })
}

fn seen(compared: &Compared, plan: usize, look: Look) -> f64 {
    match look {
        Look::Score(kind) => {
            let s = compared.scores.iter().position(|s| s.kind == kind).unwrap();
            let draws = &compared.draw_scores.values[plan][s];
            draws.iter().sum::<f64>() / draws.len() as f64
        }
        Look::Water(zone) => {
            let w = &compared.hourly[plan].series[zone].w_kg_kg;
            w.iter().sum::<f64>() / w.len() as f64
        }
    }
}

#[test]
fn each_change_moves_what_it_must_and_books_close() {
    use Look::{Score, Water};
    use ScoreKind::{Ach50, Energy, PeakCooling, PeakHeating, RelativeExposure};
    let night = of(Measure::Co2AtNight, BEDROOM);
    let pm = of(Measure::Pm25, MAIN);
    let fresh = Score(ScoreKind::Of { measure: Measure::OutdoorAir, zone: None, from: None });
    // A change, what is looked at, and whether it rises.
    let cases: &[(&str, Look, bool)] = &[
        ("do='seal'\nwhat=['floor_main','floor_bedroom']\nremoves='60 %'", of(Measure::AirFrom, MAIN), false),
        ("do='seal'\nwhat='walls_main'\nuntil='100 cfm'", Score(Ach50), false),
        ("do='seal ducts'\nremoves='80 %'", of(Measure::AirFrom, MAIN), false),
        ("do='transfer'\nbetween=['bedroom','main']\nsize='transfer_grille'", night, false),
        ("do='close opening'\nwhat='louvre'", night, true),
        ("do='exhaust fan'\nfrom='main'\nsize='exhaust_110'", fresh, true),
        ("do='exhaust fan'\nfrom='main'\nsize='exhaust_110'", Score(RelativeExposure), false),
        ("do='exhaust fan'\nfrom='main'\nflow='100 cfm'\nabove_rh='30 %'", fresh, true),
        ("do='exhaust fan'\nfrom='main'\nflow='100 cfm'\nshare='50 %'", fresh, true),
        ("do='range hood'\nzone='main'\nsize='hood_250'", pm, false),
        ("do='range hood'\nzone='main'\nsize='hood_250'", of(Measure::Gas, MAIN), false),
        ("do='supply fan'\nto='bedroom'\nsize='supply_60'", night, false),
        ("do='balanced ventilation'\nto='bedroom'\nfrom='main'\nsize='hrv_100'", night, false),
        (
            "do='balanced ventilation'\nto='bedroom'\nfrom='main'\nsize='hrv_100'",
            Score(RelativeExposure),
            false,
        ),
        ("do='outdoor air to return'\nsize='intake_100'", fresh, true),
        ("do='filter'\nsize='merv_13'", pm, false),
        ("do='air cleaner'\nzone='main'\nsize='cleaner_200'", pm, false),
        (
            "do='air cleaner'\nzone='main'\nsize='cleaner_200'",
            Score(ScoreKind::PersonPm25 { people: 0 }),
            false,
        ),
        ("do='mix'\nshare='60 %'", night, false),
        ("do='dehumidify'\nzone='main'\nsize='dehumidifier_50'", of(Measure::HumidHours, MAIN), false),
        ("do='humidify'\nzone='main'\nsize='humidifier_evaporative'", of(Measure::DryHours, MAIN), false),
        ("do='remove'\nwhat='humidifier'\nzone='main'", of(Measure::DryHours, MAIN), true),
        ("do='fan speed'\nwhat='bath_fan'\nto='200 %'", fresh, true),
        ("do='run fan'\nfan='range_hood'\nruns='18:00 to 18:30'", pm, false),
        ("do='set points'\nheating='64 degF'", Score(Energy), false),
        (
            "do='set points'\nheating_set_back='60 degF'\nhours='22:30 to 06:00'",
            of(Measure::CoolHours, MAIN),
            true,
        ),
        ("do='door'\ndoor='bedroom_door'\nat_night='open'", night, false),
        ("do='insulate'\nbetween=['main','attic']\nadds_r='30 R'", Score(PeakHeating), false),
        ("do='insulate'\nbetween=['main','attic']\nadds_r='30 R'", Score(Energy), false),
        ("do='glazing'\nsurface='panes'\nr='5 R'\nshgc=0.2\nzone='main'", Score(PeakHeating), false),
        ("do='glazing'\nsurface='panes'\nr='5 R'", of(Measure::MouldIndex, MAIN), false),
        ("do='shade'\nzone='main'\ncuts='80 %'", Score(PeakCooling), false),
        ("do='ground cover'\nzone='crawl'\ncover='95 %'", Water(CRAWL), false),
        ("do='drain'\nzone='crawl'\ncuts='50 %'", Water(CRAWL), false),
        (
            "do='close crawl space'\nzone='crawl'\nremoves='90 %'\ncover='100 %'",
            of(Measure::AirFrom, MAIN),
            false,
        ),
        ("do='vent dryer'\nzone='main'\nflow='100 cfm'", Water(MAIN), false),
        ("do='cut source'\nwhat='cooking dinner'\ncuts='50 %'", pm, false),
        ("do='cut source'\nwhat='nitrogen_dioxide'\ncuts='50 %'", of(Measure::Gas, MAIN), false),
    ];
    let plans: String = cases
        .iter()
        .enumerate()
        .map(|(i, c)| format!("[plan.p{i}]\n[[plan.p{i}.change]]\n{}\n", c.0))
        .collect();
    let mut job = job(&plans, "", |t| t);
    assert_eq!(codes(&mut job), [""; 0]);
    let compared = lived(&job);
    let mut wrong = Vec::new();
    for (i, (text, look, rises)) in cases.iter().enumerate() {
        let (before, after) = (seen(&compared, 0, *look), seen(&compared, i + 1, *look));
        if !(if *rises { after > before } else { after < before }) {
            wrong.push(format!("{text}: {look:?} {before} -> {after}"));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(compared.books_worst < 1e-9, "{}", compared.books_worst);
    // Differences are paired: those of the house as found are nothing.
    assert!(compared.plans[0].differences.iter().all(|d| d.si == 0.0 || d.si.is_nan()));
}

#[test]
fn recovery_saves_heat_and_moisture() {
    let unit = |name: &str, more: &str| {
        format!(
            "[plan.{name}]\n[[plan.{name}.change]]\ndo='balanced ventilation'\nto='bedroom'\nfrom='main'\n\
             flow='100 cfm'\npower='50 W'\n{more}\n"
        )
    };
    let plans = unit("none", "recovery='0 %'")
        + &unit("heat", "recovery='80 %'")
        + &unit("both", "recovery='80 %'\nmoisture='60 %'");
    let job = job(&plans, "", |t| t);
    let compared = lived(&job);
    let at = |plan, look| seen(&compared, plan, look);
    let energy = Look::Score(ScoreKind::Energy);
    assert!(at(2, energy) < at(1, energy));
    let dry = of(Measure::DryHours, MAIN);
    assert!(at(3, dry) < at(2, dry), "{} {}", at(3, dry), at(2, dry));
}

#[test]
fn what_cannot_exist_is_an_error_where_it_stands() {
    let errors = |change: &str, house: &dyn Fn(String) -> String| {
        let mut job = job(&format!("[plan.p]\n[[plan.p.change]]\n{change}\n"), "", house);
        let found = job.take_diagnostics();
        assert!(job.planned.is_empty(), "{change}");
        let errors = found.list.iter().filter(|d| d.severity == engine::diag::Severity::Error);
        errors.map(|d| (d.code.to_string(), d.spans[0].file.clone())).collect::<Vec<_>>()
    };
    let bare = |text: String| {
        let (before, handler) = text.split_once("[air_handler]").unwrap();
        let (_, after) = handler.split_once("# ----").unwrap();
        format!("{before}#{after}")
    };
    let same = |text: String| text;
    let cases: &[(&str, &str)] = &[
        ("do='seal'\nwhat='wals_main'\nremoves='50 %'", "T011"),
        ("do='seal'\nwhat='walls_main'", "T003"),
        ("do='balanced ventilation'\nflow='60 cfm'\nrecovery='70 %'", "T003"),
        ("do='balanced ventilation'\nto='bedroom'\nfrom='nowhere'\nsize='hrv_60'", "T011"),
        ("do='set points'\nheating='78 degF'\ncooling='75 degF'", "P104"),
        ("do='set points'\nheating='77 degF'", "P104"),
        ("do='set points'\ncooling_set_back='60 degF'\nhours='22:00 to 06:00'", "P104"),
        ("do='remove'\nwhat='dehumidifier'\nzone='main'", "P105"),
        ("do='ground cover'\nzone='attic'\ncover='90 %'", "P105"),
        ("do='shade'\nzone='closet'\ncuts='50 %'", "P105"),
        ("do='vent dryer'\nzone='bedroom'\nflow='100 cfm'", "P105"),
        ("do='exhaust fan'\nfrom='main'\nsize='hrv_60'", "P106"),
        ("do='exhaust fan'\nfrom='main'\nsize='exhaust_81'", "T011"),
        ("do='filter'\nmerv=20", "P108"),
        ("do='filter'\nwhat='gone'\npm25='50 %'", "T011"),
        ("do='close opening'\nwhat='gone'", "T011"),
        ("do='insulate'\nsurface='gone'\nadds_r='10 R'", "T011"),
        ("do='run fan'\nfan='gone'\nruns=['06:00 to 07:00']", "T011"),
    ];
    for (change, code) in cases {
        let found = errors(change, &same);
        assert!(found.iter().any(|(c, file)| c == code && file == "plans.toml"), "{change}: {found:?}");
    }
    for change in
        ["do='filter'\nmerv=13", "do='outdoor air to return'\nsize='intake_60'", "do='mix'\nshare='30 %'"]
    {
        let found = errors(change, &bare);
        assert!(found.iter().any(|(c, _)| c == "P102"), "{change}: {found:?}");
    }
    // Added, then taken away, then taken away again.
    let twice = "do='remove'\nwhat='humidifier'\nzone='main'\n[[plan.p.change]]\ndo='remove'\nwhat='humidifier'\nzone='main'";
    assert_eq!(errors(twice, &same).iter().map(|e| e.0.as_str()).collect::<Vec<_>>(), ["P105"]);
    // An area that nobody wrote.
    let no_area =
        |text: String| text.replace("area = \"900 ft2\"\nr = \"11 ft2 h degF/Btu\"", "ua = \"80 W/K\"");
    let found = errors("do='insulate'\nbetween=['main','outdoors']\nadds_r='10 R'", &no_area);
    assert!(found.iter().any(|(c, _)| c == "P109"), "{found:?}");
}

#[test]
fn a_big_hood_in_an_unchanged_shell_is_held_and_a_cleaner_is_not() {
    let plans = "[plan.hood]\n[[plan.hood.change]]\ndo='range hood'\nzone='main'\nflow='900 cfm'\n\
        [plan.clean]\n[[plan.clean.change]]\ndo='air cleaner'\nzone='main'\nsize='cleaner_200'\n";
    let job = job(plans, "", |t| t);
    assert!(matches!(job.planned[0].gate, Gate::Held { .. }) && job.planned[0].release.is_none());
    assert!(job.planned[1].gate.is_released() && job.planned[1].release.is_some());
}

#[test]
fn prices_are_the_users_own() {
    let plans = "[plan.a]\n[[plan.a.change]]\ndo='filter'\nsize='merv_13'\n[[plan.a.change]]\ndo='seal'\n\
        what='walls_main'\nremoves='30 %'\nprice='caulk'\ncount=3\n\
        [plan.b]\nextends='a'\n[[plan.b.change]]\ndo='mix'\nshare='20 %'\n";
    let prices = "\n[price.merv_13]\neach='60 to 90 USD'\nyearly='120 USD'\n[price.caulk]\neach='100 USD'\n";
    let mut job = job(plans, prices, |t| t);
    assert_eq!(codes(&mut job), [""; 0]);
    assert_eq!((job.planned[0].price, job.planned[0].yearly), (Some((360.0, 390.0)), (120.0, 120.0)));
    // One change without a price: no first cost is claimed.
    assert_eq!(job.planned[1].price, None);
    let mut unknown = self::job(&plans.replace("caulk", "caulking"), prices, |t| t);
    assert_eq!(codes(&mut unknown), ["T011"]);
}

/// Every generic size can be taken by a change that adds the place only.
#[test]
fn every_size_is_whole() {
    let places = |verb: &str| match verb {
        "exhaust fan" => "from='main'",
        "supply fan" => "to='bedroom'",
        "balanced ventilation" => "to='bedroom'\nfrom='main'",
        "transfer" => "between=['bedroom','main']",
        "filter" | "outdoor air to return" => "",
        _ => "zone='main'",
    };
    let mut plans = String::new();
    for (i, size) in SIZES.split("[size.").skip(1).enumerate() {
        let name = size.split(']').next().unwrap();
        let verb = size.split("do = \"").nth(1).unwrap().split('"').next().unwrap();
        plans +=
            &format!("[plan.p{i}]\n[[plan.p{i}.change]]\ndo='{verb}'\nsize='{name}'\n{}\n", places(verb));
    }
    let mut job = job(&plans, "", |t| t);
    assert_eq!(codes(&mut job), [""; 0]);
    assert_eq!(job.planned.len(), SIZES.matches("[size.").count());
    assert!(!SIZES.contains("price ="));
}

#[test]
fn a_search_keeps_what_is_not_beaten_and_finds_the_same_again() {
    let plans = "[search.air]\nat_most = 2\n\
        [[search.air.change]]\ndo='transfer'\nbetween=['bedroom','main']\nsize='transfer_grille'\nprice='grille'\n\
        [[search.air.change]]\ndo='exhaust fan'\nfrom='main'\nflow='60 cfm'\npower='8 W'\nleast='20 cfm'\nmost='140 cfm'\ngroup='fan'\nprice='fan'\n\
        [[search.air.change]]\ndo='supply fan'\nto='bedroom'\nsize='supply_60'\ngroup='fan'\nprice='fan'\n\
        [[search.air.change]]\ndo='dehumidify'\nzone='main'\nsize='dehumidifier_50'\nprice='fan'\n";
    let prices = "\n[price.grille]\neach='200 USD'\n[price.fan]\neach='900 USD'\n";
    let mut job = job(plans, prices, |t| t);
    assert_eq!(codes(&mut job), [""; 0]);
    let house = job.house.as_ref().unwrap();
    let draws = vec![house.prior_mean(); 3];
    let scores = plan::score_list(house, &job.documents.job);
    let around = Surroundings {
        place: &job.documents.job.place,
        weather: job.weather.as_ref().unwrap(),
        rules: job.rules.as_ref(),
    };
    let how = options(&job, 24);
    let run = || {
        let mut go = |_: plan::Progress| ControlFlow::Continue(());
        plan::search(house, &draws, &job.searches[0], &scores, (around, None), &how, &mut go).unwrap()
    };
    let found = run();
    // None, four alone, and of the six pairs all but that of two fans.
    assert_eq!(found.rounds[0].ran, 10);
    assert!(found.rounds.iter().all(|r| r.left <= r.ran) && !found.kept.is_empty());
    // A dehumidifier solves neither complaint: nothing with it is left but what it costs.
    assert!(found.kept.iter().all(|c| !c.taken.contains(&3)), "{:?}", found.kept);
    for c in &found.kept {
        for (k, setting) in c.taken.iter().zip(&c.settings) {
            let (lo, hi) = match job.searches[0].choices[*k].vary {
                Some(ends) => ends,
                None => {
                    assert!(setting.is_none());
                    continue;
                }
            };
            // On a grid of 32 steps.
            let place = (setting.unwrap() - lo) / (hi - lo) * 32.0;
            assert!(
                (-1e-9..=32.0 + 1e-9).contains(&place) && (place - place.round()).abs() < 1e-9,
                "{place}"
            );
        }
    }
    assert_eq!(found, run());
    // Stopped without loss of anything but the search.
    let mut stop = |_: plan::Progress| ControlFlow::Break(());
    assert!(plan::search(house, &draws, &job.searches[0], &scores, (around, None), &how, &mut stop).is_err());
}

#[test]
fn too_many_combinations_are_refused() {
    let one = "[[search.s.change]]\ndo='air cleaner'\nzone='main'\nsize='cleaner_100'\n";
    let mut job = job(&format!("[search.s]\nat_most=9\n{}", one.repeat(9)), "", |t| t);
    assert_eq!(codes(&mut job), ["P110"]);
    assert!(job.searches.is_empty());
}

/// Complaints may be about every measure; thresholds are the job's or their own.
#[test]
fn complaints_of_every_measure_are_scored() {
    let complaint = |quantity: &str, limit: &str, more: &str| {
        format!("\n[[complaint]]\nwords='x'\nzone='main'\nquantity='{quantity}'\nlimit='{limit}'\n{more}\n")
    };
    let job_text = complaint("mould index", "3", "")
        + &complaint("condensing hours", "5 %", "")
        + &complaint("gas", "25 ug/m3", "gas='nitrogen_dioxide'")
        + &complaint("CO2 hours", "10 %", "beyond='800 ppm'")
        + &complaint("PM2.5 over outdoors", "50 %", "")
        + &complaint("PM2.5 days", "5 %", "")
        + &complaint("warm hours", "5 %", "beyond='78 degF'")
        + &complaint("cool hours", "5 %", "")
        + "\n[thresholds]\ncool='60 degF'\n";
    let mut job = job("[plan.p]\n[[plan.p.change]]\ndo='filter'\nmerv=8\n", &job_text, |t| t);
    assert_eq!(codes(&mut job), [""; 0]);
    let compared = lived(&job);
    for (s, score) in compared.scores.iter().enumerate().filter(|(_, s)| s.complaint.is_some()) {
        assert!(compared.plans[1].values[s].si.is_finite(), "{score:?}");
        assert!(compared.plans[1].met[s].is_some());
    }
    let of = |measure| {
        let is = |s: &&plan::Score| matches!(s.kind, ScoreKind::Of { measure: m, .. } if m == measure);
        compared.scores.iter().find(is).unwrap().beyond
    };
    assert!((of(Measure::Co2Hours).unwrap() - 800e-6).abs() < 1e-12);
    assert!((of(Measure::CoolHours).unwrap() - 288.706).abs() < 1e-3);
    assert!((of(Measure::Pm25Days).unwrap() - 15e-9).abs() < 1e-18);
}

/// The examples of the documents' page are read without a fault, in the demonstration house.
#[test]
fn the_page_of_the_plans_document_holds() {
    let page = include_str!("../../docs/PLANS.md");
    let blocks: Vec<&str> = page.split("```toml\n").skip(1).map(|b| b.split("```").next().unwrap()).collect();
    let [plans, prices, searches, events, rules] = blocks[..] else { panic!("{} blocks", blocks.len()) };
    let text = plans.replace("format = 1", "") + searches + events + rules;
    let mut inputs = files(&text, &format!("\n{prices}"), |t| t);
    for set in ["smoke", "night"] {
        let text = crate::ready_rules(&inputs, set).unwrap();
        inputs.files.push(File { name: format!("rules/{set}.toml"), text });
    }
    let mut job = Job::open(&inputs);
    let found = job.take_diagnostics();
    assert!(found.list.iter().all(|d| d.severity != engine::diag::Severity::Error), "{:?}", found.list);
    assert_eq!((job.planned.len(), job.searches.len(), job.documents.events.len()), (3, 1, 2));
    assert!((job.documents.events[0].lasts_s - 3.0 * 86_400.0).abs() < 1e-9);
    let ruled = job.planned[2].changes.iter().find_map(|c| match c {
        engine::doc::plans::Change::Rules { acts, .. } => Some(acts.len()),
        _ => None,
    });
    // A ventilator's lock-outs and set, and a flush at night.
    assert!(ruled.is_some_and(|acts| acts >= 3), "{ruled:?}");
    // None, three alone, and two pairs that are not of one group.
    assert_eq!(job.searches[0].combinations().len(), 6);
    // Every change has its row.
    for (verb, _) in engine::doc::plans::Verb::CHOICES {
        assert!(page.contains(&format!("`{verb}`")), "{verb}");
    }
    for (kind, _) in engine::doc::plans::EventKind::CHOICES {
        assert!(page.contains(&format!("| `{kind}` |")), "{kind}");
    }
}

const BLOWER: &str = "
[air_handler.blower]
motor = 'permanent split capacitor'
rise = '0.6 inH2O'
shut_off = '1.3 inH2O'
[air_handler.filter]
drop = '0.12 inH2O'
STANDS
[air_handler.intake]
flow = '60 cfm'
";

/// A loading filter takes flow from the handler wherever it stands, from an intake where it stands between
/// its junction and the blower, and gives an intake more where it stands before the junction.
#[test]
fn a_filter_moves_the_handlers_flow_and_its_intake() {
    let plans =
        "[plan.loaded]\n[[plan.loaded.change]]\ndo='filter'\npm25='30 %'\ndrop='0.12 inH2O'\nloading=3\n";
    for (stands, more) in [("stands = 'blower'", false), ("stands = 'grille'", true)] {
        let mut job = job(plans, "", |t| t + &BLOWER.replace("STANDS", stands));
        assert_eq!(codes(&mut job), [""; 0]);
        let compared = lived(&job);
        let [found, loaded] = [0, 1].map(|p| compared.handler[p].as_ref().unwrap());
        assert!(loaded.flow.si < 0.97 * found.flow.si, "{found:?} {loaded:?}");
        assert!((loaded.intake.si > found.intake.si) == more, "{stands}: {found:?} {loaded:?}");
        assert!((found.intake.si / 0.028_316_8 - 1.0).abs() < 0.02 || !more, "{found:?}");
        // Less air per hour of running: the handler runs longer or its fan works with less power.
        let energy = |p: usize| compared.energy_parts[p][0];
        assert!(energy(0).iter().zip(energy(1)).any(|(a, b)| (a - b).abs() > 1e-3 * a.abs()));
        // Both are shown.
        let words = job.words();
        let text = crate::present::plan_lines(&job, &compared, &words);
        assert!(text.matches("air handler moves").count() == 2 && text.contains("outdoor duct"), "{text}");
    }
}

#[test]
fn a_blower_that_cannot_be_is_said() {
    let plain = |text: &str| text.to_owned();
    let with = |old: &str, new: &str| BLOWER.replace("STANDS", "").replace(old, new);
    for (text, code) in [
        (with("shut_off = '1.3 inH2O'", "shut_off = '0.5 inH2O'"), "R143"),
        (with("drop = '0.12 inH2O'", "drop = '0.7 inH2O'"), "R144"),
        (with("motor = 'permanent split capacitor'", ""), "T005"),
    ] {
        let mut job = job("", "", |t| plain(&t) + &text);
        let found = codes(&mut job);
        assert!(found.iter().any(|c| c == code) || code == "T005" && !found.is_empty(), "{code}: {found:?}");
    }
    // A plan's filter that leaves no flow.
    let plans = "[plan.p]\n[[plan.p.change]]\ndo='filter'\npm25='30 %'\ndrop='0.12 inH2O'\n";
    let mut none = job(plans, "", |t| t);
    let notes = none.take_diagnostics();
    assert!(notes.list.iter().any(|d| d.code.to_string() == "R145"), "{notes:?}");
}

/// Gas bills of a year: 250 W/K below 16 degC and 150 W beside, by months.
#[test]
fn plans_stand_beside_the_bills() {
    let rows: String = [-4.0, -2.0, 3.0, 8.0, 13.0, 18.0, 22.0, 23.0, 19.0, 12.0, 5.0, -1.0_f64]
        .iter()
        .map(|c| {
            let kwh = 30.0 * 24.0 * (150.0 + 250.0 * (16.0 - c).max(0.0)) / 1000.0;
            format!("[30, {kwh:.1}, {c}],")
        })
        .collect();
    let bills = format!(
        "\n[test.bills]\nkind = 'bills'\n[test.bills.fuel.gas]\n\
         rows = {{ columns = ['days d', 'use kWh', 'outdoor degC'], rows = [{rows}] }}\n"
    );
    let plan = "[plan.seal]\n[[plan.seal.change]]\ndo='seal'\nwhat='walls_main'\nremoves='50 %'\n";
    let furnace = |t: String| {
        t.replacen("kind = \"heat pump\"", "kind = \"furnace\"", 1).replacen(
            "efficiency = 3.0",
            "efficiency = 0.8",
            1,
        )
    };
    let mut inputs = files(plan, "", furnace);
    let visit = inputs.files.iter_mut().find(|f| f.name.ends_with("visit.toml")).unwrap();
    visit.text += &bills;
    let job = Job::open(&inputs);
    let mut compared = lived(&job);
    job.bills(&mut compared, job.house.as_ref().unwrap(), job.weather.as_ref().unwrap());
    let billed = compared.billed.as_ref().expect("bills");
    let part = billed.parts[0];
    assert!(!part.electricity && (part.ratio.si - part.model.si / part.bills.si).abs() < 1e-9, "{part:?}");
    // As found the season is that of the bills, by the weather of the place.
    let degrees: f64 = job
        .weather
        .as_ref()
        .unwrap()
        .hours
        .chunks(24)
        .map(|d| (289.15 - d.iter().map(|h| h.temp_k).sum::<f64>() / d.len() as f64).max(0.0))
        .sum();
    assert!((part.bills.si / (250.0 * 86_400.0 * degrees) - 1.0).abs() < 0.01, "{part:?} {degrees}");
    assert!(billed.differences[1].si < 0.0 && billed.differences[0].si.abs() < 1.0);
    let said = compared.diagnostics.list.iter().any(|d| d.code.to_string() == "R149");
    assert_eq!(said, !part.agrees);
    let text = crate::present::plan_lines(&job, &compared, &job.words());
    assert!(text.contains("model over bills"), "{text}");
}
