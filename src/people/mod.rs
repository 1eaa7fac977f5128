//! What people say about checks: before the reading is shown, in practice, in a study, as a lead.
//!
//! - *Comes in*: calls (a pattern, and the change that it asks for); the program's answers; records of jaw
//!   sets; filled-in sheets and tables of what was right, as bytes.
//! - *Goes out*: how a call stands beside an answer, what was right and what that rests on, what to
//!   practise next, how well several people agree; orders and keys of a study.
//! - *May not know*: the disk, SQL, the page, how it is shown. Times and seeds are given, none is taken
//!   here.
//!
//! | module | what |
//! | --- | --- |
//! | [`records`] | calls and people, as they are kept |
//! | [`opinion`] | a call, held against an answer and against what was right; practice |
//! | [`labels`] | what was corrected of single photos |
//! | [`agreement`] | counting: kappas, alpha, shares, intervals |
//! | [`prove`] | the program's answers, held against what was right: what so many can bear |
//! | [`study`] | who sees which photo when; answer sheets; the key |
//!
//! The way of a call: [`opinion::Call::new`] → filed as a [`records::FiledCall`] → [`opinion::compare`]
//! with the program's [`records::Answer`] → later [`opinion::truth`] → [`opinion::rows`] →
//! [`agreement::Calls::of_rows`] → [`agreement::agreement`]. A study's sheets come to the same `Calls` by
//! [`study::read_sheet`] and [`study::Study::programs_calls`].
//!
//! Begin with [`opinion::Call`] and [`opinion::compare`]; then `opinion/truth.rs` for what was right, and
//! the top of `agreement/against.rs` for the words that the figures go by.
//!
//! Of a person nothing is kept but initials or a shop number, 1 to 8 letters or digits. None of this is a
//! lock: the program believes who somebody says they are.

pub mod agreement;
pub(crate) mod labels;
pub(crate) mod opinion;
pub mod prove;
pub(crate) mod records;
pub(crate) mod study;
