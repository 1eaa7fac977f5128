//! From the taper that a pressure step asks for, as finished checks have shown it.

use super::{Found, Pressures, StartError, StartFrom, StartingTaper};
use crate::taper::rules::Rules;
use crate::units::{PerSide, Pressure};

/// Taper per pressure step, with its interval. Jaws spring in proportion to the pressure.
#[derive(Debug, Clone, PartialEq)]
pub struct TaperPerStep {
    /// Taper needed for `step`.
    pub taper: PerSide,
    /// Lower end of its interval.
    pub low: PerSide,
    /// Upper end of its interval.
    pub high: PerSide,
    /// How much production pressure is above boring pressure for that taper.
    pub step: Pressure,
    /// The other set it was learned on; `None` for the set itself.
    pub sister: Option<String>,
}

/// `needed = compliance × (production pressure − boring pressure)`.
///
/// # Errors
/// Where the boring pressure is above production pressure, the step is zero, or the compliance is below
/// zero or outside its own interval.
pub fn from_compliance(
    compliance: &TaperPerStep,
    pressures: &Pressures,
    rules: &Rules,
) -> Result<StartingTaper, StartError> {
    sound(compliance)?;
    let rise = pressures.rise()?;
    let steps = rise
        .ratio(compliance.step)
        .ok_or(StartError::NoPressure("the compliance's pressure step"))?;
    let scaled = |taper: PerSide| {
        PerSide::from_computed_micrometres(taper.micrometres() * steps).ok_or(StartError::NoNumber)
    };
    let needed = scaled(compliance.taper)?;
    let found = Found {
        from: StartFrom::Compliance,
        needed,
        low: scaled(compliance.low)?,
        high: Some(scaled(compliance.high)?),
        arithmetic: arithmetic(compliance, pressures, rise, needed),
        assumed: assumed(compliance),
    };
    Ok(found.finish(rules))
}

fn sound(compliance: &TaperPerStep) -> Result<(), StartError> {
    let TaperPerStep {
        taper, low, high, ..
    } = *compliance;
    if PerSide::ZERO <= low && low <= taper && taper <= high {
        return Ok(());
    }
    Err(StartError::NoCompliance {
        value: taper.thou(),
        low: low.thou(),
        high: high.thou(),
    })
}

fn arithmetic(
    compliance: &TaperPerStep,
    pressures: &Pressures,
    rise: Pressure,
    needed: PerSide,
) -> Vec<String> {
    vec![
        format!(
            "Production pressure {} less boring pressure {} is {rise}.",
            pressures.production, pressures.boring
        ),
        format!(
            "A taper of {} for every {}, over {rise}, is {}.",
            compliance.taper.as_taper(),
            compliance.step,
            needed.as_taper()
        ),
    ]
}

fn assumed(compliance: &TaperPerStep) -> Vec<String> {
    let linear = "The jaws spring in proportion to the pressure, and chuck, jaws, grip and the depth \
                  of the bore are as they were when this was learned.";
    let mut assumed = vec![linear.to_owned()];
    if let Some(sister) = &compliance.sister {
        assumed.push(format!(
            "This set springs as “{sister}” does: same material, height, section and chuck."
        ));
    }
    assumed
}
