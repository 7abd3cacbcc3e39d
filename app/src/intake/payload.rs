//! Messages of other shapes than plain JSON, read by the parsers of `api::intake`.

use super::Trouble;
use super::map::{Sent, time_ms};
use super::path::Path;
use api::intake::message::{Channels, Row};
use api::intake::reject::Rejects;
use api::intake::{bthome as bt, senml as sm};
use engine::doc::watch::Source;
use serde_json::Value;

/// Most rows of one message.
const MOST_ROWS: usize = 5000;

fn text(body: &[u8]) -> Result<&str, Trouble> {
    std::str::from_utf8(body).map_err(|_| Trouble::Malformed)
}

/// The rows of the source's own channel; each has the time that `timed` makes of it.
fn own(
    source: &Source,
    channels: &Channels,
    rows: &[Row],
    rejects: &Rejects,
    timed: impl Fn(i64) -> Option<i64>,
) -> Result<Vec<Sent>, Trouble> {
    let name = source.value.as_ref().map_or("", |v| v.value.as_str());
    let mine = |r: &&Row| channels.list.get(r.channel).is_some_and(|c| c.name == name);
    let mine: Vec<&Row> = rows.iter().filter(mine).take(MOST_ROWS).collect();
    if mine.is_empty() {
        return Err(if rejects.total() > 0 { Trouble::Malformed } else { Trouble::NoValue });
    }
    let fits = |r: &&Row| channels.list.get(r.channel).is_some_and(|c| c.quantity == source.quantity);
    // A temperature where the document says CO2 is no reading of this source.
    if !mine.iter().all(fits) {
        return Err(Trouble::Malformed);
    }
    Ok(mine.into_iter().map(|r| (r.value, timed(r.time_ms))).collect())
}

/// A SenML pack.
pub(super) fn senml(source: &Source, body: &[u8], at_ms: i64) -> Result<Vec<Sent>, Trouble> {
    let (mut channels, mut rejects) = (Channels::default(), Rejects::default());
    let rows = sm::rows(text(body)?, at_ms, 0, &mut channels, &mut rejects);
    // A record without a time is of now (RFC 8428, 4.5.3), which is when it arrived.
    own(source, &channels, &rows, &rejects, |t| (t != at_ms).then_some(t))
}

/// A BTHome payload in hexadecimal digits, alone or within a JSON message.
pub(super) fn bthome(
    source: &Source,
    inside: Option<&Path>,
    body: &[u8],
    at_ms: i64,
) -> Result<Vec<Sent>, Trouble> {
    let (mut channels, mut rejects) = (Channels::default(), Rejects::default());
    let text = text(body)?;
    let message: Value;
    let hex = match inside {
        None => text.trim().trim_matches('"'),
        Some(path) => {
            message = serde_json::from_str(text).map_err(|_| Trouble::Malformed)?;
            path.find(&message).and_then(Value::as_str).ok_or(Trouble::NoValue)?
        }
    };
    let rows = bt::rows(hex, "", at_ms, 0, &mut channels, &mut rejects);
    own(source, &channels, &rows, &rejects, |t| (t != at_ms).then_some(t))
}

/// Comma-separated text with a header (or with semicolons or tabs), one reading a line.
pub(super) fn csv(source: &Source, body: &[u8]) -> Result<Vec<Sent>, Trouble> {
    let mut lines = text(body)?.lines().filter(|l| !l.trim().is_empty());
    let head = lines.next().ok_or(Trouble::Malformed)?;
    let delimiter = ['\t', ';', ','].into_iter().find(|d| head.contains(*d)).unwrap_or(',');
    let cells = |line: &str| -> Vec<String> {
        line.split(delimiter).map(|c| c.trim().trim_matches('"').to_owned()).collect()
    };
    let columns = cells(head);
    let at = |name: &Option<engine::doc::Sp<String>>| {
        name.as_ref().map(|n| columns.iter().position(|c| *c == n.value).ok_or(Trouble::NoValue)).transpose()
    };
    let value = at(&source.value)?.ok_or(Trouble::NoValue)?;
    let time = at(&source.time)?;
    let mut out = Vec::new();
    for line in lines.take(MOST_ROWS) {
        let row = cells(line);
        let cell = |k: usize| row.get(k).map_or("", String::as_str);
        // An empty cell is a gap.
        if cell(value).is_empty() {
            continue;
        }
        let number = engine::units::number(cell(value)).map_err(|_| Trouble::Malformed)?;
        let own =
            time.map(|k| time_ms(&Value::String(cell(k).to_owned())).ok_or(Trouble::Time)).transpose()?;
        out.push((source.unit.to_si(number), own));
    }
    match out.len() {
        0 => Err(Trouble::NoValue),
        1 => Ok(out),
        // Several readings of one moment are none.
        _ if time.is_none() => Err(Trouble::Time),
        _ => Ok(out),
    }
}
