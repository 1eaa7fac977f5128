//! One photo of a check, or one jaw that was read from several.

use maud::{Markup, html};

use super::super::words;
use super::check::Whole;
use super::{Review, paths, shown, strip};
use crate::reading::method::Method;
use crate::reading::pattern::Pattern;
use crate::reading::profile::Band;
use crate::reading::refusal::Reason;
use crate::review::{JawLine, JawReading, PhotoLine};
use crate::taper::advice::Grip;

/// Width of a thumbnail, in pixels; its height follows the photo's.
const THUMB: u32 = 320;

/// What a photo says, or a jaw.
struct Says<'a> {
    method: Method,
    pattern: Pattern,
    confidence: f64,
    refusal: Option<Reason>,
    warnings: &'a [String],
    profile: &'a [Option<f64>],
    bands: &'a [Band],
}

impl<'a> From<&'a PhotoLine> for Says<'a> {
    fn from(photo: &'a PhotoLine) -> Self {
        Self {
            method: photo.method,
            pattern: photo.pattern,
            confidence: photo.confidence,
            refusal: photo.refusal,
            warnings: &photo.warnings,
            profile: &photo.profile,
            bands: &photo.bands,
        }
    }
}

impl<'a> From<&'a JawReading> for Says<'a> {
    fn from(jaw: &'a JawReading) -> Self {
        Self {
            method: jaw.method,
            pattern: jaw.pattern,
            confidence: jaw.confidence,
            refusal: jaw.refusal,
            warnings: &jaw.warnings,
            profile: &jaw.profile,
            bands: &jaw.bands,
        }
    }
}

/// `place` counts the check's photos from 0.
pub(super) fn card(review: &Review<'_>, whole: &Whole, photo: &PhotoLine, place: usize) -> Markup {
    let check = &whole.check;
    let is_odd = check.odd_jaw == Some(place);
    html! {
        section .card {
            h3 {
                (title(whole, place)) ": " (words::name(photo.pattern))
            }
            @if is_odd { (odd()) }
            (picture(photo, whole, place))
            @if let Some(error) = &photo.error {
                p { strong { "The file could not be read: " } (shown::free(error)) }
            } @else {
                (outcome(review, &photo.into(), check.grip))
            }
            (details(&photo.into()))
            (facts(photo))
        }
    }
}

/// Several photos of one jaw, read together.
pub(super) fn together(review: &Review<'_>, whole: &Whole, jaw: &JawLine) -> Markup {
    let check = &whole.check;
    let is_odd = check.odd_jaw.is_some() && check.odd_jaw == jaw.photos.first().copied();
    let says = Says::from(&jaw.reading);
    html! {
        section .card {
            h3 { "Jaw " (number(whole, jaw.photos[0])) ": " (words::name(says.pattern)) }
            @if is_odd { (odd()) }
            p { (places(&jaw.photos)) " were read together: they are said to be of jaw " (jaw.jaw) ". What counts is this." }
            (outcome(review, &says, check.grip))
            (details(&says))
        }
    }
}

/// `Photos 2, 3 and 4`.
fn places(photos: &[usize]) -> String {
    let numbers: Vec<String> = photos.iter().map(|place| (place + 1).to_string()).collect();
    match &numbers[..] {
        [before @ .., last] if !before.is_empty() => {
            format!("Photos {} and {last}", before.join(", "))
        }
        _ => format!("Photo {}", numbers.concat()),
    }
}

/// A photo is a jaw, but where several are of one, or may be.
pub(super) fn title(whole: &Whole, place: usize) -> String {
    let (check, photo) = (&whole.check, place + 1);
    if !check.perhaps_one_jaw.is_empty() {
        format!("Photo {photo}")
    } else if check.jaws.is_empty() {
        format!("Jaw {photo}")
    } else {
        format!("Photo {photo}, jaw {}", number(whole, place))
    }
}

/// Of the jaw of that photo, as the advice counts them: by their first photos that could be opened.
fn number(whole: &Whole, place: usize) -> usize {
    let jaws = &whole.check.jaws;
    let jaw = jaws.iter().find(|jaw| jaw.photos.contains(&place));
    let first = jaw.map_or(place, |jaw| jaw.photos[0]);
    let is_first = |at: &usize| !jaws.iter().any(|jaw| jaw.photos[1..].contains(at));
    let photo = |at: usize| whole.photos[at].as_ref();
    let opened = |at: &usize| photo(*at).is_some_and(|p| p.error.is_none());
    1 + (0..first).filter(is_first).filter(opened).count()
}

fn odd() -> Markup {
    html! { p .note { strong { "This jaw disagrees with the others." } } }
}

fn outcome(review: &Review<'_>, says: &Says<'_>, grip: Grip) -> Markup {
    html! {
        @if let Some(reason) = says.refusal {
            p { strong { "Refused: " } (words::reason(reason)) ". " (review.rules.refusal(reason)) }
        } @else {
            p { (words::sentence(words::pattern(says.pattern, grip))) " Confidence " (shown::confidence(says.confidence)) "." }
        }
    }
}

fn details(says: &Says<'_>) -> Markup {
    html! {
        (strip::strip(says.profile, says.bands))
        @if !says.profile.is_empty() { p .legend { "Dark: " (words::compound_means(says.method)) "; hatched: not judged. " (words::sentence(&words::bands(says.bands))) } }
        @if !says.warnings.is_empty() {
            ul .warnings { @for warning in says.warnings { li { strong { "Warning: " } (shown::free(warning)) } } }
        }
    }
}

/// The thumbnail, linked to the picture with the reading.
fn picture(photo: &PhotoLine, whole: &Whole, place: usize) -> Markup {
    let of = |path: Option<String>| path.filter(|_| photo.error.is_none());
    let thumb = of(paths::thumb_path(&photo.sha256));
    let picture = of(paths::picture_path(&photo.sha256));
    let (Some(thumb), Some(picture)) = (thumb, picture) else {
        return html! { p .nothing { "There is no picture." } };
    };
    let [width, height] = thumb_size(photo.size_px);
    html! {
        a .picture href=(format!("../{picture}")) {
            img loading="lazy" src=(format!("../{thumb}")) width=(width) height=(height)
                alt={ (title(whole, place)) "; opens the picture with its reading" };
        }
    }
}

/// Square where the photo's size is not known; the page must not jump when pictures arrive.
fn thumb_size(size: Option<[u32; 2]>) -> [u32; 2] {
    let height = |[w, h]: [u32; 2]| u64::from(THUMB) * u64::from(h) / u64::from(w.max(1));
    let height = size.map_or(u64::from(THUMB), height);
    // The size comes from the result, which somebody may have changed: a page must not become miles long.
    [THUMB, height.clamp(1, u64::from(4 * THUMB)) as u32]
}

fn facts(photo: &PhotoLine) -> Markup {
    html! {
        dl .facts {
            dt { "File" } dd { bdi { (shown::free(&photo.file)) } }
            @for other in photo.same_as.iter().take(5) { dt { "The same as" } dd { bdi { (shown::free(other)) } } }
            @if photo.same_as.len() > 5 { dt { "And" } dd { (photo.same_as.len() - 5) " more copies" } }
            dt { "Taken" } dd { (shown::time(photo.taken.as_deref())) }
            @if let Some(contact) = photo.contact {
                dt { "Contact" }
                dd { "tip " (words::percent(contact.tip)) ", middle " (words::percent(contact.middle)) ", base " (words::percent(contact.base)) }
            }
            dt { "Read as" } dd { (words::method(photo.method)) ", by seepline " (shown::name(&photo.program)) }
        }
    }
}
