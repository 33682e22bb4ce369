//! Drawings and charts, as shapes in their own units, set as SVG or as lines of text.

use std::fmt::Write as _;

/// A drawing or a chart.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Figure {
    /// What it shows.
    pub caption: String,
    /// Left, top, width and height of what is shown; y goes down.
    pub view: (f64, f64, f64, f64),
    /// Width on a page, in millimetres.
    pub page_mm: f64,
    /// What is drawn, in order.
    pub shapes: Vec<Shape>,
    /// The same said in lines of text, for forms without drawings.
    pub lines: Vec<String>,
}

/// How a line or an outline is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    /// In place: full line, light fill.
    Solid,
    /// Not there yet, or a limit: dashed.
    Dashed,
    /// A thin line that leads to a label.
    Thin,
}

/// Something drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// From point to point.
    Line((f64, f64), (f64, f64), Ink),
    /// Left, top, width, height.
    Rect((f64, f64, f64, f64), Ink),
    /// Centre and radius.
    Circle((f64, f64), f64, Ink),
    /// Words around a point, with their size.
    Words((f64, f64), f64, String),
}

/// Words that are harmless in HTML and SVG: no codes, no markup, no way out of an attribute.
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in crate::module::printable(text).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

impl Ink {
    const fn class(self) -> &'static str {
        match self {
            Self::Solid => "solid",
            Self::Dashed => "dashed",
            Self::Thin => "thin",
        }
    }
}

/// A coordinate: three decimals are enough on paper, and a number that is none is drawn at zero.
fn n(value: f64) -> String {
    let value = if value.is_finite() { value } else { 0.0 };
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

impl Figure {
    /// As SVG, for a page that holds the styles `solid`, `dashed`, `thin`.
    #[must_use]
    pub fn svg(&self) -> String {
        let (x, y, w, h) = self.view;
        let mut s = format!(
            "<svg viewBox=\"{} {} {} {}\" style=\"width:{}mm\" role=\"img\" aria-label=\"{}\" xmlns=\"http://www.w3.org/2000/svg\">",
            n(x),
            n(y),
            n(w),
            n(h),
            n(self.page_mm),
            escaped(&self.caption)
        );
        for shape in &self.shapes {
            // Writing into a text cannot fail.
            let _ = match shape {
                Shape::Line(a, b, ink) => write!(
                    s,
                    "<line class=\"{}\" x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\"/>",
                    ink.class(),
                    n(a.0),
                    n(a.1),
                    n(b.0),
                    n(b.1)
                ),
                Shape::Rect(r, ink) => write!(
                    s,
                    "<rect class=\"{}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>",
                    ink.class(),
                    n(r.0),
                    n(r.1),
                    n(r.2.max(0.0)),
                    n(r.3.max(0.0))
                ),
                Shape::Circle(c, r, ink) => write!(
                    s,
                    "<circle class=\"{}\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>",
                    ink.class(),
                    n(c.0),
                    n(c.1),
                    n(r.max(0.0))
                ),
                Shape::Words(at, size, text) => write!(
                    s,
                    "<text x=\"{}\" y=\"{}\" font-size=\"{}\">{}</text>",
                    n(at.0),
                    n(at.1),
                    n(*size),
                    escaped(text)
                ),
            };
        }
        s.push_str("</svg>");
        s
    }
}
