//! JSON lines: one object a line, values found by paths such as `sensor.0.co2`.

use serde_json::Value;

/// Deepest path and most leaves that are looked at.
const DEEPEST: usize = 16;
const MOST_LEAVES: usize = 300;

/// The value at a path of keys and indices.
pub fn at<'v>(value: &'v Value, path: &str) -> Option<&'v Value> {
    // A key may hold dots itself.
    if let Some(found) = value.get(path) {
        return Some(found);
    }
    let mut here = value;
    for part in path.split('.').take(DEEPEST) {
        here = match here {
            Value::Object(map) => map.get(part)?,
            Value::Array(list) => list.get(part.parse::<usize>().ok()?)?,
            _ => return None,
        };
    }
    Some(here)
}

/// A leaf as a cell: the text of a number or a text; nothing for the rest.
pub fn cell(value: &Value) -> Option<String> {
    match value {
        Value::String(s) => Some(s.clone()),
        Value::Number(n) => Some(n.to_string()),
        Value::Bool(b) => Some(u8::from(*b).to_string()),
        Value::Null => Some(String::new()),
        _ => None,
    }
}

/// Paths of all leaves, in the order of the object.
pub fn leaves(value: &Value) -> Vec<(String, String)> {
    let mut out = Vec::new();
    walk(value, String::new(), 0, &mut out);
    out
}

fn walk(value: &Value, path: String, depth: usize, out: &mut Vec<(String, String)>) {
    if depth > DEEPEST || out.len() >= MOST_LEAVES {
        return;
    }
    let below = |key: &str| if path.is_empty() { key.to_owned() } else { format!("{path}.{key}") };
    match value {
        Value::Object(map) => map.iter().for_each(|(k, v)| walk(v, below(k), depth + 1, out)),
        Value::Array(list) => {
            list.iter().enumerate().for_each(|(i, v)| walk(v, below(&i.to_string()), depth + 1, out));
        }
        leaf => out.extend(cell(leaf).map(|c| (path, c))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths() {
        let v: Value = serde_json::from_str(r#"{"a":{"b":[1,{"c":2.5}]},"x.y":"t","n":null}"#).unwrap();
        assert_eq!(at(&v, "a.b.1.c").and_then(cell).as_deref(), Some("2.5"));
        assert_eq!(at(&v, "x.y").and_then(cell).as_deref(), Some("t"));
        assert_eq!(at(&v, "a.q"), None);
        let paths: Vec<String> = leaves(&v).into_iter().map(|(p, _)| p).collect();
        assert_eq!(paths, ["a.b.0", "a.b.1.c", "n", "x.y"]);
    }
}
