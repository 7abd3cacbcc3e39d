//! Numbers a test starts from, with the half width of their 95 % interval where one is stated.

use super::field::LEVEL;
use crate::measure::{Estimate, NoInterval, propagate};
use crate::units::{Accuracy, Quantity};

/// A number and the half width of its 95 % interval, SI; without one where nobody stated it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    /// The number, SI.
    pub si: f64,
    /// Half width of its interval, SI.
    pub half: Option<f64>,
}

impl Known {
    /// Exactly this: a constant, a geometry, an assumption whose doubt is carried elsewhere.
    pub fn exact(si: f64) -> Known {
        Known { si, half: Some(0.0) }
    }

    /// Read with an instrument of this accuracy, or typed without one.
    pub fn read(si: f64, accuracy: Option<Accuracy>) -> Known {
        Known { si, half: accuracy.map(|a| a.limit(si)) }
    }

    /// From an earlier result; an uneven interval is taken at half its width.
    pub fn from_estimate(e: &Estimate) -> Known {
        Known { si: e.si, half: e.bounds().map(|(lo, hi)| 0.5 * (hi - lo)) }
    }

    /// The same with its sign turned where it is negative.
    #[must_use]
    pub fn size(self) -> Known {
        Known { si: self.si.abs(), ..self }
    }
}

/// What follows from `inputs` by `f` ([`propagate`]); without an interval where one of them has none.
///
/// ```
/// use engine::procedure::known::{Known, follows};
/// use engine::units::Quantity;
/// let ratio = follows(&[Known { si: 60.0, half: Some(6.0) }, Known::exact(30.0)], Quantity::Number, |x| x[0] / x[1]);
/// assert_eq!(ratio.bounds(), Some((1.8, 2.2)));
/// let typed = follows(&[Known { si: 60.0, half: None }], Quantity::Number, |x| x[0]);
/// assert_eq!(typed.bounds(), None);
/// ```
pub fn follows(inputs: &[Known], quantity: Quantity, f: impl Fn(&[f64]) -> f64) -> Estimate {
    let halves: Option<Vec<(f64, f64)>> = inputs.iter().map(|k| Some((k.si, k.half?))).collect();
    match halves {
        Some(inputs) => propagate(&inputs, LEVEL, quantity, f),
        None => {
            let values: Vec<f64> = inputs.iter().map(|k| k.si).collect();
            Estimate::without(f(&values), quantity, NoInterval::TypedWithoutInstrument)
        }
    }
}
