//! Both pulleys of a drive from above, to scale: the plane they have to share, and the straightedge that shows it.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line as Words;
use ratatui::widgets::canvas::{Canvas, Line, Rectangle};

use crate::procedure::plan::{Drawing, DrawnDrive};

use super::section::{self, Machine};
use super::{Pen, bounds, caption};

/// Draws the shaft from above with what is on it, the other pulley beside it at `centre` mm, and the straightedge.
pub fn draw(
    frame: &mut Frame<'_>,
    area: Rect,
    drawing: &Drawing,
    drive: &DrawnDrive,
    centre: f64,
    machine: &Machine<'_>,
    pen: Pen,
) {
    let Some(pulley) = drawing.parts.iter().find(|p| p.id == drive.pulley) else { return };
    if area.width < 16 || area.height < 6 {
        return;
    }
    let words = [
        format!("{} and {} from above, the straightedge on both faces", drive.pulley, drive.other),
        format!("Far end left. The {} is drawn as wide as the hub; its width is not in the spec.", drive.other),
    ];
    let picture = caption(frame, area, &words, pen);
    let radius = drawing.parts.iter().map(|p| p.outer_mm / 2.0).fold(drawing.shaft_diameter_mm, f64::max);
    let low = centre + drive.other_mm / 2.0;
    let (x, y) = bounds(picture, -8.0, -low * 1.04, drawing.shaft_length_mm + 8.0, radius * 1.04);
    let cell = (x[1] - x[0]) / f64::from(picture.width.max(1));
    let canvas = Canvas::default().marker(pen.marker).x_bounds(x).y_bounds(y).paint(|ctx| {
        section::paint(ctx, drawing, machine, pen);
        let now = pen.theme.now();
        let width = pulley.to_mm - pulley.from_mm;
        ctx.draw(&Rectangle { x: pulley.from_mm, y: -low, width, height: drive.other_mm, color: now });
        // The face towards the drive end; half a cell clear of it, so that it is seen.
        let face = pulley.to_mm + cell * 0.5;
        let (x1, y1) = (face, pulley.outer_mm / 2.0);
        ctx.draw(&Line { x1, y1, x2: face, y2: -low, color: pen.theme.fitted() });
        ctx.layer();
        ctx.print(pulley.to_mm + cell * 2.0, -centre, Words::from(drive.other.clone()));
        ctx.print(
            pulley.to_mm + cell * 2.0,
            -f64::midpoint(radius, centre - drive.other_mm / 2.0),
            Words::from("straightedge"),
        );
    });
    frame.render_widget(canvas, picture);
}
