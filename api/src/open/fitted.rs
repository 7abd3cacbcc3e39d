//! The fit of a job's house, and what it says of the readings and the drawing.

use super::Job;
use crate::{Listen, Progress};
use engine::diag::{Diagnostic, code};
use engine::fit::problem::FitError;
use engine::fit::{self, Fit};

/// Numbers named in the warning on limits that rest on few draws.
const MOST_LOOSE: usize = 4;

impl Job {
    /// Fits the house; `robust` where the job does not ask for it itself.
    pub fn fit(&self, robust: bool, listen: &mut Listen<'_>, stopped: &mut bool) -> Option<Fit> {
        let house = self.house.as_ref()?;
        let options = fit::Options {
            seed: self.documents.job.seed,
            robust: robust || self.documents.job.robust_fit,
            ..fit::Options::default()
        };
        let mut hear = |p| match p {
            fit::Progress::Optimum(done) => {
                listen(Progress { what: "progress-fit", done, of: 0, leading: None })
            }
            fit::Progress::Draws(done, of) => {
                listen(Progress { what: "progress-fit", done, of, leading: None })
            }
        };
        match fit::fit(house, &self.observations, options, &mut hear) {
            Ok(fit) => {
                if !fit.draws_hold() {
                    self.say(Diagnostic::warning(code::F101).arg("k", fit.pareto_k));
                }
                self.loose_limits(&fit);
                // What was taken back is said by itself, unless more is left.
                if !fit.fits_as_drawn() && (fit.set_right.is_empty() || fit.set_right.noise_factor > 1.0) {
                    self.misfit(&fit);
                }
                self.strained(&fit);
                self.taken_back(&fit);
                Some(fit)
            }
            Err(FitError::Stopped) => {
                *stopped = true;
                None
            }
            Err(error) => {
                self.say(self.unfitted(&error));
                None
            }
        }
    }

    /// Why no fit was made, at the readings concerned.
    fn unfitted(&self, error: &FitError) -> Diagnostic {
        let (said, station) = match error {
            FitError::Backwards { station, .. } => (Diagnostic::error(code::F106), Some(*station)),
            FitError::Solve { station, .. } => {
                (Diagnostic::error(code::F103).arg("detail", error.to_string()), Some(*station))
            }
            _ => (Diagnostic::error(code::F103).arg("detail", error.to_string()), None),
        };
        let here = self.observations.list.iter().filter(|o| Some(o.station) == station);
        here.fold(said, |said, o| said.at(o.span.clone()))
    }

    /// Numbers whose limits rest on too few draws; nothing where no weight of the draws can be trusted,
    /// which says more.
    fn loose_limits(&self, fit: &Fit) {
        let loose = fit.loose_limits();
        let Some(worst) = loose.first().filter(|_| fit.draws_hold()) else { return };
        // What the house's file does not name has a name of the engine's own, which says nothing here.
        let label = |k: &fit::Known| k.label.clone();
        let mut names: Vec<String> = Vec::new();
        for name in loose.iter().map(|k| label(k)).filter(|n| !n.is_empty()) {
            if !names.contains(&name) && names.len() < MOST_LOOSE {
                names.push(name);
            }
        }
        self.say(
            Diagnostic::note(code::F117)
                .arg("names", names.join("; "))
                .arg("count", loose.len())
                .arg("of", fit.known.len())
                .arg("draws", worst.limits.draws_beyond.round())
                .arg("error", (100.0 * worst.limits.error_sd).round()),
        );
    }

    /// Says where no reading enters, and where what was written of a thing leaves no room for what the
    /// readings say of it.
    fn strained(&self, fit: &Fit) {
        if fit.readings_used == 0 {
            self.say(Diagnostic::warning(code::F104));
        }
        for s in &fit.strained {
            let quantity = s.prior.quantity;
            let (lo, hi) = s.prior.bounds().unwrap_or((s.prior.si, s.prior.si));
            let said = Diagnostic::warning(code::F105)
                .arg("name", s.label.as_str())
                .arg("lo", (lo, quantity))
                .arg("hi", (hi, quantity))
                .arg("found", (s.posterior.si, quantity))
                .arg("readings", s.readings.len());
            let spans = s.readings.iter().filter_map(|r| fit.readings.get(*r));
            self.say(spans.fold(said, |said, r| said.at(r.span.clone())));
        }
    }

    /// Names what was taken back before draws were made.
    fn taken_back(&self, fit: &Fit) {
        let right = &fit.set_right;
        for ((at, expected), slip) in right.set_aside.iter().zip(&right.expected).zip(&right.as_slip) {
            let Some(r) = fit.readings.get(*at) else { continue };
            let said = match slip {
                Some(slip) => Diagnostic::warning(code::F116).arg("slip", slip.id()),
                None => Diagnostic::warning(code::F107),
            };
            self.say(
                said.at(r.span.clone())
                    .arg("shown", (r.shown.si, r.shown.quantity))
                    .arg("expected", (*expected, r.expected.quantity)),
            );
        }
        for d in &right.doors {
            let open = if d.open { "yes" } else { "no" };
            self.say(Diagnostic::warning(code::F108).arg("door", d.door.as_str()).arg("open", open));
        }
    }

    fn misfit(&self, fit: &Fit) {
        let worst = fit.readings.iter().max_by(|a, b| a.z.abs().total_cmp(&b.z.abs()));
        let mut d = Diagnostic::warning(code::F102)
            .arg("chi_square", fit.chi_square)
            .arg("readings", fit.readings_used);
        if let Some(worst) = worst {
            d = d
                .at(worst.span.clone())
                .arg("shown", (worst.shown.si, worst.shown.quantity))
                .arg("expected", (worst.expected.si, worst.expected.quantity));
        }
        self.say(d);
    }
}
