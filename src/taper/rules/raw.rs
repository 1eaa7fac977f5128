//! The rules file as written: its keys and the kinds of its values.

use serde::Deserialize;
use serde::de::{Deserializer, Error as _};
use toml::Spanned;

use super::checked::Fault;
use crate::reading::method::Method;
use crate::reading::pattern::Pattern;
use crate::reading::refusal::Reason;
use crate::taper::estimate::WIDEST_LOG_SD;
use crate::units::{Length, PerSide};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Table {
    pub(super) version: u32,
    pub(super) estimate: Spanned<Estimate>,
    /// Newer than the rest: a shop's file without it gets the built-in values.
    pub(super) recut: Option<Recut>,
    #[serde(rename = "pattern")]
    pub(super) patterns: Vec<Spanned<PatternRule>>,
    #[serde(rename = "situation")]
    pub(super) situations: Vec<Spanned<SituationRule>>,
    #[serde(rename = "refusal")]
    pub(super) refusals: Vec<Spanned<RefusalRule>>,
    #[serde(rename = "caution")]
    pub(super) cautions: Vec<Spanned<CautionRule>>,
}

impl Table {
    pub(super) fn from_toml(text: &str) -> Result<Self, Fault> {
        toml::from_str(text).map_err(|error| Fault {
            at: error.span().map(|span| span.start),
            reason: error.message().lines().collect::<Vec<_>>().join(", "),
        })
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Estimate {
    pub(super) threshold_median: Sourced<Size>,
    pub(super) threshold_log_sd: Sourced<Spread>,
    pub(super) error_scale: Sourced<Size>,
    pub(super) widest_error: Sourced<Size>,
    pub(super) jaw_spread: Sourced<Size>,
    pub(super) increment: Sourced<Size>,
    pub(super) largest_step: Sourced<Size>,
    pub(super) interval: Sourced<Share>,
    pub(super) least_confidence: Sourced<Share>,
    pub(super) least_confidence_other: Sourced<Share>,
    pub(super) jaws_differ: Sourced<Size>,
    /// Younger than the table; the built-in value where absent, so that a shop's older file stands.
    pub(super) threshold_drift_log_sd: Option<Sourced<Spread>>,
    /// As above.
    pub(super) unnoticed_change: Option<Sourced<Share>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Recut {
    pub(super) off_centre: Sourced<Size>,
    pub(super) off_centre_fine: Sourced<Size>,
    pub(super) clean_up: Sourced<Size>,
    pub(super) back_face: Sourced<Size>,
    pub(super) stroke_reserve: Sourced<Size>,
}

/// A value and where it comes from.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Sourced<T> {
    pub(super) value: T,
    // Asked for, so that nothing stands without one; no code reads it.
    #[serde(rename = "source")]
    _source: Text,
}

/// What a pattern means and asks for.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PatternRule {
    /// The pattern.
    pub pattern: Pattern,
    /// The method it holds for; both where absent.
    pub method: Option<Method>,
    /// In plain words, one sentence.
    #[serde(deserialize_with = "text")]
    pub meaning: String,
    /// What to do, one sentence.
    #[serde(deserialize_with = "text")]
    pub advice: String,
    /// Why, one sentence.
    #[serde(deserialize_with = "text")]
    pub why: String,
    /// In the order to look.
    pub look_at_first: Vec<String>,
    /// Where the row comes from, or `common practice`.
    #[serde(deserialize_with = "text")]
    pub source: String,
}

/// A check that asks for something else than its pattern does. Kebab-case names in the rules file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Situation {
    /// The jaws differ by more than jaws bored together do.
    JawsDisagree,
    /// The picture contradicts the direction of the tip.
    TipContradicted,
    /// No reading is certain enough.
    LowConfidence,
    /// Fewer than half of the jaws could be judged.
    TooFewJaws,
    /// The needed taper would be below zero.
    NegativeTaper,
    /// No photo was given.
    NoPhotos,
    /// The earlier checks of this jaw set exclude what this one shows.
    HistoryContradicts,
    /// The picture shows the other method than was said.
    MethodContradicted,
    /// Nobody said which end is the tip, and the picture does not settle it.
    TipUnsaid,
}

impl Situation {
    /// These need a row in every file.
    pub(super) const SINCE_THE_FIRST: [Self; 6] = [
        Self::JawsDisagree,
        Self::TipContradicted,
        Self::LowConfidence,
        Self::TooFewJaws,
        Self::NegativeTaper,
        Self::NoPhotos,
    ];
    /// These have the built-in row where a file has none, so that a shop's older file stands.
    pub(super) const YOUNGER: [Self; 3] = [
        Self::HistoryContradicts,
        Self::MethodContradicted,
        Self::TipUnsaid,
    ];
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SituationRule {
    pub(super) situation: Situation,
    pub(super) advice: Text,
    pub(super) why: Text,
    pub(super) look_at_first: Vec<String>,
    #[serde(rename = "source")]
    _source: Text,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RefusalRule {
    pub(super) reason: Reason,
    pub(super) advice: Text,
    #[serde(rename = "source")]
    _source: Text,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct CautionRule {
    pub(super) text: Text,
    #[serde(rename = "source")]
    _source: Text,
}

/// A length with its unit, above zero.
pub(super) struct Size(pub(super) PerSide);

impl<'de> Deserialize<'de> for Size {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Length::parse_positive(&text)
            .map(|l| Self(PerSide::of(l)))
            .map_err(D::Error::custom)
    }
}

/// A number above 0 and below 1.
pub(super) struct Share(pub(super) f64);

impl<'de> Deserialize<'de> for Share {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        between(deserializer, 0.0, 1.0).map(Self)
    }
}

/// A standard deviation of a logarithm.
pub(super) struct Spread(pub(super) f64);

impl<'de> Deserialize<'de> for Spread {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        between(deserializer, 0.0, WIDEST_LOG_SD).map(Self)
    }
}

fn between<'de, D: Deserializer<'de>>(from: D, low: f64, high: f64) -> Result<f64, D::Error> {
    let value = f64::deserialize(from)?;
    // What is no number is neither.
    if value > low && value < high {
        return Ok(value);
    }
    Err(D::Error::custom(format!(
        "{value} must be above {low} and below {high}"
    )))
}

/// Words; not empty.
pub(super) struct Text(pub(super) String);

impl<'de> Deserialize<'de> for Text {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        text(deserializer).map(Self)
    }
}

fn text<'de, D: Deserializer<'de>>(deserializer: D) -> Result<String, D::Error> {
    let text = String::deserialize(deserializer)?;
    if text.trim().is_empty() {
        return Err(D::Error::custom("this text is empty"));
    }
    Ok(text)
}
