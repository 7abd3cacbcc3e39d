//! A writer of XML 1.0: elements that are opened are closed, texts are escaped.

/// A document in the making.
#[derive(Debug)]
pub(super) struct Xml {
    out: String,
    open: Vec<&'static str>,
}

impl Xml {
    /// Begins a document.
    pub(super) fn new() -> Xml {
        Xml { out: "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n".to_owned(), open: Vec::new() }
    }

    fn tag(&mut self, name: &str, attributes: &[(&str, &str)]) {
        self.out += &"  ".repeat(self.open.len());
        self.out.push('<');
        self.out += name;
        for (key, value) in attributes {
            self.out += &format!(" {key}=\"{}\"", escaped(value, true));
        }
    }

    /// An element with what `inside` writes; nothing where that is nothing.
    pub(super) fn element(&mut self, name: &'static str, inside: impl FnOnce(&mut Xml)) {
        self.element_with(name, &[], inside);
    }

    /// The same with attributes, and there whatever is inside.
    pub(super) fn element_with(
        &mut self,
        name: &'static str,
        attributes: &[(&str, &str)],
        inside: impl FnOnce(&mut Xml),
    ) {
        let before = self.out.len();
        self.tag(name, attributes);
        self.out += ">\n";
        let from = self.out.len();
        self.open.push(name);
        inside(self);
        self.open.pop();
        if self.out.len() == from {
            self.out.truncate(before);
            if !attributes.is_empty() {
                self.empty(name, attributes);
            }
            return;
        }
        self.out += &"  ".repeat(self.open.len());
        self.out += &format!("</{name}>\n");
    }

    /// An element without content.
    pub(super) fn empty(&mut self, name: &str, attributes: &[(&str, &str)]) {
        self.tag(name, attributes);
        self.out += "/>\n";
    }

    /// An element that holds a text.
    pub(super) fn text(&mut self, name: &str, text: &str) {
        self.text_with(name, &[], text);
    }

    /// The same with attributes.
    pub(super) fn text_with(&mut self, name: &str, attributes: &[(&str, &str)], text: &str) {
        self.tag(name, attributes);
        self.out += &format!(">{}</{name}>\n", escaped(text, false));
    }

    /// A number with a few digits; nothing where it is not finite.
    pub(super) fn number(&mut self, name: &str, value: f64) {
        if value.is_finite() {
            self.text(name, &short(value));
        }
    }

    /// The text of the document.
    pub(super) fn done(self) -> String {
        self.out
    }
}

/// Six significant digits without an exponent, as a decimal of the schema.
pub(super) fn short(value: f64) -> String {
    let rounded: f64 = format!("{value:.5e}").parse().unwrap_or(value);
    format!("{rounded}")
}

/// A text in XML. Characters that XML 1.0 cannot carry become U+FFFD; a carriage return is written as a
/// reference, or a reader would take it for a line feed.
pub(super) fn escaped(text: &str, attribute: bool) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out += "&amp;",
            '<' => out += "&lt;",
            '>' => out += "&gt;",
            '"' if attribute => out += "&quot;",
            '\r' => out += "&#13;",
            '\n' | '\t' if attribute => out += &format!("&#{};", u32::from(c)),
            '\n' | '\t' => out.push(c),
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}
