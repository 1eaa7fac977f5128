//! `UprightPhoto`, `Face` → the face on a fixed grid, in linear light.

use ndarray::{Array2, Array3};

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
