//! The first taper of a set, before any check.

use maud::{Markup, html};

use super::super::Fields;
use super::super::form::Refused;
use super::form::{FORCE, Field, Filled, Group, Kind, PRESSURE, SIZE, THIN};
use super::{first, told};
use crate::taper::start::StartingTaper;

/// The page's address, and its name on the first page.
pub(crate) const ADDRESS: &str = "/start";
pub(crate) const TITLE: &str = "The first taper";

/// Nobody feels a gap in jaws that are not clamped.
const FEELER: Group = Group {
    title: "Feeler gauge, under full clamp",
    fields: &[
        Field {
            option: "--feeler",
            label: "Thickest feeler that goes in",
            kind: THIN,
        },
        Field {
            option: "--open-end",
            label: "The end where it goes in",
            kind: Kind::Choice(&[
                ("", "Choose"),
                ("tip", "Tip: where the work goes in"),
                ("base", "Base: at the chuck"),
            ]),
        },
        Field {
            option: "--depth",
            label: "How far it goes in",
            kind: SIZE,
        },
        Field {
            option: "--face-length",
            label: "Length of the face, tip to base",
            kind: SIZE,
        },
        Field {
            option: "--taper",
            label: "Taper cut now, per side; 0 if bored straight",
            kind: THIN,
        },
    ],
};

const THICKER: Group = Group {
    title: "The next thicker feeler",
    fields: &[Field {
        option: "--too-thick",
        label: "Thinnest feeler that does not go in at all",
        kind: THIN,
    }],
};

const PRESSURES: Group = Group {
    title: "Without a feeler: chuck pressures",
    fields: &[
        Field {
            option: "--boring-pressure",
            label: "Chuck pressure while boring",
            kind: PRESSURE,
        },
        Field {
            option: "--production-pressure",
            label: "Chuck pressure in production",
            kind: PRESSURE,
        },
    ],
};

const RATING: Group = Group {
    title: "Without a feeler: the chuck's rating and the jaw's size",
    fields: &[
        Field {
            option: "--rated-force",
            label: "Grip force of all jaws, as rated",
            kind: FORCE,
        },
        Field {
            option: "--rated-pressure",
            label: "Chuck pressure of that rating",
            kind: PRESSURE,
        },
        Field {
            option: "--jaw-count",
            label: "Jaws that share the force",
            kind: Kind::Count,
        },
        Field {
            option: "--material",
            label: "What the jaws are made of",
            kind: Kind::Choice(&[
                ("", "Choose"),
                ("aluminium", "Aluminium"),
                ("steel", "Steel"),
                ("cast-iron", "Cast iron"),
                ("brass", "Brass"),
            ]),
        },
        Field {
            option: "--thickness",
            label: "Jaw behind the face, along the grip force",
            kind: SIZE,
        },
        Field {
            option: "--jaw-height",
            label: "From the serrations to the top of the jaw",
            kind: SIZE,
        },
        Field {
            option: "--width",
            label: "Width of the jaw, across the grip force",
            kind: SIZE,
        },
        Field {
            option: "--tip-below-top",
            label: "From the jaw's top down to the tip",
            kind: SIZE,
        },
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
            (around.sets)
            (filled.draw())
            button .main type="submit" { "What taper to cut first" }
        }
    }
}
