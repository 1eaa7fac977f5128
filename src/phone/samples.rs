//! Photos to practise on, whose truth is known: they come with the page, each as a file that is named by its SHA-256, which says
//! nothing of what it shows.

#[cfg(not(target_arch = "wasm32"))]
use sha2::{Digest, Sha256};

use serde::{Deserialize, Serialize};

use crate::people::opinion::Question;
#[cfg(not(target_arch = "wasm32"))]
use crate::people::opinion::{TableError, drills};
use crate::reading::face::TipDirection;
#[cfg(not(target_arch = "wasm32"))]
use crate::units::PerSide;

/// The list of all that can be asked, among the page's files.
#[cfg(not(target_arch = "wasm32"))]
pub(super) const LIST: &str = "samples.json";

/// A question, and its photos.
#[derive(Serialize, Deserialize)]
pub(super) struct Sample {
    #[serde(flatten)]
    pub(super) question: Question,
    /// Names of the files, each with where the tip points in it, upright.
    pub(super) photos: Vec<(String, TipDirection)>,
}

/// The file of a photo.
#[cfg(not(target_arch = "wasm32"))]
pub(super) fn name(bytes: &[u8]) -> String {
    format!("sample-{:x}.jpg", Sha256::digest(bytes))
}

/// Whether that file came whole: what another web server answers in its place must not stay in its place.
#[cfg(target_arch = "wasm32")]
pub(super) fn is_whole(name: &str, bytes: &[u8]) -> bool {
    use sha2::{Digest, Sha256};
    name.contains(&format!("{:x}", Sha256::digest(bytes)))
}

/// What the table says of the photos that are there; `step` as [`drills`] takes it.
///
/// # Errors
/// Where the text is no such table.
#[cfg(not(target_arch = "wasm32"))]
pub(super) fn samples(
    table: &str,
    photo: impl Fn(&str) -> Option<&'static [u8]>,
    step: PerSide,
) -> Result<Vec<Sample>, TableError> {
    let one = |drill: crate::people::opinion::Drill| {
        let bytes: Option<Vec<&[u8]>> = drill.files.iter().map(|file| photo(file)).collect();
        let bytes = bytes?;
        let sha256 = format!("{:x}", Sha256::digest(bytes.first()?));
        Some(Sample {
            question: Question::of_drill(&drill, sha256, bytes[0].len()),
            photos: bytes.iter().map(|b| name(b)).zip(drill.tips).collect(),
        })
    };
    Ok(drills(table, step)?.into_iter().filter_map(one).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_names_no_photo_by_what_it_shows_and_keeps_what_is_right() {
        let table = r#"{"checks": [], "photos": [
            {"file": "tip-only.jpg", "readable": true, "pattern": "tip-only", "taper_error_um": 50.8, "tip": "left"},
            {"file": "lost.jpg", "readable": true, "pattern": "one-side"}]}"#;
        let photo = |name: &str| (name == "tip-only.jpg").then_some(&b"a photo"[..]);
        let step = PerSide::parse_taper("0.5thou").unwrap();
        let all = samples(table, photo, step).unwrap();
        let text = serde_json::to_string(&all).unwrap();
        assert!(!text.contains("tip-only.jpg"), "{text}");
        // By sha256sum, of these seven letters.
        assert!(text.contains(
            "sample-d4e24d749a4fe2f161af2de913c0402b04e3ae287dafd0f9dbfa4a5c56c69285.jpg"
        ));
        let again: Vec<Sample> = serde_json::from_str(&text).unwrap();
        assert_eq!(again.len(), 1);
        assert_eq!(again[0].photos, all[0].photos);
        assert_eq!(again[0].question, all[0].question);
        assert_eq!(again[0].photos[0].1, TipDirection::Left);
    }
}
