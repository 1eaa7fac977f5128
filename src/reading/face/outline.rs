//! The finder: whole picture → a coarse four-cornered outline.

use ndarray::{Array4, ArrayView2, Axis, Slice};

use crate::reading::geometry::{Point, Quad};
use crate::reading::network::{self, FINDER_STRIDE, sigmoid};
use crate::reading::photo::UprightPhoto;
use crate::reading::shrink::area_average;

/// The network halves its input five times.
const MULTIPLE: usize = 32;
/// Least margin around the picture, so that a corner just outside it can still be seen.
const MARGIN: usize = 8;
/// Corner candidates that are tried, strongest first: 35 outlines at most.
const CANDIDATES: usize = 7;
/// Weakest corner candidate, as a probability: weak ones cost little, since the blob must bear them out
/// (assumption).
const WEAKEST_CORNER: f32 = 0.06;
/// Smallest blob of face, as a share of the canvas: a face of 3 % of the picture, well below the 8 %
/// that the search is made for.
const SMALLEST_BLOB: f64 = 0.023;
/// An outline must overlap the blob by this much, or it is no face (assumption).
const LEAST_OVERLAP: f64 = 0.55;

/// What the finder settled on, in full-size pixels.
pub(super) struct Coarse {
    pub quad: Quad,
    /// Mean tip direction over the face.
    pub tipward: [f64; 2],
}

/// The picture on the finder's canvas.
struct Canvas {
    data: Array4<f32>,
    left: f64,
    top: f64,
    /// Canvas pixels per full-size pixel.
    scale: f64,
}

/// Searches the picture shrunk to a long side of `size` pixels.
pub(super) fn search(photo: &UprightPhoto, size: f64) -> Option<Coarse> {
    let canvas = draw(photo, size)?;
    let out = network::find(canvas.data.view());
    let face = out.maps.index_axis(Axis(0), 0).mapv(sigmoid);
    let blob = Blob::largest(face.view())?;
    let corners = peaks(out.maps.index_axis(Axis(0), 1));
    let quad = best_outline(&corners, &blob)?;
    let tipward = blob.mean_direction(out.maps.slice_axis(Axis(0), Slice::from(2..4)));
    let stride = FINDER_STRIDE as f64;
    let full = |p: Point| {
        Point::new(
            (p.x * stride - canvas.left) / canvas.scale,
            (p.y * stride - canvas.top) / canvas.scale,
        )
    };
    Some(Coarse {
        quad: Quad(quad.0.map(full)),
        tipward,
    })
}

/// Shrinks the photo and centres it on grey.
fn draw(photo: &UprightPhoto, long_side: f64) -> Option<Canvas> {
    let (w, h) = photo.pixels.dimensions();
    let k = long_side / f64::from(w.max(h));
    let size = |v: u32| ((f64::from(v) * k).round() as u32).max(1);
    let small = area_average(&photo.pixels, size(w), size(h))?;
    let canvas = |v: u32| (v as usize + 2 * MARGIN).next_multiple_of(MULTIPLE);
    let (cw, ch) = (canvas(small.width()), canvas(small.height()));
    let (left, top) = (
        (cw - small.width() as usize) / 2,
        (ch - small.height() as usize) / 2,
    );
    let mut data = Array4::from_elem((1, 3, ch, cw), 0.5);
    for (x, y, pixel) in small.enumerate_pixels() {
        for (c, v) in pixel.0.iter().enumerate() {
            data[[0, c, y as usize + top, x as usize + left]] = f32::from(*v) / 255.0;
        }
    }
    let scale = f64::from(small.width()) / f64::from(photo.size_px[0]);
    Some(Canvas {
        data,
        left: left as f64,
        top: top as f64,
        scale,
    })
}

/// The largest connected region that looks like a face.
struct Blob {
    cells: Vec<(usize, usize)>,
    mask: ndarray::Array2<f32>,
}

impl Blob {
    fn largest(face: ArrayView2<'_, f32>) -> Option<Self> {
        let (rows, cols) = face.dim();
        let picture = image::GrayImage::from_fn(cols as u32, rows as u32, |x, y| {
            image::Luma([u8::from(face[[y as usize, x as usize]] > 0.5)])
        });
        let labels = imageproc::region_labelling::connected_components(
            &picture,
            imageproc::region_labelling::Connectivity::Four,
            image::Luma([0]),
        );
        let top = labels.pixels().map(|p| p.0[0]).max()?;
        let mut sums = vec![0usize; top as usize + 1];
        for p in labels.pixels() {
            sums[p.0[0] as usize] += usize::from(p.0[0] > 0);
        }
        let (label, &size) = sums.iter().enumerate().max_by_key(|(_, s)| **s)?;
        if (size as f64) < SMALLEST_BLOB * (rows * cols) as f64 {
            return None;
        }
        let inside =
            |r: usize, c: usize| labels.get_pixel(c as u32, r as u32).0[0] as usize == label;
        let mask = ndarray::Array2::from_shape_fn((rows, cols), |(r, c)| {
            if inside(r, c) { face[[r, c]] } else { 0.0 }
        });
        let cells = (0..rows * cols)
            .map(|i| (i / cols, i % cols))
            .filter(|&(r, c)| inside(r, c));
        Some(Self {
            cells: cells.collect(),
            mask,
        })
    }

    /// Overlap of the outline with the blob: shared weight over joint weight.
    fn overlap(&self, quad: &Quad) -> f64 {
        let (mut shared, mut area) = (0.0, 0.0);
        for ((r, c), &m) in self.mask.indexed_iter() {
            if contains(quad, Point::new(c as f64 + 0.5, r as f64 + 0.5)) {
                shared += f64::from(m);
                area += 1.0;
            }
        }
        shared / (area + f64::from(self.mask.sum()) - shared)
    }

    fn mean_direction(&self, field: ndarray::ArrayView3<'_, f32>) -> [f64; 2] {
        let mean = |k: usize| {
            let sum: f32 = self.cells.iter().map(|&(r, c)| field[[k, r, c]]).sum();
            f64::from(sum) / self.cells.len() as f64
        };
        [mean(0), mean(1)]
    }

    /// Four corners from the blob alone: its smallest enclosing rectangle, then each corner moved as
    /// long as that improves the overlap.
    fn fitted(&self) -> Option<Quad> {
        let points: Vec<_> = self
            .cells
            .iter()
            .map(|&(r, c)| imageproc::point::Point::new(c as i32, r as i32))
            .collect();
        let rect = imageproc::geometry::min_area_rect(&points);
        let start = ordered(rect.map(|p| Point::new(f64::from(p.x) + 0.5, f64::from(p.y) + 0.5)))?;
        Some(self.climbed(start))
    }

    fn climbed(&self, mut quad: Quad) -> Quad {
        let mut best = self.overlap(&quad);
        for step in [2.0, 1.0, 0.5] {
            for _ in 0..6 {
                let before = best;
                for (corner, dx, dy) in moves(step) {
                    let mut moved = quad;
                    moved.0[corner].x += dx;
                    moved.0[corner].y += dy;
                    let score = self.overlap(&moved);
                    if score > best && moved.is_convex_clockwise() {
                        (quad, best) = (moved, score);
                    }
                }
                if best <= before {
                    break;
                }
            }
        }
        quad
    }
}

fn moves(step: f64) -> impl Iterator<Item = (usize, f64, f64)> {
    let ways = [(step, 0.0), (-step, 0.0), (0.0, step), (0.0, -step)];
    (0..4).flat_map(move |corner| ways.map(move |(dx, dy)| (corner, dx, dy)))
}

fn contains(quad: &Quad, p: Point) -> bool {
    (0..4).all(|i| {
        let (a, b) = (quad.0[i], quad.0[(i + 1) % 4]);
        (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x) >= 0.0
    })
}

/// Sorted clockwise about their centre; `None` unless convex.
fn ordered(points: [Point; 4]) -> Option<Quad> {
    let c = Quad(points).centre();
    let mut p = points;
    p.sort_by(|a, b| {
        (a.y - c.y)
            .atan2(a.x - c.x)
            .total_cmp(&(b.y - c.y).atan2(b.x - c.x))
    });
    Some(Quad(p)).filter(Quad::is_convex_clockwise)
}

/// Local maxima of the corner map, to a fraction of a cell, strongest first.
fn peaks(logits: ArrayView2<'_, f32>) -> Vec<(Point, f32)> {
    let p = logits.mapv(sigmoid);
    let (rows, cols) = p.dim();
    let at = |r: i64, c: i64| {
        let inside = r >= 0 && c >= 0 && r < rows as i64 && c < cols as i64;
        if inside {
            p[[r as usize, c as usize]]
        } else {
            0.0
        }
    };
    let around = |r: usize, c: usize| {
        (-1..=1)
            .flat_map(move |dr: i64| (-1..=1).map(move |dc: i64| (r as i64 + dr, c as i64 + dc)))
    };
    let mut found: Vec<(Point, f32)> = p
        .indexed_iter()
        .filter(|&((r, c), &v)| v > WEAKEST_CORNER && around(r, c).all(|(y, x)| at(y, x) <= v))
        .map(|((r, c), &v)| {
            let (mut sx, mut sy, mut sum) = (0.0, 0.0, 0.0);
            for (y, x) in around(r, c) {
                let w = f64::from(at(y, x));
                sx += w * (x as f64 + 0.5);
                sy += w * (y as f64 + 0.5);
                sum += w;
            }
            (Point::new(sx / sum, sy / sum), v)
        })
        .collect();
    found.sort_by(|a, b| b.1.total_cmp(&a.1));
    found.truncate(CANDIDATES);
    found
}

/// What corners add to the overlap: enough to choose between outlines that explain the blob alike (assumption).
const CORNERS: f64 = 0.15;
/// Corners that explain the blob this well need no second opinion (assumption).
const EXPLAINED: f64 = 0.85;

/// The four candidates, or the corners fitted to the blob alone, that agree best with the blob.
fn best_outline(corners: &[(Point, f32)], blob: &Blob) -> Option<Quad> {
    let from_corners = fours(corners.len()).filter_map(|four| {
        let quad = ordered(four.map(|i| corners[i].0))?;
        let strength = four.iter().map(|&i| f64::from(corners[i].1)).sum::<f64>() / 4.0;
        let overlap = blob.overlap(&quad);
        Some((quad, overlap, overlap + CORNERS * strength))
    });
    let best = from_corners.max_by(|a, b| a.2.total_cmp(&b.2));
    match best {
        Some((quad, overlap, _)) if overlap > EXPLAINED => Some(quad),
        other => {
            let fitted = blob.fitted().map(|q| (q, blob.overlap(&q)));
            [other.map(|(q, o, _)| (q, o)), fitted]
                .into_iter()
                .flatten()
                .max_by(|a, b| a.1.total_cmp(&b.1))
                .filter(|(_, overlap)| *overlap > LEAST_OVERLAP)
                .map(|(quad, _)| quad)
        }
    }
}

/// All choices of four out of `n`.
fn fours(n: usize) -> impl Iterator<Item = [usize; 4]> {
    (0..n).flat_map(move |a| {
        (a + 1..n)
            .flat_map(move |b| (b + 1..n).flat_map(move |c| (c + 1..n).map(move |d| [a, b, c, d])))
    })
}
