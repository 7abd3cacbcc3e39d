//! The table of readings: comma-separated values (RFC 4180), UTF-8, a header, lines that end in CR LF.
//!
//! Spreadsheets take a cell that begins with `=`, `+`, `-`, `@`, a tab or a carriage return for a formula
//! and may run it. Texts come from people and may begin with anything, so such a text gets one `'` in
//! front; so does a text that begins with `'` itself, so that taking one `'` away gives every text back.
//! Numbers are numbers: `-50.1` stays, because nothing but digits, sign, point and exponent is ever written
//! there.

use super::readings::Taken;

/// The columns, in their order.
pub(super) const COLUMNS: [&str; 20] = [
    "visit",
    "date",
    "time",
    "test",
    "kind",
    "item",
    "number",
    "quantity",
    "value",
    "unit",
    "basis",
    "below",
    "feels",
    "compared_with",
    "of",
    "instrument",
    "serial",
    "setup",
    "note",
    "document",
];

/// A text as a cell: guarded against formulas, quoted where it has to be.
pub(super) fn cell(text: &str) -> String {
    let guarded = match text.chars().next() {
        Some('=' | '+' | '-' | '@' | '\t' | '\r' | '\'') => format!("'{text}"),
        _ => text.to_owned(),
    };
    if guarded.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", guarded.replace('"', "\"\""))
    } else {
        guarded
    }
}

/// The whole table.
pub(super) fn write(readings: &[Taken]) -> String {
    let mut out = COLUMNS.join(",") + "\r\n";
    for r in readings {
        let quantity = serde_json::to_value(r.quantity).ok().and_then(|v| v.as_str().map(str::to_owned));
        let number = if r.number == 0 { String::new() } else { r.number.to_string() };
        // The shortest digits that give the same number again.
        let value = format!("{}", r.value);
        let below = if r.below { "true" } else { "false" };
        let cells = [
            cell(&r.visit),
            cell(&r.date),
            cell(&r.time),
            cell(&r.test),
            cell(&r.kind),
            cell(&r.item),
            number,
            cell(&quantity.unwrap_or_default()),
            value,
            cell(r.ucum),
            cell(&r.basis),
            below.to_owned(),
            cell(&r.feels),
            cell(&r.compared_with),
            cell(&r.of),
            cell(&r.instrument),
            cell(&r.serial),
            cell(&r.setup),
            cell(&r.note),
            cell(&format!("{}#{}", r.span.file, r.span.start)),
        ];
        out += &cells.join(",");
        out += "\r\n";
    }
    out
}
