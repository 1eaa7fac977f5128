//! JPEG (ITU-T T.81).
//!
//! Baseline and extended sequential Huffman coding with 8 bits, in one or three components, which is
//! what phones write, is decoded here and straight to a reduced scale: of each block's 8 × 8 frequency
//! coefficients only the n × n lowest are kept, and an n-point inverse transform gives the block's
//! n × n area averages. That leaves little to do but reading the Huffman codes. All other
//! kinds (progressive, CMYK, odd sampling) go to the general decoder.

mod bits;
mod block;
mod colour;
mod entropy;
mod header;
mod huffman;
mod scan;

use header::{Coding, Header};

use super::kind::Kind;
use super::{Decoded, PhotoError, size, whole};

/// A progressive file refines the picture scan by scan; encoders make about ten.
const MAX_SCANS: usize = 100;

/// Why this decoder does not give a picture.
enum Refused {
    /// A kind left to the general decoder.
    OtherKind,
    /// The data break off, or stop making sense, with this share of the picture decoded.
    Damaged { decoded: f64 },
}

/// A picture may miss this share at its end: cameras that lose their last few bytes.
const MISSING_MOST: f64 = 0.02;

/// Decodes to working size.
pub(super) fn decode(bytes: &[u8]) -> Result<Decoded, PhotoError> {
    let header = Header::read(bytes).ok_or_else(|| truncated(None))?;
    let size_px = [
        u32::from(header.frame.width),
        u32::from(header.frame.height),
    ];
    size::check_pixels(size_px[0], size_px[1])?;
    if let Coding::Unknown(reason) = header.frame.coding {
        return Err(unsupported(reason.into()));
    }
    if !header.frame.is_sampled_as_allowed() {
        return Err(PhotoError::Damaged {
            format: "JPEG",
            reason: "its sampling factors are none".into(),
        });
    }
    match decode_scaled(bytes, &header) {
        Ok(pixels) => Ok(Decoded {
            pixels: size::to_working_size(pixels, size_px),
            size_px,
        }),
        Err(Refused::Damaged { decoded }) => Err(truncated(Some((decoded * 100.0) as u8))),
        Err(Refused::OtherKind) => decode_whole(bytes, &header),
    }
}

fn decode_scaled(bytes: &[u8], header: &Header) -> Result<image::RgbImage, Refused> {
    if header.frame.coding != Coding::Sequential {
        return Err(Refused::OtherKind);
    }
    let eighths = size::eighths(header.frame.width.into(), header.frame.height.into());
    let picture = scan::decode(bytes, header, eighths as usize)?;
    if picture.decoded < 1.0 - MISSING_MOST {
        return Err(Refused::Damaged {
            decoded: picture.decoded,
        });
    }
    Ok(colour::convert(&picture, header, eighths))
}

/// The general decoder fills what is missing with grey, so the file must be seen to end properly first.
fn decode_whole(bytes: &[u8], header: &Header) -> Result<Decoded, PhotoError> {
    let (scans, ends) = header::count_scans(bytes, header.scans_at);
    if !ends {
        return Err(truncated(None));
    }
    if scans > MAX_SCANS {
        let reason = format!("it has {scans} scans, more than the {MAX_SCANS} allowed");
        return Err(unsupported(reason));
    }
    whole::decode(Kind::Jpeg, bytes)
}

fn unsupported(reason: String) -> PhotoError {
    PhotoError::Unsupported {
        format: "JPEG",
        reason,
    }
}

fn truncated(decoded_percent: Option<u8>) -> PhotoError {
    PhotoError::Truncated {
        format: "JPEG",
        decoded_percent,
    }
}
