//! The profile beside the photo: tip at the top, one bar per station.

use image::RgbImage;

use super::{BLACK, GREY, PALE, WHITE, canvas};
use crate::reading::method::Method;
use crate::reading::outcome::Reading;
use crate::reading::profile::{ContactProfile, STATIONS};

/// Measures in px for a panel of 1000 px height; everything scales with it.
const WIDTH: f64 = 480.0;
const BARS: [f64; 4] = [130.0, 150.0, 450.0, 830.0];
const LETTERS: f64 = 28.0;
/// Top of the legend.
const SWATCHES: f64 = 876.0;
const PITCH: f64 = 16.0;

/// Draws the panel that high.
pub(super) fn draw(profile: &ContactProfile, reading: &Reading, height: u32) -> RgbImage {
    let unit = f64::from(height) / 1000.0;
    let mut panel = RgbImage::from_pixel((WIDTH * unit).round() as u32, height, WHITE);
    bars(&mut panel, profile, unit);
    frame(&mut panel, unit);
    captions(&mut panel, unit);
    legend(&mut panel, reading.method, unit);
    panel
}

fn px(values: [f64; 4], unit: f64) -> [u32; 4] {
    values.map(|v| (v * unit).round() as u32)
}

/// Compound from the left, clean metal to the right of it; crossed where not judged.
fn bars(panel: &mut RgbImage, profile: &ContactProfile, unit: f64) {
    let [left, top, right, bottom] = BARS;
    let pitch = (PITCH * unit).round().max(6.0) as u32;
    for (station, clean) in profile.along.iter().enumerate() {
        let y = |s: usize| top + (bottom - top) * s as f64 / STATIONS as f64;
        let (from, to) = (y(station), y(station + 1));
        match clean {
            None => canvas::paint(panel, px([left, from, right, to], unit), |_, x, y| {
                canvas::unjudged_mark(WHITE, x, y, pitch)
            }),
            Some(clean) => {
                let edge = left + (right - left) * (1.0 - clean.clamp(0.0, 1.0));
                canvas::paint(panel, px([left, from, edge, to], unit), |_, x, y| {
                    canvas::compound_mark(super::BLUE, x, y, pitch)
                });
                canvas::fill(panel, px([edge, from, right, to], unit), PALE);
            }
        }
    }
}

/// Frame and marks at each quarter of the length.
fn frame(panel: &mut RgbImage, unit: f64) {
    let [left, top, right, bottom] = BARS;
    for y in [top, bottom] {
        canvas::fill(
            panel,
            px([left - 2.0, y - 2.0, right + 2.0, y + 2.0], unit),
            BLACK,
        );
    }
    for x in [left, right] {
        canvas::fill(
            panel,
            px([x - 2.0, top - 2.0, x + 2.0, bottom + 2.0], unit),
            BLACK,
        );
    }
    for quarter in 0..=4 {
        let y = top + (bottom - top) * f64::from(quarter) / 4.0;
        canvas::fill(panel, px([left - 14.0, y - 1.5, left, y + 1.5], unit), GREY);
    }
}

fn captions(panel: &mut RgbImage, unit: f64) {
    let [left, top, right, bottom] = BARS;
    let mut write = |text: &str, x: f64, y: f64, size: f64| {
        canvas::text(
            panel,
            text,
            (x * unit, y * unit),
            (size * unit).max(12.0),
            BLACK,
        );
    };
    write("TIP", 14.0, top - 58.0, 40.0);
    write("BASE", 14.0, bottom + 18.0, 40.0);
    write("share of the width", left, top - 82.0, LETTERS);
    for (text, x) in [
        ("0", left),
        ("50", f64::midpoint(left, right) - 16.0),
        ("100 %", right - 56.0),
    ] {
        write(text, x, top - 42.0, LETTERS);
    }
    for quarter in 0..=4 {
        let y = top + (bottom - top) * f64::from(quarter) / 4.0;
        write(
            &format!("{:>3} %", quarter * 25),
            20.0,
            y - LETTERS / 2.0,
            LETTERS,
        );
    }
}

fn legend(panel: &mut RgbImage, method: Method, unit: f64) {
    let pitch = (PITCH * unit).round().max(6.0) as u32;
    let means = match method {
        Method::Seep => "compound = gap",
        Method::Transfer => "compound = contact",
    };
    let swatch = |row: f64| {
        px(
            [
                BARS[0],
                SWATCHES + row * 38.0,
                BARS[0] + 48.0,
                SWATCHES + 28.0 + row * 38.0,
            ],
            unit,
        )
    };
    canvas::paint(panel, swatch(0.0), |_, x, y| {
        canvas::compound_mark(super::BLUE, x, y, pitch)
    });
    canvas::fill(panel, swatch(1.0), PALE);
    canvas::paint(panel, swatch(2.0), |_, x, y| {
        canvas::unjudged_mark(WHITE, x, y, pitch)
    });
    for (row, text) in [means, "clean metal", "not judged"].iter().enumerate() {
        let at = (
            (BARS[0] + 60.0) * unit,
            (SWATCHES + row as f64 * 38.0) * unit,
        );
        canvas::text(panel, text, at, (LETTERS * unit).max(12.0), BLACK);
    }
}
