//! Edits of documents for whoever keeps them.

use super::{Text, plain};
use crate::edit::{Operation, apply, merge as merged};
use engine::diag::{Diagnostic, Diagnostics, code};
use report::words::Words;
use serde_json::{Value, json};

/// The documents that changed, all operations or none.
pub(super) fn edit(mut files: Vec<Text>, operations: &[Operation], words: &Words) -> Value {
    let mut changed: Vec<String> = Vec::new();
    for operation in operations {
        if !files.iter().any(|f| f.name == operation.path) {
            files.push(Text { name: operation.path.clone(), text: String::new() });
        }
        let Some(file) = files.iter_mut().find(|f| f.name == operation.path) else { continue };
        match apply(&file.text, std::slice::from_ref(operation)) {
            Ok(text) => file.text = text,
            Err(error) => {
                let mut found = Diagnostics::default();
                found.push(
                    Diagnostic::error(code::K115)
                        .arg("path", operation.path.as_str())
                        .arg("what", error.to_string()),
                );
                return crate::envelope_json(&found, &[], words, Value::Null);
            }
        }
        if !changed.contains(&operation.path) {
            changed.push(operation.path.clone());
        }
    }
    files.retain(|f| changed.contains(&f.name));
    plain(words, json!({ "files": files }))
}

/// Both people's edits; where both changed the same field, theirs stands and both are shown.
pub(super) fn merge(name: &str, base: &str, mine: &str, theirs: &str, words: &Words) -> Value {
    let all = merged(name, base, mine, theirs);
    plain(words, json!({ "text": all.text, "conflicts": all.conflicts }))
}
