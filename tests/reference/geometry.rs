//! Homographies, overlaps and the focal length.

use approx::assert_abs_diff_eq;
use seepline::{Camera, Homography, Point, Quad, focal_px};
use serde::Deserialize;

use super::{fixture, point, quad};

#[derive(Deserialize)]
struct Case {
    from: [[f64; 2]; 4],
    to: [[f64; 2]; 4],
    point: [f64; 2],
    mapped: [f64; 2],
}

fn mapped() -> Vec<Case> {
    fixture(include_str!("fixtures/homographies.json"))
}

fn assert_maps(case: &Case, tolerance_px: f64) {
    let h =
        Homography::between(&quad(case.from), &quad(case.to)).expect("corners in general position");
    let p = h.map(point(case.point));
    assert_abs_diff_eq!(p.x, case.mapped[0], epsilon = tolerance_px);
    assert_abs_diff_eq!(p.y, case.mapped[1], epsilon = tolerance_px);
}

/// Printed to four digits; scikit-image's own example of a projective transform.
#[test]
fn first_reference_point_as_scikit_image_maps_it() {
    let case = &mapped()[0];
    assert_abs_diff_eq!(case.point[..], [150.0, 25.0]);
    assert_abs_diff_eq!(case.mapped[..], [200.9725, 65.3508]);
    assert_maps(case, 5.1e-5);
}

/// OpenCV's four-point tutorial; printed to three digits.
#[test]
fn second_reference_point_as_opencv_maps_it() {
    let case = Case {
        mapped: [144.333, 139.305],
        ..mapped().swap_remove(1)
    };
    assert_abs_diff_eq!(case.point[..], [200.0, 200.0]);
    assert_maps(&case, 5.1e-4);
}

/// Corners reach OpenCV as `f32`: up to 2.5e-4 px of 4000, and a point between the corners moves no
/// more than twice that.
#[test]
fn wobbly_quads_map_as_in_opencv() {
    let cases = mapped();
    assert_eq!(cases.len(), 22);
    cases
        .iter()
        .skip(2)
        .for_each(|case| assert_maps(case, 6e-4));
}

#[test]
fn three_corners_on_a_line_give_no_map() {
    let flat = quad([[0.0, 0.0], [1.0, 1.0], [2.0, 2.0], [0.0, 5.0]]);
    assert_eq!(Homography::between(&Quad::UNIT, &flat), None);
    assert_eq!(Homography::between(&flat, &Quad::UNIT), None);
    let nowhere = Quad([Point::new(f64::NAN, 0.0); 4]);
    assert_eq!(Homography::between(&Quad::UNIT, &nowhere), None);
}

#[derive(Deserialize)]
struct Overlapping {
    a: [[f64; 2]; 4],
    b: [[f64; 2]; 4],
    overlap: f64,
}

/// OpenCV clips in `f32`: 1e-7 of areas near 1e4 px², over unions of that size.
#[test]
fn overlaps_are_those_of_opencv() {
    let cases: Vec<Overlapping> = fixture(include_str!("fixtures/overlaps.json"));
    assert_eq!(cases.len(), 20);
    for case in cases {
        assert_abs_diff_eq!(
            quad(case.a).overlap(&quad(case.b)),
            case.overlap,
            epsilon = 5e-6
        );
    }
}

/// By the diagonal: 26 mm on 4000 × 3000 is 3005 px (CIPA DC-008, tag 0xA405; from memory), not the
/// 2889 px that the width alone would give. Printed to whole pixels.
#[test]
fn focal_length_goes_by_the_diagonal() {
    assert_abs_diff_eq!(focal_px(26.0, 4000.0, 3000.0), 3005.0, epsilon = 0.5);
    let (wide, tall) = (
        Camera::of([4000, 3000], Some(26.0)),
        Camera::of([3000, 4000], Some(26.0)),
    );
    assert_abs_diff_eq!(wide.focal_px, tall.focal_px, epsilon = 1e-9);
    assert_eq!(tall.centre, Point::new(1500.0, 2000.0));
}

/// The tag's value 0 means unknown (CIPA DC-008; from memory): never a camera without focal length.
#[test]
fn an_unknown_focal_length_gives_a_usual_one() {
    for unknown in [None, Some(0.0), Some(f64::NAN), Some(-3.0)] {
        assert_eq!(
            Camera::of([400, 300], unknown),
            Camera::of([400, 300], Some(28.0))
        );
    }
}

#[test]
fn crossed_mirrored_and_hollow_outlines_are_told_from_convex_ones() {
    assert!(Quad::UNIT.is_convex_clockwise());
    let [a, b, c, d] = Quad::UNIT.0;
    assert!(!Quad([a, c, b, d]).is_convex_clockwise(), "crossed");
    assert!(!Quad([b, a, d, c]).is_convex_clockwise(), "mirrored");
    assert!(
        !Quad([a, b, Point::new(0.2, 0.2), d]).is_convex_clockwise(),
        "hollow"
    );
    assert!(
        !Quad([a, b, Point::new(f64::NAN, 1.0), d]).is_convex_clockwise(),
        "not a number"
    );
}
