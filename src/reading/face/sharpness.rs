//! How sharp the picture of a face is in the direction in which it is least sharp.
//!
//! A shaken photo keeps the edges that run along the shake and loses all others, so what counts is the
//! direction with the weakest edges. The outline of a face has edges in at least two directions, so a
//! steady photo has strong ones in every direction.

use ndarray::{Array2, ArrayView2, ArrayView3};

/// Directions over half a turn: a step and its reverse are the same step.
const DIRECTIONS: usize = 12;
/// Distance over which a step is measured, in pixels of the crop: over twice the width to which noise
/// reduction and the crop's own resampling spread an edge.
const STEP: f64 = 4.0;
/// An edge is what the strongest fiftieth of the steps show.
const STRONGEST: f64 = 0.98;
/// The contrast of the crop lies between its darkest and its brightest pixels without this share of them at
/// either end, which a highlight or a speck may set (assumption).
const OUTERMOST: f64 = 0.03;

/// The strongest steps in the weakest direction over the contrast of the crop, 0 (no edge left) to
/// about 0.5 (pin-sharp). `rgb` is the crop, 3 × rows × columns, `inside` its cells that lie in the picture.
pub(super) fn sharpness(rgb: ArrayView3<'_, f32>, inside: &Array2<bool>) -> f64 {
    let grey = smoothed(&grey(rgb, inside));
    let mut all: Vec<f32> = grey.iter().copied().filter(|v| v.is_finite()).collect();
    let contrast = quantile(&mut all, 1.0 - OUTERMOST) - quantile(&mut all, OUTERMOST);
    if contrast <= 0.0 {
        return 0.0;
    }
    let weakest = (0..DIRECTIONS)
        .map(|i| std::f64::consts::PI * i as f64 / DIRECTIONS as f64)
        .map(|angle| strongest_steps(grey.view(), angle))
        .fold(f64::INFINITY, f64::min);
    weakest / f64::from(contrast)
}

fn grey(rgb: ArrayView3<'_, f32>, inside: &Array2<bool>) -> Array2<f32> {
    Array2::from_shape_fn(inside.dim(), |(r, c)| {
        if inside[[r, c]] {
            // Luma weights of ITU-R BT.601, as JPEG has them.
            0.299 * rgb[[0, r, c]] + 0.587 * rgb[[1, r, c]] + 0.114 * rgb[[2, r, c]]
        } else {
            // A step to what lies outside the picture is no edge in it.
            f32::NAN
        }
    })
}

/// Mean of 3 × 3: noise is as strong in every direction and would hide the weak one.
fn smoothed(grey: &Array2<f32>) -> Array2<f32> {
    let (rows, cols) = grey.dim();
    Array2::from_shape_fn((rows, cols), |(r, c)| {
        if r == 0 || c == 0 || r + 1 == rows || c + 1 == cols {
            return f32::NAN;
        }
        let sum: f32 = (r - 1..=r + 1)
            .flat_map(|y| (c - 1..=c + 1).map(move |x| grey[[y, x]]))
            .sum();
        sum / 9.0
    })
}

fn strongest_steps(grey: ArrayView2<'_, f32>, angle: f64) -> f64 {
    let (dx, dy) = (
        (STEP * angle.cos()).round() as isize,
        (STEP * angle.sin()).round() as isize,
    );
    let (rows, cols) = (grey.nrows() as isize, grey.ncols() as isize);
    let mut steps: Vec<f32> = Vec::new();
    // Every other row and column: neighbours say the same after smoothing.
    // Over half a turn `dy` is never below zero; `dx` may be.
    for r in (0..rows - dy).step_by(2) {
        for c in ((-dx).max(0)..cols - dx.max(0)).step_by(2) {
            let d = grey[[(r + dy) as usize, (c + dx) as usize]] - grey[[r as usize, c as usize]];
            if d.is_finite() {
                steps.push(d.abs());
            }
        }
    }
    f64::from(quantile(&mut steps, STRONGEST))
}

/// The value below which a share `q` of the values lie; 0 of none.
fn quantile(values: &mut [f32], q: f64) -> f32 {
    if values.is_empty() {
        return 0.0;
    }
    let k = ((values.len() - 1) as f64 * q) as usize;
    *values.select_nth_unstable_by(k, f32::total_cmp).1
}

#[cfg(test)]
mod tests {
    use ndarray::Array3;

    use super::*;

    fn crop(value: impl Fn(f64, f64) -> f32) -> f64 {
        let rgb = Array3::from_shape_fn((3, 96, 96), |(_, r, c)| value(r as f64, c as f64));
        sharpness(rgb.view(), &Array2::from_elem((96, 96), true))
    }

    #[test]
    fn a_square_is_sharp_and_its_shaken_picture_is_not() {
        let square =
            |r: f64, c: f64| f32::from((24.0..72.0).contains(&r) && (24.0..72.0).contains(&c));
        let shaken = |r: f64, c: f64| {
            // The mean over a shake of 48 px along the columns.
            (0..48)
                .map(|k| square(r, c + f64::from(k) - 24.0))
                .sum::<f32>()
                / 48.0
        };
        assert!(crop(square) > 0.5, "{}", crop(square));
        // A ramp of 48 px rises by 4/48 of the contrast per step.
        assert!(crop(shaken) < 0.12, "{}", crop(shaken));
    }

    #[test]
    fn a_flat_crop_has_no_sharpness() {
        assert!(crop(|_, _| 0.4) < 1e-6);
    }
}
