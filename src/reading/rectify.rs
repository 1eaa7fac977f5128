//! `UprightPhoto`, `Face` → the face on a fixed grid, in linear light.

use ndarray::{Array2, Array3};

use crate::reading::camera::Camera;
use crate::reading::colour::SRGB_TO_LINEAR;
use crate::reading::face::Face;
use crate::reading::photo::UprightPhoto;
use crate::reading::resample::{resample, subsamples};

mod grid;

pub use grid::FaceGrid;
pub(crate) use grid::Generator;

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
