//! `--picture DIR`: one picture per photo, named so that no photo overwrites another's.

use std::fs;
use std::path::{Path, PathBuf};

use crate::report::{self, CheckReport, PhotoReport};

/// Writes the pictures, notes their places in the report, and returns what went wrong.
pub(super) fn write_all(folder: &Path, report: &mut CheckReport) -> Vec<String> {
    if let Err(error) = fs::create_dir_all(folder) {
        return vec![format!(
            "the folder {} could not be made ({error}); no picture was written, name another one",
            folder.display()
        )];
    }
    let written: Vec<_> = (0..report.photos.len())
        .map(|index| write_one(folder, report, index))
        .collect();
    let mut faults = Vec::new();
    for (photo, written) in report.photos.iter_mut().zip(written) {
        match written {
            Ok(place) => photo.picture = place.map(|p| p.display().to_string()),
            Err(fault) => faults.push(fault),
        }
    }
    faults
}

/// `None` where the file was no photo, or the same photo came before.
fn write_one(folder: &Path, report: &CheckReport, index: usize) -> Result<Option<PathBuf>, String> {
    let photo = &report.photos[index];
    let Some(place) = place(folder, photo).filter(|_| photo.counts()) else {
        return Ok(None);
    };
    let fault = |cause: String| {
        let place = place.display();
        format!(
            "the picture {place} could not be written ({cause}); check the folder and its space"
        )
    };
    let bytes = report::to_jpeg(report, index).map_err(|e| fault(e.to_string()))?;
    fs::write(&place, bytes).map_err(|e| fault(e.to_string()))?;
    Ok(Some(place))
}

/// The photo's name with eight digits of its SHA-256: `jaw1.jpg` of another folder gets another name,
/// the same photo read again the same one.
fn place(folder: &Path, photo: &PhotoReport) -> Option<PathBuf> {
    let sha256 = &photo.inspection()?.photo.sha256;
    let stem = Path::new(&photo.file)
        .file_stem()?
        .to_string_lossy()
        .into_owned();
    let digits = sha256.get(..8).unwrap_or(sha256);
    Some(folder.join(format!("{stem}-reading-{digits}.jpg")))
}
