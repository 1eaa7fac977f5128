//! A set that is mounted again: check it, or bore it, and how.

use maud::{Markup, html};

use super::super::Fields;
use super::super::form::Refused;
use super::form::{Filled, Group, Kind, PRESSURE, SIZE, THIN, field};
use super::{first, told};
use crate::taper::recut::RecutAdvice;

/// The page's address, and its name on the first page.
pub(crate) const ADDRESS: &str = "/recut";
pub(crate) const TITLE: &str = "A set mounted again";

const NO_OR_YES: Kind = Kind::Choice(&[("", "No"), ("yes", "Yes")]);

pub(crate) const FACES: Group = Group {
    title: "The faces, as mounted now",
    fields: &[
        field("--worn", "Wear is seen on a face", NO_OR_YES),
        field("--drifting", "Parts drift out of tolerance", NO_OR_YES),
        field("--run-out", "Total run-out of the faces", THIN),
    ],
};

pub(crate) const MOUNTED: Group = Group {
    title: "Where it is mounted now",
    fields: &[
        field("--machine", "Machine", Kind::Text),
        field("--chuck", "Chuck", Kind::Text),
        field("--master-jaws", "Which jaw on which master jaw", Kind::Text),
        field("--serration", "Place on the serrations", Kind::Text),
        field(
            "--production-pressure",
            "Chuck pressure in production",
            PRESSURE,
        ),
    ],
};

pub(crate) const NEXT: Group = Group {
    title: "The next work and cut, and what is left",
    fields: &[
        field(
            "--workpiece-diameter",
            "Diameter of the next workpiece",
            SIZE,
        ),
        field("--next-taper", "Taper to bore next, per side", THIN),
        field("--damage", "Deepest wear or damage of a face", THIN),
        field(
            "--back-face-run-out",
            "Run-out of the back face, along the axis",
            THIN,
        ),
        field("--stock", "Per side, what may still be bored away", SIZE),
        field(
            "--stroke-left",
            "How far each jaw can still move to clamp",
            SIZE,
        ),
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
            (filled.draw(&around.known))
            button .main type="submit" { "Check it, or bore it again?" }
        }
    }
}
