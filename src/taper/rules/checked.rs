//! The rules file as written → rules that are complete.

use std::collections::HashMap;
use std::hash::Hash;

use toml::Spanned;

use super::raw::{Estimate, PatternRule, Recut, RefusalRule, Situation, SituationRule, Table};
use super::{EstimateRules, RecutRules, Rules, Words};
use crate::reading::method::Method;
use crate::reading::pattern::Pattern;
use crate::reading::refusal::Reason;
use crate::taper::estimate::{Prior, PriorValues};

type PatternRules = HashMap<(Pattern, Method), PatternRule>;

/// The version of the table that this program reads.
const VERSION: u32 = 1;

/// What is wrong, and at which byte; at the end where something is missing altogether.
pub(super) struct Fault {
    pub(super) at: Option<usize>,
    pub(super) reason: String,
}

impl Fault {
    fn at(at: usize, reason: String) -> Self {
        Self {
            at: Some(at),
            reason,
        }
    }

    fn missing(reason: String) -> Self {
        Self { at: None, reason }
    }

    /// Line of the fault, counted from 1.
    pub(super) fn line(&self, text: &str) -> usize {
        let end = self.at.unwrap_or(text.len()).min(text.len());
        let after = text.as_bytes()[end..].split(|b| *b == b'\n').count();
        let all = text.split('\n').count();
        // Past the last line's end there is no line.
        (all - after + 1).min(text.lines().count().max(1))
    }
}

pub(super) fn check(table: Table, fingerprint: &str) -> Result<Rules, Fault> {
    if table.version != VERSION {
        let reason = format!(
            "version {} is unknown; this program reads version {VERSION}",
            table.version
        );
        return Err(Fault::at(0, reason));
    }
    let cautions: Vec<String> = table
        .cautions
        .into_iter()
        .map(|c| c.into_inner().text.0)
        .collect();
    if cautions.is_empty() {
        return Err(Fault::missing(
            "no [[caution]] row; the safety cautions can't be left out".to_owned(),
        ));
    }
    Ok(Rules {
        version: format!("{VERSION} ({fingerprint})"),
        estimate: estimate(table.estimate)?,
        recut: table
            .recut
            .map_or_else(|| *Rules::built_in().recut(), recut),
        patterns: patterns(table.patterns)?,
        situations: situations(table.situations)?,
        refusals: refusals(table.refusals)?,
        cautions,
    })
}

fn estimate(raw: Spanned<Estimate>) -> Result<EstimateRules, Fault> {
    let at = raw.span().start;
    let raw = raw.into_inner();
    let prior = Prior::new(prior_values(&raw)).map_err(|e| Fault::at(at, e.to_string()))?;
    let rules = EstimateRules {
        prior,
        increment: raw.increment.value.0,
        largest_step: raw.largest_step.value.0,
        interval: raw.interval.value.0,
        least_confidence: raw.least_confidence.value.0,
        least_confidence_other: raw.least_confidence_other.value.0,
        jaws_differ: raw.jaws_differ.value.0,
        unnoticed_change: raw
            .unnoticed_change
            .map_or_else(|| built_in().unnoticed_change, |s| s.value.0),
    };
    steps(&rules).map_err(|reason| Fault::at(at, reason))?;
    Ok(rules)
}

fn built_in() -> &'static EstimateRules {
    Rules::built_in().estimate()
}

fn prior_values(raw: &Estimate) -> PriorValues {
    // A file that does not know of the drift may set a spread too small to hold the built-in one.
    let drift = raw.threshold_drift_log_sd.as_ref().map_or_else(
        || {
            let most = 0.75 * raw.threshold_log_sd.value.0;
            built_in().prior.threshold_drift_log_sd().min(most)
        },
        |s| s.value.0,
    );
    PriorValues {
        threshold_median: raw.threshold_median.value.0,
        threshold_log_sd: raw.threshold_log_sd.value.0,
        threshold_drift_log_sd: drift,
        error_scale: raw.error_scale.value.0,
        widest_error: raw.widest_error.value.0,
        jaw_spread: raw.jaw_spread.value.0,
    }
}

/// What a change is rounded to and held to, one beside the other.
fn steps(rules: &EstimateRules) -> Result<(), String> {
    if rules.largest_step < rules.increment {
        return Err("largest_step is smaller than increment".to_owned());
    }
    // A change that is held to it would be none that the increment allows.
    if rules.largest_step.rounded_to(rules.increment) != rules.largest_step {
        return Err(
            "largest_step is no whole multiple of increment, to which every change is rounded; \
             change one of them"
                .to_owned(),
        );
    }
    Ok(())
}

fn recut(raw: Recut) -> RecutRules {
    RecutRules {
        off_centre: raw.off_centre.value.0.length(),
        off_centre_fine: raw.off_centre_fine.value.0.length(),
        clean_up: raw.clean_up.value.0.length(),
        back_face: raw.back_face.value.0.length(),
        stroke_reserve: raw.stroke_reserve.value.0.length(),
    }
}

fn patterns(rows: Vec<Spanned<PatternRule>>) -> Result<PatternRules, Fault> {
    let mut given: HashMap<(Pattern, Option<Method>), PatternRule> = HashMap::new();
    for row in rows {
        let at = row.span().start;
        let row = row.into_inner();
        let pattern = row.pattern;
        if given.insert((pattern, row.method), row).is_some() {
            return Err(Fault::at(at, format!("a second row for {}", name(pattern))));
        }
    }
    let mut complete = HashMap::new();
    for pattern in Pattern::ALL {
        for method in [Method::Seep, Method::Transfer] {
            let row = given
                .get(&(pattern, Some(method)))
                .or_else(|| given.get(&(pattern, None)));
            let row = row.ok_or_else(|| {
                Fault::missing(format!("no [[pattern]] row for {}", name(pattern)))
            })?;
            complete.insert((pattern, method), row.clone());
        }
    }
    Ok(complete)
}

fn situations(rows: Vec<Spanned<SituationRule>>) -> Result<HashMap<Situation, Words>, Fault> {
    let words = |r: SituationRule| {
        let words = Words {
            advice: r.advice.0,
            why: r.why.0,
            look_at_first: r.look_at_first,
        };
        (r.situation, words)
    };
    let rows = rows.into_iter().map(|r| (r.span().start, r.into_inner()));
    let mut words = keyed(rows, words, &Situation::SINCE_THE_FIRST)?;
    for younger in Situation::YOUNGER {
        words
            .entry(younger)
            .or_insert_with(|| Rules::built_in().situation(younger).clone());
    }
    Ok(words)
}

fn refusals(rows: Vec<Spanned<RefusalRule>>) -> Result<HashMap<Reason, String>, Fault> {
    let rows = rows.into_iter().map(|r| (r.span().start, r.into_inner()));
    let since_the_first = Reason::ALL.into_iter().filter(|r| *r != YOUNGER_REASON);
    let mut advice = keyed(
        rows,
        |r| (r.reason, r.advice.0),
        &since_the_first.collect::<Vec<_>>(),
    )?;
    advice
        .entry(YOUNGER_REASON)
        .or_insert_with(|| Rules::built_in().refusal(YOUNGER_REASON).to_owned());
    Ok(advice)
}

/// Has the built-in row where a file has none, so that a shop's older file stands.
const YOUNGER_REASON: Reason = Reason::TooAlike;

/// Rows by their key: each once.
fn keyed<R, K: Copy + Eq + Hash + std::fmt::Debug, V>(
    rows: impl Iterator<Item = (usize, R)>,
    split: impl Fn(R) -> (K, V),
    all: &[K],
) -> Result<HashMap<K, V>, Fault> {
    let mut map = HashMap::new();
    for (at, row) in rows {
        let (key, value) = split(row);
        if map.insert(key, value).is_some() {
            return Err(Fault::at(at, format!("a second row for {}", name(key))));
        }
    }
    match all.iter().find(|key| !map.contains_key(key)) {
        Some(key) => Err(Fault::missing(format!("no row for {}", name(key)))),
        None => Ok(map),
    }
}

/// The name in JSON and in the rules file: `TipOnly` → `tip-only`.
pub(crate) fn name(key: impl std::fmt::Debug) -> String {
    let mut name = String::new();
    for c in format!("{key:?}").chars() {
        if c.is_uppercase() && !name.is_empty() {
            name.push('-');
        }
        name.extend(c.to_lowercase());
    }
    name
}
