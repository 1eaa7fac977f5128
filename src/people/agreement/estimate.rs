//! A coefficient with its interval, and how that was found.

use super::patterns::number;
use super::{CrossTable, NoFigure, Resampling, Weights, cohen, percentile};
use crate::reading::pattern::Pattern;

/// How an interval was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum IntervalMethod {
    /// By the asymptotic standard error of Fleiss, Cohen and Everitt 1969; every photo is in it once.
    Asymptotic,
    /// By percentiles over photos drawn again with all their calls.
    BootstrapPercentile,
}

/// A 95 % interval.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// How it was found.
    pub method: IntervalMethod,
}

/// A coefficient of agreement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// 1 is perfect, 0 what chance gives.
    pub value: f64,
    /// Its interval, or why there is none.
    pub interval: Result<Interval, NoFigure>,
    /// Photos that it rests on.
    pub items: usize,
}

impl Estimate {
    /// A figure over items, with the percentile interval over items drawn again.
    ///
    /// # Errors
    /// As `figure` does over all items.
    pub(super) fn resampled(
        items: usize,
        figure: impl Fn(&[usize]) -> Result<f64, NoFigure>,
    ) -> Result<Self, NoFigure> {
        let all: Vec<usize> = (0..items).collect();
        let value = figure(&all)?;
        let drawn = percentile(items, Resampling::default(), |of| figure(of).ok());
        let interval = drawn.map(|[low, high]| Interval {
            low,
            high,
            method: IntervalMethod::BootstrapPercentile,
        });
        Ok(Self {
            value,
            interval,
            items,
        })
    }
}

/// Pairs of calls of one photo; never empty.
pub(super) type ItemPairs = Vec<(Pattern, Pattern)>;

/// Cohen's kappa over photos: where each gives one pair, the photos are independent and the asymptotic
/// interval holds; with repeats the photos are drawn again whole.
pub(super) fn kappa(items: &[ItemPairs], weights: &Weights) -> Result<Estimate, NoFigure> {
    if items.len() < 2 {
        return Err(if items.is_empty() {
            NoFigure::NoPairs
        } else {
            NoFigure::OneItem
        });
    }
    if items.iter().any(|pairs| pairs.len() > 1) {
        let figure = |drawn: &[usize]| {
            let pairs = drawn.iter().flat_map(|i| &items[*i]);
            cohen(&counted(pairs), weights).map(|k| k.value)
        };
        return Estimate::resampled(items.len(), figure);
    }
    let kappa = cohen(&counted(items.iter().flatten()), weights)?;
    let interval = kappa.interval().map(|[low, high]| Interval {
        low,
        high,
        method: IntervalMethod::Asymptotic,
    });
    Ok(Estimate {
        value: kappa.value,
        interval,
        items: items.len(),
    })
}

/// The pairs counted, first patterns in rows.
pub(super) fn counted<'a>(pairs: impl IntoIterator<Item = &'a (Pattern, Pattern)>) -> CrossTable {
    let mut table = CrossTable::new(Pattern::ALL.len());
    for (row, column) in pairs {
        table.add(number(*row), number(*column));
    }
    table
}
