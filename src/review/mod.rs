//! Folders of photos → one line per photo and one per check, and what stands out among them.
//!
//! - *Comes in*: a record per photo read; a table of what belongs together; what the archive says; the
//!   rules.
//! - *Goes out*: photo and check lines, the same for a spreadsheet, findings.
//! - *May not know*: the disk, the archive's SQL, how pages look. Walking, keeping and watching are
//!   `commands/review`'s matter.
//!
//! A reading does not depend on the rules, so other rules or tapers advise anew without reading again. The
//! advice is that of `read` without `--jaws`: earlier checks of the set do not join it.
//!
//! # The way through
//!
//! | file | what |
//! | --- | --- |
//! | [`told`] | what the table ([`table`]), the archive and the folder say about a photo |
//! | [`record`] | a photo read: its line, and what the advice needs besides |
//! | [`gather`] | photos → checks: which were taken after one clamping |
//! | [`jaw`] | what a jaw says, kept as far as advice asks for it |
//! | [`advised`] | a check's photos → its line, with today's advice |
//! | [`questions`] | what the photos leave open that words can settle, beside the table as it was [`written`] |
//! | [`lines`] | the two kinds of line, as others read them |
//! | [`output`] | lines → JSON lines and tables |
//! | [`reread`] | filed photos read again, beside what is filed and what proved true |
//! | [`findings`] | what a lead looks for first: against the advice, passes, drift, a jaw that keeps disagreeing |
//!
//! Begin with [`PhotoLine`] and [`CheckLine`], then [`Gathering`].
//!
//! Photos come one after the other, by file, then checks, by jaw set and time. What needs all of them holds some bytes of each
//! ([`Gathering`], [`Finder`], [`Open`]), and reads a line again where it says more ([`Lines`]): a review of a million photos must
//! not hold their lines.
//!
//! # What belongs together
//!
//! The first that applies:
//!
//! 1. A line of the table (`--groups`): `file` (as in the result, or its name alone where only one photo
//!    has it), `jaw_set`, `check` (any word; photos of a jaw set with the same one are a check), `jaw`
//!    (a number; photos of a check with the same one are of one jaw, which is read from all of them together), `taper` (with a unit), `grip`,
//!    `method`, `tip`, `done`. Only what a line says replaces what follows; photos with a
//!    jaw set and no check are gathered by time, in whatever folders. Bad lines are named and not used.
//!    Tapers that contradict each other within a check count as none.
//! 2. The archive: the check that the photo is filed under, with its cut's taper, its set's grip, its
//!    method and what was done, and which photos are of one jaw.
//! 3. The folder: photos of one folder whose times are not more than half an hour apart are a check. Photos
//!    without a time in one folder are one check up to six (jaws of a chuck), and one each beyond that. The
//!    jaw set is the innermost folder whose name is a set in the archive, else the innermost whose name has
//!    letters other than “check”, “cut”, “photo”, “jaw”.
//!
//! Photos of different methods never share a check. A file that could not be opened belongs to a check only
//! where its EXIF data give a time or 1 or 2 name it. A check's id is the archive's, else it follows from
//! its first photo.
//!
//! # Several photos of one jaw
//!
//! - Those that are told to be of one jaw are read together by the code of `read --jaw` (`commands/review/together` opens the
//!   files); what they say is kept by the photos' contents and stands in the check's line (`jaws`).
//! - Those that may be so are asked about, never merged, and count as no jaw of their own for a change or a *leave*
//!   (`advised/retakes`, with what was measured).
//!
//! # Lines
//!
//! `review.jsonl` (and `--jsonl`): one object a line, photos by file, then checks by jaw set and time.
//! `kind` is `photo` (the fields of `PhotoLine`, then `tip`, `tip_contradicted`, `method_contradicted`,
//! `along_sd` and `told`) or `check` (`CheckLine`, then `in_numbers`: the tapers labelled per side and on
//! the diameter). Lengths are exact texts in µm, per side; other numbers are not rounded. `--csv FILE`: the
//! checks, tapers and changes labelled per side and on the diameter in thou and mm; the photos in `FILE`
//! with `-photos` in its name. There is no Parquet: the maintained crate, without Arrow, brings 14 more
//! packages, and what reads Parquet reads CSV and JSON lines too.

mod advised;
mod findings;
mod gather;
mod jaw;
mod lines;
mod output;
mod questions;
mod record;
mod reread;
mod table;
mod told;
mod written;

pub(crate) use advised::{Together, check_line, of_several_photos};
pub(crate) use findings::{
    Drift, Finder, Findings, Flag, ODD_LOOKED_AT, Order, PASSES_EXPECTED, WhyAgainst,
};
pub(crate) use gather::{Gathered, Gathering, PAUSE};
pub use jaw::JawReading;
pub(crate) use lines::Lines;
pub use lines::{CheckLine, Contact, JawLine, PerhapsOneJaw, PhotoLine};
pub(crate) use output::{Tables, check_json, photo_json};
pub(crate) use questions::Open;
pub use questions::{About, Asked, Question, Questions};
pub(crate) use record::{Key, PhotoRecord, ResultLine};
pub(crate) use reread::{CheckReread, Known, Otherwise, Reread, Side, Turned, Unopened};
pub(crate) use table::{Row, Table, in_a_cell};
pub(crate) use told::{Archived, Sources};
pub use written::Written;
