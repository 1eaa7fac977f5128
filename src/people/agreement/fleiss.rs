//! Fleiss' kappa for several readers.

use super::NoFigure;

/// Fleiss, Psychol. Bull. 76:378, 1971. One row per item: how many readers called each category. The
/// readers need not be the same ones, but equally many of every item, at least two.
///
/// # Errors
/// [`NoFigure::NoCalls`], [`NoFigure::OneItem`], [`NoFigure::OneReader`] of too few,
/// [`NoFigure::UnequalReaders`], and [`NoFigure::OneCategory`] where all calls are the same.
pub fn fleiss(items: &[Vec<u64>]) -> Result<f64, NoFigure> {
    let readers: u64 = items.first().ok_or(NoFigure::NoCalls)?.iter().sum();
    if items.len() == 1 {
        return Err(NoFigure::OneItem);
    }
    if items.iter().any(|row| row.iter().sum::<u64>() != readers) {
        return Err(NoFigure::UnequalReaders);
    }
    match readers {
        0 => return Err(NoFigure::NoCalls),
        1 => return Err(NoFigure::OneReader),
        _ => {}
    }
    let n = readers as f64;
    let squares = |row: &Vec<u64>| row.iter().map(|c| (*c as f64).powi(2)).sum::<f64>();
    let agreeing = items.iter().map(|row| (squares(row) - n) / (n * (n - 1.0)));
    let observed = agreeing.sum::<f64>() / items.len() as f64;
    let shares = category_totals(items).map(|total| total / (n * items.len() as f64));
    let chance: f64 = shares.map(|p| p * p).sum();
    if (1.0 - chance).abs() < f64::EPSILON {
        return Err(NoFigure::OneCategory);
    }
    Ok((observed - chance) / (1.0 - chance))
}

fn category_totals(items: &[Vec<u64>]) -> impl Iterator<Item = f64> + '_ {
    let categories = items.iter().map(Vec::len).max().unwrap_or(0);
    let count = |row: &Vec<u64>, c: usize| row.get(c).copied().unwrap_or(0);
    (0..categories).map(move |c| items.iter().map(|row| count(row, c)).sum::<u64>() as f64)
}
