//! Bills against the weather.

use super::{Around, Done};
use engine::diag::{Diagnostic, code};
use engine::doc::Sp;
use engine::doc::field::bills::{Bills, Fuel as Written};
use engine::doc::series::Series;
use engine::procedure::bills::outdoors::{Outdoors, day_of, start_of};
use engine::procedure::bills::{Bills as Found, Fuel, Period, evaluate};
use engine::units::Quantity;
use engine::weather::Weather;

const DAY_S: f64 = 86400.0;

pub(super) fn work(asked: &Bills, around: &Around<'_>) -> Option<Done> {
    let found = found(asked, around)?;
    Some(Done::new(&found, found.worked()))
}

/// The fuels of a house by its bills; nothing where none could be worked.
pub(super) fn found(asked: &Bills, around: &Around<'_>) -> Option<Found> {
    let outdoors = outdoors(asked, around)?;
    let series = match &asked.series {
        Some(name) => Some((name, around.series(name)?)),
        None => None,
    };
    let usual_year_k = around.weather.map(usual_days).unwrap_or_default();
    let beside = |f: &Written| f.rows.as_ref().is_some_and(|r| r.columns.iter().any(|c| c == "outdoor"));
    let usual_weather = matches!(outdoors, Outdoors::Usual(_)) && !asked.fuels.iter().all(beside);
    let mut found = Found { usual_weather, ..Found::default() };
    for fuel in &asked.fuels {
        let periods = match (&fuel.rows, series) {
            (Some(_), _) => of_rows(fuel, &outdoors, around),
            (None, Some((_, series))) => of_series(asked, fuel, series, &outdoors, around),
            // That rows are missing was said when the table was read.
            (None, None) => None,
        };
        let Some(periods) = periods else { continue };
        let worked = evaluate(&Fuel {
            name: fuel.name.value.clone(),
            periods,
            shape: fuel.shape,
            efficiency: fuel.efficiency,
            usual_year_k: usual_year_k.clone(),
        });
        match worked {
            Ok((fuel, said)) => {
                found.fuels.push(fuel);
                said.into_iter().for_each(|d| around.say(d));
            }
            Err(said) => around.say(said.at(fuel.name.span.clone())),
        }
    }
    (!found.fuels.is_empty()).then_some(found)
}

fn outdoors(asked: &Bills, around: &Around<'_>) -> Option<Outdoors> {
    if let Some((file, column)) = &asked.temperatures {
        let series = around.series(file)?;
        let values = around.column(series, column, Quantity::Temperature)?;
        let Some(start) = series.start else {
            around.say(Diagnostic::error(code::B107).at(file.span.clone()));
            return None;
        };
        return Some(Outdoors::of_record(start, &series.time_s, &values));
    }
    let weather = around.weather.filter(|_| asked.outdoor_column.is_none());
    Some(weather.map_or(Outdoors::Unknown, |w| Outdoors::Usual(usual_days(w))))
}

fn usual_days(weather: &Weather) -> Vec<f64> {
    weather.hours.chunks(24).map(|d| d.iter().map(|h| h.temp_k).sum::<f64>() / d.len() as f64).collect()
}

/// Energy of a column: of energy itself, or of volume with its heat content.
fn energy(series: &Series, column: &Sp<String>, fuel: &Written, around: &Around<'_>) -> Option<Vec<f64>> {
    let quiet = engine::doc::Sink::default();
    if let Some(volume) = series.column(&column.value, Quantity::Volume, &quiet) {
        let Some(heat) = fuel.heat_content_j_m3 else {
            around.say(
                Diagnostic::error(code::B106).at(column.span.clone()).arg("fuel", fuel.name.value.as_str()),
            );
            return None;
        };
        return Some(volume.into_iter().map(|v| v * heat).collect());
    }
    around.column(series, column, Quantity::Energy)
}

fn of_series(
    asked: &Bills,
    fuel: &Written,
    series: &Series,
    outdoors: &Outdoors,
    around: &Around<'_>,
) -> Option<Vec<Period>> {
    let column = fuel.column.as_ref().unwrap_or(&fuel.name);
    let used = energy(series, column, fuel, around)?;
    let beside = match &asked.outdoor_column {
        Some(name) => Some(around.column(series, name, Quantity::Temperature)?),
        None => None,
    };
    let estimated = match &asked.estimated_column {
        Some(name) => around.column(series, name, Quantity::Number)?,
        None => Vec::new(),
    };
    let mut periods = Vec::new();
    for (row, used) in used.iter().enumerate() {
        let before = row.checked_sub(1).and_then(|b| series.time_s.get(b)).copied();
        let now = series.time_s.get(row).copied().unwrap_or(0.0);
        // The first read only opens the first period.
        let Some(before) = before else {
            if used.is_finite() {
                periods.push(Period {
                    days: 0.0,
                    energy_j: *used,
                    outdoor_k: Vec::new(),
                    estimated: false,
                    span: Some(column.span.clone()),
                });
            }
            continue;
        };
        let outdoor_k = match &beside {
            Some(list) => list.get(row).copied().into_iter().collect(),
            None => series
                .start
                .map_or_else(Vec::new, |start| outdoors.between(day_of(start, before), day_of(start, now))),
        };
        periods.push(Period {
            days: (now - before) / DAY_S,
            energy_j: *used,
            outdoor_k,
            estimated: estimated.get(row).is_some_and(|e| *e > 0.5),
            span: Some(column.span.clone()),
        });
    }
    Some(periods)
}

fn of_rows(fuel: &Written, outdoors: &Outdoors, around: &Around<'_>) -> Option<Vec<Period>> {
    let rows = fuel.rows.as_ref()?;
    let at = |name: &str| rows.columns.iter().position(|c| c == name);
    let (days, used, volume, outdoor) = (at("days"), at("use"), at("volume"), at("outdoor"));
    if volume.is_some() && used.is_none() && fuel.heat_content_j_m3.is_none() {
        let d = Diagnostic::error(code::B106).at(fuel.name.span.clone());
        around.say(d.arg("fuel", fuel.name.value.as_str()));
        return None;
    }
    let start = match &fuel.start {
        Some(text) => {
            let start = start_of(&text.value);
            if start.is_none() {
                let d = Diagnostic::error(code::T013).at(text.span.clone());
                around.say(d.arg("found", text.value.as_str()));
            }
            start
        }
        None => None,
    };
    if outdoor.is_none() && start.is_none() {
        if fuel.start.is_none() {
            around.say(Diagnostic::error(code::B107).at(fuel.name.span.clone()));
        }
        return None;
    }
    let mut clock_s = 0.0;
    let mut periods = Vec::new();
    for row in &rows.rows {
        let cell = |i: Option<usize>| i.and_then(|i| row.value.get(i)).copied();
        let length_s = cell(days).unwrap_or(f64::NAN);
        let heat = fuel.heat_content_j_m3.unwrap_or(f64::NAN);
        let energy_j = cell(used).or(cell(volume).map(|v| v * heat)).unwrap_or(f64::NAN);
        let outdoor_k = match (cell(outdoor), start) {
            (Some(k), _) => vec![k],
            (None, Some(start)) => {
                outdoors.between(day_of(start, clock_s), day_of(start, clock_s + length_s))
            }
            (None, None) => Vec::new(),
        };
        if length_s.is_finite() {
            clock_s += length_s;
        }
        periods.push(Period {
            days: length_s / DAY_S,
            energy_j,
            outdoor_k,
            estimated: cell(at("estimated")).is_some_and(|e| e > 0.5),
            span: Some(row.span.clone()),
        });
    }
    Some(periods)
}
