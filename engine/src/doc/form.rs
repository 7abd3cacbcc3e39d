//! What a document can hold, learnt from its own reader.
//!
//! A reader that is given a [`Form`] notes every key it asks for: where, of which quantity, within which
//! bounds, which words it takes, and whether it cannot do without. Tables, lists and names that are not
//! there yet are handed out empty once, so that what a new one would hold is learnt too. What a reader
//! asks for may hang on what was written (a method, a quantity), and then so does the form.

use crate::units::Quantity;
use serde::Serialize;
use std::cell::RefCell;
use toml::de::DeTable;

/// One step from the top of a document to a key.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(untagged)]
pub enum Step {
    /// A key, or a name that the user chose.
    Name(String),
    /// An entry of a list, from 0.
    Entry(usize),
    /// One that is not there yet: a further entry, or a further name.
    New,
}

/// What a key takes.
#[derive(Clone, Debug, PartialEq)]
pub enum Want {
    /// A text.
    Text,
    /// True or false.
    Flag,
    /// A whole number.
    Count,
    /// A number without a unit.
    Number,
    /// A word out of a list.
    Choice(Vec<&'static str>),
    /// A quantity with its unit, and bounds in SI where the reader has some.
    Quantity(Quantity, Option<(f64, f64)>),
    /// A range of a quantity.
    Range(Quantity),
    /// How exact an instrument is.
    Accuracy(Quantity),
    /// Texts.
    Texts,
    /// Values of one quantity.
    Quantities(Quantity),
    /// Texts under names that the user chose.
    Pairs,
    /// A table.
    Table,
    /// Tables under names that the user chose.
    Named,
    /// A list of tables.
    List,
    /// Columns and rows.
    Grid {
        /// Columns that stand there once.
        known: Vec<(&'static str, Quantity)>,
        /// Columns that may stand there more than once.
        numbered: Vec<(&'static str, Quantity)>,
        /// Columns that hold names.
        texts: Vec<&'static str>,
    },
}

/// One key that a reader asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    /// The table it stands in.
    pub at: Vec<Step>,
    /// Its name.
    pub key: &'static str,
    /// What it takes.
    pub want: Want,
    /// The reader cannot do without.
    pub needed: bool,
}

/// What a reader asks for while it reads.
#[derive(Debug, Default)]
pub struct Form {
    /// Handed out for a table that is not there.
    pub(super) nothing: DeTable<'static>,
    fields: RefCell<Vec<Field>>,
}

impl Form {
    /// The keys in the order in which they were asked for first.
    pub fn fields(self) -> Vec<Field> {
        self.fields.into_inner()
    }

    /// Notes a key; what was said first of it stays, but for a text that turns out to be more.
    pub(super) fn note(&self, at: &[Step], key: &'static str, want: Want) {
        let mut fields = self.fields.borrow_mut();
        match fields.iter_mut().find(|f| f.key == key && f.at == at) {
            Some(old) if old.want == Want::Text => old.want = want,
            Some(old) => {
                if let (Want::Quantity(_, bounds @ None), Want::Quantity(_, some @ Some(_))) =
                    (&mut old.want, want)
                {
                    *bounds = some;
                }
            }
            None => fields.push(Field { at: at.to_vec(), key, want, needed: false }),
        }
    }

    /// Notes that a key is needed.
    pub(super) fn need(&self, at: &[Step], key: &'static str) {
        let mut fields = self.fields.borrow_mut();
        if let Some(field) = fields.iter_mut().find(|f| f.key == key && f.at == at) {
            field.needed = true;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::doc::{File, visit};

    fn form(text: &str) -> Vec<Field> {
        visit::form(&File { name: "visits/2026-11-12/visit.toml".to_owned(), text: text.to_owned() })
    }

    fn names(at: &[&str]) -> Vec<Step> {
        at.iter().map(|n| Step::Name((*n).to_owned())).collect()
    }

    #[test]
    fn a_reader_tells_its_keys_with_quantity_bounds_words_and_need() {
        let all = form("format = 1\ndate = '2026-11-12'\n[test.wall]\nkind = 'zone pressures'\n");
        let at = names(&["test", "wall", "as_found"]);
        let pressure = all.iter().find(|f| f.at == at && f.key == "house_zone").unwrap();
        assert_eq!(pressure.want, Want::Quantity(Quantity::Pressure, Some((-300.0, 300.0))));
        let mut opened = names(&["test", "wall", "opened"]);
        opened.push(Step::New);
        let between = all.iter().find(|f| f.at == opened && f.key == "between").unwrap();
        assert_eq!(between.want, Want::Choice(vec!["house-zone", "zone-outdoors"]));
        assert!(between.needed);
        assert!(all.iter().any(|f| f.at == names(&["hazards", "mould"]) && f.key == "area"));
    }

    #[test]
    fn what_is_asked_hangs_on_what_was_written() {
        let keys = |method: &str| -> Vec<&'static str> {
            let text = format!("[test.flow]\nkind = 'handler flow'\nmethod = '{method}'\n");
            let here = names(&["test", "flow"]);
            form(&text).into_iter().filter(|f| f.at == here).map(|f| f.key).collect()
        };
        assert!(keys("flow plate").contains(&"plate_flows") && !keys("flow plate").contains(&"heat"));
        assert!(!keys("temperature rise").contains(&"plate_flows"));
    }

    #[test]
    fn every_kind_of_test_has_a_form() {
        for (kind, _) in crate::doc::field::KINDS {
            let all = form(&format!("[test.one]\nkind = '{kind}'\n"));
            let own = all.iter().filter(|f| f.at.starts_with(&names(&["test", "one"])));
            assert!(own.count() >= 4, "{kind}");
        }
    }
}
