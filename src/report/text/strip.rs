//! One jaw as a strip from the tip to the base.

use super::pen::{Ink, Pen};
use crate::reading::profile::{ContactProfile, STATIONS};

/// Cells at most; fewer on a narrow screen.
const CELLS: usize = 48;
const TIP: &str = "TIP ";
const BASE: &str = " BASE";

/// How much compound a cell holds; told apart by shape, not by colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Level {
    Clean,
    Little,
    Most,
    Full,
    Unjudged,
}

impl Level {
    /// From the share of the width that is clean; a quarter of the width is a step.
    fn of(clean: Option<f64>) -> Self {
        match clean.map(|share| 1.0 - share) {
            None => Level::Unjudged,
            Some(compound) if compound < 0.25 => Level::Clean,
            Some(compound) if compound < 0.50 => Level::Little,
            Some(compound) if compound < 0.75 => Level::Most,
            Some(_) => Level::Full,
        }
    }

    fn symbol(self, unicode: bool) -> char {
        match (self, unicode) {
            (Level::Clean, true) => '·',
            (Level::Little, true) => '░',
            (Level::Most, true) => '▒',
            (Level::Full, true) => '█',
            (Level::Clean, false) => '.',
            (Level::Little, false) => '-',
            (Level::Most, false) => '+',
            (Level::Full, false) => '#',
            (Level::Unjudged, _) => '?',
        }
    }

    fn ink(self) -> Ink {
        match self {
            Level::Clean => Ink::Plain,
            Level::Unjudged => Ink::Unjudged,
            _ => Ink::Compound,
        }
    }
}

/// What the strip's characters mean, on one line.
pub(super) fn legend(pen: &Pen, compound_means: &str) -> String {
    let [full, most, little, clean, unjudged] = [
        Level::Full,
        Level::Most,
        Level::Little,
        Level::Clean,
        Level::Unjudged,
    ]
    .map(|level| level.symbol(pen.unicode));
    format!("{full}{most}{little} {compound_means}   {clean} clean metal   {unjudged} not judged")
}

/// `TIP ····▒███ BASE`.
pub(super) fn draw(pen: &Pen, profile: &ContactProfile) -> String {
    let levels = levels(profile, cells(pen.width));
    let mut line = TIP.to_owned();
    for run in levels.chunk_by(|a, b| a.ink() == b.ink()) {
        let symbols: String = run.iter().map(|level| level.symbol(pen.unicode)).collect();
        line += &pen.inked(&symbols, run[0].ink());
    }
    line + BASE
}

/// Marks under the strip: 0, 50 and 100 % of the length from the tip.
pub(super) fn scale(pen: &Pen) -> String {
    let cells = cells(pen.width);
    let (half, rest) = (cells / 2, cells - cells / 2);
    format!(
        "{:indent$}{:<half$}{:<rest$}100 %",
        "",
        "0 %",
        "50 %",
        indent = TIP.len()
    )
}

fn cells(width: usize) -> usize {
    width.saturating_sub(TIP.len() + BASE.len() + 1).min(CELLS)
}

/// Stations averaged into cells by how far they overlap; a cell counts as judged when half of it is.
fn levels(profile: &ContactProfile, cells: usize) -> Vec<Level> {
    let per_cell = STATIONS as f64 / cells as f64;
    (0..cells)
        .map(|cell| {
            let from = cell as f64 * per_cell;
            Level::of(mean_clean(profile, from, from + per_cell))
        })
        .collect()
}

fn mean_clean(profile: &ContactProfile, from: f64, to: f64) -> Option<f64> {
    let (mut sum, mut judged) = (0.0, 0.0);
    for (station, share) in profile.along.iter().enumerate() {
        let at = station as f64;
        let overlap = (to.min(at + 1.0) - from.max(at)).max(0.0);
        if let Some(share) = share {
            sum += overlap * share;
            judged += overlap;
        }
    }
    (judged >= (to - from) / 2.0).then(|| sum / judged)
}
