//! HEIC, as phones write it. The decoder applies the file's own rotation and mirroring.

use heifer::heifer_isobmff::HeifFile;
use image::{DynamicImage, RgbaImage};

use super::{Decoded, PhotoError, size, whole};
use crate::reading::threads;

/// Decodes the primary picture in full, and shrinks it.
pub(super) fn decode(bytes: &[u8]) -> Result<Decoded, PhotoError> {
    check_boxes(bytes)?;
    let file = HeifFile::parse(bytes).map_err(|e| damaged(&e))?;
    // Before decoding: a few bytes can claim any size.
    if let Ok(Some((width, height))) = file.image_size(file.primary_id) {
        size::check_pixels_whole(width, height)?;
    }
    let options = heifer::Options {
        max_threads: threads::count(),
        max_pixels: size::max_pixels_whole(),
    };
    let image = heifer::decode_rgba8(bytes, &options).map_err(explain)?;
    let size_px = [image.width, image.height];
    // Again, as the header need not say it, or say the truth.
    size::check_pixels_whole(size_px[0], size_px[1])?;
    let pixels = RgbaImage::from_raw(size_px[0], size_px[1], image.data)
        .ok_or_else(|| damaged(&"its pixels do not fill its size"))?;
    let picture = DynamicImage::ImageRgba8(pixels);
    // Laid over a backdrop an opaque picture is what it was, and that took a twentieth of the whole reading.
    Ok(whole::finish(if image.has_alpha {
        picture
    } else {
        picture.into_rgb8().into()
    }))
}

/// Refuses a file whose last top-level box reaches beyond the end.
fn check_boxes(bytes: &[u8]) -> Result<(), PhotoError> {
    let mut rest = bytes;
    while let Some((length, kind)) = rest.split_first_chunk::<4>() {
        let length = match u32::from_be_bytes(*length) {
            // Length 0 means up to the file's end, 1 that the length follows (ISO/IEC 14496-12, from memory).
            0 => return Ok(()),
            1 => long_length(kind),
            short => u64::from(short),
        };
        let next = usize::try_from(length)
            .ok()
            .filter(|&n| n >= 8 && n <= rest.len());
        rest = &rest[next.ok_or(PhotoError::Truncated {
            format: "HEIC",
            decoded_percent: None,
        })?..];
    }
    Ok(())
}

/// The 64-bit length that follows the box's kind.
fn long_length(after_length: &[u8]) -> u64 {
    after_length
        .get(4..)
        .and_then(|b| b.first_chunk())
        .map_or(0, |b| u64::from_be_bytes(*b))
}

fn explain(error: heifer::Error) -> PhotoError {
    match error {
        heifer::Error::Unsupported(reason) => PhotoError::Unsupported {
            format: "HEIC",
            reason,
        },
        other => damaged(&other),
    }
}

fn damaged(reason: &dyn std::fmt::Display) -> PhotoError {
    PhotoError::Damaged {
        format: "HEIC",
        reason: reason.to_string(),
    }
}
