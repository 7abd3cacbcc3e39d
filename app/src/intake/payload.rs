//! Messages of other shapes than plain JSON.

use super::Trouble;
use engine::doc::watch::Source;

/// Values of a message, in the source's unit, with their own times where they have some.
pub(super) fn read(_source: &Source, _body: &[u8], _at_ms: i64) -> Result<Vec<(f64, Option<i64>)>, Trouble> {
    Err(Trouble::Malformed)
}
