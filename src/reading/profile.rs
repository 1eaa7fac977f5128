//! `CompoundMap` → the contact profile along the length and across the width.

use ndarray::{ArrayView1, Axis};

use crate::reading::compound::{CompoundMap, decided};
use crate::reading::method::Method;
use crate::reading::rectify::{COLS, ROWS};

/// Stations along the length, tip to base.
pub const STATIONS: usize = 64;
/// Stations across the width, left to right with the tip up.
pub const COLUMNS: usize = 48;

/// Shares are of the judged width *clean of compound*, 0 to 1; `None` where too little was judged.
#[derive(Debug, Clone, PartialEq)]
pub struct ContactProfile {
    /// Station 0 at the tip.
    pub along: [Option<f64>; STATIONS],
    /// One standard deviation of each station.
    pub along_sd: [f64; STATIONS],
    /// The same across the width, column 0 at the left flank.
    pub across: [Option<f64>; COLUMNS],
    /// Mean clean share of the tip, middle and base third.
    pub thirds: [f64; 3],
    /// Share of the face that could be judged.
    pub judged: f64,
}

impl ContactProfile {
    /// Share in contact of the tip, middle and base third: what is clean in a seep-in check, what is
    /// printed in a transfer check.
    pub(crate) fn contact(&self, method: Method) -> [f64; 3] {
        self.thirds.map(|clean| match method {
            Method::Seep => clean,
            Method::Transfer => 1.0 - clean,
        })
    }
}

/// A stretch of the length where compound covers more than half of the judged width.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Band {
    /// Fraction of the length from the tip.
    pub from: f64,
    /// Fraction of the length from the tip, larger than `from`.
    pub to: f64,
}

/// The painted hairline stays on the edges whatever the gap: this share of the width and of the length
/// is left out at each end when the other direction is profiled.
pub(crate) const EDGE: f64 = 0.1;
/// Least share of a station's width that must be judged.
const LEAST_JUDGED: f64 = 0.25;
/// A single noisy station is no band.
const SHORTEST_BAND: usize = 2;

/// Profiles the face along and across.
pub fn profile(map: &CompoundMap) -> ContactProfile {
    let station = |i: usize| Station::of(map, Axis(0), i * ROWS / STATIONS, ROWS / STATIONS);
    let stations: [Station; STATIONS] = std::array::from_fn(station);
    let column = |i: usize| Station::of(map, Axis(1), i * COLS / COLUMNS, COLS / COLUMNS).clean();
    let along = stations.each_ref().map(Station::clean);
    let judged = map.judged.iter().filter(|j| **j).count() as f64 / (ROWS * COLS) as f64;
    ContactProfile {
        along_sd: stations.each_ref().map(Station::sd),
        across: std::array::from_fn(column),
        thirds: thirds(&along),
        along,
        judged,
    }
}

/// Sums over a few lanes of the map.
struct Station {
    judged: f64,
    covered: f64,
    doubt: f64,
    cells: f64,
}

impl Station {
    fn of(map: &CompoundMap, axis: Axis, first: usize, lanes: usize) -> Self {
        let mut sum = Self {
            judged: 0.0,
            covered: 0.0,
            doubt: 0.0,
            cells: 0.0,
        };
        for i in first..first + lanes {
            sum.add(
                map.cover.index_axis(axis, i),
                map.judged.index_axis(axis, i),
            );
        }
        sum
    }

    fn add(&mut self, cover: ArrayView1<'_, f32>, judged: ArrayView1<'_, bool>) {
        let edge = (cover.len() as f64 * EDGE).round() as usize;
        for i in edge..cover.len() - edge {
            self.cells += 1.0;
            if judged[i] {
                let p = f64::from(cover[i]);
                self.judged += 1.0;
                self.covered += f64::from(decided(cover[i]));
                self.doubt += p * (1.0 - p);
            }
        }
    }

    fn clean(&self) -> Option<f64> {
        (self.judged >= LEAST_JUDGED * self.cells).then(|| 1.0 - self.covered / self.judged)
    }

    /// The cells of a station are not independent: doubt is shared, so its mean, not its mean over the
    /// root of the count, is the variance; the floor is a cell or two at the band's ragged edge.
    fn sd(&self) -> f64 {
        if self.judged > 0.0 {
            (self.doubt / self.judged).sqrt().max(0.02)
        } else {
            1.0
        }
    }
}

fn thirds(along: &[Option<f64>; STATIONS]) -> [f64; 3] {
    std::array::from_fn(|t| {
        let (a, b) = (t * STATIONS / 3, (t + 1) * STATIONS / 3);
        let seen: Vec<f64> = along[a..b].iter().flatten().copied().collect();
        if seen.is_empty() {
            f64::NAN
        } else {
            seen.iter().sum::<f64>() / seen.len() as f64
        }
    })
}

/// The stretches where compound covers more than half of the judged width. A station that was not
/// judged continues what was before it. The edges lie where the profile crosses one half.
pub(crate) fn bands(profile: &ContactProfile) -> Vec<Band> {
    let filled = filled(&profile.along);
    let mut bands = Vec::new();
    let mut start = None;
    for i in 0..=STATIONS {
        let covered = i < STATIONS && filled[i] < 0.5;
        match (covered, start) {
            (true, None) => start = Some(i),
            (false, Some(from)) => {
                if i - from >= SHORTEST_BAND {
                    bands.push(Band {
                        from: crossing(&filled, from),
                        to: crossing(&filled, i),
                    });
                }
                start = None;
            }
            _ => {}
        }
    }
    bands
}

/// Gaps filled from the tip side, the first ones from the base side; all clean where nothing is judged.
pub(crate) fn filled(along: &[Option<f64>; STATIONS]) -> [f64; STATIONS] {
    let mut last = along.iter().flatten().next().copied().unwrap_or(1.0);
    along.map(|v| {
        last = v.unwrap_or(last);
        last
    })
}

/// Where the profile crosses one half between stations `i - 1` and `i`, as a fraction of the length.
fn crossing(filled: &[f64; STATIONS], i: usize) -> f64 {
    if i == 0 || i == STATIONS {
        return i as f64 / STATIONS as f64;
    }
    let (a, b) = (filled[i - 1], filled[i]);
    let t = if (a - b).abs() < 1e-9 {
        0.5
    } else {
        ((a - 0.5) / (a - b)).clamp(0.0, 1.0)
    };
    (i as f64 - 0.5 + t) / STATIONS as f64
}
