//! Progress on a terminal or in a log, and Ctrl-C.

use api::Progress;
use report::words::Words;
use std::io::{IsTerminal, Write};
use std::ops::ControlFlow;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Listens to the work: shows how far it is where somebody looks, writes the first ranking of plans as a
/// line where nobody does, stops it on Ctrl-C.
pub(crate) struct Listener {
    stop: Arc<AtomicBool>,
    shows: bool,
    shown: bool,
    /// The first ranking is still to be told in a line.
    tells: bool,
    words: Words,
}

impl Listener {
    /// A listener; `quiet` keeps standard error clean.
    pub(crate) fn new(words: Words, quiet: bool) -> Listener {
        let stop = Arc::new(AtomicBool::new(false));
        let flag = Arc::clone(&stop);
        // A second handler is refused; then the default holds: Ctrl-C ends the program, and no file
        // is half written because files are renamed into place.
        let handled = ctrlc::set_handler(move || flag.store(true, Ordering::Relaxed)).is_ok();
        let terminal = std::io::stderr().is_terminal();
        Listener {
            stop,
            shows: handled && !quiet && terminal,
            shown: false,
            tells: !quiet && !terminal,
            words,
        }
    }

    /// Hears one word of progress.
    pub(crate) fn hear(&mut self, p: Progress) -> ControlFlow<()> {
        if (self.shows || self.tells) && p.of > 0 {
            let leading = p.leading.map_or_else(String::new, |i| api::plan_letter(i, &self.words));
            let args = [("done", p.done.into()), ("of", p.of.into()), ("leading", leading.into())];
            // Nobody is harmed by a progress line that cannot be shown.
            let mut err = std::io::stderr();
            if self.shows {
                let line = self.words.text(p.what, &args);
                if write!(err, "\r\u{1b}[K{line}").and_then(|()| err.flush()).is_ok() {
                    self.shown = true;
                }
            } else if p.leading.is_some() {
                let line = self.words.text("progress-first-ranking", &args);
                self.tells = writeln!(err, "{line}").and_then(|()| err.flush()).is_err();
            }
        }
        if self.stop.load(Ordering::Relaxed) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    }

    /// Clears the line.
    pub(crate) fn done(&mut self) {
        if self.shown && write!(std::io::stderr(), "\r\u{1b}[K").is_ok() {
            self.shown = false;
        }
    }
}
