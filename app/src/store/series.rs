//! Keeping readings: each once, every other arrival beside it, levels in the same transaction.

use super::levels::{Cell, Levels};
use super::trouble::{Result, StoreError};
use rusqlite::{Connection, OptionalExtension, Statement, params};

/// A reading at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Point {
    /// Milliseconds since 1970 in UTC.
    pub(crate) time_ms: i64,
    /// In the SI unit of the source's quantity.
    pub(crate) value: f64,
}

/// Said something else of a moment that already had a reading; kept, does not count.
pub(crate) const SECOND: u32 = 1;
/// Lies more than five minutes ahead of the store's clock: one of the two clocks is wrong.
pub(crate) const AHEAD: u32 = 2;
/// The first flag that is the intake's own.
#[cfg_attr(not(test), expect(dead_code, reason = "the intake sets it"))]
pub(crate) const INTAKE: u32 = 1 << 8;

/// How far a device's clock may run ahead before it is said, ms.
const AHEAD_MS: i64 = 5 * 60_000;
/// Times that can be meant: from 1970 to the year 9999, ms.
pub(super) const TIMES: std::ops::Range<i64> = 0..253_402_300_800_000;

/// Readings of one source.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Part {
    /// The source's number.
    pub(crate) source: i64,
    /// In any order.
    pub(crate) points: Vec<Point>,
    /// Flags of the intake for all of them, from [`INTAKE`] up.
    pub(crate) flags: u32,
}

/// A message as it came.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Raw {
    /// The source it is of, where it is of one.
    pub(crate) source: Option<i64>,
    /// Where it came in.
    pub(crate) channel: String,
    /// Verbatim.
    pub(crate) payload: Vec<u8>,
    /// What the device says of the time.
    pub(crate) device_ms: Option<i64>,
    /// Which parser, of which version, made readings of it.
    pub(crate) parser: String,
}

/// What is acknowledged together.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Batch {
    /// Readings, source by source.
    pub(crate) parts: Vec<Part>,
    /// Messages they were read from.
    pub(crate) raw: Vec<Raw>,
    /// When they came, by the clock of this machine.
    pub(crate) arrived_ms: i64,
}

impl Batch {
    pub(crate) fn len(&self) -> usize {
        self.parts.iter().map(|p| p.points.len()).sum()
    }
}

/// What became of a batch; it is on the disk.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Ack {
    /// New readings.
    pub(crate) kept: usize,
    /// Were there already, value and all.
    pub(crate) twice: usize,
    /// Said something else of a moment that had a reading.
    pub(crate) second: usize,
    /// Of a source that is not described yet: kept, not counted.
    pub(crate) held: usize,
    /// No number, or no time that can be meant: not kept.
    pub(crate) refused: usize,
}

impl std::ops::AddAssign for Ack {
    fn add_assign(&mut self, other: Ack) {
        self.kept += other.kept;
        self.twice += other.twice;
        self.second += other.second;
        self.held += other.held;
        self.refused += other.refused;
    }
}

/// Statements of the intake, prepared once a transaction, and the levels that are due.
pub(super) struct Appender<'c> {
    source: Statement<'c>,
    insert: Statement<'c>,
    others: Statement<'c>,
    second: Statement<'c>,
    hold: Statement<'c>,
    raw: Statement<'c>,
    levels: Levels<'c>,
    due: Vec<Cell>,
    new: Vec<Cell>,
}

impl<'c> Appender<'c> {
    pub(super) fn new(conn: &'c Connection) -> Result<Appender<'c>> {
        Ok(Appender {
            source: conn.prepare("SELECT complete, fine FROM source WHERE id = ?1")?,
            insert: conn.prepare(
                "INSERT INTO point (source_id, time_ms, arrival, value, flags) VALUES (?1, ?2, 0, ?3, ?4) \
                 ON CONFLICT DO NOTHING",
            )?,
            others: conn.prepare(
                "SELECT count(*), ifnull(max(value = ?3), 0) FROM point WHERE source_id = ?1 AND time_ms = ?2",
            )?,
            second: conn.prepare(
                "INSERT INTO point (source_id, time_ms, arrival, value, flags) VALUES (?1, ?2, ?5, ?3, ?4)",
            )?,
            hold: conn.prepare(
                "INSERT INTO held (source_id, time_ms, value, flags, arrived_ms) VALUES (?1, ?2, ?3, ?4, ?5) \
                 ON CONFLICT DO NOTHING",
            )?,
            raw: conn.prepare(
                "INSERT INTO raw (source_id, channel, payload, arrived_ms, device_ms, parser) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            )?,
            levels: Levels::new(conn)?,
            due: Vec::new(),
            new: Vec::new(),
        })
    }

    /// Keeps a batch; its levels wait for [`Appender::settle`] and [`Appender::flush`].
    pub(super) fn append(&mut self, batch: &Batch) -> Result<Ack> {
        let mut ack = Ack::default();
        for raw in &batch.raw {
            self.raw.execute(params![
                raw.source,
                raw.channel,
                raw.payload,
                batch.arrived_ms,
                raw.device_ms,
                raw.parser
            ])?;
        }
        for part in &batch.parts {
            let known: Option<(bool, bool)> =
                self.source.query_row([part.source], |r| Ok((r.get(0)?, r.get(1)?))).optional()?;
            let (complete, fine) =
                known.ok_or_else(|| StoreError::NoSource { name: part.source.to_string() })?;
            for point in &part.points {
                ack += self.point(part, *point, batch.arrived_ms, complete, fine)?;
            }
        }
        Ok(ack)
    }

    fn point(
        &mut self,
        part: &Part,
        point: Point,
        arrived_ms: i64,
        complete: bool,
        fine: bool,
    ) -> Result<Ack> {
        let mut ack = Ack::default();
        if !point.value.is_finite() || !TIMES.contains(&point.time_ms) {
            ack.refused = 1;
            return Ok(ack);
        }
        let ahead = if point.time_ms > arrived_ms.saturating_add(AHEAD_MS) { AHEAD } else { 0 };
        let flags = part.flags | ahead;
        let (source, time_ms, value) = (part.source, point.time_ms, point.value);
        if !complete {
            let held = self.hold.execute(params![source, time_ms, value, flags, arrived_ms])?;
            (ack.held, ack.twice) = (held, 1 - held.min(1));
            return Ok(ack);
        }
        if self.insert.execute(params![source, time_ms, value, flags])? == 1 {
            ack.kept = 1;
            Cell::add(&mut self.new, source, i64::from(!fine), time_ms, value);
            return Ok(ack);
        }
        let (arrivals, same): (i64, bool) =
            self.others.query_row(params![source, time_ms, value], |r| Ok((r.get(0)?, r.get(1)?)))?;
        if same {
            ack.twice = 1;
        } else {
            self.second.execute(params![source, time_ms, value, flags | SECOND, arrivals])?;
            ack.second = 1;
        }
        Ok(ack)
    }

    /// The last batch is kept, or was taken back.
    pub(super) fn settle(&mut self, kept: bool) {
        if kept {
            self.due.append(&mut self.new);
        } else {
            self.new.clear();
        }
    }

    /// Brings the levels up to what was kept.
    pub(super) fn flush(&mut self) -> Result<()> {
        self.levels.add(&mut self.due)
    }
}
