//! The text report: read at arm's length, beside the machine.

mod advice;
mod digits;
mod jaw;
mod pen;
mod recut;
mod start;
mod strip;

use super::{CheckReport, words};
use crate::advice::Grip;
use crate::compound::Method;
use pen::{Ink, Pen};

pub use recut::recut_to_text;
pub use start::start_to_text;

/// What the reader's screen can show.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct TextOptions {
    /// Escape codes for colour; colour never carries meaning alone.
    pub colour: bool,
    /// Block characters; ASCII otherwise.
    pub unicode: bool,
    /// Columns of the terminal; `None` when the report goes elsewhere.
    pub width: Option<usize>,
}

/// The whole report.
pub fn to_text(report: &CheckReport, options: TextOptions) -> String {
    let mut pen = Pen::new(options);
    heading(&mut pen, report);
    for index in 0..report.photos.len() {
        jaw::write(&mut pen, report, index);
    }
    advice::write(&mut pen, report);
    pen.finish()
}

fn heading(pen: &mut Pen, report: &CheckReport) {
    let counted = report.photos.iter().filter(|p| p.counts()).count();
    let given = report.photos.len();
    let method = match report.method {
        Method::Seep => "seep-in check",
        Method::Transfer => "transfer check",
    };
    let grip = match report.grip() {
        Grip::Outside => "outside grip",
        Grip::Inside => "inside grip",
    };
    let photos = match (given, counted) {
        (1, 1) => "1 photo".to_owned(),
        (given, counted) if given == counted => format!("{given} photos"),
        (given, counted) => format!("{given} photos, {counted} counted"),
    };
    pen.wrapped(
        &format!("Soft jaws: {method}, {grip}, {photos}"),
        Ink::Strong,
    );
    let legend = strip::legend(pen, words::compound_means(report.method));
    pen.wrapped(&legend, Ink::Plain);
    pen.blank();
}
