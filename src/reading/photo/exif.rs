//! The three EXIF notes that a reading uses: orientation, time taken, 35-mm focal length.
//!
//! EXIF that cannot be read counts as none. The location is not looked at.

use std::io::Cursor;

use exif::{Exif, Field, In, Reader, Tag, Value};
use image::metadata::Orientation;

/// What the camera noted.
pub(super) struct ExifNotes {
    pub(super) orientation: Orientation,
    pub(super) taken: Option<String>,
    pub(super) focal_35mm: Option<f64>,
}

impl Default for ExifNotes {
    fn default() -> Self {
        Self {
            orientation: Orientation::NoTransforms,
            taken: None,
            focal_35mm: None,
        }
    }
}

/// Reads the notes from a JPEG, PNG, WebP or HEIC file.
pub(super) fn read(bytes: &[u8]) -> ExifNotes {
    container(bytes).map_or_else(ExifNotes::default, |exif| ExifNotes {
        orientation: orientation(&exif).unwrap_or(Orientation::NoTransforms),
        taken: taken(&exif),
        focal_35mm: focal_35mm(&exif),
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
