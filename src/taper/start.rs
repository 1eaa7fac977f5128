//! The first taper, before any check: from a feeler gauge, from a compliance learned earlier, or roughly
//! from the jaw's geometry. Each says what it assumed; a contact check follows in every case.
//!
//! | from | says |
//! | --- | --- |
//! | [`feeler`] | the gap under the feeler, carried to the open end, is the taper error |
//! | [`compliance`] | taper per pressure step times (production − boring pressure); its interval scales alike |
//! | [`geometry`] | a beam on a spring, rough; what it assumes and how far that holds is in its page |
//!
//! [`given`] chooses among them by what was typed, at the command line or in a form.

mod beam;
mod compliance;
mod error;
mod feeler;
mod geometry;
mod given;
mod material;

use crate::taper::rules::Rules;
use crate::units::{PerSide, Pressure};

pub use beam::{Cantilever, Deflection, shear_coefficient};
pub use compliance::{TaperPerStep, from_compliance};
pub use error::StartError;
pub use feeler::{FeelerReading, FeltAt, from_feeler};
pub use geometry::{ChuckRating, JawGeometry, RootSpring, from_geometry};
pub(crate) use given::{Given, GivenError, USUAL_JAWS};
pub use material::{Material, Moduli};

/// What a starting taper rests on. Kebab-case names in JSON.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum StartFrom {
    /// A feeler gauge under full clamp.
    Feeler,
    /// Taper per pressure step, from finished checks.
    Compliance,
    /// A beam on a spring: rough.
    Geometry,
}

/// The two pressures whose difference springs the jaws open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pressures {
    /// Chuck pressure while boring.
    pub boring: Pressure,
    /// Chuck pressure in production.
    pub production: Pressure,
}

/// A taper to cut first. Every taper is ≥ 0: more material at the tip.
#[derive(Debug, Clone, PartialEq)]
pub struct StartingTaper {
    /// What it rests on.
    pub from: StartFrom,
    /// To cut: `needed`, rounded to the shop's increment.
    pub taper: PerSide,
    /// Before rounding.
    pub needed: PerSide,
    /// The least that the stated uncertainties allow.
    pub low: PerSide,
    /// The most; `None` where nothing bounds it.
    pub high: Option<PerSide>,
    /// Each step of the sum, in words.
    pub arithmetic: Vec<String>,
    /// What had to be assumed.
    pub assumed: Vec<String>,
    /// In order.
    pub what_to_do: Vec<String>,
    /// Safety cautions, always present.
    pub cautions: Vec<String>,
    /// The increment that `taper` was rounded to.
    pub increment: PerSide,
}

impl StartingTaper {
    /// Whether it is no more than an order of magnitude with a direction.
    pub fn is_rough(&self) -> bool {
        self.from == StartFrom::Geometry
    }
}

impl Pressures {
    /// By how much production is above boring.
    fn rise(&self) -> Result<Pressure, StartError> {
        let (boring, production) = (self.boring, self.production);
        production
            .rise_from(boring)
            .ok_or(StartError::BoredHarder { boring, production })
    }
}

/// What each way of starting finds.
struct Found {
    from: StartFrom,
    needed: PerSide,
    low: PerSide,
    high: Option<PerSide>,
    arithmetic: Vec<String>,
    assumed: Vec<String>,
}

impl Found {
    /// Rounded, and with what to do next.
    fn finish(self, rules: &Rules) -> StartingTaper {
        let increment = rules.estimate().increment;
        let taper = self.needed.rounded_taper(increment);
        StartingTaper {
            from: self.from,
            taper,
            // A jaw can't be cut with less than none; the range ends there, too.
            needed: self.needed.max(PerSide::ZERO),
            low: self.low.max(PerSide::ZERO),
            high: self.high.map(|h| h.max(PerSide::ZERO)),
            what_to_do: what_to_do(self.from, taper),
            arithmetic: self.arithmetic,
            assumed: self.assumed,
            cautions: rules.cautions().to_vec(),
            increment,
        }
    }
}

fn what_to_do(from: StartFrom, taper: PerSide) -> Vec<String> {
    let cut = if taper == PerSide::ZERO {
        "Bore the jaws straight, without taper.".to_owned()
    } else {
        "Bore this taper into all jaws in one setting, with more material left at the tip."
            .to_owned()
    };
    let mut steps = vec![cut];
    if from == StartFrom::Geometry {
        steps.push(
            "Leave stock for a second cut: this estimate is rough and its range wide.".to_owned(),
        );
    }
    steps.push("Clamp a round, parallel test piece at production pressure.".to_owned());
    steps.push(
        "Make a contact check, photograph every jaw, and let the photos say what to change."
            .to_owned(),
    );
    steps
}

#[cfg(test)]
mod tests;
