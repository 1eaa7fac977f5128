//! Boring a remounted set again, as text.

use super::TextOptions;
use super::pen::{Ink, Pen};
use super::start::{cautions, list, numbered, row};
use crate::taper::recut::{BorePlan, RecutAction, RecutAdvice};
use crate::units::Length;

/// What to do with a set that was mounted again, why, and the sum behind it.
pub fn recut_to_text(advice: &RecutAdvice, options: TextOptions) -> String {
    let mut pen = Pen::new(options);
    let (headline, ink) = headline(advice.action);
    pen.wrapped(headline, ink);
    pen.blank();
    if let Some(plan) = &advice.plan {
        numbers(&mut pen, plan);
    }
    list(&mut pen, "  Why:         ", &advice.reasons);
    let asked: Vec<String> = advice.unknown.iter().map(|u| u.ask.clone()).collect();
    list(&mut pen, "  Not known:   ", &asked);
    list(&mut pen, "  The sum:     ", &advice.arithmetic);
    list(&mut pen, "  Assumed:     ", &advice.assumed);
    numbered(&mut pen, "  What to do:  ", &advice.what_to_do);
    for warning in &advice.warnings {
        pen.hanging("  WARNING ", warning, Ink::Caution);
    }
    pen.blank();
    cautions(&mut pen, &advice.cautions);
    pen.finish()
}

fn headline(action: RecutAction) -> (&'static str, Ink) {
    match action {
        RecutAction::CheckInstead => ("CHECK INSTEAD OF BORING", Ink::Good),
        RecutAction::BoreAgain => ("BORE AGAIN", Ink::Cut),
        RecutAction::FindOut => ("FIND OUT FIRST, OR BORE AGAIN", Ink::Caution),
    }
}

fn numbers(pen: &mut Pen, plan: &BorePlan) {
    let mut row = |label: &str, text: &str| row(pen, label, text);
    row("  Clamp at diameter:   ", &fine(plan.clamp_diameter));
    row(
        "  Bore to diameter:    ",
        &format!("{} at the base", fine(plan.bore_diameter)),
    );
    if let Some(taper) = plan.taper {
        row("  Taper:               ", &taper.as_taper());
    }
    row("  Stock per side:      ", &fine(plan.stock));
    row("  Back-face skim:      ", &fine(plan.back_face));
    if let Some(after) = plan.stock_after {
        row("  Left for next time:  ", &left(after));
    }
    pen.blank();
}

fn left(after: Length) -> String {
    if after < Length::ZERO {
        format!("none: {} short", fine(-after))
    } else {
        format!("{} per side", fine(after))
    }
}

fn fine(length: Length) -> String {
    format!("{:.4} in ({:.3} mm)", length.inches(), length.millimetres())
}
