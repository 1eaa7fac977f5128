//! Any text is a set of rules or a refusal with a line inside the text.

use proptest::prelude::*;
use seepline::{BUILT_IN_RULES, Check, Grip, Rules, RulesError, advise};

use crate::support::readings::{full, open_tip, setup};

/// The built-in table with a stretch of bytes replaced by a piece of another kind.
fn mangled() -> impl Strategy<Value = String> {
    let pieces = prop_oneof![
        prop::sample::select(vec![
            "",
            "\n",
            "\"",
            "=",
            "[[",
            "]]",
            "{",
            "}",
            "nan",
            "-1",
            "1e999",
            "0",
            "''",
            "#",
            "\"3\"",
            "\"-3in\"",
            "[[pattern]]",
            "version = 1",
            "99999999999999999999",
            "true",
            "\u{0}",
            "é",
            "\r\n",
            "\"\"\"",
            "1979-05-27",
            "a.b.c = 1",
        ])
        .prop_map(str::to_owned),
        ".{0,12}",
    ];
    let edit = (any::<prop::sample::Index>(), 0..40_usize, pieces);
    prop::collection::vec(edit, 1..4).prop_map(|edits| {
        let mut text = BUILT_IN_RULES.to_owned();
        for (at, length, piece) in edits {
            let bounds: Vec<usize> = text.char_indices().map(|(i, _)| i).collect();
            let Some(start) = bounds.get(at.index(bounds.len().max(1))).copied() else {
                continue;
            };
            let end = bounds.iter().copied().find(|i| *i >= start + length);
            text.replace_range(start..end.unwrap_or(text.len()), &piece);
        }
        text
    })
}

proptest! {
    #[test]
    fn a_mangled_table_is_read_or_refused_with_a_line(text in prop_oneof![mangled(), ".{0,200}"]) {
        match Rules::parse(&text, "shop.toml") {
            Ok(rules) => {
                let (open, full) = (open_tip(0.4), full());
                let check = Check { readings: vec![&open, &full, &open], setup: setup("3", Grip::Inside) };
                prop_assert_eq!(advise(&check, &rules).cautions, rules.cautions());
            }
            Err(RulesError::Broken { line, reason, .. }) => {
                prop_assert!(line >= 1 && line <= text.lines().count().max(1), "line {}", line);
                prop_assert!(!reason.is_empty());
            }
        }
    }
}

/// The estimate's grid grows with it: 40 in took minutes.
#[test]
fn an_error_wider_than_any_taper_is_refused() {
    let with = |widest: &str| {
        let text = BUILT_IN_RULES.replace(
            "widest_error = { value = \"0.010in\"",
            &format!("widest_error = {{ value = \"{widest}\""),
        );
        assert_ne!(text, BUILT_IN_RULES);
        Rules::parse(&text, "rules.toml")
    };
    assert!(with("0.05in").is_ok());
    let refused = with("0.051in").unwrap_err().to_string();
    assert!(refused.contains("widest_error"), "{refused}");
}

/// Who sets 80 % must not read nine in ten beside it.
#[test]
fn a_change_says_how_much_its_interval_holds() {
    let text = BUILT_IN_RULES.replace("interval = { value = 0.90", "interval = { value = 0.80");
    assert_ne!(text, BUILT_IN_RULES);
    let rules = Rules::parse(&text, "shop.toml").unwrap();
    let open = open_tip(0.4);
    let check = Check {
        readings: vec![&open, &open, &open],
        setup: setup("3", Grip::Outside),
    };
    let of = |rules: &Rules| advise(&check, rules).taper_change.expect("a change");
    let (wide, narrow) = (of(Rules::built_in()), of(&rules));
    assert!((wide.interval - 0.9).abs() < 1e-12 && (narrow.interval - 0.8).abs() < 1e-12);
    assert!(narrow.low > wide.low && narrow.high < wide.high);
}
