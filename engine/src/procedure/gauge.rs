//! What a pressure gauge may be wrong by, split into what its readings share and what each has alone.

use crate::units::Accuracy;

/// Errors of a pressure gauge, 95 % limits.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct GaugeError {
    /// Stated accuracy; nothing where no instrument was named.
    pub accuracy: Option<Accuracy>,
    /// Step of the display, Pa.
    pub resolution_pa: f64,
    /// How far readings wandered while they were taken, Pa either way.
    pub wandered_pa: f64,
}

impl GaugeError {
    /// Whether anything is known of it.
    pub fn is_stated(&self) -> bool {
        self.accuracy.is_some() || self.wandered_pa > 0.0
    }

    /// The relative part: one unknown gain for all readings of the gauge.
    pub fn gain(&self) -> f64 {
        self.accuracy.map_or(0.0, |a| a.relative)
    }

    /// What each reading has alone, Pa: the rest of the stated accuracy, half a step of the display
    /// and the wandering, in quadrature.
    ///
    /// ```
    /// use engine::procedure::gauge::GaugeError;
    /// use engine::units::Accuracy;
    /// let accuracy = Some(Accuracy { relative: 0.01, absolute: 0.25, larger: true });
    /// let gauge = GaugeError { accuracy, resolution_pa: 0.1, wandered_pa: 0.0 };
    /// // At 50 Pa the gain is all of it, at 5 Pa hardly any.
    /// assert!((gauge.own_pa(50.0) - 0.05).abs() < 1e-12);
    /// assert!((gauge.own_pa(5.0) - 0.2062).abs() < 1e-4);
    /// ```
    pub fn own_pa(&self, reading_pa: f64) -> f64 {
        let rest = self.accuracy.map_or(0.0, |a| a.limit(reading_pa) - a.relative * reading_pa.abs());
        let step = self.resolution_pa / 2.0;
        (rest * rest + step * step + self.wandered_pa * self.wandered_pa).sqrt()
    }

    /// Both together for one reading, Pa.
    pub fn total_pa(&self, reading_pa: f64) -> f64 {
        let (gain, own) = (self.gain() * reading_pa, self.own_pa(reading_pa));
        (gain * gain + own * own).sqrt()
    }
}
