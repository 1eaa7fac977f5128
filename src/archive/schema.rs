//! The layout of the database, and how an older one becomes the newest.
//!
//! # Columns
//!
//! The steps in `schema/` are never touched again, not even for a comment, so what a column holds stands here. NULL means
//! that nobody said it, where nothing else is written. Everywhere: `id` is 32 hexadecimal digits; `changed` is when the
//! record was last written, and of two versions the later one stands; `hidden` is 1 of a record that was deleted;
//! `machine`, `chuck`, `master_jaws` and `serration` are where the set sat then, as the shop writes it.
//!
//! | `jaw_sets` | |
//! | --- | --- |
//! | `name` | as the shop writes it; `name_key` is what names are compared by, and one set that is not hidden has it |
//! | `grip` | `outside` or `inside` |
//! | `material`, `workpiece`, `bolt_torque`, `bored_on`, `notes` | the shop's own words |
//! | `jaw_height` | from the serrations to the top of the jaw |
//! | `face_length`, `face_width` | of the gripping face: tip to base, and straight across |
//! | `bored_diameter` | as bored or turned last; each cut has its own |
//! | `workpiece_diameter` | where it is clamped; `workpiece_diameter_um` is the same as a number, to sort by |
//! | `boring_pressure`, `production_pressure` | of the chuck, gauge |
//! | `stock` | per side, what may still be bored away now |
//! | `words` | all texts in lower case, to search in |
//!
//! | `jaw_set_photos` | photos of the set itself, not of a check |
//! | --- | --- |
//! | `position` | in the order given, from 0 |
//! | `sha256` | of the photo's bytes; names its file below `photos/` |
//!
//! | `cuts` | |
//! | --- | --- |
//! | `made` | when the set was bored |
//! | `diameter` | to which it was bored or turned, at the base |
//! | `depth` | along the spindle axis |
//! | `taper` | more material at the tip than at the base, per side, over the face; zero or more |
//! | `boring_pressure` | while boring this cut |
//! | `skimmed` | what was skimmed besides the gripping face, in words |
//! | `stock_left` | per side, after this cut |
//!
//! | `checks` | |
//! | --- | --- |
//! | `cut`, `jaw_set` | the cut that was checked; the set is the cut's, and a foreign key holds that |
//! | `made` | when the first photo was taken; when it was filed, where no photo tells |
//! | `method` | `seep` or `transfer` |
//! | `compound` | name or colour, as the shop writes it |
//! | `pressure` | of the chuck while checking |
//! | `program`, `rules` | versions: of the program that read the photos, with the first digits of its weights' SHA-256 behind a plus sign, and of the rules behind the advice |
//! | `pattern`, `action` | of the check as a whole, and what was advised |
//! | `change` | advised, per side; positive adds taper; zero where it is to be left, NULL where the check says nothing of it |
//! | `low`, `high` | ends of the interval of the change that is needed, per side; `change`, rounded and held to a step, may lie outside. NULL as `change` |
//! | `next_taper` | the taper to cut next, per side; NULL as `change`, and where the taper cut was not known |
//! | `what_to_do`, `why` | the advice's sentences, as they were shown |
//! | `done` | what was done about it, in the setter's words |
//!
//! | `readings` | one row per photo of a check |
//! | --- | --- |
//! | `position` | in the order given, from 0 |
//! | `sha256` | of the photo's bytes; once in a check |
//! | `file` | the photo's name when it was filed, without its folder |
//! | `taken` | as the camera wrote it; NULL where it did not |
//! | `pattern`, `confidence` | of this photo; the confidence is a probability, 0 when refused. Of a jaw with several photos the first has what they say together; the others `unreadable` and 0, with `refusal` NULL, which no other photo has |
//! | `refusal` | why it could not be judged; NULL where it was |
//! | `phone` | maker and model of the camera as it wrote them; NULL where it did not, and of photos filed before layout 7 |
//! | `open_end`, `open_fraction`, `open_sd` | what it says of the taper: `tip`, `base` or `neither`; the share of the length without contact, from that end; one standard deviation of that share. All three NULL where it says nothing that may be acted on |
//!
//! | `reading_details` | |
//! | --- | --- |
//! | `detail` | the reading as `read --json` prints it under `photos`; of a jaw's first photo of several what they say together, with the photo's own under `alone` |
//!
//! | `lessons` | at most one row per set |
//! | --- | --- |
//! | `version` | of the program and the rules that made it; another version makes it anew |
//! | `lesson` | JSON, known to nobody but the program that made it |
//!
//! | `calls` | |
//! | --- | --- |
//! | `kind` | `check`, `practice`, `study`, `ruling` or `measured` |
//! | `person` | initials or a shop number; `#` and a random number after erasing |
//! | `check_id`, `photo` | what was called: one of the two, the other is NULL; `photo` is a SHA-256 and need not be in the archive |
//! | `session` | one run of practice or one study; of a check the prove-out under which a lead called it; NULL of other checks, of a ruling and of a measurement |
//! | `pattern` | that was called |
//! | `change` | `leave`, `none`, or exact and signed, per side; of a measurement the feeler's thickness |
//! | `at` | when the call was made |
//! | `revealed` | when what is right was shown to the person; NULL before |
//! | `told` | JSON, what was shown then in practice and studies; NULL of a check and of a ruling |
//!
//! | `people` | only those of whom something was set |
//! | --- | --- |
//! | `call_first` | 1 where the person calls before a reading is shown |
//! | `lead` | 1 of a lead |
//!
//! | `labels` | of single photos; of several of a kind the latest stands |
//! | --- | --- |
//! | `photo` | SHA-256 |
//! | `what` | `corners`, `tip` or `pattern` |
//! | `value` | JSON: four points in full-size upright pixels (tip-left, tip-right, base-right, base-left), where the tip points, what a lead says can be read |
//! | `person` | initials or a shop number; `#` and a random number after erasing; NULL where nobody said who it was |
//! | `at` | when it was given |
//!
//! | `settings` | |
//! | --- | --- |
//! | `name`, `value` | `see_others`: who sees others' records, `everyone`, `leads` or `nobody`; `reread_with`: the `program` that read all filed photos again last |

//!
//! | `prove_outs` | |
//! | --- | --- |
//! | `person`, `ended_by` | the leads who began and ended it; as `calls.person` |
//! | `begun`, `ended` | when; of several the one begun last stands |
//! | `checks`, `confidence`, `held` | the plan: answers to be judged, of the claim, and whether unproven changes are kept back |
//! | `program` | the program's version when it was begun |
//! | `counted` | JSON, the checks that it rests on; NULL while it goes on |
//!
//! | `advised` | at most one row per check |
//! | --- | --- |
//! | `prove_out` | the one that stood when the check was filed |
//! | `at` | when it was filed, or filed with more photos |
//! | `answer` | JSON, pattern and change as they were first given; NULL where there was no answer. Where `checks.action` is `held` nothing else has the change |

use std::path::Path;

use rusqlite::{Connection, TransactionBehavior};

use super::error::{ArchiveError, Fault};

/// The layout after each step, oldest first. Archives exist with every one of them: never change or
/// reorder a text here, only add one at the end.
const STEPS: [&str; 7] = [
    include_str!("schema/1-tables.sql"),
    include_str!("schema/2-indexes.sql"),
    include_str!("schema/3-lessons.sql"),
    include_str!("schema/4-calls.sql"),
    include_str!("schema/5-prove-outs.sql"),
    include_str!("schema/6-labels.sql"),
    include_str!("schema/7-phones.sql"),
];

/// Marks a database as ours (`PRAGMA application_id`): "seep" in ASCII.
const APPLICATION: i64 = 0x7365_6570;

/// What the database says of itself.
enum Kind {
    /// Nothing in it: new, or its making was interrupted.
    Empty,
    /// An archive with this layout.
    Archive(i64),
    /// Of another program.
    Foreign,
}

fn kind(db: &Connection) -> Result<Kind, Fault> {
    let number = |name| db.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
    let (application, version) = (number("application_id")?, number("user_version")?);
    let tables: i64 = db.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
    Ok(match (application, version, tables) {
        (APPLICATION, version, _) => Kind::Archive(version),
        // All three: another program's new database has version 0, too, but tables in it.
        (0, 0, 0) => Kind::Empty,
        _ => Kind::Foreign,
    })
}

/// The layout that the database has, 0 where there is nothing in it yet. Reads only.
pub(super) fn version(db: &Connection, file: &Path) -> Result<usize, Fault> {
    match kind(db)? {
        Kind::Empty => Ok(0),
        Kind::Foreign => Err(ArchiveError::NotAnArchive(file.to_path_buf()).into()),
        Kind::Archive(version) => usize::try_from(version)
            .ok()
            // A newer layout may keep things that this version would not carry along.
            .filter(|v| *v <= STEPS.len())
            .ok_or_else(|| newer(file, version)),
    }
}

fn newer(file: &Path, version: i64) -> Fault {
    Fault::from(ArchiveError::Newer {
        file: file.to_path_buf(),
        version,
        known: STEPS.len() as i64,
    })
}

/// Whether the layout is the newest.
pub(super) fn is_newest(version: usize) -> bool {
    version == STEPS.len()
}

/// Takes every step that is still missing, all in one transaction: another process sees the layout
/// before or after, nothing between.
pub(super) fn migrate(db: &mut Connection, file: &Path) -> Result<(), Fault> {
    let transaction = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Again, as another process may have migrated while this one waited.
    let from = version(&transaction, file)?;
    for step in &STEPS[from..] {
        transaction.execute_batch(step)?;
    }
    // Both stand in the file's header and are part of the transaction, as the tables are.
    transaction.pragma_update(None, "application_id", APPLICATION)?;
    transaction.pragma_update(None, "user_version", STEPS.len() as i64)?;
    Ok(transaction.commit()?)
}
