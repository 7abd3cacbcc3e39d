//! Figures as SVG, drawn from plain data by a small builder of our own.
//!
//! Every figure has a title and a description for screen readers, takes its colours from the
//! page's tokens (so light, dark and print work), and keeps type at 13 px and more at its real
//! size: [`Size::Narrow`] is drawn for a phone's column, [`Size::Wide`] for a desk and for paper.

mod canvas;
mod how;
mod known;
mod ladder;
mod limit;
mod now_after;
mod plans;
mod scale;
mod section;
mod test_plot;

pub use canvas::text_width;
pub use how::how;
pub use known::known;
pub use ladder::ladder;
pub use limit::against_limit;
pub use now_after::now_after;
pub use plans::{chance_of_best, score};
pub use section::{flow_key, section, setup};
pub use test_plot::test_plot;

/// For which column a figure is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Size {
    /// A phone: 328 px.
    Narrow,
    /// A desk or a sheet of paper: up to 704 px.
    Wide,
}

impl Size {
    /// A name that is this size's own: both drawings of a figure stand on one page.
    fn id(self, name: &str) -> String {
        match self {
            Size::Narrow => format!("{name}-narrow"),
            Size::Wide => format!("{name}-wide"),
        }
    }
}

/// Width of a narrow figure, px: a 360 px screen less its margins.
pub const NARROW_PX: f64 = 328.0;
/// Width of a wide figure, px: what A4 and Letter hold between their margins.
pub const WIDE_PX: f64 = 704.0;

/// The rules all figures need; a page that shows figures includes them once.
pub const CSS: &str = "
.how-fig{max-width:427px}.how-key{margin:8px 0 0;padding-left:28px;list-style:decimal}.how-key li{margin:2px 0}
svg.fig{display:block;width:100%;height:auto;overflow:visible;font-family:inherit;font-variant-numeric:tabular-nums lining-nums}
.fig text{fill:var(--ink);font-size:14px}
.fig .s{font-size:13px}.fig .h{font-size:20px;font-weight:600}
.fig .b{font-weight:700}.fig .m{text-anchor:middle}.fig .e{text-anchor:end}
.fig .sf{fill:var(--soft)}.fig .ac{fill:var(--accent)}.fig .ca{fill:var(--caution)}
.fig .halo{paint-order:stroke;stroke:var(--bg);stroke-width:4px;stroke-linejoin:round}
.fig .grid{stroke:var(--line);stroke-width:1px;fill:none}
.fig .axis{stroke:var(--edge);stroke-width:1.25px;fill:none}
.fig .zero{stroke:var(--ink);stroke-width:2px;fill:none}
.fig .ink{stroke:var(--ink);stroke-width:1.75px;fill:none}
.fig .acc{stroke:var(--accent);stroke-width:2.25px;fill:none}
.fig .lim{stroke:var(--caution);stroke-width:2.25px;fill:none}
.fig .dash{stroke-dasharray:4 3}
.fig .thick{stroke:var(--wall);stroke-width:4.5px;fill:none;stroke-linecap:square}
.fig .thin{stroke:var(--wall);stroke-width:1.75px;fill:none;stroke-linecap:square}
.fig .f-bg{fill:var(--bg)}.fig .f-paper{fill:var(--paper)}.fig .f-ink{fill:var(--ink)}.fig .f-soft{fill:var(--soft)}.fig .f-acc{fill:var(--accent)}
.fig .f-wash{fill:var(--wash)}.fig .f-lim{fill:var(--caution)}.fig .f-earth{fill:var(--earth)}.fig .f-edge{fill:var(--edge)}.fig .f-none{fill:none}
.fig .o-bg{stroke:var(--bg);stroke-width:1px}.fig .o-ink{stroke:var(--ink);stroke-width:1.5px}.fig .o-acc{stroke:var(--accent);stroke-width:1.5px}.fig .o-edge{stroke:var(--edge);stroke-width:1.5px}.fig .o-lim{stroke:var(--caution);stroke-width:2px}
";
