//! `job.toml`: one house (or one test), its people, its place, its complaints, what counts as best.

use super::read::{Tab, parse};
use super::{File, Sink, Sp};
use crate::units::{Quantity as Q, System};

/// What somebody living there says, turned into one testable statement.
#[derive(Clone, Debug, PartialEq)]
pub struct Complaint {
    /// The person's own words.
    pub words: Sp<String>,
    /// Who says it.
    pub who: Option<String>,
    /// The zone it is about.
    pub zone: Option<Sp<String>>,
    /// What is to be measured or computed.
    pub quantity: Sp<Measure>,
    /// The zone the air comes from, for [`Measure::AirFrom`].
    pub from: Option<Sp<String>>,
    /// The gas, for [`Measure::Gas`].
    pub gas: Option<Sp<String>>,
    /// The value above (for [`Measure::CoolHours`] below) which hours count, SI; the job's own
    /// ([`Thresholds`]) where not told.
    pub beyond: Option<f64>,
    /// The value that must not be passed, SI.
    pub limit: Sp<f64>,
    /// Where the limit comes from.
    pub limit_source: Option<String>,
    /// The day on which the limit was agreed, `YYYY-MM-DD`: before or after a result it is held against.
    pub agreed: Option<Sp<String>>,
    /// How much it counts against the other complaints.
    pub weight: f64,
}

/// A quantity of a year that a complaint or a target is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Measure {
    /// Mean of the nights' CO2 in a zone.
    Co2AtNight,
    /// Mean PM2.5 of the year in a zone.
    Pm25,
    /// Share of the year's hours with a relative humidity above 60 %.
    HumidHours,
    /// Share of the year's hours with a relative humidity below 30 %.
    DryHours,
    /// Mean flow of air from a named buffer zone into the rooms.
    AirFrom,
    /// Mean flow of outdoor air into the rooms.
    OutdoorAir,
    /// Share of the year's hours with more CO2 than a threshold, day and night.
    Co2Hours,
    /// Mean PM2.5 of the year in a zone over that outdoors, own sources included.
    Pm25OverOutdoors,
    /// Share of the year's days with a mean PM2.5 above a threshold.
    Pm25Days,
    /// Highest mould index on the coldest surface of a zone.
    MouldIndex,
    /// Share of the year's hours in which water condenses on it.
    CondensingHours,
    /// Mean concentration of a gas by name.
    Gas,
    /// Share of the year's hours warmer than a threshold.
    WarmHours,
    /// Share of the year's hours cooler than a threshold.
    CoolHours,
}

impl Measure {
    /// What the value measures.
    pub fn quantity(self) -> Q {
        match self {
            Measure::Co2AtNight => Q::GasFraction,
            Measure::Pm25 | Measure::Gas => Q::ParticleConcentration,
            Measure::HumidHours
            | Measure::DryHours
            | Measure::Co2Hours
            | Measure::Pm25OverOutdoors
            | Measure::Pm25Days
            | Measure::CondensingHours
            | Measure::WarmHours
            | Measure::CoolHours => Q::Fraction,
            Measure::MouldIndex => Q::Index,
            Measure::AirFrom | Measure::OutdoorAir => Q::AirFlow,
        }
    }

    /// What the threshold of its hours or days measures; nothing where it has none.
    pub fn threshold(self) -> Option<Q> {
        match self {
            Measure::HumidHours | Measure::DryHours => Some(Q::Fraction),
            Measure::Co2Hours => Some(Q::GasFraction),
            Measure::Pm25Days => Some(Q::ParticleConcentration),
            Measure::WarmHours | Measure::CoolHours => Some(Q::Temperature),
            _ => None,
        }
    }

    /// Whether less is better.
    pub fn lower_is_better(self) -> bool {
        self != Measure::OutdoorAir
    }

    /// The words used in documents.
    pub const CHOICES: &'static [(&'static str, Measure)] = &[
        ("CO2 at night", Measure::Co2AtNight),
        ("PM2.5", Measure::Pm25),
        ("humid hours", Measure::HumidHours),
        ("dry hours", Measure::DryHours),
        ("air from", Measure::AirFrom),
        ("outdoor air", Measure::OutdoorAir),
        ("CO2 hours", Measure::Co2Hours),
        ("PM2.5 over outdoors", Measure::Pm25OverOutdoors),
        ("PM2.5 days", Measure::Pm25Days),
        ("mould index", Measure::MouldIndex),
        ("condensing hours", Measure::CondensingHours),
        ("gas", Measure::Gas),
        ("warm hours", Measure::WarmHours),
        ("cool hours", Measure::CoolHours),
    ];
}

/// How much the surroundings slow the wind (terrain roughness classes of ASHRAE Fundamentals).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Terrain {
    /// Large city centre.
    City,
    /// Suburb, wooded area.
    Suburban,
    /// Open country with scattered obstacles.
    Open,
    /// Flat and unobstructed.
    Flat,
}

/// The part of the year in which the clock on the wall runs ahead of standard time. Times are those of a
/// year of 365 days, s from its start in standard time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SummerTime {
    /// Begins.
    pub from_s: f64,
    /// Ends; before the beginning south of the equator.
    pub to_s: f64,
    /// How far the clock runs ahead, s.
    pub shift_s: f64,
}

/// Where the house stands and what is adopted there; entered once, used by many jobs.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Place {
    /// Its name.
    pub name: Option<String>,
    /// Climate zone, as the adopted code names it.
    pub climate: Option<String>,
    /// Height above sea level, m.
    pub altitude_m: Option<f64>,
    /// Time zone by its IANA name, whose clock the people live by.
    pub time_zone: Option<Sp<String>>,
    /// What that zone's rules say, filled in by who knows them; nothing where the clock never changes.
    pub summer: Option<SummerTime>,
    /// File of hourly weather within the job.
    pub weather: Option<Sp<String>>,
    /// File of hourly outdoor PM2.5 within the job, beside the weather.
    pub particles: Option<Sp<String>>,
    /// Weather and shielding factor of the ventilation rule, where the user knows it.
    pub weather_factor: Option<f64>,
    /// Whether he has read it in the standard's own table.
    pub weather_factor_confirmed: bool,
    /// Outdoors on the cold design day, K, where the user gives it.
    pub heating_design_k: Option<f64>,
    /// Outdoors on the hot design day, K.
    pub cooling_design_k: Option<f64>,
    /// Outdoor CO2, volume fraction.
    pub outdoor_co2: Option<f64>,
    /// Outdoor PM2.5, kg/m3, yearly mean.
    pub outdoor_pm25_kg_m3: Option<f64>,
    /// Price of electricity, money per J.
    pub electricity_per_j: Option<f64>,
    /// Price of gas or oil, money per J.
    pub fuel_per_j: Option<f64>,
    /// The adopted limit for tightness, 1/s at 50 Pa.
    pub limit_ach50_s: Option<Sp<f64>>,
    /// Where that limit stands (code, edition, clause).
    pub limit_source: Option<String>,
    /// Whether the user has confirmed the limit in the code's own text.
    pub limit_confirmed: bool,
    /// Currency symbol.
    pub currency: Option<String>,
    /// Houses built before this year may have paint with lead in it, where this place says so. The
    /// tester's word; no statement about a law.
    pub lead_paint_before: Option<usize>,
}

/// Values beyond which hours and days are counted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thresholds {
    /// CO2, volume fraction.
    pub co2: f64,
    /// Mean of a day of PM2.5, kg/m3.
    pub pm25_day_kg_m3: f64,
    /// Relative humidity above which it is damp, 0 to 1.
    pub damp_rh: f64,
    /// Relative humidity below which it is dry, 0 to 1.
    pub dry_rh: f64,
    /// Temperature above which it is too warm, K.
    pub warm_k: f64,
    /// Temperature below which it is too cool, K.
    pub cool_k: f64,
}

impl Default for Thresholds {
    /// 1000 ppm (common practice, no source), 15 ug/m3 (WHO 2021, mean of 24 h), 60 % (the upper end
    /// of what EPA advises, from memory), 30 % (its lower end, from memory), 26 degC (common practice,
    /// no source) and 18 degC (WHO 2018 on housing, from memory).
    fn default() -> Thresholds {
        Thresholds {
            co2: 1000e-6,
            pm25_day_kg_m3: 15e-9,
            damp_rh: 0.6,
            dry_rh: 0.3,
            warm_k: 299.15,
            cool_k: 291.15,
        }
    }
}

/// One price of the user's book.
#[derive(Clone, Debug, PartialEq)]
pub struct Price {
    /// Its name, by which plans take it; that of a generic size serves wherever the size is taken.
    pub name: Sp<String>,
    /// First cost of one, money, low and high end.
    pub each: (f64, f64),
    /// What it costs a year beside energy (filters, service), money, low and high end.
    pub yearly: (f64, f64),
    /// Currency.
    pub currency: Option<Sp<&'static str>>,
}

/// What a single test needs to know of the building.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Building {
    /// Air volume within the envelope, m3.
    pub volume_m3: Option<Sp<f64>>,
    /// Floor area, m2.
    pub floor_area_m2: Option<Sp<f64>>,
    /// Envelope area, m2.
    pub envelope_area_m2: Option<Sp<f64>>,
    /// Height from the lowest floor above ground to the highest ceiling, m.
    pub height_m: Option<Sp<f64>>,
    /// Bedrooms.
    pub bedrooms: Option<usize>,
    /// Year of building.
    pub year_built: Option<usize>,
    /// What is counted as inside.
    pub includes: Option<String>,
}

/// Who did the work.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tester {
    /// Name.
    pub name: Option<String>,
    /// Credential.
    pub credential: Option<String>,
    /// Name of the firm, where no letterhead is given.
    pub firm: Option<String>,
}

/// The letterhead of the firm.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Firm {
    /// Name.
    pub name: Option<String>,
    /// Lines of the address.
    pub address: Vec<String>,
    /// Phone.
    pub phone: Option<String>,
    /// Number of its licence, with who gave it.
    pub licence: Option<String>,
    /// Credential of the firm or of who signs, with who gave it.
    pub credential: Option<String>,
    /// Number of that credential.
    pub number: Option<String>,
    /// E-mail address.
    pub email: Option<String>,
    /// A picture at the top: a PNG or JPEG file below `attachments`, by its name in the job's folder.
    pub logo: Option<String>,
}

/// The whole document.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// The house's or the test's name.
    pub name: String,
    /// Which units to show.
    pub units: System,
    /// Language of the report: `en` or `es`.
    pub language: String,
    /// Seed of every random number.
    pub seed: u64,
    /// Who did the work.
    pub tester: Tester,
    /// For which firm.
    pub firm: Firm,
    /// Where.
    pub place: Place,
    /// The building's sizes.
    pub building: Building,
    /// What the people say.
    pub complaints: Vec<Complaint>,
    /// Every zone that a complaint names, also one that could not be read as a whole.
    pub named_zones: Vec<Sp<String>>,
    /// Years over which a first cost is spread when plans are compared.
    pub years_of_cost: f64,
    /// Readings far from all others count less in the fit.
    pub robust_fit: bool,
    /// What work of a further reading takes, by the keys of [`MINUTES`], s.
    pub minutes_s: Vec<(&'static str, f64)>,
    /// Instruments that are at hand beside those that took readings, by the keys of [`OWNS`].
    pub owns: Vec<&'static str>,
    /// The user's prices.
    pub prices: Vec<Price>,
    /// Values beyond which hours and days are counted.
    pub thresholds: Thresholds,
}

/// Keys of `[minutes]`.
pub const MINUTES: &[&str] = &[
    "reading",
    "tube",
    "fan_in",
    "fan_out",
    "door",
    "hatch",
    "switch",
    "hood",
    "plate",
    "duct_tester",
    "barrier",
    "pan",
    "mask",
    "hole",
    "flue",
];
/// Keys of `[owns]`.
pub const OWNS: &[&str] = &["gauge", "test_fan", "hood", "plate", "duct_tester", "pan"];

/// Reads `job.toml`. Currencies are checked to be one.
pub fn read(file: &File, sink: &Sink) -> Job {
    let root = parse(&file.name, &file.text, sink);
    read_top(&Tab::top(&file.name, &root, sink))
}

/// What the document can hold, as it is written now.
pub fn form(file: &File) -> Vec<super::form::Field> {
    let (form, sink) = (super::form::Form::default(), Sink::default());
    let root = parse(&file.name, &file.text, &sink);
    read_top(&Tab::top_with_form(&file.name, &root, &sink, &form));
    form.fields()
}

fn read_top(top: &Tab<'_, '_>) -> Job {
    top.format();
    let units = top.choice("units", &[("SI", System::Si), ("IP", System::Ip)]);
    let language = top.choice("language", &[("en", "en"), ("es", "es")]);
    let complaints = top.list("complaint");
    let zones = |t: &Tab<'_, '_>| t.text("zone").into_iter().chain(t.text("from")).collect::<Vec<_>>();
    Job {
        name: top.need("name", top.text("name")).map_or_else(String::new, |n| n.value),
        units: units.map_or(System::Ip, |u| u.value),
        language: language.map_or("en", |l| l.value).to_owned(),
        seed: top.count("seed").map_or(1, |s| s.value as u64),
        tester: top.table("tester").map(|t| tester(&t)).unwrap_or_default(),
        firm: letterhead(top),
        place: top.table("place").map(|t| place(&t)).unwrap_or_default(),
        building: top.table("building").map(|t| building(&t)).unwrap_or_default(),
        robust_fit: top.table("fit").and_then(|t| t.flag("robust")).unwrap_or(false),
        named_zones: complaints.iter().flat_map(zones).collect(),
        complaints: complaints.iter().filter_map(complaint).collect(),
        years_of_cost: top
            .table("weights")
            .and_then(|t| t.bounded("cost_over", Q::Time, 1.0..=100.0 * 365.0 * 86400.0))
            .map_or(20.0, |s| s.value / (365.0 * 86400.0)),
        minutes_s: top.table("minutes").map(|t| minutes_s(&t)).unwrap_or_default(),
        owns: top.table("owns").map(|t| owns(&t)).unwrap_or_default(),
        prices: top.named("price").iter().filter_map(price).collect(),
        thresholds: top.table("thresholds").map_or_else(Thresholds::default, |t| thresholds(&t)),
    }
}

fn price((name, t): &(Sp<String>, Tab<'_, '_>)) -> Option<Price> {
    let each = t.need("each", t.range_as_written("each", Q::Money));
    let yearly = t.range("yearly", Q::Money);
    let each = each?;
    Some(Price {
        name: name.clone(),
        each: (each.value.0.si, each.value.1.si),
        yearly: yearly.map_or((0.0, 0.0), |y| y.value),
        currency: Some(each.map(|(_, high)| high.unit.symbol)),
    })
}

fn thresholds(t: &Tab<'_, '_>) -> Thresholds {
    let usual = Thresholds::default();
    let read = |key, q, bounds, usual| t.bounded(key, q, bounds).map_or(usual, |v| v.value);
    Thresholds {
        co2: read("co2", Q::GasFraction, 300e-6..=10_000e-6, usual.co2),
        pm25_day_kg_m3: read("pm25_day", Q::ParticleConcentration, 0.0..=1e-6, usual.pm25_day_kg_m3),
        damp_rh: read("damp", Q::Fraction, 0.3..=1.0, usual.damp_rh),
        dry_rh: read("dry", Q::Fraction, 0.0..=0.6, usual.dry_rh),
        warm_k: read("warm", Q::Temperature, 288.15..=323.15, usual.warm_k),
        cool_k: read("cool", Q::Temperature, 268.15..=298.15, usual.cool_k),
    }
}

fn minutes_s(t: &Tab<'_, '_>) -> Vec<(&'static str, f64)> {
    let one = |key: &&'static str| t.bounded(key, Q::Time, 0.0..=86400.0).map(|s| (*key, s.value));
    MINUTES.iter().filter_map(one).collect()
}

fn owns(t: &Tab<'_, '_>) -> Vec<&'static str> {
    OWNS.iter().copied().filter(|key| t.flag(key).unwrap_or(false)).collect()
}

fn tester(t: &Tab<'_, '_>) -> Tester {
    let word = |key| t.text(key).map(|s| s.value);
    Tester { name: word("name"), credential: word("credential"), firm: word("firm") }
}

/// `[letterhead]`, or the older name `[firm]`; where both are written the first counts and it is said.
fn letterhead(top: &Tab<'_, '_>) -> Firm {
    let (head, older) = (top.table("letterhead"), top.table("firm"));
    let both = head.is_some() && older.is_some();
    // Both are read, so that what is wrong in either is said.
    let [head, older] = [head, older].map(|t| t.map(|t| firm(&t)));
    if both {
        top.say(crate::diag::Diagnostic::warning(crate::diag::code::N104).at(top.span_of("firm")));
    }
    head.or(older).unwrap_or_default()
}

fn firm(t: &Tab<'_, '_>) -> Firm {
    let word = |key| t.text(key).map(|s| s.value);
    Firm {
        name: word("name"),
        address: t.text_or_texts("address").into_iter().map(|line| line.value).collect(),
        phone: word("phone"),
        licence: word("licence"),
        credential: word("credential"),
        number: word("number"),
        email: word("email"),
        logo: t.text("logo").and_then(|logo| {
            let below = logo.value.starts_with("attachments/") && !logo.value.split('/').any(|p| p == "..");
            let kind = logo.value.rsplit_once('.').map(|p| p.1.to_ascii_lowercase());
            let known = kind.is_some_and(|k| matches!(k.as_str(), "png" | "jpg" | "jpeg"));
            if !below || !known {
                let said = crate::diag::Diagnostic::warning(crate::diag::code::K183);
                t.say(said.at(logo.span).arg("logo", logo.value.as_str()));
                return None;
            }
            Some(logo.value)
        }),
    }
}

fn place(t: &Tab<'_, '_>) -> Place {
    let electricity = t.quantity_as_written("electricity", Q::EnergyPrice);
    let fuel = t.quantity_as_written("fuel", Q::EnergyPrice);
    let currency = electricity
        .as_ref()
        .or(fuel.as_ref())
        .and_then(|p| p.value.unit.symbol.split('/').next())
        .map(str::to_owned);
    Place {
        name: t.text("name").map(|s| s.value),
        climate: t.text("climate").map(|s| s.value),
        altitude_m: t.bounded("altitude", Q::Length, -450.0..=6000.0).map(|s| s.value),
        time_zone: t.text("time_zone"),
        summer: None,
        weather: t.text("weather"),
        particles: t.text("particles"),
        weather_factor: t.bounded("weather_factor", Q::Number, 0.05..=3.0).map(|f| f.value),
        weather_factor_confirmed: t.flag("weather_factor_confirmed").unwrap_or(false),
        heating_design_k: t.bounded("heating_design", Q::Temperature, 203.15..=293.15).map(|s| s.value),
        cooling_design_k: t.bounded("cooling_design", Q::Temperature, 283.15..=328.15).map(|s| s.value),
        outdoor_co2: t.bounded("outdoor_co2", Q::GasFraction, 200e-6..=2000e-6).map(|s| s.value),
        outdoor_pm25_kg_m3: t.bounded("outdoor_pm25", Q::ParticleConcentration, 0.0..=1e-6).map(|s| s.value),
        electricity_per_j: electricity.map(|p| p.value.si),
        fuel_per_j: fuel.map(|p| p.value.si),
        limit_ach50_s: t.bounded("limit_ach50", Q::AirChange, 0.1 / 3600.0..=50.0 / 3600.0),
        limit_source: t.text("limit_source").map(|s| s.value),
        limit_confirmed: t.flag("limit_confirmed").unwrap_or(false),
        lead_paint_before: t.count("lead_paint_before").map(|c| c.value),
        currency,
    }
}

fn building(t: &Tab<'_, '_>) -> Building {
    Building {
        volume_m3: t.bounded("volume", Q::Volume, 1.0..=1e6),
        floor_area_m2: t.bounded("floor_area", Q::Area, 1.0..=1e5),
        envelope_area_m2: t.bounded("envelope_area", Q::Area, 1.0..=1e6),
        height_m: t.bounded("height", Q::Length, 1.0..=200.0),
        bedrooms: t.count("bedrooms").map(|c| c.value),
        year_built: t.count("year_built").map(|c| c.value),
        includes: t.text("includes").map(|s| s.value),
    }
}

fn complaint(t: &Tab<'_, '_>) -> Option<Complaint> {
    let words = t.need("words", t.text("words"));
    let zone = t.text("zone");
    let who = t.text("who").map(|s| s.value);
    let from = t.text("from");
    let limit_source = t.text("limit_source").map(|s| s.value);
    let weight = t.number("weight").map_or(1.0, |w| w.value);
    let quantity = t.need("quantity", t.choice("quantity", Measure::CHOICES));
    let gas = t.text("gas");
    let beyond = quantity.as_ref().and_then(|q| q.value.threshold()).and_then(|of| t.quantity("beyond", of));
    let limit = match &quantity {
        Some(q) => t.need("limit", t.quantity("limit", q.value.quantity())),
        None => {
            t.text("limit");
            None
        }
    };
    let quantity = quantity?;
    if quantity.value == Measure::AirFrom && from.is_none() {
        t.need::<()>("from", None);
    }
    if quantity.value == Measure::Gas && gas.is_none() {
        t.need::<()>("gas", None);
    }
    Some(Complaint {
        words: words?,
        who,
        zone,
        quantity,
        from,
        gas,
        beyond: beyond.map(|b| b.value),
        limit: limit?,
        limit_source,
        agreed: t.text("agreed").filter(|d| super::test_out::is_date(t, d)),
        weight,
    })
}
