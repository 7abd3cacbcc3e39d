//! From the text of `house.toml` to [`House`]; what is wrong goes to the sink.

use super::elements::{self, damper, duct, filter, grille, stack};
use super::machines;
use super::{
    AirHandler, Appliance, Dehumidifier, Door, Draft, Equipment, Face, Fan, HeatKind, House, Leak, People,
    Register, Size, Source, Surface, Window, Zone, ZoneKind,
};
use crate::doc::job::Terrain;
use crate::doc::read::{Tab, parse};
use crate::doc::{File, Sink, Sp};
use crate::units::Quantity as Q;

pub(in crate::doc) const FACES: &[(&str, Face)] = &[
    ("all", Face::All),
    ("front", Face::Front),
    ("right", Face::Right),
    ("back", Face::Back),
    ("left", Face::Left),
    ("roof", Face::Roof),
];

/// Reads `house.toml`.
pub fn read(file: &File, sink: &Sink) -> House {
    let root = parse(&file.name, &file.text, sink);
    let top = Tab::top(&file.name, &root, sink);
    top.format();
    let site = top.table("site");
    let terrain = site.as_ref().and_then(|s| {
        s.choice(
            "terrain",
            &[
                ("city", Terrain::City),
                ("suburban", Terrain::Suburban),
                ("open", Terrain::Open),
                ("flat", Terrain::Flat),
            ],
        )
    });
    // Shelter factors of the enhanced model, ASHRAE Fundamentals 2021 ch. 16 (no flue column).
    let shelter = site.as_ref().and_then(|s| {
        s.choice(
            "shelter",
            &[("none", 1.0), ("light", 0.9), ("moderate", 0.7), ("heavy", 0.5), ("dense", 0.3)],
        )
    });
    let front = site.as_ref().and_then(|s| s.bounded("front_faces", Q::Angle, 0.0..=6.284));
    let ratio = site.as_ref().and_then(|s| s.number("side_ratio"));
    House {
        terrain: terrain.map_or(Terrain::Suburban, |t| t.value),
        shelter: shelter.map_or(0.7, |s| s.value),
        front_rad: front.map_or(std::f64::consts::PI, |f| f.value),
        side_ratio: ratio.map_or(1.0, |r| r.value.clamp(0.2, 5.0)),
        zones: top.named("zone").iter().filter_map(zone).collect(),
        leaks: top.named("leak").iter().filter_map(leak).collect(),
        doors: top.named("door").iter().filter_map(door).collect(),
        fans: top.named("fan").iter().filter_map(fan).collect(),
        ducts: top.named("duct").iter().filter_map(duct).collect(),
        filters: top.named("filter").iter().filter_map(filter).collect(),
        grilles: top.named("grille").iter().filter_map(grille).collect(),
        dampers: top.named("damper").iter().filter_map(damper).collect(),
        stacks: top.named("stack").iter().filter_map(stack).collect(),
        air_handler: top.table("air_handler").and_then(|t| air_handler(&t)),
        appliances: top.named("appliance").iter().filter_map(appliance).collect(),
        surfaces: top.list("surface").iter().filter_map(surface).collect(),
        windows: top.list("window").iter().filter_map(window).collect(),
        people: top.list("people").iter().filter_map(people).collect(),
        sources: top.list("source").iter().filter_map(source).collect(),
        heating: top.table("heating").and_then(|t| equipment(&t, true)),
        cooling: top.table("cooling").and_then(|t| equipment(&t, false)),
        machines: machines::machines(&top),
        dehumidifier: top.table("dehumidifier").and_then(|t| dehumidifier(&t)),
        span: crate::diag::Span::new(&file.name, 0..1),
    }
}

type Named<'a, 't> = (Sp<String>, Tab<'a, 't>);

pub(super) fn label(name: &Sp<String>, t: &Tab<'_, '_>) -> String {
    t.text("label").map_or_else(|| name.value.replace('_', " "), |l| l.value)
}

pub(super) fn between(t: &Tab<'_, '_>) -> Option<[Sp<String>; 2]> {
    let ends = t.texts("between");
    if t.need("between", t.has("between").then_some(())).is_some() && ends.len() != 2 {
        t.say(
            crate::diag::Diagnostic::error(crate::diag::code::T012)
                .at(t.span_of("between"))
                .arg("key", "between")
                .arg("found", ends.len())
                .arg("wanted", 2.0),
        );
    }
    <[Sp<String>; 2]>::try_from(ends).ok()
}

fn zone((name, t): &Named<'_, '_>) -> Option<Zone> {
    let kind = t.need(
        "kind",
        t.choice(
            "kind",
            &[
                ("living", ZoneKind::Living),
                ("appliance", ZoneKind::Appliance),
                ("attic", ZoneKind::Attic),
                ("crawl space", ZoneKind::Crawl),
                ("garage", ZoneKind::Garage),
                ("basement", ZoneKind::Basement),
                ("plenum", ZoneKind::Plenum),
            ],
        ),
    );
    let volume = t.need("volume", t.bounded("volume", Q::Volume, 0.01..=1e5));
    let area = t.need("floor_area", t.bounded("floor_area", Q::Area, 0.01..=1e5));
    let floor = t.need("floor", t.bounded("floor", Q::Length, -20.0..=200.0));
    let ceiling = t.need("ceiling", t.bounded("ceiling", Q::Length, -20.0..=200.0));
    let label = label(name, t);
    Some(Zone {
        name: name.clone(),
        label,
        kind: kind?.value,
        volume_m3: volume.map(|v| v.value),
        floor_area_m2: area.map(|a| a.value),
        floor_m: floor?.value,
        ceiling_m: ceiling?.value,
    })
}

fn leak((name, t): &Named<'_, '_>) -> Option<Leak> {
    let label = label(name, t);
    let between = between(t);
    let at50 = t.range("at50", Q::AirFlow);
    let area = t.range("area", Q::Area);
    let exponent = t.range("exponent", Q::Number);
    if let Some(e) = &exponent {
        for end in [e.value.0, e.value.1] {
            t.within("exponent", &Sp { value: end, span: e.span.clone() }, Q::Number, 0.5..=1.0);
        }
    }
    let height = t.bounded("height", Q::Length, -20.0..=200.0);
    let face = t.choice("face", FACES);
    let size = match (at50, area) {
        (Some(at50), _) if positive(t, "at50", &at50, Q::AirFlow) => {
            Some(Size::At50 { lo_m3_s: at50.value.0, hi_m3_s: at50.value.1 })
        }
        (None, Some(area)) if positive(t, "area", &area, Q::Area) => {
            Some(Size::Area { lo_m2: area.value.0, hi_m2: area.value.1 })
        }
        (None, None) if !t.has("at50") && !t.has("area") => t.need("at50", None),
        _ => None,
    };
    Some(Leak {
        name: name.clone(),
        label,
        between: between?,
        size,
        exponent: exponent.map(|e| e.value),
        height_m: height.map(|h| h.value),
        face: face.map_or(Face::All, |f| f.value),
    })
}

pub(super) fn positive(t: &Tab<'_, '_>, key: &'static str, range: &Sp<(f64, f64)>, quantity: Q) -> bool {
    let low = Sp { value: range.value.0, span: range.span.clone() };
    t.within(key, &low, quantity, f64::MIN_POSITIVE..=f64::MAX)
}

fn share(t: &Tab<'_, '_>, key: &'static str) -> Option<(f64, f64)> {
    let range = t.range(key, Q::Fraction)?;
    for end in [range.value.0, range.value.1] {
        if !t.within(key, &Sp { value: end, span: range.span.clone() }, Q::Fraction, 0.0..=1.0) {
            return None;
        }
    }
    Some(range.value)
}

fn door((name, t): &Named<'_, '_>) -> Option<Door> {
    let label = label(name, t);
    let between = between(t);
    let width = t.need("width", t.bounded("width", Q::Length, 0.05..=10.0));
    let height = t.need("height", t.bounded("height", Q::Length, 0.05..=10.0));
    let bottom = t.bounded("bottom", Q::Length, -20.0..=200.0);
    let gap = t.need("gap", t.range("gap", Q::Area));
    let gap = gap.filter(|g| positive(t, "gap", g, Q::Area));
    let face = t.choice("face", FACES);
    let state = &[("open", true), ("shut", false)];
    let day = t.choice("by_day", state);
    let night = t.choice("at_night", state);
    let open_s: Option<Vec<(f64, f64)>> =
        t.has("open").then(|| t.texts("open").iter().filter_map(|s| hours(t, s)).collect());
    for key in ["by_day", "at_night"] {
        if open_s.is_some() && t.has(key) {
            t.say(
                crate::diag::Diagnostic::error(crate::diag::code::H117)
                    .at(t.span_of(key))
                    .at(t.span_of("open"))
                    .arg("name", label.as_str())
                    .arg("key", key),
            );
        }
    }
    let open_at = |time_s: f64| {
        let holds = |(from, to): &(f64, f64)| {
            if from <= to { (*from..*to).contains(&time_s) } else { time_s >= *from || time_s < *to }
        };
        open_s.as_ref().map(|spans| spans.iter().any(holds))
    };
    let (at_noon, at_three) = (open_at(12.0 * 3600.0), open_at(3.0 * 3600.0));
    Some(Door {
        name: name.clone(),
        label,
        between: between?,
        width_m: width.map_or(0.8, |w| w.value),
        height_m: height.map_or(2.0, |h| h.value),
        bottom_m: bottom.map(|b| b.value),
        gap_m2: gap.map(|g| g.value),
        face: face.map_or(Face::All, |f| f.value),
        open_by_day: at_noon.unwrap_or(day.is_some_and(|d| d.value)),
        open_at_night: at_three.unwrap_or(night.is_some_and(|d| d.value)),
        open_s,
    })
}

fn fan((name, t): &Named<'_, '_>) -> Option<Fan> {
    let label = label(name, t);
    let from = t.need("from", t.text("from"));
    let to = t.need("to", t.text("to"));
    let (parts, good) = elements::fan_parts(t);
    let flow = t.range("flow", Q::AirFlow);
    let flow = if good && parts.curve.is_none() { t.need("flow", flow) } else { flow };
    let flow = flow.filter(|f| positive(t, "flow", f, Q::AirFlow));
    let power = t.bounded("power", Q::Power, 0.0..=5000.0);
    let capture = share(t, "capture");
    let runs = t.texts("runs").iter().filter_map(|s| hours(t, s)).collect();
    Some(Fan {
        name: name.clone(),
        label,
        from: from?,
        to: to?,
        flow_m3_s: flow.map(|f| f.value),
        power_w: power.map_or(0.0, |p| p.value),
        runs_s: runs,
        capture: capture.map_or(0.0, |c| (c.0 + c.1) / 2.0),
        safety_exhaust: t.flag("safety_exhaust").unwrap_or(false),
        parts,
    })
}

fn air_handler(t: &Tab<'_, '_>) -> Option<AirHandler> {
    let zone = t.need("zone", t.text("zone"));
    let ducts = t.list("duct").iter().filter_map(machines::duct).collect();
    let flow = t.need("flow", t.range("flow", Q::AirFlow));
    let flow = flow.filter(|f| positive(t, "flow", f, Q::AirFlow));
    let supply_leak = t.need("supply_leak", share(t, "supply_leak"));
    let return_leak = t.need("return_leak", share(t, "return_leak"));
    let power = t.bounded("power", Q::Power, 0.0..=5000.0);
    let filter = share(t, "filter_pm25");
    let mix = share(t, "mixing");
    let registers = t
        .named("register")
        .iter()
        .filter_map(|(name, t)| {
            let label = label(name, t);
            let zone = t.need("zone", t.text("zone"));
            let side = t.need("side", t.choice("side", &[("supply", true), ("return", false)]));
            let share = t.need("share", share(t, "share"));
            Some(Register { name: name.clone(), label, zone: zone?, supply: side?.value, share: share? })
        })
        .collect();
    let blower = t.table("blower").and_then(|t| super::blower::blower(&t));
    let filter_of = t.table("filter").and_then(|t| super::blower::filter(&t));
    let intake = t.table("intake").and_then(|t| super::blower::intake(&t));
    Some(AirHandler {
        zone: zone?,
        flow_m3_s: flow?.value,
        supply_leak: supply_leak?,
        return_leak: return_leak?,
        power_w: power.map_or(0.0, |p| p.value),
        filter_pm25: filter.map_or(0.0, |f| (f.0 + f.1) / 2.0),
        mix_share: mix.map_or(0.0, |m| (m.0 + m.1) / 2.0),
        registers,
        ducts,
        blower,
        filter: filter_of,
        intake,
        span: t.span(),
    })
}

fn appliance((name, t): &Named<'_, '_>) -> Option<Appliance> {
    let label = label(name, t);
    let zone = t.need("zone", t.text("zone"));
    let draft = t.need(
        "draft",
        t.choice(
            "draft",
            &[
                ("natural", Draft::Natural),
                ("fan assisted", Draft::FanAssisted),
                ("sealed", Draft::Sealed),
                ("unvented", Draft::Unvented),
            ],
        ),
    );
    let flue = t.range("flue_area", Q::Area);
    let flue = flue.filter(|f| positive(t, "flue_area", f, Q::Area));
    let top = t.bounded("flue_top", Q::Length, 0.0..=200.0);
    Some(Appliance {
        name: name.clone(),
        label,
        zone: zone?,
        draft: draft?.value,
        flue_m2: flue.map(|f| f.value),
        flue_top_m: top.map_or(6.0, |h| h.value),
    })
}

fn surface(t: &Tab<'_, '_>) -> Option<Surface> {
    let between = between(t);
    let ua = t.bounded("ua", Q::Conductance, 0.0..=1e5);
    let area = t.bounded("area", Q::Area, 0.0..=1e5);
    let r = t.bounded("r", Q::Resistance, 0.01..=100.0);
    let sunlit_roof = t.flag("sunlit_roof").unwrap_or(false);
    let coldest = t.number("coldest_factor");
    let label = t.text("label").map(|l| l.value);
    let mould = t.choice("mould", machines::MOULD).map(|m| m.value);
    let area_m2 = area.as_ref().map(|a| a.value);
    let ua = match (ua, area, r) {
        (Some(ua), _, _) => Some(ua.value),
        (None, Some(area), Some(r)) => Some(area.value / r.value),
        _ => t.need("ua", None),
    };
    Some(Surface {
        between: between?,
        ua_w_k: ua?,
        area_m2,
        sunlit_roof,
        label,
        mould,
        coldest_factor: coldest.map(|c| c.value.clamp(0.0, 1.0)),
    })
}

fn window(t: &Tab<'_, '_>) -> Option<Window> {
    let zone = t.need("zone", t.text("zone"));
    let area = t.need("area", t.bounded("area", Q::Area, 0.0..=1000.0));
    let shgc = t.number("shgc");
    let face = t.need("face", t.choice("face", FACES));
    Some(Window {
        zone: zone?,
        area_m2: area?.value,
        // A clear double window with frame; common practice, no source.
        shgc: shgc.map_or(0.5, |s| s.value.clamp(0.0, 1.0)),
        face: face?.value,
    })
}

fn people(t: &Tab<'_, '_>) -> Option<People> {
    let label = t.text("label").map_or_else(String::new, |l| l.value);
    let count = t.need("count", t.number("count"));
    let sleep_in = t.need("sleep_in", t.text("sleep_in"));
    let day_in = t.need("day_in", t.text("day_in"));
    let sleep = t.need("sleep", t.text("sleep")).and_then(|s| hours(t, &s));
    let away = t.text("away").and_then(|s| hours(t, &s));
    Some(People {
        label,
        count: count?.value,
        sleep_in: sleep_in?,
        day_in: day_in?,
        sleep_s: sleep?,
        away_s: away,
    })
}

fn source(t: &Tab<'_, '_>) -> Option<Source> {
    let label = t.text("label").map_or_else(String::new, |l| l.value);
    let zone = t.need("zone", t.text("zone"));
    let at = t.text("at").and_then(|s| time_of_day(t, &s, &s.value));
    let lasts = t.bounded("lasts", Q::Time, 1.0..=86400.0);
    let water = t.bounded("water", Q::MassRate, 0.0..=1.0);
    let pm25 = t.bounded("pm25", Q::ParticleRate, 0.0..=1.0);
    let heat = t.bounded("heat", Q::Power, 0.0..=1e5);
    Some(Source {
        label,
        zone: zone?,
        at_s: at,
        lasts_s: lasts.map_or(86400.0, |l| l.value),
        water_kg_s: water.map_or(0.0, |w| w.value),
        pm25_kg_s: pm25.map_or(0.0, |p| p.value),
        heat_w: heat.map_or(0.0, |h| h.value),
    })
}

fn equipment(t: &Tab<'_, '_>, heating: bool) -> Option<Equipment> {
    let kinds: &[(&'static str, HeatKind)] = if heating {
        &[("heat pump", HeatKind::HeatPump), ("furnace", HeatKind::Furnace), ("electric", HeatKind::Electric)]
    } else {
        &[("heat pump", HeatKind::HeatPump), ("air conditioner", HeatKind::AirConditioner)]
    };
    let kind = t.need("kind", t.choice("kind", kinds));
    let capacity = t.need("capacity", t.bounded("capacity", Q::Power, 100.0..=1e6));
    let efficiency = t.number("efficiency");
    let set_point = t.need("set_point", t.bounded("set_point", Q::Temperature, 273.15..=313.15));
    let running = machines::running(t, heating);
    let kind = kind?.value;
    // Seasonal values typed by the user replace these; common practice, no source.
    let usual = match kind {
        HeatKind::HeatPump | HeatKind::AirConditioner => 3.0,
        HeatKind::Furnace => 0.8,
        HeatKind::Electric => 1.0,
    };
    Some(Equipment {
        kind,
        capacity_w: capacity?.value,
        efficiency: efficiency.map_or(usual, |e| e.value),
        set_point_k: set_point?.value,
        running,
    })
}

pub(in crate::doc) fn dehumidifier(t: &Tab<'_, '_>) -> Option<Dehumidifier> {
    let zone = t.need("zone", t.text("zone"));
    let capacity = t.need("capacity", t.bounded("capacity", Q::MassRate, 0.0..=0.01));
    let efficiency = t.need("efficiency", t.quantity("efficiency", Q::MassPerEnergy));
    let set_point = t.need("set_point", t.bounded("set_point", Q::Fraction, 0.2..=0.9));
    Some(Dehumidifier {
        zone: zone?,
        capacity_kg_s: capacity?.value,
        efficiency_kg_j: efficiency?.value,
        set_point_rh: set_point?.value,
    })
}

/// `22:30` as seconds of the day.
pub(in crate::doc) fn time_of_day(t: &Tab<'_, '_>, place: &Sp<String>, text: &str) -> Option<f64> {
    let read = || {
        let (h, m) = text.trim().split_once(':')?;
        let (h, m) = (h.parse::<u32>().ok()?, m.parse::<u32>().ok()?);
        (h <= 24 && m < 60 && h * 60 + m <= 1440).then_some(f64::from(h * 60 + m) * 60.0)
    };
    let seconds = read();
    if seconds.is_none() {
        t.say(
            crate::diag::Diagnostic::error(crate::diag::code::T013).at(place.span.clone()).arg("found", text),
        );
    }
    seconds
}

/// `22:30 to 06:30` as seconds of the day.
pub(in crate::doc) fn hours(t: &Tab<'_, '_>, text: &Sp<String>) -> Option<(f64, f64)> {
    let (from, to) = text.value.split_once(" to ").unwrap_or((&text.value, ""));
    Some((time_of_day(t, text, from)?, time_of_day(t, text, to)?))
}
