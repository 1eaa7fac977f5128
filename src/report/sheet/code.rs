//! The QR code: the set's id as a URI of our own.

use qrcode::render::svg;
use qrcode::{EcLevel, QrCode};

use crate::taper::records::Id;

/// In front of the id. Upper case keeps the code in the alphanumeric mode of ISO/IEC 18004, a size
/// smaller; URI schemes have no case (RFC 3986, section 3.1).
const SCHEME: &str = "SEEPLINE:";
/// A quarter of the code may be dirty or scratched (level Q of ISO/IEC 18004).
const LEVEL: EcLevel = EcLevel::Q;

/// A sheet that could not be made.
#[derive(Debug, thiserror::Error)]
#[error("the QR code of {id} could not be made: {source}")]
pub struct SheetError {
    id: Id,
    source: qrcode::types::QrError,
}

/// What the QR code of a jaw set says: `SEEPLINE:` and the id's 32 hexadecimal digits, upper case.
pub fn jaw_set_uri(id: Id) -> String {
    SCHEME.to_owned() + &id.to_string().to_uppercase()
}

/// The id in what a reader of codes gave back, whatever its case; `None` where it is something else.
pub fn id_of_uri(text: &str) -> Option<Id> {
    let text = text.trim();
    let (scheme, id) = text.split_at_checked(SCHEME.len())?;
    let ours = scheme.eq_ignore_ascii_case(SCHEME);
    ours.then(|| id.parse().ok()).flatten()
}

/// In four groups of eight, to read aloud.
pub(super) fn grouped(id: Id) -> String {
    let id = id.to_string();
    let groups: Vec<&str> = (0..4).filter_map(|i| id.get(8 * i..8 * (i + 1))).collect();
    groups.join(" ")
}

pub(super) fn svg(id: Id) -> Result<String, SheetError> {
    let drawn = matrix(id)?
        .render::<svg::Color<'_>>()
        .module_dimensions(1, 1)
        .build();
    // Inside HTML an XML declaration has no place.
    let start = drawn.find("<svg").unwrap_or_default();
    Ok(drawn.get(start..).unwrap_or_default().to_owned())
}

fn matrix(id: Id) -> Result<QrCode, SheetError> {
    QrCode::with_error_correction_level(jaw_set_uri(id), LEVEL)
        .map_err(|source| SheetError { id, source })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_reads_back_whatever_its_case() {
        let id = Id::derived(&["heron"]);
        assert_eq!(id_of_uri(&jaw_set_uri(id)), Some(id));
        assert_eq!(id_of_uri(&jaw_set_uri(id).to_lowercase()), Some(id));
        for other in [
            "",
            "SEEPLINE:",
            "https://example.com",
            "SEEPLINE:ééé",
            &id.to_string(),
        ] {
            assert_eq!(id_of_uri(other), None, "{other}");
        }
    }

    #[test]
    fn the_code_is_small_and_drawn_without_a_declaration() {
        let id = Id::derived(&["heron"]);
        // ISO/IEC 18004: version 3, 29 modules a side, holds 47 alphanumeric characters at level Q.
        assert_eq!(matrix(id).unwrap().width(), 29);
        let svg = svg(id).unwrap();
        assert!(svg.starts_with("<svg") && svg.ends_with("</svg>"));
    }
}
