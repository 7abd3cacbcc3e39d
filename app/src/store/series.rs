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

/// Messages without a reading that are kept, the newest, and their bytes; a twentieth more until their room is
/// looked at.
pub(crate) const MOST_UNREAD: usize = 10_000;
pub(crate) const MOST_UNREAD_BYTES: usize = 64 << 20;

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
    /// Messages without a reading that are no longer kept, the oldest: newer ones took their room.
    pub(crate) dropped: usize,
}

#[cfg(test)]
impl std::ops::AddAssign for Ack {
    fn add_assign(&mut self, other: Ack) {
        self.kept += other.kept;
        self.twice += other.twice;
        self.second += other.second;
        self.held += other.held;
        self.refused += other.refused;
        self.dropped += other.dropped;
    }
}

/// Statements of the intake, prepared once, and the levels that are due.
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
    unread: Statement<'c>,
    drop: Statement<'c>,
    /// Messages without a reading since their room was last looked at, and their bytes.
    fresh: (usize, usize),
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
            // The newest of those that no longer fit.
            unread: conn.prepare(
                "SELECT arrived_ms, id FROM (SELECT arrived_ms, id, count(*) OVER newer AS n, \
                 sum(length(payload)) OVER newer AS bytes FROM raw WHERE source_id IS NULL \
                 WINDOW newer AS (ORDER BY arrived_ms DESC, id DESC)) WHERE n > ?1 OR bytes > ?2 LIMIT 1",
            )?,
            drop: conn.prepare(
                "DELETE FROM raw WHERE source_id IS NULL AND (arrived_ms, id) <= (?1, ?2)",
            )?,
            fresh: (MOST_UNREAD, MOST_UNREAD_BYTES),
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
        let unread = || batch.raw.iter().filter(|r| r.source.is_none());
        self.fresh.0 += unread().count();
        self.fresh.1 += unread().map(|r| r.payload.len()).sum::<usize>();
        if unread().next().is_some()
            && (self.fresh.0 >= MOST_UNREAD / 20 || self.fresh.1 >= MOST_UNREAD_BYTES / 20)
        {
            ack.dropped = self.make_room()?;
        }
        for part in &batch.parts {
            let known: Option<(bool, bool)> =
                self.source.query_row([part.source], |r| Ok((r.get(0)?, r.get(1)?))).optional()?;
            let (complete, fine) =
                known.ok_or_else(|| StoreError::NoSource { name: part.source.to_string() })?;
            if complete {
                self.part(part, batch.arrived_ms, fine, &mut ack)?;
            } else {
                self.wait(part, batch.arrived_ms, &mut ack)?;
            }
        }
        Ok(ack)
    }

    /// Keeps the newest of the messages without a reading only.
    fn make_room(&mut self) -> Result<usize> {
        self.fresh = (0, 0);
        let most = params![MOST_UNREAD as i64, MOST_UNREAD_BYTES as i64];
        let last = self.unread.query_row(most, |r| Ok((r.get::<_, i64>(0)?, r.get::<_, i64>(1)?)));
        match last.optional()? {
            Some((arrived_ms, id)) => Ok(self.drop.execute([arrived_ms, id])?),
            None => Ok(0),
        }
    }

    /// Readings that count. The inner loop of the intake: what is the same for all is bound once.
    fn part(&mut self, part: &Part, arrived_ms: i64, fine: bool, ack: &mut Ack) -> Result<()> {
        let (source, level) = (part.source, i64::from(!fine));
        self.insert.raw_bind_parameter(1, source)?;
        for point in &part.points {
            let (time_ms, value) = (point.time_ms, point.value);
            let Some(flags) = flags(part, *point, arrived_ms) else {
                ack.refused += 1;
                continue;
            };
            self.insert.raw_bind_parameter(2, time_ms)?;
            self.insert.raw_bind_parameter(3, value)?;
            self.insert.raw_bind_parameter(4, flags)?;
            if self.insert.raw_execute()? == 1 {
                ack.kept += 1;
                Cell::add(&mut self.new, source, level, time_ms, value);
                continue;
            }
            let (arrivals, same): (i64, bool) =
                self.others.query_row(params![source, time_ms, value], |r| Ok((r.get(0)?, r.get(1)?)))?;
            if same {
                ack.twice += 1;
            } else {
                self.second.execute(params![source, time_ms, value, flags | SECOND, arrivals])?;
                ack.second += 1;
            }
        }
        Ok(())
    }

    /// Readings that wait for the description of their source.
    fn wait(&mut self, part: &Part, arrived_ms: i64, ack: &mut Ack) -> Result<()> {
        for point in &part.points {
            match flags(part, *point, arrived_ms) {
                None => ack.refused += 1,
                Some(flags) => {
                    let row = params![part.source, point.time_ms, point.value, flags, arrived_ms];
                    let held = self.hold.execute(row)?;
                    ack.held += held;
                    ack.twice += 1 - held.min(1);
                }
            }
        }
        Ok(())
    }

    /// The last batch is kept, or was taken back.
    pub(super) fn settle(&mut self, kept: bool) {
        if kept {
            self.due.append(&mut self.new);
        } else {
            self.new.clear();
        }
    }

    /// Forgets what a transaction that was taken back has left.
    pub(super) fn clear(&mut self) {
        self.due.clear();
        self.new.clear();
    }

    /// Brings the levels up to what was kept.
    pub(super) fn flush(&mut self) -> Result<()> {
        self.levels.add(&mut self.due)
    }
}

/// Flags of a reading; nothing for one that can be none.
fn flags(part: &Part, point: Point, arrived_ms: i64) -> Option<u32> {
    if !point.value.is_finite() || !TIMES.contains(&point.time_ms) {
        return None;
    }
    let ahead = point.time_ms > arrived_ms.saturating_add(AHEAD_MS);
    Some(part.flags | if ahead { AHEAD } else { 0 })
}
