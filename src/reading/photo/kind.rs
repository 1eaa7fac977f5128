//! What the content is, by its first bytes.

use super::PhotoError;

/// A picture format that is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Jpeg,
    Png,
    WebP,
    Heic,
}

impl Kind {
    pub(super) fn name(self) -> &'static str {
        match self {
            Kind::Jpeg => "JPEG",
            Kind::Png => "PNG",
            Kind::WebP => "WebP",
            Kind::Heic => "HEIC",
        }
    }
}

/// Signatures at the start of other files that people send for photos.
const STRANGERS: [(&[u8], &str); 8] = [
    (b"GIF8", "a GIF picture"),
    (b"BM", "a BMP picture"),
    (b"II*\0", "a TIFF or raw camera picture"),
    (b"MM\0*", "a TIFF or raw camera picture"),
    (b"%PDF", "a PDF document"),
    (b"PK\x03\x04", "a ZIP archive"),
    (b"<svg", "an SVG drawing"),
    (b"\xff\x0a", "a JPEG XL picture"),
];

/// Tells the format by the content.
pub(super) fn sniff(bytes: &[u8]) -> Result<Kind, PhotoError> {
    if bytes.starts_with(b"\xff\xd8\xff") {
        Ok(Kind::Jpeg)
    } else if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        Ok(Kind::Png)
    } else if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
        Ok(Kind::WebP)
    } else if bytes.get(4..8) == Some(b"ftyp") {
        sniff_brands(bytes)
    } else {
        Err(PhotoError::NotAPhoto {
            what: stranger(bytes),
        })
    }
}

/// Tells HEIC from AVIF and from video by the brands in the file type box (ISO/IEC 14496-12, 23008-12).
fn sniff_brands(bytes: &[u8]) -> Result<Kind, PhotoError> {
    let length = bytes
        .first_chunk::<4>()
        .map_or(0, |b| u32::from_be_bytes(*b) as usize);
    let listed = bytes
        .get(8..length.clamp(12, 512).min(bytes.len()))
        .unwrap_or_default();
    let has = |names: &[&[u8; 4]]| {
        listed
            .chunks_exact(4)
            .any(|b| names.iter().any(|n| b == *n))
    };
    if has(&[b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx"]) {
        Ok(Kind::Heic)
    } else if has(&[b"avif", b"avis"]) {
        Err(PhotoError::NotAPhoto {
            what: "an AVIF picture",
        })
    } else if has(&[b"mif1", b"mif2", b"msf1"]) {
        Ok(Kind::Heic)
    } else {
        Err(PhotoError::NotAPhoto { what: "a video" })
    }
}

fn stranger(bytes: &[u8]) -> &'static str {
    let known = STRANGERS.iter().find(|(start, _)| bytes.starts_with(start));
    match known {
        Some((_, what)) => what,
        None if is_text(bytes) => "text",
        None => "of no known kind",
    }
}

fn is_text(bytes: &[u8]) -> bool {
    let start = &bytes[..bytes.len().min(512)];
    start
        .iter()
        .all(|b| matches!(b, b'\t' | b'\n' | b'\r' | 0x20..=0x7e | 0x80..))
}
