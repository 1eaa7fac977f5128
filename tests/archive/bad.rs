//! What is no archive of this version is said, with what to do, and left as it is.

use std::fs;
use std::path::Path;

use rusqlite::Connection;
use seepline::archive::{Archive, ArchiveError, Find};
use tempfile::TempDir;

use crate::support::records::{check, shop};

/// Both ways of opening refuse, and the file is the same afterwards.
fn refused(folder: &Path) -> ArchiveError {
    let file = folder.join("archive.sqlite");
    let before = fs::read(&file).unwrap();
    let error = Archive::open(folder).unwrap_err();
    assert_eq!(Archive::create_or_open(folder).unwrap_err(), error);
    assert_eq!(fs::read(&file).unwrap(), before);
    assert!(error.to_string().contains("archive.sqlite"), "{error}");
    error
}

#[test]
fn a_missing_archive_is_made_only_where_that_was_asked_for() {
    let parent = TempDir::new().unwrap();
    let folder = parent.path().join("not").join("there");
    assert_eq!(
        Archive::open(&folder).unwrap_err(),
        ArchiveError::Missing(folder.clone())
    );
    assert!(!folder.exists());
    Archive::create_or_open(&folder).unwrap();
    Archive::open(&folder).unwrap();
}

#[test]
fn a_file_is_no_folder() {
    let parent = TempDir::new().unwrap();
    let file = parent.path().join("file");
    fs::write(&file, "x").unwrap();
    for opened in [Archive::open(&file), Archive::create_or_open(&file)] {
        assert_eq!(opened.unwrap_err(), ArchiveError::NotAFolder(file.clone()));
    }
}

#[test]
fn a_text_is_no_database() {
    let folder = TempDir::new().unwrap();
    fs::write(folder.path().join("archive.sqlite"), "notes\n".repeat(400)).unwrap();
    let error = refused(folder.path());
    assert!(matches!(error, ArchiveError::NotADatabase(_)), "{error:?}");
}

#[test]
fn another_programs_database_is_left_alone() {
    let folder = TempDir::new().unwrap();
    let db = Connection::open(folder.path().join("archive.sqlite")).unwrap();
    db.execute_batch("CREATE TABLE orders (id INTEGER)")
        .unwrap();
    drop(db);
    let error = refused(folder.path());
    assert!(matches!(error, ArchiveError::NotAnArchive(_)), "{error:?}");
}

#[test]
fn an_archive_of_a_newer_version_is_left_alone() {
    let shop = shop();
    let folder = shop.folder.path();
    drop(shop.archive);
    let db = Connection::open(folder.join("archive.sqlite")).unwrap();
    db.pragma_update(None, "user_version", 999).unwrap();
    drop(db);
    let error = refused(folder);
    assert!(
        matches!(error, ArchiveError::Newer { version: 999, .. }),
        "{error:?}"
    );
    assert!(error.to_string().contains("newer version"), "{error}");
}

#[test]
fn a_damaged_archive_is_said_to_be_damaged() {
    let mut shop = shop();
    for n in 0_u8..20 {
        let photos: [&[u8]; 1] = [&[n]];
        shop.archive
            .file_check(shop.heron.id, &check(&shop.cut, &photos), &photos)
            .unwrap();
    }
    let folder = shop.folder.path();
    drop(shop.archive);
    let file = folder.join("archive.sqlite");
    let whole = fs::read(&file).unwrap();
    // Pages of 4096 bytes: the table of tables, one in the middle, and everything behind the first.
    for (from, to) in [(100, 4000), (4096, 8192), (4096, whole.len())] {
        let mut bytes = whole.clone();
        bytes[from..to].fill(0xa5);
        fs::write(&file, &bytes).unwrap();
        let found = Archive::open(folder).and_then(|archive| {
            archive.jaw_sets(&Find::default())?;
            let damage = archive.verify()?;
            Ok(damage.len())
        });
        match found {
            Err(error) => assert!(matches!(error, ArchiveError::Corrupt { .. }), "{error:?}"),
            Ok(damage) => assert!(damage > 0),
        }
    }
    // Cut off in the middle, as after a copy that broke off.
    fs::write(&file, &whole[..whole.len() / 2]).unwrap();
    let found = Archive::open(folder).and_then(|a| a.verify());
    assert!(found.is_err() || found.is_ok_and(|d| !d.is_empty()));
}

/// Found by fuzzing: opening gave a damaged backup another journal mode, and an earlier layout the newest one,
/// before the damage was met and said not to have been written to.
#[test]
fn a_damaged_archive_that_opening_would_change_is_left_as_it_is() {
    let layouts = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/archive/layouts");
    let earlier = fs::read_to_string(layouts.join("2.sql")).unwrap();
    let shop = shop();
    let backup = TempDir::new().unwrap();
    shop.archive.backup(backup.path()).unwrap();
    for journal_mode in ["DELETE", "WAL"] {
        let folder = TempDir::new().unwrap();
        let db = Connection::open(folder.path().join("archive.sqlite")).unwrap();
        db.execute_batch(&earlier).unwrap();
        db.pragma_update(None, "journal_mode", journal_mode)
            .unwrap();
        drop(db);
        damaged_is_refused(folder.path());
    }
    damaged_is_refused(backup.path());
}

/// Found by fuzzing: what holds nothing, as after a making that was cut off, but is damaged.
#[test]
fn a_damaged_database_without_tables_is_left_as_it_is() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("archive.sqlite");
    let db = Connection::open(&file).unwrap();
    db.execute_batch("CREATE TABLE t (x); DROP TABLE t;")
        .unwrap();
    drop(db);
    // The second of two pages, the one list of free pages.
    let mut bytes = fs::read(&file).unwrap();
    assert_eq!(bytes.len(), 2 * 4096);
    bytes[4096..].fill(0xa5);
    fs::write(&file, bytes).unwrap();
    let error = refused(folder.path());
    assert!(matches!(error, ArchiveError::Corrupt { .. }), "{error:?}");
}

/// The first page of the table of checks is overwritten, which no question about jaw sets alone meets.
fn damaged_is_refused(folder: &Path) {
    let file = folder.join("archive.sqlite");
    let db = Connection::open(&file).unwrap();
    let number = |sql: &str| {
        let number: u32 = db.query_row(sql, [], |row| row.get(0)).unwrap();
        number as usize
    };
    let size = number("PRAGMA page_size");
    let page = number("SELECT rootpage FROM sqlite_schema WHERE name = 'checks'");
    drop(db);
    let mut bytes = fs::read(&file).unwrap();
    bytes[(page - 1) * size..page * size].fill(0xa5);
    fs::write(&file, bytes).unwrap();
    let error = refused(folder);
    assert!(matches!(error, ArchiveError::Corrupt { .. }), "{error:?}");
}

#[cfg(unix)]
mod read_only {
    use std::os::unix::fs::{MetadataExt, PermissionsExt};
    use std::os::unix::process::CommandExt;
    use std::path::PathBuf;
    use std::{env, fs};

    use seepline::archive::{Archive, ArchiveError, Details, Find};
    use tempfile::TempDir;

    use crate::support::program::test_alone;
    use crate::support::records::{at, jaw_set, shop};

    const FOLDER: &str = "SEEPLINE_TEST_READ_ONLY";

    /// An archive that was closed, and one copied while its newest records were in the log.
    fn two_archives() -> (TempDir, PathBuf, PathBuf) {
        let parent = TempDir::new().unwrap();
        let [closed, unfinished] = ["closed? 100 %#", "unfinished"].map(|n| parent.path().join(n));
        let mut shop = shop();
        shop.file(&[b"a"]);
        fs::create_dir(&unfinished).unwrap();
        for name in ["archive.sqlite", "archive.sqlite-wal"] {
            fs::copy(shop.folder.path().join(name), unfinished.join(name)).unwrap();
        }
        drop(shop.archive);
        fs::create_dir(&closed).unwrap();
        let name = "archive.sqlite";
        fs::copy(shop.folder.path().join(name), closed.join(name)).unwrap();
        (parent, closed, unfinished)
    }

    fn permit(folder: &std::path::Path, folders: u32, files: u32) {
        let set = |path: &std::path::Path, mode| {
            fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
        };
        for entry in fs::read_dir(folder).unwrap() {
            set(&entry.unwrap().path(), files);
        }
        set(folder, folders);
    }

    #[test]
    fn an_archive_that_may_not_be_written_can_still_be_read() {
        let (parent, closed, unfinished) = two_archives();
        for folder in [&closed, &unfinished] {
            permit(folder, 0o555, 0o444);
        }
        fs::set_permissions(parent.path(), fs::Permissions::from_mode(0o755)).unwrap();
        // Permissions do not hold root back, so that another user looks.
        let root = fs::metadata("/proc/self").is_ok_and(|m| m.uid() == 0);
        let mut command = test_alone(module_path!(), "looks");
        command.env(FOLDER, parent.path()).current_dir("/");
        if root {
            command.uid(65534).gid(65534);
        }
        match command.output() {
            Ok(output) => {
                let told = String::from_utf8_lossy(&output.stdout);
                assert!(output.status.success(), "{told}");
                assert!(told.contains("1 passed"), "{told}");
            }
            Err(e) => eprintln!("SKIPPED: no other user can start this program: {e}"),
        }
        for folder in [&closed, &unfinished] {
            permit(folder, 0o755, 0o644);
        }
    }

    #[test]
    #[ignore = "is the other user of another test"]
    fn looks() {
        let Some(parent) = env::var_os(FOLDER).map(PathBuf::from) else {
            return;
        };
        let folder = parent.join("closed? 100 %#");
        let mut archive = Archive::open(&folder).unwrap();
        assert!(archive.is_read_only());
        let list = archive.jaw_sets(&Find::default()).unwrap();
        let heron = list[0].jaw_set.id;
        let timeline = archive.timeline(heron, Details::Whole).unwrap();
        assert_eq!(timeline.cuts[0].checks.len(), 1);
        let file = folder.join("archive.sqlite");
        let read_only = Err(ArchiveError::ReadOnly(file.clone()));
        assert_eq!(archive.put_jaw_set(&jaw_set("wren")), read_only);
        assert_eq!(archive.hide_jaw_set(heron, at(3)), read_only);
        assert!(archive.store_photo(b"x").is_err());
        assert!(Archive::create_or_open(&folder).unwrap().is_read_only());
        let error = Archive::open(&parent.join("unfinished")).unwrap_err();
        assert!(
            matches!(error, ArchiveError::ReadOnlyUnfinished(_)),
            "{error:?}"
        );
        let error = Archive::create_or_open(&folder.join("new")).unwrap_err();
        assert!(matches!(error, ArchiveError::Forbidden(_)), "{error:?}");
    }
}
