//! Limits, and the working size: the same rule for every format, so that what comes after decoding
//! costs the same whatever the photo's size.

use fast_image_resize::images::{Image, ImageRef};
use fast_image_resize::{FilterType, PixelType, ResizeAlg, ResizeOptions, Resizer};
use image::RgbImage;

use super::PhotoError;

/// Phones write 2 to 60 MB.
const MAX_MEGABYTES: u64 = 200;
/// The largest phone sensors have 200 megapixels.
const MAX_MEGAPIXELS: u64 = 200;
/// A face cannot be judged on fewer pixels across than this, at working size.
const MIN_SIDE: u32 = 32;
/// The least long side that an eighth-scale step may leave.
const LONG_SIDE_LEAST: u32 = 1000;
/// A longer side than this is shrunk once more, to [`LONG_SIDE_SHRUNK`].
const LONG_SIDE_MOST: u32 = 1600;
const LONG_SIDE_SHRUNK: u32 = 1200;

/// Refuses a file by its length.
pub(super) fn check_bytes(bytes: &[u8]) -> Result<(), PhotoError> {
    let megabytes = bytes.len() as u64 / 1_000_000;
    if bytes.is_empty() {
        Err(PhotoError::Empty)
    } else if megabytes > MAX_MEGABYTES {
        Err(PhotoError::TooManyBytes {
            megabytes,
            limit_megabytes: MAX_MEGABYTES,
        })
    } else {
        Ok(())
    }
}

/// Refuses a picture by the size in its header, before decoding.
pub(super) fn check_pixels(width: u32, height: u32) -> Result<(), PhotoError> {
    let [small_width, small_height] = working_size(width, height);
    if u64::from(width) * u64::from(height) > MAX_MEGAPIXELS * 1_000_000 {
        Err(too_many_pixels(width, height))
    } else if small_width.min(small_height) < MIN_SIDE {
        Err(PhotoError::TooSmall { width, height })
    } else {
        Ok(())
    }
}

pub(super) fn too_many_pixels(width: u32, height: u32) -> PhotoError {
    PhotoError::TooManyPixels {
        width,
        height,
        limit_megapixels: MAX_MEGAPIXELS,
    }
}

/// Most pixels that a decoder may be asked for, for libraries with a limit of their own.
pub(super) fn max_pixels() -> u64 {
    MAX_MEGAPIXELS * 1_000_000
}

/// The smallest number of eighths, 1 to 8, that leaves a long side of at least 1000 px; 8 where
/// none does.
///
/// Eighths are what an 8 × 8 block of frequency coefficients can be decoded to at little cost.
pub(super) fn eighths(width: u32, height: u32) -> u32 {
    let long = width.max(height);
    (1..8)
        .find(|&n| scaled(long, n) >= LONG_SIDE_LEAST)
        .unwrap_or(8)
}

/// A side at `eighths` / 8 of its length; a last pixel that the picture only partly covers is left out.
pub(super) fn scaled(side: u32, eighths: u32) -> u32 {
    (u64::from(side) * u64::from(eighths) / 8) as u32
}

/// Width and height at which a photo of this size is worked on.
pub(super) fn working_size(width: u32, height: u32) -> [u32; 2] {
    let n = eighths(width, height);
    let (w, h) = (scaled(width, n), scaled(height, n));
    let long = w.max(h);
    if long <= LONG_SIDE_MOST {
        return [w, h];
    }
    let shrink = |side: u32| {
        (f64::from(side) * f64::from(LONG_SIDE_SHRUNK) / f64::from(long)).round() as u32
    };
    [shrink(w), shrink(h)]
}

/// Shrinks by area averaging to the working size of a photo of `full` size, where it is larger.
pub(super) fn to_working_size(pixels: RgbImage, full: [u32; 2]) -> RgbImage {
    let [width, height] = working_size(full[0], full[1]);
    if pixels.dimensions() == (width, height) {
        return pixels;
    }
    area_average(&pixels, width, height).unwrap_or(pixels)
}

fn area_average(pixels: &RgbImage, width: u32, height: u32) -> Option<RgbImage> {
    let source = ImageRef::new(
        pixels.width(),
        pixels.height(),
        pixels.as_raw(),
        PixelType::U8x3,
    )
    .ok()?;
    let mut target = Image::new(width, height, PixelType::U8x3);
    let options = ResizeOptions::new().resize_alg(ResizeAlg::Convolution(FilterType::Box));
    Resizer::new().resize(&source, &mut target, &options).ok()?;
    RgbImage::from_raw(width, height, target.into_vec())
}
