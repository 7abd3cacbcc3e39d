//! Static pressures along the air's way, and the external static pressure of the rated box.
//!
//! What is inside the rated box decides what counts: a filter or coil inside was part of the rating
//! and lies between the taps; one outside is a load on the box like any duct. All pressures are against
//! the room. The stated accuracy of the gauge is applied to each difference as if it had been read in
//! one: exact for a gain, which one gauge has in common for all readings; waver of the readings, where
//! told, stands in each.

use super::setup::{Mode, Setup};
use crate::diag::{Diagnostic, Diagnostics, Span, code};
use crate::measure::{Estimate, NoInterval};
use crate::procedure::field::{LEVEL, Limit, Note, Worked};
use crate::units::{Accuracy, Quantity};
use serde::Serialize;

/// Where a part is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// Inside the rated box.
    Inside,
    /// Outside, between the return ducts and the box.
    BeforeBox,
    /// Outside, between the box and the supply ducts.
    AfterBox,
    /// There is none.
    Absent,
}

/// The taps, Pa against the room; in the order of the air.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Taps {
    /// Return ducts, before the filter.
    pub before_filter_pa: Option<f64>,
    /// After the filter.
    pub after_filter_pa: Option<f64>,
    /// Before the coil.
    pub before_coil_pa: Option<f64>,
    /// After the coil.
    pub after_coil_pa: Option<f64>,
    /// Supply plenum, at the beginning of the supply ducts.
    pub supply_pa: Option<f64>,
}

/// What a table's pressure is across.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Across {
    /// The rated box: the table of its blower at the speed it was set to.
    Box,
    /// The filter.
    Filter,
    /// The coil, wet or dry as it was.
    Coil,
}

/// What flow the maker states at which pressure.
#[derive(Clone, Debug, PartialEq)]
pub struct FlowTable {
    /// What the pressure is across.
    pub across: Across,
    /// Pressure, Pa, and flow, m3/s; in any order.
    pub points: Vec<(f64, f64)>,
    /// How far its flows may be off, a share, 95 % limits; 10 % where nobody says (common practice,
    /// no source).
    pub within_frac: Option<f64>,
}

/// How far a maker's table is off in a house, share of the flow, 95 % limits. Common practice, no source.
const TABLE_WITHIN: f64 = 0.1;

impl FlowTable {
    /// The flow at a pressure, linear between neighbouring points, m3/s; nothing beyond the ends.
    ///
    /// ```
    /// use engine::procedure::handler::statics::{Across, FlowTable};
    /// let points = vec![(200.0, 0.40), (50.0, 0.52), (125.0, 0.48)];
    /// let table = FlowTable { across: Across::Box, points, within_frac: None };
    /// assert!((table.flow_m3_s(162.5).unwrap() - 0.44).abs() < 1e-12);
    /// assert_eq!(table.flow_m3_s(201.0), None);
    /// ```
    pub fn flow_m3_s(&self, pa: f64) -> Option<f64> {
        let mut points = self.points.clone();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        let pair = points.windows(2).find_map(|w| match w {
            [a, b] if a.0 <= pa && pa <= b.0 && b.0 > a.0 => Some((*a, *b)),
            _ => None,
        })?;
        let ((low, from), (high, to)) = pair;
        Some(from + (to - from) * (pa - low) / (high - low))
    }

    /// The flow at a pressure that was read; nothing beyond the ends of the table. The ends of the
    /// reading's interval are taken at the ends of the table where they lie beyond it.
    pub fn flow(&self, read: &Estimate) -> Option<Estimate> {
        let middle = self.flow_m3_s(read.si)?;
        let Some((lo, hi)) = read.bounds() else {
            return Some(Estimate::without(middle, Quantity::AirFlow, NoInterval::TypedWithoutInstrument));
        };
        let ends = |f: fn(f64, f64) -> bool| {
            self.points.iter().map(|p| p.0).reduce(|a, b| if f(b, a) { b } else { a }).unwrap_or(read.si)
        };
        let (least, most) = (ends(|b, a| b < a), ends(|b, a| b > a));
        let at = |pa: f64| self.flow_m3_s(pa.clamp(least, most)).unwrap_or(middle);
        let by_pressure = 0.5 * (at(hi) - at(lo));
        let by_table = self.within_frac.unwrap_or(TABLE_WITHIN) * middle;
        let half = (by_pressure * by_pressure + by_table * by_table).sqrt();
        Some(Estimate::range(middle, middle - half, middle + half, LEVEL, Quantity::AirFlow))
    }
}

/// What was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Name of the test.
    pub test: String,
    /// Where it stands.
    pub span: Option<Span>,
    /// Where the filter is.
    pub filter: Place,
    /// Where the coil is.
    pub coil: Place,
    /// Whether the coil was wet.
    pub coil_wet: Option<bool>,
    /// The readings.
    pub taps: Taps,
    /// Accuracy of the gauge.
    pub accuracy: Option<Accuracy>,
    /// How far a reading wavered about what was written, Pa.
    pub waver_pa: Option<f64>,
    /// How the equipment ran.
    pub setup: Setup,
    /// Highest rated external static pressure.
    pub limit: Limit,
    /// What flow the maker states at which pressure.
    pub table: Option<FlowTable>,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Statics {
    /// Static pressure across the rated box.
    pub external: Option<Estimate>,
    /// Its part on the return side: the inlet of the box below the room.
    pub return_side: Option<Estimate>,
    /// Its part on the supply side: the outlet above the room.
    pub supply_side: Option<Estimate>,
    /// Drop of the return ducts.
    pub return_ducts: Option<Estimate>,
    /// Drop of the filter.
    pub filter: Option<Estimate>,
    /// Drop of the coil.
    pub coil: Option<Estimate>,
    /// Drop of the supply ducts.
    pub supply_ducts: Option<Estimate>,
    /// Flow by the maker's table.
    pub flow: Option<Estimate>,
    /// Whether the pressure that the table asks for was not read or lies beyond it.
    pub beyond_table: bool,
    /// Where the filter is.
    pub filter_place: Place,
    /// Where the coil is.
    pub coil_place: Place,
    /// Whether the coil was wet.
    pub coil_wet: Option<bool>,
    /// How the equipment ran.
    pub setup: Setup,
    /// Highest rated external static pressure.
    #[serde(skip)]
    pub limit: Limit,
}

/// A tap with its name in documents.
type Named = (&'static str, Option<f64>);

impl Taps {
    /// Inlet and outlet of the rated box: the places that will do, the best first.
    fn ends(&self, filter: Place, coil: Place) -> ([Named; 2], [Named; 2]) {
        let before_filter = ("before_filter", self.before_filter_pa);
        let after_filter = ("after_filter", self.after_filter_pa);
        let after_coil = ("after_coil", self.after_coil_pa);
        let before_coil = ("before_coil", self.before_coil_pa);
        let supply = ("supply", self.supply_pa);
        let inlet = match (filter, coil) {
            (Place::BeforeBox, Place::BeforeBox) | (Place::Absent, Place::BeforeBox) => [after_coil; 2],
            // The filter hangs in the box while the coil stands before it.
            (_, Place::BeforeBox) => [after_coil, before_filter],
            (Place::Inside, _) => [before_filter; 2],
            (Place::Absent, _) => [before_filter, after_filter],
            _ => [after_filter; 2],
        };
        let outlet = match coil {
            Place::AfterBox => [before_coil; 2],
            // A coil inside may be the last part in it.
            _ => [supply, if coil == Place::Inside { after_coil } else { supply }],
        };
        (inlet, outlet)
    }
}

/// Works it. A sign that cannot be is said (D210) and the reading left out; where a tap at an end of
/// the box is missing (D209) the drops are still worked.
///
/// ```
/// use engine::procedure::field::Limit;
/// use engine::procedure::handler::{setup::Setup, statics::*};
/// let mut asked = Asked {
///     test: "statics".into(), span: None, filter: Place::BeforeBox, coil: Place::AfterBox, coil_wet: None,
///     taps: Taps {
///         before_filter_pa: Some(-40.0), after_filter_pa: Some(-90.0),
///         before_coil_pa: Some(110.0), after_coil_pa: None, supply_pa: Some(60.0),
///     },
///     accuracy: None, waver_pa: None, setup: Setup::default(), limit: Limit::default(), table: None,
/// };
/// let furnace = evaluate(&asked).0;
/// assert_eq!(furnace.external.unwrap().si, 200.0); // filter and coil load the box
/// assert_eq!(furnace.coil.unwrap().si, 50.0);
/// (asked.filter, asked.coil) = (Place::Inside, Place::Inside);
/// assert_eq!(evaluate(&asked).0.external.unwrap().si, 100.0); // both were part of the rating
/// ```
pub fn evaluate(asked: &Asked) -> (Statics, Diagnostics) {
    let mut wrong = Diagnostics::default();
    let mut taps = asked.taps;
    let say = |name: &'static str, code, wrong: &mut Diagnostics| {
        wrong.push(
            Diagnostic::error(code).at(asked.span.clone()).arg("test", asked.test.as_str()).arg("tap", name),
        );
    };
    // Before the blower the air is below the room, after it above.
    for (name, tap) in
        [("before_filter", &mut taps.before_filter_pa), ("after_filter", &mut taps.after_filter_pa)]
    {
        if tap.is_some_and(|p| p > 0.0) {
            say(name, code::D210, &mut wrong);
            *tap = None;
        }
    }
    if taps.supply_pa.is_some_and(|p| p < 0.0) {
        say("supply", code::D210, &mut wrong);
        taps.supply_pa = None;
    }
    let (inlets, outlets) = taps.ends(asked.filter, asked.coil);
    let mut end = |places: [Named; 2]| {
        let found = places.iter().find_map(|p| p.1);
        if found.is_none() {
            say(places[0].0, code::D209, &mut wrong);
        }
        found
    };
    let (inlet, outlet) = (end(inlets), end(outlets));
    let drop = |from: Option<f64>, to: Option<f64>, reads: f64| {
        from.zip(to).map(|(from, to)| difference(from - to, reads, asked))
    };
    let room = Some(0.0);
    let coil_end = taps.after_coil_pa.or(match asked.coil {
        Place::AfterBox => taps.supply_pa,
        _ => None,
    });
    let coil_start = taps.before_coil_pa.or(match asked.coil {
        Place::BeforeBox => taps.after_filter_pa,
        _ => None,
    });
    let mut result = Statics {
        external: drop(outlet, inlet, 2.0),
        return_side: drop(room, inlet, 1.0),
        supply_side: drop(outlet, room, 1.0),
        return_ducts: drop(room, taps.before_filter_pa, 1.0),
        filter: drop(taps.before_filter_pa, taps.after_filter_pa, 2.0)
            .filter(|_| asked.filter != Place::Absent),
        coil: drop(coil_start, coil_end, 2.0).filter(|_| asked.coil != Place::Absent),
        supply_ducts: drop(taps.supply_pa, room, 1.0),
        flow: None,
        beyond_table: false,
        filter_place: asked.filter,
        coil_place: asked.coil,
        coil_wet: asked.coil_wet,
        setup: asked.setup.clone(),
        limit: asked.limit.clone(),
    };
    if let Some(table) = &asked.table {
        let read = match table.across {
            Across::Box => result.external,
            Across::Filter => result.filter,
            Across::Coil => result.coil,
        };
        result.flow = read.and_then(|read| table.flow(&read));
        result.beyond_table = result.flow.is_none();
    }
    (result, wrong)
}

fn difference(pa: f64, reads: f64, asked: &Asked) -> Estimate {
    match asked.accuracy {
        Some(accuracy) => {
            let (gauge, waver) = (accuracy.limit(pa), asked.waver_pa.unwrap_or(0.0));
            let half = (gauge * gauge + reads * waver * waver).sqrt();
            Estimate::range(pa, pa - half, pa + half, LEVEL, Quantity::StaticPressure)
        }
        None => Estimate::without(pa, Quantity::StaticPressure, NoInterval::TypedWithoutInstrument),
    }
}

impl Statics {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        let figures = [
            ("figure-external-static", self.external),
            ("figure-static-return-side", self.return_side),
            ("figure-static-supply-side", self.supply_side),
            ("figure-drop-return-ducts", self.return_ducts),
            ("figure-drop-filter", self.filter),
            ("figure-drop-coil", self.coil),
            ("figure-drop-supply-ducts", self.supply_ducts),
            ("figure-static-flow", self.flow),
        ];
        for (id, e) in figures {
            if let Some(e) = e {
                worked.figure(id, e);
            }
        }
        if let Some((filter, external)) = self.filter.zip(self.limit.hi) {
            worked.figure("figure-filter-of-rated", filter.scaled(1.0 / external, Quantity::Fraction));
        }
        if self.limit.hi.is_some() {
            worked.checks.push(self.setup.judge(self.limit.check("check-external-static", self.external)));
        }
        worked.notes.push(Note::new(match (self.filter_place, self.coil_place) {
            (Place::Inside, Place::Inside) => "note-box-both-in",
            (Place::Inside, _) => "note-box-filter-in",
            (_, Place::Inside) => "note-box-coil-in",
            _ => "note-box-none-in",
        }));
        if self.beyond_table {
            worked.notes.push(Note::caution("note-static-table"));
        }
        let cooling = self.setup.mode == Some(Mode::Cooling);
        if self.coil_place != Place::Absent && cooling && self.coil_wet != Some(true) {
            worked.notes.push(Note::caution("note-coil-dry"));
        }
        self.setup.say(&mut worked);
        worked
    }
}
