//! Ducts, air handler, fans, and the appliances that combustion tests name.

use super::{Writer, cfm, own_number};
use crate::FieldResult;
use crate::exchange::hpxml::xml::Xml;
use engine::doc::field::Asked;
use engine::doc::field::combustion_zone::ApplianceType;
use engine::doc::house::ZoneKind;
use engine::doc::visit::Subject;
use engine::house::Place;
use engine::measure::{Estimate, NoInterval};
use engine::procedure::ventilation::Way;
use engine::units::Quantity;
use std::collections::BTreeMap;

/// Leakage of ducts at 25 Pa: id of the figure, which ducts, to where.
const DUCT_25: [(&str, Option<&str>, &str); 6] = [
    ("figure-duct-25", None, "total"),
    ("figure-duct-25-outdoors", None, "to outside"),
    ("figure-duct-25-supply", Some("supply"), "total"),
    ("figure-duct-25-supply-outdoors", Some("supply"), "to outside"),
    ("figure-duct-25-return", Some("return"), "total"),
    ("figure-duct-25-return-outdoors", Some("return"), "to outside"),
];

fn figure(test: &FieldResult, id: &str) -> Option<Estimate> {
    test.worked.figures.iter().find(|f| f.id == id).map(|f| f.number)
}

impl Writer<'_> {
    /// Writes the systems and returns the id of each appliance that was written, by its name.
    pub(super) fn systems(&mut self, xml: &mut Xml) -> BTreeMap<String, String> {
        let mut ids = BTreeMap::new();
        xml.element("Systems", |xml| {
            xml.element("HVAC", |xml| {
                xml.element("HVACPlant", |xml| self.heaters(xml, &mut ids));
                self.distribution(xml);
            });
            xml.element("MechanicalVentilation", |xml| {
                xml.element("VentilationFans", |xml| self.fans(xml));
            });
            xml.element("WaterHeating", |xml| {
                for (name, _) in self.typed().into_iter().filter(|t| t.1 == ApplianceType::WaterHeater) {
                    xml.element("WaterHeatingSystem", |xml| {
                        ids.insert(name.clone(), self.identified(xml, &name));
                    });
                }
            });
        });
        ids
    }

    /// Appliances whose kind somebody wrote beside a flue test.
    fn typed(&self) -> Vec<(String, ApplianceType)> {
        let mut found: Vec<(String, ApplianceType)> = Vec::new();
        for test in self.job.documents.visits.iter().flat_map(|v| &v.field) {
            let Asked::CombustionZone(zone) = &test.asked else { continue };
            for flue in &zone.flue_co {
                let name = &flue.record.appliance.value;
                if let Some(kind) = flue.kind.filter(|_| found.iter().all(|f| f.0 != *name)) {
                    found.push((name.clone(), kind));
                }
            }
        }
        found
    }

    fn heaters(&mut self, xml: &mut Xml, ids: &mut BTreeMap<String, String>) {
        for (name, kind) in self.typed() {
            let word = match kind {
                ApplianceType::Furnace => "Furnace",
                ApplianceType::Boiler => "Boiler",
                ApplianceType::RoomHeater => "SpaceHeater",
                _ => continue,
            };
            xml.element("HeatingSystem", |xml| {
                ids.insert(name.clone(), self.identified(xml, &name));
                xml.element("HeatingSystemType", |xml| xml.empty(word, &[]));
            });
        }
    }

    fn distribution(&mut self, xml: &mut Xml) {
        let (job, data) = (self.job, self.data);
        let handler = job.documents.house.as_ref().and_then(|h| h.air_handler.as_ref());
        let of_ducts =
            |f: &&FieldResult| f.worked.figures.iter().any(|f| DUCT_25.iter().any(|d| d.0 == f.id));
        let statics = data.field.iter().rfind(|f| f.kind == "static pressure");
        if handler.is_none() && !data.field.iter().any(|f| of_ducts(&f)) && statics.is_none() {
            return;
        }
        xml.element("HVACDistribution", |xml| {
            self.identified(xml, "air-distribution");
            xml.element("DistributionSystemType", |xml| {
                xml.element("AirDistribution", |xml| {
                    for test in data.field.iter().filter(of_ducts) {
                        for (id, part, to) in DUCT_25 {
                            let Some(found) = figure(test, id) else { continue };
                            self.summarised += 1;
                            xml.element("DuctLeakageMeasurement", |xml| duct_leakage(xml, part, to, &found));
                        }
                    }
                    if let Some(test) = statics {
                        self.statics(xml, test);
                    }
                    for duct in handler.iter().flat_map(|h| &h.ducts) {
                        xml.element("Ducts", |xml| {
                            let side = if duct.supply { "supply" } else { "return" };
                            self.identified(xml, &format!("ducts-{side}"));
                            xml.text("DuctType", side);
                            if let Some(kind) = self.kind_of(&duct.zone.value) {
                                xml.text("DuctLocation", location(kind));
                            }
                        });
                    }
                    let returns = handler.map_or(0, |h| h.registers.iter().filter(|r| !r.supply).count());
                    if returns > 0 {
                        xml.text("NumberofReturnRegisters", &returns.to_string());
                    }
                });
            });
            let flow = data.field.iter().rev().find_map(|f| figure(f, "figure-handler-flow"));
            let flow = flow.or_else(|| self.read_flow("air_handler"));
            if let Some(flow) = flow {
                self.beyond("flow of the air handler");
                xml.element("extension", |xml| own_number(xml, "aw:airHandlerFlow", &flow));
            }
        });
    }

    fn statics(&mut self, xml: &mut Xml, test: &FieldResult) {
        let side = |id| figure(test, id).map(|e| e.si.abs());
        let (supply, back) = (side("figure-static-supply-side"), side("figure-static-return-side"));
        if supply.is_none() && back.is_none() {
            return;
        }
        self.summarised += 1;
        xml.element("TotalExternalStaticPressureMeasurement", |xml| {
            // Positive on the supply side, negative on that of the return.
            if let Some(pa) = supply {
                xml.element("Supply", |xml| xml.number("StaticPressure", pa));
            }
            if let Some(pa) = back {
                xml.element("Return", |xml| xml.number("StaticPressure", -pa));
            }
        });
    }

    fn kind_of(&self, zone: &str) -> Option<ZoneKind> {
        let zones = self.job.house.iter().flat_map(|h| &h.zones);
        zones.into_iter().find(|z| z.name == zone).map(|z| z.kind)
    }

    /// The last single reading of a flow.
    fn read_flow(&self, of: &str) -> Option<Estimate> {
        let readings = self.job.documents.visits.iter().rev().flat_map(|v| v.readings.iter().rev());
        let is_it = |s: &Subject| matches!(s, Subject::Flow { of: name } if name.value == of);
        let found = readings.into_iter().find(|r| is_it(&r.subject) && !r.below)?;
        Some(Estimate::without(found.value.value, Quantity::AirFlow, NoInterval::NotDefined))
    }

    fn fans(&mut self, xml: &mut Xml) {
        let (job, data) = (self.job, self.data);
        let Some(house) = &job.house else { return };
        for fan in &house.fans {
            let name = &fan.text.name.value;
            let indoors = |p: Place| matches!(p, Place::Zone(z) if house.zones[z].kind.is_indoors());
            let outdoors = |p: Place| matches!(p, Place::Outdoors(_));
            let mut kind = match (fan.between[0], fan.between[1]) {
                (from, to) if indoors(from) && outdoors(to) => "exhaust only",
                (from, to) if outdoors(from) && indoors(to) => "supply only",
                _ => continue,
            };
            let tested = |v: &engine::doc::visit::Visit| {
                let asked = v.field.iter().rev().find_map(|t| match &t.asked {
                    Asked::FanFlow(f) if f.of.as_ref().is_some_and(|o| o.value == *name) => Some((t, f.way)),
                    _ => None,
                })?;
                let worked =
                    data.field.iter().find(|f| f.visit == v.folder && f.name == asked.0.name.value)?;
                Some((figure(worked, "figure-fan-flow")?, asked.1))
            };
            let test = job.documents.visits.iter().rev().find_map(tested);
            if test.is_some_and(|t| t.1 == Way::Both) {
                kind = "balanced";
            }
            let flow = test.map(|t| t.0).or_else(|| self.read_flow(name));
            xml.element("VentilationFan", |xml| {
                self.identified(xml, name);
                xml.text("FanType", kind);
                if let Some(flow) = flow {
                    xml.number("TestedFlowRate", cfm(flow.si));
                }
                let length =
                    |(from, to): &(f64, f64)| if to > from { to - from } else { to - from + 86_400.0 };
                let seconds: f64 = fan.text.runs_s.iter().map(length).sum();
                if seconds > 0.0 {
                    xml.number("HoursInOperation", seconds / 3600.0);
                }
                if fan.text.power_w > 0.0 {
                    xml.number("FanPower", fan.text.power_w);
                }
                if let Some(flow) = flow.filter(|f| f.bounds().is_some()) {
                    xml.element("extension", |xml| own_number(xml, "aw:testedFlow", &flow));
                }
            });
        }
    }
}

fn duct_leakage(xml: &mut Xml, part: Option<&str>, to: &str, found: &Estimate) {
    if let Some(part) = part {
        xml.text("DuctType", part);
    }
    xml.text("DuctLeakageTestMethod", "duct leakage tester");
    xml.element("DuctLeakage", |xml| {
        xml.text("Units", "CFM25");
        xml.number("Value", cfm(found.si));
        xml.text("TotalOrToOutside", to);
    });
    xml.element("extension", |xml| own_number(xml, "aw:leakageAt25Pa", found));
}

/// Words of the schema for a place of ducts, from memory.
fn location(kind: ZoneKind) -> &'static str {
    match kind {
        ZoneKind::Living | ZoneKind::Appliance | ZoneKind::Plenum => "conditioned space",
        ZoneKind::Attic => "attic",
        ZoneKind::Crawl => "crawlspace",
        ZoneKind::Garage => "garage",
        ZoneKind::Basement => "basement",
    }
}
