//! Pictures that show no jaw: refused, and never a reason to cut.

use std::fs;
use std::path::Path;

use image::{Rgb, RgbImage};
use seepline::{
    Inspection, Method, Point, Quad, Reason, Request, TipDirection, UprightPhoto, inspect,
    read_photo,
};

use super::compare::change;

const WIDTH: u32 = 800;
const HEIGHT: u32 = 600;

fn pictures() -> Vec<(&'static str, RgbImage)> {
    let draw = |colour: fn(u32, u32) -> [u8; 3]| {
        RgbImage::from_fn(WIDTH, HEIGHT, |x, y| Rgb(colour(x, y)))
    };
    vec![
        ("black", draw(|_, _| [0; 3])),
        ("flat grey", draw(|_, _| [128; 3])),
        ("white", draw(|_, _| [255; 3])),
        ("noise", draw(noise)),
        (
            "gradient",
            draw(|x, y| [(x * 255 / WIDTH) as u8, (y * 255 / HEIGHT) as u8, 90]),
        ),
        (
            "checkerboard",
            draw(|x, y| {
                if (x / 40 + y / 40) % 2 == 0 {
                    [235; 3]
                } else {
                    [25; 3]
                }
            }),
        ),
        (
            "coloured stripes",
            draw(|x, _| STRIPES[x as usize / 50 % STRIPES.len()]),
        ),
        ("lines of text", draw(text)),
    ]
}

const STRIPES: [[u8; 3]; 5] = [
    [200, 40, 40],
    [40, 60, 200],
    [230, 230, 230],
    [40, 160, 70],
    [120, 40, 150],
];

/// A hash of the place (the finaliser of `MurmurHash3`), so that the picture is the same on every machine.
fn hash(x: u32, y: u32) -> u32 {
    let mut h = x.wrapping_mul(0x9e37_79b1) ^ y.wrapping_mul(0x85eb_ca77);
    h = (h ^ (h >> 16)).wrapping_mul(0x85eb_ca6b);
    h = (h ^ (h >> 13)).wrapping_mul(0xc2b2_ae35);
    h ^ (h >> 16)
}

fn noise(x: u32, y: u32) -> [u8; 3] {
    let [r, g, b, _] = hash(x, y).to_le_bytes();
    [r, g, b]
}

/// Words of dark blots in lines on paper.
fn text(x: u32, y: u32) -> [u8; 3] {
    let (line, in_line) = (y / 24, y % 24);
    let (letter, in_letter) = (x / 11, x % 11);
    let blank = in_line < 8 || in_letter < 3 || hash(letter, line).is_multiple_of(6);
    let inked = hash(x / 3, y / 3) % 5 < 3;
    if !blank && inked {
        [40; 3]
    } else {
        [238, 235, 225]
    }
}

/// No metal, no seam, but the layout of a face that is open at one end.
fn plate(x: u32, y: u32) -> [u8; 3] {
    let on = (250..550).contains(&x) && (100..500).contains(&y);
    match (on, y < 300) {
        (true, true) => [150; 3],
        (true, false) => [60, 80, 160],
        (false, _) => [90, 85, 80],
    }
}

fn read(pixels: RgbImage, method: Method, corners: Option<Quad>) -> Inspection {
    let photo = UprightPhoto {
        pixels,
        size_px: [WIDTH, HEIGHT],
        taken: None,
        focal_35mm: None,
        phone: None,
        sha256: String::new(),
    };
    inspect(
        photo,
        &Request {
            method,
            corners,
            ..Request::default()
        },
    )
}

#[test]
fn no_face_is_found_where_there_is_none() {
    for (name, pixels) in pictures() {
        let reading = read(pixels, Method::Seep, None).reading;
        let reason = reading.refusal.as_ref().map(|r| r.reason);
        assert_eq!(
            reason,
            Some(Reason::NoFace),
            "{name}: {:?}",
            reading.pattern
        );
        assert_eq!(change(vec![&reading]), None, "{name}");
    }
}

/// The likeness of a face is no face: no metal, no seam along its edges. Which reason is given is open.
#[test]
fn a_plate_with_blue_at_one_end_is_refused() {
    let pixels = RgbImage::from_fn(WIDTH, HEIGHT, |x, y| Rgb(plate(x, y)));
    let reading = read(pixels, Method::Seep, None).reading;
    assert!(reading.refusal.is_some(), "{:?}", reading.pattern);
    assert_eq!(change(vec![&reading; 3]), None);
}

/// Nor may a change follow where somebody outlines a jaw that is not there, one picture or three.
#[test]
fn corners_around_nothing_ask_for_no_change() {
    let corners = [
        (250.0, 100.0),
        (550.0, 100.0),
        (550.0, 500.0),
        (250.0, 500.0),
    ];
    let corners = Quad(corners.map(|(x, y)| Point::new(x, y)));
    for method in [Method::Seep, Method::Transfer] {
        for (name, pixels) in pictures() {
            let reading = read(pixels, method, Some(corners)).reading;
            assert_eq!(
                change(vec![&reading; 3]).filter(|c| *c != 0.0),
                None,
                "{name}, {method:?}"
            );
        }
    }
}

/// Boxes, boards and framed things that version 0.1.0 gave advice on, drawn by `src/recipe/no_jaw_drawings.py` from the numbers in
/// their names.
#[test]
fn drawings_that_once_passed_for_a_jaw_are_refused() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pipeline/no_jaw");
    let mut read = 0;
    for entry in fs::read_dir(folder).expect("the folder") {
        let path = entry.expect("an entry").path();
        for tip in [TipDirection::Up, TipDirection::Left] {
            for method in [Method::Seep, Method::Transfer] {
                let request = Request {
                    method,
                    tip: Some(tip),
                    corners: None,
                };
                let photo = read_photo(&fs::read(&path).expect("a file")).expect("a picture");
                let reading = inspect(photo, &request).reading;
                let pattern = reading.pattern;
                assert!(reading.refusal.is_some(), "{}: {pattern:?}", path.display());
                read += 1;
            }
        }
    }
    assert_eq!(read, 12 * 2 * 2);
}
