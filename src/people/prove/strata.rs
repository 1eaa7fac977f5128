//! What was tried in the shop, and what was not yet.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::judged::{Judged, Under, Verdict};
use super::state::Counts;
use crate::taper::rules::name;

/// The checks made with one thing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Stratum {
    /// `compound`, `material`, `method`, `machine` or `phone`.
    pub what: &'static str,
    /// As the shop writes it first.
    pub value: String,
    /// Of its checks.
    pub counts: Counts,
}

/// One per compound, material, method, machine and kind of phone.
pub fn strata(judged: &[Judged]) -> Vec<Stratum> {
    let mut found: BTreeMap<(usize, String), (String, Vec<&Judged>)> = BTreeMap::new();
    for one in judged {
        for (order, value) in values(&one.under) {
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
        for (order, value) in values(under) {
            if !tried.contains(&(order, key(&value))) {
                named
                    .entry((order, key(&value)))
                    .or_insert_with(|| format!("{} {value}", KINDS[order]));
            }
        }
    }
    named.into_values().collect()
}

/// What of a check no answered check was made with.
pub fn new_here(under: &Under, judged: &[Judged]) -> Vec<String> {
    not_tried(std::slice::from_ref(under), judged)
}

const KINDS: [&str; 5] = ["compound", "material", "method", "machine", "phone"];

/// Each with its place in [`KINDS`]; what nobody wrote is left out.
fn values(under: &Under) -> Vec<(usize, String)> {
    let one = |value: Option<String>| value.into_iter().collect();
    let of_kinds: [Vec<String>; KINDS.len()] = [
        one(under.compound.clone()),
        one(under.material.clone()),
        one(Some(name(under.method))),
        one(under.machine.clone()),
        under.phones.clone(),
    ];
    let placed = |(order, all): (usize, Vec<String>)| all.into_iter().map(move |v| (order, v));
    of_kinds.into_iter().enumerate().flat_map(placed).collect()
}

fn tried(judged: &[Judged]) -> BTreeSet<(usize, String)> {
    let answered = judged.iter().filter(|j| j.verdict != Verdict::Unanswered);
    let of = |j: &Judged| {
        values(&j.under)
            .into_iter()
            .map(|(order, v)| (order, key(&v)))
    };
    answered.flat_map(of).collect()
}

/// Written by hand: case and blanks make no other compound.
fn key(value: &str) -> String {
    let words: Vec<&str> = value.split_whitespace().collect();
    words.join(" ").to_lowercase()
}
