//! The eight EXIF orientations of one photo are one photo.

use image::RgbImage;
use seepline::{inspect, read_photo};

use super::compare::{along, assert_never_opposite, profile_difference};
use super::samples::{Sample, readable};
use crate::support::exif_notes::{jpeg, orientation, png};

/// Where the stored picture's row 0 and column 0 lie in the upright one, by orientation 1 to 8
/// (CIPA DC-008 / TIFF 6.0, tag 274).
const ROW_0_COLUMN_0: [(Side, Side); 8] = [
    (Side::Top, Side::Left),
    (Side::Top, Side::Right),
    (Side::Bottom, Side::Right),
    (Side::Bottom, Side::Left),
    (Side::Left, Side::Top),
    (Side::Right, Side::Top),
    (Side::Right, Side::Bottom),
    (Side::Left, Side::Bottom),
];

#[derive(Clone, Copy, PartialEq)]
enum Side {
    Top,
    Bottom,
    Left,
    Right,
}

impl Side {
    /// Distance of an upright pixel from this side.
    fn distance(self, (x, y): (u32, u32), (width, height): (u32, u32)) -> u32 {
        match self {
            Self::Top => y,
            Self::Bottom => height - 1 - y,
            Self::Left => x,
            Self::Right => width - 1 - x,
        }
    }
}

/// The picture as a camera that is held so would have stored it.
pub(crate) fn stored(upright: &RgbImage, code: u16) -> RgbImage {
    let (row_0, column_0) = ROW_0_COLUMN_0[usize::from(code) - 1];
    let size = upright.dimensions();
    let (width, height) = if matches!(row_0, Side::Top | Side::Bottom) {
        size
    } else {
        (size.1, size.0)
    };
    let mut picture = RgbImage::new(width, height);
    for (x, y, pixel) in upright.enumerate_pixels() {
        let (column, row) = (
            column_0.distance((x, y), size),
            row_0.distance((x, y), size),
        );
        picture.put_pixel(column, row, *pixel);
    }
    picture
}

fn sample() -> &'static Sample {
    readable().next().expect("a readable sample")
}

/// Without loss nothing may differ: the same pixels, hence the same reading.
#[test]
fn a_png_in_any_orientation_is_read_the_same() {
    let Sample { inspection, .. } = sample();
    let upright = &inspection.photo;
    for code in 1..=8 {
        let bytes = png(&stored(&upright.pixels, code), orientation(code));
        let photo = read_photo(&bytes).expect("a PNG");
        assert!(
            photo.pixels == upright.pixels,
            "orientation {code}: other pixels"
        );
        let [width, height] = photo.size_px;
        assert_eq!(
            (width, height),
            upright.pixels.dimensions(),
            "orientation {code}"
        );
    }
}

/// Levels. A JPEG's blocks are anchored at the stored picture's first corner, so its loss at quality 95 differs
/// between orientations; a wrong turn changes the mean by tens of levels.
const LARGEST_MEAN_DIFFERENCE: f64 = 2.0;
/// One cell of the reader's map moves a band's edge by 1/67 of the length, and each of at most two edges
/// may fall into the next cell: 0.030. Tip and base swapped gives 0.5.
const LARGEST_PROFILE_DIFFERENCE: f64 = 0.030;

#[test]
fn a_jpeg_in_any_orientation_is_read_the_same() {
    let sample = sample();
    let before = &sample.inspection;
    for code in 1..=8 {
        let bytes = jpeg(
            &stored(&before.photo.pixels, code),
            95,
            Some(orientation(code)),
        );
        let mut photo = read_photo(&bytes).expect("a JPEG");
        photo.focal_35mm = before.photo.focal_35mm;
        let off = mean_difference(&photo.pixels, &before.photo.pixels);
        assert!(
            off <= LARGEST_MEAN_DIFFERENCE,
            "orientation {code}: {off:.2} levels"
        );
        let reading = inspect(photo, &sample.request()).reading;
        assert_never_opposite(sample.name(), &before.reading, &reading);
        assert_eq!(
            reading.pattern, before.reading.pattern,
            "orientation {code}"
        );
        let off = profile_difference(along(&reading), along(&before.reading)).expect("stations");
        assert!(
            off <= LARGEST_PROFILE_DIFFERENCE,
            "orientation {code}: {off:.3}"
        );
    }
}

fn mean_difference(one: &RgbImage, other: &RgbImage) -> f64 {
    assert_eq!(one.dimensions(), other.dimensions());
    let sum: u64 = one
        .as_raw()
        .iter()
        .zip(other.as_raw())
        .map(|(a, b)| u64::from(a.abs_diff(*b)))
        .sum();
    sum as f64 / one.as_raw().len() as f64
}
