//! The marks of checks, cuts and turns of the estimate. Told apart by shape; colour only helps.

use plotters::coord::Shift;
use plotters::prelude::{
    Circle, Color, DrawingArea, DrawingBackend, PathElement, Polygon, RGBColor, Rectangle,
};

use super::columns::{Flag, Shape};
use super::{BLACK, BLUE, DARK, Drawn, GREEN, PURPLE, SKY_BLUE, VERMILLION, WHITE};

/// White round a mark, so that it stands out from what lies below, px.
const HALO_PX: f64 = 1.5;

/// A place on the picture, px.
pub(super) type Place = (i32, i32);

impl Shape {
    fn ink(self) -> RGBColor {
        match self {
            Self::FullLength => GREEN,
            Self::TooMuch => VERMILLION,
            Self::TooLittle => BLUE,
            Self::Other => PURPLE,
        }
    }

    /// Radius of the circle round a mark of nominal radius `r` whose edge is moved out by `by`: all
    /// shapes look alike in size, and a rim is as wide on each.
    fn radius(self, r: f64, by: f64) -> f64 {
        match self {
            Self::FullLength => r + by,
            // An equilateral triangle's corners go out twice as far as its edges.
            Self::TooMuch | Self::TooLittle => 1.35 * r + 2.0 * by,
            // A square's corners go out √2 times as far as its edges.
            Self::Other => 1.2 * r + std::f64::consts::SQRT_2 * by,
        }
    }

    /// Corners about the middle for a circle of that radius; none where it is a circle itself.
    fn corners(self, radius: f64) -> Vec<(f64, f64)> {
        let (half, side) = (radius / 2.0, radius * 0.75_f64.sqrt());
        match self {
            Self::FullLength => Vec::new(),
            // y grows downwards: too much points down, the way the taper has to go.
            Self::TooMuch => vec![(0.0, radius), (side, -half), (-side, -half)],
            Self::TooLittle => vec![(0.0, -radius), (side, half), (-side, half)],
            Self::Other => vec![(0.0, -radius), (radius, 0.0), (0.0, radius), (-radius, 0.0)],
        }
    }
}

/// A check's mark; hollow where it does not count.
pub(super) fn check<DB: DrawingBackend>(
    area: &DrawingArea<DB, Shift>,
    shape: Shape,
    counts: bool,
    at: Place,
    r: f64,
) -> Drawn<DB> {
    // From the outside in: each covers the middle of the one before.
    blob(area, shape, at, shape.radius(r, HALO_PX), WHITE)?;
    blob(area, shape, at, shape.radius(r, 0.0), shape.ink())?;
    if !counts {
        let rim = (r * 0.3).max(1.0);
        blob(area, shape, at, shape.radius(r, -rim), WHITE)?;
    }
    Ok(())
}

fn blob<DB: DrawingBackend>(
    area: &DrawingArea<DB, Shift>,
    shape: Shape,
    at: Place,
    radius: f64,
    ink: RGBColor,
) -> Drawn<DB> {
    let corners = shape.corners(radius);
    if corners.is_empty() {
        return area.draw(&Circle::new(
            at,
            radius.round().max(1.0) as i32,
            ink.filled(),
        ));
    }
    let place = |(x, y): (f64, f64)| (at.0 + x.round() as i32, at.1 + y.round() as i32);
    let corners: Vec<Place> = corners.into_iter().map(place).collect();
    area.draw(&Polygon::new(corners, ink.filled()))
}

/// The interval of the needed taper: a bar with a dot at the median.
pub(super) fn interval<DB: DrawingBackend>(
    area: &DrawingArea<DB, Shift>,
    [high, median, low]: [Place; 3],
    r: f64,
) -> Drawn<DB> {
    let half = (r * 0.35).round().max(1.0) as i32;
    // At least a pixel high, however narrow the interval.
    let (top, bottom) = (high.1.min(low.1 - 1), low.1);
    let corners = [(high.0 - half, top), (low.0 + half, bottom)];
    area.draw(&Rectangle::new(corners, SKY_BLUE.filled()))?;
    for (x, y) in [(high.0, top), (low.0, bottom)] {
        let end = [(x - 2 * half, y - 1), (x + 2 * half, y + 1)];
        area.draw(&Rectangle::new(end, DARK.filled()))?;
    }
    let dot = (r * 0.5).round().max(2.0) as i32;
    area.draw(&Circle::new(median, dot, BLACK.filled()))
}

/// A new cut: a wedge on the lower edge.
pub(super) fn cut<DB: DrawingBackend>(
    area: &DrawingArea<DB, Shift>,
    at: Place,
    r: f64,
) -> Drawn<DB> {
    let (half, high) = ((r * 0.8).max(4.0) as i32, (r * 1.8).max(8.0) as i32);
    let corners = vec![
        (at.0, at.1 - high),
        (at.0 + half, at.1),
        (at.0 - half, at.1),
    ];
    area.draw(&Polygon::new(corners, BLACK.filled()))
}

/// Where the estimate starts anew: a broken line from top to bottom, crossed at the top where it is for
/// a contradiction.
pub(super) fn flag<DB: DrawingBackend>(
    area: &DrawingArea<DB, Shift>,
    flag: Flag,
    x: i32,
    [top, bottom]: [i32; 2],
    r: f64,
) -> Drawn<DB> {
    let (dash, ink) = match flag {
        Flag::Anew => (9, DARK),
        Flag::Contradicts => (3, VERMILLION),
    };
    // A gap is two thirds of a dash.
    for from in (top..bottom).step_by(dash as usize * 5 / 3) {
        let ends = vec![(x, from), (x, (from + dash).min(bottom))];
        area.draw(&PathElement::new(ends, ink.stroke_width(1)))?;
    }
    if flag == Flag::Contradicts {
        cross(area, (x, top), r, ink)?;
    }
    Ok(())
}

fn cross<DB: DrawingBackend>(
    area: &DrawingArea<DB, Shift>,
    (x, y): Place,
    r: f64,
    ink: RGBColor,
) -> Drawn<DB> {
    let arm = r.round().max(3.0) as i32;
    for side in [arm, -arm] {
        let ends = vec![(x - side, y - arm), (x + side, y + arm)];
        area.draw(&PathElement::new(ends, ink.stroke_width(3)))?;
    }
    Ok(())
}

/// The taper that was cut.
pub(super) fn step_line<DB: DrawingBackend>(
    area: &DrawingArea<DB, Shift>,
    places: Vec<Place>,
) -> Drawn<DB> {
    area.draw(&PathElement::new(places, DARK.stroke_width(2)))
}
