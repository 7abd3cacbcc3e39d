//! The hazard screen, the restore list, the combustion guide and the repeats of a job's visits.

use crate::present::screen_view;
use crate::{File, Inputs, Job};
use engine::diag::Severity;
use engine::doc::screen::{Found, ITEMS, Item};
use engine::gate::{Gate, Reason};
use engine::next::Forbids;
use engine::safety::{Bars, Lack, Outcome, RULES, Screen, Standing, Step, Weather, expect};
use engine::units::System;
use report::words::{Language, Words};

const HOUSE: &str = "format = 1\n[zone.main]\nkind='living'\nvolume='300 m3'\nfloor_area='120 m2'\nfloor='0 m'\n\
    ceiling='2.5 m'\n[zone.attic]\nkind='attic'\nvolume='100 m3'\nfloor_area='120 m2'\nfloor='2.5 m'\nceiling='4 m'\n\
    [leak.walls]\nbetween=['main','outdoors']\nat50='200 to 900 cfm'\n[leak.roof]\nbetween=['attic','outdoors']\n\
    at50='2000 to 9000 cfm'\n[leak.ceiling]\nbetween=['main','attic']\nat50='100 to 300 cfm'\n[appliance.heater]\n\
    zone='main'\ndraft='natural'\nflue_area='10 to 14 in2'\nflue_top='6 m'\n[fan.bath]\nfrom='main'\nto='outdoors'\nflow='40 to 60 cfm'\n";
const PLANS: &str = "format = 1\n[plan.a]\nlabel='seal'\nprice='100 to 200 USD'\n[[plan.a.change]]\ndo='seal'\n\
    what='walls'\nremoves='30 to 50 %'\n";
const LOOKED: &str = "[combustion]\nfuel='present'\nlooked_by='T'\nlooked_where='closet, meter'\n";
const SIGNED: &str = "[combustion.sign_off]\nwho='L'\nlicence='1'\nwhat='heater'\n";
const FAN: &str = "[test.fan]\nstandard='ASTM E779'\ndirection='depressurise'\n[test.fan.stations]\ncolumns=['house Pa','fan cfm']\n\
    rows=[[-50,1000],[-40,870],[-30,720],[-20,550],[-15,460]]\n";

fn open(visits: &[(&str, String)]) -> Job {
    let file = |name: String, text: String| File { name, text };
    let mut files = vec![
        file("job.toml".into(), "format = 1\nname = 'care'\n".into()),
        file("house.toml".into(), HOUSE.into()),
        file("plans.toml".into(), PLANS.into()),
    ];
    for (date, text) in visits {
        files.push(file(format!("visits/{date}/visit.toml"), format!("format = 1\ndate = '{date}'\n{text}")));
    }
    Job::open(&Inputs { files, ..Inputs::default() })
}

fn one(text: &str) -> Job {
    open(&[("2026-01-10", text.to_owned())])
}

/// Everything looked at and nothing seen, but for these lines of an item.
fn looked(but: &[(&str, &str)]) -> String {
    let mut text = format!("{LOOKED}[hazards]\nlooked_by='T'\n");
    for (word, item) in ITEMS.iter().filter(|i| i.1 != Item::Fuel) {
        let usual =
            if *item == Item::AmbientCo { "state='none seen'\nhighest='1 ppm'" } else { "state='none seen'" };
        let lines = but.iter().find(|b| b.0 == *word).map_or(usual, |b| b.1);
        text += &format!("[hazards.{word}]\n{lines}\n");
    }
    text
}

fn screen(text: &str) -> Screen {
    one(text).screen().unwrap().clone()
}

fn codes(mut job: Job) -> Vec<&'static str> {
    job.take_diagnostics().list.iter().filter(|d| d.code.0.starts_with('O')).map(|d| d.code.0).collect()
}

#[test]
fn a_half_filled_screen_says_what_is_missing_and_holds() {
    assert_eq!(screen(&looked(&[])).outcome, Outcome::Go);
    assert!(one(&looked(&[])).screen().unwrap().forbids().is_empty());
    // Nothing looked at: everything is missing, in the order of looking.
    let none = screen("");
    assert_eq!(none.outcome, Outcome::Unfinished);
    let order: Vec<Item> = none.missing.iter().map(|m| m.item).collect();
    assert_eq!(order, ITEMS.iter().map(|i| i.1).collect::<Vec<_>>());
    assert_eq!(none.forbids(), [Forbids::NotLooked]);
    // Half of it.
    let half = screen(
        "[hazards]\nlooked_by='T'\n[hazards.gas]\nstate='none seen'\n[hazards.embers]\nstate='none seen'\n",
    );
    assert_eq!(half.missing.len(), ITEMS.len() - 2);
    // Without a name nothing seen is nothing said; without a number the same of carbon monoxide.
    let lacks = |text: &str| screen(text).missing.iter().map(|m| (m.item, m.lack)).collect::<Vec<_>>();
    assert_eq!(lacks(&looked(&[("ambient_co", "state='none seen'")])), [(Item::AmbientCo, Lack::NoReading)]);
    let nameless = looked(&[]).replace("looked_by='T'\n[haz", "[haz");
    assert!(
        lacks(&nameless).iter().all(|l| l.1 == Lack::NoName) && lacks(&nameless).len() == ITEMS.len() - 1
    );
    // The short form of earlier documents.
    let old = screen("[hazards]\nembers = true\nasbestos = true\n");
    assert!(old.forbids().contains(&Forbids::Embers) && old.forbids().contains(&Forbids::Asbestos));
    // Fuel has its own table.
    assert_eq!(codes(one("[hazards]\nfuel = true\n")), ["O101"]);
}

#[test]
fn what_is_seen_changes_the_procedure_or_stops() {
    for (word, item) in ITEMS.iter().filter(|i| !matches!(i.1, Item::Fuel)) {
        for (state, found) in [("suspect", Found::Suspect), ("present", Found::Present)] {
            let seen = screen(&looked(&[(word, &format!("state='{state}'"))]));
            let stops = match item {
                Item::Gas => true,
                Item::AmbientCo | Item::Flues => found == Found::Present,
                _ => false,
            };
            assert_eq!(seen.is_stop(), stops, "{word} {state}");
            assert!(seen.reasons.iter().any(|r| r.item == *item), "{word} {state} follows from nothing");
            assert_eq!(seen.forbids().contains(&Forbids::Stop), stops);
            if !stops {
                assert_eq!(seen.outcome, Outcome::Changed, "{word} {state}");
            }
        }
    }
    // Somebody's word lifts what waits for it, and nothing else.
    let agreed = |about: &str| {
        format!("[[agreed]]\nwho='O'\nto='out during the test'\nwhen='09:00'\nabout='{about}'\n")
    };
    let with = |word: &str| screen(&(looked(&[(word, "state='present'")]) + &agreed(word)));
    assert!(with("people").forbids().is_empty() && with("people").outcome == Outcome::Changed);
    assert!(with("neighbours").forbids().is_empty());
    assert_eq!(with("embers").forbids(), [Forbids::Embers]);
    let not = screen(&(looked(&[("people", "state='present'")]) + &agreed("pets")));
    assert_eq!(not.forbids(), [Forbids::Screen]);
    assert_eq!(not.barring(Bars::MovingAir).count(), 1);
    // Vermiculite keeps everybody out of the attic, or of the zone that is named.
    let house = one("").house.unwrap();
    let asbestos =
        |more: &str| screen(&looked(&[("asbestos", &format!("state='suspect'\n{more}"))])).keep_out(&house);
    assert_eq!(asbestos(""), [1]);
    assert_eq!(asbestos("zone='main'"), [0]);
}

#[test]
fn a_reading_of_carbon_monoxide_counts_whatever_the_word_beside_it_says() {
    let at = |ppm: &str, protocol: &str| {
        screen(&looked(&[("ambient_co", &format!("state='none seen'\nhighest='{ppm} ppm'\n{protocol}"))]))
    };
    // Published: 9 tell, 36 stop, 70 leave of BPI-1200; 30 stop of the residential code's appendix.
    let bpi = "protocol='bpi-1200'";
    for (ppm, protocol, rule) in [
        ("8", bpi, None),
        ("9", bpi, Some("co-tell")),
        ("35", bpi, Some("co-tell")),
        ("36", bpi, Some("co-stop")),
        ("70", bpi, Some("co-leave")),
        ("30", "protocol='fuel gas code appendix'", Some("co-stop")),
        // Without a protocol the lowest that was read in a text.
        ("31", "", Some("co-stop")),
        ("10", "", Some("co-tell")),
    ] {
        let seen = at(ppm, protocol);
        assert_eq!(seen.reasons.first().map(|r| r.rule), rule, "{ppm} {protocol}");
        assert_eq!(seen.is_stop(), rule.is_some_and(|r| r != "co-tell"));
    }
    // A level that is only recalled tells and forbids nothing by itself.
    let recalled = at("12", "protocol='fuel gas code appendix'");
    assert_eq!((recalled.reasons[0].rule, recalled.reasons[0].bars), ("co-tell", Bars::Nothing));
    // A combustion test's samples are the same air.
    let test =
        "[test.c]\nkind='combustion zone'\nprotocol='bpi-1200'\n[[test.c.ambient]]\nvalues=['ppm', 1, 2]\n";
    let joined = screen(&(looked(&[("ambient_co", "state='none seen'")]) + test));
    assert_eq!(joined.outcome, Outcome::Go);
    let stopped = screen(&(looked(&[]) + &test.replace("1, 2", "1, 50")));
    assert!(stopped.is_stop());
}

#[test]
fn a_stop_stays_a_stop_for_the_gate() {
    let result = "[[combustion.spillage]]\nappliance='heater'\nspilled_for='20 s'\nlimit='60 s'\nlimit_confirmed=true\n\
        [[combustion.flue_co]]\nappliance='heater'\nvalue='40 ppm'\nbasis='air-free'\nlimit='200 ppm'\nlimit_confirmed=true\n";
    let gate = |hazards: &str| {
        let text = looked(&[("gas", hazards)]).replacen(LOOKED, &format!("{LOOKED}{SIGNED}{result}"), 1);
        one(&text).planned.first().map(|p| p.gate.clone()).unwrap()
    };
    assert!(gate("state='none seen'").is_released());
    assert_eq!(gate("state='present'"), Gate::Held { reasons: vec![Reason::Stopped] });
    assert_eq!(gate("state='none seen'\nlel='12 %'"), Gate::Held { reasons: vec![Reason::Stopped] });
}

#[test]
fn a_stop_holds_until_what_stopped_is_looked_at_anew() {
    let after = |second: &str| {
        let first = looked(&[("gas", "state='suspect'")]);
        open(&[("2026-01-10", first), ("2026-01-12", second.to_owned())])
    };
    let unlooked = after(LOOKED);
    assert!(unlooked.screen().unwrap().is_stop());
    assert_eq!(unlooked.forbids().0[0], Forbids::Stop);
    assert!(!after(&looked(&[])).screen().unwrap().is_stop());
    // Found again, it is said once.
    let again = after(&looked(&[("gas", "state='present'")]));
    let stops = again.screen().unwrap().reasons.iter().filter(|r| r.outcome == Outcome::Stop).count();
    assert_eq!(stops, 1);
}

#[test]
fn tests_against_the_screen_are_marked_and_count() {
    let job = one(&(looked(&[("embers", "state='suspect'")]) + FAN));
    let flags = job.flags();
    assert_eq!(flags.len(), 1);
    assert_eq!((flags[0].test.as_str(), flags[0].items.as_slice()), ("fan", [Item::Embers].as_slice()));
    assert_eq!(job.observations.list.len(), one(&(looked(&[]) + FAN)).observations.list.len());
    assert_eq!(codes(job), ["O103"]);
    // No reading of carbon monoxide.
    let no_co = one(&(looked(&[("ambient_co", "state='none seen'")]) + FAN)).flags();
    assert_eq!(no_co[0].items, [Item::AmbientCo]);
    // Pressurised with asbestos suspected: the procedure that takes its place.
    let up = FAN.replace("depressurise", "pressurise").replace("[-", "[");
    assert!(one(&(looked(&[("asbestos", "state='suspect'")]) + &up)).flags().is_empty());
    assert_eq!(one(&(looked(&[("people", "state='present'")]) + &up)).flags().len(), 1);
    // Single readings by their setup; a visit without a screen is not marked.
    let reading = "[[reading]]\nset={test_fan='depressurise'}\nfeels='main'\ncompared_with='outdoors'\nvalue='-50 Pa'\n";
    assert_eq!(one(&(looked(&[("mould", "state='present'")]) + reading)).flags().len(), 1);
    assert!(one(&format!("{LOOKED}{FAN}{reading}")).flags().is_empty());
    // The short form marks what it says was seen, and nothing of the rest.
    assert!(one(&format!("{LOOKED}{FAN}[hazards]\nembers = false\n")).flags().is_empty());
    assert_eq!(one(&format!("{LOOKED}{FAN}[hazards]\nembers = true\n")).flags()[0].items, [Item::Embers]);
}

/// The demonstration visit with other text at its end and without its close.
fn demo(more: &str) -> Job {
    let mut files = crate::demo().unwrap();
    let visit = files.iter_mut().find(|f| f.name.ends_with("visit.toml")).unwrap();
    let until = visit.text.find("[[touched]]").unwrap();
    visit.text.truncate(until);
    visit.text += more;
    Job::open(&Inputs { files, ..Inputs::default() })
}

#[test]
fn the_restore_list_of_twenty_setups_is_complete() {
    // Twenty setups; what each touches is written here beside its state at the start.
    let setups = [
        "bedroom_door='shut'",
        "bedroom_door='open'",
        "closet_door='open'",
        "closet_door='shut'",
        "attic_hatch='open'",
        "attic_hatch='shut'",
        "crawl_hatch='open'",
        "crawl_hatch='shut'",
        "bath_fan='on'",
        "bath_fan='off'",
        "range_hood='on'",
        "range_hood='off'",
        "dryer='on'",
        "dryer='off'",
        "air_handler='on'",
        "air_handler='off'",
        "attic_vents='sealed'",
        "attic_vents='open'",
        "crawl_vents='sealed'",
        "crawl_vents='open'",
    ];
    assert_eq!(setups.len(), 20);
    let readings: String = setups
        .iter()
        .map(|s| format!("[[reading]]\nset={{ {s} }}\nfeels='main'\ncompared_with='outdoors'\nvalue='-1 Pa'\nwith='gauge'\n"))
        .collect();
    let job = demo(&readings);
    let lists = job.restore_lists();
    let mut ids: Vec<&str> = lists[0].list.iter().map(|d| d.id.as_str()).collect();
    ids.sort_unstable();
    // The water heater was prepared, the fan stood in a door; what was left as found is not on it.
    let wanted = [
        "air_handler",
        "attic_hatch",
        "attic_vents",
        "bath_fan",
        "bedroom_door",
        "closet_door",
        "crawl_hatch",
        "crawl_vents",
        "dryer",
        "range_hood",
        "test_fan",
        "water heater",
    ];
    assert_eq!(ids, wanted);
    let of = |id: &str| lists[0].list.iter().find(|d| d.id == id).unwrap();
    assert_eq!(
        (of("closet_door").found.as_deref(), of("closet_door").states.as_slice()),
        (Some("shut"), ["open".to_owned()].as_slice())
    );
    assert_eq!(of("dryer").found, None, "nobody noted how the dryer was found");
    assert_eq!(of("attic_vents").found.as_deref(), Some("open"));
    assert_eq!(lists[0].open().count(), wanted.len());
}

#[test]
fn a_visit_does_not_close_with_something_open() {
    let closed = "[closed]\nby='T'\nwhen='12:00'\n";
    let mut job = demo(closed);
    let found = job.take_diagnostics().list;
    let open = found.iter().find(|d| d.code.0 == "O106").unwrap();
    assert_eq!(open.severity, Severity::Error);
    let all = "[[restored]]\nwhat=['air_handler','attic_hatch','bath_fan','bedroom_door','test_fan','water heater']\nby='T'\nwhen='11:50'\n";
    let job = demo(&format!("{all}{closed}"));
    assert!(job.restore_lists()[0].is_complete());
    assert_eq!(codes(job), [""; 0]);
    assert_eq!(codes(demo(&all.replace("bath_fan", "bathfan"))), ["O105"]);
    // By hand, from the kind of a test, and by the phone's words in either language.
    let more = "[[touched]]\nwhat='smoke alarm'\nfound='on'\nleft='off'\n";
    let probes = "[test.s]\nkind='static pressure'\n";
    let ids = |job: Job| job.restore_lists()[0].list.iter().map(|d| d.id.clone()).collect::<Vec<_>>();
    assert!(ids(demo(more)).contains(&"smoke alarm".to_owned()));
    let pans = "[test.p]\nkind='pressure pans'\nhouse='-50 Pa'\nhandler='off'\n[test.p.register.hall_return]\nreads='1 Pa'\n";
    assert!(ids(demo(pans)).contains(&"pressure_pans".to_owned()));
    assert!(!ids(demo(probes)).contains(&"pressure_pans".to_owned()));
    for language in Language::ALL {
        let words = Words::new(language, System::Si);
        let (what, off) = (words.say("phone-prep-air-handler"), words.say("phone-state-device-closed"));
        let windows = words.say("phone-prep-windows");
        let shut = words.say("phone-state-opening-closed");
        let (open, back) = (words.say("phone-to-restore"), words.say("phone-restored"));
        let list = |how: &str| {
            let prepared = format!("[test.fan.prepared]\n'{what}'='{how}'\n'{windows}'='{shut}'\n");
            one(&format!("{FAN}{prepared}")).restore_lists().remove(0)
        };
        let to_do = list(&format!("{off}, {open}"));
        assert!(to_do.open().any(|d| d.id == what) && !to_do.list.iter().any(|d| d.id == windows));
        assert!(!list(&format!("{off}, {back}")).open().any(|d| d.id == what));
    }
}

#[test]
fn combustion_is_owed_again_after_work() {
    let test = |stage: &str| {
        format!(
            "{LOOKED}[test.c]\nkind='combustion zone'\nstage='{stage}'\n[[test.c.spillage]]\nappliance='heater'\n\
             spilled_for='20 s'\nhouse='greatest depressurisation'\n[[test.c.flue_co]]\nappliance='heater'\nvalue='20 ppm'\nbasis='air-free'\n"
        )
    };
    let changed = "[[changed]]\nwhat='attic hatch sealed'\nwhen='2026-01-10 15:00'\n";
    let day = |visits: &[(&str, String)]| {
        let r = open(visits).repeats();
        (r.days.first().map(|d| d.standing), r.test_out)
    };
    let on = |text: String| [("2026-01-10", text)];
    assert_eq!(day(&on(LOOKED.to_owned())), (None, None));
    assert_eq!(day(&on(format!("{LOOKED}{changed}"))), (Some(Standing::Owed), Some(Standing::Owed)));
    // A result as found stands before the work.
    assert_eq!(day(&on(test("as found") + changed)).0, Some(Standing::Owed));
    assert_eq!(day(&on(test("end of day") + changed)), (Some(Standing::Done), Some(Standing::Owed)));
    assert_eq!(day(&on(test("test-out") + changed)), (Some(Standing::Done), Some(Standing::Done)));
    // Half a result is none.
    let half = test("end of day").split_once("[[test.c.flue_co]]").unwrap().0.to_owned();
    assert_eq!(day(&on(half + changed)).0, Some(Standing::Owed));
    let later = [("2026-01-10", format!("{LOOKED}{changed}")), ("2026-01-12", test("as found"))];
    assert_eq!(day(&later), (Some(Standing::Late), Some(Standing::Owed)));
    // What an appliance does not feel asks for nothing; nor does a house without fuel.
    assert_eq!(day(&on(format!("{LOOKED}{changed}part='other'\n"))).0, None);
    // Owed: nothing is drawn down before it, and it is said.
    let job = open(&on(format!("{LOOKED}{changed}")));
    assert!(job.forbids().0.contains(&Forbids::Repeat));
    assert!(codes(job).contains(&"O107"));
}

#[test]
fn the_guide_says_what_is_missing_now() {
    let guide = |text: &str| one(text).guides(None).remove(0);
    let first = guide(&looked(&[]));
    assert_eq!(first.now().unwrap().step, Step::AsFound);
    let test = "[test.c]\nkind='combustion zone'\nzone='main'\nbaseline_before=['Pa', -1, -1.2]\n";
    assert_eq!(guide(&format!("{}{test}", looked(&[]))).now().unwrap().step, Step::Greatest);
    let spilled = |s: &str| {
        format!(
            "[[test.c.state]]\nexhausts='on'\npressure='-4 Pa'\n[[test.c.spillage]]\nappliance='heater'\nspilled_for='{s}'\n\
         house='greatest depressurisation'\nlimit='60 s'\nlimit_confirmed=true\n[[test.c.flue_co]]\nappliance='heater'\nvalue='20 ppm'\nbasis='air-free'\n"
        )
    };
    let whole = guide(&format!("{}{test}{}", looked(&[]), spilled("20 s")));
    assert!(whole.now().is_none(), "{:?}", whole.now());
    // Beyond its limit: the natural state is asked for.
    let failed = guide(&format!("{}{test}{}", looked(&[]), spilled("90 s")));
    assert_eq!(failed.now().unwrap().step, Step::Natural);
}

#[test]
fn what_the_screen_forbids_is_not_proposed_by_the_guide() {
    let words = Words::new(Language::En, System::Si);
    let said = |text: &str| {
        let job = one(text);
        let safety = job.safety(None, None);
        (safety.guides[0].held.clone(), report::screen::text(&screen_view(&job, &safety, &words), &words))
    };
    let (free, text) = said(&looked(&[]));
    assert!(free.is_empty() && text.contains("not tried"));
    let (held, text) = said(&looked(&[("asbestos", "state='suspect'")]));
    assert_eq!(held, [Item::Asbestos]);
    assert!(!text.contains("not tried") && text.contains("stands against drawing the zone down"));
}

#[test]
fn readings_count_by_their_whole_setup() {
    let mut files = crate::demo().unwrap();
    let visit = files.iter_mut().find(|f| f.name.ends_with("visit.toml")).unwrap();
    let embers = "[hazards.embers]\nstate = ";
    visit.text = visit.text.replacen(&format!("{embers}\"none seen\""), &format!("{embers}\"present\""), 1);
    let job = Job::open(&Inputs { files, ..Inputs::default() });
    // The test; then fan on, door shut, hatch open; blower behind a shut door; bath fan.
    let flags = job.flags();
    assert_eq!(flags.len(), 6, "{flags:?}");
    assert!(flags.iter().all(|f| f.drew_down && f.items == [Item::Embers]));
    let words = job.words();
    let check = crate::present::screen_check(&job, &flags[0].visit, &flags[0].test, &words).unwrap();
    assert!(check.found.contains("embers"));
    let plain = Job::open(&Inputs { files: crate::demo().unwrap(), ..Inputs::default() });
    assert!(plain.flags().is_empty() && plain.screen().unwrap().outcome == Outcome::Changed);
    assert!(plain.restore_lists()[0].is_complete());
}

/// The network's net pressure against the closed form `(Q / C)^(1/n)` of one zone with one leak.
#[test]
fn the_worst_setup_is_the_one_the_closed_form_gives() {
    let house = "format = 1\n[zone.main]\nkind='living'\nvolume='300 m3'\nfloor_area='120 m2'\nfloor='0 m'\n\
        ceiling='2.5 m'\n[leak.walls]\nbetween=['main','outdoors']\nat50='500 to 500.1 cfm'\nexponent=0.65\n[appliance.heater]\n\
        zone='main'\ndraft='sealed'\n[fan.bath]\nfrom='main'\nto='outdoors'\nflow='50 to 50.01 cfm'\n[fan.hood]\nfrom='main'\n\
        to='outdoors'\nflow='150 to 150.01 cfm'\n";
    let files = vec![
        File { name: "job.toml".into(), text: "format = 1\nname = 'one'\n".into() },
        File { name: "house.toml".into(), text: house.into() },
    ];
    let mut job = Job::open(&Inputs { files, ..Inputs::default() });
    let house = job.house.take().unwrap_or_else(|| panic!("{:?}", job.take_diagnostics()));
    let k = 293.15;
    let weather = Weather { zone_k: vec![k], outdoor_k: k, pressure_pa: 101_325.0 };
    let draws = vec![house.prior_mean()];
    let expected = expect(&house, &draws, 0, &weather).unwrap();
    let states = engine::safety::states(&house, 0);
    assert_eq!(states.len(), expected.len());
    let worst = expected.iter().min_by(|a, b| a.net.si.total_cmp(&b.net.si)).unwrap();
    let closed_pa = -50.0 * engine::math::pow(200.0 / 500.0, 1.0 / 0.65);
    assert!((worst.net.si / closed_pa - 1.0).abs() < 0.01, "{} {closed_pa}", worst.net.si);
    assert!((worst.lowest - 1.0).abs() < 1e-12);
}

#[test]
fn every_rule_and_item_has_words_and_none_gives_a_verdict() {
    for language in Language::ALL {
        let words = Words::new(language, System::Si);
        for rule in RULES {
            let key = format!("screen-rule-{}", rule.id);
            assert_ne!(words.say(&key), key);
        }
        for text in (0..2).map(|k| {
            let state = if k == 0 { "present" } else { "suspect" };
            let all: Vec<(&str, String)> = ITEMS.iter().map(|i| (i.0, format!("state='{state}'"))).collect();
            let all: Vec<(&str, &str)> = all.iter().map(|(w, l)| (*w, l.as_str())).collect();
            let changed = "[[changed]]\nwhat='hatch'\n";
            let job = one(&(looked(&all) + FAN + changed));
            let safety = job.safety(None, Some(&[]));
            report::screen::text(&screen_view(&job, &safety, &words), &words)
        }) {
            for key in ["screen-", "guide-", "restore-", "repeat-"] {
                assert!(!text.contains(key), "{key} is not worded: {text}");
            }
            let lower = text.to_lowercase();
            assert!(!["safe ", "safe.", "seguro ", "segura "].iter().any(|w| lower.contains(w)), "{text}");
        }
    }
}

#[test]
fn photos_are_looked_up_among_the_files_of_the_job() {
    let text = looked(&[("mould", "state='present'\nphoto=['photos/a.jpg', 'ab12']")]);
    let said = |held: &[&str]| {
        let mut job = one(&text);
        job.take_diagnostics();
        let held: Vec<String> = held.iter().map(|h| (*h).to_owned()).collect();
        job.safety(None, Some(&held));
        codes(job).len()
    };
    assert_eq!(said(&[]), 2);
    assert_eq!(said(&["visits/2026-01-10/photos/a.jpg", "attachments/ab12"]), 0);
    assert_eq!(said(&["photos/a.jpg"]), 1);
}
