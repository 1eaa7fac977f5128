//! Readings → what to change about the taper.

pub(crate) mod advice;
pub(crate) mod estimate;
pub(crate) mod learning;
pub(crate) mod limits;
pub(crate) mod records;
pub(crate) mod recut;
pub(crate) mod rules;
pub(crate) mod start;
