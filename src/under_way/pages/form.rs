//! A form of many fields: few of them in sight, the others folded, what was typed still in them.

use maud::{Markup, html};

use super::super::Fields;
use super::super::form::{Refused, field_of};
use super::setup::UNITS;
use crate::report::{shown, words};

/// One field, named as the command line's option.
pub(crate) struct Field {
    option: &'static str,
    label: &'static str,
    kind: Kind,
}

pub(crate) const fn field(option: &'static str, label: &'static str, kind: Kind) -> Field {
    Field {
        option,
        label,
        kind,
    }
}

pub(crate) enum Kind {
    /// As it is sent, and as it is said.
    Choice(&'static [(&'static str, &'static str)]),
    /// Amount and unit; where the unit is not said plainly by the trade, nobody guesses it.
    Amount(&'static [(&'static str, &'static str)]),
    Count,
    Text,
}

/// Feelers, tapers, run-outs: first in thousandths, as on every other page.
pub(crate) const THIN: Kind = Kind::Amount(&UNITS);
pub(crate) const SIZE: Kind = Kind::Amount(&[("", "unit"), ("in", "in"), ("mm", "mm")]);
pub(crate) const PRESSURE: Kind = Kind::Amount(&[
    ("", "unit"),
    ("psi", "psi"),
    ("bar", "bar"),
    ("kPa", "kPa"),
    ("MPa", "MPa"),
]);
pub(super) const FORCE: Kind =
    Kind::Amount(&[("", "unit"), ("kN", "kN"), ("N", "N"), ("lbf", "lbf")]);

/// Fields that belong together.
pub(crate) struct Group {
    pub(crate) title: &'static str,
    pub(crate) fields: &'static [Field],
}

/// A form as it is filled in.
pub(crate) struct Filled<'a> {
    pub(crate) in_sight: &'a [&'a Group],
    pub(crate) folded: &'a [&'a Group],
    pub(crate) typed: &'a Fields,
    /// What holds where a field is left empty.
    pub(crate) noted: &'a Fields,
    pub(crate) refused: Option<&'a Refused>,
}

impl Filled<'_> {
    /// `first` is what stands before the fields, but after what is wrong with them.
    pub(super) fn draw(&self, first: &Markup) -> Markup {
        html! {
            @if let Some(refused) = self.refused {
                p .fault #refused role="alert" { (self.in_words(refused)) }
            }
            (first)
            @for group in self.in_sight {
                h2 { (group.title) }
                @for field in group.fields { (self.field(field)) }
            }
            @for group in self.folded {
                details open[self.is_used(group)] {
                    summary { (group.title) }
                    @for field in group.fields { (self.field(field)) }
                }
            }
        }
    }

    fn all(&self) -> impl Iterator<Item = &Field> {
        let groups = self.in_sight.iter().chain(self.folded);
        groups.flat_map(|group| group.fields)
    }

    /// A page has labels where the command line has options.
    fn in_words(&self, refused: &Refused) -> String {
        let mut text = refused.0.clone();
        for field in self.all() {
            text = text.replace(field.option, &format!("“{}”", field.label));
        }
        words::sentence(&shown::free(&text))
    }

    /// The first one that is named.
    fn is_refused(&self, field: &Field) -> bool {
        let Some(Refused(text)) = self.refused else {
            return false;
        };
        let first = self
            .all()
            .filter_map(|f| Some((text.find(f.option)?, f.option)));
        first
            .min()
            .is_some_and(|(_, option)| option == field.option)
    }

    fn is_used(&self, group: &Group) -> bool {
        let mut fields = group.fields.iter();
        fields.any(|f| !self.typed(&field_of(f.option)).is_empty() || self.is_refused(f))
    }

    fn typed(&self, name: &str) -> &str {
        self.typed.get(name).map_or("", |text| text.trim())
    }

    fn field(&self, field: &Field) -> Markup {
        match &field.kind {
            Kind::Choice(choices) => self.choice(field, choices),
            Kind::Amount(units) => self.amount(field, units),
            Kind::Count => self.line(field, "numeric"),
            Kind::Text => self.line(field, "text"),
        }
    }

    fn choice(&self, field: &Field, choices: &[(&str, &str)]) -> Markup {
        let name = field_of(field.option);
        let chosen = self.typed(&name);
        let noted = self.noted.get(&name);
        html! {
            label .field {
                span { (field.label) }
                select name=(name) aria-invalid=[self.invalid(field)] {
                    @for (value, said) in choices {
                        @let said = noted.filter(|_| value.is_empty()).map_or(*said, String::as_str);
                        option value=(value) selected[*value == chosen] { (said) }
                    }
                }
            }
        }
    }

    fn amount(&self, field: &Field, units: &[(&str, &str)]) -> Markup {
        let unit = format!("{}_unit", field_of(field.option));
        let chosen = self.typed(&unit);
        html! {
            fieldset .field {
                legend { (field.label) }
                div .pair {
                    (self.input(field, "decimal", Some(field.label)))
                    select name=(unit) aria-label={ "Unit: " (field.label) } {
                        @for (value, said) in units {
                            option value=(value) selected[*value == chosen] { (said) }
                        }
                    }
                }
            }
        }
    }

    fn line(&self, field: &Field, mode: &str) -> Markup {
        html! {
            label .field {
                span { (field.label) }
                (self.input(field, mode, None))
            }
        }
    }

    fn input(&self, field: &Field, mode: &str, label: Option<&str>) -> Markup {
        let name = field_of(field.option);
        // Never an example, which would be taken for what is noted.
        let hint = self.noted.get(&name).map_or("", String::as_str);
        html! {
            input type="text" name=(name) value=(self.typed(&name)) inputmode=(mode) autocomplete="off"
                placeholder=(shown::free(hint)) aria-label=[label] aria-invalid=[self.invalid(field)];
        }
    }

    fn invalid(&self, field: &Field) -> Option<&'static str> {
        self.is_refused(field).then_some("true")
    }
}
