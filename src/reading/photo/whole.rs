//! Formats that are decoded in full before they are shrunk.

use std::error::Error;
use std::io::{Cursor, ErrorKind};

use image::codecs::{jpeg::JpegDecoder, png::PngDecoder, webp::WebPDecoder};
use image::error::ImageError;
use image::{DynamicImage, ImageDecoder, ImageResult, Limits, RgbImage, RgbaImage};

use super::kind::Kind;
use super::{Decoded, PhotoError, size};

/// Enough for the most pixels allowed, in four 16-bit channels.
const MAX_MEMORY: u64 = 1 << 29;
/// What shows through where a picture is transparent: neither bright metal nor dark compound.
const BACKDROP: u16 = 128;

/// Decodes a PNG, WebP or JPEG in full, and shrinks it.
pub(super) fn decode(kind: Kind, bytes: &[u8]) -> Result<Decoded, PhotoError> {
    if kind == Kind::WebP && webp_breaks_off(bytes) {
        return Err(PhotoError::Truncated {
            format: kind.name(),
            decoded_percent: None,
        });
    }
    let reader = Cursor::new(bytes);
    match kind {
        Kind::Png => pixels(kind, PngDecoder::with_limits(reader, limits())),
        Kind::WebP => pixels(kind, WebPDecoder::new(reader)),
        Kind::Jpeg | Kind::Heic => pixels(kind, JpegDecoder::new(reader)),
    }
}

fn limits() -> Limits {
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(MAX_MEMORY);
    limits
}

/// Checks the header's size, then decodes.
fn pixels<D: ImageDecoder>(kind: Kind, header: ImageResult<D>) -> Result<Decoded, PhotoError> {
    let mut decoder = header.map_err(|e| explain(kind, e))?;
    let (width, height) = decoder.dimensions();
    size::check_pixels_whole(width, height)?;
    decoder.set_limits(limits()).map_err(|e| explain(kind, e))?;
    DynamicImage::from_decoder(decoder)
        .map(finish)
        .map_err(|e| explain(kind, e))
}

/// Makes the picture opaque, 8-bit and of working size.
pub(super) fn finish(picture: DynamicImage) -> Decoded {
    let size_px = [picture.width(), picture.height()];
    let opaque = if picture.color().has_alpha() {
        over_backdrop(&picture.into_rgba8())
    } else {
        picture.into_rgb8()
    };
    Decoded {
        pixels: size::to_working_size(opaque, size_px),
        size_px,
    }
}

fn over_backdrop(picture: &RgbaImage) -> RgbImage {
    let mut opaque = RgbImage::new(picture.width(), picture.height());
    for (out, image::Rgba([r, g, b, alpha])) in opaque.pixels_mut().zip(picture.pixels()) {
        out.0 = [*r, *g, *b].map(|v| over(u16::from(v), u16::from(*alpha)));
    }
    opaque
}

fn over(value: u16, alpha: u16) -> u8 {
    ((value * alpha + BACKDROP * (255 - alpha) + 127) / 255) as u8
}

/// Whether a WebP file's own length says that its end is missing.
fn webp_breaks_off(bytes: &[u8]) -> bool {
    let declared = bytes.get(4..8).and_then(|b| b.first_chunk::<4>());
    declared.is_some_and(|b| u64::from(u32::from_le_bytes(*b)) + 8 > bytes.len() as u64)
}

fn explain(kind: Kind, error: ImageError) -> PhotoError {
    let format = kind.name();
    match error {
        ImageError::IoError(e) if e.kind() == ErrorKind::UnexpectedEof => PhotoError::Truncated {
            format,
            decoded_percent: None,
        },
        ImageError::Unsupported(e) => PhotoError::Unsupported {
            format,
            reason: e.to_string(),
        },
        ImageError::Limits(_) => PhotoError::Unsupported {
            format,
            reason: "it would need more than half a gigabyte of memory".into(),
        },
        other => PhotoError::Damaged {
            format,
            reason: plain_reason(&other),
        },
    }
}

/// The decoder's own words, without the frame that names the format once more.
fn plain_reason(error: &ImageError) -> String {
    error
        .source()
        .map_or_else(|| error.to_string(), ToString::to_string)
}
