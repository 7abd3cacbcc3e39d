//! Working operations into a text.

use super::place::{Dress, Place, key_text, raw, read, walk, write};
use super::{Change, EditError, Operation, Step};
use toml_edit::{DocumentMut, Item, Table, TableLike, Value};

/// The text after the operations, one after the other; all of them or none.
///
/// Their `path` is the caller's: all are taken as meant for this text.
///
/// # Errors
/// A text that cannot be read, a key that is not there or of another kind, a value that is no TOML.
pub fn apply(text: &str, operations: &[Operation]) -> Result<String, EditError> {
    let mut text = text.to_owned();
    let mut open: Option<(DocumentMut, Dress)> = None;
    for operation in operations {
        if let Change::Write { text: whole } = &operation.change {
            open = None;
            whole.clone_into(&mut text);
            continue;
        }
        let (mut doc, dress) = match open.take() {
            Some(open) => open,
            None => read(&text)?,
        };
        one(&mut doc, &operation.key, &operation.change)?;
        open = Some((doc, dress));
    }
    Ok(open.map_or(text, |(doc, dress)| write(&doc, dress)))
}

fn one(doc: &mut DocumentMut, key: &[Step], change: &Change) -> Result<(), EditError> {
    let Some((last, parents)) = key.split_last() else {
        return match change {
            Change::Note { before, .. } => {
                doc.set_trailing(before.clone().unwrap_or_default());
                Ok(())
            }
            _ => Err(EditError::Kind { key: String::new() }),
        };
    };
    let make = matches!(change, Change::Set { .. } | Change::Insert { .. });
    if let Change::Remove = change {
        return remove(doc, key);
    }
    if make && matches!(last, Step::Entry(_)) {
        // An entry's place is the list, which may have to be made with its first entry.
        if walk(Place::Table(doc.as_table_mut()), parents, false, key).is_err() {
            make_list(doc, parents, key)?;
        }
    }
    let place = walk(Place::Table(doc.as_table_mut()), parents, make, key)?;
    match (place, last, change) {
        (Place::Table(table), Step::Name(name), Change::Set { value }) => set(table, name, value, key),
        (Place::Table(table), Step::Name(name), Change::Insert { text, before }) => {
            if table.contains_key(name) {
                return Err(EditError::Taken { key: key_text(key) });
            }
            table.insert(name, Item::Table(new_table(text, before.as_deref())?));
            Ok(())
        }
        (Place::Entries(entries), Step::Entry(n), Change::Insert { text, before }) => {
            if *n > entries.len() {
                return Err(EditError::Missing { key: key_text(key) });
            }
            let mut table = new_table(text, before.as_deref())?;
            // Headers are written by position; entries of a list must keep their order.
            table.set_position(entries.get(*n).and_then(Table::position));
            entries.insert(*n, table);
            Ok(())
        }
        (Place::Table(table), Step::Name(name), Change::Note { before, behind }) => {
            note(table, name, before.as_ref(), behind.as_ref(), key)
        }
        (Place::Entries(entries), Step::Entry(n), Change::Note { before, behind }) => {
            let table = entries.get_mut(*n).ok_or_else(|| EditError::Missing { key: key_text(key) })?;
            note_table(table, before.as_ref(), behind.as_ref());
            Ok(())
        }
        _ => Err(EditError::Kind { key: key_text(key) }),
    }
}

/// Makes an empty list of tables, with the tables that lead to it.
fn make_list(doc: &mut DocumentMut, list: &[Step], key: &[Step]) -> Result<(), EditError> {
    let Some((Step::Name(name), parents)) = list.split_last() else {
        return Err(EditError::Kind { key: key_text(key) });
    };
    match walk(Place::Table(doc.as_table_mut()), parents, true, key)? {
        Place::Table(table) if !table.contains_key(name) => {
            table.insert(name, Item::ArrayOfTables(toml_edit::ArrayOfTables::new()));
            Ok(())
        }
        _ => Err(EditError::Kind { key: key_text(key) }),
    }
}

fn set(table: &mut dyn TableLike, name: &str, value: &str, key: &[Step]) -> Result<(), EditError> {
    let mut new: Value = value.trim().parse().map_err(|e: toml_edit::TomlError| EditError::Value {
        value: value.to_owned(),
        what: e.message().to_owned(),
    })?;
    match table.get_mut(name) {
        Some(Item::Value(old)) => {
            *new.decor_mut() = old.decor().clone();
            *old = new;
        }
        Some(Item::None) | None => {
            new.decor_mut().clear();
            table.insert(name, Item::Value(new));
        }
        Some(_) => return Err(EditError::Kind { key: key_text(key) }),
    }
    Ok(())
}

/// A table of its lines, that goes where its neighbours are.
fn new_table(text: &str, before: Option<&str>) -> Result<Table, EditError> {
    let doc = text
        .parse::<DocumentMut>()
        .map_err(|e| EditError::Value { value: text.to_owned(), what: e.message().to_owned() })?;
    let tail = raw(Some(doc.trailing())).to_owned();
    let mut table = doc.into_table();
    forget_position(&mut table);
    table.set_implicit(false);
    table.decor_mut().clear();
    if let Some(before) = before {
        table.decor_mut().set_prefix(before);
    } else if !tail.trim().is_empty() {
        // A comment below its lines has no place of its own in a table: it goes above.
        table.decor_mut().set_prefix(format!("\n{tail}"));
    }
    Ok(table)
}

fn forget_position(table: &mut Table) {
    table.set_position(None);
    for (_, item) in table.iter_mut() {
        match item {
            Item::Table(inner) => forget_position(inner),
            Item::ArrayOfTables(entries) => entries.iter_mut().for_each(forget_position),
            _ => {}
        }
    }
}

fn note(
    table: &mut dyn TableLike,
    name: &str,
    before: Option<&String>,
    behind: Option<&String>,
    key: &[Step],
) -> Result<(), EditError> {
    match table.get_mut(name) {
        Some(Item::Table(inner)) => note_table(inner, before, behind),
        Some(Item::Value(value)) => {
            if let Some(behind) = behind {
                value.decor_mut().set_suffix(behind);
            }
            if let (Some(before), Some(mut formatted)) = (before, table.key_mut(name)) {
                formatted.leaf_decor_mut().set_prefix(before);
            }
        }
        _ => return Err(EditError::Missing { key: key_text(key) }),
    }
    Ok(())
}

fn note_table(table: &mut Table, before: Option<&String>, behind: Option<&String>) {
    if let Some(before) = before {
        table.decor_mut().set_prefix(before);
    }
    if let Some(behind) = behind {
        table.decor_mut().set_suffix(behind);
    }
}

/// Takes a field out; comments that an empty line parts from it stay where they were.
fn remove(doc: &mut DocumentMut, key: &[Step]) -> Result<(), EditError> {
    let missing = || EditError::Missing { key: key_text(key) };
    let (last, parents) = key.split_last().ok_or_else(missing)?;
    let (above, position, next_key) =
        match (walk(Place::Table(doc.as_table_mut()), parents, false, key)?, last) {
            (Place::Table(table), Step::Name(name)) => {
                let keys: Vec<String> = table.iter().map(|(k, _)| k.to_owned()).collect();
                let behind = keys.iter().skip_while(|k| *k != name).skip(1);
                let next = behind.clone().find(|k| table.get(k).is_some_and(Item::is_value)).cloned();
                let above = table.key(name).map(|k| raw(k.leaf_decor().prefix()).to_owned());
                let gone = table.remove(name).ok_or_else(missing)?;
                match gone {
                    Item::Value(_) => (above.unwrap_or_default(), None, next),
                    Item::Table(t) => (raw(t.decor().prefix()).to_owned(), t.position(), None),
                    Item::ArrayOfTables(entries) => {
                        let first = entries.get(0);
                        let above = first.map(|t| raw(t.decor().prefix()).to_owned());
                        (above.unwrap_or_default(), first.and_then(Table::position), None)
                    }
                    Item::None => (String::new(), None, None),
                }
            }
            (Place::Entries(entries), Step::Entry(n)) => {
                if *n >= entries.len() {
                    return Err(missing());
                }
                let gone = entries.remove(*n);
                (raw(gone.decor().prefix()).to_owned(), gone.position(), None)
            }
            _ => return Err(EditError::Kind { key: key_text(key) }),
        };
    let Some(kept) = apart(&above) else { return Ok(()) };
    if let Some(next) = next_key {
        if let Place::Table(table) = walk(Place::Table(doc.as_table_mut()), parents, false, key)?
            && let Some(mut formatted) = table.key_mut(&next)
        {
            let own = raw(formatted.leaf_decor().prefix()).to_owned();
            formatted.leaf_decor_mut().set_prefix(kept + &own);
        }
        return Ok(());
    }
    let after = match position {
        Some(position) => position,
        None => position_of(doc, parents).unwrap_or(-1),
    };
    let next = following(doc.as_table(), after);
    match next.and_then(|position| at_position(doc.as_table_mut(), position)) {
        Some(table) => {
            let own = raw(table.decor().prefix()).to_owned();
            table.decor_mut().set_prefix(kept + &own);
        }
        None => {
            let own = raw(Some(doc.trailing())).to_owned();
            doc.set_trailing(kept + &own);
        }
    }
    Ok(())
}

/// The part above the last empty line, if it says anything.
fn apart(above: &str) -> Option<String> {
    let lines: Vec<&str> = above.split_inclusive('\n').collect();
    let own = lines.iter().rposition(|l| l.trim().is_empty())?;
    let kept: String = lines.iter().take(own + 1).copied().collect();
    (!kept.trim().is_empty()).then_some(kept)
}

fn position_of(doc: &mut DocumentMut, key: &[Step]) -> Option<isize> {
    let (last, parents) = key.split_last()?;
    match (walk(Place::Table(doc.as_table_mut()), parents, false, key).ok()?, last) {
        (Place::Table(table), Step::Name(name)) => table.get(name)?.as_table()?.position(),
        (Place::Entries(entries), Step::Entry(n)) => entries.get(*n)?.position(),
        _ => None,
    }
}

/// The position of the header that follows.
fn following(table: &Table, after: isize) -> Option<isize> {
    let own = table.position().filter(|p| *p > after && !table.is_implicit() && !table.is_dotted());
    let inner = table.iter().filter_map(|(_, item)| match item {
        Item::Table(t) => following(t, after),
        Item::ArrayOfTables(entries) => entries.iter().filter_map(|t| following(t, after)).min(),
        _ => None,
    });
    own.into_iter().chain(inner).min()
}

fn at_position(table: &mut Table, position: isize) -> Option<&mut Table> {
    if table.position() == Some(position) && !table.is_implicit() && !table.is_dotted() {
        return Some(table);
    }
    table.iter_mut().find_map(|(_, item)| match item {
        Item::Table(t) => at_position(t, position),
        Item::ArrayOfTables(entries) => entries.iter_mut().find_map(|t| at_position(t, position)),
        _ => None,
    })
}
