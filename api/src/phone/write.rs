//! A small writer of the documents' TOML: what a person typed may hold anything.

/// Lines of one document.
#[derive(Debug, Default)]
pub(super) struct Toml {
    text: String,
}

/// A basic string: quotes, backslashes and control characters escaped.
pub(super) fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out += "\\\"",
            '\\' => out += "\\\\",
            '\n' => out += "\\n",
            '\t' => out += "\\t",
            c if c.is_control() => out += &format!("\\u{:04X}", u32::from(c)),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// A comment's text stays on its line.
fn one_line(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

impl Toml {
    pub(super) fn comment(&mut self, text: &str) {
        self.text += &format!("# {}\n", one_line(text));
    }

    /// `name` is a table's own name; typed text in it is [`quoted`].
    pub(super) fn table(&mut self, name: &str) {
        self.text += &format!("\n[{name}]\n");
    }

    /// The next item of a list of tables.
    pub(super) fn list_item(&mut self, name: &str) {
        self.text += &format!("\n[[{name}]]\n");
    }

    /// A value that is TOML already.
    pub(super) fn raw(&mut self, key: &str, value: &str) {
        self.text += &format!("{key} = {value}\n");
    }

    pub(super) fn string(&mut self, key: &str, text: &str) {
        self.raw(key, &quoted(text));
    }

    /// Nothing where nothing was typed.
    pub(super) fn typed(&mut self, key: &str, text: &str) {
        let text = text.trim();
        if !text.is_empty() {
            self.string(key, text);
        }
    }

    /// Strings by name on one line; a name that comes again gets a number, for a key stands once.
    pub(super) fn pairs(&mut self, key: &str, pairs: &[(String, String)]) {
        if pairs.is_empty() {
            return;
        }
        let mut used: Vec<String> = Vec::new();
        let mut items = Vec::new();
        for (name, value) in pairs {
            let again = used.iter().filter(|u| *u == name).count();
            used.push(name.clone());
            let name = if again == 0 { name.clone() } else { format!("{name} ({})", again + 1) };
            items.push(format!("{} = {}", quoted(&name), quoted(value)));
        }
        self.raw(key, &format!("{{ {} }}", items.join(", ")));
    }

    pub(super) fn done(self) -> String {
        self.text
    }
}
