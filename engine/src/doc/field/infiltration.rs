//! `kind = "infiltration"`: air that leaks in by itself, by a model.

use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::procedure::infiltration::{FOUNDATIONS, Foundation, SHELTERS, Shelter, Storeys};
use crate::units::Quantity as Q;

/// Which model.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Model {
    /// The handbook's basic model.
    Basic,
    /// The handbook's enhanced model.
    Enhanced,
    /// AIM-2 without a flue.
    Aim2,
    /// Flow at 50 Pa over a number.
    NFactor,
}

const MODELS: &[(&str, Model)] = &[
    ("basic", Model::Basic),
    ("enhanced", Model::Enhanced),
    ("AIM-2", Model::Aim2),
    ("N-factor", Model::NFactor),
];

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct Infiltration {
    /// Which model.
    pub model: Sp<Model>,
    /// Storeys above ground.
    pub storeys: Option<Storeys>,
    /// Shelter.
    pub shelter: Option<Shelter>,
    /// What the house stands on.
    pub foundation: Option<Foundation>,
    /// Whether a flue is open to the rooms.
    pub flue: bool,
    /// Share of the leakage in ceiling and floor.
    pub ceiling_and_floor: Option<f64>,
    /// Share in the ceiling less that in the floor.
    pub ceiling_less_floor: Option<f64>,
    /// Height of the upper ceiling, m, where it is not the job's.
    pub height_m: Option<f64>,
    /// N of the N-factor; else climate, height, shelter and crack factors.
    pub n: Option<f64>,
    /// Climate, height, shelter and crack factors.
    pub factors: [Option<f64>; 4],
    /// Indoors, K.
    pub indoor_k: Option<f64>,
    /// Outdoors, K, where it is not the visit's.
    pub outdoor_k: Option<f64>,
    /// Wind of the station, m/s, where it is not the visit's.
    pub wind_m_s: Option<f64>,
    /// True for the job's weather year, false for this moment; nothing: the year where there is one.
    pub year: Option<bool>,
    /// The envelope test; the last one where none is named.
    pub envelope: Option<Sp<String>>,
    /// Where the table stands.
    pub span: crate::diag::Span,
}

/// Reads it.
pub(super) fn read(t: &Tab<'_, '_>) -> Option<Infiltration> {
    let model = t.need("model", t.choice("model", MODELS));
    let kind = model.as_ref().map(|m| m.value);
    let storeys = t.count("storeys").and_then(|s| {
        let value = Sp { value: s.value as f64, span: s.span };
        t.within("storeys", &value, Q::Number, 1.0..=3.0).then_some(match s.value {
            1 => Storeys::One,
            2 => Storeys::Two,
            _ => Storeys::Three,
        })
    });
    let shelter = t.choice("shelter", SHELTERS).map(|s| s.value);
    let foundation = t.choice("foundation", FOUNDATIONS).map(|f| f.value);
    let number = |key, lo: f64, hi: f64| t.bounded(key, Q::Number, lo..=hi).map(|n| n.value);
    let n = number("n", 5.0, 40.0);
    let factors = [
        number("climate_factor", 10.0, 35.0),
        number("height_factor", 0.3, 1.5),
        number("shelter_factor", 0.5, 2.0),
        number("crack_factor", 0.4, 2.0),
    ];
    if matches!(kind, Some(Model::NFactor)) && n.is_none() {
        t.need("climate_factor", factors[0]);
    } else if kind.is_some() && kind != Some(Model::NFactor) {
        t.need("storeys", storeys);
        t.need("shelter", shelter);
        if kind != Some(Model::Basic) {
            t.need("foundation", foundation);
        }
    }
    let temperature = |key| t.bounded(key, Q::Temperature, 213.15..=343.15).map(|k| k.value);
    Some(Infiltration {
        storeys,
        shelter,
        foundation,
        flue: t.flag("flue").unwrap_or(false),
        ceiling_and_floor: t.bounded("ceiling_and_floor", Q::Fraction, 0.0..=1.0).map(|r| r.value),
        ceiling_less_floor: t.bounded("ceiling_less_floor", Q::Fraction, -1.0..=1.0).map(|x| x.value),
        height_m: t.bounded("height", Q::Length, 1.0..=30.0).map(|h| h.value),
        n,
        factors,
        indoor_k: temperature("indoor"),
        outdoor_k: temperature("outdoor"),
        wind_m_s: t.bounded("wind", Q::Speed, 0.0..=60.0).map(|w| w.value),
        year: t.choice("weather", &[("year", true), ("moment", false)]).map(|w| w.value),
        envelope: t.text("envelope"),
        span: t.span(),
        model: model?,
    })
}
