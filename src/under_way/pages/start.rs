//! The first taper of a set, before any check.

use maud::{Markup, html};

use super::super::Fields;
use super::super::form::Refused;
use super::form::{FORCE, Filled, Group, Kind, PRESSURE, SIZE, THIN, field};
use super::{first, told};
use crate::taper::start::StartingTaper;

/// The page's address, and its name on the first page.
pub(crate) const ADDRESS: &str = "/start";
pub(crate) const TITLE: &str = "The first taper";

/// Nobody feels a gap in jaws that are not clamped.
const FEELER: Group = Group {
    title: "Feeler gauge, under full clamp",
    fields: &[
        field("--feeler", "Thickest feeler that goes in", THIN),
        field(
            "--open-end",
            "The end where it goes in",
            Kind::Choice(&[
                ("", "Choose"),
                ("tip", "Tip: where the work goes in"),
                ("base", "Base: at the chuck"),
            ]),
        ),
        field("--depth", "How far it goes in", SIZE),
        field("--face-length", "Length of the face, tip to base", SIZE),
        field(
            "--taper",
            "Taper cut now, per side; 0 if bored straight",
            THIN,
        ),
    ],
};

const THICKER: Group = Group {
    title: "The next thicker feeler",
    fields: &[field(
        "--too-thick",
        "Thinnest feeler that does not go in at all",
        THIN,
    )],
};

const PRESSURES: Group = Group {
    title: "Without a feeler: chuck pressures",
    fields: &[
        field("--boring-pressure", "Chuck pressure while boring", PRESSURE),
        field(
            "--production-pressure",
            "Chuck pressure in production",
            PRESSURE,
        ),
    ],
};

const RATING: Group = Group {
    title: "Without a feeler: the chuck's rating and the jaw's size",
    fields: &[
        field("--rated-force", "Grip force of all jaws, as rated", FORCE),
        field(
            "--rated-pressure",
            "Chuck pressure of that rating",
            PRESSURE,
        ),
        field(
            "--jaw-count",
            "Jaws that share the force; 3 if empty",
            Kind::Count,
        ),
        field(
            "--material",
            "What the jaws are made of",
            Kind::Choice(&[
                ("", "Choose"),
                ("aluminium", "Aluminium"),
                ("steel", "Steel"),
                ("cast-iron", "Cast iron"),
                ("brass", "Brass"),
            ]),
        ),
        field(
            "--thickness",
            "Jaw behind the face, along the grip force",
            SIZE,
        ),
        field(
            "--jaw-height",
            "From the serrations to the top of the jaw",
            SIZE,
        ),
        field("--width", "Width of the jaw, across the grip force", SIZE),
        field(
            "--tip-below-top",
            "From the jaw's top down to the tip",
            SIZE,
        ),
    ],
};

/// Where it can be found from, and what it is.
pub(crate) struct Around<'a> {
    pub(crate) typed: &'a Fields,
    /// As the set says.
    pub(crate) noted: &'a Fields,
    /// Which set, where there are some.
    pub(crate) sets: Markup,
    /// `None` where nothing is asked yet.
    pub(crate) found: Option<&'a Result<StartingTaper, Refused>>,
}

pub(crate) fn body(around: &Around<'_>) -> Markup {
    let filled = Filled {
        in_sight: &[&FEELER],
        folded: &[&THICKER, &PRESSURES, &RATING],
        typed: around.typed,
        noted: around.noted,
        refused: around.found.and_then(|found| found.as_ref().err()),
    };
    html! {
        h1 { (TITLE) }
        (first::caution())
        @if let Some(Ok(start)) = around.found { (told::answer(&start.into())) }
        form #before method="get" action=(ADDRESS) {
            (filled.draw(&around.sets))
            button .main type="submit" { "What taper to cut first" }
        }
    }
}
