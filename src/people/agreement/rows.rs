//! Calls as they are filed → calls to count.

use std::collections::BTreeMap;

use super::{Calls, Reader, RestsOn, Right};
use crate::people::opinion::{Basis, Truth};
use crate::people::records::{CallRow, Item};
use crate::reading::pattern::Pattern;
use crate::units::PerSide;

impl Calls {
    /// Takes rows of the archive, oldest first: a person's second call of a check or photo is repeat 2. The
    /// program calls each once. Where rows of one photo tell differently what was right, the best founded
    /// stands, and of equally good ones the latest.
    pub fn of_rows(rows: &[CallRow]) -> Self {
        let people = rows.iter().map(|row| {
            let reader = Reader::Person(row.person.to_string());
            (reader, name(&row.item), row.pattern, row.change.per_side())
        });
        // By item: a row for each call, but the program read each item once.
        let read: BTreeMap<_, _> = rows
            .iter()
            .filter_map(|row| Some((name(&row.item), programs_call(row)?)))
            .collect();
        let program = read
            .into_iter()
            .map(|(item, (pattern, change))| (Reader::Program, item, pattern, change));
        Self::in_order(people.chain(program)).with_right(right(rows))
    }
}

fn name(item: &Item) -> String {
    match item {
        Item::Check(id) => id.to_string(),
        Item::Photo(hash) => hash.clone(),
    }
}

/// A check without an answer is one to photograph again, whatever was made out: not acting is unreadable, as
/// in a study. A photo without one was not read; one that is kept back is nobody's to count.
fn programs_call(row: &CallRow) -> Option<(Pattern, Option<PerSide>)> {
    match (row.program, &row.item) {
        (Some(answer), _) => Some((answer.pattern, answer.change.map(|c| c.median))),
        (None, Item::Check(_)) if !row.kept_back => Some((Pattern::Unreadable, None)),
        (None, _) => None,
    }
}

fn right(rows: &[CallRow]) -> BTreeMap<String, Right> {
    let mut known: BTreeMap<String, Right> = BTreeMap::new();
    for row in rows {
        let Some(right) = row.truth.map(Right::from) else {
            continue;
        };
        let item = name(&row.item);
        // `RestsOn` has the best first, so smaller is better founded; of equal ones the later row replaces.
        if known.get(&item).is_none_or(|k| right.basis <= k.basis) {
            known.insert(item, right);
        }
    }
    known
}

impl From<Truth> for Right {
    fn from(truth: Truth) -> Self {
        Self {
            pattern: truth.pattern,
            change: truth.change.map(|c| c.median),
            basis: match truth.by {
                Basis::Outcome => RestsOn::LaterCuts,
                Basis::Ruling => RestsOn::LeadsRuling,
                Basis::Measured => RestsOn::Feeler,
                Basis::Table => RestsOn::Table,
                Basis::Program => RestsOn::Program,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::people::opinion::{CalledChange, Person};
    use crate::people::records::{Answer, CallKind};
    use crate::taper::records::Id;

    fn row(item: &Item, truth: Option<(Pattern, Basis)>, program: Option<Pattern>) -> CallRow {
        let answer = |pattern| Answer {
            pattern,
            change: None,
        };
        CallRow {
            person: Person::parse("AB").expect("initials"),
            item: item.clone(),
            pattern: Pattern::OneSide,
            change: CalledChange::NoChange,
            at: jiff::civil::date(2026, 3, 4).at(10, 0, 0, 0),
            kind: CallKind::Practice,
            session: None,
            truth: truth.map(|(pattern, by)| Truth {
                pattern,
                change: None,
                by,
            }),
            program: program.map(answer),
            kept_back: false,
        }
    }

    #[test]
    fn the_best_founded_truth_stands_and_of_equal_ones_the_latest() {
        use Pattern::{HeldOff, Mixed, TipOnly};
        let photo = Item::Photo("ab".into());
        let told = [
            Some((TipOnly, Basis::Program)),
            Some((HeldOff, Basis::Table)),
            Some((Mixed, Basis::Table)),
            Some((TipOnly, Basis::Program)),
            None,
        ];
        let rows = told.map(|truth| row(&photo, truth, None));
        let calls = Calls::of_rows(&rows);
        let right = calls.right("ab").map(|r| (r.pattern, r.basis));
        assert_eq!(right, Some((Mixed, RestsOn::Table)));
        let ab = Reader::Person("AB".into());
        assert_eq!(calls.of_item(&ab, "ab").len(), 5);
        // Nobody says that the program read it.
        assert_eq!(calls.readers(), [ab]);
    }

    #[test]
    fn the_program_calls_once_and_what_it_would_not_act_on_is_unreadable() {
        let [settled, open, held] = ["a", "b", "c"].map(|part| Id::derived(&[part]));
        let rows = [
            row(&Item::Check(settled), None, Some(Pattern::TipOnly)),
            row(&Item::Check(settled), None, Some(Pattern::TipOnly)),
            row(&Item::Check(open), None, None),
            CallRow {
                kept_back: true,
                ..row(&Item::Check(held), None, None)
            },
        ];
        let calls = Calls::of_rows(&rows);
        let called = |id: Id| -> Vec<Pattern> {
            let said = calls.of_item(&Reader::Program, &id.to_string());
            said.iter().map(|s| s.pattern).collect()
        };
        assert_eq!(called(settled), [Pattern::TipOnly]);
        assert_eq!(called(open), [Pattern::Unreadable]);
        assert_eq!(called(held), []);
    }
}
