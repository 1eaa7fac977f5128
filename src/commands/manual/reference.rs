//! Every command with its arguments, from the definitions that the program itself goes by.

use clap::builder::PossibleValue;
use clap::{Arg, Command, CommandFactory};
use maud::{Markup, html};

use crate::commands::cli::Cli;

/// A command that can be typed, or a group of them.
pub(super) struct Entry {
    /// As it is typed: `seepline jaws add`.
    pub(super) name: String,
    /// Place in the page.
    pub(super) anchor: String,
    /// How many commands it is below the program.
    pub(super) depth: usize,
    command: Command,
}

/// The program, then each verb with its own below it.
pub(super) fn entries() -> Vec<Entry> {
    let mut program = Cli::command();
    // Gives every command the name that it is typed by.
    program.build();
    let mut entries = Vec::new();
    collect(program, 0, &mut entries);
    entries
}

fn collect(command: Command, depth: usize, entries: &mut Vec<Entry>) {
    let name = command.get_bin_name().unwrap_or(command.get_name());
    let entry = Entry {
        name: name.to_owned(),
        anchor: format!("command-{}", name.replace(' ', "-")),
        depth,
        command: command.clone(),
    };
    entries.push(entry);
    let verbs = command.get_subcommands().filter(|c| c.get_name() != "help");
    for verb in verbs {
        collect(verb.clone(), depth + 1, entries);
    }
}

impl Entry {
    pub(super) fn html(&mut self) -> Markup {
        let usage = self.command.render_usage().to_string();
        let arguments: Vec<&Arg> = self.command.get_arguments().filter(|a| told(a)).collect();
        html! {
            h3 id=(self.anchor) { code { (self.name) } }
            @if let Some(about) = self.command.get_long_about().or(self.command.get_about()) {
                (paragraphs(&about.to_string()))
            }
            pre { code { (usage.trim_start_matches("Usage:").trim()) } }
            @if !arguments.is_empty() {
                dl {
                    @for argument in arguments { (one(argument)) }
                }
            }
            @let after = self.command.get_after_long_help().or(self.command.get_after_help());
            @if let Some(after) = after {
                pre { (after) }
            }
        }
    }
}

/// What is the same everywhere is said once, in the chapter about files.
fn told(argument: &Arg) -> bool {
    !argument.is_hide_set() && !matches!(argument.get_id().as_str(), "help" | "version")
}

fn one(argument: &Arg) -> Markup {
    let help = argument.get_long_help().or(argument.get_help());
    html! {
        dt { code { (argument) } }
        dd {
            @if let Some(help) = help { (paragraphs(&help.to_string())) }
            @let facts = facts(argument);
            @if !facts.is_empty() { p { (facts.join(". ")) "." } }
        }
    }
}

/// What follows from the definition itself.
fn facts(argument: &Arg) -> Vec<String> {
    let mut facts = Vec::new();
    let values = argument.get_possible_values();
    let values: Vec<&str> = values.iter().map(PossibleValue::get_name).collect();
    if !values.is_empty() && argument.get_action().takes_values() {
        facts.push(format!("One of: {}", values.join(", ")));
    }
    let defaults = argument.get_default_values();
    let defaults: Vec<_> = defaults.iter().map(|d| d.to_string_lossy()).collect();
    if !defaults.is_empty() && argument.get_action().takes_values() {
        facts.push(format!("Where not given: {}", defaults.join(" ")));
    }
    if let Some(variable) = argument.get_env() {
        facts.push(format!(
            "Else from the environment variable {}",
            variable.display()
        ));
    }
    facts
}

fn paragraphs(text: &str) -> Markup {
    html! { @for paragraph in text.split("\n\n") { p { (sentence(paragraph)) } } }
}

/// The definitions' texts end without a full stop, and have code between backticks.
fn sentence(text: &str) -> Markup {
    let ended = text.ends_with(['.', '…']);
    html! {
        @for (nth, part) in text.split('`').enumerate() {
            @if nth % 2 == 1 { code { (part) } } @else { (part) }
        }
        @if !ended { "." }
    }
}
