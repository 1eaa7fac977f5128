//! Out as JSON and CSV, in as a table of jaw sets.

use seepline::archive::{Archive, Imported};
use seepline::{Grip, JawSet, Timeline};
use tempfile::TempDir;

use crate::support::records::{at, full_jaw_set, shop};

fn csv(archive: &Archive, name: &str) -> Vec<u8> {
    let files = archive.export_csv().unwrap();
    files.into_iter().find(|f| f.name == name).unwrap().bytes
}

fn import(archive: &mut Archive, table: &str) -> Imported {
    archive.import_jaw_sets(table.as_bytes(), at(40)).unwrap()
}

fn problems(imported: &Imported) -> Vec<(u64, &str)> {
    imported
        .problems
        .iter()
        .map(|p| (p.line, p.what.as_str()))
        .collect()
}

#[test]
fn the_json_holds_every_record_and_marks_hidden_ones() {
    let mut shop = shop();
    let filed = shop.file(&[b"a"]);
    let timeline = shop
        .archive
        .timeline(shop.heron.id, seepline::archive::Details::Whole)
        .unwrap();
    let json = shop.archive.export_json().unwrap();
    let set = &json["jaw_sets"][0];
    assert_eq!(json["schema"], 1);
    assert_eq!(
        serde_json::from_value::<JawSet>(set.clone()).unwrap(),
        shop.heron
    );
    let cut = &set["cuts"][0];
    let back = Timeline {
        jaw_set: serde_json::from_value(set.clone()).unwrap(),
        cuts: vec![seepline::CutTimeline {
            cut: serde_json::from_value(cut.clone()).unwrap(),
            checks: serde_json::from_value(cut["checks"].clone()).unwrap(),
        }],
    };
    assert_eq!(back, timeline);
    // 2.5 thou per side are 5 on the diameter, and 0.0635 and 0.127 mm (1 in = 25.4 mm, ISO 31-1).
    let stated = serde_json::json!({"per_side_thou": 2.5, "on_diameter_thou": 5.0,
        "per_side_mm": 0.0635, "on_diameter_mm": 0.127});
    assert_eq!(cut["taper_stated"], stated);
    assert_eq!(cut["checks"][0]["hidden"], false);
    shop.archive.hide_check(filed.check, at(5)).unwrap();
    let json = shop.archive.export_json().unwrap();
    assert_eq!(json["jaw_sets"][0]["cuts"][0]["checks"][0]["hidden"], true);
}

#[test]
fn tables_have_a_line_per_record_and_label_tapers_both_ways() {
    let mut shop = shop();
    shop.file(&[b"a", b"b"]);
    let lines = |name: &str| {
        csv::Reader::from_reader(csv(&shop.archive, name).as_slice())
            .records()
            .count()
    };
    assert_eq!(
        ["jaw_sets.csv", "cuts.csv", "checks.csv", "readings.csv"].map(lines),
        [1, 1, 1, 2]
    );
    let cuts = csv(&shop.archive, "cuts.csv");
    let mut reader = csv::Reader::from_reader(cuts.as_slice());
    let header = reader.headers().unwrap().clone();
    let record = reader.records().next().unwrap().unwrap();
    let cell = |name: &str| {
        let at = header.iter().position(|h| h == name);
        record
            .get(at.unwrap_or_else(|| panic!("{name}")))
            .unwrap()
            .to_owned()
    };
    assert_eq!(cell("taper_per_side"), "63.5um");
    assert_eq!(
        (cell("taper_per_side_thou"), cell("taper_on_diameter_thou")),
        ("2.5".into(), "5".into())
    );
    assert_eq!(
        (cell("taper_per_side_mm"), cell("taper_on_diameter_mm")),
        ("0.0635".into(), "0.127".into())
    );
    // A formula to a spreadsheet.
    assert_eq!(cell("notes"), "'@noon");
}

#[test]
fn an_exported_table_reads_back_the_same() {
    let mut shop = shop();
    let mut wren = full_jaw_set("-wren");
    shop.archive.put_jaw_set(&wren).unwrap();
    let table = csv(&shop.archive, "jaw_sets.csv");
    let folder = TempDir::new().unwrap();
    let mut other = Archive::create_or_open(folder.path()).unwrap();
    let imported = other.import_jaw_sets(&table, at(40)).unwrap();
    assert_eq!(problems(&imported), []);
    assert_eq!(imported.added.len(), 2);
    let back = other.jaw_set("-wren").unwrap();
    wren.changed = at(40);
    wren.photos.clear();
    assert_eq!(back, wren);
    // Where it came from it adds nothing.
    let again = shop.archive.import_jaw_sets(&table, at(41)).unwrap();
    assert_eq!(
        (again.already, again.added.len(), again.filled_in.len()),
        (2, 0, 0)
    );
}

#[test]
fn a_spreadsheets_table_comes_in_once() {
    let mut shop = shop();
    let table = "\u{feff}Name;Grip;Face length;Material;Boring-pressure\r\n\
        plover;INSIDE;1.25in;aluminium;100psi\r\n\
        \r\n\
        Heron;;;steel;\r\n";
    let imported = import(&mut shop.archive, table);
    assert_eq!(problems(&imported), []);
    assert_eq!(
        (imported.added, imported.filled_in),
        (vec!["plover".into()], vec!["heron".into()])
    );
    assert_eq!(shop.archive.jaw_set("plover").unwrap().grip, Grip::Inside);
    assert_eq!(
        shop.archive.jaw_set("heron").unwrap().material.as_deref(),
        Some("steel")
    );
    let again = import(&mut shop.archive, table);
    let expected = Imported {
        already: 2,
        ..Imported::default()
    };
    assert_eq!(again, expected);
}

#[test]
fn each_bad_line_is_said_and_the_good_ones_go_in() {
    let mut shop = shop();
    let table = "name,materal,face_length,grip\n\
        wren,steel,1.25,outside\n\
        plover,steel,1.25in,outside\n\
        ,steel,1in,outside\n\
        Plover,steel,1.25in,outside\n\
        crane,steel,1in,sideways\n\
        snipe,steel,1in,outside,extra\n\
        heron,,2in,inside\n\
        teal,,30mm,\n";
    let imported = import(&mut shop.archive, table);
    assert_eq!(imported.added, ["plover", "teal"]);
    let told = problems(&imported);
    let lines: Vec<u64> = told.iter().map(|p| p.0).collect();
    assert_eq!(lines, [1, 2, 4, 5, 6, 7, 8]);
    let expected = [
        "did you mean “material”?",
        "face_length: “1.25” has no unit",
        "no name",
        "line 3 has the name",
        "write outside or inside",
        "5 cells",
        "“heron” is here already with another grip",
    ];
    for ((line, what), part) in told.iter().zip(expected) {
        assert!(what.contains(part), "line {line}: {what}");
    }
    // Mended, the rest comes in, and the column that was left out is filled in.
    let mended = "name,material,face_length,grip\nwren,steel,1.25in,\nplover,steel,1.25in,\n";
    let imported = import(&mut shop.archive, mended);
    assert_eq!(
        (imported.added, imported.filled_in),
        (vec!["wren".into()], vec!["plover".into()])
    );
}

#[test]
fn what_is_no_table_is_said_and_nothing_goes_in() {
    let mut shop = shop();
    for (bytes, part) in [
        (&b""[..], "empty"),
        (b"material\nsteel\n", "no column is called"),
        (b"\xff\xfen\0a\0m\0e\0", "UTF-16"),
        (b"name\n\xe4\xf6\n", "UTF-8"),
        (
            b"name,workpiece\nwren,\"2 in pipe\nplover,x\n",
            "never closed",
        ),
    ] {
        let imported = shop.archive.import_jaw_sets(bytes, at(1)).unwrap();
        assert!(imported.added.is_empty());
        assert!(
            problems(&imported)[0].1.contains(part),
            "{:?}",
            imported.problems
        );
    }
}

/// Spreadsheets save `true` in capitals (from memory).
#[test]
fn a_set_that_was_deleted_elsewhere_is_not_brought_back() {
    let mut shop = shop();
    for hidden in ["true", "TRUE"] {
        let imported = import(&mut shop.archive, &format!("name,hidden\negret,{hidden}\n"));
        assert_eq!((imported.added.len(), imported.already), (0, 1), "{hidden}");
    }
}
