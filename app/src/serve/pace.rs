//! How often one may ask: a bucket for each address and device that fills with time.

use std::collections::BTreeMap;
use std::hash::Hash;
use std::net::{IpAddr, Ipv6Addr};
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Whose bucket.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Whose {
    Address(IpAddr),
    Device(i64),
}

/// Buckets that are kept: more than a local network has machines; then the fullest go.
const MOST: usize = 4096;

/// Buckets of one size.
pub(super) struct Pace {
    burst: f64,
    per_second: f64,
    buckets: Mutex<BTreeMap<Whose, (f64, Instant)>>,
}

impl Pace {
    pub(super) fn new(burst: f64, per_second: f64) -> Pace {
        Pace { burst, per_second, buckets: Mutex::new(BTreeMap::new()) }
    }

    /// Takes one; where there is none, the seconds until there is.
    pub(super) fn take(&self, whose: Whose, now: Instant) -> Result<(), u64> {
        self.draw(whose, now, 1.0)
    }

    /// Whether there is one, without taking it.
    pub(super) fn look(&self, whose: Whose, now: Instant) -> Result<(), u64> {
        self.draw(whose, now, 0.0)
    }

    fn draw(&self, whose: Whose, now: Instant, cost: f64) -> Result<(), u64> {
        let mut buckets = self.buckets.lock().unwrap_or_else(PoisonError::into_inner);
        let (burst, per_second) = (self.burst, self.per_second);
        let level = |(level, last): (f64, Instant)| {
            let gained = now.saturating_duration_since(last).as_secs_f64() * per_second;
            (level + gained).min(burst)
        };
        if buckets.len() >= MOST && !buckets.contains_key(&whose) {
            // Full buckets say nothing that a new one does not.
            buckets.retain(|_, bucket| level(*bucket) < burst);
            if buckets.len() >= MOST {
                return Err(1);
            }
        }
        let left = level(buckets.get(&whose).copied().unwrap_or((burst, now)));
        let may = left >= 1.0;
        buckets.insert(whose, (if may { left - cost } else { left }, now));
        if may { Ok(()) } else { Err(whole_seconds((1.0 - left) / per_second)) }
    }
}

/// Seconds, rounded up.
fn whole_seconds(wait_s: f64) -> u64 {
    // A wait that is no number is a short one.
    Duration::try_from_secs_f64(wait_s).unwrap_or_default().as_secs() + 1
}

/// The address that a bucket is for: of IPv6 the network, since one machine has any number of addresses in it.
pub(super) fn of(address: IpAddr) -> Whose {
    Whose::Address(match address {
        IpAddr::V4(_) => address,
        IpAddr::V6(v6) => IpAddr::V6(Ipv6Addr::from(u128::from(v6) & !u128::from(u64::MAX))),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock;

    #[test]
    fn a_bucket_empties_and_fills() {
        let pace = Pace::new(5.0, 5.0 / 60.0);
        let (one, other) = (of("10.0.0.1".parse().unwrap()), of("10.0.0.2".parse().unwrap()));
        let now = clock::monotonic();
        for _ in 0..5 {
            assert_eq!(pace.take(one, now), Ok(()));
        }
        assert_eq!(pace.take(one, now), Err(13));
        assert_eq!(pace.look(other, now), Ok(()));
        assert_eq!(pace.take(one, now + Duration::from_secs(11)), Err(2));
        assert_eq!(pace.take(one, now + Duration::from_secs(13)), Ok(()));
        // One machine of a network of IPv6 is as good as another.
        assert_eq!(of("fd00::1".parse().unwrap()), of("fd00::ffff:1".parse().unwrap()));
    }
}
