//! `kind = "tightness room"`: how much tighter a house may become for its exhausts.

use super::fan_flow::OwnLimit;
use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::units::Quantity as Q;

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct TightnessRoom {
    /// All exhausts less all supplies, m3/s.
    pub net_exhaust_m3_s: Option<Sp<f64>>,
    /// What measured it.
    pub with: Option<Sp<String>>,
    /// Tests of the exhausts that run.
    pub exhausts: Vec<Sp<String>>,
    /// Tests of the supplies that run.
    pub supplies: Vec<Sp<String>>,
    /// The limit, Pa.
    pub limit: Option<OwnLimit>,
    /// An earlier test whose pressure limit it is.
    pub limit_from: Option<Sp<String>>,
    /// Depressurisation measured with everything running, Pa.
    pub measured_pa: Option<f64>,
    /// What measured it.
    pub measured_with: Option<Sp<String>>,
    /// The envelope test; the last one where none is named.
    pub envelope: Option<Sp<String>>,
    /// Where the table stands.
    pub span: crate::diag::Span,
}

/// Reads it.
pub(super) fn read(t: &Tab<'_, '_>) -> Option<TightnessRoom> {
    let net = t.bounded("net_exhaust", Q::AirFlow, super::fan_flow::FLOWS);
    let (exhausts, supplies) = (t.texts("exhausts"), t.texts("supplies"));
    if net.is_none() && exhausts.is_empty() {
        t.need::<()>("net_exhaust", None);
    }
    let limit = super::fan_flow::own_limit(t, Q::Pressure, 0.1..=100.0);
    let limit_from = t.text("limit_from");
    if limit.is_none() && limit_from.is_none() {
        t.need::<()>("limit", None);
    }
    Some(TightnessRoom {
        net_exhaust_m3_s: net,
        with: t.text("with"),
        exhausts,
        supplies,
        limit,
        limit_from,
        measured_pa: t.bounded("measured", Q::Pressure, -200.0..=200.0).map(|p| p.value),
        measured_with: t.text("measured_with"),
        envelope: t.text("envelope"),
        span: t.span(),
    })
}
