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

    /// The straight line from tip to base that lies that far across.
    fn line(&self, across: f64) -> impl Fn(f64) -> Point {
        let line = self.grid.generator(across);
        let scale = self.scale;
        move |along| line.point(along).scaled(scale)
    }

    /// Steps `[across, along]`: twice the longer of the two edges in pixels; perspective packs at most that
    /// much into the near half.
    fn steps(&self) -> [usize; 2] {
        let q = &self.corners.0;
        let edge = |i: usize| q[i].distance(q[(i + 1) % 4]);
        let steps = |a: f64, b: f64| ((a.max(b) * 2.0).ceil() as usize).max(2);
        [steps(edge(0), edge(2)), steps(edge(1), edge(3))]
    }
}

/// For every pixel of the shown photo its place on the face, `[across, along]`, both 0 to 1 (left to
/// right and tip to base); `None` off the face.
pub(super) struct Spread {
    width: u32,
    /// Row by row.
    pub(super) places: Vec<Option<[f32; 2]>>,
}

impl Spread {
    /// Walks the face in steps of less than a pixel, so that none is missed.
    pub(super) fn new(face: &ShownFace, [width, height]: [u32; 2]) -> Self {
        let mut spread = Self {
            width,
            places: vec![None; width as usize * height as usize],
        };
        let most = 4 * (width.max(height) as usize);
        let [columns, rows] = face.steps().map(|steps| steps.min(most));
        for column in 0..=columns {
            let across = column as f64 / columns as f64;
            let line = face.line(across);
            for row in 0..=rows {
                let along = row as f64 / rows as f64;
                spread.put(line(along), height, [across, along]);
            }
        }
        spread
    }

    fn put(&mut self, Point { x, y }: Point, height: u32, place: [f64; 2]) {
        if x >= 0.0 && y >= 0.0 && x < f64::from(self.width) && y < f64::from(height) {
            let index = y as usize * self.width as usize + x as usize;
            self.places[index] = Some(place.map(|v| v as f32));
        }
    }
}
