//! What the pattern is decided on: shares of contact at named places of the face.

use ndarray::Array2;

use crate::reading::compound::{CompoundMap, decided};
use crate::reading::method::Method;
use crate::reading::profile::EDGE;
use crate::reading::rectify::{COLS, ROWS};

/// Shares of contact, 0 to 1.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Evidence {
    /// Tip, middle and base third of the length, inner width.
    pub thirds: [f64; 3],
    /// The very tip, the middle and the very base.
    pub ends: [f64; 3],
    /// Left flank, middle and right flank along the length.
    pub sides: [f64; 3],
    /// Tip, middle and base third, each at its left, middle and right third of the inner width.
    pub blocks: [[f64; 3]; 3],
    /// Whole face.
    pub overall: f64,
}

/// Not judged at either end of the length: the chamfer's rim, and the outline is found no better than to a
/// cell or two, of which there are 128 (assumption).
const MARGIN: f64 = 0.02;
/// All of the length that is judged.
const WHOLE: [f64; 2] = [MARGIN, 1.0 - MARGIN];
/// Tip, middle and base third of the length.
const THIRDS: [[f64; 2]; 3] = [
    [MARGIN, 1.0 / 3.0],
    [1.0 / 3.0, 2.0 / 3.0],
    [2.0 / 3.0, 1.0 - MARGIN],
];
/// An end, and the middle between two: an eighth of the length, narrow enough to be open where its third
/// is not, and 16 rows of cells (assumption).
const EIGHTH: f64 = 0.125;
/// At an end the margin is a row wider than [`MARGIN`]: in so narrow a place the rim would weigh more (assumption).
const MARGIN_OF_END: f64 = 0.03;
/// The very tip, the middle and the very base.
const ENDS: [[f64; 2]; 3] = [
    [MARGIN_OF_END, EIGHTH],
    [0.5 - EIGHTH / 2.0, 0.5 + EIGHTH / 2.0],
    [1.0 - EIGHTH, 1.0 - MARGIN_OF_END],
];
/// The painted hairline covers about this much at each flank; the flanks are judged just inside it.
const FLANK: [f64; 2] = [0.05, 0.17];
/// The middle of the width beside the flanks: a quarter of it, wide enough that no streak fills it
/// (assumption).
const BETWEEN_FLANKS: [f64; 2] = [0.375, 0.625];
/// Where along the length the flanks are judged: without the hairline across the tip and across the base,
/// which a painted flank runs into; a wider margin at the tip, whose edge is chamfered (assumption).
const ALONG_FLANKS: [f64; 2] = [0.06, 0.96];
/// Where the inner width is parted into thirds, to a cell: its third is 0.367.
const THIRD_ACROSS: f64 = 0.37;
/// Thirds of the inner width.
const FLANKS: [[f64; 2]; 3] = [
    [EDGE, THIRD_ACROSS],
    [THIRD_ACROSS, 1.0 - THIRD_ACROSS],
    [1.0 - THIRD_ACROSS, 1.0 - EDGE],
];

impl Evidence {
    pub(crate) fn of(map: &CompoundMap, method: Method) -> Self {
        let contact = contact(map, method);
        let inner = [EDGE, 1.0 - EDGE];
        let rows = |along| share(&contact, along, inner);
        let cols = |across| share(&contact, ALONG_FLANKS, across);
        Self {
            thirds: THIRDS.map(rows),
            ends: ENDS.map(rows),
            sides: [
                cols(FLANK),
                cols(BETWEEN_FLANKS),
                cols([1.0 - FLANK[1], 1.0 - FLANK[0]]),
            ],
            blocks: THIRDS.map(|along| FLANKS.map(|across| share(&contact, along, across))),
            overall: rows(WHOLE),
        }
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
        vec![
            format!("{seen} along the length: tip third {tip}, middle {middle}, base {base}"),
            format!("{seen} across the width: left flank {left}, middle {centre}, right {right}"),
        ]
    }
}

/// The least share of judged cells, 0 to 1, of the tip, middle and base third and of the very tip and base:
/// what the pattern is told by. A whole end may be missing where most of the face was judged.
pub(crate) fn least_judged(map: &CompoundMap) -> f64 {
    let judged = map.judged.mapv(|j| f32::from(u8::from(j)));
    let inner = [EDGE, 1.0 - EDGE];
    let places = THIRDS.into_iter().chain([ENDS[0], ENDS[2]]);
    places
        .map(|along| share(&judged, along, inner))
        .fold(1.0, f64::min)
}

/// Contact per cell, 0 to 1, NaN where not judged.
fn contact(map: &CompoundMap, method: Method) -> Array2<f32> {
    Array2::from_shape_fn((ROWS, COLS), |rc| {
        let clean = 1.0 - decided(map.cover[rc]);
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
