//! A tree of elements, written as HTML or SVG. Everything from outside is text or an attribute
//! value and is escaped when it is written, so no name can become markup.

use std::fmt::{Display, Write as _};

/// An element, a text, or a style sheet of our own.
#[derive(Clone, Debug, PartialEq)]
pub enum Node {
    /// An element.
    Element(El),
    /// Text, escaped when written.
    Text(String),
    /// A style sheet of the program, written as it is.
    Css(&'static str),
}

/// An element with attributes and children.
#[derive(Clone, Debug, PartialEq)]
pub struct El {
    name: &'static str,
    attributes: Vec<(&'static str, String)>,
    children: Vec<Node>,
}

impl From<El> for Node {
    fn from(el: El) -> Node {
        Node::Element(el)
    }
}

impl From<&str> for Node {
    fn from(text: &str) -> Node {
        Node::Text(text.to_owned())
    }
}

impl From<String> for Node {
    fn from(text: String) -> Node {
        Node::Text(text)
    }
}

/// A new element. The name is the program's own, never from outside.
pub fn el(name: &'static str) -> El {
    El { name, attributes: Vec::new(), children: Vec::new() }
}

/// A new element with a class.
pub fn classed(name: &'static str, class: &str) -> El {
    el(name).attr("class", class)
}

/// A coordinate: one decimal is a tenth of a pixel.
pub fn px(x: f64) -> String {
    let text = format!("{x:.1}");
    let text = text.strip_suffix(".0").unwrap_or(&text);
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

impl El {
    /// Sets an attribute.
    #[must_use]
    pub fn attr(mut self, name: &'static str, value: impl Display) -> El {
        self.attributes.push((name, value.to_string()));
        self
    }

    /// Sets an attribute in the place of the one of that name.
    #[must_use]
    pub fn set(mut self, name: &'static str, value: impl Display) -> El {
        self.attributes.retain(|(n, _)| *n != name);
        self.attr(name, value)
    }

    /// Sets a coordinate.
    #[must_use]
    pub fn at(self, name: &'static str, value: f64) -> El {
        self.attr(name, px(value))
    }

    /// Adds a child.
    #[must_use]
    pub fn with(mut self, child: impl Into<Node>) -> El {
        self.children.push(child.into());
        self
    }

    /// Adds children.
    #[must_use]
    pub fn with_all<N: Into<Node>>(mut self, children: impl IntoIterator<Item = N>) -> El {
        self.children.extend(children.into_iter().map(Into::into));
        self
    }

    /// Adds a child in place.
    pub fn push(&mut self, child: impl Into<Node>) {
        self.children.push(child.into());
    }

    /// Gives every child element after the first its column's head, for tables that stack on a phone.
    #[must_use]
    pub fn labelled(mut self, heads: &[String]) -> El {
        let cells = self.children.iter_mut().filter_map(|c| match c {
            Node::Element(el) => Some(el),
            _ => None,
        });
        for (cell, head) in cells.zip(heads).skip(1) {
            cell.attributes.push(("data-h", head.clone()));
        }
        self
    }

    /// What stands inside.
    pub fn children(&self) -> &[Node] {
        &self.children
    }

    /// Its attributes, in the order in which they are written.
    pub fn attributes(&self) -> &[(&'static str, String)] {
        &self.attributes
    }

    /// The element's name.
    pub fn name(&self) -> &'static str {
        self.name
    }

    /// The value of an attribute.
    pub fn attribute(&self, name: &str) -> Option<&str> {
        self.attributes.iter().find(|(n, _)| *n == name).map(|(_, v)| v.as_str())
    }

    /// Whether the element has a class.
    pub fn has_class(&self, class: &str) -> bool {
        self.attribute("class").is_some_and(|c| c.split(' ').any(|c| c == class))
    }

    /// Every element of the tree, this one first.
    pub fn walk(&self) -> Vec<&El> {
        let mut all = vec![self];
        for child in &self.children {
            if let Node::Element(el) = child {
                all.extend(el.walk());
            }
        }
        all
    }

    /// The text inside, without markup.
    pub fn inner_text(&self) -> String {
        self.children
            .iter()
            .map(|c| match c {
                Node::Element(el) => el.inner_text(),
                Node::Text(text) => text.clone(),
                Node::Css(_) => String::new(),
            })
            .collect()
    }

    /// Writes the element.
    pub fn render(&self) -> String {
        let mut out = String::new();
        self.write(&mut out);
        out
    }

    fn write(&self, out: &mut String) {
        let _ = write!(out, "<{}", self.name);
        for (name, value) in &self.attributes {
            let _ = write!(out, " {name}=\"");
            escape(value, out);
            out.push('"');
        }
        out.push('>');
        if matches!(self.name, "meta" | "br" | "hr" | "link" | "img") {
            return;
        }
        for child in &self.children {
            match child {
                Node::Element(el) => el.write(out),
                Node::Text(text) => escape(text, out),
                Node::Css(css) => out.push_str(css),
            }
        }
        let _ = write!(out, "</{}>", self.name);
        // Line breaks after blocks keep the file readable and do not show.
        if matches!(
            self.name,
            "svg"
                | "p"
                | "section"
                | "table"
                | "tr"
                | "ul"
                | "li"
                | "figure"
                | "h1"
                | "h2"
                | "h3"
                | "div"
                | "head"
                | "style"
                | "title"
        ) {
            out.push('\n');
        }
    }
}

fn escape(text: &str, out: &mut String) {
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            // Not allowed in XML, and of no use on a page.
            c if c.is_control() && !matches!(c, '\n' | '\t') => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_comes_from_outside_is_harmless() {
        let e = el("p").attr("title", "\" onload='x'").with("<script>alert(1)</script>\u{0}");
        assert_eq!(
            e.render(),
            "<p title=\"&quot; onload=&#39;x&#39;\">&lt;script&gt;alert(1)&lt;/script&gt;\u{fffd}</p>\n"
        );
    }

    #[test]
    fn coordinates_are_short() {
        assert_eq!(px(12.04), "12");
        assert_eq!(px(-0.01), "0");
        assert_eq!(px(0.25), "0.2");
    }
}
