//! How well readers agree with what was right, with each other and with themselves.
//!
//! Readers are people and the program itself; items are photos of one face each. The general figures
//! ([`cohen`], [`fleiss`], [`krippendorff`], [`Share`], [`percentile`]) work on any categories;
//! [`Calls`] and [`agreement`] apply them to patterns. What can't be given is a value with a reason
//! ([`NoFigure`]), never NaN. No I/O.

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
