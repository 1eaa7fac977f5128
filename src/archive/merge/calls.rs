//! The calls and people of another archive.

use std::collections::{BTreeMap, HashMap};

use jiff::civil::DateTime;
use rusqlite::Connection;

use super::super::error::Fault;
use super::super::load::Kept;
use super::super::{calls, people, stamp};
use super::{Merged, later_of, stands};
use crate::people::opinion::Person;
use crate::people::records::{CallKind, FiledCall, Item, PersonRules, Sight};
use crate::taper::records::Id;
use crate::text::spreadsheet::cells::word;

/// Everything that an archive holds of its people.
pub(super) struct Opinions {
    calls: BTreeMap<Id, Kept<FiledCall>>,
    people: Vec<PersonRules>,
    sight: (Sight, DateTime),
}

impl Opinions {
    pub(super) fn of(db: &Connection) -> Result<Self, Fault> {
        let calls = calls::calls(db, "1", [])?;
        Ok(Self {
            calls: calls.into_iter().map(|k| (k.record.id, k)).collect(),
            people: people::all(db, None)?,
            sight: people::sight(db)?,
        })
    }
}

/// Takes in calls, people and the setting. The checks are here already; those that were united are one.
pub(super) fn merge(db: &Connection, theirs: &Opinions, merged: &mut Merged) -> Result<(), Fault> {
    let ours = Opinions::of(db)?;
    let mut now = ours.calls.clone();
    for (id, their) in &theirs.calls {
        if let Some(stands) = later_of(ours.calls.get(id), their, |c| c.changed) {
            now.insert(*id, stands);
        }
    }
    follow(&mut now, merged);
    once_each(&mut now);
    write(db, &ours.calls, &now, merged)?;
    merge_people(db, &ours.people, &theirs.people)?;
    let set = |(sight, at): &(Sight, DateTime)| (*at, word(sight));
    if set(&theirs.sight) > set(&ours.sight) {
        people::write_sight(db, theirs.sight.0, theirs.sight.1)?;
    }
    Ok(())
}

/// Calls of a check that was united with another one go to the one that is kept.
fn follow(calls: &mut BTreeMap<Id, Kept<FiledCall>>, merged: &Merged) {
    for united in &merged.united {
        for call in calls.values_mut().map(|k| &mut k.record) {
            if call.item == Item::Check(united.hidden) {
                call.item = Item::Check(united.kept);
                call.changed = stamp(call.changed, call.changed);
            }
        }
    }
}

/// Where one person called the same check in both archives, the first call stands and the other is hidden.
fn once_each(calls: &mut BTreeMap<Id, Kept<FiledCall>>) {
    let mut first: HashMap<(Item, Person), (DateTime, Id)> = HashMap::new();
    let counts = |k: &Kept<FiledCall>| !k.hidden && k.record.kind == CallKind::Check;
    let key = |c: &FiledCall| (c.item.clone(), c.call.by.clone());
    for call in calls.values().filter(|k| counts(k)).map(|k| &k.record) {
        let own = (call.call.at, call.id);
        let earliest = first.entry(key(call)).or_insert(own);
        *earliest = own.min(*earliest);
    }
    for kept in calls.values_mut().filter(|k| counts(k)) {
        if first[&key(&kept.record)].1 != kept.record.id {
            kept.hidden = true;
            kept.record.changed = stamp(kept.record.changed, kept.record.changed);
        }
    }
}

/// What is hidden comes first, so that no two calls stand against each other in between.
fn write(
    db: &Connection,
    ours: &BTreeMap<Id, Kept<FiledCall>>,
    now: &BTreeMap<Id, Kept<FiledCall>>,
    merged: &mut Merged,
) -> Result<(), Fault> {
    let changed = |(id, k): &(&Id, &Kept<FiledCall>)| ours.get(id) != Some(k);
    let (hidden, shown): (Vec<_>, Vec<_>) = now.iter().filter(changed).partition(|(_, k)| k.hidden);
    for (id, kept) in hidden.into_iter().chain(shown) {
        if ours.contains_key(id) {
            merged.calls[1] += 1;
            calls::update(db, &kept.record, kept.hidden)?;
        } else {
            merged.calls[0] += 1;
            calls::insert(db, &kept.record, kept.hidden)?;
        }
    }
    Ok(())
}

fn merge_people(
    db: &Connection,
    ours: &[PersonRules],
    theirs: &[PersonRules],
) -> Result<(), Fault> {
    for their in theirs {
        let our = ours.iter().find(|o| o.person == their.person);
        let later =
            |our: &PersonRules| stands((our, false, our.changed), (their, false, their.changed));
        if our.is_none_or(later) {
            people::write(db, their)?;
        }
    }
    Ok(())
}
