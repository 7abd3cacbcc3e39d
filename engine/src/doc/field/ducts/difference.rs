//! `kind = "duct leakage by difference"`: two envelope tests, registers open and sealed.

use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::units::Quantity as Q;

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// The envelope test with open registers.
    pub open: Sp<String>,
    /// The envelope test with sealed registers.
    pub sealed: Sp<String>,
    /// Ducts against the house with the registers sealed and the house at 50 Pa, Pa.
    pub duct_pa: Option<f64>,
    /// The gauge.
    pub pressure_with: Option<Sp<String>>,
}

/// Reads it.
pub(in crate::doc::field) fn read(t: &Tab<'_, '_>) -> Option<Difference> {
    let (open, sealed) = (t.need("open", t.text("open")), t.need("sealed", t.text("sealed")));
    let duct = t.bounded("duct", Q::Pressure, -50.0..=50.0);
    let pressure_with = t.text("pressure_with");
    Some(Difference { open: open?, sealed: sealed?, duct_pa: duct.map(|p| p.value), pressure_with })
}
