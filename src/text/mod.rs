//! Text and tables from outside.

pub(crate) mod outside;
pub(crate) mod spreadsheet;
