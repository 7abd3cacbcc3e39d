//! Diagnostics as plain text for a terminal or a log.
//!
//! ```text
//! error[U004] house.toml:12:11: the unit in `50 cfn` is not known
//!    12 | flow = "50 cfn"
//!       |        ^^^^^^^^
//!   because: units that fit here: cfm, L/s
//!   help: did you mean `cfm`?
//! ```
//!
//! Colour is an extra; every line reads the same without it.

use crate::words::Words;
use engine::diag::{Diagnostic, Diagnostics, Severity, Span};

/// How to render.
#[derive(Clone, Copy, Debug, Default)]
pub struct Style {
    /// Whether to add terminal colours.
    pub colour: bool,
}

impl Style {
    fn paint(self, code: &str, text: &str) -> String {
        if self.colour { format!("\u{1b}[{code}m{text}\u{1b}[0m") } else { text.to_owned() }
    }
}

/// The text of a file by its name within the job folder, where it is at hand.
pub trait Sources {
    /// The whole text of `file`.
    fn text(&self, file: &str) -> Option<&str>;
}

impl<F: Fn(&str) -> Option<&'static str>> Sources for F {
    fn text(&self, file: &str) -> Option<&str> {
        self(file)
    }
}

impl Sources for [(&str, &str)] {
    fn text(&self, file: &str) -> Option<&str> {
        self.iter().find(|(name, _)| *name == file).map(|(_, text)| *text)
    }
}

impl Sources for std::collections::BTreeMap<String, String> {
    fn text(&self, file: &str) -> Option<&str> {
        self.get(file).map(String::as_str)
    }
}

/// One diagnostic, ending in a line break.
pub fn render(
    diagnostic: &Diagnostic,
    sources: &(impl Sources + ?Sized),
    words: &Words,
    style: Style,
) -> String {
    let message = words.diagnostic(diagnostic);
    let colour = match diagnostic.severity {
        Severity::Error => "1;31",
        Severity::Warning => "1;33",
        Severity::Note => "1;36",
    };
    let head = format!("{}[{}]", words.severity(diagnostic.severity), diagnostic.code);
    let mut out = style.paint(colour, &head);
    if let Some(span) = diagnostic.spans.first() {
        out += &format!(" {}:", place(span, sources.text(&span.file)));
    } else {
        out.push(':');
    }
    out += &format!(" {}\n", style.paint("1", &clean(&message.text)));
    for (i, span) in diagnostic.spans.iter().enumerate() {
        if let Some(text) = sources.text(&span.file) {
            if i > 0 {
                out += &format!("  {} {}\n", words.say("terminal-and"), place(span, Some(text)));
            }
            out += &excerpt(span, text, style, colour);
        }
    }
    for (label, line) in
        [(words.say("terminal-because"), message.because), (words.say("terminal-help"), message.help)]
    {
        if let Some(line) = line {
            out += &format!("  {} {}\n", style.paint("1", &format!("{label}:")), clean(&line));
        }
    }
    out
}

/// All diagnostics, by place, with a line of counts at the end.
pub fn render_all(
    list: &Diagnostics,
    sources: &(impl Sources + ?Sized),
    words: &Words,
    style: Style,
) -> String {
    let list = list.clone().sorted().list;
    let mut out = String::new();
    for d in &list {
        out += &render(d, sources, words, style);
        out.push('\n');
    }
    let count = |s| list.iter().filter(|d| d.severity == s).count();
    if !list.is_empty() {
        out += &words.text(
            "terminal-count",
            &[
                ("errors", count(Severity::Error).into()),
                ("warnings", count(Severity::Warning).into()),
                ("notes", count(Severity::Note).into()),
            ],
        );
        out.push('\n');
    }
    out
}

fn place(span: &Span, text: Option<&str>) -> String {
    match text {
        Some(text) => {
            let (line, column) = span.line_column(text);
            format!("{}:{line}:{column}", clean(&span.file))
        }
        None => clean(&span.file),
    }
}

/// The source line with carets under the marked stretch.
fn excerpt(span: &Span, text: &str, style: Style, colour: &str) -> String {
    let (line_number, column) = span.line_column(text);
    let Some(line) = text.lines().nth(line_number - 1) else {
        return String::new();
    };
    let marked = text.get(span.start..span.end).unwrap_or("");
    let on_line = marked.lines().next().unwrap_or("").chars().count();
    let room = line.chars().count().saturating_sub(column - 1);
    let carets = on_line.clamp(1, room.max(1));
    // Tabs are widened in both lines, so that the carets stand under what they mark.
    let lead: String = line
        .chars()
        .take(column - 1)
        .map(|c| if c == '\t' { "    ".to_owned() } else { " ".repeat(width(c)) })
        .collect();
    let shown: String =
        line.chars().map(|c| if c == '\t' { "    ".to_owned() } else { clean(&c.to_string()) }).collect();
    let marked_width: usize = line.chars().skip(column - 1).take(carets).map(width).sum();
    let number = line_number.to_string();
    let gap = " ".repeat(number.len());
    format!(
        "  {number} | {shown}\n  {gap} | {lead}{}\n",
        style.paint(colour, &"^".repeat(marked_width.max(1)))
    )
}

/// Columns of a terminal a character takes: two for East Asian wide ones and pictures.
fn width(c: char) -> usize {
    match u32::from(c) {
        0x0300..=0x036f | 0x200b..=0x200f => 0,
        0x1100..=0x115f
        | 0x2e80..=0xa4cf
        | 0xac00..=0xd7a3
        | 0xf900..=0xfaff
        | 0xfe30..=0xfe6f
        | 0xff00..=0xff60
        | 0xffe0..=0xffe6
        | 0x1f300..=0x1faff => 2,
        _ => 1,
    }
}

/// Control characters from somebody's file must not steer the terminal.
fn clean(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::Language;
    use engine::diag::code;
    use engine::units::System;

    const HOUSE: &str = "format = 1\n[fan.bath]\n\tflow = \"50 cfn\"\nname = \"baño\"\n";

    fn unit_error() -> Diagnostic {
        let start = HOUSE.find("\"50 cfn\"").unwrap();
        Diagnostic::error(code::U004)
            .at(Span::new("house.toml", start..start + 8))
            .arg("found", "50 cfn")
            .arg("near", "cfm")
            .arg("wanted_units", "cfm, L/s")
    }

    #[test]
    fn the_marked_text_is_underlined() {
        let sources: &[(&str, &str)] = &[("house.toml", HOUSE)];
        let words = Words::new(Language::En, System::Ip);
        let text = render(&unit_error(), sources, &words, Style::default());
        let want = "error[U004] house.toml:3:9: the unit in `50 cfn` is not known\n  \
                    3 |     flow = \"50 cfn\"\n    |            ^^^^^^^^\n  \
                    because: units that fit here: cfm, L/s\n  help: did you mean `cfm`?\n";
        assert_eq!(text, want);
    }

    #[test]
    fn colour_adds_nothing_but_colour() {
        let sources: &[(&str, &str)] = &[("house.toml", HOUSE)];
        let words = Words::new(Language::Es, System::Ip);
        let plain = render(&unit_error(), sources, &words, Style::default());
        let painted = render(&unit_error(), sources, &words, Style { colour: true });
        let mut stripped = String::new();
        let mut rest = painted.as_str();
        while let Some((before, after)) = rest.split_once('\u{1b}') {
            stripped += before;
            rest = after.split_once('m').unwrap().1;
        }
        stripped += rest;
        assert_eq!(stripped, plain);
        assert!(plain.starts_with("error[U004] house.toml:3:9: la unidad"), "{plain}");
    }

    #[test]
    fn a_place_without_its_file_still_says_something() {
        let sources: &[(&str, &str)] = &[];
        let words = Words::new(Language::En, System::Ip);
        let text = render(&unit_error(), sources, &words, Style::default());
        assert!(text.starts_with("error[U004] house.toml: the unit"), "{text}");
        let past = Diagnostic::error(code::T001)
            .at(Span::new("a", 90..95))
            .arg("kind", "")
            .arg("detail", "\u{1b}[2J");
        let sources: &[(&str, &str)] = &[("a", "x")];
        assert!(!render(&past, sources, &words, Style::default()).contains('\u{1b}'));
    }

    #[test]
    fn many_are_counted() {
        let sources: &[(&str, &str)] = &[("house.toml", HOUSE)];
        let mut all = Diagnostics::default();
        all.push(unit_error());
        all.push(Diagnostic::warning(code::T010).arg("name", "attic"));
        let text = render_all(&all, sources, &Words::new(Language::En, System::Ip), Style::default());
        assert!(text.ends_with("1 error, 1 warning, 0 notes\n"), "{text}");
    }
}
