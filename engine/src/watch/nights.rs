//! What nights and departures tell of CO2: build-ups, decays, exchange between rooms.

use super::event::{Night, Range, Told};
use crate::measure::Estimate;
use crate::procedure::tracer::search::{self, search};
use crate::procedure::tracer::two_zones::{self, Between};
use crate::procedure::tracer::{Background, rise};
use crate::units::Accuracy;

/// CO2 of one room: time (ms) and volume fraction, rising in time.
#[derive(Clone, Debug)]
pub struct Room<'a> {
    /// The trace.
    pub trace: &'a str,
    /// Its points.
    pub points: Vec<(i64, f64)>,
    /// Volume, m3, where it is known.
    pub volume_m3: Option<f64>,
    /// The instrument's limit.
    pub accuracy: Accuracy,
}

/// 95 % of a typed volume (common practice, no source).
const VOLUME_SHARE: f64 = 0.1;
/// A rise of less tells nothing, volume fraction.
const LEAST_RISE: f64 = 150e-6;
/// Furthest apart that two rooms' readings count as of one time, ms.
const TOGETHER_MS: i64 = 150_000;
/// Outdoors is told by the record's lowest only where it has most of a night in it, ms.
const A_NIGHT_MS: i64 = 16 * 3_600_000;

/// Decays of the rooms that end before `until_ms` and begin after `after_ms`, with what the other rooms say of them.
/// `background` is outdoors where it was measured.
pub fn decays(
    rooms: &[Room<'_>],
    background: Option<Background>,
    after_ms: &[i64],
    until_ms: i64,
) -> Vec<Night> {
    let mut out = Vec::new();
    for (room, after_ms) in rooms.iter().zip(after_ms) {
        let (Some((first_ms, _)), Some((last_ms, _))) =
            (room.points.first().copied(), room.points.last().copied())
        else {
            continue;
        };
        if background.is_none() && last_ms - first_ms < A_NIGHT_MS {
            continue;
        }
        let time_s: Vec<f64> = room.points.iter().map(|p| (p.0 - first_ms) as f64 / 1000.0).collect();
        let gas: Vec<f64> = room.points.iter().map(|p| p.1).collect();
        let volume_m3 = room.volume_m3.map(|v| vec![(v, VOLUME_SHARE * v)]);
        let Some(found) = search(&search::Asked { time_s: &time_s, gas: vec![&gas], volume_m3, background })
        else {
            continue;
        };
        for s in found.stretches {
            let span = (room.points[s.rows.0].0, room.points[s.rows.1].0);
            if span.0 < *after_ms || span.1 > until_ms {
                continue;
            }
            let night = |told| Night { trace: room.trace.to_owned(), from_ms: span.0, to_ms: span.1, told };
            let others = rooms.iter().filter(|r| r.trace != room.trace);
            let mut between_rooms = false;
            let mut exchanged = Vec::new();
            for other in others {
                let Some((rows_s, a, b)) = together(room, other, span) else { continue };
                let lowest = crate::math::min_valid(b.iter().copied()).unwrap_or(0.0);
                let first = b.first().copied().unwrap_or(0.0);
                let highest = crate::math::max_valid(b.iter().copied()).unwrap_or(0.0);
                between_rooms |= highest - first.min(lowest) > 0.3 * (a[0] - found.background.value);
                exchanged.extend(exchange(room, other, (&rows_s, &a, &b), found.background).map(night));
            }
            out.push(night(Told::Decay {
                rate: s.decay.rate.into(),
                baseline: found.background.value,
                between_rooms,
            }));
            out.extend(exchanged);
        }
    }
    out
}

/// Readings of two rooms at the times of the first: s, volume fractions.
fn together(a: &Room<'_>, b: &Room<'_>, span: (i64, i64)) -> Option<(Vec<f64>, Vec<f64>, Vec<f64>)> {
    let (mut time_s, mut of_a, mut of_b) = (Vec::new(), Vec::new(), Vec::new());
    for (ms, value) in a.points.iter().filter(|p| p.0 >= span.0 && p.0 <= span.1) {
        let at = b.points.partition_point(|p| p.0 < *ms);
        let near = [at.checked_sub(1), Some(at)].into_iter().flatten().filter_map(|k| b.points.get(k));
        let near = near.min_by_key(|p| (p.0 - ms).abs()).filter(|p| (p.0 - ms).abs() <= TOGETHER_MS);
        if let Some(near) = near {
            time_s.push((ms - span.0) as f64 / 1000.0);
            of_a.push(*value);
            of_b.push(near.1);
        }
    }
    (time_s.len() >= 12).then_some((time_s, of_a, of_b))
}

fn exchange(
    a: &Room<'_>,
    b: &Room<'_>,
    (time_s, of_a, of_b): (&[f64], &[f64], &[f64]),
    background: Background,
) -> Option<Told> {
    let (va, vb) = (a.volume_m3?, b.volume_m3?);
    let rooms = two_zones::evaluate(&two_zones::Asked {
        time_s,
        gas: [of_a, of_b],
        background,
        volume_m3: [(va, VOLUME_SHARE * va), (vb, VOLUME_SHARE * vb)],
        source_m3_s: [0.0, 0.0],
        between: Between::Equal,
    })
    .ok()?;
    rooms.across.told.then(|| Told::Exchange {
        with: b.trace.to_owned(),
        across: rooms.across.flow.into(),
        outdoor: rooms.outdoor_total.flow.into(),
    })
}

/// The longest rise of a night towards its plateau.
pub fn build_up(room: &Room<'_>, background: Background, span: (i64, i64)) -> Option<Night> {
    let points: Vec<(i64, f64)> =
        room.points.iter().filter(|p| p.0 >= span.0 && p.0 <= span.1).copied().collect();
    // The least reading before the highest.
    let highest = (0..points.len()).max_by(|a, b| points[*a].1.total_cmp(&points[*b].1))?;
    let least = (0..=highest).min_by(|a, b| points[*a].1.total_cmp(&points[*b].1))?;
    if points[highest].1 - points[least].1 < LEAST_RISE {
        return None;
    }
    // The plateau belongs to it as long as the level stays up.
    let floor = points[highest].1 - 0.15 * (points[highest].1 - points[least].1);
    let end = (highest..points.len()).take_while(|i| points[*i].1 >= floor).last()?;
    let rows = &points[least..=end];
    let time_s: Vec<f64> = rows.iter().map(|p| (p.0 - rows[0].0) as f64 / 1000.0).collect();
    let gas: Vec<f64> = rows.iter().map(|p| p.1).collect();
    let rise = rise::evaluate(&rise::Asked {
        time_s: &time_s,
        gas: &gas,
        background: Some(background),
        source: None,
        temp_k: 293.15,
        pressure_pa: 101_325.0,
        volume_m3: None,
        gain_limit: room.accuracy.relative,
        expected_end: None,
    })
    .ok()?;
    // A record without noise still comes from an instrument: its limit moves the plateau, and its gain may differ over
    // the rise by as much as it is stated to (a rule of our own), which bends the curve.
    let plateau = widened(rise.end, room.accuracy.limit(rise.end.si));
    let rate = widened(rise.rate, room.accuracy.relative * rise.rate.si);
    let source_m3_s = room.volume_m3.and_then(|v| source(&plateau, &rate, background, v));
    Some(Night {
        trace: room.trace.to_owned(),
        from_ms: rows[0].0,
        to_ms: rows[rows.len() - 1].0,
        told: Told::BuildUp { plateau, rate, source_m3_s, seen: rise.plateau },
    })
}

/// With an instrument's 95 % limit beside the scatter's, in quadrature.
fn widened(found: Estimate, limit: f64) -> Range {
    let own = found.bounds().map_or(0.0, |(lo, hi)| 0.5 * (hi - lo));
    let half = (own * own + limit * limit).sqrt();
    Range { si: found.si, lo: Some(found.si - half), hi: Some(found.si + half) }
}

/// What is given off: `G = V A (c_end - c_out)`. End and rate of one curve err against each other; their product is
/// the slope at the start, which the record tells better than either: the interval is that of the rate alone
/// with the level's, in quadrature, and so rather too wide.
fn source(plateau: &Range, rate: &Range, background: Background, volume_m3: f64) -> Option<Range> {
    let excess = plateau.si - background.value;
    let si = volume_m3 * rate.si * excess;
    let (rate_lo, rate_hi, end_lo, end_hi) = (rate.lo?, rate.hi?, plateau.lo?, plateau.hi?);
    let share = |half: f64, of: f64| (half / of) * (half / of);
    let square = share(0.5 * (rate_hi - rate_lo), rate.si)
        + share(0.5 * (end_hi - end_lo), excess)
        + share(background.half.unwrap_or(0.0), excess)
        + VOLUME_SHARE * VOLUME_SHARE;
    let half = si * square.sqrt();
    (si > 0.0).then_some(Range { si, lo: Some((si - half).max(0.0)), hi: Some(si + half) })
}
