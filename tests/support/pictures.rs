//! Pictures made for tests, and plain ways to compare them.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::{ImageFormat, Rgb, RgbImage};

/// A smooth scene with all colours, different for every seed.
pub(crate) fn smooth(width: u32, height: u32, seed: u8) -> RgbImage {
    let phase = f64::from(seed) / 20.0;
    let wave = |t: f64| (127.5 + 110.0 * (t + phase).sin()).round() as u8;
    RgbImage::from_fn(width, height, |x, y| {
        let (u, v) = (
            f64::from(x) / f64::from(width),
            f64::from(y) / f64::from(height),
        );
        Rgb([wave(7.0 * u), wave(5.0 * v + u), wave(4.0 * u - 6.0 * v)])
    })
}

/// The picture as a PNG file.
pub(crate) fn png(picture: &RgbImage) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    picture
        .write_to(&mut bytes, ImageFormat::Png)
        .expect("written to memory");
    bytes.into_inner()
}

/// The picture as a baseline JPEG file.
pub(crate) fn jpeg(picture: &RgbImage, quality: u8) -> Vec<u8> {
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, quality)
        .encode_image(picture)
        .expect("written to memory");
    bytes
}

/// A JPEG file with another size in its frame header.
pub(crate) fn with_jpeg_size(bytes: &[u8], [width, height]: [u16; 2]) -> Vec<u8> {
    let (mut changed, frame) = (bytes.to_vec(), jpeg_frame(bytes));
    changed[frame + 5..frame + 7].copy_from_slice(&height.to_be_bytes());
    changed[frame + 7..frame + 9].copy_from_slice(&width.to_be_bytes());
    changed
}

/// A JPEG file whose frame header claims another kind of coding.
pub(crate) fn with_jpeg_marker(bytes: &[u8], marker: u8) -> Vec<u8> {
    let (mut changed, frame) = (bytes.to_vec(), jpeg_frame(bytes));
    changed[frame + 1] = marker;
    changed
}

fn jpeg_frame(bytes: &[u8]) -> usize {
    let is_frame = |w: &[u8]| w == [0xff, 0xc0] || w == [0xff, 0xc2];
    bytes.windows(2).position(is_frame).expect("a frame")
}

/// Mean absolute difference, in levels, between `small` and area averages of `whole`, of which a pixel
/// of `small` covers `step` × `step`.
pub(crate) fn difference_to_averages(small: &RgbImage, whole: &RgbImage, step: f64) -> f64 {
    let mut sum = 0.0;
    for (x, y, pixel) in small.enumerate_pixels() {
        let average = average(whole, f64::from(x) * step, f64::from(y) * step, step);
        sum += (0..3)
            .map(|i| (f64::from(pixel.0[i]) - average[i]).abs())
            .sum::<f64>();
    }
    sum / f64::from(3 * small.width() * small.height())
}

/// The mean colour of a square, parts of pixels counted as such.
fn average(whole: &RgbImage, left: f64, top: f64, side: f64) -> [f64; 3] {
    let cover =
        |from: f64, at: u32| (from + side).min(f64::from(at) + 1.0) - from.max(f64::from(at));
    let reach = |from: f64, limit: u32| from as u32..((from + side).ceil() as u32).min(limit);
    let (mut sum, mut area) = ([0.0; 3], 0.0);
    for y in reach(top, whole.height()) {
        for x in reach(left, whole.width()) {
            let weight = cover(left, x) * cover(top, y);
            area += weight;
            for (total, value) in sum.iter_mut().zip(whole.get_pixel(x, y).0) {
                *total += weight * f64::from(value);
            }
        }
    }
    sum.map(|v| v / area)
}
