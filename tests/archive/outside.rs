//! Python's `sqlite3`, another build of SQLite, finds what was filed.

use std::process::Command;

use crate::support::records::{check, full_jaw_set, shop};

const COUNT: &str = "
import sqlite3, sys
db = sqlite3.connect(sys.argv[1])
tables = ['jaw_sets', 'jaw_set_photos', 'cuts', 'checks', 'readings', 'reading_details']
print(db.execute('PRAGMA integrity_check').fetchone()[0])
print(len(db.execute('PRAGMA foreign_key_check').fetchall()))
print(*[db.execute(f'SELECT count(*) FROM {t}').fetchone()[0] for t in tables])
print(db.execute('SELECT workpiece_diameter FROM jaw_sets WHERE name = ?', ['Wren']).fetchone()[0])
";

#[test]
fn another_sqlite_agrees() {
    let mut shop = shop();
    shop.archive.put_jaw_set(&full_jaw_set("Wren")).unwrap();
    for n in 0_u8..4 {
        let photos: [&[u8]; 2] = [&[n], &[n, n]];
        shop.archive
            .file_check(shop.heron.id, &check(&shop.cut, &photos), &photos)
            .unwrap();
    }
    let file = shop.folder.path().join("archive.sqlite");
    let output = Command::new("python3")
        .args(["-c", COUNT])
        .arg(file)
        .output();
    let Some(output) = output.ok().filter(|o| o.status.success()) else {
        eprintln!("SKIPPED: no python3 with sqlite3 3.37 or newer here");
        return;
    };
    let told = String::from_utf8(output.stdout).unwrap();
    assert_eq!(told, "ok\n0\n2 2 1 4 8 8\n101600um\n");
}
