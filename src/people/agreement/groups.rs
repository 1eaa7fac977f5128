//! Several readers at once.

use super::patterns::number;
use super::{Calls, Estimate, Metric, NoFigure, Reader, fleiss, krippendorff};
use crate::reading::pattern::{Direction, Pattern, direction};

/// Several readers, by each one's first call of each photo.
#[derive(Debug, Clone, PartialEq)]
pub struct GroupAgreement {
    /// Who.
    pub readers: Vec<Reader>,
    /// Photos that at least one of them called.
    pub items: usize,
    /// Photos that all of them called: Fleiss' kappa rests on these.
    pub whole: usize,
    /// Fleiss' kappa.
    pub fleiss: Result<Estimate, NoFigure>,
    /// Krippendorff's alpha over patterns, all alike different; gaps are left out, not the photos.
    pub alpha: Result<Estimate, NoFigure>,
    /// Krippendorff's alpha over what the pattern asks of the taper, in order: less, no change, more.
    pub alpha_direction: Result<Estimate, NoFigure>,
}

impl GroupAgreement {
    pub(super) fn of(calls: &Calls, readers: Vec<Reader>) -> Self {
        let rows = first_calls(calls, &readers);
        let whole: Vec<Vec<u64>> = rows.iter().filter_map(|row| votes(row)).collect();
        let by = |category: fn(Pattern) -> usize| -> Vec<Vec<Option<usize>>> {
            let of = |row: &Vec<Option<Pattern>>| row.iter().map(|p| p.map(category)).collect();
            rows.iter().map(of).collect()
        };
        let alpha = |rows: Vec<Vec<Option<usize>>>, metric| {
            let categories = Pattern::ALL.len();
            let figure = |drawn: &[usize]| krippendorff(&picked(&rows, drawn), categories, metric);
            Estimate::resampled(rows.len(), figure)
        };
        let fleiss = match readers.len() {
            0 => Err(NoFigure::NoCalls),
            1 => Err(NoFigure::OneReader),
            _ if whole.is_empty() && !rows.is_empty() => Err(NoFigure::AllGaps),
            _ => Estimate::resampled(whole.len(), |drawn| fleiss(&picked(&whole, drawn))),
        };
        Self {
            items: rows.len(),
            whole: whole.len(),
            fleiss,
            alpha: alpha(by(number), Metric::Nominal),
            alpha_direction: alpha(by(|p| rank(direction(p))), Metric::Ordinal),
            readers,
        }
    }
}

fn rank(direction: Direction) -> usize {
    direction as usize
}

/// One row per photo that any of them called, one cell per reader.
fn first_calls(calls: &Calls, readers: &[Reader]) -> Vec<Vec<Option<Pattern>>> {
    let first = |item: &str, r: &Reader| calls.of_item(r, item).first().map(|s| s.pattern);
    let row =
        |item: &str| -> Vec<Option<Pattern>> { readers.iter().map(|r| first(item, r)).collect() };
    let rows = calls.items().into_iter().map(row);
    rows.filter(|row| row.iter().any(Option::is_some)).collect()
}

/// How many called each pattern, where all called.
fn votes(row: &[Option<Pattern>]) -> Option<Vec<u64>> {
    let mut votes = vec![0; Pattern::ALL.len()];
    for pattern in row {
        votes[number((*pattern)?)] += 1;
    }
    Some(votes)
}

fn picked<T: Clone>(rows: &[T], drawn: &[usize]) -> Vec<T> {
    drawn.iter().map(|i| rows[*i].clone()).collect()
}
