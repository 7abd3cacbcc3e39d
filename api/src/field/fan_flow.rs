//! The flow of one exhaust or supply.

use super::look::Measured;
use super::{Around, Done};
use engine::diag::{Diagnostic, code};
use engine::doc::Sp;
use engine::doc::field::fan_flow::{By, FanFlow, OwnLimit};
use engine::doc::field::recovery::Flow;
use engine::doc::visit::FlowBasis;
use engine::measure::Estimate;
use engine::procedure::fan_flow::{
    Asked, BackPressure, HoodPressure, Method, ORIFICE_DISCHARGE, ProbeShows, Site, SiteKnown, evaluate,
};
use engine::procedure::field::{LEVEL, Limit};
use engine::units::Quantity;
use serde_json::Value;

pub(super) fn own_limit(own: &OwnLimit, lo: bool) -> Limit {
    Limit {
        lo: lo.then_some(own.value),
        hi: (!lo).then_some(own.value),
        clause: None,
        source: own.source.clone(),
        confirmed: own.confirmed,
    }
}

pub(super) fn work(asked: &FanFlow, name: &Sp<String>, around: &Around<'_>) -> Option<Done> {
    let density_kg_m3 = around.density_kg_m3(asked.air_k.unwrap_or(around.indoor_k()));
    let method = match asked.by.value {
        By::Hood | By::PoweredHood => hood(asked, density_kg_m3, around),
        By::OrificeBox => orifice(asked, around),
        By::Probe => probe(asked, around),
    }?;
    let result = evaluate(&Asked {
        method,
        density_kg_m3,
        serves: asked.serves.map(|room| (room, asked.runs, asked.room_volume_m3)),
        inch_pound: around.inch_pound(),
        limit: asked.limit.as_ref().map(|l| own_limit(l, true)),
    });
    match result {
        Ok(found) => {
            let mut done = Done::new(&found, found.worked());
            if let Value::Object(detail) = &mut done.detail {
                let with = asked.with.as_ref().map(|w| Value::from(w.value.as_str()));
                detail.extend(with.map(|w| ("with".to_owned(), w)));
                detail.insert("way".to_owned(), serde_json::to_value(asked.way).unwrap_or_default());
            }
            Some(done)
        }
        Err(said) => {
            around.say(said.at(name.span.clone()).arg("test", name.value.as_str()));
            None
        }
    }
}

fn missing<T>(asked: &FanFlow, key: &'static str, value: Option<T>, around: &Around<'_>) -> Option<T> {
    if value.is_none() {
        around.say(Diagnostic::error(code::X103).at(asked.by.span.clone()).arg("key", key));
    }
    value
}

fn hood(asked: &FanFlow, density_kg_m3: f64, around: &Around<'_>) -> Option<Method> {
    let flows = missing(asked, "flow", asked.flows.as_ref(), around)?;
    let instrument = around.instrument(asked.with.as_ref(), Quantity::AirFlow);
    // Flow of a display made for one density, at the density that is there.
    let factor = match instrument.map(|i| (i.shows, i.calibration_density_kg_m3)) {
        None | Some((FlowBasis::ActualDensity, _)) => 1.0,
        Some((FlowBasis::CalibrationDensity, calibrated)) => (calibrated / density_kg_m3).sqrt(),
        Some(_) => {
            let span = asked.with.as_ref().map(|w| w.span.clone());
            around.say(Diagnostic::error(code::X105).at(span));
            return None;
        }
    };
    let read = asked.hood_pressure_pa.map(HoodPressure::Read);
    let stated = asked.hood_resistance.map(|(pa, at)| HoodPressure::Stated(pa, at));
    let back = read.or(stated).zip(asked.fan_pressure_pa).map(|(hood, fan_pa)| BackPressure {
        hood,
        fan_pa,
        fan_at_no_flow: asked.fan_at_no_flow,
    });
    Some(Method::Hood {
        shown: flows.value.iter().map(|q| q * factor).collect(),
        accuracy: instrument.and_then(|i| i.accuracy),
        powered: asked.by.value == By::PoweredHood,
        field_error: asked.field_error,
        back,
    })
}

fn orifice(asked: &FanFlow, around: &Around<'_>) -> Option<Method> {
    let pressures = missing(asked, "pressure", asked.pressures.as_ref(), around)?;
    let area_m2 = missing(asked, "area", asked.area_m2, around)?;
    Some(Method::Orifice {
        shown: pressures.value.clone(),
        accuracy: around.accuracy(asked.with.as_ref(), Quantity::Pressure),
        area_m2,
        // A coefficient of the user's own is taken as the box's calibration.
        discharge: asked.discharge.map_or(ORIFICE_DISCHARGE, |cd| (cd, 0.0)),
        fan: asked.fan_pressure_pa.map(|pa| (pa, asked.fan_at_no_flow)),
    })
}

fn probe(asked: &FanFlow, around: &Around<'_>) -> Option<Method> {
    let (shows, shown, quantity) = match (&asked.speeds, &asked.pressures) {
        (Some(s), _) => (ProbeShows::Speed, s, Quantity::Speed),
        (None, Some(p)) => (ProbeShows::VelocityPressure, p, Quantity::Pressure),
        (None, None) => return missing(asked, "speed", None, around),
    };
    let area_m2 = missing(asked, "diameter", asked.area_m2, around)?;
    let site = match (&asked.site, &asked.site_from) {
        (Some(site), _) => {
            let flow =
                Flow { value: site.good.clone(), with: site.good_with.clone(), from: site.good_from.clone() };
            let Measured { flow: good, .. } = around.flow(&flow)?;
            let beside = match shows {
                ProbeShows::Speed => ("site.speed", &site.speeds),
                ProbeShows::VelocityPressure => ("site.velocity_pressure", &site.pressures),
            };
            let beside = missing(asked, beside.0, beside.1.as_ref(), around)?;
            SiteKnown::Learned { good, shown: beside.value.clone() }
        }
        (None, Some(from)) => SiteKnown::Before(learned(from, around)?),
        (None, None) => SiteKnown::Unknown,
    };
    Some(Method::Probe {
        shows,
        shown: shown.value.clone(),
        accuracy: around.accuracy(asked.with.as_ref(), quantity),
        probe: asked.with.as_ref().map(|w| w.value.clone()),
        area_m2,
        site,
    })
}

/// The site that an earlier test learned.
fn learned(from: &Sp<String>, around: &Around<'_>) -> Option<Site> {
    let site = around.earlier(from)?.detail.get("site")?;
    let factor = |key: &str| {
        let e = site.get(key)?;
        let number = |k: &str| e.get(k).and_then(Value::as_f64);
        let si = number("value")?;
        Some(match (number("lo"), number("hi")) {
            (Some(lo), Some(hi)) => Estimate::range(si, lo, hi, LEVEL, Quantity::Number),
            _ => Estimate::without(si, Quantity::Number, engine::measure::NoInterval::TypedWithoutInstrument),
        })
    };
    let found = factor("factor").zip(factor("factor_same_probe"));
    if found.is_none() {
        around.say(Diagnostic::error(code::X104).at(from.span.clone()).arg("test", from.value.as_str()));
    }
    let (factor, factor_same_probe) = found?;
    let probe = site.get("probe").and_then(Value::as_str).map(str::to_owned);
    Some(Site { factor, factor_same_probe, probe })
}
