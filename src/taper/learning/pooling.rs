//! Random-effects pooling: several estimates of what varies from set to set.

/// A mean over sets, and how far sets lie from it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pooled {
    /// Of the sets' true values.
    pub mean: f64,
    /// Variance of that mean.
    pub mean_variance: f64,
    /// Variance of the sets' true values about it.
    pub between_variance: f64,
}

/// Pools `(value, variance)` of each set by `DerSimonian` and Laird (Control. Clin. Trials 7:177–188, 1986):
/// with `w = 1/v`, `Q = Σw(y − ȳ)²` and `k` sets, `τ² = max(0, (Q − (k − 1)) / (Σw − Σw²/Σw))`; the mean is
/// weighted by `1/(v + τ²)` and has the variance `1/Σ(1/(v + τ²))`. One set has no `τ²`: it is zero.
/// `None` for no set, or where a variance is not above zero.
pub fn random_effects(sets: &[(f64, f64)]) -> Option<Pooled> {
    let valid = |(y, v): &(f64, f64)| y.is_finite() && v.is_finite() && *v > 0.0;
    if sets.is_empty() || !sets.iter().all(valid) {
        return None;
    }
    let weights = |tau2: f64| sets.iter().map(move |(_, v)| 1.0 / (v + tau2));
    let sum = |tau2: f64| weights(tau2).sum::<f64>();
    let mean = |tau2: f64| {
        let weighted = weights(tau2).zip(sets).map(|(w, (y, _))| w * y);
        weighted.sum::<f64>() / sum(tau2)
    };
    let fixed = mean(0.0);
    let q: f64 = weights(0.0)
        .zip(sets)
        .map(|(w, (y, _))| w * (y - fixed).powi(2))
        .sum();
    let squares: f64 = weights(0.0).map(|w| w * w).sum();
    let scale = sum(0.0) - squares / sum(0.0);
    let surplus = q - (sets.len() - 1) as f64;
    let between_variance = if sets.len() > 1 {
        (surplus / scale).max(0.0)
    } else {
        0.0
    };
    Some(Pooled {
        mean: mean(between_variance),
        mean_variance: 1.0 / sum(between_variance),
        between_variance,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_that_are_none_pool_to_nothing() {
        assert_eq!(random_effects(&[]), None);
        assert_eq!(random_effects(&[(1.0, 0.0)]), None);
        assert_eq!(random_effects(&[(f64::NAN, 1.0)]), None);
    }

    #[test]
    fn one_set_is_its_own_mean() {
        let p = random_effects(&[(2.0, 0.5)]).unwrap();
        assert_eq!(
            (p.mean, p.mean_variance, p.between_variance),
            (2.0, 0.5, 0.0)
        );
    }
}
