//! One photo of a check.

use maud::{Markup, html};

use super::super::words;
use super::{Review, paths, shown, strip};
use crate::reading::method::Method;
use crate::review::PhotoLine;
use crate::taper::advice::Grip;

/// Width of a thumbnail, in pixels; its height follows the photo's.
const THUMB: u32 = 320;

/// `place` counts the check's photos from 0.
pub(super) fn card(
    review: &Review<'_>,
    photo: &PhotoLine,
    place: usize,
    grip: Grip,
    is_odd: bool,
) -> Markup {
    html! {
        section .card {
            h3 {
                "Jaw " (place + 1) ": " (words::name(photo.pattern))
            }
            @if is_odd { p .note { strong { "This jaw disagrees with the others." } } }
            (picture(photo, place))
            @if let Some(error) = &photo.error {
                p { strong { "The file could not be read: " } (shown::free(error)) }
            } @else if let Some(reason) = photo.refusal {
                p { strong { "Refused: " } (words::reason(reason)) ". " (review.rules.refusal(reason)) }
            } @else {
                p { (words::sentence(words::pattern(photo.pattern, grip))) " Confidence " (shown::confidence(photo.confidence)) "." }
            }
            (strip::strip(photo))
            @if !photo.profile.is_empty() { p .legend { "Dark: " (words::compound_means(photo.method)) "; hatched: not judged. " (words::sentence(&words::bands(&photo.bands))) } }
            @if !photo.warnings.is_empty() {
                ul .warnings { @for warning in &photo.warnings { li { strong { "Warning: " } (shown::free(warning)) } } }
            }
            (facts(photo))
        }
    }
}

/// The thumbnail, linked to the picture with the reading.
fn picture(photo: &PhotoLine, place: usize) -> Markup {
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
                alt={ "Photo of jaw " (place + 1) "; opens the picture with its reading" };
        }
    }
}

/// Square where the photo's size is not known; the page must not jump when pictures arrive.
fn thumb_size(size: Option<[u32; 2]>) -> [u32; 2] {
    let height = |[w, h]: [u32; 2]| u64::from(THUMB) * u64::from(h) / u64::from(w.max(1));
    let height = size.map_or(u64::from(THUMB), height);
    [THUMB, height.clamp(1, u64::from(4 * THUMB)) as u32]
}

fn facts(photo: &PhotoLine) -> Markup {
    let method = match photo.method {
        Method::Seep => "seep-in check",
        Method::Transfer => "transfer check",
    };
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
            dt { "Read as" } dd { (method) ", by seepline " (shown::name(&photo.program)) }
        }
    }
}
