//! Texts of the command line as a page says them.

use crate::report::{shown, words};

/// A page has buttons where the command line has options. What stands between backticks is to be typed at the
/// command line as it is.
pub(crate) fn without_options(text: &str) -> String {
    let parts: Vec<&str> = text.split('`').collect();
    // A backtick that is not followed by another one begins no command.
    let typed = |at: usize| at % 2 == 1 && at + 1 < parts.len();
    let said = parts.iter().enumerate().map(|(at, part)| {
        if typed(at) {
            (*part).to_owned()
        } else {
            with_buttons(part)
        }
    });
    said.collect::<Vec<_>>().join("`")
}

fn with_buttons(text: &str) -> String {
    let pairs = [
        // In this order: the third looks for what the second has made.
        (
            "; once for all photos, or once per photo in their order",
            "",
        ),
        (" with --tip", " with the buttons below the photo"),
        (
            "with --corners and the tip with the buttons below the photo",
            "and the tip below the photo",
        ),
        (" with --method", " under “Change” above"),
        (" with --corners", " below the photo"),
        ("--corners ", "the corners "),
        ("and --taper", "and the taper noted"),
        ("--taper", "the taper"),
        ("--change none", "no change now"),
        ("--change ", ""),
    ];
    let mut text = text.to_owned();
    for (option, said) in pairs {
        text = text.replace(option, said);
    }
    text
}

/// A sentence of the advice or of a warning.
pub(crate) fn sentence(text: &str) -> String {
    words::sentence(&shown::free(&without_options(text)))
}

pub(super) fn jaws(number: usize) -> String {
    if number == 1 {
        "1 jaw".to_owned()
    } else {
        format!("{number} jaws")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::taper::rules::BUILT_IN_RULES;

    #[test]
    fn a_command_to_type_stays_as_it_is() {
        let said = without_options("leave --taper out, or type `cut change 8 --taper …`; --taper");
        let command = "leave the taper out, or type `cut change 8 --taper …`; the taper";
        assert_eq!(said, command);
        assert_eq!(without_options("a ` or --taper"), "a ` or the taper");
    }

    #[test]
    fn no_text_of_the_rules_names_an_option() {
        let texts = BUILT_IN_RULES.lines().filter(|l| !l.starts_with('#'));
        for text in texts {
            let said = without_options(text);
            assert!(!said.contains("--"), "{said}");
        }
    }
}
