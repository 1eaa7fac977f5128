//! From bytes to advice on the photos of `sample-images`: against the truth of the rendered scenes, under
//! changes of the photo that must not change the answer, stage by stage, and on pictures of no jaw.

mod changes_table;
mod compare;
mod determinism;
mod goldens;
mod half_seen;
pub(crate) mod joined;
mod location;
mod metamorphic;
mod method;
mod no_jaw;
mod orientation;
mod outside;
mod samples;
mod tips;
mod transforms;
mod truth;
