//! The fit's log posterior for samplers and optimisers of other people's making: one JSON question a
//! line, one JSON answer a line.
//!
//! | question | answer |
//! | --- | --- |
//! | `[x1, x2, ...]` | logarithm of the posterior density there, up to a constant; `null` where the model has no answer |
//! | `{"ask":"names"}` | for each unknown its name, kind, prior mean and prior sd, in the order of the vector |
//! | `{"ask":"start"}` | the vector that the fit starts from |
//! | `{"ask":"optimum"}` | the vector at the fit's optimum and the log density there |
//! | `{"ask":"covariance"}` | Laplace's covariance at the optimum, a list of rows |
//! | `{"ask":"gradient","at":[...]}` | derivatives of the log density |
//! | `{"ask":"residuals","at":[...]}` | residuals of all readings, then of all priors, in standard deviations; minus half their sum of squares is the log density |
//!
//! The vector holds the fit's own coordinates, all unbounded: first what is not of the house (test-fan
//! pressures, errors of instruments, wind), then the house's parameters. A door that was noted as
//! unknown is taken in its usual state. What cannot be answered is `{"error":"..."}`.

use crate::{Inputs, Job};
use engine::fit::problem::{Problem, Row};
use engine::fit::solve::{self, Optimum};
use serde_json::{Value, json};
use std::ops::ControlFlow;

/// The log posterior of one job.
pub struct LogPosterior<'h> {
    problem: Problem<'h>,
    rows: Vec<Row>,
    optimum: Option<Optimum>,
}

/// Opens a job's log posterior and hands it to `serve`.
///
/// # Errors
/// A text where the job has no house or no readings that could be fitted.
pub fn log_posterior<T>(
    inputs: &Inputs,
    serve: impl FnOnce(&mut LogPosterior<'_>) -> T,
) -> Result<T, String> {
    let job = Job::open(inputs);
    let house =
        job.house.as_ref().filter(|_| job.is_sound()).ok_or("the job has no house that can be fitted")?;
    let problem = Problem::new(house, &job.observations).map_err(|e| e.to_string())?;
    Ok(serve(&mut LogPosterior { problem, rows: Vec::new(), optimum: None }))
}

impl LogPosterior<'_> {
    /// Answers one line.
    pub fn answer(&mut self, line: &str) -> String {
        let answer = serde_json::from_str(line).map_err(|e| e.to_string()).and_then(|q| self.ask(&q));
        answer.unwrap_or_else(|error| json!({ "error": error })).to_string()
    }

    fn ask(&mut self, question: &Value) -> Result<Value, String> {
        if question.is_array() {
            let x = self.vector(question)?;
            return Ok(self.density(&x, false).map_or(Value::Null, Value::from));
        }
        let at = question.get("at").unwrap_or(&Value::Null);
        match question.get("ask").and_then(Value::as_str) {
            Some("names") => Ok(self.names()),
            Some("start") => Ok(json!(self.problem.start())),
            Some("optimum") => {
                let best = self.optimum()?;
                Ok(json!({ "at": best.x, "log_density": -0.5 * best.squares }))
            }
            Some("covariance") => self.covariance(),
            Some("gradient") => {
                let x = self.vector(at)?;
                self.density(&x, true).ok_or("the model has no answer there")?;
                Ok(json!(self.gradient(&x)))
            }
            Some("residuals") => {
                let x = self.vector(at)?;
                self.density(&x, false).ok_or("the model has no answer there")?;
                let readings = self.rows.iter().map(|r| r.residual);
                Ok(json!(readings.chain(self.z(&x)).collect::<Vec<f64>>()))
            }
            _ => Err("unknown question".into()),
        }
    }

    fn vector(&self, value: &Value) -> Result<Vec<f64>, String> {
        let list: Option<Vec<f64>> = value.as_array().and_then(|a| a.iter().map(Value::as_f64).collect());
        let want = self.problem.len();
        list.filter(|x| x.len() == want).ok_or_else(|| format!("a list of {want} numbers is wanted"))
    }

    fn z(&self, x: &[f64]) -> Vec<f64> {
        let z = |(i, x): (usize, &f64)| (x - self.problem.prior(i).0) / self.problem.prior(i).1;
        x.iter().enumerate().map(z).collect()
    }

    fn density(&mut self, x: &[f64], slopes: bool) -> Option<f64> {
        self.problem.rows(x, slopes, &mut self.rows).ok()?;
        let readings: f64 = self.rows.iter().map(|r| r.residual * r.residual).sum();
        let density = -0.5 * (readings + self.problem.prior_squares(x));
        density.is_finite().then_some(density)
    }

    fn gradient(&self, x: &[f64]) -> Vec<f64> {
        let mut slope: Vec<f64> =
            (self.z(x).iter().enumerate()).map(|(i, z)| -z / self.problem.prior(i).1).collect();
        for row in &self.rows {
            for (to, by) in slope.iter_mut().zip(&row.slope) {
                *to -= row.residual * by;
            }
        }
        slope
    }

    fn optimum(&mut self) -> Result<&Optimum, String> {
        if self.optimum.is_none() {
            let found = solve::optimum(&mut self.problem, &mut |_| ControlFlow::Continue(()));
            self.optimum = Some(found.map_err(|e| e.to_string())?);
        }
        self.optimum.as_ref().ok_or_else(String::new)
    }

    fn covariance(&mut self) -> Result<Value, String> {
        self.optimum()?;
        let best = self.optimum.as_ref().ok_or("the fit has no optimum")?;
        let whole = solve::covariance(&self.problem, best).ok_or("the unknowns are not determined")?;
        Ok(whole.row_iter().map(|row| json!(row.iter().copied().collect::<Vec<f64>>())).collect())
    }

    fn names(&self) -> Value {
        let (p, seen) = (&self.problem, self.problem.seen);
        let mut list: Vec<(String, Value)> =
            (0..p.len()).map(|i| (format!("unknown {i}"), json!("offset-or-wind"))).collect();
        for station in 0..seen.stations.len() {
            if let Some(fan) = p.fan_of(station) {
                list[fan] = (format!("test fan, station {station}"), json!("ln-fan-pressure"));
            }
        }
        for (i, instrument) in seen.instruments.iter().enumerate() {
            list[p.gain_unknown(i)] = (instrument.label.clone(), json!("gain"));
        }
        for (slot, param) in list.iter_mut().skip(p.first_house).zip(&p.house.params) {
            *slot = (param.name.clone(), json!(param.kind));
        }
        let each = list.into_iter().enumerate().map(|(i, (name, kind))| {
            json!({ "name": name, "kind": kind, "mean": p.prior(i).0, "sd": p.prior(i).1 })
        });
        each.collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn numbers(text: &str) -> Vec<f64> {
        serde_json::from_str(text).unwrap()
    }

    #[test]
    fn density_gradient_and_residuals_agree() {
        let inputs = Inputs { files: crate::demo().unwrap(), now: String::new() };
        log_posterior(&inputs, |p| {
            let names: Vec<Value> = serde_json::from_str(&p.answer(r#"{"ask":"names"}"#)).unwrap();
            let best: Value = serde_json::from_str(&p.answer(r#"{"ask":"optimum"}"#)).unwrap();
            let mut x: Vec<f64> =
                best["at"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
            assert_eq!(names.len(), x.len());
            for (x, name) in x.iter_mut().zip(&names) {
                *x += 0.01 * name["sd"].as_f64().unwrap();
            }
            let here: f64 = p.answer(&json!(x).to_string()).parse().unwrap();
            assert!(here < best["log_density"].as_f64().unwrap());
            let r = numbers(&p.answer(&json!({ "ask": "residuals", "at": x }).to_string()));
            assert!((here + 0.5 * r.iter().map(|r| r * r).sum::<f64>()).abs() < 1e-9 * here.abs());
            let slope = numbers(&p.answer(&json!({ "ask": "gradient", "at": x }).to_string()));
            for i in [0, x.len() / 2, x.len() - 1] {
                let step = 1e-5 * names[i]["sd"].as_f64().unwrap();
                let mut value = |by: f64| {
                    let mut y = x.clone();
                    y[i] += by;
                    p.answer(&json!(y).to_string()).parse::<f64>().unwrap()
                };
                let want = (value(step) - value(-step)) / (2.0 * step);
                assert!((slope[i] - want).abs() < 1e-3 * (1.0 + want.abs()), "{i}: {} {want}", slope[i]);
            }
            let covariance: Vec<Vec<f64>> =
                serde_json::from_str(&p.answer(r#"{"ask":"covariance"}"#)).unwrap();
            for (i, row) in covariance.iter().enumerate() {
                let sd = names[i]["sd"].as_f64().unwrap();
                assert!(row[i] > 0.0 && row[i] <= sd * sd * (1.0 + 1e-12), "{i}");
            }
            assert!(p.answer("[1]").contains("error") && p.answer("?").contains("error"));
        })
        .unwrap();
    }
}
