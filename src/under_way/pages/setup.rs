//! What is said about a check: as one line, and as fields to change it.

use maud::{Markup, html};

use super::super::Settings;
use super::super::settings::word_of;
use crate::reading::face::TipDirection;
use crate::reading::method::Method;
use crate::report::shown;
use crate::taper::advice::Grip;
use crate::taper::records::JawSet;
use crate::units::{Length, PerSide};

/// The units of an amount, as they are sent and as they are said.
pub(crate) const UNITS: [(&str, &str); 4] =
    [("thou", "thou"), ("in", "in"), ("mm", "mm"), ("um", "µm")];

/// In one line.
pub(crate) fn line(settings: &Settings, set: Option<&JawSet>, taper: Option<PerSide>) -> String {
    let method = match settings.method {
        Method::Seep => "seep-in check",
        Method::Transfer => "transfer check",
    };
    let grip = match set.map_or(settings.grip, |s| s.grip) {
        Grip::Outside => "outside grip",
        Grip::Inside => "inside grip",
    };
    let tip = settings
        .tip
        .map_or("tip: as the photos show", |tip| match tip {
            TipDirection::Up => "tip up",
            TipDirection::Down => "tip down",
            TipDirection::Left => "tip to the left",
            TipDirection::Right => "tip to the right",
        });
    let taper = taper.map_or_else(
        || "taper not given".to_owned(),
        |t| format!("taper {}", shown::joined(shown::taper(t))),
    );
    let line = format!("{method}, {grip}, {tip}, {taper}");
    if settings.by.is_some() {
        line + ", read by " + &reader_line(settings)
    } else {
        line
    }
}

/// What is known of the jaws themselves, where anything is.
pub(crate) fn known(set: &JawSet) -> Option<String> {
    let parts = [
        set.material.as_deref().map(shown::free),
        set.face_length.map(|length| format!("face {length}")),
        set.production_pressure
            .map(|pressure| format!("{pressure} in production")),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// Who reads the jaws, in few words.
pub(crate) fn reader_line(settings: &Settings) -> String {
    match (&settings.by, settings.call_first) {
        (None, _) => "not said".to_owned(),
        (Some(by), false) => by.to_string(),
        (Some(by), true) => format!("{by}, who calls first"),
    }
}

/// The fields about who reads the jaws.
pub(crate) fn reader(settings: &Settings) -> Markup {
    let by = settings.by.as_ref().map(ToString::to_string);
    html! {
        (text("Who reads: initials or shop number", "by", by.as_deref().unwrap_or_default(), "AB"))
        (choice("Call before the reading is shown", "call_first", if settings.call_first { "yes" } else { "" }, &[
            ("", "Only where it is the rule"),
            ("yes", "Yes: I say first what I see"),
        ]))
    }
}

/// The fields of a form; `set` says what it settles.
pub(crate) fn fields(settings: &Settings, set: Option<(&JawSet, Option<PerSide>)>) -> Markup {
    let tip = settings.tip.map(word_of).unwrap_or_default();
    html! {
        (choice("Method", "method", &word_of(settings.method), &[
            ("seep", "Seep-in: painted on the seam"),
            ("transfer", "Transfer: a film on the work"),
        ]))
        @if set.is_none() {
            (choice("Grip", "grip", &word_of(settings.grip), &[
                ("outside", "Outside: close on the work"),
                ("inside", "Inside: open in its bore"),
            ]))
        }
        (choice("Where the tip points in the photos", "tip", &tip, &[
            ("", "Not said: as the photo shows"),
            ("up", "Up"), ("down", "Down"), ("left", "Left"), ("right", "Right"),
        ]))
        (taper(settings, set))
        details .more {
            summary { "For the program, and for the archive" }
            (text("Length of the face, tip to base, with its unit", "length", &exact(settings.length), "1.25in"))
            (text("The cut starts that far off the tip", "clearance", &exact(settings.clearance), "0.05in"))
            (text("Compound", "compound", settings.compound.as_deref().unwrap_or_default(), ""))
            (text("Chuck pressure while checking", "pressure", &settings.pressure.map(|p| p.to_string()).unwrap_or_default(), "300psi"))
        }
    }
}

fn choice(label: &str, field: &str, chosen: &str, options: &[(&str, &str)]) -> Markup {
    html! {
        label .field {
            span { (label) }
            select name=(field) {
                @for (value, said) in options {
                    option value=(value) selected[*value == chosen] { (said) }
                }
            }
        }
    }
}

fn taper(settings: &Settings, set: Option<(&JawSet, Option<PerSide>)>) -> Markup {
    let last = set.and_then(|(_, last)| last);
    let hint = last.map_or_else(|| "3.0".to_owned(), |t| format!("{} as last cut", plain(t)));
    html! {
        fieldset .field {
            legend { "Taper cut now, " strong { "per side" } }
            div .pair {
                input type="text" inputmode="decimal" name="taper" value=(settings.taper.map(plain).unwrap_or_default())
                    placeholder=(hint) autocomplete="off" aria-label="Taper cut now, per side";
                select name="taper_unit" aria-label="Unit of the taper" {
                    @for (value, said) in UNITS {
                        option value=(value) { (said) }
                    }
                }
            }
            @if last.is_some() {
                p .small { "Left empty, it is the last cut's. Another one notes a new cut when the check is filed." }
            }
        }
    }
}

/// In thousandths of an inch, the field's first unit, without rounding.
fn plain(taper: PerSide) -> String {
    let text = format!("{:.4}", taper.thou());
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn exact(length: Option<Length>) -> String {
    length.map(|l| l.to_string()).unwrap_or_default()
}

pub(crate) fn text(label: &str, field: &str, value: &str, hint: &str) -> Markup {
    html! {
        label .field {
            span { (label) }
            input type="text" name=(field) value=(value) placeholder=(hint) autocomplete="off";
        }
    }
}
