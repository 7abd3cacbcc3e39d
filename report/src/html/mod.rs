//! Pages: one self-contained HTML file each, no script, nothing fetched; light or dark as the
//! device is set, printable on A4 and Letter.

mod certificate;
mod field;
mod findings;
mod fragments;
mod hand_off;
mod house;
mod owner;
mod parts;
mod rules;
mod safety;
mod sheet;
mod style;
mod test_out;

pub use certificate::certificate;
pub use field::field;
pub use fragments::{Fragment, fragment_style, fragments, scene, taps, tightness_alone};
pub use hand_off::hand_off;
pub use house::house;
pub use owner::{owner, owner_text};
pub use rules::rules;
pub use test_out::test_out;

use crate::markup::{El, Node, classed, el};
use crate::words::Words;

/// A whole file around the page's content.
fn page(title: &str, words: &Words, body_class: &str, content: Vec<El>) -> El {
    let head = el("head")
        .with(el("meta").attr("charset", "utf-8"))
        .with(el("meta").attr("name", "viewport").attr("content", "width=device-width,initial-scale=1"))
        .with(el("meta").attr("name", "color-scheme").attr("content", "light dark"))
        .with(el("title").with(title))
        .with(
            el("style")
                .with(Node::Css(style::TOKENS))
                .with(Node::Css(crate::figure::CSS))
                .with(Node::Css(style::PAGE)),
        );
    let body = classed("body", body_class).with(el("main").with_all(content));
    el("html").attr("lang", words.language().tag()).with(head).with(body)
}

/// The file's text.
fn file(page: &El) -> String {
    format!("<!doctype html>\n{}\n", page.render())
}

/// A section with its heading; nothing where it has no content.
fn section(class: &str, heading: &str, content: Vec<El>) -> Option<El> {
    (!content.is_empty()).then(|| classed("section", class).with(el("h2").with(heading)).with_all(content))
}

#[cfg(test)]
mod tests;
