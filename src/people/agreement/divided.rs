//! Photos that were not called alike: what to go over together.

use super::{Calls, Reader, Severity, severity};
use crate::reading::pattern::Pattern;

/// A photo on which calls differ from each other or from what was right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Divided {
    /// Which.
    pub item: String,
    /// What was right, where it is known.
    pub right: Option<Pattern>,
    /// Who called what, in the order of the repeats.
    pub calls: Vec<(Reader, Vec<Pattern>)>,
    /// The worst that lies between two of these.
    pub worst: Severity,
}

/// The worst first; of equal ones those with more different patterns, then by name.
pub(super) fn divided(calls: &Calls) -> Vec<Divided> {
    let mut found: Vec<(usize, Divided)> = calls
        .items()
        .into_iter()
        .filter_map(|item| of(calls, item))
        .collect();
    found.sort_by_key(|(kinds, d)| (std::cmp::Reverse((d.worst, *kinds)), d.item.clone()));
    found.into_iter().map(|(_, d)| d).collect()
}

fn of(calls: &Calls, item: &str) -> Option<(usize, Divided)> {
    let right = calls.right(item).map(|r| r.pattern);
    let said = |reader: Reader| {
        let patterns: Vec<Pattern> = calls
            .of_item(&reader, item)
            .iter()
            .map(|s| s.pattern)
            .collect();
        (!patterns.is_empty()).then_some((reader, patterns))
    };
    let said: Vec<(Reader, Vec<Pattern>)> = calls.readers().into_iter().filter_map(said).collect();
    let mut kinds: Vec<Pattern> = Vec::new();
    for pattern in said.iter().flat_map(|(_, p)| p).copied().chain(right) {
        if !kinds.contains(&pattern) {
            kinds.push(pattern);
        }
    }
    let between = |a: &Pattern| kinds.iter().map(|b| severity(*a, *b)).max();
    let worst = kinds.iter().filter_map(between).max()?;
    (worst > Severity::None).then(|| {
        let divided = Divided {
            item: item.to_owned(),
            right,
            calls: said,
            worst,
        };
        (kinds.len(), divided)
    })
}
