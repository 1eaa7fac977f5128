//! What the pattern is decided on: shares of contact at named places of the face.

use ndarray::Array2;

use crate::compound::{CompoundMap, Method};
use crate::profile::EDGE;
use crate::rectify::{COLS, ROWS};

/// Shares of contact, 0 to 1.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Evidence {
    /// Tip, middle and base third of the length, inner width.
    pub thirds: [f64; 3],
    /// The very tip, the middle and the very base.
    pub ends: [f64; 3],
    /// Left flank, middle and right flank along the length.
    pub sides: [f64; 3],
    /// How much a spot of contact stands alone in a gap: 0 none, 1 plainly.
    pub island: f64,
    /// Whole face.
    pub overall: f64,
}

/// The painted hairline covers about this much at each flank; the flanks are judged just inside it.
const FLANK: [f64; 2] = [0.05, 0.17];

impl Evidence {
    pub(crate) fn of(map: &CompoundMap, method: Method) -> Self {
        let contact = contact(map, method);
        let inner = [EDGE, 1.0 - EDGE];
        let rows = |a, b| share(&contact, [a, b], inner);
        let cols = |a, b| share(&contact, [0.06, 0.96], [a, b]);
        Self {
            thirds: [
                rows(0.02, 1.0 / 3.0),
                rows(1.0 / 3.0, 2.0 / 3.0),
                rows(2.0 / 3.0, 0.98),
            ],
            ends: [rows(0.03, 0.125), rows(0.4375, 0.5625), rows(0.875, 0.97)],
            sides: [
                cols(FLANK[0], FLANK[1]),
                cols(0.375, 0.625),
                cols(1.0 - FLANK[1], 1.0 - FLANK[0]),
            ],
            island: island(&contact),
            overall: rows(0.02, 0.98),
        }
    }

    pub(super) fn side_difference(&self) -> f64 {
        (self.sides[0] - self.sides[2]).abs()
    }

    pub(super) fn centre_over_edges(&self) -> f64 {
        self.sides[1] - f64::midpoint(self.sides[0], self.sides[2])
    }

    pub(super) fn ends_over_middle(&self) -> f64 {
        self.ends[0].min(self.ends[2]) - self.ends[1]
    }

    pub(super) fn middle_over_ends(&self) -> f64 {
        self.ends[1] - self.ends[0].max(self.ends[2])
    }

    /// The shares in plain words.
    pub(super) fn in_words(&self, method: Method) -> Vec<String> {
        let percent = |v: f64| format!("{:.0} %", 100.0 * v);
        let seen = match method {
            Method::Seep => "clean",
            Method::Transfer => "printed",
        };
        let [tip, middle, base] = self.thirds.map(percent);
        let [left, centre, right] = self.sides.map(percent);
        let mut words = vec![
            format!("{seen} along the length: tip third {tip}, middle {middle}, base {base}"),
            format!("{seen} across the width: left flank {left}, middle {centre}, right {right}"),
        ];
        if self.island > 0.5 {
            words.push("a spot of contact stands alone in the gap".to_owned());
        }
        words
    }
}

/// Contact per cell, 0 to 1, NaN where not judged.
fn contact(map: &CompoundMap, method: Method) -> Array2<f32> {
    Array2::from_shape_fn((ROWS, COLS), |rc| {
        let clean = 1.0 - ((map.cover[rc] - 0.3) / 0.4).clamp(0.0, 1.0);
        match (map.judged[rc], method) {
            (false, _) => f32::NAN,
            (true, Method::Seep) => clean,
            (true, Method::Transfer) => 1.0 - clean,
        }
    })
}

fn share(contact: &Array2<f32>, along: [f64; 2], across: [f64; 2]) -> f64 {
    let range = |[a, b]: [f64; 2], n: usize| {
        (a * n as f64).round() as usize..((b * n as f64).round() as usize).min(n)
    };
    let (mut sum, mut n) = (0.0, 0.0_f64);
    for r in range(along, ROWS) {
        for c in range(across, COLS) {
            let v = f64::from(contact[[r, c]]);
            if v.is_finite() {
                sum += v;
                n += 1.0;
            }
        }
    }
    // Nothing judged there: neither contact nor gap.
    if n > 0.0 { sum / n } else { 0.5 }
}

/// Smallest and largest spot, as a share of the face: a chip of 1 mm radius on the largest face, one of
/// 3 mm on the smallest.
const SPOT: [f64; 2] = [0.0015, 0.07];
/// Width of the ring around a spot that must be open, in cells.
const RING: usize = 5;

/// How plainly one spot of contact stands alone: the open share of the ring around it.
fn island(contact: &Array2<f32>) -> f64 {
    let picture = image::GrayImage::from_fn(COLS as u32, ROWS as u32, |x, y| {
        let v = contact[[y as usize, x as usize]];
        image::Luma([u8::from(v.is_nan() || v > 0.5)])
    });
    let labels = imageproc::region_labelling::connected_components(
        &picture,
        imageproc::region_labelling::Connectivity::Eight,
        image::Luma([0]),
    );
    let n = labels.pixels().map(|p| p.0[0]).max().unwrap_or(0);
    (1..=n)
        .map(|label| alone(contact, &labels, label))
        .fold(0.0, f64::max)
}

type Labels = image::ImageBuffer<image::Luma<u32>, Vec<u32>>;

fn alone(contact: &Array2<f32>, labels: &Labels, label: u32) -> f64 {
    let cells: Vec<(usize, usize)> = labels
        .enumerate_pixels()
        .filter(|(_, _, p)| p.0[0] == label)
        .map(|(x, y, _)| (y as usize, x as usize))
        .collect();
    let size = cells.len() as f64 / (ROWS * COLS) as f64;
    let rows = extent(cells.iter().map(|c| c.0));
    let cols = extent(cells.iter().map(|c| c.1));
    let near_edge =
        rows.0 < RING || cols.0 < RING || rows.1 + RING >= ROWS || cols.1 + RING >= COLS;
    if !(SPOT[0]..=SPOT[1]).contains(&size) || near_edge || !compact(size, rows, cols) {
        return 0.0;
    }
    let (mut open, mut ring) = (0.0, 0.0_f64);
    for r in rows.0 - RING..=rows.1 + RING {
        for c in cols.0 - RING..=cols.1 + RING {
            let own = labels.get_pixel(c as u32, r as u32).0[0] == label;
            if !own && contact[[r, c]].is_finite() {
                open += f64::from(1.0 - contact[[r, c]]);
                ring += 1.0;
            }
        }
    }
    if ring > 0.0 {
        ((open / ring - 0.8) / 0.15).clamp(0.0, 1.0)
    } else {
        0.0
    }
}

fn extent(values: impl Iterator<Item = usize>) -> (usize, usize) {
    values.fold((usize::MAX, 0), |(lo, hi), v| (lo.min(v), hi.max(v)))
}

/// A chip's print is round, not a ragged streak: it fills most of its own box.
fn compact(size: f64, rows: (usize, usize), cols: (usize, usize)) -> bool {
    let boxed = ((rows.1 - rows.0 + 1) * (cols.1 - cols.0 + 1)) as f64 / (ROWS * COLS) as f64;
    size / boxed > 0.45
}
