//! What to do with a set that was mounted again, why, and the sum behind it.

use super::super::words::fine;
use super::Told;
use crate::taper::recut::{BorePlan, RecutAction, RecutAdvice};
use crate::units::{Length, PerSide};

impl<'a> From<&'a RecutAdvice> for Told<'a> {
    fn from(advice: &'a RecutAdvice) -> Self {
        Self {
            headline: headline(advice.action),
            cut: None,
            numbers: advice.plan.as_ref().map(numbers).unwrap_or_default(),
            range: None,
            why: &advice.reasons,
            not_known: advice.unknown.iter().map(|u| u.ask.clone()).collect(),
            sum: advice.arithmetic.clone(),
            assumed: &advice.assumed,
            what_to_do: &advice.what_to_do,
            warnings: &advice.warnings,
            cautions: &advice.cautions,
        }
    }
}

fn headline(action: RecutAction) -> &'static str {
    match action {
        RecutAction::CheckInstead => "CHECK INSTEAD OF BORING",
        RecutAction::BoreAgain => "BORE AGAIN",
        RecutAction::FindOut => "FIND OUT FIRST, OR BORE AGAIN",
    }
}

fn numbers(plan: &BorePlan) -> Vec<(&'static str, String)> {
    let bored = format!("{} at the base", fine(plan.bore_diameter));
    let rows = [
        ("Clamp at diameter", Some(fine(plan.clamp_diameter))),
        ("Bore to diameter", Some(bored)),
        ("Taper", plan.taper.map(PerSide::as_taper)),
        ("Stock per side", Some(fine(plan.stock))),
        ("Back-face skim", Some(fine(plan.back_face))),
        ("Left for next time", plan.stock_after.map(left)),
    ];
    let known = rows.into_iter();
    known
        .filter_map(|(name, text)| Some((name, text?)))
        .collect()
}

fn left(after: Length) -> String {
    if after < Length::ZERO {
        format!("none: {} short", fine(-after))
    } else {
        format!("{} per side", fine(after))
    }
}
