//! Edits of documents as operations, and three-way merges of them.
//!
//! People write documents as text; a program changes them one field at a time. An [`Operation`]
//! names a field and what becomes of it; [`apply()`] works it into the text and leaves everything
//! else as it was written: comments, order, spaces. [`diff()`] finds the operations between two
//! texts, [`merge()`] brings the edits of two people together: of different fields both count, of
//! the same field neither is lost, because a [`Conflict`] carries both.
//!
//! Pure: text in, text out. Whoever keeps documents (a store on a desk, a database on a phone)
//! keeps revisions and calls this.
//!
//! Fields are the values under keys, whole lists included; a comment above or behind a field is a
//! field of its own. The entries of `[[lists of tables]]` are told by `name` or `id`, by equal
//! text, and last by their order. The order of keys carries no meaning and is no edit. A document
//! other than TOML is one field.

mod apply;
mod diff;
mod merge;
mod place;
#[cfg(test)]
mod tests;

pub use apply::apply;
pub use diff::diff;
pub use merge::{Conflict, Merged, merge};
pub use place::{key_path, key_text};

use serde::{Deserialize, Serialize};

/// One step from a table to what it holds.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(untagged)]
pub enum Step {
    /// An entry of a list of tables, from 0.
    Entry(usize),
    /// A key.
    Name(String),
}

/// One edit of one field of one document.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
pub struct Operation {
    /// The document's name within the job, such as `house.toml`.
    pub path: String,
    /// Where in it; empty for the whole document.
    #[serde(default)]
    pub key: Vec<Step>,
    /// What becomes of it.
    #[serde(flatten)]
    pub change: Change,
}

/// What becomes of a field.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(tag = "do", rename_all = "kebab-case")]
pub enum Change {
    /// The key has this value, old or new; tables on the way are made.
    Set {
        /// As it stands in TOML: `"9600 ft3"` with its quotes, `4`, `["main", "attic"]`.
        value: String,
    },
    /// The key, the table or the entry goes, with the comment right above it.
    Remove,
    /// A new table under a key, or a new entry before the entry of that number.
    Insert {
        /// The table's lines as TOML, without its own header.
        text: String,
        /// What stands above its header: empty lines and comments.
        #[serde(default)]
        before: Option<String>,
    },
    /// The comment above or behind a field.
    Note {
        /// Lines above, as written; nothing to leave them.
        #[serde(default)]
        before: Option<String>,
        /// What follows on its line, as written; nothing to leave it.
        #[serde(default)]
        behind: Option<String>,
    },
    /// The whole document is this text.
    Write {
        /// All of it.
        text: String,
    },
}

/// Why an edit could not be made.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum EditError {
    /// The document is no TOML that can be read.
    #[error("line {line}: {what}")]
    Unreadable {
        /// First line of the trouble, from 1.
        line: usize,
        /// What the reader of TOML says.
        what: String,
    },
    /// There is nothing under this key.
    #[error("`{key}` is not there")]
    Missing {
        /// The key asked for.
        key: String,
    },
    /// There is something under this key already.
    #[error("`{key}` is there already")]
    Taken {
        /// The key asked for.
        key: String,
    },
    /// A value where a table is needed, or a table where a value is.
    #[error("`{key}` is of another kind")]
    Kind {
        /// The key asked for.
        key: String,
    },
    /// The text given for a value or a table is no TOML.
    #[error("`{value}` cannot be read as TOML: {what}")]
    Value {
        /// The text.
        value: String,
        /// What the reader of TOML says.
        what: String,
    },
    /// A key path that cannot be read.
    #[error("`{text}` is no key")]
    Key {
        /// The text.
        text: String,
    },
}

/// Whether a document's fields can be told apart.
fn has_fields(path: &str) -> bool {
    path.ends_with(".toml")
}
