//! The whole manual as one page: chapters, then every command. It holds its style, has no script and loads
//! nothing from elsewhere.

use maud::{Markup, PreEscaped, html};

use super::chapters::CHAPTERS;
use super::markdown::to_html;
use super::reference::{Entry, entries};
use crate::report::document;

const CSS: &str = include_str!("manual.css");
const REFERENCE: &str = "commands";

pub(super) fn manual() -> String {
    let mut commands = entries();
    let head = html! { style { (PreEscaped(CSS)) } };
    let body = html! {
        header {
            h1 { "seepline: the manual" }
            p { "Version " (env!("CARGO_PKG_VERSION")) " · " (env!("CARGO_PKG_DESCRIPTION")) "." }
            (contents(&commands))
        }
        main {
            @for chapter in CHAPTERS {
                section { (to_html(chapter.name, &chapter.text())) }
            }
            section {
                h2 id=(REFERENCE) { "Every command" }
                @for command in &mut commands { (command.html()) }
            }
        }
    };
    document("seepline: the manual", &head, &body)
}

fn contents(commands: &[Entry]) -> Markup {
    let verbs = commands.iter().filter(|c| c.depth == 1);
    html! {
        nav aria-label="Contents" {
            ol {
                @for chapter in CHAPTERS {
                    li { a href={ "#" (chapter.name) } { (chapter.title()) } }
                }
                li {
                    a href={ "#" (REFERENCE) } { "Every command" }
                    p class="verbs" {
                        @for verb in verbs {
                            a href={ "#" (verb.anchor) } { (verb.name.trim_start_matches("seepline ")) } " "
                        }
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use clap::Parser;

    use super::*;
    use crate::commands::cli::Cli;

    /// What stands between `before` and `after`, all through the page.
    fn all<'a>(page: &'a str, before: &str, after: char) -> Vec<&'a str> {
        let rest = page.split(before).skip(1);
        rest.filter_map(|r| Some(r.split_once(after)?.0)).collect()
    }

    #[test]
    fn every_link_has_one_place_to_go_to() {
        let page = manual();
        let places = all(&page, " id=\"", '"');
        let links = all(&page, " href=\"#", '"');
        assert!(links.len() > CHAPTERS.len());
        for link in links {
            let count = places.iter().filter(|place| **place == link).count();
            assert_eq!(count, 1, "{link}");
        }
    }

    #[test]
    fn nothing_is_loaded_and_nothing_runs() {
        let page = manual().to_lowercase();
        for part in [
            "<script",
            " src=",
            "<link",
            "@import",
            "url(",
            "href=\"http",
        ] {
            assert!(!page.contains(part), "{part}");
        }
    }

    #[test]
    fn verbs_of_verbs_and_options_are_in_the_reference() {
        let page = manual();
        for part in [
            "id=\"command-seepline-jaws-add\"",
            "id=\"command-seepline-study-make\"",
            "<code>--unpair</code>",
            "<code>--method &lt;METHOD&gt;</code>",
            "How the check was made: <code>seep</code>,",
            "One of: seep, transfer.",
            "environment variable SEEPLINE_ARCHIVE",
            "environment variable SEEPLINE_RULES",
        ] {
            assert!(page.contains(part), "{part}");
        }
        assert!(
            !page.contains("seepline help"),
            "clap's own help is no command of ours"
        );
    }

    #[test]
    fn commands_in_the_chapters_can_be_typed() {
        let mut typed = 0;
        for chapter in CHAPTERS {
            let text = chapter.text().replace("\\\n", " ");
            for line in all(&text, "```sh", '`').into_iter().flat_map(str::lines) {
                let line = line.trim();
                if line.is_empty() {
                    continue;
                }
                typed += 1;
                if let Err(error) = Cli::try_parse_from(words(line)) {
                    panic!("{}: {line}\n{error}", chapter.name);
                }
            }
        }
        assert!(typed > 20, "{typed} commands found");
    }

    /// As a shell splits them, as far as the chapters need it.
    fn words(line: &str) -> Vec<String> {
        let parts = line.split('"').enumerate();
        parts
            .flat_map(|(nth, part)| match nth % 2 {
                0 => part.split_whitespace().map(str::to_owned).collect(),
                _ => vec![part.to_owned()],
            })
            .collect()
    }
}
