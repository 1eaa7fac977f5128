//! What holds for all photos of a pass: how each is read, and whether it is of this part.

use super::walk::Found;
use super::work::sha256_of;
use crate::commands::cli::Part;
use crate::review::{Key, Sources};

/// What holds for all photos of a pass.
pub(super) struct Round<'a> {
    pub(super) sources: &'a Sources,
    pub(super) part: Option<Part>,
    pub(super) threads: usize,
}

impl Round<'_> {
    pub(super) fn key(&self, file: &Found, sha256: &str) -> Key {
        let (_, method) = self.sources.about(&file.file, &file.folders, sha256);
        Key {
            sha256: sha256.to_owned(),
            method,
            tip: self.sources.tip(&file.file),
        }
    }

    /// By its name, so that no part opens a file of another.
    pub(super) fn is_ours(&self, file: &str) -> bool {
        let holds = |part: Part| part.holds(&sha256_of(file.as_bytes()));
        self.part.is_none_or(holds)
    }
}
