//! Photos as readers are shown them, and as the program reads them.

use std::path::PathBuf;

use super::super::load;
use crate::people::study::{Asked, Photo};
use crate::reading::face::TipDirection;
use crate::reading::inspect::Inspection;
use crate::reading::pattern::Pattern;
use crate::report;
use crate::taper::advice::{Check, Setup, advise};
use crate::taper::rules::Rules;

/// A photo that holds the study's place for it.
pub(super) struct Shown {
    pub(super) photo: Photo,
    /// Re-encoded, so that no name, time, place or camera is in it.
    pub(super) jpeg: Vec<u8>,
    pub(super) size: [u32; 2],
    /// Whether the picture leaves in doubt where the tip points.
    pub(super) tip_in_doubt: bool,
}

/// Read at once: each holds its pixels and maps until its picture is made.
const AT_ONCE: usize = 8;

/// Reads every file; those that are no photo, and doubles, are faults. `names` and `tips` as `files`.
pub(super) fn all(
    files: &[PathBuf],
    names: &[String],
    tips: &[Option<TipDirection>],
    asked: &Asked,
    rules: &Rules,
) -> (Vec<Shown>, Vec<String>) {
    let (mut shown, mut faults) = (Vec::<Shown>::new(), Vec::new());
    let names = names.chunks(AT_ONCE).zip(tips.chunks(AT_ONCE));
    for (files, (names, tips)) in files.chunks(AT_ONCE).zip(names) {
        let common = load::Common {
            method: asked.method,
            tips,
            corners: &[],
            jaws: &[],
        };
        for (report, name) in load::read_all(files, common).into_iter().zip(names) {
            let one = report.outcome.and_then(|i| one(name, &i, asked, rules));
            match one {
                Err(what) => faults.push(format!("{name}: {what}")),
                Ok(one) => match shown.iter().find(|s| s.photo.sha256 == one.photo.sha256) {
                    Some(first) => faults.push(format!(
                        "{name}: the same picture as {}; taken once",
                        first.photo.file
                    )),
                    None => shown.push(one),
                },
            }
        }
    }
    (shown, faults)
}

fn one(name: &str, inspection: &Inspection, asked: &Asked, rules: &Rules) -> Result<Shown, String> {
    let tip = inspection.request.tip.unwrap_or_default();
    let jpeg = report::photo_to_jpeg(&inspection.photo, tip)
        .map_err(|e| format!("its picture could not be made ({e}); leave the photo out"))?;
    let (width, height) = inspection.photo.pixels.dimensions();
    // Turned tip up, a picture taken on its side is as wide as it was high.
    let on_its_side = matches!(tip, TipDirection::Left | TipDirection::Right);
    Ok(Shown {
        photo: called(name, inspection, asked, rules),
        jpeg,
        tip_in_doubt: inspection.reading.tip_contradicted,
        size: if on_its_side {
            [height, width]
        } else {
            [width, height]
        },
    })
}

/// The program's call. Where the tip or the method is in doubt it would not act on the pattern, so it has
/// not called one.
fn called(name: &str, inspection: &Inspection, asked: &Asked, rules: &Rules) -> Photo {
    let reading = &inspection.reading;
    let contradicted = reading.tip_contradicted || reading.method_contradicted;
    let acts = reading.refusal.is_none() && !contradicted;
    let setup = Setup {
        grip: asked.grip,
        ..Setup::default()
    };
    let readings = vec![reading];
    let advice = advise(&Check { readings, setup }, rules);
    let change = advice.taper_change.filter(|_| acts);
    Photo {
        file: name.to_owned(),
        sha256: inspection.photo.sha256.clone(),
        // Said of all at once it stands with the study.
        tip: inspection.request.tip.filter(|_| asked.tip.is_none()),
        pattern: if acts {
            reading.pattern
        } else {
            Pattern::Unreadable
        },
        confidence: if acts { reading.confidence } else { 0.0 },
        change_um: change.map(|c| c.change.micrometres()),
    }
}
