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
    (rows, cols): (usize, usize),
    n: usize,
    decode: &[f32; 256],
    place: impl Fn(f64, f64) -> Point,
) -> (Array3<f32>, Array2<bool>) {
    let mut light = Array3::zeros((rows, cols, 3));
    let mut inside = Array2::from_elem((rows, cols), false);
    let source = Source::of(picture, decode);
    let offset = |i: usize| (i as f64 + 0.5) / n as f64;
    let share = 1.0 / (n * n) as f32;
    for r in 0..rows {
        for c in 0..cols {
            let mut sum = [0.0; 4];
            let whole = (0..n * n).all(|i| {
                let p = place(r as f64 + offset(i / n), c as f64 + offset(i % n));
                source.add(p, &mut sum)
            });
            if whole {
                inside[[r, c]] = true;
                for k in 0..3 {
                    light[[r, c, k]] = sum[k] * share;
                }
            }
        }
    }
    (light, inside)
}

/// Decoded red, green and blue, and a fourth number that says nothing: four fill a register, so that a
/// pixel's colours are worked on at once.
type Pixel = [f32; 4];

struct Source<'a> {
    /// Red, green and blue, row by row.
    stored: &'a [u8],
    width: usize,
    height: usize,
    decode: &'a [f32; 256],
}

impl<'a> Source<'a> {
    fn of(picture: &'a RgbImage, decode: &'a [f32; 256]) -> Self {
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
        if !(p.x >= 0.0 && p.y >= 0.0 && p.x < w && p.y < h) {
            return false;
        }
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
        if x + 1 >= self.width || y + 1 >= self.height {
            return self.four_at_the_edge(x, y);
        }
        let at = 3 * (y * self.width + x);
        let (above, below) = (
            &self.stored[at..][..6],
            &self.stored[at + 3 * self.width..][..6],
        );
        [above, below].map(|row| [self.decoded(&row[..3]), self.decoded(&row[3..])])
    }

    #[cold]
    fn four_at_the_edge(&self, x: usize, y: usize) -> [[Pixel; 2]; 2] {
        let pixel = |x: usize, y: usize| {
            let (x, y) = (x.min(self.width - 1), y.min(self.height - 1));
            self.decoded(&self.stored[3 * (y * self.width + x)..][..3])
        };
        [y, y + 1].map(|y| [pixel(x, y), pixel(x + 1, y)])
    }

    #[inline]
    fn decoded(&self, stored: &[u8]) -> Pixel {
        let light = |k: usize| self.decode[usize::from(stored[k])];
        [light(0), light(1), light(2), 0.0]
    }
}
