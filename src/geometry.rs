//! Points, four-cornered outlines and the plane projective map between them.

/// A point in picture coordinates: x to the right, y down, in pixels of the upright photo at full
/// size unless a name says otherwise; pixel centres lie at half-integers.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
#[serde(into = "[f64; 2]")]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Down.
    pub y: f64,
}

impl From<Point> for [f64; 2] {
    fn from(p: Point) -> Self {
        [p.x, p.y]
    }
}

/// Four corners in the order tip-left, tip-right, base-right, base-left, as seen with the tip up.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
#[serde(transparent)]
pub struct Quad(pub [Point; 4]);

/// A plane projective map, row by row, scaled so that the last entry is 1 where that is possible.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Homography(pub [[f64; 3]; 3]);
