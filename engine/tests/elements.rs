//! Passages with parts, from the words of `house.toml` to flows.

use engine::device::fan::{Electric, watts};
use engine::doc::{File, Sink};
use engine::house::air::{Air, TestFan, for_each_partial};
use engine::house::{self, House, ParamKind, fan_capture, fan_line, fan_watts, fan_working};
use engine::network::*;

const ROOMS: &str = "format = 1
[zone.rooms]
kind = 'living'
volume = '300 m3'
floor_area = '120 m2'
floor = '0 m'
ceiling = '2.5 m'
[leak.shell]
between = ['rooms', 'outdoors']
at50 = '500 to 900 cfm'
";

const RETURN: &str = "
[zone.return_box]
kind = 'plenum'
volume = '0.2 m3'
floor_area = '0.3 m2'
floor = '0 m'
ceiling = '0.7 m'
[duct.intake]
between = ['outdoors', 'return_box']
length = '5 m'
diameter = '125 mm'
wall = 'flexible'
fittings = [1.5, 0.5]
face = 'right'
";

const CURVE: &str = "
[fan.blower]
from = 'return_box'
to = 'rooms'
curve = { columns = ['pressure Pa', 'flow cfm'], rows = [[0, 900], [100, 820], [200, 650], [300, 350], [360, 0]] }
efficiency = '40 %'
runs = ['00:00 to 24:00']
";

fn read(text: &str) -> (House, Vec<(&'static str, String)>) {
    let sink = Sink::default();
    let doc = engine::doc::house::read(&File { name: "house.toml".into(), text: text.into() }, &sink);
    let house = house::build(&doc, &sink);
    let place = |d: &engine::diag::Diagnostic| {
        d.spans.first().map_or("", |s| text.get(s.start..s.end).unwrap_or("")).to_owned()
    };
    let said = sink.into_inner().list.iter().map(|d| (d.code.0, place(d))).collect();
    (house, said)
}

fn good(text: &str) -> House {
    let (house, said) = read(text);
    assert_eq!(said, []);
    house
}

/// Every fan on, still air of 20 degC; flow of the passage called `label`, m3/s.
fn flow(house: &House, theta: &[f64], label: &str) -> f64 {
    let mut air = Air::new(house).unwrap();
    solved(house, theta, &mut air);
    let k = element(house, label);
    air.solution.flows[k].net_kg_s() / 1.2041
}

fn element(house: &House, label: &str) -> usize {
    house.elements.iter().position(|e| engine::fit::scene::owner_label(house, e.owner) == label).unwrap()
}

fn solved(house: &House, theta: &[f64], air: &mut Air) {
    let mut setup = house::start(house);
    setup.running.fill(true);
    air.set_temperatures(&vec![293.15; house.zones.len()], 293.15, 101_325.0);
    air.set(house, theta, &setup, TestFan::Off).unwrap();
    air.solve().unwrap();
}

fn filter(drop_pa: f64, between: &str) -> String {
    format!("[filter.pleats]\n{between}\ndrop = '{drop_pa} Pa'\nat = '800 cfm'\nexponent = 0.75\n")
}

#[test]
fn a_filter_before_the_junction_raises_the_intake_and_one_behind_it_lowers_it() {
    let intakes = |behind: bool| {
        [20.0, 60.0, 140.0].map(|drop| {
            let text = if behind {
                let line = "in_line = ['pleats']\n";
                let back = "[duct.return_duct]\nbetween = ['rooms', 'return_box']\nlength = '4 m'\ndiameter = '350 mm'\nfittings = [2]\n";
                format!("{ROOMS}{RETURN}{CURVE}{line}{back}{}", filter(drop, ""))
            } else {
                format!("{ROOMS}{RETURN}{CURVE}{}", filter(drop, "between = ['rooms', 'return_box']"))
            };
            let house = good(&text);
            flow(&house, &house.prior_mean(), "intake")
        })
    };
    let before = intakes(false);
    assert!(before[0] > 0.0 && before[1] > 1.3 * before[0] && before[2] > 1.1 * before[1], "{before:?}");
    let behind = intakes(true);
    assert!(behind[2] > 0.0 && behind[1] < 0.99 * behind[0] && behind[2] < 0.97 * behind[1], "{behind:?}");
}

/// The intersection by hand: the network's answer satisfies each part's own equation.
#[test]
fn fan_filter_and_duct_intersect_exactly() {
    let text = format!(
        "{ROOMS}[fan.supply]\nfrom = 'outdoors'\nto = 'rooms'\nin_line = ['pleats', 'pipe']\n
curve = {{ columns = ['pressure Pa', 'flow L/s'], rows = [[0, 80], [200, 0]] }}\n
[duct.pipe]\nlength = '10 m'\ndiameter = '150 mm'\nfittings = [0.5, 1]\n{}",
        filter(40.0, "")
    );
    let house = good(&text);
    let mut air = Air::new(&house).unwrap();
    let theta = house.prior_mean();
    solved(&house, &theta, &mut air);
    let (k, _) = fan_line(&house, 0).unwrap();
    let w = air.network.working(k, &air.boundary, air.solution.flows[k].dp_pa).unwrap();
    let (mu, rho) = (engine::air::viscosity_pa_s(293.15), air.boundary.outdoor_density_kg_m3);
    let q = w.flow_m3_s;
    let area = std::f64::consts::FRAC_PI_4 * 0.15 * 0.15;
    let friction = 10.0 * engine::device::duct::friction_pa_m(0.15, q, 9e-5, rho, mu);
    let fittings = 1.5 * 0.5 * rho * (q / area) * (q / area);
    let rating = 800.0 * 0.3048_f64.powi(3) / 60.0;
    let ratio = rho * q / (rating * 1.2041);
    let s = 2.0 - 1.0 / 0.75;
    let pleats = 40.0 * (s * ratio + (1.0 - s) * ratio * ratio) * 1.2041 / rho;
    // The plane of the curve at the density that it is stated for.
    let rise = 200.0 * (1.0 - q / 0.080) * rho / 1.2041;
    assert!((w.rise_pa - rise).abs() < 0.02, "{} {rise}", w.rise_pa);
    assert!((w.sized_pa - pleats).abs() < 0.01 * pleats, "{} {pleats}", w.sized_pa);
    let balance = air.solution.flows[k].dp_pa + rise - friction - fittings - pleats;
    assert!(balance.abs() < 0.02 * (friction + fittings + pleats), "{balance}");
}

/// Derivatives of a pressure and of a fan's flow by every parameter, against differences.
#[test]
fn the_fit_sees_fan_filter_and_grille() {
    let text = format!(
        "{ROOMS}{RETURN}{CURVE}{}[grille.slot]\nbetween = ['rooms', 'return_box']\narea = '0.01 to 0.02 m2'\n",
        filter(60.0, "between = ['rooms', 'return_box']")
    );
    let house = good(&text);
    let theta = house.prior_mean();
    let mut setup = house::start(&house);
    setup.running.fill(true);
    let (blower, _) = fan_line(&house, 0).unwrap();
    let mut air = Air::new(&house).unwrap();
    solved(&house, &theta, &mut air);
    let mut out = Sensitivity::default();
    let mut by = vec![[0.0; 2]; theta.len()];
    let mut derivatives = air.network.derivatives(&air.boundary, &air.solution, &mut air.workspace).unwrap();
    let partials = derivatives.partials().to_vec();
    for (i, read) in [Observation::Pressures(&[(1, 1.0)]), Observation::Flow(blower)].into_iter().enumerate()
    {
        derivatives.observe(read, &mut out);
        for (k, partial) in partials.iter().enumerate() {
            for_each_partial(&house, &theta, &setup, k, partial, |p, d| by[p][i] += out.by_flow[k] * d);
        }
    }
    let at = |p: usize, h: f64| {
        let mut moved = theta.clone();
        moved[p] += h;
        let mut air = Air::new(&house).unwrap();
        solved(&house, &moved, &mut air);
        [air.solution.zone_pa[1], air.solution.flows[blower].net_kg_s()]
    };
    let mut seen = 0;
    for (p, param) in house.params.iter().enumerate() {
        let (low, high) = (at(p, -1e-4), at(p, 1e-4));
        for i in 0..2 {
            let wanted = (high[i] - low[i]) / 2e-4;
            assert!(
                (by[p][i] - wanted).abs() < 1e-3 * (wanted.abs() + 1e-3),
                "{param:?}: {:?} {wanted}",
                by[p]
            );
        }
        seen += usize::from(
            matches!(param.kind, ParamKind::FilterDrop | ParamKind::FanFlow) && by[p][0].abs() > 0.1,
        );
    }
    assert_eq!(seen, 2, "filter and fan move the pressure");
}

#[test]
fn a_motor_that_holds_its_flow_takes_more_power_as_the_filter_loads() {
    let at = |drop: f64| {
        let text = format!(
            "{ROOMS}[fan.supply]\nfrom = 'outdoors'\nto = 'rooms'\nholds = '80 L/s'\nup_to = '150 Pa'\n
shut_off = '250 Pa'\nefficiency = '40 %'\nin_line = ['pleats']\n
[filter.pleats]\ndrop = '{drop} Pa'\nat = '80 L/s'\n"
        );
        let house = good(&text);
        let theta = house.prior_mean();
        let w = fan_working(&house, &theta, 0).unwrap();
        assert!((fan_watts(&house, &theta, 0) - w.flow_m3_s * w.rise_pa / 0.4).abs() < 1e-9);
        (w.flow_m3_s, fan_watts(&house, &theta, 0))
    };
    let (clean, loaded, choked) = (at(30.0), at(100.0), at(400.0));
    assert!((clean.0 - 0.08).abs() < 1e-6 && (loaded.0 - 0.08).abs() < 1e-6, "{clean:?} {loaded:?}");
    assert!(loaded.1 > 1.8 * clean.1, "{clean:?} {loaded:?}");
    assert!(choked.0 < 0.07, "beyond its limit it falls: {choked:?}");
}

#[test]
fn speed_follows_the_fan_laws() {
    let fan = |speed: &str| {
        let text = format!(
            "{ROOMS}[fan.out]\nfrom = 'rooms'\nto = 'outdoors'\nspeed = '{speed}'\nin_line = ['pipe']\n
power_curve = {{ columns = ['flow L/s', 'power W'], rows = [[0, 20], [100, 60]] }}\n
curve = {{ columns = ['pressure Pa', 'flow L/s'], rows = [[0, 100], [150, 60], [200, 0]] }}\n
[duct.pipe]\nlength = '0.01 m'\ndiameter = '150 mm'\nfittings = [6]\n"
        );
        // Next to no house: a wide leak, so that only the duct resists.
        let house = good(&text.replace("500 to 900 cfm", "50000 to 50001 cfm"));
        let theta = house.prior_mean();
        (fan_working(&house, &theta, 0).unwrap(), fan_watts(&house, &theta, 0))
    };
    let (whole, half) = (fan("100 %"), fan("50 %"));
    assert!((half.0.flow_m3_s / whole.0.flow_m3_s - 0.5).abs() < 2e-3, "{half:?} {whole:?}");
    assert!((half.0.rise_pa / whole.0.rise_pa - 0.25).abs() < 2e-3);
    assert!((half.1 / whole.1 - 0.125).abs() < 1e-3);
    assert!((watts(&Electric::Watts(12.0), 1.0, 1.0, 0.5, 1.0) - 12.0).abs() < 1e-12);
}

#[test]
fn grilles_dampers_and_hoods_say_what_they_are() {
    let text = format!(
        "{ROOMS}[zone.bath]\nkind = 'living'\nvolume = '15 m3'\nfloor_area = '6 m2'\nfloor = '0 m'\nceiling = '2.5 m'\n
[grille.undercut]\nbetween = ['rooms', 'bath']\nwidth = '0.8 m'\ngap = '10 mm'\ndischarge = 0.65\nheight = '0 m'\n
[damper.relief]\nkind = 'barometric'\nbetween = ['rooms', 'outdoors']\ndiameter = '150 mm'\nopens_at = '5 Pa'\nleak = '3 %'\n
[damper.blade]\nkind = 'manual'\nangle = '30 deg'\nbetween = ['rooms', 'outdoors']\ndiameter = '150 mm'\n
[fan.range_hood]\nfrom = 'rooms'\nto = 'outdoors'\nflow = '160 cfm'\ncapture_by_flow = true\n"
    );
    let house = good(&text);
    let theta = house.prior_mean();
    let at50 = house.value(house.params.iter().position(|p| p.name == "undercut").unwrap(), &theta);
    assert!((at50 / (0.65 * 0.008 * (100.0_f64 / 1.2041).sqrt()) - 1.0).abs() < 1e-3, "{at50}");
    assert!((fan_capture(&house, &theta, 0) - 0.65).abs() < 1e-3);
    // The relief stays shut at 4 Pa and opens at 20 Pa; the blade takes (4.5 + 1.5) rho V^2 / 2.
    let mut air = Air::new(&house).unwrap();
    let setup = house::start(&house);
    let mut through = |label: &str, pa: f64| {
        air.set_temperatures(&[293.15; 2], 293.15, 101_325.0);
        air.set(&house, &theta, &setup, TestFan::Hold { zone: 0, pa }).unwrap();
        air.solve().unwrap();
        air.solution.flows[element(&house, label)].net_kg_s() / air.boundary.outdoor_density_kg_m3
    };
    let (shut, open) = (through("relief", 4.0), through("relief", 20.0));
    assert!(shut > 0.0 && open > 20.0 * shut, "{shut} {open}");
    let area = std::f64::consts::FRAC_PI_4 * 0.15 * 0.15;
    let wanted = area * (2.0 * 20.0 / (6.0 * 1.2041_f64)).sqrt();
    assert!((through("blade", 20.0) / wanted - 1.0).abs() < 5e-3);
}

#[test]
fn a_stack_draws_hot_spills_when_beaten_and_is_switched_in_a_visit() {
    let text = format!(
        "{ROOMS}[stack.flue]\nbetween = ['rooms', 'outdoors']\nbottom = '1 m'\ntop = '8 m'\ndiameter = '150 mm'\nfittings = [1.5]\ntemperature = '150 degC'\nhood_area = '0.03 m2'\nhood_gas = '10 L/s'\n
[fan.big]\nfrom = 'rooms'\nto = 'outdoors'\nflow = '1500 cfm'\n"
    );
    let house = good(&text);
    let theta = house.prior_mean();
    let k = element(&house, "flue");
    let mut air = Air::new(&house).unwrap();
    let mut working = |words: &[(&str, &str)]| {
        let mut setup = house::start(&house);
        let sink = Sink::default();
        let span = engine::diag::Span::new("visit.toml", 0..1);
        let said: Vec<_> = words
            .iter()
            .map(|(a, b)| {
                let sp = |t: &str| engine::doc::Sp { value: t.to_owned(), span: span.clone() };
                (sp(a), sp(b))
            })
            .collect();
        house::apply(&house, &mut setup, &said, &sink);
        assert!(sink.into_inner().list.is_empty());
        air.set_temperatures(&[293.15], 273.15, 101_325.0);
        air.set(&house, &theta, &setup, TestFan::Off).unwrap();
        air.solve().unwrap();
        air.network.working(k, &air.boundary, air.solution.flows[k].dp_pa).unwrap()
    };
    let (cold, hot) = (working(&[]), working(&[("flue", "hot")]));
    assert!(cold.flow_kg_s > 0.0 && hot.flow_kg_s > 1.2 * cold.flow_kg_s, "{cold:?} {hot:?}");
    assert!(hot.spilled_kg_s < 0.0 && cold.spilled_kg_s <= 0.0);
    let beaten = working(&[("flue", "hot"), ("big", "on")]);
    assert!(beaten.flow_kg_s < 0.0 && beaten.spilled_kg_s > 0.012, "{beaten:?}");
}

#[test]
fn absurd_words_are_refused_where_they_stand() {
    let duct = |line: &str| {
        format!(
            "{ROOMS}[duct.d]\nbetween = ['rooms', 'outdoors']\nlength = '3 m'\ndiameter = '150 mm'\n{line}\n"
        )
    };
    let fan = |line: &str| format!("{ROOMS}[fan.f]\nfrom = 'rooms'\nto = 'outdoors'\n{line}\n");
    for (text, code, place) in [
        (duct("").replace("3 m'", "-3 m'"), "U008", "'-3 m'"),
        (duct("compression = '90 %'"), "U008", "'90 %'"),
        (duct("fittings = [0.2, -4]"), "U008", "[0.2, -4]"),
        (duct("end_grille = '0 m2'"), "U008", "'0 m2'"),
        (duct("in_line = ['nothing']"), "T011", "'nothing'"),
        (duct("sides = ['200 mm']").replace("diameter = '150 mm'\n", ""), "T012", "['200 mm']"),
        (fan("efficiency = '120 %'\nflow = '50 cfm'"), "U008", "'120 %'"),
        (fan("flow = '50 cfm'\nin_line = ['x']"), "H116", "'x'"),
        (fan("holds = '50 cfm'\nup_to = '200 Pa'\nshut_off = '100 Pa'"), "H112", "'50 cfm'"),
        (
            fan(
                "curve = { columns = ['pressure Pa', 'flow cfm'], rows = [[0, 100], [20, 60], [30, 70], [50, 0]] }",
            ),
            "H111",
            "{ columns = ['pressure Pa', 'flow cfm'], rows = [[0, 100], [20, 60], [30, 70], [50, 0]] }",
        ),
        (
            fan(
                "flow = '50 cfm'\ncapture_curve = { columns = ['flow cfm', 'capture %'], rows = [[50, 130]] }",
            ),
            "U008",
            "[50, 130]",
        ),
        (
            format!(
                "{ROOMS}[filter.x]\nbetween = ['rooms', 'outdoors']\ndrop = '9 Pa'\nat = '80 cfm'\nexponent = 0.3\n"
            ),
            "U008",
            "0.3",
        ),
        (format!("{ROOMS}[filter.x]\ndrop = '9 Pa'\nat = '80 cfm'\n"), "H115", "x"),
        (
            format!("{ROOMS}[grille.g]\nbetween = ['rooms', 'outdoors']\narea = '0.1 m2'\ndischarge = 1.4\n"),
            "U008",
            "1.4",
        ),
        (
            format!(
                "{ROOMS}[stack.s]\nbetween = ['rooms', 'outdoors']\nbottom = '4 m'\ntop = '2 m'\ndiameter = '150 mm'\n"
            ),
            "H114",
            "'2 m'",
        ),
    ] {
        let (_, said) = read(&text);
        assert_eq!(said, [(code, place.to_owned())], "{text}");
    }
    // One part has one flow.
    let twice = duct("in_line = ['p']")
        + "[filter.p]\nbetween = ['rooms', 'outdoors']\ndrop = '9 Pa'\nat = '80 cfm'\n";
    assert_eq!(read(&twice).1, [("H113", "'p'".to_owned())]);
    // A rising pair is named by its points.
    let sink = Sink::default();
    let rising =
        fan("curve = { columns = ['pressure Pa', 'flow cfm'], rows = [[0, 100], [20, 60], [30, 70]] }");
    engine::doc::house::read(&File { name: "house.toml".into(), text: rising }, &sink);
    let list = sink.into_inner().list;
    assert!(format!("{:?}", list[0].args).contains("20"), "{:?}", list[0].args);
}

const AROUND: &str = "format = 1
date = '2026-11-12'
[conditions]
indoor = '20 degC'
outdoor = '20 degC'
wind = '0 m/s'
[instrument.gauge]
measures = 'pressure'
accuracy = '1 % or 0.15 Pa'
resolution = '0.1 Pa'
[instrument.hood]
measures = 'air flow'
accuracy = '5 %'
resolution = '1 cfm'
shows = 'flow at actual density'
";

/// Readings of a plenum and of the fan's flow, made from a filter of 120 Pa: the fit finds it.
#[test]
fn a_fit_finds_the_filter_from_plenum_pressure_and_fan_flow() {
    let house_of = |drop: &str| {
        let filter =
            format!("[filter.pleats]\nbetween = ['rooms', 'return_box']\ndrop = '{drop}'\nat = '800 cfm'\n");
        good(&format!("{ROOMS}{RETURN}{CURVE}{filter}"))
    };
    let truth = house_of("120 Pa");
    let mut air = Air::new(&truth).unwrap();
    solved(&truth, &truth.prior_mean(), &mut air);
    let pa = air.pressure_between_pa(Some(1), Some(0), 0.35);
    let cfm = flow(&truth, &truth.prior_mean(), "blower") / 0.3048_f64.powi(3) * 60.0;
    let visit = format!(
        "{AROUND}[[reading]]\nset = {{ blower = 'on' }}\nfeels = 'return_box'\ncompared_with = 'rooms'\nvalue = '{pa:.1} Pa'\nwith = 'gauge'\n
[[reading]]\nflow_of = 'blower'\nvalue = '{cfm:.0} cfm'\nwith = 'hood'\n"
    );
    let house = house_of("40 to 200 Pa");
    let sink = Sink::default();
    let name = "visits/2026-11-12/visit.toml";
    let visit = engine::doc::visit::read(&File { name: name.into(), text: visit }, &sink);
    let seen = engine::fit::observe::collect(&house, &[visit], 0.0, &sink);
    assert!(sink.into_inner().list.is_empty());
    assert_eq!(seen.list.len(), 2);
    let options = engine::fit::Options::default();
    let fit = engine::fit::fit(&house, &seen, options, &mut |_| std::ops::ControlFlow::Continue(())).unwrap();
    let p = house.params.iter().position(|p| p.kind == ParamKind::FilterDrop).unwrap();
    let mut drops: Vec<f64> = fit.draws.iter().map(|d| house.value(p, d)).collect();
    drops.sort_by(f64::total_cmp);
    let at = |share: f64| drops[(share * (drops.len() - 1) as f64) as usize];
    assert!(at(0.05) < 120.0 && at(0.95) > 120.0, "{} {}", at(0.05), at(0.95));
    assert!(at(0.95) - at(0.05) < 0.5 * 160.0, "narrower than what was believed: {} {}", at(0.05), at(0.95));
}

/// A day of the year's model: air closes, the fan's power counts for its hours, and its air flows.
#[test]
fn the_year_has_the_line_in_its_network() {
    use engine::plan::model::{Luck, Surroundings, model};
    let filter = filter(60.0, "between = ['rooms', 'return_box']");
    let climate = "[heating]\nkind = 'electric'\ncapacity = '10 kW'\nset_point = '20 degC'\n
[cooling]\nkind = 'air conditioner'\ncapacity = '5 kW'\nset_point = '26 degC'\n";
    let text = format!("{ROOMS}{RETURN}{CURVE}{filter}{climate}").replace("00:00 to 24:00", "06:00 to 18:00");
    let house = good(&text);
    let theta = house.prior_mean();
    let hour = engine::weather::Hour {
        temp_k: 283.15,
        w_kg_kg: 0.005,
        pressure_pa: 101_325.0,
        wind_m_s: 2.0,
        wind_from_rad: 0.0,
        ghi_w_m2: 0.0,
        dni_w_m2: 0.0,
        dhi_w_m2: 0.0,
    };
    let weather = engine::weather::Weather::steady(hour);
    let place = engine::doc::job::Place::default();
    let around = Surroundings { place: &place, weather: &weather, rules: None };
    let model = model(&house, &theta, &[], Luck { seed: 1, draw: 0 }, around).unwrap();
    let lines = model.network.passages().iter().filter(|p| matches!(p.kind, Kind::Run(_))).count();
    assert_eq!(lines, 3, "intake, filter, fan; a fan without parts is shut when it stands");
    let day = engine::weather::PickedDay { day: 100, weight: 1.0 };
    let options = engine::year::Options { days: engine::year::Days::Picked(vec![day]), ..Default::default() };
    let year =
        engine::year::run(&model, &weather, &options, &mut |_| std::ops::ControlFlow::Continue(())).unwrap();
    assert!(year.books.worst() < 1e-9, "{:?}", year.books);
    let wanted = fan_watts(&house, &theta, 0) * 12.0 * 3600.0;
    assert!(wanted > 1e6, "{wanted}");
    assert!((year.energy.ventilation_fan_j / wanted - 1.0).abs() < 1e-6, "{}", year.energy.ventilation_fan_j);
}

/// The model of a house without changes or after some, in still steady weather of 0 degC, and a day of it.
fn lived(house: &House, changes: &[engine::doc::plans::Change]) -> (engine::year::Model, engine::year::Year) {
    use engine::plan::model::{Luck, Surroundings, model};
    let hour = engine::weather::Hour {
        temp_k: 273.15,
        w_kg_kg: 0.003,
        pressure_pa: 101_325.0,
        wind_m_s: 0.0,
        wind_from_rad: 0.0,
        ghi_w_m2: 0.0,
        dni_w_m2: 0.0,
        dhi_w_m2: 0.0,
    };
    let weather = engine::weather::Weather::steady(hour);
    let place = engine::doc::job::Place::default();
    let around = Surroundings { place: &place, weather: &weather, rules: None };
    let model = model(house, &house.prior_mean(), changes, Luck { seed: 1, draw: 0 }, around).unwrap();
    let day = engine::weather::PickedDay { day: 100, weight: 1.0 };
    let options = engine::year::Options {
        days: engine::year::Days::Picked(vec![day]),
        keep_series: true,
        ..Default::default()
    };
    let year =
        engine::year::run(&model, &weather, &options, &mut |_| std::ops::ControlFlow::Continue(())).unwrap();
    assert!(year.books.worst() < 1e-9, "{:?}", year.books);
    (model, year)
}

/// A door with spans opens and shuts at the minute; a plan that shuts it at night leaves it its day.
#[test]
fn a_door_keeps_its_own_hours() {
    use engine::doc::plans::Change;
    use engine::year::Open;
    let door = |more: &str| {
        format!(
            "{ROOMS}[zone.bed]\nkind = 'living'\nvolume = '30 m3'\nfloor_area = '12 m2'\nfloor = '0 m'\nceiling = '2.5 m'\n
[leak.window]\nbetween = ['bed', 'outdoors']\nat50 = '50 to 60 cfm'\n
[door.own]\nbetween = ['rooms', 'bed']\nwidth = '0.8 m'\nheight = '2 m'\ngap = '60 to 120 cm2'\n{more}\n"
        )
    };
    let spans = |text: &str, changes: &[Change]| {
        let (model, _) = lived(&good(&door(text)), changes);
        model.doors.iter().map(|d| d.open.clone()).collect::<Vec<_>>()
    };
    let running = |spans: &[(f64, f64)]| {
        let seconds = spans.iter().map(|(a, b)| (a * 3600.0, b * 3600.0)).collect();
        vec![Open::Running { spans: seconds, while_on: true }]
    };
    assert_eq!(spans("open = ['07:30 to 21:45']", &[]), running(&[(7.5, 21.75)]));
    assert_eq!(spans("open = []", &[]), []);
    let by_words = spans("by_day = 'open'\nat_night = 'shut'", &[]);
    assert!(matches!(by_words[..], [Open::Hours(h)] if h[7] && h[21] && !h[22] && !h[6]), "{by_words:?}");
    // The plan's night is that of `at_night`, 22 to 7.
    let at = engine::doc::Sp { value: "own".to_owned(), span: engine::diag::Span::new("plans.toml", 0..1) };
    let night = |open_at_night| [Change::Door { door: at.clone(), open_at_night }];
    let own = "open = ['06:30 to 21:45', '23:00 to 01:00']";
    assert_eq!(spans(own, &night(false)), running(&[(7.0, 21.75)]));
    assert_eq!(spans(own, &night(true)), running(&[(7.0, 21.75), (22.0, 7.0)]));
    // Both ways of saying it at once.
    let (_, said) = read(&door("open = ['07:30 to 21:45']\nat_night = 'open'"));
    assert!(matches!(&said[..], [("H117", place)] if place.contains("open")), "{said:?}");
    let (_, said) = read(&door("open = ['07:30 to 27:45']"));
    assert_eq!(said.iter().map(|s| s.0).collect::<Vec<_>>(), ["T013"]);
}

/// A flue that fires for a third of the day draws what it draws cold for two thirds and what it draws
/// hot for one; without hours it stands cold.
#[test]
fn a_flue_is_hot_in_its_hours() {
    let stack = |hot: &str| {
        format!(
            "{ROOMS}[stack.flue]\nbetween = ['rooms', 'outdoors']\nbottom = '1 m'\ntop = '8 m'\ndiameter = '150 mm'\nfittings = [1.5]\n{hot}\n
[heating]\nkind = 'electric'\ncapacity = '30 kW'\nset_point = '20 degC'\n"
        )
    };
    let drawn = |hot: &str| {
        let (model, year) = lived(&good(&stack(hot)), &[]);
        let runs = model.network.passages().iter().filter(|p| matches!(p.kind, Kind::Run(_))).count();
        (runs, year.outdoor_air_kg_s)
    };
    let hot = "temperature = '150 degC'";
    let (one, cold) = drawn(hot);
    let (two, always) = drawn(&format!("{hot}\nhot = ['00:00 to 24:00']"));
    let (_, third) = drawn(&format!("{hot}\nhot = ['02:00 to 05:00', '08:10 to 13:10']"));
    assert_eq!((one, two), (1, 2));
    assert!(always > 1.1 * cold, "{always} {cold}");
    let expected = (2.0 * cold + always) / 3.0;
    assert!((third / expected - 1.0).abs() < 2e-3, "{third} {expected}");
    // Without a temperature of its own it is that of common practice, which is milder.
    let (_, usual) = drawn("hot = ['00:00 to 24:00']");
    assert!(usual > cold && usual < always, "{cold} {usual} {always}");
    // A draft hood with its gas closes its books too.
    let (_, hooded) =
        drawn(&format!("{hot}\nhot = ['02:00 to 10:00']\nhood_area = '0.03 m2'\nhood_gas = '10 L/s'"));
    assert!(hooded > 0.0);
}

/// Every example of docs/HOUSE.md, put together, is one good house that can be solved.
#[test]
fn the_documented_examples_are_one_good_house() {
    let text = include_str!("../../docs/HOUSE.md");
    let blocks = text.split("```toml\n").skip(1).filter_map(|part| part.split("```").next());
    let house = good(&blocks.collect::<Vec<_>>().join("\n"));
    let mut air = Air::new(&house).unwrap();
    solved(&house, &house.prior_mean(), &mut air);
    assert!(air.solution.zone_pa.iter().all(|p| p.abs() < 100.0), "{:?}", air.solution.zone_pa);
    let kinds = house.elements.iter().map(|e| std::mem::discriminant(&e.law)).collect::<Vec<_>>();
    assert!(kinds.len() > 10 && house.lines.len() >= 4);
}
