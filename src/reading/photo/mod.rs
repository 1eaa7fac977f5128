//! Bytes → upright photo.
//!
//! The format is known by the content, never by the name. Limits are checked on the header, before
//! anything is decoded; baseline JPEG is decoded at a reduced scale straight from its frequency
//! coefficients ([`jpeg`]), everything else in full and then shrunk by area averaging, to the same
//! working size. Colours are taken as sRGB; an embedded colour profile is not applied. Of the EXIF data
//! only orientation, time taken, 35-mm focal length and the camera's maker and model are read; the location is never
//! looked at.
//!
//! Decoders run under `catch_unwind`, as a broken file must not stop the others.

mod error;
mod exif;
#[cfg(feature = "heic")]
mod heic;
mod jpeg;
mod kind;
mod size;
mod whole;

use std::panic::{AssertUnwindSafe, catch_unwind};

use image::{DynamicImage, RgbImage};
use sha2::{Digest, Sha256};

pub use error::PhotoError;
use exif::ExifNotes;
use kind::Kind;
pub(crate) use size::LARGEST_FILE_BYTES;

/// A decoded photo, turned upright, with no more pixels than the reading needs.
#[derive(Debug, Clone)]
pub struct UprightPhoto {
    /// sRGB pixels at working size: the long side is between 1000 and 1600 px unless the photo is smaller.
    pub pixels: RgbImage,
    /// Width and height of the upright photo at full size.
    pub size_px: [u32; 2],
    /// Time taken, as the camera wrote it: `2026-03-04T10:11:12`.
    pub taken: Option<String>,
    /// 35-mm equivalent focal length in millimetres; `None` when unknown.
    pub focal_35mm: Option<f64>,
    /// Maker and model of the camera, as it wrote them; no reading hangs on it.
    pub phone: Option<String>,
    /// Lower-case hexadecimal SHA-256 of the file's bytes.
    pub sha256: String,
}

impl UprightPhoto {
    /// Working pixels per full-size pixel, ≤ 1.
    pub fn scale(&self) -> f64 {
        f64::from(self.pixels.width()) / f64::from(self.size_px[0])
    }
}

/// Pixels as stored, at working size, and the stored picture's full size.
struct Decoded {
    pixels: RgbImage,
    size_px: [u32; 2],
}

/// Decodes a photo: JPEG, PNG (a transparent one over mid grey), WebP (an animated one's first
/// frame) and, with the feature `heic`, HEIC.
///
/// # Errors
/// Where the bytes are no readable picture, one that breaks off, or one beyond the limits
/// (128 MiB; 200 megapixels as sequential JPEG, 64 as anything else; at least 32 px on the short side
/// at working size).
pub fn read_photo(bytes: &[u8]) -> Result<UprightPhoto, PhotoError> {
    let sha256 = format!("{:x}", Sha256::digest(bytes));
    read_hashed(bytes, sha256)
}

/// The same, where the SHA-256 of the bytes is known.
///
/// # Errors
/// As [`read_photo`].
pub(crate) fn read_hashed(bytes: &[u8], sha256: String) -> Result<UprightPhoto, PhotoError> {
    size::check_bytes(bytes)?;
    let kind = kind::sniff(bytes)?;
    // Without notes a photo can be read, so a panic here costs only them.
    let notes = unless_panics(|| exif::read(bytes)).unwrap_or_default();
    let decoded = unless_panics(|| decode(kind, bytes)).unwrap_or(Err(PhotoError::Damaged {
        format: kind.name(),
        reason: "its data contradict each other".into(),
    }))?;
    Ok(upright(decoded, kind, notes, sha256))
}

/// When the photo was taken, as the camera wrote it, without decoding it: `2026-03-04T10:11:12`.
pub(crate) fn time_taken(bytes: &[u8]) -> Option<String> {
    unless_panics(|| exif::read(bytes)).and_then(|notes| notes.taken)
}

/// Whether these first bytes are a photo's.
pub(crate) fn is_photo(start: &[u8]) -> bool {
    kind::sniff(start).is_ok()
}

/// Decoders may panic on malicious input; that must not take the other photos along.
fn unless_panics<T>(work: impl FnOnce() -> T) -> Option<T> {
    catch_unwind(AssertUnwindSafe(work)).ok()
}

fn decode(kind: Kind, bytes: &[u8]) -> Result<Decoded, PhotoError> {
    match kind {
        Kind::Jpeg => jpeg::decode(bytes),
        Kind::Png | Kind::WebP => whole::decode(kind, bytes),
        #[cfg(feature = "heic")]
        Kind::Heic => heic::decode(bytes),
        #[cfg(not(feature = "heic"))]
        Kind::Heic => Err(PhotoError::HeicLeftOut),
    }
}

/// Turns the picture as its EXIF orientation says; HEIC decoders have turned it already.
fn upright(decoded: Decoded, kind: Kind, notes: ExifNotes, sha256: String) -> UprightPhoto {
    let Decoded {
        pixels,
        size_px: [width, height],
    } = decoded;
    let mut picture = DynamicImage::ImageRgb8(pixels);
    let mut size_px = [width, height];
    if kind != Kind::Heic {
        picture.apply_orientation(notes.orientation);
        if exif::swaps_sides(notes.orientation) {
            size_px = [height, width];
        }
    }
    UprightPhoto {
        pixels: picture.into_rgb8(),
        size_px,
        taken: notes.taken,
        focal_35mm: notes.focal_35mm,
        phone: notes.phone,
        sha256,
    }
}
