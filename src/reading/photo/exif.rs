//! The EXIF notes that are used: orientation, time taken and 35-mm focal length by a reading, the kind of phone by a
//! prove-out.
//!
//! EXIF that cannot be read counts as none. The location is not looked at.

use std::io::Cursor;

use exif::{Exif, Field, In, Reader, Tag, Value};
use image::metadata::Orientation;

use crate::text::outside::printable;

/// What the camera noted.
pub(super) struct ExifNotes {
    pub(super) orientation: Orientation,
    pub(super) taken: Option<String>,
    pub(super) focal_35mm: Option<f64>,
    pub(super) phone: Option<String>,
}

impl Default for ExifNotes {
    fn default() -> Self {
        Self {
            orientation: Orientation::NoTransforms,
            taken: None,
            focal_35mm: None,
            phone: None,
        }
    }
}

/// Reads the notes from a JPEG, PNG, WebP or HEIC file.
pub(super) fn read(bytes: &[u8]) -> ExifNotes {
    container(bytes).map_or_else(ExifNotes::default, |exif| ExifNotes {
        orientation: orientation(&exif).unwrap_or(Orientation::NoTransforms),
        taken: taken(&exif),
        focal_35mm: focal_35mm(&exif),
        phone: phone(&exif),
    })
}

/// Whether an orientation makes width of height.
pub(super) fn swaps_sides(orientation: Orientation) -> bool {
    matches!(
        orientation,
        Orientation::Rotate90
            | Orientation::Rotate270
            | Orientation::Rotate90FlipH
            | Orientation::Rotate270FlipH
    )
}

fn container(bytes: &[u8]) -> Option<Exif> {
    let found = Reader::new()
        // One broken note must not cost the orientation.
        .continue_on_error(true)
        .read_from_container(&mut Cursor::new(bytes));
    match found {
        Ok(exif) => Some(exif),
        Err(exif::Error::PartialResult(part)) => Some(part.into_inner().0),
        Err(_) => None,
    }
}

fn primary(exif: &Exif, tag: Tag) -> Option<&Field> {
    exif.get_field(tag, In::PRIMARY)
}

fn orientation(exif: &Exif) -> Option<Orientation> {
    let code = primary(exif, Tag::Orientation)?.value.get_uint(0)?;
    Orientation::from_exif(u8::try_from(code).ok()?)
}

/// `DateTimeOriginal`, or else `DateTime`, without a zone: cameras seldom know theirs.
fn taken(exif: &Exif) -> Option<String> {
    // `DateTime` is when the file was last changed, so it is second.
    [Tag::DateTimeOriginal, Tag::DateTime]
        .into_iter()
        .find_map(|tag| iso_time(&primary(exif, tag)?.value))
}

fn iso_time(value: &Value) -> Option<String> {
    let Value::Ascii(lines) = value else {
        return None;
    };
    let t = exif::DateTime::from_ascii(lines.first()?).ok()?;
    let narrow = |v: u8| i8::try_from(v).ok();
    let year = i16::try_from(t.year).ok()?;
    let (month, day) = (narrow(t.month)?, narrow(t.day)?);
    let (hour, minute, second) = (narrow(t.hour)?, narrow(t.minute)?, narrow(t.second)?);
    let time = jiff::civil::DateTime::new(year, month, day, hour, minute, second, 0).ok()?;
    Some(time.to_string())
}

/// Tag 0xA405; 0 says that it is unknown (CIPA DC-008, from memory).
fn focal_35mm(exif: &Exif) -> Option<f64> {
    let millimetres = primary(exif, Tag::FocalLengthIn35mmFilm)?
        .value
        .get_uint(0)?;
    (millimetres > 0).then_some(f64::from(millimetres))
}

/// Longest name of a phone that is kept: makers' names are a few words, and what else stands there is no name.
const LONGEST_NAME: usize = 60;

/// Maker and model, as they wrote them; the maker once, where the model names it, too. A serial number is another
/// note, and not looked at.
fn phone(exif: &Exif) -> Option<String> {
    let [make, model] = [Tag::Make, Tag::Model].map(|tag| name(&primary(exif, tag)?.value));
    match (make, model) {
        (Some(make), Some(model)) if !model.to_lowercase().starts_with(&make.to_lowercase()) => {
            Some(format!("{make} {model}"))
        }
        (make, model) => model.or(make),
    }
}

fn name(value: &Value) -> Option<String> {
    let Value::Ascii(lines) = value else {
        return None;
    };
    let text = String::from_utf8_lossy(lines.first()?);
    let words: Vec<&str> = text.trim_matches('\0').split_whitespace().collect();
    let text = printable(&words.join(" "));
    (!text.is_empty() && text.chars().count() <= LONGEST_NAME).then_some(text)
}
