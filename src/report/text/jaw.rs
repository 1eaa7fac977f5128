//! One photo's part of the report.

use super::super::{CheckReport, JawReport, PhotoReport, words};
use super::pen::{Ink, Pen};
use super::strip;
use crate::reading::outcome::Reading;
use crate::reading::refusal::Refusal;

pub(super) fn write(pen: &mut Pen, report: &CheckReport, index: usize, number: usize) {
    let photo = &report.photos[index];
    let views = report.jaw_of(index);
    let files = views.map_or_else(
        || photo.file.clone(),
        |jaw| {
            let files = jaw.photos.iter().map(|i| report.photos[*i].file.as_str());
            files.collect::<Vec<_>>().join(", ")
        },
    );
    let odd = report.odd_photo() == Some(index);
    let remark = if odd {
        "  (disagrees with the others)"
    } else {
        ""
    };
    pen.hanging(
        &format!("{number}. "),
        &format!("{files}{remark}"),
        Ink::Strong,
    );
    match (views, &photo.outcome) {
        (Some(jaw), _) => {
            reading(pen, report, &jaw.joined.reading);
            each_view(pen, report, jaw);
        }
        (None, Ok(inspection)) => reading(pen, report, &inspection.reading),
        // Messages of errors end without a stop.
        (None, Err(error)) => pen.hanging("    NOT READ: ", &format!("{error}."), Ink::Caution),
    }
    let pictures = views.map_or(vec![index], |jaw| jaw.photos.clone());
    for place in pictures
        .iter()
        .filter_map(|i| report.photos[*i].picture.as_ref())
    {
        pen.hanging("    Picture: ", place, Ink::Plain);
    }
    same(pen, photo);
    pen.blank();
}

/// What each photo of a jaw says by itself, and why it took no part where it took none.
fn each_view(pen: &mut Pen, report: &CheckReport, jaw: &JawReport) {
    for (index, aside) in jaw.photos.iter().zip(&jaw.joined.left_out) {
        let photo = &report.photos[*index];
        let Some(reading) = photo.inspection().map(|i| &i.reading) else {
            continue;
        };
        let alone = words::alone(reading);
        let text = match aside {
            None => format!("{} alone: {alone}.", photo.file),
            Some(aside) => format!("{} left out: {}.", photo.file, words::set_aside(*aside)),
        };
        pen.hanging("    ", &text, Ink::Plain);
    }
}

/// A photo that was given twice says so before anything else could be made of it.
fn same(pen: &mut Pen, photo: &PhotoReport) {
    if photo.same_as.is_some() {
        pen.hanging("    ", "Not counted in the check.", Ink::Caution);
    }
}

fn reading(pen: &mut Pen, report: &CheckReport, reading: &Reading) {
    if let Some(profile) = &reading.profile {
        let (strip, scale) = (strip::draw(pen, profile), strip::scale(pen));
        pen.line(&strip);
        pen.line(&scale);
    }
    match &reading.refusal {
        Some(refusal) => refused(pen, refusal),
        None => judged(pen, report, reading),
    }
    for warning in &reading.warnings {
        pen.hanging("    ! ", &words::sentence(warning), Ink::Caution);
    }
}

fn refused(pen: &mut Pen, refusal: &Refusal) {
    let why = format!("Cannot be judged: {}.", words::reason(refusal.reason));
    pen.hanging("    ", &why, Ink::Retake);
    pen.hanging("    ", &words::sentence(&refusal.advice), Ink::Plain);
}

fn judged(pen: &mut Pen, report: &CheckReport, reading: &Reading) {
    let pattern = words::pattern(reading.pattern, report.grip());
    pen.hanging("    ", &words::sentence(pattern), Ink::Strong);
    let certainty = words::capitalised(words::confidence(reading.confidence));
    let name = words::name(reading.pattern);
    let bands = words::bands(&reading.bands);
    let percent = words::percent(reading.confidence);
    let detail = format!("{certainty} ({percent}) of {name}; {bands}.");
    pen.hanging("    ", &detail, Ink::Plain);
    if let Some(profile) = &reading.profile {
        let [tip, middle, base] = profile.contact(reading.method).map(words::percent);
        let thirds = format!("In contact: tip third {tip}, middle {middle}, base {base}.");
        pen.hanging("    ", &thirds, Ink::Plain);
    }
}
