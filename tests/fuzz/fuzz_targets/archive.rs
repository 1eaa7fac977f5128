//! Any bytes under an archive's name are an archive that can be used, or an error; what is no archive, and what
//! is damaged, is not written to.

#![no_main]

use std::fs;
use std::path::{Path, PathBuf};

use jiff::civil::date;
use libfuzzer_sys::fuzz_target;
use seepline::archive::{Archive, ArchiveError, Details, Find};
use seepline::report::{
    HistoryReport, TextOptions, filed_check_to_text, history_to_json, history_to_svg,
    history_to_text, jaw_set_to_text, list_to_text, proof_to_json, proof_to_text, sheet_to_html,
};
use seepline::{Id, Lesson, Rules, Timeline, knowledge, steps};

fuzz_target!(|bytes: &[u8]| {
    let folder = folder();
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("a folder");
    let file = folder.join("archive.sqlite");
    fs::write(&file, bytes).expect("a file");
    match Archive::open(&folder) {
        Ok(mut archive) => used(&mut archive),
        Err(error) => refused(&error, &folder, bytes),
    }
});

fn folder() -> PathBuf {
    std::env::temp_dir().join(format!("seepline-fuzz-archive-{}", std::process::id()))
}

fn refused(error: &ArchiveError, folder: &Path, bytes: &[u8]) {
    assert!(error.to_string().contains("; "), "{error}");
    let said = matches!(
        error,
        ArchiveError::NotADatabase(_)
            | ArchiveError::NotAnArchive(_)
            | ArchiveError::Newer { .. }
            | ArchiveError::Corrupt { .. }
    );
    if said {
        assert_eq!(
            fs::read(folder.join("archive.sqlite")).expect("the file"),
            bytes,
            "{error:?}"
        );
    }
}

/// Whatever the cells hold, each question has an answer or an error.
fn used(archive: &mut Archive) {
    let rules = Rules::built_in();
    let hidden = Find {
        hidden: true,
        ..Find::default()
    };
    for find in [Find::default(), hidden] {
        if let Ok(sets) = archive.jaw_sets(&find) {
            list_to_text(&sets, text());
        }
    }
    for set in archive.jaw_sets(&Find::default()).unwrap_or_default() {
        history(archive, set.jaw_set.id, rules);
    }
    let _ = archive.every_timeline(Details::LeftOut);
    let _ = archive.export_json();
    let _ = archive.export_csv();
    let _ = archive.verify();
    let _ = (archive.people(), archive.sight());
    let _ = archive.call_rows(rules.estimate());
    let _ = (archive.labels(), archive.prove_outs());
    if let Ok(Some(proof)) = archive.proof(rules.estimate()) {
        let not_tried = archive.not_tried(&proof).unwrap_or_default();
        printable(&proof_to_text(&proof, &not_tried, text()));
        proof_to_json(&proof, &not_tried);
    }
    let table = b"name,face_length\nplover,1in\n";
    if archive
        .import_jaw_sets(table, date(2026, 3, 4).at(12, 0, 0, 0))
        .is_ok()
    {
        // What was written is there, unless what is damaged is in the way.
        let plover = archive.jaw_set("plover");
        assert!(plover.is_ok_and(|p| p.name.eq_ignore_ascii_case("plover")) || damaged(archive));
    }
}

fn damaged(archive: &Archive) -> bool {
    archive.verify().map_or(true, |damage| !damage.is_empty())
        || archive.jaw_sets(&Find::default()).is_err()
}

fn history(archive: &mut Archive, set: Id, rules: &Rules) {
    let Ok(timeline) = archive.timeline(set, Details::Whole) else {
        return;
    };
    let teach = |timeline: &Timeline| Lesson::of(timeline, rules.estimate());
    let others = archive.lessons(set, "fuzz", teach).unwrap_or_default();
    let known = knowledge(&timeline, &others, None, rules.estimate());
    let steps = steps(&timeline, &known, rules.estimate());
    let history = HistoryReport {
        timeline: &timeline,
        steps: &steps,
        proof: None,
    };
    history_to_json(&history);
    printable(&history_to_text(&history, text()));
    printable(&jaw_set_to_text(&timeline.jaw_set, text()));
    let _ = history_to_svg(&history);
    let _ = sheet_to_html(&timeline, rules, None, date(2026, 3, 4));
    for cut in &timeline.cuts {
        for check in &cut.checks {
            printable(&filed_check_to_text(
                check,
                &cut.cut,
                &timeline.jaw_set,
                None,
                text(),
            ));
        }
    }
}

fn printable(text: &str) {
    assert!(!text.contains('\u{1b}'));
}

fn text() -> TextOptions {
    TextOptions {
        colour: false,
        unicode: true,
        width: Some(60),
    }
}
