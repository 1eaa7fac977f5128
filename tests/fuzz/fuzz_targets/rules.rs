//! Any text is a set of rules or a refusal with a line inside the text.

#![no_main]

use libfuzzer_sys::fuzz_target;
use seepline::{Rules, RulesError};

fuzz_target!(|text: &str| {
    if let Err(RulesError::Broken { line, .. }) = Rules::parse(text, "rules.toml") {
        assert!(line >= 1 && line <= text.lines().count().max(1));
    }
});
