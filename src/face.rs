//! `UprightPhoto` → the gripping face.

use crate::geometry::{Point, Quad};

/// Where the corners come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FoundBy {
    /// Given by the user.
    Given,
    /// Found in the picture.
    Search,
}

/// Where the tip points in the upright photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, clap::ValueEnum)]
#[serde(rename_all = "kebab-case")]
pub enum TipDirection {
    /// To the top edge of the picture.
    #[default]
    Up,
    /// To the bottom edge.
    Down,
    /// To the left edge.
    Left,
    /// To the right edge.
    Right,
}

/// A gripping face in the photo; coordinates in pixels of the upright photo at full size.
#[derive(Debug, Clone, PartialEq)]
pub struct Face {
    /// The four corners.
    pub corners: Quad,
    /// Middle of the (curved) tip edge.
    pub tip_middle: Point,
    /// Middle of the (curved) base edge.
    pub base_middle: Point,
    /// Given or found.
    pub found_by: FoundBy,
    /// Probability that the outline overlaps the true face by 0.8 or more.
    pub confidence: f64,
    /// Probability, from the picture alone, that the tip is where `corners` say.
    pub tip_support: f64,
}
