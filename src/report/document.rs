//! The frame of every HTML document.

use maud::{DOCTYPE, Markup, html};

/// A whole document, as wide as the screen that it is looked at on. `head` follows the title.
pub(crate) fn document(title: &str, head: &Markup, body: &Markup) -> String {
    let document = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                (head)
            }
            body { (body) }
        }
    };
    document.into_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_title_is_text_and_all_parts_are_there() {
        let head = html! { link rel="icon" href="data:,"; };
        let text = document("a <b>", &head, &html! { p { "c" } });
        for part in [
            "<!DOCTYPE html><html lang=\"en\"><head><meta charset=\"utf-8\">",
            "<title>a &lt;b&gt;</title><link rel=\"icon\" href=\"data:,\"></head>",
            "<body><p>c</p></body></html>",
        ] {
            assert!(text.contains(part), "{part}: {text}");
        }
    }
}
