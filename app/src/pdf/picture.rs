//! The page's drawings as files of their own: style sheet within, colours written out.

use report::markup::{El, Node, el};

/// The printed page's colours by name.
pub(super) struct Paint(Vec<(&'static str, &'static str)>);

impl Paint {
    pub(super) fn new() -> Paint {
        Paint(report::html::print_colours())
    }

    pub(super) fn of(&self, name: &str) -> &'static str {
        // A colour that nobody named is ink.
        self.0.iter().find(|c| c.0 == name).map_or("#000000", |c| c.1)
    }

    pub(super) fn all(&self) -> &[(&'static str, &'static str)] {
        &self.0
    }

    /// A style with `var(--ink)` and `currentColor` written out.
    fn plain(&self, style: &str, current: &str) -> String {
        let mut out = String::new();
        let mut parts = style.split("var(--");
        out.push_str(parts.next().unwrap_or_default());
        for part in parts {
            let (name, rest) = part.split_once(')').unwrap_or((part, ""));
            out.push_str(self.of(name));
            out.push_str(rest);
        }
        out.replace("currentColor", current)
    }
}

/// The drawing as SVG that needs nothing else; `current` is the colour of the text around it.
pub(super) fn file(svg: &El, paint: &Paint, current: &str) -> String {
    let mut out = copy(svg, paint, current);
    if svg.attribute("xmlns").is_none() {
        out = out.attr("xmlns", "http://www.w3.org/2000/svg");
    }
    if svg.attribute("role").is_some() {
        // A browser shows what reaches beyond the drawing's edge; here it would be cut.
        let view: Vec<f64> =
            svg.attribute("viewBox").unwrap_or_default().split(' ').flat_map(str::parse).collect();
        if let [x, y, width, height] = view.as_slice() {
            out = out
                .set("viewBox", format!("{} {y} {} {height}", x - SPARE_PX, width + 2.0 * SPARE_PX))
                .set("width", width + 2.0 * SPARE_PX);
        }
    }
    if svg.has_class("fig") {
        // The font is named once; of the page's rules only those of what is drawn.
        let rules = report::figure::CSS.lines().filter(|line| line.starts_with(".fig "));
        let rules: String = rules.map(|line| paint.plain(line, current)).collect();
        out = out.with(el("style").with(format!("svg{{font-family:{FACE}}}{rules}")));
    }
    out.render()
}

/// Room at each side of a drawing, px.
pub(super) const SPARE_PX: f64 = 16.0;
/// Family of the fonts, as drawings name it.
const FACE: &str = "DejaVu Sans";

fn copy(from: &El, paint: &Paint, current: &str) -> El {
    let mut out = el(from.name());
    for (name, value) in from.attributes() {
        // Sizes on a screen are the page's matter.
        if from.name() == "svg" && *name == "style" {
            continue;
        }
        let styles = matches!(*name, "style" | "fill" | "stroke");
        out = out.attr(name, if styles { paint.plain(value, current) } else { value.clone() });
    }
    for child in from.children() {
        match child {
            // Told beside the picture.
            Node::Element(e) if matches!(e.name(), "title" | "desc") => {}
            Node::Element(e) => out.push(copy(e, paint, current)),
            Node::Text(text) => {
                out.push(
                    text.chars()
                        .map(|c| if super::world::has(c) { c } else { '\u{fffd}' })
                        .collect::<String>(),
                );
            }
            Node::Css(_) => {}
        }
    }
    out
}

/// What a drawing shows, in words: its title and its description.
pub(super) fn words(svg: &El) -> String {
    let said = |name: &str| {
        let found = svg.children().iter().find_map(|c| match c {
            Node::Element(e) if e.name() == name => Some(e.inner_text()),
            _ => None,
        });
        found.unwrap_or_default()
    };
    let (title, description) = (said("title"), said("desc"));
    if description.is_empty() { title } else { format!("{title}. {description}") }
}

/// Width in pixels that a drawing asks for.
pub(super) fn width_px(svg: &El) -> f64 {
    let view = || svg.attribute("viewBox").and_then(|v| v.split(' ').nth(2)).and_then(|w| w.parse().ok());
    svg.attribute("width").and_then(|w| w.parse().ok()).or_else(view).unwrap_or(328.0)
}
