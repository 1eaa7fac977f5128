//! Readings → what to change about the taper; and what is known of it before any check.
//!
//! - *Comes in*: readings of one check; what the user says (grip, taper, length, clearance); the rules; records of a jaw
//!   set's cuts and checks.
//! - *Goes out*: an estimate with its interval, advice, a first taper, whether and how to bore again.
//! - *May not know*: who reads or calls, where records are kept, how an answer is shown.
//!
//! | module | question |
//! | --- | --- |
//! | [`rules`] | what a shop is told, as data: every row with its source; a shop may bring its own |
//! | [`estimate`] | which taper errors and thresholds agree with these readings |
//! | [`advice`] | leave it, cut again, mend first, photograph again; by how much |
//! | [`records`] | jaw sets, cuts, checks, as they are kept |
//! | [`learning`] | what earlier checks, of this set and of others, say of the next answer |
//! | [`start`] | the first taper, before any check |
//! | [`recut`] | a set is mounted again: check it, or bore it, and to what diameter |
//! | [`limits`] | tapers and faces beyond which something was mistyped |
//!
//! # Signs
//!
//! A taper is how much more material is left at the tip than at the base, per side, ≥ 0 for outside *and* inside grip. The
//! taper error is the taper cut less the taper needed: positive, the tip touches and the base is open. The change is its
//! negative, and the next taper is the present one plus the change. On a lathe that is programmed by diameter, from tip to
//! base, the bore grows by twice the taper for outside grip, and the turned diameter shrinks by it for inside grip. A cut that
//! starts a clearance `c` off the tip of a face of length `L` spreads the change over `L + c`, so the program holds
//! `t·(L + c)/L`, and at the tip the diameter is off by `2t·c/L` unless the start diameter is moved too.
//!
//! # What may yield a change
//!
//! Only full-length, tip-only and base-only, and only where the jaws agree: the taper is cut into all of them at once, so a
//! jaw that differs is a matter of its seat. The change is the posterior's median, rounded to the shop's increment and held to
//! its largest step; where the interval does not exclude the other sign there is no number but something to check. A reading
//! below `least_confidence` causes no change by itself; jaws that agree support one another.
//!
//! Begin to read at [`advice::advise_with`]: the jaws that count, the verdict on them, the amount, the words.

pub(crate) mod advice;
pub(crate) mod estimate;
pub(crate) mod learning;
pub(crate) mod limits;
pub(crate) mod records;
pub(crate) mod recut;
pub(crate) mod rules;
pub(crate) mod start;
