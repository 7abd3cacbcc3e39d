//! Quantities with units, at the edge of the program.
//!
//! Inside, every number is SI and its name ends in the unit (`dp_pa`, `flow_m3_s`). People write
//! `"1500 cfm"`; this module turns that into SI and back, knows every spelling, and says what is
//! wrong when it cannot. The whole table is [`UNITS`]; no other place holds a conversion factor.
//! Factors are exact by definition (international foot, pound and Btu; conventional inch of water
//! at 4 degC) and written as the products they are made of. What can fail: see [`UnitError`].

use crate::text::{closest, split_once_any};
use serde::Serialize;

/// What kind of thing a number measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Quantity {
    /// Pressure or pressure difference, Pa.
    Pressure,
    /// Volume flow of air, m3/s.
    AirFlow,
    /// Length or height, m.
    Length,
    /// Area, m2.
    Area,
    /// Volume, m3.
    Volume,
    /// Temperature, K.
    Temperature,
    /// Difference of two temperatures, K.
    TemperatureDifference,
    /// Length of time, s.
    Time,
    /// Speed of air, m/s.
    Speed,
    /// Mass, kg.
    Mass,
    /// Mass of water or dry air per time, kg/s.
    MassRate,
    /// Power or heat flow, W.
    Power,
    /// Energy, J.
    Energy,
    /// Heat conductance, W/K.
    Conductance,
    /// Thermal resistance of an area, m2 K/W.
    Resistance,
    /// Heat capacity, J/K.
    HeatCapacity,
    /// A share or a relative humidity, 0 to 1.
    Fraction,
    /// Volume fraction of a gas, m3/m3.
    GasFraction,
    /// Mass of particles in air, kg/m3.
    ParticleConcentration,
    /// Mass of particles set free per time, kg/s.
    ParticleRate,
    /// Water in dry air, kg/kg.
    HumidityRatio,
    /// Density, kg/m3.
    Density,
    /// Angle, rad.
    Angle,
    /// Air changes, 1/s.
    AirChange,
    /// Volume flow per area, m/s.
    Permeability,
    /// Volume flow of duct leakage per floor area, m/s.
    FloorLeakage,
    /// Static pressure in ducts, Pa; the trade writes it in other units than house pressures.
    StaticPressure,
    /// Speed of air in a duct, m/s.
    DuctSpeed,
    /// Heat that equipment gives the air or takes from it, W.
    HeatFlow,
    /// Mass of one kind per energy (water per electricity), kg/J.
    MassPerEnergy,
    /// Electric power per volume flow of a fan, W s/m3.
    SpecificFanPower,
    /// Volume flow of air per thermal power, m3/J.
    FlowPerPower,
    /// Money in the job's own currency.
    Money,
    /// Price of energy, money per J.
    EnergyPrice,
    /// Mass of water vapour in a volume of air, kg/m3.
    VapourConcentration,
    /// Volume flow of a gas that is given off, m3/s.
    GasFlow,
    /// A pure number.
    Number,
    /// A mark on a scale of its own, such as a mould index.
    Index,
    /// Heat in a volume of fuel, J/m3.
    HeatContent,
    /// Radon in air, Bq/m3.
    RadonActivity,
}

/// One spelling family of one unit: `si = value * factor + offset`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Unit {
    /// What it measures.
    pub quantity: Quantity,
    /// How the program writes it.
    pub symbol: &'static str,
    /// The same unit in UCUM, for exchange; empty for money and where UCUM has no code that means the same:
    /// it divides by no degree Fahrenheit, its year is 365.25 days, and a litre is no mass there.
    pub ucum: &'static str,
    /// Other spellings that are understood.
    pub spellings: &'static [&'static str],
    /// Multiplier to SI.
    pub factor: f64,
    /// Added after the multiplication, to SI (temperatures only).
    pub offset: f64,
}

impl Unit {
    /// The SI value of `value` in this unit.
    pub fn to_si(&self, value: f64) -> f64 {
        value * self.factor + self.offset
    }

    /// The value in this unit of an SI value.
    pub fn from_si(&self, si: f64) -> f64 {
        (si - self.offset) / self.factor
    }

    fn is_spelled(&self, text: &str) -> bool {
        self.symbol == text || (!self.ucum.is_empty() && self.ucum == text) || self.spellings.contains(&text)
    }
}

const FOOT: f64 = 0.3048;
const INCH: f64 = 0.0254;
const POUND: f64 = 0.453_592_37;
const HOUR: f64 = 3600.0;
const DAY: f64 = 86400.0;
/// International Table Btu.
const BTU: f64 = 1_055.055_852_62;
/// Conventional inch of water at 4 degC.
const INCH_WATER: f64 = 249.088_91;
const FOOT2: f64 = FOOT * FOOT;
const FOOT3: f64 = FOOT * FOOT * FOOT;
const US_PINT: f64 = 231.0 * INCH * INCH * INCH / 8.0;
/// Water taken as 1 kg a litre where a volume of water is written for its mass.
const WATER_KG_PER_M3: f64 = 1000.0;
const KWH: f64 = 3.6e6;

macro_rules! units {
    ($($quantity:ident: $symbol:literal $ucum:literal [$($spelling:literal),*] $factor:expr $(, $offset:expr)?;)*) => {
        /// Every unit the program understands. The first of a quantity is its SI unit.
        pub const UNITS: &[Unit] = &[$(Unit {
            quantity: Quantity::$quantity,
            symbol: $symbol,
            ucum: $ucum,
            spellings: &[$($spelling),*],
            factor: $factor,
            offset: 0.0 $(+ $offset)?,
        }),*];
    };
}

units! {
    Pressure: "Pa" "Pa" ["pa", "pascal"] 1.0;
    Pressure: "hPa" "hPa" ["mbar"] 100.0;
    Pressure: "kPa" "kPa" [] 1000.0;
    Pressure: "inH2O" "[in_i'H2O]" ["in.w.c.", "iwc", "inwc", "in.w.g.", "inwg", "in. w.c.", "in wc"] INCH_WATER;
    Pressure: "mmHg" "mm[Hg]" [] 133.322_387_415;
    Pressure: "inHg" "[in_i'Hg]" [] 25.4 * 133.322_387_415;
    Pressure: "psi" "[psi]" ["psia"] POUND * 9.806_65 / (INCH * INCH);
    AirFlow: "m3/s" "m3/s" ["m\u{b3}/s", "m^3/s"] 1.0;
    AirFlow: "L/s" "L/s" ["l/s", "lps"] 1e-3;
    AirFlow: "m3/h" "m3/h" ["m\u{b3}/h", "m^3/h", "cmh", "m3h", "m3/hr"] 1.0 / HOUR;
    AirFlow: "cfm" "[cft_i]/min" ["CFM", "ft3/min", "ft\u{b3}/min", "ft^3/min"] FOOT3 / 60.0;
    Length: "m" "m" [] 1.0;
    Length: "mm" "mm" [] 1e-3;
    Length: "cm" "cm" [] 1e-2;
    Length: "km" "km" [] 1e3;
    Length: "ft" "[ft_i]" ["feet", "foot", "'"] FOOT;
    Length: "in" "[in_i]" ["inch", "inches", "in.", "\""] INCH;
    Area: "m2" "m2" ["m\u{b2}", "m^2"] 1.0;
    Area: "cm2" "cm2" ["cm\u{b2}", "cm^2"] 1e-4;
    Area: "ft2" "[sft_i]" ["ft\u{b2}", "ft^2", "sq ft", "sqft", "sf"] FOOT2;
    Area: "in2" "[sin_i]" ["in\u{b2}", "in^2", "sq in", "sqin"] INCH * INCH;
    Volume: "m3" "m3" ["m\u{b3}", "m^3"] 1.0;
    Volume: "L" "L" ["l", "litre", "liter"] 1e-3;
    Volume: "ccf" "" ["CCF"] 100.0 * FOOT3;
    Volume: "gal" "[gal_us]" ["gallon", "gallons"] 8.0 * US_PINT;
    Volume: "ft3" "[cft_i]" ["ft\u{b3}", "ft^3", "cu ft", "cuft", "cf"] FOOT3;
    Temperature: "K" "K" [] 1.0;
    Temperature: "degC" "Cel" ["\u{b0}C", "C", "oC"] 1.0, 273.15;
    Temperature: "degF" "[degF]" ["\u{b0}F", "F", "oF"] 5.0 / 9.0, 459.67 * 5.0 / 9.0;
    TemperatureDifference: "K" "K" ["degC", "\u{b0}C", "C"] 1.0;
    TemperatureDifference: "degF" "" ["\u{b0}F", "F", "R"] 5.0 / 9.0;
    Time: "s" "s" ["sec", "second", "seconds"] 1.0;
    Time: "min" "min" ["minute", "minutes"] 60.0;
    Time: "h" "h" ["hr", "hour", "hours"] HOUR;
    Time: "d" "d" ["day", "days"] DAY;
    Time: "year" "" ["years", "yr"] 365.0 * DAY;
    Speed: "m/s" "m/s" [] 1.0;
    Speed: "km/h" "km/h" ["kph"] 1000.0 / HOUR;
    Speed: "mph" "[mi_i]/h" ["mi/h"] 5280.0 * FOOT / HOUR;
    Speed: "fpm" "[ft_i]/min" ["ft/min"] FOOT / 60.0;
    Speed: "kn" "[kn_i]" ["kt", "knots"] 1852.0 / HOUR;
    Mass: "kg" "kg" [] 1.0;
    Mass: "g" "g" [] 1e-3;
    Mass: "lb" "[lb_av]" ["lbs", "pound", "pounds"] POUND;
    MassRate: "kg/s" "kg/s" [] 1.0;
    MassRate: "kg/h" "kg/h" [] 1.0 / HOUR;
    MassRate: "g/h" "g/h" [] 1e-3 / HOUR;
    MassRate: "kg/d" "kg/d" ["kg/day"] 1.0 / DAY;
    MassRate: "L/d" "" ["L/day", "l/d", "l/day"] WATER_KG_PER_M3 * 1e-3 / DAY;
    MassRate: "pt/d" "" ["[pt_us]/d", "pint/day", "pints/day", "pt/day"] WATER_KG_PER_M3 * US_PINT / DAY;
    MassRate: "lb/h" "[lb_av]/h" ["lb/hr"] POUND / HOUR;
    MassRate: "lb/d" "[lb_av]/d" ["lb/day"] POUND / DAY;
    Power: "W" "W" ["watt", "watts"] 1.0;
    Power: "kW" "kW" [] 1e3;
    Power: "Btu/h" "[Btu_IT]/h" ["BTU/h", "btu/h", "Btu/hr", "btuh", "Btuh"] BTU / HOUR;
    Power: "kBtu/h" "" ["MBH"] 1e3 * BTU / HOUR;
    Power: "ton" "" ["tons"] 12000.0 * BTU / HOUR;
    Energy: "J" "J" [] 1.0;
    Energy: "MJ" "MJ" [] 1e6;
    Energy: "kWh" "kW.h" ["kwh"] KWH;
    Energy: "MWh" "MW.h" [] 1e3 * KWH;
    Energy: "therm" "" ["therms", "thm"] 1e5 * BTU;
    Energy: "Btu" "[Btu_IT]" ["BTU"] BTU;
    Energy: "MMBtu" "" [] 1e6 * BTU;
    Conductance: "W/K" "W/K" [] 1.0;
    Conductance: "Btu/(h degF)" "" ["[Btu_IT]/h/[degF]", "Btu/h/F", "Btu/(h F)", "Btu/h degF", "Btu/(h \u{b0}F)"] BTU / HOUR * 1.8;
    Resistance: "m2 K/W" "m2.K/W" ["m\u{b2}K/W", "m2K/W"] 1.0;
    Resistance: "ft2 h degF/Btu" "" ["ft2 degF h/Btu", "h ft2 degF/Btu", "h ft2 F/Btu", "R"] FOOT2 * HOUR / (BTU * 1.8);
    HeatCapacity: "J/K" "J/K" [] 1.0;
    HeatCapacity: "kJ/K" "kJ/K" [] 1e3;
    HeatCapacity: "MJ/K" "MJ/K" [] 1e6;
    HeatCapacity: "Btu/degF" "" ["[Btu_IT]/[degF]", "Btu/F"] BTU * 1.8;
    Fraction: "1" "1" [] 1.0;
    Fraction: "%" "%" ["percent", "% RH", "%RH"] 1e-2;
    GasFraction: "m3/m3" "m3/m3" [] 1.0;
    GasFraction: "ppm" "[ppm]" ["ppmv"] 1e-6;
    GasFraction: "ppb" "[ppb]" ["ppbv"] 1e-9;
    GasFraction: "vol %" "%" ["%vol", "% vol", "vol%", "Vol.-%"] 1e-2;
    ParticleConcentration: "kg/m3" "kg/m3" [] 1.0;
    ParticleConcentration: "ug/m3" "ug/m3" ["\u{b5}g/m3", "\u{b5}g/m\u{b3}", "\u{3bc}g/m3", "\u{3bc}g/m\u{b3}"] 1e-9;
    ParticleConcentration: "mg/m3" "mg/m3" [] 1e-6;
    ParticleRate: "kg/s" "kg/s" [] 1.0;
    ParticleRate: "mg/min" "mg/min" [] 1e-6 / 60.0;
    ParticleRate: "mg/h" "mg/h" [] 1e-6 / HOUR;
    HumidityRatio: "kg/kg" "kg/kg" [] 1.0;
    HumidityRatio: "g/kg" "g/kg" [] 1e-3;
    HumidityRatio: "gr/lb" "[gr]/[lb_av]" ["grains", "gr"] 1.0 / 7000.0;
    Density: "kg/m3" "kg/m3" ["kg/m\u{b3}"] 1.0;
    Density: "lb/ft3" "[lb_av]/[cft_i]" ["lb/ft\u{b3}", "lb/cu ft"] POUND / FOOT3;
    Angle: "rad" "rad" [] 1.0;
    Angle: "deg" "deg" ["\u{b0}", "degrees"] std::f64::consts::PI / 180.0;
    AirChange: "1/s" "/s" [] 1.0;
    AirChange: "1/h" "/h" ["ACH", "ach", "/h", "per hour"] 1.0 / HOUR;
    Permeability: "m/s" "m/s" ["m3/(s m2)"] 1.0;
    Permeability: "m3/(h m2)" "m3/h/m2" ["m3/h/m2", "m/h"] 1.0 / HOUR;
    Permeability: "cfm/ft2" "" [] FOOT / 60.0;
    Permeability: "cfm/100 ft2" "" ["cfm per 100 ft2"] FOOT / 6000.0;
    FloorLeakage: "m/s" "m/s" ["m3/(s m2)"] 1.0;
    FloorLeakage: "L/(s m2)" "" ["L/s/m2", "L/s per m2"] 1e-3;
    FloorLeakage: "cfm/100 ft2" "" ["cfm per 100 ft2"] FOOT / 6000.0;
    StaticPressure: "Pa" "Pa" ["pa"] 1.0;
    StaticPressure: "inH2O" "[in_i'H2O]" ["iwc", "inwc", "inwg"] INCH_WATER;
    DuctSpeed: "m/s" "m/s" [] 1.0;
    DuctSpeed: "fpm" "[ft_i]/min" ["ft/min"] FOOT / 60.0;
    HeatFlow: "W" "W" ["watt", "watts"] 1.0;
    HeatFlow: "kW" "kW" [] 1e3;
    HeatFlow: "Btu/h" "[Btu_IT]/h" ["BTU/h", "btu/h", "Btuh"] BTU / HOUR;
    MassPerEnergy: "kg/J" "kg/J" [] 1.0;
    MassPerEnergy: "L/kWh" "" ["kg/kWh", "l/kWh"] 1.0 / KWH;
    SpecificFanPower: "W s/m3" "W.s/m3" ["W/(m3/s)"] 1.0;
    SpecificFanPower: "W/(L/s)" "W.s/L" ["W s/L"] 1000.0;
    SpecificFanPower: "W/cfm" "" ["W per cfm"] 60.0 / FOOT3;
    FlowPerPower: "m3/J" "m3/J" ["(m3/s)/W"] 1.0;
    FlowPerPower: "(L/s)/kW" "L/s/kW" ["L/s/kW", "L/(s kW)"] 1e-6;
    FlowPerPower: "cfm/ton" "" ["cfm per ton"] FOOT3 / 60.0 / (12e3 * BTU / HOUR);
    Money: "USD" "" ["$"] 1.0;
    Money: "CAD" "" ["C$"] 1.0;
    Money: "EUR" "" ["\u{20ac}"] 1.0;
    Money: "GBP" "" ["\u{a3}"] 1.0;
    EnergyPrice: "USD/J" "" [] 1.0;
    EnergyPrice: "USD/kWh" "" ["$/kWh"] 1.0 / KWH;
    EnergyPrice: "USD/therm" "" ["$/therm"] 1.0 / (1e5 * BTU);
    EnergyPrice: "CAD/kWh" "" [] 1.0 / KWH;
    EnergyPrice: "EUR/kWh" "" [] 1.0 / KWH;
    EnergyPrice: "GBP/kWh" "" [] 1.0 / KWH;
    VapourConcentration: "kg/m3" "kg/m3" ["kg/m\u{b3}"] 1.0;
    VapourConcentration: "g/m3" "g/m3" ["g/m\u{b3}"] 1e-3;
    VapourConcentration: "gr/ft3" "[gr]/[cft_i]" ["grains/ft3"] POUND / 7000.0 / FOOT3;
    GasFlow: "m3/s" "m3/s" [] 1.0;
    GasFlow: "L/h" "L/h" ["l/h"] 1e-3 / HOUR;
    GasFlow: "L/s" "L/s" ["l/s"] 1e-3;
    GasFlow: "L/min" "L/min" ["l/min"] 1e-3 / 60.0;
    GasFlow: "m3/h" "m3/h" [] 1.0 / HOUR;
    GasFlow: "ft3/h" "[cft_i]/h" ["cfh"] FOOT3 / HOUR;
    GasFlow: "cfm" "[cft_i]/min" [] FOOT3 / 60.0;
    Number: "1" "1" [] 1.0;
    Index: "1" "1" [] 1.0;
    RadonActivity: "Bq/m3" "Bq/m3" ["Bq/m\u{b3}"] 1.0;
    RadonActivity: "pCi/L" "pCi/L" ["pCi/l"] 37.0;
    HeatContent: "J/m3" "J/m3" [] 1.0;
    HeatContent: "kWh/m3" "kW.h/m3" [] KWH;
    HeatContent: "MJ/m3" "MJ/m3" [] 1e6;
    HeatContent: "kWh/L" "kW.h/L" ["kWh/l"] 1e3 * KWH;
    HeatContent: "MJ/L" "MJ/L" ["MJ/l"] 1e9;
    HeatContent: "Btu/ft3" "[Btu_IT]/[cft_i]" [] BTU / FOOT3;
    HeatContent: "therm/ccf" "" ["therms/ccf"] 1e3 * BTU / FOOT3;
    HeatContent: "Btu/gal" "[Btu_IT]/[gal_us]" [] BTU / (8.0 * US_PINT);
}

/// Which units a person wants to see.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub enum System {
    /// Metric display units.
    #[serde(rename = "SI")]
    Si,
    /// Inch-pound display units, the default in the United States.
    #[default]
    #[serde(rename = "IP")]
    Ip,
}

impl Quantity {
    /// Every quantity, in the order of the table.
    pub fn all() -> Vec<Quantity> {
        let mut list: Vec<Quantity> = UNITS.iter().map(|u| u.quantity).collect();
        list.dedup();
        list
    }

    /// The symbol of the SI unit, as JSON carries it.
    pub fn si_symbol(self) -> &'static str {
        UNITS.iter().find(|u| u.quantity == self).map_or("1", |u| u.symbol)
    }

    /// The unit a number of this quantity is shown in.
    pub fn display_unit(self, system: System) -> &'static Unit {
        use Quantity as Q;
        let (si, ip) = match self {
            Q::Pressure => ("Pa", "Pa"),
            Q::AirFlow => ("L/s", "cfm"),
            Q::Length => ("m", "ft"),
            Q::Area => ("m2", "ft2"),
            Q::Volume => ("m3", "ft3"),
            Q::Temperature => ("degC", "degF"),
            Q::TemperatureDifference => ("K", "degF"),
            Q::Time => ("min", "min"),
            Q::Speed => ("m/s", "mph"),
            Q::Mass => ("kg", "lb"),
            Q::MassRate => ("L/d", "pt/d"),
            Q::Power => ("W", "W"),
            Q::Energy => ("kWh", "kWh"),
            Q::Conductance => ("W/K", "Btu/(h degF)"),
            Q::Resistance => ("m2 K/W", "ft2 h degF/Btu"),
            Q::HeatCapacity => ("kJ/K", "Btu/degF"),
            Q::Fraction => ("%", "%"),
            Q::GasFraction => ("ppm", "ppm"),
            Q::ParticleConcentration => ("ug/m3", "ug/m3"),
            Q::ParticleRate => ("mg/min", "mg/min"),
            Q::HumidityRatio => ("g/kg", "gr/lb"),
            Q::Density => ("kg/m3", "lb/ft3"),
            Q::Angle => ("deg", "deg"),
            Q::AirChange => ("1/h", "1/h"),
            Q::Permeability => ("m3/(h m2)", "cfm/ft2"),
            Q::FloorLeakage => ("L/(s m2)", "cfm/100 ft2"),
            Q::StaticPressure => ("Pa", "inH2O"),
            Q::DuctSpeed => ("m/s", "fpm"),
            Q::HeatFlow => ("W", "Btu/h"),
            Q::MassPerEnergy => ("L/kWh", "L/kWh"),
            Q::SpecificFanPower => ("W/(L/s)", "W/cfm"),
            Q::FlowPerPower => ("(L/s)/kW", "cfm/ton"),
            Q::Money => ("USD", "USD"),
            Q::EnergyPrice => ("USD/kWh", "USD/kWh"),
            Q::VapourConcentration => ("g/m3", "gr/ft3"),
            Q::GasFlow => ("L/h", "ft3/h"),
            Q::RadonActivity => ("Bq/m3", "pCi/L"),
            Q::Number | Q::Index => ("1", "1"),
            Q::HeatContent => ("kWh/m3", "Btu/ft3"),
        };
        let wanted = match system {
            System::Si => si,
            System::Ip => ip,
        };
        unit(wanted, self).unwrap_or(&UNITS[0])
    }

    /// Two units a person is likely to mean, for hints.
    pub fn likely_units(self) -> [&'static str; 2] {
        let ip = self.display_unit(System::Ip).symbol;
        let si = self.display_unit(System::Si).symbol;
        if ip == si {
            let other = UNITS.iter().find(|u| u.quantity == self && u.symbol != ip);
            [ip, other.map_or(ip, |u| u.symbol)]
        } else {
            [ip, si]
        }
    }
}

/// The unit of this spelling that measures `quantity`, if there is one.
pub fn unit(spelling: &str, quantity: Quantity) -> Option<&'static Unit> {
    let of_kind = || UNITS.iter().filter(|u| u.quantity == quantity);
    of_kind().find(|u| u.is_spelled(spelling)).or_else(|| {
        // `inWC`, `CFM`: letters in another case, where they can mean one unit only. A first `m` stays as it
        // is: it tells thousandths from millions.
        let first = spelling.chars().next()?;
        let same = |s: &str| {
            s.eq_ignore_ascii_case(spelling) && (s.starts_with(first) || !matches!(first, 'm' | 'M'))
        };
        let mut meant = of_kind().filter(|u| same(u.symbol) || u.spellings.iter().any(|s| same(s)));
        let only = meant.next()?;
        meant.next().is_none().then_some(only)
    })
}

/// The same, or why there is none.
pub(crate) fn unit_or_why(spelling: &str, quantity: Quantity) -> Result<&'static Unit, UnitError> {
    find_unit(spelling, quantity)
}

/// A number as somebody wrote it, and what it is in SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Written {
    /// The value in SI.
    pub si: f64,
    /// The unit it was written in.
    pub unit: &'static Unit,
}

/// Why a text is not a quantity.
#[derive(Clone, Debug, PartialEq)]
pub enum UnitError {
    /// There is no number at the start.
    NotANumber,
    /// A comma that may be a decimal or a thousands mark.
    AmbiguousComma,
    /// A number that is not finite.
    NotFinite,
    /// A number without a unit.
    NoUnit,
    /// A unit nobody knows; the nearest known one.
    UnknownUnit {
        /// What was written.
        found: String,
        /// The nearest spelling of the right kind, if one is near.
        near: Option<&'static str>,
    },
    /// A known unit of another kind.
    WrongKind {
        /// What was written.
        found: String,
        /// What that unit measures.
        is: Quantity,
    },
    /// A range whose low end is above its high end.
    Backwards,
}

/// Reads a plain number: sign (also the true minus), digits, decimal point, exponent, and
/// thousands separated by commas where no other reading is possible.
pub fn number(text: &str) -> Result<f64, UnitError> {
    let text = text.trim().replace('\u{2212}', "-").replace('\u{a0}', "");
    let plain = if text.contains(',') {
        let digits = text.trim_start_matches(['-', '+']);
        let whole = digits.split('.').next().unwrap_or(digits);
        let groups: Vec<&str> = whole.split(',').collect();
        let grouped = groups.len() > 1
            && groups.first().is_some_and(|g| (1..=3).contains(&g.len()) && *g != "0")
            && groups.iter().skip(1).all(|g| g.len() == 3);
        if !grouped {
            return Err(UnitError::AmbiguousComma);
        }
        text.replace(',', "")
    } else {
        text
    };
    let value: f64 = plain.parse().map_err(|_| UnitError::NotANumber)?;
    if value.is_finite() { Ok(value) } else { Err(UnitError::NotFinite) }
}

fn split_number(text: &str) -> (&str, &str) {
    let text = text.trim();
    let mut end = 0;
    let mut previous = ' ';
    for (at, c) in text.char_indices() {
        let part = c.is_ascii_digit()
            || matches!(c, '.' | ',')
            || (matches!(c, '-' | '+' | '\u{2212}') && (at == 0 || matches!(previous, 'e' | 'E')))
            || (matches!(c, 'e' | 'E')
                && previous.is_ascii_digit()
                && text.get(at + 1..).is_some_and(|rest| {
                    rest.trim_start_matches(['-', '+']).starts_with(|d: char| d.is_ascii_digit())
                }));
        if !part {
            break;
        }
        end = at + c.len_utf8();
        previous = c;
    }
    (text.get(..end).unwrap_or(""), text.get(end..).unwrap_or("").trim())
}

fn find_unit(spelling: &str, quantity: Quantity) -> Result<&'static Unit, UnitError> {
    if let Some(found) = unit(spelling, quantity) {
        return Ok(found);
    }
    if let Some(other) = UNITS.iter().find(|u| u.is_spelled(spelling)) {
        return Err(UnitError::WrongKind { found: spelling.to_owned(), is: other.quantity });
    }
    let names = UNITS
        .iter()
        .filter(|u| u.quantity == quantity)
        .flat_map(|u| std::iter::once(u.symbol).chain(u.spellings.iter().copied()));
    Err(UnitError::UnknownUnit { found: spelling.to_owned(), near: closest(spelling, names) })
}

/// Reads one quantity, such as `12.5 cfm`.
///
/// ```
/// use engine::units::{parse, Quantity};
/// let flow = parse("100 cfm", Quantity::AirFlow).unwrap();
/// assert!((flow.si - 0.0471947).abs() < 1e-7);
/// assert!(parse("100", Quantity::AirFlow).is_err()); // a number needs its unit
/// ```
pub fn parse(text: &str, quantity: Quantity) -> Result<Written, UnitError> {
    let (digits, spelling) = split_number(text);
    if digits.is_empty() {
        // A currency sign may stand in front.
        let first = text.trim().chars().next();
        if quantity == Quantity::Money
            && let Some(sign) = first
            && let Some(unit) = unit(&sign.to_string(), quantity)
        {
            let value = number(text.trim().trim_start_matches(sign))?;
            return Ok(Written { si: unit.to_si(value), unit });
        }
        return Err(UnitError::NotANumber);
    }
    let value = number(digits)?;
    if spelling.is_empty() {
        if matches!(quantity, Quantity::Number | Quantity::Index)
            && let Some(unit) = unit("1", quantity)
        {
            return Ok(Written { si: value, unit });
        }
        return Err(UnitError::NoUnit);
    }
    let unit = find_unit(spelling, quantity)?;
    Ok(Written { si: unit.to_si(value), unit })
}

/// Reads a range such as `300 to 1500 cfm`; the unit may stand once, at the end.
pub fn parse_range(text: &str, quantity: Quantity) -> Result<(Written, Written), UnitError> {
    let Some((low, high)) = split_once_any(text, &[" to ", " \u{2013} ", " a "]) else {
        let one = parse(text, quantity)?;
        return Ok((one, one));
    };
    let high = parse(high, quantity)?;
    let low = match parse(low, quantity) {
        Err(UnitError::NoUnit) => {
            Written { si: high.unit.to_si(number(split_number(low).0)?), unit: high.unit }
        }
        other => other?,
    };
    if low.si > high.si { Err(UnitError::Backwards) } else { Ok((low, high)) }
}

/// How exact an instrument says it is: a share of the reading, a fixed part, or both.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Accuracy {
    /// Share of the reading, 0 to 1.
    pub relative: f64,
    /// Fixed part in SI.
    pub absolute: f64,
    /// True where the larger of the two counts; false where they add.
    pub larger: bool,
}

impl Accuracy {
    /// The stated limit, SI, for a reading of this size.
    pub fn limit(&self, reading_si: f64) -> f64 {
        let share = self.relative * reading_si.abs();
        if !self.larger {
            share + self.absolute
        } else if share > self.absolute {
            share
        } else {
            self.absolute
        }
    }
}

/// Reads an accuracy: `3 %`, `0.5 Pa`, `1 % or 0.25 Pa` (the larger), `3 % + 50 ppm`.
pub fn parse_accuracy(text: &str, quantity: Quantity) -> Result<Accuracy, UnitError> {
    let text = text.replace('\u{b1}', "").replace("+/-", "");
    let mut accuracy = Accuracy { larger: text.contains(" or "), ..Accuracy::default() };
    let parts: Vec<&str> = text.split(" or ").flat_map(|p| p.split(" + ")).collect();
    for part in parts {
        match parse(part, Quantity::Fraction) {
            Ok(share) if share.unit.symbol == "%" && quantity != Quantity::Fraction => {
                accuracy.relative = share.si;
            }
            _ => {
                // A fixed part of a temperature is a difference of temperatures.
                let kind = if quantity == Quantity::Temperature {
                    Quantity::TemperatureDifference
                } else {
                    quantity
                };
                accuracy.absolute = parse(part, kind)?.si;
            }
        }
    }
    Ok(accuracy)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_display_unit_measures_its_quantity() {
        for quantity in Quantity::all() {
            for system in [System::Si, System::Ip] {
                assert_eq!(quantity.display_unit(system).quantity, quantity);
            }
        }
    }

    #[test]
    fn no_spelling_is_two_units_of_one_quantity() {
        for (i, a) in UNITS.iter().enumerate() {
            for b in UNITS.iter().skip(i + 1).filter(|b| b.quantity == a.quantity) {
                for s in std::iter::once(&a.symbol).chain(a.spellings) {
                    assert!(!b.is_spelled(s), "{s} is {} and {}", a.symbol, b.symbol);
                }
            }
        }
    }

    #[test]
    fn temperatures_and_their_differences_convert_differently() {
        let t = parse("68 degF", Quantity::Temperature).unwrap().si;
        assert!((t - 293.15).abs() < 1e-12);
        let d = parse("18 degF", Quantity::TemperatureDifference).unwrap().si;
        assert!((d - 10.0).abs() < 1e-12);
    }

    #[test]
    fn mistakes_are_told_apart() {
        use UnitError as E;
        let q = Quantity::AirFlow;
        assert_eq!(parse("fifty cfm", q), Err(E::NotANumber));
        assert_eq!(parse("50", q), Err(E::NoUnit));
        assert_eq!(parse("1,5 cfm", q), Err(E::AmbiguousComma));
        assert_eq!(parse("1,500 cfm", q), parse("1500 cfm", q));
        assert!(matches!(parse("50 Pa", q), Err(E::WrongKind { is: Quantity::Pressure, .. })));
        assert!(
            matches!(parse("50 cfn", q), Err(E::UnknownUnit { near: Some("cfm"), .. })),
            "{:?}",
            parse("50 cfn", q)
        );
        assert_eq!(parse("1e999 cfm", q), Err(E::NotFinite));
        assert_eq!(parse_range("900 to 300 cfm", q), Err(E::Backwards));
    }

    #[test]
    fn accuracies() {
        let a = parse_accuracy("1 % or 0.25 Pa", Quantity::Pressure).unwrap();
        assert!((a.limit(50.0) - 0.5).abs() < 1e-15);
        assert!((a.limit(-4.0) - 0.25).abs() < 1e-15);
        let b = parse_accuracy("\u{b1}3 % + 50 ppm", Quantity::GasFraction).unwrap();
        assert!((b.limit(1000e-6) - 80e-6).abs() < 1e-15);
        let c = parse_accuracy("0.9 degF", Quantity::Temperature).unwrap();
        assert!((c.absolute - 0.5).abs() < 1e-12);
    }

    #[test]
    fn minus_exponent_and_money() {
        for (text, quantity, si) in [
            ("\u{2212}3.5 Pa", Quantity::Pressure, -3.5),
            ("1.2e3 Pa", Quantity::Pressure, 1200.0),
            ("$1,200", Quantity::Money, 1200.0),
        ] {
            assert!((parse(text, quantity).unwrap().si - si).abs() < 1e-12, "{text}");
        }
    }
}
