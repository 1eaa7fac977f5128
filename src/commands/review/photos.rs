//! The photos of a review, wherever their lines lie.

use crate::review::PhotoRecord;

/// By file, each content once; each is read from the disk when it is asked for.
pub(super) trait Photos {
    fn len(&self) -> usize;

    /// The photo at that place. Its check is not filled in.
    ///
    /// # Errors
    /// Where it cannot be read back.
    fn photo(&self, at: usize) -> anyhow::Result<PhotoRecord>;
}

/// Where a line lies: one of several files, and its place there. Eight bytes, since there is one for every photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Place(u64);

/// Files are at most 65 536, each of at most 256 TiB.
const BITS_OF_A_PLACE: u32 = 48;

impl Place {
    pub(super) fn new(file: usize, begins: u64) -> Self {
        Self((file as u64) << BITS_OF_A_PLACE | begins)
    }

    pub(super) fn file(self) -> usize {
        (self.0 >> BITS_OF_A_PLACE) as usize
    }

    pub(super) fn begins(self) -> u64 {
        self.0 & ((1 << BITS_OF_A_PLACE) - 1)
    }
}

/// The first 64 bits of a content's SHA-256: two that have the same ones are looked at more closely.
pub(super) fn short(sha256: &str) -> u64 {
    let digits = sha256.get(..16).unwrap_or_default();
    u64::from_str_radix(digits, 16).unwrap_or_default()
}
