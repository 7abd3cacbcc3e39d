//! Where the time stands in a grid, and how it is written. What the cells do not tell is asked.

use super::super::time::{Clock, FORMS, Form, Since, Written, calendar, ms_of_civil};
use super::grid::{Grid, written};
use super::{Asked, Looked, Question};

/// Where the time stands and how it is written.
pub(super) struct TimeFound {
    pub(super) columns: Vec<usize>,
    pub(super) form: Form,
    pub(super) clock: Option<Clock>,
}

const TIME_WORDS: &[&str] = &[
    "time",
    "date",
    "timestamp",
    "ts",
    "datetime",
    "epoch",
    "unix",
    "elapsed",
    "fecha",
    "hora",
    "seconds",
    "minutes",
    "t",
];

fn time_word(header: &str) -> bool {
    let lower = header.to_lowercase();
    let mut words = lower.split(|c: char| !c.is_alphanumeric());
    words.any(|w| TIME_WORDS.contains(&w)) || lower.contains("timestamp") || lower.ends_with("time")
}

pub(super) fn find_time(grid: &Grid, asked: &Asked<'_>, out: &mut Looked) -> Option<TimeFound> {
    let width = grid.header.len();
    let all = |at: usize, holds: fn(&Written) -> bool| {
        grid.share(at, |c| written(c).is_some_and(|w| holds(&w))) >= 0.6
    };
    let whole: Vec<usize> =
        (0..width).filter(|at| all(*at, |w| w.date.is_some() && w.time.is_some())).collect();
    let dates: Vec<usize> = (0..width).filter(|at| all(*at, |w| w.date.is_some())).collect();
    let clocks: Vec<usize> =
        (0..width).filter(|at| all(*at, |w| w.date.is_none() && w.time.is_some())).collect();
    let utc = |at: &usize| {
        let header = grid.header.get(*at).map_or(String::new(), |h| h.to_lowercase());
        header.contains("utc") || header.contains("gmt") || header.contains("zulu")
    };
    let columns = if let Some(first) = whole.first() {
        if whole.len() > 1 {
            out.reasons.push(("intake-why-time-of-several", vec![("count", whole.len().into())]));
        }
        vec![whole.iter().copied().find(utc).unwrap_or(*first)]
    } else if let (Some(date), Some(clock)) = (dates.first(), clocks.first()) {
        vec![*date, *clock]
    } else if let Some(date) = dates.first() {
        vec![*date]
    } else {
        return numeric_time(grid, asked, out);
    };
    let sample: Vec<Written> =
        grid.rows.iter().filter_map(|r| r.get(columns[0]).and_then(|c| written(c))).collect();
    let second_offset = columns
        .get(1)
        .is_some_and(|at| grid.share(*at, |c| written(c).is_some_and(|w| w.offset_s.is_some())) >= 0.9);
    let told =
        sample.iter().filter(|w| w.offset_s.is_some()).count() * 10 >= sample.len() * 9 || second_offset;
    let form = date_order(grid, columns[0], asked, out);
    let clock = if told {
        out.reasons.push(("intake-why-offset", Vec::new()));
        Some(Clock::Told)
    } else if columns.iter().any(utc) {
        out.reasons.push(("intake-why-utc", Vec::new()));
        Some(Clock::Fixed(0))
    } else {
        None
    };
    Some(TimeFound { columns, form, clock })
}

/// A time as a plain number: since 1970, spreadsheet days, or elapsed.
fn numeric_time(grid: &Grid, asked: &Asked<'_>, out: &mut Looked) -> Option<TimeFound> {
    let values = |at: usize| -> Vec<f64> {
        grid.column(at).filter_map(|c| c.replace(',', ".").parse::<f64>().ok()).collect()
    };
    let rising = |list: &[f64]| {
        list.len() >= 2 && list.windows(2).filter(|w| w[1] >= w[0]).count() * 10 >= (list.len() - 1) * 9
    };
    let mut candidates: Vec<usize> =
        (0..grid.header.len()).filter(|at| time_word(&grid.header[*at])).collect();
    candidates.extend((0..grid.header.len()).filter(|at| !time_word(&grid.header[*at])));
    for at in candidates {
        let list = values(at);
        let Some(first) = list.first().copied().filter(|_| rising(&list) || list.len() == 1) else {
            continue;
        };
        let named = time_word(&grid.header[at]);
        let form = match first {
            f if (5e11..5e12).contains(&f) => Form::EpochMs,
            f if (5e8..5e9).contains(&f) => Form::EpochS,
            f if (30_000.0..70_000.0).contains(&f)
                && named
                && grid.share(at, |c| c.contains(['.', ','])) > 0.0 =>
            {
                Form::Serial
            }
            f if named && (0.0..1e7).contains(&f) => {
                let header = format!("{} {}", grid.header[at], grid.units.get(at).map_or("", String::as_str));
                let lower = header.to_lowercase();
                let words: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).collect();
                let any = |list: &[&str]| words.iter().any(|w| list.contains(w));
                let unit = if any(&["s", "sec", "seconds", "secs"]) {
                    Since::S
                } else if any(&["min", "minutes", "mins"]) {
                    Since::Min
                } else if any(&["h", "hours", "hr", "hrs"]) {
                    Since::H
                } else {
                    continue;
                };
                Form::Elapsed(unit)
            }
            _ => continue,
        };
        let name = FORMS.iter().find(|(_, f)| *f == form).map_or("", |(n, _)| n);
        out.reasons.push(("intake-why-number-time", vec![("form", name.into())]));
        let clock = matches!(form, Form::EpochS | Form::EpochMs).then_some(Clock::Fixed(0));
        if matches!(form, Form::Elapsed(_)) && !asked.answers.contains_key("start") {
            out.questions.push(Question {
                id: "start".to_owned(),
                found: grid.name(at),
                choices: Vec::new(),
            });
        }
        return Some(TimeFound { columns: vec![at], form, clock });
    }
    None
}

fn date_order(grid: &Grid, at: usize, asked: &Asked<'_>, out: &mut Looked) -> Form {
    if let Some(answer) = asked.answers.get("date-order")
        && let Some((_, form)) = FORMS.iter().find(|(n, _)| n == answer)
    {
        return *form;
    }
    let days = |form: Form| -> Option<Vec<i64>> {
        let read = |c: &str| calendar(c, form).and_then(|w| w.date);
        let midnight = |d: jiff::civil::Date| ms_of_civil(d.at(0, 0, 0, 0)) / 86_400_000;
        let all: Vec<i64> = grid.column(at).filter_map(read).map(midnight).collect();
        // Cells that are a time in no order at all are rejected later, in every order.
        let readable = grid.column(at).filter(|c| written(c).is_some()).count();
        (all.len() * 10 >= readable * 9).then_some(all)
    };
    let example = grid.column(at).next().unwrap_or("").to_owned();
    let forms: Vec<(Form, Vec<i64>)> =
        [Form::Ymd, Form::Dmy, Form::Mdy].into_iter().filter_map(|f| days(f).map(|d| (f, d))).collect();
    // The same days either way: the year stands first, or the month by its name.
    let Some((first, read)) = forms.first() else { return Form::Ymd };
    if forms.iter().all(|(_, d)| d == read) {
        return *first;
    }
    let year_last = calendar(&example, Form::Ymd).and_then(|w| w.date).is_none();
    let forms: Vec<&(Form, Vec<i64>)> =
        forms.iter().filter(|(f, _)| !(year_last && *f == Form::Ymd)).collect();
    if let [(form, _)] = forms[..] {
        out.reasons.push(("intake-why-order-only", vec![("example", example.into())]));
        return *form;
    }
    // Days of a record follow each other: an order by which they rise without leaps, if the others leap.
    let rough = |days: &[i64]| {
        days.windows(2).map(|w| if w[1] < w[0] { 1000 } else { (w[1] - w[0]).max(0) }).max().unwrap_or(0)
    };
    let mut by_leap: Vec<(i64, Form)> = forms.iter().map(|(f, d)| (rough(d), *f)).collect();
    by_leap.sort_by_key(|(leap, _)| *leap);
    if let [(a, form), (b, _), ..] = by_leap[..]
        && a <= 2
        && b >= 20
    {
        out.reasons.push(("intake-why-order-rises", vec![("example", example.into())]));
        return form;
    }
    if example.matches('.').count() >= 2
        && !example.contains('/')
        && forms.iter().any(|(f, _)| *f == Form::Dmy)
    {
        out.reasons.push(("intake-why-order-points", Vec::new()));
        return Form::Dmy;
    }
    let choices =
        forms.iter().filter_map(|(f, _)| FORMS.iter().find(|(_, k)| k == f)).map(|(n, _)| (*n).to_owned());
    out.questions.push(Question { id: "date-order".to_owned(), found: example, choices: choices.collect() });
    Form::Ymd
}
