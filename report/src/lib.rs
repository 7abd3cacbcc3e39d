//! Results to documents: every sentence, figure and page of Airwright.
//!
//! Pure: text in, text out. [`words`] turns keys, diagnostics and numbers into a language;
//! [`terminal`] renders diagnostics as plain text; [`view`] is what pages are made from, plain data
//! that anybody can fill; [`figure`] draws it as SVG; [`html`] makes the report of a house and the
//! certificate of a test; [`text`] makes the short summaries of the command line. No physics.

pub mod figure;
pub mod findings;
pub mod how_to;
pub mod html;
pub mod markup;
pub mod rules;
pub mod screen;
pub mod sheets;
pub mod terminal;
pub mod text;
pub mod view;
pub mod words;

// The sample names this crate as anybody outside does.
#[cfg(test)]
extern crate self as report;
#[cfg(test)]
#[path = "../examples/sample/data.rs"]
mod sample;
