//! Outdoor air from public agencies, where `watch.toml` asks for it: a weather service's nearest
//! station and the nearest particle monitor, by latitude and longitude, once an hour.
//!
//! Answers are kept below `out/outdoor`, so that an agency is not asked more often than it has news,
//! whatever is started how often, and so that a day without a network is a day without new readings and
//! nothing else.

mod particles;
mod weather;

use super::web::{Kept, Web};
use super::{Arrival, Inlet, Reading, Stop, Trouble, Via};
use crate::clock;
use engine::doc::watch::Outdoor;
use engine::math;
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

pub(crate) use particles::Particles;
pub(crate) use weather::Weather;

/// How often it is looked whether there is news.
const LOOK: Duration = Duration::from_secs(600);
/// Mean radius of the earth, m (IUGG).
const EARTH_M: f64 = 6_371_009.0;

/// Something of an agency's answer: a word of `doc::watch::QUANTITIES`, time and SI value.
pub(crate) type Observed = (&'static str, i64, f64);

/// A public agency.
pub(crate) trait Agency: Send {
    /// Its name here.
    fn name(&self) -> &'static str;
    /// The newest observation as it is kept, short.
    ///
    /// # Errors
    ///
    /// Why there is none.
    fn latest(&self, now_ms: i64) -> Result<Vec<u8>, String>;
}

/// What stands in an answer that was kept.
pub(crate) fn read(name: &str, body: &[u8]) -> Result<Vec<Observed>, Trouble> {
    match name {
        weather::NAME => weather::read(body),
        particles::NAME => particles::read(body),
        _ => Err(Trouble::Unknown),
    }
}

/// The readings of an answer; their sources are called `outdoor.<word>`.
pub(crate) fn readings(name: &str, body: &[u8]) -> Result<Vec<Reading>, Trouble> {
    let named = |(word, time_ms, value): Observed| {
        let source = Arc::from(format!("outdoor.{word}"));
        Reading { source, time_ms, value }
    };
    Ok(read(name, body)?.into_iter().map(named).collect())
}

/// Distance of two places on the ground, m; short of a few hundred km (equirectangular).
fn apart_m((lat_a, lon_a): (f64, f64), (lat_b, lon_b): (f64, f64)) -> f64 {
    let middle = (0.5 * (lat_a + lat_b)).to_radians();
    // The short way round.
    let turn = (lon_a - lon_b + 540.0).rem_euclid(360.0) - 180.0;
    let (east, north) = (turn.to_radians() * math::cos(middle), (lat_a - lat_b).to_radians());
    EARTH_M * (east * east + north * north).sqrt()
}

/// The agencies that the document turns on.
pub(crate) fn agencies(at: &Outdoor, out: &Path) -> Vec<Box<dyn Agency>> {
    let says = format!("airwright/{} ({})", env!("CARGO_PKG_VERSION"), at.contact.value);
    let kept = || Kept::new(Web::new(&says), &out.join("outdoor"));
    let mut list: Vec<Box<dyn Agency>> = Vec::new();
    if at.weather {
        list.push(Box::new(Weather::new(at, kept())));
    }
    if at.particles {
        list.push(Box::new(Particles::new(at, kept())));
    }
    list
}

/// How each agency is doing: its name, and why it gave nothing.
pub(crate) type Doing = Arc<Mutex<Vec<(&'static str, Option<String>)>>>;

/// Asks each agency once.
pub(crate) fn ask(agencies: &[Box<dyn Agency>], inlet: &Inlet, doing: &Doing) -> bool {
    let mut said = Vec::new();
    for agency in agencies {
        let now_ms = clock::now_ms();
        match agency.latest(now_ms) {
            Ok(body) => {
                if !inlet.put(Arrival::new(Via::Agency(agency.name()), body, now_ms)) {
                    return false;
                }
                said.push((agency.name(), None));
            }
            Err(why) => said.push((agency.name(), Some(why))),
        }
    }
    *doing.lock().unwrap_or_else(PoisonError::into_inner) = said;
    true
}

/// Asks from time to time until told to stop.
pub(crate) fn watch(
    agencies: Vec<Box<dyn Agency>>,
    inlet: Inlet,
    doing: Doing,
    stop: Stop,
) -> Result<(), String> {
    let work = move || while ask(&agencies, &inlet, &doing) && !stop.wait(LOOK) {};
    std::thread::Builder::new().name("outdoor".to_owned()).spawn(work).map(|_| ()).map_err(|e| e.to_string())
}

#[cfg(test)]
mod tests;
