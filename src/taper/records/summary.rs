//! Jaw sets as lists show them.

use jiff::civil::DateTime;

use super::JawSet;
use crate::reading::method::Method;
use crate::reading::pattern::Pattern;
use crate::units::{Length, PerSide};

/// A jaw set in a list.
#[derive(Debug, Clone, PartialEq)]
pub struct JawSetSummary {
    /// The set, without its photos.
    pub jaw_set: JawSet,
    /// Its newest cut.
    pub last_cut: Option<LastCut>,
    /// Its newest check.
    pub last_check: Option<LastCheck>,
    /// How many cuts; here and below, without the hidden ones.
    pub cuts: usize,
    /// How many checks.
    pub checks: usize,
}

/// The newest cut of a set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LastCut {
    /// When.
    pub made: DateTime,
    /// See [`super::Cut::diameter`].
    pub diameter: Option<Length>,
    /// See [`super::Cut::taper`].
    pub taper: Option<PerSide>,
    /// See [`super::Cut::stock_left`].
    pub stock_left: Option<Length>,
}

/// The newest check of a set.
#[derive(Debug, Clone, PartialEq)]
pub struct LastCheck {
    /// When.
    pub made: DateTime,
    /// See [`super::FiledCheck::method`].
    pub method: Method,
    /// See [`super::FiledCheck::compound`].
    pub compound: Option<String>,
    /// Of the check as a whole.
    pub pattern: Pattern,
}
