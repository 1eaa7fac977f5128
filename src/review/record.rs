//! A photo line with what the advice needs besides, so that a check is advised on from its lines alone.

use serde::{Deserialize, Serialize};

use super::jaw::JawReading;
use super::lines::{CheckLine, PhotoLine};
use crate::reading::face::TipDirection;
use crate::reading::inspect::Inspection;
use crate::reading::method::Method;
use crate::reading::outcome::Reading;
use crate::reading::pattern::Pattern;
use crate::taper::advice::Grip;
use crate::units::PerSide;

/// What decides a photo's reading besides the program's version.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub(crate) struct Key {
    pub(crate) sha256: String,
    pub(crate) method: Method,
    pub(crate) tip: Option<TipDirection>,
}

/// One line of a result: `"kind": "photo"` or `"kind": "check"`, then the fields.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub(crate) enum ResultLine {
    Photo(Box<PhotoRecord>),
    Check(Box<CheckLine>),
}

/// One photo. Numbers are as they were computed, not rounded.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct PhotoRecord {
    #[serde(flatten)]
    pub(crate) line: PhotoLine,
    /// Where the user said that the tip points.
    pub(crate) tip: Option<TipDirection>,
    /// See [`Reading::tip_contradicted`].
    pub(crate) tip_contradicted: bool,
    /// See [`Reading::method_contradicted`].
    pub(crate) method_contradicted: bool,
    /// One standard deviation of each station of the profile; empty where there is none.
    pub(crate) along_sd: Vec<f64>,
    /// What it belongs to.
    pub(crate) told: Told,
}

/// What the table, the archive or the folder says about a photo, in this order.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub(crate) struct Told {
    /// The jaw set's name.
    pub(crate) jaw_set: Option<String>,
    /// What marks the photos of one check: the table's word, or the archive's id.
    pub(crate) check: Option<String>,
    /// The id of the archive's check, where `check` is one.
    pub(crate) filed: bool,
    /// Below the reviewed folder, with `/`; photos without `check` are of one check only within one
    /// folder. Empty where the table names the jaw set.
    pub(crate) folder: String,
    /// Number of the jaw within the check: photos with the same one are of one jaw.
    #[serde(default)]
    pub(crate) jaw: Option<u8>,
    /// Filed as one of several photos of a jaw, and not as the first of them, which stands for the jaw: where it is not
    /// told which jaw that is.
    #[serde(default)]
    pub(crate) further_view: bool,
    /// Which way the jaws grip.
    pub(crate) grip: Grip,
    /// The taper that was cut.
    pub(crate) taper: Option<PerSide>,
    /// What was done about the check.
    pub(crate) done: Option<String>,
}

impl AsRef<PhotoLine> for PhotoRecord {
    fn as_ref(&self) -> &PhotoLine {
        &self.line
    }
}

impl PhotoRecord {
    /// A file that gave no reading.
    pub(crate) fn broken(sha256: String, error: String, method: Method) -> Self {
        Self {
            line: PhotoLine {
                sha256,
                file: String::new(),
                same_as: Vec::new(),
                check: String::new(),
                taken: None,
                size_px: None,
                corners_px: None,
                method,
                pattern: Pattern::Unreadable,
                confidence: 0.0,
                refusal: None,
                error: Some(error),
                warnings: Vec::new(),
                profile: Vec::new(),
                bands: Vec::new(),
                contact: None,
                program: env!("CARGO_PKG_VERSION").to_owned(),
            },
            tip: None,
            tip_contradicted: false,
            method_contradicted: false,
            along_sd: Vec::new(),
            told: Told::default(),
        }
    }

    /// What a reading says; where the photo lies is filled in later.
    pub(crate) fn of(inspection: &Inspection) -> Self {
        let Inspection { photo, reading, .. } = inspection;
        let corners = reading.face.as_ref().map(|f| f.corners.0);
        let says = JawReading::of(reading);
        // Only to fill the fields that a reading does not have yet.
        let blank = Self::broken(photo.sha256.clone(), String::new(), reading.method);
        Self {
            line: PhotoLine {
                taken: photo.taken.clone(),
                size_px: Some(photo.size_px),
                corners_px: corners.map(|c| c.map(|p| [p.x, p.y])),
                pattern: says.pattern,
                confidence: says.confidence,
                refusal: says.refusal,
                error: None,
                warnings: says.warnings,
                profile: says.profile,
                bands: says.bands,
                contact: says.contact,
                ..blank.line
            },
            tip_contradicted: says.tip_contradicted,
            method_contradicted: says.method_contradicted,
            along_sd: says.along_sd,
            ..blank
        }
    }

    /// The reading as far as advice asks for it; `None` where the file gave none.
    pub(crate) fn reading(&self) -> Option<Reading> {
        let line = &self.line;
        let says = || JawReading {
            method: line.method,
            pattern: line.pattern,
            confidence: line.confidence,
            refusal: line.refusal,
            warnings: line.warnings.clone(),
            profile: line.profile.clone(),
            along_sd: self.along_sd.clone(),
            bands: line.bands.clone(),
            contact: line.contact,
            tip_contradicted: self.tip_contradicted,
            // A review gives no corners, which would say it too.
            tip_unsaid: self.tip_contradicted && self.tip.is_none(),
            method_contradicted: self.method_contradicted,
        };
        line.error.is_none().then(|| says().reading())
    }

    /// By what it was read.
    pub(crate) fn key(&self) -> Key {
        Key {
            sha256: self.line.sha256.clone(),
            method: self.line.method,
            tip: self.tip,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::inspect::{Request, inspect};
    use crate::taper::advice::{Check, Setup, advise};
    use crate::taper::rules::Rules;

    fn inspected(sample: &str) -> Inspection {
        let samples = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-images");
        let bytes = std::fs::read(samples.join(sample)).unwrap();
        let request = Request {
            tip: Some(TipDirection::Up),
            ..Request::default()
        };
        inspect(crate::reading::photo::read_photo(&bytes).unwrap(), &request)
    }

    #[test]
    fn advice_from_lines_is_the_advice_from_readings_to_the_last_digit() {
        let samples = [1, 2, 3].map(|jaw| format!("heron-too-much-taper/jaw{jaw}.jpg"));
        let inspections = samples.map(|s| inspected(&s));
        let lines = inspections.each_ref().map(|i| {
            let line = serde_json::to_string(&PhotoRecord::of(i)).unwrap();
            serde_json::from_str::<PhotoRecord>(&line).unwrap()
        });
        let again = lines.each_ref().map(|l| l.reading().unwrap());
        let advice = |readings: Vec<&Reading>| {
            let setup = Setup {
                taper: PerSide::parse_taper("3thou").ok(),
                ..Setup::default()
            };
            // All of it, the estimate's grid included.
            format!(
                "{:?}",
                advise(&Check { readings, setup }, &Rules::default())
            )
        };
        let direct = inspections.iter().map(|i| &i.reading).collect();
        assert_eq!(advice(again.iter().collect()), advice(direct));
    }
}
