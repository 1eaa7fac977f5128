//! Krippendorff's alpha: any number of readers, gaps allowed.

use super::NoFigure;

/// How far apart two categories are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Metric {
    /// All that differ are equally far apart.
    Nominal,
    /// In their order, by how many calls lie between.
    Ordinal,
}

/// Krippendorff, “Computing Krippendorff's alpha-reliability”, 2011, by the coincidence matrix. One row
/// per item, one cell per reader; `None` is a gap. Categories are numbered from 0.
///
/// # Errors
/// [`NoFigure::NoCalls`] of no item, [`NoFigure::UnknownCategory`], [`NoFigure::OneReader`] where only one
/// reader called anything, [`NoFigure::AllGaps`] where no item has two calls, [`NoFigure::OneItem`] where
/// only one has, [`NoFigure::OneCategory`] where all calls are the same.
pub fn krippendorff(
    items: &[Vec<Option<usize>>],
    categories: usize,
    metric: Metric,
) -> Result<f64, NoFigure> {
    let coincidences = coincidences(items, categories)?;
    let totals: Vec<f64> = coincidences.iter().map(|row| row.iter().sum()).collect();
    let n: f64 = totals.iter().sum();
    let (mut observed, mut chance) = (0.0, 0.0);
    for c in 0..categories {
        for k in c + 1..categories {
            let distance = match metric {
                Metric::Nominal => 1.0,
                Metric::Ordinal => ordinal(&totals, c, k),
            };
            observed += coincidences[c][k] * distance;
            chance += totals[c] * totals[k] * distance;
        }
    }
    if chance <= 0.0 {
        return Err(NoFigure::OneCategory);
    }
    Ok(1.0 - (n - 1.0) * observed / chance)
}

/// `(n_c/2 + n between + n_k/2)²`.
fn ordinal(totals: &[f64], c: usize, k: usize) -> f64 {
    let with_ends: f64 = totals[c..=k].iter().sum();
    (with_ends - f64::midpoint(totals[c], totals[k])).powi(2)
}

/// `o_ck = Σ over items of (pairs of c and k) / (calls of the item − 1)`.
fn coincidences(
    items: &[Vec<Option<usize>>],
    categories: usize,
) -> Result<Vec<Vec<f64>>, NoFigure> {
    if items.is_empty() {
        return Err(NoFigure::NoCalls);
    }
    if items.iter().flatten().flatten().any(|c| *c >= categories) {
        return Err(NoFigure::UnknownCategory);
    }
    let mut matrix = vec![vec![0.0; categories]; categories];
    let mut pairable = 0;
    for item in items {
        let calls: Vec<usize> = item.iter().flatten().copied().collect();
        if calls.len() < 2 {
            continue;
        }
        pairable += 1;
        add_pairs(&mut matrix, &calls);
    }
    match pairable {
        0 => Err(nothing_pairs(items)),
        1 => Err(NoFigure::OneItem),
        _ => Ok(matrix),
    }
}

fn add_pairs(matrix: &mut [Vec<f64>], calls: &[usize]) {
    let share = 1.0 / (calls.len() - 1) as f64;
    for (a, &first) in calls.iter().enumerate() {
        for (b, &second) in calls.iter().enumerate() {
            if a != b {
                matrix[first][second] += share;
            }
        }
    }
}

fn nothing_pairs(items: &[Vec<Option<usize>>]) -> NoFigure {
    let widest = items.iter().map(Vec::len).max().unwrap_or(0);
    let called = |reader: &usize| {
        items
            .iter()
            .any(|i| matches!(i.get(*reader), Some(Some(_))))
    };
    match (0..widest).filter(called).count() {
        0 => NoFigure::NoCalls,
        1 => NoFigure::OneReader,
        _ => NoFigure::AllGaps,
    }
}
