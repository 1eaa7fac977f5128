//! Parts that are read apart and joined are the same as one run.

use super::shop::Shop;

#[test]
fn two_processes_joined_are_the_same_as_one_run_record_by_record() {
    let shop = Shop::with_two_checks();
    // Parts are split by name: so many copies are in both.
    for copy in ["a", "b", "c", "d", "e", "f", "g", "h"] {
        shop.put(
            "heron-too-much-taper/jaw1.jpg",
            &format!("copies/{copy}.jpg"),
        );
    }
    shop.put("singles/refused-smeared.jpg", "plover/a.jpg");
    shop.write("plover/broken.jpg", b"no picture");
    shop.write("plover/empty.jpg", b"");
    #[cfg(unix)]
    std::os::unix::fs::symlink("nothing", shop.photo("plover/gone.jpg")).unwrap();
    let table = "file,jaw_set,taper\nheron/jaw2.jpg,heron,3thou\nheron/jaw3.jpg,heron,3thou\n";
    std::fs::write(shop.path("groups.csv"), table).unwrap();

    let parts = ["1/2", "2/2"].map(|part| {
        let into = format!("part{}", &part[..1]);
        shop.start(&into, &format!("--groups groups.csv --part {part}"))
    });
    for part in parts {
        let output = part.wait_with_output().unwrap();
        assert!(output.status.code().is_some_and(|c| c < 2));
    }
    shop.review("whole", "--groups groups.csv --csv whole.csv", 1);
    let output = shop.run("join", "part1 part2 --into joined --csv joined.csv");
    assert_eq!(output.status.code(), Some(1));

    let copies = ["part1", "part2"].map(|p| {
        let files = shop.files(p);
        files.iter().any(|f| f.starts_with("copies/"))
    });
    assert_eq!(copies, [true; 2]);
    for kind in ["photo", "check"] {
        let (joined, whole) = (shop.lines("joined", kind), shop.lines("whole", kind));
        assert_eq!(joined.len(), whole.len());
        for (joined, whole) in joined.iter().zip(&whole) {
            assert_eq!(joined, whole);
        }
    }
    assert_eq!(shop.result("joined"), shop.result("whole"));
    for name in ["", "-photos"] {
        let table = |run: &str| std::fs::read(shop.path(&format!("{run}{name}.csv"))).unwrap();
        assert_eq!(table("joined"), table("whole"));
    }
    for folder in ["thumbs", "pictures"] {
        let names = |run: &str| {
            let entries = std::fs::read_dir(shop.path(run).join(folder)).unwrap();
            let mut names: Vec<_> = entries.map(|e| e.unwrap().file_name()).collect();
            names.sort();
            names
        };
        assert_eq!(names("joined"), names("whole"));
    }
}

#[test]
fn what_holds_no_part_is_refused() {
    let shop = Shop::new();
    let output = shop.run("join", "checks --into joined");
    assert_eq!(output.status.code(), Some(2));
    let errors = String::from_utf8(output.stderr).unwrap();
    assert!(errors.contains("holds no result of a review"), "{errors}");
    assert!(!shop.path("joined").exists());
}
