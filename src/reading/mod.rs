//! One photo → what is read in it.
//!
//! - *Comes in*: the bytes of a photo, and what the user says about it: method, tip, corners.
//! - *Goes out*: an [`inspect::Inspection`] with every intermediate, whose result is a reading: profile, bands, pattern with
//!   its confidence, warnings, or a refusal with its reason.
//! - *May not know*: tapers and rules, photos of other jaws, the disk, the terminal, how it is shown.
//!
//! A stage is a plain function over typed values. What can't be judged is a value with a reason; errors are broken input.
//!
//! ```text
//! bytes → UprightPhoto → Face → RectifiedFace → CompoundMap → ContactProfile → PatternReading
//!         photo          face   rectify         compound      profile          pattern          all of it: inspect
//! ```
//!
//! # How a face is found and read
//!
//! 1. [`face`], its `outline`: the *finder* network sees the whole picture at a long side of 240 px and returns maps of
//!    face, corners and the tip's direction; four corner peaks, or four corners fitted to the face's blob, give a coarse
//!    outline. Sizes 320 and 176 are tried only if the result is uncertain, since each costs as much again.
//! 2. [`face`], its `second_look`: the *reader* network sees a 192 × 192 px crop of that outline, tip edge on top, and
//!    returns eight points of the face's outline, compound per cell, and cues (side of the tip, painted seam, quality). Two
//!    passes, the second around the settled outline; a last one with the face turned end for end is a second opinion on the
//!    tip.
//! 3. [`rectify`]: an exact cylinder through the corners and the middles of the two curved edges, with the 35-mm focal
//!    length from EXIF (28 mm where unknown). Why exact: the largest deviation from the true edge, median over 451 rendered
//!    faces, is 3.95 % of the length for straight chords, 0.31 % for quadratic edges, 0.03 % for the cylinder. The 35-mm
//!    focal length is taken by the diagonal; CIPA DC-008 leaves open whether by width or diagonal, which is 4 % apart at 26
//!    mm.
//! 4. [`compound`]: the reader's opinion on the grid; beside it the optical density over the *local* bare metal, unmixed
//!    into compound and shade, which is linear in the film's thickness (Beer–Lambert) and holds for any colour; and which
//!    cells can't be judged.
//! 5. [`inspect`], its `method`: the *seam* network sees a crop around the settled corners with the middle of the face
//!    hidden, and its mirror image, and says whether a seam was painted. A print has none. The reader's own seam cue was not
//!    trained on prints.
//! 6. [`pattern`]: the *judge* network names the pattern of the coarse map; the shares of contact must bear it out
//!    (`pattern::contradiction`).
//!
//! # Several photos of one jaw
//!
//! [`inspect::join`] takes their inspections: photos that say nothing are left out, the maps of the others are laid over each
//! other (`compound::overlay`), and the map that comes of it is weighed by the same functions as that of one photo, which then
//! refuse what it still leaves open. Cells that two contradict each other about are not judged, whoever is right.
//!
//! The networks' weights are in `network/`, how they were trained in `src/recipe/`. They were trained on rendered pictures
//! alone, so a classical cue stands beside each: where the two disagree there is no change.
//!
//! Bytes become pixels in [`photo`]; [`read`] is from bytes to the end. Begin to read at [`inspect::inspect`], which calls the stages in their order; what they
//! share is in [`geometry`], [`resample`], [`shrink`], [`colour`], [`network`] and [`threads`], and what they end with in [`outcome`] and
//! [`refusal`].

pub(crate) mod camera;
pub(crate) mod colour;
pub(crate) mod compound;
pub(crate) mod corners;
pub(crate) mod face;
pub(crate) mod geometry;
pub(crate) mod inspect;
pub(crate) mod method;
pub(crate) mod network;
pub(crate) mod outcome;
pub(crate) mod pattern;
pub(crate) mod photo;
pub(crate) mod profile;
pub(crate) mod read;
pub(crate) mod rectify;
pub(crate) mod refusal;
pub(crate) mod resample;
pub(crate) mod shrink;
pub(crate) mod threads;
