//! Text and tables from outside.
//!
//! - *Comes in*: names, notes and file names that a user, a file or a photo brought; CSV tables.
//! - *Goes out*: text that may be shown, and the lines of a table, each with its number in the file.
//! - *May not know*: anything of jaws, photos or records; which columns a table has is its caller's matter.
//!
//! What is kept is what was given. It is made harmless where it is shown: [`outside::printable`] takes out what could steer
//! a terminal, or turn the direction of writing so that a name reads as another. Escaping for HTML is the templates'
//! matter, and of formulas for spreadsheets [`spreadsheet::for_cell`]'s.
//!
//! Every table is read by one reader, whoever asks (jaw sets, groups of a review, answer sheets, what was right): quoting
//! as RFC 4180 has it; a line that cannot be used is named, also after empty ones, and the rest counts.

pub(crate) mod outside;
pub(crate) mod spreadsheet;
