//! A pack of labelled photos to give away: its table, its page, its licence. Nothing in it names a shop, a jaw set, a
//! person, a time or a device.

use maud::{Markup, PreEscaped, html};
use serde::Serialize;

use super::{document, words};
use crate::people::opinion::Basis;
use crate::reading::face::TipDirection;
use crate::reading::method::Method;
use crate::reading::pattern::Pattern;
use crate::reading::refusal::Reason;
use crate::taper::advice::Grip;
use crate::text::spreadsheet::cells::{Cells, cell, maybe, table, word};

const CSS: &str = include_str!("pack/pack.css");

/// Under which licence a pack is given, by its SPDX identifier.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "program", derive(clap::ValueEnum))]
pub enum Licence {
    /// Creative Commons Zero 1.0: nothing is asked for.
    #[cfg_attr(feature = "program", value(name = "CC0-1.0"))]
    Cc0,
    /// Creative Commons Attribution 4.0: whoever passes it on says where it is from.
    #[cfg_attr(feature = "program", value(name = "CC-BY-4.0"))]
    CcBy,
}

/// One photo of a pack.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PackPhoto {
    /// In the pack; numbers of photos that were left out are missing.
    pub(crate) number: usize,
    /// Width and height in the pack.
    pub(crate) size_px: [u32; 2],
    /// Numbers in place of names: of the jaw set, of the check and of the jaw in it.
    pub(crate) numbers: [usize; 3],
    pub(crate) method: Method,
    pub(crate) grip: Grip,
    pub(crate) tip: Option<TipDirection>,
    /// In pixels of the pack's photo, and whether somebody gave them.
    pub(crate) corners: Option<([[f64; 2]; 4], bool)>,
    /// What was right, and how that is known.
    pub(crate) right: Option<(Pattern, RightBy)>,
    /// What the program read.
    pub(crate) read: (Pattern, Option<Reason>),
}

/// How it is known what was right.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum RightBy {
    /// A lead said it of the photo.
    Photo,
    /// It is known of the check that the photo is of.
    #[serde(untagged)]
    Check(Basis),
}

/// The photo's file in the pack.
pub(crate) fn photo_file(number: usize) -> String {
    format!("photos/{number:04}.jpg")
}

/// `labels.csv`.
pub(crate) fn pack_table(photos: &[PackPhoto]) -> Vec<u8> {
    table(photos, line, None)
}

fn line(photo: &PackPhoto) -> Cells {
    let [set, check, jaw] = photo.numbers;
    let mut line = vec![
        cell("file", photo_file(photo.number)),
        cell("jaw_set", set),
        cell("check", check),
        cell("jaw", jaw),
        cell("method", word(&photo.method)),
        cell("grip", word(&photo.grip)),
        maybe("tip", photo.tip.map(|v| word(&v))),
    ];
    for (corner, name) in ["tip_left", "tip_right", "base_right", "base_left"]
        .into_iter()
        .enumerate()
    {
        for (axis, letter) in ["x", "y"].into_iter().enumerate() {
            let at = photo
                .corners
                .map(|(corners, _)| format!("{:.1}", corners[corner][axis]));
            line.push(maybe(&format!("{name}_{letter}_px"), at));
        }
    }
    line.push(maybe(
        "corners_by",
        photo.corners.map(|(_, given)| found_by(given)),
    ));
    line.push(maybe(
        "pattern",
        photo.right.map(|(pattern, _)| word(&pattern)),
    ));
    line.push(maybe("pattern_by", photo.right.map(|(_, by)| word(&by))));
    line.push(cell("read_as", word(&photo.read.0)));
    line.push(maybe("refused_for", photo.read.1.map(|v| word(&v))));
    line
}

fn found_by(given: bool) -> &'static str {
    if given { "given" } else { "search" }
}

impl Licence {
    /// Its SPDX identifier, its name, where its text is, what it asks for.
    fn says(self) -> [&'static str; 4] {
        match self {
            Self::Cc0 => [
                "CC0-1.0",
                "Creative Commons Zero v1.0 Universal",
                "https://creativecommons.org/publicdomain/zero/1.0/legalcode",
                "Whoever has this pack may use it for anything. Nothing is asked for, and nothing is promised.",
            ],
            Self::CcBy => [
                "CC-BY-4.0",
                "Creative Commons Attribution 4.0 International",
                "https://creativecommons.org/licenses/by/4.0/legalcode",
                "Whoever has this pack may use it for anything, and says with it where it is from and what was changed. Nothing is promised.",
            ],
        }
    }

    /// `LICENSE.txt`.
    pub(crate) fn text(self) -> String {
        let [spdx, name, place, says] = self.says();
        format!(
            "SPDX-License-Identifier: {spdx}\n\nThe photos, labels.csv and index.html of this folder are given under\n{name}\n{place}\n\n{says}\n"
        )
    }
}

/// `index.html`: all that is in the pack, as whoever gives it away should see it before.
pub(crate) fn pack_page(photos: &[PackPhoto], licence: Licence) -> String {
    let [_, name, place, says] = licence.says();
    let title = "A pack of labelled photos";
    let body = html! {
        h1 { (title) }
        p { (words::photos(photos.len())) ". This page shows all that is in the pack: " code { "photos/" } ", "
            code { "labels.csv" } " with the words beside each photo, " code { "LICENSE.txt" } ", and this page." }
        p.look { strong { "Look at every photo before you give the pack away." } " No file says when, where, by whom or with what a photo was taken, and names are replaced by numbers. What can be " em { "seen" } " in a photo is still seen: a face, a drawing, writing on a jaw. Leave such photos out: make the pack again with " code { "--without" } " and their numbers." }
        p { "Licence: " a href=(place) { (name) } ". " (says) }
        @for photo in photos { (card(photo)) }
    };
    document(title, &html! { style { (PreEscaped(CSS)) } }, &body)
}

fn card(photo: &PackPhoto) -> Markup {
    let [set, check, jaw] = photo.numbers;
    let [width, height] = photo.size_px;
    html! {
        figure {
            div.photo {
                img src=(photo_file(photo.number)) alt=(format!("Photo {}", photo.number)) loading="lazy" width=(width) height=(height);
                @if let Some((corners, _)) = photo.corners { (outline(corners, photo.size_px)) }
            }
            figcaption {
                h2 { "Photo " (photo.number) }
                dl {
                    dt { "of" } dd { "jaw set " (set) ", check " (check) ", jaw " (jaw) }
                    dt { "method" } dd { (words::method(photo.method)) }
                    dt { "grip" } dd { (words::grip(photo.grip)) }
                    dt { "tip" } dd { (photo.tip.map_or("not said", words::tip)) }
                    dt { "corners" } dd { (corners_by(photo)) }
                    dt { "right" } dd { (right(photo)) }
                    dt { "read as" } dd { (read(photo)) }
                }
            }
        }
    }
}

/// The tip's edge thick.
fn outline(corners: [[f64; 2]; 4], [width, height]: [u32; 2]) -> Markup {
    let point = |[x, y]: [f64; 2]| format!("{x:.1},{y:.1}");
    let all = corners.map(point).join(" ");
    let tip = [corners[0], corners[1]].map(point).join(" ");
    html! {
        svg viewBox=(format!("0 0 {width} {height}")) aria-hidden="true" {
            polygon points=(all) {}
            polyline points=(tip) {}
        }
    }
}

fn corners_by(photo: &PackPhoto) -> &'static str {
    match photo.corners {
        None => "none",
        Some((_, true)) => "given by somebody",
        Some((_, false)) => "as the program found them",
    }
}

fn right(photo: &PackPhoto) -> String {
    match photo.right {
        None => "not known".to_owned(),
        Some((pattern, RightBy::Photo)) => {
            format!("{}, as a lead said of this photo", words::name(pattern))
        }
        Some((pattern, RightBy::Check(by))) => {
            format!("{}, {}", words::name(pattern), by.in_words())
        }
    }
}

fn read(photo: &PackPhoto) -> String {
    match photo.read {
        (_, Some(reason)) => format!("refused: {}", words::reason(reason)),
        (pattern, None) => words::name(pattern).to_owned(),
    }
}
