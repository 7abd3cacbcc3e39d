//! `kind = "bills"`: fuel and electricity against the weather.

use crate::doc::Sp;
use crate::doc::read::{Grid, Tab};
use crate::procedure::bills::Shape;
use crate::units::Quantity as Q;

/// One fuel.
#[derive(Clone, Debug, PartialEq)]
pub struct Fuel {
    /// Its name.
    pub name: Sp<String>,
    /// Its column in the series; its name where none is told.
    pub column: Option<Sp<String>>,
    /// Its own rows: `days`, `use` or `volume`, perhaps `outdoor` and `estimated`.
    pub rows: Option<Grid>,
    /// First day of the first row, where the temperatures stand in a series.
    pub start: Option<Sp<String>>,
    /// Heat in a volume of it, J/m3.
    pub heat_content_j_m3: Option<f64>,
    /// The shape, where the user knows it.
    pub shape: Option<Shape>,
    /// Share of its heat that reaches the rooms.
    pub efficiency: Option<f64>,
}

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct Bills {
    /// A series whose rows are reads: the day, and what was used since the row before.
    pub series: Option<Sp<String>>,
    /// Column of the periods' mean outdoor temperature in it.
    pub outdoor_column: Option<Sp<String>>,
    /// Column that is 1 where a read was estimated.
    pub estimated_column: Option<Sp<String>>,
    /// A series of outdoor temperatures, and its column.
    pub temperatures: Option<(Sp<String>, Sp<String>)>,
    /// Temperature kept in the rooms while they are heated, K.
    pub indoor_k: Option<f64>,
    /// Mean wind at the house's eaves over the heating season, m/s.
    pub wind_m_s: Option<f64>,
    /// How far the conductances of `house.toml` may be off together, a share, 95 % limits.
    pub conductances_within: Option<f64>,
    /// Fuels.
    pub fuels: Vec<Fuel>,
    /// Where the table stands.
    pub span: crate::diag::Span,
}

const SHAPES: &[(&str, Shape)] = &[
    ("flat", Shape::Flat),
    ("heating", Shape::Heating),
    ("cooling", Shape::Cooling),
    ("heating and cooling", Shape::Both),
];

/// Reads it.
pub(super) fn read(t: &Tab<'_, '_>) -> Option<Bills> {
    let series = t.text("series");
    let outdoor_column = t.text("outdoor_column");
    let estimated_column = t.text("estimated_column");
    let file = t.text("temperatures");
    let column = t.text("temperature_column");
    let temperatures = file.map(|file| {
        let plain = Sp { value: "outdoor".to_owned(), span: file.span.clone() };
        (file, column.unwrap_or(plain))
    });
    let indoor_k = t.bounded("indoor", Q::Temperature, 273.15..=308.15).map(|k| k.value);
    let wind_m_s = t.bounded("wind", Q::Speed, 0.0..=20.0).map(|w| w.value);
    let conductances_within = t.bounded("conductances_within", Q::Fraction, 0.01..=2.0).map(|w| w.value);
    let has_series = series.is_some();
    let fuels: Vec<Fuel> = t.named("fuel").iter().map(|f| fuel(f, has_series)).collect();
    if fuels.is_empty() {
        t.say(crate::diag::Diagnostic::error(crate::diag::code::B105).at(t.span()));
        return None;
    }
    Some(Bills {
        series,
        outdoor_column,
        estimated_column,
        temperatures,
        indoor_k,
        wind_m_s,
        conductances_within,
        fuels,
        span: t.span(),
    })
}

fn fuel((name, t): &(Sp<String>, Tab<'_, '_>), has_series: bool) -> Fuel {
    let rows = t.grid(
        "rows",
        &[
            ("days", Q::Time),
            ("use", Q::Energy),
            ("volume", Q::Volume),
            ("outdoor", Q::Temperature),
            ("estimated", Q::Number),
        ],
    );
    if !has_series {
        t.need("rows", rows.as_ref());
    }
    Fuel {
        name: name.clone(),
        column: t.text("column"),
        rows,
        start: t.text("start"),
        heat_content_j_m3: t.bounded("heat_content", Q::HeatContent, 1e6..=6e10).map(|h| h.value),
        shape: t.choice("shape", SHAPES).map(|s| s.value),
        efficiency: t.bounded("efficiency", Q::Fraction, 0.1..=6.0).map(|e| e.value),
    }
}
