//! The watch over live readings: what the documents say of it, put together once for as long as it runs.

use super::{ahead_s, devices, draws, filters, zone};
use crate::{File, Inputs, Job, Listen, open};
use engine::diag::{Diagnostic, Diagnostics, Severity};
use engine::doc::watch::{OUTDOORS, QUANTITIES, Watch as Document};
use engine::fit::Fit;
use engine::plan::model::door_targets;
use engine::rule::spelled;
use engine::units::Accuracy;
use engine::watch::{At, Clock, Device, Field, OUTDOOR_CO2, Setup, Source};
use engine::year::Model;
use jiff::tz::TimeZone;
use serde::{Deserialize, Serialize};

/// Houses that a fit allows, as numbers of the house's parameters: what is kept of a fit for the watch.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Fitted(Vec<Vec<f64>>);

/// A job that is watched live.
#[derive(Debug)]
pub struct Live {
    pub(super) job: Job,
    pub(super) document: Document,
    devices: Vec<Device>,
    hash: String,
}

/// Whether a fit, and the house it gives, hangs on a file.
fn is_of_the_fit(file: &&File) -> bool {
    let apart = ["watch.toml", "plans.toml"].contains(&file.name.as_str());
    let beside = ["watch/", "rules/", "intake/", "out/"].iter().any(|f| file.name.starts_with(f));
    !apart && !beside
}

impl Live {
    /// Reads the job.
    pub fn open(inputs: &Inputs) -> Live {
        let job = Job::open(inputs);
        let document = engine::doc::watch::of_job(&inputs.files, job.sink());
        let of_the_fit: Vec<File> = inputs.files.iter().filter(is_of_the_fit).cloned().collect();
        let devices = devices(&job);
        Live { hash: open::hash(&of_the_fit), devices, document, job }
    }

    /// Hash over the documents that a fit hangs on.
    pub fn hash(&self) -> &str {
        &self.hash
    }

    /// Whether there is a house to be fitted and weather to step it under.
    pub fn has_house(&self) -> bool {
        self.job.house.is_some() && self.job.weather.is_some() && self.job.is_sound()
    }

    /// Fits the house; nothing where it cannot be, or where the listener stops it.
    pub fn fit(&self, listen: &mut Listen<'_>) -> Option<Fitted> {
        let mut stopped = false;
        let fit: Fit = self.job.fit(false, listen, &mut stopped)?;
        (!stopped && !fit.draws.is_empty()).then(|| Fitted(super::chosen(&fit)))
    }

    /// The houses, ready to be stepped; none where they are not of this house.
    pub fn models(&self, fitted: &Fitted) -> Vec<Model> {
        draws(&self.job, &fitted.0)
    }

    /// What the watch works with.
    pub fn setup<'a>(&'a self, models: &'a [Model]) -> Setup<'a> {
        let (job, zone) = (&self.job, self.zone());
        let place = &job.documents.job.place;
        let house = job.documents.house.as_ref();
        let appliance = house.and_then(|h| Some((h, &h.appliances.first()?.zone.value)));
        let volume_m3 = job.documents.job.building.volume_m3.as_ref().map_or(0.0, |v| v.value);
        let exposure = job.documents.rules.exposure.as_ref().map(|e| e.value);
        Setup {
            sources: self.sources(),
            devices: self.devices.clone(),
            filters: filters(job, &self.document, &self.devices, zone.as_ref()),
            draws: models,
            weather: job.weather.as_ref().filter(|_| !models.is_empty()),
            clock: Clock { ahead_s: ahead_s(zone.as_ref()) },
            false_a_month: engine::watch::FALSE_A_MONTH,
            exposure: job.rules.as_ref().map_or(exposure, |s| s.exposure.or(exposure)),
            volume_m3: job.rules.as_ref().map(|s| s.volume_m3).filter(|v| *v > 0.0).unwrap_or(volume_m3),
            outdoor_co2: place.outdoor_co2.unwrap_or(OUTDOOR_CO2),
            appliance_zone: appliance.and_then(|(h, z)| h.zones.iter().position(|of| of.name.value == *z)),
        }
    }

    /// Traces by the names of their sources. Quantities that the watch has no use for are kept and not judged.
    pub(super) fn sources(&self) -> Vec<Source> {
        let job = &self.job;
        let doors = job.house.as_ref().map(door_targets).unwrap_or_default();
        let own = self.document.sources.iter().filter_map(|s| {
            let field = if s.word == "run_share" { Some(Field::On) } else { Field::named(s.word) };
            let field = field.filter(|f| f.quantity() == s.quantity || *f == Field::On)?;
            let place = s.place.value.as_str();
            let zone = || job.house.as_ref()?.zones.iter().position(|z| z.name == place).map(At::Zone);
            let device = || self.devices.iter().position(|d| d.name == place).map(At::Device);
            let door = || doors.iter().find(|d| d.0 == place)?.1.map(At::Door);
            let at = match (place, &job.house) {
                (OUTDOORS, _) => At::Outdoors,
                // Without a house its rooms have no numbers; what each shows is watched by itself.
                (_, None) => At::Zone(usize::MAX),
                _ => zone().or_else(device).or_else(door)?,
            };
            Some(Source { name: s.name.value.clone(), at, field, accuracy: self.accuracy(s, field) })
        });
        let fetched = QUANTITIES.iter().filter_map(|(word, q)| {
            let field = Field::named(word).filter(|f| f.quantity() == *q)?;
            let outdoor = self.document.outdoor.as_ref()?;
            let wanted = if *word == "pm25" { outdoor.particles } else { outdoor.weather };
            let outdoors = matches!(field, Field::Temp | Field::Rh | Field::Pm25 | Field::Wind);
            let name = format!("outdoor.{word}");
            let accuracy = field.usual_accuracy();
            (wanted && outdoors).then_some(Source { name, at: At::Outdoors, field, accuracy })
        });
        own.chain(fetched).collect()
    }

    /// As its source says, or the table of the trace, or its class.
    fn accuracy(&self, source: &engine::doc::watch::Source, field: Field) -> Accuracy {
        let place = if source.place.value == OUTDOORS { "outdoor" } else { &source.place.value };
        let column = format!("{}.{}", spelled(place), field.name());
        let told = self.document.accuracies.iter().find(|a| a.0.value == column).map(|a| a.1);
        source.accuracy.or(told).unwrap_or_else(|| field.usual_accuracy())
    }

    /// The clock of the house.
    pub fn zone(&self) -> Option<TimeZone> {
        zone(&self.job)
    }

    /// The last mistake in the documents or of the fit, where there is one.
    pub fn mistake(&self) -> Option<Diagnostic> {
        self.job.sink().borrow().list.iter().rev().find(|d| d.severity == Severity::Error).cloned()
    }

    /// What was found in the documents and while the house was fitted.
    pub fn take_diagnostics(&mut self) -> Diagnostics {
        self.job.take_diagnostics()
    }
}

/// How long what a source last said holds, and the step in which that is written, ms.
const HOLDS_MS: i64 = 24 * 3_600_000;
const HELD_MS: i64 = 300_000;

/// Points of a trace that says what the house does (a door, a fan's command, people), in `[from_ms, to_ms)`. Such
/// sources often send what changes only: what one said last holds for a day, written every five minutes.
pub fn held(
    points: &[(i64, f64)],
    before: Option<(i64, f64)>,
    (from_ms, to_ms): (i64, i64),
) -> Vec<(i64, f64)> {
    let (mut last, mut rest, mut out) = (before, points.iter().copied().peekable(), Vec::new());
    let mut at_ms = from_ms;
    while at_ms < to_ms {
        while let Some(point) = rest.next_if(|p| p.0 <= at_ms) {
            last = Some(point);
        }
        out.extend(last.filter(|l| at_ms - l.0 <= HOLDS_MS).map(|l| (at_ms, l.1)));
        at_ms += HELD_MS;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use engine::watch::expect::{self, Around};
    use engine::year::live::Standing;

    /// Air of the bedroom at the end of a night in which traces say what its people and its door do.
    fn morning(live: &Live, models: &[Model], told: &[(&str, f64)]) -> (f64, f64) {
        let setup = live.setup(models);
        let weather = setup.weather.unwrap();
        let measured =
            |s: usize, _: i64| told.iter().find(|t| t.0 == setup.sources[s].name).map_or(f64::NAN, |t| t.1);
        let (sources, devices) = (setup.sources.as_slice(), setup.devices.as_slice());
        let around = Around { sources, devices, weather, clock: setup.clock, measured: &measured };
        let mut standing = Standing::new(&models[0], weather).unwrap();
        // Two days, to 5 o'clock of standard time.
        let from_ms = 1_790_000_000_000 / 86_400_000 * 86_400_000;
        let (lists, _) = expect::hours(&models[0], &mut standing, &around, (from_ms, 53)).unwrap();
        let of = |name: &str| {
            let at = setup.sources.iter().position(|s| s.name == name).unwrap();
            *lists[at].last().unwrap()
        };
        (of("air"), of("warmth"))
    }

    #[test]
    fn people_and_doors_that_are_measured_drive_the_model() {
        let source = |name: &str, quantity: &str, unit: &str, place: &str| {
            format!(
                "[source.{name}]\npath = '{name}'\npayload = 'plain'\nquantity = '{quantity}'\nunit = '{unit}'\n\
                 basis = 'raw'\ninstrument = 'one'\nplace = '{place}'\n"
            )
        };
        let text = [
            source("people", "people", "1", "bedroom"),
            source("door", "open", "1", "bedroom_door"),
            source("air", "co2", "ppm", "bedroom"),
            source("warmth", "temp", "degC", "bedroom"),
            source("fan", "run_share", "%", "bath_fan"),
        ];
        let text = format!("format = 1\n[posts]\nlisten = '127.0.0.1:1'\ntoken_env = 'X'\n{}", text.concat());
        let mut files = crate::demo().unwrap();
        files.push(File { name: "watch.toml".into(), text });
        let mut live = Live::open(&Inputs { files, now: String::new() });
        let fitted = live.fit(&mut |_| std::ops::ControlFlow::Continue(())).unwrap();
        let models = live.models(&fitted);
        let found = live.setup(&models).sources.iter().map(|s| (s.name.clone(), s.at)).collect::<Vec<_>>();
        assert_eq!(found.len(), 5, "{found:?} {:?}", live.take_diagnostics());
        assert!(matches!(found[1].1, At::Door(_)) && matches!(found[4].1, At::Device(_)), "{found:?}");
        let ppm = |told: &[(&str, f64)]| 1e6 * morning(&live, &models, told).0;
        let (usual, shut, open) = (ppm(&[]), ppm(&[("door", 0.0)]), ppm(&[("door", 1.0)]));
        // The schedule of house.toml: two sleep in it, its door shut at night and open by day.
        assert!(usual > open + 200.0 && (usual - shut).abs() < 150.0, "{usual} {shut} {open}");
        let half = ppm(&[("door", 0.5)]);
        assert!(open < half && half < shut, "{open} {half} {shut}");
        let people = |n: f64| ppm(&[("people", n), ("door", 0.0)]);
        let (none, two, four) = (people(0.0), people(2.0), people(4.0));
        assert!(none < 800.0 && two > none + 300.0, "{none} {two} {four}");
        assert!(four > two + 300.0, "{none} {two} {four}");
        let warmth = |n: f64| morning(&live, &models, &[("people", n), ("door", 0.0)]).1;
        assert!(warmth(4.0) > warmth(0.0) + 0.1);
    }

    #[test]
    fn what_was_said_last_holds_for_a_day() {
        let hour = 3_600_000;
        let points = [(hour, 1.0), (hour + 600_000, 0.0)];
        let all = held(&points, None, (0, 30 * hour));
        // Nothing is known before the first; ten minutes open; then shut for a day.
        assert_eq!(all.iter().filter(|p| p.1 > 0.5).count(), 2);
        assert_eq!((all[0].0, all.last().unwrap().0), (hour, 25 * hour + 600_000));
        let later = held(&[], Some((0, 1.0)), (hour, 2 * hour));
        assert!(later.len() == 12 && later.iter().all(|p| p.1 > 0.5));
    }
}
