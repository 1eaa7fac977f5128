//! Plain words for patterns, reasons and confidence.

use crate::reading::face::TipDirection;
use crate::reading::inspect::SetAside;
use crate::reading::method::Method;
use crate::reading::outcome::Reading;
use crate::reading::pattern::Pattern;
use crate::reading::profile::Band;
use crate::reading::refusal::Reason;
use crate::taper::advice::{Action, Advice, Grip};
use crate::units::{Length, PerSide};

/// A pattern as it is said at the machine.
pub(crate) fn pattern(pattern: Pattern, grip: Grip) -> &'static str {
    match (pattern, grip) {
        (Pattern::FullLength, _) => "grips along its whole length",
        (Pattern::TipOnly, _) => "open at the base: too much taper",
        (Pattern::BaseOnly, _) => "open at the tip: too little taper",
        (Pattern::EndsOnly, _) => "grips at both ends only, open between: the face is hollow",
        (Pattern::MiddleOnly, _) => "grips in the middle of the length only: the face is bowed",
        (Pattern::CentreOnly, Grip::Outside) => {
            "grips along the middle of the width only: bored larger than the work"
        }
        (Pattern::CentreOnly, Grip::Inside) => {
            "grips along the middle of the width only: turned smaller than the work's bore"
        }
        (Pattern::EdgesOnly, Grip::Outside) => {
            "grips along both flanks only: bored smaller than the work"
        }
        (Pattern::EdgesOnly, Grip::Inside) => {
            "grips along both flanks only: turned larger than the work's bore"
        }
        (Pattern::OneSide, _) => "one flank open along the length: the jaw sits cocked",
        (Pattern::HeldOff, _) => "held off by a spot, a chip or a burr, with a gap around it",
        (Pattern::Mixed, _) => "two faults at once",
        (Pattern::Unreadable, _) => "cannot be judged",
    }
}

/// A pattern as it is seen, without what it means: what it asks for is left to whoever calls.
pub(crate) fn seen(of: Pattern, grip: Grip) -> &'static str {
    let all = pattern(of, grip);
    // The meaning stands behind the colon wherever there is one.
    all.split_once(':').map_or(all, |(seen, _)| seen)
}

/// The pattern's own name, as in JSON.
pub(crate) fn name(pattern: Pattern) -> &'static str {
    match pattern {
        Pattern::FullLength => "full-length",
        Pattern::TipOnly => "tip-only",
        Pattern::BaseOnly => "base-only",
        Pattern::EndsOnly => "ends-only",
        Pattern::MiddleOnly => "middle-only",
        Pattern::CentreOnly => "centre-only",
        Pattern::EdgesOnly => "edges-only",
        Pattern::OneSide => "one-side",
        Pattern::HeldOff => "held-off",
        Pattern::Mixed => "mixed",
        Pattern::Unreadable => "unreadable",
    }
}

/// Which way the jaws grip, beside the method.
pub(crate) fn grip(grip: Grip) -> &'static str {
    match grip {
        Grip::Outside => "outside grip",
        Grip::Inside => "inside grip",
    }
}

/// How the check was made.
pub(crate) fn method(method: Method) -> &'static str {
    match method {
        Method::Seep => "seep-in check",
        Method::Transfer => "transfer check",
    }
}

/// Where a tip points, in a sentence.
pub(crate) fn tip(tip: TipDirection) -> &'static str {
    match tip {
        TipDirection::Up => "up",
        TipDirection::Down => "down",
        TipDirection::Left => "to the left",
        TipDirection::Right => "to the right",
    }
}

/// What one of several photos of a jaw says by itself.
pub(crate) fn alone(reading: &Reading) -> String {
    match &reading.refusal {
        Some(refusal) => format!("cannot be judged, {}", reason(refusal.reason)),
        None => format!(
            "{} ({})",
            name(reading.pattern),
            percent(reading.confidence)
        ),
    }
}

/// Why one of several photos of a jaw took no part in its reading.
pub(crate) fn set_aside(why: SetAside) -> &'static str {
    match why {
        SetAside::Refused(why) => reason(why),
        SetAside::Tip => "where its tip points is not settled; say it with --tip, once per photo",
    }
}

/// Why a photo was refused.
pub(crate) fn reason(reason: Reason) -> &'static str {
    match reason {
        Reason::Blurred => "the photo is blurred",
        Reason::Dark => "the photo is too dark",
        Reason::BurntOut => "the face is burnt out",
        Reason::Glare => "glare covers too much of the face",
        Reason::NoFace => "no gripping face was found",
        Reason::Hidden => "something covers the face",
        Reason::OutOfPicture => "the face runs out of the picture",
        Reason::TooSmall => "the face is too small in the picture",
        Reason::NoSeam => "no painted seam is to be seen",
        Reason::Smeared => "the compound is smeared over the face",
        Reason::TooAlike => "compound and bare metal look too much alike",
        Reason::Unclear => "the picture does not settle which pattern it is",
    }
}

/// A share in per cent, rounded down, so that what is below a limit never looks as if it had reached it.
pub(crate) fn percent(share: f64) -> String {
    format!("{:.0} %", whole_percent(share))
}

/// The number in [`percent`].
pub(crate) fn whole_percent(share: f64) -> f64 {
    // 0.29 × 100 is 28.999…; without the addition it would be said as 28 %.
    (share * 100.0 + 1e-9).floor()
}

/// A probability in words; the steps are the reports' own.
pub(crate) fn confidence(probability: f64) -> &'static str {
    match probability {
        p if p >= 0.95 => "sure",
        p if p >= 0.85 => "fairly sure",
        p if p >= 0.70 => "likely",
        _ => "not sure",
    }
}

/// The action as a headline, with the direction of a cut spelt out.
pub(crate) fn headline(advice: &Advice) -> &'static str {
    match advice.action {
        Action::Leave => "LEAVE THE TAPER AS IT IS",
        Action::Recut => match advice.taper_change {
            Some(change) if change.change < PerSide::ZERO => "CUT AGAIN WITH LESS TAPER",
            _ => "CUT AGAIN WITH MORE TAPER",
        },
        Action::FixFirst => "FIX FIRST, NO TAPER CHANGE YET",
        Action::Settle => "SAY WHAT IS LEFT OPEN",
        Action::Retake => "TAKE THE PHOTO AGAIN",
        Action::Held => "NOT PROVEN HERE: WHAT TO CHANGE IS KEPT BACK",
    }
}

/// What compound stands for.
pub(crate) fn compound_means(method: Method) -> &'static str {
    match method {
        Method::Seep => "open (compound got in)",
        Method::Transfer => "contact (compound printed)",
    }
}

/// The stretches with compound, in per cent of the length.
pub(crate) fn bands(bands: &[Band]) -> String {
    let stretch = |b: &Band| format!("{:.0} to {:.0} %", b.from * 100.0, b.to * 100.0);
    match bands {
        [] => "no band of compound".to_owned(),
        bands => {
            let stretches: Vec<_> = bands.iter().map(stretch).collect();
            format!(
                "compound from {} of the length",
                stretches.join(" and from ")
            )
        }
    }
}

/// `0.0050 in (0.127 mm)`.
pub(crate) fn fine(length: Length) -> String {
    format!("{:.4} in ({:.3} mm)", length.inches(), length.millimetres())
}

/// How many checks an estimate rests on.
pub(crate) fn together(checks: usize) -> String {
    match checks {
        1 => "one check".to_owned(),
        n => format!("{n} checks together"),
    }
}

/// `1 photo`, `3 photos`.
pub(crate) fn photos(number: usize) -> String {
    if number == 1 {
        "1 photo".to_owned()
    } else {
        format!("{number} photos")
    }
}

/// A whole sentence: a capital at the start, a full stop at the end.
pub(crate) fn sentence(text: &str) -> String {
    let stop = if text.ends_with(['.', '!', '?']) {
        ""
    } else {
        "."
    };
    capitalised(text) + stop
}

/// What stands before an interval that holds this probability, above 0 and below 1: `Likely (9 in 10)`.
pub(crate) fn likely(interval: f64) -> String {
    // To a tenth of a percent; 0.95 × 100 is not 95 exactly.
    let percent = (interval * 1000.0).round() / 10.0;
    if percent % 10.0 == 0.0 {
        format!("Likely ({} in 10)", percent / 10.0)
    } else {
        format!("Likely ({percent} in 100)")
    }
}

/// With a capital at the start.
pub(crate) fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_name_of_each_pattern_is_the_one_in_json() {
        for pattern in [
            Pattern::FullLength,
            Pattern::HeldOff,
            Pattern::CentreOnly,
            Pattern::Mixed,
        ] {
            let json = serde_json::to_value(pattern).expect("a word");
            assert_eq!(json, name(pattern));
        }
    }

    #[test]
    fn an_interval_is_called_by_what_it_holds() {
        assert_eq!(likely(0.9), "Likely (9 in 10)");
        assert_eq!(likely(0.95), "Likely (95 in 100)");
        assert_eq!(likely(0.5), "Likely (5 in 10)");
        assert_eq!(likely(0.995), "Likely (99.5 in 100)");
    }

    #[test]
    fn a_bore_too_large_shows_along_the_middle_of_the_width() {
        // Common practice: bore larger than the work touches in the centre, smaller on the flanks; on
        // an inside grip the jaw's turned radius takes the work's place.
        assert!(pattern(Pattern::CentreOnly, Grip::Outside).contains("larger"));
        assert!(pattern(Pattern::EdgesOnly, Grip::Outside).contains("smaller"));
        assert!(pattern(Pattern::CentreOnly, Grip::Inside).contains("smaller"));
        assert!(pattern(Pattern::EdgesOnly, Grip::Inside).contains("larger"));
    }
}
