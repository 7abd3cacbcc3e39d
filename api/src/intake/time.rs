//! Times as devices write them, to milliseconds UTC.

use jiff::civil::{Date, DateTime, Time};
use jiff::tz::{AmbiguousOffset, Offset, TimeZone, TimeZoneDatabase};

/// How a time is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Year, month, day (ISO and its relatives).
    Ymd,
    /// Day before month.
    Dmy,
    /// Month before day.
    Mdy,
    /// Seconds since 1970 UTC.
    EpochS,
    /// Milliseconds since 1970 UTC.
    EpochMs,
    /// Days since the end of 1899, as spreadsheets count.
    Serial,
    /// Seconds, minutes, hours since a start that the mapping tells.
    Elapsed(Since),
}

/// Unit of an elapsed time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Since {
    /// Seconds.
    S,
    /// Minutes.
    Min,
    /// Hours.
    H,
}

/// The words of a mapping for [`Form`].
pub const FORMS: &[(&str, Form)] = &[
    ("y-m-d", Form::Ymd),
    ("d/m/y", Form::Dmy),
    ("m/d/y", Form::Mdy),
    ("epoch s", Form::EpochS),
    ("epoch ms", Form::EpochMs),
    ("spreadsheet days", Form::Serial),
    ("elapsed s", Form::Elapsed(Since::S)),
    ("elapsed min", Form::Elapsed(Since::Min)),
    ("elapsed h", Form::Elapsed(Since::H)),
];

/// Which clock the device keeps.
#[derive(Clone, Debug, PartialEq)]
pub enum Clock {
    /// The clock of a time zone, summer time included.
    Zone(String, TimeZone),
    /// A fixed offset from UTC, s; UTC itself is 0.
    Fixed(i32),
    /// The offset stands in each text.
    Told,
}

impl Clock {
    /// Reads `UTC`, `UTC-05:00`, `in the text`, or the name of a time zone.
    pub fn read(text: &str) -> Option<Clock> {
        match text {
            "in the text" => Some(Clock::Told),
            "UTC" => Some(Clock::Fixed(0)),
            _ if text.starts_with("UTC") => offset(text.get(3..)?).map(Clock::Fixed),
            _ => TimeZoneDatabase::bundled().get(text).ok().map(|tz| Clock::Zone(text.to_owned(), tz)),
        }
    }

    /// As a mapping writes it.
    pub fn write(&self) -> String {
        match self {
            Clock::Told => "in the text".to_owned(),
            Clock::Fixed(0) => "UTC".to_owned(),
            Clock::Fixed(s) => {
                let sign = if *s < 0 { '-' } else { '+' };
                format!("UTC{sign}{:02}:{:02}", s.abs() / 3600, s.abs() / 60 % 60)
            }
            Clock::Zone(name, _) => name.clone(),
        }
    }

    /// Offset from UTC at a moment, s.
    pub fn offset_s(&self, time_ms: i64) -> i32 {
        match self {
            Clock::Zone(_, tz) => {
                jiff::Timestamp::from_millisecond(time_ms).map_or(0, |t| tz.to_offset(t).seconds())
            }
            Clock::Fixed(s) => *s,
            Clock::Told => 0,
        }
    }
}

/// Why a time is none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoTime {
    /// Not written in the form of the mapping.
    Unreadable,
    /// A local time that the clock of the zone passed over.
    Skipped,
    /// The offset was to stand in the text and does not.
    NoOffset,
}

/// A date and time as written, with the offset where it stands there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Written {
    /// Date, or nothing where only a time stands there.
    pub date: Option<Date>,
    /// Time of day, or nothing where only a date stands there.
    pub time: Option<Time>,
    /// Offset from UTC, s.
    pub offset_s: Option<i32>,
}

const MONTHS: &[&str] = &["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
/// Those of Spanish that differ.
const MESES: &[(&str, i8)] = &[("ene", 1), ("abr", 4), ("ago", 8), ("set", 9), ("dic", 12)];

fn month(word: &str) -> Option<i8> {
    let short: String = word.chars().take(3).flat_map(char::to_lowercase).collect();
    let english = MONTHS.iter().position(|m| *m == short).and_then(|i| i8::try_from(i + 1).ok());
    english.or_else(|| MESES.iter().find(|(m, _)| *m == short).map(|(_, n)| *n))
}

/// `+05:00`, `-0500`, `+5`, `Z`.
fn offset(text: &str) -> Option<i32> {
    let text = text.trim();
    if matches!(text, "Z" | "z" | "UTC" | "GMT") {
        return Some(0);
    }
    let sign = match text.chars().next()? {
        '+' => 1,
        '-' | '\u{2212}' => -1,
        _ => return None,
    };
    let digits: String = text.chars().skip(1).filter(|c| *c != ':').collect();
    if digits.is_empty() || digits.len() > 4 || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let number: i32 = digits.parse().ok()?;
    let (h, min) = if digits.len() <= 2 { (number, 0) } else { (number / 100, number % 100) };
    (h <= 15 && min < 60).then_some(sign * (h * 3600 + min * 60))
}

/// Reads a date, a time, or both. `form` is one of the three orders; a year that is written first
/// counts as first in every one.
pub fn calendar(text: &str, form: Form) -> Option<Written> {
    if text.len() > 64 {
        return None;
    }
    let bytes = text.as_bytes();
    let mut at = 0;
    let mut parts: [(i64, usize); 3] = [(0, 0); 3];
    let mut named: Option<(usize, i8)> = None;
    let mut n = 0;
    let digits = |from: usize| bytes.iter().skip(from).take_while(|b| b.is_ascii_digit()).count();
    let word = |from: usize| bytes.iter().skip(from).take_while(|b| b.is_ascii_alphabetic()).count();
    let number = |from: usize, len: usize| -> Option<i64> {
        (len <= 18).then(|| text.get(from..from + len)?.parse().ok()).flatten()
    };
    // A time alone has a colon after its first number.
    let first = digits(0);
    let alone = first > 0 && first <= 2 && bytes.get(first) == Some(&b':');
    while n < 3 && at < bytes.len() && !alone {
        let len = digits(at);
        if len > 0 {
            if n == 0 && len >= 8 {
                // 20261112, perhaps with 220530 right behind.
                let value = number(at, 8)?;
                parts = [(value / 10_000, 4), (value / 100 % 100, 2), (value % 100, 2)];
                at += 8;
                n = 3;
                break;
            }
            parts[n] = (number(at, len)?, len);
            n += 1;
            at += len;
        } else {
            let len = word(at);
            if len == 0 {
                return None;
            }
            let found = month(text.get(at..at + len)?);
            match found {
                Some(m) if len >= 3 && named.is_none() => {
                    named = Some((n, m));
                    n += 1;
                }
                // The name of a day.
                _ if n == 0 && len >= 2 => {}
                _ => return None,
            }
            at += len;
        }
        if n < 3 {
            let gap = bytes.iter().skip(at).take_while(|b| b"-/., ".contains(b)).count();
            if gap == 0 {
                return None;
            }
            at += gap;
        }
    }
    let date = match n {
        0 if alone => None,
        3 => Some(date_of(parts, named, form)?),
        _ => return None,
    };
    let mut rest = text.get(at..)?;
    if date.is_some() {
        rest = rest.trim_start_matches([' ', ',', '.']);
        rest = rest.strip_prefix(['T', 't', '_']).unwrap_or(rest);
        if rest.is_empty() {
            return Some(Written { date, time: None, offset_s: None });
        }
    }
    let (time, offset_s) = time_of_day(rest)?;
    Some(Written { date, time: Some(time), offset_s })
}

fn date_of(parts: [(i64, usize); 3], named: Option<(usize, i8)>, form: Form) -> Option<Date> {
    let (y, m, d) = match named {
        Some((at, m)) => {
            let mut others = (0..3).filter(|i| *i != at).map(|i| parts[i]);
            let (a, b) = (others.next()?, others.next()?);
            if a.1 == 4 { (a, (i64::from(m), 2), b) } else { (b, (i64::from(m), 2), a) }
        }
        None if parts[0].1 == 4 || form == Form::Ymd => (parts[0], parts[1], parts[2]),
        None if form == Form::Dmy => (parts[2], parts[1], parts[0]),
        None => (parts[2], parts[0], parts[1]),
    };
    let year = match y.1 {
        4 => y.0,
        // Loggers are younger than 1970 and this program older than 2069.
        2 => y.0 + if y.0 < 70 { 2000 } else { 1900 },
        _ => return None,
    };
    if m.1 > 2 || d.1 > 2 {
        return None;
    }
    Date::new(i16::try_from(year).ok()?, i8::try_from(m.0).ok()?, i8::try_from(d.0).ok()?).ok()
}

/// `22:05`, `22:05:30.250`, `10:05 pm`, `22.05.30`, `220530`, with an offset behind.
fn time_of_day(text: &str) -> Option<(Time, Option<i32>)> {
    let bytes = text.as_bytes();
    let digits = |from: usize| bytes.iter().skip(from).take_while(|b| b.is_ascii_digit()).count();
    let number = |from: usize, len: usize| -> Option<i64> {
        (1..=9).contains(&len).then(|| text.get(from..from + len)?.parse().ok()).flatten()
    };
    let first = digits(0);
    let (mut h, min, mut s, mut at);
    if first == 6 || first == 4 {
        let value = number(0, first)?;
        let value = if first == 4 { value * 100 } else { value };
        (h, min, s, at) = (value / 10_000, value / 100 % 100, value % 100, first);
    } else {
        h = number(0, first.min(3))?;
        if first > 2 || !matches!(bytes.get(first), Some(b':' | b'.' | b'h')) {
            return None;
        }
        at = first + 1;
        let len = digits(at);
        min = number(at, len)?;
        if len != 2 {
            return None;
        }
        at += len;
        s = 0;
        if matches!(bytes.get(at), Some(b':' | b'.')) {
            let len = digits(at + 1);
            if len != 2 {
                return None;
            }
            s = number(at + 1, len)?;
            at += 1 + len;
        }
    }
    let mut ns = 0;
    if matches!(bytes.get(at), Some(b'.' | b',')) {
        let len = digits(at + 1);
        let keep = len.min(9);
        ns = number(at + 1, keep)? * 10_i64.pow(u32::try_from(9 - keep).ok()?);
        at += 1 + len;
    }
    let mut rest = text.get(at..)?.trim();
    let lower: String = rest
        .chars()
        .take(5)
        .filter(|c| !matches!(c, '.' | ' ' | '\u{a0}'))
        .flat_map(char::to_lowercase)
        .collect();
    let half = if lower.starts_with("am") {
        Some(0)
    } else if lower.starts_with("pm") {
        Some(12)
    } else {
        None
    };
    if let Some(half) = half {
        if !(1..=12).contains(&h) {
            return None;
        }
        h = h % 12 + half;
        let upto = rest.find(['m', 'M']).map(|i| i + 1)?;
        rest = rest.get(upto..)?.trim_start_matches('.').trim();
    }
    let offset_s = if rest.is_empty() {
        None
    } else {
        let rest = rest.strip_prefix("UTC").filter(|r| !r.is_empty()).unwrap_or(rest);
        // The name of a zone in brackets behind the offset says nothing new.
        Some(offset(rest.split(['[', '(']).next().unwrap_or(rest))?)
    };
    if h == 24 && min == 0 && s == 0 {
        return None;
    }
    let time = Time::new(
        i8::try_from(h).ok()?,
        i8::try_from(min).ok()?,
        i8::try_from(s.min(59)).ok().filter(|_| s <= 60)?,
        i32::try_from(ns).ok()?,
    );
    Some((time.ok()?, offset_s))
}

/// Turns the cells of one row into a time; remembers what makes it quick and what tells the two
/// passes of an hour at the end of summer time apart.
#[derive(Clone, Debug)]
pub struct Reader {
    form: Form,
    clock: Clock,
    start_ms: i64,
    last_ms: Option<i64>,
    /// Quarter of an hour of the local clock and its offset, where there is but one.
    known: Option<(i64, i32)>,
}

impl Reader {
    /// A reader. `start_ms` is where elapsed times count from.
    pub fn new(form: Form, clock: Clock, start_ms: i64) -> Reader {
        Reader { form, clock, start_ms, last_ms: None, known: None }
    }

    /// The time of a row: one text, or a date and a time of day in two.
    ///
    /// # Errors
    /// [`NoTime`].
    pub fn read(&mut self, text: &str, second: Option<&str>) -> Result<i64, NoTime> {
        let ms = match self.form {
            Form::EpochS => plain(text, 1000.0)?,
            Form::EpochMs => plain(text, 1.0)?,
            Form::Elapsed(unit) => {
                let factor = match unit {
                    Since::S => 1e3,
                    Since::Min => 60e3,
                    Since::H => 3600e3,
                };
                self.start_ms.checked_add(plain(text, factor)?).ok_or(NoTime::Unreadable)?
            }
            Form::Serial => {
                // Day 25569 is 1970-01-01. Seconds are what such a number can hold.
                let days: f64 = text.replace(',', ".").parse().map_err(|_| NoTime::Unreadable)?;
                if !(20_000.0..80_000.0).contains(&days) {
                    return Err(NoTime::Unreadable);
                }
                let s = ((days - 25_569.0) * 86_400.0).round() as i64;
                let local = civil_of_s(s).ok_or(NoTime::Unreadable)?;
                self.local(local, None)?
            }
            Form::Ymd | Form::Dmy | Form::Mdy => {
                let written = calendar(text, self.form).ok_or(NoTime::Unreadable)?;
                let date = written.date.ok_or(NoTime::Unreadable)?;
                let (time, offset_s) = match second {
                    Some(second) => {
                        let of_day = calendar(second, self.form).ok_or(NoTime::Unreadable)?;
                        (of_day.time.ok_or(NoTime::Unreadable)?, of_day.offset_s)
                    }
                    None => (written.time.unwrap_or(Time::midnight()), written.offset_s),
                };
                self.local(date.to_datetime(time), offset_s)?
            }
        };
        self.last_ms = Some(ms);
        Ok(ms)
    }

    fn local(&mut self, civil: DateTime, offset_s: Option<i32>) -> Result<i64, NoTime> {
        let local_ms = ms_of_civil(civil);
        // An offset that stands in the text always counts.
        if let Some(s) = offset_s {
            return Ok(local_ms - i64::from(s) * 1000);
        }
        match &self.clock {
            Clock::Told => Err(NoTime::NoOffset),
            Clock::Fixed(s) => Ok(local_ms - i64::from(*s) * 1000),
            Clock::Zone(_, tz) => {
                let quarter = local_ms.div_euclid(900_000);
                if let Some((known, s)) = self.known
                    && known == quarter
                {
                    return Ok(local_ms - i64::from(s) * 1000);
                }
                let ms = |o: Offset| local_ms - i64::from(o.seconds()) * 1000;
                match tz.to_ambiguous_timestamp(civil).offset() {
                    AmbiguousOffset::Unambiguous { offset } => {
                        self.known = Some((quarter, offset.seconds()));
                        Ok(ms(offset))
                    }
                    AmbiguousOffset::Gap { .. } => Err(NoTime::Skipped),
                    AmbiguousOffset::Fold { before, after } => {
                        // The hour comes twice; the second time once the rows have passed the first.
                        let first = ms(before);
                        let passed = self.last_ms.is_some_and(|last| last >= first);
                        Ok(if passed { ms(after) } else { first })
                    }
                }
            }
        }
    }
}

fn plain(text: &str, factor: f64) -> Result<i64, NoTime> {
    let value: f64 = text.replace(',', ".").parse().map_err(|_| NoTime::Unreadable)?;
    let ms = value * factor;
    // Some 3 million years either way is what a time can be at all here.
    if ms.is_finite() && ms.abs() < 1e14 { Ok(ms.round() as i64) } else { Err(NoTime::Unreadable) }
}

/// Milliseconds of a local time as though it were UTC.
pub(crate) fn ms_of_civil(civil: DateTime) -> i64 {
    let days = civil.date().duration_since(jiff::civil::date(1970, 1, 1)).as_secs();
    let t = civil.time();
    let s = i64::from(t.hour()) * 3600 + i64::from(t.minute()) * 60 + i64::from(t.second());
    (days + s) * 1000 + i64::from(t.subsec_nanosecond() / 1_000_000)
}

fn civil_of_s(s: i64) -> Option<DateTime> {
    let t = jiff::Timestamp::from_second(s).ok()?;
    Some(Offset::UTC.to_datetime(t))
}

/// A moment on a clock with a fixed offset, as series write it: `2026-11-12 22:05:30`, with the
/// fraction where there is one.
pub fn stamp(time_ms: i64, offset_s: i32, out: &mut String) {
    use std::fmt::Write;
    let local = time_ms.saturating_add(i64::from(offset_s) * 1000);
    let Ok(t) = jiff::Timestamp::from_millisecond(local) else { return };
    let c = Offset::UTC.to_datetime(t);
    let written = write!(
        out,
        "{:04}-{:02}-{:02} {:02}:{:02}:{:02}",
        c.year(),
        c.month(),
        c.day(),
        c.hour(),
        c.minute(),
        c.second()
    );
    let ms = local.rem_euclid(1000);
    if written.is_ok() && ms != 0 {
        // Writing to a text cannot fail.
        if write!(out, ".{ms:03}").is_err() {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn utc(text: &str, form: Form) -> Option<String> {
        let ms = Reader::new(form, Clock::Fixed(0), 0).read(text, None).ok()?;
        let mut out = String::new();
        stamp(ms, 0, &mut out);
        Some(out)
    }

    #[test]
    fn dates_of_many_devices() {
        let cases = [
            ("2026-11-12 22:05:30", Form::Ymd, "2026-11-12 22:05:30"),
            ("2026-11-12T22:05:30.250Z", Form::Ymd, "2026-11-12 22:05:30.250"),
            ("2026-11-12T22:05:30-05:00", Form::Ymd, "2026-11-13 03:05:30"),
            ("20261112T220530", Form::Ymd, "2026-11-12 22:05:30"),
            ("2026/11/12 22:05", Form::Dmy, "2026-11-12 22:05:00"),
            ("12.11.2026 22:05:30", Form::Dmy, "2026-11-12 22:05:30"),
            ("12/11/26 10:05 PM", Form::Dmy, "2026-11-12 22:05:00"),
            ("11/12/2026 12:05:30 a.m.", Form::Mdy, "2026-11-12 00:05:30"),
            ("11/12/2026, 12:05:30 p. m.", Form::Mdy, "2026-11-12 12:05:30"),
            ("Thu, 12 Nov 2026 22:05:30 GMT", Form::Dmy, "2026-11-12 22:05:30"),
            ("12-nov-2026 22:05", Form::Ymd, "2026-11-12 22:05:00"),
            ("Nov 12, 2026 10:05:30 PM", Form::Mdy, "2026-11-12 22:05:30"),
            ("12 ago 2026 7:05", Form::Dmy, "2026-08-12 07:05:00"),
            ("1794521130", Form::EpochS, "2026-11-12 22:05:30"),
            ("1794521130250", Form::EpochMs, "2026-11-12 22:05:30.250"),
            ("46338.92049", Form::Serial, "2026-11-12 22:05:30"),
        ];
        for (text, form, wanted) in cases {
            assert_eq!(utc(text, form).as_deref(), Some(wanted), "{text}");
        }
        for bad in
            ["", "12", "31/02/2026 10:00", "2026-11-12 25:00", "13/13/2026 1:00", "x", "2026-11-12 13:00 pm"]
        {
            assert_eq!(utc(bad, Form::Dmy), None, "{bad}");
        }
    }

    #[test]
    fn the_hour_that_comes_twice_and_the_one_that_does_not() {
        let clock = Clock::read("America/New_York").unwrap();
        let mut reader = Reader::new(Form::Ymd, clock, 0);
        let mut at = |text: &str| reader.read(text, None);
        let first = at("2026-11-01 01:30:00").unwrap();
        let last = at("2026-11-01 01:59:00").unwrap();
        let again = at("2026-11-01 01:00:00").unwrap();
        assert_eq!((last - first, again - last), (29 * 60_000, 60_000));
        assert_eq!(at("2026-11-01 01:30:00").unwrap() - first, 3_600_000);
        assert_eq!(at("2026-03-08 02:30:00"), Err(NoTime::Skipped));
    }

    #[test]
    fn clocks_are_read_as_they_are_written() {
        for text in ["UTC", "UTC-05:00", "UTC+05:30", "in the text", "Europe/Madrid"] {
            assert_eq!(Clock::read(text).unwrap().write(), text);
        }
        assert!(Clock::read("Mars/Olympus").is_none() && Clock::read("UTC+99").is_none());
        let told = Reader::new(Form::Ymd, Clock::Told, 0).read("2026-01-01 00:00", None);
        assert_eq!(told, Err(NoTime::NoOffset));
        let two = Reader::new(Form::Dmy, Clock::Fixed(0), 0).read("01/02/2026", Some("00:30"));
        assert_eq!(two, Ok(1_769_905_800_000));
    }
}
