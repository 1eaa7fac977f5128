//! What is given for a first taper, wherever it was typed, and which way it is found by.
//!
//! A feeler counts before the chuck's rating, and that before what finished checks have taught. What is given counts before what
//! the jaw set says. Whatever is missing is named as the command line names it.

use super::{
    ChuckRating, FeelerReading, FeltAt, JawGeometry, Material, Pressures, StartError,
    StartingTaper, TaperPerStep, from_compliance, from_feeler, from_geometry,
};
use crate::taper::learning::{ComplianceSource, Lesson, known_compliance};
use crate::taper::records::{JawSet, Timeline};
use crate::taper::rules::Rules;
use crate::units::{Force, Length, PerSide, Pressure};

/// Jaws of a chuck, where nobody says how many.
pub(crate) const USUAL_JAWS: u8 = 3;

/// Everything may be missing.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Given {
    pub(crate) feeler: Option<Length>,
    pub(crate) depth: Option<Length>,
    pub(crate) too_thick: Option<Length>,
    pub(crate) open_end: Option<FeltAt>,
    /// Cut when it was felt.
    pub(crate) taper: Option<PerSide>,
    pub(crate) face_length: Option<Length>,
    pub(crate) boring_pressure: Option<Pressure>,
    pub(crate) production_pressure: Option<Pressure>,
    pub(crate) rated_force: Option<Force>,
    pub(crate) rated_pressure: Option<Pressure>,
    pub(crate) jaw_count: Option<u8>,
    pub(crate) material: Option<Material>,
    pub(crate) jaw_height: Option<Length>,
    pub(crate) width: Option<Length>,
    pub(crate) thickness: Option<Length>,
    pub(crate) tip_below_top: Option<Length>,
}

/// Why what is given says no taper.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub(crate) enum GivenError {
    #[error("{0} is not known; give it, or note it with the jaw set")]
    NotNoted(&'static str),
    #[error("{0} is not known; give it")]
    NotGiven(&'static str),
    #[error("{0} says nothing by itself; give {1}, too")]
    Alone(&'static str, &'static str),
    #[error("say at which end the feeler went in: --open-end tip or base")]
    WhichEnd,
    #[error(
        "a feeler that goes in at the base says how much taper is too much; say with --taper how much is \
         cut now"
    )]
    HowMuchIsCut,
    #[error(
        "there is nothing to start from; give a feeler reading (--feeler) or the chuck's rating \
         (--rated-force){0}"
    )]
    Nothing(&'static str),
    #[error(
        "no finished check at known pressures is filed yet, neither of {0} nor of a set of its \
         material and height; give a feeler reading (--feeler) or the chuck's rating (--rated-force)"
    )]
    NoFinishedCheck(String),
    #[error("the pressures are beyond what finished checks can say")]
    BeyondChecks,
    #[error(transparent)]
    Start(#[from] StartError),
}

impl Given {
    /// From the feeler or the rating; `None` where neither is given.
    pub(crate) fn start(
        &self,
        set: Option<&JawSet>,
        rules: &Rules,
    ) -> Result<Option<StartingTaper>, GivenError> {
        self.whole()?;
        if let Some(thickness) = self.feeler {
            let felt = self.felt(thickness, set)?;
            return Ok(Some(from_feeler(&felt, rules)?));
        }
        let Some(force) = self.rated_force else {
            return Ok(None);
        };
        let (jaw, rating) = (self.jaw(set)?, self.rating(force)?);
        let pressures = self.pressures(set)?;
        Ok(Some(from_geometry(&jaw, &rating, &pressures, None, rules)?))
    }

    /// From the set's finished checks, else those of sets like it.
    pub(crate) fn by_history(
        &self,
        timeline: &Timeline,
        others: &[Lesson],
        rules: &Rules,
    ) -> Result<StartingTaper, GivenError> {
        let set = &timeline.jaw_set;
        let pressures = self.pressures(Some(set))?;
        let step = pressures.rise()?;
        let learned = known_compliance(timeline, others, rules.estimate())
            .ok_or_else(|| GivenError::NoFinishedCheck(set.name.clone()))?;
        let foretold = learned
            .predict(pressures.production, pressures.boring)
            .ok_or(GivenError::BeyondChecks)?;
        let sisters = learned.source() == ComplianceSource::Sisters;
        let per_step = TaperPerStep {
            taper: foretold.median,
            low: foretold.low,
            high: foretold.high,
            step,
            sister: sisters.then(|| "sets of the same material and height".to_owned()),
        };
        Ok(from_compliance(&per_step, &pressures, rules)?)
    }

    /// What would be passed over in silence was meant for something.
    fn whole(&self) -> Result<(), GivenError> {
        let feeler = ("--feeler", self.feeler.is_some());
        let rating = ("--rated-force", self.rated_force.is_some());
        let parts = [
            ("--depth", self.depth.is_some(), feeler),
            ("--too-thick", self.too_thick.is_some(), feeler),
            ("--open-end", self.open_end.is_some(), feeler),
            ("--rated-pressure", self.rated_pressure.is_some(), rating),
        ];
        let lost = parts.iter().find(|(_, given, of)| *given && !of.1);
        lost.map_or(Ok(()), |(option, _, of)| {
            Err(GivenError::Alone(option, of.0))
        })
    }

    fn felt(&self, thickness: Length, set: Option<&JawSet>) -> Result<FeelerReading, GivenError> {
        let open_end = self.open_end.ok_or(GivenError::WhichEnd)?;
        if open_end == FeltAt::Base && self.taper.is_none() {
            return Err(GivenError::HowMuchIsCut);
        }
        Ok(FeelerReading {
            thickness,
            depth: self.depth,
            face_length: self.face_length(set)?,
            too_thick: self.too_thick,
            open_end,
            present: self.taper.unwrap_or(PerSide::ZERO),
        })
    }

    fn face_length(&self, set: Option<&JawSet>) -> Result<Length, GivenError> {
        known(self.face_length, set, |s| s.face_length, "--face-length")
    }

    fn pressures(&self, set: Option<&JawSet>) -> Result<Pressures, GivenError> {
        let (boring, production) = (self.boring_pressure, self.production_pressure);
        Ok(Pressures {
            boring: known(boring, set, |s| s.boring_pressure, "--boring-pressure")?,
            production: known(
                production,
                set,
                |s| s.production_pressure,
                "--production-pressure",
            )?,
        })
    }

    fn jaw(&self, set: Option<&JawSet>) -> Result<JawGeometry, GivenError> {
        let in_words = |s: &JawSet| s.material.as_deref().and_then(Material::from_words);
        Ok(JawGeometry {
            material: known(self.material, set, in_words, "--material")?,
            height: known(self.jaw_height, set, |s| s.jaw_height, "--jaw-height")?,
            face_length: self.face_length(set)?,
            tip_below_top: self.tip_below_top.unwrap_or(Length::ZERO),
            width: known(self.width, set, |s| s.face_width, "--width")?,
            thickness: given(self.thickness, "--thickness")?,
        })
    }

    fn rating(&self, total_force: Force) -> Result<ChuckRating, GivenError> {
        Ok(ChuckRating {
            total_force,
            at: given(self.rated_pressure, "--rated-pressure")?,
            jaws: self.jaw_count.unwrap_or(USUAL_JAWS),
        })
    }
}

fn given<T>(value: Option<T>, option: &'static str) -> Result<T, GivenError> {
    value.ok_or(GivenError::NotGiven(option))
}

/// As given, else as the set says.
fn known<T>(
    value: Option<T>,
    set: Option<&JawSet>,
    of_set: impl Fn(&JawSet) -> Option<T>,
    option: &'static str,
) -> Result<T, GivenError> {
    match set {
        None => given(value, option),
        Some(set) => value
            .or_else(|| of_set(set))
            .ok_or(GivenError::NotNoted(option)),
    }
}
