//! What only words can settle, asked in the answer's place: one question at a time, its photo with it.

use maud::{Markup, html};

use super::super::addresses::{address, plain_address};
use super::super::questions::{About, Question, Why};
use super::super::settings::word_of;
use super::super::{Photo, UnderWay};
use super::jaw;
use crate::reading::face::TipDirection;
use crate::reading::method::Method;

pub(crate) fn asked(check: &UnderWay, question: &Question<'_>) -> Markup {
    match question.about {
        About::Tip(read_as) => tip(check, question, read_as),
        About::Method(read_as) => method(check, question.photo, read_as),
    }
}

/// The ends lie on the page as they lie in the photo.
fn tip(check: &UnderWay, question: &Question<'_>, read_as: TipDirection) -> Markup {
    let photo = question.photo;
    let across = matches!(read_as, TipDirection::Left | TipDirection::Right);
    let ends = if across {
        [TipDirection::Left, TipDirection::Right]
    } else {
        [TipDirection::Up, TipDirection::Down]
    };
    let turned = corners_differ(check, photo);
    // Said again it would stay contradicted: then only another photo can bear it out.
    let stands = |end| question.why == Why::PictureDiffers && end == read_as && !turned;
    html! {
        h2 .headline { "Which end is the tip of jaw " (photo.jaw) "?" }
        p { (why(question.why, turned)) " Tap the right one: the wrong one would turn the change round." }
        div .which .across[across] {
            @for (place, end) in ends.into_iter().enumerate() {
                @if place == 1 { figure { (photo_of(check, photo)) } }
                @if stands(end) {
                    a .button href=(format!("#jaw-{}", photo.jaw)) {
                        (name(end)) ", as said: take jaw " (photo.jaw) " again"
                    }
                } @else {
                    (this_end(check, photo, end))
                }
            }
        }
    }
}

fn why(why: Why, turned: bool) -> &'static str {
    match why {
        Why::NotSaid => "Nobody said it, and the photo does not settle it.",
        Why::PictureDiffers if turned => {
            "The corners begin at the other end than was said of the tip."
        }
        Why::PictureDiffers => "The photo contradicts the end that was said.",
        Why::PhotosDiffer => {
            "The photos of this jaw agree only once one of them is turned end for end."
        }
    }
}

/// Where the corners begin at another end than was said of the tip, either may be the one that holds.
fn corners_differ(check: &UnderWay, photo: &Photo) -> bool {
    let request = check.request(photo);
    let said = request.tip.zip(request.corners.as_ref());
    said.is_some_and(|(tip, corners)| tip.is_turned_from(corners))
}

fn this_end(check: &UnderWay, photo: &Photo, end: TipDirection) -> Markup {
    let to = format!("{}/tip?back=answer", address(check, photo));
    html! {
        form .settle method="post" action=(to) {
            input type="hidden" name="tip" value=(word_of(end));
            button type="submit" { "TIP here: " (name(end)) span .hidden { " of jaw " (photo.jaw) } }
        }
    }
}

fn name(end: TipDirection) -> &'static str {
    match end {
        TipDirection::Up => "upper end",
        TipDirection::Down => "lower end",
        TipDirection::Left => "left end",
        TipDirection::Right => "right end",
    }
}

fn photo_of(check: &UnderWay, photo: &Photo) -> Markup {
    let read = check.reads.get(&photo.sha256);
    let jpeg = read.map(|r| &r.pictures.plain[..]).unwrap_or_default();
    let alt = format!("The photo of jaw {}, without marks", photo.jaw);
    jaw::picture(jpeg, &plain_address(check, photo), &alt)
}

fn method(check: &UnderWay, photo: &Photo, read_as: Method) -> Markup {
    let jaw = photo.jaw;
    let (seen, other, other_name, own_name) = match read_as {
        Method::Seep => (
            "no painted seam is seen along the face's edges, as after a transfer check",
            Method::Transfer,
            "Transfer: a film on the work",
            "Seep-in",
        ),
        Method::Transfer => (
            "a painted seam is seen along the face's edges, as after a seep-in check",
            Method::Seep,
            "Seep-in: painted on the seam",
            "Transfer",
        ),
    };
    html! {
        h2 .headline { "Was it a seep-in check or a transfer check?" }
        p {
            "In the photo of jaw " (jaw) " " (seen) ". Compound is a gap in the one and contact in the other, so the "
            "wrong one would turn the change round."
        }
        div .which {
            figure { (photo_of(check, photo)) }
            form .settle method="post" action=(format!("/checks/{}/settings", check.sheet.id)) {
                input type="hidden" name="method" value=(word_of(other));
                button type="submit" { (other_name) }
            }
            a .button href=(format!("#jaw-{jaw}")) { (own_name) ": take jaw " (jaw) " again, sharp and square on" }
        }
    }
}
