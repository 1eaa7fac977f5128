//! `CompoundMap` → the contact profile along the length and across the width.

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

/// A stretch of the length where compound covers more than half of the judged width.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Band {
    /// Fraction of the length from the tip.
    pub from: f64,
    /// Fraction of the length from the tip, larger than `from`.
    pub to: f64,
}
