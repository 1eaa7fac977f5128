//! `UprightPhoto`, `Face` → the face on a fixed grid, in linear light.

use std::sync::LazyLock;

use image::RgbImage;
use ndarray::{Array2, Array3};

use crate::face::Face;
use crate::geometry::{Homography, Point, Quad};
use crate::photo::UprightPhoto;

/// Rows of the grid, tip to base.
pub const ROWS: usize = 128;
/// Columns of the grid, left to right with the tip up.
pub const COLS: usize = 96;

/// The face unrolled to `ROWS × COLS`, row 0 at the tip.
#[derive(Debug, Clone)]
pub struct RectifiedFace {
    /// Linear-light RGB, 1.0 is the sensor's white; `ROWS × COLS × 3`.
    pub linear_rgb: Array3<f32>,
    /// False outside the picture.
    pub inside: Array2<bool>,
}

/// Takes a place on the face to a point in the picture.
///
/// The face is a patch of a cylinder: its generators, tip to base, are straight in the picture, while
/// its tip and base edges are circular arcs seen in perspective. The plane map through the four corners
/// gives the foreshortening; the measured middles of the two curved edges give the bulge.
#[derive(Debug, Clone)]
pub struct FaceGrid {
    plane: Homography,
    tip_bulge: [f64; 2],
    base_bulge: [f64; 2],
}

impl FaceGrid {
    /// `None` where the corners span no area.
    pub fn new(face: &Face) -> Option<Self> {
        let plane = Homography::between(&Quad::UNIT, &face.corners)?;
        let bulge = |middle: Point, s: f64| {
            let flat = plane.map(Point::new(0.5, s));
            [middle.x - flat.x, middle.y - flat.y]
        };
        Some(Self {
            tip_bulge: bulge(face.tip_middle, 0.0),
            base_bulge: bulge(face.base_middle, 1.0),
            plane,
        })
    }

    /// The picture point at `s` of the length (0 tip, 1 base) and `x` of the width (0 left, 1 right).
    pub fn point(&self, s: f64, x: f64) -> Point {
        let (tip, w_tip) = self.edge_point(x, 0.0, self.tip_bulge);
        let (base, w_base) = self.edge_point(x, 1.0, self.base_bulge);
        let (a, b) = ((1.0 - s) * w_tip, s * w_base);
        tip.towards(base, b / (a + b))
    }

    /// A point of the tip or base edge, and its homogeneous weight. A flat arc of angle φ rises by
    /// 1 − (φ/φmax)² of its sagitta to second order; farther parts look smaller by their weight.
    fn edge_point(&self, x: f64, s: f64, bulge: [f64; 2]) -> (Point, f64) {
        let p = Point::new(x, s);
        let w = self.plane.weight(p);
        let flat = self.plane.map(p);
        let rise = 4.0 * x * (1.0 - x) * self.plane.weight(Point::new(0.5, s)) / w;
        (
            Point::new(flat.x + bulge[0] * rise, flat.y + bulge[1] * rise),
            w,
        )
    }
}

/// Unrolls the face, averaging over each cell where the picture is finer than the grid.
/// `None` where the corners span no area.
pub fn rectify(photo: &UprightPhoto, face: &Face) -> Option<RectifiedFace> {
    let k = photo.scale();
    let grid = FaceGrid::new(face)?;
    let per_cell =
        (face.corners.length_px() / ROWS as f64).max(face.corners.width_px() / COLS as f64) * k;
    let place = |r: f64, c: f64| grid.point(r / ROWS as f64, c / COLS as f64).scaled(k);
    let size = (ROWS, COLS);
    let (linear_rgb, inside) = resample(
        &photo.pixels,
        size,
        subsamples(per_cell),
        &SRGB_TO_LINEAR,
        place,
    );
    Some(RectifiedFace { linear_rgb, inside })
}

/// Samples along each axis of a cell that covers `per_cell` pixels: enough to meet every pixel once,
/// four at most, since more changes no mean by a visible amount.
pub(crate) fn subsamples(per_cell: f64) -> usize {
    (per_cell.round() as usize).clamp(1, 4)
}

/// Averages the picture over the cells of a grid, each stored value taken through `decode` first.
/// `place` takes fractional row and column to picture coordinates. Cells with a sample outside the picture are zero and marked.
pub(crate) fn resample(
    picture: &RgbImage,
    (rows, cols): (usize, usize),
    n: usize,
    decode: &[f32; 256],
    place: impl Fn(f64, f64) -> Point,
) -> (Array3<f32>, Array2<bool>) {
    let mut light = Array3::zeros((rows, cols, 3));
    let mut inside = Array2::from_elem((rows, cols), false);
    let offset = |i: usize| (i as f64 + 0.5) / n as f64;
    let share = 1.0 / (n * n) as f32;
    for r in 0..rows {
        for c in 0..cols {
            let mut sum = [0.0_f32; 3];
            let whole = (0..n * n).all(|i| {
                let p = place(r as f64 + offset(i / n), c as f64 + offset(i % n));
                add_sample(picture, p, decode, &mut sum)
            });
            if whole {
                inside[[r, c]] = true;
                for (k, v) in sum.iter().enumerate() {
                    light[[r, c, k]] = v * share;
                }
            }
        }
    }
    (light, inside)
}

/// Adds the bilinear decoded value at `p`; false outside the picture.
fn add_sample(picture: &RgbImage, p: Point, decode: &[f32; 256], sum: &mut [f32; 3]) -> bool {
    let (w, h) = picture.dimensions();
    if !(p.x >= 0.0 && p.y >= 0.0 && p.x < f64::from(w) && p.y < f64::from(h)) {
        return false;
    }
    let (x, y) = ((p.x - 0.5).max(0.0) as f32, (p.y - 0.5).max(0.0) as f32);
    let (x0, y0) = (x as u32, y as u32);
    let (x1, y1) = ((x0 + 1).min(w - 1), (y0 + 1).min(h - 1));
    let (fx, fy) = (x - x0 as f32, y - y0 as f32);
    let corners = [
        (x0, y0, (1.0 - fx) * (1.0 - fy)),
        (x1, y0, fx * (1.0 - fy)),
        (x0, y1, (1.0 - fx) * fy),
        (x1, y1, fx * fy),
    ];
    for (px, py, weight) in corners {
        let rgb = picture.get_pixel(px, py).0;
        for (s, v) in sum.iter_mut().zip(rgb) {
            *s += weight * decode[usize::from(v)];
        }
    }
    true
}

/// sRGB decoding (IEC 61966-2-1:1999) of the 256 stored values.
pub(crate) static SRGB_TO_LINEAR: LazyLock<[f32; 256]> =
    LazyLock::new(|| std::array::from_fn(|v| srgb_to_linear(v as f32 / 255.0)));

/// The stored values as they are, 0 to 1: what the networks were trained on.
pub(crate) static AS_STORED: LazyLock<[f32; 256]> =
    LazyLock::new(|| std::array::from_fn(|v| v as f32 / 255.0));

/// sRGB decoding (IEC 61966-2-1:1999), 0 to 1.
pub fn srgb_to_linear(v: f32) -> f32 {
    if v <= 0.04045 {
        v / 12.92
    } else {
        ((v + 0.055) / 1.055).powf(2.4)
    }
}

/// sRGB encoding (IEC 61966-2-1:1999), 0 to 1.
pub fn linear_to_srgb(v: f32) -> f32 {
    if v <= 0.003_130_8 {
        v * 12.92
    } else {
        1.055 * v.powf(1.0 / 2.4) - 0.055
    }
}
