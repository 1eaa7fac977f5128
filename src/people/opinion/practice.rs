//! What to practise next, and how it went.
//!
//! Spacing is Leitner's: what is answered right goes one box on and comes back half as often, what is missed
//! goes back to the first box (Sebastian Leitner, “So lernt man lernen”, Herder, Freiburg 1972; five boxes as
//! there, each twice as long as the one before, which is the common way to turn his filling of boxes into
//! rounds; from memory).

mod boxes;
mod draw;
mod question;
mod score;
mod table;

pub use boxes::{Answered, Place, boxes};
pub use draw::{Candidate, draw};
pub(crate) use question::{Question, answered};
pub use score::{Confusion, Score, score};
pub use table::{Drill, TableError, drills};

use super::call::Call;
use super::compare::{Comparison, compare};
use super::truth::Truth;

/// One question with its answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Try {
    /// What was said.
    pub call: Call,
    /// What was right.
    pub truth: Truth,
}

impl Try {
    /// How the two stand to each other.
    pub fn comparison(&self) -> Comparison {
        compare(&self.call, &self.truth.answer())
    }

    /// Whether it need not come back soon: the pattern is right, and the change goes the right way. How much
    /// is hard to tell from a picture, and is counted apart.
    pub fn is_known(&self) -> bool {
        let c = self.comparison();
        c.same_pattern && c.outcome.is_right_way()
    }
}
