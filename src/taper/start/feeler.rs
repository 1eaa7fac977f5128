//! From a feeler gauge at the open end under full clamp.
//!
//! The gap falls evenly from the open end to nothing at the other end. Where a feeler of thickness `t`
//! stops, at depth `d` of the face's length `L`, the gap is `t`; at the open end it is `g = t·L/(L − d)`.
//! That gap is the taper error, per side: at the tip it is missing taper, at the base taper too many.

use super::{Found, StartError, StartFrom, StartingTaper};
use crate::taper::rules::Rules;
use crate::units::{Length, PerSide};

/// How far a depth may be misread, 0.05 in: the feeler's end is round and the face's edge curved.
/// An assumption.
const DEPTH_READ: Length = Length::from_tenths(500);

/// The end of the face at which a feeler went in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "program", derive(clap::ValueEnum))]
#[serde(rename_all = "kebab-case")]
pub enum FeltAt {
    /// The free end, where the workpiece goes in: too little taper.
    Tip,
    /// The end at the chuck: too much.
    Base,
}

/// What a feeler gauge said, under full clamp at production pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FeelerReading {
    /// Of the thickest feeler that went in.
    pub thickness: Length,
    /// How far it went in, from the open end; `None` where that was not noted.
    pub depth: Option<Length>,
    /// Of the gripping face, tip to base.
    pub face_length: Length,
    /// The thinnest feeler that did not go in at all.
    pub too_thick: Option<Length>,
    /// Where it went in.
    pub open_end: FeltAt,
    /// The taper that was cut when it was felt; zero for jaws that were bored straight.
    pub present: PerSide,
}

/// The gap at the open end: best, least and most.
struct Gap {
    best: Length,
    low: Length,
    high: Option<Length>,
}

/// The taper that a feeler's gap asks for.
///
/// # Errors
/// Where a length is not above zero, the feeler went in along the whole face or nearly, the two feelers
/// contradict each other or the wedge, or less than no taper would be needed.
pub fn from_feeler(reading: &FeelerReading, rules: &Rules) -> Result<StartingTaper, StartError> {
    sizes(reading)?;
    let gap = gap(reading)?;
    let with = |gap: Length| match reading.open_end {
        FeltAt::Tip => reading.present + PerSide::of(gap),
        FeltAt::Base => reading.present - PerSide::of(gap),
    };
    let (best, least) = (with(gap.best), with(gap.low));
    if best < PerSide::ZERO {
        let (open, present) = (PerSide::of(gap.best), reading.present);
        return Err(StartError::BelowZero { open, present });
    }
    let (low, high) = match reading.open_end {
        FeltAt::Tip => (least, gap.high.map(with)),
        FeltAt::Base => (gap.high.map_or(PerSide::ZERO, with), Some(least)),
    };
    let found = Found {
        from: StartFrom::Feeler,
        needed: best,
        low,
        high,
        arithmetic: arithmetic(reading, gap.best, best),
        assumed: assumed(reading),
    };
    Ok(found.finish(rules))
}

fn sizes(reading: &FeelerReading) -> Result<(), StartError> {
    let positive = |what, length: Length| {
        let fault = StartError::NotPositive { what, length };
        (length > Length::ZERO).then_some(()).ok_or(fault)
    };
    positive("the feeler's thickness", reading.thickness)?;
    positive("the face's length", reading.face_length)?;
    if reading.depth.is_some_and(|d| d < Length::ZERO) {
        positive("the feeler's depth", reading.depth.unwrap_or_default())?;
    }
    let thickness = reading.thickness;
    match reading.too_thick {
        Some(too_thick) if too_thick <= thickness => Err(StartError::FeelersContradict {
            thickness,
            too_thick,
        }),
        _ => Ok(()),
    }
}

fn gap(reading: &FeelerReading) -> Result<Gap, StartError> {
    let (thickness, too_thick) = (reading.thickness, reading.too_thick);
    let Some(depth) = reading.depth else {
        return Ok(Gap {
            best: thickness,
            low: thickness,
            high: too_thick,
        });
    };
    let length = reading.face_length;
    if depth >= length {
        return Err(StartError::WentThrough { depth, length });
    }
    let too_deep = StartError::TooDeep { depth, length };
    let at = |depth| opening(thickness, depth, length);
    let low = at((depth - DEPTH_READ).max(Length::ZERO)).ok_or(StartError::NoNumber)?;
    let best = at(depth).ok_or(StartError::NoNumber)?;
    let most = (depth + DEPTH_READ < length)
        .then(|| at(depth + DEPTH_READ))
        .flatten();
    let high = [most, too_thick]
        .into_iter()
        .flatten()
        .min()
        .ok_or(too_deep)?;
    if low > high {
        let least = low;
        return Err(StartError::NoWedge {
            least,
            too_thick: high,
        });
    }
    Ok(Gap {
        best: best.min(high),
        low,
        high: Some(high),
    })
}

/// `t·L/(L − d)`.
fn opening(thickness: Length, depth: Length, length: Length) -> Option<Length> {
    thickness.scaled(length, length - depth)
}

fn arithmetic(reading: &FeelerReading, gap: Length, needed: PerSide) -> Vec<String> {
    let feeler = format!(
        "{:.4} in ({:.3} mm)",
        reading.thickness.inches(),
        reading.thickness.millimetres()
    );
    let first = match reading.depth {
        None => format!("A feeler of {feeler} went in: the gap at the open end is at least that."),
        Some(depth) => format!(
            "A feeler of {feeler} stopped {depth} in, on a face of {}: the gap there is the feeler's \
             thickness, and at the open end thickness × length / (length − depth) = {:.4} in ({:.3} mm).",
            reading.face_length,
            gap.inches(),
            gap.millimetres(),
        ),
    };
    let gap = PerSide::of(gap).as_taper();
    let present = reading.present.as_taper();
    let second = match reading.open_end {
        FeltAt::Tip => format!("Open at the tip: taper cut {present}, plus the gap {gap}"),
        FeltAt::Base => format!("Open at the base: taper cut {present}, less the gap {gap}"),
    };
    vec![first, format!("{second}, is {}.", needed.as_taper())]
}

fn assumed(reading: &FeelerReading) -> Vec<String> {
    let mut assumed = vec![
        "The gap was felt under full clamp at production pressure, and is alike at all jaws; where they \
         differ, seat them first."
            .to_owned(),
    ];
    if reading.depth.is_some() {
        assumed.push(format!(
            "The gap closes evenly, to nothing at the other end of the face; the depth was read to \
             within {DEPTH_READ}."
        ));
    } else {
        assumed.push(
            "The gap at the open end is the feeler's thickness (common practice). It is wider the \
             deeper the feeler went in; note the depth for a better value."
                .to_owned(),
        );
    }
    if reading.too_thick.is_none() {
        assumed.push(
            "Nothing was said of the next thicker feeler, which would bound the gap from above."
                .to_owned(),
        );
    }
    assumed
}
