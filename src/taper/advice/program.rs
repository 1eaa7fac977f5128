//! How to program the cut, boring from the tip to the base on a diameter-programmed lathe.

use super::{Grip, ProgramChange};
use crate::units::{Length, PerSide};

/// To get taper `t` on a face of length `L` from a cut that starts a clearance `c` off the tip, program
/// `t·(L + c)/L`; at the tip the diameter is then off by `2t·c/L` unless the start diameter is moved.
/// Outside grip the bore grows towards the base, inside grip the turned diameter shrinks.
/// (Similar triangles; on the diameter twice per side.)
///
/// `None` where the length is not above zero, the clearance or the taper below zero, or the result is
/// beyond all range.
pub(super) fn program(
    taper: PerSide,
    length: Length,
    clearance: Length,
    grip: Grip,
) -> Option<ProgramChange> {
    let t = taper.length();
    if length <= Length::ZERO || clearance < Length::ZERO || t < Length::ZERO {
        return None;
    }
    let programmed = PerSide::of(t.scaled(length + clearance, length)?);
    let offset = PerSide::of(t.scaled(clearance, length)?);
    let signed = |per_side: PerSide| match grip {
        Grip::Outside => per_side.on_diameter(),
        Grip::Inside => -per_side.on_diameter(),
    };
    Some(ProgramChange {
        programmed,
        diameter_change: signed(programmed),
        start_offset: signed(offset),
    })
}

impl ProgramChange {
    /// One or two plain sentences for the person who writes the program.
    pub fn in_words(&self) -> String {
        let from_start = self.diameter_change.as_change();
        if self.start_offset == crate::units::OnDiameter::default() {
            return format!("Boring from the tip itself to the base: {from_start}.");
        }
        format!(
            "Boring from the start of the cut to the base: {from_start}. Move the start diameter by {} \
             so that the tip keeps its size.",
            (-self.start_offset).as_change()
        )
    }
}
