//! One photo → what is read in it.

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
pub(crate) mod rectify;
pub(crate) mod refusal;
pub(crate) mod resample;
pub(crate) mod shrink;
