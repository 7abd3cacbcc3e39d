//! Sources of series: what must be known of one before its readings count.

use super::series::{AHEAD, Appender, Batch, Part, Point, SECOND};
use super::trouble::{Result, StoreError};
use super::{Store, documents};
use engine::units::{Quantity, Unit, unit};
use rusqlite::{Connection, OptionalExtension, params};

/// What is said of a source; what is left out stays as it was.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Description {
    /// The job it belongs to.
    pub(crate) job: Option<String>,
    /// What takes the readings.
    pub(crate) instrument: Option<String>,
    /// Where.
    pub(crate) place: Option<String>,
    /// What is measured, by the name in the table of units, such as `gas_fraction`.
    pub(crate) quantity: Option<String>,
    /// The unit in which the instrument sends it.
    pub(crate) unit: Option<String>,
    /// What was done to the value before it was shown.
    pub(crate) basis: Option<String>,
}

/// A source and how much there is of it.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub(crate) struct Source {
    /// Its number.
    pub(crate) id: i64,
    /// Its name.
    pub(crate) name: String,
    /// Job, instrument, place, quantity, unit and basis, as far as known.
    pub(crate) job: Option<String>,
    /// See [`Description`].
    pub(crate) instrument: Option<String>,
    /// See [`Description`].
    pub(crate) place: Option<String>,
    /// See [`Description`].
    pub(crate) quantity: Option<String>,
    /// See [`Description`].
    pub(crate) unit: Option<String>,
    /// See [`Description`].
    pub(crate) basis: Option<String>,
    /// Whether its readings count.
    pub(crate) complete: bool,
    /// Readings that count.
    pub(crate) readings: i64,
    /// Readings that wait for the description.
    pub(crate) held: i64,
    /// First and last moment, ms since 1970.
    pub(crate) first_ms: Option<i64>,
    /// See `first_ms`.
    pub(crate) last_ms: Option<i64>,
}

/// The unit of a quantity's name.
fn unit_named(quantity: &str, symbol: &str) -> Result<&'static Unit> {
    let named = |q: &Quantity| serde_json::to_value(q).is_ok_and(|v| v.as_str() == Some(quantity));
    let found = Quantity::all().into_iter().find(named).and_then(|q| unit(symbol, q));
    found.ok_or_else(|| StoreError::Unit { unit: symbol.to_owned(), quantity: quantity.to_owned() })
}

/// The SI unit of a quantity, by its name in the table of units.
pub(crate) fn si_unit(quantity: &str) -> Option<&'static str> {
    let named = |q: &Quantity| serde_json::to_value(q).is_ok_and(|v| v.as_str() == Some(quantity));
    Quantity::all().into_iter().find(named).map(Quantity::si_symbol)
}

/// A value in the unit of an instrument, as the store keeps it.
///
/// # Errors
/// A unit that does not fit the quantity.
pub(crate) fn to_si(quantity: &str, symbol: &str, value: f64) -> Result<f64> {
    Ok(unit_named(quantity, symbol)?.to_si(value))
}

impl Store {
    /// Makes a source or adds to what is known of it. With the last thing told, the readings that
    /// waited begin to count, turned from the instrument's unit to SI. Returns its number.
    ///
    /// # Errors
    /// Something that was told otherwise before: what stands under readings does not change; a
    /// source that measures anew is a new source.
    pub(crate) fn describe(&self, name: &str, told: Description, now_ms: i64) -> Result<i64> {
        let name = name.to_owned();
        self.writer.call(move |conn| describe(conn, &name, &told, now_ms))
    }

    /// All sources, by name.
    pub(crate) fn sources(&self) -> Result<Vec<Source>> {
        list(&self.read())
    }

    /// The number of a source.
    pub(crate) fn source(&self, name: &str) -> Result<i64> {
        number(&self.read(), name)
    }
}

pub(super) fn number(conn: &Connection, name: &str) -> Result<i64> {
    conn.query_row("SELECT id FROM source WHERE name = ?1", [name], |r| r.get(0))
        .optional()?
        .ok_or_else(|| StoreError::NoSource { name: name.to_owned() })
}

fn describe(conn: &Connection, name: &str, told: &Description, now_ms: i64) -> Result<i64> {
    conn.execute(
        "INSERT INTO source (name, made_ms) VALUES (?1, ?2) ON CONFLICT DO NOTHING",
        params![name, now_ms],
    )?;
    let id = number(conn, name)?;
    let complete = |conn: &Connection| -> Result<bool> {
        Ok(conn.query_row("SELECT complete FROM source WHERE id = ?1", [id], |r| r.get(0))?)
    };
    let before = complete(conn)?;
    if let Some(job) = &told.job {
        let job_id = documents::job_id(conn, job)?;
        let was: Option<i64> =
            conn.query_row("SELECT job_id FROM source WHERE id = ?1", [id], |r| r.get(0))?;
        if was.is_some_and(|was| was != job_id) {
            return Err(StoreError::Described { name: name.to_owned(), field: "job", was: String::new() });
        }
        conn.execute("UPDATE source SET job_id = ?2 WHERE id = ?1", [id, job_id])?;
    }
    let fields: [(&'static str, &Option<String>); 5] = [
        ("instrument", &told.instrument),
        ("place", &told.place),
        ("quantity", &told.quantity),
        ("unit", &told.unit),
        ("basis", &told.basis),
    ];
    for (field, value) in fields {
        let Some(value) = value else { continue };
        let was: Option<String> =
            conn.query_row(&format!("SELECT {field} FROM source WHERE id = ?1"), [id], |r| r.get(0))?;
        match was {
            Some(was) if was != *value => {
                return Err(StoreError::Described { name: name.to_owned(), field, was });
            }
            Some(_) => {}
            None => {
                conn.execute(&format!("UPDATE source SET {field} = ?2 WHERE id = ?1"), params![id, value])?;
            }
        }
    }
    let (quantity, symbol): (Option<String>, Option<String>) =
        conn.query_row("SELECT quantity, unit FROM source WHERE id = ?1", [id], |r| {
            Ok((r.get(0)?, r.get(1)?))
        })?;
    if let (Some(quantity), Some(symbol)) = (quantity, symbol) {
        let unit = unit_named(&quantity, &symbol)?;
        if !before && complete(conn)? {
            release(conn, id, unit)?;
        }
    }
    Ok(id)
}

/// Held readings begin to count.
fn release(conn: &Connection, id: i64, unit: &Unit) -> Result<()> {
    let mut select =
        conn.prepare("SELECT time_ms, value, arrived_ms, flags FROM held WHERE source_id = ?1 ORDER BY id")?;
    let rows = select.query_map([id], |r| Ok((r.get(0)?, r.get::<_, f64>(1)?, r.get(2)?, r.get(3)?)))?;
    let rows: Vec<(i64, f64, i64, u32)> = rows.collect::<std::result::Result<_, _>>()?;
    let mut appender = Appender::new(conn)?;
    for (time_ms, value, arrived_ms, flags) in rows {
        let points = vec![Point { time_ms, value: unit.to_si(value) }];
        appender.append(&Batch {
            parts: vec![Part { source: id, points, flags: flags & !(SECOND | AHEAD) }],
            arrived_ms,
            ..Batch::default()
        })?;
        appender.settle(true);
    }
    appender.flush()?;
    conn.execute("DELETE FROM held WHERE source_id = ?1", [id])?;
    Ok(())
}

fn list(conn: &Connection) -> Result<Vec<Source>> {
    // Counts come from the coarsest level: a handful of rows, whatever the length of the series.
    let mut select = conn.prepare(
        "SELECT s.id, s.name, j.name, s.instrument, s.place, s.quantity, s.unit, s.basis, s.complete, \
         (SELECT ifnull(sum(count), 0) FROM level l WHERE l.source_id = s.id AND l.level = 4), \
         (SELECT count(*) FROM held h WHERE h.source_id = s.id), \
         (SELECT min(time_ms) FROM point p WHERE p.source_id = s.id), \
         (SELECT max(time_ms) FROM point p WHERE p.source_id = s.id) \
         FROM source s LEFT JOIN job j ON j.id = s.job_id ORDER BY s.name",
    )?;
    let rows = select.query_map([], |r| {
        Ok(Source {
            id: r.get(0)?,
            name: r.get(1)?,
            job: r.get(2)?,
            instrument: r.get(3)?,
            place: r.get(4)?,
            quantity: r.get(5)?,
            unit: r.get(6)?,
            basis: r.get(7)?,
            complete: r.get(8)?,
            readings: r.get(9)?,
            held: r.get(10)?,
            first_ms: r.get(11)?,
            last_ms: r.get(12)?,
        })
    })?;
    Ok(rows.collect::<std::result::Result<_, _>>()?)
}
