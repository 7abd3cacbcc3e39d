//! Which reading to take next: the question, the moment and the instruments of a job.

use crate::{File, Inputs, Job, present};
use engine::diag::{Diagnostic, Span, code};
use engine::doc::Sp;
use engine::doc::field::Asked;
use engine::doc::job::{Complaint, Measure};
use engine::doc::plans::{Change, When};
use engine::fit::Fit;
use engine::gate::{self, Gate, Reason};
use engine::house::{self, House};
use engine::next::{
    Forbids, Instrument, Kit, Minutes, Moment, Next, Question, Season, Stand, USUAL_LEFT_MIN, next, next_of,
};
use engine::plan::Compared;
use engine::safety::Screen;
use report::words::Words;
use serde::{Deserialize, Serialize};

/// Name of the document that keeps which plan was best in which draw.
const KEPT: &str = "plan-draws.json";

/// Which plan was best in which draw of the fit, kept for the question which plan it is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct Lived {
    /// Hash over the inputs of the run.
    inputs: String,
    /// Draws of the fit it was taken from.
    draws_of_fit: usize,
    /// For each draw that was lived: its index in the fit, the index of the best plan (0 as found).
    best: Vec<(usize, usize)>,
}

/// What the plans of a run say of each draw, as a document.
pub(crate) fn keep(job: &Job, fit: &Fit, compared: &Compared) -> Option<File> {
    let of = &compared.draw_scores;
    let best = of.draws.iter().copied().zip(of.best.iter().copied()).collect();
    let lived = Lived { inputs: job.inputs_hash.clone(), draws_of_fit: fit.draws.len(), best };
    let text = serde_json::to_string(&lived).ok()?;
    Some(File { name: KEPT.to_owned(), text: text + "\n" })
}

/// What the last run of the plans kept.
pub(crate) fn kept(inputs: &Inputs) -> Option<Lived> {
    let file = inputs.files.iter().find(|f| f.name == format!("out/{KEPT}"))?;
    serde_json::from_str(&file.text).ok()
}

/// The question of a complaint. What the model answers without living a year stands for it: for CO2 the air
/// that reaches the room, for damp, dry or dusty air the air change of the season.
fn question_of(complaint: &Complaint, house: &House) -> Option<Question> {
    let zone = |name: &Option<Sp<String>>| name.as_ref().and_then(|n| house.zone(&n.value));
    match complaint.quantity.value {
        Measure::AirFrom => zone(&complaint.from).map(|zone| Question::AirFrom { zone }),
        Measure::Co2AtNight => zone(&complaint.zone).map(|zone| Question::RoomAir { zone }),
        Measure::Co2Hours => zone(&complaint.zone).map(|zone| Question::RoomAir { zone }),
        Measure::HumidHours | Measure::WarmHours => Some(Question::AirChange { season: Season::Summer }),
        Measure::DryHours
        | Measure::Pm25
        | Measure::Pm25OverOutdoors
        | Measure::Pm25Days
        | Measure::OutdoorAir
        | Measure::MouldIndex
        | Measure::CondensingHours
        | Measure::Gas
        | Measure::CoolHours => Some(Question::AirChange { season: Season::Winter }),
    }
}

impl Job {
    /// The questions that the complaints ask of the house, in their order.
    fn complaint_questions(&self, house: &House) -> Vec<Option<Question>> {
        self.documents.job.complaints.iter().map(|c| question_of(c, house)).collect()
    }

    /// What the first complaint asks of the house, where the model answers it.
    pub(crate) fn first_question(&self, house: &House) -> Option<Question> {
        self.complaint_questions(house).into_iter().flatten().next()
    }

    /// What can be asked: the words it is asked by, and what it is called; nothing without a house.
    pub(crate) fn questions(&self, words: &Words) -> Vec<serde_json::Value> {
        let Some(house) = &self.house else { return Vec::new() };
        let called = |asked: &String| {
            let number = asked.strip_prefix("complaint ").and_then(|n| n.parse::<usize>().ok());
            let complaint = number.and_then(|n| self.documents.job.complaints.get(n.checked_sub(1)?));
            match (complaint, Question::find(house, asked)) {
                (Some(c), _) => {
                    let args = [
                        ("number", asked.trim_start_matches("complaint ").into()),
                        ("words", c.words.value.as_str().into()),
                    ];
                    words.text("question-complaint", &args)
                }
                (None, Some(q)) => present::question(q, house, words),
                (None, None) => present::question(Question::Plans, house, words),
            }
        };
        let all = self.can_be_asked(house);
        all.iter().map(|a| serde_json::json!({ "value": a, "label": called(a) })).collect()
    }

    fn can_be_asked(&self, house: &House) -> Vec<String> {
        let complaints = (1..=self.documents.job.complaints.len()).map(|i| format!("complaint {i}"));
        let plans = (!self.planned.is_empty()).then(|| "plans".to_owned());
        let model = Question::all(house).into_iter().map(|q| q.name(house));
        complaints.chain(plans).chain(model).collect()
    }

    /// Why nothing may be drawn down now, with the gate's reasons.
    pub(crate) fn forbids(&self) -> (Vec<Forbids>, Vec<Reason>) {
        let mut forbids = self.screen().map(Screen::forbids).unwrap_or_default();
        // After work combustion comes first.
        if self.repeats().is_owed() {
            forbids.push(Forbids::Repeat);
        }
        let mut reasons = Vec::new();
        if let Some(house) = &self.house {
            // A test fan takes air out as an exhaust does.
            let from = Sp { value: String::new(), span: Span::new("job.toml", 0..0) };
            let exhaust = Change::Exhaust { from, flow_m3_s: 1.0, power_w: 0.0, when: When::Always };
            if let Gate::Held { reasons: why } = gate::judge(&[exhaust], house, self.record.as_ref()) {
                forbids.push(Forbids::Combustion);
                reasons = why;
            }
        }
        (forbids, reasons)
    }

    /// The instruments at hand: what took readings, what a visit lists, what the job owns.
    fn kit(&self) -> Kit {
        let mut kit = Kit::seen(&self.observations);
        let usual = Kit::usual();
        let listed = self.documents.visits.iter().flat_map(|v| &v.instruments);
        let mut add = |instrument: Instrument| {
            if let (None, Some(tool)) = (kit.get(instrument), usual.get(instrument)) {
                kit.set(instrument, tool);
            }
        };
        if listed.clone().any(|i| i.measures == engine::units::Quantity::Pressure) {
            add(Instrument::Gauge);
        }
        if self.documents.visits.iter().any(|v| v.tests.iter().any(|t| !t.flow_with.is_empty())) {
            add(Instrument::TestFan);
        }
        let mut field = self.documents.visits.iter().flat_map(|v| &v.field);
        if field.clone().any(|t| matches!(t.asked, Asked::DuctLeakage(_))) {
            add(Instrument::DuctTester);
        }
        if field.any(|t| matches!(t.asked, Asked::PressurePans(_))) {
            add(Instrument::Pan);
        }
        for key in &self.documents.job.owns {
            match *key {
                "gauge" => add(Instrument::Gauge),
                "test_fan" => add(Instrument::TestFan),
                "hood" => add(Instrument::Hood),
                "plate" => add(Instrument::Plate),
                "duct_tester" => add(Instrument::DuctTester),
                "pan" => add(Instrument::Pan),
                _ => {}
            }
        }
        kit
    }

    /// The question of the model that these words ask: a complaint by its number, or its name.
    fn question(&self, house: &House, words: &str) -> Option<Question> {
        let plain = words.trim().to_lowercase();
        let number = plain.strip_prefix("complaint").and_then(|n| n.trim().parse::<usize>().ok());
        let complaint = number.and_then(|n| n.checked_sub(1));
        let of_complaint = complaint.and_then(|i| self.complaint_questions(house).get(i).copied().flatten());
        of_complaint.or_else(|| Question::find(house, words))
    }

    /// Whether these words can be asked; F111 with those that can where they cannot. A house that
    /// could not be read is said elsewhere.
    pub(crate) fn may_ask(&self, words: &str) -> bool {
        let Some(house) = &self.house else { return true };
        if words.trim().eq_ignore_ascii_case("plans") || self.question(house, words).is_some() {
            return true;
        }
        self.say(
            Diagnostic::error(code::F111)
                .arg("asked", words)
                .arg("known", self.can_be_asked(house).join("; ")),
        );
        false
    }

    pub(crate) fn moment(&self, house: &House, minutes: Option<f64>) -> Moment {
        let last = self.observations.stations.last();
        let now = self.observations.now.as_ref().or(last.map(|s| &s.setup));
        let setup = now.cloned().unwrap_or_else(|| house::start(house));
        Moment {
            stand: Stand::of(setup),
            kit: self.kit(),
            minutes: Minutes::of(&self.documents.job.minutes_s),
            left_min: minutes.unwrap_or(USUAL_LEFT_MIN),
            forbids: self.forbids().0,
            keep_out: self.screen().map(|s| s.keep_out(house)).unwrap_or_default(),
            seen: self.observations.clone(),
            pressure_pa: engine::air::standard_pressure_pa(
                self.documents.job.place.altitude_m.unwrap_or(0.0),
            ),
            seed: self.documents.job.seed,
        }
    }

    /// Which reading to take next, for the question asked or else for the complaint of which least is
    /// known.
    pub(crate) fn next(
        &self,
        fit: &Fit,
        asked: Option<&str>,
        minutes: Option<f64>,
        lived: Option<&Lived>,
    ) -> Option<Next> {
        let house = self.house.as_ref()?;
        if fit.draws.is_empty() {
            self.say(Diagnostic::error(code::F112));
            return None;
        }
        let moment = self.moment(house, minutes);
        let found = match asked {
            None => {
                let complaints = self.complaint_questions(house);
                let mut list: Vec<Question> = complaints.into_iter().flatten().collect();
                if list.is_empty() {
                    list.push(Question::Total);
                }
                let width = |n: &Next| n.now.bounds().map_or(0.0, |(lo, hi)| (hi - lo) / n.now.si.abs());
                let all = list.into_iter().map(|q| next(house, &fit.draws, q, &moment));
                all.max_by(|a, b| width(a).total_cmp(&width(b)))?
            }
            Some(words) if words.trim().eq_ignore_ascii_case("plans") => {
                return self.next_for_plans(house, fit, &moment, lived);
            }
            Some(words) => {
                // Words that ask nothing were said before anything was fitted.
                next(house, &fit.draws, self.question(house, words)?, &moment)
            }
        };
        Some(self.told(found, house))
    }

    fn next_for_plans(
        &self,
        house: &House,
        fit: &Fit,
        moment: &Moment,
        lived: Option<&Lived>,
    ) -> Option<Next> {
        let usable = lived.filter(|l| l.inputs == self.inputs_hash && l.draws_of_fit == fit.draws.len());
        let Some(lived) = usable else {
            let stale = if lived.is_some() { "yes" } else { "no" };
            self.say(Diagnostic::error(code::F113).arg("stale", stale));
            return None;
        };
        // The question is whether it is the plan that is best most often.
        let wins = |plan: usize| lived.best.iter().filter(|b| b.1 == plan).count();
        let leader = (0..=self.planned.len()).max_by_key(|p| wins(*p))?;
        if wins(leader) == lived.best.len() {
            self.say(Diagnostic::note(code::F115));
            return None;
        }
        let draws: Vec<Vec<f64>> = lived.best.iter().filter_map(|b| fit.draws.get(b.0).cloned()).collect();
        let values: Vec<f64> = lived.best.iter().map(|b| f64::from(u8::from(b.1 == leader))).collect();
        Some(self.told(next_of(house, &draws, Question::Plans, &values, moment), house))
    }

    fn told(&self, found: Next, house: &House) -> Next {
        if found.nothing_helps() && found.helps.iter().all(|h| h.removes < engine::next::LEAST_HELP) {
            self.say(Diagnostic::warning(code::F114).arg("question", found.question.name(house)));
        }
        found
    }
}
