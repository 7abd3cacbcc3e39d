//! `plans.toml`: named sets of changes to the house and its controls.

use super::house::Draft;
use super::read::{Tab, parse};
use super::{File, Sink, Sp};
use crate::units::Quantity as Q;

/// One change.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// Seals a leak by a share, low and high end.
    Seal {
        /// Which leak.
        what: Sp<String>,
        /// Share taken away.
        removes: (f64, f64),
    },
    /// Seals the ducts by a share of their leakage.
    SealDucts {
        /// Share taken away.
        removes: (f64, f64),
    },
    /// Cuts a grille or a jump duct between two zones.
    Transfer {
        /// The two sides.
        between: [Sp<String>; 2],
        /// Free area, m2.
        area_m2: f64,
    },
    /// A fan that blows out.
    Exhaust {
        /// From where.
        from: Sp<String>,
        /// Flow, m3/s.
        flow_m3_s: f64,
        /// Power, W.
        power_w: f64,
        /// Hours it runs; empty for always.
        runs_s: Vec<(f64, f64)>,
    },
    /// A fan that blows in.
    Supply {
        /// To where.
        to: Sp<String>,
        /// Flow, m3/s.
        flow_m3_s: f64,
        /// Power, W.
        power_w: f64,
    },
    /// Supply and exhaust of the same size, with recovery.
    Balanced {
        /// To where.
        to: Sp<String>,
        /// From where.
        from: Sp<String>,
        /// Flow, m3/s.
        flow_m3_s: f64,
        /// Power, W.
        power_w: f64,
        /// Share of the temperature difference recovered.
        recovery: f64,
    },
    /// Another filter in the air handler.
    Filter {
        /// Share of PM2.5 caught in one pass.
        pm25: f64,
    },
    /// The air handler runs at least this share of the hour, to mix.
    Mixing {
        /// Share of the hour.
        share: f64,
    },
    /// A dehumidifier.
    Dehumidify(super::house::Dehumidifier),
    /// A door policy at night.
    Door {
        /// Which door.
        door: Sp<String>,
        /// Open at night.
        open_at_night: bool,
    },
    /// Another appliance in place of the one that is there; nothing for an electric one.
    Replace {
        /// Which appliance.
        appliance: Sp<String>,
        /// How the new one is vented.
        by: Option<Draft>,
    },
}

/// A named set of changes.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The name other tables use.
    pub name: Sp<String>,
    /// The name people read.
    pub label: String,
    /// A plan whose changes come first.
    pub extends: Option<Sp<String>>,
    /// First cost, money, low and high end.
    pub price: Option<(f64, f64)>,
    /// Currency of the first cost.
    pub currency: Option<Sp<&'static str>>,
    /// The changes, with their places.
    pub changes: Vec<Sp<Change>>,
}

/// Reads `plans.toml`.
pub fn read(file: &File, sink: &Sink) -> Vec<Plan> {
    let root = parse(&file.name, &file.text, sink);
    let top = Tab::top(&file.name, &root, sink);
    top.format();
    top.named("plan").iter().map(plan).collect()
}

fn plan((name, t): &(Sp<String>, Tab<'_, '_>)) -> Plan {
    let price = t.range_as_written("price", Q::Money);
    Plan {
        name: name.clone(),
        label: t.text("label").map_or_else(|| name.value.replace('_', " "), |l| l.value),
        extends: t.text("extends"),
        price: price.as_ref().map(|p| (p.value.0.si, p.value.1.si)),
        currency: price.map(|p| p.map(|(_, high)| high.unit.symbol)),
        changes: t
            .list("change")
            .iter()
            .filter_map(|c| change(c).map(|value| Sp { value, span: c.span() }))
            .collect(),
    }
}

#[derive(Clone, Copy)]
enum Verb {
    Seal,
    SealDucts,
    Transfer,
    Exhaust,
    Supply,
    Balanced,
    Filter,
    Mixing,
    Dehumidify,
    Door,
    Replace,
}

fn fraction(t: &Tab<'_, '_>, key: &'static str) -> Option<f64> {
    t.need(key, t.bounded(key, Q::Fraction, 0.0..=1.0)).map(|f| f.value)
}

fn removes(t: &Tab<'_, '_>) -> Option<(f64, f64)> {
    let range = t.need("removes", t.range("removes", Q::Fraction))?;
    for end in [range.value.0, range.value.1] {
        if !t.within("removes", &Sp { value: end, span: range.span.clone() }, Q::Fraction, 0.0..=0.99) {
            return None;
        }
    }
    Some(range.value)
}

fn change(t: &Tab<'_, '_>) -> Option<Change> {
    let verb = t.need(
        "do",
        t.choice(
            "do",
            &[
                ("seal", Verb::Seal),
                ("seal ducts", Verb::SealDucts),
                ("transfer", Verb::Transfer),
                ("exhaust fan", Verb::Exhaust),
                ("supply fan", Verb::Supply),
                ("balanced ventilation", Verb::Balanced),
                ("filter", Verb::Filter),
                ("mix", Verb::Mixing),
                ("dehumidify", Verb::Dehumidify),
                ("door", Verb::Door),
                ("replace appliance", Verb::Replace),
            ],
        ),
    )?;
    let flow = || t.need("flow", t.bounded("flow", Q::AirFlow, 1e-6..=10.0)).map(|f| f.value);
    let power = || t.bounded("power", Q::Power, 0.0..=5000.0).map_or(0.0, |p| p.value);
    let word = |key| t.need(key, t.text(key));
    Some(match verb.value {
        Verb::Seal => {
            let (what, removes) = (word("what"), removes(t));
            Change::Seal { what: what?, removes: removes? }
        }
        Verb::SealDucts => Change::SealDucts { removes: removes(t)? },
        Verb::Transfer => {
            let between = t.texts("between");
            if between.len() != 2 {
                t.need::<()>("between", None);
            }
            let area = t.need("area", t.bounded("area", Q::Area, 1e-5..=10.0));
            Change::Transfer { between: <[Sp<String>; 2]>::try_from(between).ok()?, area_m2: area?.value }
        }
        Verb::Exhaust => {
            let (from, flow, power_w) = (word("from"), flow(), power());
            let runs = t.texts("runs");
            let runs_s = runs.iter().filter_map(|s| super::house::hours(t, s)).collect();
            Change::Exhaust { from: from?, flow_m3_s: flow?, power_w, runs_s }
        }
        Verb::Supply => {
            let (to, flow, power_w) = (word("to"), flow(), power());
            Change::Supply { to: to?, flow_m3_s: flow?, power_w }
        }
        Verb::Balanced => {
            let (to, from, flow, power_w) = (word("to"), word("from"), flow(), power());
            let recovery = fraction(t, "recovery");
            Change::Balanced { to: to?, from: from?, flow_m3_s: flow?, power_w, recovery: recovery? }
        }
        Verb::Filter => Change::Filter { pm25: fraction(t, "pm25")? },
        Verb::Mixing => Change::Mixing { share: fraction(t, "share")? },
        Verb::Dehumidify => Change::Dehumidify(super::house::dehumidifier(t)?),
        Verb::Door => {
            let door = word("door");
            let night = t.need("at_night", t.choice("at_night", &[("open", true), ("shut", false)]));
            Change::Door { door: door?, open_at_night: night?.value }
        }
        Verb::Replace => {
            let appliance = word("appliance");
            let by = t.need("by", t.choice("by", &[("sealed", Some(Draft::Sealed)), ("electric", None)]));
            Change::Replace { appliance: appliance?, by: by?.value }
        }
    })
}
