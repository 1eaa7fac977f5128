//! Where the face lies in the shown photo, and where each of its pixels lies on the face.

use crate::camera::Camera;
use crate::face::Face;
use crate::geometry::{Point, Quad};
use crate::photo::UprightPhoto;
use crate::rectify::FaceGrid;

/// The face in pixels of the shown photo.
pub(super) struct ShownFace {
    grid: FaceGrid,
    corners: Quad,
    scale: f64,
}

impl ShownFace {
    /// `scale`: shown pixels per full-size pixel. `None` for corners that outline nothing.
    pub(super) fn new(face: &Face, photo: &UprightPhoto, scale: f64) -> Option<Self> {
        let grid = FaceGrid::new(face, &Camera::of(photo.size_px, photo.focal_35mm))?;
        Some(Self {
            grid,
            corners: face.corners.scaled(scale),
            scale,
        })
    }

    /// `across` from the left to the right flank, `along` from the tip to the base, both 0 to 1.
    pub(super) fn at(&self, across: f64, along: f64) -> Point {
        self.grid.point(along, across).scaled(self.scale)
    }

    /// Twice the longest edge in pixels; perspective packs at most that much into the near half.
    fn steps(&self) -> usize {
        let q = &self.corners.0;
        let longest = (0..4)
            .map(|i| q[i].distance(q[(i + 1) % 4]))
            .fold(0.0, f64::max);
        ((longest * 2.0).ceil() as usize).max(2)
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
    pub(super) fn new(face: &ShownFace, [width, height]: [u32; 2]) -> Self {
        let mut spread = Self {
            width,
            places: vec![None; width as usize * height as usize],
        };
        let steps = face.steps().min(4 * (width.max(height) as usize));
        for row in 0..=steps {
            let along = row as f64 / steps as f64;
            for column in 0..=steps {
                spread.put(face, height, [column as f64 / steps as f64, along]);
            }
        }
        spread
    }

    fn put(&mut self, face: &ShownFace, height: u32, place: [f64; 2]) {
        let Point { x, y } = face.at(place[0], place[1]);
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
