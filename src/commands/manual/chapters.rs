//! The chapters, in the order in which they are read.

/// The README's table of figures stands between these two and nowhere else, so that it can't differ here.
const FIGURES: (&str, &str) = ("<!-- figures -->", "<!-- /figures -->");
const README: &str = include_str!("../../../README.md");

/// One topic.
pub(super) struct Chapter {
    /// Of its file, and its place in the page.
    pub(super) name: &'static str,
    text: &'static str,
}

macro_rules! chapters {
    ($($name:literal),+ $(,)?) => {
        &[$(Chapter { name: $name, text: include_str!(concat!($name, ".md")) }),+]
    };
}

pub(super) const CHAPTERS: &[Chapter] = chapters![
    "begin",
    "photo",
    "patterns",
    "change",
    "figures",
    "first-taper",
    "history",
    "machine",
    "review",
    "second-opinion",
    "prove-out",
    "study",
    "files",
    "changes",
];

impl Chapter {
    /// Its first line.
    pub(super) fn title(&self) -> &'static str {
        let first = self.text.lines().next().unwrap_or_default();
        first.trim_start_matches('#').trim()
    }

    /// As Markdown.
    pub(super) fn text(&self) -> String {
        self.text.replace(FIGURES.0, figures())
    }
}

fn figures() -> &'static str {
    let rest = README.split_once(FIGURES.0).map(|(_, rest)| rest);
    let table = rest.and_then(|rest| rest.split_once(FIGURES.1));
    table.map_or("", |(table, _)| table)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::pattern::Pattern;

    fn chapter(name: &str) -> &'static Chapter {
        CHAPTERS.iter().find(|c| c.name == name).unwrap()
    }

    #[test]
    fn the_readmes_table_stands_where_the_chapter_wants_it() {
        assert!(figures().contains("\n| --- |"), "{}", figures());
        let text = chapter("figures").text();
        assert!(text.contains(figures().trim()));
        assert!(!text.contains("<!--"));
    }

    #[test]
    fn every_pattern_is_explained() {
        let text = chapter("patterns").text();
        for pattern in Pattern::ALL {
            let name = serde_json::to_value(pattern).unwrap();
            let row = format!("\n| {} |", name.as_str().unwrap());
            assert!(text.contains(&row), "{pattern:?}");
        }
    }
}
