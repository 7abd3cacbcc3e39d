//! The gate: no plan that could draw flue gas into the house leaves the program as advice until
//! this visit's combustion results allow it.
//!
//! What a plan does is judged by its [`Effect`]s, not by its name. What was found on the visit is a
//! [`Record`]. [`judge`] puts both together; [`WorkScope`] can be made by it alone, so no command,
//! page or export can go round. A licensed person's sign-off stands in for a missing result and
//! never for a failed one. A limit that nobody confirmed neither passes nor fails, so it holds.

use crate::doc::house::Draft;
use crate::doc::plans::Change;
use crate::doc::visit::Combustion;
use crate::house::House;
use serde::Serialize;

mod effect;

pub use effect::{Effect, Runs, effect, effects, rule_effect};

/// How one combustion result stands against its limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// Within a limit that the user confirmed.
    Within,
    /// Beyond the limit, confirmed or not.
    Beyond,
    /// Within a limit that nobody confirmed, or no limit was given.
    LimitNotConfirmed,
    /// Value and limit are on different bases and are not compared.
    BasisDiffers,
}

/// What was found at one appliance.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// Index in [`House::appliances`].
    pub appliance: usize,
    /// Spillage, the worst of the visit.
    pub spillage: Option<Outcome>,
    /// Carbon monoxide in the undiluted flue gas, the worst of the visit.
    pub flue_co: Option<Outcome>,
}

/// What one visit says about fuel and combustion.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Record {
    /// Whether somebody looked for fuel and wrote down who and where.
    pub inspected: bool,
    /// Whether fuel was found.
    pub fuel_present: bool,
    /// One entry an appliance.
    pub findings: Vec<Finding>,
    /// A licensed person's word stands in for missing results.
    pub signed_off: bool,
    /// Carbon monoxide in a room or at an oven, or gas, was found at a level at which the work ends.
    pub stopped: bool,
    /// A result is of an appliance that the house does not name.
    pub unnamed: bool,
}

/// Why a plan is held.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "reason", rename_all = "kebab-case")]
pub enum Reason {
    /// Nobody recorded a look for fuel in and at the house.
    NotInspected,
    /// The record says that there is no fuel and the house file has an appliance.
    Contradiction,
    /// Fuel was found and the house file names no appliance.
    ApplianceNotNamed,
    /// No spillage result of this visit.
    SpillageMissing {
        /// Which appliance.
        appliance: String,
    },
    /// No flue CO result of this visit.
    FlueCoMissing {
        /// Which appliance.
        appliance: String,
    },
    /// Spillage went on beyond the limit.
    SpillageFailed {
        /// Which appliance.
        appliance: String,
    },
    /// Flue CO beyond the limit.
    FlueCoFailed {
        /// Which appliance.
        appliance: String,
    },
    /// A result stands against a limit that nobody confirmed.
    LimitNotConfirmed {
        /// Which appliance.
        appliance: String,
    },
    /// Value and limit cannot be compared (air-free and as measured).
    BasisDiffers {
        /// Which appliance.
        appliance: String,
    },
    /// A combustion result, the house or the plan changed after the release.
    Changed,
    /// Carbon monoxide in the room or gas at a level at which the work ends.
    Stopped,
    /// An appliance without a vent stands in the house.
    Unvented {
        /// Which appliance.
        appliance: String,
    },
}

/// What has to be kept to when a released plan is carried out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "condition", rename_all = "kebab-case")]
pub enum Condition {
    /// The old appliance is out before anything else is done.
    ReplaceFirst {
        /// Which appliance.
        appliance: String,
    },
    /// Spillage and CO are tested again after the work.
    TestAgain,
    /// A licensed person's word stands behind the release.
    SignedOff,
}

/// Held or released.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "state", rename_all = "kebab-case")]
pub enum Gate {
    /// Computed, not released.
    Held {
        /// Why.
        reasons: Vec<Reason>,
    },
    /// May go into a work scope.
    Released {
        /// What has to be kept to.
        conditions: Vec<Condition>,
    },
}

impl Gate {
    /// Whether the plan may go into a work scope.
    pub fn is_released(&self) -> bool {
        matches!(self, Gate::Released { .. })
    }
}

/// A plan that the gate let through. There is no other way to make one, and it holds for the record,
/// the house and the changes that it was made from only.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WorkScope {
    plan: String,
    conditions: Vec<Condition>,
    release: String,
}

impl WorkScope {
    /// Name of the plan.
    pub fn plan(&self) -> &str {
        &self.plan
    }

    /// What has to be kept to.
    pub fn conditions(&self) -> &[Condition] {
        &self.conditions
    }

    /// What it was released on ([`release`]).
    pub fn release(&self) -> &str {
        &self.release
    }

    /// The same scope, judged again by what is known now. One changed reading of combustion, one
    /// changed line of the house or of the plan withdraws it: it has to be made anew, which asks
    /// the gate.
    ///
    /// # Errors
    /// [`Reason::Changed`] where something changed; else what holds it now.
    pub fn recheck(
        self,
        changes: &[Change],
        house: &House,
        record: Option<&Record>,
    ) -> Result<WorkScope, Vec<Reason>> {
        let now = work_scope(&self.plan, changes, house, record)?;
        if now.release == self.release { Ok(now) } else { Err(vec![Reason::Changed]) }
    }
}

/// Hash over the combustion record, the house as written and the changes: what a release hangs on.
pub fn release(changes: &[Change], house: &House, record: Option<&Record>) -> String {
    use std::fmt::Write;
    let mut sum = Fnv([0xcbf2_9ce4_8422_2325, 0x8422_2325_cbf2_9ce4]);
    // Writing into a sum cannot fail.
    let _ = write!(sum, "{record:?}|{:?}|{changes:?}", house.text);
    sum.0.iter().map(|h| format!("{h:016x}")).collect()
}

/// Two sums by FNV-1a with different starts; guards against slips, not against an adversary.
struct Fnv([u64; 2]);

impl std::fmt::Write for Fnv {
    fn write_str(&mut self, text: &str) -> std::fmt::Result {
        for byte in text.bytes() {
            for (k, sum) in self.0.iter_mut().enumerate() {
                *sum = (*sum ^ u64::from(byte).rotate_left(13 * u32::from(k == 1)))
                    .wrapping_mul(0x0100_0000_01b3);
            }
        }
        Ok(())
    }
}

/// The work scope of a plan, or why there is none.
pub fn work_scope(
    plan: &str,
    changes: &[Change],
    house: &House,
    record: Option<&Record>,
) -> Result<WorkScope, Vec<Reason>> {
    match judge(changes, house, record) {
        Gate::Released { conditions } => {
            Ok(WorkScope { plan: plan.to_owned(), conditions, release: release(changes, house, record) })
        }
        Gate::Held { reasons } => Err(reasons),
    }
}

/// Reads a visit's combustion table into a record. Results of unknown appliances are left out
/// here; the checker reports them.
pub fn record(house: &House, combustion: &Combustion) -> Record {
    let worst = |a: Option<Outcome>, b: Outcome| {
        let rank = |o: Outcome| match o {
            Outcome::Within => 0,
            Outcome::LimitNotConfirmed => 1,
            Outcome::BasisDiffers => 2,
            Outcome::Beyond => 3,
        };
        Some(a.map_or(b, |a| if rank(a) >= rank(b) { a } else { b }))
    };
    let findings = house
        .appliances
        .iter()
        .enumerate()
        .map(|(index, appliance)| {
            let spillage = combustion
                .spillage
                .iter()
                .filter(|s| s.appliance.value == appliance.name)
                .fold(None, |sum, s| worst(sum, against(s.spilled_s.value, s.limit_s, s.limit_confirmed)));
            let flue_co = combustion.flue_co.iter().filter(|c| c.appliance.value == appliance.name).fold(
                None,
                |sum, c| {
                    let outcome = if c.limit.is_some() && c.air_free != c.limit_air_free {
                        Outcome::BasisDiffers
                    } else {
                        against(c.value.value, c.limit, c.limit_confirmed)
                    };
                    worst(sum, outcome)
                },
            );
            Finding { appliance: index, spillage, flue_co }
        })
        .collect();
    // A result that cannot be read, or whose appliance nobody knows, may be a failed one: no word
    // stands in for it.
    let known = |name: &str| house.appliances.iter().any(|a| a.name == name);
    let unnamed = !combustion.spillage.iter().all(|s| known(&s.appliance.value))
        || !combustion.flue_co.iter().all(|c| known(&c.appliance.value));
    let whole = !combustion.unreadable && !unnamed;
    Record {
        inspected: combustion.looked_by.is_some() && combustion.looked_where.is_some(),
        fuel_present: combustion.fuel_present,
        findings,
        signed_off: whole && combustion.sign_off.is_some(),
        stopped: combustion.stopped,
        unnamed,
    }
}

fn against(value: f64, limit: Option<f64>, confirmed: bool) -> Outcome {
    match limit {
        Some(limit) if value > limit => Outcome::Beyond,
        Some(_) if confirmed => Outcome::Within,
        _ => Outcome::LimitNotConfirmed,
    }
}

/// Holds or releases a set of changes.
pub fn judge(changes: &[Change], house: &House, record: Option<&Record>) -> Gate {
    let effects: Vec<Effect> = changes.iter().flat_map(|c| effects(c, house)).collect();
    let replaced: Vec<(&str, Option<Draft>)> = changes
        .iter()
        .filter_map(|c| match c {
            Change::Replace { appliance, by } => Some((appliance.value.as_str(), *by)),
            _ => None,
        })
        .collect();
    judge_effects(&effects, &replaced, house, record)
}

/// Holds or releases what has these effects, such as rules ([`rule_effect`]); `replaced` are the
/// appliances that go before, each with how the new one is vented (nothing for an electric one).
pub fn judge_effects(
    effects: &[Effect],
    replaced: &[(&str, Option<Draft>)],
    house: &House,
    record: Option<&Record>,
) -> Gate {
    let released = |conditions| Gate::Released { conditions };
    let replaced = |name: &str| replaced.iter().find(|(n, _)| *n == name).map(|r| r.1);
    if effects.is_empty() {
        return released(Vec::new());
    }
    let Some(record) = record.filter(|r| r.inspected) else {
        return Gate::Held { reasons: vec![Reason::NotInspected] };
    };
    let mut reasons = Vec::new();
    let mut conditions = Vec::new();
    // A failed result, whatever it comes from: no word and no replaced appliance stands against it.
    if record.stopped {
        reasons.push(Reason::Stopped);
    }
    if !record.fuel_present && !record.stopped && !record.unnamed {
        if house.appliances.is_empty() {
            return released(Vec::new());
        }
        return Gate::Held { reasons: vec![Reason::Contradiction] };
    }
    if record.unnamed || (house.appliances.is_empty() && !record.signed_off) {
        reasons.push(Reason::ApplianceNotNamed);
    }
    for (index, appliance) in house.appliances.iter().enumerate() {
        let name = || appliance.label.clone();
        // Out of the house, or sealed against it, before the rest is done.
        if matches!(replaced(&appliance.name), Some(None | Some(Draft::Sealed))) {
            conditions.push(Condition::ReplaceFirst { appliance: name() });
            continue;
        }
        let finding = record.findings.iter().find(|f| f.appliance == index);
        let spillage = finding.and_then(|f| f.spillage);
        let flue_co = finding.and_then(|f| f.flue_co);
        let needs_spillage = matches!(appliance.draft, Draft::Natural | Draft::FanAssisted);
        if appliance.draft == Draft::Unvented && !record.signed_off {
            reasons.push(Reason::Unvented { appliance: name() });
        }
        let mut held_here = Vec::new();
        for (outcome, needed, missing, failed) in [
            (
                spillage,
                needs_spillage,
                Reason::SpillageMissing { appliance: name() },
                Reason::SpillageFailed { appliance: name() },
            ),
            (
                flue_co,
                true,
                Reason::FlueCoMissing { appliance: name() },
                Reason::FlueCoFailed { appliance: name() },
            ),
        ] {
            match outcome {
                Some(Outcome::Beyond) => held_here.push(failed),
                Some(Outcome::LimitNotConfirmed) => {
                    held_here.push(Reason::LimitNotConfirmed { appliance: name() });
                }
                Some(Outcome::BasisDiffers) => held_here.push(Reason::BasisDiffers { appliance: name() }),
                Some(Outcome::Within) => {}
                None if needed && !record.signed_off => held_here.push(missing),
                None => {}
            }
        }
        held_here.dedup();
        reasons.extend(held_here);
    }
    if !reasons.is_empty() {
        return Gate::Held { reasons };
    }
    if record.signed_off {
        conditions.push(Condition::SignedOff);
    }
    if !house.appliances.is_empty() {
        conditions.push(Condition::TestAgain);
    }
    released(conditions)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::doc::plans::{Machine, Sealing, SurfaceOf, When};
    use crate::doc::{File, Sink, Sp};

    fn house(appliance: &str) -> House {
        let text = format!(
            "format = 1\n[zone.main]\nkind='living'\nvolume='300 m3'\nfloor_area='120 m2'\nfloor='0 m'\nceiling='2.5 m'\n\
             [leak.walls]\nbetween=['main','outdoors']\nat50='200 to 900 cfm'\n[fan.bath]\nfrom='main'\nto='outdoors'\nflow='50 cfm'\n\
             [fan.fresh]\nfrom='outdoors'\nto='main'\nflow='50 cfm'\n{appliance}"
        );
        let sink = Sink::default();
        let doc = crate::doc::house::read(&File { name: "house.toml".into(), text }, &sink);
        let house = crate::house::build(&doc, &sink);
        assert!(!sink.borrow().has_errors(), "{:?}", sink.borrow());
        house
    }

    const HEATER: &str =
        "[appliance.heater]\nzone='main'\ndraft='natural'\nflue_area='10 to 14 in2'\nflue_top='6 m'\n";

    fn spot(text: &str) -> Sp<String> {
        Sp { value: text.into(), span: crate::diag::Span::new("plans.toml", 0..1) }
    }

    /// One change of every kind and of every way it can be felt, with what the flue feels of it.
    fn changes() -> Vec<(Change, Option<Effect>)> {
        use Effect::{AddsExhaust, ChangesDoorsOrReturns, ChangesDuctBalance, Encloses, Tightens};
        let main = || spot("main");
        let wall = || SurfaceOf::Between([main(), spot("outdoors")]);
        let filter = |merv, drop_pa| Change::Filter {
            what: None,
            pm25: 0.5,
            merv,
            drop_pa,
            loading: 1.0,
            at_grille: None,
        };
        let fan = |fan: &str, runs: &[(f64, f64)]| Change::RunFan { fan: spot(fan), runs_s: runs.to_vec() };
        let speed = |what: &str, to| Change::Speed { what: spot(what), to };
        let glass = |surface| Change::Glazing {
            surface,
            u_w_m2_k: 1.5,
            area_m2: None,
            shgc: None,
            zone: None,
            face: None,
        };
        let day = [(0.0, 86_400.0)];
        let balanced = Change::Balanced {
            to: main(),
            from: main(),
            flow_m3_s: 0.03,
            exhaust_m3_s: 0.03,
            power_w: 40.0,
            recovery: 0.7,
            moisture: 0.0,
            pm25: 0.0,
            when: When::Always,
        };
        // 900 cfm into an unchanged shell.
        let hood =
            Change::Hood { zone: main(), flow_m3_s: 0.425, power_w: 300.0, capture: None, runs_s: vec![] };
        let humidifier = crate::doc::house::Humidifier {
            zone: main(),
            capacity_kg_s: 1e-4,
            set_point_rh: 0.4,
            steam: false,
        };
        let drier = crate::doc::house::Dehumidifier {
            zone: main(),
            capacity_kg_s: 1e-4,
            efficiency_kg_j: 5e-7,
            set_point_rh: 0.5,
        };
        let set_points = Change::SetPoints {
            heat_k: Some(292.0),
            cool_k: None,
            heat_back_k: None,
            cool_back_k: None,
            hours_s: vec![],
        };
        vec![
            (Change::Seal { what: vec![spot("walls")], how: Sealing::Removes((0.3, 0.5)) }, Some(Tightens)),
            (Change::SealDucts { removes: (0.5, 0.8) }, Some(ChangesDuctBalance)),
            (Change::Transfer { between: [main(), main()], area_m2: 0.03 }, Some(ChangesDoorsOrReturns)),
            (Change::CloseOpening { what: spot("grille") }, Some(Encloses)),
            (
                Change::Exhaust { from: main(), flow_m3_s: 0.03, power_w: 10.0, when: When::Always },
                Some(AddsExhaust),
            ),
            (hood, Some(AddsExhaust)),
            (
                Change::Supply { to: main(), flow_m3_s: 0.02, power_w: 10.0, pm25: 0.0, when: When::Always },
                None,
            ),
            (balanced, Some(AddsExhaust)),
            (Change::Intake { flow_m3_s: 0.03, share: 0.3 }, Some(ChangesDuctBalance)),
            (filter(None, None), None),
            (filter(Some(8), None), None),
            (filter(Some(13), None), Some(ChangesDuctBalance)),
            (filter(None, Some(60.0)), Some(ChangesDuctBalance)),
            (Change::Cleaner { zone: main(), cadr_m3_s: 0.05, power_w: 30.0, share: 1.0 }, None),
            (Change::Mixing { share: 0.3 }, Some(ChangesDuctBalance)),
            (Change::Dehumidify(drier), None),
            (Change::Humidify(humidifier), None),
            (Change::Remove { machine: Machine::Humidifier, zone: main() }, None),
            (speed("air_handler", 0.8), Some(ChangesDuctBalance)),
            (speed("bath", 1.5), Some(AddsExhaust)),
            (speed("bath", 0.5), None),
            (speed("fresh", 0.5), Some(Encloses)),
            (speed("fresh", 1.5), None),
            (fan("bath", &day), Some(AddsExhaust)),
            (fan("bath", &[]), None),
            (fan("fresh", &[]), Some(Encloses)),
            (fan("fresh", &day), None),
            (set_points, None),
            (Change::Door { door: spot("d"), open_at_night: true }, Some(ChangesDoorsOrReturns)),
            (Change::Insulate { surface: wall(), adds_m2_k_w: 2.0, area_m2: None }, Some(Tightens)),
            (
                Change::Insulate {
                    surface: SurfaceOf::Between([spot("attic"), spot("outdoors")]),
                    adds_m2_k_w: 2.0,
                    area_m2: None,
                },
                None,
            ),
            (glass(wall()), Some(Tightens)),
            (Change::Shade { zone: main(), face: None, cuts: 0.5 }, None),
            (Change::GroundCover { zone: main(), cover: 0.9 }, None),
            (Change::CloseCrawl { zone: main(), removes: (0.8, 0.9), cover: 0.9 }, Some(Encloses)),
            (Change::Drain { zone: main(), cuts: 0.5 }, None),
            (Change::VentDryer { zone: main(), flow_m3_s: 0.05 }, Some(AddsExhaust)),
            (Change::CutSource { what: spot("cooking"), cuts: 0.5 }, None),
            (Change::Replace { appliance: spot("heater"), by: Some(Draft::Natural) }, None),
        ]
    }

    #[test]
    fn every_change_is_judged_by_what_a_flue_feels() {
        let house = house(HEATER);
        for (change, felt) in changes() {
            assert_eq!(effect(&change, &house), felt, "{change:?}");
        }
    }

    #[test]
    fn rules_that_may_run_more_exhaust_are_felt() {
        let house = house(HEATER);
        let index = |name: &str| house.fans.iter().position(|f| f.text.name.value == name).unwrap();
        let of = |runs, more| rule_effect(runs, more, &house);
        assert_eq!(of(Runs::Fan(index("bath")), true), Some(Effect::AddsExhaust));
        assert_eq!(of(Runs::Fan(index("bath")), false), None);
        assert_eq!(of(Runs::Fan(index("fresh")), false), Some(Effect::Encloses));
        assert_eq!(of(Runs::Fan(99), false), Some(Effect::AddsExhaust));
        assert_eq!(of(Runs::Exhaust, true), Some(Effect::AddsExhaust));
        assert_eq!(of(Runs::Supply, false), Some(Effect::Encloses));
        assert_eq!(of(Runs::Balanced, false), Some(Effect::AddsExhaust));
        assert_eq!(of(Runs::Handler, true), Some(Effect::ChangesDuctBalance));
        assert_eq!(of(Runs::Opening, false), Some(Effect::ChangesDoorsOrReturns));
        assert_eq!(of(Runs::Nothing, true), None);
    }

    const OUTCOMES: [Option<Outcome>; 5] = [
        None,
        Some(Outcome::Within),
        Some(Outcome::Beyond),
        Some(Outcome::LimitNotConfirmed),
        Some(Outcome::BasisDiffers),
    ];

    /// Every record that a visit can leave.
    fn records() -> Vec<Record> {
        let mut all = Vec::new();
        for spillage in OUTCOMES {
            for flue_co in OUTCOMES {
                all.extend((0..32).map(|flags| Record {
                    inspected: flags & 1 == 1,
                    fuel_present: flags & 2 == 2,
                    signed_off: flags & 4 == 4,
                    stopped: flags & 8 == 8,
                    unnamed: flags & 16 == 16,
                    findings: vec![Finding { appliance: 0, spillage, flue_co }],
                }));
            }
        }
        all
    }

    /// Whether something felt may be released.
    fn may(record: &Record) -> bool {
        let fine = |o: Option<Outcome>| o == Some(Outcome::Within) || (o.is_none() && record.signed_off);
        let finding = &record.findings[0];
        record.inspected
            && record.fuel_present
            && !record.stopped
            && !record.unnamed
            && fine(finding.spillage)
            && fine(finding.flue_co)
    }

    /// Every change alone, every pair, every triple, and all of them, against every record: no path
    /// releases a change that an open appliance feels unless both results are there and within
    /// confirmed limits, or missing and signed off.
    #[test]
    fn no_path_releases_a_held_change() {
        let house = house(HEATER);
        let all = changes();
        let n = all.len();
        let mut sets: Vec<Vec<usize>> = vec![vec![], (0..n).collect()];
        for a in 0..n {
            sets.push(vec![a]);
            for b in a + 1..n {
                sets.push(vec![a, b]);
                sets.extend((b + 1..n).map(|c| vec![a, b, c]));
            }
        }
        let records = records();
        let mut released = 0;
        for (k, set) in sets.iter().enumerate() {
            let felt = set.iter().any(|i| all[*i].1.is_some());
            let list: Vec<Change> = set.iter().map(|i| all[*i].0.clone()).collect();
            // Triples meet every seventh record, each set others.
            let step = if set.len() == 3 { 7 } else { 1 };
            for record in records.iter().skip(k % step).step_by(step) {
                let free = judge(&list, &house, Some(record)).is_released();
                assert_eq!(free, !felt || may(record), "{list:?} {record:?}");
                released += usize::from(free && felt);
            }
            assert_eq!(judge(&list, &house, None).is_released(), !felt);
        }
        assert!(released > 0);
    }

    /// Every set of effects, as changes and rules can have them, against every record.
    #[test]
    fn no_set_of_effects_goes_round() {
        use Effect::{AddsExhaust, ChangesDoorsOrReturns, ChangesDuctBalance, Encloses, Tightens};
        let house = house(HEATER);
        let all = [Tightens, AddsExhaust, ChangesDuctBalance, ChangesDoorsOrReturns, Encloses];
        for pick in 0..1_usize << all.len() {
            let set: Vec<Effect> = (0..all.len()).filter(|i| pick >> i & 1 == 1).map(|i| all[i]).collect();
            for record in records() {
                let free = judge_effects(&set, &[], &house, Some(&record)).is_released();
                assert_eq!(free, set.is_empty() || may(&record), "{set:?} {record:?}");
            }
            assert_eq!(judge_effects(&set, &[], &house, None).is_released(), set.is_empty());
        }
    }

    #[test]
    fn a_changed_reading_withdraws_a_release() {
        let house = house(HEATER);
        let list = vec![changes()[0].0.clone()];
        let record = records().into_iter().find(|r| may(r) && !r.signed_off).unwrap();
        let scope = work_scope("p", &list, &house, Some(&record)).unwrap();
        assert_eq!(scope.clone().recheck(&list, &house, Some(&record)).as_ref(), Ok(&scope));
        // A result that is still within its limit, but another record.
        let signed = Record { signed_off: true, ..record.clone() };
        let changed = Err(vec![Reason::Changed]);
        assert_eq!(scope.clone().recheck(&list, &house, Some(&signed)), changed);
        // Another house, another plan.
        let mut wider = house.clone();
        wider.text.zones[0].ceiling_m += 0.1;
        assert_eq!(scope.clone().recheck(&list, &wider, Some(&record)), changed);
        let more = vec![list[0].clone(), changes()[4].0.clone()];
        assert_eq!(scope.clone().recheck(&more, &house, Some(&record)), changed);
        // A failed result, and no result.
        let finding = Finding { spillage: Some(Outcome::Beyond), ..record.findings[0].clone() };
        let failed = Record { findings: vec![finding], ..record };
        let reasons = scope.clone().recheck(&list, &house, Some(&failed)).unwrap_err();
        assert!(matches!(reasons[..], [Reason::SpillageFailed { .. }]), "{reasons:?}");
        assert_eq!(scope.recheck(&list, &house, None), Err(vec![Reason::NotInspected]));
    }

    fn list() -> Vec<Change> {
        changes().into_iter().map(|c| c.0).collect()
    }

    #[test]
    fn an_all_electric_house_passes_by_recorded_inspection_only() {
        let house = house("");
        let none = Record {
            inspected: true,
            fuel_present: false,
            findings: vec![],
            signed_off: false,
            stopped: false,
            unnamed: false,
        };
        assert!(judge(&list(), &house, Some(&none)).is_released());
        assert!(!judge(&list(), &house, None).is_released());
        let nobody = Record { inspected: false, ..none };
        assert!(!judge(&list(), &house, Some(&nobody)).is_released());
    }

    #[test]
    fn replacing_the_appliance_by_a_sealed_or_electric_one_comes_first() {
        let house = house(HEATER);
        let record = Record {
            inspected: true,
            fuel_present: true,
            findings: vec![],
            signed_off: false,
            stopped: false,
            unnamed: false,
        };
        for by in [None, Some(Draft::Sealed)] {
            let set = vec![
                Change::Seal { what: vec![spot("walls")], how: Sealing::Removes((0.3, 0.5)) },
                Change::Replace { appliance: spot("heater"), by },
            ];
            let Gate::Released { conditions } = judge(&set, &house, Some(&record)) else {
                panic!("held");
            };
            assert!(matches!(conditions.first(), Some(Condition::ReplaceFirst { .. })));
        }
    }

    #[test]
    fn air_free_and_as_measured_are_never_compared() {
        let house = house(HEATER);
        let text = "format = 1\ndate='2026-01-10'\n[combustion]\nfuel='present'\nlooked_by='T'\nlooked_where='closet'\n\
            [[combustion.spillage]]\nappliance='heater'\nspilled_for='20 s'\nlimit='60 s'\nlimit_confirmed=true\n\
            [[combustion.flue_co]]\nappliance='heater'\nvalue='40 ppm'\nbasis='as measured'\nlimit='200 ppm'\n\
            limit_basis='air-free'\nlimit_confirmed=true\n";
        let sink = Sink::default();
        let visit =
            crate::doc::visit::read(&File { name: "visits/x/visit.toml".into(), text: text.into() }, &sink);
        assert!(!sink.borrow().has_errors(), "{:?}", sink.borrow());
        let record = record(&house, &visit.combustion.unwrap());
        let Gate::Held { reasons } = judge(&list(), &house, Some(&record)) else { panic!("released") };
        assert_eq!(reasons, [Reason::BasisDiffers { appliance: "heater".into() }]);
    }

    #[test]
    fn a_sign_off_never_covers_a_result_that_was_mistyped() {
        let house = house(HEATER);
        let released = |result: &str| {
            let text = format!(
                "format = 1\ndate='2026-01-10'\n[combustion]\nfuel='present'\nlooked_by='T'\nlooked_where='closet'\n\
                 {result}[combustion.sign_off]\nwho='L'\nlicence='1'\nwhat='closet'\n"
            );
            let file = File { name: "visits/x/visit.toml".into(), text };
            let visit = crate::doc::visit::read(&file, &Sink::default());
            judge(&list(), &house, Some(&record(&house, &visit.combustion.unwrap()))).is_released()
        };
        assert!(released(""));
        // Spilled for 200 s: a unit forgotten, an appliance misspelt.
        assert!(!released("[[combustion.spillage]]\nappliance='heater'\nspilled_for=200\nlimit='60 s'\n"));
        assert!(!released("[[combustion.spillage]]\nappliance='heatr'\nspilled_for='200 s'\nlimit='60 s'\n"));
    }
}
