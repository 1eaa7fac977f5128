//! Places on a cylindrical face against OpenCV's projection of one.

use approx::assert_abs_diff_eq;
use seepline::{Camera, FaceGrid, Homography, Point, Quad};
use serde::Deserialize;

use super::{SeenFace, face, fixture};

#[derive(Deserialize)]
struct Cylinder {
    #[serde(flatten)]
    seen: SeenFace,
    s: Vec<f64>,
    x: Vec<f64>,
    points: Vec<[f64; 2]>,
}

fn cylinders() -> Vec<Cylinder> {
    fixture(include_str!("fixtures/cylinders.json"))
}

fn farthest_off(cylinder: &Cylinder, grid: &FaceGrid) -> f64 {
    let places = cylinder.s.iter().zip(&cylinder.x).zip(&cylinder.points);
    places
        .map(|((s, x), p)| grid.point(*s, *x).distance(super::point(*p)))
        .fold(0.0, f64::max)
}

/// The model is exact for a pinhole camera, so only rounding is left: corners are known to 1e-13 of
/// about 1000 px, the half-angle of a nearly flat arc comes out as a small difference (× 1e2), and
/// elimination costs a few digits more. A parabola instead of the arc is off by 0.2 to 6.6 px here.
#[test]
fn face_points_are_where_opencv_projects_them() {
    let all = cylinders();
    assert_eq!(all.len(), 6);
    for cylinder in &all {
        let grid = FaceGrid::new(&cylinder.seen.face(), &cylinder.seen.camera()).expect("a face");
        assert!(farthest_off(cylinder, &grid) < 1e-6);
    }
}

/// With the focal length unknown the tip, the base and the middle line still hold; in between, the
/// arc's angle is a guess. A guess between 20 and 60 mm, where 28 and 52 mm are true, moves points by at
/// most 1.3 % of the length (measured), on the most curved faces, where straight chords miss 5 to 14 %.
#[test]
fn a_wrong_focal_length_bends_the_grid_little() {
    for cylinder in cylinders() {
        let length = cylinder.seen.face().corners.length_px();
        for guess in [20.0, 60.0] {
            let camera = Camera::of(cylinder.seen.size, Some(guess));
            let grid = FaceGrid::new(&cylinder.seen.face(), &camera).expect("a face");
            let off = farthest_off(&cylinder, &grid) / length;
            assert!(off < 0.015, "{off} of the length at {guess} mm");
        }
    }
}

/// A half-arc of angle θ, seen straight on by a camera at `away` times its radius.
fn straight_on(half_angle: f64, away: f64) -> (Quad, [Point; 2], Camera) {
    let camera = Camera {
        focal_px: 1000.0 * away,
        centre: Point::new(500.0, 500.0),
    };
    let project = |phi: f64, s: f64| {
        let z = away + phi.cos() - half_angle.cos();
        let at = |v: f64| 500.0 + camera.focal_px * v / z;
        Point::new(at(phi.sin()), at(s - 0.5))
    };
    let t = half_angle;
    let corners = Quad([
        project(-t, 0.0),
        project(t, 0.0),
        project(t, 1.0),
        project(-t, 1.0),
    ]);
    (corners, [project(0.0, 0.0), project(0.0, 1.0)], camera)
}

/// Arc over chord is θ / sin θ: 1.0051 at 10°, 1.0472 at 30°, 1.1107 at 45° (recomputed). Seen straight
/// on from afar, that is how much faster than on average the picture is crossed in the middle of the
/// arc. Printed to four digits; nearness adds 1 / 1e5, and steps of ±1e-3 of the arc θ² · 1e-6 / 6.
#[test]
#[expect(
    clippy::approx_constant,
    reason = "the printed ratio at 30° happens to be π/3"
)]
fn the_arc_is_longer_than_its_chord_by_the_handbook_ratio() {
    for (degrees, ratio) in [(10.0_f64, 1.0051), (30.0, 1.0472), (45.0, 1.1107)] {
        let (corners, [tip, base], camera) = straight_on(degrees.to_radians(), 1e5);
        let grid = FaceGrid::new(&face(corners, tip, base), &camera).expect("a face");
        let step = 1e-3;
        let middle = grid.point(0.5, 0.5 + step).x - grid.point(0.5, 0.5 - step).x;
        let chord = grid.point(0.5, 1.0).x - grid.point(0.5, 0.0).x;
        assert_abs_diff_eq!(middle / (2.0 * step) / chord, ratio, epsilon = 6e-5);
    }
}

/// Middles on the straight chords: the grid is the plane map itself.
#[test]
fn straight_edges_give_the_plane_map() {
    let corners = super::quad([
        [310.0, 205.0],
        [905.0, 260.0],
        [840.0, 770.0],
        [250.0, 690.0],
    ]);
    let plane = Homography::between(&Quad::UNIT, &corners).expect("a convex outline");
    let middle = |s| plane.map(Point::new(0.5, s));
    let camera = Camera::of([1200, 900], Some(28.0));
    let grid = FaceGrid::new(&face(corners, middle(0.0), middle(1.0)), &camera).expect("a face");
    for (s, x) in [(0.0, 0.0), (0.3, 0.8), (1.0, 0.25), (0.5, 0.5), (1.0, 1.0)] {
        // Rounding of 1000 px coordinates through one elimination.
        assert!(grid.point(s, x).distance(plane.map(Point::new(x, s))) < 1e-9);
    }
}

/// Middles may be given anywhere; the grid must stay finite.
#[test]
fn absurd_middles_give_a_finite_grid() {
    let corners = super::quad([
        [310.0, 205.0],
        [905.0, 260.0],
        [840.0, 770.0],
        [250.0, 690.0],
    ]);
    let camera = Camera::of([1200, 900], Some(28.0));
    for (tip, base) in [
        ([9e5, -4e6], [0.0, 0.0]),
        ([600.0, 5e3], [600.0, -5e3]),
        ([7.0, 7.0], [7.0, 7.0]),
    ] {
        let seen = face(corners, super::point(tip), super::point(base));
        let grid = FaceGrid::new(&seen, &camera).expect("the corners are a face");
        for (s, x) in [(0.0, 0.5), (0.5, 0.3), (1.0, 0.9)] {
            let p = grid.point(s, x);
            assert!(
                p.x.is_finite() && p.y.is_finite(),
                "{p:?} from {tip:?}, {base:?}"
            );
        }
    }
}
