//! Paths into JSON documents, the plain part of RFC 9535: `$.air.co2`, `readings[0].value`,
//! `$["room air"].co2`; a number behind a dot counts in a list, too. One path names one value; wildcards
//! and filters are not read.

use serde_json::Value;

#[derive(Clone, Debug, PartialEq)]
enum Step {
    Name(String),
    Index(usize),
}

/// A path.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Path(Vec<Step>);

impl Path {
    /// Reads a path; nothing where it is none. The leading `$` may be left out.
    pub(crate) fn parse(text: &str) -> Option<Path> {
        let mut steps = Vec::new();
        let mut rest = text.strip_prefix('$').unwrap_or(text);
        if !text.starts_with(['$', '[']) && !text.is_empty() {
            let (name, behind) = name(rest)?;
            steps.push(Step::Name(name));
            rest = behind;
        }
        while !rest.is_empty() {
            if let Some(after) = rest.strip_prefix('.') {
                let (name, behind) = name(after)?;
                steps.push(Step::Name(name));
                rest = behind;
                continue;
            }
            let inside = rest.strip_prefix('[')?;
            if let Some(quote) = inside.chars().next().filter(|c| matches!(c, '"' | '\'')) {
                let (text, behind) = inside.strip_prefix(quote)?.split_once(quote)?;
                steps.push(Step::Name(text.to_owned()));
                rest = behind.strip_prefix(']')?;
            } else {
                let (digits, behind) = inside.split_once(']')?;
                steps.push(Step::Index(digits.parse().ok()?));
                rest = behind;
            }
        }
        Some(Path(steps))
    }

    /// The value there.
    pub(crate) fn find<'v>(&self, value: &'v Value) -> Option<&'v Value> {
        self.0.iter().try_fold(value, |v, step| match step {
            Step::Name(at) if v.is_array() => v.get(at.parse::<usize>().ok()?),
            Step::Name(name) => v.get(name.as_str()),
            Step::Index(at) => v.get(*at),
        })
    }
}

/// A plain name at the beginning, and what stands behind it.
fn name(text: &str) -> Option<(String, &str)> {
    let end = text.find(['.', '[', ']']).unwrap_or(text.len());
    let (name, behind) = text.split_at_checked(end)?;
    (!name.is_empty() && !name.contains(['*', '?', '"'])).then(|| (name.to_owned(), behind))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_and_what_is_none() {
        let value: Value = serde_json::from_str(r#"{"a":{"b":[1,{"room air":2}]},"c-d":3}"#).unwrap();
        for (path, found) in [
            ("$.a.b[0]", Some(1)),
            ("a.b[0]", Some(1)),
            ("a.b.0", Some(1)),
            ("$.a.b[1][\"room air\"]", Some(2)),
            ("$['c-d']", Some(3)),
            ("c-d", Some(3)),
            ("$.a.b[7]", None),
            ("$.x", None),
        ] {
            let got = Path::parse(path).unwrap();
            assert_eq!(got.find(&value).and_then(Value::as_i64), found, "{path}");
        }
        assert_eq!(Path::parse("$").unwrap().find(&value), Some(&value));
        for wrong in ["$.", "$..a", "$.a[", "$.a[x]", "$.*", "a]", "$[\"x]", "$.a[0", "a.[0]"] {
            assert_eq!(Path::parse(wrong), None, "{wrong}");
        }
    }
}
