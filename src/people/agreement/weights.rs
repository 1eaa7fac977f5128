//! How much a disagreement weighs.

/// A table of weights of disagreement, 0 where both say the same; scaled so that the worst is 1.
#[derive(Debug, Clone, PartialEq)]
pub struct Weights {
    categories: usize,
    values: Vec<f64>,
}

/// Why a table is none of weights.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum WeightsError {
    /// Rows and columns differ in number.
    #[error("a table of weights has as many columns as rows, at least two")]
    NotSquare,
    /// A weight that is below zero, infinite or no number.
    #[error("a weight is a number of zero or more")]
    NotAWeight,
    /// The same call on both sides must weigh nothing.
    #[error("weights on the diagonal are zero: both called the same")]
    Diagonal,
    /// All weights are zero.
    #[error("at least one disagreement must weigh something")]
    NothingWeighs,
}

impl Weights {
    /// Every disagreement weighs the same: plain kappa.
    pub fn nominal(categories: usize) -> Self {
        Self::from_distance(categories, |d| f64::from(u8::from(d > 0.0)))
    }

    /// By how many steps two ordered categories are apart (Cicchetti and Allison 1971).
    pub fn linear(categories: usize) -> Self {
        Self::from_distance(categories, |d| d)
    }

    /// By the square of it (Fleiss and Cohen 1973).
    pub fn quadratic(categories: usize) -> Self {
        Self::from_distance(categories, |d| d * d)
    }

    fn from_distance(categories: usize, weight: impl Fn(f64) -> f64) -> Self {
        let farthest = weight(categories.saturating_sub(1) as f64).max(f64::MIN_POSITIVE);
        let cell = |at: usize| (at / categories).abs_diff(at % categories) as f64;
        let values = (0..categories * categories).map(|at| weight(cell(at)) / farthest);
        Self {
            categories,
            values: values.collect(),
        }
    }

    /// Any table, rows as the first reader's categories; it need not be symmetric (Cohen, Psychol. Bull.
    /// 70:213, 1968). Only ratios matter.
    ///
    /// # Errors
    /// Where the table is not square, a weight is no number of zero or more, the diagonal is not zero,
    /// or nothing weighs.
    pub fn of_table(rows: &[Vec<f64>]) -> Result<Self, WeightsError> {
        let categories = rows.len();
        if categories < 2 || rows.iter().any(|r| r.len() != categories) {
            return Err(WeightsError::NotSquare);
        }
        let values = rows.concat();
        if values.iter().any(|w| !w.is_finite() || *w < 0.0) {
            return Err(WeightsError::NotAWeight);
        }
        if (0..categories).any(|i| rows[i][i] > 0.0) {
            return Err(WeightsError::Diagonal);
        }
        let most = values.iter().copied().fold(0.0, f64::max);
        if most <= 0.0 {
            return Err(WeightsError::NothingWeighs);
        }
        let values = values.into_iter().map(|w| w / most).collect();
        Ok(Self { categories, values })
    }

    /// How many categories there are.
    pub fn categories(&self) -> usize {
        self.categories
    }

    /// Of a disagreement, 0 to 1.
    pub(super) fn disagreement(&self, row: usize, column: usize) -> f64 {
        self.values[row * self.categories + column]
    }
}
