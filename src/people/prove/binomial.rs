//! Exact bounds of a share, and of a median, from the binomial distribution alone.

/// Bisections of `0..1`: below the spacing of numbers near any share that matters.
const HALVINGS: u32 = 60;

/// So many of so many, with exact two-sided bounds.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Bounds {
    /// How many.
    pub count: u64,
    /// Of how many.
    pub of: u64,
    /// Lower bound, 0 to 1.
    pub low: f64,
    /// Upper bound, 0 to 1.
    pub high: f64,
}

/// Clopper and Pearson's interval (Biometrika 26:404, 1934), with at least `confidence` inside, above 0 and
/// below 1. Of nothing it is 0 to 1; a count above the whole is taken for the whole.
pub fn bounds(count: u64, of: u64, confidence: f64) -> Bounds {
    let count = count.min(of);
    let tail = (1.0 - confidence) / 2.0;
    Bounds {
        count,
        of,
        low: if count == 0 {
            0.0
        } else {
            // P(X ≥ count) = tail.
            solve(|p| 1.0 - at_most(count - 1, of, p), tail)
        },
        high: upper(count, of, tail),
    }
}

/// One-sided: above it the share lies with no more than the probability `tail`.
pub(super) fn upper(count: u64, of: u64, tail: f64) -> f64 {
    if count >= of {
        return 1.0;
    }
    // P(X ≤ count) = tail; falls with p.
    1.0 - solve(|q| at_most(count, of, 1.0 - q), tail)
}

/// Where a function that rises over 0 to 1 reaches `level`.
fn solve(rising: impl Fn(f64) -> f64, level: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if rising(middle) < level {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

/// P(X ≤ `count`) of `of` draws with the share `p`.
fn at_most(count: u64, of: u64, p: f64) -> f64 {
    if p <= 0.0 || count >= of {
        return 1.0;
    }
    if p >= 1.0 {
        return 0.0;
    }
    let odds = p.ln() - (-p).ln_1p();
    // In logarithms: the first term of many draws is too small for a number.
    let mut term = of as f64 * (-p).ln_1p();
    let mut sum = term.exp();
    for k in 0..count {
        term += ((of - k) as f64 / (k + 1) as f64).ln() + odds;
        sum += term.exp();
    }
    sum.min(1.0)
}

/// Indices of the sorted values between which their median lies with at least `confidence`, whatever they are
/// distributed like (David and Nagaraja, Order Statistics, 3rd ed., section 7.1). `None` of so few that not even the
/// smallest and the largest hold it.
pub fn median_interval(of: usize, confidence: f64) -> Option<(usize, usize)> {
    let tail = (1.0 - confidence) / 2.0;
    // The median lies below the value at index k with P(X ≤ k).
    let outside = (0..of).take_while(|k| at_most(*k as u64, of as u64, 0.5) <= tail);
    let low = outside.last()?;
    Some((low, of - 1 - low))
}
