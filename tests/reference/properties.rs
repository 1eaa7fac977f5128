//! Properties that hold for every outline.

use approx::assert_abs_diff_eq;
use image::{Rgb, RgbImage, imageops};
use proptest::prelude::*;
use seepline::{Face, Homography, Point, Quad, UprightPhoto, rectify};

/// A convex outline about `centre`, with sides between 0.5 and 1.5 times `side`.
fn outline(centre: Point, side: f64) -> impl Strategy<Value = Quad> {
    prop::array::uniform8(-0.25..0.25_f64).prop_map(move |wobble| {
        Quad(std::array::from_fn(|i| {
            let corner = Quad::UNIT.0[i];
            let at = |c: f64, v: f64, w: f64| c + side * (v - 0.5 + w);
            Point::new(
                at(centre.x, corner.x, wobble[2 * i]),
                at(centre.y, corner.y, wobble[2 * i + 1]),
            )
        }))
    })
}

fn any_outline() -> impl Strategy<Value = Quad> {
    outline(Point::new(600.0, 450.0), 300.0).prop_filter("convex", Quad::is_convex_clockwise)
}

fn between(a: &Quad, b: &Quad) -> Homography {
    Homography::between(a, b).expect("convex outlines")
}

/// A small picture in which every corner looks different.
fn picture() -> RgbImage {
    RgbImage::from_fn(240, 180, |x, y| {
        Rgb([x as u8, (y + 40) as u8, ((x * x + 3 * y * y) / 600) as u8])
    })
}

fn photo(pixels: RgbImage) -> UprightPhoto {
    let size_px = [pixels.width(), pixels.height()];
    UprightPhoto {
        pixels,
        size_px,
        taken: None,
        focal_35mm: Some(28.0),
        phone: None,
        sha256: String::new(),
    }
}

/// Where a point goes when a picture of height `h` is turned by a quarter, clockwise.
fn quarter_turn(p: Point, h: f64) -> Point {
    Point::new(h - p.y, p.x)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// 1000 px in `f64` through three eliminations of condition up to about 1e4: 1e-16 · 1e3 · 1e4.
    #[test]
    fn maps_compose_and_invert(a in any_outline(), b in any_outline(), x in 0.0..1.0, y in 0.0..1.0) {
        let p = between(&Quad::UNIT, &a).map(Point::new(x, y));
        let (first, second) = (between(&a, &b), between(&b, &Quad::UNIT));
        prop_assert!(first.then(&second).map(p).distance(second.map(first.map(p))) < 1e-9);
        let back = first.inverse().expect("a convex outline does not flatten");
        prop_assert!(back.map(first.map(p)).distance(p) < 1e-8);
    }

    #[test]
    fn overlap_is_symmetric_whole_with_itself_and_blind_to_labels(
        a in any_outline(), b in any_outline(), k in 0_usize..4,
    ) {
        let overlap = a.overlap(&b);
        prop_assert!((0.0..=1.0).contains(&overlap));
        prop_assert!((overlap - b.overlap(&a)).abs() < 1e-9);
        prop_assert!((overlap - a.with_tip_side(k).overlap(&b)).abs() < 1e-9);
        prop_assert!((a.overlap(&a) - 1.0).abs() < 1e-9);
    }

    /// A quarter turn moves samples from pixel centres to pixel centres, so that only `f32` rounding of
    /// places is left: 240 px · 6e-8, at most 3 levels per pixel, slope 2.3: 4e-7. Where a sample falls
    /// on a pixel's border to within that, it takes another pair of neighbours with the same value.
    #[test]
    fn a_quarter_turn_of_the_photo_changes_nothing(
        corners in outline(Point::new(120.0, 90.0), 90.0).prop_filter("convex", Quad::is_convex_clockwise),
        bow in -6.0..6.0_f64,
    ) {
        let middle = |a: Point, b: Point| { let m = a.towards(b, 0.5); Point::new(m.x, m.y + bow) };
        let [a, b, c, d] = corners.0;
        let upright = super::face(corners, middle(a, b), middle(d, c));
        let turn = |p| quarter_turn(p, 180.0);
        let turned = Face {
            corners: Quad(corners.0.map(turn)),
            tip_middle: turn(upright.tip_middle),
            base_middle: turn(upright.base_middle),
            ..upright.clone()
        };
        let before = rectify(&photo(picture()), &upright).expect("a face");
        let after = rectify(&photo(imageops::rotate90(&picture())), &turned).expect("a face");
        prop_assert_eq!(before.inside, after.inside);
        for (x, y) in before.linear_rgb.iter().zip(&after.linear_rgb) {
            prop_assert!((x - y).abs() < 2e-6, "{} and {}", x, y);
        }
    }
}

/// The turn that the property above relies on, at a pixel that can be checked by hand.
#[test]
fn a_quarter_turn_takes_the_top_left_pixel_to_the_top_right() {
    let p = quarter_turn(Point::new(0.5, 0.5), 180.0);
    assert_abs_diff_eq!(p.x, 179.5);
    assert_abs_diff_eq!(p.y, 0.5);
    assert_eq!(
        imageops::rotate90(&picture()).get_pixel(179, 0),
        picture().get_pixel(0, 0)
    );
}
