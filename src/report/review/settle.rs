//! The page that settles what is left open: every photo with a question that words can answer, and the table that
//! the next review takes the answers from.
//!
//! The data are a script that fills one variable, and only some cards are in the document at a time, as with the
//! table of checks. Answers are kept by the photo's content, so that they outlast the page being made anew.

use std::collections::BTreeSet;
use std::io::{self, Write};

use maud::{Markup, html};
use serde_json::{Value, json};

use super::layout::{self, From};
use super::{Review, data, paths, shown};
use crate::reading::face::TipDirection;
use crate::reading::method::Method;
use crate::report::words;
use crate::review::{About, Asked, PhotoLine, Question, in_a_cell};

pub(crate) const PAGE: &str = "settle.html";
pub(super) const DATA: &str = "data/questions.js";
pub(super) const SCRIPT: &str = include_str!("settle.js");
/// What links to the page say.
pub(super) const NAME: &str = "Say what is left open";

/// How much there is to say, and where; nothing where there is nothing.
pub(super) fn pointer(review: &Review<'_>) -> Markup {
    let photos = review.questions.photos();
    html! {
        @if photos > 0 {
            p .note {
                "What words can settle is left open in " strong { (shown::count(photos, "photo")) }
                ": which end is the tip, how the check was made, which photos are of one jaw, or whose jaw it is. " a href=(PAGE) { (NAME) } "."
            }
        }
    }
}

pub(super) fn page(review: &Review<'_>) -> String {
    let scripts = html! {
        script defer src=(DATA) {}
        script defer src="settle.js" {}
    };
    let all = review.questions.asked.len();
    let body = html! {
        h1 { (NAME) }
        @if all == 0 {
            p { "Nothing is left open that words could settle." }
        } @else {
            (task(review))
            svg .defs width="0" height="0" aria-hidden="true" {}
            div #settle { (bar(all)) div #questions {} }
        }
    };
    layout::whole(review, From::Top, NAME, &scripts, body)
}

fn task(review: &Review<'_>) -> Markup {
    let asked = &review.questions.asked;
    let all = asked.len();
    let some = |which: fn(&About) -> bool| asked.iter().any(|q| which(&q.about));
    let same = some(|about| matches!(about, About::SameJaw { .. }));
    let tips = some(|about| matches!(about, About::Tip { .. })) || !same;
    html! {
        p .task {
            @if tips {
                "Say for each photo which end of the face is the tip: press the arrow key that points where the tip points, or tap that end. "
            }
            @if same {
                "Say of two photos side by side whether they are of the same jaw: press Y or D, or tap the answer. "
            }
            "Then save the table and give it to the next review: "
            code { "--groups groups.csv" } "."
        }
        noscript { p .note { "This page needs JavaScript. Without it, write the " (shown::count(all, "answer")) " into a table, as the manual says under “Review a folder”." } }
        details {
            summary { "Keys, and what becomes of the answers" }
            ul .keys {
                li { kbd { "↑" } " " kbd { "↓" } " " kbd { "←" } " " kbd { "→" } ": the tip points there" }
                li { kbd { "S" } ": a seep-in check, " kbd { "T" } ": a transfer check; for all photos of the check" }
                li { kbd { "Y" } ": the two photos are of the same jaw, " kbd { "D" } ": of different jaws" }
                li { kbd { "J" } ": type the jaw set, " kbd { "R" } ": the same jaw set as last; for all photos of the check" }
                li { kbd { "N" } ": skip, " kbd { "L" } ": to those skipped, " kbd { "B" } ": back, " kbd { "U" } ": undo" }
            }
            p .small { "Where you can't tell, skip: a wrong word turns the cut round. Only photos whose tip or method is said anew are read again. Where the picture contradicts what you say, the next review asks again; then take the photo again." }
        }
    }
}

fn bar(all: usize) -> Markup {
    html! {
        div .bar role="group" aria-label="Progress" {
            p #said role="status" { "0 of " (all) " said." }
            button type="button" data-do="back" { "Back" }
            button type="button" data-do="undo" { "Undo" }
            button type="button" data-do="skip" { "Skip" }
            button type="button" data-do="skipped" hidden { "To those skipped" }
            button type="button" data-do="save" .main { "Save the table" }
        }
        // Not in the bar, which stays in sight and takes room from the photos.
        p #kept .small {}
    }
}

/// The variable `settling`: the earlier table, the photos, the questions, the jaw sets that are known.
pub(super) fn data(review: &Review<'_>, into: &mut dyn Write) -> io::Result<()> {
    let written = &review.questions.written;
    let names = review.order.sets.iter();
    let sets: BTreeSet<&str> = names.filter_map(|s| s.name.as_deref()).collect();
    let columns = ascii(&json!(written.columns));
    write!(into, "var settling={{\"columns\":{columns},\"lines\":")?;
    array(into, written.lines.iter().map(|line| Ok(json!(line))))?;
    into.write_all(b",\"questions\":")?;
    let asked = review.questions.asked.iter();
    array(into, asked.map(|q| question(review, q)))?;
    let (sets, unread) = (ascii(&json!(sets)), written.unread);
    writeln!(into, ",\"sets\":{sets},\"unread\":{unread}}};")
}

/// One after the other: there may be some for every photo.
fn array(into: &mut dyn Write, values: impl Iterator<Item = io::Result<Value>>) -> io::Result<()> {
    let mut before = "[";
    for value in values {
        write!(into, "{before}{}", ascii(&value?))?;
        before = ",";
    }
    let nothing = if before == "[" { "[" } else { "" };
    write!(into, "{nothing}]")
}

/// Names that turn the writing round are kept as they are, but in no file that somebody reads.
fn ascii(value: &Value) -> String {
    data::script(value).chars().flat_map(escaped).collect()
}

/// As JSON escapes what is no ASCII (RFC 8259, section 7).
fn escaped(letter: char) -> Vec<char> {
    if letter.is_ascii() {
        return vec![letter];
    }
    let mut units = [0; 2];
    let units = letter.encode_utf16(&mut units).iter();
    units
        .flat_map(|u| format!("\\u{u:04x}").chars().collect::<Vec<_>>())
        .collect()
}

fn question(review: &Review<'_>, question: &Question) -> io::Result<Value> {
    let photo = &review.lines.photo(question.photo.photo)?;
    let kind = match question.about {
        About::Method { .. } => "method",
        About::Tip { .. } => "tip",
        About::SameJaw { .. } => "same",
        About::JawSet => "jaw",
    };
    let mut value = asked(photo, &question.photo);
    value["kind"] = kind.into();
    value["why"] = why(photo, question).into();
    value["check"] = photo.check.as_str().into();
    if let About::SameJaw { other, free, .. } = &question.about {
        value["other"] = asked(&review.lines.photo(other.photo)?, other);
        value["free"] = (*free).into();
    }
    Ok(value)
}

fn asked(photo: &PhotoLine, asked: &Asked) -> Value {
    let mut value = json!({
        "sha": Some(&photo.sha256).filter(|s| paths::is_sha256(s)),
        "file": in_a_cell(&photo.file),
        "name": shown::free(&photo.file),
        "line": asked.line,
        "size": photo.size_px,
        "face": face(photo),
    });
    if let Some(jaw) = asked.jaw {
        value["number"] = jaw.into();
    }
    value
}

fn why(photo: &PhotoLine, question: &Question) -> String {
    let other = match photo.method {
        Method::Seep => Method::Transfer,
        Method::Transfer => Method::Seep,
    };
    match &question.about {
        About::Method { shown_otherwise } => {
            let whose = if *shown_otherwise {
                "the picture looks"
            } else {
                "another photo of this check looks"
            };
            format!(
                "Read as {}; {whose} as after a {} check.",
                photo.method.word(),
                other.word()
            )
        }
        About::Tip { said: Some(tip) } => format!(
            "It was said to point {}, and the picture contradicts it. If that is so all the same, take the photo again.",
            words::tip(*tip)
        ),
        About::Tip { said: None } => {
            "Nobody said it, and the picture does not settle it.".to_owned()
        }
        About::SameJaw { seconds, .. } => format!(
            "Taken {} apart{}. The check has more photos than jaws. Look at the number stamped on the jaw, and at flaws of the face.",
            shown::count(usize::try_from(*seconds).unwrap_or_default(), "second"),
            refused(photo)
        ),
        About::JawSet => {
            "Neither the table, the archive nor the folder names the jaw set.".to_owned()
        }
    }
}

/// A photo is mostly taken again since it turned out badly.
fn refused(photo: &PhotoLine) -> String {
    let reason = photo.refusal.map(words::reason);
    reason.map_or_else(String::new, |reason| {
        format!(", the first refused: {reason}")
    })
}

/// The outline's corners in per cent of the picture, and for each end its middle and where the tip points if it is
/// the tip.
fn face(photo: &PhotoLine) -> Option<Value> {
    let (corners, [width, height]) = (photo.corners_px?, photo.size_px?);
    let share = |[x, y]: [f64; 2]| {
        let of = |v: f64, whole: u32| (v / f64::from(whole.max(1)) * 1e4).round() / 1e2;
        [of(x, width), of(y, height)]
    };
    let middle = |a: usize, b: usize| [0, 1].map(|i| f64::midpoint(corners[a][i], corners[b][i]));
    let (one, other) = (middle(0, 1), middle(2, 3));
    let away =
        |from: [f64; 2], to: [f64; 2]| TipDirection::nearest([to[0] - from[0], to[1] - from[1]]);
    Some(json!({
        "corners": corners.map(share),
        "ends": [
            { "at": share(one), "tip": away(other, one) },
            { "at": share(other), "tip": away(one, other) },
        ],
    }))
}
