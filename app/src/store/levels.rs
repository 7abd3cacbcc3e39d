//! Levels: aggregates of a series in cells of 1 min, 16 min, 4.3 h, 2.8 d and 46 d.
//!
//! Count, sum, least and greatest do not ask in which order readings come, and each reading is
//! added once, when it is first kept: so levels are right under disorder and repetition. A window is
//! put together from the coarsest level that fits into its stretches; at its two ends from finer
//! ones and from the readings themselves, so that every stretch counts exactly what lies in it.

use super::series::TIMES;
use super::trouble::Result;
use rusqlite::{Connection, Statement, params};

/// Width of a cell of each level, ms: each 16 of the one before.
const WIDTHS_MS: [i64; 5] = [60_000, 960_000, 15_360_000, 245_760_000, 3_932_160_000];

/// Readings within 16 minutes beyond which a source gets cells of a minute too: with one a minute
/// those would be as many as the readings and tell nothing more.
const MANY: i64 = 64;

/// A stretch of a window.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub(crate) struct Bucket {
    /// When it begins, ms since 1970.
    #[serde(rename = "time_ms")]
    pub(crate) t: i64,
    /// Least reading in it.
    pub(crate) min: f64,
    /// Mean of its readings.
    pub(crate) mean: f64,
    /// Greatest reading in it.
    pub(crate) max: f64,
    /// How many.
    pub(crate) count: i64,
}

/// What readings of one cell come to.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cell {
    source: i64,
    level: i64,
    start: i64,
    count: i64,
    sum: f64,
    min: f64,
    max: f64,
}

impl Cell {
    /// Adds a reading; neighbours in one cell come together at once.
    pub(super) fn add(cells: &mut Vec<Cell>, source: i64, level: i64, time_ms: i64, value: f64) {
        let start = time_ms.div_euclid(width(level));
        let one = Cell { source, level, start, count: 1, sum: value, min: value, max: value };
        match cells.last_mut() {
            Some(last) if last.place() == one.place() => last.join(&one),
            _ => cells.push(one),
        }
    }

    fn place(&self) -> (i64, i64, i64) {
        (self.source, self.level, self.start)
    }

    fn join(&mut self, other: &Cell) {
        self.count += other.count;
        self.sum += other.sum;
        if other.min < self.min {
            self.min = other.min;
        }
        if other.max > self.max {
            self.max = other.max;
        }
    }
}

fn width(level: i64) -> i64 {
    let n = usize::try_from(level).unwrap_or(0);
    WIDTHS_MS.get(n).or(WIDTHS_MS.last()).copied().unwrap_or(1)
}

/// Statements that keep the levels.
pub(super) struct Levels<'c> {
    conn: &'c Connection,
    upsert: Statement<'c>,
}

impl<'c> Levels<'c> {
    pub(super) fn new(conn: &'c Connection) -> Result<Levels<'c>> {
        let upsert = conn.prepare(
            "INSERT INTO level (source_id, level, start, count, sum, min, max) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7) \
             ON CONFLICT DO UPDATE SET count = count + excluded.count, sum = sum + excluded.sum, \
             min = min(min, excluded.min), max = max(max, excluded.max) RETURNING count",
        )?;
        Ok(Levels { conn, upsert })
    }

    /// Adds cells of new readings to their levels and all above.
    pub(super) fn add(&mut self, due: &mut Vec<Cell>) -> Result<()> {
        if due.is_empty() {
            return Ok(());
        }
        // A source whose cells are of 16 minutes may turn out to be a quick one.
        let mut coarse: Vec<i64> = due.iter().filter(|c| c.level == 1).map(|c| c.source).collect();
        coarse.dedup();
        let mut quick: Vec<i64> = Vec::new();
        for level in 0_i64..WIDTHS_MS.len() as i64 {
            let mut cells: Vec<Cell> = due.extract_if(.., |c| c.level == level).collect();
            cells.sort_by_key(Cell::place);
            cells.dedup_by(|next, first| {
                let same = next.place() == first.place();
                if same {
                    first.join(next);
                }
                same
            });
            for c in &cells {
                let count: i64 = self
                    .upsert
                    .query_row(params![c.source, c.level, c.start, c.count, c.sum, c.min, c.max], |row| {
                        row.get(0)
                    })?;
                if level == 1 && count > MANY && coarse.contains(&c.source) && !quick.contains(&c.source) {
                    quick.push(c.source);
                }
                if level + 1 < WIDTHS_MS.len() as i64 {
                    due.push(Cell { level: level + 1, start: c.start.div_euclid(16), ..*c });
                }
            }
        }
        due.clear();
        for source in quick {
            refine(self.conn, source)?;
        }
        Ok(())
    }
}

/// Gives a source cells of a minute, from all its readings.
fn refine(conn: &Connection, source: i64) -> Result<()> {
    let changed = conn.execute("UPDATE source SET fine = 1 WHERE id = ?1 AND fine = 0", [source])?;
    if changed == 1 {
        fill(conn, source, 0)?;
    }
    Ok(())
}

fn fill(conn: &Connection, source: i64, level: i64) -> Result<()> {
    conn.execute(
        "INSERT INTO level (source_id, level, start, count, sum, min, max) \
         SELECT source_id, ?2, time_ms / ?3, count(*), sum(value), min(value), max(value) \
         FROM point WHERE source_id = ?1 AND arrival = 0 GROUP BY time_ms / ?3",
        params![source, level, width(level)],
    )?;
    Ok(())
}

/// Makes all levels of a source anew.
pub(super) fn rebuild(conn: &Connection, source: i64) -> Result<()> {
    conn.execute("DELETE FROM level WHERE source_id = ?1", [source])?;
    let fine: bool = conn.query_row("SELECT fine FROM source WHERE id = ?1", [source], |r| r.get(0))?;
    for level in i64::from(!fine)..WIDTHS_MS.len() as i64 {
        fill(conn, source, level)?;
    }
    Ok(())
}

/// See [`super::Store::window`].
pub(super) fn window(
    conn: &Connection,
    source: i64,
    from_ms: i64,
    to_ms: i64,
    buckets: usize,
) -> Result<Vec<Bucket>> {
    // No reading lies outside of these, and sums of times stay numbers.
    let (from_ms, to_ms) = (from_ms.max(TIMES.start), to_ms.min(TIMES.end));
    let span = to_ms.saturating_sub(from_ms);
    let n = i64::try_from(buckets).unwrap_or(i64::MAX);
    if span <= 0 || n == 0 {
        return Ok(Vec::new());
    }
    let fine: bool = conn.query_row("SELECT fine FROM source WHERE id = ?1", [source], |r| r.get(0))?;
    let first = i64::from(!fine);
    let each = span.div_euclid(n) + i64::from(span.rem_euclid(n) > 0);
    let level = (first..WIDTHS_MS.len() as i64).rev().find(|l| width(*l) <= each.saturating_mul(2));
    // (Cells up to twice the stretch that was asked for: half as many, but never sixteen times the rows.)
    let cell = level.map_or(1, width);
    // Stretches of whole cells, so that only the ends of the window cut through one.
    let origin = from_ms.div_euclid(cell) * cell;
    let per = (to_ms - origin).div_euclid(n) + i64::from((to_ms - origin).rem_euclid(n) > 0);
    let per = (per.div_euclid(cell) + i64::from(per.rem_euclid(cell) > 0)).max(1) * cell;
    let mut view = View { conn, source, first, from_ms, origin, per, cells: Vec::new() };
    view.take(level.unwrap_or(first - 1), from_ms, to_ms)?;
    Ok(view.buckets())
}

struct View<'c> {
    conn: &'c Connection,
    source: i64,
    first: i64,
    from_ms: i64,
    origin: i64,
    per: i64,
    /// `start` is the number of the stretch.
    cells: Vec<Cell>,
}

impl View<'_> {
    /// Adds what lies in `[from, to)`, from the level and what is below it.
    fn take(&mut self, level: i64, from: i64, to: i64) -> Result<()> {
        if from >= to {
            return Ok(());
        }
        if level < self.first {
            return self.points(from, to);
        }
        let w = width(level);
        let (low, high) = (from.div_euclid(w) + i64::from(from.rem_euclid(w) > 0), to.div_euclid(w));
        if low >= high {
            return self.take(level - 1, from, to);
        }
        self.take(level - 1, from, low * w)?;
        self.whole(level, low, high)?;
        self.take(level - 1, high * w, to)
    }

    fn whole(&mut self, level: i64, low: i64, high: i64) -> Result<()> {
        let mut select = self.conn.prepare(
            "SELECT start, count, sum, min, max FROM level \
             WHERE source_id = ?1 AND level = ?2 AND start >= ?3 AND start < ?4 ORDER BY start",
        )?;
        let mut rows = select.query(params![self.source, level, low, high])?;
        while let Some(row) = rows.next()? {
            let start: i64 = row.get(0)?;
            self.put(Cell {
                source: self.source,
                level,
                start: (start * width(level) - self.origin).div_euclid(self.per),
                count: row.get(1)?,
                sum: row.get(2)?,
                min: row.get(3)?,
                max: row.get(4)?,
            });
        }
        Ok(())
    }

    fn points(&mut self, from: i64, to: i64) -> Result<()> {
        let mut select = self.conn.prepare(
            "SELECT time_ms, value FROM point \
             WHERE source_id = ?1 AND time_ms >= ?2 AND time_ms < ?3 AND arrival = 0 ORDER BY time_ms",
        )?;
        let mut rows = select.query(params![self.source, from, to])?;
        while let Some(row) = rows.next()? {
            let (time_ms, value): (i64, f64) = (row.get(0)?, row.get(1)?);
            let start = (time_ms - self.origin).div_euclid(self.per);
            self.put(Cell {
                source: self.source,
                level: 0,
                start,
                count: 1,
                sum: value,
                min: value,
                max: value,
            });
        }
        Ok(())
    }

    /// Everything comes in order of time.
    fn put(&mut self, cell: Cell) {
        match self.cells.last_mut() {
            Some(last) if last.start == cell.start => last.join(&cell),
            _ => self.cells.push(cell),
        }
    }

    fn buckets(&self) -> Vec<Bucket> {
        let start = |n: i64| (self.origin + n * self.per).max(self.from_ms);
        self.cells
            .iter()
            .map(|c| Bucket {
                t: start(c.start),
                min: c.min,
                mean: c.sum / c.count as f64,
                max: c.max,
                count: c.count,
            })
            .collect()
    }
}
