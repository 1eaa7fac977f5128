//! Whole steps against values from outside the project: standards, handbooks, and independent
//! implementations, whose values `make_fixtures.py` writes to `fixtures/`.

mod agreement;
mod agreement_properties;
mod agreement_rules;
mod colour;
mod geometry;
mod grid;
pub(crate) mod mechanics;
mod photo;
mod properties;
mod regions;
mod sampling;
mod trade;

use seepline::{Camera, Face, FoundBy, Point, Quad};
use serde::Deserialize;
use serde::de::DeserializeOwned;

/// Parses a fixture.
fn fixture<T: DeserializeOwned>(json: &str) -> T {
    serde_json::from_str(json).expect("a fixture of the shape that make_fixtures.py writes")
}

fn point([x, y]: [f64; 2]) -> Point {
    Point::new(x, y)
}

fn quad(corners: [[f64; 2]; 4]) -> Quad {
    Quad(corners.map(point))
}

fn face(corners: Quad, tip_middle: Point, base_middle: Point) -> Face {
    Face {
        corners,
        tip_middle,
        base_middle,
        found_by: FoundBy::Given,
        confidence: 1.0,
        tip_support: 1.0,
    }
}

/// A cylindrical face as OpenCV's `projectPoints` sees it.
#[derive(Deserialize)]
struct SeenFace {
    corners: [[f64; 2]; 4],
    tip_middle: [f64; 2],
    base_middle: [f64; 2],
    size: [u32; 2],
    focal_35mm: f64,
}

impl SeenFace {
    fn face(&self) -> Face {
        face(
            quad(self.corners),
            point(self.tip_middle),
            point(self.base_middle),
        )
    }

    fn camera(&self) -> Camera {
        Camera::of(self.size, Some(self.focal_35mm))
    }
}
