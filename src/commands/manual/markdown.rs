//! A chapter's Markdown → HTML. Of HTML in a chapter nothing comes through but its letters.

use maud::{Markup, PreEscaped};
use pulldown_cmark::{CowStr, Event, HeadingLevel, Options, Parser, Tag, TagEnd, html};

/// The chapter's title becomes a heading of the second level with `name` to link to, and so on down.
pub(super) fn to_html(name: &str, text: &str) -> Markup {
    let events = Parser::new_ext(text, Options::ENABLE_TABLES);
    let events = events.flat_map(|event| framed(placed(event, name)));
    let mut page = String::with_capacity(2 * text.len());
    html::push_html(&mut page, events);
    PreEscaped(page)
}

/// The event as it stands in the whole page.
fn placed<'a>(event: Event<'a>, name: &'a str) -> Event<'a> {
    match event {
        Event::Start(Tag::Heading { level, .. }) => Event::Start(Tag::Heading {
            level: lowered(level),
            id: (level == HeadingLevel::H1).then_some(CowStr::Borrowed(name)),
            classes: Vec::new(),
            attrs: Vec::new(),
        }),
        Event::End(TagEnd::Heading(level)) => Event::End(TagEnd::Heading(lowered(level))),
        Event::Start(Tag::Link {
            link_type,
            dest_url,
            title,
            id,
        }) => Event::Start(Tag::Link {
            link_type,
            dest_url: within(dest_url),
            title,
            id,
        }),
        Event::Html(text) | Event::InlineHtml(text) => Event::Text(text),
        other => other,
    }
}

/// A table may be wider than a phone: it scrolls by itself, not the page; by keys, too.
fn framed(event: Event<'_>) -> impl Iterator<Item = Event<'_>> {
    let begins = matches!(event, Event::Start(Tag::Table(_)));
    let ends = matches!(event, Event::End(TagEnd::Table));
    let before = begins.then(|| Event::Html("<div class=\"wide\" tabindex=\"0\">".into()));
    let after = ends.then(|| Event::Html("</div>".into()));
    before.into_iter().chain([event]).chain(after)
}

fn lowered(level: HeadingLevel) -> HeadingLevel {
    match level {
        HeadingLevel::H1 => HeadingLevel::H2,
        HeadingLevel::H2 => HeadingLevel::H3,
        HeadingLevel::H3 => HeadingLevel::H4,
        HeadingLevel::H4 => HeadingLevel::H5,
        _ => HeadingLevel::H6,
    }
}

/// Another chapter's file is a place in the same page.
fn within(place: CowStr<'_>) -> CowStr<'_> {
    match place.strip_suffix(".md") {
        Some(chapter) => format!("#{chapter}").into(),
        None => place,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_go_down_a_level_and_links_stay_in_the_page() {
        let html = to_html("photo", "# A\n\n## B\n\n[c](change.md) [d](#e)\n").into_string();
        let expected = "<h2 id=\"photo\">A</h2>\n<h3>B</h3>\n\
            <p><a href=\"#change\">c</a> <a href=\"#e\">d</a></p>\n";
        assert_eq!(html, expected);
    }

    #[test]
    fn a_table_has_a_frame_that_scrolls() {
        let html = to_html("a", "| b |\n| --- |\n| c |\n").into_string();
        assert!(
            html.starts_with("<div class=\"wide\" tabindex=\"0\"><table>"),
            "{html}"
        );
        assert!(html.trim_end().ends_with("</table>\n</div>"), "{html}");
    }

    #[test]
    fn html_is_shown_as_it_is_written() {
        let html = to_html("a", "b <i>c</i>\n\n<script>d</script>\n").into_string();
        assert!(html.contains("b &lt;i&gt;c&lt;/i&gt;"), "{html}");
        assert!(html.contains("&lt;script&gt;d"), "{html}");
    }
}
