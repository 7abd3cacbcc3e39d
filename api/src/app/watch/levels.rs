//! A trace with least, sum and greatest of each 16, 256, 4096, ... readings, so that any window of it is
//! put together from few numbers, whether it spans seconds or years.

use serde::Serialize;

/// Readings in a cell of the first level, and cells in one of the next.
const PER: usize = 16;
/// Stretches of one window at most.
pub(super) const MOST_BUCKETS: usize = 4096;

#[derive(Clone, Copy, Debug)]
struct Cell {
    least: f64,
    greatest: f64,
    sum: f64,
}

impl Cell {
    const EMPTY: Cell = Cell { least: f64::INFINITY, greatest: f64::NEG_INFINITY, sum: 0.0 };

    fn of(value: f64) -> Cell {
        Cell { least: value, greatest: value, sum: value }
    }

    fn join(self, other: Cell) -> Cell {
        Cell {
            least: if other.least < self.least { other.least } else { self.least },
            greatest: if other.greatest > self.greatest { other.greatest } else { self.greatest },
            sum: self.sum + other.sum,
        }
    }
}

/// One trace.
#[derive(Clone, Debug)]
pub(super) struct Levels {
    times_ms: Vec<i64>,
    values: Vec<f64>,
    above: Vec<Vec<Cell>>,
}

/// What lies in a window, stretch by stretch; stretches without a reading are left out. SI.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub(super) struct Window {
    /// Start of each stretch, ms since 1970.
    pub(super) start_ms: Vec<i64>,
    /// Least reading of it.
    pub(super) least: Vec<f64>,
    /// Mean of its readings.
    pub(super) mean: Vec<f64>,
    /// Greatest.
    pub(super) greatest: Vec<f64>,
    /// How many there are.
    pub(super) count: Vec<usize>,
}

impl Levels {
    /// Of points in the order of time: ms and a finite SI value.
    pub(super) fn of(points: &[(i64, f64)]) -> Levels {
        let values: Vec<f64> = points.iter().map(|p| p.1).collect();
        let join = |cells: &[Cell]| cells.iter().copied().fold(Cell::EMPTY, Cell::join);
        let ground: Vec<Cell> = values.iter().map(|v| Cell::of(*v)).collect();
        let mut above: Vec<Vec<Cell>> = Vec::new();
        while above.last().map_or(ground.len(), Vec::len) > PER {
            let below = above.last().unwrap_or(&ground);
            above.push(below.chunks(PER).map(join).collect());
        }
        Levels { times_ms: points.iter().map(|p| p.0).collect(), values, above }
    }

    /// Number of readings.
    pub(super) fn count(&self) -> usize {
        self.values.len()
    }

    /// First and last moment, ms.
    pub(super) fn ends_ms(&self) -> Option<(i64, i64)> {
        Some((*self.times_ms.first()?, *self.times_ms.last()?))
    }

    /// `[from_ms, to_ms)` in so many stretches.
    pub(super) fn window(&self, from_ms: i64, to_ms: i64, buckets: usize) -> Window {
        let mut out = Window::default();
        let span = to_ms.saturating_sub(from_ms);
        let n = i64::try_from(buckets.min(MOST_BUCKETS)).unwrap_or(1);
        if span <= 0 || n == 0 {
            return out;
        }
        let per = (span - 1) / n + 1;
        let mut at = self.times_ms.partition_point(|t| *t < from_ms);
        while let Some(time_ms) = self.times_ms.get(at).filter(|t| **t < to_ms) {
            // Empty stretches are stepped over, however many there are.
            let start = from_ms + (time_ms - from_ms) / per * per;
            let end = start.saturating_add(per).min(to_ms);
            let next = at + self.times_ms[at..].partition_point(|t| *t < end);
            let cell = self.cell(at, next);
            out.start_ms.push(start);
            out.least.push(cell.least);
            out.mean.push(cell.sum / (next - at) as f64);
            out.greatest.push(cell.greatest);
            out.count.push(next - at);
            at = next;
        }
        out
    }

    /// The readings `[from, to)`: from the coarsest cells that fit, at both ends from finer ones.
    fn cell(&self, from: usize, to: usize) -> Cell {
        let ground = |all: Cell, at: usize| all.join(Cell::of(self.values[at]));
        let (mut from, mut to, mut all) = (from, to, Cell::EMPTY);
        for level in 0..=self.above.len() {
            let one = |all: Cell, at: usize| match level.checked_sub(1) {
                None => ground(all, at),
                Some(k) => all.join(self.above[k][at]),
            };
            let (low, high) = (from.next_multiple_of(PER).min(to), to / PER * PER);
            if level == self.above.len() || low >= high {
                return (from..to).fold(all, one);
            }
            all = (from..low).fold(all, one);
            all = (high..to).fold(all, one);
            (from, to) = (low / PER, high / PER);
        }
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use engine::rng::Stream;

    #[test]
    fn any_window_is_that_of_its_readings_one_by_one() {
        let mut random = Stream::new(7, "windows of a trace");
        let mut time_ms = 1_700_000_000_000;
        let points: Vec<(i64, f64)> = (0..70_000)
            .map(|_| {
                time_ms += (random.uniform() * 5000.0) as i64;
                (time_ms, (random.uniform() - 0.5) * 100.0)
            })
            .collect();
        let levels = Levels::of(&points);
        assert_eq!((levels.count(), levels.ends_ms().unwrap().1), (70_000, time_ms));
        for (from, span, buckets) in [
            (1_699_999_000_000, 400_000_000, 512),
            (1_700_000_123_456, 7_777_777, 100),
            (1_700_050_000_000, 900, 300),
            (1_700_100_000_000, 60_000, 1),
            (1_690_000_000_000, 1_000, 10),
        ] {
            let window = levels.window(from, from + span, buckets);
            let per = (span - 1) / buckets as i64 + 1;
            let inside: Vec<_> = points.iter().filter(|p| p.0 >= from && p.0 < from + span).collect();
            assert_eq!(window.count.iter().sum::<usize>(), inside.len());
            for (k, start) in window.start_ms.iter().enumerate() {
                let own: Vec<f64> =
                    inside.iter().filter(|p| p.0 >= *start && p.0 < start + per).map(|p| p.1).collect();
                assert_eq!(own.len(), window.count[k]);
                let (least, greatest) =
                    own.iter().fold((f64::MAX, f64::MIN), |(l, g), v| (l.min(*v), g.max(*v)));
                assert_eq!((least, greatest), (window.least[k], window.greatest[k]));
                let mean = own.iter().sum::<f64>() / own.len() as f64;
                assert!((mean - window.mean[k]).abs() < 1e-9, "{mean} {}", window.mean[k]);
            }
        }
        assert_eq!(levels.window(5, 5, 10), Window::default());
        assert_eq!(Levels::of(&[]).window(0, 100, 10), Window::default());
    }
}
