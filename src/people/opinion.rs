//! The second opinion: what a person says of a check before the reading is shown, beside what the reading
//! says; what was right in the end; and what to practise next. Pure values and their words.
//!
//! A call is a pattern and what it asks for. What was right is known, in this order, from the outcome that
//! later cuts proved, from a lead's ruling, from the program's reading ([`truth`]).

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
pub use rows::rows;
pub(crate) use rows::rulings;
pub use truth::{Basis, Truth, truth};
pub(crate) use truth::{Outcomes, answer};
pub use words::{asked_instead, differences, reason};
