//! Planes → sRGB.

use image::RgbImage;

use super::header::Header;
use super::scan::Planes;
use crate::reading::photo::size::scaled;

/// Joins the planes to a picture of `eighths` / 8 of the frame's size.
pub(super) fn convert(picture: &Planes, header: &Header, eighths: u32) -> RgbImage {
    let width = scaled(header.frame.width.into(), eighths);
    let height = scaled(header.frame.height.into(), eighths);
    let mut out = RgbImage::new(width, height);
    let row =
        |plane: usize, y: usize| &picture.samples[plane][y * picture.stride..][..width as usize];
    let to_rgb = if is_rgb(header) { join } else { from_ycc };
    for (y, pixels) in out.chunks_exact_mut(3 * width as usize).enumerate() {
        match picture.samples.len() {
            3 => to_rgb([row(0, y), row(1, y), row(2, y)], pixels),
            _ => join([row(0, y), row(0, y), row(0, y)], pixels),
        }
    }
    out
}

/// Whether three components are plain RGB: as JFIF, Adobe's segment or, without both, the
/// components' names say.
fn is_rgb(header: &Header) -> bool {
    let ids: Vec<u8> = header.frame.components.iter().map(|c| c.id).collect();
    match (header.has_jfif, header.adobe_transform) {
        (true, _) => false,
        (false, Some(transform)) => transform == 0,
        (false, None) => ids == *b"RGB",
    }
}

fn join(planes: [&[u8]; 3], pixels: &mut [u8]) {
    for (x, pixel) in pixels.chunks_exact_mut(3).enumerate() {
        for (value, plane) in pixel.iter_mut().zip(planes) {
            *value = plane[x];
        }
    }
}

/// Full-range `YCbCr` (ITU-T T.871, section 7), with 16 binary places: 1.402, 0.344136, 0.714136, 1.772.
fn from_ycc([luma, blue, red]: [&[u8]; 3], pixels: &mut [u8]) {
    for (((pixel, y), cb), cr) in pixels.chunks_exact_mut(3).zip(luma).zip(blue).zip(red) {
        let y = (i32::from(*y) << 16) + (1 << 15);
        let (cb, cr) = (i32::from(*cb) - 128, i32::from(*cr) - 128);
        pixel[0] = clamp(y + 91_881 * cr);
        pixel[1] = clamp(y - 22_554 * cb - 46_802 * cr);
        pixel[2] = clamp(y + 116_130 * cb);
    }
}

fn clamp(fixed: i32) -> u8 {
    (fixed >> 16).clamp(0, 255) as u8
}
