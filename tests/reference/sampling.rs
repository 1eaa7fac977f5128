//! Warps and the rectified face against scikit-image, OpenCV and SciPy.

use approx::assert_abs_diff_eq;
use image::{Rgb, RgbImage};
use seepline::{Homography, Point, Quad, UprightPhoto, rectify, resample};
use serde::Deserialize;

use super::{SeenFace, fixture, quad};

/// The smooth picture of `make_fixtures.py`.
fn pattern(width: u32, height: u32) -> RgbImage {
    let wave = |a: f64, b: f64| (128.0 + 100.0 * (a + b).sin() + 0.5).floor() as u8;
    RgbImage::from_fn(width, height, |x, y| {
        let (x, y) = (f64::from(x) + 0.5, f64::from(y) + 0.5);
        Rgb([
            wave(0.031 * x, 0.017 * y + 0.3),
            wave(-0.013 * x, 0.029 * y + 1.1),
            wave(0.021 * x, -0.023 * y + 2.0),
        ])
    })
}

#[derive(Deserialize)]
struct Warped {
    corners: [[f64; 2]; 4],
    skimage: Vec<Vec<[f32; 3]>>,
    opencv: Vec<Vec<[f32; 3]>>,
}

/// Coordinates and weights are `f32` here: 64 px · 6e-8 times at most 4 levels per pixel, far below
/// the fixture's 1e-6; a shift by half a pixel would show as 0.008.
#[test]
fn a_warp_equals_those_of_scikit_image_and_opencv() {
    let want: Warped = fixture(include_str!("fixtures/warps.json"));
    let stored = std::array::from_fn(|v| v as f32 / 255.0);
    let to_picture =
        Homography::between(&Quad::UNIT, &quad(want.corners)).expect("a convex outline");
    let place = |r: f64, c: f64| to_picture.map(Point::new(c / 16.0, r / 12.0));
    let (got, inside) = resample(&pattern(64, 48), (12, 16), 1, &stored, place);
    for ((r, c, k), v) in got.indexed_iter() {
        assert!(inside[[r, c]]);
        assert_abs_diff_eq!(*v, want.skimage[r][c][k], epsilon = 3e-6);
        assert_abs_diff_eq!(*v, want.opencv[r][c][k], epsilon = 3e-6);
    }
}

fn photo(pixels: RgbImage, focal_35mm: f64) -> UprightPhoto {
    let size_px = [pixels.width(), pixels.height()];
    UprightPhoto {
        pixels,
        size_px,
        taken: None,
        focal_35mm: Some(focal_35mm),
        phone: None,
        sha256: String::new(),
    }
}

#[derive(Deserialize)]
struct Rectified {
    #[serde(flatten)]
    seen: SeenFace,
    cells: Vec<Cell>,
}

#[derive(Deserialize)]
struct Cell {
    cell: [usize; 2],
    linear_rgb: [f32; 3],
}

/// The whole step: grid, decoding to linear light, averaging. At most 16 samples stand for a cell where
/// the fixture takes 576: the stored values' rounding (0.29 levels, slope ≤ 2.3 in linear light)
/// averages to 0.29 · 2.3 / 255 / √16 = 7e-4, of which three deviations may show. A cell off by one
/// would be off by 0.02.
#[test]
fn the_rectified_face_holds_the_cells_mean_light() {
    let want: Rectified = fixture(include_str!("fixtures/rectified.json"));
    let photo = photo(pattern(1200, 900), want.seen.focal_35mm);
    let got = rectify(&photo, &want.seen.face()).expect("a face");
    assert_eq!(want.cells.len(), 40);
    for Cell {
        cell: [r, c],
        linear_rgb,
    } in want.cells
    {
        assert!(got.inside[[r, c]]);
        for (k, light) in linear_rgb.iter().enumerate() {
            assert_abs_diff_eq!(got.linear_rgb[[r, c, k]], *light, epsilon = 2e-3);
        }
    }
}

/// A face of which the right half lies out of the picture.
#[test]
fn cells_out_of_the_picture_are_marked_and_dark() {
    let want: Rectified = fixture(include_str!("fixtures/rectified.json"));
    let seen = want.seen.face();
    let cut = seen.corners.centre().x as u32;
    let half = image::imageops::crop_imm(&pattern(1200, 900), 0, 0, cut, 900).to_image();
    let got = rectify(&photo(half, want.seen.focal_35mm), &seen).expect("a face");
    let share = got.inside.iter().filter(|i| **i).count() as f64 / got.inside.len() as f64;
    assert!((0.4..0.6).contains(&share), "{share} of the cells inside");
    for ((r, c), inside) in got.inside.indexed_iter() {
        let dark = (0..3).all(|k| got.linear_rgb[[r, c, k]] == 0.0);
        assert_eq!(*inside, !dark, "row {r}, column {c}");
    }
}
