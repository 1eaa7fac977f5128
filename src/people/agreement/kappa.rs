//! Cohen's kappa, plain and weighted.

use super::share::Z;
use super::{CrossTable, NoFigure, Weights};

/// Below this a chance disagreement is none: rounding.
const NONE: f64 = 1e-12;

/// Agreement of two readers beyond chance: 1 is perfect, 0 what chance gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kappa {
    /// Cohen's kappa.
    pub value: f64,
    /// Its asymptotic standard error for independent items.
    pub standard_error: f64,
    /// Items counted.
    pub items: u64,
}

impl Kappa {
    /// The 95 % interval by the normal distribution, held to −1 … 1.
    ///
    /// # Errors
    /// [`NoFigure::NoSpread`] where the standard error is zero: then the interval would be a point.
    pub fn interval(&self) -> Result<[f64; 2], NoFigure> {
        if self.standard_error < NONE {
            return Err(NoFigure::NoSpread);
        }
        let end = |sign: f64| (self.value + sign * Z * self.standard_error).clamp(-1.0, 1.0);
        Ok([end(-1.0), end(1.0)])
    }
}

/// Cohen, Psychol. Bull. 70:213, 1968: `κ_w = 1 − Σ v p_o / Σ v p_c`, with weights of disagreement `v`,
/// observed shares `p_o` and those by chance `p_c`. The standard error is that of Fleiss, Cohen and
/// Everitt, Psychol. Bull. 72:323, 1969. With [`Weights::nominal`] it is the plain kappa.
///
/// # Errors
/// [`NoFigure::NoPairs`] and [`NoFigure::OneItem`] of too few, [`NoFigure::OneCategory`] where chance
/// would never disagree, [`NoFigure::UnknownCategory`] where table and weights differ in size.
pub fn cohen(table: &CrossTable, weights: &Weights) -> Result<Kappa, NoFigure> {
    if table.categories() != weights.categories() {
        return Err(NoFigure::UnknownCategory);
    }
    match table.total() {
        0 => return Err(NoFigure::NoPairs),
        1 => return Err(NoFigure::OneItem),
        _ => {}
    }
    let [rows, columns] = margins(table);
    let observed: f64 = table
        .shares()
        .map(|(i, j, p)| weights.disagreement(i, j) * p)
        .sum();
    let chance = by_chance(weights, &rows, &columns);
    if chance < NONE {
        return Err(NoFigure::OneCategory);
    }
    let value = 1.0 - observed / chance;
    let variance = variance(table, weights, [&rows, &columns], value, chance);
    Ok(Kappa {
        value,
        standard_error: variance.max(0.0).sqrt(),
        items: table.total(),
    })
}

/// Shares of each category in rows and in columns: `p_i.` and `p_.j`.
fn margins(table: &CrossTable) -> [Vec<f64>; 2] {
    let mut margins = [vec![0.0; table.categories()], vec![0.0; table.categories()]];
    for (i, j, p) in table.shares() {
        margins[0][i] += p;
        margins[1][j] += p;
    }
    margins
}

fn by_chance(weights: &Weights, rows: &[f64], columns: &[f64]) -> f64 {
    let of_row = |(i, r): (usize, &f64)| r * mean_weight(columns, |j| weights.disagreement(i, j));
    rows.iter().enumerate().map(of_row).sum()
}

fn mean_weight(shares: &[f64], weight: impl Fn(usize) -> f64) -> f64 {
    shares
        .iter()
        .enumerate()
        .map(|(at, p)| weight(at) * p)
        .sum()
}

/// Fleiss, Cohen and Everitt 1969, in weights of agreement `w = 1 − v`:
/// `[Σ p_ij (w_ij − (w̄_i. + w̄_.j)(1 − κ))² − (κ − p_c (1 − κ))²] / (n (1 − p_c)²)`.
fn variance(
    table: &CrossTable,
    weights: &Weights,
    [rows, columns]: [&[f64]; 2],
    kappa: f64,
    chance_disagreement: f64,
) -> f64 {
    let w = |i: usize, j: usize| 1.0 - weights.disagreement(i, j);
    let k = table.categories();
    let of_rows: Vec<f64> = (0..k).map(|i| mean_weight(columns, |j| w(i, j))).collect();
    let of_columns: Vec<f64> = (0..k).map(|j| mean_weight(rows, |i| w(i, j))).collect();
    let term = |(i, j, p): (usize, usize, f64)| {
        p * (w(i, j) - (of_rows[i] + of_columns[j]) * (1.0 - kappa)).powi(2)
    };
    let spread: f64 = table.shares().map(term).sum();
    let centre = kappa - (1.0 - chance_disagreement) * (1.0 - kappa);
    (spread - centre * centre) / (table.total() as f64 * chance_disagreement.powi(2))
}
