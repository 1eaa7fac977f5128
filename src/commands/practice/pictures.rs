//! The pictures that are asked about: copies whose names and bytes tell nothing.

use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::process;

use anyhow::Context;

use super::ready::Ready;
use crate::commands::{Outcome, load};
use crate::reading::photo::read_photo;
use crate::report::photo_to_jpeg;
use crate::taper::records::Id;

/// The folder that they lie in.
pub(super) struct Pictures {
    folder: PathBuf,
    /// Before every name, so that nothing that lies there is written over.
    round: String,
    /// Removed when the round ends.
    passing: bool,
}

impl Pictures {
    pub(super) fn at(given: Option<&Path>, round: Id) -> anyhow::Result<Self> {
        let passing = env::temp_dir().join(format!("seepline-practice-{round}"));
        let folder = given.map_or(passing, Path::to_path_buf);
        fs::create_dir_all(&folder).with_context(|| {
            format!(
                "the folder {} for the pictures could not be made; name another with --pictures",
                folder.display()
            )
        })?;
        if given.is_none() {
            gone_when_stopped(folder.clone());
        }
        Ok(Self {
            folder,
            round: round.to_string()[..8].to_owned(),
            passing: given.is_none(),
        })
    }

    /// Copies of the question's photos, turned tip up, without names, times or places.
    pub(super) fn show(&self, ready: &Ready<'_>, number: usize) -> anyhow::Result<Vec<String>> {
        let mut shown = Vec::new();
        for (index, (file, tip)) in ready.photos.iter().enumerate() {
            let told = || format!("the photo {} could not be shown", file.display());
            let photo = read_photo(&load::bytes_of(file).with_context(told)?).with_context(told)?;
            let name = match ready.photos.len() {
                1 => format!("{}-{number}.jpg", self.round),
                _ => format!("{}-{number}-jaw{}.jpg", self.round, index + 1),
            };
            let place = self.folder.join(name);
            fs::write(&place, photo_to_jpeg(&photo, tip.unwrap_or_default())?).with_context(|| {
                let place = place.display();
                format!(
                    "the picture {place} could not be written; check the folder and its free space"
                )
            })?;
            shown.push(place.display().to_string());
        }
        Ok(shown)
    }
}

/// Ctrl-C and SIGTERM end the round at once; every answer is filed by then, and the pictures go, too.
fn gone_when_stopped(folder: PathBuf) {
    // Where there can be no handler the pictures stay, in a folder that the system clears.
    let _ = ctrlc::set_handler(move || {
        let _ = fs::remove_dir_all(&folder);
        process::exit(Outcome::Stopped as i32);
    });
}

impl Drop for Pictures {
    fn drop(&mut self) {
        if self.passing {
            // Nothing is lost where it stays.
            let _ = fs::remove_dir_all(&self.folder);
        }
    }
}
