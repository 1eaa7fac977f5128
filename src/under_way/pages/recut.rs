//! A set that is mounted again: check it, or bore it, and how.

use maud::{Markup, html};

use super::super::Fields;
use super::super::form::Refused;
use super::form::{Field, Filled, Group, Kind, PRESSURE, SIZE, THIN};
use super::{first, told};
use crate::taper::recut::RecutAdvice;

/// The page's address, and its name on the first page.
pub(crate) const ADDRESS: &str = "/recut";
pub(crate) const TITLE: &str = "A set mounted again";

const NO_OR_YES: Kind = Kind::Choice(&[("", "No"), ("yes", "Yes")]);

pub(crate) const FACES: Group = Group {
    title: "The faces, as mounted now",
    fields: &[
        Field {
            option: "--worn",
            label: "Wear is seen on a face",
            kind: NO_OR_YES,
        },
        Field {
            option: "--drifting",
            label: "Parts drift out of tolerance",
            kind: NO_OR_YES,
        },
        Field {
            option: "--run-out",
            label: "Run-out of the faces, in all",
            kind: THIN,
        },
    ],
};

pub(crate) const MOUNTED: Group = Group {
    title: "Where it is mounted now",
    fields: &[
        Field {
            option: "--machine",
            label: "Machine",
            kind: Kind::Text,
        },
        Field {
            option: "--chuck",
            label: "Chuck",
            kind: Kind::Text,
        },
        Field {
            option: "--master-jaws",
            label: "Jaws on master jaws, as in 1-A 2-B 3-C",
            kind: Kind::Text,
        },
        Field {
            option: "--serration",
            label: "Place on the serrations",
            kind: Kind::Text,
        },
        Field {
            option: "--production-pressure",
            label: "Chuck pressure in production",
            kind: PRESSURE,
        },
    ],
};

pub(crate) const NEXT: Group = Group {
    title: "The next work and cut, and what is left",
    fields: &[
        Field {
            option: "--workpiece-diameter",
            label: "Diameter of the next workpiece",
            kind: SIZE,
        },
        Field {
            option: "--next-taper",
            label: "Taper to bore next, per side",
            kind: THIN,
        },
        Field {
            option: "--damage",
            label: "Deepest wear or damage of a face",
            kind: THIN,
        },
        Field {
            option: "--back-face-run-out",
            label: "Run-out of the back face, along the axis",
            kind: THIN,
        },
        Field {
            option: "--stock",
            label: "Per side, what may still be bored away",
            kind: SIZE,
        },
        Field {
            option: "--stroke-left",
            label: "How far each jaw can still move to clamp",
            kind: SIZE,
        },
    ],
};

/// What the page stands on, and what it says.
pub(crate) struct Around<'a> {
    pub(crate) title: Markup,
    /// What is known of the set, and which it is.
    pub(crate) known: Markup,
    pub(crate) in_sight: &'a [&'a Group],
    pub(crate) folded: &'a [&'a Group],
    pub(crate) typed: &'a Fields,
    /// As the set says.
    pub(crate) noted: &'a Fields,
    /// `None` where nothing is asked yet.
    pub(crate) found: Option<&'a Result<RecutAdvice, Refused>>,
}

pub(crate) fn body(around: &Around<'_>) -> Markup {
    let filled = Filled {
        in_sight: around.in_sight,
        folded: around.folded,
        typed: around.typed,
        noted: around.noted,
        refused: around.found.and_then(|found| found.as_ref().err()),
    };
    html! {
        h1 { (around.title) }
        (first::caution())
        @if let Some(Ok(advice)) = around.found { (told::answer(&advice.into())) }
        form #before method="get" action=(ADDRESS) {
            (around.known)
            (filled.draw())
            button .main type="submit" { "Check it, or bore it again?" }
        }
    }
}
