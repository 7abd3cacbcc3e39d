//! A page's tree as the text that the typesetter reads. Whatever comes from outside is a string literal of
//! that language, never its markup.

mod blocks;

use super::picture::{self, Paint};
use super::world;
use report::markup::{El, Node};
use std::cmp::Ordering;
use std::fmt::Write as _;

/// Letters of a word after which it may be broken.
const LONG_WORD: usize = 28;

/// Letters of the word of a mark that are not broken from it.
const SHORT_MARK: usize = 24;
/// Letters of a name in a list that take half of its width.
const LONG_TERM: usize = 40;

/// A string literal: nothing in it can end it or mean anything.
pub(super) fn literal(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            c if c.is_control() => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// Puts pieces of code together; nothing is an empty text.
fn block(pieces: &[String]) -> String {
    if pieces.is_empty() { "\"\"".to_owned() } else { format!("{{{}}}", pieces.join("\n")) }
}

/// Which grid a container is in print: its columns as the typesetter writes them.
fn grid(el: &El, count: usize) -> Option<(Vec<&'static str>, usize)> {
    let first = |list: &[&'static str]| list.get(..count).unwrap_or(list).to_vec();
    let has = |class: &str| el.has_class(class);
    let several = count > 1;
    Some(match () {
        () if has("todo-row") => (first(&["1fr", "1.5fr", "0.9fr"]), 14),
        () if has("low") && el.walk().iter().any(|e| e.has_class("pic")) => {
            (first(&["px(268)", "1fr", "1fr"]), 14)
        }
        () if has("o3") || has("cards") => (vec!["1fr"; count.min(3)], 12),
        () if has("o2") || has("tables") => (vec!["1fr"; count.min(2)], 16),
        () if has("scores") => (vec!["1fr"; 2], 20),
        () if has("tops") && has("several") => (first(&["1.5fr", "1fr", "1fr"]), 10),
        () if has("tops") && several => (first(&["1fr", "1fr"]), 14),
        () if has("trio") => (first(&["1.25fr", "1fr", "1.1fr"]), 14),
        () => return None,
    })
}

/// Writes one page.
pub(super) struct Writer {
    paint: Paint,
    /// Owner's page and certificate: one sheet.
    single: bool,
    /// Ranges of numbers in tables of this page stand on a line of their own.
    splits: bool,
    /// Whether the cell that is written is one of them.
    split_ranges: bool,
    /// Level of the last heading, on the page and here, where none is left out.
    level: (usize, usize),
    /// Whether a space would be one too many.
    space: bool,
    /// Whether words are left whole, however long.
    whole: bool,
    /// Colour of the text around.
    current: &'static str,
    /// Part of the paper's width that is there.
    share: f64,
    /// Widest drawing here, px.
    widest_px: f64,
    /// Letters that no font has.
    lost: usize,
    /// Photos of the page, which go beside its text: `photo-0` and so on.
    pictures: Vec<Vec<u8>>,
}

impl Writer {
    pub(super) fn new(body: &El) -> Writer {
        let paint = Paint::new();
        Writer {
            current: paint.of("ink"),
            paint,
            single: body.has_class("owner") || body.has_class("cert"),
            splits: body.has_class("sheet"),
            split_ranges: false,
            level: (0, 0),
            space: true,
            whole: false,
            share: 1.0,
            widest_px: f64::INFINITY,
            lost: 0,
            pictures: Vec::new(),
        }
    }

    /// Photos of the page as written.
    pub(super) fn pictures(&mut self) -> Vec<Vec<u8>> {
        std::mem::take(&mut self.pictures)
    }

    /// Whether the page is one sheet.
    pub(super) fn is_single(&self) -> bool {
        self.single
    }

    /// Letters that had to be left out, because no font has them.
    pub(super) fn lost(&self) -> usize {
        self.lost
    }

    /// The page's colours as a dictionary.
    pub(super) fn colours(&self) -> String {
        let mut out = String::from("#let paint = (");
        for (name, value) in self.paint.all() {
            let _ = write!(out, "{name}: rgb({}), ", literal(value));
        }
        out + ")\n"
    }

    /// The page's content as one block of code.
    pub(super) fn page(&mut self, body: &El) -> String {
        block(&self.flow(body.children()))
    }

    /// A text of the page as one literal, such as its title.
    pub(super) fn title(&mut self, text: &str) -> String {
        literal(&text.chars().map(|c| self.sign(c)).collect::<String>())
    }

    /// The letter, or a sign that stands for one that no font has.
    fn sign(&mut self, c: char) -> char {
        if world::has(c) {
            return c;
        }
        self.lost += 1;
        '\u{fffd}'
    }

    /// Text of the page, spaces as a browser shows them; a long word may be broken where pieces meet.
    fn text(&mut self, text: &str) -> Vec<String> {
        let mut out = vec![String::new()];
        let mut run = 0;
        for c in text.chars() {
            let space = matches!(c, ' ' | '\n' | '\t' | '\r');
            if space && self.space {
                continue;
            }
            self.space = space;
            run = if space || matches!(c, '\u{a0}' | '\u{202f}') { 0 } else { run + 1 };
            if run > LONG_WORD && !self.whole {
                out.push(String::new());
                run = 1;
            }
            let c = if space { ' ' } else { self.sign(c) };
            if let Some(last) = out.last_mut() {
                last.push(c);
            }
        }
        // A gap of no width lets a line end and says nothing to who listens.
        let literals: Vec<String> = out.iter().map(|piece| literal(piece)).collect();
        vec![literals.join("\nh(0pt)\n")]
    }

    /// Blocks one after the other; what stands in lines between them becomes paragraphs.
    fn flow(&mut self, nodes: &[Node]) -> Vec<String> {
        let mut out = Vec::new();
        let mut line: Vec<String> = Vec::new();
        self.space = true;
        let mut skip = false;
        for (i, node) in nodes.iter().enumerate() {
            if std::mem::take(&mut skip) {
                continue;
            }
            match node {
                Node::Element(e) if is_block(e) => {
                    out.extend(paragraph(&mut line));
                    // On one sheet the title and what it is about share a line.
                    let next = nodes.get(i + 1).and_then(element).filter(|n| n.has_class("lead"));
                    if let (true, "h1", Some(next)) = (self.single, e.name(), next) {
                        let (title, lead) = (self.block(e), self.line(next.children()));
                        out.push(format!("in-line({title}, par(soft({lead})))"));
                        skip = true;
                    } else {
                        out.push(self.block(e));
                    }
                    self.space = true;
                }
                other => line.extend(self.inline(other)),
            }
        }
        out.extend(paragraph(&mut line));
        out.retain(|piece| !piece.is_empty());
        out
    }

    /// What stands in lines, as one piece.
    fn line(&mut self, nodes: &[Node]) -> String {
        self.space = true;
        let pieces: Vec<String> = nodes.iter().flat_map(|n| self.inline(n)).collect();
        block(&pieces)
    }

    fn inline(&mut self, node: &Node) -> Vec<String> {
        let el = match node {
            Node::Css(_) => return Vec::new(),
            Node::Text(text) => return self.text(text),
            Node::Element(el) => el,
        };
        if el.name() == "br" {
            self.space = true;
            return vec!["linebreak()".to_owned()];
        }
        if el.name() == "svg" {
            let tall = if el.has_class("fig") { "px(26)" } else { "0.95em" };
            return vec![format!("icon({}, {tall})", self.drawn(el))];
        }
        if el.name() == "img" {
            return vec![self.image(el)];
        }
        let apart = self.split_ranges && el.has_class("r");
        let before = self.whole;
        self.whole |= el.has_class("hash");
        let inner: Vec<String> = el.children().iter().flat_map(|n| self.inline(n)).collect();
        self.whole = before;
        let all = block(&inner);
        let has = |class: &str| el.has_class(class);
        vec![match el.name() {
            "b" | "strong" => format!("strong({all})"),
            "small" => format!("soft({all})"),
            _ if has("mk") => {
                let word = inner.get(1..).map(block).unwrap_or_default();
                let mark = inner.first().cloned().unwrap_or_default();
                // A short word stays with its mark.
                let whole = if el.inner_text().chars().count() <= SHORT_MARK { "whole" } else { "" };
                format!("soft({whole}({{{mark}\nh(2.5pt * k)\n{word}}}))")
            }
            _ if apart => format!("linebreak()\nsoft(whole({all}))"),
            _ if has("r") => format!("whole({all})"),
            _ if has("u") => format!("unit({all})"),
            _ if has("hash") => format!("code({all})"),
            _ if has("soft") => format!("soft({all})"),
            _ => return inner,
        }]
    }

    /// Spans that stand apart in one paragraph.
    fn apart(&mut self, nodes: &[Node], points: f64) -> String {
        let mut pieces = Vec::new();
        for (i, node) in nodes.iter().enumerate() {
            if i > 0 {
                pieces.push(format!("gap({points}pt)\n\" \""));
            }
            self.space = true;
            pieces.extend(self.inline(node));
        }
        block(&pieces)
    }

    fn drawn(&self, svg: &El) -> String {
        literal(&picture::file(svg, &self.paint, self.current))
    }

    fn block(&mut self, el: &El) -> String {
        let has = |class: &str| el.has_class(class);
        if has("narrow") {
            return String::new();
        }
        match el.name() {
            "h1" | "h2" | "h3" => self.heading(el),
            "p" => self.paragraph(el),
            "ul" => self.list(el),
            "dl" => self.terms(el),
            "table" => self.table(el),
            "figure" => self.figure(el),
            "svg" => self.drawing(el),
            "img" => self.picture(el),
            "blockquote" => self.quote(el),
            "pre" => format!("raw(block: true, {})", literal(&el.inner_text())),
            "footer" => format!("foot({})", block(&self.flow(el.children()))),
            _ if has("letter") => self.letter(el),
            _ if has("safe") => self.safe(el),
            _ if has("key") => {
                let spans: Vec<Node> = el.children().iter().flat_map(sizes).collect();
                format!("par(soft({}))", self.apart(&spans, 11.0))
            }
            _ if has("head") => {
                let parts: Vec<String> = elements(el).map(|e| self.block(e)).collect();
                format!("in-line({})", parts.join(", "))
            }
            _ if has("sign") => {
                let parts: Vec<String> = elements(el).map(|e| self.line(e.children())).collect();
                format!("sign({})", parts.join(", "))
            }
            _ if has("held") => format!("held({})", block(&self.flow(el.children()))),
            _ if has("card") => format!("card({})", self.tagged(el)),
            _ => self.container(el),
        }
    }

    fn container(&mut self, el: &El) -> String {
        let shown: Vec<&El> = elements(el).filter(|e| !e.has_class("long")).collect();
        if let Some((widths, gutter)) = grid(el, shown.len()).filter(|g| !g.0.is_empty()) {
            let before = (self.share, self.widest_px);
            self.share /= widths.len() as f64;
            if el.has_class("low") {
                self.widest_px = 200.0;
            } else if el.has_class("tops") && el.has_class("several") {
                self.widest_px = 230.0;
            }
            let cells: Vec<String> = shown.into_iter().map(|e| self.cell(e)).collect();
            (self.share, self.widest_px) = before;
            let mut out =
                format!("columns-of(({},), gutter: {gutter}pt, {})", widths.join(", "), cells.join(", "));
            for long in elements(el).filter(|e| e.has_class("long")) {
                let _ = write!(out, "\n{}", self.block(long));
            }
            return out;
        }
        let pieces = self.flow(el.children());
        let kept = ["complaint", "whole", "evs"].iter().any(|class| el.has_class(class));
        if kept { format!("kept({})", block(&pieces)) } else { pieces.join("\n") }
    }

    /// A cell of a grid.
    fn cell(&mut self, el: &El) -> String {
        match () {
            () if el.has_class("card") => {
                format!("card-cell(best: {}, {})", el.has_class("best"), self.tagged(el))
            }
            () if el.has_class("td") => format!("top-cell({})", self.tagged(el)),
            () => block(&[self.block(el)]),
        }
    }

    /// What bears a letter or number in its corner.
    fn tagged(&mut self, el: &El) -> String {
        let corner = |e: &&El| e.has_class("tag") || e.has_class("num-tag");
        let Some(tag) = elements(el).find(corner) else {
            return block(&self.flow(el.children()));
        };
        let says = self.line(tag.children());
        let mark = if el.has_class("best") { "accent" } else { "ink" };
        let corner_piece = if tag.has_class("tag") {
            format!("tag(mark: paint.{mark}, {says})")
        } else {
            format!("number-tag({says})")
        };
        let rest: Vec<Node> =
            el.children().iter().filter(|n| element(n).is_none_or(|e| !corner(&e))).cloned().collect();
        let mut pieces = self.flow(&rest);
        // The first line leaves room for the corner, which is read after it.
        if let Some(first) = pieces.first_mut() {
            *first = format!("room({first})\n{corner_piece}");
        }
        block(&pieces)
    }

    fn heading(&mut self, el: &El) -> String {
        let wanted = match el.name() {
            "h1" => 1,
            "h2" => 2,
            _ => 3,
        };
        let (last, level) = self.level;
        let level = match wanted.cmp(&last) {
            Ordering::Greater => level + 1,
            Ordering::Equal => level,
            Ordering::Less => level.min(wanted),
        };
        self.level = (wanted, level);
        format!("hd({level}, [{}], {})", el.name(), self.line(el.children()))
    }

    fn paragraph(&mut self, el: &El) -> String {
        let has = |class: &str| el.has_class(class);
        let before = self.current;
        if has("verdict") {
            let lost = has("fail") || has("close");
            let (mark, dash) = (if lost { "caution" } else { "ink" }, has("unsure"));
            self.current = self.paint.of(mark);
            let parts = self.apart(el.children(), 3.0);
            self.current = before;
            let dash = if dash { "\"dashed\"" } else { "none" };
            return format!("verdict(mark: paint.{mark}, dash: {dash}, {parts})");
        }
        if has("states") {
            return format!("par({})", self.apart(el.children(), 10.0));
        }
        let line = self.line(el.children());
        match () {
            () if has("never") => format!("par(text(size: small, {line}))"),
            () if has("lead") => format!("lead(par({line}))"),
            () if has("big") => format!("big(par({line}))"),
            () if has("price") => format!("price(par({line}))"),
            () if has("held") => format!("held(par({line}))"),
            () if has("stale") => format!("stale(par({line}))"),
            () if has("ok") => format!("ok(par({line}))"),
            () if has("soft") => format!("par(soft({line}))"),
            () if has("cap") => format!("block(sticky: true, par({line}))"),
            () => format!("par({line})"),
        }
    }
}

fn element(node: &Node) -> Option<&El> {
    match node {
        Node::Element(e) => Some(e),
        _ => None,
    }
}

/// The elements inside of one, without what is drawn for a phone only.
fn elements(el: &El) -> impl Iterator<Item = &El> {
    el.children().iter().filter_map(element).filter(|e| !e.has_class("narrow"))
}

/// Three sizes of an arrow stand in the key like its other entries.
fn sizes(node: &Node) -> Vec<Node> {
    match element(node) {
        Some(e) if e.has_class("sizes") => e.children().to_vec(),
        _ => vec![node.clone()],
    }
}

fn paragraph(line: &mut Vec<String>) -> Option<String> {
    let pieces = std::mem::take(line);
    // Line breaks of the file between blocks are no paragraph.
    let says = pieces.iter().any(|p| !matches!(p.as_str(), "\"\"" | "\" \""));
    says.then(|| format!("par({})", block(&pieces)))
}

fn is_block(el: &El) -> bool {
    let drawing = el.name() == "svg" && el.attribute("role").is_some();
    drawing
        || matches!(
            el.name(),
            "main"
                | "section"
                | "div"
                | "p"
                | "h1"
                | "h2"
                | "h3"
                | "ul"
                | "dl"
                | "table"
                | "figure"
                | "blockquote"
                | "footer"
                | "pre"
        )
}
