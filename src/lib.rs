//! Reads phone photos of a lathe's opened soft jaws after a contact check with marking compound, and
//! says where each jaw grips along its length and what to change about the taper.
//!
//! The pipeline, one module per stage:
//!
//! ```text
//! bytes → UprightPhoto → Face → RectifiedFace → CompoundMap → ContactProfile → Pattern → Check → Advice → report
//!         photo          face   rectify         compound      profile          pattern   estimate, advice  report
//! ```
//!
//! Stages are plain functions over typed values: they do no I/O and know nothing of the command line.
//! What cannot be judged is a value with a reason ([`Refusal`]), not an error; errors are broken input.

mod advice;
mod area_average;
mod camera;
mod check;
mod colour;
mod compound;
mod corners;
mod estimate;
mod face;
mod filing;
mod geometry;
mod inspect;
mod learning;
mod network;
mod opinion;
mod outside_text;
mod pattern;
mod photo;
mod profile;
mod reading;
mod records;
mod rectify;
mod recut;
mod review;
mod rules;
mod spreadsheet;
mod start;
mod study;
mod units;
mod web;

#[cfg(fuzzing)]
#[doc(hidden)]
pub mod fuzzing;

pub mod agreement;
pub mod archive;
pub mod cli;
pub mod commands;
pub mod report;

/// What to practise next, and how it went: [`practice::draw`] and [`practice::score`].
pub mod practice {
    pub use crate::opinion::{
        Answered, Candidate, Confusion, Drill, Place, Score, TableError, Try, boxes, draw, drills,
        score,
    };
}

/// The stages of [`inspect`] that are not useful by themselves, so that `benches/` can measure each.
#[doc(hidden)]
pub mod stages {
    pub use crate::compound::map_compound;
    pub use crate::face::{Look, given, search};
    pub use crate::pattern::judge;
    pub use crate::profile::profile;
}

pub use advice::{
    Action, Advice, Check, Grip, ProgramChange, Setup, TaperChange, advise, advise_with,
};
pub use camera::{Camera, focal_px};
pub use colour::{linear_to_srgb, srgb_to_linear, unmix};
pub use compound::{CompoundMap, Method};
pub use estimate::{Observation, OpenEnd, Posterior, Prior, estimate};
pub use face::{Face, FoundBy, TipDirection};
pub use geometry::{Homography, Point, Quad};
pub use inspect::{Inspection, Request, inspect};
pub use learning::{
    Compliance, CompliancePoint, ComplianceSource, Conditions, Foretold, History, Interval,
    JawSetEstimate, Knowledge, LearnedThreshold, LeftOut, Lesson, Pooled, SetThreshold, Standing,
    Step, compliance, knowledge, known_compliance, learned_threshold, random_effects,
    set_thresholds, steps,
};
pub use opinion::{
    AmountOff, Basis, Call, CallError, CalledChange, ChangeError, Comparison, Direction, MixedUp,
    Outcome, Person, PersonError, Truth, asked_instead, compare, differences, places, reason, rows,
    truth,
};
pub use pattern::{Pattern, PatternReading};
pub use photo::{PhotoError, UprightPhoto, read_photo};
pub use profile::{Band, COLUMNS, ContactProfile, STATIONS};
pub use reading::{Reading, Reason, Refusal};
pub use records::{
    Answer, CallKind, CallRow, Cut, CutTimeline, Difference, FiledAdvice, FiledCall, FiledCheck,
    FiledReading, Id, IdError, Item, JawSet, Mounting, PersonRules, Seen, Sight, Timeline, Told,
};
pub use rectify::{FaceGrid, RectifiedFace, rectify, resample};
pub use recut::{BorePlan, Present, Recut, RecutAction, RecutAdvice, StockSum, Unknown, recut};
pub use review::{CheckLine, Contact, PhotoLine};
pub use rules::{
    BUILT_IN_RULES, EstimateRules, PatternRule, RecutRules, Rules, RulesError, Situation, Words,
};
pub use start::{
    Cantilever, ChuckRating, Deflection, FeelerReading, FeltAt, JawGeometry, Material, Moduli,
    Pressures, RootSpring, StartError, StartFrom, StartingTaper, TaperPerStep, from_compliance,
    from_feeler, from_geometry, shear_coefficient,
};
pub use units::{
    Force, ForceError, Length, LengthError, OnDiameter, PerSide, Pressure, PressureError,
};
