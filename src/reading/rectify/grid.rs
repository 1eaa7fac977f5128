//! Places on the face ↔ points in the picture.

use crate::reading::camera::Camera;
use crate::reading::face::Face;
use crate::reading::geometry::{Homography, Point, Quad};

/// Takes a place on the face to a point in the picture.
///
/// The face is a patch of a cylinder with its axis along the length. A point on it lies on the plane
/// through the four corners, at the chord's share `u` across and `s` along, plus a share `d` of the
/// sagitta off that plane, so that in homogeneous picture coordinates
/// `p = u · across + s · along + corner + d · depth`: the plane map's three columns, and one more
/// direction for the depth. The middles of the two curved edges fix the depth. Nothing is approximated
/// but the lens; with straight edges it is the plane map itself.
#[derive(Debug, Clone)]
pub struct FaceGrid {
    across: [f64; 3],
    along: [f64; 3],
    corner: [f64; 3],
    depth: [f64; 3],
    /// Half the angle of the arc, radians.
    half_angle: f64,
}

/// A line of the face from tip to base, straight in the picture.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Generator {
    tip: [f64; 3],
    along: [f64; 3],
}

impl Generator {
    /// The point at `s` of the length, 0 at the tip, 1 at the base.
    pub(crate) fn point(&self, s: f64) -> Point {
        let [x, y, w] = plus(self.tip, s, self.along);
        Point::new(x / w, y / w)
    }
}

/// Half-arcs beyond this are no jaw's: 60°, twice what three jaws leave room for on a common bore.
const WIDEST_HALF_ANGLE: f64 = std::f64::consts::FRAC_PI_3;

impl FaceGrid {
    /// `None` where three corners lie on a line.
    pub fn new(face: &Face, camera: &Camera) -> Option<Self> {
        let plane = Homography::between(&Quad::UNIT, &face.corners)?;
        let depth = depth(&plane, face.tip_middle, face.base_middle);
        let column = |c: usize| [0, 1, 2].map(|r| plane.0[r][c]);
        let across = column(0);
        let half_angle = half_angle(camera.ray(depth), camera.ray(across));
        Some(Self {
            across,
            along: column(1),
            corner: column(2),
            depth,
            half_angle,
        })
    }

    /// The picture point at `s` of the length (0 tip, 1 base) and `x` of the arc (0 left, 1 right).
    pub fn point(&self, s: f64, x: f64) -> Point {
        self.generator(x).point(s)
    }

    /// The line that lies `x` across, 0 at the left flank, 1 at the right one.
    pub(crate) fn generator(&self, x: f64) -> Generator {
        let (u, d) = arc(self.half_angle, x);
        let tip = plus(plus(self.corner, u, self.across), d, self.depth);
        Generator {
            tip,
            along: self.along,
        }
    }
}

/// `a + k · b`.
fn plus(a: [f64; 3], k: f64, b: [f64; 3]) -> [f64; 3] {
    [a[0] + k * b[0], a[1] + k * b[1], a[2] + k * b[2]]
}

/// The depth direction, from the middles of both edges.
///
/// Each middle `m` asks for `depth = m · depth_w + b` in x and y, `b` being the offset from the
/// straight chord times the plane's weight there: four equations, three unknowns, solved by least
/// squares. Along the length both middles are met; across it they are averaged.
fn depth(plane: &Homography, tip_middle: Point, base_middle: Point) -> [f64; 3] {
    let offset = |m: Point, s: f64| {
        let (flat, w) = (
            plane.map(Point::new(0.5, s)),
            plane.weight(Point::new(0.5, s)),
        );
        [w * (m.x - flat.x), w * (m.y - flat.y)]
    };
    let (t, b) = (offset(tip_middle, 0.0), offset(base_middle, 1.0));
    let (dx, dy) = (base_middle.x - tip_middle.x, base_middle.y - tip_middle.y);
    let w = -(dx * (b[0] - t[0]) + dy * (b[1] - t[1])) / (dx * dx + dy * dy);
    let w = if in_front(plane, w) { w } else { 0.0 };
    let mean = tip_middle.towards(base_middle, 0.5);
    [
        f64::midpoint(t[0], b[0]) + mean.x * w,
        f64::midpoint(t[1], b[1]) + mean.y * w,
        w,
    ]
}

/// Whether a middle that is deeper by `w` stays within a factor of two of the corners' distance from
/// the camera; a real sagitta is a small part of it, but middles can be given anywhere.
fn in_front(plane: &Homography, w: f64) -> bool {
    let weights = Quad::UNIT.0.map(|p| plane.weight(p));
    weights.iter().all(|corner| w.abs() < 0.5 * corner.abs())
}

/// Half the arc's angle from its sagitta and its chord: `tan(θ/2) = 2 · sagitta / chord`.
fn half_angle(sagitta: [f64; 3], chord: [f64; 3]) -> f64 {
    let length = |v: [f64; 3]| v[0].hypot(v[1]).hypot(v[2]);
    let angle = 2.0 * (2.0 * length(sagitta) / length(chord)).atan();
    if angle.is_finite() {
        angle.min(WIDEST_HALF_ANGLE)
    } else {
        0.0
    }
}

/// Share of the chord and share of the sagitta at `x` of an arc of half-angle `θ`.
fn arc(half_angle: f64, x: f64) -> (f64, f64) {
    let t = 2.0 * x - 1.0;
    // Below, cosines lose their digits; the parabola differs by θ²/12 of the sagitta, under 1e-7.
    if half_angle < 1e-3 {
        return (x, 1.0 - t * t);
    }
    let (sin, cos) = half_angle.sin_cos();
    let (sin_t, cos_t) = (half_angle * t).sin_cos();
    (f64::midpoint(1.0, sin_t / sin), (cos_t - cos) / (1.0 - cos))
}
