//! A house from a few answers, to be adjusted afterwards: zones, leaks with wide ranges, doors,
//! fans, ducts, appliances and surfaces of a house of its kind.
//!
//! Every number that nobody typed is common practice without a source, and the document says so
//! where it stands; ranges are wide, and readings narrow them.

use crate::phone::draft::{language, system};
use engine::doc::File;
use engine::units::{Quantity, System, parse, unit};
use serde::Deserialize;
use std::fmt::Write;

/// What stands under the house.
#[derive(Clone, Copy, Debug, Default, Deserialize, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub enum Foundation {
    /// On the ground.
    #[default]
    Slab,
    /// A crawl space.
    Crawl,
    /// A basement that is not lived in.
    Basement,
}

/// Where ducts run.
#[derive(Clone, Copy, Debug, Default, Deserialize, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
enum Ducts {
    /// There are none.
    #[default]
    None,
    /// In the rooms.
    Inside,
    /// In the attic.
    Attic,
    /// Under the floor.
    Below,
    /// In the garage.
    Garage,
}

/// How tight it seems.
#[derive(Clone, Copy, Debug, Default, Deserialize, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
enum Tightness {
    /// New, with care.
    Tight,
    /// Neither.
    #[default]
    Usual,
    /// Old and draughty.
    Leaky,
}

/// What burns fuel.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
enum Burns {
    WaterHeater,
    Furnace,
    Fireplace,
}

/// The answers. Lengths, areas and the like are texts with their unit, as everywhere.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct Begin {
    name: String,
    language: String,
    /// `IP` or `SI`.
    units: String,
    /// Floor area of the rooms, all storeys.
    floor_area: String,
    /// Height of a storey.
    height: String,
    storeys: u8,
    bedrooms: u8,
    foundation: Foundation,
    attic: bool,
    garage: bool,
    ducts: Ducts,
    tightness: Tightness,
    burns: Vec<Burns>,
    year_built: Option<u16>,
}

/// Air change at 50 Pa, 1/h, nine times in ten. Common practice, no source.
const fn air_change(tightness: Tightness) -> (f64, f64) {
    match tightness {
        Tightness::Tight => (1.0, 6.0),
        Tightness::Usual => (3.0, 15.0),
        Tightness::Leaky => (7.0, 35.0),
    }
}

/// Thermal resistance of walls, attic floor and floor, m2 K/W. Common practice, no source.
fn resistances(year_built: Option<u16>) -> (f64, f64, f64) {
    match year_built {
        Some(year) if year >= 2006 => (3.0, 6.5, 3.5),
        Some(year) if year < 1970 => (1.2, 2.5, 0.8),
        _ => (2.0, 4.0, 2.0),
    }
}

/// Lowest storey height that is taken, m, and highest.
const HEIGHTS_M: (f64, f64) = (2.0, 5.0);
const USUAL_HEIGHT_M: f64 = 2.44;
const USUAL_AREA_M2: f64 = 120.0;
const MOST_STOREYS: u8 = 4;

struct Writer {
    out: String,
    system: System,
}

impl Writer {
    fn shown(&self, si: f64, quantity: Quantity, names: [&str; 2]) -> String {
        let name = names[usize::from(self.system == System::Si)];
        let value = unit(name, quantity).map_or(si, |u| u.from_si(si));
        let digits = match value.abs() {
            v if v >= 100.0 => format!("{value:.0}"),
            v if v >= 10.0 => format!("{value:.1}"),
            _ => format!("{value:.2}"),
        };
        let digits =
            if digits.contains('.') { digits.trim_end_matches('0').trim_end_matches('.') } else { &digits };
        format!("{digits} {name}")
    }

    fn length(&self, m: f64) -> String {
        self.shown(m, Quantity::Length, ["ft", "m"])
    }

    fn area(&self, m2: f64) -> String {
        self.shown(m2, Quantity::Area, ["ft2", "m2"])
    }

    fn volume(&self, m3: f64) -> String {
        self.shown(m3, Quantity::Volume, ["ft3", "m3"])
    }

    fn range(&self, (lo, hi): (f64, f64), quantity: Quantity, names: [&str; 2]) -> String {
        let (lo, hi) = (self.shown(lo, quantity, names), self.shown(hi, quantity, names));
        let number = lo.split(' ').next().unwrap_or("0").to_owned();
        format!("{number} to {hi}")
    }

    fn flows(&self, range_m3_s: (f64, f64)) -> String {
        self.range(range_m3_s, Quantity::AirFlow, ["cfm", "L/s"])
    }

    fn line(&mut self, text: &str) {
        self.out.push_str(text);
        self.out.push('\n');
    }

    fn zone(&mut self, name: &str, label: &str, kind: &str, (area_m2, floor_m, ceiling_m): (f64, f64, f64)) {
        let share = if kind == "attic" { 0.5 } else { 1.0 };
        let volume = self.volume(area_m2 * (ceiling_m - floor_m) * share);
        let (area, floor, ceiling) = (self.area(area_m2), self.length(floor_m), self.length(ceiling_m));
        self.line(&format!(
            "\n[zone.{name}]\nlabel = {}\nkind = \"{kind}\"\nvolume = \"{volume}\"\nfloor_area = \"{area}\"\nfloor = \"{floor}\"\nceiling = \"{ceiling}\"",
            quoted(label)
        ));
    }

    fn leak(&mut self, name: &str, label: &str, ends: (&str, &str), range_m3_s: (f64, f64)) {
        let flows = self.flows(range_m3_s);
        self.line(&format!(
            "\n[leak.{name}]\nlabel = {}\nbetween = [\"{}\", \"{}\"]\nat50 = \"{flows}\"",
            quoted(label),
            ends.0,
            ends.1
        ));
    }

    fn vents(&mut self, name: &str, label: &str, zone: &str, range_m2: (f64, f64), roof: bool) {
        let area = self.range(range_m2, Quantity::Area, ["ft2", "m2"]);
        let face = if roof { "\nface = \"roof\"" } else { "" };
        self.line(&format!(
            "\n[leak.{name}]\nlabel = {}\nbetween = [\"{zone}\", \"outdoors\"]\narea = \"{area}\"{face}",
            quoted(label)
        ));
    }

    fn door(
        &mut self,
        name: &str,
        label: &str,
        ends: (&str, &str),
        size_m: (f64, f64),
        stands: (&str, &str),
    ) {
        let (width, height) = (self.length(size_m.0), self.length(size_m.1));
        let gap = self.range((0.0005, 0.015), Quantity::Area, ["in2", "cm2"]);
        self.line(&format!(
            "\n[door.{name}]\nlabel = {}\nbetween = [\"{}\", \"{}\"]\nwidth = \"{width}\"\nheight = \"{height}\"\ngap = \"{gap}\"\nby_day = \"{}\"\nat_night = \"{}\"",
            quoted(label),
            ends.0,
            ends.1,
            stands.0,
            stands.1
        ));
    }

    fn fan(&mut self, name: &str, label: &str, from: &str, range_m3_s: (f64, f64)) {
        let flow = self.flows(range_m3_s);
        self.line(&format!(
            "\n[fan.{name}]\nlabel = {}\nfrom = \"{from}\"\nto = \"outdoors\"\nflow = \"{flow}\"",
            quoted(label)
        ));
    }

    fn surface(&mut self, ends: (&str, &str), area_m2: f64, r: f64) {
        let area = self.area(area_m2);
        let r = self.shown(r, Quantity::Resistance, ["ft2 h degF/Btu", "m2 K/W"]);
        self.line(&format!(
            "\n[[surface]]\nbetween = [\"{}\", \"{}\"]\narea = \"{area}\"\nr = \"{r}\"",
            ends.0, ends.1
        ));
    }
}

fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if c.is_control() => {
                let _ = write!(out, "\\u{:04X}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// A text's value where it can be read and lies within what a house can have.
fn typed(text: &str, quantity: Quantity, (lo, hi): (f64, f64)) -> Option<f64> {
    parse(text, quantity).ok().map(|w| w.si).filter(|v| (lo..=hi).contains(v))
}

/// Floor areas that a house has, m2.
const AREAS_M2: (f64, f64) = (10.0, 5000.0);

/// Answers that were typed and cannot be taken, by their names: a house is drawn without them.
pub(super) fn ignored(b: &Begin) -> Vec<&'static str> {
    let given = [
        ("floor_area", &b.floor_area, Quantity::Area, AREAS_M2),
        ("height", &b.height, Quantity::Length, HEIGHTS_M),
    ];
    let lost = given.iter().filter(|(_, text, quantity, range)| {
        !text.trim().is_empty() && typed(text, *quantity, *range).is_none()
    });
    lost.map(|g| g.0).collect()
}

/// `job.toml` and `house.toml`.
pub(super) fn files(b: &Begin) -> Vec<File> {
    let system = system(&b.units);
    let words = report::words::Words::new(language(&b.language), system);
    let say = |key: &str| words.say(&format!("app-begin-{key}"));
    let area_m2 = typed(&b.floor_area, Quantity::Area, AREAS_M2).unwrap_or(USUAL_AREA_M2);
    let height_m = typed(&b.height, Quantity::Length, HEIGHTS_M).unwrap_or(USUAL_HEIGHT_M);
    let storeys = b.storeys.clamp(1, MOST_STOREYS);
    let foot_m2 = area_m2 / f64::from(storeys);
    // A plan half as deep again as it is wide.
    let perimeter_m = 2.0 * (1.5 + 1.0) * (foot_m2 / 1.5).sqrt();
    let slab_m = 0.2;
    let foot_m = match b.foundation {
        Foundation::Slab => 0.15,
        Foundation::Crawl | Foundation::Basement => 0.6,
    };
    let floor = |s: u8| foot_m + f64::from(s) * (height_m + slab_m);
    let top_m = floor(storeys - 1) + height_m;
    let name = |s: u8| if storeys == 1 { "rooms".to_owned() } else { format!("storey_{}", s + 1) };
    let below = match b.foundation {
        Foundation::Slab => None,
        Foundation::Crawl => Some("crawl"),
        Foundation::Basement => Some("basement"),
    };
    let mut w = Writer { out: String::new(), system };
    for line in say("head").lines() {
        w.line(&format!("# {line}"));
    }
    w.line("format = 1\n\n[site]\nterrain = \"suburban\"\nshelter = \"moderate\"");
    for s in 0..storeys {
        let label = if storeys == 1 {
            say("rooms")
        } else {
            words.text("app-begin-storey", &[("number", usize::from(s + 1).into())])
        };
        let bedroom_m2 = if s + 1 == storeys { bedroom_m2(b, foot_m2) } else { 0.0 };
        w.zone(&name(s), &label, "living", (foot_m2 - bedroom_m2, floor(s), floor(s) + height_m));
    }
    let top = name(storeys - 1);
    let ground = name(0);
    let bedroom_m2 = bedroom_m2(b, foot_m2);
    if bedroom_m2 > 0.0 {
        w.zone("bedroom", &say("bedroom"), "living", (bedroom_m2, floor(storeys - 1), top_m));
    }
    if b.attic {
        w.zone("attic", &say("attic"), "attic", (foot_m2, top_m, top_m + 2.0));
    }
    match below {
        Some("crawl") => w.zone("crawl", &say("crawl"), "crawl space", (foot_m2, -0.2, foot_m)),
        Some(_) => w.zone("basement", &say("basement"), "basement", (foot_m2, -1.7, foot_m)),
        None => {}
    }
    if b.garage {
        w.zone("garage", &say("garage"), "garage", (36.0, 0.0, 2.6));
    }
    leaks(&mut w, b, &say, (&ground, &top, below), (area_m2, height_m, bedroom_m2 / area_m2));
    for s in 1..storeys {
        // A flight of stairs: a hole in the floor.
        w.door(
            &format!("stairs_{s}"),
            &say("stairs"),
            (&name(s - 1), &name(s)),
            (0.9, 2.5),
            ("open", "open"),
        );
    }
    if bedroom_m2 > 0.0 {
        w.door("bedroom_door", &say("bedroom-door"), ("bedroom", &top), (0.76, 2.03), ("open", "shut"));
    }
    if b.attic {
        w.door("attic_hatch", &say("attic-hatch"), (&top, "attic"), (0.56, 0.76), ("shut", "shut"));
    }
    match below {
        Some("crawl") => {
            w.door("crawl_hatch", &say("crawl-hatch"), ("crawl", &ground), (0.6, 0.6), ("shut", "shut"))
        }
        Some(zone) => {
            w.door("basement_door", &say("basement-door"), (zone, &ground), (0.76, 2.03), ("shut", "shut"))
        }
        None => {}
    }
    if b.garage {
        w.door("garage_door", &say("garage-door"), (&ground, "garage"), (0.81, 2.03), ("shut", "shut"));
    }
    w.fan("bath_fan", &say("bath-fan"), &top, (0.01, 0.04));
    w.fan("range_hood", &say("range-hood"), &ground, (0.04, 0.15));
    w.fan("dryer", &say("dryer"), &ground, (0.035, 0.08));
    let rooms: Vec<String> = (0..storeys).map(&name).collect();
    handler(&mut w, b, &say, (&rooms, below, bedroom_m2 > 0.0), area_m2);
    burners(&mut w, b, &say, (&ground, below, top_m));
    heat(&mut w, b, (&rooms, below), (foot_m2, perimeter_m, height_m, bedroom_m2));
    vec![
        File {
            name: "job.toml".to_owned(),
            text: job(b, system, (area_m2, height_m, foot_m2, perimeter_m, storeys)),
        },
        File { name: "house.toml".to_owned(), text: w.out },
    ]
}

/// The room that people sleep in with its door shut is a body of air of its own.
fn bedroom_m2(b: &Begin, foot_m2: f64) -> f64 {
    if b.bedrooms == 0 { 0.0 } else { 14.0_f64.min(0.3 * foot_m2) }
}

fn leaks(
    w: &mut Writer,
    b: &Begin,
    say: &dyn Fn(&str) -> String,
    (ground, top, below): (&str, &str, Option<&str>),
    (area_m2, height_m, bedroom): (f64, f64, f64),
) {
    let (lo, hi) = air_change(b.tightness);
    let per_hour = area_m2 * height_m / 3600.0;
    // Shares of walls, ceiling and floor, each less certain than the whole.
    let part = |share: f64| (0.5 * share * lo * per_hour, 1.4 * share * hi * per_hour);
    let walls = if top == ground { vec![(ground, 1.0)] } else { vec![(ground, 0.5), (top, 0.5)] };
    for (zone, share) in walls {
        w.leak(
            &format!("walls_{zone}"),
            &say("walls"),
            (zone, "outdoors"),
            part(0.45 * share * (1.0 - bedroom)),
        );
    }
    let ceiling = if b.attic { "attic" } else { "outdoors" };
    let floor = below.unwrap_or("outdoors");
    w.leak("ceiling", &say("ceiling"), (top, ceiling), part(0.3 * (1.0 - bedroom)));
    w.leak("floor", &say("floor"), (ground, floor), part(if below.is_some() { 0.25 } else { 0.08 }));
    if bedroom > 0.0 {
        w.leak("walls_bedroom", &say("walls-bedroom"), ("bedroom", "outdoors"), part(0.6 * bedroom));
        w.leak("ceiling_bedroom", &say("ceiling-bedroom"), ("bedroom", ceiling), part(0.4 * bedroom));
    }
    if b.attic {
        w.vents("attic_vents", &say("attic-vents"), "attic", (0.1, 0.8), true);
    }
    match below {
        Some("crawl") => w.vents("crawl_vents", &say("crawl-vents"), "crawl", (0.05, 0.6), false),
        Some(zone) => w.leak("basement_walls", &say("basement-walls"), (zone, "outdoors"), part(0.15)),
        None => {}
    }
    if b.garage {
        w.leak("garage_wall", &say("garage-wall"), (ground, "garage"), part(0.06));
        w.vents("garage_gaps", &say("garage-gaps"), "garage", (0.01, 0.15), false);
    }
}

fn handler(
    w: &mut Writer,
    b: &Begin,
    say: &dyn Fn(&str) -> String,
    (rooms, below, bedroom): (&[String], Option<&str>, bool),
    area_m2: f64,
) {
    let first = rooms.first().map_or("rooms", String::as_str);
    let zone = match b.ducts {
        Ducts::None => return,
        Ducts::Inside => first,
        Ducts::Attic if b.attic => "attic",
        Ducts::Garage if b.garage => "garage",
        Ducts::Below => below.unwrap_or(first),
        Ducts::Attic | Ducts::Garage => first,
    };
    // 400 cfm a ton, a ton for 500 to 1,000 ft2. Common practice, no source.
    let flow = w.flows((0.0018 * area_m2, 0.0045 * area_m2));
    w.line(&format!(
        "\n[air_handler]\nzone = \"{zone}\"\nflow = \"{flow}\"\nsupply_leak = \"2 to 20 %\"\nreturn_leak = \"2 to 25 %\""
    ));
    let top = rooms.last().map_or("rooms", String::as_str);
    let share = (100.0 - if bedroom { 15.0 } else { 0.0 }) / rooms.len() as f64;
    for room in rooms {
        w.line(&format!(
            "\n[air_handler.register.supply_{room}]\nlabel = {}\nzone = \"{room}\"\nside = \"supply\"\nshare = \"{:.0} to {:.0} %\"",
            quoted(&say("supply")),
            0.8 * share,
            (1.2 * share).min(100.0)
        ));
    }
    if bedroom {
        w.line(&format!(
            "\n[air_handler.register.supply_bedroom]\nlabel = {}\nzone = \"bedroom\"\nside = \"supply\"\nshare = \"8 to 25 %\"",
            quoted(&say("supply-bedroom"))
        ));
    }
    w.line(&format!(
        "\n[air_handler.register.return]\nlabel = {}\nzone = \"{top}\"\nside = \"return\"\nshare = \"100 %\"",
        quoted(&say("return"))
    ));
}

fn burners(
    w: &mut Writer,
    b: &Begin,
    say: &dyn Fn(&str) -> String,
    (ground, below, top_m): (&str, Option<&str>, f64),
) {
    let flue = w.range((0.006, 0.009), Quantity::Area, ["in2", "cm2"]);
    let wide = w.range((0.03, 0.08), Quantity::Area, ["in2", "cm2"]);
    let flue_top = w.length(top_m + 2.5);
    for burns in &b.burns {
        let (name, zone, area) = match burns {
            Burns::WaterHeater => ("water_heater", below.unwrap_or(ground), &flue),
            Burns::Furnace => ("furnace", below.unwrap_or(ground), &flue),
            Burns::Fireplace => ("fireplace", ground, &wide),
        };
        let label = quoted(&say(&name.replace('_', "-")));
        w.line(&format!(
            "\n[appliance.{name}]\nlabel = {label}\nzone = \"{zone}\"\ndraft = \"natural\"\nflue_area = \"{area}\"\nflue_top = \"{flue_top}\""
        ));
    }
}

fn heat(
    w: &mut Writer,
    b: &Begin,
    (rooms, below): (&[String], Option<&str>),
    (foot_m2, perimeter_m, height_m, bedroom_m2): (f64, f64, f64, f64),
) {
    let (walls, attic, floor) = resistances(b.year_built);
    let wall_m2 = perimeter_m * height_m;
    let last = rooms.len().saturating_sub(1);
    for (i, room) in rooms.iter().enumerate() {
        w.surface((room, "outdoors"), 0.85 * wall_m2, walls);
        w.surface((room, "outdoors"), 0.15 * wall_m2, 0.35);
        if let Some(upper) = rooms.get(i + 1) {
            w.surface((room, upper), foot_m2, 0.4);
        }
        if i == last {
            let over = if b.attic { "attic" } else { "outdoors" };
            w.surface((room, over), foot_m2 - bedroom_m2, attic);
            if bedroom_m2 > 0.0 {
                w.surface(("bedroom", over), bedroom_m2, attic);
                w.surface(("bedroom", "outdoors"), 2.0 * bedroom_m2.sqrt() * height_m, walls);
                w.surface(("bedroom", room), 2.0 * bedroom_m2.sqrt() * height_m, 0.4);
            }
        }
        if i == 0 {
            w.surface((room, below.unwrap_or("ground")), foot_m2, floor);
        }
    }
    if b.attic {
        w.surface(("attic", "outdoors"), 1.2 * foot_m2, 0.4);
        w.line("sunlit_roof = true");
    }
    if let Some(zone) = below {
        w.surface((zone, "outdoors"), 0.5 * perimeter_m, 0.6);
        w.surface((zone, "ground"), foot_m2 + if zone == "basement" { 1.5 * perimeter_m } else { 0.0 }, 1.8);
    }
    if b.garage {
        w.surface((&rooms[0], "garage"), 14.0, walls);
        w.surface(("garage", "outdoors"), 80.0, 0.4);
    }
}

fn job(
    b: &Begin,
    system: System,
    (area_m2, height_m, foot_m2, perimeter_m, storeys): (f64, f64, f64, f64, u8),
) -> String {
    let w = Writer { out: String::new(), system };
    let tall_m = f64::from(storeys) * height_m;
    let mut out = format!(
        "format = 1\nname = {}\nunits = \"{}\"\nlanguage = \"{}\"\n",
        quoted(b.name.trim()),
        if system == System::Si { "SI" } else { "IP" },
        language(&b.language).tag(),
    );
    let _ = write!(
        out,
        "\n[building]\nvolume = \"{}\"\nfloor_area = \"{}\"\nenvelope_area = \"{}\"\nheight = \"{}\"\nbedrooms = {}\n",
        w.volume(area_m2 * height_m),
        w.area(area_m2),
        w.area(2.0 * foot_m2 + perimeter_m * tall_m),
        w.length(tall_m),
        b.bedrooms,
    );
    if let Some(year) = b.year_built {
        let _ = writeln!(out, "year_built = {year}");
    }
    out
}
