//! What a device of the desk is shown of series and events.

use super::Store;
use super::documents::job_id;
use super::trouble::Result;
use rusqlite::params;
use serde_json::Value;

/// An event of a job, with the alert that was told of it.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub(crate) struct Event {
    /// Its number.
    pub(crate) id: i64,
    /// What it is.
    pub(crate) kind: String,
    /// Of what: place, source or device.
    pub(crate) about: String,
    /// When it began, ms since 1970.
    pub(crate) start_ms: i64,
    /// When it ended; nothing while it lasts.
    pub(crate) end_ms: Option<i64>,
    /// Causes with their shares.
    pub(crate) causes: Value,
    /// What was measured, and the SI values.
    pub(crate) quantity: Option<String>,
    /// See `quantity`.
    pub(crate) value: Option<f64>,
    /// See `quantity`.
    pub(crate) low: Option<f64>,
    /// See `quantity`.
    pub(crate) high: Option<f64>,
    /// How far off its first trace is, in usual scatters.
    pub(crate) level: Option<f64>,
    /// When it was known.
    pub(crate) known_ms: Option<i64>,
    /// Numbers of its sources.
    pub(crate) sources: Value,
    /// State of the alert, where somebody was told.
    pub(crate) alert: Option<String>,
    /// Such alerts a month of a house where nothing is the matter.
    pub(crate) false_a_month: Option<f64>,
}

impl Store {
    /// Events of a job that touch `[from_ms, to_ms)`, the first first, at most `most`.
    pub(crate) fn events(&self, job: &str, from_ms: i64, to_ms: i64, most: i64) -> Result<Vec<Event>> {
        let conn = self.read();
        let id = job_id(&conn, job)?;
        let mut select = conn.prepare(
            "SELECT e.id, e.kind, e.about, e.start_ms, e.end_ms, e.causes, e.quantity, e.value, e.lo, e.hi, e.level, \
             e.known_ms, (SELECT json_group_array(source_id) FROM event_source x WHERE x.event_id = e.id), \
             (SELECT state FROM alert a WHERE a.event_id = e.id ORDER BY a.id LIMIT 1), \
             (SELECT false_a_month FROM alert a WHERE a.event_id = e.id ORDER BY a.id LIMIT 1) \
             FROM event e WHERE e.job_id = ?1 AND e.start_ms < ?3 AND ifnull(e.end_ms, ?2) >= ?2 \
             ORDER BY e.start_ms, e.id LIMIT ?4",
        )?;
        let json =
            |text: Option<String>| text.and_then(|t| serde_json::from_str(&t).ok()).unwrap_or_default();
        let rows = select.query_map(params![id, from_ms, to_ms, most], |r| {
            Ok(Event {
                id: r.get(0)?,
                kind: r.get(1)?,
                about: r.get(2)?,
                start_ms: r.get(3)?,
                end_ms: r.get(4)?,
                causes: json(r.get(5)?),
                quantity: r.get(6)?,
                value: r.get(7)?,
                low: r.get(8)?,
                high: r.get(9)?,
                level: r.get(10)?,
                known_ms: r.get(11)?,
                sources: json(r.get(12)?),
                alert: r.get(13)?,
                false_a_month: r.get(14)?,
            })
        })?;
        Ok(rows.collect::<std::result::Result<_, _>>()?)
    }

    /// Alerts of a job that began or lasted after a moment, the first first, the last `most` of them: kind, what it is
    /// about, when it began and was over (ms), the number that tells (SI), false ones of its kind a month.
    pub(crate) fn alerts(&self, job: &str, after_ms: i64, most: i64) -> Result<Vec<api::watch::Told>> {
        let conn = self.read();
        let id = job_id(&conn, job)?;
        let mut select = conn.prepare(
            "SELECT a.kind, e.about, ifnull(e.known_ms, e.start_ms), e.end_ms, e.value, a.false_a_month \
             FROM alert a JOIN event e ON e.id = a.event_id \
             WHERE e.job_id = ?1 AND ifnull(e.end_ms, ?2) >= ?2 ORDER BY e.start_ms DESC, a.id DESC LIMIT ?3",
        )?;
        let rows = select.query_map(params![id, after_ms, most], |r| {
            Ok(api::watch::Told {
                kind: r.get(0)?,
                of: r.get(1)?,
                start_ms: r.get(2)?,
                end_ms: r.get(3)?,
                value: r.get(4)?,
                false_a_month: r.get(5)?,
            })
        })?;
        let mut list: Vec<_> = rows.collect::<std::result::Result<_, _>>()?;
        list.reverse();
        Ok(list)
    }

    /// One document of a job as it is now, where it is a text; nothing where there is none.
    pub(crate) fn text(&self, job: &str, path: &str) -> Result<Option<String>> {
        let files = self.job(job)?;
        let found = files.into_iter().find(|f| f.path == path);
        Ok(found.and_then(|f| String::from_utf8(f.bytes).ok()))
    }

    /// Numbers of a job's sources, each with how many readings count and the moment of the last.
    pub(crate) fn pace(&self, job: &str) -> Result<Vec<(i64, i64, i64)>> {
        let conn = self.read();
        let id = job_id(&conn, job)?;
        let mut select = conn.prepare(
            "SELECT s.id, (SELECT ifnull(sum(count), 0) FROM level l WHERE l.source_id = s.id AND l.level = 4), \
             (SELECT ifnull(max(time_ms), -1) FROM point p WHERE p.source_id = s.id) \
             FROM source s WHERE s.job_id = ?1 ORDER BY s.id",
        )?;
        let rows = select.query_map([id], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)))?;
        Ok(rows.collect::<std::result::Result<_, _>>()?)
    }

    /// Readings of a source that count after a moment, in the order of time, at most `most`.
    pub(crate) fn points_after(&self, source: i64, time_ms: i64, most: i64) -> Result<Vec<(i64, f64)>> {
        let conn = self.read();
        let mut select = conn.prepare(
            "SELECT time_ms, value FROM point WHERE source_id = ?1 AND time_ms > ?2 AND arrival = 0 \
             ORDER BY time_ms LIMIT ?3",
        )?;
        let rows = select.query_map([source, time_ms, most], |r| Ok((r.get(0)?, r.get(1)?)))?;
        Ok(rows.collect::<std::result::Result<_, _>>()?)
    }
}
