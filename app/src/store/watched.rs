//! What a live watch keeps between two hours: its memory, what was expected, what it found, and the fit of
//! its house. All that one stretch of hours gave is written in one transaction.

use super::documents::job_id;
use super::outbox::{Found, Message, note, put};
use super::trouble::Result;
use super::{Store, sources};
use rusqlite::{Connection, OptionalExtension, params};

/// The memory of the watch over a job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Watched {
    /// Hash of the documents of its house.
    pub(crate) inputs: String,
    /// Readings before this were taken, ms since 1970.
    pub(crate) until_ms: i64,
    /// The memory itself.
    pub(crate) body: Vec<u8>,
    /// How the watch stands, as JSON.
    pub(crate) standing: Option<Vec<u8>>,
    /// What it remembered before, as JSON.
    pub(crate) back: Option<Vec<u8>>,
}

/// What rules over live readings remember.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Ruled {
    /// Hash of the rules.
    pub(crate) inputs: String,
    /// The last look, ms since 1970.
    pub(crate) until_ms: i64,
    /// The memory.
    pub(crate) body: Vec<u8>,
    /// What they would have set, as JSON.
    pub(crate) standing: Vec<u8>,
}

/// What was expected of a source in an hour, SI.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub(crate) struct Expected {
    /// Start of the hour, ms since 1970.
    pub(crate) hour_ms: i64,
    /// Mean.
    pub(crate) mean: f64,
    /// Ends of the 95 % interval.
    pub(crate) lo: f64,
    /// Upper end.
    pub(crate) hi: f64,
    /// Standard deviation of the draws of the fit.
    pub(crate) draws: f64,
    /// Of the instrument.
    pub(crate) instrument: f64,
    /// Of what was learned.
    pub(crate) learned: f64,
}

/// What some hours gave.
#[derive(Clone, Debug, Default)]
pub(crate) struct Judged {
    /// The job.
    pub(crate) job: String,
    /// Its memory after them.
    pub(crate) memory: Option<Watched>,
    /// Whether the store had a memory before: where that is gone, somebody erased it.
    pub(crate) went_on: bool,
    /// What was expected, by full names of sources.
    pub(crate) expected: Vec<(String, Expected)>,
    /// Events as they stand.
    pub(crate) events: Vec<Found>,
    /// What is told, with its messages.
    pub(crate) told: Vec<(Found, Vec<Message>)>,
}

impl Store {
    /// What the watch over a job remembers.
    pub(crate) fn watched(&self, job: &str) -> Result<Option<Watched>> {
        let conn = self.read();
        let mut select = conn.prepare(
            "SELECT w.inputs, w.until_ms, w.body, w.standing, w.back FROM watched w JOIN job j ON j.id = w.job_id WHERE j.name = ?1",
        )?;
        let row = |r: &rusqlite::Row<'_>| {
            let (inputs, until_ms, body) = (r.get(0)?, r.get(1)?, r.get(2)?);
            Ok(Watched { inputs, until_ms, body, standing: r.get(3)?, back: r.get(4)? })
        };
        Ok(select.query_row([job], row).optional()?)
    }

    /// What the rules of a job remember.
    pub(crate) fn ruled(&self, job: &str) -> Result<Option<Ruled>> {
        let conn = self.read();
        let mut select = conn.prepare(
            "SELECT w.inputs, w.until_ms, w.body, w.standing FROM ruled w JOIN job j ON j.id = w.job_id WHERE j.name = ?1",
        )?;
        let row = |r: &rusqlite::Row<'_>| {
            Ok(Ruled { inputs: r.get(0)?, until_ms: r.get(1)?, body: r.get(2)?, standing: r.get(3)? })
        };
        Ok(select.query_row([job], row).optional()?)
    }

    /// Keeps what the rules of a job remember, in the place of what was there. False, and nothing is kept, where they went
    /// on from a memory (`went_on`) that is not there any more: readings that it holds were erased.
    pub(crate) fn keep_ruled(&self, job: &str, ruled: Ruled, went_on: bool, now_ms: i64) -> Result<bool> {
        let job = job.to_owned();
        self.writer.call(move |conn| {
            let id = job_id(conn, &job)?;
            let had: bool =
                conn.query_row("SELECT count(*) FROM ruled WHERE job_id = ?1", [id], |r| r.get(0))?;
            if went_on && !had {
                return Ok(false);
            }
            conn.execute(
                "INSERT INTO ruled (job_id, inputs, until_ms, body, standing, made_ms) VALUES (?1, ?2, ?3, ?4, ?5, ?6) \
                 ON CONFLICT DO UPDATE SET inputs = excluded.inputs, until_ms = excluded.until_ms, \
                 body = excluded.body, standing = excluded.standing, made_ms = excluded.made_ms",
                params![id, ruled.inputs, ruled.until_ms, ruled.body, ruled.standing, now_ms],
            )?;
            Ok(true)
        })
    }

    /// Forgets what the rules of a job remember: the job has none any more.
    pub(crate) fn forget_ruled(&self, job: &str) -> Result<()> {
        let job = job.to_owned();
        self.writer.call(move |conn| {
            conn.execute("DELETE FROM ruled WHERE job_id = ?1", [job_id(conn, &job)?])?;
            Ok(())
        })
    }

    /// Tells whether anything of a job's watch has changed: another text, another state.
    pub(crate) fn watch_mark(&self, job: &str) -> Result<String> {
        let conn = self.read();
        let id = job_id(&conn, job)?;
        Ok(conn.query_row(
            "SELECT ifnull((SELECT made_ms || '/' || until_ms FROM watched WHERE job_id = ?1), '') || ' ' || \
             ifnull((SELECT made_ms || '/' || until_ms FROM ruled WHERE job_id = ?1), '') || ' ' || \
             (SELECT count(*) || '/' || ifnull(max(id), 0) || '/' || ifnull(sum(end_ms), 0) FROM event WHERE job_id = ?1) \
             || ' ' || (SELECT count(*) || '/' || ifnull(max(a.changed_ms), 0) FROM alert a JOIN event e \
             ON e.id = a.event_id WHERE e.job_id = ?1)",
            [id],
            |r| r.get(0),
        )?)
    }

    /// Keeps what some hours gave, all of it or nothing. False, and nothing is kept, where the memory that was gone
    /// on from is not there any more: readings that it holds were erased.
    pub(crate) fn judged(&self, judged: Judged, now_ms: i64) -> Result<bool> {
        self.writer.call(move |conn| keep(conn, &judged, now_ms))
    }

    /// What was expected of a source in the hours that begin in `[from_ms, to_ms)`.
    pub(crate) fn expected(&self, source: i64, from_ms: i64, to_ms: i64) -> Result<Vec<Expected>> {
        let conn = self.read();
        let mut select = conn.prepare(
            "SELECT hour_ms, mean, lo, hi, draws, instrument, learned FROM expected \
             WHERE source_id = ?1 AND hour_ms >= ?2 AND hour_ms < ?3 ORDER BY hour_ms",
        )?;
        let rows = select.query_map([source, from_ms, to_ms], |r| {
            Ok(Expected {
                hour_ms: r.get(0)?,
                mean: r.get(1)?,
                lo: r.get(2)?,
                hi: r.get(3)?,
                draws: r.get(4)?,
                instrument: r.get(5)?,
                learned: r.get(6)?,
            })
        })?;
        Ok(rows.collect::<std::result::Result<_, _>>()?)
    }

    /// Readings of a source that count, of `[from_ms, to_ms)`, in the order of time; none of one that is not there.
    pub(crate) fn points(&self, source: &str, from_ms: i64, to_ms: i64) -> Result<Vec<(i64, f64)>> {
        let conn = self.read();
        let mut select = conn.prepare(
            "SELECT p.time_ms, p.value FROM point p JOIN source s ON s.id = p.source_id WHERE s.name = ?1 \
             AND p.time_ms >= ?2 AND p.time_ms < ?3 AND p.arrival = 0 ORDER BY p.time_ms",
        )?;
        let rows = select.query_map(params![source, from_ms, to_ms], |r| Ok((r.get(0)?, r.get(1)?)))?;
        Ok(rows.collect::<std::result::Result<_, _>>()?)
    }

    /// How many readings of a source count, of `[from_ms, to_ms)`.
    pub(crate) fn points_count(&self, source: &str, from_ms: i64, to_ms: i64) -> Result<i64> {
        let conn = self.read();
        let mut select = conn.prepare(
            "SELECT count(*) FROM point p JOIN source s ON s.id = p.source_id WHERE s.name = ?1 \
             AND p.time_ms >= ?2 AND p.time_ms < ?3 AND p.arrival = 0",
        )?;
        Ok(select.query_row(params![source, from_ms, to_ms], |r| r.get(0))?)
    }

    /// The last reading of a source before a time.
    pub(crate) fn point_before(&self, source: &str, time_ms: i64) -> Result<Option<(i64, f64)>> {
        let conn = self.read();
        let mut select = conn.prepare(
            "SELECT p.time_ms, p.value FROM point p JOIN source s ON s.id = p.source_id WHERE s.name = ?1 \
             AND p.time_ms < ?2 AND p.arrival = 0 ORDER BY p.time_ms DESC LIMIT 1",
        )?;
        Ok(select.query_row(params![source, time_ms], |r| Ok((r.get(0)?, r.get(1)?))).optional()?)
    }

    /// The first reading of a source from a time on, ms since 1970.
    pub(crate) fn first_from(&self, source: &str, from_ms: i64) -> Result<Option<i64>> {
        let conn = self.read();
        let mut select = conn.prepare(
            "SELECT min(p.time_ms) FROM point p JOIN source s ON s.id = p.source_id \
             WHERE s.name = ?1 AND p.time_ms >= ?2",
        )?;
        Ok(select.query_row(params![source, from_ms], |r| r.get(0))?)
    }

    /// A result that was kept of these inputs by this program.
    pub(crate) fn result(
        &self,
        job: &str,
        request: &str,
        inputs: &str,
        program: &str,
    ) -> Result<Option<Vec<u8>>> {
        let conn = self.read();
        // Stale is one whose job was edited since; what it hangs on is told by its hash.
        let found = conn
            .query_row(
                "SELECT r.body FROM result r JOIN job j ON j.id = r.job_id WHERE j.name = ?1 AND r.request = ?2 \
                 AND r.inputs = ?3 AND r.program = ?4 AND r.state <> 'erased'",
                params![job, request, inputs, program],
                |r| r.get(0),
            )
            .optional()?;
        Ok(found.flatten())
    }

    /// Keeps a result in the place of those that were made of other inputs.
    pub(crate) fn keep_result(
        &self,
        job: &str,
        request: &str,
        (inputs, program): (&str, &str),
        body: Vec<u8>,
        now_ms: i64,
    ) -> Result<()> {
        let [job, request, inputs, program] = [job, request, inputs, program].map(str::to_owned);
        self.writer.call(move |conn| {
            let id = job_id(conn, &job)?;
            conn.execute("DELETE FROM result WHERE job_id = ?1 AND request = ?2", params![id, request])?;
            conn.execute(
                "INSERT INTO result (job_id, request, inputs, program, body, made_ms) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                params![id, request, inputs, program, body, now_ms],
            )?;
            Ok(())
        })
    }
}

fn keep(conn: &Connection, judged: &Judged, now_ms: i64) -> Result<bool> {
    let job = job_id(conn, &judged.job)?;
    let had: bool = conn.query_row("SELECT count(*) FROM watched WHERE job_id = ?1", [job], |r| r.get(0))?;
    if judged.went_on && !had {
        return Ok(false);
    }
    if let Some(memory) = &judged.memory {
        conn.execute(
            "INSERT INTO watched (job_id, inputs, until_ms, body, made_ms, standing, back) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7) \
             ON CONFLICT DO UPDATE SET inputs = excluded.inputs, until_ms = excluded.until_ms, \
             body = excluded.body, made_ms = excluded.made_ms, standing = excluded.standing, back = excluded.back",
            params![job, memory.inputs, memory.until_ms, memory.body, now_ms, memory.standing, memory.back],
        )?;
    }
    let mut insert = conn.prepare(
        "INSERT INTO expected (source_id, hour_ms, mean, lo, hi, draws, instrument, learned) \
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8) ON CONFLICT DO UPDATE SET mean = excluded.mean, \
         lo = excluded.lo, hi = excluded.hi, draws = excluded.draws, instrument = excluded.instrument, \
         learned = excluded.learned",
    )?;
    let mut number: Option<(&str, Option<i64>)> = None;
    for (name, e) in &judged.expected {
        let source = match number {
            Some((last, source)) if last == name => source,
            _ => {
                let source = sources::number(conn, name).ok();
                number = Some((name, source));
                source
            }
        };
        let Some(source) = source else { continue };
        insert.execute(params![source, e.hour_ms, e.mean, e.lo, e.hi, e.draws, e.instrument, e.learned])?;
    }
    for event in &judged.events {
        note(conn, event, now_ms)?;
    }
    for (found, messages) in &judged.told {
        put(conn, note(conn, found, now_ms)?, messages, now_ms)?;
    }
    Ok(true)
}
