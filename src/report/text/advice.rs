//! The check's part of the report: what to do, how much, why, what to look at first.

use super::super::{CheckReport, ProofNote, words};
use super::digits;
use super::pen::{Ink, Pen};
use crate::taper::advice::{Action, Advice, ProgramChange, TaperChange};
use crate::units::PerSide;
use crate::units::amount::{Amount, likely_thou};

pub(super) fn write(pen: &mut Pen, report: &CheckReport) {
    pen.rule();
    let advice = &report.advice;
    pen.wrapped(words::headline(advice), ink(advice.action));
    pen.wrapped(&advice.what_to_do, Ink::Plain);
    if let Some(proof) = &report.proof {
        proof_line(pen, proof);
    }
    pen.blank();
    if let Some(change) = &advice.taper_change {
        taper_change(pen, change);
    }
    tapers(pen, report, advice);
    explain(pen, report, advice);
    cautions(pen, advice);
}

/// Right under the advice, since it says how far to trust it.
pub(in super::super) fn proof_line(pen: &mut Pen, proof: &ProofNote) {
    let ink = if proof.proven {
        Ink::Good
    } else {
        Ink::Caution
    };
    pen.wrapped(&proof.line, ink);
}

fn ink(action: Action) -> Ink {
    match action {
        Action::Leave => Ink::Good,
        Action::Recut => Ink::Cut,
        Action::FixFirst | Action::Settle | Action::Held => Ink::Caution,
        Action::Retake => Ink::Retake,
    }
}

/// The number itself, large; then both ways of stating it, always labelled.
fn taper_change(pen: &mut Pen, change: &TaperChange) {
    let per_side = Amount::from(change.change);
    let on_diameter = Amount::from(change.change.on_diameter());
    digits::beside(pen, [per_side.signed_thou(), on_diameter.signed_thou()]);
    both(pen, "Change per side:     ", per_side);
    both(pen, "Change on diameter:  ", on_diameter);
    let [side, diameter] = likely_thou(change.low, change.high);
    let interval = format!(
        "{}: {side} thou per side, {diameter} thou on the diameter",
        words::likely(change.interval)
    );
    pen.hanging("  ", &interval, Ink::Plain);
    pen.blank();
}

fn both(pen: &mut Pen, label: &str, amount: Amount) {
    let text = format!(
        "{label}{} thou  ({})",
        amount.signed_thou(),
        amount.signed_in_mm()
    );
    pen.hanging("  ", &text, Ink::Strong);
}

fn tapers(pen: &mut Pen, report: &CheckReport, advice: &Advice) {
    if let Some(present) = report.setup.taper {
        pen.hanging("  Taper now:   ", &taper(present), Ink::Plain);
    }
    if let Some(next) = advice.next_taper {
        pen.hanging("  Next taper:  ", &taper(next), Ink::Strong);
    }
    if let Some(program) = &advice.program {
        pen.hanging("  Program:     ", &programmed(program), Ink::Plain);
    }
    if report.setup.taper.is_some() || advice.next_taper.is_some() {
        pen.blank();
    }
}

fn taper(taper: PerSide) -> String {
    let (per_side, on_diameter) = (Amount::from(taper), Amount::from(taper.on_diameter()));
    format!(
        "{} per side, {} on the diameter",
        per_side.in_mm(),
        on_diameter.in_mm()
    )
}

/// Boring from the tip to the base.
pub(crate) fn programmed(program: &ProgramChange) -> String {
    let per_side = Amount::from(program.programmed).in_mm();
    let diameter = Amount::from(program.diameter_change);
    // Plus for outside grip, minus for inside.
    let way = if diameter.thou < 0.0 {
        "shrinks"
    } else {
        "grows"
    };
    let (thou, rest) = (diameter.signed_thou(), diameter.signed_in_mm());
    let cut = format!(
        "from the tip to the base, {per_side} per side over the whole cut: the diameter {way} by \
         {} thou ({rest})",
        // The word before it says which way.
        thou.trim_start_matches(['+', '-'])
    );
    cut + &start(Amount::from(program.start_offset)) + "."
}

/// What a start off the tip does to the diameter there.
fn start(offset: Amount) -> String {
    // Rounded to what is printed: an offset of 0.00 would only worry.
    if offset.thou == 0.0 {
        return String::new();
    }
    format!(
        "; at the tip the diameter is off by {} thou ({}) unless the start diameter is moved too",
        offset.signed_thou(),
        offset.signed_in_mm()
    )
}

fn explain(pen: &mut Pen, report: &CheckReport, advice: &Advice) {
    let pattern = words::sentence(words::pattern(advice.pattern, report.grip()));
    pen.hanging("  The check:   ", &pattern, Ink::Plain);
    pen.hanging("  Why:         ", &advice.why, Ink::Plain);
    for (index, look) in advice.look_at_first.iter().enumerate() {
        let lead = if index == 0 {
            "  Look first:  "
        } else {
            "               "
        };
        pen.hanging(&format!("{lead}{}. ", index + 1), look, Ink::Plain);
    }
    pen.blank();
}

fn cautions(pen: &mut Pen, advice: &Advice) {
    for caution in &advice.cautions {
        pen.hanging("  ! ", caution, Ink::Plain);
    }
}
