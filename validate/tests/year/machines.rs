//! Machines and events of the year against closed forms and the reference's check values.

use super::{OUT, exhaust, handler, hour, leak, live, one_zone, with_series};
use engine::air;
use engine::device::plant::LowStage;
use engine::device::{Coil, Plant, WaterHeater};
use engine::network::{Kind, Network, Node};
use engine::procedure::moisture::mould::{Decline, Index, Sensitivity};
use engine::weather::{PickedDay, Weather};
use engine::year::{
    Beyond, ClothesDryer, Cooling, Days, Delivery, DryerVent, DuctLeak, DuctRun, Gain, Gas, GasSource,
    HotWater, Humidifier, Model, Options, Schedule, SetBack, Source, Surface, WetGround, Year,
};

const CP: f64 = 1006.0;

fn short() -> Options {
    Options { days: Days::Picked(vec![PickedDay { day: 20, weight: 1.0 }]), ..with_series() }
}

fn source(start_s: f64, duration_s: f64, water_kg_s: f64) -> Source {
    Source {
        zone: 0,
        start_s,
        duration_s,
        pm25_kg_s: 0.0,
        water_kg_s,
        co2_m3_s: 0.0,
        heat_w: 0.0,
        capture: 0.0,
    }
}

fn outdoors(zone: usize, conductance_w_k: f64) -> Surface {
    Surface { zone, beyond: Beyond::Outdoors(None), conductance_w_k }
}

/// As tight as can be: what comes in stays.
fn tight() -> Model {
    let mut model = one_zone(250.0, 293.15);
    model.network.set_kind(0, Kind::Leak { c_m3_s_pan: 1e-12, n: 0.65 }).unwrap();
    model
}

fn held(year: &Year) {
    let b = &year.books;
    for books in [b.water, b.co2, b.pm25, b.heat] {
        assert!(books.relative_error() < 1e-10, "{b:?}");
    }
    // The imbalance of air is left out: a house without a leak has no throughflow to compare with.
    assert!(b.gases < 1e-10, "{b:?}");
}

#[test]
fn a_step_split_by_an_event_gives_the_same_and_events_count_to_the_second() {
    let weather = Weather::steady(hour(293.15, 0.4));
    let mut model = tight();
    // 7 min 10 s from 18:02:30: on no step of five minutes.
    model.sources = vec![source(64_950.0, 430.0, 1e-4)];
    let once = live(&model, &weather, &short());
    // Events that give nothing, at odd times, split other steps and these.
    model.sources.extend([source(64_999.0, 77.0, 0.0), source(3.0, 40_000.7, 0.0)]);
    let split = live(&model, &weather, &short());
    assert_eq!(split.counts.step_count - once.counts.step_count, 4 * 4);
    let (a, b) = (once.zones[0].series.as_ref().unwrap(), split.zones[0].series.as_ref().unwrap());
    for (x, y) in a.w_kg_kg.iter().zip(&b.w_kg_kg).skip(19) {
        assert!((x / y - 1.0).abs() < 1e-10, "{x} {y}");
    }
    // Nothing leaves, so the rise is what was given over the air at 20 degC.
    let rise = a.w_kg_kg[20] - a.w_kg_kg[17];
    let mass_kg = 250.0 * air::moist_density_kg_m3(293.15, 0.0, 101_325.0);
    assert!((rise * mass_kg / (430.0 * 1e-4) - 1.0).abs() < 1e-6, "{rise}");
    held(&split);
}

#[test]
fn spans_move_their_air_and_no_more() {
    let weather = Weather::steady(hour(273.15, 0.5));
    let mut model = one_zone(250.0, 293.15);
    let mut fan = exhaust(0.05);
    fan.power_w = 100.0;
    // 23:50 to 00:17 past midnight.
    fan.schedule = Schedule::Spans(vec![(85_800.0, 1020.0), (30_000.0, 30_333.0)]);
    model.exhausts = vec![fan];
    let year = live(&model, &weather, &short());
    let seconds = 600.0 + 1020.0 + 333.0;
    assert!((year.energy.ventilation_fan_j / (100.0 * seconds) - 1.0).abs() < 1e-12);
    held(&year);
}

/// ASHRAE 152's delivery effectiveness, reference case 1: 0.64249 at 0.5 m3/s, 15 kW, leaks of a
/// tenth on either side, B 0.90 and 0.95, ducts at 0 degC.
#[test]
fn duct_losses_are_those_of_ashrae_152() {
    let weather = Weather::steady(hour(273.15, 0.3));
    let mut model = tight();
    let capacity_w = 15_000.0;
    let flow_kg_s = capacity_w / (CP * 24.768);
    let ua = |b: f64| -f64::ln(b) * flow_kg_s * CP;
    let mut h = handler(flow_kg_s, &[(0, 1.0)], &[(0, 1.0)]);
    h.supply_leak = Some(DuctLeak { share: 0.1, zone: None });
    h.return_leak = Some(DuctLeak { share: 0.1, zone: None });
    h.supply_ducts = vec![DuctRun { zone: None, conductance_w_k: ua(0.90) }];
    h.return_ducts = vec![DuctRun { zone: None, conductance_w_k: ua(0.95) }];
    model.handler = Some(h);
    let load_w = 0.64249 * capacity_w;
    model.surfaces = vec![outdoors(0, load_w / 20.0)];
    model.zones[0].heat_capacity_j_k = 1e5;
    let heating = model.heating.as_mut().unwrap();
    heating.delivery = Delivery::Handler;
    let year = live(&model, &weather, &short());
    let given_w = year.energy.heat_delivered_j / 86_400.0;
    assert!((load_w / given_w - 0.64249).abs() < 1e-4, "{}", load_w / given_w);
    // Call is a part of the time: the plenum is hotter while it lasts; here the furnace is 50 kW.
    held(&year);
    // With the furnace of the case it runs all the time, and the register reads 37.682 degC.
    model.heating.as_mut().unwrap().plant.capacity_w = capacity_w * 1.000_01;
    let year = live(&model, &weather, &short());
    assert!((year.register_heating_k.unwrap() - 273.15 - 37.682).abs() < 0.01, "{year:?}");
}

#[test]
fn what_ducts_lose_a_zone_they_cross_gains() {
    // All ducts inside the house: nothing is lost whatever they conduct.
    let weather = Weather::steady(hour(273.15, 0.3));
    let mut model = tight();
    model.surfaces = vec![outdoors(0, 200.0)];
    model.heating.as_mut().unwrap().delivery = Delivery::Handler;
    let given = |supply: f64, back: f64, model: &mut Model| {
        let mut h = handler(0.4, &[(0, 1.0)], &[(0, 1.0)]);
        h.supply_ducts = vec![DuctRun { zone: Some(0), conductance_w_k: supply }];
        h.return_ducts = vec![DuctRun { zone: Some(0), conductance_w_k: back }];
        model.handler = Some(h);
        let year = live(model, &weather, &short());
        held(&year);
        year.energy.heat_delivered_j
    };
    let (none, much) = (given(0.0, 0.0, &mut model), given(80.0, 50.0, &mut model));
    assert!(
        (none / much - 1.0).abs() < 1e-9 && (none / (4000.0 * 86_400.0) - 1.0).abs() < 1e-3,
        "{none} {much}"
    );
}

#[test]
fn a_thermostat_with_a_band_cycles_within_it_and_uses_the_same_heat() {
    let weather = Weather::steady(hour(273.15, 0.3));
    let mut model = tight();
    model.surfaces = vec![outdoors(0, 200.0)];
    model.heating.as_mut().unwrap().plant.capacity_w = 8000.0;
    model.zones[0].heat_capacity_j_k = 5e6;
    let ideal = live(&model, &weather, &short());
    model.thermostat.as_mut().unwrap().band_k = 1.0;
    let minute = Options { inner_step_s: 60.0, ..short() };
    let cycled = live(&model, &weather, &minute);
    let temps = &cycled.zones[0].series.as_ref().unwrap().temp_k;
    assert!(temps.iter().all(|t| (292.6..293.7).contains(t)), "{temps:?}");
    // It moves: at half load a cycle takes 5e6/4000 x 2 s = 42 min.
    let spread = temps.iter().copied().fold(0.0, f64::max) - temps.iter().copied().fold(400.0, f64::min);
    assert!(spread > 0.1, "{spread}");
    let ratio = cycled.energy.heat_delivered_j / ideal.energy.heat_delivered_j;
    // Up to what is stored within the band.
    assert!((ratio - 1.0).abs() < 5e6 / ideal.energy.heat_delivered_j, "{ratio}");
    held(&cycled);
    // Cycling costs 1/(1 - 0.25 x 0.5) at half load.
    model.thermostat.as_mut().unwrap().band_k = 0.0;
    model.heating.as_mut().unwrap().plant.cycling_loss = 0.25;
    let lossy = live(&model, &weather, &short());
    let gas = |y: &Year| y.energy.heating_j[1];
    assert!((gas(&lossy) / gas(&ideal) - 1.0 / 0.875).abs() < 1e-3, "{}", gas(&lossy) / gas(&ideal));
}

#[test]
fn two_stages_a_set_back_and_backup() {
    let weather = Weather::steady(hour(273.15, 0.3));
    let mut model = tight();
    model.surfaces = vec![outdoors(0, 200.0)];
    model.zones[0].heat_capacity_j_k = 2e6;
    // 4 kW of load; 6 kW, low stage 3 kW better by a tenth: two thirds of the time low.
    let plant = &mut model.heating.as_mut().unwrap().plant;
    plant.capacity_w = 6000.0;
    plant.low = Some(LowStage { share: 0.5, cop_factor: 1.1 });
    let year = live(&model, &weather, &short());
    let expected_w = (2.0 / 3.0) * 3000.0 / (0.8 * 1.1) + (1.0 / 3.0) * 6000.0 / 0.8;
    assert!((year.energy.heating_j[1] / 86_400.0 / expected_w - 1.0).abs() < 1e-4);
    // Set back by 4 K from 22:10: it falls with tau = C/UA = 10,000 s.
    let thermostat = model.thermostat.as_mut().unwrap();
    thermostat.set_backs =
        vec![SetBack { from_s: 79_800.0, to_s: 21_600.0, heat_k: Some(289.15), cool_k: None }];
    let fine = Options { inner_step_s: 60.0, ..short() };
    let year = live(&model, &weather, &fine);
    let at = |h: usize| year.zones[0].series.as_ref().unwrap().temp_k[h];
    // Mean of 22:00 to 23:00: ten minutes held, fifty of the decay from 20 K over outdoors but never
    // below 16; 16 K is reached after 2231 s. Values are those of the ends of minutes.
    let fall = 20.0 * 10_000.0 * (1.0 - f64::exp(-2231.4 / 10_000.0));
    let mean = (600.0 * 20.0 + fall + (3000.0 - 2231.4) * 16.0) / 3600.0;
    assert!((at(22) - 273.15 - mean).abs() < 0.04, "{} {mean}", at(22));
    assert!((at(3) - 289.15).abs() < 1e-6 && (at(12) - 293.15).abs() < 1e-6);
    held(&year);
    // A heat pump below its lowest temperature leaves all to the backup.
    model.thermostat.as_mut().unwrap().set_backs.clear();
    model.heating.as_mut().unwrap().plant =
        Plant { lowest_k: 275.0, ..Plant::heat_pump(9000.0, 3.5, 6000.0) };
    let year = live(&model, &weather, &short());
    assert!((year.energy.heating_j[0] / (4000.0 * 86_400.0) - 1.0).abs() < 1e-4);
}

/// The fan runs on after the compressor: what the coil held goes back, so less is taken in all.
#[test]
fn a_fan_that_runs_on_gives_water_back() {
    let weather = Weather::steady(hour(303.15, 0.6));
    let mut model = one_zone(250.0, 297.15);
    model.surfaces = vec![outdoors(0, 150.0)];
    model.gains = vec![Gain { zone: 0, heat_w: [800.0; 24] }];
    model.exhausts = vec![exhaust(0.03)];
    model.heating = None;
    model.thermostat = Some(engine::year::Thermostat::steady(0, 285.0, 297.15));
    model.cooling = Some(Cooling {
        plant: Plant::air_conditioner(7000.0, 3.5),
        coil: Coil { bypass: 0.15, holds_kg: 0.6 },
        delivery: Delivery::Handler,
        own_flow_kg_s: 0.0,
    });
    let run = |least_duty: f64, model: &mut Model| {
        let mut h = handler(0.45, &[(0, 1.0)], &[(0, 1.0)]);
        h.least_duty = least_duty;
        model.handler = Some(h);
        let year = live(model, &weather, &short());
        held(&year);
        year
    };
    let (on_call, always) = (run(0.0, &mut model), run(1.0, &mut model));
    assert!(on_call.reevaporated_kg.abs() < 1e-12 && always.reevaporated_kg > 1.0, "{always:?}");
    let damp = |y: &Year| y.zones[0].series.as_ref().unwrap().w_kg_kg[12];
    assert!(damp(&always) > damp(&on_call) + 2e-4);
    // No more goes back than was taken, and the room's balance holds with what stays away.
    assert!(always.reevaporated_kg < always.coil_water_kg);
    let net = |y: &Year| (y.coil_water_kg - y.reevaporated_kg) / 86_400.0;
    let brought = |y: &Year| 0.03 * (weather.hours[0].w_kg_kg - damp(y));
    for year in [&on_call, &always] {
        assert!((net(year) / brought(year) - 1.0).abs() < 0.03, "{} {}", net(year), brought(year));
    }
}

/// 21 degC, 40 %, outdoors -10 degC and 70 %, 400 m3 at 0.35 per hour and 1.2 kg/m3: 0.8483 kg/h
/// (reference, PsychroLib 2.5.0).
#[test]
fn a_humidifier_holds_its_set_point_with_the_water_it_needs() {
    let weather = Weather::steady(hour(263.15, 0.7));
    let mut model = one_zone(400.0, 294.15);
    model.exhausts = vec![exhaust(400.0 * 0.35 / 3600.0 * 1.2)];
    let power_w = 30.0;
    let capacity_kg_s = 1.2 / 3600.0;
    model.humidifiers = vec![Humidifier { zone: 0, capacity_kg_s, set_rh: 0.4, band_rh: 0.01, power_w }];
    let year = live(&model, &weather, &Options { inner_step_s: 60.0, ..short() });
    let given_kg_h = year.energy.humidifier_j / power_w * capacity_kg_s / 24.0;
    assert!((given_kg_h / 0.8483 - 1.0).abs() < 0.01, "{given_kg_h}");
    // The air gave the heat of evaporation, the furnace had to bring it: 578 W for the full load.
    model.humidifiers.clear();
    let without = live(&model, &weather, &short());
    let more_w = (year.energy.heat_delivered_j - without.energy.heat_delivered_j) / 86_400.0;
    let running = given_kg_h / 1.2;
    assert!((more_w - (578.0 - 30.0 * running)).abs() < 8.0, "{more_w}");
    held(&year);
}

#[test]
fn a_water_heater_takes_heat_and_water_from_its_zone() {
    let weather = Weather::steady(hour(283.15, 0.8));
    let mut model = one_zone(250.0, 293.15);
    model.surfaces = vec![outdoors(0, 100.0)];
    model.exhausts = vec![exhaust(0.02)];
    model.sources = vec![source(0.0, 86_400.0, 8.0 / 86_400.0)];
    let without = live(&model, &weather, &short());
    let unit = WaterHeater::usual(3.0);
    model.hot_water = vec![HotWater { zone: 0, unit, draw_w: [400.0; 24], standby_w: 60.0 }];
    let with = live(&model, &weather, &short());
    held(&with);
    let w = with.zones[0].series.as_ref().unwrap().w_kg_kg[12];
    let does = unit.heating(460.0, 293.15, w, 101_325.0);
    assert!(does.taken.water_kg_s > 0.0);
    let more_w = (with.energy.heat_delivered_j - without.energy.heat_delivered_j) / 86_400.0;
    assert!((more_w - (does.taken.sensible_w - 60.0)).abs() < 2.0, "{more_w} {does:?}");
    assert!((with.energy.hot_water_j / 86_400.0 / does.power_w - 1.0).abs() < 1e-3);
    let dry = without.zones[0].series.as_ref().unwrap().w_kg_kg[12];
    let less = 0.02 * (dry - w);
    assert!((less / does.taken.water_kg_s - 1.0).abs() < 0.02, "{less} {does:?}");
}

#[test]
fn laundry_goes_outdoors_or_into_the_room() {
    let weather = Weather::steady(hour(283.15, 0.6));
    let dryer = |vent| ClothesDryer { zone: 0, start_s: 50_000.0, duration_s: 2700.0, power_w: 2500.0, vent };
    let mut model = tight();
    model.sources.extend(dryer(DryerVent::Room { water_kg: 2.0 }).source());
    let year = live(&model, &weather, &short());
    let w = &year.zones[0].series.as_ref().unwrap().w_kg_kg;
    let mass_kg = 250.0 * air::moist_density_kg_m3(293.15, 0.0, 101_325.0);
    assert!(((w[20] - w[10]) * mass_kg / 2.0 - 1.0).abs() < 1e-6);
    let mut model = one_zone(250.0, 293.15);
    let still = live(&model, &weather, &short());
    model.exhausts.extend(dryer(DryerVent::Outdoors { flow_kg_s: 0.05 }).exhaust());
    let vented = live(&model, &weather, &short());
    // 45 minutes of 0.05 kg/s from outdoors, little of the stack's own less.
    let more_kg = (vented.outdoor_air_kg_s - still.outdoor_air_kg_s) * 86_400.0;
    assert!((more_kg / (0.05 * 2700.0) - 1.0).abs() < 0.02, "{more_kg}");
}

#[test]
fn a_named_gas_settles_at_its_source_over_air_change_and_decay() {
    let weather = Weather::steady(hour(283.15, 0.6));
    let mut model = one_zone(250.0, 293.15);
    model.exhausts = vec![exhaust(0.03)];
    let sources =
        vec![GasSource { zone: 0, start_s: 0.0, duration_s: 86_400.0, rate_kg_s: 2e-9, capture: 0.25 }];
    let gas = |name: &str, decay_per_s| Gas {
        name: name.to_owned(),
        outdoors_kg_kg: 1e-8,
        decay_per_s,
        sources: sources.clone(),
    };
    model.gases = vec![gas("with decay", 0.8 / 3600.0), gas("without", 0.0)];
    let year = live(&model, &weather, &short());
    let mass_kg = 250.0 * air::moist_density_kg_m3(293.15, 0.0, 101_325.0);
    for (of, decay) in year.gases.iter().zip([0.8 / 3600.0, 0.0]) {
        let expected = (1.5e-9 + 0.03 * 1e-8) / (0.03 + decay * mass_kg);
        assert!((of.mean_kg_kg[0] / expected - 1.0).abs() < 1e-3, "{of:?} {expected}");
        assert!(of.books.relative_error() < 1e-12);
    }
}

/// A stack of one leak at the top: at the floor the zone lies below the soil's air by the weight of
/// its warm column.
#[test]
fn soil_gas_is_driven_by_the_stack() {
    let weather = Weather::steady(hour(273.15, 0.3));
    let mut model = one_zone(250.0, 293.15);
    model.network = Network::new(["house"], vec![leak(OUT, Node::Zone(0), 2.5, 0.02)]).unwrap();
    model.surfaces = vec![Surface { zone: 0, beyond: Beyond::Ground, conductance_w_k: 1.0 }];
    let year = live(&model, &weather, &short());
    let w = weather.hours[0].w_kg_kg;
    let density = |t: f64| air::moist_density_kg_m3(t, w, 101_325.0);
    let expected_pa = -9.806_65 * 2.5 * (density(273.15) - density(293.15));
    let soil = &year.soil[0];
    assert!((soil.mean_pa / expected_pa - 1.0).abs() < 2e-3, "{soil:?} {expected_pa}");
    assert!(soil.change_pa < 1e-3 && (soil.drawing - 1.0).abs() < 1e-12);
}

/// A steady room over a whole year: the index is the model's own hour by hour.
#[test]
fn mould_on_the_coldest_surface() {
    let weather = Weather::steady(hour(273.15, 0.5));
    let mut model = one_zone(250.0, 293.15);
    model.exhausts = vec![exhaust(0.03)];
    model.sources = vec![source(0.0, 86_400.0, 20.0 / 86_400.0)];
    model.zones[0].cold_factor = 0.75;
    model.zones[0].cold_name = "north corner".to_owned();
    model.zones[0].mould = Sensitivity::VerySensitive;
    let year = live(&model, &weather, &Options { inner_step_s: 3600.0, ..Options::default() });
    let zone = &year.zones[0];
    let w = weather.hours[0].w_kg_kg + 20.0 / 86_400.0 / 0.03;
    let rh_pct = 100.0 * air::relative_humidity(273.15 + 15.0, w, 101_325.0);
    assert!((80.0..100.0).contains(&rh_pct), "{rh_pct}");
    let mut index = Index::from(Sensitivity::VerySensitive, Decline::AlmostNone, 0.0);
    for _ in 0..8760 {
        index.hour(15.0, rh_pct);
    }
    let found = zone.mould_index.unwrap();
    assert!((found / index.index - 1.0).abs() < 1e-3, "{found} {}", index.index);
    assert!((zone.mould_critical_h - 8760.0).abs() < 1e-6 && zone.condensing_h < 1e-9);
    assert_eq!(zone.coldest_surface, "north corner");
    // Colder glass condenses all the time; picked days have no index.
    model.zones[0].cold_factor = 0.2;
    model.zones[0].cold_area_m2 = 0.5;
    let picked = live(&model, &weather, &short());
    assert!((picked.zones[0].condensing_h - 24.0).abs() < 1e-9, "{}", picked.zones[0].condensing_h);
    assert!(picked.zones[0].mould_index.is_none());
}

#[test]
fn a_sheet_on_wet_ground_dries_the_crawl_space() {
    let weather = Weather::steady(hour(288.15, 0.5));
    let settled = |ground: WetGround| {
        let mut model = one_zone(100.0, 290.15);
        model.wet_ground = vec![ground];
        model.exhausts = vec![exhaust(0.1)];
        let year = live(&model, &weather, &short());
        held(&year);
        year.zones[0].series.as_ref().unwrap().w_kg_kg[12]
    };
    let (bare, covered) =
        (WetGround::covered(0, 50.0, 0.0, 5.72e-12), WetGround::covered(0, 50.0, 0.9, 5.72e-12));
    let (w_out, w_soil) = (weather.hours[0].w_kg_kg, air::saturation_humidity_ratio(288.0, 101_325.0));
    for ground in [bare, covered] {
        let k = ground.transfer_kg_s;
        let expected = (0.1 * w_out + k * w_soil) / (0.1 + k);
        assert!((settled(ground) / expected - 1.0).abs() < 1e-3);
    }
    assert!(settled(bare) - w_out > 4.0 * (settled(covered) - w_out));
}

/// Two rooms of 100 W/K each, 20 K: 2 kW each; one gets a quarter of the flow, then leaks come.
#[test]
fn rooms_on_a_design_day_tell_machine_flow_and_ducts_apart() {
    use engine::year::{Cause, DesignDay, Zone, ZoneKind, rooms};
    let weather = Weather::steady(hour(273.15, 0.3));
    let day = DesignDay {
        outdoor: weather.at(0.0),
        indoor_k: 293.15,
        indoor_w_kg_kg: 0.004,
        ground_k: 283.15,
        sun_w_m2: 0.0,
        gains: false,
        hour: 3,
    };
    let mut model = tight();
    let mut second = model.zones[0].clone();
    second.name = "north room".to_owned();
    model.zones.push(second);
    model.zones.push(Zone::usual("attic", ZoneKind::Buffer, 2.5, 3.5, 100.0));
    let shut = |a, b| {
        let mut way = leak(a, b, 1.0, 1e-12);
        way.kind = Kind::Leak { c_m3_s_pan: 1e-12, n: 0.65 };
        way
    };
    let ways: Vec<_> = (0..3).map(|z| shut(OUT, Node::Zone(z))).collect();
    model.network = Network::new(["house", "north room", "attic"], ways).unwrap();
    model.passages = vec![model.passages[0]; 3];
    model.surfaces = vec![outdoors(0, 100.0), outdoors(1, 100.0), outdoors(2, 300.0)];
    let heating = model.heating.as_mut().unwrap();
    heating.delivery = Delivery::Handler;
    heating.plant.capacity_w = 5000.0;
    let balanced = [(0, 0.75), (1, 0.25)];
    model.handler = Some(handler(0.3, &balanced, &balanced));
    let found = rooms(&model, &day).unwrap();
    assert_eq!(found.len(), 2);
    assert!(found.iter().all(|r| (r.load_w - 2000.0).abs() < 0.1), "{found:?}");
    // 1250 of 2000 W, though a fair share would be 2500.
    assert!((found[1].delivered_w - 1250.0).abs() < 0.1 && (found[1].by_flow_w - 1250.0).abs() < 0.1);
    assert!((found[1].by_load_w + 500.0).abs() < 0.1 && found[1].by_leakage_w.abs() < 0.1);
    assert_eq!((found[0].cause, found[1].cause), (Cause::Enough, Cause::Flow));
    // Equal shares, but the ducts lose a third to the attic at 0 degC and above: ASHRAE 152's form.
    let even = [(0, 0.5), (1, 0.5)];
    let mut h = handler(0.3, &even, &even);
    h.supply_ducts = vec![DuctRun { zone: Some(2), conductance_w_k: 120.0 }];
    model.handler = Some(h);
    let found = rooms(&model, &day).unwrap();
    let b = f64::exp(-120.0 / (0.3 * CP));
    // The attic's balance: 300 (Ta - 0) = m cp (1 - B) (20 + 5000/(m cp) - Ta).
    let g = 0.3 * CP * (1.0 - b);
    let plenum_c = 20.0 + 5000.0 / (0.3 * CP);
    let attic_c = g * plenum_c / (300.0 + g);
    let register_c = attic_c + b * (plenum_c - attic_c);
    let expected_w = 0.15 * CP * (register_c - 20.0);
    assert!((found[0].delivered_w - expected_w).abs() < 1.0, "{found:?} {expected_w}");
    assert_eq!(found[0].cause, Cause::Leakage);
    let parts = found[0].by_load_w + found[0].by_flow_w + found[0].by_leakage_w;
    assert!((parts - (found[0].load_w - found[0].delivered_w)).abs() < 1e-9);
    // Too small a machine.
    model.handler = Some(handler(0.3, &even, &even));
    model.heating.as_mut().unwrap().plant.capacity_w = 3000.0;
    assert!(rooms(&model, &day).unwrap().iter().all(|r| r.cause == Cause::Load));
}

/// Everything of the machines as a user writes it, over the demonstration's house, to the year's.
#[test]
fn machines_are_read_where_a_user_writes_them() {
    use engine::doc::{File, Sink, load};
    use engine::plan::model::{Luck, Surroundings, model};
    const HOUSE: &str = include_str!("../../../api/assets/demo/house.toml");
    let text = HOUSE
        .replace("[heating]\n", "[heating]\nset_back = \"62 degF\"\nset_back_hours = \"22:30 to 06:10\"\nlow_stage = \"60 %\"\nlow_stage_efficiency = 3.3\ncycling_loss = \"20 %\"\nbackup = \"5 kW\"\nsecond_outdoors = \"17 degF\"\nsecond_capacity = \"5.5 kW\"\nsecond_efficiency = 2.2\nlowest_outdoors = \"0 degF\"\n")
        .replace("coldest_factor = 0.55", "coldest_factor = 0.55\nlabel = \"front windows\"\nmould = \"medium resistant\"")
        + r#"
[thermostat]
zone = "main"
dead_band = "1 K"

[[air_handler.duct]]
zone = "attic"
side = "supply"
area = "20 m2"
r = "1 m2 K/W"

[[air_handler.duct]]
zone = "outdoors"
side = "return"
ua = "5 W/K"

[[water_heater]]
zone = "crawl"
efficiency = 3.2
draw = "150 kg/d"
rise = "40 K"
standby = "50 W"

[[clothes_dryer]]
zone = "main"
at = "10:05"
lasts = "50 min"
power = "2500 W"
vent = "outdoors"
flow = "100 cfm"

[[clothes_dryer]]
zone = "main"
at = "12:05"
lasts = "50 min"
power = "2500 W"
vent = "room"
water = "2 kg"

[[humidifier]]
zone = "main"
capacity = "0.5 kg/h"
set_point = "40 %"
kind = "steam"

[[wet_ground]]
zone = "crawl"
area = "100 m2"
cover = "90 %"

[gas.nitrogen_dioxide]
outdoors = "20 ug/m3"
decay = "0.8 1/h"

[[gas.nitrogen_dioxide.source]]
zone = "main"
at = "18:00"
lasts = "20 min"
rate = "3 mg/min"
"#;
    let read = |text: &str| {
        let sink = Sink::default();
        let file = |name: &str, text: &str| File { name: name.to_owned(), text: text.to_owned() };
        let job = include_str!("../../../api/assets/demo/job.toml");
        let documents = load(&[file("job.toml", job), file("house.toml", text)], &sink);
        let house = engine::house::build(documents.house.as_ref().unwrap(), &sink);
        (documents, house, sink.into_inner().list)
    };
    let (documents, house, found) = read(&text);
    assert!(found.is_empty(), "{found:?}");
    let weather = validate::houses::greensboro().unwrap();
    let around = Surroundings { place: &documents.job.place, weather: &weather, rules: None };
    let model = model(&house, &house.prior_mean(), &[], Luck { seed: 1, draw: 0 }, around).unwrap();
    assert_eq!(model.check(), vec![]);
    let zone = |name: &str| house.zone(name).unwrap();
    let near = |x: f64, y: f64| assert!((x - y).abs() < 1e-9 * y.abs().max(1.0), "{x} {y}");
    let plant = &model.heating.as_ref().unwrap().plant;
    // 9 kW at 47 degF and 5.5 kW at 17 degF, to the capacity there; 3.0 and 2.2.
    let there = plant.at(264.816_666_666_666_7);
    assert!((there.capacity_w - 5500.0).abs() < 5.0 && (there.cop - 2.2).abs() < 1e-3, "{there:?}");
    near(plant.low.unwrap().cop_factor, 1.1);
    near(plant.backup_w, 5000.0);
    assert!(plant.at(255.0).capacity_w.abs() < 1e-12);
    let thermostat = model.thermostat.as_ref().unwrap();
    near(thermostat.band_k, 1.0);
    near(thermostat.at(22, 80_999.0).0, (69.0 + 459.67) / 1.8);
    near(thermostat.at(22, 81_001.0).0, (62.0 + 459.67) / 1.8);
    let handler = model.handler.as_ref().unwrap();
    assert_eq!(handler.supply_ducts, vec![DuctRun { zone: Some(zone("attic")), conductance_w_k: 20.0 }]);
    assert_eq!(handler.return_ducts[0].zone, None);
    near(model.hot_water[0].draw_w[5], 150.0 / 86_400.0 * 4186.0 * 40.0);
    assert!(model.exhausts.iter().any(|f| f.schedule == Schedule::Spans(vec![(36_300.0, 39_300.0)])));
    assert!(model.sources.iter().any(|s| (s.water_kg_s - 2.0 / 3000.0).abs() < 1e-12));
    near(model.humidifiers[0].capacity_kg_s, 0.5 / 3600.0);
    assert!(model.wet_ground.iter().any(|w| (w.transfer_kg_s - 0.03).abs() < 1e-3));
    near(model.gases[0].decay_per_s, 0.8 / 3600.0);
    assert_eq!(model.zones[zone("main")].cold_name, "front windows");
    assert_eq!(model.zones[zone("main")].mould, Sensitivity::MediumResistant);
    let year = live(&model, &weather, &short());
    held(&year);
    assert!(year.books.worst() < 1e-10 && year.soil.iter().any(|s| s.zone == "crawl"));
    // A name that is nothing is told.
    let (_, _, found) =
        read(&text.replace("zone = \"crawl\"\narea = \"100 m2\"", "zone = \"crwl\"\narea = \"100 m2\""));
    assert_eq!(found.len(), 1, "{found:?}");
}
