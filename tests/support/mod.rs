//! What tests of several folders share.

pub(crate) mod bench;
#[cfg(target_os = "linux")]
pub(crate) mod disk;
pub(crate) mod draws;
pub(crate) mod exif_notes;
pub(crate) mod filing;
pub(crate) mod pictures;
pub(crate) mod program;
pub(crate) mod readings;
pub(crate) mod records;
pub(crate) mod reports;
pub(crate) mod samples;
