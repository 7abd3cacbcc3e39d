//! The operations between two texts.

use super::place::{around, bare, comments, lines_of, raw, read};
use super::{Change, Operation, Step, has_fields};
use toml_edit::{ArrayOfTables, Item, Table, TableLike};

/// Operations that make the values and comments of `new` out of `old`.
///
/// Applied to `old` they give a text that says the same as `new`; order and spaces stay those of
/// `old`. A document that is no TOML, or that cannot be read, is written whole.
pub fn diff(path: &str, old: &str, new: &str) -> Vec<Operation> {
    if old == new {
        return Vec::new();
    }
    fields(path, old, new).unwrap_or_else(|| {
        vec![Operation {
            path: path.to_owned(),
            key: Vec::new(),
            change: Change::Write { text: new.to_owned() },
        }]
    })
}

/// As [`diff`], nothing where the fields of either text cannot be told.
pub(super) fn fields(path: &str, old: &str, new: &str) -> Option<Vec<Operation>> {
    if !has_fields(path) {
        return None;
    }
    let (old, _) = read(old).ok()?;
    let (new, _) = read(new).ok()?;
    let mut out = Out { path, key: Vec::new(), list: Vec::new() };
    tables(old.as_table(), new.as_table(), &mut out);
    let tail = raw(Some(new.trailing()));
    if comments(raw(Some(old.trailing()))) != comments(tail) {
        out.push(Change::Note { before: Some(tail.to_owned()), behind: None });
    }
    Some(out.list)
}

struct Out<'p> {
    path: &'p str,
    key: Vec<Step>,
    list: Vec<Operation>,
}

impl Out<'_> {
    fn push(&mut self, change: Change) {
        self.list.push(Operation { path: self.path.to_owned(), key: self.key.clone(), change });
    }

    fn under(&mut self, step: Step, f: impl FnOnce(&mut Self)) {
        self.key.push(step);
        f(self);
        self.key.pop();
    }

    /// A comment above or behind that says something else now.
    fn note(&mut self, old: &(String, String), new: &(String, String)) {
        let changed = |old: &str, new: &str| (comments(old) != comments(new)).then(|| new.to_owned());
        let (before, behind) = (changed(&old.0, &new.0), changed(&old.1, &new.1));
        if before.is_some() || behind.is_some() {
            self.push(Change::Note { before, behind });
        }
    }
}

fn tables(old: &dyn TableLike, new: &dyn TableLike, out: &mut Out<'_>) {
    for (name, was) in old.iter() {
        out.under(Step::Name(name.to_owned()), |out| match new.get(name) {
            None => out.push(Change::Remove),
            Some(is) => item((old, was), (new, is), name, out),
        });
    }
    for (name, is) in new.iter().filter(|(name, _)| !old.contains_key(name)) {
        out.under(Step::Name(name.to_owned()), |out| add(new, is, name, out));
    }
}

fn item(old: (&dyn TableLike, &Item), new: (&dyn TableLike, &Item), name: &str, out: &mut Out<'_>) {
    match (old.1, new.1) {
        (Item::ArrayOfTables(was), Item::ArrayOfTables(is)) => entries(was, is, out),
        (Item::Table(was), Item::Table(is)) => {
            tables(was, is, out);
            if !was.is_implicit() && !is.is_implicit() && !was.is_dotted() && !is.is_dotted() {
                out.note(&around(was.decor(), was.decor()), &around(is.decor(), is.decor()));
            }
        }
        (Item::Value(was), Item::Value(is)) => {
            match (was.as_inline_table(), is.as_inline_table()) {
                (Some(was), Some(is)) => tables(was, is, out),
                _ if bare(was) != bare(is) => out.push(Change::Set { value: bare(is) }),
                _ => {}
            }
            if let (Some(old_key), Some(new_key)) = (old.0.key(name), new.0.key(name)) {
                let was = around(old_key.leaf_decor(), was.decor());
                out.note(&was, &around(new_key.leaf_decor(), is.decor()));
            }
        }
        (was, is) => match (was.as_table_like(), is.as_table_like()) {
            (Some(was), Some(is)) => tables(was, is, out),
            _ => {
                out.push(Change::Remove);
                add(new.0, is, name, out);
            }
        },
    }
}

fn add(new: &dyn TableLike, is: &Item, name: &str, out: &mut Out<'_>) {
    match is {
        Item::None => {}
        Item::Value(value) => {
            out.push(Change::Set { value: bare(value) });
            if let Some(key) = new.key(name) {
                out.note(&Default::default(), &around(key.leaf_decor(), value.decor()));
            }
        }
        // A table without a header of its own is made with what it holds.
        Item::Table(table) if table.is_dotted() || table.is_implicit() => {
            for (inner, item) in table.iter() {
                out.under(Step::Name(inner.to_owned()), |out| add(table, item, inner, out));
            }
        }
        Item::Table(table) => out.push(insert(table)),
        Item::ArrayOfTables(list) => {
            for (n, table) in list.iter().enumerate() {
                out.under(Step::Entry(n), |out| out.push(insert(table)));
            }
        }
    }
}

fn insert(table: &Table) -> Change {
    let before = table.decor().prefix().map(|p| raw(Some(p)).to_owned());
    Change::Insert { text: lines_of(table), before }
}

/// Entries from the last to the first, so that every number counts in the old list.
fn entries(old: &ArrayOfTables, new: &ArrayOfTables, out: &mut Out<'_>) {
    let (was, is): (Vec<&Table>, Vec<&Table>) = (old.iter().collect(), new.iter().collect());
    let mut next = was.len();
    for pair in align(&was, &is).into_iter().rev() {
        match pair {
            (Some(i), Some(j)) => {
                next = i;
                let (Some(was), Some(is)) = (was.get(i), is.get(j)) else { continue };
                out.under(Step::Entry(i), |out| {
                    tables(*was, *is, out);
                    out.note(&around(was.decor(), was.decor()), &around(is.decor(), is.decor()));
                });
            }
            (Some(i), None) => {
                next = i;
                out.under(Step::Entry(i), |out| out.push(Change::Remove));
            }
            (None, Some(j)) => {
                let Some(is) = is.get(j) else { continue };
                out.under(Step::Entry(next), |out| out.push(insert(is)));
            }
            (None, None) => {}
        }
    }
}

type Pair = (Option<usize>, Option<usize>);

/// Which entry became which: the longest common run of entries that are surely the same, and between
/// them by order where as many went as came.
fn align(old: &[&Table], new: &[&Table]) -> Vec<Pair> {
    let texts = |list: &[&Table]| list.iter().map(|t| lines_of(*t)).collect::<Vec<_>>();
    let (old_texts, new_texts) = (texts(old), texts(new));
    let same = |i: usize, j: usize| {
        old_texts.get(i) == new_texts.get(j)
            || match (old.get(i).and_then(|t| label(t)), new.get(j).and_then(|t| label(t))) {
                (Some(a), Some(b)) => a == b,
                _ => false,
            }
    };
    let (n, m) = (old.len(), new.len());
    // Length of the longest common run of what is left after i and j.
    let mut left = vec![vec![0_usize; m + 1]; n + 1];
    for i in (0..n).rev() {
        for j in (0..m).rev() {
            left[i][j] = if same(i, j) { left[i + 1][j + 1] + 1 } else { left[i + 1][j].max(left[i][j + 1]) };
        }
    }
    let (mut i, mut j) = (0, 0);
    let (mut pairs, mut gone, mut came) = (Vec::new(), Vec::new(), Vec::new());
    while i < n || j < m {
        if i < n && j < m && same(i, j) {
            between(&mut gone, &mut came, old, new, &mut pairs);
            pairs.push((Some(i), Some(j)));
            (i, j) = (i + 1, j + 1);
        } else if j >= m || (i < n && left[i + 1][j] >= left[i][j + 1]) {
            gone.push(i);
            i += 1;
        } else {
            came.push(j);
            j += 1;
        }
    }
    between(&mut gone, &mut came, old, new, &mut pairs);
    pairs
}

fn between(
    gone: &mut Vec<usize>,
    came: &mut Vec<usize>,
    old: &[&Table],
    new: &[&Table],
    pairs: &mut Vec<Pair>,
) {
    let named =
        |list: &[usize], of: &[&Table]| list.iter().any(|n| of.get(*n).is_some_and(|t| label(t).is_some()));
    if gone.len() == came.len() && !named(gone, old) && !named(came, new) {
        pairs.extend(gone.drain(..).zip(came.drain(..)).map(|(i, j)| (Some(i), Some(j))));
        return;
    }
    pairs.extend(gone.drain(..).map(|i| (Some(i), None)));
    pairs.extend(came.drain(..).map(|j| (None, Some(j))));
}

/// The name by which an entry is told from the others.
fn label(table: &Table) -> Option<&str> {
    ["name", "id"].iter().find_map(|key| table.get(key)?.as_str())
}
