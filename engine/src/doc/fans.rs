//! Which column of an envelope test belongs to which of its fans.
//!
//! The first fan's flow stands in `fan` or, as raw pressure, in `fan-pressure`; the second's in
//! `fan-2` or `fan-pressure-2`, and so on, in the order of `flow_with`. Where a fan has several ranges
//! with a calibration each, `range`, `range-2` and so on name the one that was used.

use super::read::Grid;
use super::visit::{EnvelopeTest, FlowBasis, Instrument, TestRun, Visit};
use super::{Sink, Sp};
use crate::diag::{Diagnostic, code};

/// Columns that belong to no fan: the pressure of the house, its spread, and how long it was averaged.
const OTHERS: [&str; 3] = ["house", "house-sd", "seconds"];

/// The column of a test's stations that holds the readings of one fan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FanColumn {
    /// Place among the columns.
    pub at: usize,
    /// Whether it holds pressures in the fan (Pa) instead of flows (m3/s).
    pub holds_pressure: bool,
    /// Place of the column that names the fan's range.
    pub range_at: Option<usize>,
}

/// Name of the column of a fan, from 1.
fn name(fan: usize, pressure: bool) -> String {
    let stem = if pressure { "fan-pressure" } else { "fan" };
    if fan == 1 { stem.to_owned() } else { format!("{stem}-{fan}") }
}

/// Number of the fan whose ranges a column names.
fn parse_range(column: &str) -> Option<usize> {
    match column.strip_prefix("range")? {
        "" => Some(1),
        rest => rest.strip_prefix('-')?.parse().ok(),
    }
}

/// Which of the instrument's calibrations holds for a row; nothing where that is not said.
pub fn range(instrument: Option<&Instrument>, column: &FanColumn, grid: &Grid, row: usize) -> Option<usize> {
    let ranges = instrument.map_or(&[][..], |i| &i.calibrations);
    let shown = grid.rows.get(row).and_then(|r| r.value.get(column.at)).copied();
    let named = column.range_at.and_then(|at| grid.text(row, at)).filter(|text| !text.value.is_empty());
    match named {
        Some(text) => ranges.iter().position(|c| is_named(c.name.as_ref(), text)),
        // A fan that was sealed had no range.
        None => (ranges.len() < 2 || shown == Some(0.0)).then_some(0),
    }
}

fn is_named(name: Option<&Sp<String>>, text: &Sp<String>) -> bool {
    name.is_some_and(|n| n.value.trim() == text.value)
}

/// Number of the fan and whether the column holds pressures; nothing for another column.
fn parse(column: &str) -> Option<(usize, bool)> {
    let rest = column.strip_prefix("fan")?;
    let (rest, pressure) = rest.strip_prefix("-pressure").map_or((rest, false), |r| (r, true));
    if rest.is_empty() {
        return Some((1, pressure));
    }
    Some((rest.strip_prefix('-')?.parse().ok()?, pressure))
}

impl Visit {
    /// The instrument of this name.
    pub fn instrument(&self, name: &str) -> Option<&Instrument> {
        self.instruments.iter().find(|i| i.name.value == name)
    }

    /// For each fan of a run of a test of this visit, in the order of `flow_with`, where its readings
    /// stand. A test that names no instrument has one fan. The list is empty where a fan has no column.
    pub fn fan_columns(&self, test: &EnvelopeTest, run: &TestRun) -> Vec<FanColumn> {
        let columns = run.stations.as_ref().map_or(&[][..], |g| &g.columns);
        let fans = if test.flow_with.is_empty() { 1 } else { test.flow_with.len() };
        let column = |fan: usize| {
            let instrument = test.flow_with.get(fan - 1).and_then(|n| self.instrument(&n.value));
            let shows_pressure = instrument.is_some_and(|i| i.shows == FlowBasis::FanPressure);
            // Where both are written down, the one that the instrument shows.
            [shows_pressure, !shows_pressure].into_iter().find_map(|holds_pressure| {
                let at = columns.iter().position(|c| *c == name(fan, holds_pressure))?;
                let range_at = columns.iter().position(|c| parse_range(c) == Some(fan));
                Some(FanColumn { at, holds_pressure, range_at })
            })
        };
        (1..=fans).map(column).collect::<Option<Vec<_>>>().unwrap_or_default()
    }
}

/// Whether every fan of the test has its column and every column its fan; what is wrong goes to the sink.
/// A column of another kind than its instrument shows is said and kept.
pub(super) fn check(visit: &Visit, test: &EnvelopeTest, sink: &Sink) -> bool {
    let say = |d: Diagnostic| sink.borrow_mut().push(d.arg("test", test.name.value.as_str()));
    for (at, fan) in test.flow_with.iter().enumerate() {
        if test.flow_with[..at].iter().any(|other| other.value == fan.value) {
            say(Diagnostic::error(code::V109).at(fan.span.clone()).arg("name", fan.value.as_str()));
        }
    }
    // Half a flow is no result: one run that does not fit takes the test with it.
    // All are looked at, so that every mistake is said.
    test.runs.iter().filter(|run| !check_run(visit, test, run, sink)).count() == 0
}

fn check_run(visit: &Visit, test: &EnvelopeTest, run: &TestRun, sink: &Sink) -> bool {
    let say = |d: Diagnostic| sink.borrow_mut().push(d.arg("test", test.name.value.as_str()));
    let Some(grid) = &run.stations else { return true };
    let named = grid.columns.iter().filter(|c| parse_range(c).is_none());
    let read: Vec<Option<(usize, bool)>> = named.clone().map(|c| parse(c)).collect();
    // A misspelt header has been reported; it may be the one that is missed here.
    if named.zip(&read).any(|(c, r)| r.is_none() && !OTHERS.contains(&c.as_str())) {
        return true;
    }
    let found: Vec<(usize, bool)> = read.into_iter().flatten().collect();
    let fans = test.flow_with.len();
    let pairs = |fan| [false, true].map(|kind| found.iter().filter(|f| **f == (fan, kind)).count());
    let fits = |fan: usize| {
        let [flows, pressures] = pairs(fan);
        flows <= 1 && pressures <= 1 && flows + pressures > 0
    };
    // One fan may be read without an instrument.
    let untold = fans == 0 && (found.is_empty() || (fits(1) && found.iter().all(|f| f.0 == 1)));
    if !(untold || (1..=fans).all(fits) && found.iter().all(|f| (1..=fans).contains(&f.0))) {
        let shows_pressure = |fan: usize| {
            let instrument = visit.instrument(&test.flow_with[fan - 1].value);
            instrument.is_some_and(|i| i.shows == FlowBasis::FanPressure)
        };
        let wanted: Vec<String> = (1..=fans).map(|fan| name(fan, shows_pressure(fan))).collect();
        let columns: Vec<String> = found.iter().map(|(fan, pressure)| name(*fan, *pressure)).collect();
        say(Diagnostic::error(code::V107)
            .at(grid.columns_span.clone())
            .arg("fans", fans)
            .arg("columns", columns.len())
            .arg("found", columns.join(", "))
            .arg("wanted", wanted.join(", ")));
        return false;
    }
    for column in grid.columns.iter().filter(|c| parse_range(c).is_some_and(|fan| fan > fans)) {
        say(Diagnostic::error(code::V113)
            .at(grid.columns_span.clone())
            .arg("column", column.as_str())
            .arg("fans", fans));
    }
    for (fan, column) in visit.fan_columns(test, run).iter().enumerate() {
        let Some(instrument) = test.flow_with.get(fan).and_then(|n| visit.instrument(&n.value)) else {
            continue;
        };
        if column.holds_pressure != (instrument.shows == FlowBasis::FanPressure) {
            say(Diagnostic::error(code::V108)
                .at(grid.columns_span.clone())
                .arg("column", name(fan + 1, column.holds_pressure))
                .arg("wanted", name(fan + 1, !column.holds_pressure))
                .arg("name", instrument.label.as_str()));
        }
        check_ranges(instrument, column, grid, &say);
    }
    true
}

/// Whether every row says which calibration holds for it.
fn check_ranges(instrument: &Instrument, column: &FanColumn, grid: &Grid, say: &impl Fn(Diagnostic)) {
    if !column.holds_pressure {
        return;
    }
    let names = || instrument.calibrations.iter().filter_map(|c| c.name.as_ref()).map(|n| n.value.as_str());
    for (at, row) in grid.rows.iter().enumerate() {
        if range(Some(instrument), column, grid, at).is_some() {
            continue;
        }
        match column.range_at.and_then(|c| grid.text(at, c)).filter(|text| !text.value.is_empty()) {
            Some(text) => say(text.unknown("range", names())),
            None => say(Diagnostic::error(code::V111)
                .at(row.span.clone())
                .arg("row", at + 1)
                .arg("name", instrument.label.as_str())
                .arg("choices", names().collect::<Vec<_>>().join(", "))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::doc::File;

    fn read(flow_with: &str, columns: &str, row: &str) -> (Visit, Vec<(&'static str, String)>) {
        let text = format!(
            "format = 1\ndate = '2026-11-12'\n
[instrument.a]\nmeasures = 'air flow'\naccuracy = '3 %'\nshows = 'flow at actual density'\n
[instrument.b]\nmeasures = 'air flow'\naccuracy = '3 %'\nshows = 'fan pressure'\n
calibration = {{ k = '100 cfm', exponent = 0.5 }}\n
[test.t]\nstandard = 'ISO 9972'\ndirection = 'depressurise'\n{flow_with}\n
stations = {{ columns = {columns}, rows = [{row}] }}\n"
        );
        let sink = Sink::default();
        let visit =
            crate::doc::visit::read(&File { name: "visits/a/visit.toml".into(), text: text.clone() }, &sink);
        let place = |d: &Diagnostic| {
            d.spans.first().map_or("", |s| text.get(s.start..s.end).unwrap_or("")).to_owned()
        };
        let said = sink.into_inner().list.iter().map(|d| (d.code.0, place(d))).collect();
        (visit, said)
    }

    #[test]
    fn columns_belong_to_the_fans_in_their_order() {
        let (visit, said) =
            read("flow_with = ['a', 'b']", "['fan-pressure-2 Pa', 'house Pa', 'fan cfm']", "[80, -50, 900]");
        assert_eq!(said, []);
        let [first, second] = visit.fan_columns(&visit.tests[0], &visit.tests[0].runs[0])[..] else {
            panic!("{visit:?}")
        };
        assert_eq!((first.at, first.holds_pressure), (2, false));
        assert_eq!((second.at, second.holds_pressure), (0, true));
        // Both written down: the one that the instrument shows.
        let (visit, said) =
            read("flow_with = 'b'", "['house Pa', 'fan cfm', 'fan-pressure Pa']", "[-50, 900, 80]");
        assert_eq!(said, []);
        let columns = visit.fan_columns(&visit.tests[0], &visit.tests[0].runs[0]);
        assert_eq!(columns, [FanColumn { at: 2, holds_pressure: true, range_at: None }]);
        // A fan without an instrument.
        let (visit, said) = read("", "['house Pa', 'fan cfm']", "[-50, 900]");
        assert_eq!(said, []);
        assert_eq!(visit.fan_columns(&visit.tests[0], &visit.tests[0].runs[0]).len(), 1);
    }

    #[test]
    fn columns_that_do_not_fit_the_fans_are_named() {
        let cases = [
            ("flow_with = ['a', 'b']", "['house Pa', 'fan cfm']"),
            ("flow_with = 'a'", "['house Pa', 'fan cfm', 'fan-2 cfm']"),
            ("flow_with = ['a', 'b']", "['house Pa', 'fan cfm', 'fan-pressure-3 Pa']"),
            ("flow_with = ['a', 'b']", "['house Pa', 'fan cfm', 'fan cfm']"),
            ("flow_with = 'a'", "['house Pa', 'fan cfm', 'fan cfm']"),
            ("flow_with = 'a'", "['house Pa']"),
            ("", "['house Pa', 'fan cfm', 'fan-2 cfm']"),
            ("flow_with = []", "['house Pa', 'fan-2 cfm']"),
        ];
        for (flow_with, columns) in cases {
            let (visit, said) = read(flow_with, columns, "");
            assert_eq!(said, [("V107", columns.to_owned())], "{flow_with} {columns}");
            assert!(visit.tests.is_empty(), "half a flow is no result");
        }
        let (_, said) = read("flow_with = ['a', 'b']", "['house Pa', 'fan cfm', 'fan-2 cfm']", "");
        assert_eq!(said, [("V108", "['house Pa', 'fan cfm', 'fan-2 cfm']".to_owned())]);
        let (_, said) = read("flow_with = ['a', 'a']", "['house Pa', 'fan cfm', 'fan-2 cfm']", "");
        assert_eq!(said, [("V109", "'a'".to_owned())]);
        // A header that is not understood is said once.
        for column in ["fan-1 cfm", "fan-02 cfm", "fan2 cfm", "fan-two cfm", "fna cfm"] {
            let (_, said) =
                read("flow_with = ['a', 'b']", &format!("['house Pa', 'fan cfm', '{column}']"), "");
            assert!(!said.is_empty() && said[0].0 == "T007", "{column}: {said:?}");
        }
        let (_, said) = read("flow_with = ['a', 3]", "['house Pa', 'fan cfm']", "");
        assert_eq!(said[0].0, "T004");
    }

    #[test]
    fn a_station_names_the_range_of_its_fan() {
        let ranges = "[instrument.r]\nmeasures = 'air flow'\nshows = 'fan pressure'\n
[instrument.r.range.'large ring']\nk = '100 cfm'\nexponent = 0.5\nspan = '20 to 400 Pa'\n
[instrument.r.range.small]\ntable = { columns = ['pressure Pa', 'flow cfm'], rows = [[5, 40], [80, 160]] }\n";
        let read_ranges = |columns: &str, rows: &str| {
            let text = format!(
                "format = 1\ndate = '2026-11-12'\n{ranges}
[test.t]\nstandard = 'ISO 9972'\ndirection = 'depressurise'\nflow_with = 'r'\n
stations = {{ columns = {columns}, rows = [{rows}] }}\n"
            );
            let sink = Sink::default();
            let visit = crate::doc::visit::read(&File { name: "visits/a/visit.toml".into(), text }, &sink);
            let said: Vec<&str> = sink.into_inner().list.iter().map(|d| d.code.0).collect();
            (visit, said)
        };
        let columns = "['house Pa', 'fan-pressure Pa', 'range']";
        let (visit, said) = read_ranges(columns, "[-50, 90, 'large ring'], [-20, 30, 'small']");
        assert_eq!(said, [""; 0]);
        let (test, fan) = (&visit.tests[0], &visit.instruments[0]);
        assert_eq!(fan.accuracy, None, "an accuracy that nobody knows is not needed to read");
        let grid = test.runs[0].stations.as_ref().unwrap();
        let column = visit.fan_columns(test, &test.runs[0])[0];
        assert_eq!([0, 1].map(|row| range(Some(fan), &column, grid, row)), [Some(0), Some(1)]);
        let flows = fan.calibrations_at_density();
        let cfm = 0.3048_f64.powi(3) / 60.0;
        assert!((flows[0].flow_m3_s(100.0).unwrap() / cfm - 1000.0).abs() < 1e-9);
        assert!((flows[1].flow_m3_s(20.0).unwrap() / cfm - 80.0).abs() < 1e-9);
        assert!(flows[0].flow_m3_s(401.0).is_err() && flows[1].flow_m3_s(81.0).is_err());
        assert_eq!(read_ranges(columns, "[-50, 90, 'larg ring']").1, ["T011"]);
        assert_eq!(read_ranges(columns, "[-50, 90, '']").1, ["V111"]);
        assert_eq!(read_ranges("['house Pa', 'fan-pressure Pa']", "[-50, 90]").1, ["V111"]);
        let two = "['house Pa', 'fan-pressure Pa', 'range', 'range-2']";
        assert_eq!(read_ranges(two, "[-50, 90, 'small', 'small']").1, ["V113"]);
        assert!(read_ranges(columns, "[-50, 90, 3]").1.contains(&"T004"));
    }

    #[test]
    fn runs_follow_each_other_and_share_what_was_read_between_them() {
        let text = "format = 1\ndate = '2026-11-12'\n
[test.t]\nstandard = 'ISO 9972'\ndirection = 'both'\nbaseline_before = ['Pa', 1]\nbaseline_after = ['Pa', 2]\n
stations = { columns = ['house Pa', 'fan cfm'], rows = [[-50, 900], [50, 950], [-20, 500]] }\n
[[test.t.run]]\ndirection = 'pressurise'\nbaseline_after = ['Pa', 3]\n
stations = { columns = ['house Pa', 'fan cfm'], rows = [[49, 900]] }\n
[test.o]\nstandard = 'ISO 9972'\nreads = 'outdoors minus house'\ndirection = 'both'\n
stations = { columns = ['house Pa', 'fan cfm'], rows = [[50, 900]] }\n";
        let sink = Sink::default();
        let file = File { name: "visits/a/visit.toml".into(), text: text.into() };
        let visit = crate::doc::visit::read(&file, &sink);
        assert!(sink.into_inner().list.is_empty());
        use crate::doc::visit::Direction::{Depressurise, Pressurise};
        let test = &visit.tests[0];
        let rows = |r: &TestRun| (r.direction, r.stations.as_ref().unwrap().rows.len());
        let runs: Vec<_> = test.runs.iter().map(rows).collect();
        assert_eq!(runs, [(Depressurise, 2), (Pressurise, 1), (Pressurise, 1)]);
        assert_eq!(test.baselines_of_runs(), [[Some(0), Some(1)], [Some(0), Some(1)], [Some(1), Some(2)]]);
        assert_eq!(visit.tests[1].runs.iter().map(rows).collect::<Vec<_>>(), [(Depressurise, 1)]);
    }
}
