//! A mapping and what came of it in plain words.

use super::guess::Why;
use super::job::Proposal;
use super::mapping::{DELIMITERS, Kind, Mapping, quantity_key};
use super::read::Reading;
use super::time::{Clock, FORMS, stamp};
use super::write::Written;
use engine::diag::Arg;
use engine::series::quality::Flag;
use report::words::Words;

/// Lines for the top of a series.
pub(crate) fn head(
    proposal: &Proposal,
    mapping: &Mapping,
    hash: &str,
    offset_s: i32,
    words: &Words,
) -> Vec<String> {
    let name = proposal.file.rsplit(['/', '\\']).next().unwrap_or(&proposal.file);
    let mut out = vec![words.text(
        "intake-head-from",
        &[("file", name.into()), ("instrument", proposal.instrument.as_str().into()), ("hash", hash.into())],
    )];
    if !mapping.zone.is_empty() {
        out.push(words.text("intake-head-zone", &[("zone", mapping.zone.as_str().into())]));
    }
    out.push(words.text("intake-head-clock", &[("clock", Clock::Fixed(offset_s).write().into())]));
    for d in &mapping.derived {
        let from = mapping.columns.get(d.from).map_or("", |c| c.name.as_str());
        let how = match &d.correction {
            engine::series::correct::Correction::Particles(p) => p.source,
            engine::series::correct::Correction::Pressure { .. } => "pressure",
            engine::series::correct::Correction::TwoPoint { .. } => "two points",
            engine::series::correct::Correction::Zero { .. } => "zero",
        };
        out.push(words.text(
            "intake-head-derived",
            &[("name", d.name.as_str().into()), ("from", from.into()), ("how", how.into())],
        ));
    }
    out
}

/// The mapping, the first rows as understood, and what is asked.
pub(crate) fn proposal(p: &Proposal, goes: bool, words: &Words) -> String {
    let mut out = String::new();
    let mut line = |key: &str, args: &[(&str, Arg)]| {
        out.push_str(&words.text(key, args));
        out.push('\n');
    };
    line("intake-file", &[("file", p.file.as_str().into()), ("instrument", p.instrument.as_str().into())]);
    let Some(m) = &p.mapping else { return out };
    if p.kept {
        line("intake-kept", &[("mapping", format!("intake/{}.toml", p.instrument).into())]);
    }
    match &m.kind {
        Kind::Table { delimiter, header_row, first_row, .. } => {
            let name = DELIMITERS.iter().find(|(_, d)| d == delimiter).map_or("comma", |(n, _)| n);
            let args = [
                ("delimiter", name.into()),
                ("header", header_row.to_string().into()),
                ("first", first_row.to_string().into()),
                ("decimal", if m.decimal == ',' { "comma" } else { "point" }.into()),
            ];
            line("intake-table", &args);
        }
        Kind::JsonLines => line("intake-json-lines", &[]),
        Kind::SenMl => line("intake-senml", &[]),
        Kind::BtHome { payload, .. } => line("intake-bthome", &[("payload", payload.as_str().into())]),
    }
    for (key, args) in &p.looked.reasons {
        line(key, args);
    }
    if m.kind != Kind::SenMl {
        let form = FORMS.iter().find(|(_, f)| *f == m.time.form).map_or("", |(n, _)| n);
        // What is asked below is not told as known.
        let asked = |id: &str| p.looked.questions.iter().any(|q| q.id == id);
        let form = if asked("date-order") { "" } else { form };
        let clock = if asked("clock") { String::new() } else { m.time.clock.write() };
        line(
            "intake-time",
            &[("from", m.time.from.join(" + ").into()), ("form", form.into()), ("clock", clock.into())],
        );
    }
    for c in &m.columns {
        let seen = p.looked.columns.iter().find(|s| s.name.as_deref() == Some(c.name.as_str()));
        let why = match seen.and_then(|s| s.why.as_ref()) {
            Some(Why::Written) => "written",
            Some(Why::Values) => "values",
            Some(Why::Asked) => "asked",
            None => "mapping",
        };
        line(
            "intake-column",
            &[
                ("from", c.from.as_str().into()),
                ("name", c.name.as_str().into()),
                ("quantity", format!("quantity-{}", quantity_key(c.quantity)).into()),
                ("unit", c.unit.symbol.into()),
                ("why", why.into()),
            ],
        );
    }
    for left in p.looked.columns.iter().filter(|s| s.name.is_none()) {
        let time = m.time.from.contains(&left.from);
        if !time {
            let args = [("from", left.from.as_str().into()), ("example", left.example.as_str().into())];
            line("intake-left-out", &args);
        }
    }
    if !p.first.is_empty() {
        line("intake-first-rows", &[]);
    }
    for row in &p.first {
        let mut text = format!("  {}", row.time);
        for (column, value) in m.columns.iter().zip(&row.values) {
            let value = value.map_or_else(|| words.say("intake-none"), |v| engine::text::digits(v, 6));
            text.push_str(&format!("   {} {value} {}", column.name, column.unit.symbol));
        }
        out.push_str(text.trim_end());
        out.push('\n');
    }
    for q in &p.looked.questions {
        let kind = q.id.split('.').next().unwrap_or("");
        let found = [("found", q.found.as_str().into()), ("id", q.id.as_str().into())];
        out.push_str(&words.text(&format!("intake-ask-{kind}"), &found));
        out.push('\n');
        for choice in &q.choices {
            let args = [("id", q.id.as_str().into()), ("choice", choice.as_str().into())];
            out.push_str("  ");
            out.push_str(&words.text("intake-answer", &args));
            out.push('\n');
        }
        if q.choices.is_empty() {
            let args = [("id", q.id.as_str().into()), ("choice", "2026-11-12 22:05".into())];
            out.push_str("  ");
            out.push_str(&words.text("intake-answer", &args));
            out.push('\n');
        }
    }
    if !goes {
        let key = if p.looked.questions.is_empty() { "intake-approve" } else { "intake-answer-first" };
        out.push_str(&words.say(key));
        out.push('\n');
    }
    out
}

/// What was read and written.
pub(crate) fn made(p: &Proposal, reading: &Reading, written: &Written, words: &Words) -> String {
    let mut out = String::new();
    let mut line = |key: &str, args: &[(&str, Arg)]| {
        out.push_str(&words.text(key, args));
        out.push('\n');
    };
    let when = |ms: i64| {
        let mut text = String::new();
        stamp(ms, 0, &mut text);
        Arg::Text(text)
    };
    let (from, to) = reading.time_ms.unwrap_or((0, 0));
    line(
        "intake-made",
        &[
            ("series", p.series.as_deref().unwrap_or("").into()),
            ("rows", written.rows.into()),
            ("from", when(from)),
            ("to", when(to)),
        ],
    );
    let rejected = reading.rejects.total() + written.rejects.total();
    if rejected > 0 {
        line("intake-rejected", &[("count", rejected.into())]);
    }
    let columns = p.mapping.iter().flat_map(|m| &m.columns);
    for (column, doubts) in columns.zip(&written.doubts) {
        let counts: Vec<String> = Flag::ALL
            .into_iter()
            .map(|f| (f, doubts.count(f)))
            .filter(|(_, n)| *n > 0)
            .map(|(f, n)| {
                words.text(&format!("intake-flag-{}", f.key().replace('_', "-")), &[("count", n.into())])
            })
            .collect();
        if !counts.is_empty() {
            line(
                "intake-flags",
                &[("column", column.name.as_str().into()), ("flags", counts.join(", ").into())],
            );
        }
    }
    out
}
