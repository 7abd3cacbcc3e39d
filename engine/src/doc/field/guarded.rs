//! `kind = "guarded unit"`: two envelope tests of one unit, its neighbours open to outdoors in one and
//! held at its own pressure in the other.

use crate::doc::Sp;
use crate::doc::read::Tab;

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct GuardedUnit {
    /// The test with the neighbours open to outdoors.
    pub unguarded: Sp<String>,
    /// The test with the neighbours at the unit's pressure.
    pub guarded: Sp<String>,
}

/// Reads it.
pub(super) fn read(t: &Tab<'_, '_>) -> Option<GuardedUnit> {
    let unguarded = t.need("unguarded", t.text("unguarded"));
    let guarded = t.need("guarded", t.text("guarded"));
    Some(GuardedUnit { unguarded: unguarded?, guarded: guarded? })
}
