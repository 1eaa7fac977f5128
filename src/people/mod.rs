//! What people say about checks.

pub mod agreement;
pub(crate) mod opinion;
pub(crate) mod records;
pub(crate) mod study;
