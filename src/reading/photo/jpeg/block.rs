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
    /// Returns whether there is any other coefficient.
    #[inline]
    pub(super) fn read(
        &self,
        bits: &mut Bits,
        mean: &mut i32,
        coefficients: &mut [f32; 64],
    ) -> Result<bool, BadCode> {
        bits.refill_if_low();
        let difference = next_symbol(bits, self.dc)?.level;
        *mean = mean.wrapping_add(difference.into());
        coefficients[0] = *mean as f32 * self.quantiser[0];
        let (position, any) = self.read_low(bits, coefficients)?;
        self.skip_high(bits, position)?;
        Ok(any)
    }

    /// Reads the wanted coefficients; returns the next position and whether there was any.
    #[inline]
    fn read_low(
        &self,
        bits: &mut Bits,
        coefficients: &mut [f32; 64],
    ) -> Result<(usize, bool), BadCode> {
        let (mut position, mut any) = (1, false);
        while position <= self.last {
            bits.refill_if_low();
            let symbol = next_symbol(bits, self.ac)?;
            position += usize::from(symbol.advance);
            if position <= self.last + 1 {
                let at = (position - 1) & 63;
                coefficients[usize::from(NATURAL[at]) & 63] =
                    f32::from(symbol.level) * self.quantiser[at];
                any = true;
            }
        }
        Ok((position, any))
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

/// The transform to `side` samples across and down: compiled for the usual ones, since loops of
/// known length are several times faster.
pub(super) fn transform_for(side: [usize; 2]) -> Transform {
    match side {
        [1, 1] => square::<1>,
        [2, 2] => square::<2>,
        [3, 3] => square::<3>,
        [4, 4] => square::<4>,
        [5, 5] => square::<5>,
        [6, 6] => square::<6>,
        [8, 8] => square::<8>,
        [10, 10] => square::<10>,
        [16, 16] => square::<16>,
        _ => transform,
    }
}

fn square<const N: usize>(
    coefficients: &[f32; 64],
    bases: [&Basis; 2],
    _: [usize; 2],
    out: &mut [u8],
    stride: usize,
) {
    transform(coefficients, bases, [N, N], out, stride);
}

#[inline(always)]
#[expect(
    clippy::inline_always,
    reason = "only inlined does a known size make loops of known length"
)]
fn transform(
    coefficients: &[f32; 64],
    [across, down]: [&Basis; 2],
    [width, height]: [usize; 2],
    out: &mut [u8],
    stride: usize,
) {
    for y in 0..height {
        let mut column_sums = [0.0; 8];
        for v in 0..height.min(8) {
            for u in 0..width.min(8) {
                column_sums[u] += coefficients[8 * v + u] * down[y][v];
            }
        }
        let row = &mut out[y * stride..][..width];
        for (x, sample) in row.iter_mut().enumerate() {
            let mut sum = 128.5;
            for u in 0..width.min(8) {
                sum += column_sums[u] * across[x][u];
            }
            *sample = sum as u8;
        }
    }
}
