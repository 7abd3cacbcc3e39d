//! Passages with parts: ducts, filters and coils, grilles, dampers, stacks, and the parts of fans.

use super::read::{FACES, between, hours, label, positive};
use super::{Face, Sp};
use crate::device::duct::{butterfly_loss, compression_factor};
use crate::device::fan::{CAPTURE_BY_FLOW, Electric};
use crate::diag::{Diagnostic, Span, code};
use crate::doc::read::Tab;
use crate::network::{FanCurve, FanCurveError, Resistance};
use crate::units::Quantity as Q;

/// Discharge coefficient of a grille or an undercut that nobody stated (sharp opening).
const DISCHARGE: f64 = 0.6;
/// Exponents of `flow = C dp^n`: a pleated filter lies between laminar and turbulent, a coil near
/// the latter. Common practice, no source.
pub(super) const FILTER_EXPONENT: f64 = 0.75;
const COIL_EXPONENT: f64 = 0.55;
/// Mean temperature of the gas in the flue of an appliance with a draft hood while it fires, 120 degC, where
/// its hours are written and its temperature is not. Common practice, no source.
const FLUE_GAS_K: f64 = 393.15;
/// Share of its open size that a shut damper leaks. Common practice, no source.
const DAMPER_LEAK: f64 = 0.02;

/// Where a part stands alone, if it does.
#[derive(Clone, Debug, PartialEq)]
pub struct Stand {
    /// The two sides; nothing for a part in the line of another one.
    pub between: Option<[Sp<String>; 2]>,
    /// Height of its first side above ground, m; nothing where it follows from the zones.
    pub height_m: Option<f64>,
    /// Where it meets the wind.
    pub face: Face,
}

/// A run of duct.
#[derive(Clone, Debug, PartialEq)]
pub struct Duct {
    /// The name other tables use.
    pub name: Sp<String>,
    /// The name people read.
    pub label: String,
    /// Where it stands.
    pub stand: Stand,
    /// Wall, fittings and end grille; nothing where they were written wrongly.
    pub resistance: Option<Resistance>,
    /// Height of its second side over its first, m.
    pub rise_m: f64,
    /// What else is in its line.
    pub in_line: Vec<Sp<String>>,
}

/// A filter or a coil.
#[derive(Clone, Debug, PartialEq)]
pub struct Filter {
    /// The name other tables use.
    pub name: Sp<String>,
    /// The name people read.
    pub label: String,
    /// Where it stands.
    pub stand: Stand,
    /// Pressure drop at the rated flow as it is loaded now, Pa, low and high end; nothing where it was written wrongly.
    pub drop_pa: Option<(f64, f64)>,
    /// Rated flow, m3/s.
    pub at_m3_s: f64,
    /// Exponent of `flow = C dp^n`.
    pub exponent: f64,
}

/// A transfer grille or an undercut.
#[derive(Clone, Debug, PartialEq)]
pub struct Grille {
    /// The name other tables use.
    pub name: Sp<String>,
    /// The name people read.
    pub label: String,
    /// Where it stands.
    pub stand: Stand,
    /// Free area times discharge coefficient, m2, low and high end; nothing where it was written wrongly.
    pub effective_m2: Option<(f64, f64)>,
}

/// What moves a damper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum DamperKind {
    /// A hand: loss coefficient at its position.
    Manual(f64),
    /// The air: opens from its first side to its second beyond a pressure.
    Opens {
        /// Pressure, Pa.
        at_pa: f64,
        /// Share of its open size that it leaks when shut.
        leak: f64,
    },
}

/// A damper.
#[derive(Clone, Debug, PartialEq)]
pub struct Damper {
    /// The name other tables use.
    pub name: Sp<String>,
    /// The name people read.
    pub label: String,
    /// Where it stands.
    pub stand: Stand,
    /// Area of its opening, m2; nothing where it was written wrongly.
    pub area_m2: Option<f64>,
    /// What moves it.
    pub kind: DamperKind,
}

/// A stack or flue from a zone to above the roof.
#[derive(Clone, Debug, PartialEq)]
pub struct Stack {
    /// The name other tables use.
    pub name: Sp<String>,
    /// The name people read.
    pub label: String,
    /// Its two sides, the lower first.
    pub between: [Sp<String>; 2],
    /// Height of its bottom above ground, m.
    pub bottom_m: f64,
    /// Height of its top above ground, m.
    pub top_m: f64,
    /// Wall and fittings.
    pub resistance: Option<Resistance>,
    /// Mean temperature of its gas while it is hot, K.
    pub gas_k: Option<f64>,
    /// Spans of the day in which its appliance fires, s after midnight.
    pub hot_s: Vec<(f64, f64)>,
    /// Draft hood: free area, m2, and gas fed below it while hot, m3/s at 20 degC.
    pub hood: Option<(f64, f64)>,
}

/// What a fan has beside its flow.
#[derive(Clone, Debug, Default)]
pub struct FanParts {
    /// Its curve at its speed.
    pub curve: Option<FanCurve>,
    /// Speed over that of the curve and the power points.
    pub speed: f64,
    /// What is in its line.
    pub in_line: Vec<Sp<String>>,
    /// Whether a fan that stands still is shut by its damper; otherwise its line stays a passage.
    pub shut_when_off: bool,
    /// Electric power.
    pub electric: Option<Electric>,
    /// Capture over flow (m3/s).
    pub capture: Vec<(f64, f64)>,
}

// A curve has no order of its own; what was written decides.
impl PartialEq for FanParts {
    fn eq(&self, other: &Self) -> bool {
        let points = |c: &Option<FanCurve>| c.as_ref().map(|c| (c.range_pa(), c.flow_m3_s(0.0)));
        points(&self.curve) == points(&other.curve)
            && self.speed.to_bits() == other.speed.to_bits()
            && self.in_line == other.in_line
            && self.shut_when_off == other.shut_when_off
            && self.electric == other.electric
            && self.capture == other.capture
    }
}

type Named<'a, 't> = (Sp<String>, Tab<'a, 't>);

fn stand(t: &Tab<'_, '_>) -> Stand {
    let height = t.bounded("height", Q::Length, -20.0..=200.0);
    let face = t.choice("face", FACES);
    Stand {
        between: if t.has("between") { between(t) } else { None },
        height_m: height.map(|h| h.value),
        face: face.map_or(Face::All, |f| f.value),
    }
}

/// Hydraulic diameter and area of a section, m and m2.
fn section(t: &Tab<'_, '_>) -> Option<(f64, f64)> {
    if let Some(sides) = t.quantities("sides", Q::Length) {
        let [a, b] = sides.value[..] else {
            t.say(
                Diagnostic::error(code::T012)
                    .at(sides.span)
                    .arg("key", "sides")
                    .arg("found", sides.value.len())
                    .arg("wanted", 2.0),
            );
            return None;
        };
        let fits = |v| t.within("sides", &Sp { value: v, span: sides.span.clone() }, Q::Length, 0.02..=3.0);
        return (fits(a) && fits(b)).then(|| (2.0 * a * b / (a + b), a * b));
    }
    let d = t.need("diameter", t.bounded("diameter", Q::Length, 0.02..=3.0))?.value;
    Some((d, std::f64::consts::FRAC_PI_4 * d * d))
}

/// Wall of a length, fittings and end grille.
fn duct_resistance(t: &Tab<'_, '_>, length_m: Option<f64>) -> Option<Resistance> {
    let size = section(t);
    // Roughness: ASHRAE Fundamentals ch. 21, categories; flexible duct fully stretched.
    let wall = t.choice("wall", &[("plastic", 4.6e-5), ("metal", 9e-5), ("flexible", 9e-4), ("lined", 3e-3)]);
    let roughness = t.bounded("roughness", Q::Length, 0.0..=0.02);
    let compression = t.bounded("compression", Q::Fraction, 0.0..=0.6);
    let fittings = t.quantities("fittings", Q::Number);
    let grille = t.bounded("end_grille", Q::Area, 1e-4..=10.0);
    let mut loss = 0.0;
    if let Some(f) = &fittings {
        for c in &f.value {
            if !t.within("fittings", &Sp { value: *c, span: f.span.clone() }, Q::Number, 0.0..=1000.0) {
                return None;
            }
            loss += c;
        }
    }
    let (diameter_m, area_m2) = size?;
    let rough = roughness.map_or(wall.map_or(9e-5, |w| w.value), |r| r.value);
    let more = compression.map_or(1.0, |c| compression_factor(diameter_m, c.value));
    let straight = Resistance::straight(length_m?, diameter_m, area_m2, rough).times(more);
    let end = grille.map_or_else(Resistance::default, |a| Resistance::orifice(a.value, DISCHARGE));
    Some(straight.and(Resistance::loss(loss, area_m2)).and(end))
}

pub(super) fn duct((name, t): &Named<'_, '_>) -> Option<Duct> {
    let length = t.need("length", t.bounded("length", Q::Length, 0.01..=500.0));
    let rise = t.bounded("rise", Q::Length, -100.0..=100.0);
    Some(Duct {
        name: name.clone(),
        label: label(name, t),
        stand: stand(t),
        resistance: duct_resistance(t, length.map(|l| l.value)),
        rise_m: rise.map_or(0.0, |r| r.value),
        in_line: t.texts("in_line"),
    })
}

pub(super) fn filter((name, t): &Named<'_, '_>) -> Option<Filter> {
    let coil = t.choice("kind", &[("filter", false), ("coil", true)]).is_some_and(|k| k.value);
    let drop = t.need("drop", t.range("drop", Q::Pressure));
    let drop = drop.filter(|d| positive(t, "drop", d, Q::Pressure));
    let at = t.need("at", t.bounded("at", Q::AirFlow, 1e-4..=50.0));
    let exponent = t.number("exponent");
    let exponent = exponent.filter(|n| t.within("exponent", n, Q::Number, 0.5..=1.0));
    let loading = t.number("loading").filter(|l| t.within("loading", l, Q::Number, 1.0..=50.0));
    let more = loading.map_or(1.0, |l| l.value);
    Some(Filter {
        name: name.clone(),
        label: label(name, t),
        stand: stand(t),
        drop_pa: drop.map(|d| (more * d.value.0, more * d.value.1)),
        at_m3_s: at?.value,
        exponent: exponent.map_or(if coil { COIL_EXPONENT } else { FILTER_EXPONENT }, |n| n.value),
    })
}

pub(super) fn grille((name, t): &Named<'_, '_>) -> Option<Grille> {
    let area = t.range("area", Q::Area).filter(|a| positive(t, "area", a, Q::Area));
    let width = t.bounded("width", Q::Length, 0.01..=10.0);
    let gap = t.range("gap", Q::Length).filter(|g| positive(t, "gap", g, Q::Length));
    let discharge = t.number("discharge");
    let discharge = discharge.filter(|d| t.within("discharge", d, Q::Number, 0.05..=1.0));
    let cd = discharge.map_or(DISCHARGE, |d| d.value);
    let free = match (area, width, gap) {
        (Some(a), _, _) => Some(a.value),
        (None, Some(w), Some(g)) => Some((w.value * g.value.0, w.value * g.value.1)),
        _ if t.has("area") || t.has("gap") && t.has("width") => None,
        _ => t.need("area", None),
    };
    Some(Grille {
        name: name.clone(),
        label: label(name, t),
        stand: Stand { between: between(t), ..stand(t) },
        effective_m2: free.map(|(lo, hi)| (cd * lo, cd * hi)),
    })
}

pub(super) fn damper((name, t): &Named<'_, '_>) -> Option<Damper> {
    // Gravity and barometric dampers are one law: what differs is where they are set.
    let kinds = [("manual", 0), ("gravity", 1), ("barometric", 2)];
    let kind = t.need("kind", t.choice("kind", &kinds));
    let size = section(t);
    let angle = t.bounded("angle", Q::Angle, 0.0..=1.571);
    let at = t.bounded("opens_at", Q::Pressure, 0.0..=500.0);
    let leak = t.bounded("leak", Q::Fraction, 1e-4..=1.0);
    let (label, stand) = (label(name, t), stand(t));
    let kind = match kind?.value {
        0 => DamperKind::Manual(butterfly_loss(angle.map_or(0.0, |a| a.value))),
        2 if at.is_none() && !t.has("opens_at") => return t.need("opens_at", None),
        _ => DamperKind::Opens {
            at_pa: at.map_or(0.0, |p| p.value),
            leak: leak.map_or(DAMPER_LEAK, |l| l.value),
        },
    };
    Some(Damper { name: name.clone(), label, stand, area_m2: size.map(|s| s.1), kind })
}

pub(super) fn stack((name, t): &Named<'_, '_>) -> Option<Stack> {
    let ends = between(t);
    let bottom = t.need("bottom", t.bounded("bottom", Q::Length, -20.0..=200.0));
    let top = t.need("top", t.bounded("top", Q::Length, -20.0..=300.0));
    let length = t.bounded("length", Q::Length, 0.1..=500.0);
    let gas = t.bounded("temperature", Q::Temperature, 230.0..=1500.0);
    let hot_s: Vec<(f64, f64)> = t.texts("hot").iter().filter_map(|s| hours(t, s)).collect();
    let usual_k = (!hot_s.is_empty()).then_some(FLUE_GAS_K);
    let area = t.bounded("hood_area", Q::Area, 1e-4..=2.0);
    let fed = t.bounded("hood_gas", Q::AirFlow, 0.0..=2.0);
    let up = bottom.as_ref().zip(top.as_ref()).map(|(b, t)| t.value - b.value);
    let resistance = duct_resistance(t, length.map(|l| l.value).or(up));
    let label = label(name, t);
    let (bottom, top) = (bottom?, top?);
    if top.value <= bottom.value {
        t.say(
            Diagnostic::error(code::H114)
                .at(top.span)
                .arg("name", label.as_str())
                .arg("bottom", (bottom.value, Q::Length))
                .arg("top", (top.value, Q::Length)),
        );
        return None;
    }
    let hood = area.map(|a| (a.value, fed.map_or(0.0, |f| f.value)));
    Some(Stack {
        name: name.clone(),
        label,
        between: ends?,
        bottom_m: bottom.value,
        top_m: top.value,
        resistance,
        gas_k: gas.map(|g| g.value).or(usual_k),
        hot_s,
        hood,
    })
}

/// The parts of a fan; the second is false where a curve was written and is wrong.
pub(super) fn fan_parts(t: &Tab<'_, '_>) -> (FanParts, bool) {
    let speed = t.bounded("speed", Q::Fraction, 0.05..=2.0).map_or(1.0, |s| s.value);
    let off = t.choice("when_off", &[("open", false), ("shut", true)]);
    let efficiency = t.bounded("efficiency", Q::Fraction, 1e-3..=1.0);
    let mut electric = efficiency.map(|e| Electric::Efficiency(e.value));
    if let Some(points) = pairs(t, "power_curve", ("flow", Q::AirFlow), ("power", Q::Power)) {
        electric = Some(Electric::Points(points.0));
    }
    let capture =
        if t.flag("capture_by_flow").unwrap_or(false) { CAPTURE_BY_FLOW.to_vec() } else { capture_points(t) };
    let (curve, good) = fan_curve(t, speed);
    let parts = FanParts {
        curve,
        speed,
        in_line: t.texts("in_line"),
        shut_when_off: off.is_some_and(|o| o.value),
        electric,
        capture,
    };
    (parts, good)
}

fn capture_points(t: &Tab<'_, '_>) -> Vec<(f64, f64)> {
    let Some((points, spans)) = pairs(t, "capture_curve", ("flow", Q::AirFlow), ("capture", Q::Fraction))
    else {
        return Vec::new();
    };
    let fits = points
        .iter()
        .zip(spans)
        .all(|(p, span)| t.within("capture_curve", &Sp { value: p.1, span }, Q::Fraction, 0.0..=1.0));
    if fits { points } else { Vec::new() }
}

type Points = (Vec<(f64, f64)>, Vec<Span>);

/// Two columns of a table, by ascending first.
fn pairs(t: &Tab<'_, '_>, key: &'static str, x: (&'static str, Q), y: (&'static str, Q)) -> Option<Points> {
    let grid = t.grid(key, &[x, y])?;
    let (xs, ys) = (grid.column(x.0)?, grid.column(y.0)?);
    let mut rows: Vec<((f64, f64), Span)> =
        xs.into_iter().zip(ys).zip(grid.rows.iter().map(|r| r.span.clone())).collect();
    rows.sort_by(|a, b| a.0.0.total_cmp(&b.0.0));
    rows.dedup_by(|b, a| b.0.0 <= a.0.0);
    Some(rows.into_iter().unzip())
}

/// A curve of points or one that holds its flow; the second is false where it was written and is wrong.
pub(super) fn fan_curve(t: &Tab<'_, '_>, speed: f64) -> (Option<FanCurve>, bool) {
    let density = crate::air::REFERENCE_DENSITY_KG_M3;
    let at = t.span_of(if t.has("curve") { "curve" } else { "holds" });
    let made = if t.has("curve") {
        let Some(grid) = t.grid("curve", &[("pressure", Q::Pressure), ("flow", Q::AirFlow)]) else {
            return (None, false);
        };
        let (Some(rise), Some(flow)) = (grid.column("pressure"), grid.column("flow")) else {
            return (None, false);
        };
        let points: Vec<(f64, f64)> = rise.into_iter().zip(flow).collect();
        FanCurve::new(&points, density).and_then(|c| c.at_speed(speed))
    } else if t.has("holds") {
        let flow = t.bounded("holds", Q::AirFlow, 1e-4..=50.0);
        let limit = t.need("up_to", t.bounded("up_to", Q::Pressure, 1.0..=2000.0));
        let end = t.need("shut_off", t.bounded("shut_off", Q::Pressure, 1.0..=5000.0));
        let (Some(flow), Some(limit), Some(end)) = (flow, limit, end) else { return (None, false) };
        FanCurve::constant_flow(flow.value, limit.value, end.value, density)
    } else {
        return (None, true);
    };
    match made {
        Ok(curve) => (Some(curve), true),
        Err(FanCurveError::Rising { pairs }) => {
            for [low, high] in pairs {
                t.say(
                    Diagnostic::error(code::H111)
                        .at(at.clone())
                        .arg("low", (low.0, Q::Pressure))
                        .arg("low_flow", (low.1, Q::AirFlow))
                        .arg("high", (high.0, Q::Pressure))
                        .arg("high_flow", (high.1, Q::AirFlow)),
                );
            }
            (None, false)
        }
        Err(_) => {
            t.say(Diagnostic::error(code::H112).at(at));
            (None, false)
        }
    }
}
