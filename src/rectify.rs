//! `UprightPhoto`, `Face` → the face on a fixed grid, in linear light.

use image::RgbImage;
use ndarray::{Array2, Array3};

use crate::camera::Camera;
use crate::colour::SRGB_TO_LINEAR;
use crate::face::Face;
use crate::geometry::Point;
use crate::photo::UprightPhoto;

mod grid;

pub use grid::FaceGrid;

/// Rows of the grid, tip to base.
pub(crate) const ROWS: usize = 128;
/// Columns of the grid, left to right with the tip up.
pub(crate) const COLS: usize = 96;

/// The face unrolled to `ROWS × COLS`, row 0 at the tip.
#[derive(Debug, Clone)]
pub struct RectifiedFace {
    /// Linear-light RGB, 1.0 is the sensor's white; `ROWS × COLS × 3`.
    pub linear_rgb: Array3<f32>,
    /// False outside the picture.
    pub inside: Array2<bool>,
    /// Where each place on the face lies in the picture.
    pub grid: FaceGrid,
}

/// Unrolls the face, averaging over each cell where the picture is finer than the grid.
/// `None` where three corners lie on a line.
pub fn rectify(photo: &UprightPhoto, face: &Face) -> Option<RectifiedFace> {
    let k = photo.scale();
    let grid = FaceGrid::new(face, &Camera::of(photo.size_px, photo.focal_35mm))?;
    let per_cell =
        (face.corners.length_px() / ROWS as f64).max(face.corners.width_px() / COLS as f64) * k;
    let n = subsamples(per_cell);
    let lines: Vec<_> = (0..COLS * n)
        .map(|i| grid.generator((i as f64 + 0.5) / (COLS * n) as f64))
        .collect();
    let place = |r: f64, c: f64| {
        lines[(c * n as f64) as usize]
            .point(r / ROWS as f64)
            .scaled(k)
    };
    let (linear_rgb, inside) = resample(&photo.pixels, (ROWS, COLS), n, &SRGB_TO_LINEAR, place);
    Some(RectifiedFace {
        linear_rgb,
        inside,
        grid,
    })
}

/// Samples along each axis of a cell that covers `per_cell` pixels: a bilinear sample reaches over two
/// pixels, so one for every two meets every pixel; four at most, since more change no mean by a visible
/// amount.
pub(crate) fn subsamples(per_cell: f64) -> usize {
    ((per_cell / 2.0).ceil() as usize).clamp(1, 4)
}

/// Averages the picture over the cells of a grid, each stored value taken through `decode` first.
/// `place` takes fractional row and column to picture coordinates. Cells with a sample outside the picture are zero and marked.
pub fn resample(
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
    let (x0, y0) = (x as usize, y as usize);
    let (x1, y1) = ((x0 + 1).min(w as usize - 1), (y0 + 1).min(h as usize - 1));
    let (fx, fy) = (x - x0 as f32, y - y0 as f32);
    let (raw, row) = (picture.as_raw().as_slice(), 3 * w as usize);
    let pixel = |px: usize, py: usize| &raw[py * row + 3 * px..][..3];
    let (a, b) = (pixel(x0, y0), pixel(x1, y0));
    let (c, d) = (pixel(x0, y1), pixel(x1, y1));
    let light = |v: u8| decode[usize::from(v)];
    for k in 0..3 {
        let top = light(a[k]) + fx * (light(b[k]) - light(a[k]));
        let bottom = light(c[k]) + fx * (light(d[k]) - light(c[k]));
        sum[k] += top + fy * (bottom - top);
    }
    true
}
