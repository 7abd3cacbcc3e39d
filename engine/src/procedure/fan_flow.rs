//! The flow of one exhaust or supply: by a hood over the grille, by an orifice box, or by a probe in
//! the duct whose site factor was learned from one good flow.
//!
//! A hood or box presses back on the fan. With a fan curve `p0 - b Q2` and a duct `R Q2` the free flow
//! is `Q sqrt(p0/(p0 - p_box))`, `p0` the fan's pressure at no flow; where only its pressure as it
//! runs is known, that formula (a flat curve) is the most the flow can be and the reading the least.
//! Field errors of hoods are those found in houses, not the makers' (see [`HOOD_ERRORS`]).

use super::field::{LEVEL, Limit, Note, Worked};
use super::ventilation::rates::{self, LocalRoom, Runs};
use crate::diag::{Diagnostic, code};
use crate::measure::{Estimate, NoInterval, propagate, student_t_two_sided};
use crate::units::{Accuracy, Quantity};
use serde::Serialize;

/// Field errors of hoods in houses, share of the flow, read as 95 % limits: powered about 6 %, not
/// powered 11 to 25 % (LBNL, measuring residential ventilation). The larger one holds until
/// the back-pressure is corrected, the smaller one then; that division is an assumption.
pub const HOOD_ERRORS: HoodErrors = HoodErrors { powered: 0.06, plain: 0.25, corrected: 0.11 };

/// See [`HOOD_ERRORS`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoodErrors {
    /// A fan in the hood holds it at the room's pressure.
    pub powered: f64,
    /// No fan, no correction.
    pub plain: f64,
    /// No fan, back-pressure corrected.
    pub corrected: f64,
}

/// Discharge coefficient of a sharp orifice with free approach and its 95 % limits (0.60 to 0.62).
pub const ORIFICE_DISCHARGE: (f64, f64) = (0.61, 0.01);
/// Highest pressure of an orifice box that is thought not to disturb the fan, Pa; from memory.
pub const BOX_PRESSURE_PA: f64 = 8.0;

/// Flow of a sharp orifice, `Cd A sqrt(2 dp/rho)`, m3/s.
///
/// ```
/// use engine::procedure::fan_flow::orifice_m3_s;
/// let area_m2 = std::f64::consts::PI * 0.15 * 0.15 / 4.0;
/// assert!((orifice_m3_s(0.61, area_m2, 5.0, 1.204) - 0.031066).abs() < 1e-6);
/// ```
pub fn orifice_m3_s(discharge: f64, area_m2: f64, dp_pa: f64, density_kg_m3: f64) -> f64 {
    discharge * area_m2 * (2.0 * dp_pa.max(0.0) / density_kg_m3).sqrt()
}

/// Free flow of a fan over the flow through a box that holds `box_pa` against it; the fan's pressure
/// at no flow is `fan_pa`. NaN where the box holds as much as the fan gives.
///
/// ```
/// use engine::procedure::fan_flow::free_over_boxed;
/// // Fan 300 - 120 Q2, duct 500 Q2: free 0.69561 m3/s; with 75 Q2 more, 0.65700 m3/s at 32.37 Pa.
/// assert!((0.657004 * free_over_boxed(75.0 * 0.657004 * 0.657004, 300.0) - 0.695608).abs() < 1e-5);
/// ```
pub fn free_over_boxed(box_pa: f64, fan_pa: f64) -> f64 {
    (fan_pa / (fan_pa - box_pa)).sqrt()
}

/// What presses back on the fan while a hood or box stands over its grille.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BackPressure {
    /// Pressure in the hood against the room: read there, or of its stated resistance.
    pub hood: HoodPressure,
    /// Pressure the fan gives, Pa.
    pub fan_pa: f64,
    /// Whether that is at no flow; else it is the pressure as it runs.
    pub fan_at_no_flow: bool,
}

/// Pressure that a hood holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HoodPressure {
    /// Read, Pa.
    Read(f64),
    /// Its stated resistance: this pressure at that flow, Pa and m3/s; it grows with the square.
    Stated(f64, f64),
}

impl HoodPressure {
    fn at(self, flow_m3_s: f64) -> f64 {
        match self {
            HoodPressure::Read(pa) => pa.abs(),
            HoodPressure::Stated(pa, at_m3_s) => {
                let ratio = flow_m3_s / at_m3_s;
                pa * ratio * ratio
            }
        }
    }
}

/// What a probe in a duct shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ProbeShows {
    /// Speed, m/s.
    Speed,
    /// Velocity pressure, Pa.
    VelocityPressure,
}

/// A site: the factor between the flow and what the probe alone would make of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Site {
    /// Good flow over the probe's.
    pub factor: Estimate,
    /// The same without the share of the probe's own gain, which is off alike in every reading by
    /// the same probe and so leaves their ratio alone.
    pub factor_same_probe: Estimate,
    /// The probe, where it has a name.
    pub probe: Option<String>,
}

/// How the site's factor is known.
#[derive(Clone, Debug, PartialEq)]
pub enum SiteKnown {
    /// From a good flow with the probe in the same place.
    Learned {
        /// The good flow, m3/s.
        good: Estimate,
        /// The probe's readings beside it, in its own unit.
        shown: Vec<f64>,
    },
    /// Learned before.
    Before(Site),
    /// Nobody learned it.
    Unknown,
}

/// How the flow was measured.
#[derive(Clone, Debug, PartialEq)]
pub enum Method {
    /// A hood over the grille.
    Hood {
        /// Readings of flow at the density of the air, m3/s.
        shown: Vec<f64>,
        /// Stated accuracy.
        accuracy: Option<Accuracy>,
        /// Whether a fan in the hood holds it at the room's pressure.
        powered: bool,
        /// The user's own field error, share of the flow.
        field_error: Option<f64>,
        /// What is known of the back-pressure.
        back: Option<BackPressure>,
    },
    /// A box with a sharp orifice.
    Orifice {
        /// Readings of pressure in the box, Pa.
        shown: Vec<f64>,
        /// Stated accuracy of the gauge.
        accuracy: Option<Accuracy>,
        /// Area of the orifice, m2.
        area_m2: f64,
        /// Discharge coefficient and its 95 % half width.
        discharge: (f64, f64),
        /// Pressure the fan gives, Pa, and whether that is at no flow.
        fan: Option<(f64, bool)>,
    },
    /// A probe in the duct.
    Probe {
        /// What it shows.
        shows: ProbeShows,
        /// Its readings, m/s or Pa.
        shown: Vec<f64>,
        /// Stated accuracy.
        accuracy: Option<Accuracy>,
        /// Its name.
        probe: Option<String>,
        /// Area of the duct, m2.
        area_m2: f64,
        /// The site's factor.
        site: SiteKnown,
    },
}

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// How it was measured.
    pub method: Method,
    /// Density of the air that was measured, kg/m3.
    pub density_kg_m3: f64,
    /// The room it serves, for the published least flow.
    pub serves: Option<(LocalRoom, Runs, Option<f64>)>,
    /// Whether the inch-pound form of a limit is used.
    pub inch_pound: bool,
    /// The user's own limit.
    pub limit: Option<Limit>,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FanFlow {
    /// Flow at the density of the air there, m3/s.
    pub flow: Estimate,
    /// Mean of what was shown, as a flow, before any correction, m3/s.
    pub shown_m3_s: f64,
    /// Pressure against the fan, Pa.
    pub back_pressure_pa: Option<f64>,
    /// Share by which the back-pressure is thought to have lowered the reading.
    pub lowered: Option<f64>,
    /// The site of a probe.
    pub site: Option<Site>,
    /// What needs to be said.
    #[serde(skip)]
    notes: Vec<Note>,
    #[serde(skip)]
    limits: Vec<(&'static str, Limit, Estimate)>,
}

/// Mean of readings with the half width of its scatter (Student's t), zero for one reading.
fn mean(shown: &[f64]) -> (f64, f64) {
    let n = shown.len() as f64;
    let middle = shown.iter().sum::<f64>() / n;
    if shown.len() < 2 {
        return (middle, 0.0);
    }
    let ss: f64 = shown.iter().map(|x| (x - middle) * (x - middle)).sum();
    (middle, student_t_two_sided(LEVEL, n - 1.0) * (ss / (n - 1.0) / n).sqrt())
}

/// The gain and the offset of an accuracy at a reading, both 95 % limits.
fn parts(accuracy: Option<Accuracy>, at: f64) -> (f64, f64) {
    match accuracy {
        None => (0.0, 0.0),
        Some(a) if !a.larger => (a.relative, a.absolute),
        Some(a) if a.relative * at.abs() > a.absolute => (a.relative, 0.0),
        Some(a) => (0.0, a.absolute),
    }
}

fn good(shown: &[f64]) -> Result<(), Diagnostic> {
    let usable = !shown.is_empty() && shown.iter().all(|x| x.is_finite() && *x > 0.0);
    if usable { Ok(()) } else { Err(Diagnostic::error(code::X101)) }
}

/// Works it.
///
/// # Errors
/// X101 where there is no reading above zero, X102 where the back-pressure is not below the fan's own.
///
/// ```
/// use engine::procedure::fan_flow::{Asked, Method, evaluate};
/// let hood = |powered| Asked {
///     method: Method::Hood { shown: vec![0.030], accuracy: None, powered, field_error: None, back: None },
///     density_kg_m3: 1.2,
///     serves: None,
///     inch_pound: false,
///     limit: None,
/// };
/// let width = |powered| evaluate(&hood(powered)).unwrap().flow.bounds().unwrap();
/// assert!((width(true).1 - 0.0318).abs() < 1e-9);
/// assert!((width(false).1 - 0.0375).abs() < 1e-9); // nobody holds its pressure down
/// ```
pub fn evaluate(asked: &Asked) -> Result<FanFlow, Diagnostic> {
    let mut found = match &asked.method {
        Method::Hood { shown, accuracy, powered, field_error, back } => {
            good(shown)?;
            hood(shown, *accuracy, *powered, *field_error, *back)?
        }
        Method::Orifice { shown, accuracy, area_m2, discharge, fan } => {
            good(shown)?;
            orifice(shown, *accuracy, *area_m2, *discharge, *fan, asked.density_kg_m3)?
        }
        Method::Probe { shows, shown, accuracy, probe, area_m2, site } => {
            good(shown)?;
            let duct = Duct { shows: *shows, area_m2: *area_m2, density_kg_m3: asked.density_kg_m3 };
            by_probe(shown, *accuracy, probe.as_deref(), &duct, site)?
        }
    };
    if let Some((room, runs, volume)) = asked.serves {
        match rates::local_exhaust_m3_s(room, runs, volume, asked.inch_pound) {
            Some(wanted) => {
                let limit = Limit::at_least(wanted, "ashrae-2021-16-tables", true);
                found.limits.push(("check-local-exhaust", limit, found.flow));
            }
            None => found.notes.push(Note::new("note-kitchen-volume-missing")),
        }
    }
    if let Some(limit) = &asked.limit {
        found.limits.push(("check-fan-flow", limit.clone(), found.flow));
    }
    Ok(found)
}

/// The factor of the back-pressure: the one taken, the least and the most it can be.
fn back_factor(box_pa: f64, fan_pa: f64, at_no_flow: bool) -> Result<(f64, f64, f64), Diagnostic> {
    if box_pa >= fan_pa {
        return Err(Diagnostic::error(code::X102)
            .arg("hood", (box_pa, Quantity::Pressure))
            .arg("fan", (fan_pa, Quantity::Pressure)));
    }
    let most = free_over_boxed(box_pa, fan_pa);
    Ok(if at_no_flow { (most, most, most) } else { ((1.0 + most) / 2.0, 1.0, most) })
}

fn hood(
    shown: &[f64],
    accuracy: Option<Accuracy>,
    powered: bool,
    field_error: Option<f64>,
    back: Option<BackPressure>,
) -> Result<FanFlow, Diagnostic> {
    let (middle, scatter) = mean(shown);
    let back = back.filter(|_| !powered);
    let box_pa = back.map(|b| b.hood.at(middle));
    let (factor, least, most) = match (back, box_pa) {
        (Some(b), Some(pa)) => back_factor(pa, b.fan_pa, b.fan_at_no_flow)?,
        _ => (1.0, 1.0, 1.0),
    };
    let field = field_error.unwrap_or(match (powered, back.is_some()) {
        (true, _) => HOOD_ERRORS.powered,
        (false, false) => HOOD_ERRORS.plain,
        (false, true) => HOOD_ERRORS.corrected,
    });
    let stated = accuracy.map_or(0.0, |a| a.limit(middle));
    let inputs = [(middle, scatter), (0.0, stated), (1.0, field), (factor, (most - least) / 2.0)];
    let flow = propagate(&inputs, LEVEL, Quantity::AirFlow, |x| match x {
        [shown, off, field, factor] => (shown + off) * field * factor,
        _ => f64::NAN,
    });
    let mut notes = Vec::new();
    if !powered && back.is_none() {
        notes.push(Note::new("note-hood-not-corrected"));
    }
    if back.is_some_and(|b| !b.fan_at_no_flow) {
        notes.push(Note::new("note-fan-curve-unknown"));
    }
    Ok(FanFlow {
        flow,
        shown_m3_s: middle,
        back_pressure_pa: box_pa,
        lowered: box_pa.map(|_| 1.0 - 1.0 / factor),
        site: None,
        notes,
        limits: Vec::new(),
    })
}

fn orifice(
    shown: &[f64],
    accuracy: Option<Accuracy>,
    area_m2: f64,
    discharge: (f64, f64),
    fan: Option<(f64, bool)>,
    density_kg_m3: f64,
) -> Result<FanFlow, Diagnostic> {
    let (middle, scatter) = mean(shown);
    let (factor, least, most) = match fan {
        Some((fan_pa, at_no_flow)) => back_factor(middle, fan_pa, at_no_flow)?,
        None => (1.0, 1.0, 1.0),
    };
    let stated = accuracy.map_or(0.0, |a| a.limit(middle));
    let inputs = [(middle, scatter), (0.0, stated), discharge, (factor, (most - least) / 2.0)];
    let flow = propagate(&inputs, LEVEL, Quantity::AirFlow, |x| match x {
        [shown, off, cd, factor] => orifice_m3_s(*cd, area_m2, shown + off, density_kg_m3) * factor,
        _ => f64::NAN,
    });
    let flow = match accuracy {
        Some(_) => flow,
        None => Estimate::without(flow.si, Quantity::AirFlow, NoInterval::TypedWithoutInstrument),
    };
    let mut notes = Vec::new();
    notes.extend(fan.is_none().then(|| Note::new("note-box-not-corrected")));
    notes.extend(fan.is_some_and(|f| !f.1).then(|| Note::new("note-fan-curve-unknown")));
    let pressure = Estimate::range(middle, middle - stated, middle + stated, LEVEL, Quantity::Pressure);
    let limit = Limit::at_most(BOX_PRESSURE_PA, super::source::FROM_MEMORY, false);
    Ok(FanFlow {
        flow,
        shown_m3_s: orifice_m3_s(discharge.0, area_m2, middle, density_kg_m3),
        back_pressure_pa: Some(middle),
        lowered: fan.map(|_| 1.0 - 1.0 / factor),
        site: None,
        notes,
        limits: vec![("check-box-pressure", limit, pressure)],
    })
}

struct Duct {
    shows: ProbeShows,
    area_m2: f64,
    density_kg_m3: f64,
}

impl Duct {
    /// Flow if the shown speed held over the whole duct, m3/s.
    fn flow_m3_s(&self, shown: f64) -> f64 {
        match self.shows {
            ProbeShows::Speed => self.area_m2 * shown.max(0.0),
            ProbeShows::VelocityPressure => self.area_m2 * (2.0 * shown.max(0.0) / self.density_kg_m3).sqrt(),
        }
    }
}

/// The factor of a site, from a good flow and the probe's readings beside it.
fn learn(
    shown: &[f64],
    good: Estimate,
    accuracy: Option<Accuracy>,
    probe: Option<&str>,
    duct: &Duct,
) -> Site {
    let (middle, scatter) = mean(shown);
    let (gain, offset) = parts(accuracy, middle);
    let half = good.bounds().map_or(0.0, |(lo, hi)| (hi - lo) / 2.0);
    let of = |gain: f64, offset: f64| {
        let inputs = [(good.si, half), (middle, scatter), (1.0, gain), (0.0, offset)];
        let factor = propagate(&inputs, LEVEL, Quantity::Number, |x| match x {
            [good, shown, gain, offset] => good / duct.flow_m3_s(shown * gain + offset),
            _ => f64::NAN,
        });
        match good.bounds() {
            Some(_) => factor,
            None => Estimate::without(factor.si, Quantity::Number, NoInterval::TypedWithoutInstrument),
        }
    };
    Site { factor: of(gain, offset), factor_same_probe: of(0.0, offset), probe: probe.map(str::to_owned) }
}

fn by_probe(
    shown: &[f64],
    accuracy: Option<Accuracy>,
    probe: Option<&str>,
    duct: &Duct,
    site: &SiteKnown,
) -> Result<FanFlow, Diagnostic> {
    let (middle, scatter) = mean(shown);
    let learned = match site {
        SiteKnown::Learned { good: flow, shown } => {
            good(shown)?;
            Some(learn(shown, *flow, accuracy, probe, duct))
        }
        SiteKnown::Before(site) => Some(site.clone()),
        SiteKnown::Unknown => None,
    };
    let same = |s: &Site| probe.is_some() && s.probe.as_deref() == probe;
    let (gain, offset) = parts(accuracy, middle);
    let (factor, gain) = match &learned {
        Some(s) if same(s) => (s.factor_same_probe, 0.0),
        Some(s) => (s.factor, gain),
        None => (Estimate::without(1.0, Quantity::Number, NoInterval::Assumed), gain),
    };
    let half = factor.bounds().map(|(lo, hi)| (hi - lo) / 2.0);
    let inputs = [(factor.si, half.unwrap_or(0.0)), (middle, scatter), (1.0, gain), (0.0, offset)];
    let flow = propagate(&inputs, LEVEL, Quantity::AirFlow, |x| match x {
        [factor, shown, gain, offset] => factor * duct.flow_m3_s(shown * gain + offset),
        _ => f64::NAN,
    });
    let flow = match (half, accuracy) {
        (Some(_), Some(_)) => flow,
        (None, _) if learned.is_none() => Estimate::without(flow.si, Quantity::AirFlow, NoInterval::Assumed),
        _ => Estimate::without(flow.si, Quantity::AirFlow, NoInterval::TypedWithoutInstrument),
    };
    let mut notes = Vec::new();
    if learned.is_none() {
        notes.push(Note::caution("note-site-unknown"));
    }
    if learned.as_ref().is_some_and(|s| !same(s) && matches!(site, SiteKnown::Before(_))) {
        notes.push(Note::new("note-site-other-probe"));
    }
    // A mean speed above the one the probe feels, or below half of it, is no usual place for it.
    if learned.as_ref().is_some_and(|s| !(0.5..=1.2).contains(&s.factor.si)) {
        notes.push(Note::caution("note-site-factor-odd"));
    }
    Ok(FanFlow {
        flow,
        shown_m3_s: duct.flow_m3_s(middle),
        back_pressure_pa: None,
        lowered: None,
        site: learned,
        notes,
        limits: Vec::new(),
    })
}

impl FanFlow {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        worked.figure("figure-fan-flow", self.flow);
        if (self.shown_m3_s / self.flow.si - 1.0).abs() > 1e-9 {
            let shown = Estimate::without(self.shown_m3_s, Quantity::AirFlow, NoInterval::NotDefined);
            worked.figure("figure-fan-flow-shown", shown);
        }
        let plain = |si, quantity| Estimate::without(si, quantity, NoInterval::NotDefined);
        if let Some(pa) = self.back_pressure_pa {
            worked.figure("figure-back-pressure", plain(pa, Quantity::Pressure));
        }
        if let Some(lowered) = self.lowered {
            worked.figure("figure-flow-lowered", plain(lowered, Quantity::Fraction));
        }
        if let Some(site) = &self.site {
            worked.figure("figure-site-factor", site.factor);
        }
        for (id, limit, value) in &self.limits {
            worked.checks.push(limit.check(id, Some(*value)));
        }
        worked.notes.extend(self.notes.iter().cloned());
        worked
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn probe(site: SiteKnown, shown: f64) -> FanFlow {
        let asked = Asked {
            method: Method::Probe {
                shows: ProbeShows::Speed,
                shown: vec![shown],
                accuracy: Some(Accuracy { relative: 0.05, absolute: 0.02, larger: false }),
                probe: Some("wire".into()),
                area_m2: 0.0177,
                site,
            },
            density_kg_m3: 1.2,
            serves: None,
            inch_pound: false,
            limit: None,
        };
        evaluate(&asked).unwrap()
    }

    fn width(e: &Estimate) -> f64 {
        e.bounds().map_or(0.0, |(lo, hi)| (hi - lo) / 2.0 / e.si)
    }

    /// The gain of one probe leaves the ratio of its readings alone, so the flow is known nearly as
    /// well as the good one it was learned from.
    #[test]
    fn the_probes_gain_cancels() {
        let good = Estimate::range(0.05, 0.0485, 0.0515, LEVEL, Quantity::AirFlow);
        let learned = probe(SiteKnown::Learned { good, shown: vec![3.5] }, 2.8);
        assert!((learned.flow.si - 0.04).abs() < 1e-12);
        assert!(width(&learned.flow) < 0.032, "{}", width(&learned.flow));
        let site = learned.site.unwrap();
        assert!(width(&site.factor) > 0.055);
        let again = probe(SiteKnown::Before(site.clone()), 2.8);
        assert!((width(&again.flow) - width(&learned.flow)).abs() < 1e-12);
        let other = probe(SiteKnown::Before(Site { probe: Some("vane".into()), ..site }), 2.8);
        assert!(width(&other.flow) > 0.07);
    }

    #[test]
    fn a_probe_without_a_site_has_no_interval() {
        let found = probe(SiteKnown::Unknown, 2.8);
        assert!(found.flow.bounds().is_none());
        assert!(found.worked().notes.iter().any(|n| n.caution));
    }

    #[test]
    fn a_fan_that_cannot_blow_through_the_hood_is_said() {
        let back = BackPressure { hood: HoodPressure::Read(40.0), fan_pa: 30.0, fan_at_no_flow: true };
        assert_eq!(hood(&[0.03], None, false, None, Some(back)).unwrap_err().code, code::X102);
        assert_eq!(good(&[f64::NAN]).unwrap_err().code, code::X101);
    }
}
