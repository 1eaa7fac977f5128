//! The second opinion: what a person says of a check before the reading is shown, beside what the reading
//! says; what was right in the end; and what to practise next. Pure values and their words.
//!
//! A call is a pattern and what it asks for. What was right is known, in this order, from the outcome that
//! later cuts proved, from a lead's ruling, from a feeler at the open end, from the program's reading ([`truth()`]).
//!
//! `Call::new` says which pattern and change can stand together; a pattern with a change that it never asks
//! for is taken, since that is the mistake to learn from. `compare(&Call, &Answer)`, then `differences`,
//! `reason` and `asked_instead` in words, `places(&Reading)` for what decides it in the picture.
//! `truth(check, &Timeline, ruling, …)` says what was right; `rows` are for statistics; `practice` draws
//! and scores a round.
//!
//! # What was right
//!
//! By outcome: the needed taper as the *later* checks show it, up to the first that gripped along its whole
//! length with nothing in between that changed the needed taper or contradicted it, less the taper of this
//! check; only where its interval excludes the other way, and only for checks that say something of the
//! taper. The check's own reading has no part in the interval, but it must not contradict the later ones:
//! which of the two was misread is then not known. Else a lead's ruling, else a feeler, else the program's reading.
//!
//! # Practice
//!
//! The truth that was told is kept with the answer (`told`), since photos of a table need not be in the
//! archive and a truth may become better known. Boxes (Leitner's) are replayed from the answers, so there
//! is no other state to lose. Photos come from `--photos DIR` with a `truth.json` as in `sample-images`
//! (which is not in the crate's package), or from the shop's finished checks. A change is right within one
//! increment of the table's.
//!
//! # Filing (the archive's and the commands' part)
//!
//! - `read` settles what was called, whether the person called that check already (by the files' SHA-256,
//!   nothing decoded) and whether they must call first, before any photo is read. The call is filed after
//!   the check and before anything is printed or drawn, so a reading that was shown has its call on the
//!   disk; a kill in between leaves a check without a call, whose reading nobody has seen.
//! - A check under way keeps the id of its filed call and asks by that. Erasing puts the number into its
//!   sheet, too, and is refused while a server runs.
//! - A trigger forbids changing what was called, a unique index a second call. Merging may change whose a
//!   call is (erased), its check (united) and whether it is hidden (both archives had a call of the same
//!   person on the same check: the first stands).
//! - Ids of calls are random: one that followed from the person could be found by trying all initials.
//!   Erasing overwrites (`secure_delete`) and empties the log. The person's calls keep one number, so that
//!   agreement can still be counted; whoever remembers who was there at that time can still tell.

mod call;
mod change;
mod compare;
mod person;
mod places;
mod practice;
mod rows;
mod signs;
mod truth;
mod words;

pub use crate::reading::pattern::Direction;
pub use call::{Call, CallError};
pub(crate) use call::{all_patterns, pattern_called};
pub use change::{CalledChange, ChangeError};
pub use compare::{AmountOff, Comparison, MixedUp, Outcome, compare};
pub use person::{Person, PersonError};
pub use places::places;
pub(crate) use places::places_filed;
pub use practice::{
    Answered, Candidate, Confusion, Drill, Place, Score, TableError, Try, boxes, draw, drills,
    score,
};
pub(crate) use practice::{Question, answered};
pub use rows::rows;
pub(crate) use rows::{rulings, words};
pub use truth::{Basis, Truth, truth};
pub(crate) use truth::{Outcomes, Word, answer};
pub use words::{asked_instead, differences, reason};
