//! Field tests as written in a visit, worked: one module a kind. Each turns its document into what
//! the procedure in `engine::procedure` asks, and the typed result into the shape of all tests.

mod bills;
mod change;
mod combustion_zone;
mod ducts;
mod fan_flow;
mod fan_pressures;
mod guarded;
mod handler;
mod infiltration;
mod look;
mod moisture;
mod record;
mod recovery;
mod room_pressures;
mod sealing;
mod settled;
mod surface;
mod tightness_room;
mod tracer;
mod ventilation;
mod zone_pressures;

pub(crate) use combustion_zone::samples;

use crate::TestResult;
use engine::diag::{Diagnostic, code};
use engine::doc::field::{Asked, FieldTest};
use engine::doc::job;
use engine::doc::series::Series;
use engine::doc::visit::{Instrument, Visit};
use engine::doc::{Documents, Sink, Sp};
use engine::fit::observe::field::by_result;
use engine::house::House;
use engine::procedure::bills::FuelFound;
use engine::procedure::field::Worked;
use engine::procedure::gauge::GaugeError;
use engine::units::{Accuracy, Quantity};
use engine::weather::Weather;
use serde::Serialize;

/// A field test worked.
#[derive(Debug, Serialize)]
pub struct FieldResult {
    /// Folder of its visit.
    pub visit: String,
    /// The user's name of the test.
    pub name: String,
    /// Its kind, as written in documents.
    pub kind: &'static str,
    /// Figures, checks and sentences.
    #[serde(flatten)]
    pub worked: Worked,
    /// The result in its own shape.
    pub detail: serde_json::Value,
    /// What the tester wrote beside it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// What a test may look at besides its own table.
pub(crate) struct Around<'a> {
    /// Its visit.
    pub(crate) visit: &'a Visit,
    /// The job.
    pub(crate) job: &'a job::Job,
    /// The house, if there is one.
    pub(crate) house: Option<&'a House>,
    /// Envelope tests of all visits, worked.
    pub(crate) envelope: &'a [TestResult],
    /// Field tests worked so far.
    pub(crate) before: &'a [FieldResult],
    /// Hourly weather of the place, if there is any.
    pub(crate) weather: Option<&'a Weather>,
    /// Series of all visits.
    pub(crate) series: &'a [Series],
    /// Where to say what is wrong.
    pub(crate) sink: &'a Sink,
}

/// A typed result in its own shape, and in that of all tests.
pub(crate) struct Done {
    pub(crate) worked: Worked,
    pub(crate) detail: serde_json::Value,
}

impl Done {
    pub(crate) fn new(result: &impl Serialize, worked: Worked) -> Done {
        Done { worked, detail: serde_json::to_value(result).unwrap_or_default() }
    }
}

/// Results of the field tests that enter the fit by one, by visit and test; what is wrong with them is
/// said where all tests are worked.
pub(crate) fn for_fit(
    documents: &Documents,
    house: &House,
    weather: Option<&Weather>,
    series: &[Series],
) -> Vec<Vec<Option<Worked>>> {
    let quiet = Sink::default();
    let mut before: Vec<FieldResult> = Vec::new();
    let mut of_visit = |visit: &Visit| -> Vec<Option<Worked>> {
        let of_test = |test: &FieldTest| {
            if !by_result(&test.asked) {
                return None;
            }
            let around = Around {
                visit,
                job: &documents.job,
                house: Some(house),
                envelope: &[],
                before: &before,
                weather,
                series,
                sink: &quiet,
            };
            let result = work(test, &around)?;
            let worked = result.worked.clone();
            before.push(result);
            Some(worked)
        };
        visit.field.iter().map(of_test).collect()
    };
    documents.visits.iter().map(&mut of_visit).collect()
}

/// The fuels of the bills of the last visit that has some, worked; what is wrong with them is said where
/// all tests are worked.
pub(crate) fn billed_fuels(
    documents: &Documents,
    house: Option<&House>,
    weather: Option<&Weather>,
    series: &[Series],
) -> Vec<FuelFound> {
    let quiet = Sink::default();
    let of_visit = |visit: &Visit| {
        let around = Around {
            visit,
            job: &documents.job,
            house,
            envelope: &[],
            before: &[],
            weather,
            series,
            sink: &quiet,
        };
        let of_test = |test: &FieldTest| match &test.asked {
            Asked::Bills(asked) => bills::found(asked, &around),
            _ => None,
        };
        let fuels: Vec<FuelFound> = visit.field.iter().filter_map(of_test).flat_map(|b| b.fuels).collect();
        (!fuels.is_empty()).then_some(fuels)
    };
    documents.visits.iter().rev().find_map(of_visit).unwrap_or_default()
}

/// Works a test; what is wrong goes to the sink, and the other tests still compute.
pub(crate) fn work(test: &FieldTest, around: &Around<'_>) -> Option<FieldResult> {
    let name = test.name.value.as_str();
    let done = match &test.asked {
        Asked::Change(asked) => change::work(asked, around),
        Asked::Guarded(asked) => guarded::work(asked, around),
        Asked::Sealing(asked) => sealing::work(asked, &test.span, around),
        Asked::Surface(asked) => surface::work(asked, around),
        Asked::DuctLeakage(asked) => ducts::leakage(asked, name, around),
        Asked::PressurePans(asked) => ducts::pans(asked, around),
        Asked::DominantLeak(asked) => ducts::dominant(asked, around),
        Asked::DeliveryEffectiveness(asked) => ducts::delivery(asked, around),
        Asked::DuctDifference(asked) => ducts::difference(asked, around),
        Asked::StaticPressure(asked) => handler::statics(asked, name, around),
        Asked::HandlerFlow(asked) => handler::flow(asked, name, around),
        Asked::CoilCapacity(asked) => handler::coil(asked, name, around),
        Asked::FanFlow(asked) => fan_flow::work(asked, &test.name, around),
        Asked::Settled(asked) => settled::work(asked, around),
        Asked::Recovery(asked) => recovery::work(asked, around),
        Asked::Ventilation(asked) => ventilation::work(asked, around),
        Asked::TightnessRoom(asked) => tightness_room::work(asked, around),
        Asked::Infiltration(asked) => infiltration::work(asked, around),
        Asked::Bills(asked) => bills::work(asked, around),
        Asked::ZonePressures(asked) => zone_pressures::work(asked, test, around),
        Asked::RoomPressures(asked) => room_pressures::work(asked, test, around),
        Asked::FanPressures(asked) => fan_pressures::work(asked, test, around),
        Asked::CombustionZone(asked) => combustion_zone::work(asked, test, around),
        Asked::Decay(asked) => tracer::decay(asked, around),
        Asked::BuildUp(asked) => tracer::build_up(asked, around),
        Asked::Steady(asked) => tracer::steady(asked, around),
        Asked::TwoZones(asked) => tracer::two_zones(asked, around),
        Asked::MouldIndex(asked) => moisture::mould_index(asked, around),
        Asked::WoodMoisture(asked) => moisture::wood(asked, around),
        Asked::SurfaceMeter(asked) => moisture::surface_meter(asked, around),
        Asked::Infrared(asked) => moisture::infrared(asked, &test.span, around),
    }?;
    Some(FieldResult {
        visit: around.visit.folder.clone(),
        name: test.name.value.clone(),
        kind: test.kind,
        worked: done.worked,
        detail: done.detail,
        note: test.note.clone(),
    })
}

impl<'a> Around<'a> {
    /// The instrument of this name; an unknown one, or one that measures something else, is said.
    pub(crate) fn instrument(&self, name: Option<&Sp<String>>, measures: Quantity) -> Option<&'a Instrument> {
        let name = name?;
        let all = &self.visit.instruments;
        let fitting = || all.iter().filter(|i| i.measures == measures);
        let found = fitting().find(|i| i.name.value == name.value);
        if found.is_none() {
            let known: Vec<&str> = fitting().map(|i| i.name.value.as_str()).collect();
            self.unknown(name, "instrument", &known);
        }
        found
    }

    /// The accuracy of the instrument of this name, where one is named.
    pub(crate) fn accuracy(&self, name: Option<&Sp<String>>, measures: Quantity) -> Option<Accuracy> {
        self.instrument(name, measures).and_then(|i| i.accuracy)
    }

    /// Errors of the gauge of this name; `wandered_pa` is what its readings wandered while taken.
    pub(crate) fn gauge(&self, name: Option<&Sp<String>>, wandered_pa: f64) -> GaugeError {
        let instrument = self.instrument(name, Quantity::Pressure);
        GaugeError {
            accuracy: instrument.and_then(|i| i.accuracy),
            resolution_pa: instrument.map_or(0.0, |i| i.resolution),
            wandered_pa,
        }
    }

    /// Says what a procedure found wrong, at the test.
    pub(crate) fn said(&self, test: &FieldTest, found: Vec<Diagnostic>) {
        for diagnostic in found {
            self.say(diagnostic.at(test.span.clone()));
        }
    }

    /// The series of this file name in the visit's folder; a missing one is said.
    pub(crate) fn series(&self, name: &Sp<String>) -> Option<&'a Series> {
        let file = format!("{}/{}", self.visit.folder, name.value);
        let found = self.series.iter().find(|s| s.file == file);
        if found.is_none() {
            let names = self.series.iter().filter_map(|s| s.file.strip_prefix(&self.visit.folder));
            let near = engine::text::closest(&name.value, names.map(|n| n.trim_start_matches('/')));
            self.say(
                Diagnostic::error(code::V206)
                    .at(name.span.clone())
                    .arg("file", name.value.as_str())
                    .arg("near", near.unwrap_or("")),
            );
        }
        found
    }

    /// A column of a series in SI, NaN in gaps; a missing one is said.
    pub(crate) fn column(&self, series: &Series, name: &Sp<String>, quantity: Quantity) -> Option<Vec<f64>> {
        if !series.names().any(|n| n == name.value) {
            let known: Vec<&str> = series.names().collect();
            self.say(
                Diagnostic::error(code::V207)
                    .at(name.span.clone())
                    .arg("name", name.value.as_str())
                    .arg("known", known.join(", "))
                    .arg("near", engine::text::closest(&name.value, known.iter().copied()).unwrap_or("")),
            );
            return None;
        }
        series.column(&name.value, quantity, self.sink)
    }

    /// Says that a name is none of the known ones of its kind.
    pub(crate) fn unknown(&self, name: &Sp<String>, kind: &'static str, known: &[&str]) {
        self.say(name.unknown(kind, known.iter().copied()));
    }

    /// Says what is wrong.
    pub(crate) fn say(&self, diagnostic: Diagnostic) {
        self.sink.borrow_mut().push(diagnostic);
    }
}
