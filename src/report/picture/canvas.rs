//! Lettering and hatching on a picture.

use image::{Luma, Rgb, RgbImage};

use super::super::lettering;

pub(super) use lettering::{characters, text_width};

/// Writes one line with its top left corner at `(x, y)`; what lies outside the picture is cut off.
pub(super) fn text(
    picture: &mut RgbImage,
    text: &str,
    (x, y): (f64, f64),
    height: f64,
    ink: Rgb<u8>,
) {
    for (column, row, &Luma([cover])) in lettering::line(text, height).enumerate_pixels() {
        let at = (
            x.round() as i64 + i64::from(column),
            y.round() as i64 + i64::from(row),
        );
        if let (Ok(px), Ok(py)) = (u32::try_from(at.0), u32::try_from(at.1))
            && let Some(pixel) = picture.get_pixel_mut_checked(px, py)
        {
            *pixel = mix(*pixel, ink, f64::from(cover) / 255.0);
        }
    }
}

/// `share` of `b` over `a`.
pub(super) fn mix(a: Rgb<u8>, b: Rgb<u8>, share: f64) -> Rgb<u8> {
    Rgb(std::array::from_fn(|i| {
        (f64::from(a.0[i]) * (1.0 - share) + f64::from(b.0[i]) * share).round() as u8
    }))
}

/// Compound: tinted, with bright stripes rising to the right. Told apart by the stripes in grey print.
pub(super) fn compound_mark(pixel: Rgb<u8>, x: u32, y: u32, pitch: u32) -> Rgb<u8> {
    let on_stripe = (x + y) % pitch < pitch.div_ceil(4);
    mix(pixel, super::YELLOW, if on_stripe { 0.80 } else { 0.18 })
}

/// Not judged: crossed dark and white lines.
pub(super) fn unjudged_mark(pixel: Rgb<u8>, x: u32, y: u32, pitch: u32) -> Rgb<u8> {
    // x − y alone would go below zero.
    let falling = (x + pitch * 1000 - y % pitch) % pitch;
    let rising = (x + y) % pitch;
    let line = pitch.div_ceil(6);
    match falling.min(rising) {
        d if d < line => mix(pixel, super::BLACK, 0.85),
        d if d < 2 * line => mix(pixel, super::WHITE, 0.85),
        _ => pixel,
    }
}

/// Fills a rectangle; what lies outside the picture is cut off.
pub(super) fn fill(picture: &mut RgbImage, [left, top, right, bottom]: [u32; 4], ink: Rgb<u8>) {
    paint(picture, [left, top, right, bottom], |_, _, _| ink);
}

/// Repaints a rectangle pixel by pixel.
pub(super) fn paint(
    picture: &mut RgbImage,
    [left, top, right, bottom]: [u32; 4],
    ink: impl Fn(Rgb<u8>, u32, u32) -> Rgb<u8>,
) {
    for y in top..bottom.min(picture.height()) {
        for x in left..right.min(picture.width()) {
            let pixel = picture.get_pixel_mut(x, y);
            *pixel = ink(*pixel, x, y);
        }
    }
}
