//! Bringing together what two people made of the same text.

use super::diff::fields;
use super::place::{key_text, read, text_at};
use super::{Change, Operation, Step, apply};
use serde::Serialize;

/// One field that both changed, with everything that was written there.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
pub struct Conflict {
    /// The document.
    pub path: String,
    /// The field within it; empty for the whole document.
    pub key: String,
    /// What both began from; nothing where there was nothing.
    pub base: Option<String>,
    /// What the first of the two wrote, which counts; nothing where it was removed.
    pub theirs: Option<String>,
    /// What the second wrote; nothing where it was removed.
    pub mine: Option<String>,
}

/// Two edits brought together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Merged {
    /// Theirs with all of mine that no conflict holds back.
    pub text: String,
    /// Fields where both wrote different things.
    pub conflicts: Vec<Conflict>,
}

/// Three-way merge: `mine` and `theirs` both came from `base`; `theirs` is kept already.
///
/// Edits of different fields both count. Where both say the same it counts once. A text that
/// cannot be read, or is no TOML, is one field.
pub fn merge(path: &str, base: &str, mine: &str, theirs: &str) -> Merged {
    let only = |text: &str| Merged { text: text.to_owned(), conflicts: Vec::new() };
    if mine == base || mine == theirs {
        return only(theirs);
    }
    if theirs == base {
        return only(mine);
    }
    by_field(path, base, mine, theirs).unwrap_or_else(|| Merged {
        text: theirs.to_owned(),
        conflicts: vec![Conflict {
            path: path.to_owned(),
            key: String::new(),
            base: Some(base.to_owned()),
            theirs: Some(theirs.to_owned()),
            mine: Some(mine.to_owned()),
        }],
    })
}

fn by_field(path: &str, base: &str, mine: &str, theirs: &str) -> Option<Merged> {
    let ours = fields(path, base, mine)?;
    let first = fields(path, base, theirs)?;
    let (doc, _) = read(base).ok()?;
    let mut conflicts: Vec<Conflict> = Vec::new();
    let mut left = Vec::new();
    // A key that is held back holds back what else was done to it.
    let mut held: Vec<Vec<Step>> = Vec::new();
    for operation in ours {
        if first.contains(&operation) {
            continue;
        }
        let against = first.iter().find(|other| clash(&operation, other));
        if let Some(both) = against.and_then(|other| together(&operation, other)) {
            left.extend(both.left);
            conflicts.extend(both.conflicts);
        } else if let Some(other) = against {
            let short = if other.key.len() < operation.key.len() { &other.key } else { &operation.key };
            conflicts.push(Conflict {
                path: path.to_owned(),
                key: key_text(&operation.key),
                base: text_at(&doc, &operation.key).filter(|_| !is_entry_insert(&operation)),
                theirs: said(other),
                mine: said(&operation),
            });
            held.push(short.clone());
        } else if !held.iter().any(|key| operation.key.starts_with(key)) {
            left.push(moved(operation, &first));
        } else {
            conflicts.push(Conflict {
                path: path.to_owned(),
                key: key_text(&operation.key),
                base: text_at(&doc, &operation.key),
                theirs: None,
                mine: said(&operation),
            });
        }
    }
    let text = apply(theirs, &left).ok()?;
    Some(Merged { text, conflicts })
}

/// What an operation leaves at its place.
fn said(operation: &Operation) -> Option<String> {
    match &operation.change {
        Change::Set { value } => Some(value.clone()),
        Change::Insert { text, .. } | Change::Write { text } => Some(text.clone()),
        Change::Note { before, behind } => {
            let parts = [before.as_deref(), behind.as_deref()];
            Some(parts.into_iter().flatten().map(str::trim).collect::<Vec<_>>().join("\n"))
        }
        Change::Remove => None,
    }
}

struct Both {
    left: Vec<Operation>,
    conflicts: Vec<Conflict>,
}

/// A table that both began: what is mine alone goes into theirs, and only what both wrote differently is a conflict.
fn together(mine: &Operation, theirs: &Operation) -> Option<Both> {
    let (Change::Insert { text: own, .. }, Change::Insert { text: there, .. }) =
        (&mine.change, &theirs.change)
    else {
        return None;
    };
    if mine.key != theirs.key || is_entry_insert(mine) {
        return None;
    }
    let (doc, _) = read(there).ok()?;
    let mut both = Both { left: Vec::new(), conflicts: Vec::new() };
    for operation in fields(&mine.path, there, own)? {
        let stands = text_at(&doc, &operation.key);
        let key = [mine.key.as_slice(), &operation.key].concat();
        match operation.change {
            // What they alone wrote stays.
            Change::Remove => {}
            Change::Set { .. } if stands.is_some() => both.conflicts.push(Conflict {
                path: mine.path.clone(),
                key: key_text(&key),
                base: None,
                theirs: stands,
                mine: said(&operation),
            }),
            _ => both.left.push(Operation { key, ..operation }),
        }
    }
    Some(both)
}

/// A new entry stands between others and takes nobody's place.
fn is_entry_insert(operation: &Operation) -> bool {
    matches!(operation.change, Change::Insert { .. }) && matches!(operation.key.last(), Some(Step::Entry(_)))
}

/// Whether two operations on one text cannot both count.
fn clash(a: &Operation, b: &Operation) -> bool {
    if is_entry_insert(a) || is_entry_insert(b) {
        // Unless the list around it goes, or is put there twice.
        let (new, other) = if is_entry_insert(a) { (a, b) } else { (b, a) };
        return !is_entry_insert(other)
            && whole(other)
            && new.key.len() > other.key.len()
            && new.key.starts_with(&other.key);
    }
    let notes = |o: &Operation| match &o.change {
        Change::Note { before, behind } => Some((before.is_some(), behind.is_some())),
        _ => None,
    };
    if a.key == b.key {
        return match (notes(a), notes(b)) {
            (Some(a), Some(b)) => (a.0 && b.0) || (a.1 && b.1),
            (Some(_), None) => !matches!(b.change, Change::Set { .. }),
            (None, Some(_)) => !matches!(a.change, Change::Set { .. }),
            (None, None) => true,
        };
    }
    (whole(a) && b.key.starts_with(&a.key)) || (whole(b) && a.key.starts_with(&b.key))
}

/// Whether an operation takes or gives everything below its key.
fn whole(operation: &Operation) -> bool {
    !matches!(operation.change, Change::Note { .. })
}

/// The operation with the numbers that entries have after `first` was done.
fn moved(operation: Operation, first: &[Operation]) -> Operation {
    let mut key = operation.key.clone();
    for (at, step) in operation.key.iter().enumerate() {
        let Step::Entry(n) = step else { continue };
        let list = operation.key.get(..at).unwrap_or(&[]);
        let mut number = *n;
        for other in first {
            let Some((Step::Entry(place), parents)) = other.key.split_last() else { continue };
            if parents != list {
                continue;
            }
            match other.change {
                Change::Insert { .. } if place <= n => number += 1,
                Change::Remove if place < n => number -= 1,
                _ => {}
            }
        }
        if let Some(slot) = key.get_mut(at) {
            *slot = Step::Entry(number);
        }
    }
    Operation { key, ..operation }
}
