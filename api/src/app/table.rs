//! The fields of a thing as they stand in its document, to be read and written one by one.

use crate::edit::key_path;
use report::words::Words;
use serde_json::{Value, json};
use toml_edit::{DocumentMut, Item, TableLike};

/// The fields of the table under `path` in a document: `{key, label, value, text}`, where `value` is
/// TOML and `text` what people read; nothing where there is no such table.
pub(super) fn fields(document: &str, path: &str, words: &Words) -> Vec<Value> {
    let Ok(doc) = document.parse::<DocumentMut>() else { return Vec::new() };
    let Ok(steps) = key_path(path) else { return Vec::new() };
    let mut item: &Item = doc.as_item();
    for step in &steps {
        let next = match step {
            crate::edit::Step::Name(name) => item.as_table_like().and_then(|t| t.get(name)),
            crate::edit::Step::Entry(at) => {
                item.as_array_of_tables().and_then(|list| list.get(*at)).and(None::<&Item>)
            }
        };
        let Some(next) = next else { return Vec::new() };
        item = next;
    }
    item.as_table_like().map(|t| of(t, path, words)).unwrap_or_default()
}

fn of(table: &dyn TableLike, path: &str, words: &Words) -> Vec<Value> {
    let written = table.iter().filter_map(|(key, item)| Some((key, item.as_value()?)));
    written
        .map(|(key, value)| {
            let toml = value.clone().decorated("", "").to_string();
            let text = value.as_str().map_or_else(|| toml.clone(), str::to_owned);
            let quoted = value.is_str();
            json!({
                "key": format!("{path}.{key}"),
                "label": label(key, words),
                "value": toml,
                "text": text,
                "quoted": quoted,
            })
        })
        .collect()
}

/// What a key is called; the key itself where the catalogue does not know it.
fn label(key: &str, words: &Words) -> String {
    let id = format!("app-field-{}", key.replace('_', "-"));
    let said = words.say(&id);
    if said == id { key.replace('_', " ") } else { said }
}
