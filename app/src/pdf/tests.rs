//! What a job says stays text, and the typesetter sees nothing but the sheet.

use super::*;
use report::sheets::Head;
use report::view::{FieldTest, Letterhead};
use report::words::{Language, Words};
use typst::layout::{Frame, FrameItem};
use typst::syntax::{SyntaxKind, ast};

const HOSTILE: [&str; 9] = [
    "#read(\"/etc/passwd\")",
    "\\",
    "\\\"} + read(\"/etc/passwd\") + {\"",
    "*bold* _it_ $x^2$ = head",
    "// gone /* gone */",
    "#import \"@preview/a:1.0.0\"",
    "<label> @ref `raw` ~ -- ---",
    "\u{202e}left \u{7f}\u{1b}[31m\n\ttab",
    "]]}})) #let k = 0",
];

#[test]
fn a_literal_is_the_text_and_nothing_else() {
    for text in HOSTILE {
        let code = write::literal(text);
        let root = typst::syntax::parse_code(&code);
        assert!(root.errors_and_warnings().0.is_empty(), "{code}");
        let parts: Vec<_> = root.children().filter(|c| !c.kind().is_trivia()).collect();
        assert_eq!(parts.len(), 1, "{code}");
        assert_eq!(parts[0].kind(), SyntaxKind::Str);
        let said = parts[0].cast::<ast::Str<'_>>().unwrap().get();
        let plain: String =
            text.chars().map(|c| if c.is_control() && c != '\n' { '\u{fffd}' } else { c }).collect();
        assert_eq!(said.as_str(), plain);
    }
}

/// All text of a frame, in the order in which it is set.
fn said_in(frame: &Frame, out: &mut String) {
    for (_, item) in frame.items() {
        match item {
            FrameItem::Text(text) => out.push_str(&text.text),
            FrameItem::Group(group) => said_in(&group.frame, out),
            _ => {}
        }
    }
}

fn hostile_page() -> Page {
    let words = Words::new(Language::En, engine::units::System::Si);
    let all: Vec<String> = HOSTILE.iter().map(|s| (*s).to_owned()).collect();
    let head = Head {
        letterhead: Some(Letterhead { name: HOSTILE[0].into(), lines: all.clone(), logo: None }),
        title: HOSTILE[2].into(),
        lead: HOSTILE[8].into(),
        tester: HOSTILE[3].into(),
        ..Head::default()
    };
    let test = FieldTest {
        title: HOSTILE[5].into(),
        cautions: all.clone(),
        lead: all.clone(),
        figures: Vec::new(),
        checks: Vec::new(),
        notes: all,
    };
    report::html::field(&head, &[test], &words)
}

#[test]
fn hostile_words_are_printed_as_they_are_written() {
    let page = hostile_page();
    let (document, _) = set(&page, Paper::A4, "2026-11-12 10:00").unwrap();
    let mut text = String::new();
    document.pages().iter().for_each(|p| said_in(&p.frame, &mut text));
    let bare = |s: &str| {
        s.chars().filter(|c| !c.is_whitespace() && *c != '\u{200b}' && !c.is_control()).collect::<String>()
    };
    let text = bare(&text).replace('\u{fffd}', "");
    for words in HOSTILE {
        // Letters that turn the direction are set in theirs.
        let words = bare(words).replace('\u{202e}', "");
        assert!(text.replace('\u{202e}', "").contains(&words), "{words}\n{text}");
    }
    let printed = print(&page, Paper::A4, "2026-11-12 10:00").unwrap();
    assert!(printed.bytes.starts_with(b"%PDF-"));
    // The same page at the same time is the same file.
    assert_eq!(print(&page, Paper::A4, "2026-11-12 10:00").unwrap().bytes, printed.bytes);
}

#[test]
fn the_typesetter_reads_no_file_and_no_package_and_knows_no_day() {
    for code in [
        "#read(\"/etc/passwd\")",
        "#read(\"main.typ\")",
        "#image(\"/etc/hostname\")",
        "#include \"theme.typ\"",
        "#import \"@preview/example:0.1.0\"",
        "#datetime.today().display()",
    ] {
        assert!(lay_out(code.to_owned(), &[]).is_err(), "{code}");
    }
    assert!(lay_out("#strong(\"fine\")".to_owned(), &[]).is_ok());
}

#[test]
fn letters_that_no_font_has_are_counted_and_leave_the_file_whole() {
    let words = Words::new(Language::En, engine::units::System::Si);
    let head = Head { title: "\u{6f22}\u{5b57} house".into(), ..Head::default() };
    let printed = print(&report::html::field(&head, &[], &words), Paper::Letter, "").unwrap();
    // In the title of the page and of the file.
    assert!(printed.lost >= 2, "{}", printed.lost);
    assert_eq!(printed.short_of, "");
}

#[test]
fn base64_is_read() {
    assert_eq!(base64("QWlyd3JpZ2h0"), b"Airwright");
    assert_eq!(base64("QQ=="), b"A");
    assert_eq!(base64("QUI="), b"AB");
}
