//! `kind = "mould index"`, `"wood moisture"`, `"surface meter"` and `"infrared"`.

use super::record;
use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::procedure::field::Limit;
use crate::procedure::moisture::mould::{Decline, Sensitivity};
use crate::units::Quantity as Q;

const AIR_K: std::ops::RangeInclusive<f64> = 213.15..=343.15;

/// `kind = "mould index"`.
#[derive(Clone, Debug, PartialEq)]
pub struct MouldIndex {
    /// File beside the visit.
    pub series: Sp<String>,
    /// Column of the surface's temperature.
    pub temperature: Sp<String>,
    /// Column of the relative humidity: at the surface, or of the air where `air` is given.
    pub humidity: Sp<String>,
    /// Column of the air's temperature, where the humidity is that of the air.
    pub air: Option<Sp<String>>,
    /// The material.
    pub sensitivity: Option<Sensitivity>,
    /// Decline in dry times.
    pub decline: Decline,
    /// Index at the start.
    pub start: f64,
}

/// Reads it.
pub(super) fn read_mould(t: &Tab<'_, '_>) -> Option<MouldIndex> {
    let series = t.need("series", t.text("series"));
    let temperature = t.need("surface", t.text("surface"));
    let humidity = t.need("rh", t.text("rh"));
    let air = t.text("air");
    let classes = [
        ("very sensitive", Sensitivity::VerySensitive),
        ("sensitive", Sensitivity::Sensitive),
        ("medium resistant", Sensitivity::MediumResistant),
        ("resistant", Sensitivity::Resistant),
    ];
    let sensitivity = t.choice("material", &classes).map(|c| c.value);
    let declines = [
        ("as pine", Decline::AsPine),
        ("significant", Decline::Significant),
        ("relatively low", Decline::Low),
        ("almost none", Decline::AlmostNone),
    ];
    let decline = t.choice("decline", &declines).map_or(Decline::AlmostNone, |d| d.value);
    let start = t.number("index_at_start").filter(|n| t.within("index_at_start", n, Q::Number, 0.0..=6.0));
    Some(MouldIndex {
        series: series?,
        temperature: temperature?,
        humidity: humidity?,
        air,
        sensitivity,
        decline,
        start: start.map_or(0.0, |s| s.value),
    })
}

/// `kind = "wood moisture"`.
#[derive(Clone, Debug, PartialEq)]
pub struct WoodMoisture {
    /// Readings as shown, kg/kg.
    pub readings: Sp<Vec<f64>>,
    /// What the meter's table adds for the species.
    pub species_correction: Option<f64>,
    /// What the meter's table adds for the temperature of the wood.
    pub temperature_correction: Option<f64>,
    /// The meter.
    pub with: Option<Sp<String>>,
    /// Air beside it, K.
    pub air_k: Option<f64>,
    /// Its humidity.
    pub rh_frac: Option<f64>,
    /// The user's own limit.
    pub limit: Option<Limit>,
}

/// Reads it.
pub(super) fn read_wood(t: &Tab<'_, '_>) -> Option<WoodMoisture> {
    let readings = t.need("readings", t.quantities("readings", Q::Fraction));
    // Species, temperature and place are the tester's record; the meter's own table gives the numbers.
    let (_, _) = (t.text("species"), t.text("place"));
    let _ = t.bounded("wood_temperature", Q::Temperature, AIR_K);
    let correction = |key| t.bounded(key, Q::Fraction, -0.2..=0.2).map(|c| c.value);
    let (species_correction, temperature_correction) =
        (correction("species_correction"), correction("temperature_correction"));
    Some(WoodMoisture {
        species_correction,
        temperature_correction,
        with: t.text("with"),
        air_k: t.bounded("air", Q::Temperature, AIR_K).map(|k| k.value),
        rh_frac: t.bounded("rh", Q::Fraction, 0.0..=1.0).map(|r| r.value),
        limit: record::limit(t, Q::Fraction, true),
        readings: readings?,
    })
}

/// `kind = "surface meter"`.
#[derive(Clone, Debug, PartialEq)]
pub struct SurfaceMeter {
    /// Material at the spots.
    pub material: Sp<String>,
    /// Material at the dry place, where it is not the same.
    pub reference_material: Option<Sp<String>>,
    /// Readings at named dry places, on the meter's own scale.
    pub dry: Vec<(String, f64)>,
    /// Readings at named spots.
    pub spots: Vec<(String, f64)>,
}

/// Reads it.
pub(super) fn read_meter(t: &Tab<'_, '_>) -> Option<SurfaceMeter> {
    let material = t.need("material", t.text("material"));
    let reference_material = t.text("reference_material");
    let places = |key| {
        let tables = t.named(key);
        t.need(key, t.has(key).then_some(()));
        let reads = |(name, place): (Sp<String>, Tab<'_, '_>)| {
            let reads = place.need("reads", place.number("reads"))?;
            Some((name.value, reads.value))
        };
        tables.into_iter().filter_map(reads).collect::<Vec<(String, f64)>>()
    };
    let (dry, spots) = (places("dry"), places("spot"));
    Some(SurfaceMeter { material: material?, reference_material, dry, spots })
}

/// `kind = "infrared"`.
#[derive(Clone, Debug, PartialEq)]
pub struct Infrared {
    /// Spots: name, and the temperatures before and during, K.
    pub spots: Vec<(Sp<String>, Option<f64>, Option<f64>)>,
    /// Air indoors, K: before, during.
    pub indoor_k: (Option<f64>, Option<f64>),
    /// Air outdoors, K: before, during.
    pub outdoor_k: (Option<f64>, Option<f64>),
    /// House less outdoors while the fan ran, Pa.
    pub house_pa: Option<f64>,
    /// How long the temperatures had been steady, s.
    pub steady_s: Option<f64>,
    /// Smallest difference that the camera tells, K.
    pub tells_k: Option<f64>,
}

/// Reads it.
pub(super) fn read_infrared(t: &Tab<'_, '_>) -> Option<Infrared> {
    let surface = |t: &Tab<'_, '_>, key| t.bounded(key, Q::Temperature, 203.15..=423.15).map(|k| k.value);
    let spots = t.named("spot");
    t.need("spot", t.has("spot").then_some(()));
    let spots = spots
        .into_iter()
        .map(|(name, spot)| (name, surface(&spot, "before"), surface(&spot, "during")))
        .collect();
    let air = |key| t.bounded(key, Q::Temperature, AIR_K).map(|k| k.value);
    Some(Infrared {
        spots,
        indoor_k: (air("indoor"), air("indoor_during")),
        outdoor_k: (air("outdoor"), air("outdoor_during")),
        house_pa: t.bounded("house", Q::Pressure, -200.0..=200.0).map(|p| p.value),
        steady_s: t.bounded("steady_for", Q::Time, 0.0..=1e7).map(|s| s.value),
        tells_k: t.bounded("tells", Q::TemperatureDifference, 0.0..=20.0).map(|k| k.value),
    })
}
