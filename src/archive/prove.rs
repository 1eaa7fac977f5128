//! Prove-outs, and what was answered under them.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::DateTime;
use rusqlite::{Connection, Row, params};

use super::columns::{Cells, listed, upsert};
use super::error::{ArchiveError, Fault, unreadable};
use super::lessons::in_parallel;
use super::load::{self, Details};
use super::{Archive, calls, people, stamp};
use crate::people::opinion::{Basis, Outcomes, Person, answer, words};
use crate::people::prove::{
    Advised, Ended, Judged, Plan, Proof, ProveOut, Under, current, judge, not_tried,
};
use crate::people::records::{Answer, CallKind, FiledCall};
use crate::taper::records::{FiledAdvice, Id, Timeline};
use crate::taper::rules::EstimateRules;

const PROVE_OUT: [&str; 11] = [
    "id",
    "person",
    "begun",
    "checks",
    "confidence",
    "held",
    "program",
    "ended",
    "ended_by",
    "counted",
    "changed",
];
const ADVISED: [&str; 5] = ["check_id", "prove_out", "at", "answer", "changed"];

impl Archive {
    /// All prove-outs, in the order in which they were begun.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn prove_outs(&self) -> Result<Vec<ProveOut>, ArchiveError> {
        self.read(all)
    }

    /// The prove-out that stands, with all that was judged under it; `None` where none was begun. Costs about a
    /// millisecond a check of the sets that were checked under it.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn proof(&self, rules: &EstimateRules) -> Result<Option<Proof>, ArchiveError> {
        let Some((all, filed)) = self.read(filed)? else {
            return Ok(None);
        };
        Ok(Proof::of(&all, judged(&filed, rules)))
    }

    /// What the shop has and the prove-out that stands was not tried with: `material steel`.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn not_tried(&self, proof: &Proof) -> Result<Vec<String>, ArchiveError> {
        let timelines = self.every_timeline(Details::LeftOut)?;
        let known: Vec<Under> = timelines.iter().flat_map(made_with).collect();
        Ok(not_tried(&known, &proof.judged))
    }

    /// Begins a prove-out.
    ///
    /// # Errors
    /// Where one goes on, and where somebody begins it who is no lead.
    pub fn begin_prove_out(
        &mut self,
        plan: Plan,
        by: &Person,
        now: DateTime,
    ) -> Result<ProveOut, ArchiveError> {
        let id = Id::random().map_err(|e| ArchiveError::NoRandomNumbers(e.to_string()))?;
        self.write(|db| {
            lead(db, by)?;
            let all = all(db)?;
            let last = current(&all);
            if let Some(last) = last.filter(|p| p.ended.is_none()) {
                let (by, begun) = (last.by.to_string(), last.begun);
                return Err(ArchiveError::ProveOutGoesOn { by, begun }.into());
            }
            let new = ProveOut {
                id,
                by: by.clone(),
                // The one begun last stands, also where the clock was put back.
                begun: last.map_or(now, |p| stamp(now, p.begun)),
                plan,
                program: env!("CARGO_PKG_VERSION").to_owned(),
                ended: None,
                changed: now,
            };
            write(db, &new)?;
            Ok(new)
        })
    }

    /// Ends the prove-out that goes on; whether it is proven then follows from its plan.
    ///
    /// # Errors
    /// Where none goes on, and where somebody ends it who is no lead.
    pub fn end_prove_out(
        &mut self,
        by: &Person,
        now: DateTime,
        rules: &EstimateRules,
    ) -> Result<(), ArchiveError> {
        self.write(|db| {
            lead(db, by)?;
            let (all, filed) = filed(db)?.ok_or(ArchiveError::NoProveOut)?;
            let proof = Proof::of(&all, judged(&filed, rules)).ok_or(ArchiveError::NoProveOut)?;
            let mut ended = proof.prove_out.clone();
            if ended.ended.is_some() {
                return Err(ArchiveError::NoProveOut.into());
            }
            ended.ended = Some(Ended {
                by: by.clone(),
                at: stamp(now, ended.begun),
                counted: proof.answered(),
            });
            ended.changed = stamp(now, ended.changed);
            write(db, &ended)
        })
    }
}

fn lead(db: &Connection, by: &Person) -> Result<(), Fault> {
    if people::rules_of(db, by)?.lead {
        return Ok(());
    }
    Err(ArchiveError::NoLead(by.to_string()).into())
}

/// The prove-out that stands, as far as filing a check has to know it.
pub(super) fn standing(db: &Connection) -> Result<Option<ProveOut>, Fault> {
    Ok(current(&all(db)?).cloned())
}

/// Whether a call of this person counts as a lead's word, made before the reading was shown: of which prove-out.
pub(super) fn blind_ruling(db: &Connection, by: &Person) -> Result<Option<Id>, Fault> {
    let lead = people::rules_of(db, by)?.lead;
    Ok(standing(db)?.filter(|_| lead).map(|p| p.id))
}

/// Notes what was answered at a check that was filed now, where a prove-out was begun.
pub(super) fn note(
    db: &Connection,
    check: Id,
    advice: &FiledAdvice,
    now: DateTime,
) -> Result<(), Fault> {
    let Some(prove_out) = standing(db)? else {
        return Ok(());
    };
    let before = advised(db, "a.check_id = ?1", Some(check))?.pop();
    write_advised(
        db,
        &Advised {
            check,
            // More photos of a check that an earlier prove-out rests on take it to none other.
            prove_out: before.as_ref().map_or(prove_out.id, |b| b.prove_out),
            at: now,
            answer: answer(advice),
            changed: before.map_or(now, |b| stamp(now, b.changed)),
        },
    )
}

/// What was answered at a check stands for the one in its place, too.
pub(super) fn follow(db: &Connection, from: Id, to: Id) -> Result<(), Fault> {
    let Some(before) = advised(db, "a.check_id = ?1", Some(from))?.pop() else {
        return Ok(());
    };
    write_advised(
        db,
        &Advised {
            check: to,
            ..before
        },
    )
}

/// What the prove-out that stands is judged by.
struct Filed {
    timelines: Vec<Timeline>,
    advised: BTreeMap<Id, Advised>,
    calls: Vec<FiledCall>,
    prove_out: Id,
}

fn filed(db: &Connection) -> Result<Option<(Vec<ProveOut>, Filed)>, Fault> {
    let all = all(db)?;
    let Some(prove_out) = current(&all).map(|p| p.id) else {
        return Ok(None);
    };
    let advised = advised(db, "a.prove_out = ?1", Some(prove_out))?;
    let sets: BTreeSet<String> = load::rows(
        db,
        "SELECT DISTINCT k.jaw_set FROM advised AS a JOIN checks AS k ON k.id = a.check_id
            JOIN jaw_sets AS s ON s.id = k.jaw_set WHERE a.prove_out = ?1 AND s.hidden = 0",
        [prove_out.to_string()],
        |row| Ok(row.get(0)?),
    )?
    .into_iter()
    .collect();
    let timeline = |set: &String| {
        let id = load::id(set, "checks", "jaw_set")?;
        load::timeline(db, id, Details::LeftOut)
    };
    let clause =
        "c.hidden = 0 AND c.check_id IN (SELECT check_id FROM advised WHERE prove_out = ?1)";
    let calls = calls::calls(db, clause, [prove_out.to_string()])?;
    let filed = Filed {
        timelines: sets.iter().map(timeline).collect::<Result<_, _>>()?,
        advised: advised.into_iter().map(|a| (a.check, a)).collect(),
        calls: calls.into_iter().map(|k| k.record).collect(),
        prove_out,
    };
    Ok(Some((all, filed)))
}

/// Those of which it is known what was right; hidden checks are in no timeline.
fn judged(filed: &Filed, rules: &EstimateRules) -> Vec<Judged> {
    let word = |c: &FiledCall| match c.kind {
        // Made before the reading was shown, by a lead: `session` says so.
        CallKind::Check if c.session == Some(filed.prove_out) => Some(Basis::Ruling),
        CallKind::Measured => Some(Basis::Measured),
        // A ruling may have been made with the reading in sight.
        _ => None,
    };
    let words = words(&filed.calls, word);
    let of_set = |timeline: &Timeline| {
        let outcomes = Outcomes::of(timeline, rules);
        let of_cuts = timeline.cuts.iter();
        let checks = of_cuts.flat_map(|c| c.checks.iter().map(|k| (&c.cut, k)));
        let judged = checks.filter_map(|(cut, check)| {
            let advised = filed.advised.get(&check.id)?;
            let truth = outcomes.independent(check.id, words.get(&check.id).copied())?;
            let under = Under::of(&timeline.jaw_set, cut, check);
            Some(judge(advised, check, under, &truth))
        });
        judged.collect::<Vec<Judged>>()
    };
    in_parallel(&filed.timelines, of_set)
        .into_iter()
        .flatten()
        .collect()
}

/// What the set's checks were made with, or would be now.
fn made_with(timeline: &Timeline) -> Vec<Under> {
    let set = &timeline.jaw_set;
    let of_cuts = timeline.cuts.iter();
    let checks = of_cuts.flat_map(|c| c.checks.iter().map(|k| Under::of(set, &c.cut, k)));
    checks.chain([Under::of_set(set)]).collect()
}

pub(super) fn all(db: &Connection) -> Result<Vec<ProveOut>, Fault> {
    let sql = format!(
        "SELECT {} FROM prove_outs ORDER BY begun, id",
        listed(&PROVE_OUT, "")
    );
    load::rows(db, &sql, [], prove_out)
}

/// `clause` is about the alias `a`.
pub(super) fn advised(
    db: &Connection,
    clause: &str,
    id: Option<Id>,
) -> Result<Vec<Advised>, Fault> {
    let sql = format!(
        "SELECT {} FROM advised AS a WHERE {clause} ORDER BY a.check_id",
        listed(&ADVISED, "a.")
    );
    let keys: Vec<String> = id.iter().map(ToString::to_string).collect();
    load::rows(db, &sql, rusqlite::params_from_iter(keys), |row| {
        let mut cells = Cells::of(row, "advised", &ADVISED);
        Ok(Advised {
            check: cells.next()?,
            prove_out: cells.next()?,
            at: cells.next()?,
            answer: cells
                .next::<Option<String>>()?
                .map(|text| json(&text, "answer"))
                .transpose()?,
            changed: cells.next()?,
        })
    })
}

fn json<T: serde::de::DeserializeOwned>(text: &str, column: &'static str) -> Result<T, Fault> {
    serde_json::from_str(text).map_err(|_| unreadable("prove_outs or advised", column, text))
}

fn prove_out(row: &Row<'_>) -> Result<ProveOut, Fault> {
    let mut cells = Cells::of(row, "prove_outs", &PROVE_OUT);
    let (id, by, begun) = (cells.next()?, cells.next()?, cells.next()?);
    let checks: usize = cells.next()?;
    let plan = Plan {
        // A plan has at most thousands.
        checks: u32::try_from(checks).unwrap_or(u32::MAX),
        confidence: cells.next()?,
        held: cells.next()?,
    };
    let program = cells.next()?;
    let (at, ended_by): (Option<DateTime>, Option<Person>) = (cells.next()?, cells.next()?);
    let counted = cells
        .next::<Option<String>>()?
        .map(|text| json(&text, "counted"))
        .transpose()?;
    // The layout has it that all three are there, or none.
    let ended = at
        .zip(ended_by)
        .zip(counted)
        .map(|((at, by), counted)| Ended { by, at, counted });
    Ok(ProveOut {
        id,
        by,
        begun,
        plan,
        program,
        ended,
        changed: cells.next()?,
    })
}

pub(super) fn write(db: &Connection, one: &ProveOut) -> Result<(), Fault> {
    let ended = one.ended.as_ref();
    db.execute(
        &upsert("prove_outs", &PROVE_OUT),
        params![
            one.id.to_string(),
            one.by.to_string(),
            one.begun.to_string(),
            one.plan.checks,
            one.plan.confidence,
            one.plan.held,
            one.program,
            ended.map(|e| e.at.to_string()),
            ended.map(|e| e.by.to_string()),
            // Ids are texts, which serialise.
            ended.map(|e| serde_json::to_string(&e.counted).unwrap_or_default()),
            one.changed.to_string(),
        ],
    )?;
    Ok(())
}

pub(super) fn write_advised(db: &Connection, one: &Advised) -> Result<(), Fault> {
    // Nothing in it fails to serialise: no maps with keys that are no texts.
    let said = |a: &Answer| serde_json::to_string(a).unwrap_or_default();
    let sql = format!(
        "INSERT OR REPLACE INTO advised ({}) VALUES (?1, ?2, ?3, ?4, ?5)",
        listed(&ADVISED, "")
    );
    db.execute(
        &sql,
        params![
            one.check.to_string(),
            one.prove_out.to_string(),
            one.at.to_string(),
            one.answer.as_ref().map(said),
            one.changed.to_string(),
        ],
    )?;
    Ok(())
}

/// Puts another number in place of somebody's initials.
pub(super) fn erase(
    db: &Connection,
    whom: &Person,
    number: &Person,
    now: DateTime,
) -> Result<usize, Fault> {
    let named = |p: &ProveOut| p.by == *whom || p.ended.as_ref().is_some_and(|e| e.by == *whom);
    let mut touched = all(db)?;
    touched.retain(named);
    for one in &mut touched {
        let ended = one.ended.as_mut().map(|e| &mut e.by);
        for person in std::iter::once(&mut one.by).chain(ended) {
            if person == whom {
                person.clone_from(number);
            }
        }
        one.changed = stamp(now, one.changed);
        write(db, one)?;
    }
    Ok(touched.len())
}
