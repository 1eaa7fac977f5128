//! Where each pixel of the shown photo lies on the face.

use crate::face::Face;
use crate::geometry::{Homography, Point, Quad};

/// Where a place on the face lies in the photo: the plane map of the corners, bent so that the tip and
/// the base edge run through their middles, as the edges of a cylinder do.
pub(super) struct FacePlaces {
    plane: Homography,
    corners: Quad,
    tip_bow: [f64; 2],
    base_bow: [f64; 2],
}

impl FacePlaces {
    /// `None` for corners that outline nothing.
    pub(super) fn new(face: &Face) -> Option<Self> {
        let plane = Homography::between(&Quad::UNIT, &face.corners)?;
        let bow = |middle: Point, along: f64| {
            let straight = plane.map(Point::new(0.5, along));
            [middle.x - straight.x, middle.y - straight.y]
        };
        let (tip_bow, base_bow) = (bow(face.tip_middle, 0.0), bow(face.base_middle, 1.0));
        Some(Self {
            plane,
            corners: face.corners,
            tip_bow,
            base_bow,
        })
    }

    /// `across` from the left to the right flank, `along` from the tip to the base, both 0 to 1; full-size
    /// pixels.
    pub(super) fn at(&self, across: f64, along: f64) -> Point {
        let flat = self.plane.map(Point::new(across, along));
        let arch = 4.0 * across * (1.0 - across);
        let bow = |i: usize| arch * ((1.0 - along) * self.tip_bow[i] + along * self.base_bow[i]);
        Point::new(flat.x + bow(0), flat.y + bow(1))
    }
}

/// For every pixel of the shown photo its place on the face, `[across, along]`, both 0 to 1 (left to
/// right and tip to base); `None` off the face.
pub(super) struct Spread {
    width: u32,
    places: Vec<Option<[f32; 2]>>,
}

impl Spread {
    /// Walks the face in steps of less than a pixel, so that none is missed.
    pub(super) fn new(face: &FacePlaces, scale: f64, [width, height]: [u32; 2]) -> Self {
        let mut spread = Self {
            width,
            places: vec![None; width as usize * height as usize],
        };
        let steps = steps(face, scale).min(4 * (width.max(height) as usize));
        for row in 0..=steps {
            let along = row as f64 / steps as f64;
            for column in 0..=steps {
                spread.put(face, scale, height, [column as f64 / steps as f64, along]);
            }
        }
        spread
    }

    fn put(&mut self, face: &FacePlaces, scale: f64, height: u32, place: [f64; 2]) {
        let Point { x, y } = face.at(place[0], place[1]);
        let (x, y) = (x * scale, y * scale);
        if x >= 0.0 && y >= 0.0 && x < f64::from(self.width) && y < f64::from(height) {
            let index = y as usize * self.width as usize + x as usize;
            self.places[index] = Some(place.map(|v| v as f32));
        }
    }

    /// `None` off the picture too.
    pub(super) fn get(&self, x: u32, y: u32) -> Option<[f32; 2]> {
        let in_row = (x < self.width).then_some(x as usize)?;
        self.places
            .get(y as usize * self.width as usize + in_row)
            .copied()
            .flatten()
    }
}

/// Twice the longest edge in pixels; perspective packs at most that much into the near half.
fn steps(face: &FacePlaces, scale: f64) -> usize {
    let q = &face.corners.0;
    let edge = |i: usize| (q[i].x - q[(i + 1) % 4].x).hypot(q[i].y - q[(i + 1) % 4].y);
    let longest = (0..4).map(edge).fold(0.0, f64::max);
    ((longest * scale * 2.0).ceil() as usize).max(2)
}
