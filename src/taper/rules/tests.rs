use super::*;

/// The built-in table with one piece replaced, and the line that piece starts on.
fn edited(from: &str, to: &str) -> (Result<Rules, RulesError>, usize) {
    let at = BUILT_IN_RULES
        .find(from)
        .expect("the piece is in the built-in table");
    let text = BUILT_IN_RULES.replacen(from, to, 1);
    (
        Rules::parse(&text, "shop.toml"),
        BUILT_IN_RULES[..at].matches('\n').count() + 1,
    )
}

fn fault(from: &str, to: &str) -> (usize, String) {
    let (parsed, line) = edited(from, to);
    let Err(RulesError::Broken {
        file,
        line: found,
        reason,
    }) = parsed
    else {
        panic!("{to} was accepted");
    };
    assert_eq!(file, "shop.toml");
    assert_eq!(found, line, "{reason}");
    (found, reason)
}

#[test]
fn the_built_in_rules_stand() {
    let rules = Rules::parse(BUILT_IN_RULES, "built in").unwrap();
    assert_eq!(rules.estimate().increment.thou().to_string(), "0.5");
    assert_eq!(rules.estimate().largest_step.thou().to_string(), "2");
    assert_eq!(rules.cautions().len(), 5);
    assert!(rules.version().starts_with("1 ("));
}

#[test]
fn every_pattern_and_reason_is_listed() {
    // No wildcard: a new variant does not compile here until it is added to the list and counted.
    for pattern in Pattern::ALL {
        match pattern {
            Pattern::FullLength
            | Pattern::TipOnly
            | Pattern::BaseOnly
            | Pattern::EndsOnly
            | Pattern::MiddleOnly
            | Pattern::CentreOnly
            | Pattern::EdgesOnly
            | Pattern::OneSide
            | Pattern::HeldOff
            | Pattern::Mixed
            | Pattern::Unreadable => {}
        }
        assert_eq!(Pattern::ALL.iter().filter(|p| **p == pattern).count(), 1);
    }
    for reason in Reason::ALL {
        match reason {
            Reason::Blurred
            | Reason::Dark
            | Reason::BurntOut
            | Reason::Glare
            | Reason::NoFace
            | Reason::Hidden
            | Reason::OutOfPicture
            | Reason::TooSmall
            | Reason::NoSeam
            | Reason::Smeared
            | Reason::TooAlike
            | Reason::Unclear => {}
        }
        assert!(!Rules::built_in().refusal(reason).is_empty());
        assert_eq!(Reason::ALL.iter().filter(|r| **r == reason).count(), 1);
    }
}

#[test]
fn every_row_names_its_source() {
    let rows = BUILT_IN_RULES.matches("\n[[").count() + BUILT_IN_RULES.matches("{ value").count();
    let sources = BUILT_IN_RULES.matches("source = \"").count();
    assert_eq!(rows, sources);
    fault(
        "[[caution]]\ntext = \"Stop the spindle and lock it out before hands go into the chuck.\"\nsource = \"common practice\"",
        "[[caution]]\ntext = \"Stop.\"",
    );
}

#[test]
fn a_wrong_value_is_refused_with_its_line() {
    let (_, reason) = fault(
        "\"0.0005in\", source = \"assumption",
        "\"0.0005\", source = \"assumption",
    );
    assert!(reason.contains("no unit"), "{reason}");
    let (_, reason) = fault(
        "\"0.0005in\", source = \"common",
        "\"-0.0005in\", source = \"common",
    );
    assert!(reason.contains("below zero"), "{reason}");
    let (_, reason) = fault("value = 0.90", "value = 1.5");
    assert!(reason.contains("below 1"), "{reason}");
    fault("value = 0.90", "value = nan");
    fault("value = 0.4", "value = -0.4");
    fault("meaning = \"The jaws grip along", "meaning = 3 # ");
    fault("pattern = \"tip-only\"", "pattern = \"tip-ony\"");
}

#[test]
fn an_unknown_key_is_refused_with_its_line() {
    let (_, reason) = fault("threshold_log_sd = {", "threshold_sd = {");
    assert!(reason.contains("threshold_sd"), "{reason}");
}

#[test]
fn a_missing_row_is_refused_by_name() {
    let start = BUILT_IN_RULES
        .find("[[pattern]]\npattern = \"one-side\"")
        .unwrap();
    let end = start + BUILT_IN_RULES[start..].find("\n\n").unwrap();
    let text = format!("{}{}", &BUILT_IN_RULES[..start], &BUILT_IN_RULES[end..]);
    let error = Rules::parse(&text, "shop.toml").unwrap_err().to_string();
    assert!(
        error.contains("one-side") && error.contains("shop.toml, line"),
        "{error}"
    );
    assert!(Rules::parse("", "shop.toml").is_err());
}

#[test]
fn a_row_twice_is_refused_with_its_line() {
    let (_, reason) = fault(
        "[[pattern]]\npattern = \"tip-only\"",
        "[[pattern]]\npattern = \"full-length\"",
    );
    assert!(reason.contains("second row for full-length"), "{reason}");
}

#[test]
fn a_row_for_one_method_comes_before_the_row_for_both() {
    let (rules, _) = edited(
        "[[situation]]",
        "[[pattern]]\npattern = \"tip-only\"\nmethod = \"transfer\"\nmeaning = \"Prints at the tip.\"\n\
         advice = \"a\"\nwhy = \"w\"\nlook_at_first = []\nsource = \"common practice\"\n\n[[situation]]",
    );
    let rules = rules.unwrap();
    let meaning = |method| rules.pattern(Pattern::TipOnly, method).meaning.clone();
    assert_eq!(meaning(Method::Transfer), "Prints at the tip.");
    assert_ne!(meaning(Method::Seep), "Prints at the tip.");
}

#[test]
fn a_change_of_the_table_shows_in_its_version() {
    let (rules, _) = edited("value = 0.4", "value = 0.5");
    assert_ne!(rules.unwrap().version(), Rules::built_in().version());
}

#[test]
fn a_table_from_before_the_recut_section_gets_the_built_in_allowances() {
    let start = BUILT_IN_RULES.find("[recut]").unwrap();
    let end = start + BUILT_IN_RULES[start..].find("\n\n").unwrap();
    let text = format!("{}{}", &BUILT_IN_RULES[..start], &BUILT_IN_RULES[end..]);
    let rules = Rules::parse(&text, "shop.toml").unwrap();
    assert_eq!(rules.recut(), Rules::built_in().recut());
}

#[test]
fn a_recut_section_is_held_to_its_keys_and_units() {
    let (_, reason) = fault("clean_up = {", "cleanup = {");
    assert!(reason.contains("cleanup"), "{reason}");
    let (_, reason) = fault("\"0.040in\"", "\"0.040\"");
    assert!(reason.contains("no unit"), "{reason}");
    let (rules, _) = edited(
        "clean_up = { value = \"0.002in\"",
        "clean_up = { value = \"0.1mm\"",
    );
    assert_eq!(rules.unwrap().recut().clean_up, "0.1mm".parse().unwrap());
}

/// A shop's file from before the history came stands, and means what the built-in rows say.
#[test]
fn a_file_without_the_younger_rows_stands() {
    let younger = |line: &&str| {
        !line.starts_with("threshold_drift_log_sd") && !line.starts_with("unnoticed_change")
    };
    let lines: Vec<&str> = BUILT_IN_RULES.lines().filter(younger).collect();
    let text = lines.join(
        "
",
    );
    let start = text
        .find("[[situation]]\nsituation = \"history-contradicts\"")
        .unwrap();
    let end = start + text[start..].find("\n\n").unwrap();
    let older = Rules::parse(&format!("{}{}", &text[..start], &text[end..]), "shop.toml").unwrap();
    assert_eq!(older.estimate(), Rules::built_in().estimate());
    let words = |r: &Rules| r.situation(Situation::HistoryContradicts).clone();
    assert_eq!(words(&older), words(Rules::built_in()));
}

#[test]
fn the_drift_is_a_part_of_the_spread() {
    let (rules, _) = edited("value = 0.26", "value = 0.4");
    let error = rules.unwrap_err().to_string();
    assert!(error.contains("threshold_drift_log_sd"), "{error}");
}

#[test]
fn the_largest_step_is_one_that_a_change_can_be_rounded_to() {
    // 1.2 thou held to steps of half a thou would be no step at all.
    let step = |to: &str| edited("largest_step = { value = \"0.002in\"", to).0;
    for refused in ["0.0012in", "50um", "0.0004in"] {
        let error = step(&format!("largest_step = {{ value = \"{refused}\"")).unwrap_err();
        assert!(error.to_string().contains("largest_step"), "{error}");
    }
    for stands in ["0.0005in", "0.0015in", "0.0254mm"] {
        assert!(
            step(&format!("largest_step = {{ value = \"{stands}\"")).is_ok(),
            "{stands}"
        );
    }
}
