//! What is wrong is said before any photo is read, with what to do.

use crate::support::bench::Bench;
use crate::support::program::{Run, contains};

/// Photos that are not there: a complaint about them would show that they were tried.
fn refused(arguments: &[&str]) -> String {
    let bench = Bench::bare();
    let mut command = bench.command();
    let assert = command
        .args(["read", "no-such-jaw.jpg"])
        .args(arguments)
        .ran()
        .code(2)
        .stdout("");
    let told = assert.err();
    assert!(!told.contains("does not exist"), "{told}");
    told
}

#[test]
fn an_unknown_pattern_is_answered_with_all_there_are() {
    let told = refused(&["--call", "tips", "--change=-1thou", "--by", "AB"]);
    // The README's table of patterns.
    for pattern in [
        "full-length",
        "tip-only",
        "base-only",
        "ends-only",
        "middle-only",
        "centre-only",
        "edges-only",
        "one-side",
        "held-off",
        "mixed",
        "unreadable",
    ] {
        assert!(told.contains(pattern), "{pattern}: {told}");
    }
}

#[test]
fn a_change_needs_a_unit_and_a_direction() {
    let call = |change: &str| refused(&["--call", "tip-only", change, "--by", "AB"]);
    assert!(call("--change=-1").contains("has no unit"));
    assert!(call("--change=1thou").contains("does not say which way"));
    assert!(call("--change=1thou on diameter").contains("does not say which way"));
    assert!(call("--change=less -1thou").contains("both ways"));
    assert!(call("--change=-2in").contains("check the unit"));
    assert!(call("--change=lots").contains("is no number"));
}

#[test]
fn a_call_needs_all_three_and_what_can_stand_together() {
    assert!(refused(&["--call", "tip-only", "--change=-1thou"]).contains("--by <WHO>"));
    assert!(refused(&["--call", "tip-only", "--by", "AB"]).contains("--change <AMOUNT>"));
    assert!(refused(&["--change=-1thou", "--by", "AB"]).contains("--call <PATTERN>"));
    let told = refused(&["--call", "tip-only", "--change=-1thou", "--by", "Ann-Marie"]);
    assert!(told.contains("1 to 8 letters or digits"), "{told}");
    let told = refused(&["--call", "unreadable", "--change=-1thou", "--by", "AB"]);
    assert!(told.contains("says nothing about the taper"), "{told}");
}

#[test]
fn an_empty_archive_and_none_at_all_are_said() {
    let bench = Bench::new();
    bench
        .run("practice --by AB")
        .code(2)
        .stdout("")
        .stderr(contains("nothing to practise on").and(contains("--photos DIR")));
    bench
        .run("people list")
        .success()
        .stdout(contains("Nobody is known yet"));
    bench
        .run("people show AB --by AB")
        .success()
        .stdout("Nothing was called yet.\n");
    bench
        .run("people erase AB --yes")
        .code(2)
        .stderr(contains("nothing is kept of AB"));
    let none = Bench::bare();
    none.run("practice --by AB")
        .code(2)
        .stderr(contains("holds no archive"));
    none.run("practice --by AB --photos nowhere")
        .code(2)
        .stderr(contains("truth.json could not be read"));
}

#[test]
fn a_table_that_is_none_is_said_with_its_line() {
    let bench = Bench::bare();
    let folder = bench.folder.path().join("photos");
    std::fs::create_dir(&folder).unwrap();
    for (table, part) in [
        ("{\n\"photos\": 3}", "line 2"),
        ("", "line 1"),
        ("[]", "line 1"),
    ] {
        std::fs::write(folder.join("truth.json"), table).unwrap();
        bench
            .command()
            .args(["practice", "--by", "AB", "--photos"])
            .arg(&folder)
            .ran()
            .code(2)
            .stderr(contains(part).and(contains("truth.json")));
    }
}

#[test]
fn nobody_but_a_lead_rules_and_only_on_a_check() {
    let bench = Bench::new();
    bench
        .read(&super::tip_only(), "--jaws heron --taper 3thou")
        .success();
    let check = bench.json("history heron")["timeline"]["cuts"][0]["checks"][0]["id"].clone();
    let check = check.as_str().unwrap().to_owned();
    bench
        .run(&format!(
            "check rule {check} edges-only --change none --by JK"
        ))
        .code(2)
        .stderr(contains("JK is no lead").and(contains("seepline people lead JK on")));
    bench.run("people lead JK on").success();
    bench
        .run("check rule ffff0000 edges-only --change none --by JK")
        .code(2)
        .stderr(contains("no check"));
    bench
        .run(&format!(
            "check rule {check} edges-only --change none --by JK"
        ))
        .success()
        .stdout(contains("ruled by").and(contains("as a lead ruled")));
    let shown = bench.json(&format!("check show {check}"));
    assert_eq!(
        (&shown["right"]["pattern"], &shown["right"]["by"]),
        (&"edges-only".into(), &"ruling".into())
    );
    // The check's own record is as it was.
    assert_eq!(shown["advice"]["pattern"], "tip-only");
}
