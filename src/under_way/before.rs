//! What is asked before a check: the first taper of a set, and whether one that is mounted again must be bored.

use super::Fields;
use super::form::{Form, Refused};
use crate::taper::records::Mounting;
use crate::taper::recut::Present;
use crate::taper::start::{Given, GivenError};
use crate::units::{Length, PerSide};

impl From<GivenError> for Refused {
    fn from(error: GivenError) -> Self {
        Self(error.to_string())
    }
}

/// What a form says for a first taper.
pub(crate) fn given(fields: &Fields) -> Result<Given, Refused> {
    let mut form = Form::of(fields);
    let size = Length::parse_positive;
    let given = Given {
        feeler: form.amount("--feeler", size)?,
        open_end: form.choice("--open-end")?,
        depth: form.amount("--depth", size)?,
        face_length: form.amount("--face-length", size)?,
        taper: form.amount("--taper", PerSide::parse_taper)?,
        too_thick: form.amount("--too-thick", size)?,
        boring_pressure: form.amount("--boring-pressure", str::parse)?,
        production_pressure: form.amount("--production-pressure", str::parse)?,
        rated_force: form.amount("--rated-force", str::parse)?,
        rated_pressure: form.amount("--rated-pressure", str::parse)?,
        jaw_count: form.count("--jaw-count")?,
        material: form.choice("--material")?,
        thickness: form.amount("--thickness", size)?,
        jaw_height: form.amount("--jaw-height", size)?,
        width: form.amount("--width", size)?,
        tip_below_top: form.amount("--tip-below-top", Length::parse_not_negative)?,
    };
    form.end()?;
    Ok(given)
}

/// What a form says of a set that is mounted again, as it is now.
pub(crate) fn present(form: &mut Form) -> Result<Present, Refused> {
    let distance = Length::parse_not_negative;
    Ok(Present {
        mounting: mounting(form, "")?,
        production_pressure: form.amount("--production-pressure", str::parse)?,
        worn: form.said("--worn")?,
        drifting: form.said("--drifting")?,
        run_out: form.amount("--run-out", distance)?,
        damage: form.amount("--damage", distance)?.into_iter().collect(),
        back_face_run_out: form.amount("--back-face-run-out", distance)?,
        workpiece_diameter: form.amount("--workpiece-diameter", Length::parse_positive)?,
        next_taper: form.amount("--next-taper", PerSide::parse_taper)?,
        stock: form.amount("--stock", distance)?,
        stroke_left: form.amount("--stroke-left", distance)?,
    })
}

/// Where the set sits, or sat.
pub(crate) fn mounting(form: &mut Form, when: &str) -> Result<Mounting, Refused> {
    let mut line = |what: &str| form.line(&format!("--{when}{what}"));
    Ok(Mounting {
        machine: line("machine")?,
        chuck: line("chuck")?,
        master_jaws: line("master-jaws")?,
        serration: line("serration")?,
    })
}
