//! Lists, tables, figures and the blocks that only some pages have.

use super::{LONG_TERM, Writer, block, element, elements, is_block, literal};
use crate::pdf::{base64, columns, picture};
use report::markup::{El, Node};
use std::fmt::Write as _;

impl Writer {
    pub(super) fn list(&mut self, el: &El) -> String {
        let items: Vec<String> = elements(el).map(|li| block(&self.item(li))).collect();
        let list = |items: &[String]| format!("list({})", items.join(", "));
        if el.has_class("prep") && self.single {
            let (left, right) = items.split_at(items.len().div_ceil(2));
            return format!("columns-of((1fr, 1fr), {}, {})", list(left), list(right));
        }
        match () {
            () if el.has_class("held") => format!("held({})", list(&items)),
            () if el.has_class("soft") => format!("soft({})", list(&items)),
            () => list(&items),
        }
    }

    /// What stands in an item or a cell: a line where it is one, else blocks.
    fn item(&mut self, el: &El) -> Vec<String> {
        if elements(el).any(is_block) { self.flow(el.children()) } else { vec![self.line(el.children())] }
    }

    pub(super) fn terms(&mut self, el: &El) -> String {
        if el.has_class("prov") && self.single {
            let mut pieces = Vec::new();
            for e in elements(el) {
                let line = self.line(e.children());
                pieces.push(match e.name() {
                    "dt" => format!("{line}\n\" \""),
                    _ => format!("code({line})\ngap(8pt)\n\" \""),
                });
            }
            return format!("par(soft({}))", block(&pieces));
        }
        let mut cells = Vec::new();
        for e in elements(el) {
            let term = e.name() == "dt";
            // A term without its text, or a further text of the last term.
            if term != (cells.len() % 2 == 0) {
                cells.push("\"\"".to_owned());
            }
            let inner = match elements(e).any(is_block) {
                true => block(&self.flow(e.children())),
                false => format!("par({})", self.line(e.children())),
            };
            cells.push(match () {
                () if term => format!("term({inner})"),
                () if e.has_class("hash") => format!("code({inner})"),
                () => inner,
            });
        }
        // Long names share the width with what is said of them.
        let long = elements(el).any(|e| e.name() == "dt" && e.inner_text().chars().count() > LONG_TERM);
        let widths = match () {
            () if el.has_class("ev") => "(auto, auto)",
            () if long => "(1fr, 1fr)",
            () => "(auto, 1fr)",
        };
        if cells.is_empty() { String::new() } else { format!("terms-of({widths}, {})", cells.join(", ")) }
    }

    pub(super) fn table(&mut self, el: &El) -> String {
        let mut out = String::new();
        let mut cells = Vec::new();
        let rows: Vec<&El> = el.walk().into_iter().filter(|e| e.name() == "tr").collect();
        let columns = rows.iter().map(|r| elements(r).count()).max().unwrap_or(0);
        if columns == 0 {
            return out;
        }
        if let Some(caption) = elements(el).find(|e| e.name() == "caption") {
            let _ = writeln!(out, "table-name({})", self.line(caption.children()));
        }
        let heads: Vec<&El> = el.walk().into_iter().filter(|e| e.name() == "thead").collect();
        let is_head = |row: &El| heads.iter().any(|h| elements(h).any(|r| std::ptr::eq(r, row)));
        let mut head = Vec::new();
        for row in &rows {
            let mut written: Vec<String> =
                elements(row).map(|c| self.table_cell(c, row, is_head(row))).collect();
            written.resize(columns, "\"\"".to_owned());
            if is_head(row) {
                head.extend(written);
            } else {
                cells.extend(written);
            }
        }
        let widths = columns::widths(&rows, columns, self.share, self.single, self.splits);
        let _ = write!(out, "table-of(({},), ", widths.join(", "));
        if !head.is_empty() {
            let _ = write!(out, "head-row({}), ", head.join(", "));
        }
        out + &cells.join(", ") + ")"
    }

    fn table_cell(&mut self, el: &El, row: &El, head: bool) -> String {
        let number = el.has_class("num");
        self.split_ranges = self.splits && number;
        let inner = block(&self.item(el));
        self.split_ranges = false;
        match (head, el.name()) {
            (true, _) => format!("col-head(right-side: {number}, {inner})"),
            (false, "th") => format!("row-head(marked: {}, {inner})", row.has_class("check-f")),
            _ => format!("cell(right-side: {number}, {inner})"),
        }
    }

    pub(super) fn figure(&mut self, el: &El) -> String {
        let has = |class: &str| el.has_class(class);
        let before = self.widest_px;
        self.widest_px = match () {
            () if has("pic") => 268.0,
            () if has("lim-fig") && self.single => 250.0,
            () if has("plot-fig") && self.single => 232.0,
            () if has("lad-fig") || has("plot-fig") || has("lim-fig") => 416.0,
            () => self.widest_px,
        };
        let mut pieces = Vec::new();
        let caption = |e: &&El| e.name() == "figcaption";
        for e in elements(el).filter(|e| !caption(e)) {
            pieces.push(self.block(e));
        }
        if let Some(said) = elements(el).find(caption) {
            let line = self.line(said.children());
            // Under the picture of the owner's page, else above.
            let at = if has("pic") { pieces.len() } else { 0 };
            pieces.insert(at, format!("par(soft({line}))"));
        }
        self.widest_px = before;
        format!("kept({})", block(&pieces))
    }

    pub(super) fn drawing(&mut self, svg: &El) -> String {
        let most = svg
            .attribute("style")
            .and_then(|s| s.strip_prefix("max-width:")?.strip_suffix("px")?.parse::<f64>().ok())
            .unwrap_or_else(|| picture::width_px(svg));
        let width = most.min(self.widest_px);
        let more = picture::SPARE_PX / picture::width_px(svg);
        format!("drawing({}, {}, {width}, {more:.4})", self.drawn(svg), literal(&picture::words(svg)))
    }

    pub(super) fn quote(&mut self, el: &El) -> String {
        let (by, words): (Vec<Node>, Vec<Node>) =
            el.children().iter().cloned().partition(|n| element(n).is_some_and(|e| e.name() == "footer"));
        let mut line = self.line(&words);
        if let Some(by) = by.first().and_then(element) {
            line = format!("{{{line}\nlinebreak()\nby({})}}", self.line(by.children()));
        }
        format!("said(par({line}))")
    }

    pub(super) fn letter(&mut self, el: &El) -> String {
        let mut name = "\"\"".to_owned();
        let mut lines = "\"\"".to_owned();
        let mut logo = "none".to_owned();
        for e in elements(el) {
            match e.name() {
                "b" => name = self.line(e.children()),
                "img" => logo = self.image(e),
                _ => lines = self.apart(e.children(), 8.0),
            }
        }
        format!("letter({name}, {lines}, logo: {logo})")
    }

    /// A picture that the page carries as a `data:` address.
    pub(super) fn image(&self, el: &El) -> String {
        let Some((format, bytes)) = carried(el) else { return "\"\"".to_owned() };
        let bytes: Vec<String> = bytes.iter().map(u8::to_string).collect();
        let alt = literal(el.attribute("alt").unwrap_or_default());
        format!("photo(bytes(({},)), \"{format}\", {alt}, 30pt * k)", bytes.join(","))
    }

    /// A photo. Its bytes are many and stay out of the text.
    pub(super) fn picture(&mut self, el: &El) -> String {
        let Some((format, bytes)) = carried(el) else { return "\"\"".to_owned() };
        let alt = literal(el.attribute("alt").unwrap_or_default());
        self.pictures.push(bytes);
        format!("picture(sys.inputs.at(\"photo-{}\"), \"{format}\", {alt})", self.pictures.len() - 1)
    }

    pub(super) fn safe(&mut self, el: &El) -> String {
        let before = std::mem::replace(&mut self.current, "#ffffff");
        let mut parts = Vec::new();
        for e in elements(el) {
            if e.name() == "p" {
                parts.push(self.block(e));
                continue;
            }
            let (mut sign, mut said) = ("\"\"".to_owned(), Vec::new());
            for inner in elements(e) {
                if inner.name() == "svg" {
                    sign = format!(
                        "icon({}, {})",
                        self.drawn(inner),
                        if self.single { "15pt * k" } else { "20pt * k" }
                    );
                } else {
                    said.push(self.block(inner));
                }
            }
            parts.push(format!("beside({sign}, {})", block(&said)));
        }
        self.current = before;
        format!("safe({})", parts.join(", "))
    }
}

/// Form and bytes of a picture that the page carries as a `data:` address.
fn carried(el: &El) -> Option<(&'static str, Vec<u8>)> {
    let (kind, data) = el.attribute("src")?.strip_prefix("data:image/")?.split_once(";base64,")?;
    Some((if kind == "png" { "png" } else { "jpg" }, base64(data)))
}
