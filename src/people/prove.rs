//! Proving the program out in a shop: how many of its answers were held against what was right, and what
//! so few can bear.
//!
//! # What counts
//!
//! An answer that was filed while a prove-out is kept, as it was first given ([`Advised`]), beside what was
//! right by one of these, the first that there is: what later cuts and checks of the set proved; what a lead
//! called before the reading was shown; a feeler at the open end under full clamp. A ruling made after the
//! reading was seen is not independent of it and counts for nothing here. A check of which none of these is
//! known does not count, nor does one that the program did not answer, which is told apart.
//!
//! # The plan
//!
//! So many checks, fixed beforehand, and not one of them the wrong way; the first that goes the wrong way ends it.
//! That is a single-sampling plan with acceptance number 0, curtailed (Girshick, Mosteller and Savage, Ann. Math.
//! Stat. 17:13, 1946). The number is that of Wilks, Ann. Math. Stat. 12:91, 1941: the least `n` with
//! `(1 − p)ⁿ ≤ 1 − confidence`.
//!
//! Looking at it often, or ending it early because it looks well, does not spoil it. What is claimed after `n`
//! checks without a wrong way is `p ≤ p(n) = 1 − (1 − confidence)^(1/n)`. Let the true share be `p`, and `m` the
//! first number with `p(m) < p`. A claim after fewer than `m` checks is true; one after `m` or more needs `m` checks
//! without a wrong way, which happens with `(1 − p)ᵐ < 1 − confidence`, whatever the rule was by which somebody
//! stopped. Two prove-outs have two chances, so which attempt it is is said.
//!
//! Two things are assumed. Checks are independent: ten of one jaw set on one day are fewer than ten. And whether it comes
//! to light what was right does not hang on how the answer turned out: where only some checks are judged, a lead's call
//! or a feeler on every check is better than waiting for cuts.
//!
//! 20 checks without a wrong way show no more than “at most 14 %”, and “at most 1 %” takes 299: no plan
//! lets a good program pass in 20 checks and claims 1 %. So the size of the claim is part of the plan, and what is
//! said is what the checks can bear.

mod binomial;
mod judged;
mod plan;
mod state;
mod strata;
mod watch;

pub use binomial::{Bounds, bounds, median_interval};
pub(crate) use judged::judge;
pub use judged::{Advised, Judged, Under, Verdict};
pub use plan::{Ended, Plan, PlanError, ProveOut};
pub use state::{Counts, Progress, Proof, current};
pub use strata::{Stratum, new_here, not_tried, strata};
pub use watch::{Watch, mean_run_length};
