//! `airwright practice ...`: a sick house to practise on.

use super::{data, minutes, talk, whole, work};
use crate::{clock, files};
use anyhow::{Result, anyhow};
use api::practice::{Ask, READY};
use api::{Inputs, Outcome, Request, Speech};
use clap::Subcommand;
use report::words::{Language, Words};
use std::path::{Path, PathBuf};

/// What is done.
#[derive(Debug, Subcommand)]
pub(super) enum What {
    /// The practice houses that come with the program.
    List,
    /// Make the folder of a visit: a house as drawn, a complaint, minutes.
    New {
        /// Folder to make.
        dir: PathBuf,
        /// One that `list` names; without it the seed picks one.
        #[arg(long, value_name = "NAME", conflicts_with = "from")]
        house: Option<String>,
        /// The document of a teacher's own house (docs/PRACTICE.md).
        #[arg(long, value_name = "FILE")]
        from: Option<PathBuf>,
        /// The same number makes the same house; without it the clock picks one.
        #[arg(long, value_parser = whole::<u64>)]
        seed: Option<u64>,
        /// Minutes of the visit.
        #[arg(long, value_parser = minutes, allow_hyphen_values = true)]
        minutes: Option<f64>,
        /// Print JSON instead of text.
        #[arg(long)]
        json: bool,
    },
    /// Spend minutes on a reading or a look.
    Take {
        /// The folder.
        dir: PathBuf,
        /// Such as `attic compared with outdoors; test_fan = depressurise, attic_hatch = open`,
        /// `flow of bath_fan; bath_fan = on`, `ambient CO`, `look for embers`, `look for asbestos`,
        /// `look for fuel`, `spillage of APPLIANCE`, `flue CO of APPLIANCE`.
        reading: String,
        /// Print JSON instead of text.
        #[arg(long)]
        json: bool,
    },
    /// Hand in a diagnosis and a scope.
    Answer {
        /// The folder.
        dir: PathBuf,
        /// The document; without it `diagnosis.toml` of the folder.
        #[arg(long)]
        file: Option<PathBuf>,
        /// Print JSON instead of text.
        #[arg(long)]
        json: bool,
    },
    /// Show the truth, and what each reading was worth.
    Reveal {
        /// The folder.
        dir: PathBuf,
        /// Print JSON instead of text.
        #[arg(long)]
        json: bool,
    },
}

/// Does it.
pub(super) fn run(what: &What, language: Option<Language>, quiet: bool) -> Result<u8> {
    match what {
        What::List => {
            for (name, _) in READY {
                data(&format!("{name}\n"));
            }
            Ok(0)
        }
        What::New { dir, house, from, seed, minutes, json } => {
            files::want_free(dir)?;
            let document = from.as_ref().map(|path| files::read_text(path)).transpose()?;
            let seed = seed.unwrap_or_else(|| u64::try_from(clock::now_ms()).unwrap_or(1) % 1_000_000);
            let ask =
                Ask::New { house: house.clone(), document, seed, minutes: *minutes, language: tag(language) };
            let inputs = Inputs { files: Vec::new(), now: clock::now() };
            done(dir, &inputs, ask, language, quiet, *json)
        }
        What::Take { dir, reading, json } => {
            done(dir, &read(dir)?, Ask::Take { reading: reading.clone() }, language, quiet, *json)
        }
        What::Answer { dir, file, json } => {
            let own = dir.join(api::practice::DIAGNOSIS);
            let diagnosis = files::read_text(file.as_ref().unwrap_or(&own))?;
            done(dir, &read(dir)?, Ask::Answer { diagnosis }, language, quiet, *json)
        }
        What::Reveal { dir, json } => done(dir, &read(dir)?, Ask::Reveal, language, quiet, *json),
    }
}

fn read(dir: &Path) -> Result<Inputs> {
    Ok(Inputs { files: files::read_job(dir)?, now: clock::now() })
}

fn tag(language: Option<Language>) -> Option<String> {
    language.map(|l| l.tag().to_owned())
}

/// The words before there is a visit.
fn spoken(language: Option<Language>) -> Words {
    language.map_or_else(api::plain_words, |l| api::plain_words().with_language(l))
}

fn done(
    dir: &Path,
    inputs: &Inputs,
    ask: Ask,
    language: Option<Language>,
    quiet: bool,
    as_json: bool,
) -> Result<u8> {
    let words = if inputs.files.is_empty() {
        spoken(language)
    } else {
        let own = api::words(inputs);
        language.map_or(own, |l| own.with_language(l))
    };
    let request = Request::Practice { practice: ask };
    let speech = Speech { language: tag(language), system: None };
    let outcome: Outcome = work::ask_in(&request, inputs, &speech, &words, quiet || as_json);
    files::write_all(dir, &outcome.changed).map_err(|e| anyhow!("{e:#}"))?;
    let written = work::finish(dir, &outcome)?;
    if as_json {
        data(&format!("{:#}\n", outcome.json(&inputs.files, &words)));
    } else {
        work::tell(inputs, &outcome, &words);
        for path in written {
            data(&format!("{}\n", words.text("cli-wrote", &[("path", path.display().to_string().into())])));
        }
    }
    if outcome.stopped {
        talk(&format!("{}\n", words.say("cli-stopped")));
    }
    Ok(outcome.exit_code())
}
