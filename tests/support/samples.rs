//! The photos of `sample-images`; its README.md says what is on them.

use std::path::{Path, PathBuf};

pub(crate) fn place(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("sample-images")
        .join(name)
}

/// As an argument of a command.
pub(crate) fn sample(name: &str) -> String {
    place(name).display().to_string()
}

/// What is in the file.
pub(crate) fn bytes(name: &str) -> Vec<u8> {
    std::fs::read(place(name)).unwrap()
}

/// The three jaws of a check.
pub(crate) fn jaws(check: &str) -> Vec<String> {
    (1..=3)
        .map(|j| sample(&format!("{check}/jaw{j}.jpg")))
        .collect()
}
