//! Everything that the report on agreement tells.

use std::collections::BTreeMap;

use super::divided::divided;
use super::{
    AgainstRight, Calls, Divided, GroupAgreement, NoFigure, PairAgreement, Reader, Repeatability,
    RestsOn, against_right, repeatability,
};

/// One reader's figures.
#[derive(Debug, Clone, PartialEq)]
pub struct ReaderAgreement {
    /// Who.
    pub reader: Reader,
    /// Photos called.
    pub items: usize,
    /// Calls, repeats counted.
    pub calls: usize,
    /// Against what was right.
    pub against_right: Result<AgainstRight, NoFigure>,
    /// Against himself.
    pub repeatability: Result<Repeatability, NoFigure>,
}

/// All figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Agreement {
    /// Photos that anybody called.
    pub items: usize,
    /// Of these, by what the statement of what was right rests on.
    pub right: BTreeMap<RestsOn, usize>,
    /// Each reader; people first, then the program.
    pub readers: Vec<ReaderAgreement>,
    /// Each two readers.
    pub pairs: Vec<PairAgreement>,
    /// All people, where there are two or more; then all people and the program.
    pub groups: Vec<GroupAgreement>,
    /// Photos that were not called alike, the worst first.
    pub divided: Vec<Divided>,
}

impl Agreement {
    /// Photos called of which it is not known what was right.
    pub fn not_known(&self) -> usize {
        self.items - self.right.values().sum::<usize>()
    }
}

/// Every figure that the calls allow.
pub fn agreement(calls: &Calls) -> Agreement {
    let readers = calls.readers();
    let mut right = BTreeMap::new();
    for known in calls.items().iter().filter_map(|i| calls.right(i)) {
        *right.entry(known.basis).or_insert(0) += 1;
    }
    Agreement {
        items: calls.items().len(),
        right,
        readers: readers.iter().map(|r| of_reader(calls, r)).collect(),
        pairs: pairs(calls, &readers),
        groups: groups(calls, &readers),
        divided: divided(calls),
    }
}

fn of_reader(calls: &Calls, reader: &Reader) -> ReaderAgreement {
    ReaderAgreement {
        reader: reader.clone(),
        items: calls.of(reader).count(),
        calls: calls.of(reader).map(|(_, said)| said.len()).sum(),
        against_right: against_right(calls, reader),
        repeatability: repeatability(calls, reader),
    }
}

fn pairs(calls: &Calls, readers: &[Reader]) -> Vec<PairAgreement> {
    let with_later = |(at, one): (usize, &Reader)| -> Vec<PairAgreement> {
        let later = readers[at + 1..].iter();
        later
            .map(|other| PairAgreement::of(calls, one, other))
            .collect()
    };
    readers.iter().enumerate().flat_map(with_later).collect()
}

fn groups(calls: &Calls, readers: &[Reader]) -> Vec<GroupAgreement> {
    let people: Vec<Reader> = readers
        .iter()
        .filter(|r| **r != Reader::Program)
        .cloned()
        .collect();
    let mut groups = Vec::new();
    if people.len() > 1 {
        groups.push(GroupAgreement::of(calls, people.clone()));
    }
    if readers.len() > people.len() && readers.len() > 2 {
        groups.push(GroupAgreement::of(calls, readers.to_vec()));
    }
    groups
}
