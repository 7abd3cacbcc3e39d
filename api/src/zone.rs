//! When the clocks of a time zone change. The rules are data that come with the program.

use engine::diag::{Diagnostic, code};
use engine::doc::job::SummerTime;
use engine::doc::{Sink, Sp};
use engine::text::closest;
use jiff::tz::{TimeZone, TimeZoneDatabase};
use jiff::{Timestamp, civil};

/// The year whose rules stand for every year of weather. It has 365 days, begins on a Monday, and its
/// second Sunday of March and first of November lie in the middle of the days they can fall on.
const RULE_YEAR: i16 = 2029;

/// What a zone's rules say; nothing where its clock never changes. An unknown name is an error.
pub(crate) fn summer(name: &Sp<String>, sink: &Sink) -> Option<SummerTime> {
    let known = TimeZoneDatabase::bundled();
    match known.get(&name.value) {
        Ok(zone) => of_zone(&zone),
        Err(_) => {
            let names: Vec<String> = known.available().map(|n| n.to_string()).collect();
            let near = closest(&name.value, names.iter().map(String::as_str));
            sink.borrow_mut().push(
                Diagnostic::error(code::J106)
                    .at(name.span.clone())
                    .arg("name", name.value.as_str())
                    .arg("near", near.unwrap_or("")),
            );
            None
        }
    }
}

/// A zone by its name, where the data base knows it.
pub(crate) fn known(name: &Sp<String>) -> Option<TimeZone> {
    TimeZoneDatabase::bundled().get(&name.value).ok()
}

/// Hours by which a zone's standard time is ahead of UTC.
pub(crate) fn standard_h(zone: &TimeZone) -> Option<f64> {
    let at = |month| TimeZone::UTC.to_timestamp(civil::date(RULE_YEAR, month, 1).at(0, 0, 0, 0)).ok();
    let offset = |t| f64::from(zone.to_offset(t).seconds()) / 3600.0;
    Some(offset(at(1)?).min(offset(at(7)?)))
}

/// Says it where the hours of the weather are not those of the zone: people would cook and sleep in another
/// part of the day than that of its sun. An hour is the step between neighbours and passes.
pub(crate) fn check_weather(name: &Sp<String>, weather_h: f64, sink: &Sink) {
    let Some(zone_h) = known(name).and_then(|z| standard_h(&z)) else { return };
    if (zone_h - weather_h).abs() > 1.0 + 1e-9 {
        sink.borrow_mut().push(
            Diagnostic::warning(code::R147)
                .at(name.span.clone())
                .arg("zone", name.value.as_str())
                .arg("of_zone", zone_h)
                .arg("of_weather", weather_h),
        );
    }
}

/// Standard time is the least offset of the year: that of winter, also where the law calls summer's so.
fn of_zone(zone: &TimeZone) -> Option<SummerTime> {
    let start = |year| TimeZone::UTC.to_timestamp(civil::date(year, 1, 1).at(0, 0, 0, 0)).ok();
    let (first, end) = (start(RULE_YEAR)?, start(RULE_YEAR + 1)?);
    let mut was_s = zone.to_offset(first).seconds();
    let mut changes: Vec<(Timestamp, i32, i32)> = Vec::new();
    for change in zone.following(first).take_while(|t| t.timestamp() < end) {
        let now_s = change.offset().seconds();
        if now_s != was_s {
            changes.push((change.timestamp(), was_s, now_s));
        }
        was_s = now_s;
    }
    // Once ahead and once back; a clock that changes for good has no summer time.
    let [a, b] = changes[..] else { return None };
    let (ahead, back) = if a.2 > a.1 { (a, b) } else { (b, a) };
    if (ahead.1, ahead.2) != (back.2, back.1) {
        return None;
    }
    let standard_s = f64::from(ahead.1);
    let in_year_s = |t: Timestamp| t.duration_since(first).as_secs_f64() + standard_s;
    Some(SummerTime {
        from_s: in_year_s(ahead.0),
        to_s: in_year_s(back.0),
        shift_s: f64::from(ahead.2 - ahead.1),
    })
}

#[cfg(test)]
mod tests {
    use super::summer;
    use engine::diag::Span;
    use engine::doc::{Sink, Sp};

    fn of(name: &str) -> (Option<(f64, f64, f64)>, Vec<String>) {
        let sink = Sink::default();
        let name = Sp { value: name.to_owned(), span: Span::new("job.toml", 3..7) };
        let found = summer(&name, &sink).map(|s| (s.from_s / 3600.0, s.to_s / 3600.0, s.shift_s / 3600.0));
        let said = sink.into_inner().list.iter().map(|d| format!("{} {:?}", d.code.0, d.args)).collect();
        (found, said)
    }

    /// Dates of 2029 by the rules in force (15 USC 260a; Directive 2000/84/EC; Standard Time Act 1987 of
    /// New South Wales; from memory), days counted from 0.
    #[test]
    fn the_clocks_of_known_places() {
        // Second Sunday of March, the 11th, and first of November, the 4th, at 2 o'clock of the wall.
        assert_eq!(of("America/New_York").0, Some((69.0 * 24.0 + 2.0, 307.0 * 24.0 + 1.0, 1.0)));
        // Last Sundays of March, the 25th, and October, the 28th, at 1 o'clock UTC.
        let berlin = Some((83.0 * 24.0 + 2.0, 300.0 * 24.0 + 2.0, 1.0));
        assert_eq!(of("Europe/Berlin").0, berlin);
        assert_eq!(of("Europe/Dublin").0, berlin.map(|b| (b.0 - 1.0, b.1 - 1.0, 1.0)));
        // First Sundays of October, the 7th, and April, the 1st, at 2 o'clock of standard time.
        assert_eq!(of("Australia/Sydney").0, Some((279.0 * 24.0 + 2.0, 90.0 * 24.0 + 2.0, 1.0)));
        assert_eq!(of("Australia/Lord_Howe").0.map(|s| s.2), Some(0.5));
        for steady in ["America/Phoenix", "Asia/Tokyo", "UTC"] {
            assert_eq!(of(steady), (None, Vec::new()), "{steady}");
        }
    }

    #[test]
    fn weather_of_another_part_of_the_world_is_said() {
        let said = |name: &str, weather_h: f64| {
            let sink = Sink::default();
            let name = Sp { value: name.to_owned(), span: Span::new("job.toml", 3..7) };
            super::check_weather(&name, weather_h, &sink);
            sink.into_inner().list.iter().map(|d| d.code.0).collect::<Vec<_>>()
        };
        assert_eq!(said("America/New_York", -5.0), Vec::<&str>::new());
        // Sydney's summer is in January: its standard time is ten hours ahead.
        assert_eq!(said("Australia/Sydney", 10.0), Vec::<&str>::new());
        assert_eq!(said("America/New_York", -6.0), Vec::<&str>::new());
        assert_eq!(said("America/New_York", -8.0), ["R147"]);
        assert_eq!(said("America/New_York", 0.0), ["R147"]);
    }

    #[test]
    fn an_unknown_name_is_met_by_the_nearest() {
        let (found, said) = of("America/New_Yrok");
        assert!(found.is_none() && said.len() == 1);
        assert!(said[0].starts_with("J106") && said[0].contains("America/New_York"), "{said:?}");
    }
}
