//! The marking threshold of a compound, learned from the jaw sets that used it.

use super::pooling::random_effects;
use super::same_words;
use super::steps::{Standing, Step};
use super::{Knowledge, steps};
use crate::reading::method::Method;
use crate::taper::estimate::Prior;
use crate::taper::records::{FiledCheck, Timeline};
use crate::taper::rules::EstimateRules;
use crate::units::PerSide;

/// Fewer sets teach nothing: their spread can't be told from chance.
const LEAST_SETS: usize = 3;
/// The prior's spread counts as much as that of this many sets (assumption): a handful of sets that
/// happen to agree must not make the next one certain.
const PRIOR_WEIGHT: f64 = 4.0;
/// What a posterior must have narrowed the prior's variance to, to have said anything by itself.
const TOLD_SOMETHING: f64 = 0.95;
/// No set is known better than a single edge of contact tells: a tenth (assumption).
const LEAST_LOG_VARIANCE: f64 = 0.01;

/// What one finished jaw set said of a compound's threshold, its prior taken out.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct SetThreshold {
    /// As the shop writes it.
    pub compound: Option<String>,
    /// Of the jaws.
    pub material: Option<String>,
    /// Seep-in or transfer.
    pub method: Method,
    /// Natural logarithm of the threshold in micrometres.
    pub log_um: f64,
    /// Its variance.
    pub log_variance: f64,
}

/// What is to be believed of the threshold of the next jaw set.
#[derive(Debug, Clone, PartialEq)]
pub struct LearnedThreshold {
    /// As the shop writes it.
    pub compound: Option<String>,
    /// Seep-in or transfer.
    pub method: Method,
    /// A gap: per side.
    pub median: PerSide,
    /// Standard deviation of its natural logarithm.
    pub log_sd: f64,
    /// How many sets it rests on.
    pub sets: usize,
}

/// What a finished set said of each compound and method that it was checked with, from the last check
/// that counts. Empty where the set was never left as it is. The posterior of `ln h` is taken for normal
/// and the prior divided out, so that pooling does not count the prior once per set.
pub fn set_thresholds(timeline: &Timeline, rules: &EstimateRules) -> Vec<SetThreshold> {
    if !is_finished(timeline) {
        return Vec::new();
    }
    let steps = steps(timeline, &Knowledge::default(), rules);
    thresholds_of(timeline, &steps, rules)
}

/// Whether any check of the set said to leave the taper.
pub(super) fn is_finished(timeline: &Timeline) -> bool {
    timeline.checks().any(|c| c.advice.leaves())
}

/// [`set_thresholds`] of a finished set whose steps are known.
pub(super) fn thresholds_of(
    timeline: &Timeline,
    steps: &[Step],
    rules: &EstimateRules,
) -> Vec<SetThreshold> {
    let checks: Vec<&FiledCheck> = timeline.checks().collect();
    let mut found: Vec<SetThreshold> = Vec::new();
    // `steps` has one for each check, in this order; from the last, which knows the most.
    for (check, step) in checks.iter().zip(steps).rev() {
        let compound = check.compound.clone();
        let known = |t: &SetThreshold| {
            t.method == check.method && same_words(t.compound.as_deref(), compound.as_deref())
        };
        if matches!(step.standing, Standing::LeftOut(_)) || found.iter().any(known) {
            continue;
        }
        let said = said_by(step, &rules.prior);
        found.extend(said.map(|(log_um, log_variance)| SetThreshold {
            compound,
            material: timeline.jaw_set.material.clone(),
            method: check.method,
            log_um,
            log_variance,
        }));
    }
    found
}

/// Mean and variance of `ln h` that the set's own checks give: precisions subtract.
fn said_by(step: &Step, prior: &Prior) -> Option<(f64, f64)> {
    let (mean, sd) = step.estimate.as_ref()?.posterior.log_threshold();
    let (before, variance) = (prior.threshold_median().micrometres().ln(), sd * sd);
    let before_variance = prior.set_log_sd().powi(2);
    if variance >= TOLD_SOMETHING * before_variance {
        return None;
    }
    // Above zero, since a variance near the prior's was turned away.
    let precision = 1.0 / variance - 1.0 / before_variance;
    let own = (mean / variance - before / before_variance) / precision;
    Some((own, (1.0 / precision).max(LEAST_LOG_VARIANCE)))
}

/// What other sets with this compound and method teach: those of the same material where there are
/// three and more of them, else those of any; `None` where there are fewer.
///
/// Random effects. The spread between sets is pooled with the prior's, which counts as four sets, and the
/// mean with the prior's median, so that few sets change little; the result is never broader than the
/// prior and never narrower than the spread between the sets.
pub fn learned_threshold(
    sets: &[SetThreshold],
    prior: &Prior,
    compound: Option<&str>,
    material: Option<&str>,
    method: Method,
) -> Option<LearnedThreshold> {
    let of_compound: Vec<&SetThreshold> = sets
        .iter()
        .filter(|s| s.method == method && same_words(s.compound.as_deref(), compound))
        .collect();
    // An unknown material is not a material of its own.
    let of_material: Vec<&SetThreshold> = of_compound
        .iter()
        .copied()
        .filter(|s| material.is_some() && same_words(s.material.as_deref(), material))
        .collect();
    let chosen = [of_material, of_compound]
        .into_iter()
        .find(|c| c.len() >= LEAST_SETS)?;
    let values: Vec<(f64, f64)> = chosen.iter().map(|s| (s.log_um, s.log_variance)).collect();
    let (log_um, log_sd) = shrunk(&values, prior)?;
    Some(LearnedThreshold {
        compound: compound.map(str::to_owned),
        method,
        median: PerSide::from_computed_micrometres(log_um.exp())?,
        log_sd,
        sets: chosen.len(),
    })
}

/// Median's logarithm and the standard deviation for a set that was not seen.
fn shrunk(values: &[(f64, f64)], prior: &Prior) -> Option<(f64, f64)> {
    let pooled = random_effects(values)?;
    let broad = prior.set_log_sd().powi(2);
    let degrees = (values.len() - 1) as f64;
    let between =
        (degrees * pooled.between_variance + PRIOR_WEIGHT * broad) / (degrees + PRIOR_WEIGHT);
    let weights = values.iter().map(|(_, v)| 1.0 / (v + between));
    let precision = 1.0 / broad + weights.clone().sum::<f64>();
    let sum: f64 = weights.zip(values).map(|(w, (y, _))| w * y).sum();
    let centre = (prior.threshold_median().micrometres().ln() / broad + sum) / precision;
    // For a set that was not seen: the spread between sets and what is uncertain about their mean.
    let variance = (between + 1.0 / precision).min(broad.max(pooled.between_variance));
    Some((centre, variance.sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::taper::rules::Rules;

    fn sets(logs: &[f64]) -> Vec<SetThreshold> {
        let set = |log_um: &f64| SetThreshold {
            compound: Some("blue".into()),
            material: Some("steel".into()),
            method: Method::Seep,
            log_um: *log_um,
            log_variance: 0.02,
        };
        logs.iter().map(set).collect()
    }

    fn learned(sets: &[SetThreshold]) -> Option<LearnedThreshold> {
        let prior = &Rules::built_in().estimate().prior;
        learned_threshold(sets, prior, Some("Blue"), Some("steel"), Method::Seep)
    }

    #[test]
    fn few_sets_or_another_compound_teach_nothing() {
        assert_eq!(learned(&sets(&[2.5, 2.5])), None);
        let prior = &Rules::built_in().estimate().prior;
        let many = sets(&[2.5; 6]);
        assert_eq!(
            learned_threshold(&many, prior, Some("red"), None, Method::Seep),
            None
        );
        assert_eq!(
            learned_threshold(&many, prior, Some("blue"), None, Method::Transfer),
            None
        );
        assert!(
            learned_threshold(&many, prior, Some("blue"), Some("brass"), Method::Seep).is_some()
        );
    }

    #[test]
    fn sets_that_agree_narrow_the_belief_and_move_it() {
        let prior = Rules::built_in().estimate().prior;
        let widths: Vec<f64> = [3, 8, 40]
            .map(|n| learned(&sets(&vec![2.2; n])).unwrap())
            .iter()
            .map(|l| l.log_sd)
            .collect();
        assert!(prior.set_log_sd() > widths[0] && widths[0] > widths[1] && widths[1] > widths[2]);
        let median = learned(&sets(&[2.2; 40])).unwrap().median.micrometres();
        assert!((median - 2.2_f64.exp()).abs() < 0.5, "{median}");
    }

    #[test]
    fn sets_that_differ_leave_it_as_broad_as_they_are() {
        let spread: Vec<f64> = (0..20)
            .map(|i| if i % 2 == 0 { 1.8 } else { 3.2 })
            .collect();
        let l = learned(&sets(&spread)).unwrap();
        assert!(l.log_sd > 0.6, "{}", l.log_sd);
    }
}
