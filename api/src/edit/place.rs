//! Keys, texts and the way from one to the other.

use super::{EditError, Step};
use toml_edit::{ArrayOfTables, Decor, DocumentMut, Item, RawString, Table, TableLike};

/// A key path as people write it: `zone.main.volume`, `complaint[0].limit`, `test."north wing".flow`.
///
/// # Errors
/// Text that is no such path.
pub fn key_path(text: &str) -> Result<Vec<Step>, EditError> {
    let wrong = || EditError::Key { text: text.to_owned() };
    let mut steps = Vec::new();
    let mut rest = text.trim();
    while !rest.is_empty() {
        if let Some(inner) = rest.strip_prefix('[') {
            let (number, after) = inner.split_once(']').ok_or_else(wrong)?;
            steps.push(Step::Entry(number.trim().parse().map_err(|_| wrong())?));
            rest = after;
        } else {
            let named = if let Some(inner) = rest.strip_prefix('"') {
                inner.split_once('"').ok_or_else(wrong)?
            } else {
                let end = rest.find(['.', '[']).unwrap_or(rest.len());
                rest.split_at_checked(end).ok_or_else(wrong)?
            };
            if named.0.is_empty() {
                return Err(wrong());
            }
            steps.push(Step::Name(named.0.to_owned()));
            rest = named.1;
        }
        match rest.strip_prefix('.') {
            Some("") => return Err(wrong()),
            Some(after) => rest = after,
            None if rest.is_empty() || rest.starts_with('[') => {}
            None => return Err(wrong()),
        }
    }
    Ok(steps)
}

/// The same path as a text.
pub fn key_text(steps: &[Step]) -> String {
    let mut text = String::new();
    for step in steps {
        match step {
            Step::Entry(n) => text += &format!("[{n}]"),
            Step::Name(name) => {
                if !text.is_empty() {
                    text.push('.');
                }
                let bare = name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-');
                if bare && !name.is_empty() { text += name } else { text += &format!("\"{name}\"") }
            }
        }
    }
    text
}

/// What the text was apart from its lines, so that it can be put back.
#[derive(Clone, Copy)]
pub(super) struct Dress {
    mark: bool,
    returns: bool,
    open_end: bool,
}

/// The document, and how its text was dressed: byte order mark, line ends, a last line without one.
pub(super) fn read(text: &str) -> Result<(DocumentMut, Dress), EditError> {
    let bare = text.strip_prefix('\u{feff}');
    let ends = text.matches('\n').count();
    // The writer of TOML knows one line end only; a text with both comes out with the commoner one.
    let returns = text.matches("\r\n").count() * 2 > ends;
    let dress = Dress { mark: bare.is_some(), returns, open_end: !text.is_empty() && !text.ends_with('\n') };
    let plain = bare.unwrap_or(text).replace("\r\n", "\n");
    let doc = plain.parse::<DocumentMut>().map_err(|e| {
        let at = e.span().map_or(0, |s| s.start);
        let line = plain.bytes().take(at).filter(|b| *b == b'\n').count() + 1;
        EditError::Unreadable { line, what: e.message().to_owned() }
    })?;
    Ok((doc, dress))
}

/// The text of a document in its dress.
pub(super) fn write(doc: &DocumentMut, dress: Dress) -> String {
    let mut text = doc.to_string();
    if dress.open_end && text.ends_with('\n') {
        text.pop();
    }
    if dress.returns {
        text = text.replace('\n', "\r\n");
    }
    if dress.mark {
        text.insert(0, '\u{feff}');
    }
    text
}

/// Somewhere one can go on from.
pub(super) enum Place<'a> {
    Table(&'a mut dyn TableLike),
    Entries(&'a mut ArrayOfTables),
}

/// Follows `steps` down from `here`; with `make`, tables that are missing are made.
pub(super) fn walk<'a>(
    here: Place<'a>,
    steps: &[Step],
    make: bool,
    whole: &[Step],
) -> Result<Place<'a>, EditError> {
    let missing = || EditError::Missing { key: key_text(whole) };
    let kind = || EditError::Kind { key: key_text(whole) };
    let Some((first, rest)) = steps.split_first() else { return Ok(here) };
    let next = match (here, first) {
        (Place::Table(table), Step::Name(name)) => {
            if make && !table.contains_key(name) {
                let new = if matches!(rest.first(), Some(Step::Entry(_))) {
                    Item::ArrayOfTables(ArrayOfTables::new())
                } else {
                    let mut made = Table::new();
                    // Without lines of its own it needs no header.
                    made.set_implicit(true);
                    Item::Table(made)
                };
                table.insert(name, new);
            }
            match table.get_mut(name).ok_or_else(missing)? {
                Item::ArrayOfTables(entries) => Place::Entries(entries),
                item => Place::Table(item.as_table_like_mut().ok_or_else(kind)?),
            }
        }
        (Place::Entries(entries), Step::Entry(n)) => Place::Table(entries.get_mut(*n).ok_or_else(missing)?),
        _ => return Err(kind()),
    };
    walk(next, rest, make, whole)
}

/// What stands under a key: the value's text or the table's lines.
pub(super) fn text_at(doc: &DocumentMut, key: &[Step]) -> Option<String> {
    let mut table: &dyn TableLike = doc.as_table();
    let mut steps = key.iter();
    while let Some(step) = steps.next() {
        let Step::Name(name) = step else { return None };
        match table.get(name)? {
            Item::Value(value) if steps.as_slice().is_empty() => return Some(bare(value)),
            Item::ArrayOfTables(entries) => match steps.next() {
                Some(Step::Entry(n)) => table = entries.get(*n)?,
                _ => return None,
            },
            item => table = item.as_table_like()?,
        }
    }
    Some(lines_of(table))
}

/// A value as written, without what stands around it.
pub(super) fn bare(value: &toml_edit::Value) -> String {
    let mut value = value.clone();
    value.decor_mut().clear();
    value.to_string().trim().to_owned()
}

/// A table's lines without its own header.
pub(super) fn lines_of(table: &dyn TableLike) -> String {
    let mut doc = DocumentMut::new();
    for (key, item) in table.iter() {
        match table.key(key) {
            Some(formatted) => drop(doc.as_table_mut().insert_formatted(formatted, item.clone())),
            None => drop(doc.as_table_mut().insert(key, item.clone())),
        }
    }
    doc.to_string()
}

pub(super) fn raw(text: Option<&RawString>) -> &str {
    text.and_then(RawString::as_str).unwrap_or("")
}

/// What stands above and behind, as written.
pub(super) fn around(above: &Decor, behind: &Decor) -> (String, String) {
    (raw(above.prefix()).to_owned(), raw(behind.suffix()).to_owned())
}

/// The comments in a stretch of white space, without the space.
pub(super) fn comments(text: &str) -> String {
    text.lines().map(str::trim).filter(|l| !l.is_empty()).collect::<Vec<_>>().join("\n")
}
