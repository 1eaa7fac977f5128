//! `read --json`: one object, schema 1. New keys may be added; none is ever renamed or left out.

mod call;
mod jaw;
mod recut;
mod start;

use serde::Serialize;

use super::{CheckReport, FiledNote, PhotoReport, ProofNote};
use crate::reading::face::{Face, FoundBy};
use crate::reading::inspect::Inspection;
use crate::reading::method::Method;
use crate::reading::outcome::Reading;
use crate::reading::pattern::Pattern;
use crate::reading::profile::{Band, ContactProfile, STATIONS};
use crate::reading::refusal::Refusal;
use crate::taper::advice::{Action, Advice, Grip, ProgramChange, TaperChange};
use crate::taper::records::Id;
use crate::units::amount::{Amount, BothWays, round};

pub use recut::recut_to_json;
pub use start::start_to_json;

const SCHEMA: u32 = 1;

#[derive(Serialize)]
struct Root<'a> {
    schema: u32,
    version: &'static str,
    photos: Vec<Photo<'a>>,
    /// Only the jaws of which there are several photos.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    jaws: Vec<jaw::JawJson<'a>>,
    check: CheckJson<'a>,
    /// Only with `--jaws`.
    #[serde(skip_serializing_if = "Option::is_none")]
    filed: Option<FiledJson<'a>>,
    /// Only with `--call`.
    #[serde(skip_serializing_if = "Option::is_none")]
    call: Option<call::CallJson<'a>>,
    /// Only where a prove-out was begun.
    #[serde(skip_serializing_if = "Option::is_none")]
    proof: Option<&'a ProofNote>,
}

#[derive(Serialize)]
struct FiledJson<'a> {
    jaw_set: &'a str,
    check: Option<Id>,
    /// Since the check before.
    differences: Vec<DifferenceJson<'a>>,
    notes: &'a [String],
}

#[derive(Serialize)]
struct DifferenceJson<'a> {
    what: &'a str,
    before: &'a str,
    now: &'a str,
}

/// What a photo and a jaw with several say in the same fields.
#[derive(Serialize)]
struct ReadingJson<'a> {
    profile: Vec<Option<f64>>,
    bands: Vec<Band>,
    contact: Contact,
    pattern: Pattern,
    confidence: f64,
    refusal: Option<RefusalJson<'a>>,
    warnings: &'a [String],
    evidence: &'a [String],
}

#[derive(Serialize)]
struct Photo<'a> {
    file: &'a str,
    sha256: Option<&'a str>,
    taken: Option<&'a str>,
    size_px: Option<[u32; 2]>,
    face: Option<FaceJson>,
    method: Method,
    grip: Grip,
    #[serde(flatten)]
    reading: ReadingJson<'a>,
    /// Only where the file is wrong: what happened and what to do.
    #[serde(skip_serializing_if = "Option::is_none")]
    error: Option<&'a str>,
    /// Only with `--jaw`: the number that was said.
    #[serde(skip_serializing_if = "Option::is_none")]
    jaw: Option<u8>,
    /// Only for a photo given twice: index of the first one, which alone counts.
    #[serde(skip_serializing_if = "Option::is_none")]
    same_as: Option<usize>,
    /// Only with `--picture`.
    #[serde(skip_serializing_if = "Option::is_none")]
    picture: Option<&'a str>,
}

#[derive(Serialize)]
struct FaceJson {
    corners_px: [[f64; 2]; 4],
    found_by: FoundBy,
    confidence: f64,
}

#[derive(Serialize, Default)]
struct Contact {
    tip: Option<f64>,
    middle: Option<f64>,
    base: Option<f64>,
}

#[derive(Serialize)]
#[serde(untagged)]
// Both write a reason and an advice, so that a program reads them alike.
enum RefusalJson<'a> {
    Judged(&'a Refusal),
    File {
        reason: &'static str,
        advice: &'a str,
    },
}

#[derive(Serialize)]
struct CheckJson<'a> {
    pattern: Pattern,
    action: Action,
    taper_change: Option<Change>,
    next_taper: Option<BothWays>,
    program: Option<Program>,
    /// Index in `photos`; of a jaw with several, the first one's.
    odd_jaw: Option<usize>,
    what_to_do: &'a str,
    why: &'a str,
    look_at_first: &'a [String],
    cautions: &'a [String],
    rules: &'a str,
}

#[derive(Serialize)]
struct Change {
    #[serde(flatten)]
    median: BothWays,
    low_per_side_thou: f64,
    high_per_side_thou: f64,
}

#[derive(Serialize)]
struct Program {
    programmed: BothWays,
    diameter_change_thou: f64,
    diameter_change_um: f64,
    start_offset_on_diameter_thou: f64,
    start_offset_on_diameter_um: f64,
}

/// The whole report as one JSON object, with a newline after it.
///
/// # Errors
/// Never for values that the pipeline makes; `serde_json` cannot promise it.
pub fn to_json(report: &CheckReport) -> serde_json::Result<Vec<u8>> {
    let root = Root {
        schema: SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        photos: report.photos.iter().map(|p| photo(p, report)).collect(),
        jaws: report.joined.iter().map(|j| jaw::jaw(j, report)).collect(),
        check: check(&report.advice, report),
        filed: report.filed.as_ref().map(filed),
        call: report.call.as_ref().map(call::call),
        proof: report.proof.as_ref(),
    };
    bytes(&root)
}

fn bytes(root: &impl Serialize) -> serde_json::Result<Vec<u8>> {
    let mut bytes = serde_json::to_vec_pretty(root)?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn filed(note: &FiledNote) -> FiledJson<'_> {
    let differences = note.differences.iter().map(|d| DifferenceJson {
        what: d.what,
        before: &d.before,
        now: &d.now,
    });
    FiledJson {
        jaw_set: &note.jaw_set,
        check: note.check,
        differences: differences.collect(),
        notes: &note.notes,
    }
}

/// The photos as [`to_json`] prints them, in the report's order.
///
/// # Errors
/// As for [`to_json`].
pub fn photos_to_json(report: &CheckReport) -> serde_json::Result<Vec<serde_json::Value>> {
    let shown = report.photos.iter().map(|p| photo(p, report));
    shown.map(serde_json::to_value).collect()
}

/// The jaws with several photos as [`to_json`] prints them, in the report's order.
///
/// # Errors
/// As for [`to_json`].
pub fn jaws_to_json(report: &CheckReport) -> serde_json::Result<Vec<serde_json::Value>> {
    let shown = report.joined.iter().map(|j| jaw::jaw(j, report));
    shown.map(serde_json::to_value).collect()
}

fn photo<'a>(photo: &'a PhotoReport, report: &CheckReport) -> Photo<'a> {
    let shown = match &photo.outcome {
        Ok(inspection) => read(inspection, report.grip()),
        Err(error) => broken(error, report),
    };
    Photo {
        file: &photo.file,
        jaw: photo.jaw,
        same_as: photo.same_as,
        picture: photo.picture.as_deref(),
        ..shown
    }
}

fn read(inspection: &Inspection, grip: Grip) -> Photo<'_> {
    let Inspection { photo, reading, .. } = inspection;
    Photo {
        // Filled in by `photo`, which knows what the user gave.
        file: "",
        sha256: Some(&photo.sha256),
        taken: photo.taken.as_deref(),
        size_px: Some(photo.size_px),
        face: reading.face.as_ref().map(face),
        method: reading.method,
        grip,
        reading: of_reading(reading),
        error: None,
        jaw: None,
        same_as: None,
        picture: None,
    }
}

fn of_reading(reading: &Reading) -> ReadingJson<'_> {
    ReadingJson {
        profile: profile(reading.profile.as_ref()),
        bands: bands(reading),
        contact: contact(reading),
        pattern: reading.pattern,
        confidence: round4(reading.confidence),
        refusal: reading.refusal.as_ref().map(RefusalJson::Judged),
        warnings: &reading.warnings,
        evidence: &reading.evidence,
    }
}

/// The same shape as for a photo, so that a program can read every entry alike.
fn broken<'a>(error: &'a str, report: &CheckReport) -> Photo<'a> {
    Photo {
        file: "",
        sha256: None,
        taken: None,
        size_px: None,
        face: None,
        method: report.method,
        grip: report.grip(),
        reading: ReadingJson {
            profile: profile(None),
            bands: Vec::new(),
            contact: Contact::default(),
            pattern: Pattern::Unreadable,
            confidence: 0.0,
            refusal: Some(RefusalJson::File {
                // None of the reading's reasons: the file never became a photo.
                reason: "file",
                advice: error,
            }),
            warnings: &[],
            evidence: &[],
        },
        error: Some(error),
        jaw: None,
        same_as: None,
        picture: None,
    }
}

fn face(face: &Face) -> FaceJson {
    FaceJson {
        corners_px: face.corners.0.map(|p| [round(p.x, 10.0), round(p.y, 10.0)]),
        found_by: face.found_by,
        confidence: round4(face.confidence),
    }
}

fn profile(profile: Option<&ContactProfile>) -> Vec<Option<f64>> {
    profile.map_or_else(
        || vec![None; STATIONS],
        |p| p.along.iter().map(|share| share.map(round4)).collect(),
    )
}

fn bands(reading: &Reading) -> Vec<Band> {
    let rounded = |b: &Band| Band {
        from: round4(b.from),
        to: round4(b.to),
    };
    reading.bands.iter().map(rounded).collect()
}

fn contact(reading: &Reading) -> Contact {
    let Some(profile) = &reading.profile else {
        return Contact::default();
    };
    let [tip, middle, base] = profile.contact(reading.method).map(|s| Some(round4(s)));
    Contact { tip, middle, base }
}

fn check<'a>(advice: &'a Advice, report: &'a CheckReport) -> CheckJson<'a> {
    CheckJson {
        pattern: advice.pattern,
        action: advice.action,
        taper_change: advice.taper_change.as_ref().map(change),
        next_taper: advice.next_taper.map(BothWays::from),
        program: advice.program.as_ref().map(program),
        odd_jaw: report.odd_photo(),
        what_to_do: &advice.what_to_do,
        why: &advice.why,
        look_at_first: &advice.look_at_first,
        cautions: &advice.cautions,
        rules: &report.rules,
    }
}

fn change(change: &TaperChange) -> Change {
    Change {
        median: change.change.into(),
        low_per_side_thou: Amount::from(change.low).thou,
        high_per_side_thou: Amount::from(change.high).thou,
    }
}

fn program(program: &ProgramChange) -> Program {
    let diameter = Amount::from(program.diameter_change);
    let offset = Amount::from(program.start_offset);
    Program {
        programmed: program.programmed.into(),
        diameter_change_thou: diameter.thou,
        diameter_change_um: diameter.um,
        start_offset_on_diameter_thou: offset.thou,
        start_offset_on_diameter_um: offset.um,
    }
}

fn round4(value: f64) -> f64 {
    round(value, 1e4)
}
