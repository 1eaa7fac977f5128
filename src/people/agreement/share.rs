//! Shares with their interval.

use super::NoFigure;

/// The normal distribution's point with 2.5 % beyond it.
pub(super) const Z: f64 = 1.959_963_984_540_054;

/// So many of so many, with the 95 % score interval.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Share {
    /// How many.
    pub count: u64,
    /// Of how many; above zero.
    pub of: u64,
    /// Lower end of the 95 % interval, 0 to 1.
    pub low: f64,
    /// Upper end, 0 to 1.
    pub high: f64,
}

impl Share {
    /// With Wilson's score interval without continuity correction: Wilson, J. Am. Stat. Assoc. 22:209,
    /// 1927; method 3 of Newcombe, Stat. Med. 17:857, 1998. It takes the judgements for independent.
    ///
    /// # Errors
    /// [`NoFigure::NoCalls`] of none, [`NoFigure::NotAShare`] where the part is more than the whole.
    pub fn new(count: u64, of: u64) -> Result<Self, NoFigure> {
        if of == 0 {
            return Err(NoFigure::NoCalls);
        }
        if count > of {
            return Err(NoFigure::NotAShare);
        }
        let (n, p) = (of as f64, count as f64 / of as f64);
        let square = Z * Z;
        let middle = 2.0 * n * p + square;
        let spread = Z * (square + 4.0 * n * p * (1.0 - p)).sqrt();
        let end = |at: f64| (at / (2.0 * (n + square))).clamp(0.0, 1.0);
        Ok(Self {
            count,
            of,
            // Exact at the ends, where rounding would leave a trace of 1e-17.
            low: if count == 0 {
                0.0
            } else {
                end(middle - spread)
            },
            high: if count == of {
                1.0
            } else {
                end(middle + spread)
            },
        })
    }

    /// The share itself, 0 to 1.
    pub fn value(&self) -> f64 {
        self.count as f64 / self.of as f64
    }
}
