//! Cuts and checks in order: one column of the picture for each check, and for each cut without any.

use std::collections::HashMap;

use jiff::civil::Date;

use super::super::HistoryReport;
use crate::reading::pattern::Pattern;
use crate::taper::learning::{Interval, Standing, Step};
use crate::taper::records::{CutTimeline, FiledCheck, Id};
use crate::units::PerSide;

/// One place along the picture.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Column {
    /// Of the check, or of the cut where it has none.
    pub(super) date: Date,
    /// The first of its cut.
    pub(super) new_cut: bool,
    /// As cut.
    pub(super) taper: Option<PerSide>,
    /// `None` for a cut that was not checked.
    pub(super) check: Option<Checked>,
}

/// What a check shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Checked {
    /// From 1, over all cuts.
    pub(super) number: usize,
    pub(super) shape: Shape,
    /// Whether the estimate rests on it.
    pub(super) counts: bool,
    /// What is known after it.
    pub(super) needed: Option<Interval>,
    pub(super) flag: Option<Flag>,
}

/// Of a check's mark; each pattern that speaks of the taper has its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shape {
    FullLength,
    TooMuch,
    TooLittle,
    Other,
}

/// Why the estimate does not go on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Flag {
    Anew,
    Contradicts,
}

pub(super) fn columns(history: &HistoryReport<'_>) -> Vec<Column> {
    let steps: HashMap<Id, &Step> = history.steps.iter().map(|s| (s.check, s)).collect();
    let mut number = 0;
    let cuts = history.timeline.cuts.iter();
    cuts.flat_map(|cut| of_cut(cut, &steps, &mut number))
        .collect()
}

fn of_cut(cut: &CutTimeline, steps: &HashMap<Id, &Step>, number: &mut usize) -> Vec<Column> {
    let column = |date, new_cut, check| Column {
        date,
        new_cut,
        taper: cut.cut.taper,
        check,
    };
    if cut.checks.is_empty() {
        return vec![column(cut.cut.made.date(), true, None)];
    }
    let checks = cut.checks.iter().enumerate();
    checks
        .map(|(index, check)| {
            *number += 1;
            let seen = checked(check, steps.get(&check.id).copied(), *number);
            column(check.made.date(), index == 0, Some(seen))
        })
        .collect()
}

fn checked(check: &FiledCheck, step: Option<&Step>, number: usize) -> Checked {
    let counts = step.is_some_and(|s| !matches!(s.standing, Standing::LeftOut(_)));
    let estimate = step.and_then(|s| s.estimate.as_ref());
    Checked {
        number,
        shape: Shape::of(step.map_or(check.advice.pattern, |s| s.pattern)),
        counts,
        needed: estimate.filter(|_| counts).map(|e| e.needed),
        flag: step.and_then(|s| Flag::of(&s.standing)),
    }
}

impl Shape {
    fn of(pattern: Pattern) -> Self {
        match pattern {
            Pattern::FullLength => Self::FullLength,
            Pattern::TipOnly => Self::TooMuch,
            Pattern::BaseOnly => Self::TooLittle,
            _ => Self::Other,
        }
    }
}

impl Flag {
    fn of(standing: &Standing) -> Option<Self> {
        match standing {
            Standing::Anew(_) => Some(Self::Anew),
            Standing::Contradicts => Some(Self::Contradicts),
            Standing::First | Standing::Combined(_) | Standing::LeftOut(_) => None,
        }
    }
}
