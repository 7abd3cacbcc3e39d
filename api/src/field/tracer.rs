//! Air exchange by tracer: decay, build-up, steady level, two rooms.

use super::record::Rows;
use super::{Around, Done};
use engine::diag::{Diagnostic, code};
use engine::doc::field::decay::Decay;
use engine::doc::field::steady::{BuildUp, Given, Steady};
use engine::doc::field::two_zones::TwoZones;
use engine::measure::student_t_two_sided;
use engine::procedure::field::LEVEL;
use engine::procedure::tracer::steady::Source;
use engine::procedure::tracer::{Background, VolumeM3, decay, rise, search, steady, two_zones};
use engine::units::Quantity as Q;

pub(super) fn decay(asked: &Decay, around: &Around<'_>) -> Option<Done> {
    let rows = around.rows(&asked.record)?;
    let background = around.background(&asked.outdoors);
    if asked.search || rows.gas.len() > 1 {
        return long(asked, &rows, background, around);
    }
    let result = decay::evaluate(&decay::Asked {
        time_s: &rows.time_s,
        gas: rows.gas.first()?,
        background,
        volume_m3: around.volume(&asked.volume),
    });
    match result {
        Ok(result) => {
            around.said_of(&result.said, &asked.record);
            Some(Done::new(&result, result.worked(asked.limit.as_ref())))
        }
        Err(d) => {
            around.said_of(&[d], &asked.record);
            None
        }
    }
}

/// A long record, or several sensors.
fn long(asked: &Decay, rows: &Rows, background: Option<Background>, around: &Around<'_>) -> Option<Done> {
    around.strays(&asked.volumes, &rows.names);
    let alone = rows.names.len() == 1;
    let share = asked.volume.accuracy;
    let volumes: Vec<Option<VolumeM3>> = rows
        .names
        .iter()
        .map(|name| {
            let typed =
                around.volume_of(name, &asked.volumes).map(|v| (v, share.map_or(0.0, |a| a.limit(v))));
            typed.or_else(|| alone.then(|| around.volume(&asked.volume)).flatten())
        })
        .collect();
    let some = volumes.iter().flatten().count();
    if some > 0 && some < volumes.len() {
        let without = rows.names.iter().zip(&volumes).filter(|(_, v)| v.is_none()).map(|(n, _)| n.as_str());
        let of = without.collect::<Vec<&str>>().join(", ");
        around.said_of(&[Diagnostic::warning(code::A109).arg("of", of)], &asked.record);
    }
    let question = search::Asked {
        time_s: &rows.time_s,
        gas: rows.gas.iter().map(Vec::as_slice).collect(),
        volume_m3: volumes.into_iter().collect(),
        background,
    };
    let found = if asked.search { search::search(&question) } else { search::whole(&question) };
    let Some(found) = found else {
        around.said_of(&[Diagnostic::error(code::A115)], &asked.record);
        return None;
    };
    if found.stretches.is_empty() {
        let d = Diagnostic::error(code::A115).arg("looked_at", found.turned_down);
        around.said_of(&[d], &asked.record);
        return None;
    }
    for stretch in &found.stretches {
        around.said_of(&stretch.decay.said, &asked.record);
    }
    let worked = found.worked(&rows.names, |ends| rows.label(ends), asked.limit.as_ref());
    Some(Done::new(&found, worked))
}

/// What gives off gas; nothing where nobody said.
fn source(given: &Given) -> Option<Source> {
    match &given.stated {
        Some(stated) => Some(Source::Stated(stated.value, given.accuracy.map(|a| a.limit(stated.value)))),
        None => (!given.people.is_empty()).then(|| Source::People(given.people.clone())),
    }
}

/// Gas outdoors as read, or what the place says of it.
fn background_or_place(
    asked: &engine::doc::field::record::Outdoors,
    around: &Around<'_>,
) -> Option<Background> {
    let place = || Some(Background { value: around.job.place.outdoor_co2?, half: None });
    around.background(asked).or_else(place)
}

pub(super) fn build_up(asked: &BuildUp, around: &Around<'_>) -> Option<Done> {
    let rows = around.rows(&asked.record)?;
    let sensor = around.instrument(asked.outdoors.gas_with.as_ref(), Q::GasFraction);
    let result = rise::evaluate(&rise::Asked {
        time_s: &rows.time_s,
        gas: rows.gas.first()?,
        background: background_or_place(&asked.outdoors, around),
        source: source(&asked.given),
        temp_k: around.indoor_k(),
        pressure_pa: around.pressure_pa(),
        volume_m3: around.volume(&asked.volume),
        gain_limit: sensor.and_then(|s| s.accuracy).map_or(0.0, |a| a.relative),
        expected_end: None,
    });
    match result {
        Ok(result) => {
            around.said_of(&result.said, &asked.record);
            Some(Done::new(&result, result.worked(asked.limit.as_ref())))
        }
        Err(d) => {
            around.said_of(&[d], &asked.record);
            None
        }
    }
}

pub(super) fn steady(asked: &Steady, around: &Around<'_>) -> Option<Done> {
    let span = &asked.record.span;
    let mut steady_for_s = asked.steady_for_s;
    let readings: Vec<f64> = match (&asked.level, &asked.readings) {
        (Some(level), _) => vec![level.value],
        (None, Some(list)) => list.value.clone(),
        (None, None) => {
            let rows = around.rows(&asked.record)?;
            let length_s = rows.time_s.last().zip(rows.time_s.first()).map(|(last, first)| last - first);
            steady_for_s = steady_for_s.or(length_s);
            rows.gas.first()?.iter().copied().filter(|g| g.is_finite()).collect()
        }
    };
    let n = readings.len() as f64;
    let level = readings.iter().sum::<f64>() / n;
    let scatter = (readings.len() > 1).then(|| {
        let variance = readings.iter().map(|r| (r - level) * (r - level)).sum::<f64>() / (n - 1.0);
        student_t_two_sided(LEVEL, n - 1.0) * (variance / n).sqrt()
    });
    let Some(background) = background_or_place(&asked.outdoors, around) else {
        around.say(Diagnostic::error(code::A112).at(span.clone()));
        return None;
    };
    let Some(source) = source(&asked.given) else {
        around.say(Diagnostic::error(code::A108).at(span.clone()));
        return None;
    };
    let outdoors = &asked.outdoors;
    let sensor = around.instrument(outdoors.gas_with.as_ref(), Q::GasFraction);
    let same = outdoors.with.is_some()
        && outdoors.with.as_ref().map(|w| &w.value) == outdoors.gas_with.as_ref().map(|w| &w.value);
    let half = sensor.and_then(|s| Some((s, s.accuracy?))).map(|(s, accuracy)| {
        // Zeroed outdoors, only the gain is left, on the excess.
        let own =
            if same { accuracy.relative * (level - background.value).abs() } else { accuracy.limit(level) };
        let parts = [own, 0.5 * s.resolution, scatter.unwrap_or(0.0)];
        parts.iter().map(|p| p * p).sum::<f64>().sqrt()
    });
    let result = steady::evaluate(&steady::Asked {
        level: (level, half),
        background,
        source,
        temp_k: around.indoor_k(),
        pressure_pa: around.pressure_pa(),
        volume_m3: around.volume(&asked.volume),
        steady_for_s,
    });
    match result {
        Ok(result) => Some(Done::new(&result, result.worked(asked.limit.as_ref()))),
        Err(d) => {
            around.say(d.at(span.clone()));
            None
        }
    }
}

pub(super) fn two_zones(asked: &TwoZones, around: &Around<'_>) -> Option<Done> {
    let rows = around.rows(&asked.record)?;
    let span = &asked.record.span;
    let ([first, second], [one, two]) = (rows.gas.as_slice(), rows.names.as_slice()) else {
        around.say(Diagnostic::error(code::A117).at(span.clone()).arg("found", rows.names.len()));
        return None;
    };
    around.strays(&asked.volumes, &rows.names);
    around.strays(&asked.given, &rows.names);
    let volume = |name: &String| {
        let found = around.volume_of(name, &asked.volumes);
        if found.is_none() {
            around.say(Diagnostic::error(code::A109).at(span.clone()).arg("of", name.as_str()));
        }
        found.map(|v| (v, asked.volume_accuracy.map_or(0.0, |a| a.limit(v))))
    };
    let volume_m3 = [volume(one), volume(two)];
    let Some(background) = background_or_place(&asked.outdoors, around) else {
        around.say(Diagnostic::error(code::A112).at(span.clone()));
        return None;
    };
    let given = |name: &String| asked.given.iter().find(|g| g.0.value == *name).map_or(0.0, |g| g.1);
    let result = two_zones::evaluate(&two_zones::Asked {
        time_s: &rows.time_s,
        gas: [first, second],
        background,
        volume_m3: [volume_m3[0]?, volume_m3[1]?],
        source_m3_s: [given(one), given(two)],
        between: asked.between,
    });
    match result {
        Ok(result) => Some(Done::new(&result, result.worked([one, two]))),
        Err(d) => {
            around.say(d.at(span.clone()));
            None
        }
    }
}
