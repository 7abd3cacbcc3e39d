//! Reads `plans.toml`.

use super::{Change, Choice, Machine, Paid, Plan, Plans, Sealing, Search, Setting, SurfaceOf, Verb, When};
use crate::device::filter;
use crate::diag::{Diagnostic, code};
use crate::doc::form::{Field, Form};
use crate::doc::house::{Dehumidifier, Draft, FACES, Humidifier, clock_hours};
use crate::doc::read::{Tab, parse};
use crate::doc::{File, Sink, Sp};
use crate::units::Quantity as Q;

/// Generic sizes without prices; a change takes one by `size`. Common practice, no source.
pub const SIZES: &str = include_str!("sizes.toml");

/// Changes that a search may take at once where it does not say.
const AT_MOST: usize = 3;

/// Reads `plans.toml`.
pub fn read(file: &File, sink: &Sink) -> Plans {
    let root = parse(&file.name, &file.text, sink);
    read_top(&Tab::top(&file.name, &root, sink))
}

/// What the document can hold, as it is written now.
pub fn form(file: &File) -> Vec<Field> {
    let (form, sink) = (Form::default(), Sink::default());
    let root = parse(&file.name, &file.text, &sink);
    read_top(&Tab::top_with_form(&file.name, &root, &sink, &form));
    form.fields()
}

/// Generic sizes: name and the word of what they are a size of.
pub fn sizes() -> Vec<(String, String)> {
    let quiet = Sink::default();
    let list = parse("sizes.toml", SIZES, &quiet);
    let top = Tab::top("sizes.toml", &list, &quiet);
    top.leave_alone();
    let of = |t: &Tab<'_, '_>| {
        t.leave_alone();
        t.text("do").map_or_else(String::new, |d| d.value)
    };
    top.named("size").iter().map(|(name, t)| (name.value.clone(), of(t))).collect()
}

fn read_top(top: &Tab<'_, '_>) -> Plans {
    // The list is the program's own; a test reads it without a fault.
    let quiet = Sink::default();
    let list = parse("sizes.toml", SIZES, &quiet);
    let own = Tab::top("sizes.toml", &list, &quiet);
    own.leave_alone();
    let sizes = own.named("size");
    sizes.iter().for_each(|(_, t)| t.leave_alone());

    top.format();
    Plans {
        plans: top.named("plan").iter().map(|p| plan(p, &sizes)).collect(),
        searches: top.named("search").iter().map(|s| search(s, &sizes)).collect(),
        events: top.named("event").iter().filter_map(super::event::event).collect(),
    }
}

type Named<'a, 't> = (Sp<String>, Tab<'a, 't>);

fn plan((name, t): &Named<'_, '_>, sizes: &[Named<'_, '_>]) -> Plan {
    // Forms ask in the order of reading: its name, what changes, what that costs.
    let label = t.text("label").map_or_else(|| name.value.replace('_', " "), |l| l.value);
    let extends = t.text("extends");
    let written = t.list("change");
    let read = written.iter().filter_map(|c| {
        let (value, paid) = change(c, sizes)?;
        Some((Sp { value, span: c.span() }, paid))
    });
    let (changes, paid): (Vec<_>, Vec<_>) = read.unzip();
    let price = t.range_as_written("price", Q::Money);
    Plan {
        whole: changes.len() == written.len(),
        name: name.clone(),
        label,
        extends,
        price: price.as_ref().map(|p| (p.value.0.si, p.value.1.si)),
        currency: price.map(|p| p.map(|(_, high)| high.unit.symbol)),
        changes,
        paid,
    }
}

fn search((name, t): &Named<'_, '_>, sizes: &[Named<'_, '_>]) -> Search {
    let choice = |c: &Tab<'_, '_>| {
        let (label, group) = (c.text("label").map(|l| l.value), c.text("group").map(|g| g.value));
        let read = change(c, sizes);
        let ends = |quantity| {
            let (least, most) = (c.quantity("least", quantity), c.quantity("most", quantity));
            match (least, most) {
                (Some(a), Some(b)) if a.value > 0.0 && a.value < b.value => Some((a.value, b.value)),
                (Some(_), Some(b)) => {
                    c.say(Diagnostic::error(code::P107).at(b.span));
                    None
                }
                (None, None) => None,
                (least, _) => c.need(if least.is_some() { "most" } else { "least" }, None),
            }
        };
        let (value, paid) = read?;
        let vary = match Setting::of(&value) {
            Some(setting) => ends(setting.quantity),
            None => None,
        };
        Some(Choice { label, change: Sp { value, span: c.span() }, paid, group, vary })
    };
    Search {
        name: name.clone(),
        label: t.text("label").map_or_else(|| name.value.replace('_', " "), |l| l.value),
        extends: t.text("extends"),
        at_most: t.count("at_most").map_or(AT_MOST, |c| c.value.max(1)),
        choices: t.list("change").iter().filter_map(choice).collect(),
    }
}

/// A change as written, and the size it takes what is not written from.
struct Written<'x> {
    t: &'x Tab<'x, 'x>,
    size: Option<&'x Tab<'x, 'x>>,
}

impl Written<'_> {
    fn bounded(&self, key: &'static str, q: Q, bounds: std::ops::RangeInclusive<f64>) -> Option<f64> {
        let own = self.t.bounded(key, q, bounds.clone());
        let from = |t: &Tab<'_, '_>| t.bounded(key, q, bounds);
        own.or_else(|| self.size.filter(|_| !self.t.has(key)).and_then(from)).map(|v| v.value)
    }

    fn needed(&self, key: &'static str, q: Q, bounds: std::ops::RangeInclusive<f64>) -> Option<f64> {
        let value = self.bounded(key, q, bounds);
        self.t.need(key, value)
    }

    fn share(&self, key: &'static str) -> Option<f64> {
        self.bounded(key, Q::Fraction, 0.0..=1.0)
    }

    fn flow(&self) -> Option<f64> {
        self.needed("flow", Q::AirFlow, 1e-6..=10.0)
    }

    fn power(&self) -> f64 {
        self.bounded("power", Q::Power, 0.0..=5000.0).unwrap_or(0.0)
    }

    fn word(&self, key: &'static str) -> Option<Sp<String>> {
        self.t.need(key, self.t.text(key))
    }

    fn spans(&self, key: &'static str) -> Vec<(f64, f64)> {
        self.t.text_or_texts(key).iter().filter_map(|s| clock_hours(self.t, s)).collect()
    }

    fn when(&self) -> When {
        let (runs, share, above) =
            (self.spans("runs"), self.share("share"), self.bounded("above_rh", Q::Fraction, 0.05..=0.99));
        match (runs.is_empty(), share, above) {
            (false, _, _) => When::Spans(runs),
            (_, Some(share), _) => When::Share(share),
            (_, _, Some(rh)) => When::Above(rh),
            _ => When::Always,
        }
    }

    /// Share of PM2.5 held: stated, or what the class holds at least.
    fn pm25(&self) -> (Option<f64>, Option<usize>) {
        let stated = self.share("pm25");
        let own = self.t.count("merv").map(|m| m.value);
        let merv = own.or_else(|| self.size.and_then(|s| s.count("merv")).map(|m| m.value));
        let bands = merv.map(filter::merv_bands);
        if let Some(None) = bands {
            self.t.say(Diagnostic::error(code::P108).at(self.t.span_of("merv")));
        }
        let held = bands.flatten().map(|(e1, e2)| filter::pm25_efficiency(e1, e2));
        (stated.or(held), merv)
    }

    fn removes(&self) -> Option<(f64, f64)> {
        let range = self.t.need("removes", self.t.range("removes", Q::Fraction))?;
        for end in [range.value.0, range.value.1] {
            let end = Sp { value: end, span: range.span.clone() };
            if !self.t.within("removes", &end, Q::Fraction, 0.0..=0.99) {
                return None;
            }
        }
        Some(range.value)
    }

    fn surface(&self) -> Option<SurfaceOf> {
        if let Some(label) = self.t.text("surface") {
            return Some(SurfaceOf::Label(label));
        }
        self.between().map(SurfaceOf::Between)
    }

    fn between(&self) -> Option<[Sp<String>; 2]> {
        let between = self.t.texts("between");
        if between.len() != 2 {
            self.t.need::<()>("between", None);
        }
        <[Sp<String>; 2]>::try_from(between).ok()
    }
}

fn change(t: &Tab<'_, '_>, sizes: &[Named<'_, '_>]) -> Option<(Change, Paid)> {
    let verb = t.need("do", t.choice("do", Verb::CHOICES));
    let named = t.text("size");
    let size = named.as_ref().and_then(|name| {
        let found = sizes.iter().find(|(n, _)| n.value == name.value);
        if found.is_none() {
            t.say(name.unknown("size", sizes.iter().map(|(n, _)| n.value.as_str())));
        }
        found.map(|(_, size)| size)
    });
    let price = t.text("price");
    let count = t.number("count").filter(|c| t.within("count", c, Q::Number, 0.0..=10_000.0));
    let paid = Paid {
        must: price.is_some(),
        by: price.or_else(|| named.clone()),
        count: count.map_or(1.0, |c| c.value),
    };
    let verb = verb?;
    if let (Some(size), Some(named)) = (size, &named)
        && size.choice("do", Verb::CHOICES).map(|v| v.value) != Some(verb.value)
    {
        t.say(Diagnostic::error(code::P106).at(named.span.clone()).arg("size", named.value.as_str()));
        return None;
    }
    let change = if matches!(verb.value, Verb::SetPoints) {
        set_points(&Written { t, size })
    } else {
        air_change(verb.value, &Written { t, size })
    };
    if change.is_none() {
        // What is missing was said; the keys that were not reached need no word.
        t.leave_alone();
    }
    Some((change?, paid))
}

fn air_change(verb: Verb, w: &Written<'_>) -> Option<Change> {
    let t = w.t;
    Some(match verb {
        Verb::Seal => {
            let what = t.text_or_texts("what");
            let what = t.need("what", (!what.is_empty()).then_some(what));
            let until = t.range("until", Q::AirFlow).filter(|r| {
                let low = Sp { value: r.value.0, span: r.span.clone() };
                t.within("until", &low, Q::AirFlow, 1e-5..=50.0)
            });
            let how = match until {
                Some(until) => Sealing::Until(until.value),
                None if t.has("until") => return None,
                None => Sealing::Removes(w.removes()?),
            };
            Change::Seal { what: what?, how }
        }
        Verb::SealDucts => Change::SealDucts { removes: w.removes()? },
        Verb::Transfer => {
            let area = w.needed("area", Q::Area, 1e-5..=10.0);
            Change::Transfer { between: w.between()?, area_m2: area? }
        }
        Verb::CloseOpening => Change::CloseOpening { what: w.word("what")? },
        Verb::Exhaust => {
            let (from, flow, power_w, when) = (w.word("from"), w.flow(), w.power(), w.when());
            Change::Exhaust { from: from?, flow_m3_s: flow?, power_w, when }
        }
        Verb::Hood => {
            let (zone, flow, power_w) = (w.word("zone"), w.flow(), w.power());
            let (capture, runs_s) = (w.share("capture"), w.spans("runs"));
            Change::Hood { zone: zone?, flow_m3_s: flow?, power_w, capture, runs_s }
        }
        Verb::Supply => {
            let (to, flow, power_w, when) = (w.word("to"), w.flow(), w.power(), w.when());
            let pm25 = w.pm25().0.unwrap_or(0.0);
            Change::Supply { to: to?, flow_m3_s: flow?, power_w, pm25, when }
        }
        Verb::Balanced => {
            let (to, from, flow, power_w, when) =
                (w.word("to"), w.word("from"), w.flow(), w.power(), w.when());
            let exhaust = w.bounded("exhaust", Q::AirFlow, 1e-6..=10.0);
            let recovery = t.need("recovery", w.share("recovery"));
            let (moisture, pm25) = (w.share("moisture").unwrap_or(0.0), w.pm25().0.unwrap_or(0.0));
            let flow_m3_s = flow?;
            Change::Balanced {
                to: to?,
                from: from?,
                flow_m3_s,
                exhaust_m3_s: exhaust.unwrap_or(flow_m3_s),
                power_w,
                recovery: recovery?,
                moisture,
                pm25,
                when,
            }
        }
        Verb::Intake => {
            let (flow, share) = (w.flow(), t.need("share", w.share("share")));
            Change::Intake { flow_m3_s: flow?, share: share? }
        }
        Verb::Filter => {
            let (what, (pm25, merv)) = (t.text("what"), w.pm25());
            let drop_pa = w.bounded("drop", Q::Pressure, 0.1..=1000.0);
            let loading = t.number("loading").filter(|l| t.within("loading", l, Q::Number, 1.0..=50.0));
            let at_grille = t.choice("stands", &[("blower", false), ("grille", true)]).map(|s| s.value);
            Change::Filter {
                what,
                pm25: t.need("pm25", pm25)?,
                merv,
                drop_pa,
                loading: loading.map_or(1.0, |l| l.value),
                at_grille,
            }
        }
        Verb::Cleaner => {
            let (zone, cadr) = (w.word("zone"), w.needed("cadr", Q::AirFlow, 1e-5..=2.0));
            let when = w.when();
            Change::Cleaner { zone: zone?, cadr_m3_s: cadr?, power_w: w.power(), when }
        }
        Verb::Mixing => Change::Mixing { share: t.need("share", w.share("share"))? },
        Verb::Dehumidify => {
            let (zone, capacity) = (w.word("zone"), w.needed("capacity", Q::MassRate, 0.0..=0.01));
            let efficiency = w.needed("efficiency", Q::MassPerEnergy, 1e-8..=1e-4);
            let set_point = w.needed("set_point", Q::Fraction, 0.2..=0.9);
            Change::Dehumidify(Dehumidifier {
                zone: zone?,
                capacity_kg_s: capacity?,
                efficiency_kg_j: efficiency?,
                set_point_rh: set_point?,
            })
        }
        Verb::Humidify => {
            let (zone, capacity) = (w.word("zone"), w.needed("capacity", Q::MassRate, 0.0..=0.01));
            let set_point = w.needed("set_point", Q::Fraction, 0.1..=0.8);
            let kind = t.choice("kind", &[("steam", true), ("evaporative", false)]);
            Change::Humidify(Humidifier {
                zone: zone?,
                capacity_kg_s: capacity?,
                set_point_rh: set_point?,
                steam: kind.is_some_and(|k| k.value),
            })
        }
        Verb::Remove => {
            let kinds = [("dehumidifier", Machine::Dehumidifier), ("humidifier", Machine::Humidifier)];
            let (machine, zone) = (t.need("what", t.choice("what", &kinds)), w.word("zone"));
            Change::Remove { machine: machine?.value, zone: zone? }
        }
        Verb::Speed => {
            let (what, to) = (w.word("what"), w.needed("to", Q::Fraction, 0.1..=2.0));
            Change::Speed { what: what?, to: to? }
        }
        Verb::RunFan => Change::RunFan { fan: w.word("fan")?, runs_s: w.spans("runs") },
        Verb::Door => {
            let door = w.word("door");
            let night = t.need("at_night", t.choice("at_night", &[("open", true), ("shut", false)]));
            Change::Door { door: door?, open_at_night: night?.value }
        }
        Verb::Insulate => {
            let (surface, adds) = (w.surface(), w.needed("adds_r", Q::Resistance, 0.01..=50.0));
            let area_m2 = w.bounded("area", Q::Area, 0.01..=1e4);
            Change::Insulate { surface: surface?, adds_m2_k_w: adds?, area_m2 }
        }
        Verb::Glazing => {
            let (surface, r) = (w.surface(), w.needed("r", Q::Resistance, 0.05..=10.0));
            let area_m2 = w.bounded("area", Q::Area, 0.01..=1e4);
            let shgc = t.number("shgc").filter(|s| t.within("shgc", s, Q::Number, 0.0..=1.0));
            let (zone, face) = (t.text("zone"), t.choice("face", FACES).map(|f| f.value));
            let shgc = shgc.map(|s| s.value);
            if shgc.is_some() && zone.is_none() {
                t.need::<()>("zone", None);
            }
            Change::Glazing { surface: surface?, u_w_m2_k: 1.0 / r?, area_m2, shgc, zone, face }
        }
        Verb::Shade => {
            let (zone, cuts) = (w.word("zone"), t.need("cuts", w.share("cuts")));
            let face = t.choice("face", FACES).map(|f| f.value);
            Change::Shade { zone: zone?, face, cuts: cuts? }
        }
        Verb::GroundCover => {
            let (zone, cover) = (w.word("zone"), t.need("cover", w.share("cover")));
            Change::GroundCover { zone: zone?, cover: cover? }
        }
        Verb::CloseCrawl => {
            let (zone, removes) = (w.word("zone"), w.removes());
            let cover = t.need("cover", w.share("cover"));
            Change::CloseCrawl { zone: zone?, removes: removes?, cover: cover? }
        }
        Verb::Drain => {
            let (zone, cuts) = (w.word("zone"), t.need("cuts", w.share("cuts")));
            Change::Drain { zone: zone?, cuts: cuts? }
        }
        Verb::VentDryer => {
            let (zone, flow) = (w.word("zone"), w.flow());
            Change::VentDryer { zone: zone?, flow_m3_s: flow? }
        }
        Verb::Replace => {
            let appliance = w.word("appliance");
            let by = t.need("by", t.choice("by", &[("sealed", Some(Draft::Sealed)), ("electric", None)]));
            Change::Replace { appliance: appliance?, by: by?.value }
        }
        Verb::CutSource => {
            let (what, cuts) = (w.word("what"), t.need("cuts", w.share("cuts")));
            Change::CutSource { what: what?, cuts: cuts? }
        }
        Verb::Rules => {
            let what = t.text_or_texts("what");
            let what = t.need("what", (!what.is_empty()).then_some(what));
            Change::Rules { what: what?, acts: Vec::new() }
        }
        Verb::SetPoints => return None,
    })
}

fn set_points(w: &Written<'_>) -> Option<Change> {
    let at = |key| w.bounded(key, Q::Temperature, 273.15..=313.15);
    let (heat_k, cool_k) = (at("heating"), at("cooling"));
    let (heat_back_k, cool_back_k) = (at("heating_set_back"), at("cooling_set_back"));
    let hours_s = w.spans("hours");
    if (heat_back_k.is_some() || cool_back_k.is_some()) && hours_s.is_empty() {
        return w.t.need("hours", None);
    }
    if [heat_k, cool_k, heat_back_k, cool_back_k].iter().all(Option::is_none) {
        return w.t.need("heating", None);
    }
    Some(Change::SetPoints { heat_k, cool_k, heat_back_k, cool_back_k, hours_s })
}
