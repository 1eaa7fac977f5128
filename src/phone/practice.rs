//! Practice on a phone alone: what is kept of it, and its pages. A question is asked about photos that come with the page; what is said
//! is kept before anything is shown of what was right.

use jiff::civil::DateTime;
use maud::{Markup, html};
use serde::{Deserialize, Serialize};

use super::beside::Beside;
use super::samples::Sample;
use crate::people::opinion::{Person, Try, answered, boxes, draw, score};
use crate::people::records::{FiledCall, Item};
use crate::report::{CallReport, few_answers, practice_in_words, score_rows};
use crate::taper::records::Id;
use crate::taper::rules::Rules;
use crate::under_way::pages::call::{beside, fields};
use crate::under_way::pages::{page, setup};
use crate::under_way::{Fault, Fields};

/// Where a round begins.
pub(super) const ADDRESS: &str = "./?practice";
const TITLE: &str = "Practice";
/// How many questions a round may have; the command has 10 where nothing is said.
const COUNTS: [&str; 3] = ["5", "10", "20"];

/// A round, as it is kept.
#[derive(Serialize, Deserialize)]
pub(super) struct Round {
    pub(super) id: Id,
    pub(super) by: Person,
    begun: DateTime,
    /// In the order in which they are asked.
    items: Vec<Item>,
}

/// An answer, as it is kept: what goes to an archive, and what was shown beside it.
#[derive(Serialize, Deserialize)]
pub(super) struct Kept {
    pub(super) call: FiledCall,
    pub(super) decides: Vec<String>,
}

/// Everything that the phone has of it.
pub(super) struct Practice {
    pub(super) samples: Vec<Sample>,
    pub(super) kept: Vec<Kept>,
}

impl Round {
    /// With what a form says, of the photos that are not `missing`.
    pub(super) fn begin(
        practice: &Practice,
        said: &Fields,
        missing: &[String],
        now: DateTime,
    ) -> Result<Self, Fault> {
        let field = |name: &str| said.get(name).map_or("", |text| text.trim());
        let by = Person::parse(field("by")).map_err(|e| Fault::Unfit(e.to_string()))?;
        let count = field("count")
            .parse()
            .ok()
            .filter(|n| (1..=500).contains(n));
        let count = count.ok_or(Fault::Unfit("choose how many questions".into()))?;
        let is_here = |sample: &&Sample| {
            sample
                .photos
                .iter()
                .all(|(name, _)| !missing.contains(name))
        };
        let samples: Vec<&Sample> = practice.samples.iter().filter(is_here).collect();
        if samples.is_empty() {
            return Err(Fault::Conflict(
                "the photos have not come; when the network is back, begin again".into(),
            ));
        }
        let candidates: Vec<_> = samples.iter().map(|s| s.question.candidate()).collect();
        let mut own: Vec<&FiledCall> = practice.kept.iter().map(|kept| &kept.call).collect();
        own.retain(|call| call.call.by == by);
        own.sort_by_key(|call| call.call.at);
        let places = boxes(&answered(own));
        let id = Id::random().map_err(|_| Fault::Defect)?;
        // Random digits that nothing else is made of.
        let seed = u64::from_str_radix(&id.to_string()[..12], 16).unwrap_or_default();
        let order = draw(&candidates, &places, count, seed);
        let items = order.iter().map(|i| samples[*i].question.item.clone());
        Ok(Self {
            id,
            by,
            begun: now,
            items: items.collect(),
        })
    }

    /// What is asked at that place, 1 and on; `None` where the round has no such place, or another version came since, with other
    /// photos.
    pub(super) fn sample<'a>(&self, practice: &'a Practice, at: usize) -> Option<&'a Sample> {
        let item = self.items.get(at.checked_sub(1)?)?;
        practice.samples.iter().find(|s| s.question.item == *item)
    }

    pub(super) fn samples<'a>(&self, practice: &'a Practice) -> impl Iterator<Item = &'a Sample> {
        (1..=self.items.len()).filter_map(|at| self.sample(practice, at))
    }
}

impl Practice {
    /// What was said there.
    fn said(&self, round: &Round, at: usize) -> Option<&Kept> {
        let item = round.items.get(at.checked_sub(1)?)?;
        let of_round = |kept: &&Kept| kept.call.session == Some(round.id);
        self.kept
            .iter()
            .filter(of_round)
            .find(|kept| kept.call.item == *item)
    }

    /// Where a round begins, and what is kept of those before.
    pub(super) fn first(&self, by: &str, unhanded: usize, beside: &Beside) -> String {
        let body = html! {
            h1 { (TITLE) }
            p { "Photos whose truth is known: say what you see, then see what was right, why, and where to look. What you say is kept before the answer is shown." }
            form #practice method="post" action="/practice/begin" {
                (setup::text("Who practises: initials or shop number", "by", by, "AB"))
                label .field {
                    span { "How many questions" }
                    select name="count" { @for count in COUNTS { option value=(count) selected[count == "10"] { (count) } } }
                }
                button .main type="submit" { "Begin" }
                p .small { "The photos come with the first rounds, once: 7 MB. They are rendered, not photographed. What was missed comes back first." }
            }
            (self.answers(unhanded, beside))
        };
        page(TITLE, &html! {}, &body)
    }

    /// What is kept, and where it goes.
    fn answers(&self, unhanded: usize, beside: &Beside) -> Markup {
        html! {
            @if !self.kept.is_empty() {
                section #answers aria-label="Answers of practice" {
                    h2 { "Answers kept on this phone: " (self.kept.len()) }
                    (beside.practice(unhanded))
                    form .save method="post" action="/practice/save" { button type="submit" { "Share or save them" } }
                    p .small { "An archive takes the file in with " code { "seepline import phone FILE" } ", each answer once." }
                }
            }
        }
    }

    /// The question at that place, what was right once it was called, or after the last one how the round went.
    pub(super) fn page(
        &self,
        round: &Round,
        at: usize,
        unhanded: usize,
        beside: &Beside,
    ) -> String {
        let of = round.items.len();
        if at > of {
            return page(TITLE, &html! {}, &self.went(round, unhanded, beside));
        }
        let title = format!("{TITLE}: {at} of {of}");
        let body = html! {
            h1 { (title) }
            @match (self.said(round, at), round.sample(self, at)) {
                (said, Some(sample)) => (asked_or_told(round, at, sample, said)),
                (_, None) => p .note { "This question was of photos that no longer come with the page; it is passed over." },
            }
            @if self.said(round, at).is_some() || round.sample(self, at).is_none() { (next(round, at)) }
        };
        page(&title, &html! {}, &body)
    }

    fn went(&self, round: &Round, unhanded: usize, beside: &Beside) -> Markup {
        let said = (1..=round.items.len()).filter_map(|at| self.said(round, at));
        let tries: Vec<Try> = said.filter_map(|kept| Try::of(&kept.call)).collect();
        let score = score(&tries);
        html! {
            h1 { "How it went, " (round.by) }
            @if score.asked == 0 { p { "Nothing was answered." } }
            @else {
                dl .facts #score { @for (name, text) in score_rows(&score) { @if !name.is_empty() { dt { (name) } } dd { (text) } } }
                @if let Some(few) = few_answers(&score) { p .small { (few) } }
            }
            p { a .button .main href=(ADDRESS) { "Another round" } }
            (self.answers(unhanded, beside))
        }
    }
}

fn asked_or_told(round: &Round, at: usize, sample: &Sample, said: Option<&Kept>) -> Markup {
    let question = &sample.question;
    let count = sample.photos.len();
    let pictures = html! {
        @for index in 1..=count {
            figure { img .picture data-sample=(format!("{}/{at}/{}", round.id, index - 1)) alt={ "Photo " (index) " of " (count) }; }
        }
    };
    let told = said.map(|kept| {
        CallReport::of_practice(
            kept.call.call.clone(),
            question,
            kept.decides.clone(),
            Rules::built_in(),
        )
    });
    html! {
        p { (crate::under_way::words::sentence(&practice_in_words(question, true))) }
        @if let Some(report) = told {
            div #answer tabindex="-1" { (beside(&report)) }
            (pictures)
        } @else {
            (pictures)
            h2 .headline { "Your call, " (round.by) }
            p { "Say what you see. What was right is shown after it, and the call stands." }
            form .call method="post" action=(format!("/practice/{}/{at}/answer", round.id)) {
                (fields(question.grip))
                button .main type="submit" { "This is my call: show what was right" }
            }
        }
    }
}

fn next(round: &Round, at: usize) -> Markup {
    let said = if at < round.items.len() {
        "Next question"
    } else {
        "How it went"
    };
    html! { p { a .button .main #next href=(format!("{ADDRESS}={}&at={}", round.id, at + 1)) { (said) } } }
}
