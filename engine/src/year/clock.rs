//! The clock on the wall, by which people live, against standard time, in which weather is recorded.

use super::outside::overlap;
use crate::doc::job::SummerTime;

const DAY_S: f64 = 86_400.0;
const YEAR_S: f64 = 365.0 * DAY_S;

/// How far the clock on the wall runs ahead at an instant of standard time, s.
pub(super) fn ahead_s(summer: Option<&SummerTime>, time_s: f64) -> f64 {
    let Some(s) = summer else { return 0.0 };
    let t = time_s.rem_euclid(YEAR_S);
    // South of the equator the new year falls into summer.
    let within = if s.from_s <= s.to_s { s.from_s <= t && t < s.to_s } else { t >= s.from_s || t < s.to_s };
    if within { s.shift_s } else { 0.0 }
}

/// The instant of standard time at which the clock shows `wall_s` of the day that starts at `day_s`. A
/// time that the clock shows twice is its first; one that it leaves out is later by the shift.
pub(super) fn instant_s(summer: &SummerTime, day_s: f64, wall_s: f64) -> f64 {
    let early_s = day_s + wall_s - summer.shift_s;
    if ahead_s(Some(summer), early_s) > 0.0 { early_s } else { day_s + wall_s }
}

/// The part of a step that a daily event takes. It starts by the clock and keeps its length, also over
/// the change of the clock.
pub(super) fn part(
    summer: Option<&SummerTime>,
    (time_s, dt_s): (f64, f64),
    start_s: f64,
    duration_s: f64,
) -> f64 {
    let Some(summer) = summer.filter(|_| duration_s < DAY_S) else {
        return overlap(time_s.rem_euclid(DAY_S), dt_s, start_s, duration_s);
    };
    let today_s = ((time_s + 0.5 * dt_s) / DAY_S).floor() * DAY_S;
    let one = |day: f64| {
        let begins_s = instant_s(summer, today_s + day * DAY_S, start_s);
        ((time_s + dt_s).min(begins_s + duration_s) - time_s.max(begins_s)).max(0.0)
    };
    // Of yesterday past midnight, of today, and of tomorrow while the clock runs ahead.
    ((one(-1.0) + one(0.0) + one(1.0)) / dt_s).min(1.0)
}

/// What a day has of summer time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Season {
    /// None.
    Standard,
    /// All of it, and the days beside it too.
    Summer,
    /// The clock changes on it or on a day beside it.
    Change,
}

/// The season of a day of the year.
pub(super) fn season(summer: Option<&SummerTime>, day: i64) -> Season {
    // An event of yesterday may last into today.
    let at = |off: f64| ahead_s(summer, (day as f64 + off) * DAY_S) > 0.0;
    match (at(-1.0), at(0.0), at(1.0), at(2.0)) {
        (false, false, false, false) => Season::Standard,
        (true, true, true, true) => Season::Summer,
        _ => Season::Change,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const NEW_YORK: SummerTime =
        SummerTime { from_s: 69.0 * DAY_S + 7200.0, to_s: 307.0 * DAY_S + 3600.0, shift_s: 3600.0 };
    const SYDNEY: SummerTime =
        SummerTime { from_s: 279.0 * DAY_S + 7200.0, to_s: 90.0 * DAY_S + 7200.0, shift_s: 3600.0 };

    /// Seconds of an event over some days.
    fn lived(summer: Option<&SummerTime>, days: std::ops::Range<i64>, start_s: f64, duration_s: f64) -> f64 {
        let steps = (days.end - days.start) * 288;
        let at = |k: i64| days.start as f64 * DAY_S + k as f64 * 300.0;
        (0..steps).map(|k| 300.0 * part(summer, (at(k), 300.0), start_s, duration_s)).sum()
    }

    #[test]
    fn a_shower_is_an_hour_earlier_by_standard_time_in_july() {
        let starts = |summer: &SummerTime, day: i64| {
            let at = |k: i64| day as f64 * DAY_S + k as f64 * 300.0;
            (0..288).find(|k| part(Some(summer), (at(*k), 300.0), 6.75 * 3600.0, 600.0) > 0.0).unwrap() as f64
                / 12.0
        };
        assert_eq!((starts(&NEW_YORK, 10), starts(&NEW_YORK, 190)), (6.75, 5.75));
        assert_eq!((starts(&SYDNEY, 10), starts(&SYDNEY, 190)), (5.75, 6.75));
    }

    #[test]
    fn events_keep_their_number_and_length_over_a_change() {
        // In the hour that is left out, in the one that comes twice, over it, and around midnight.
        for start_h in [0.25, 0.75, 1.5, 1.75, 2.5, 6.75, 22.75, 23.5] {
            for summer in [&NEW_YORK, &SYDNEY] {
                let sum = lived(Some(summer), 0..365, start_h * 3600.0, 1800.0);
                assert!((sum - 365.0 * 1800.0).abs() < 1e-5, "{start_h}: {sum}");
            }
        }
        assert!((lived(Some(&NEW_YORK), 68..71, 0.0, DAY_S) - 3.0 * DAY_S).abs() < 1e-6);
    }

    #[test]
    fn days_beside_a_change_know_of_it() {
        let of = |day| season(Some(&NEW_YORK), day);
        assert_eq!(
            (of(10), of(190), of(69), of(307)),
            (Season::Standard, Season::Summer, Season::Change, Season::Change)
        );
        assert_eq!(season(None, 69), Season::Standard);
        assert_eq!(season(Some(&SYDNEY), -3), Season::Summer);
    }
}
