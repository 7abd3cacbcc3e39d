//! Reference data and where it comes from.

use serde::Deserialize;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// How a value came to be known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum Status {
    /// Read in a text that can be cited.
    #[serde(rename = "SEEN")]
    Seen,
    /// Recalled; never the only support of a subject.
    #[serde(rename = "MEMORY")]
    Memory,
    /// Worked out from a stated formula by other software than the engine.
    #[serde(rename = "COMPUTED")]
    Computed,
}

/// A tolerance of its own for one quantity.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Exception {
    /// Largest allowed difference: absolute in `unit`, or relative where there is none.
    pub tolerance: f64,
    /// Unit of an absolute tolerance, or what it is a share of.
    pub unit: Option<String>,
    /// Why this much.
    pub reason: String,
}

/// `SOURCE.toml`.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// Name of the folder.
    pub id: String,
    /// Full citation.
    pub citation: String,
    /// Edition, table, equation or page.
    pub edition: String,
    /// How the values got into the files.
    pub how: String,
    /// Units of the files.
    pub units: String,
    /// How the values came to be known.
    pub status: Status,
    /// Subjects that the values support.
    pub subjects: Vec<String>,
    /// Largest allowed relative difference.
    pub tolerance: f64,
    /// Why this much.
    pub tolerance_reason: String,
    /// Licence of the values.
    pub licence: String,
    /// Known disagreement, told in RESIDUALS.md.
    pub remark: Option<String>,
    /// Quantities with a tolerance of their own.
    #[serde(default)]
    pub exception: BTreeMap<String, Exception>,
    #[serde(skip)]
    folder: PathBuf,
}

/// The folder of all reference data.
pub fn data_folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data")
}

fn read(path: &Path) -> Result<String, String> {
    std::fs::read_to_string(path).map_err(|e| format!("{}: {e}", path.display()))
}

impl Source {
    /// Reads `data/<id>/SOURCE.toml`.
    pub fn load(id: &str) -> Result<Source, String> {
        let folder = data_folder().join(id);
        let path = folder.join("SOURCE.toml");
        let mut source: Source =
            toml::from_str(&read(&path)?).map_err(|e| format!("{}: {e}", path.display()))?;
        source.folder = folder;
        Ok(source)
    }

    /// A CSV file of this source.
    pub fn table(&self, file: &str) -> Result<Table, String> {
        let text = read(&self.folder.join(file))?;
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let fail = |e: csv::Error| format!("{}/{file}: {e}", self.id);
        let header = reader.headers().map_err(fail)?.iter().map(str::to_owned).collect();
        let rows: Result<Vec<Vec<String>>, String> = reader
            .records()
            .map(|r| r.map(|r| r.iter().map(str::to_owned).collect()).map_err(fail))
            .collect();
        Ok(Table { name: format!("{}/{file}", self.id), header, rows: rows? })
    }

    /// A JSON file of this source.
    pub fn json(&self, file: &str) -> Result<serde_json::Value, String> {
        let path = self.folder.join(file);
        serde_json::from_str(&read(&path)?).map_err(|e| format!("{}: {e}", path.display()))
    }
}

/// A CSV file; its first column names the case.
#[derive(Clone, Debug)]
pub struct Table {
    name: String,
    header: Vec<String>,
    rows: Vec<Vec<String>>,
}

/// One line of a table.
#[derive(Clone, Copy, Debug)]
pub struct Row<'a> {
    table: &'a Table,
    cells: &'a [String],
}

impl Table {
    /// Every line below the header.
    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|cells| Row { table: self, cells })
    }
}

impl<'a> Row<'a> {
    /// Name of the case.
    pub fn case(&self) -> &'a str {
        self.cells.first().map_or("", String::as_str)
    }

    /// The cell of this column.
    pub fn text(&self, column: &str) -> Result<&'a str, String> {
        let place = self.table.header.iter().position(|h| h == column);
        let cell = place.and_then(|p| self.cells.get(p));
        cell.map(String::as_str).ok_or_else(|| format!("{}: no column {column}", self.table.name))
    }

    /// The number in this column.
    pub fn number(&self, column: &str) -> Result<f64, String> {
        let text = self.text(column)?;
        text.parse().map_err(|_| format!("{}: {column} of {} is `{text}`", self.table.name, self.case()))
    }
}

/// The number at a path of keys and indices such as `OLS/q4_95/0`.
pub fn number_at(value: &serde_json::Value, path: &str) -> Result<f64, String> {
    value
        .pointer(&format!("/{path}"))
        .and_then(serde_json::Value::as_f64)
        .ok_or_else(|| format!("no number at {path}"))
}

/// The list of numbers at a path.
pub fn numbers_at(value: &serde_json::Value, path: &str) -> Result<Vec<f64>, String> {
    let list = value.pointer(&format!("/{path}")).and_then(serde_json::Value::as_array);
    let numbers = list.and_then(|l| l.iter().map(serde_json::Value::as_f64).collect::<Option<Vec<f64>>>());
    numbers.ok_or_else(|| format!("no list of numbers at {path}"))
}
