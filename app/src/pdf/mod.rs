//! A sheet as tagged PDF: the tree of its page, set by typst. What the page says is in the tree alone, so that
//! the PDF and the HTML cannot differ; how it looks in print is `theme.typ`.

mod columns;
mod picture;
mod world;
mod write;

use super::cli::Paper;
use anyhow::{Result, anyhow};
use report::html::Page;
use report::markup::El;
use typst::diag::SourceDiagnostic;
use typst::foundations::{Bytes, Smart};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

const THEME: &str = include_str!("theme.typ");
/// Sizes of type that a sheet of one page is tried in.
const STEPS: [f64; 14] = [1.24, 1.18, 1.12, 1.06, 1.0, 0.96, 0.92, 0.88, 0.84, 0.8, 0.76, 0.72, 0.68, 0.64];

/// A PDF.
pub(crate) struct Printed {
    /// The file.
    pub(crate) bytes: Vec<u8>,
    /// Letters that no font had.
    pub(crate) lost: usize,
    /// Why the file is tagged but not PDF/UA-1; empty where it is.
    pub(crate) short_of: String,
}

/// Prints a page.
///
/// # Errors
/// What the typesetter says where it cannot set the page.
pub(crate) fn print(page: &Page, paper: Paper, now: &str) -> Result<Printed> {
    let (document, lost) = set(page, paper, now)?;
    let standard = PdfStandards::new(&[PdfStandard::Ua_1]).map_err(|e| anyhow!("{}", e.message()))?;
    let options = |standards: PdfStandards| PdfOptions {
        creator: Smart::Custom(Some(format!("Airwright {}", env!("CARGO_PKG_VERSION")))),
        standards,
        ..PdfOptions::default()
    };
    let (bytes, short_of) = match typst_pdf::pdf(&document, &options(standard)) {
        Ok(bytes) => (bytes, String::new()),
        // Text of a job may hold what the standard forbids; the file is tagged all the same.
        Err(why) => {
            let plain = typst_pdf::pdf(&document, &options(PdfStandards::default()));
            (plain.map_err(|e| said(&e))?, said(&why).to_string())
        }
    };
    Ok(Printed { bytes, lost, short_of })
}

/// Sets a page: its sheets of paper, and how many letters no font had.
fn set(page: &Page, paper: Paper, now: &str) -> Result<(PagedDocument, usize)> {
    let root = page.root();
    let find = |name: &str| root.walk().into_iter().find(|e| e.name() == name);
    let body = find("body").ok_or_else(|| anyhow!("a page without a body"))?;
    let title = find("title").map(El::inner_text).unwrap_or_default();
    let mut writer = write::Writer::new(body);
    let content = writer.page(body);
    let pictures: Vec<Bytes> = writer.pictures().into_iter().map(Bytes::new).collect();
    let head = format!(
        "#show: sheet.with({}, {}, {}, {}, {})\n",
        writer.title(&title),
        author(root),
        write::literal(root.attribute("lang").unwrap_or("en")),
        write::literal(match paper {
            Paper::A4 => "a4",
            Paper::Letter => "us-letter",
        }),
        date(now),
    );
    let steps = if writer.is_single() { STEPS.as_slice() } else { &[1.0] };
    let mut set: Result<PagedDocument> = Err(anyhow!("nothing was set"));
    for k in steps {
        let text = format!(
            "#let k = {k}\n#let single = {}\n{}{THEME}{head}#{content}\n",
            writer.is_single(),
            writer.colours()
        );
        set = lay_out(text, &pictures);
        if set.as_ref().map_or(true, |document| document.pages().len() <= 1) {
            break;
        }
    }
    Ok((set?, writer.lost()))
}

fn lay_out(text: String, pictures: &[Bytes]) -> Result<PagedDocument> {
    let desk = world::Desk::new(text, pictures);
    let set = typst::compile::<PagedDocument>(&desk);
    set.output.map_err(|e| said(&e))
}

fn said(found: &[SourceDiagnostic]) -> anyhow::Error {
    let list: Vec<&str> = found.iter().map(|d| d.message.as_str()).collect();
    anyhow!("{}", list.join("; "))
}

/// Who signs: the name of the letterhead, as a string or a list without any.
fn author(root: &El) -> String {
    let letter = root.walk().into_iter().find(|e| e.has_class("letter"));
    let name = letter.and_then(|l| l.walk().into_iter().find(|e| e.name() == "b")).map(El::inner_text);
    name.filter(|n| !n.is_empty()).map_or_else(|| "()".to_owned(), |n| write::literal(&n))
}

/// The job's own date and time; without one the file bears none.
fn date(now: &str) -> String {
    let parts: Vec<u32> = now.split(|c: char| !c.is_ascii_digit()).flat_map(str::parse).collect();
    match parts.as_slice() {
        [year, month @ 1..=12, day @ 1..=31, hour @ 0..=23, minute @ 0..=59, ..] => format!(
            "datetime(year: {year}, month: {month}, day: {day}, hour: {hour}, minute: {minute}, second: 0)"
        ),
        _ => "none".to_owned(),
    }
}

/// What a `data:` address holds; what is no base64 is passed over.
fn base64(text: &str) -> Vec<u8> {
    let value = |c: u8| match c {
        b'A'..=b'Z' => Some(u32::from(c - b'A')),
        b'a'..=b'z' => Some(u32::from(c - b'a') + 26),
        b'0'..=b'9' => Some(u32::from(c - b'0') + 52),
        b'+' => Some(62),
        b'/' => Some(63),
        _ => None,
    };
    let mut out = Vec::new();
    let (mut bits, mut count) = (0u32, 0);
    for v in text.bytes().filter_map(value) {
        bits = bits << 6 | v;
        count += 6;
        if count >= 8 {
            count -= 8;
            out.extend(u8::try_from(bits >> count & 0xff));
        }
    }
    out
}

#[cfg(test)]
mod tests;
