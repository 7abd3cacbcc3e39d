//! Time of one solution of a house of 12 zones and 60 leaks, alone and eight at once.
//! Run with `cargo bench -p airwright-validate --bench network`; `./validate/speed` makes the whole
//! table beside EPANET.
#![expect(clippy::print_stdout, reason = "a bench prints")]

use engine::network::Level;
use validate::speed::{EPANET_SERIES, Series, TOGETHER};

fn main() {
    for (place, name) in EPANET_SERIES.iter().enumerate() {
        for together in [1, TOGETHER] {
            let series = Series::new(12, together, place == 0);
            for level in Level::ALL.into_iter().filter(|level| level.is_available()) {
                let t = series.solve(level, 200);
                println!("{name}, {together} at once, {level:?}: {:.2} us, {:.2} steps", t.us, t.iterations);
            }
        }
    }
}
