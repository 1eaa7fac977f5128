//! Values as the pages say them.

use maud::{Markup, html};

use super::super::{printable, words};
use crate::review::{CheckLine, Flag, WhyAgainst};
use crate::taper::advice::Action;
use crate::units::PerSide;
use crate::units::amount::Amount;

/// Longest name on a page; a longer one ends in an ellipsis.
const NAME_ROOM: usize = 120;
/// Longest free text on a page.
const TEXT_ROOM: usize = 2000;

/// Text from outside, [`printable`] and of at most `room` characters.
pub(crate) fn clean(text: &str, room: usize) -> String {
    // No letter takes more than four bytes, and a text from outside may be megabytes; one letter more
    // shows below that something is missing.
    let text = printable(text.get(..4 * (room + 1)).unwrap_or(text));
    let mut kept: String = text.chars().take(room).collect();
    if text.chars().count() > room {
        kept.pop();
        kept.push('…');
    }
    kept
}

pub(crate) fn name(text: &str) -> String {
    clean(text, NAME_ROOM)
}

pub(crate) fn free(text: &str) -> String {
    clean(text, TEXT_ROOM)
}

pub(super) fn set_name(name: Option<&str>) -> String {
    match name {
        None => "jaw set not known".to_owned(),
        // A link without words could not be followed.
        Some(name) if name.trim().is_empty() => "jaw set without a name".to_owned(),
        Some(name) => self::name(name),
    }
}

/// `2026-03-04 10:11`.
pub(super) fn time(made: Option<&str>) -> String {
    match made {
        None => "no date".to_owned(),
        // Without the seconds; what is no time is cut as well.
        Some(text) => {
            let minutes: String = text.replace('T', " ").chars().take(16).collect();
            clean(&minutes, 16)
        }
    }
}

/// `2026-03-04`.
pub(super) fn day(made: Option<&str>) -> String {
    let time = time(made);
    time.split(' ').next().map_or(time.clone(), |day| {
        if made.is_some() {
            day.to_owned()
        } else {
            time.clone()
        }
    })
}

pub(super) fn action(check: &CheckLine) -> &'static str {
    match (check.action, check.change) {
        (Action::Leave, _) => "Leave the taper as it is",
        (Action::Recut, Some(change)) if change < PerSide::ZERO => "Cut again with less taper",
        (Action::Recut, _) => "Cut again with more taper",
        (Action::FixFirst, _) => "Fix first, no taper change yet",
        (Action::Settle, _) => "Say what is left open, and read again",
        (Action::Retake, _) => "Take the photo again",
        (Action::Held, _) => "Not proven here: what to change is kept back",
    }
}

/// `97 %, sure`.
pub(crate) fn confidence(probability: f64) -> String {
    if probability <= 0.0 {
        return "none".to_owned();
    }
    format!(
        "{}, {}",
        words::percent(probability),
        words::confidence(probability)
    )
}

/// Both ways of stating a change, each in thousandths and millimetres.
pub(crate) fn change(change: PerSide) -> [String; 2] {
    let (side, both) = (Amount::from(change), Amount::from(change.on_diameter()));
    [
        format!(
            "{} thou ({} mm) per side",
            side.signed_thou(),
            side.signed_mm()
        ),
        format!(
            "{} thou ({} mm) on the diameter",
            both.signed_thou(),
            both.signed_mm()
        ),
    ]
}

/// The same of a taper, which has no sign.
pub(crate) fn taper(taper: PerSide) -> [String; 2] {
    change(taper).map(|text| text.replace('+', ""))
}

/// From one change to another, both ways in both units.
pub(crate) fn range(from: PerSide, to: PerSide) -> [String; 2] {
    let way = |from: Amount, to: Amount, label: &str| {
        format!(
            "{} thou ({} to {} mm) {label}",
            from.thou_to(to),
            from.signed_mm(),
            to.signed_mm()
        )
    };
    [
        way(from.into(), to.into(), "per side"),
        way(
            from.on_diameter().into(),
            to.on_diameter().into(),
            "on the diameter",
        ),
    ]
}

/// In one line.
pub(crate) fn joined(lines: [String; 2]) -> String {
    lines.join(", ")
}

pub(crate) fn lines(lines: &[String; 2]) -> Markup {
    html! { span .amount { (lines[0]) } " " span .amount { (lines[1]) } }
}

pub(super) fn flag(flag: Flag) -> &'static str {
    match flag {
        Flag::LowConfidence => "low confidence",
        Flag::Refused => "a photo was refused",
        Flag::Against => "advice and what was done disagree",
        Flag::NotNoted => "recut advised, nothing noted",
        Flag::ManyPasses => "more than three passes",
        Flag::OddJaw => "a jaw keeps disagreeing",
        Flag::Drift => "the change asked for drifts",
        Flag::Warning => "with a warning",
    }
}

pub(super) fn against(why: WhyAgainst) -> &'static str {
    match why {
        WhyAgainst::CutTheOtherWay => "the next check's taper lies the other way",
        WhyAgainst::SaysTheOtherWay => "the note says the other direction",
        WhyAgainst::SaysLeft => "the note says that nothing was cut",
        WhyAgainst::SaysCut => "the note says that the taper was cut",
        WhyAgainst::SaysAnotherAmount => "the note says another amount",
    }
}

/// `1 check`, `2 checks`.
pub(crate) fn count(number: usize, one: &str) -> String {
    if number == 1 {
        format!("1 {one}")
    } else {
        format!("{} {one}s", thousands(number))
    }
}

/// With a narrow space between groups of three digits (ISO 80000-1, 7.3.1).
pub(super) fn thousands(number: usize) -> String {
    let digits = number.to_string();
    let mut out = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) && digits.len() > 4 {
            out.push('\u{202f}');
        }
        out.push(digit);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    #[test]
    fn what_turns_the_writing_is_not_shown() {
        assert_eq!(
            clean("a\u{202e}b\u{7}\u{2066}", 9),
            "a\u{fffd}b\u{fffd}\u{fffd}"
        );
        assert_eq!(clean("heron", 4), "her…");
        assert_eq!(clean("鷺鷺鷺鷺", 2), "鷺…");
        assert_eq!(clean("𠮟𠮟𠮟𠮟", 2), "𠮟…");
    }

    // 1 in = 25.4 mm exactly (NIST SP 811, appendix B.8).
    #[test]
    fn a_change_is_said_both_ways_in_both_units() {
        let both = change(PerSide::of(Length::from_tenths(-10)));
        assert_eq!(both[0], "-1.0 thou (-0.025 mm) per side");
        assert_eq!(both[1], "-2.0 thou (-0.051 mm) on the diameter");
    }

    #[test]
    fn groups_of_three_digits() {
        assert_eq!(thousands(3300), "3300");
        assert_eq!(thousands(100_000), "100\u{202f}000");
    }
}
