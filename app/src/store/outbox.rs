//! What the watch found, as events with their alerts, and the messages that tell people of it. Both in
//! one transaction: nothing is found that nobody is told, and a message leaves once for each key.

use super::Store;
use super::trouble::Result;
use rusqlite::{Connection, OptionalExtension, params};

/// Something found.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Found {
    /// The job it concerns.
    pub(crate) job: String,
    /// What it is: `silence`, `change`.
    pub(crate) kind: String,
    /// Of what: the source or the device.
    pub(crate) about: String,
    /// When it began, ms since 1970.
    pub(crate) start_ms: i64,
    /// When it was known, of an event whose beginning may still move.
    pub(crate) known_ms: Option<i64>,
    /// When it ended, of one that has.
    pub(crate) end_ms: Option<i64>,
    /// The full names of its sources, where it has any.
    pub(crate) sources: Vec<String>,
    /// What was measured, and the SI value that tells.
    pub(crate) value: Option<(String, f64)>,
    /// How far off its first trace is, in usual scatters.
    pub(crate) level: Option<f64>,
    /// Causes with their shares, as JSON.
    pub(crate) causes: Option<String>,
    /// Such alerts a month of a house where nothing is the matter.
    pub(crate) false_a_month: Option<f64>,
    /// Whether somebody is to be told: an event alone has no alert.
    pub(crate) is_alert: bool,
}

/// A message for the outbox: what tells it from others, the channel, what is handed over.
pub(crate) type Message = (String, String, Vec<u8>);

/// A message that should leave by now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct OutboxRow {
    /// Its number.
    pub(crate) id: i64,
    /// What tells it from others.
    pub(crate) key: String,
    /// The channel it goes by.
    pub(crate) channel: String,
    /// What is handed over.
    pub(crate) payload: Vec<u8>,
    /// Attempts that failed.
    pub(crate) attempts: i64,
}

/// The event, and its alert where it has one; nothing where the store does not know the job.
pub(super) fn note(conn: &Connection, found: &Found, now_ms: i64) -> Result<Option<i64>> {
    let job: Option<i64> =
        conn.query_row("SELECT id FROM job WHERE name = ?1", [&found.job], |r| r.get(0)).optional()?;
    let Some(job) = job else { return Ok(None) };
    let event = event(conn, job, found, now_ms)?;
    for source in &found.sources {
        conn.execute(
            "INSERT INTO event_source (event_id, source_id) SELECT ?1, id FROM source WHERE name = ?2 \
             ON CONFLICT DO NOTHING",
            params![event, source],
        )?;
    }
    if found.is_alert {
        conn.execute(
            "INSERT INTO alert (event_id, kind, state, made_ms, changed_ms, false_a_month) \
             VALUES (?1, ?2, 'open', ?3, ?3, ?4) ON CONFLICT DO NOTHING",
            params![event, found.kind, now_ms, found.false_a_month],
        )?;
    }
    if let Some(end_ms) = found.end_ms {
        conn.execute("UPDATE event SET end_ms = max(start_ms, ?2) WHERE id = ?1", params![event, end_ms])?;
        conn.execute(
            "UPDATE alert SET state = 'over', changed_ms = ?2 WHERE event_id = ?1 AND state <> 'over'",
            params![event, now_ms],
        )?;
    }
    Ok(conn
        .query_row(
            "SELECT id FROM alert WHERE event_id = ?1 AND kind = ?2",
            params![event, found.kind],
            |r| r.get(0),
        )
        .optional()?)
}

/// The event's number; what is known of it by now is written.
fn event(conn: &Connection, job: i64, found: &Found, now_ms: i64) -> Result<i64> {
    let (quantity, value) = found.value.clone().unzip();
    let known = match found.known_ms {
        None => None,
        Some(known_ms) => conn
            .query_row(
                "SELECT id FROM event WHERE job_id = ?1 AND kind = ?2 AND about = ?3 AND known_ms = ?4",
                params![job, found.kind, found.about, known_ms],
                |r| r.get::<_, i64>(0),
            )
            .optional()?,
    };
    if known.is_none() {
        conn.execute(
            "INSERT INTO event (job_id, kind, about, start_ms, known_ms, quantity, value, made_ms) \
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8) ON CONFLICT DO NOTHING",
            params![job, found.kind, found.about, found.start_ms, found.known_ms, quantity, value, now_ms],
        )?;
    }
    let event = match known {
        Some(event) => event,
        None => conn.query_row(
            "SELECT id FROM event WHERE job_id = ?1 AND kind = ?2 AND about = ?3 AND start_ms = ?4",
            params![job, found.kind, found.about, found.start_ms],
            |r| r.get(0),
        )?,
    };
    if found.known_ms.is_some() {
        // Another event of the same may have begun at that moment; then the beginning stays.
        conn.execute(
            "UPDATE OR IGNORE event SET start_ms = ?2 WHERE id = ?1",
            params![event, found.start_ms],
        )?;
        conn.execute(
            "UPDATE event SET value = ifnull(?2, value), level = ifnull(?3, level), causes = ifnull(?4, causes) \
             WHERE id = ?1",
            params![event, value, found.level, found.causes],
        )?;
    }
    Ok(event)
}

/// Puts messages into the outbox; one whose key is there already was put in before.
pub(super) fn put(conn: &Connection, alert: Option<i64>, messages: &[Message], now_ms: i64) -> Result<()> {
    let mut put = conn.prepare(
        "INSERT INTO outbox (alert_id, key, channel, payload, next_ms) VALUES (?1, ?2, ?3, ?4, ?5) \
         ON CONFLICT DO NOTHING",
    )?;
    for (key, channel, payload) in messages {
        put.execute(params![alert, key, channel, payload, now_ms])?;
    }
    Ok(())
}

impl Store {
    /// Keeps what was found, with the messages that tell of it; a message whose key is there already was
    /// put in before.
    pub(crate) fn tell(&self, found: Found, messages: Vec<Message>, now_ms: i64) -> Result<()> {
        self.writer.call(move |conn| put(conn, note(conn, &found, now_ms)?, &messages, now_ms))
    }

    /// At most so many of those that should leave by now, the longest waiting first.
    pub(crate) fn outbox_due(&self, now_ms: i64, most: i64) -> Result<Vec<OutboxRow>> {
        let conn = self.read();
        let mut due = conn.prepare(
            "SELECT id, key, channel, payload, attempts FROM outbox \
             WHERE sent_ms IS NULL AND next_ms <= ?1 ORDER BY next_ms, id LIMIT ?2",
        )?;
        let rows = due.query_map(params![now_ms, most], |r| {
            let (id, key, channel) = (r.get(0)?, r.get(1)?, r.get(2)?);
            Ok(OutboxRow { id, key, channel, payload: r.get(3)?, attempts: r.get(4)? })
        })?;
        Ok(rows.collect::<rusqlite::Result<_>>()?)
    }

    /// It has left.
    pub(crate) fn outbox_sent(&self, id: i64, now_ms: i64) -> Result<()> {
        self.writer.call(move |conn| {
            conn.execute(
                "UPDATE outbox SET sent_ms = ?2, last_error = NULL WHERE id = ?1",
                params![id, now_ms],
            )?;
            Ok(())
        })
    }

    /// It could not leave, and why; again at `next_ms`.
    pub(crate) fn outbox_failed(&self, id: i64, next_ms: i64, why: &str) -> Result<()> {
        let why = why.to_owned();
        self.writer.call(move |conn| {
            conn.execute(
                "UPDATE outbox SET attempts = attempts + 1, next_ms = ?2, last_error = ?3 WHERE id = ?1",
                params![id, next_ms, why],
            )?;
            Ok(())
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::{Description, Who};

    fn count(store: &Store, sql: &str) -> i64 {
        store.read().query_row(sql, [], |r| r.get(0)).unwrap()
    }

    #[test]
    fn what_is_found_is_an_event_an_alert_and_messages_once() {
        let folder = std::env::temp_dir().join(format!("airwright outbox {}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        let store = Store::open(&folder.join("house.store")).unwrap();
        store.put("house", "/nowhere", Vec::new(), false, Who::default()).unwrap();
        store.describe("house/attic", Description::default(), 1).unwrap();
        let found = Found {
            job: "house".to_owned(),
            kind: "silence".to_owned(),
            about: "attic".to_owned(),
            start_ms: 1000,
            sources: vec!["house/attic".to_owned()],
            is_alert: true,
            ..Found::default()
        };
        let message = |channel: &str| (format!("k {channel}"), channel.to_owned(), b"{}".to_vec());
        for _ in 0..2 {
            store.tell(found.clone(), vec![message("mail"), message("hook")], 2000).unwrap();
        }
        assert_eq!(count(&store, "SELECT count(*) FROM event JOIN event_source ON event_id = id"), 1);
        assert_eq!(count(&store, "SELECT count(*) FROM alert WHERE state = 'open' AND kind = 'silence'"), 1);
        let due = store.outbox_due(2000, 20).unwrap();
        assert_eq!(due.iter().map(|d| d.channel.as_str()).collect::<Vec<_>>(), ["mail", "hook"]);
        assert!(store.outbox_due(1999, 20).unwrap().is_empty(), "not before its time");
        store.outbox_sent(due[0].id, 2500).unwrap();
        store.outbox_failed(due[1].id, 9000, "no answer").unwrap();
        assert!(store.outbox_due(8999, 20).unwrap().is_empty());
        assert_eq!(store.outbox_due(9000, 20).unwrap()[0].attempts, 1);
        // It speaks again: the event has an end, its alert is over.
        store.tell(Found { end_ms: Some(5000), ..found }, Vec::new(), 6000).unwrap();
        assert_eq!(count(&store, "SELECT count(*) FROM event WHERE end_ms = 5000"), 1);
        assert_eq!(count(&store, "SELECT count(*) FROM alert WHERE state = 'over'"), 1);
        // Without the job nothing is noted, and people are told all the same.
        let other = Found { job: "other".to_owned(), kind: "debt".to_owned(), ..Found::default() };
        store.tell(other, vec![message("panel")], 7000).unwrap();
        assert_eq!(count(&store, "SELECT count(*) FROM outbox WHERE alert_id IS NULL"), 1);
        drop(store);
        std::fs::remove_dir_all(folder).ok();
    }
}
