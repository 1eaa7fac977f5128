//! What each reader of an agreement study gets: a page to look at, a sheet to print, a sheet to fill in.
//! No scripts, nothing to load but the pictures beside the page; nothing that names a photo.

use maud::{Markup, PreEscaped, html};

use super::{document, words};
use crate::people::opinion::Person;
use crate::people::study::written as number;
use crate::reading::method::Method;
use crate::reading::pattern::Pattern;
use crate::taper::advice::Grip;

const CSS: &str = include_str!("study/study.css");

/// What the pages of one reader are about.
pub(crate) struct StudyPages<'a> {
    /// Who.
    pub(crate) reader: &'a Person,
    /// How the checks were made.
    pub(crate) method: Method,
    /// Which way the jaws grip.
    pub(crate) grip: Grip,
    /// Width and height of each picture in px, in the order shown.
    pub(crate) sizes: Vec<[u32; 2]>,
}

/// The page to look at and the sheet to print.
pub(crate) fn study_pages(pages: &StudyPages<'_>) -> [String; 2] {
    [look(pages), sheet(pages)]
}

fn whole(title: &str, body: &Markup) -> String {
    document(title, &html! { style { (PreEscaped(CSS)) } }, body)
}

fn look(pages: &StudyPages<'_>) -> String {
    let count = pages.sizes.len();
    let title = format!("Photos for {}", pages.reader);
    let body = html! {
        h1 { (title) }
        p { (count) " photos of opened soft jaws, one face each. Call each one by yourself, in this order." }
        ul {
            li { "Write the pattern for each number into " strong { "answers.csv" } " beside this page (any spreadsheet opens it), or print " a href="answer-sheet.html" { "the answer sheet" } " and have it typed in." }
            li { "Where you would change the taper, write by how much " strong { "per side" } ", with sign and unit: " code { "-1thou" } " takes taper off, " code { "+1thou" } " adds it. In a spreadsheet write " code { "minus 1thou" } " or " code { "plus 1thou" } ", since it takes a leading sign for a formula." }
            li { "The " strong { "tip points up" } " in every picture. " (compound(pages.method)) " " (grip(pages.grip)) }
            li { "What can't be judged is unreadable. Leave empty what you did not look at." }
            li { "Do not go back and change an answer, and do not talk about the photos before everybody is done." }
        }
        (patterns(pages.grip))
        @for (at, size) in pages.sizes.iter().enumerate() {
            @let number = number(at + 1, count);
            figure id=(format!("n{number}")) {
                figcaption { (number) }
                img src=(format!("photos/{number}.jpg")) alt=(format!("Photo {number}")) loading="lazy" width=(size[0]) height=(size[1]);
            }
        }
        p { "That was the last one. Thank you." }
    };
    whole(&title, &body)
}

fn compound(method: Method) -> &'static str {
    match method {
        Method::Seep => {
            "Compound was painted on the seam of the clamped jaws: compound means a gap."
        }
        Method::Transfer => "A film on the work printed on the jaw: compound means contact.",
    }
}

fn grip(grip: Grip) -> &'static str {
    match grip {
        Grip::Outside => "The jaws grip outside.",
        Grip::Inside => "The jaws grip inside.",
    }
}

fn patterns(of: Grip) -> Markup {
    html! {
        table .patterns {
            thead { tr { th { "Pattern" } th { "What it means" } } }
            tbody { @for pattern in Pattern::ALL {
                tr { th scope="row" { (words::name(pattern)) } td { (words::pattern(pattern, of)) } }
            } }
        }
    }
}

/// A line per number, to write on.
fn sheet(pages: &StudyPages<'_>) -> String {
    let count = pages.sizes.len();
    let title = format!("Answer sheet of {}", pages.reader);
    let words: Vec<&str> = Pattern::ALL.into_iter().map(words::name).collect();
    let body = html! {
        h1 { (title) }
        p { "Patterns: " (words.join(", ")) ". Change of taper per side with sign and unit, only where you would change it: -1thou takes off, +1thou adds." }
        table .sheet {
            thead { tr { th { "No." } th { "Pattern" } th { "Change per side" } th { "Note" } } }
            tbody { @for at in 1..=count { tr { th scope="row" { (number(at, count)) } td {} td {} td {} } } }
        }
    };
    whole(&title, &body)
}

/// The sheet to fill in, empty.
///
/// # Errors
/// Where it cannot be written as CSV, which nothing in it should cause.
pub(crate) fn answers_csv(reader: &Person, count: usize) -> Result<Vec<u8>, csv::Error> {
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(["reader", "number", "pattern", "change_per_side", "note"])?;
    for at in 1..=count {
        let (reader, number) = (reader.to_string(), number(at, count));
        table.write_record([reader.as_str(), number.as_str(), "", "", ""])?;
    }
    table.into_inner().map_err(|e| e.into_error().into())
}
