//! Checks of the engine against the outside world; not published.
//!
//! `data/<source-id>/` holds what somebody else published or computed, with a `SOURCE.toml` that
//! says where it comes from and how far the engine may differ and why ([`source`]). Each source
//! has one comparison ([`compare`]) that puts every number through one helper ([`record`]). The
//! whole account is `RESIDUALS.md`: written by `cargo run -p airwright-validate`, and a test fails
//! where it no longer says the truth. Outside libraries are asked by `oracles/run.py`.
//! [`convergence`] puts the year's step beside SciPy.
//! [`next_order`] sets the choice of readings against a textbook order.
//! [`windy`] holds the account of fan tests in wind.
//! [`fit_coverage`] holds the account of the fit's intervals, over truths of [`truth_drawn`] and
//! [`truth_other`] and the visits of [`rounds`]; [`fit_jobs`] are the jobs that other people's programs fit.
//! [`watch_year`] counts what the watch tells of a quiet house ([`watch_house`]), and how soon it finds faults.
//! [`houses`], [`fit_cases`] and [`speed`] are invented houses for tests and benches.

pub mod compare;
pub mod convergence;
pub mod fit_cases;
pub mod fit_coverage;
pub mod fit_jobs;
pub mod houses;
pub mod next_order;
pub mod record;
pub mod rounds;
pub mod source;
pub mod speed;
pub mod truth_drawn;
pub mod truth_other;
pub mod watch_house;
pub mod watch_year;
pub mod wind_a;
pub mod wind_b;
pub mod windy;
