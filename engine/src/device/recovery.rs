//! Heat and moisture recovery between two air streams.

/// Effectiveness of a recovery core (ASHRAE Standard 84's definition, from memory), 0 to 1.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Recovery {
    /// Of temperature.
    pub sensible: f64,
    /// Of humidity ratio.
    pub latent: f64,
}

impl Recovery {
    /// Value of the supplied stream: outdoors plus the effectiveness times the difference, limited
    /// by the smaller of the two flows (`exhaust_share` = exhaust flow / supply flow, at most 1
    /// counts).
    pub fn supplied(effectiveness: f64, outdoors: f64, exhausted: f64, exhaust_share: f64) -> f64 {
        outdoors + effectiveness.clamp(0.0, 1.0) * exhaust_share.clamp(0.0, 1.0) * (exhausted - outdoors)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 35 degC / 50 % outside, 24 degC / 50 % inside, 0.65 sensible: 27.85 degC (reference case).
    #[test]
    fn cooling_case() {
        assert!((Recovery::supplied(0.65, 35.0, 24.0, 1.0) - 27.85).abs() < 1e-12);
    }
}
