//! Where the face lies in the shown photo, and maps of the face laid on it.

use ndarray::Array2;

use crate::reading::camera::Camera;
use crate::reading::face::Face;
use crate::reading::geometry::Point;
use crate::reading::photo::UprightPhoto;
use crate::reading::rectify::{FaceGrid, Generator};

/// The face in pixels of the shown photo.
pub(super) struct ShownFace {
    grid: FaceGrid,
    scale: f64,
}

impl ShownFace {
    /// `scale`: shown pixels per full-size pixel. `None` for corners that outline nothing.
    pub(super) fn new(face: &Face, photo: &UprightPhoto, scale: f64) -> Option<Self> {
        let grid = FaceGrid::new(face, &Camera::of(photo.size_px, photo.focal_35mm))?;
        Some(Self { grid, scale })
    }

    /// `across` from the left to the right flank, `along` from the tip to the base, both 0 to 1.
    pub(super) fn at(&self, across: f64, along: f64) -> Point {
        self.grid.point(along, across).scaled(self.scale)
    }

    /// The corners of all cells of a map of the face, row by row from the tip.
    fn lattice(&self, rows: usize, columns: usize) -> Vec<Point> {
        let share = |i: usize, of: usize| i as f64 / of as f64;
        let lines = (0..=columns).map(|c| self.grid.generator(share(c, columns)));
        let lines: Vec<_> = lines.collect();
        let row = |r: usize| {
            let point = move |line: &Generator| line.point(share(r, rows));
            lines.iter().map(point).map(|p| p.scaled(self.scale))
        };
        (0..=rows).flat_map(row).collect()
    }
}

/// A map of the face laid on the shown photo, pixel by pixel and row by row; `None` off the face.
pub(super) fn lay<T: Copy>(
    face: &ShownFace,
    [width, height]: [u32; 2],
    map: &Array2<T>,
) -> Vec<Option<T>> {
    let mut laid = vec![None; width as usize * height as usize];
    let (rows, columns) = map.dim();
    let lattice = face.lattice(rows, columns);
    let corner = |r: usize, c: usize| lattice[r * (columns + 1) + c];
    for ((row, column), value) in map.indexed_iter() {
        let quad = [
            corner(row, column),
            corner(row, column + 1),
            corner(row + 1, column + 1),
            corner(row + 1, column),
        ];
        let [left, right] = span(quad.map(|p| p.x), width);
        let [top, bottom] = span(quad.map(|p| p.y), height);
        for y in top..bottom {
            for x in left..right {
                if holds(&quad, x as f64 + 0.5, y as f64 + 0.5) {
                    laid[y * width as usize + x] = Some(*value);
                }
            }
        }
    }
    laid
}

/// The pixels whose centres lie between the least and the greatest.
fn span(values: [f64; 4], size: u32) -> [usize; 2] {
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let pixel = |v: f64| v.clamp(0.0, f64::from(size)) as usize;
    [pixel((low - 0.5).ceil()), pixel((high + 0.5).floor())]
}

/// Whether a point lies in a convex quadrilateral or on its edge, whichever way round that is given: cells
/// that share an edge leave no pixel out between them.
fn holds(quad: &[Point; 4], x: f64, y: f64) -> bool {
    let side = |i: usize| {
        let (a, b) = (quad[i], quad[(i + 1) % 4]);
        (b.x - a.x) * (y - a.y) - (b.y - a.y) * (x - a.x)
    };
    let sides = [side(0), side(1), side(2), side(3)];
    sides.iter().all(|s| *s >= 0.0) || sides.iter().all(|s| *s <= 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quadrilateral_holds_its_edges_either_way_round() {
        let at = |x, y| Point::new(x, y);
        let quad = [at(0.0, 0.0), at(4.0, 0.0), at(3.0, 2.0), at(0.0, 2.0)];
        let back = [quad[3], quad[2], quad[1], quad[0]];
        for (x, y, inside) in [
            (1.0, 1.0, true),
            (4.0, 0.0, true),
            (3.5, 1.0, true),
            (3.6, 1.0, false),
        ] {
            assert_eq!(
                (holds(&quad, x, y), holds(&back, x, y)),
                (inside, inside),
                "{x}, {y}"
            );
        }
    }

    #[test]
    fn centres_on_the_edge_of_a_span_are_in_it() {
        // Pixel k has its centre at k + 0.5.
        assert_eq!(span([0.5, 2.5, 1.0, 1.0], 10), [0, 3]);
        assert_eq!(span([0.6, 2.4, 1.0, 1.0], 10), [1, 2]);
        assert_eq!(span([-9.0, 99.0, 0.0, 0.0], 10), [0, 10]);
    }
}
