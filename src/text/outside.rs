//! Text from outside, as file names, tables and forms bring it, made fit to be shown.

/// The text without characters that could steer a terminal, or turn the direction of writing so that a name
/// reads as another; each is shown as U+FFFD.
pub fn printable(text: &str) -> String {
    text.chars()
        // One for one, so that the reader sees where something stood.
        .map(|c| if misleads(c) { '\u{fffd}' } else { c })
        .collect()
}

/// What somebody wrote, short enough to stand in a message: at most 40 characters, without those that
/// [`printable`] replaces; a longer one ends in an ellipsis.
pub(crate) fn echo(text: &str) -> String {
    echo_within(text, 40)
}

/// The same of a file's place, which must be found again: at most 80.
pub(crate) fn echo_place(text: &str) -> String {
    echo_within(text, 80)
}

fn echo_within(text: &str, most: usize) -> String {
    // By characters: a cut by bytes could fall inside one.
    let mut shown = text.chars().filter(|c| !misleads(*c));
    let mut short: String = shown.by_ref().take(most).collect();
    if shown.next().is_some() {
        short.push('…');
    }
    short
}

/// Control characters, and the explicit formatting characters of Unicode Standard Annex #9.
fn misleads(c: char) -> bool {
    c.is_control() || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_steers_or_turns_is_not_shown() {
        assert_eq!(printable("a\u{1b}[2Jb\u{202e}c"), "a\u{fffd}[2Jb\u{fffd}c");
        assert_eq!(echo("a\u{1b}b\u{2066}c\n"), "abc");
    }

    #[test]
    fn an_echo_says_that_it_is_cut() {
        assert_eq!(echo(&"é".repeat(40)), "é".repeat(40));
        assert_eq!(echo(&"é".repeat(41)), format!("{}…", "é".repeat(40)));
        assert_eq!(echo_place(&"é".repeat(80)), "é".repeat(80));
        assert_eq!(echo_place(&"é".repeat(81)), format!("{}…", "é".repeat(80)));
    }
}
