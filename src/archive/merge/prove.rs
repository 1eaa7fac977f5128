//! The prove-outs of another archive, and what was answered under them.

use std::collections::BTreeMap;

use rusqlite::Connection;

use super::super::error::Fault;
use super::super::prove;
use super::{Merged, stands};
use crate::people::prove::{Advised, ProveOut};
use crate::taper::records::Id;

/// All that an archive holds of them.
pub(super) struct ProveOuts {
    all: BTreeMap<Id, ProveOut>,
    advised: BTreeMap<Id, Advised>,
}

impl ProveOuts {
    pub(super) fn of(db: &Connection) -> Result<Self, Fault> {
        let advised = prove::advised(db, "1", None)?;
        Ok(Self {
            all: prove::all(db)?.into_iter().map(|p| (p.id, p)).collect(),
            advised: advised.into_iter().map(|a| (a.check, a)).collect(),
        })
    }
}

/// Takes them in; the checks are here already. Of two answers at the same check the later one stands, and of
/// united checks the one that is kept has the other's where it has none.
pub(super) fn merge(db: &Connection, theirs: &ProveOuts, merged: &Merged) -> Result<(), Fault> {
    let ours = ProveOuts::of(db)?;
    for (id, their) in &theirs.all {
        let our = ours.all.get(id);
        if our.is_none_or(|o| stands((o, false, o.changed), (their, false, their.changed))) {
            prove::write(db, their)?;
        }
    }
    let mut now = ours.advised.clone();
    for (check, their) in &theirs.advised {
        let our = now.get(check);
        if our.is_none_or(|o| stands((o, false, o.changed), (their, false, their.changed))) {
            now.insert(*check, their.clone());
        }
    }
    for united in &merged.united {
        if let Some(gone) = now.get(&united.hidden).cloned() {
            let check = united.kept;
            now.entry(check).or_insert(Advised { check, ..gone });
        }
    }
    for (check, advised) in &now {
        if ours.advised.get(check) != Some(advised) {
            prove::write_advised(db, advised)?;
        }
    }
    Ok(())
}
