//! Changes of a plan in words.

use super::phrase::clock;
use engine::doc::plans::{Change, Machine, Sealing, SurfaceOf, When};
use engine::house::House;
use engine::units::Quantity;
use report::words::{Show, Usage, Words};

/// A change of a plan.
pub(crate) fn change(change: &Change, house: &House, words: &Words) -> String {
    let named = |name: &str| {
        let zones = house.zones.iter().map(|z| (&z.name, &z.label));
        let leaks = house.leaks.iter().map(|l| (&l.name, &l.label));
        let doors = house.doors.iter().map(|d| (&d.text.name.value, &d.text.label));
        let fans = house.fans.iter().map(|f| (&f.text.name.value, &f.text.label));
        let parts = house.parts.iter().map(|p| (&p.name, &p.label));
        let filters = house.params.iter().map(|p| (&p.name, &p.label));
        let appliances = house.appliances.iter().map(|a| (&a.name, &a.label));
        let mut all =
            zones.chain(leaks).chain(doors).chain(fans).chain(appliances).chain(parts).chain(filters);
        all.find(|(n, _)| n.as_str() == name).map_or_else(|| name.to_owned(), |(_, label)| label.clone())
    };
    let say = |key: &str, args: &[(&'static str, String)]| {
        let args: Vec<_> = args.iter().map(|(k, v)| (*k, v.as_str().into())).collect();
        words.text(key, &args)
    };
    let about = |si: f64, quantity| words.about(si, quantity, Show::default());
    let flow = |si: f64| about(si, Quantity::AirFlow);
    let between = |(lo, hi): (f64, f64), write: &dyn Fn(f64) -> String| {
        if lo < hi { words.from_to(&write(lo), &write(hi)) } else { write(lo) }
    };
    let share = |range| between(range, &|s| words.percent(s));
    let spans = |runs: &[(f64, f64)]| runs.iter().map(|r| clock(*r)).collect::<Vec<_>>().join(", ");
    let surface = |s: &SurfaceOf| match s {
        SurfaceOf::Label(label) => label.value.clone(),
        SurfaceOf::Between([a, b]) => format!("{} / {}", named(&a.value), named(&b.value)),
    };
    match change {
        Change::Seal { what, how } => {
            let what = what.iter().map(|w| named(&w.value)).collect::<Vec<_>>().join(", ");
            match how {
                Sealing::Removes(range) => say("change-seal", &[("what", what), ("share", share(*range))]),
                Sealing::Until(range) => {
                    let flow = between(*range, &|si| {
                        words.about(si, Quantity::AirFlow, Show::usage(Usage::TestFlow))
                    });
                    say("change-seal-until", &[("what", what), ("flow", flow)])
                }
            }
        }
        Change::SealDucts { removes } => say("change-seal-ducts", &[("share", share(*removes))]),
        Change::Transfer { between, area_m2 } => {
            let area = words.about(*area_m2, Quantity::Area, Show::usage(Usage::LeakageArea));
            let (a, b) = (named(&between[0].value), named(&between[1].value));
            say("change-transfer", &[("a", a), ("b", b), ("area", area)])
        }
        Change::CloseOpening { what } => say("change-close-opening", &[("what", named(&what.value))]),
        Change::Exhaust { from, flow_m3_s, when, .. } => {
            let (from, flow) = (("from", named(&from.value)), ("flow", flow(*flow_m3_s)));
            match when {
                When::Always => say("change-exhaust", &[from, flow, ("hours", String::new())]),
                When::Spans(runs) => say("change-exhaust", &[from, flow, ("hours", spans(runs))]),
                When::Share(part) => {
                    say("change-exhaust-share", &[from, flow, ("share", words.percent(*part))])
                }
                When::Above(rh) => say("change-exhaust-humid", &[from, flow, ("rh", words.percent(*rh))]),
            }
        }
        Change::Hood { zone, flow_m3_s, .. } => {
            say("change-hood", &[("zone", named(&zone.value)), ("flow", flow(*flow_m3_s))])
        }
        Change::Supply { to, flow_m3_s, .. } => {
            say("change-supply", &[("to", named(&to.value)), ("flow", flow(*flow_m3_s))])
        }
        Change::Balanced { to, from, flow_m3_s, recovery, .. } => say(
            "change-balanced",
            &[
                ("to", named(&to.value)),
                ("from", named(&from.value)),
                ("flow", flow(*flow_m3_s)),
                ("recovery", words.percent(*recovery)),
            ],
        ),
        Change::Intake { flow_m3_s, share } => {
            say("change-intake", &[("flow", flow(*flow_m3_s)), ("share", words.percent(*share))])
        }
        Change::Filter { what: None, pm25, .. } => say("change-filter", &[("share", words.percent(*pm25))]),
        Change::Filter { what: Some(what), pm25, .. } => {
            say("change-line-filter", &[("what", named(&what.value)), ("share", words.percent(*pm25))])
        }
        Change::Cleaner { zone, cadr_m3_s, .. } => {
            say("change-cleaner", &[("zone", named(&zone.value)), ("flow", flow(*cadr_m3_s))])
        }
        Change::Mixing { share } => say("change-mix", &[("share", words.percent(*share))]),
        Change::Dehumidify(d) => say("change-dehumidify", &[("zone", named(&d.zone.value))]),
        Change::Humidify(h) => say("change-humidify", &[("zone", named(&h.zone.value))]),
        Change::Remove { machine, zone } => {
            let key = match machine {
                Machine::Dehumidifier => "change-remove-dehumidifier",
                Machine::Humidifier => "change-remove-humidifier",
            };
            say(key, &[("zone", named(&zone.value))])
        }
        Change::Speed { what, to } if what.value == "air_handler" => {
            say("change-speed-handler", &[("share", words.percent(*to))])
        }
        Change::Speed { what, to } => {
            say("change-speed", &[("what", named(&what.value)), ("share", words.percent(*to))])
        }
        Change::RunFan { fan, runs_s } => {
            say("change-run-fan", &[("fan", named(&fan.value)), ("hours", spans(runs_s))])
        }
        Change::SetPoints { heat_k, cool_k, heat_back_k, cool_back_k, hours_s } => {
            let listed = [
                ("set-point-heat", heat_k),
                ("set-point-cool", cool_k),
                ("set-point-heat-back", heat_back_k),
                ("set-point-cool-back", cool_back_k),
            ];
            let part = |(key, k): &(&'static str, &Option<f64>)| {
                let value = about((**k)?, Quantity::Temperature);
                Some(say(key, &[("value", value), ("hours", spans(hours_s))]))
            };
            let list: Vec<String> = listed.iter().filter_map(part).collect();
            say("change-set-points", &[("list", list.join(", "))])
        }
        Change::Door { door, open_at_night } => {
            let key = if *open_at_night { "change-door-open" } else { "change-door-shut" };
            say(key, &[("door", named(&door.value))])
        }
        Change::Insulate { surface: which, adds_m2_k_w, .. } => say(
            "change-insulate",
            &[("surface", surface(which)), ("r", about(*adds_m2_k_w, Quantity::Resistance))],
        ),
        Change::Glazing { surface: which, u_w_m2_k, .. } => say(
            "change-glazing",
            &[("surface", surface(which)), ("r", about(1.0 / u_w_m2_k, Quantity::Resistance))],
        ),
        Change::Shade { zone, cuts, .. } => {
            say("change-shade", &[("zone", named(&zone.value)), ("share", words.percent(*cuts))])
        }
        Change::GroundCover { zone, cover } => {
            say("change-ground-cover", &[("zone", named(&zone.value)), ("share", words.percent(*cover))])
        }
        Change::CloseCrawl { zone, removes, cover } => say(
            "change-close-crawl",
            &[("zone", named(&zone.value)), ("share", share(*removes)), ("cover", words.percent(*cover))],
        ),
        Change::Drain { zone, cuts } => {
            say("change-drain", &[("zone", named(&zone.value)), ("share", words.percent(*cuts))])
        }
        Change::VentDryer { zone, flow_m3_s } => {
            say("change-vent-dryer", &[("zone", named(&zone.value)), ("flow", flow(*flow_m3_s))])
        }
        Change::Replace { appliance, by } => {
            let key = if by.is_none() { "change-replace-electric" } else { "change-replace-sealed" };
            say(key, &[("appliance", named(&appliance.value))])
        }
        Change::CutSource { what, cuts } => {
            let label = what.value.replace('_', " ");
            say("change-cut-source", &[("what", label), ("share", words.percent(*cuts))])
        }
        Change::Rules { what, .. } => {
            let names = what.iter().map(|w| w.value.as_str()).collect::<Vec<_>>().join(", ");
            say("change-rules", &[("names", names)])
        }
    }
}
