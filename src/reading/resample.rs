//! A picture → the means over the cells of a grid laid on it.

use image::RgbImage;
use ndarray::{Array2, Array3};

use crate::reading::geometry::Point;

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
    grid: (usize, usize),
    n: usize,
    decode: &[f32; 256],
    place: impl Fn(f64, f64) -> Point,
) -> (Array3<f32>, Array2<bool>) {
    let light = |stored: u8| decode[usize::from(stored)];
    let decode = |[r, g, b, _]: [u8; 4]| [light(r), light(g), light(b), 0.0];
    means(picture, grid, n, decode, 1.0, place)
}

/// The same of the values as they are stored, 0 to 1: what the networks were trained on. Without a table it takes half the time.
pub(crate) fn resample_as_stored(
    picture: &RgbImage,
    grid: (usize, usize),
    n: usize,
    place: impl Fn(f64, f64) -> Point,
) -> (Array3<f32>, Array2<bool>) {
    // Written out: mapped, the four are worked on one by one.
    let decode = |[r, g, b, rest]: [u8; 4]| [r.into(), g.into(), b.into(), rest.into()];
    means(picture, grid, n, decode, 1.0 / 255.0, place)
}

/// The means of what `decode` gives, times `scale`.
fn means(
    picture: &RgbImage,
    (rows, cols): (usize, usize),
    n: usize,
    decode: impl Fn([u8; 4]) -> Pixel,
    scale: f32,
    place: impl Fn(f64, f64) -> Point,
) -> (Array3<f32>, Array2<bool>) {
    let mut light = Array3::zeros((rows, cols, 3));
    let mut inside = Array2::from_elem((rows, cols), false);
    let source = Source::of(picture, decode);
    let offsets: Vec<f64> = (0..n).map(|i| (i as f64 + 0.5) / n as f64).collect();
    let share = scale / (n * n) as f32;
    let cells = light
        .as_slice_mut()
        .unwrap_or_default()
        .as_chunks_mut::<3>()
        .0;
    for (i, (cell, inside)) in cells.iter_mut().zip(&mut inside).enumerate() {
        let (r, c) = ((i / cols) as f64, (i % cols) as f64);
        let mut sum = [0.0; 4];
        *inside = offsets.iter().all(|down| {
            let mut row = offsets.iter();
            row.all(|right| source.add(place(r + down, c + right), &mut sum))
        });
        if *inside {
            *cell = [0, 1, 2].map(|k| sum[k] * share);
        }
    }
    (light, inside)
}

/// Decoded red, green and blue, and a fourth number that says nothing: four fill a register, so that a
/// pixel's colours are worked on at once.
type Pixel = [f32; 4];

struct Source<'a, D> {
    /// Red, green and blue, row by row.
    stored: &'a [u8],
    width: usize,
    height: usize,
    /// Of red, green and blue, and a fourth byte that says nothing.
    decode: D,
}

impl<'a, D: Fn([u8; 4]) -> Pixel> Source<'a, D> {
    fn of(picture: &'a RgbImage, decode: D) -> Self {
        Self {
            stored: picture.as_raw(),
            width: picture.width() as usize,
            height: picture.height() as usize,
            decode,
        }
    }

    /// Adds the bilinear decoded value at `p`; false outside the picture.
    #[inline]
    fn add(&self, p: Point, sum: &mut Pixel) -> bool {
        let (w, h) = (self.width as f64, self.height as f64);
        // Put this way round, a point on the horizon (NaN) lies outside.
        if !(p.x >= 0.0 && p.y >= 0.0 && p.x < w && p.y < h) {
            return false;
        }
        // Pixel centres lie at half-integers; in the border's outer half the pixel is repeated.
        let (x, y) = ((p.x - 0.5).max(0.0) as f32, (p.y - 0.5).max(0.0) as f32);
        // By way of 32 bits, which take half the time.
        let (x0, y0) = (x as i32, y as i32);
        let (fx, fy) = (x - x0 as f32, y - y0 as f32);
        let [[a, b], [c, d]] = self.four(x0 as usize, y0 as usize);
        for k in 0..4 {
            let top = a[k] + fx * (b[k] - a[k]);
            let bottom = c[k] + fx * (d[k] - c[k]);
            sum[k] += top + fy * (bottom - top);
        }
        true
    }

    /// The pixels that a sample lies between; past the last row and column these once more.
    #[inline]
    fn four(&self, x: usize, y: usize) -> [[Pixel; 2]; 2] {
        let at = 3 * (y * self.width + x);
        let above = self.stored.get(at..).and_then(<[u8]>::first_chunk);
        let below = self.stored.get(at + 3 * self.width..);
        let below = below.and_then(<[u8]>::first_chunk);
        match (above, below) {
            (Some(above), Some(below)) if x + 1 < self.width => {
                [self.two(*above), self.two(*below)]
            }
            _ => self.four_at_the_edge(x, y),
        }
    }

    /// Two pixels beside each other; two bytes more are read, since eight are read at once.
    #[inline]
    fn two(&self, row: [u8; 8]) -> [Pixel; 2] {
        let [r, g, b, r2, g2, b2, rest, _] = row;
        [
            (self.decode)([r, g, b, r2]),
            (self.decode)([r2, g2, b2, rest]),
        ]
    }

    #[cold]
    fn four_at_the_edge(&self, x: usize, y: usize) -> [[Pixel; 2]; 2] {
        let pixel = |x: usize, y: usize| {
            let (x, y) = (x.min(self.width - 1), y.min(self.height - 1));
            let stored = &self.stored[3 * (y * self.width + x)..][..3];
            (self.decode)([stored[0], stored[1], stored[2], 0])
        };
        [y, y + 1].map(|y| [pixel(x, y), pixel(x + 1, y)])
    }
}
