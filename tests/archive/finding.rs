//! Lists, and records by name or id.

use seepline::archive::{ArchiveError, Find};
use seepline::{Grip, Pattern};

use crate::support::records::{at, check, cut, full_jaw_set, jaw_set, length, shop};

#[test]
fn names_are_found_whatever_their_case_and_ids_by_their_beginning() {
    let mut shop = shop();
    let plover = jaw_set("Große Plover");
    shop.archive.put_jaw_set(&plover).unwrap();
    for text in [
        "große plover",
        " GROSSE  Plover".replace("SS", "ß").as_str(),
    ] {
        assert_eq!(shop.archive.jaw_set(text).unwrap().id, plover.id, "{text}");
    }
    let id = plover.id.to_string();
    assert_eq!(shop.archive.jaw_set(&id).unwrap().id, plover.id);
    assert_eq!(
        shop.archive.jaw_set(&id[..10].to_uppercase()).unwrap().id,
        plover.id
    );
}

#[test]
fn an_unknown_name_lists_close_ones() {
    let mut shop = shop();
    for name in ["plover", "heron, long"] {
        shop.archive.put_jaw_set(&jaw_set(name)).unwrap();
    }
    let error = shop.archive.jaw_set("herno").unwrap_err();
    let expected = ArchiveError::UnknownJawSet {
        name: "herno".into(),
        close: Vec::new(),
    };
    // Two letters swapped are two mistyped: more than a third of five.
    assert_eq!(error, expected);
    let error = shop.archive.jaw_set("heran").unwrap_err().to_string();
    assert!(error.contains("did you mean “heron”?"), "{error}");
    let error = shop.archive.jaw_set("hero").unwrap_err().to_string();
    assert!(error.contains("“heron”, “heron, long”"), "{error}");
}

#[test]
fn a_name_belongs_to_one_set() {
    let mut shop = shop();
    let twin = jaw_set("  HERON ");
    let taken = ArchiveError::NameTaken("HERON".into());
    assert_eq!(shop.archive.put_jaw_set(&twin), Err(taken));
    // The set itself may be written again.
    shop.archive.put_jaw_set(&shop.heron).unwrap();
    for name in ["", "  ", "two\nlines", &"x".repeat(101)] {
        let refused = shop.archive.put_jaw_set(&jaw_set(name));
        assert!(matches!(refused, Err(ArchiveError::BadName(_))), "{name}");
    }
}

#[test]
fn lists_are_by_name_and_say_what_came_last() {
    let mut shop = shop();
    let later = cut(&shop.heron, 30);
    shop.archive.put_cut(&later).unwrap();
    let mut second = check(&shop.cut, &[b"b"]);
    second.made = at(20);
    second.advice.pattern = Pattern::FullLength;
    for (given, photo) in [(second, b"b"), (check(&shop.cut, &[b"a"]), b"a")] {
        shop.archive
            .file_check(shop.heron.id, &given, &[photo])
            .unwrap();
    }
    shop.archive.put_jaw_set(&jaw_set("Crane")).unwrap();
    let list = shop.archive.jaw_sets(&Find::default()).unwrap();
    let names: Vec<&str> = list.iter().map(|s| s.jaw_set.name.as_str()).collect();
    assert_eq!(names, ["Crane", "heron"]);
    assert_eq!((list[0].last_cut, list[0].last_check.clone()), (None, None));
    let heron = &list[1];
    assert_eq!((heron.cuts, heron.checks), (2, 2));
    assert_eq!(heron.last_cut.unwrap().made, at(30));
    assert_eq!(heron.last_cut.unwrap().taper, later.taper);
    let last = heron.last_check.as_ref().unwrap();
    assert_eq!((last.made, last.pattern), (at(20), Pattern::FullLength));
}

#[test]
fn every_condition_counts() {
    let mut shop = shop();
    shop.archive.put_jaw_set(&full_jaw_set("Wren")).unwrap();
    let found = |find: Find| -> Vec<String> {
        let list = shop.archive.jaw_sets(&find).unwrap();
        list.into_iter().map(|s| s.jaw_set.name).collect()
    };
    let text = |text: &str| Find {
        text: text.into(),
        ..Find::default()
    };
    assert_eq!(found(text("ÖLFEST plug")), ["Wren"]);
    assert_eq!(found(text("ölfest heron")), [""; 0]);
    assert_eq!(found(text("%")), [""; 0]);
    let grip = Some(Grip::Outside);
    assert_eq!(
        found(Find {
            grip,
            ..Find::default()
        }),
        ["heron"]
    );
    let part = |part: &str| Some(part.to_owned());
    assert_eq!(
        found(Find {
            material: part("ÖLFEST"),
            ..Find::default()
        }),
        ["Wren"]
    );
    assert_eq!(
        found(Find {
            machine: part("north"),
            ..Find::default()
        }),
        ["Wren"]
    );
    assert_eq!(
        found(Find {
            machine: part("south"),
            ..Find::default()
        }),
        [""; 0]
    );
    assert_eq!(
        found(Find {
            chuck: part("10 in"),
            ..Find::default()
        }),
        ["Wren"]
    );
    let between = |from: &str, to: &str| Find {
        workpiece_from: Some(length(from)),
        workpiece_to: Some(length(to)),
        ..Find::default()
    };
    assert_eq!(found(between("4in", "4in")), ["Wren"]);
    assert_eq!(found(between("4.001in", "5in")), [""; 0]);
    assert_eq!(found(between("1in", "3.999in")), [""; 0]);
}
