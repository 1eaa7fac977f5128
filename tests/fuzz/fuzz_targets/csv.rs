//! Any bytes are a table that people fill in, or problems with lines inside of it: a table of jaw sets, which
//! is taken in once, a review's groups, a study's answer sheet and its truth.

#![no_main]

use std::cell::RefCell;
use std::path::PathBuf;

use jiff::civil::{DateTime, date};
use libfuzzer_sys::fuzz_target;
use seepline::archive::{Archive, Imported};
use seepline::fuzzing::tables;
use seepline::{Id, JawSet};

const FILES: [&str; 4] = ["a.jpg", "x/a.jpg", "x/b.jpg", "jaw 1.jpg"];

thread_local! {
    static SHOP: RefCell<Shop> = RefCell::new(Shop::open());
}

fuzz_target!(|table: &[u8]| {
    let lines = table.iter().filter(|b| **b == b'\n').count() as u64 + 1;
    let inside = |line: &u64| (1..=lines).contains(line);
    assert!(tables(table, &FILES, 6).iter().all(inside));
    SHOP.with_borrow_mut(|shop| {
        let imported = shop.import(table);
        assert!(
            imported
                .problems
                .iter()
                .all(|p| inside(&p.line) && !p.what.is_empty())
        );
        if !(imported.added.is_empty() && imported.filled_in.is_empty()) {
            shop.taken_in_once(table, &imported);
            *shop = Shop::open();
        }
    });
});

/// An archive with one jaw set.
struct Shop {
    archive: Archive,
}

fn noon() -> DateTime {
    date(2026, 3, 4).at(12, 0, 0, 0)
}

impl Shop {
    fn open() -> Self {
        let folder = folder();
        let _ = std::fs::remove_dir_all(&folder);
        let mut archive = Archive::create_or_open(&folder).expect("an archive");
        let heron = JawSet::named(Id::derived(&["heron"]), "heron", noon());
        archive.put_jaw_set(&heron).expect("a jaw set");
        Self { archive }
    }

    fn import(&mut self, table: &[u8]) -> Imported {
        let imported = self.archive.import_jaw_sets(table, noon());
        imported.expect("bad tables are problems, not errors")
    }

    /// The same table again says nothing new, and so does what the archive itself writes.
    fn taken_in_once(&mut self, table: &[u8], first: &Imported) {
        let again = self.import(table);
        assert_eq!((again.added, again.filled_in), (Vec::new(), Vec::new()));
        assert_eq!(again.problems, first.problems);
        let tables = self.archive.export_csv().expect("tables");
        let sets = tables
            .iter()
            .find(|t| t.name == "jaw_sets.csv")
            .expect("the jaw sets");
        let own = self.import(&sets.bytes);
        assert_eq!((own.added, own.filled_in), (Vec::new(), Vec::new()));
        assert_eq!(own.problems, []);
    }
}

fn folder() -> PathBuf {
    std::env::temp_dir().join(format!("seepline-fuzz-csv-{}", std::process::id()))
}
