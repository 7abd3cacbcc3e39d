//! The command line: what can be asked, and how answers are printed.

mod demo;
mod dev;
mod dev_store;
mod import;
mod new;
mod pack;
mod phone;
mod practice;
mod rules;
mod safety;
mod schema;
mod serve;
mod sheets;
mod store;
mod watch;
mod work;

use crate::plain;
use anyhow::Result;
use clap::{Args, Parser, Subcommand};
use report::words::Language;
use std::io::{IsTerminal, Write};
use std::path::PathBuf;
use std::process::ExitCode;

/// A workbench for testing and tuning the air in houses.
///
/// Exit status: 0 done; 1 done, but something needs attention; 2 could not do it.
#[derive(Debug, Parser)]
#[command(name = "airwright", version)]
struct Cli {
    #[command(subcommand)]
    command: Command,
    /// No progress on the terminal.
    #[arg(long, global = true)]
    quiet: bool,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Write an invented demonstration house, work it through and say what to try next.
    Demo {
        /// Folder to make.
        #[arg(default_value = "airwright-demo")]
        dir: PathBuf,
    },
    /// Write a commented starter for a job of your own.
    New {
        /// Folder to make.
        dir: PathBuf,
    },
    /// Do everything: results, fit, plans, next reading, report.
    Work(OnJob),
    /// Work each test to its standard.
    Results(OnJob),
    /// What the readings say about the house.
    Fit {
        #[command(flatten)]
        on: OnJob,
        /// Readings far from all others count less (as `robust = true` in `[fit]` of job.toml).
        #[arg(long)]
        robust: bool,
    },
    /// Live each plan through a weather year.
    Plans {
        #[command(flatten)]
        on: OnJob,
        /// Houses that the readings allow, in which each plan is lived.
        #[arg(long, default_value_t = 0, hide_default_value = true, value_parser = draws, allow_hyphen_values = true)]
        draws: usize,
        /// Live every day of the year, not the days that stand for it (several times as long).
        #[arg(long)]
        every_day: bool,
        /// Write the hourly means of each plan below `out/plans`.
        #[arg(long)]
        hourly: bool,
        /// A bad day that the plans live through too: one of plans.toml by its name, or a ready one by its
        /// kind: `smoke`, `heat-wave`, `cold-snap`, `power-cut`, `everything-on`, `doors-shut`, `guests`,
        /// `cooking-and-baths`. Without it all of plans.toml.
        #[arg(long, value_name = "NAME")]
        event: Option<String>,
    },
    /// What each room needs on the hardest days against what its registers bring.
    Rooms(OnJob),
    /// Which reading to take next.
    Next {
        #[command(flatten)]
        on: OnJob,
        /// What is to be known better: `complaint 1`, `plans`, or a quantity such as `total` or
        /// `air from crawl`; an unknown one lists what can be asked.
        #[arg(long)]
        question: Option<String>,
        /// Minutes left on site.
        #[arg(long, value_parser = minutes, allow_hyphen_values = true)]
        minutes: Option<f64>,
    },
    /// Diagnoses from numbers: what they say, how sure, how to confirm it, what it usually takes.
    Findings {
        #[command(flatten)]
        on: OnJob,
        /// Show too what was looked for and not found, and what each silent rule lacked.
        #[arg(long)]
        all: bool,
    },
    /// The hazard screen, combustion state by state, what is owed after work, what has to be put back.
    Safety(OnJob),
    /// Write the sheets of the job: owner's page, full record, hand-off, test-out, commissioning, certificate.
    Report {
        #[command(flatten)]
        on: OnJob,
        /// One sheet; without it all that apply: `owner`, `record`, `hand-off`, `test-out`,
        /// `commissioning`, `certificate`.
        #[arg(long, value_name = "SHEET", value_parser = sheet)]
        sheet: Option<api::Sheet>,
        #[command(flatten)]
        how: sheets::How,
        /// Write each sheet as tagged PDF too, beside its HTML (in a program built with the feature `pdf`).
        #[arg(long)]
        pdf: bool,
        /// Paper of the PDF: `a4`, `letter`; without it by the units of the job.
        #[arg(long, requires = "pdf")]
        paper: Option<Paper>,
    },
    /// Read, check and show the control rules, with a sheet for commissioning.
    Rules {
        #[command(flatten)]
        on: OnJob,
        /// Provoke each rule, live through every `rules/*.csv`, and show what each did when.
        #[arg(long)]
        test: bool,
        /// Live a year of the house as fitted, without and with the rules.
        #[arg(long)]
        year: bool,
        /// The plan whose house that year is lived in.
        #[arg(long, requires = "year")]
        plan: Option<String>,
        /// Print a ready set as text to edit and to keep in `rules/`, and do nothing else.
        #[arg(long, value_name = "SET", value_parser = api::READY_SETS)]
        ready: Option<String>,
    },
    /// Bring files of loggers into a job: shown as understood first, written once approved.
    Import(import::Import),
    /// Write the job in a form of other programs, below `out/export`.
    Export {
        #[command(flatten)]
        on: OnJob,
        /// `readings-csv`: every reading with its UCUM unit; `senml`: readings and series (RFC 8428);
        /// `results`: what the tests come to, JSON; `hpxml`: a summary as HPXML 4.2.
        #[arg(long = "as", value_name = "FORM", value_parser = form)]
        form: api::exchange::Form,
    },
    /// Put a whole job into one file: a ZIP of all documents, byte for byte, with checksums.
    ///
    /// Of a job in a store, `store FILE get JOB FOLDER` first.
    Pack {
        /// The job folder.
        job: PathBuf,
        /// File to make, such as `house.zip`.
        file: PathBuf,
        /// Print JSON instead of text.
        #[arg(long)]
        json: bool,
    },
    /// Take such a file apart into a new folder; of a damaged one what can be saved, and what was lost.
    Unpack {
        /// The file.
        file: PathBuf,
        /// Folder to make.
        dir: PathBuf,
        /// Print JSON instead of text.
        #[arg(long)]
        json: bool,
    },
    /// A sick house to practise on: readings cost minutes, the truth is shown at the end.
    Practice {
        #[command(subcommand)]
        what: practice::What,
        /// Language of the house and of what is said: `en`, `es`; without it that of the visit.
        #[arg(long, global = true, value_name = "LANGUAGE", value_parser = sheets::language)]
        language: Option<Language>,
    },
    /// Write the phone's pages as a static folder, for any web server.
    Phone {
        /// Folder to make.
        dir: PathBuf,
    },
    /// Show the pages to the browsers of this machine; with `--store`, serve a desk that devices join.
    Serve(serve::OnServe),
    /// Watch the house: live through the series of the job or, with `--store`, through what comes.
    ///
    /// Measured against expected, events, alerts; live sources and who is told stand in `watch.toml`.
    Watch(watch::OnWatch),
    /// Keep jobs with every revision, and series, in one file.
    Store(store::OnStore),
    /// Print the JSON Schemas and the table of units.
    Schema,
    /// For the tests of this program.
    #[command(hide = true)]
    Dev {
        #[command(subcommand)]
        what: Dev,
    },
}

#[derive(Debug, Subcommand)]
enum Dev {
    /// Answer the phone's questions: one JSON a line on standard input.
    Ask,
    /// Serve the fit's log posterior to other people's samplers and optimisers.
    ///
    /// One JSON question a line on standard input, one JSON answer a line:
    /// `[x1, x2, ...]` gives the log density there (null where the model has no answer);
    /// `{"ask":"names"}` gives name, kind, prior mean and sd of each unknown; `{"ask":"start"}`,
    /// `{"ask":"optimum"}`, `{"ask":"covariance"}` (Laplace's), `{"ask":"gradient","at":[...]}` and
    /// `{"ask":"residuals","at":[...]}` (readings, then priors) what they say. The vector is the fit's
    /// own, all unbounded: what is not of the house first, then the house's parameters.
    Logpost {
        /// The job folder.
        job: PathBuf,
    },
    /// Put readings into a store: `SOURCE TIME_MS VALUE` a line on standard input, an empty line ends a batch;
    /// one line answers each batch when it is on the disk: kept, twice, second, held, refused.
    StoreFeed {
        /// The store's file.
        store: PathBuf,
    },
    /// Measure a store, in a folder that must be free, and print `docs/STORE_SPEED.md`.
    StoreSpeed {
        /// Folder to make and to leave.
        dir: PathBuf,
        /// Readings of the series that is drawn.
        #[arg(long, default_value_t = 10_512_000)]
        readings: usize,
    },
}

/// A job folder and how to answer.
#[derive(Debug, Args)]
struct OnJob {
    /// The job folder.
    job: PathBuf,
    /// Print JSON instead of text.
    #[arg(long)]
    json: bool,
}

/// Paper that a sheet is printed on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum Paper {
    /// 210 mm by 297 mm.
    A4,
    /// 8.5 inches by 11.
    Letter,
}

/// A fit has so many draws; a year is lived in each.
const MOST_DRAWS: usize = 2000;

/// A sheet by its word.
fn sheet(text: &str) -> Result<api::Sheet, String> {
    let words = api::Sheet::ALL.map(api::Sheet::word);
    api::Sheet::of_word(text).ok_or_else(|| format!("one of: {}", words.join(", ")))
}

/// Minutes of a visit.
fn minutes(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(m) if (1.0..=1440.0).contains(&m) => Ok(m),
        _ => Err("a number of minutes from 1 to 1440".to_owned()),
    }
}

/// A whole number.
fn whole<N: std::str::FromStr>(text: &str) -> Result<N, String> {
    text.trim().parse::<N>().map_err(|_| "a whole number, such as 3".to_owned())
}

/// A port of this machine.
fn port(text: &str) -> Result<u16, String> {
    text.trim().parse().map_err(|_| "a whole number from 0 to 65535".to_owned())
}

/// A number of houses.
fn draws(text: &str) -> Result<usize, String> {
    match text.parse::<usize>() {
        Ok(n) if (1..=MOST_DRAWS).contains(&n) => Ok(n),
        _ => Err(format!("a whole number of houses from 1 to {MOST_DRAWS}")),
    }
}

/// A form of an export.
fn form(text: &str) -> Result<api::exchange::Form, String> {
    let all = api::exchange::Form::CHOICES;
    let found = all.iter().find(|(word, _)| *word == text);
    found.map(|f| f.1).ok_or_else(|| all.map(|f| f.0).join(", "))
}

/// Parses, runs, and turns the outcome into the exit status.
pub(crate) fn run() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => {
            let code = if error.use_stderr() { 2 } else { 0 };
            return if error.print().is_ok() { ExitCode::from(code) } else { ExitCode::from(2) };
        }
    };
    use api::Request;
    let quiet = cli.quiet;
    let done: Result<u8> = match &cli.command {
        Command::Demo { dir } => demo::run(dir, quiet),
        Command::New { dir } => new::run(dir),
        Command::Work(on) => work::run(on, &Request::Work, quiet),
        Command::Results(on) => work::run(on, &Request::Results, quiet),
        Command::Fit { on, robust } => work::run(on, &Request::Fit { robust: *robust }, quiet),
        Command::Plans { on, draws, every_day, hourly, event } => {
            let request = Request::Plans {
                draws: *draws,
                every_day: *every_day,
                hourly: *hourly,
                event: event.clone(),
            };
            work::run(on, &request, quiet)
        }
        Command::Rooms(on) => work::run(on, &Request::Rooms, quiet),
        Command::Next { on, question, minutes } => {
            work::run(on, &Request::Next { question: question.clone(), minutes: *minutes }, quiet)
        }
        Command::Findings { on, all } => work::run(on, &Request::Findings { all: *all }, quiet),
        Command::Safety(on) => safety::run(on, quiet),
        Command::Report { on, sheet, how, pdf, paper } => {
            let print = pdf.then_some(sheets::Print { paper: *paper });
            sheets::run(on, *sheet, how, print, quiet)
        }
        Command::Rules { on, ready: Some(set), .. } => rules::ready(&on.job, set),
        Command::Rules { on, test, year, plan, ready: None } => {
            work::run(on, &Request::Rules { test: *test, year: *year, plan: plan.clone() }, quiet)
        }
        Command::Import(asked) => import::run(asked),
        Command::Export { on, form } => work::run(on, &Request::Export { form: *form }, quiet),
        Command::Pack { job, file, json } => pack::write(job, file, *json),
        Command::Unpack { file, dir, json } => pack::read(file, dir, *json),
        Command::Practice { what, language } => practice::run(what, *language, quiet),
        Command::Phone { dir } => phone::run(dir),
        Command::Serve(on) => serve::run(on),
        Command::Watch(on) => watch::run(on, quiet),
        Command::Store(on) => store::run(on),
        Command::Schema => schema::run(),
        Command::Dev { what: Dev::Ask } => dev::ask(),
        Command::Dev { what: Dev::Logpost { job } } => dev::logpost(job),
        Command::Dev { what: Dev::StoreFeed { store } } => dev_store::feed(store),
        Command::Dev { what: Dev::StoreSpeed { dir, readings } } => dev_store::speed(dir, *readings),
    };
    match done {
        Ok(code) => ExitCode::from(code),
        Err(error) => {
            talk(&format!("{}: {}\n", api::plain_words().say("severity-error"), plain::told(&error)));
            ExitCode::from(2)
        }
    }
}

/// Data for standard output. A closed pipe is the reader's choice, not an error.
pub(crate) fn data(text: &str) {
    bytes(text.as_bytes());
}

/// Bytes for standard output, as they are.
fn bytes(bytes: &[u8]) {
    let mut out = std::io::stdout().lock();
    let written = out.write_all(bytes).and_then(|()| out.flush());
    if let Err(error) = written
        && error.kind() != std::io::ErrorKind::BrokenPipe
    {
        talk(&format!("{error}\n"));
    }
}

/// Talk for standard error.
pub(crate) fn talk(text: &str) {
    // When not even standard error can be written, the exit status is all that is left.
    if std::io::stderr().lock().write_all(text.as_bytes()).is_err() {}
}

/// Whether diagnostics are coloured.
pub(crate) fn colour() -> bool {
    std::io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none()
}
