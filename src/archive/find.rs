//! Finding: lists of jaw sets, and records by name or id.

use rusqlite::types::Value;
use rusqlite::{Connection, Row, params_from_iter};

use super::columns::{Cell, Cells, listed};
use super::error::{ArchiveError, Fault};
use super::load::{self, Details, Kept};
use super::rows::{self, JAW_SET};
use super::{Archive, sets};
use crate::reading::method::Method;
use crate::reading::pattern::Pattern;
use crate::taper::advice::Grip;
use crate::taper::records::{Cut, FiledCheck, Id, JawSet, JawSetSummary, LastCheck, LastCut};
use crate::text::outside::echo;
use crate::units::Length;

/// Which jaw sets to list; what is `None` or empty leaves out none.
#[derive(Debug, Clone, Default)]
pub struct Find {
    /// Words that must all stand in the name or another text field, in whatever case.
    pub text: String,
    /// Which way they grip.
    pub grip: Option<Grip>,
    /// Part of the material, in whatever case; likewise the next two.
    pub material: Option<String>,
    /// Part of the machine.
    pub machine: Option<String>,
    /// Part of the chuck.
    pub chuck: Option<String>,
    /// Least workpiece diameter.
    pub workpiece_from: Option<Length>,
    /// Largest workpiece diameter.
    pub workpiece_to: Option<Length>,
    /// The hidden ones instead of the others.
    pub hidden: bool,
}

/// Least digits of an id that stand for it; fewer are more likely a name mistyped.
const LEAST_DIGITS: usize = 4;
/// Most names to suggest.
const SUGGESTIONS: usize = 3;

impl Archive {
    /// Lists jaw sets by name.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn jaw_sets(&self, find: &Find) -> Result<Vec<JawSetSummary>, ArchiveError> {
        self.read(|db| summaries(db, find))
    }

    /// What lists say of one jaw set that is not hidden.
    pub(crate) fn summary_of(&self, id: Id) -> Result<JawSetSummary, ArchiveError> {
        self.read(|db| {
            let all = summaries(db, &Find::default())?;
            let found = all.into_iter().find(|s| s.jaw_set.id == id);
            found.ok_or_else(|| load::unknown("jaw set", &id.to_string()))
        })
    }

    /// A jaw set by name in whatever case, by id, or by the first digits of its id.
    ///
    /// # Errors
    /// Where there is none, with names like it, or several have an id that begins so.
    pub fn jaw_set(&self, name_or_id: &str) -> Result<JawSet, ArchiveError> {
        self.read(|db| jaw_set_called(db, name_or_id, false))
    }

    /// The same among the hidden ones.
    ///
    /// # Errors
    /// As for [`Self::jaw_set`], and where several hidden ones have the name.
    pub fn hidden_jaw_set(&self, name_or_id: &str) -> Result<JawSet, ArchiveError> {
        self.read(|db| jaw_set_called(db, name_or_id, true))
    }

    /// A jaw set by id, hidden or not.
    ///
    /// # Errors
    /// Where there is none.
    pub(crate) fn jaw_set_or_hidden(&self, id: Id) -> Result<JawSet, ArchiveError> {
        let id = id.to_string();
        self.jaw_set(&id).or_else(|_| self.hidden_jaw_set(&id))
    }

    /// A cut by id or the first digits of it, hidden or not.
    ///
    /// # Errors
    /// Where there is none or there are several.
    pub fn cut(&self, id: &str) -> Result<Kept<Cut>, ArchiveError> {
        self.read(|db| sets::kept_cut(db, by_start(db, "cut", "cuts", id)?))
    }

    /// A check by id or the first digits of it, hidden or not.
    ///
    /// # Errors
    /// Where there is none or there are several.
    pub fn check(&self, id: &str) -> Result<Kept<FiledCheck>, ArchiveError> {
        self.read(|db| {
            let key = by_start(db, "check", "checks", id)?.to_string();
            let found = load::checks(db, "k.id = ?1", [key.as_str()], Details::Whole)?.pop();
            let kept = found.ok_or_else(|| load::unknown("check", id))?;
            Ok(Kept {
                record: kept.check,
                hidden: kept.hidden,
            })
        })
    }
}

/// The query and its parameters; apart, so that a test can ask SQLite how it goes about it.
pub(super) fn summary_query(find: &Find) -> (String, Vec<Value>) {
    // The last cut and check by subqueries, which take one row from the end of an index; a join would sort all.
    let (clauses, values) = conditions(find);
    let sql = format!(
        "SELECT {}, c.made, c.diameter, c.taper, c.stock_left, k.made, k.method, k.compound, k.pattern,
            (SELECT count(*) FROM cuts WHERE jaw_set = s.id AND hidden = 0),
            (SELECT count(*) FROM checks AS n JOIN cuts AS o ON o.id = n.cut
                WHERE n.jaw_set = s.id AND n.hidden = 0 AND o.hidden = 0)
         FROM jaw_sets AS s
         LEFT JOIN cuts AS c ON c.id = (SELECT id FROM cuts
            WHERE jaw_set = s.id AND hidden = 0 ORDER BY made DESC, id DESC LIMIT 1)
         LEFT JOIN checks AS k ON k.id = (SELECT n.id FROM checks AS n
            WHERE n.jaw_set = s.id AND n.hidden = 0
                AND (SELECT hidden FROM cuts WHERE id = n.cut) = 0
            ORDER BY n.made DESC, n.id DESC LIMIT 1)
         WHERE {} ORDER BY s.name_key, s.id",
        listed(&JAW_SET, "s."),
        clauses.join(" AND ")
    );
    (sql, values)
}

/// `?` in order.
fn conditions(find: &Find) -> (Vec<String>, Vec<Value>) {
    let mut clauses = vec!["s.hidden = ?".to_owned()];
    let mut values = vec![find.hidden.to_cell()];
    // The values stay apart from the text of the query: what is looked for may hold quotes.
    let mut and = |clause: String, value: Value| {
        clauses.push(clause);
        values.push(value);
    };
    for word in find.text.split_whitespace() {
        and(
            "instr(s.words, ?) > 0".into(),
            Value::Text(word.to_lowercase()),
        );
    }
    if let Some(grip) = find.grip {
        and("s.grip = ?".into(), grip.to_cell());
    }
    let um = |length: Length| Value::Real(length.micrometres());
    if let Some(from) = find.workpiece_from {
        and("s.workpiece_diameter_um >= ?".into(), um(from));
    }
    if let Some(to) = find.workpiece_to {
        and("s.workpiece_diameter_um <= ?".into(), um(to));
    }
    (clauses, values)
}

fn summaries(db: &Connection, find: &Find) -> Result<Vec<JawSetSummary>, Fault> {
    let (sql, values) = summary_query(find);
    let mut statement = db.prepare(&sql)?;
    let mut rows = statement.query(params_from_iter(values))?;
    let mut all = Vec::new();
    while let Some(row) = rows.next()? {
        let summary = summary(row)?;
        if fits(&summary.jaw_set, find) {
            all.push(summary);
        }
    }
    Ok(all)
}

/// The parts of texts; not in the query, as SQLite knows the case of ASCII letters alone.
fn fits(set: &JawSet, find: &Find) -> bool {
    let pairs = [
        (&set.material, &find.material),
        (&set.mounting.machine, &find.machine),
        (&set.mounting.chuck, &find.chuck),
    ];
    pairs.into_iter().all(|(field, part)| {
        let Some(part) = part else { return true };
        let field = field.as_deref().unwrap_or_default().to_lowercase();
        field.contains(&part.trim().to_lowercase())
    })
}

fn summary(row: &Row<'_>) -> Result<JawSetSummary, Fault> {
    let mut rest = Cells::after(row, &JAW_SET, &SUMMARY);
    let (cut_made, diameter, taper, stock_left) =
        (rest.next()?, rest.next()?, rest.next()?, rest.next()?);
    let (check_made, method, compound) =
        (rest.next()?, rest.next::<Option<Method>>()?, rest.next()?);
    let (method, pattern) = (method.unwrap_or_default(), rest.next::<Option<Pattern>>()?);
    Ok(JawSetSummary {
        jaw_set: rows::jaw_set(row)?,
        last_cut: Option::map(cut_made, |made| LastCut {
            made,
            diameter,
            taper,
            stock_left,
        }),
        last_check: Option::zip(check_made, pattern).map(|(made, pattern)| LastCheck {
            made,
            method,
            compound,
            pattern,
        }),
        cuts: rest.next()?,
        checks: rest.next()?,
    })
}

const SUMMARY: [&str; 10] = [
    "made",
    "diameter",
    "taper",
    "stock_left",
    "made",
    "method",
    "compound",
    "pattern",
    "cuts",
    "checks",
];

fn jaw_set_called(db: &Connection, name_or_id: &str, hidden: bool) -> Result<JawSet, Fault> {
    let only = if hidden { "hidden = 1" } else { "hidden = 0" };
    let by_name = format!("name_key = ?1 AND {only}");
    let mut found = load::jaw_sets(db, &by_name, [rows::name_key(name_or_id)])?;
    // A name may look like the beginning of an id (“cafe”); then the name is meant.
    if let (0, Some((from, to))) = (found.len(), start_of_id(name_or_id)) {
        let by_id = format!("id >= ?1 AND id < ?2 AND {only}");
        found = load::jaw_sets(db, &by_id, [from, to])?;
    }
    match found.len() {
        0 => Err(unknown_name(db, name_or_id, only)?),
        1 => Ok(found.swap_remove(0).record),
        _ => {
            let name = |set: &Kept<JawSet>| format!("{} {}", set.record.id, set.record.name);
            let of = found.iter().take(SUGGESTIONS).map(name).collect();
            Err(ambiguous(name_or_id, of))
        }
    }
}

fn ambiguous(start: &str, of: Vec<String>) -> Fault {
    Fault::from(ArchiveError::Ambiguous {
        start: echo(start),
        of,
    })
}

/// Bounds, the upper one outside, of the ids that begin so; `None` where no id does.
fn start_of_id(text: &str) -> Option<(String, String)> {
    let digits = text.trim().to_ascii_lowercase();
    let plain = digits.bytes().all(|b| b.is_ascii_hexdigit());
    let fits = (LEAST_DIGITS..=32).contains(&digits.len());
    // "g" sorts behind every hexadecimal digit.
    (plain && fits).then(|| (digits.clone(), digits + "g"))
}

fn by_start(
    db: &Connection,
    what: &'static str,
    table: &'static str,
    text: &str,
) -> Result<Id, Fault> {
    let Some((from, to)) = start_of_id(text) else {
        return Err(load::unknown(what, text));
    };
    let sql = format!("SELECT id FROM {table} WHERE id >= ?1 AND id < ?2 LIMIT {SUGGESTIONS}");
    let mut statement = db.prepare(&sql)?;
    let found = statement.query_map([from, to], |row| row.get(0))?;
    let found: Vec<String> = found.collect::<Result<_, _>>()?;
    match found.as_slice() {
        [] => Err(load::unknown(what, text)),
        [one] => load::id(one, table, "id"),
        _ => Err(ambiguous(text, found)),
    }
}

fn unknown_name(db: &Connection, name: &str, only: &str) -> Result<Fault, Fault> {
    let mut statement = db.prepare(&format!("SELECT name FROM jaw_sets WHERE {only}"))?;
    let names = statement.query_map([], |row| row.get(0))?;
    let names: Vec<String> = names.collect::<Result<_, _>>()?;
    Ok(Fault::from(ArchiveError::UnknownJawSet {
        name: echo(name),
        close: close_to(name, &names),
    }))
}

/// The closest of `names`, at most a third of whose letters are mistyped or that hold the whole name.
pub(super) fn close_to<S: AsRef<str>>(name: &str, names: &[S]) -> Vec<String> {
    // No name is longer (`sets::LONGEST_NAME`), and the time to compare grows with both lengths.
    let wanted = rows::name_key(&name.chars().take(100).collect::<String>());
    let mut close: Vec<(usize, &str)> = names
        .iter()
        .map(AsRef::as_ref)
        .map(|n| (mistyped(&wanted, &rows::name_key(n)), n))
        .filter(|(distance, n)| {
            // One or two letters stand in nearly every name.
            let holds = wanted.len() > 2 && rows::name_key(n).contains(&wanted);
            *distance * 3 <= wanted.chars().count() || holds
        })
        .collect();
    close.sort_unstable();
    close
        .into_iter()
        .take(SUGGESTIONS)
        .map(|(_, n)| n.to_owned())
        .collect()
}

/// Letters to change, add or drop to get from one to the other (Levenshtein's distance).
fn mistyped(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.chars().enumerate() {
        let mut diagonal = std::mem::replace(&mut row[0], i + 1);
        for (j, cb) in b.iter().enumerate() {
            let changed = diagonal + usize::from(ca != *cb);
            diagonal = row[j + 1];
            row[j + 1] = changed.min(diagonal + 1).min(row[j] + 1);
        }
    }
    row.last().copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lists and timelines read the rows that they show, not whole tables: SQLite says so itself.
    #[test]
    fn nothing_but_the_list_of_sets_is_scanned() {
        let folder = tempfile::TempDir::new().unwrap();
        let archive = Archive::create_or_open(folder.path()).unwrap();
        let plan = |sql: &str, values: Vec<Value>| -> Vec<String> {
            let mut statement = archive
                .db
                .prepare(&format!("EXPLAIN QUERY PLAN {sql}"))
                .unwrap();
            let steps = statement.query_map(params_from_iter(values), |row| row.get(3));
            steps.unwrap().collect::<Result<_, _>>().unwrap()
        };
        let (sql, values) = summary_query(&Find::default());
        let list = plan(&sql, values);
        let scans: Vec<&String> = list.iter().filter(|s| s.starts_with("SCAN")).collect();
        assert!(scans.iter().all(|s| s.starts_with("SCAN s")), "{list:#?}");
        // The last cut and check come from the end of an index, without sorting.
        let sorts = list.iter().filter(|s| s.contains("TEMP B-TREE")).count();
        assert!(sorts <= 1, "only the names may be sorted: {list:#?}");
        for sql in load::timeline_queries() {
            let by_photo = sql.contains("?2");
            let values = vec![Value::Text("x".into()); 1 + usize::from(by_photo)];
            let steps = plan(&sql, values);
            assert!(steps.iter().all(|s| !s.starts_with("SCAN")), "{steps:#?}");
            // A photo is looked up by itself, not in all checks of the set.
            let looked_up = steps
                .iter()
                .any(|s| s.starts_with("SEARCH h ") && s.contains("readings_of_photo"));
            assert_eq!(looked_up, by_photo, "{steps:#?}");
        }
    }
}
