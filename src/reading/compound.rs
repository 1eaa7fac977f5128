//! `RectifiedFace` → where compound lies, and what can't be judged.
//!
//! Two independent sources are kept apart until they are compared: the reader network's opinion per
//! cell, and the optical density over the *local* bare metal, in which compound and shade separate by
//! colour (Beer–Lambert; stain separation after Ruifrok & Johnston, Anal. Quant. Cytol. Histol.
//! 23(4):291–299, 2001). The compound's colour is learned from the photo itself.

mod overlay;

use ndarray::{Array2, Array3, Zip};

use crate::reading::colour::unmix;
use crate::reading::face::Look;
use crate::reading::rectify::{COLS, FaceGrid, ROWS, RectifiedFace};

pub(crate) use overlay::{Overlaid, overlay};

/// Per cell of the rectified face, row 0 at the tip, column 0 at the left flank.
#[derive(Debug, Clone)]
pub struct CompoundMap {
    /// Probability that compound lies on the cell, 0 to 1.
    pub cover: Array2<f32>,
    /// The same by a second opinion, which the pattern is held against.
    pub second: Array2<f32>,
    /// Optical density of the compound over the local bare metal, base-10, ≥ 0.
    pub density: Array2<f32>,
    /// False where glare, black, the picture's border or something in front forbids a judgement.
    pub judged: Array2<bool>,
    /// How far apart the densities of covered and of clean cells lie, in pooled standard deviations
    /// (d′ of signal detection); `None` where nearly all or nearly none of the face is covered.
    pub separation: Option<f32>,
    /// How far apart the hues of covered and of clean cells lie, a distance in log-chromaticity; `None` as for `separation`.
    pub hue_shift: Option<f32>,
    /// Share of the judged cells for which the reader can't tell compound from metal.
    pub undecided: f32,
    /// Share of the face's cells that are burnt out.
    pub burnt: f32,
    /// Share of the face's cells that are too dark to hold colour.
    pub black: f32,
    /// Share of the face's cells hidden by something in front of it.
    pub hidden: f32,
}

/// All three channels at or above this are burnt out: 8-bit 251 of 255, where sharpening halos and JPEG
/// rounding no longer leave any colour.
const BURNT_OUT: f32 = 0.965;
/// No channel above this: 8-bit 10 of 255, where phone noise is as large as the signal.
const BLACK: f32 = 0.003;
/// Least probability of visible face for a cell to be judged (assumption).
const VISIBLE: f32 = 0.35;

/// A cell counts as covered in full from this probability on (assumption: as far above even odds as
/// [`NOT_COVERED`] lies below them).
const COVERED_IN_FULL: f32 = 0.7;
/// Up to this probability a cell counts as not covered at all, so that a haze of small probabilities over
/// a clean face adds up to nothing (assumption).
const NOT_COVERED: f32 = 0.3;

/// How much of a cell counts as covered, 0 to 1.
pub(crate) fn decided(cover: f32) -> f32 {
    // Written out, as the difference of the two as they are rounded is not the same number.
    const DOUBTED: f32 = 0.4;
    ((cover - NOT_COVERED) / DOUBTED).clamp(0.0, 1.0)
}

/// Maps the compound on a face.
pub fn map_compound(rectified: &RectifiedFace, look: &Look) -> CompoundMap {
    let [visible, cover, second] = sample_look(&rectified.grid, look);
    // First, since bare metal and the compound's colour are learned from judged cells alone.
    let judged = Array2::from_shape_fn((ROWS, COLS), |rc| {
        let rgb = rgb(&rectified.linear_rgb, rc);
        rectified.inside[rc] && visible[rc] > VISIBLE && !is_burnt(rgb) && !is_black(rgb)
    });
    let share = |test: &dyn Fn((usize, usize)) -> bool| {
        let n = (0..ROWS * COLS)
            .filter(|i| test((i / COLS, i % COLS)))
            .count();
        n as f32 / (ROWS * COLS) as f32
    };
    let density = density(rectified, &cover, &judged);
    CompoundMap {
        separation: separation(&density, &cover, &judged),
        hue_shift: hue_shift(&rectified.linear_rgb, &cover, &judged),
        undecided: undecided(&cover, &judged),
        burnt: share(&|rc| rectified.inside[rc] && is_burnt(rgb(&rectified.linear_rgb, rc))),
        black: share(&|rc| rectified.inside[rc] && is_black(rgb(&rectified.linear_rgb, rc))),
        hidden: share(&|rc| visible[rc] <= VISIBLE),
        cover,
        second,
        density,
        judged,
    }
}

fn sample_look(grid: &FaceGrid, look: &Look) -> [Array2<f32>; 3] {
    let [mut visible, mut cover, mut second] = [(); 3].map(|()| Array2::zeros((ROWS, COLS)));
    for r in 0..ROWS {
        for c in 0..COLS {
            let (s, x) = (
                (r as f64 + 0.5) / ROWS as f64,
                (c as f64 + 0.5) / COLS as f64,
            );
            // What lies outside the crop stays zero: no face is seen there, so it counts as hidden.
            if let Some([v, p, q]) = look.at(grid.point(s, x)) {
                visible[[r, c]] = v;
                cover[[r, c]] = p;
                second[[r, c]] = q;
            }
        }
    }
    [visible, cover, second]
}

fn rgb(light: &Array3<f32>, (r, c): (usize, usize)) -> [f32; 3] {
    [light[[r, c, 0]], light[[r, c, 1]], light[[r, c, 2]]]
}

fn is_burnt(rgb: [f32; 3]) -> bool {
    rgb.iter().all(|v| *v >= BURNT_OUT)
}

fn is_black(rgb: [f32; 3]) -> bool {
    rgb.iter().all(|v| *v <= BLACK)
}

/// Cells across which bare metal is taken as locally constant: an eighth of the length, wider than any
/// speck or streak, narrower than the fall-off of a lamp.
const LOCAL: usize = 16;
/// A clean cell far away says this much less than one next door; keeps the reference defined in the
/// middle of a wide band.
const FAR_WEIGHT: f32 = 0.002;

/// Density of compound per cell, shade taken out.
fn density(rectified: &RectifiedFace, cover: &Array2<f32>, judged: &Array2<bool>) -> Array2<f32> {
    // Less than a thousandth is below the noise (`BLACK`), and zero has no logarithm.
    let log = rectified.linear_rgb.mapv(|v| v.max(1e-3).log10());
    // By the fourth power a cell that may be either teaches next to nothing (0.06) of metal or compound.
    let clean = weights(cover, judged, |p| (1.0 - p).powi(4));
    let covered = weights(cover, judged, |p| p.powi(4));
    let over = over_bare_metal(&log, &clean);
    // Where nothing is covered there is no colour, and `unmix` then finds no compound.
    let colour = mean_over(&over, &covered).unwrap_or([0.0; 3]);
    let mut out = Array2::zeros((ROWS, COLS));
    for ((r, c), d) in out.indexed_iter_mut() {
        *d = unmix(rgb(&over, (r, c)), colour).max(0.0);
    }
    out
}

fn weights(cover: &Array2<f32>, judged: &Array2<bool>, f: impl Fn(f32) -> f32) -> Array2<f32> {
    Zip::from(cover)
        .and(judged)
        .map_collect(|&p, &j| if j { f(p) } else { 0.0 })
}

/// Optical density over the local bare metal: normalised convolution of the clean cells' logarithms.
fn over_bare_metal(log: &Array3<f32>, clean: &Array2<f32>) -> Array3<f32> {
    let weight = blurred(clean);
    let overall = mean_over(log, clean).unwrap_or([0.0; 3]);
    let mut out = Array3::zeros(log.dim());
    for k in 0..3 {
        let channel = log.index_axis(ndarray::Axis(2), k);
        let sum = blurred(&(&channel * clean));
        for ((r, c), w) in weight.indexed_iter() {
            let bare = (sum[[r, c]] + FAR_WEIGHT * overall[k]) / (w + FAR_WEIGHT);
            // Darker than bare metal is positive: density is what is missing of the light, as a logarithm.
            out[[r, c, k]] = bare - log[[r, c, k]];
        }
    }
    out
}

/// Three passes of a running mean, close to a Gaussian.
fn blurred(map: &Array2<f32>) -> Array2<f32> {
    let mut a = map.clone();
    for _ in 0..3 {
        for mut lane in a.rows_mut() {
            running_mean(&mut lane);
        }
        for mut lane in a.columns_mut() {
            running_mean(&mut lane);
        }
    }
    a
}

/// Mean over `LOCAL + 1` neighbours in place; the border repeats.
fn running_mean(lane: &mut ndarray::ArrayViewMut1<'_, f32>) {
    let n = lane.len();
    let half = LOCAL / 2;
    let copy: Vec<f32> = lane.to_vec();
    let at = |i: i64| copy[i.clamp(0, n as i64 - 1) as usize];
    // One in, one out: the cost does not depend on the width.
    let mut sum: f32 = (-(half as i64)..=half as i64).map(at).sum();
    for (i, v) in lane.iter_mut().enumerate() {
        *v = sum / (LOCAL + 1) as f32;
        sum += at((i + half + 1) as i64) - at(i as i64 - half as i64);
    }
}

fn mean_over(values: &Array3<f32>, weight: &Array2<f32>) -> Option<[f32; 3]> {
    let total = weight.sum();
    let mean = |k| (&values.index_axis(ndarray::Axis(2), k) * weight).sum() / total;
    // Less than a whole cell's worth is no mean.
    (total > 1.0).then(|| [mean(0), mean(1), mean(2)])
}

/// d′ between covered and clean cells, see [`CompoundMap::separation`].
fn separation(density: &Array2<f32>, cover: &Array2<f32>, judged: &Array2<bool>) -> Option<f32> {
    let side = |test: fn(f32) -> bool| {
        let picked = Zip::from(cover)
            .and(judged)
            .map_collect(|&p, &j| j && test(p));
        let v: Vec<f32> = density
            .iter()
            .zip(picked.iter())
            .filter(|(_, k)| **k)
            .map(|(d, _)| *d)
            .collect();
        moments(&v)
    };
    // The limits beyond which `decided` has no doubt.
    let (m1, v1) = side(|p| p > COVERED_IN_FULL)?;
    let (m0, v0) = side(|p| p < NOT_COVERED)?;
    // Two flat tones, as drawings have them, spread by nothing; that must not make the distance infinite.
    Some((m1 - m0) / f32::midpoint(v1, v0).sqrt().max(1e-3))
}

/// The part of the face's cells that makes a mean: with fewer, a speck or a scratch would be one of the two
/// colours (assumption).
const LEAST_CELLS: usize = ROWS * COLS / 50;

/// Distance between the mean colours of covered and clean cells in (ln R/G, ln B/G), which light and shade leave
/// alone (log-chromaticity; Finlayson, Drew & Lu, ECCV 2004): 0.1 is a tint of about a tenth.
fn hue_shift(light: &Array3<f32>, cover: &Array2<f32>, judged: &Array2<bool>) -> Option<f32> {
    let mean = |test: fn(f32) -> bool| {
        let picked = cover
            .indexed_iter()
            .filter(|(rc, p)| judged[*rc] && test(**p));
        let (n, sum) = picked.fold((0, [0.0; 3]), |(n, sum), (rc, _)| {
            let c = rgb(light, rc);
            (n + 1, [0, 1, 2].map(|k| sum[k] + c[k]))
        });
        (n >= LEAST_CELLS).then(|| sum.map(|s: f32| (s / n as f32).max(1e-4)))
    };
    let (paint, metal) = (mean(|p| p > COVERED_IN_FULL)?, mean(|p| p < NOT_COVERED)?);
    let against_green = |k: usize| (paint[k] / paint[1]).ln() - (metal[k] / metal[1]).ln();
    Some(against_green(0).hypot(against_green(2)))
}

/// Whether it can't be told if compound lies on the cell: less than some six to one either way (assumption).
fn is_undecided(cover: f32) -> bool {
    (0.15..0.85).contains(&cover)
}

/// See [`CompoundMap::undecided`].
fn undecided(cover: &Array2<f32>, judged: &Array2<bool>) -> f32 {
    let seen = cover.iter().zip(judged).filter(|(_, j)| **j);
    let (all, torn) = seen.fold((0, 0), |(all, torn), (p, _)| {
        (all + 1, torn + usize::from(is_undecided(*p)))
    });
    torn as f32 / all.max(1) as f32
}

/// Mean and variance; `None` of too few cells.
fn moments(v: &[f32]) -> Option<(f32, f32)> {
    if v.len() < LEAST_CELLS {
        return None;
    }
    let mean = v.iter().sum::<f32>() / v.len() as f32;
    Some((
        mean,
        v.iter().map(|x| (x - mean).powi(2)).sum::<f32>() / v.len() as f32,
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A change of one limit that forgets the distance between them would be seen here.
    #[test]
    fn a_cell_is_decided_at_the_limits_and_in_doubt_between() {
        let middle = f32::midpoint(NOT_COVERED, COVERED_IN_FULL);
        let cases = [
            (0.0, 0.0),
            (NOT_COVERED, 0.0),
            (middle, 0.5),
            (COVERED_IN_FULL, 1.0),
            (1.0, 1.0),
        ];
        for (cover, expected) in cases {
            // Single precision rounds by 6e-8; a limit moved by a hundredth would be off by 0.025.
            assert!((decided(cover) - expected).abs() < 1e-6, "{cover}");
        }
    }
}
