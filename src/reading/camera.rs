//! The camera as far as a reading needs it: a focal length in pixels and a picture centre.

use crate::reading::geometry::Point;

/// A pinhole camera with square pixels and its axis through the middle of the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Camera {
    /// Focal length in pixels, > 0.
    pub focal_px: f64,
    /// Where the optical axis meets the picture.
    pub centre: Point,
}

/// Taken where the photo does not say: the main camera of a phone, at the long end of the usual
/// 24 to 28 mm, since close-ups are often cropped by the zoom.
const USUAL_FOCAL_35MM: f64 = 28.0;

impl Camera {
    /// The camera of an upright photo of the given full size.
    pub fn of(size_px: [u32; 2], focal_35mm: Option<f64>) -> Self {
        let [width, height] = size_px.map(f64::from);
        let known = focal_35mm.filter(|f| f.is_finite() && *f > 0.0);
        Self {
            focal_px: focal_px(known.unwrap_or(USUAL_FOCAL_35MM), width, height),
            centre: Point::new(width / 2.0, height / 2.0),
        }
    }

    /// The direction in space, up to scale, of a homogeneous picture point.
    pub(crate) fn ray(&self, [x, y, w]: [f64; 3]) -> [f64; 3] {
        [
            (x - self.centre.x * w) / self.focal_px,
            (y - self.centre.y * w) / self.focal_px,
            w,
        ]
    }
}

/// Focal length in pixels from the 35-mm equivalent, `f35 · diagonal / 43.267`: the diagonal of the
/// 24 × 36 mm frame, as CIPA DC-008 (Exif) defines the tag 0xA405. The other custom, by the width
/// (`f35 · width / 36`), comes out 4 % lower on a 4:3 sensor and depends on how the photo is turned.
pub fn focal_px(focal_35mm: f64, width_px: f64, height_px: f64) -> f64 {
    focal_35mm * width_px.hypot(height_px) / 24.0_f64.hypot(36.0)
}
