//! Folders put into a store, edits of their documents, and what was done to them.

use super::{Answer, OnStore, or_none, place, value};
use crate::clock;
use crate::store::{self, Edited, Store, StoreError, Who, read_folder};
use anyhow::{Result, anyhow};
use api::edit::{Change, Operation, key_path};
use engine::diag::{Diagnostic, code};
use report::words::Words;
use serde_json::json;
use std::io::Read;
use std::path::Path;

pub(super) fn put(
    on: &OnStore,
    words: &Words,
    folder: &Path,
    job: Option<&str>,
    over: bool,
    who: Who,
) -> Result<Answer> {
    if !folder.join("job.toml").is_file() {
        return Err(crate::plain::no_job(folder));
    }
    let taken = read_folder(folder)?;
    let named = folder.canonicalize().ok().and_then(|f| Some(f.file_name()?.to_string_lossy().into_owned()));
    let job = job.map(str::to_owned).or(named).unwrap_or_else(|| "job".to_owned());
    let store = Store::open(&on.file)?;
    let made = store.put(&job, &place(folder), taken.files, over, who)?;
    let mut said = Vec::new();
    if !taken.left.is_empty() {
        said.push(Diagnostic::note(code::K130).arg("names", taken.left.join(", ")));
    }
    for path in &taken.misnamed {
        said.push(Diagnostic::warning(code::K131).arg("path", path.as_str()));
    }
    let count = |f: fn(&Edited) -> bool| made.values().filter(|e| f(e)).count();
    let waiting = store.waiting(&job)?;
    let mut fields = 0;
    for (path, edited) in &made {
        if let Edited::Conflict { fields: list, .. } = edited {
            fields += list.len();
            let number = waiting.iter().rfind(|w| w.path == *path).map_or(0, |w| w.id);
            said.extend(list.iter().map(|c| conflict(c, number)));
        }
    }
    let line = if fields > 0 {
        words.text("store-put-refused", &[("count", fields.into())])
    } else {
        words.text(
            "store-put",
            &[
                ("job", job.as_str().into()),
                ("new", count(|e| matches!(e, Edited::Kept { .. })).into()),
                ("merged", count(|e| matches!(e, Edited::Kept { merged: true, .. })).into()),
                ("same", count(|e| matches!(e, Edited::Same { .. })).into()),
            ],
        )
    };
    Ok(Answer {
        lines: vec![line],
        data: json!({ "job": job, "documents": value(&made), "left": taken.left }),
        said,
    })
}

fn conflict(c: &api::edit::Conflict, number: i64) -> Diagnostic {
    // A whole document is told by its first words.
    let short =
        |t: &Option<String>| t.as_ref().map(|t| t.chars().take(60).collect::<String>()).unwrap_or_default();
    Diagnostic::warning(code::K132)
        .arg("path", c.path.as_str())
        .arg("key", c.key.as_str())
        .arg("theirs", short(&c.theirs))
        .arg("mine", short(&c.mine))
        .arg("number", number as f64)
}

pub(super) fn edited(store: &Store, words: &Words, job: &str, path: &str, made: &Edited) -> Result<Answer> {
    let mut said = Vec::new();
    let (key, number) = match made {
        Edited::Kept { number: 1, merged: false } => ("store-kept-first", 1),
        Edited::Kept { number, merged: false } => ("store-kept", *number),
        Edited::Kept { number, merged: true } => ("store-kept-merged", *number),
        Edited::Same { number } => ("store-same", *number),
        Edited::Conflict { number, fields } => {
            let waiting = store.waiting(job)?.into_iter().rfind(|w| w.path == path).map_or(0, |w| w.id);
            said.extend(fields.iter().map(|c| conflict(c, waiting)));
            ("store-same", *number)
        }
    };
    let lines = if said.is_empty() {
        vec![words.text(key, &[("number", (number as f64).into()), ("path", path.into())])]
    } else {
        Vec::new()
    };
    Ok(Answer { lines, data: value(made), said })
}

pub(super) fn operations_of(path: &str, set: &[String], remove: &[String]) -> Result<Vec<Operation>> {
    let mut list = Vec::new();
    let mut push = |key: &str, change: Change| -> Result<()> {
        let key = key_path(key).map_err(|e| StoreError::edit(path, &e))?;
        list.push(Operation { path: path.to_owned(), key, change });
        Ok(())
    };
    for text in set {
        let (key, value) = text.split_once('=').ok_or_else(|| StoreError::Edit {
            path: path.to_owned(),
            why: "no-value",
            what: text.clone(),
            line: 0,
        })?;
        push(key, Change::Set { value: value.to_owned() })?;
    }
    for key in remove {
        push(key, Change::Remove)?;
    }
    Ok(list)
}

pub(super) fn operations_in() -> Result<Vec<Operation>> {
    let mut text = String::new();
    std::io::stdin().lock().read_to_string(&mut text)?;
    serde_json::from_str(&text).map_err(|e| anyhow!("{e}"))
}

pub(super) fn history(store: &Store, words: &Words, job: &str, path: Option<&str>) -> Result<Answer> {
    let list = store.history(job, path)?;
    let waiting: Vec<store::Waiting> =
        store.waiting(job)?.into_iter().filter(|w| path.is_none_or(|p| p == w.path)).collect();
    let mut lines: Vec<String> = list
        .iter()
        .map(|r| {
            words.text(
                "store-revision",
                &[
                    ("when", clock::moment(r.made_ms).into()),
                    ("path", r.path.as_str().into()),
                    ("number", (r.number as f64).into()),
                    ("what", r.what.as_str().into()),
                    ("undoes", (r.undoes.unwrap_or(0) as f64).into()),
                    ("size", (r.size as f64).into()),
                    ("author", r.author.as_str().into()),
                    ("device", r.device.as_str().into()),
                ],
            )
        })
        .collect();
    lines.extend(waiting.iter().map(|w| {
        words.text(
            "store-waiting",
            &[
                ("when", clock::moment(w.made_ms).into()),
                ("path", w.path.as_str().into()),
                ("number", (w.id as f64).into()),
                ("author", w.author.as_str().into()),
                ("base", (w.base.unwrap_or(0) as f64).into()),
            ],
        )
    }));
    Ok(Answer {
        lines: or_none(lines, words),
        data: json!({ "revisions": value(&list), "waiting": value(&waiting) }),
        ..Answer::default()
    })
}
