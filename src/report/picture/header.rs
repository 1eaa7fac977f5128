//! What the picture says in large letters.

use image::RgbImage;

use super::super::{CheckReport, printable, words};
use super::{BLACK, WHITE, canvas};
use crate::reading::outcome::Reading;
use crate::taper::advice::{Action, Advice};
use crate::units::amount::Amount;

/// Round the lettering.
const MARGIN_PX: f64 = 20.0;

/// One paragraph: its height as a share of the picture's width, and its text.
struct Paragraph {
    size: f64,
    text: String,
}

/// The lettering on white, as wide as asked for and as tall as it needs.
pub(super) fn draw(report: &CheckReport, index: usize, width: u32) -> RgbImage {
    let lines = lines(&paragraphs(report, index), f64::from(width));
    let height: f64 = lines.iter().map(|(size, _)| size * 1.15).sum();
    let mut picture = RgbImage::from_pixel(width, (height + 2.0 * MARGIN_PX).ceil() as u32, WHITE);
    let mut y = MARGIN_PX;
    for (size, line) in lines {
        canvas::text(&mut picture, &line, (MARGIN_PX, y), size, BLACK);
        y += size * 1.15;
    }
    picture
}

fn lines(paragraphs: &[Paragraph], width: f64) -> Vec<(f64, String)> {
    let mut lines = Vec::new();
    for paragraph in paragraphs {
        let size = (paragraph.size * width).clamp(18.0, 72.0);
        let room = canvas::characters(width - 2.0 * MARGIN_PX, size);
        let wrapped = textwrap::wrap(&paragraph.text, room);
        lines.extend(wrapped.into_iter().map(|line| (size, line.into_owned())));
    }
    lines
}

fn paragraphs(report: &CheckReport, index: usize) -> Vec<Paragraph> {
    let photo = &report.photos[index];
    let mut paragraphs = vec![Paragraph {
        size: 0.020,
        text: printable(&photo.file),
    }];
    paragraphs.push(Paragraph {
        size: 0.040,
        text: this_jaw(photo.inspection().map(|i| &i.reading), report),
    });
    // The picture marks what this photo shows by itself.
    paragraphs.extend(report.jaw_of(index).map(|jaw| Paragraph {
        size: 0.030,
        text: format!(
            "With the jaw's other photos: {}",
            this_jaw(Some(&jaw.joined.reading), report)
        ),
    }));
    if let Some(reading) = photo.inspection().map(|i| &i.reading) {
        paragraphs.extend(reading.warnings.iter().map(|w| Paragraph {
            size: 0.020,
            text: format!("! {w}"),
        }));
    }
    let headline = format!("All jaws: {}", words::headline(&report.advice));
    paragraphs.push(Paragraph {
        size: 0.030,
        text: headline,
    });
    paragraphs.extend(change(&report.advice).map(|text| Paragraph { size: 0.036, text }));
    paragraphs.extend(report.proof.as_ref().map(|proof| Paragraph {
        size: 0.020,
        text: proof.line.clone(),
    }));
    paragraphs
}

fn this_jaw(reading: Option<&Reading>, report: &CheckReport) -> String {
    let Some(reading) = reading else {
        return "Not read".to_owned();
    };
    if let Some(refusal) = &reading.refusal {
        let (why, advice) = (
            words::reason(refusal.reason),
            words::sentence(&refusal.advice),
        );
        return format!("Cannot be judged: {why}. {advice}");
    }
    let pattern = words::capitalised(words::pattern(reading.pattern, report.grip()));
    format!("{pattern} ({})", words::percent(reading.confidence))
}

/// Both numbers, where there is a change.
fn change(advice: &Advice) -> Option<String> {
    let change = advice
        .taper_change
        // To leave the taper is a change of zero, too, but no number to cut by.
        .filter(|_| advice.action == Action::Recut)?
        .change;
    Some(format!(
        "{} thou per side, {} thou on the diameter",
        Amount::from(change).signed_thou(),
        Amount::from(change.on_diameter()).signed_thou()
    ))
}
