//! Combustion safety: the zones of the appliances, and what was measured at each.

use super::{Writer, own_number};
use crate::exchange::hpxml::xml::Xml;
use engine::doc::field::Asked;
use engine::doc::field::combustion_zone::CombustionZone;
use engine::doc::visit::{FlueCo, Spillage};
use engine::measure::{Estimate, NoInterval};
use engine::units::Quantity;
use std::collections::BTreeMap;

const PPM: f64 = 1e-6;

fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

fn highest(values: impl Iterator<Item = f64>) -> Option<f64> {
    values.filter(|v| v.is_finite()).max_by(f64::total_cmp)
}

/// Whether a spillage result was taken under the greatest depressurisation; nothing where nobody noted it.
fn greatest(s: &Spillage) -> Option<bool> {
    match s.house.as_str() {
        "greatest depressurisation" => Some(true),
        "natural" => Some(false),
        _ => None,
    }
}

impl Writer<'_> {
    pub(super) fn safety(&mut self, xml: &mut Xml, ids: &BTreeMap<String, String>) {
        let job = self.job;
        let Some(visit) = job.documents.visits.last() else { return };
        let tests: Vec<&CombustionZone> = visit
            .field
            .iter()
            .filter_map(|t| match &t.asked {
                Asked::CombustionZone(zone) => Some(&**zone),
                _ => None,
            })
            .collect();
        let rooms = tests.iter().flat_map(|t| &t.ambient).flat_map(|a| a.values.iter().copied());
        let (spillage, flues): (&[Spillage], &[FlueCo]) =
            job.combustion.as_ref().map_or((&[], &[]), |c| (&c.spillage, &c.flue_co));
        xml.element("HealthAndSafety", |xml| {
            xml.element("CombustionAppliances", |xml| {
                if let Some(co) = highest(rooms) {
                    self.summarised += 1;
                    xml.number("MaxAmbientCOinLivingSpaceDuringAudit", co / PPM);
                }
                for test in &tests {
                    xml.element("CombustionApplianceZone", |xml| self.zone(xml, test, ids));
                }
                let seen = |name: &str| {
                    tests.iter().any(|t| {
                        t.spillage.iter().any(|s| s.record.appliance.value == name)
                            || t.flue_co.iter().any(|f| f.record.appliance.value == name)
                    })
                };
                // Results beside a zone test of their own, as `[combustion]` holds them.
                let mut names: Vec<&str> = spillage.iter().map(|s| s.appliance.value.as_str()).collect();
                names.extend(flues.iter().map(|f| f.appliance.value.as_str()));
                names.sort_unstable();
                names.dedup();
                for name in names.into_iter().filter(|n| !seen(n)) {
                    let mine: Vec<&Spillage> =
                        spillage.iter().filter(|s| s.appliance.value == name).collect();
                    let flue: Vec<&FlueCo> = flues.iter().filter(|f| f.appliance.value == name).collect();
                    xml.element("CombustionApplianceZone", |xml| {
                        self.appliance(xml, name, ids, (&mine, &flue, None));
                    });
                }
            });
        });
    }

    fn zone(&mut self, xml: &mut Xml, test: &CombustionZone, ids: &BTreeMap<String, String>) {
        let baseline: Vec<f64> = test.baseline_before.iter().chain(&test.baseline_after).copied().collect();
        let baseline = mean(&baseline);
        let worst = test.states.iter().filter_map(|s| mean(&s.shown_pa)).min_by(f64::total_cmp);
        if let Some(limit) = test.limit.value {
            xml.number("CAZDepressurizationLimit", limit);
        }
        let pressure = |xml: &mut Xml, pa: Option<f64>| {
            if let Some(pa) = pa {
                xml.number("Pressure", pa);
            }
        };
        xml.element("BaselineTest", |xml| pressure(xml, baseline));
        xml.element("PoorCaseTest", |xml| pressure(xml, worst));
        if let Some((baseline, worst)) = baseline.zip(worst) {
            self.summarised += 1;
            xml.number("NetPressureChange", worst - baseline);
        }
        let co = highest(test.ambient.iter().flat_map(|a| a.values.iter().copied()));
        if let Some(co) = co {
            xml.number("AmountAmbientCOinCAZduringTesting", co / PPM);
        }
        let mut names: Vec<&str> = test.spillage.iter().map(|s| s.record.appliance.value.as_str()).collect();
        names.extend(test.flue_co.iter().map(|f| f.record.appliance.value.as_str()));
        names.extend(test.draft.iter().map(|d| d.appliance.value.as_str()));
        names.sort_unstable();
        names.dedup();
        for name in names {
            let spillage: Vec<&Spillage> =
                test.spillage.iter().map(|s| &s.record).filter(|s| s.appliance.value == name).collect();
            let flues: Vec<&FlueCo> =
                test.flue_co.iter().map(|f| &f.record).filter(|f| f.appliance.value == name).collect();
            let draft = test.draft.iter().rfind(|d| d.appliance.value == name).map(|d| d.value_pa);
            self.appliance(xml, name, ids, (&spillage, &flues, draft));
        }
        self.beyond("states of the combustion zone, limits with their sources, doors and fans of each");
    }

    fn appliance(
        &mut self,
        xml: &mut Xml,
        name: &str,
        ids: &BTreeMap<String, String>,
        (spillage, flues, draft): (&[&Spillage], &[&FlueCo], Option<f64>),
    ) {
        xml.element("CombustionApplianceTest", |xml| {
            match ids.get(name) {
                Some(id) => xml.empty("CAZAppliance", &[("idref", id)]),
                None => self.beyond("which appliance a combustion test is of, where its kind was not noted"),
            }
            if let Some(pa) = draft {
                self.summarised += 1;
                xml.element("FlueDraftTest", |xml| xml.number("CurrentCondition", pa));
            }
            let last = |wanted: bool| {
                spillage.iter().rfind(|s| greatest(s) == Some(wanted)).map(|s| s.spilled_s.value)
            };
            xml.element("SpillageTest", |xml| {
                for (word, s) in [("PoorScenario", last(true)), ("CurrentCondition", last(false))] {
                    if let Some(s) = s {
                        self.summarised += 1;
                        xml.number(word, s);
                    }
                }
            });
            // The schema has one number in ppm and no word for its basis.
            xml.element("CarbonMonoxideTest", |xml| {
                if let Some(co) = flues.last() {
                    self.summarised += 1;
                    xml.number("CurrentCondition", co.value.value / PPM);
                }
            });
            xml.element("extension", |xml| {
                xml.text("aw:appliance", name);
                for s in spillage.iter().filter(|s| greatest(s).is_none()) {
                    let spilled =
                        Estimate::without(s.spilled_s.value, Quantity::Time, NoInterval::NotDefined);
                    own_number(xml, "aw:spilled", &spilled);
                }
                for f in flues {
                    let basis = if f.air_free { "air-free" } else { "as measured" };
                    xml.text_with(
                        "aw:flueCo",
                        &[("basis", basis), ("unit", "ppm")],
                        &format!("{}", f.value.value / PPM),
                    );
                    self.beyond("the basis of carbon monoxide in flue gas");
                }
            });
        });
    }
}
