//! The places in the picture that decide a reading, in words.

use crate::reading::outcome::Reading;
use crate::reading::pattern::Pattern;
use crate::reading::pattern::is_taper;
use crate::reading::profile::Band;
use crate::taper::records::FiledReading;

/// Nearer to an end than this, a band begins or ends there: one of the profile's 64 stations.
const AT_THE_END: f64 = 1.0 / 64.0;

/// The places that decide a reading: `clean from the tip to 54 %, compound from there to the base`, and
/// for a pattern that shows across the width its shares there, too.
pub fn places(reading: &Reading) -> String {
    if reading.refusal.is_some() {
        return "too little can be judged".to_owned();
    }
    in_words(reading.pattern, &reading.bands, &reading.evidence)
}

/// The same of a reading from the archive, where its details are at hand.
pub(crate) fn places_filed(reading: &FiledReading) -> String {
    if reading.refusal.is_some() {
        return "too little can be judged".to_owned();
    }
    let of = |name: &str| reading.detail[name].clone();
    let bands = serde_json::from_value::<Vec<Band>>(of("bands")).unwrap_or_default();
    let evidence = serde_json::from_value::<Vec<String>>(of("evidence")).unwrap_or_default();
    in_words(reading.pattern, &bands, &evidence)
}

fn in_words(pattern: Pattern, bands: &[Band], evidence: &[String]) -> String {
    let along = along(bands);
    // The length alone decides between the patterns of the taper and between ends and middle.
    let by_length = is_taper(pattern) || matches!(pattern, Pattern::EndsOnly | Pattern::MiddleOnly);
    let across = evidence.iter().find(|e| e.contains("across the width"));
    match across.filter(|_| !by_length) {
        Some(across) => format!("{along}; {across}"),
        None => along,
    }
}

/// The stretches of the length, from the tip.
fn along(bands: &[Band]) -> String {
    let mut parts = Vec::new();
    let mut clean_from = 0.0;
    for band in bands {
        if band.from > AT_THE_END {
            parts.push(stretch("clean", clean_from, band.from, parts.is_empty()));
        }
        parts.push(stretch("compound", band.from, band.to, parts.is_empty()));
        clean_from = band.to;
    }
    if clean_from < 1.0 - AT_THE_END {
        parts.push(stretch("clean", clean_from, 1.0, parts.is_empty()));
    }
    parts.join(", ")
}

fn stretch(what: &str, from: f64, to: f64, first: bool) -> String {
    let from = match (first, from) {
        (true, from) if from > AT_THE_END => format!("{:.0} %", from * 100.0),
        (true, _) => "the tip".to_owned(),
        (false, _) => "there".to_owned(),
    };
    let to = if to > 1.0 - AT_THE_END {
        "the base".to_owned()
    } else {
        format!("{:.0} %", to * 100.0)
    };
    format!("{what} from {from} to {to}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(bands: &[(f64, f64)]) -> String {
        let bands: Vec<Band> = bands.iter().map(|&(from, to)| Band { from, to }).collect();
        along(&bands)
    }

    #[test]
    fn the_stretches_are_said_from_the_tip_to_the_base() {
        let told = "clean from the tip to 54 %, compound from there to the base";
        assert_eq!(of(&[(0.54, 1.0)]), told);
        assert_eq!(
            of(&[(0.0, 0.3)]),
            "compound from the tip to 30 %, clean from there to the base"
        );
        assert_eq!(of(&[]), "clean from the tip to the base");
        assert_eq!(of(&[(0.0, 1.0)]), "compound from the tip to the base");
        let told =
            "clean from the tip to 30 %, compound from there to 70 %, clean from there to the base";
        assert_eq!(of(&[(0.3, 0.7)]), told);
    }
}
