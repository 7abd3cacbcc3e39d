//! Where to start: the last pressures, carried on in a straight line.

/// The last two answers of a series in short steps, from which the next one is guessed.
///
/// Worth it where boundaries move on in straight pieces (weather between hourly records, at 5
/// minutes: a third of the Newton steps saved), not where each is new. The guess depends on the
/// answers pushed alone.
#[derive(Clone, Debug, Default)]
pub struct Trail {
    last: Vec<f64>,
    guess: Vec<f64>,
    count: usize,
}

impl Trail {
    /// A trail without any answer.
    pub fn new() -> Self {
        Self::default()
    }

    /// Forgets the answers: the next boundary has nothing to do with the last one.
    pub fn clear(&mut self) {
        self.count = 0;
    }

    /// Adds an answer's reference pressures, Pa.
    pub fn push(&mut self, zone_pa: &[f64]) {
        if self.last.len() != zone_pa.len() {
            self.count = 0;
        }
        if self.count == 0 {
            self.guess.clear();
            self.guess.extend_from_slice(zone_pa);
        } else {
            for ((guess, now), last) in self.guess.iter_mut().zip(zone_pa).zip(&self.last) {
                *guess = now + (now - last);
            }
        }
        self.last.clear();
        self.last.extend_from_slice(zone_pa);
        self.count += 1;
    }

    /// Reference pressures to start from, Pa; nothing before the first answer.
    pub fn start(&self) -> Option<&[f64]> {
        (self.count > 0).then_some(&self.guess[..])
    }
}
