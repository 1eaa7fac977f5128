//! Limits, and the working size: the same rule for every format, so that what comes after decoding
//! costs the same whatever the photo's size.

use image::RgbImage;

use super::PhotoError;
use crate::reading::shrink::area_average;

/// Largest file that is taken, from the disk, the network or memory. Phones write 2 to 60 MB; a 200-megapixel
/// JPEG is about 80 MB.
pub(crate) const LARGEST_FILE_BYTES: u64 = 128 << 20;
/// The largest phone sensors have 200 megapixels.
const MAX_MEGAPIXELS: u64 = 200;
/// The most for pictures that must be decoded in full: a few bytes can claim any size, and each
/// megapixel costs up to 8 MB of memory there.
const MAX_MEGAPIXELS_WHOLE: u64 = 64;
/// A face cannot be judged on fewer pixels across than this, at working size.
const MIN_SIDE: u32 = 32;
/// The least long side that an eighth-scale step may leave.
const LONG_SIDE_LEAST: u32 = 1000;
/// A longer side than this is shrunk once more, to [`LONG_SIDE_SHRUNK`].
const LONG_SIDE_MOST: u32 = 1600;
const LONG_SIDE_SHRUNK: u32 = 1200;

/// Refuses a file by its length.
pub(super) fn check_bytes(bytes: &[u8]) -> Result<(), PhotoError> {
    let length = bytes.len() as u64;
    if bytes.is_empty() {
        Err(PhotoError::Empty)
    } else if length > LARGEST_FILE_BYTES {
        Err(PhotoError::TooManyBytes {
            // Rounded up: a byte too many must not read as the limit itself.
            megabytes: length.div_ceil(1 << 20),
            limit_megabytes: LARGEST_FILE_BYTES >> 20,
        })
    } else {
        Ok(())
    }
}

/// Refuses a picture by the size in its header, before decoding at reduced scale.
pub(super) fn check_pixels(width: u32, height: u32) -> Result<(), PhotoError> {
    check_up_to(MAX_MEGAPIXELS, width, height)
}

/// Refuses a picture by the size in its header, before decoding in full.
pub(super) fn check_pixels_whole(width: u32, height: u32) -> Result<(), PhotoError> {
    check_up_to(MAX_MEGAPIXELS_WHOLE, width, height)
}

fn check_up_to(limit_megapixels: u64, width: u32, height: u32) -> Result<(), PhotoError> {
    // At working size, since a strip that is wide enough in full may shrink to a few pixels.
    let working = working_size(width, height);
    if u64::from(width) * u64::from(height) > limit_megapixels * 1_000_000 {
        Err(PhotoError::TooManyPixels {
            width,
            height,
            limit_megapixels,
        })
    } else if working.into_iter().any(|side| side < MIN_SIDE) {
        Err(PhotoError::TooSmall { width, height })
    } else {
        Ok(())
    }
}

/// Most pixels that a decoder may be asked for, for libraries with a limit of their own.
#[cfg(feature = "heic")]
pub(super) fn max_pixels_whole() -> u64 {
    MAX_MEGAPIXELS_WHOLE * 1_000_000
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_of_the_largest_size_is_taken_and_a_byte_more_is_not() {
        let mut bytes = vec![0; LARGEST_FILE_BYTES as usize];
        assert!(check_bytes(&bytes).is_ok());
        bytes.push(0);
        let error = check_bytes(&bytes).unwrap_err().to_string();
        assert!(error.contains("129 MB, more than the 128 MB"), "{error}");
    }

    /// The rule of the long side, worked out by hand.
    #[test]
    fn working_sizes_keep_the_long_side_between_1000_and_1600() {
        let cases = [
            ([640, 480], [640, 480]),
            ([1142, 800], [1142, 800]),
            ([1143, 800], [1000, 700]),
            ([1600, 1200], [1000, 750]),
            ([4000, 3000], [1000, 750]),
            ([3999, 3000], [1499, 1125]),
            ([7999, 6000], [1200, 900]),
            ([16320, 12240], [1200, 900]),
        ];
        for ([width, height], expected) in cases {
            assert_eq!(working_size(width, height), expected, "{width} x {height}");
        }
    }
}
