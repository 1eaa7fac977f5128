//! Reads phone photos of a lathe's opened soft jaws after a contact check with marking compound, and says where each jaw
//! grips along its length and what to change about the taper.
//!
//! # The pipeline
//!
//! ```text
//! bytes → UprightPhoto → Face → RectifiedFace → CompoundMap → ContactProfile → Pattern → Check → Advice → report
//!         photo          face   rectify         compound      profile          pattern   estimate, advice  report
//! ```
//!
//! | stage | function | gives |
//! | --- | --- | --- |
//! | photo | [`read_photo`] | [`UprightPhoto`], or a [`PhotoError`] |
//! | face | `stages::search`, `stages::given` | [`Face`], or a [`Reason`] why there is none |
//! | rectify | [`rectify`] | [`RectifiedFace`]: the face unrolled, tip on top |
//! | compound | `stages::map_compound` | [`CompoundMap`]: how much compound lies on each cell, and which cells were seen |
//! | profile | `stages::profile` | [`ContactProfile`]: clean share of each station from tip to base, and its [`Band`]s |
//! | pattern | `stages::judge` | [`PatternReading`]: a [`Pattern`] with its confidence |
//! | all of these | [`inspect`] | [`Inspection`], which keeps every intermediate; its result is a [`Reading`] |
//! | estimate | [`estimate`] | [`Posterior`] over the needed taper and the marking threshold |
//! | advice | [`advise`], [`advise_with`] a [`History`] | [`Advice`]: an [`Action`] and, maybe, a [`TaperChange`] |
//! | report | [`report`] | text, JSON, pictures, pages, all as bytes |
//!
//! ```no_run
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! use seepline::{Check, Request, Rules, Setup, advise, inspect, read_photo};
//!
//! let photo = read_photo(&std::fs::read("jaw1.jpg")?)?;
//! let inspection = inspect(photo, &Request::default());
//! let check = Check { readings: vec![&inspection.reading], setup: Setup::default() };
//! println!("{:?}", advise(&check, Rules::built_in()).action);
//! # Ok(())
//! # }
//! ```
//!
//! Stages are plain functions over typed values: they do no I/O and know nothing of the command line, of SQL or of HTML. What
//! cannot be judged is a value with a reason ([`Refusal`]), not an error; errors are broken input.
//!
//! # The rooms
//!
//! From the bottom to the top; nothing imports upwards. Each room's own page says what comes in, what goes out and what it may
//! not know (`cargo doc --no-deps --document-private-items`).
//!
//! | room | what it holds | begin with |
//! | --- | --- | --- |
//! | `text` | texts and tables from outside, made safe to show | [`report::printable`] |
//! | `units` | lengths, pressures, forces; [`PerSide`] and [`OnDiameter`], which never meet by accident | [`Length`] |
//! | `reading` | one photo → one reading, with the networks | [`inspect`] |
//! | `taper` | rules, estimate, advice, records of jaw sets, learning, first taper, boring again | [`advise`], [`estimate`], [`steps`], [`from_feeler`], [`recut`] |
//! | `people` | calls, what was right about them, practice, agreement, studies | [`compare`], [`practice`], [`agreement`] |
//! | `review` | folders of photos → a line per photo and per check | [`PhotoLine`], [`CheckLine`] |
//! | `report` | values → bytes | [`report`] |
//! | `under_way` | a check under way and its page, at a server as on a phone alone | private |
//! | `phone` | the page that reads on the phone itself | private |
//! | `archive` | the shop's archive: the only SQL | [`archive`] |
//! | `page` | the page for phones | private |
//! | `commands` | the command line, one file a verb | [`cli`], [`commands`] |

// What only the rooms above use, or hand on, looks dead where these are left out.
#![cfg_attr(
    not(feature = "program"),
    allow(dead_code, unused_imports, unreachable_pub)
)]

#[cfg(feature = "page")]
mod page;
mod people;
#[cfg(any(target_arch = "wasm32", feature = "page"))]
mod phone;
mod reading;
mod review;
mod taper;
mod text;
mod under_way;
mod units;

#[cfg(fuzzing)]
#[doc(hidden)]
pub mod fuzzing;

#[cfg(feature = "archive")]
pub mod archive;
#[cfg(feature = "program")]
pub mod commands;
pub mod report;

#[cfg(feature = "program")]
pub use commands::cli;
pub use people::{agreement, prove};

/// What to practise next, and how it went: [`practice::draw`] and [`practice::score`].
pub mod practice {
    pub use crate::people::opinion::{
        Answered, Candidate, Confusion, Drill, Place, Score, TableError, Try, boxes, draw, drills,
        score,
    };
}

/// The stages of [`inspect`] that are not useful by themselves, so that `benches/` can measure each.
#[doc(hidden)]
pub mod stages {
    pub use crate::reading::compound::map_compound;
    pub use crate::reading::face::{Look, given, search};
    pub use crate::reading::pattern::judge;
    pub use crate::reading::profile::profile;
}

pub use people::labels::{Label, Labelled};
pub use people::opinion::{
    AmountOff, Basis, Call, CallError, CalledChange, ChangeError, Comparison, Direction, MixedUp,
    Outcome, Person, PersonError, Truth, asked_instead, compare, differences, places, reason, rows,
    truth,
};
pub use people::records::{Answer, CallKind, CallRow, FiledCall, Item, PersonRules, Sight, Told};
pub use reading::camera::{Camera, focal_px};
pub use reading::colour::{linear_to_srgb, srgb_to_linear, unmix};
pub use reading::compound::CompoundMap;
pub use reading::face::{Face, FoundBy, TipDirection};
pub use reading::geometry::{Homography, Point, Quad};
pub use reading::inspect::{Cues, Inspection, Joined, Request, SetAside, inspect, join};
pub use reading::method::Method;
pub use reading::outcome::Reading;
pub use reading::pattern::{Pattern, PatternReading};
pub use reading::photo::{PhotoError, UprightPhoto, read_photo};
pub use reading::profile::{Band, COLUMNS, ContactProfile, STATIONS};
pub use reading::rectify::{FaceGrid, RectifiedFace, rectify};
pub use reading::refusal::{Reason, Refusal};
pub use reading::resample::resample;
pub use review::{
    About, Asked, CheckLine, Contact, JawLine, JawReading, PerhapsOneJaw, PhotoLine, Question,
    Questions, Written,
};
pub use taper::advice::{
    Action, Advice, Check, Grip, ProgramChange, Setup, TaperChange, advise, advise_with,
};
pub use taper::estimate::{
    Observation, OpenEnd, Posterior, Prior, PriorError, PriorValues, estimate,
};
pub use taper::learning::{
    Compliance, CompliancePoint, ComplianceSource, Conditions, Foretold, History, Interval,
    JawSetEstimate, Knowledge, LearnedThreshold, LeftOut, Lesson, Pooled, SetThreshold, Standing,
    Step, compliance, knowledge, known_compliance, learned_threshold, random_effects,
    set_thresholds, steps,
};
pub use taper::records::{
    Cut, CutTimeline, Difference, FiledAdvice, FiledCheck, FiledReading, Id, IdError, JawSet,
    Mounting, Seen, Timeline,
};
pub use taper::recut::{
    BorePlan, Present, Recut, RecutAction, RecutAdvice, StockSum, Unknown, recut,
};
pub use taper::rules::{
    BUILT_IN_RULES, EstimateRules, PatternRule, RecutRules, Rules, RulesError, Situation, Words,
};
pub use taper::start::{
    Cantilever, ChuckRating, Deflection, FeelerReading, FeltAt, JawGeometry, Material, Moduli,
    Pressures, RootSpring, StartError, StartFrom, StartingTaper, TaperPerStep, from_compliance,
    from_feeler, from_geometry, shear_coefficient,
};
pub use units::{
    Force, ForceError, Length, LengthError, OnDiameter, PerSide, Pressure, PressureError,
};
