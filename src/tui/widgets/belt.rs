//! The belt drive to scale, with the deflection at mid span and its force.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line as Words;
use ratatui::widgets::canvas::{Canvas, Circle, Line};

use crate::procedure::plan::DrawnBelt;
use crate::quantity::rounded;

use super::{Pen, bounds};

/// Draws pulley, driver, both spans and the pressed span.
pub fn draw(frame: &mut Frame<'_>, area: Rect, belt: &DrawnBelt, pen: Pen) {
    if area.width < 16 || area.height < 5 {
        return;
    }
    let (rotor, driver) = (belt.driven_mm / 2.0, belt.driver_mm / 2.0);
    let top = rotor.max(driver);
    let (x, y) = bounds(area, -rotor - 10.0, -top * 1.3, belt.centre_mm + driver + 10.0, top * 1.1);
    let slope = ((driver - rotor) / belt.centre_mm).clamp(-1.0, 1.0).asin();
    let (sin, cos) = slope.sin_cos();
    let row = (y[1] - y[0]) / f64::from(area.height);
    let cell = (x[1] - x[0]) / f64::from(area.width);
    let canvas = Canvas::default().marker(pen.marker).x_bounds(x).y_bounds(y).paint(|ctx| {
        let color = pen.theme.fitted();
        ctx.draw(&Circle { x: 0.0, y: 0.0, radius: rotor, color });
        ctx.draw(&Circle { x: belt.centre_mm, y: 0.0, radius: driver, color });
        // Tangent points lie turned back by the slope.
        let (ax, ay) = (-rotor * sin, rotor * cos);
        let (bx, by) = (belt.centre_mm - driver * sin, driver * cos);
        ctx.draw(&Line { x1: ax, y1: -ay, x2: bx, y2: -by, color });
        let (mx, my) = (f64::midpoint(ax, bx), f64::midpoint(ay, by));
        // The deflection is small; it is drawn larger so that it can be seen, and said in words.
        let shown = belt.deflection_mm.max(top * 0.12);
        ctx.draw(&Line { x1: ax, y1: ay, x2: mx, y2: my - shown, color });
        ctx.draw(&Line { x1: mx, y1: my - shown, x2: bx, y2: by, color });
        let now = pen.theme.now();
        ctx.draw(&Line { x1: mx, y1: my + top * 0.35, x2: mx, y2: my - shown + 2.0, color: now });
        ctx.layer();
        let text = format!("{} N at {} mm", rounded(belt.force_n, 1), rounded(belt.deflection_mm, 1));
        ctx.print(mx + cell * 2.0, my + top * 0.35, Words::from(text));
        ctx.print(
            x[0],
            y[0] + row * 0.1,
            Words::from(format!("span {} mm, deflection drawn larger", rounded(belt.span_mm, 0))),
        );
        ctx.print(-rotor * 0.6, 0.0, Words::from("rotor"));
        ctx.print(belt.centre_mm - driver * 0.5, 0.0, Words::from("driver"));
    });
    frame.render_widget(canvas, area);
}
