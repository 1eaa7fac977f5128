//! What is said about a check: fields of a form or of JSON → checked settings.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::fault::Fault;
use crate::people::opinion::Person;
use crate::reading::face::TipDirection;
use crate::reading::method::Method;
use crate::taper::advice::{Grip, Setup};
use crate::taper::limits::{LARGEST_TAPER, LONGEST_FACE, SHORTEST_FACE};
use crate::taper::records::{Id, JawSet};
use crate::text::outside::echo;
use crate::units::{Length, PerSide, Pressure};

/// Fields by name; an empty one is cleared, one that is absent stays as it is.
pub(crate) type Fields = BTreeMap<String, String>;

/// Longest free text.
const LONGEST_TEXT: usize = 2000;

/// What is said about a check.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub(crate) struct Settings {
    /// `None`: a quick check, which is not filed.
    pub(crate) jaw_set: Option<Id>,
    pub(crate) method: Method,
    /// Of a quick check; a jaw set has its own.
    pub(crate) grip: Grip,
    pub(crate) tip: Option<TipDirection>,
    /// `None`: as the set's last cut.
    pub(crate) taper: Option<PerSide>,
    pub(crate) length: Option<Length>,
    pub(crate) clearance: Option<Length>,
    pub(crate) compound: Option<String>,
    pub(crate) pressure: Option<Pressure>,
    /// Who reads the jaws.
    pub(crate) by: Option<Person>,
    /// Calls before the reading is shown, whatever the shop's rule.
    #[serde(default)]
    pub(crate) call_first: bool,
}

impl Settings {
    /// With what the fields say; whatever is wrong with one leaves all as it was.
    pub(crate) fn with(&self, fields: &Fields) -> Result<Self, Fault> {
        let mut new = self.clone();
        for (name, text) in fields {
            let text = text.trim();
            match name.as_str() {
                "jaw_set" => new.jaw_set = optional(text, |t| word("jaw_set", t.parse().ok()))?,
                "method" => new.method = word("method", method(text))?,
                "grip" => new.grip = word("grip", grip(text))?,
                "tip" => new.tip = optional(text, |t| word("tip", tip(t)))?,
                "taper" => new.taper = optional(text, |t| taper(t, fields.get("taper_unit")))?,
                "length" => new.length = optional(text, length)?,
                "clearance" => new.clearance = optional(text, clearance)?,
                "compound" => new.compound = optional(text, free_text)?,
                "pressure" => new.pressure = optional(text, |t| t.parse().map_err(unfit))?,
                "by" => new.by = optional(text, |t| Person::parse(t).map_err(unfit))?,
                "call_first" => new.call_first = word("call_first", yes(text))?,
                // Of the form itself.
                "taper_unit" => {}
                other => return Err(unknown(other)),
            }
        }
        Ok(new)
    }

    /// What the next check begins with, as fields: the set's own taper is the archive's to know.
    pub(crate) fn to_remember(&self) -> String {
        let taper = self.taper.filter(|_| self.jaw_set.is_none());
        let fields = [
            Some(format!("method={}", word_of(self.method))),
            Some(format!("grip={}", word_of(self.grip))),
            self.tip.map(|tip| format!("tip={}", word_of(tip))),
            taper.map(|taper| format!("taper={}", taper.length().exact())),
            self.by
                .as_ref()
                .map(|by| format!("by={}", ascii(&by.to_string()))),
            self.call_first.then(|| "call_first=yes".to_owned()),
        ];
        fields.into_iter().flatten().collect::<Vec<_>>().join("&")
    }

    /// As a form takes them: settings that came in a file may say anything.
    pub(crate) fn checked(self) -> Result<Self, Fault> {
        let again = |value: Option<Length>, of: fn(&str) -> Result<Length, Fault>| {
            value.map(|v| of(&v.exact())).transpose()
        };
        Ok(Self {
            taper: self
                .taper
                .map(|t| taper(&t.length().exact(), None))
                .transpose()?,
            length: again(self.length, length)?,
            clearance: again(self.clearance, clearance)?,
            compound: self.compound.as_deref().map(free_text).transpose()?,
            ..self
        })
    }

    pub(crate) fn setup(&self, set: Option<&JawSet>) -> Setup {
        Setup {
            grip: set.map_or(self.grip, |s| s.grip),
            taper: self.taper,
            length: self.length.or(set.and_then(|s| s.face_length)),
            clearance: self.clearance,
        }
    }
}

/// Of JSON: one object of texts and nulls.
pub(crate) fn of_json(value: &serde_json::Value) -> Result<Fields, Fault> {
    let unfit =
        || Fault::Unfit("send one JSON object whose values are texts, true, false or null".into());
    let object = value.as_object().ok_or_else(unfit)?;
    let text = |(name, value): (&String, &serde_json::Value)| match value {
        serde_json::Value::Null => Ok((name.clone(), String::new())),
        serde_json::Value::String(text) => Ok((name.clone(), text.clone())),
        serde_json::Value::Bool(said) => Ok((name.clone(), said.to_string())),
        _ => Err(unfit()),
    };
    object.iter().map(text).collect()
}

/// As an address writes it (RFC 3986, section 2.1): cookies hold nothing but ASCII.
fn ascii(text: &str) -> String {
    let byte = |byte: u8| match byte {
        b if b.is_ascii_alphanumeric() => char::from(b).to_string(),
        b => format!("%{b:02X}"),
    };
    text.bytes().map(byte).collect()
}

/// As in JSON.
pub(crate) fn word_of(choice: impl Serialize) -> String {
    let value = serde_json::to_value(choice).unwrap_or_default();
    value.as_str().unwrap_or_default().to_owned()
}

fn optional<T>(text: &str, of: impl Fn(&str) -> Result<T, Fault>) -> Result<Option<T>, Fault> {
    if text.is_empty() {
        Ok(None)
    } else {
        of(text).map(Some)
    }
}

fn word<T>(field: &str, value: Option<T>) -> Result<T, Fault> {
    value.ok_or_else(|| {
        Fault::Unfit(format!(
            "“{field}” holds something that was not among the choices; choose again"
        ))
    })
}

pub(crate) fn unknown(field: &str) -> Fault {
    Fault::Unfit(format!("“{}” is no field here; leave it out", echo(field)))
}

fn unfit(error: impl std::fmt::Display) -> Fault {
    Fault::Unfit(error.to_string())
}

/// As a form or as JSON says it; nothing is no.
fn yes(text: &str) -> Option<bool> {
    match text {
        "yes" | "true" => Some(true),
        "" | "no" | "false" => Some(false),
        _ => None,
    }
}

fn method(text: &str) -> Option<Method> {
    serde_json::from_value(text.into()).ok()
}

fn grip(text: &str) -> Option<Grip> {
    serde_json::from_value(text.into()).ok()
}

pub(crate) fn tip(text: &str) -> Option<TipDirection> {
    serde_json::from_value(text.into()).ok()
}

/// An amount with the unit that was chosen beside it; one with a unit of its own is taken as it was typed.
pub(super) fn with_unit(text: &str, unit: Option<&str>) -> String {
    let bare = text.ends_with(|c: char| c.is_ascii_digit() || c == '.');
    let unit = unit.filter(|_| bare).unwrap_or_default();
    format!("{text} {unit}").trim().to_owned()
}

/// A number whose unit was chosen beside it, or one with its unit.
pub(super) fn taper(text: &str, unit: Option<&String>) -> Result<PerSide, Fault> {
    let text = with_unit(text, unit.map(String::as_str));
    let taper = PerSide::parse_taper(&text).map_err(unfit)?;
    if taper > LARGEST_TAPER {
        return Err(unfit(
            "the taper is more than 0.05 in per side, more than any jaw is cut to; check its unit",
        ));
    }
    Ok(taper)
}

fn length(text: &str) -> Result<Length, Fault> {
    let length = Length::parse_positive(text).map_err(unfit)?;
    if (SHORTEST_FACE..=LONGEST_FACE).contains(&length) {
        Ok(length)
    } else {
        Err(unfit(
            "the face's length from tip to base is 2 mm to 500 mm; check its unit",
        ))
    }
}

fn clearance(text: &str) -> Result<Length, Fault> {
    let clearance = Length::parse_not_negative(text).map_err(unfit)?;
    if clearance <= LONGEST_FACE {
        Ok(clearance)
    } else {
        Err(unfit(
            "the cut starts at most 500 mm off the tip; check the unit",
        ))
    }
}

/// On one line, without control characters.
pub(crate) fn free_text(text: &str) -> Result<String, Fault> {
    let line: String = text
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    let line = line.trim();
    if line.is_empty() || line.chars().count() > LONGEST_TEXT {
        return Err(unfit(format!(
            "write one to {LONGEST_TEXT} characters there"
        )));
    }
    Ok(line.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fields(all: &[(&str, &str)]) -> Fields {
        all.iter()
            .map(|(n, v)| ((*n).to_owned(), (*v).to_owned()))
            .collect()
    }

    #[test]
    fn fields_change_what_they_name_alone() {
        let before = Settings {
            tip: Some(TipDirection::Left),
            ..Settings::default()
        };
        let given = fields(&[
            ("taper", "3"),
            ("taper_unit", "thou"),
            ("method", "transfer"),
            ("compound", " blue\n"),
        ]);
        let after = before.with(&given).unwrap();
        assert_eq!(after.taper, Some(PerSide::parse_taper("0.003in").unwrap()));
        assert_eq!(
            (after.method, after.tip),
            (Method::Transfer, Some(TipDirection::Left))
        );
        assert_eq!(after.compound.as_deref(), Some("blue"));
        assert_eq!(after.with(&fields(&[("tip", "")])).unwrap().tip, None);
    }

    #[test]
    fn what_does_not_fit_is_refused() {
        for (name, text) in [
            ("taper", "3"),
            ("taper", "-1thou"),
            ("taper", "3in"),
            ("tip", "north"),
            ("method", ""),
            ("jaw_set", "../etc"),
            ("length", "1mm"),
            ("clearance", "1"),
            ("pressure", "5"),
            ("colour", "blue"),
        ] {
            let refused = Settings::default().with(&fields(&[(name, text)]));
            assert!(matches!(refused, Err(Fault::Unfit(_))), "{name}={text}");
        }
    }
}
