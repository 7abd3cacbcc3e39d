//! Field tests in a visit: `[test.NAME]` with a `kind`; one module a kind.
//!
//! A test without `kind` is an envelope test ([`super::visit::EnvelopeTest`]).

pub mod change;
pub mod guarded;
pub mod sealing;
pub mod surface;

use super::Sp;
use super::read::Tab;
use crate::diag::Span;

/// What one test asks, by kind.
#[derive(Clone, Debug, PartialEq)]
pub enum Asked {
    /// Two envelope tests compared.
    Change(change::Change),
    /// Two tests of one unit, with and without its neighbours' pressure.
    Guarded(guarded::GuardedUnit),
    /// The fan runs while holes are closed.
    Sealing(sealing::Sealing),
    /// Moisture at a surface.
    Surface(surface::Surface),
}

/// A test as written.
#[derive(Clone, Debug, PartialEq)]
pub struct FieldTest {
    /// Its name.
    pub name: Sp<String>,
    /// Its kind, as written in documents.
    pub kind: &'static str,
    /// What was touched for it.
    pub set: Vec<(Sp<String>, Sp<String>)>,
    /// Anything else the tester wrote.
    pub note: Option<String>,
    /// What it asks.
    pub asked: Asked,
    /// Where the table stands.
    pub span: Span,
}

type Reader = fn(&Tab<'_, '_>) -> Option<Asked>;

/// Kinds of tests and who reads them; the name is also the key of its title, `test-...`, with
/// hyphens for spaces.
pub const KINDS: &[(&str, Reader)] = &[
    ("change", |t| change::read(t).map(Asked::Change)),
    ("guarded unit", |t| guarded::read(t).map(Asked::Guarded)),
    ("sealing session", |t| sealing::read(t).map(Asked::Sealing)),
    ("surface", |t| surface::read(t).map(Asked::Surface)),
];

/// Reads a test that has a `kind`.
pub(super) fn read((name, t): &(Sp<String>, Tab<'_, '_>)) -> Option<FieldTest> {
    // An envelope test may be told to be one; it does not come here.
    let choices: Vec<(&'static str, usize)> =
        KINDS.iter().map(|k| k.0).chain(["envelope"]).enumerate().map(|(i, k)| (k, i)).collect();
    let kind = t.choice("kind", &choices);
    let (set, note) = (t.pairs("set"), t.text("note").map(|n| n.value));
    let Some((kind, reader)) = kind.and_then(|k| KINDS.get(k.value)) else {
        t.leave_alone();
        return None;
    };
    Some(FieldTest { name: name.clone(), kind, set, note, asked: reader(t)?, span: t.span() })
}
