//! The marks on the photo itself: outline, tip and base, compound, what was not judged.

use image::{Rgb, RgbImage};
use ndarray::Array2;

use super::spread::{self, ShownFace};
use super::{BLACK, Shown, WHITE, canvas};
use crate::reading::compound::CompoundMap;
use crate::reading::geometry::Point;
use crate::reading::inspect::Inspection;

/// Points along each edge of the outline: a bow of a twentieth of the edge is then drawn to a ten-thousandth of it,
/// since n chords leave an n²-th of a bow.
const EDGE_POINTS: usize = 24;

/// Marks the face, where there is one.
pub(super) fn draw(shown: &mut Shown, inspection: &Inspection) {
    let face = inspection.reading.face.as_ref();
    let Some(face) = &face.and_then(|face| ShownFace::new(face, &inspection.photo, shown.scale))
    else {
        return;
    };
    // In proportion, so that lines look alike in pictures of every size.
    let pen = f64::from(shown.pixels.width().max(shown.pixels.height())) / 400.0;
    if let Some(map) = &inspection.compound {
        tint(shown, face, map, pen);
    }
    let outline = outline(face);
    // White on a wider black line: one of them shows on any metal.
    stroke(&mut shown.pixels, &outline, 1.6 * pen, BLACK);
    stroke(&mut shown.pixels, &outline, 0.8 * pen, WHITE);
    label(&mut shown.pixels, face, "TIP", 0.0);
    label(&mut shown.pixels, face, "BASE", 1.0);
}

fn tint(shown: &mut Shown, face: &ShownFace, map: &CompoundMap, pen: f64) {
    let marks = Marks::of(face, map, [shown.pixels.width(), shown.pixels.height()]);
    // Finer, the lines of the marks, a sixth of it wide, would run into one another.
    let pitch = (pen * 5.0).round().max(6.0) as u32;
    let reach = pen.ceil() as u32;
    let pixels = shown.pixels.enumerate_pixels_mut().zip(&marks.marks);
    for ((x, y, pixel), mark) in pixels {
        *pixel = match mark {
            None | Some(Mark::Clean) => continue,
            Some(Mark::Compound) if marks.borders_on_clean(x, y, reach) => BLACK,
            Some(Mark::Compound) => canvas::compound_mark(*pixel, x, y, pitch),
            Some(Mark::Unjudged) => canvas::unjudged_mark(*pixel, x, y, pitch),
        };
    }
}

/// What is marked at each pixel of the shown photo; `None` off the face.
struct Marks {
    width: u32,
    marks: Vec<Option<Mark>>,
}

impl Marks {
    fn of(face: &ShownFace, map: &CompoundMap, size: [u32; 2]) -> Self {
        let cells = Array2::from_shape_fn(map.cover.dim(), |(r, c)| mark(map, [r, c]));
        Self {
            width: size[0],
            marks: spread::lay(face, size, &cells),
        }
    }

    /// `None` off the picture too.
    fn at(&self, x: u32, y: u32) -> Option<Mark> {
        let in_row = (x < self.width).then_some(x as usize)?;
        let index = y as usize * self.width as usize + in_row;
        self.marks.get(index).copied().flatten()
    }

    /// Whether clean metal lies that near: the edge of the compound is drawn as a line, for grey print.
    fn borders_on_clean(&self, x: u32, y: u32, reach: u32) -> bool {
        let near = [
            (x.saturating_sub(reach), y),
            (x + reach, y),
            (x, y.saturating_sub(reach)),
            (x, y + reach),
        ];
        near.iter()
            .any(|&(x, y)| self.at(x, y) == Some(Mark::Clean))
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Mark {
    Clean,
    Compound,
    Unjudged,
}

fn mark(map: &CompoundMap, at: [usize; 2]) -> Mark {
    if !map.judged[at] {
        Mark::Unjudged
    } else if map.cover[at] > 0.5 {
        Mark::Compound
    } else {
        Mark::Clean
    }
}

/// Round the face: along the curved tip edge, down the right flank, back along the base.
fn outline(face: &ShownFace) -> Vec<Point> {
    let step = |i: usize| i as f64 / EDGE_POINTS as f64;
    let tip = (0..EDGE_POINTS).map(|i| face.at(step(i), 0.0));
    let right = (0..EDGE_POINTS).map(|i| face.at(1.0, step(i)));
    let base = (0..EDGE_POINTS).map(|i| face.at(1.0 - step(i), 1.0));
    let left = (0..EDGE_POINTS).map(|i| face.at(0.0, 1.0 - step(i)));
    tip.chain(right).chain(base).chain(left).collect()
}

/// A closed line of round dots, `radius` px thick either side.
fn stroke(picture: &mut RgbImage, points: &[Point], radius: f64, ink: Rgb<u8>) {
    for (index, &from) in points.iter().enumerate() {
        let to = points[(index + 1) % points.len()];
        let dots = (from.distance(to) / radius.max(1.0) * 2.0)
            .ceil()
            // Given corners may lie far outside: not a dot for each of a million pixels on the way.
            .clamp(1.0, 10_000.0);
        for dot in 0..dots as usize {
            self::dot(picture, from.towards(to, dot as f64 / dots), radius, ink);
        }
    }
}

/// Dots off the picture are left out: a corner may lie far outside it.
fn dot(picture: &mut RgbImage, at: Point, radius: f64, ink: Rgb<u8>) {
    let (width, height) = (f64::from(picture.width()), f64::from(picture.height()));
    let seen = |v: f64, side: f64| v > -radius && v < side + radius;
    if seen(at.x, width) && seen(at.y, height) {
        let (centre, radius) = (
            (at.x.round() as i32, at.y.round() as i32),
            radius.round().max(1.0),
        );
        imageproc::drawing::draw_filled_circle_mut(picture, centre, radius as i32, ink);
    }
}

/// White letters on a black plate, just outside the middle of an edge and never off the picture.
fn label(picture: &mut RgbImage, face: &ShownFace, text: &str, along: f64) {
    let (width, height) = (f64::from(picture.width()), f64::from(picture.height()));
    let size = (width.max(height) / 32.0).max(20.0);
    let plate = (canvas::text_width(text, size) + size * 0.6, size * 1.2);
    let (edge, centre) = (face.at(0.5, along), face.at(0.5, 0.5));
    let (dx, dy) = (edge.x - centre.x, edge.y - centre.y);
    let norm = dx.hypot(dy).max(1e-9);
    // Far enough out for the plate to clear the edge, whichever way the edge lies.
    let out = (plate.0 * dx.abs() + plate.1 * dy.abs()) / norm / 2.0 + size * 0.4;
    let place = |edge: f64, toward: f64, plate: f64, side: f64| {
        // The inner `max`: a plate wider than the picture would turn the ends round, at which `clamp`
        // panics.
        (edge + toward / norm * out - plate / 2.0).clamp(0.0, (side - plate).max(0.0))
    };
    let left = place(edge.x, dx, plate.0, width);
    let top = place(edge.y, dy, plate.1, height);
    let plate_px = [left, top, left + plate.0, top + plate.1].map(|v| v.round() as u32);
    canvas::fill(picture, plate_px, BLACK);
    canvas::text(
        picture,
        text,
        (left + size * 0.3, top + size * 0.1),
        size,
        WHITE,
    );
}
