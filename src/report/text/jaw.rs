//! One photo's part of the report.

use super::super::{CheckReport, PhotoReport, words};
use super::pen::{Ink, Pen};
use super::strip;
use crate::reading::outcome::Reading;
use crate::reading::refusal::Refusal;

pub(super) fn write(pen: &mut Pen, report: &CheckReport, index: usize) {
    let photo = &report.photos[index];
    let odd = report.odd_photo() == Some(index);
    let remark = if odd {
        "  (disagrees with the others)"
    } else {
        ""
    };
    pen.hanging(
        &format!("{}. ", index + 1),
        &format!("{}{remark}", photo.file),
        Ink::Strong,
    );
    match &photo.outcome {
        Ok(inspection) => reading(pen, report, &inspection.reading),
        Err(error) => pen.hanging("    NOT READ: ", &format!("{error}."), Ink::Caution),
    }
    if let Some(place) = &photo.picture {
        pen.hanging("    Picture: ", place, Ink::Plain);
    }
    same(pen, photo);
    pen.blank();
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
