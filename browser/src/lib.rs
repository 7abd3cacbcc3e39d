//! The questions of a phone, for JavaScript: one function, JSON in and JSON out, as `--json` prints it.

use wasm_bindgen::prelude::wasm_bindgen;

/// Answers one question. What cannot be read as a question is answered with a diagnostic.
#[wasm_bindgen]
pub fn ask(question: &str) -> String {
    api::phone::ask(question)
}
