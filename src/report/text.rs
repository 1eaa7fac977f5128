//! The text report: read at arm's length, beside the machine.

pub(crate) mod advice;
mod call;
mod digits;
pub(crate) mod history;
mod jaw;
mod list;
pub(super) mod pen;
mod people;
mod records;
mod reread;
mod strip;
mod told;

use super::{CheckReport, words};
use pen::{Ink, Pen};

pub use call::call_to_text;
pub use history::history_to_text;
pub use list::list_to_text;
pub(crate) use people::labels_to_text;
pub use people::{
    known_of_check_to_text, people_to_text, record_to_text, score_to_text, sight_in_words,
};
pub use records::{cut_to_text, filed_check_to_text, jaw_set_to_text};
pub(crate) use reread::reread_to_text;
pub use told::{recut_to_text, start_to_text};

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
    // A jaw of several photos stands where its first one does.
    let later = |i: &usize| report.jaw_of(*i).is_some_and(|jaw| jaw.photos[0] != *i);
    let entries = (0..report.photos.len()).filter(|i| !later(i));
    for (number, index) in (1..).zip(entries) {
        jaw::write(&mut pen, report, index, number);
    }
    since_last_check(&mut pen, report);
    advice::write(&mut pen, report);
    if let Some(call) = &report.call {
        call::write(&mut pen, call);
    }
    place_in_archive(&mut pen, report);
    pen.finish()
}

fn heading(pen: &mut Pen, report: &CheckReport) {
    let counted = report.photos.iter().filter(|p| p.counts()).count();
    let given = report.photos.len();
    let method = words::method(report.method);
    let grip = words::grip(report.grip());
    let photos = words::photos(given);
    let photos = match counted {
        all if all == given => photos,
        some => format!("{photos}, {some} counted"),
    };
    let photos = match report.joined.len() {
        0 => photos,
        _ => match report.jaws().len() {
            1 => format!("{photos} of one jaw"),
            jaws => format!("{photos} of {jaws} jaws"),
        },
    };
    pen.wrapped(
        &format!("Soft jaws: {method}, {grip}, {photos}"),
        Ink::Strong,
    );
    let legend = strip::legend(pen, words::compound_means(report.method));
    pen.wrapped(&legend, Ink::Plain);
    pen.blank();
}

/// Before the advice, since it spoils the comparison with what is known of the set.
fn since_last_check(pen: &mut Pen, report: &CheckReport) {
    let Some(filed) = report.filed.as_ref().filter(|f| !f.differences.is_empty()) else {
        return;
    };
    pen.wrapped(
        "Changed since the last check, so the two do not compare:",
        Ink::Caution,
    );
    for d in &filed.differences {
        pen.hanging(
            "  ",
            &format!("{}: was {}, is {}", d.what, d.before, d.now),
            Ink::Plain,
        );
    }
    pen.blank();
}

fn place_in_archive(pen: &mut Pen, report: &CheckReport) {
    let Some(filed) = &report.filed else { return };
    pen.blank();
    let text = format!("{}: {}.", filed.jaw_set, filed.notes.join("; "));
    pen.hanging("Jaw set ", &text, Ink::Plain);
}
