//! A summary of the job as HPXML 4.2: sizes, tightness, ducts, fans, combustion safety.
//!
//! Names and units of elements by a description of the published schema; what of it is from memory stands
//! in `docs/EXCHANGE.md`. What the form has no place for stands in elements `extension`, in a namespace of
//! our own, and last of all every document of the job, word for word.

mod safety;
mod systems;
mod xml;

use crate::{Data, File, Job, TestResult};
use engine::doc::visit::Visit;
use engine::measure::Estimate;
use engine::procedure::envelope::{FigureKind, Figures};
use engine::procedure::instrument::Direction;
use engine::units::{Quantity, unit};
use std::collections::BTreeSet;
use xml::Xml;

/// Namespace of the schema.
const HPXML: &str = "http://hpxmlonline.com/2023/09";
/// Version of the schema.
const VERSION: &str = "4.2";
/// Namespace of what stands in extensions.
const OWN: &str = "urn:airwright:exchange:1";

/// What was made.
pub(super) struct Made {
    pub(super) text: String,
    /// Elements that hold a measurement or a thing of the house.
    pub(super) summarised: usize,
    /// What stands in the extension only.
    pub(super) beyond: Vec<String>,
}

struct Writer<'a> {
    job: &'a Job,
    data: &'a Data,
    ids: BTreeSet<String>,
    summarised: usize,
    beyond: Vec<String>,
}

/// An SI value in a unit by its symbol.
fn in_unit(si: f64, symbol: &str, quantity: Quantity) -> f64 {
    unit(symbol, quantity).map_or(f64::NAN, |u| u.from_si(si))
}

fn cfm(m3_s: f64) -> f64 {
    in_unit(m3_s, "cfm", Quantity::AirFlow)
}

impl Writer<'_> {
    /// An id that nothing else in the document has: a name of XML.
    fn id(&mut self, wanted: &str) -> String {
        let plain: String =
            wanted.chars().map(|c| if c.is_ascii_alphanumeric() || c == '_' { c } else { '-' }).collect();
        let stem =
            if plain.starts_with(|c: char| c.is_ascii_alphabetic()) { plain } else { format!("x{plain}") };
        let mut id = stem.clone();
        let mut n = 2;
        while !self.ids.insert(id.clone()) {
            id = format!("{stem}-{n}");
            n += 1;
        }
        id
    }

    /// A thing with an id of its own.
    fn identified(&mut self, xml: &mut Xml, wanted: &str) -> String {
        let id = self.id(wanted);
        xml.empty("SystemIdentifier", &[("id", &id)]);
        self.summarised += 1;
        id
    }

    fn beyond(&mut self, what: &str) {
        if !self.beyond.iter().any(|b| b == what) {
            self.beyond.push(what.to_owned());
        }
    }

    fn visit(&self, folder: &str) -> Option<&Visit> {
        self.job.documents.visits.iter().find(|v| v.folder == folder)
    }
}

/// A number of ours, SI, with its interval.
fn own_number(xml: &mut Xml, name: &str, e: &Estimate) {
    if !e.si.is_finite() {
        return;
    }
    let digits = |v: f64| format!("{v}");
    let mut attributes = vec![("unit", e.quantity.si_symbol().to_owned())];
    if let Some((lo, hi)) = e.bounds() {
        attributes.push(("lo", digits(lo)));
        attributes.push(("hi", digits(hi)));
    }
    let attributes: Vec<(&str, &str)> = attributes.iter().map(|(k, v)| (*k, v.as_str())).collect();
    xml.text_with(name, &attributes, &digits(e.si));
}

/// Makes the document.
pub(super) fn write(job: &Job, files: &[File], data: &Data, now: &str) -> Made {
    let mut w = Writer { job, data, ids: BTreeSet::new(), summarised: 0, beyond: Vec::new() };
    let mut xml = Xml::new();
    let attributes = [("xmlns", HPXML), ("xmlns:aw", OWN), ("schemaVersion", VERSION)];
    xml.element_with("HPXML", &attributes, |xml| {
        xml.element("XMLTransactionHeaderInformation", |xml| {
            xml.text("XMLType", "HPXML");
            xml.text("XMLGeneratedBy", "airwright");
            xml.text("CreatedDateAndTime", &moment(now, job));
            xml.text("Transaction", "create");
        });
        xml.element("SoftwareInfo", |xml| {
            xml.text("SoftwareProgramUsed", "airwright");
            xml.text("SoftwareProgramVersion", env!("CARGO_PKG_VERSION"));
            xml.element("extension", |xml| documents(xml, files));
        });
        xml.element("Building", |xml| w.building(xml));
    });
    Made { text: xml.done(), summarised: w.summarised, beyond: w.beyond }
}

/// `2026-11-12 14:05` or a date as a time of the schema.
fn moment(now: &str, job: &Job) -> String {
    let date = job.documents.visits.last().map_or("2000-01-01", |v| v.date.as_str());
    // Date, hour and minute; the offset behind them is no part of the schema's time.
    let told: String = now.trim().chars().take(16).collect::<String>().replace(' ', "T");
    let parsed: Option<jiff::civil::DateTime> = told.parse().ok().or_else(|| date.parse().ok());
    parsed.map_or_else(|| format!("{date}T00:00:00"), |t| t.strftime("%Y-%m-%dT%H:%M:%S").to_string())
}

/// Every document of the job, so that nothing is lost: texts as they are.
fn documents(xml: &mut Xml, files: &[File]) {
    for file in files.iter().filter(|f| f.name.ends_with(".toml")) {
        xml.text_with("aw:document", &[("name", &file.name)], &file.text);
    }
}

impl Writer<'_> {
    fn building(&mut self, xml: &mut Xml) {
        let id = self.id("building");
        xml.empty("BuildingID", &[("id", &id)]);
        let id = self.id("site");
        xml.element("Site", |xml| xml.empty("SiteID", &[("id", &id)]));
        xml.element("ProjectStatus", |xml| {
            xml.text("EventType", "audit");
            if let Some(visit) = self.job.documents.visits.last() {
                xml.text("Date", &visit.date);
            }
        });
        xml.element("BuildingDetails", |xml| {
            self.summary(xml);
            xml.element("Enclosure", |xml| xml.element("AirInfiltration", |xml| self.infiltration(xml)));
            let appliances = self.systems(xml);
            self.safety(xml, &appliances);
        });
    }

    fn summary(&mut self, xml: &mut Xml) {
        let job = self.job;
        let building = &job.documents.job.building;
        let house = job.documents.house.as_ref();
        let living = || job.house.iter().flat_map(|h| &h.zones).filter(|z| z.kind.is_indoors());
        xml.element("BuildingSummary", |xml| {
            let people: f64 = house.map_or(0.0, |h| h.people.iter().map(|p| p.count).sum());
            if people > 0.0 {
                xml.element("BuildingOccupancy", |xml| xml.number("NumberofResidents", people));
            }
            xml.element("BuildingConstruction", |xml| {
                if let Some(year) = building.year_built {
                    xml.text("YearBuilt", &year.to_string());
                }
                // Floors of rooms whose heights differ by more than a landing are storeys.
                let mut floors: Vec<f64> = living().map(|z| z.floor_m).collect();
                floors.sort_by(f64::total_cmp);
                floors.dedup_by(|a, b| (*a - *b).abs() < 1.5);
                if !floors.is_empty() {
                    xml.number("NumberofConditionedFloors", floors.len() as f64);
                }
                let area: f64 = living().map(|z| z.floor_area_m2).sum();
                let volume: f64 = living().map(|z| z.volume_m3).sum();
                let storeys: f64 = living().map(|z| z.floor_area_m2 * (z.ceiling_m - z.floor_m)).sum();
                if area > 0.0 {
                    xml.number("AverageCeilingHeight", in_unit(storeys / area, "ft", Quantity::Length));
                }
                if let Some(bedrooms) = building.bedrooms {
                    xml.text("NumberofBedrooms", &bedrooms.to_string());
                }
                let known = |typed: Option<f64>, drawn: f64| typed.or((drawn > 0.0).then_some(drawn));
                if let Some(m2) = known(building.floor_area_m2.as_ref().map(|a| a.value), area) {
                    xml.number("ConditionedFloorArea", in_unit(m2, "ft2", Quantity::Area));
                    self.summarised += 1;
                }
                if let Some(m3) = known(building.volume_m3.as_ref().map(|v| v.value), volume) {
                    xml.number("ConditionedBuildingVolume", in_unit(m3, "ft3", Quantity::Volume));
                    self.summarised += 1;
                }
            });
        });
    }

    fn infiltration(&mut self, xml: &mut Xml) {
        let data = self.data;
        for test in &data.results {
            for run in &test.result.runs {
                let name = format!("air-leakage-{}-{}", test.result.name, run.run);
                let one = |w: &mut Self, xml: &mut Xml| {
                    w.measurement(xml, test, &name, Some(run.direction), &run.figures, "CFM");
                    xml.element("extension", |xml| {
                        own_number(xml, "aw:exponent", &run.exponent.total);
                        own_number(xml, "aw:coefficientAs1Pa", &run.coefficient.total);
                        if let Some(r2) = run.r2 {
                            xml.text("aw:rSquared", &format!("{r2}"));
                        }
                        xml.text("aw:baselinePa", &format!("{}", run.baseline.offset_pa));
                        if let Some(flow) = run.figures.flow_at(50.0) {
                            own_number(xml, "aw:flowAt50Pa", &flow.flow.total);
                        }
                        xml.text("aw:procedure", test.result.standard);
                    });
                };
                xml.element("AirInfiltrationMeasurement", |xml| one(self, xml));
                self.beyond("points, baseline, C, n, r2 and intervals of air leakage tests");
            }
            let directions: Vec<Direction> = test.result.runs.iter().map(|r| r.direction).collect();
            // A mean over both directions has no word in the schema.
            let direction = directions.first().copied().filter(|d| directions.iter().all(|o| o == d));
            if test.result.figures.ach50.is_some() {
                let name = format!("air-leakage-{}-ach", test.result.name);
                xml.element("AirInfiltrationMeasurement", |xml| {
                    self.measurement(xml, test, &name, direction, &test.result.figures, "ACH");
                });
            }
        }
    }

    fn measurement(
        &mut self,
        xml: &mut Xml,
        test: &TestResult,
        name: &str,
        direction: Option<Direction>,
        figures: &Figures,
        measure: &str,
    ) {
        self.identified(xml, name);
        if let Some(visit) = self.visit(&test.visit) {
            xml.text("Date", &visit.date);
            if let Some(k) = visit.conditions.outdoor_k {
                let f = in_unit(k, "degF", Quantity::Temperature);
                // A whole number of the schema.
                xml.text("OutsideTemperature", &format!("{:.0}", f));
            }
        }
        xml.text("TypeOfInfiltrationMeasurement", "blower door");
        match direction {
            Some(Direction::Depressurise) => xml.text("TypeOfBlowerDoorTest", "depressurization"),
            Some(Direction::Pressurise) => xml.text("TypeOfBlowerDoorTest", "pressurization"),
            None => {}
        }
        xml.text("TypeOfInfiltrationLeakage", "unit total");
        xml.text("HousePressure", "50");
        let value = match measure {
            "ACH" => figures.ach50.as_ref().map(|a| a.total.si * 3600.0),
            _ => figures.flow_at(50.0).map(|f| cfm(f.flow.total.si)),
        };
        xml.element("BuildingAirLeakage", |xml| {
            xml.text("UnitofMeasure", measure);
            xml.number("AirLeakage", value.unwrap_or(f64::NAN));
        });
        if let Some(ela) = figures.get(FigureKind::Ela) {
            xml.number("EffectiveLeakageArea", in_unit(ela.total.si, "in2", Quantity::Area));
        }
        let building = &self.job.documents.job.building;
        if let Some(m3) = &building.volume_m3 {
            xml.number("InfiltrationVolume", in_unit(m3.value, "ft3", Quantity::Volume));
        }
        if let Some(m) = &building.height_m {
            xml.number("InfiltrationHeight", in_unit(m.value, "ft", Quantity::Length));
        }
    }
}
