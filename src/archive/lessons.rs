//! What each set teaches the others, kept until one of its records changes.

use std::num::NonZero;
use std::thread;

use rusqlite::{Connection, params};

use super::Archive;
use super::columns::Cells;
use super::error::{ArchiveError, Fault};
use super::load::{self, Details};
use crate::taper::learning::Lesson;
use crate::taper::records::{Id, Timeline};

/// A set whose lesson is not kept is taught from at most this many at once, so that a crowd of them never
/// holds up writers for long.
const AT_ONCE: usize = 200;

impl Archive {
    /// The lessons of all sets that are not hidden, but for `except`. Those that are kept from an earlier
    /// time, by the same `version` of program and rules, are taken as they are; `teach` makes the others
    /// from the set's timeline.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn lessons(
        &mut self,
        except: Id,
        version: &str,
        teach: impl Fn(&Timeline) -> Lesson + Sync,
    ) -> Result<Vec<Lesson>, ArchiveError> {
        let (mut lessons, untaught) = self.read(|db| kept(db, except, version))?;
        for crowd in untaught.chunks(AT_ONCE) {
            // Without the turn to write, for which other commands would wait.
            let taught = self.read(|db| taught(db, crowd, &teach))?;
            // Where it cannot be kept, it is made again next time.
            let _ = self.write(|db| keep(db, version, &taught));
            lessons.extend(taught.into_iter().map(|t| t.lesson));
        }
        Ok(lessons)
    }
}

/// A lesson with what it was made from, so that one that was overtaken is not kept.
struct Taught {
    jaw_set: Id,
    lesson: Lesson,
    state: String,
}

fn kept(db: &Connection, except: Id, version: &str) -> Result<(Vec<Lesson>, Vec<Id>), Fault> {
    let sql = "SELECT s.id, l.lesson FROM jaw_sets AS s \
               LEFT JOIN lessons AS l ON l.jaw_set = s.id AND l.version = ?1 \
               WHERE s.hidden = 0 AND s.id <> ?2 ORDER BY s.id";
    let mut statement = db.prepare(sql)?;
    let mut rows = statement.query(params![version, except.to_string()])?;
    let (mut lessons, mut untaught) = (Vec::new(), Vec::new());
    while let Some(row) = rows.next()? {
        let mut cells = Cells::of(row, "jaw_sets", &["id", "lesson"]);
        let (id, lesson): (Id, Option<String>) = (cells.next()?, cells.next()?);
        // A lesson that is not understood is made again.
        match lesson.and_then(|text| serde_json::from_str(&text).ok()) {
            Some(lesson) => lessons.push(lesson),
            None => untaught.push(id),
        }
    }
    Ok((lessons, untaught))
}

fn taught(
    db: &Connection,
    sets: &[Id],
    teach: &(impl Fn(&Timeline) -> Lesson + Sync),
) -> Result<Vec<Taught>, Fault> {
    let load = |id: &Id| Ok((load::timeline(db, *id, Details::LeftOut)?, state(db, *id)?));
    let loaded: Vec<(Timeline, String)> = sets.iter().map(load).collect::<Result<_, Fault>>()?;
    Ok(in_parallel(&loaded, |(timeline, state)| Taught {
        jaw_set: timeline.jaw_set.id,
        lesson: teach(timeline),
        state: state.clone(),
    }))
}

/// Maps on all cores, in order.
pub(super) fn in_parallel<T: Sync, U: Send>(items: &[T], of: impl Fn(&T) -> U + Sync) -> Vec<U> {
    let cores = thread::available_parallelism().map_or(1, NonZero::get);
    let share = items.len().div_ceil(cores).max(1);
    thread::scope(|scope| {
        let of = &of;
        let workers: Vec<_> = items
            .chunks(share)
            .map(|chunk| scope.spawn(move || chunk.iter().map(of).collect::<Vec<U>>()))
            .collect();
        let joined = |w: thread::ScopedJoinHandle<'_, Vec<U>>| {
            w.join()
                .unwrap_or_else(|panic| std::panic::resume_unwind(panic))
        };
        workers.into_iter().flat_map(joined).collect()
    })
}

/// What a lesson is made from: how many records there are, and when they were changed last.
fn state(db: &Connection, jaw_set: Id) -> Result<String, Fault> {
    let sql = "SELECT s.changed || s.hidden \
               || (SELECT count(*) || coalesce(max(changed), '') || total(hidden) FROM cuts WHERE jaw_set = s.id) \
               || (SELECT count(*) || coalesce(max(changed), '') || total(hidden) FROM checks WHERE jaw_set = s.id) \
               FROM jaw_sets AS s WHERE s.id = ?1";
    Ok(db.query_row(sql, [jaw_set.to_string()], |row| row.get(0))?)
}

fn keep(db: &Connection, version: &str, taught: &[Taught]) -> Result<(), Fault> {
    for t in taught {
        // Changed while it was taught from: the triggers could not forget what was not kept yet.
        if state(db, t.jaw_set)? != t.state {
            continue;
        }
        let Ok(text) = serde_json::to_string(&t.lesson) else {
            continue;
        };
        db.execute(
            "INSERT OR REPLACE INTO lessons (jaw_set, version, lesson) VALUES (?1, ?2, ?3)",
            params![t.jaw_set.to_string(), version, text],
        )?;
    }
    Ok(())
}
