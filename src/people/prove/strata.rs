//! What was tried in the shop, and what was not yet.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::judged::{Judged, Under, Verdict};
use super::state::Counts;
use crate::taper::rules::name;

/// The checks made with one thing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Stratum {
    /// `compound`, `material`, `method` or `machine`.
    pub what: &'static str,
    /// As the shop writes it first.
    pub value: String,
    /// Of its checks.
    pub counts: Counts,
}

/// One per compound, material, method and machine.
pub fn strata(judged: &[Judged]) -> Vec<Stratum> {
    let mut found: BTreeMap<(usize, String), (String, Vec<&Judged>)> = BTreeMap::new();
    for one in judged {
        for (order, (_, value)) in values(&one.under).into_iter().enumerate() {
            let Some(value) = value else { continue };
            let entry = found.entry((order, key(&value))).or_default();
            if entry.1.is_empty() {
                entry.0 = value;
            }
            entry.1.push(one);
        }
    }
    let of = |((order, _), (value, checks)): ((usize, _), (String, Vec<&Judged>))| Stratum {
        what: KINDS[order],
        value,
        counts: Counts::of(checks),
    };
    found.into_iter().map(of).collect()
}

/// What the shop has and no answered check was made with: `material: steel`.
pub fn not_tried(known: &[Under], judged: &[Judged]) -> Vec<String> {
    let tried = tried(judged);
    let mut named = BTreeMap::new();
    for under in known {
        for (order, (what, value)) in values(under).into_iter().enumerate() {
            let Some(value) = value else { continue };
            if !tried.contains(&(order, key(&value))) {
                named
                    .entry((order, key(&value)))
                    .or_insert_with(|| said(what, &value));
            }
        }
    }
    named.into_values().collect()
}

/// What of a check no answered check was made with.
pub fn new_here(under: &Under, judged: &[Judged]) -> Vec<String> {
    not_tried(std::slice::from_ref(under), judged)
}

const KINDS: [&str; 4] = ["compound", "material", "method", "machine"];

fn said(what: &str, value: &str) -> String {
    format!("{what} {value}")
}

fn values(under: &Under) -> [(&'static str, Option<String>); 4] {
    let [a, b, c, d] = KINDS;
    [
        (a, under.compound.clone()),
        (b, under.material.clone()),
        (c, Some(name(under.method))),
        (d, under.machine.clone()),
    ]
}

fn tried(judged: &[Judged]) -> BTreeSet<(usize, String)> {
    let answered = judged.iter().filter(|j| j.verdict != Verdict::Unanswered);
    let of = |j: &Judged| {
        let values = values(&j.under).into_iter().enumerate();
        values
            .filter_map(|(order, (_, value))| Some((order, key(&value?))))
            .collect::<Vec<_>>()
    };
    answered.flat_map(of).collect()
}

/// Written by hand: case and blanks make no other compound.
fn key(value: &str) -> String {
    let words: Vec<&str> = value.split_whitespace().collect();
    words.join(" ").to_lowercase()
}
