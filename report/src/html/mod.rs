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
pub use fragments::{Fragment, fragment_style, fragments, rules_table, scene, taps, tightness_alone};
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

/// A whole page: written as a file of HTML, or walked by whoever prints it in another form, so that the
/// two cannot say different things.
#[derive(Clone, Debug, PartialEq)]
pub struct Page(El);

impl Page {
    /// The file's text.
    pub fn file(&self) -> String {
        format!("<!doctype html>\n{}\n", self.0.render())
    }

    /// The tree, from `html` on.
    pub fn root(&self) -> &El {
        &self.0
    }
}

/// Colours of the printed page by name, as `("ink", "#000000")`.
pub fn print_colours() -> Vec<(&'static str, &'static str)> {
    style::print_colours()
}

/// A section with its heading; nothing where it has no content.
fn section(class: &str, heading: &str, content: Vec<El>) -> Option<El> {
    (!content.is_empty()).then(|| classed("section", class).with(el("h2").with(heading)).with_all(content))
}

#[cfg(test)]
mod tests;
