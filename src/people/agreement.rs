//! How well readers agree with what was right, with each other and with themselves.
//!
//! Readers are people and the program itself; items are photos of one face each. The general figures
//! ([`cohen`], [`fleiss()`], [`krippendorff`], [`Share`], [`percentile`]) work on any categories; [`Calls`]
//! and [`agreement`] apply them to patterns. No I/O.
//!
//! `Calls` are rows of reader, photo, repeat, pattern and change, wherever they come from: `Calls::new`
//! takes numbered repeats, `Calls::in_order` numbers them as they come, `Calls::of_rows` takes the
//! archive's calls with the best founded truth of each item (a check that the program would have
//! photographed again is its unreadable). `with_right` adds what was right with what that rests on (later
//! cuts, a lead, a table); `with_the_program_standing_in` fills the rest with the program's readings,
//! against which the program itself is not held. `agreement(&Calls)` gives everything; what can't be given
//! is `Err(NoFigure)`, never NaN.
//!
//! | figure | formula | checked against |
//! | --- | --- | --- |
//! | Cohen's kappa, weighted by any table | Cohen, Psychol. Bull. 70:213, 1968; standard error of Fleiss, Cohen and Everitt, Psychol. Bull. 72:323, 1969 | Cohen's Table 1, a SAS printout, statsmodels, scikit-learn |
//! | Fleiss' kappa | Fleiss, Psychol. Bull. 76:378, 1971 | his table, statsmodels |
//! | Krippendorff's alpha, nominal and ordinal, gaps | coincidence matrix, Krippendorff 2011 | his example, the package `krippendorff`, α = κ + (1 − κ)/(N n) without gaps |
//! | share | Wilson 1927, without continuity correction | Newcombe 1998, Table I, method 3; statsmodels |
//! | bootstrap | percentiles over 2000 draws of whole photos, seed 1, Xoshiro256++ | SciPy |
//!
//! - A kappa with one pair a photo has the asymptotic interval; with repeats the photos are drawn again
//!   whole, since calls of one photo are not independent. Fleiss' kappa and alpha are always drawn again.
//!   Wilson's interval takes all calls for independent, so with repeats it is too narrow; the report says
//!   so.
//! - Draws in which a coefficient does not exist are left out; are they more than lie beyond one end
//!   (2.5 %), there is no interval. Where nothing varies there is none either (`NoSpread`), rather than one
//!   of no width.
//! - Two people are paired round by round; a gap leaves the round out. The program's one reading stands for
//!   every round. Several readers: the first call of each photo.
//! - *Wrong way*, *miss*, *false alarm*, *refused* are defined at the top of `against`. A call is wrong way
//!   by its pattern or by the sign of its change. Unreadable is neither miss nor false alarm.
//! - The weights of confusions (`severity`) are an assumption: 6 opposite ways, 3 a change of taper or
//!   none, 2 run or stop, 1 another look.
//! - *Few*: under 35 photos, as 35 is the fewest that can show an effectiveness of 90 % (z² p/(1 − p),
//!   Wilson's lower end of n of n); a kappa whose interval is wider than from 0.40 to 0.75 is named neither
//!   good nor poor. The limits 90, 2 and 5 % and 0.40 are second-hand from measurement-systems manuals,
//!   0.75 from memory.

mod against;
mod alpha;
mod bootstrap;
mod calls;
mod changes;
mod cross;
mod divided;
mod estimate;
mod fleiss;
mod groups;
mod kappa;
mod limits;
mod no_figure;
mod pairs;
mod patterns;
mod repeatability;
mod rows;
mod severity;
mod share;
mod weights;
mod whole;

pub use against::{AgainstRight, against_right};
pub use alpha::{Metric, krippendorff};
pub use bootstrap::{Resampling, percentile};
pub use calls::{Call, Calls, Reader, RestsOn, Right};
pub use changes::ChangesCalled;
pub use cross::CrossTable;
pub use divided::Divided;
pub use estimate::{Estimate, Interval, IntervalMethod};
pub use fleiss::fleiss;
pub use groups::GroupAgreement;
pub use kappa::{Kappa, cohen};
pub use limits::{
    KAPPA_GOOD, KAPPA_POOR, Limit, LimitKind, SMALL_ITEMS, Standing, is_small, least_to_show,
};
pub use no_figure::NoFigure;
pub use pairs::{Compared, Confusion, PairAgreement};
pub use repeatability::{Repeatability, repeatability};
pub use severity::{Severity, severity};
pub use share::Share;
pub use weights::{Weights, WeightsError};
pub use whole::{Agreement, ReaderAgreement, agreement};
