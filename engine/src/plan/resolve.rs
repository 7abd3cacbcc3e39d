//! Names in plans to things of the house, with what cannot be said where it is written.

use super::after;
use super::handler;
use super::model::Luck;
use super::rules::{act, means};
use crate::diag::{Diagnostic, code};
use crate::doc::job::Price;
use crate::doc::plans::{Change, Machine, Paid, Plan, Plans, Search, SurfaceOf};
use crate::doc::{Sink, Sp};
use crate::gate::{self, Gate, Record};
use crate::house::{BlowerError, House, Owner};
use crate::rule::Set;
use crate::units::Quantity;
use std::collections::BTreeSet;

/// A plan with all its changes, those of the plans it extends first.
#[derive(Clone, Debug, PartialEq)]
pub struct Planned {
    /// Name in the documents.
    pub name: String,
    /// Name people read.
    pub label: String,
    /// First cost, low and high end: as written, or the sum of its changes' prices where all are known.
    pub price: Option<(f64, f64)>,
    /// Cost a year beside energy, low and high end.
    pub yearly: (f64, f64),
    /// The changes.
    pub changes: Vec<Change>,
    /// Held or released.
    pub gate: Gate,
    /// For a released plan, what the release hangs on ([`gate::release`]).
    pub release: Option<String>,
}

/// One change that a search may take.
#[derive(Clone, Debug, PartialEq)]
pub struct Choosable {
    /// What people read; empty where the change speaks for itself.
    pub label: String,
    /// The change.
    pub change: Change,
    /// First cost and cost a year, where they are known.
    pub price: Option<Cost>,
    /// Of one group one at most is taken.
    pub group: Option<String>,
    /// Ends of its setting, SI.
    pub vary: Option<(f64, f64)>,
}

/// A first cost and a cost a year, money, low and high end each.
pub type Cost = ((f64, f64), (f64, f64));

/// A search, ready to run.
#[derive(Clone, Debug, PartialEq)]
pub struct Searched {
    /// Name in the documents.
    pub name: String,
    /// Name people read.
    pub label: String,
    /// Changes of the plan it starts from, and what that costs.
    pub base: Vec<Change>,
    /// Cost of the base, where it is known.
    pub base_price: Option<Cost>,
    /// Changes taken at once, at most.
    pub at_most: usize,
    /// What to choose from.
    pub choices: Vec<Choosable>,
}

/// Combinations that a search may have.
pub const MOST_COMBINATIONS: usize = 256;

type Say<'s> = dyn Fn(Diagnostic) + 's;

/// Resolves and checks every plan and asks the gate.
pub fn resolve(
    plans: &[Plan],
    prices: &[Price],
    house: &House,
    rules: Option<&Set>,
    record: Option<&Record>,
    sink: &Sink,
) -> Vec<Planned> {
    let say = |d: Diagnostic| sink.borrow_mut().push(d);
    blower_works(house, &say);
    plans
        .iter()
        .filter_map(|plan| {
            let (mut changes, paid) = with_base(plan, plans, &mut BTreeSet::new(), &say)?;
            if !bind_rules(&mut changes, rules, &say) {
                return None;
            }
            if !check_all(&changes, house, &plan.label, &say) {
                return None;
            }
            let cost = cost_of(&paid, prices, &say);
            let changes: Vec<Change> = changes.into_iter().map(|c| c.value).collect();
            Some(Planned {
                name: plan.name.value.clone(),
                label: plan.label.clone(),
                price: plan.price.or(cost.map(|c| c.0)),
                yearly: cost.map_or((0.0, 0.0), |c| c.1),
                release: gate::work_scope(&plan.name.value, &changes, house, record)
                    .ok()
                    .map(|scope| scope.release().to_owned()),
                gate: gate::judge(&changes, house, record),
                changes,
            })
        })
        .collect()
}

/// Resolves and checks every search.
pub fn resolve_searches(
    text: &Plans,
    prices: &[Price],
    house: &House,
    rules: Option<&Set>,
    sink: &Sink,
) -> Vec<Searched> {
    let say = |d: Diagnostic| sink.borrow_mut().push(d);
    text.searches.iter().filter_map(|s| search(s, &text.plans, prices, (house, rules), &say)).collect()
}

fn search(
    s: &Search,
    plans: &[Plan],
    prices: &[Price],
    (house, rules): (&House, Option<&Set>),
    say: &Say<'_>,
) -> Option<Searched> {
    let mut base = (Vec::new(), Vec::new());
    let mut written = None;
    if let Some(name) = &s.extends {
        let Some(plan) = plans.iter().find(|p| p.name.value == name.value) else {
            say(name.unknown("plan", plans.iter().map(|p| p.name.value.as_str())));
            return None;
        };
        base = with_base(plan, plans, &mut BTreeSet::new(), say)?;
        written = plan.price;
    }
    let quiet = |_: Diagnostic| {};
    // What is wrong with the base was said where its plan stands.
    let mut fine = bind_rules(&mut base.0, rules, &quiet) && check_all(&base.0, house, &s.label, &quiet);
    let mut choices = Vec::new();
    for c in &s.choices {
        let mut whole = base.0.clone();
        let mut change = [c.change.clone()];
        fine &= bind_rules(&mut change, rules, say);
        let [change] = change;
        whole.push(change.clone());
        fine &= check_all(&whole, house, &s.label, say);
        choices.push(Choosable {
            label: c.label.clone().unwrap_or_default(),
            change: change.value,
            price: cost_of(std::slice::from_ref(&c.paid), prices, say),
            group: c.group.clone(),
            vary: c.vary,
        });
    }
    let base_price = cost_of(&base.1, prices, &quiet);
    let found = Searched {
        name: s.name.value.clone(),
        label: s.label.clone(),
        base: base.0.into_iter().map(|c| c.value).collect(),
        base_price: match (written, base_price) {
            (Some(first), cost) => Some((first, cost.map_or((0.0, 0.0), |c| c.1))),
            (None, cost) => cost,
        },
        at_most: s.at_most,
        choices,
    };
    let count = found.combinations().len();
    if count > MOST_COMBINATIONS {
        say(Diagnostic::error(code::P110)
            .at(s.name.span.clone())
            .arg("count", count)
            .arg("most", MOST_COMBINATIONS));
        fine = false;
    }
    fine.then_some(found)
}

/// Finds the rules that changes turn on; whether all are there.
fn bind_rules(changes: &mut [Sp<Change>], rules: Option<&Set>, say: &Say<'_>) -> bool {
    let mut fine = true;
    for change in changes {
        let Change::Rules { what, acts } = &mut change.value else { continue };
        acts.clear();
        for name in what.iter() {
            let list = rules.map_or(&[][..], |set| &set.rules);
            let found = list.iter().filter(|r| means(&name.value, r));
            let before = acts.len();
            acts.extend(rules.iter().flat_map(|set| found.clone().map(|r| act(r, set))));
            if acts.len() == before {
                say(name.unknown("rule", list.iter().map(|r| r.name.as_str())));
                fine = false;
            }
        }
    }
    fine
}

impl Searched {
    /// Every combination allowed, as indices of the choices, that of none first; no more than one
    /// over [`MOST_COMBINATIONS`] are listed.
    pub fn combinations(&self) -> Vec<Vec<usize>> {
        let mut all = vec![Vec::new()];
        for (i, choice) in self.choices.iter().enumerate() {
            let fits = |taken: &&Vec<usize>| {
                let group = |k: &usize| choice.group.is_some() && self.choices[*k].group == choice.group;
                taken.len() < self.at_most && !taken.iter().any(group)
            };
            let more: Vec<Vec<usize>> = all
                .iter()
                .filter(fits)
                .map(|taken| taken.iter().copied().chain(std::iter::once(i)).collect())
                .collect();
            all.extend(more);
            if all.len() > MOST_COMBINATIONS {
                all.truncate(MOST_COMBINATIONS + 1);
                break;
            }
        }
        all
    }
}

/// What changes cost together; nothing where a price is not known.
fn cost_of(paid: &[Paid], prices: &[Price], say: &Say<'_>) -> Option<Cost> {
    let mut sum = Some(((0.0, 0.0), (0.0, 0.0)));
    for p in paid {
        let price = p.by.as_ref().and_then(|by| {
            let found = prices.iter().find(|price| price.name.value == by.value);
            if found.is_none() && p.must {
                say(by.unknown("price", prices.iter().map(|p| p.name.value.as_str())));
            }
            found
        });
        sum = sum.zip(price).map(|((first, yearly), price)| {
            let add = |a: (f64, f64), b: (f64, f64)| (a.0 + p.count * b.0, a.1 + p.count * b.1);
            (add(first, price.each), add(yearly, price.yearly))
        });
    }
    sum.filter(|_| !paid.is_empty())
}

type Listed = (Vec<Sp<Change>>, Vec<Paid>);

fn with_base<'p>(
    plan: &'p Plan,
    plans: &'p [Plan],
    seen: &mut BTreeSet<&'p str>,
    say: &Say<'_>,
) -> Option<Listed> {
    if !seen.insert(&plan.name.value) {
        say(Diagnostic::error(code::P101).at(plan.name.span.clone()).arg("plan", plan.name.value.as_str()));
        return None;
    }
    // What could not be read was said.
    if !plan.whole {
        return None;
    }
    let (mut changes, mut paid) = (Vec::new(), Vec::new());
    if let Some(base) = &plan.extends {
        let Some(found) = plans.iter().find(|p| p.name.value == base.value) else {
            say(base.unknown("plan", plans.iter().map(|p| p.name.value.as_str())));
            return None;
        };
        (changes, paid) = with_base(found, plans, seen, say)?;
    }
    changes.extend(plan.changes.iter().cloned());
    paid.extend(plan.paid.iter().cloned());
    Some((changes, paid))
}

/// Checks the changes one after another, each against the house that those before it left.
fn check_all(changes: &[Sp<Change>], house: &House, plan: &str, say: &Say<'_>) -> bool {
    let mut now = house.clone();
    let mut theta = house.prior_mean();
    let mut sealed = BTreeSet::new();
    let mut fine = true;
    for change in changes {
        let good = check(change, &now, say);
        fine &= good;
        if good {
            after::step(&mut now, &mut theta, &change.value, Luck { seed: 0, draw: 0 });
        }
        let Change::Seal { what, .. } = &change.value else { continue };
        for leak in what {
            if !sealed.insert(leak.value.as_str()) {
                say(Diagnostic::warning(code::P103)
                    .at(leak.span.clone())
                    .arg("leak", leak.value.as_str())
                    .arg("plan", plan));
            }
        }
    }
    fine
}

/// Says it where the blower as found cannot work: its filter and return take more than it makes.
fn blower_works(house: &House, say: &Say<'_>) {
    let Some(Err(BlowerError::TooMuch { drops_pa, rise_pa })) =
        handler::point(house, &house.prior_mean(), &[])
    else {
        return;
    };
    say(Diagnostic::error(code::R144)
        .at(house.air_handler.as_ref().map(|h| h.text.span.clone()))
        .arg("drops", (drops_pa, Quantity::StaticPressure))
        .arg("rise", (rise_pa, Quantity::StaticPressure)));
}

/// Whether everything a change names exists.
fn check(change: &Sp<Change>, house: &House, say: &Say<'_>) -> bool {
    let known = |name: &Sp<String>, kind: &'static str, all: Vec<&str>| {
        let found = all.contains(&name.value.as_str());
        if !found {
            say(name.unknown(kind, all));
        }
        found
    };
    let zone = |name: &Sp<String>| known(name, "zone", house.zones.iter().map(|z| z.name.as_str()).collect());
    let fans = || -> Vec<&str> { house.fans.iter().map(|f| f.text.name.value.as_str()).collect() };
    let handler = || {
        if house.air_handler.is_none() {
            say(Diagnostic::error(code::P102).at(change.span.clone()));
        }
        house.air_handler.is_some()
    };
    let there = |is: bool, thing: &'static str, zone: &Sp<String>| {
        if !is {
            let label = house.zone(&zone.value).map_or(zone.value.as_str(), |z| &house.zones[z].label);
            say(Diagnostic::error(code::P105).at(zone.span.clone()).arg("thing", thing).arg("zone", label));
        }
        is
    };
    match &change.value {
        Change::Seal { what, .. } => {
            let leak = |w| known(w, "leak", house.leaks.iter().map(|l| l.name.as_str()).collect());
            // Every unknown name is said.
            what.iter().fold(true, |fine, w| leak(w) & fine)
        }
        Change::SealDucts { .. } | Change::Intake { .. } | Change::Mixing { .. } => handler(),
        Change::Filter { what: None, drop_pa, .. } => {
            let blower = |h: &crate::house::AirHandler| h.text.blower.is_some();
            if drop_pa.is_some() && house.air_handler.as_ref().is_some_and(|h| !blower(h)) {
                say(Diagnostic::note(code::R145).at(change.span.clone()));
            }
            handler()
        }
        Change::Filter { what: Some(what), .. } => {
            let sized = house.lines.iter().filter_map(|l| l.sized.map(|s| s.drop));
            known(what, "filter", sized.map(|p| house.params[p].name.as_str()).collect())
        }
        Change::Transfer { between, .. } => {
            let both = zone(&between[0]) & zone(&between[1]);
            let same = between[0].value == between[1].value;
            if same {
                say(Diagnostic::error(code::H103)
                    .at(between[1].span.clone())
                    .arg("name", between[1].value.as_str()));
            }
            both && !same
        }
        Change::CloseOpening { what } => {
            let parts = house.elements.iter().filter_map(|e| match e.owner {
                Owner::Part(p) => Some(house.parts[p].name.as_str()),
                _ => None,
            });
            known(what, "opening", parts.collect::<BTreeSet<_>>().into_iter().collect())
        }
        Change::Exhaust { from, .. } => zone(from),
        Change::Hood { zone: at, runs_s, .. } => {
            let cooks = |s: &crate::doc::house::Source| s.zone.value == at.value && s.pm25_kg_s > 0.0;
            let stands = !runs_s.is_empty() || house.text.sources.iter().any(cooks);
            zone(at) && there(stands, "cooking", at)
        }
        Change::Supply { to, .. } => zone(to),
        Change::Balanced { to, from, .. } => zone(to) & zone(from),
        Change::Cleaner { zone: at, .. } => zone(at),
        Change::Dehumidify(d) => zone(&d.zone),
        Change::Humidify(h) => zone(&h.zone),
        Change::Remove { machine, zone: at } => {
            let (is, thing) = match machine {
                Machine::Dehumidifier => {
                    let here = |d: &crate::doc::house::Dehumidifier| d.zone.value == at.value;
                    (house.text.dehumidifier.as_ref().is_some_and(here), "dehumidifier")
                }
                Machine::Humidifier => {
                    let all = &house.text.machines.humidifiers;
                    (all.iter().any(|h| h.zone.value == at.value), "humidifier")
                }
            };
            zone(at) && there(is, thing, at)
        }
        Change::Speed { what, .. } if what.value == "air_handler" => handler(),
        Change::Speed { what: fan, .. } | Change::RunFan { fan, .. } => known(fan, "fan", fans()),
        Change::SetPoints { .. } => set_points(change, house, say),
        Change::Door { door, .. } => {
            known(door, "door", house.doors.iter().map(|d| d.text.name.value.as_str()).collect())
        }
        Change::Insulate { surface, area_m2, .. } => surface_there(surface, *area_m2, house, say),
        Change::Glazing { surface, area_m2, zone: at, face, .. } => {
            let lit = |z: &Sp<String>| {
                let here = |w: &crate::doc::house::Window| {
                    w.zone.value == z.value && face.is_none_or(|f| f == w.face)
                };
                zone(z) && there(house.text.windows.iter().any(here), "window", z)
            };
            surface_there(surface, *area_m2, house, say) & at.as_ref().is_none_or(lit)
        }
        Change::Shade { zone: at, face, .. } => {
            let here =
                |w: &crate::doc::house::Window| w.zone.value == at.value && face.is_none_or(|f| f == w.face);
            zone(at) && there(house.text.windows.iter().any(here), "window", at)
        }
        Change::GroundCover { zone: at, .. } | Change::Drain { zone: at, .. } => {
            let damp = |s: &crate::doc::house::Source| after::is_damp_source(s, &at.value);
            let wet = after::has_wet_ground(house, &at.value) || house.text.sources.iter().any(damp);
            zone(at) && there(wet, "wet-ground", at)
        }
        Change::CloseCrawl { zone: at, .. } => {
            zone(at) && there(after::outdoor_leaks(house, &at.value).next().is_some(), "vents", at)
        }
        Change::VentDryer { zone: at, .. } => {
            let here =
                |d: &crate::doc::house::ClothesDryer| d.zone.value == at.value && d.flow_m3_s.is_none();
            let is = house.text.machines.clothes_dryers.iter().any(here);
            zone(at) && there(is, "dryer", at)
        }
        Change::Replace { appliance, .. } => {
            known(appliance, "appliance", house.appliances.iter().map(|a| a.name.as_str()).collect())
        }
        Change::CutSource { what, .. } => {
            let sources = house.text.sources.iter().map(|s| s.label.as_str());
            let gases = house.text.machines.gases.iter().map(|g| g.name.value.as_str());
            known(what, "source", sources.chain(gases).collect())
        }
        // Checked where they are bound to the job's rules.
        Change::Rules { .. } => true,
    }
}

/// Whether heating stays below cooling in every hour after the change.
fn set_points(change: &Sp<Change>, house: &House, say: &Say<'_>) -> bool {
    let mut now = house.clone();
    after::step(&mut now, &mut [], &change.value, Luck { seed: 0, draw: 0 });
    let (Some(heating), Some(cooling)) = (&now.text.heating, &now.text.cooling) else {
        let any = now.text.heating.is_some() || now.text.cooling.is_some();
        if !any {
            say(Diagnostic::error(code::P105)
                .at(change.span.clone())
                .arg("thing", "thermostat")
                .arg("zone", ""));
        }
        return any;
    };
    // At minutes of a day, as the thermostat holds them.
    let at = |e: &crate::doc::house::Equipment, s: f64| {
        let back = e.running.set_back.as_ref().filter(|(_, spans)| {
            spans.iter().any(|(a, b)| if a <= b { (*a..*b).contains(&s) } else { s >= *a || s < *b })
        });
        back.map_or(e.set_point_k, |b| b.0)
    };
    let crossed = (0..1440).map(|m| 60.0 * f64::from(m)).find(|s| at(heating, *s) >= at(cooling, *s));
    if let Some(s) = crossed {
        say(Diagnostic::error(code::P104)
            .at(change.span.clone())
            .arg("heat", (at(heating, s), Quantity::Temperature))
            .arg("cool", (at(cooling, s), Quantity::Temperature)));
    }
    crossed.is_none()
}

/// Whether the surfaces are there, with an area.
fn surface_there(which: &SurfaceOf, area_m2: Option<f64>, house: &House, say: &Say<'_>) -> bool {
    let mut now = house.clone();
    let found: Vec<Option<f64>> = after::surfaces(&mut now, which).map(|s| s.area_m2).collect();
    let name = match which {
        SurfaceOf::Label(label) => label.clone(),
        SurfaceOf::Between([a, b]) => {
            Sp { value: format!("{} / {}", a.value, b.value), span: a.span.clone() }
        }
    };
    if found.is_empty() {
        let labels: Vec<&str> = house.text.surfaces.iter().filter_map(|s| s.label.as_deref()).collect();
        say(name.unknown("surface", labels));
        return false;
    }
    let known = area_m2.is_some() || found.iter().all(Option::is_some);
    if !known {
        say(Diagnostic::error(code::P109).at(name.span.clone()).arg("surface", name.value.as_str()));
    }
    known
}
