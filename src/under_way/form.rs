//! A form about a jaw set before its check: each field by the parser of the command line's option.

use std::fmt::Display;

use serde::de::DeserializeOwned;

use super::Fields;
use super::settings::{free_text, with_unit};
use crate::text::outside::echo;

/// Why what was typed gives no answer; a field stands in it as its option, `--face-length`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Refused(pub(crate) String);

type Taken<T> = Result<Option<T>, Refused>;

const NO_CHOICE: &str = "that was not among the choices; choose again";

/// What is left of a form, whose fields are taken out of it by their options' names.
pub(crate) struct Form {
    left: Fields,
}

/// `face_length`, as forms name it.
pub(crate) fn field_of(option: &str) -> String {
    option.trim_start_matches('-').replace('-', "_")
}

impl Form {
    pub(crate) fn of(fields: &Fields) -> Self {
        let left = fields.clone();
        Self { left }
    }

    fn text(&mut self, option: &str) -> Option<String> {
        let text = self.left.remove(&field_of(option))?;
        Some(text.trim().to_owned()).filter(|text| !text.is_empty())
    }

    /// With its unit, which may stand in a field of its own.
    pub(crate) fn amount<T, E: Display>(
        &mut self,
        option: &str,
        parse: impl Fn(&str) -> Result<T, E>,
    ) -> Taken<T> {
        let unit = self.left.remove(&format!("{}_unit", field_of(option)));
        let Some(text) = self.text(option) else {
            return Ok(None);
        };
        let parsed = parse(&with_unit(&text, unit.as_deref()));
        parsed.map(Some).map_err(|error| at(option, error))
    }

    pub(crate) fn count(&mut self, option: &str) -> Taken<u8> {
        self.amount(option, |text| {
            text.parse()
                .map_err(|_| format!("“{}” is no count; write it in figures, as in 3", echo(text)))
        })
    }

    /// One of several, named as in JSON.
    pub(crate) fn choice<T: DeserializeOwned>(&mut self, option: &str) -> Taken<T> {
        let Some(text) = self.text(option) else {
            return Ok(None);
        };
        let chosen = serde_json::from_value(text.into()).map(Some);
        chosen.map_err(|_| at(option, NO_CHOICE))
    }

    /// Whether it was said.
    pub(crate) fn said(&mut self, option: &str) -> Result<bool, Refused> {
        match self.text(option).as_deref() {
            None => Ok(false),
            Some("yes") => Ok(true),
            Some(_) => Err(at(option, NO_CHOICE)),
        }
    }

    pub(crate) fn line(&mut self, option: &str) -> Taken<String> {
        let line = self.text(option).map(|text| free_text(&text));
        line.transpose().map_err(|fault| at(option, fault))
    }

    /// A field that is spelt otherwise was meant for something.
    pub(crate) fn end(self) -> Result<(), Refused> {
        let Some(other) = self.left.keys().next() else {
            return Ok(());
        };
        let fault = super::settings::unknown(other);
        Err(Refused(fault.to_string()))
    }
}

fn at(option: &str, why: impl Display) -> Refused {
    Refused(format!("{option}: {why}"))
}
