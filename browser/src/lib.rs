//! The questions of the pages, for JavaScript: one function, JSON in and JSON out, as `--json` prints
//! it. The module keeps what it worked out for the job asked about last.

use std::cell::RefCell;
use std::ops::ControlFlow;
use wasm_bindgen::prelude::{JsValue, wasm_bindgen};

#[wasm_bindgen]
extern "C" {
    /// A function of JavaScript.
    pub type Ear;

    #[wasm_bindgen(method)]
    fn call(this: &Ear, of: &JsValue, what: &str, done: u32, all: u32);
}

thread_local! {
    static DESK: RefCell<api::app::Desk> = RefCell::new(api::app::Desk::default());
}

/// Answers one question. What cannot be read as a question is answered with a diagnostic. `ear` is told
/// how far long work is: what is done, units done, of how many (0 where nobody knows).
#[wasm_bindgen]
pub fn ask(question: &str, ear: Option<Ear>) -> String {
    let mut listen = |p: api::Progress| {
        if let Some(ear) = &ear {
            let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
            ear.call(&JsValue::UNDEFINED, p.what, count(p.done), count(p.of));
        }
        ControlFlow::Continue(())
    };
    DESK.with_borrow_mut(|desk| api::phone::ask_at(question, desk, &mut listen))
}
