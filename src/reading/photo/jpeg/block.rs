//! One block: Huffman codes → coefficients → samples at reduced scale.

use std::f32::consts::{FRAC_1_SQRT_2, PI};

use super::bits::Bits;
use super::huffman::{BLOCK, Huffman, Runs, Symbol};

/// The largest number of samples per block and side: 8/8, of a component sampled at half the rate.
pub(super) const MAX_SIDE: usize = 16;

/// Zigzag position → row × 8 + column (T.81 figure A.6).
const NATURAL: [u8; 64] = [
    0, 1, 8, 16, 9, 2, 3, 10, 17, 24, 32, 25, 18, 11, 4, 5, 12, 19, 26, 33, 40, 48, 41, 34, 27, 20,
    13, 6, 7, 14, 21, 28, 35, 42, 49, 56, 57, 50, 43, 36, 29, 22, 15, 23, 30, 37, 44, 51, 58, 59,
    52, 45, 38, 31, 39, 46, 53, 60, 61, 54, 47, 55, 62, 63,
];

/// The last zigzag position among the `across` × `down` lowest frequencies.
pub(super) fn last_position(across: usize, down: usize) -> usize {
    let kept = |n: &u8| usize::from(n % 8) < across && usize::from(n / 8) < down;
    NATURAL.iter().rposition(kept).unwrap_or(0)
}

/// A code that is not in its table.
pub(super) struct BadCode;

/// One component's codes and quantiser.
pub(super) struct Coder<'t> {
    pub(super) dc: &'t Huffman,
    pub(super) ac: &'t Huffman,
    pub(super) runs: Runs,
    /// Quantiser steps in zigzag order.
    pub(super) quantiser: &'t [f32; 64],
    /// The last zigzag position whose coefficient is wanted.
    pub(super) last: usize,
}

impl Coder<'_> {
    /// Reads a block into dequantised coefficients (row × 8 + column), as far as they are wanted.
    ///
    /// `mean` is the block's zero frequency in quantiser steps, from which the next block's counts.
    /// Returns the zigzag position of the last other coefficient that is not left out, 0 where there is none.
    #[inline]
    pub(super) fn read(
        &self,
        bits: &mut Bits,
        mean: &mut i32,
        coefficients: &mut [f32; 64],
    ) -> Result<usize, BadCode> {
        bits.refill_if_low();
        let difference = next_symbol(bits, self.dc)?.level;
        // Broken data may add up to anything, which must not panic.
        *mean = mean.wrapping_add(difference.into());
        coefficients[0] = *mean as f32 * self.quantiser[0];
        let (position, last) = self.read_low(bits, coefficients)?;
        self.skip_high(bits, position)?;
        Ok(last)
    }

    /// Reads the wanted coefficients; returns the next position and that of the last one, 0 where there was none.
    #[inline]
    fn read_low(
        &self,
        bits: &mut Bits,
        coefficients: &mut [f32; 64],
    ) -> Result<(usize, usize), BadCode> {
        let (mut position, mut last) = (1, 0);
        while position <= self.last {
            bits.refill_if_low();
            let symbol = next_symbol(bits, self.ac)?;
            position += usize::from(symbol.advance);
            if position <= self.last + 1 {
                // Both masks leave these indices as they are, and show the compiler that they are within
                // bounds.
                let at = (position - 1) & 63;
                coefficients[usize::from(NATURAL[at]) & 63] =
                    f32::from(symbol.level) * self.quantiser[at];
                last = at;
            }
        }
        Ok((position, last))
    }

    /// Passes over the codes of higher frequencies, several at a time until close to the block's end.
    #[inline]
    fn skip_high(&self, bits: &mut Bits, mut position: usize) -> Result<(), BadCode> {
        while position < 64 {
            bits.refill_if_low();
            let run = self.runs.look_up(bits.window());
            if run.bits > 0 && position + usize::from(run.advance % BLOCK) < 64 {
                position += usize::from(run.advance);
                bits.skip(run.bits.into());
            } else {
                position += usize::from(next_symbol(bits, self.ac)?.advance);
            }
        }
        Ok(())
    }
}

/// Reads one code with its extra bits, of which enough must be held.
#[inline]
fn next_symbol(bits: &mut Bits, codes: &Huffman) -> Result<Symbol, BadCode> {
    let symbol = codes.look_up(bits.window());
    bits.skip(symbol.bits.into());
    if symbol.bits == 0 {
        Err(BadCode)
    } else {
        Ok(symbol)
    }
}

/// For each sample of a block's side, the weight of each frequency.
pub(super) type Basis = [[f32; 8]; MAX_SIDE];

/// The one-dimensional inverse transform to `samples` samples instead of 8 (T.81 A.3.3).
///
/// A frequency u is a cosine, so its mean over the m = 8 / samples pixels of one sample is its value in
/// the middle times sin(mθ) / (m sin θ), θ = uπ/16: with this factor the samples are area averages of
/// the kept frequencies. Up to 8 samples keep as many frequencies; more interpolate.
pub(super) fn basis(samples: usize) -> Basis {
    let mut basis = [[0.0; 8]; MAX_SIDE];
    for (x, row) in basis.iter_mut().enumerate().take(samples) {
        for (u, weight) in row.iter_mut().enumerate().take(samples.min(8)) {
            let angle = (2 * x + 1) as f32 * u as f32 * PI / (2 * samples) as f32;
            *weight = if u == 0 {
                // C(0)/2: of the formula's 1/4 each of the two passes takes a half.
                FRAC_1_SQRT_2 / 2.0
            } else {
                angle.cos() / 2.0 * averaging(u, samples)
            };
        }
    }
    basis
}

fn averaging(u: usize, samples: usize) -> f32 {
    let (pixels, theta) = (8.0 / samples as f32, u as f32 * PI / 16.0);
    if samples < 8 {
        (pixels * theta).sin() / (pixels * theta.sin())
    } else {
        1.0
    }
}

/// Coefficients → samples, written from the start of `out` in rows `stride` apart.
pub(super) type Transform = fn(&[f32; 64], [&Basis; 2], [usize; 2], &mut [u8], usize);

/// Transforms for blocks with the coefficients up to zigzag position 2, to 9, and with any: the others are zero, so that the
/// lowest two, or four, frequencies each way are all there are.
pub(super) type Transforms = [Transform; 3];

/// The one for a block whose last coefficient stands at this zigzag position.
#[inline]
pub(super) fn for_last(transforms: &Transforms, last: usize) -> Transform {
    transforms[usize::from(last > 2) + usize::from(last > 9)]
}

/// The transforms to `side` samples across and down: compiled for the usual ones, since loops of
/// known length are several times faster.
pub(super) fn transforms_for(side: [usize; 2]) -> Transforms {
    match side {
        [1, 1] => squares::<1>(),
        [2, 2] => squares::<2>(),
        [3, 3] => squares::<3>(),
        [4, 4] => squares::<4>(),
        [5, 5] => squares::<5>(),
        [6, 6] => squares::<6>(),
        [8, 8] => squares::<8>(),
        [10, 10] => squares::<10>(),
        [16, 16] => squares::<16>(),
        _ => [transform; 3],
    }
}

fn squares<const N: usize>() -> Transforms {
    [square::<N, 2>, square::<N, 4>, square::<N, 8>]
}

fn square<const N: usize, const F: usize>(
    coefficients: &[f32; 64],
    bases: [&Basis; 2],
    _: [usize; 2],
    out: &mut [u8],
    stride: usize,
) {
    low::<F>(coefficients, bases, [N, N], out, stride);
}

fn transform(
    coefficients: &[f32; 64],
    bases: [&Basis; 2],
    side: [usize; 2],
    out: &mut [u8],
    stride: usize,
) {
    low::<8>(coefficients, bases, side, out, stride);
}

/// Of the lowest `F` frequencies each way.
#[inline(always)]
#[expect(
    clippy::inline_always,
    reason = "only inlined does a known size make loops of known length"
)]
fn low<const F: usize>(
    coefficients: &[f32; 64],
    [across, down]: [&Basis; 2],
    [width, height]: [usize; 2],
    out: &mut [u8],
    stride: usize,
) {
    let (columns, rows) = (width.min(F), height.min(F));
    // Counted by hand: as tests are built, steps of a range are calls, which took a quarter of the time that reading a photo
    // takes there. Optimised it is all the same.
    let mut y = 0;
    while y < height {
        let mut column_sums = [0.0; F];
        let mut v = 0;
        while v < rows {
            let mut u = 0;
            while u < columns {
                column_sums[u] += coefficients[8 * v + u] * down[y][v];
                u += 1;
            }
            v += 1;
        }
        let row = &mut out[y * stride..][..width];
        let mut x = 0;
        while x < width {
            // The level shift of 8-bit samples (T.81 A.3.1), and a half to round by; the cast below stops at 0
            // and 255.
            let mut sum = 128.5;
            let mut u = 0;
            while u < columns {
                sum += column_sums[u] * across[x][u];
                u += 1;
            }
            row[x] = sum as u8;
            x += 1;
        }
        y += 1;
    }
}
