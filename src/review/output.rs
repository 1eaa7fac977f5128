//! Lines → JSON lines and CSV.

use std::io::{self, Write};

use super::lines::{CheckLine, PhotoLine};
use super::record::PhotoRecord;
use crate::reading::method::Method;
use crate::taper::rules::name;
use crate::text::spreadsheet::cells::{Cells, Rows, cell, maybe, text};
use crate::units::PerSide;
use crate::units::amount::BothWays;
use crate::units::cells::taper;

/// A photo as one JSON object on a line, its `kind` first. In a result the photos stand by file, then the checks.
///
/// # Errors
/// Where it cannot be written.
pub(crate) fn photo_json(photo: &PhotoRecord, into: &mut impl Write) -> io::Result<()> {
    line("photo", photo, into)
}

/// The same of a check.
///
/// # Errors
/// Where it cannot be written.
pub(crate) fn check_json(check: &CheckLine, into: &mut impl Write) -> io::Result<()> {
    line("check", &InNumbers::of(check), into)
}

/// A check line, and its tapers labelled per side and on the diameter.
#[derive(serde::Serialize)]
struct InNumbers<'a> {
    #[serde(flatten)]
    line: &'a CheckLine,
    in_numbers: Numbers,
}

#[derive(serde::Serialize)]
struct Numbers {
    taper: Option<BothWays>,
    change: Option<BothWays>,
    low: Option<BothWays>,
    high: Option<BothWays>,
    next_taper: Option<BothWays>,
}

impl<'a> InNumbers<'a> {
    fn of(line: &'a CheckLine) -> Self {
        let both = |taper: Option<PerSide>| taper.map(BothWays::from);
        Self {
            line,
            in_numbers: Numbers {
                taper: both(line.taper),
                change: both(line.change),
                low: both(line.low),
                high: both(line.high),
                next_taper: both(line.next_taper),
            },
        }
    }
}

#[derive(serde::Serialize)]
struct Tagged<'a, T> {
    kind: &'static str,
    #[serde(flatten)]
    line: &'a T,
}

fn line(kind: &'static str, line: &impl serde::Serialize, into: &mut impl Write) -> io::Result<()> {
    serde_json::to_writer(&mut *into, &Tagged { kind, line })?;
    into.write_all(b"\n")
}

/// The tables for a spreadsheet, written row by row: of the checks, tapers and changes labelled per side and on the diameter, in
/// thousandths of an inch and in millimetres; of the photos, without their profiles. Free text is defused for spreadsheets.
pub(crate) struct Tables<W: Write> {
    checks: Rows<W>,
    photos: Rows<W>,
}

impl<W: Write> Tables<W> {
    /// # Errors
    /// Where they cannot be written.
    pub(crate) fn begin([checks, photos]: [W; 2]) -> io::Result<Self> {
        let blank = PhotoRecord::broken(String::new(), String::new(), Method::default());
        Ok(Self {
            // Blank lines name the columns, where there is no check too.
            checks: Rows::under(&check_cells(&super::advised::blank()), checks)?,
            photos: Rows::under(&photo_cells(&blank.line), photos)?,
        })
    }

    /// # Errors
    /// Where it cannot be written.
    pub(crate) fn check(&mut self, check: &CheckLine) -> io::Result<()> {
        self.checks.add(&check_cells(check))
    }

    /// # Errors
    /// Where it cannot be written.
    pub(crate) fn photo(&mut self, photo: &PhotoLine) -> io::Result<()> {
        self.photos.add(&photo_cells(photo))
    }

    /// Both, written to their ends.
    ///
    /// # Errors
    /// Where they cannot be.
    pub(crate) fn end(self) -> io::Result<[W; 2]> {
        Ok([self.checks.end()?, self.photos.end()?])
    }
}

fn check_cells(check: &CheckLine) -> Cells {
    let mut cells = vec![
        cell("check", &check.check),
        text("jaw_set", check.jaw_set.as_deref()),
        text("made", check.made.as_deref()),
        cell("photos", check.photos.len()),
        cell("grip", name(check.grip)),
    ];
    cells.extend(taper("taper", check.taper));
    cells.extend([
        cell("pattern", name(check.pattern)),
        cell("action", name(check.action)),
        cell("confidence", check.confidence),
    ]);
    cells.extend(taper("change", check.change));
    cells.extend(taper("low", check.low));
    cells.extend(taper("high", check.high));
    cells.extend(taper("next_taper", check.next_taper));
    cells.extend([
        // People count jaws from one, as the pages do.
        maybe("odd_jaw", check.odd_jaw.map(|i| i + 1)),
        text("what_to_do", Some(&check.what_to_do)),
        text("why", Some(&check.why)),
        text("look_at_first", Some(&check.look_at_first.join(" / "))),
        text("done", check.done.as_deref()),
        text("rules", Some(&check.rules)),
        text("proof", check.proof.as_deref()),
        cell("sha256", check.photos.join(" ")),
    ]);
    cells
}

fn photo_cells(photo: &PhotoLine) -> Cells {
    let [width, height] = [0, 1].map(|i| photo.size_px.map(|s| s[i]));
    let contact = photo.contact;
    vec![
        text("file", Some(&photo.file)),
        cell("sha256", &photo.sha256),
        cell("check", &photo.check),
        text("taken", photo.taken.as_deref()),
        maybe("width_px", width),
        maybe("height_px", height),
        cell("method", name(photo.method)),
        cell("pattern", name(photo.pattern)),
        cell("confidence", photo.confidence),
        maybe("refusal", photo.refusal.map(name)),
        text("error", photo.error.as_deref()),
        maybe("contact_tip", contact.map(|c| c.tip)),
        maybe("contact_middle", contact.map(|c| c.middle)),
        maybe("contact_base", contact.map(|c| c.base)),
        text("warnings", Some(&photo.warnings.join(" / "))),
        text("same_as", Some(&photo.same_as.join(" / "))),
        text("program", Some(&photo.program)),
    ]
}
