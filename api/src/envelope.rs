//! An envelope test as written in a visit, worked to the standard it names.

use engine::diag::{Diagnostic, code};
use engine::doc::fans::range;
use engine::doc::job::Job;
use engine::doc::visit::{self, EnvelopeTest, FlowBasis, Instrument, TestRun, Visit};
use engine::doc::{Sink, Sp};
use engine::house::House;
use engine::procedure::envelope::{
    AdoptedLimit, Averaged, Baseline, Building, Comparison, Conditions, EnvelopeResult,
    EnvelopeTest as Asked, FigureKind, PROFILES, Profile, Run, Site, Station, evaluate,
};
use engine::procedure::instrument::{Basis, Direction, FanReading, FlowGauge, PressureGauge, TapOrder};

/// Works the test; what is wrong goes to the sink.
pub(crate) fn work(
    test: &EnvelopeTest,
    visit: &Visit,
    job: &Job,
    house: Option<&House>,
    sink: &Sink,
) -> Option<(EnvelopeResult, Option<Comparison>)> {
    let profile = profile(&test.profile, sink)?;
    let gauge = instrument(test.pressure_with.as_ref(), visit, sink, house.is_none());
    let fans: Vec<Option<&Instrument>> =
        test.flow_with.iter().map(|name| instrument(Some(name), visit, sink, house.is_none())).collect();
    let asked = Asked {
        name: test.name.value.clone(),
        pressure_gauge: PressureGauge {
            order: if test.reads_outdoors_minus_house {
                TapOrder::OutdoorsMinusHouse
            } else {
                TapOrder::HouseMinusOutdoors
            },
            baseline_already_out: gauge.is_some_and(|g| g.baseline_subtracted),
            accuracy: gauge.and_then(|g| g.accuracy),
        },
        // A test may be typed without an instrument.
        flow_gauges: if fans.is_empty() {
            vec![flow_gauge(None)]
        } else {
            fans.into_iter().map(flow_gauge).collect()
        },
        runs: runs(test, visit),
        conditions: conditions(visit, job),
        building: building(job, house),
        span: Some(test.span.clone()),
    };
    let mut outcome = evaluate(&asked, profile);
    // Where the table itself could not be read, that there is no station follows from it.
    let unread = is_unread(test, sink);
    outcome.diagnostics.list.retain(|d| !(unread && d.code == code::E101));
    sink.borrow_mut().append(outcome.diagnostics);
    let result = outcome.result?;
    if let (Some(limit), None) = (&job.place.limit_ach50_s, asked.building.volume_m3) {
        let said = Diagnostic::note(code::E129).at(limit.span.clone());
        sink.borrow_mut().push(said.arg("test", test.name.value.as_str()));
    }
    let comparison = job.place.limit_ach50_s.as_ref().map(|limit| {
        result.compare(&AdoptedLimit {
            figure: FigureKind::Ach50,
            at_most: limit.value,
            named: job.place.limit_source.clone().unwrap_or_default(),
            confirmed: job.place.limit_confirmed,
        })
    });
    Some((result, comparison))
}

/// Whether a mistake of the text was found below the test's first line, and a table has no rows for it.
fn is_unread(test: &EnvelopeTest, sink: &Sink) -> bool {
    let empty = |run: &TestRun| run.stations.as_ref().is_none_or(|grid| grid.rows.is_empty());
    let of_text = |d: &Diagnostic| {
        let below = |s: &engine::diag::Span| s.file == test.span.file && s.start >= test.span.start;
        ["T", "U", "V"].iter().any(|family| d.code.0.starts_with(family)) && d.spans.iter().any(below)
    };
    test.runs.iter().any(empty) && sink.borrow().list.iter().any(of_text)
}

pub(crate) fn profile(name: &Sp<String>, sink: &Sink) -> Option<&'static Profile> {
    // Before the edition and the variant, as people write it.
    let short = |p: &Profile| p.standard.split([',', ':']).next().unwrap_or(p.standard).to_lowercase();
    let wanted = name.value.to_lowercase();
    let found =
        PROFILES.iter().find(|p| p.id == wanted || p.standard.to_lowercase() == wanted).or_else(|| {
            PROFILES.iter().find(|p| short(p) == wanted || short(p).trim_end_matches("-19") == wanted)
        });
    if found.is_none() {
        let known: Vec<&str> = PROFILES.iter().map(|p| p.id).collect();
        let near = engine::text::closest(&name.value, PROFILES.iter().flat_map(|p| [p.id, p.standard]));
        sink.borrow_mut().push(
            Diagnostic::error(code::T005)
                .at(name.span.clone())
                .arg("key", "standard")
                .arg("found", name.value.as_str())
                .arg("choices", known.join(", "))
                .arg("near", near.unwrap_or("")),
        );
    }
    found
}

/// The instrument of this name; where a house is fitted as well, the collector reports unknown ones.
fn instrument<'v>(
    name: Option<&Sp<String>>,
    visit: &'v Visit,
    sink: &Sink,
    report: bool,
) -> Option<&'v Instrument> {
    let name = name?;
    let found = visit.instruments.iter().find(|i| i.name.value == name.value);
    if found.is_none() && report {
        let known: Vec<&str> = visit.instruments.iter().map(|i| i.name.value.as_str()).collect();
        sink.borrow_mut().push(
            Diagnostic::error(code::T011)
                .at(name.span.clone())
                .arg("name", name.value.as_str())
                .arg("kind", "instrument")
                .arg("near", engine::text::closest(&name.value, known.iter().copied()).unwrap_or(""))
                .arg("known", known.join(", ")),
        );
    }
    found
}

pub(crate) fn flow_gauge(fan: Option<&Instrument>) -> FlowGauge {
    let Some(fan) = fan else { return FlowGauge::flow(Basis::Actual) };
    let density_kg_m3 = fan.calibration_density_kg_m3;
    FlowGauge {
        basis: match fan.shows {
            FlowBasis::FanPressure => Basis::FanPressure,
            FlowBasis::CalibrationDensity => Basis::CalibrationDensity { density_kg_m3 },
            FlowBasis::ActualDensity => Basis::Actual,
            FlowBasis::ThroughEnvelope => Basis::Envelope,
            FlowBasis::ReferenceConditions => Basis::Reference,
        },
        calibrations: fan.calibrations_at_density(),
        accuracy: fan.accuracy,
    }
}

fn runs(test: &EnvelopeTest, visit: &Visit) -> Vec<Run> {
    let baselines = test.baselines();
    let sides = test.baselines_of_runs();
    let before = std::iter::once(None).chain(sides.iter().map(Some));
    (test.runs.iter().zip(&sides).zip(before))
        .map(|((run, own), before)| {
            let samples = |at: Option<usize>| {
                at.and_then(|at| baselines.get(at)).map(|s| Baseline::Samples(s.value.clone()))
            };
            let shared = |side: &Option<usize>| side.is_some() && before.is_some_and(|b| b.contains(side));
            Run {
                baseline_before: samples(own[0]),
                baseline_after: samples(own[1]),
                shares_baseline: own.iter().any(shared),
                stations: stations(run, test, visit),
            }
        })
        .collect()
}

fn stations(run: &TestRun, test: &EnvelopeTest, visit: &Visit) -> Vec<Station> {
    let direction = match run.direction {
        visit::Direction::Depressurise => Direction::Depressurise,
        visit::Direction::Pressurise => Direction::Pressurise,
    };
    let Some(grid) = &run.stations else { return Vec::new() };
    let place_of = |name: &str| grid.columns.iter().position(|c| c == name);
    let house = place_of("house");
    let columns = visit.fan_columns(test, run);
    let fan = |at: usize| test.flow_with.get(at).and_then(|name| visit.instrument(&name.value));
    let mut stations = Vec::new();
    for (place, row) in grid.rows.iter().enumerate() {
        let read = columns.iter().enumerate().map(|(at, column)| {
            let range = if column.holds_pressure { range(fan(at), column, grid, place)? } else { 0 };
            Some(FanReading { shown: *row.value.get(column.at)?, range })
        });
        // A row that does not say its range was reported when it was read.
        if let Some(fans) = read.collect::<Option<Vec<_>>>().filter(|fans| !fans.is_empty())
            && let Some(shown_pa) = house.and_then(|c| row.value.get(c)).copied()
        {
            let told = |name: &str| place_of(name).and_then(|c| row.value.get(c)).copied();
            let averaged = Averaged { sd_pa: told("house-sd"), seconds: told("seconds"), count: None };
            stations.push(Station { direction, shown_pa, fans, averaged, span: Some(row.span.clone()) });
        }
    }
    stations
}

fn conditions(visit: &Visit, job: &Job) -> Conditions {
    let c = &visit.conditions;
    Conditions {
        indoor_k: c.indoor_k,
        outdoor_k: c.outdoor_k,
        indoor_rh_frac: c.indoor_rh,
        outdoor_rh_frac: c.outdoor_rh,
        site: match (c.pressure_pa, job.place.altitude_m) {
            (Some(pressure_pa), _) => Some(Site::Barometer { pressure_pa }),
            (None, Some(altitude_m)) => Some(Site::Altitude { altitude_m }),
            (None, None) => None,
        },
        wind_m_s: c.wind_m_s,
    }
}

/// Sizes as written in the job; volume and floor area follow from the house where they are not.
pub(crate) fn building(job: &Job, house: Option<&House>) -> Building {
    let b = &job.building;
    Building {
        volume_m3: b.volume_m3.as_ref().map(|v| v.value).or_else(|| house.map(House::indoor_volume_m3)),
        floor_area_m2: b
            .floor_area_m2
            .as_ref()
            .map(|a| a.value)
            .or_else(|| house.map(House::indoor_floor_area_m2)),
        envelope_area_m2: b.envelope_area_m2.as_ref().map(|a| a.value),
        height_m: b.height_m.as_ref().map(|h| h.value),
    }
}
