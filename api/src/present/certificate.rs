//! The certificate of one envelope test.

use crate::{Job, TestResult};
use engine::diag::Arg;
use engine::doc::visit::{FlowBasis, Visit};
use engine::measure::{Estimate, NoInterval};
use engine::procedure::envelope::{Check, CheckId, EnvelopeResult, RunResult, Stated};
use engine::procedure::instrument::Direction;
use engine::procedure::source::source;
use engine::procedure::verdict::Verdict;
use engine::units::Quantity;
use report::view::{
    self, Certificate, CheckState, Evidence, Fact, Instrument, Letterhead, Limit, LinePoint, Number,
    Provenance, Station, TestPlot, Tightness,
};
use report::words::{Show, Usage, Words};

/// The certificate.
pub(crate) fn certificate(result: &TestResult, job: &Job, words: &Words, now: &str) -> Certificate {
    let visit = job.documents.visits.iter().find(|v| v.folder == result.visit);
    let doc = &job.documents.job;
    Certificate {
        title: doc.name.clone(),
        tested: visit.map_or_else(String::new, |v| v.date.clone()),
        standard: result.result.standard.to_owned(),
        tightness: tightness(result, job, words),
        stale: None,
        letterhead: letterhead(job, words),
        undecided: undecided(result, words),
        checks: (super::screen::check(job, &result.visit, &result.result.name, words).into_iter())
            .chain(checks(&result.result, words))
            .collect(),
        plots: result.result.runs.iter().map(|r| plot(r, &result.result.name, words)).collect(),
        building: building(job, words),
        weather: visit.map(|v| weather(v, words)).unwrap_or_default(),
        preparation: result
            .method
            .iter()
            .cloned()
            .chain(result.prepared.iter().map(|(what, how)| format!("{what}: {how}")))
            .collect(),
        confirmed: result.confirmed.clone(),
        tester: tester(job, words),
        instruments: visit.map(|v| instruments(v, words)).unwrap_or_default(),
        provenance: provenance(job, now),
    }
}

/// The firm's name and lines, with the credential and how to reach it.
pub(crate) fn letterhead(job: &Job, words: &Words) -> Option<Letterhead> {
    let doc = &job.documents.job;
    let name = doc.firm.name.clone().or_else(|| doc.tester.firm.clone());
    let licence =
        doc.firm.licence.as_ref().map(|l| words.text("letterhead-licence", &[("licence", l.clone().into())]));
    let credential = doc.firm.credential.as_ref().map(|c| {
        let number: Arg = doc.firm.number.as_deref().unwrap_or("").into();
        words.text("letterhead-credential", &[("credential", c.as_str().into()), ("number", number)])
    });
    let lines: Vec<String> = (doc.firm.address.iter().cloned())
        .chain(doc.firm.phone.iter().map(|p| words.text("letterhead-phone", &[("phone", p.clone().into())])))
        .chain(doc.firm.email.clone())
        .chain(credential)
        .chain(licence)
        .collect();
    let name = name.unwrap_or_default();
    (!name.is_empty() || !lines.is_empty()).then(|| Letterhead { name, lines, logo: job.logo.clone() })
}

/// Why nothing is decided although a confirmed limit is there: an interval without the gain of every
/// instrument is too narrow to decide by.
fn undecided(result: &TestResult, words: &Words) -> Option<String> {
    let open = result.comparison.as_ref().is_some_and(|c| c.verdict == Verdict::CannotTell);
    (open && !result.result.is_gain_known()).then(|| words.say("undecided-no-accuracy"))
}

/// The figures with the wind counted that stand beside the standard's.
fn wind_counted(result: &TestResult, words: &Words) -> Vec<Evidence> {
    let Some(h) = &result.result.honest else { return Vec::new() };
    let line = |key: &str, e: Estimate, usage: Usage| Evidence {
        label: words.say(key),
        number: Number::computed(e).used_as(usage),
    };
    // Where there is no volume, the flow is the headline itself.
    let flow50 = h.ach50.and(h.flow_at(50.0)).map(|f| line("figure-flow50-wind", f.flow, Usage::TestFlow));
    flow50
        .into_iter()
        .chain([
            line("figure-exponent-wind", h.exponent, Usage::Usual),
            line("figure-ela-wind", h.ela, Usage::LeakageArea),
        ])
        .collect()
}

fn computed(s: &Stated) -> Number {
    Number::computed(s.total)
}

/// The standard's number: air changes where there is a volume, else the flow at 50 Pa.
pub(crate) fn tightness(result: &TestResult, job: &Job, words: &Words) -> Tightness {
    let figures = &result.result.figures;
    let flow50 = figures.flow_at(50.0);
    let evidence = |key: &str, number: Number| Evidence { label: words.say(key), number };
    let mut others = Vec::new();
    if let Some(f) = flow50 {
        others.push(evidence("figure-flow50", computed(&f.flow).used_as(Usage::TestFlow)));
    }
    others.push(evidence("figure-exponent", computed(&result.result.exponent)));
    others.push(evidence("figure-ela", computed(&figures.ela).used_as(Usage::LeakageArea)));
    others.push(evidence("figure-eqla", computed(&figures.eqla).used_as(Usage::LeakageArea)));
    if let Some(q50) = &figures.q50_envelope {
        others.push(evidence("figure-q50", computed(q50)));
    }
    if let Some(nl) = &figures.nl {
        others.push(evidence("figure-nl", computed(nl)));
    }
    let others_counted = wind_counted(result, words);
    let honest = result.result.honest.as_ref();
    let limit = job.documents.job.place.limit_ach50_s.as_ref().map(|l| Limit {
        si: l.value,
        quantity: Quantity::AirChange,
        usage: Usage::Usual,
        at_most: true,
        source: job.documents.job.place.limit_source.clone().unwrap_or_default(),
        confirmed: job.documents.job.place.limit_confirmed,
    });
    let verdict = result.comparison.as_ref().and_then(|c| match c.verdict {
        Verdict::Pass => Some(view::Verdict::Pass),
        Verdict::Fail => Some(view::Verdict::Fail),
        Verdict::TooClose => Some(view::Verdict::TooClose),
        Verdict::LimitNotConfirmed => Some(view::Verdict::LimitNotConfirmed),
        Verdict::CannotTell => None,
    });
    match (&figures.ach50, flow50) {
        (Some(ach50), _) => {
            let wind_counted = honest.and_then(|h| h.ach50).map(Number::computed);
            Tightness {
                name: "ACH50".to_owned(),
                number: computed(ach50),
                wind_counted,
                limit,
                verdict,
                others,
                others_counted,
            }
        }
        (None, flow) => Tightness {
            name: words.say("figure-flow50"),
            number: match flow {
                Some(f) => computed(&f.flow).used_as(Usage::TestFlow),
                None => {
                    Number::computed(Estimate::without(f64::NAN, Quantity::AirFlow, NoInterval::NotComputed))
                }
            },
            wind_counted: honest
                .and_then(|h| h.flow_at(50.0))
                .map(|f| Number::computed(f.flow).used_as(Usage::TestFlow)),
            limit: None,
            verdict: None,
            others: others.into_iter().skip(1).collect(),
            others_counted,
        },
    }
}

/// Checks of the test, then those of its runs; what several runs are asked alike stands in one line,
/// the value of each with the sign of its house pressure.
pub(crate) fn checks(result: &EnvelopeResult, words: &Words) -> Vec<view::Check> {
    let mut out: Vec<view::Check> = result.checks.iter().map(|c| check(c, words)).collect();
    let [first, others @ ..] = result.runs.as_slice() else { return out };
    let sign = |r: &RunResult| match r.direction {
        Direction::Depressurise => "\u{2212}",
        Direction::Pressurise => "+",
    };
    for (at, c) in first.checks.iter().enumerate() {
        let mut all = vec![(sign(first), check(c, words))];
        // The limits of one profile, in its order.
        all.extend(others.iter().filter_map(|r| Some((sign(r), check(r.checks.get(at)?, words)))));
        let alike = |get: fn(&view::Check) -> &String| all.windows(2).all(|w| get(&w[0].1) == get(&w[1].1));
        let (wanted, found) = (alike(|c| &c.wanted), alike(|c| &c.found));
        if !wanted {
            out.extend(
                all.into_iter().map(|(sign, c)| view::Check { name: format!("{} ({sign})", c.name), ..c }),
            );
            continue;
        }
        let state = |wanted: CheckState| all.iter().any(|(_, c)| c.state == wanted);
        let joined = match (state(CheckState::Failed), state(CheckState::Undecided)) {
            (true, _) => CheckState::Failed,
            (false, true) => CheckState::Undecided,
            (false, false) => CheckState::Holds,
        };
        let each =
            || all.iter().map(|(sign, c)| format!("{} ({sign})", c.found)).collect::<Vec<_>>().join(", ");
        let found = if found { all[0].1.found.clone() } else { each() };
        out.push(view::Check { found, state: joined, ..all[0].1.clone() });
    }
    out
}

/// What stands behind the source of a limit that nobody held against it.
fn recalled(words: &Words) -> String {
    format!(" ({})", words.say("limit-not-confirmed"))
}

/// Whether a check hangs on such a limit, which decides nothing.
pub(crate) fn is_recalled(check: &view::Check, words: &Words) -> bool {
    check.source.ends_with(&recalled(words))
}

fn check(check: &Check, words: &Words) -> view::Check {
    let number = |si: f64| match check.id.quantity() {
        Some(Quantity::Number) => words.number(si),
        Some(quantity) => words.about(si, quantity, Show::default()),
        None => format!("{}\u{a0}{}", words.number(si), check.unit),
    };
    let wanted = match (check.lo, check.hi) {
        (Some(lo), Some(hi)) => words.from_to(&number(lo), &number(hi)),
        (Some(lo), None) => words.text("wanted-at-least", &[("value", number(lo).into())]),
        (None, Some(hi)) => words.text("wanted-at-most", &[("value", number(hi).into())]),
        (None, None) => String::new(),
    };
    let citation = source(check.source).map_or(check.source, |s| s.citation);
    let clause = check.clause.map_or_else(String::new, |c| format!("{c}; "));
    let confirmed = if check.confirmed { String::new() } else { recalled(words) };
    view::Check {
        name: words.say(check_key(check.id)),
        found: check.value.map_or_else(
            || words.say("not-measured"),
            |si| if check.id == CheckId::Exponent { words.fixed(si, 3) } else { number(si) },
        ),
        wanted,
        source: format!("{clause}{citation}{confirmed}"),
        state: match check.verdict {
            Verdict::Pass => CheckState::Holds,
            Verdict::Fail => CheckState::Failed,
            Verdict::TooClose | Verdict::LimitNotConfirmed | Verdict::CannotTell => CheckState::Undecided,
        },
    }
}

fn check_key(id: CheckId) -> &'static str {
    match id {
        CheckId::StationCount => "check-station-count",
        CheckId::LowestPressure => "check-lowest-pressure",
        CheckId::HighestPressure => "check-highest-pressure",
        CheckId::PressureStep => "check-pressure-step",
        CheckId::LowestOverBaseline => "check-lowest-over-baseline",
        CheckId::Baseline => "check-baseline",
        CheckId::BaselineSplit => "check-baseline-split",
        CheckId::Determination => "check-determination",
        CheckId::Correlation => "check-correlation",
        CheckId::RelativeStandardError => "check-relative-error",
        CheckId::Exponent => "check-exponent",
        CheckId::HeightTemperature => "check-height-temperature",
        CheckId::Wind => "check-wind",
        CheckId::OutdoorTemperature => "check-outdoor-temperature",
        CheckId::FlowAccuracy => "check-flow-accuracy",
        CheckId::PressureAccuracy => "check-pressure-accuracy",
        CheckId::Directions => "check-directions",
        CheckId::Depressurised => "check-depressurised",
    }
}

/// The log-log plot of one run.
pub(crate) fn plot(run: &RunResult, name: &str, words: &Words) -> TestPlot {
    let direction = words.say(match run.direction {
        Direction::Depressurise => "direction-depressurise",
        Direction::Pressurise => "direction-pressurise",
    });
    let at50 = run.figures.flow_at(50.0).map_or_else(
        || Number::computed(Estimate::without(f64::NAN, Quantity::AirFlow, NoInterval::NotComputed)),
        |f| computed(&f.flow),
    );
    TestPlot {
        title: format!("{name}: {direction}"),
        stations: run
            .stations
            .iter()
            .map(|s| Station {
                dp_pa: s.dp_pa,
                flow_m3_s: s.flow_m3_s,
                residual_frac: s.residual_percent / 100.0,
                used: true,
            })
            .collect(),
        line: run
            .curve
            .iter()
            .map(|b| LinePoint {
                dp_pa: b.scatter.dp_pa,
                flow_m3_s: b.scatter.flow_m3_s,
                lo_m3_s: b.total_lo_m3_s.unwrap_or(b.scatter.flow_m3_s),
                hi_m3_s: b.total_hi_m3_s.unwrap_or(b.scatter.flow_m3_s),
            })
            .collect(),
        level: engine::procedure::envelope::LEVEL,
        residual_limit_frac: None,
        result: Evidence { label: words.say("figure-flow50"), number: at50.used_as(Usage::TestFlow) },
        reference_pa: 50.0,
        facts: run
            .figures
            .flow_at(50.0)
            .map(|f| Evidence {
                label: words.say("figure-flow50"),
                number: computed(&f.flow).used_as(Usage::TestFlow),
            })
            .into_iter()
            .chain([Evidence { label: words.say("figure-exponent"), number: computed(&run.exponent) }])
            .collect(),
    }
}

fn building(job: &Job, words: &Words) -> Vec<Fact> {
    let b = &job.documents.job.building;
    let mut facts = Vec::new();
    let mut fact = |key: &str, text: Option<String>| {
        if let Some(text) = text {
            facts.push(Fact { label: words.say(key), text });
        }
    };
    let size = |v: &Option<engine::doc::Sp<f64>>, q| v.as_ref().map(|v| words.quantity(v.value, q));
    fact("fact-volume", size(&b.volume_m3, Quantity::Volume));
    fact("fact-floor-area", size(&b.floor_area_m2, Quantity::Area));
    fact("fact-envelope-area", size(&b.envelope_area_m2, Quantity::Area));
    fact("fact-height", size(&b.height_m, Quantity::Length));
    fact("fact-includes", b.includes.clone());
    facts
}

fn weather(visit: &Visit, words: &Words) -> Vec<Fact> {
    let c = &visit.conditions;
    let mut facts = Vec::new();
    let mut fact = |key: &str, si: Option<f64>, quantity| {
        if let Some(si) = si {
            facts.push(Fact { label: words.say(key), text: words.quantity(si, quantity) });
        }
    };
    fact("fact-indoor", c.indoor_k, Quantity::Temperature);
    fact("fact-outdoor", c.outdoor_k, Quantity::Temperature);
    fact("fact-indoor-rh", c.indoor_rh, Quantity::Fraction);
    fact("fact-outdoor-rh", c.outdoor_rh, Quantity::Fraction);
    fact("fact-wind", c.wind_m_s, Quantity::Speed);
    if let Some(pa) = c.pressure_pa {
        let text = words.quantity_as(pa, Quantity::Pressure, Show::usage(Usage::Barometer));
        facts.push(Fact { label: words.say("fact-barometer"), text });
    }
    facts
}

fn tester(job: &Job, words: &Words) -> Vec<Fact> {
    let t = &job.documents.job.tester;
    // The firm stands in the letterhead.
    [("fact-tester", &t.name), ("fact-credential", &t.credential)]
        .into_iter()
        .filter_map(|(key, text)| {
            text.as_ref().map(|text| Fact { label: words.say(key), text: text.clone() })
        })
        .collect()
}

/// The instruments of a visit with what they show.
pub(crate) fn instruments(visit: &Visit, words: &Words) -> Vec<Instrument> {
    visit
        .instruments
        .iter()
        .map(|i| {
            let mut accuracy = Vec::new();
            let stated = i.accuracy.unwrap_or_default();
            if stated.relative > 0.0 {
                accuracy.push(words.percent(stated.relative));
            }
            if stated.absolute > 0.0 {
                accuracy.push(words.quantity(stated.absolute, i.measures));
            }
            let joined = match i.accuracy {
                Some(_) => accuracy.join(if stated.larger { " / " } else { " + " }),
                None => words.say("instrument-accuracy-unknown"),
            };
            let basis = if i.measures == Quantity::Pressure {
                let key = if i.baseline_subtracted { "basis-baseline-out" } else { "basis-baseline-in" };
                words.say(key)
            } else {
                let density: Arg = (i.calibration_density_kg_m3, Quantity::Density).into();
                let key = match i.shows {
                    FlowBasis::FanPressure => "basis-fan-pressure",
                    FlowBasis::CalibrationDensity => "basis-calibration-density",
                    FlowBasis::ActualDensity => "basis-actual-density",
                    FlowBasis::ThroughEnvelope => "basis-envelope",
                    FlowBasis::ReferenceConditions => "basis-reference",
                };
                words.text(key, &[("density", density)])
            };
            Instrument {
                name: i.label.clone(),
                serial: i.serial.clone().unwrap_or_default(),
                calibrated: i.calibrated.clone().unwrap_or_default(),
                accuracy: joined,
                basis,
            }
        })
        .collect()
}

/// From what the page was derived.
pub(crate) fn provenance(job: &Job, now: &str) -> Provenance {
    Provenance {
        inputs_hash: job.inputs_hash.clone(),
        seed: job.documents.job.seed.to_string(),
        engine_version: env!("CARGO_PKG_VERSION").to_owned(),
        made: now.to_owned(),
    }
}
