//! Lines of limited width, coloured or not, in Unicode or ASCII.

use anstyle::{Ansi256Color, Style};

use super::TextOptions;

/// Columns where no terminal says otherwise.
const USUAL_WIDTH: usize = 80;
/// Longer lines are hard to follow at arm's length.
const WIDEST: usize = 100;
/// Below this the strips could not be drawn.
const NARROWEST: usize = 24;

/// What a piece of text is for. The colours are the Okabe–Ito palette, distinguishable with every
/// common colour-vision deficiency, in the nearest of the terminal's 256 colours (Okabe and Ito,
/// “Color Universal Design”, 2008: vermillion 213,94,0; orange 230,159,0; bluish green 0,158,115; blue
/// 0,114,178; reddish purple 204,121,167).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::report) enum Ink {
    Plain,
    Strong,
    Compound,
    Unjudged,
    Good,
    Cut,
    Caution,
    Retake,
}

impl Ink {
    fn style(self) -> Style {
        let colour = |code| Style::new().fg_color(Some(Ansi256Color(code).into()));
        match self {
            Ink::Plain => Style::new(),
            Ink::Strong => Style::new().bold(),
            Ink::Compound => colour(25),
            Ink::Unjudged => colour(178),
            Ink::Good => colour(36).bold(),
            Ink::Cut => colour(166).bold(),
            Ink::Caution => colour(178).bold(),
            Ink::Retake => colour(175).bold(),
        }
    }
}

/// Collects the report.
pub(in crate::report) struct Pen {
    text: String,
    colour: bool,
    pub(in crate::report) unicode: bool,
    pub(in crate::report) width: usize,
}

impl Pen {
    pub(in crate::report) fn new(options: TextOptions) -> Self {
        let width = options
            .width
            .unwrap_or(USUAL_WIDTH)
            .clamp(NARROWEST, WIDEST);
        Self {
            text: String::new(),
            colour: options.colour,
            unicode: options.unicode,
            width,
        }
    }

    pub(in crate::report) fn blank(&mut self) {
        self.text.push('\n');
    }

    /// A line across the report.
    pub(in crate::report) fn rule(&mut self) {
        let stroke = if self.unicode { "─" } else { "-" };
        self.line(&stroke.repeat(self.width));
    }

    /// One line as it is; may hold pieces from [`Pen::inked`].
    pub(in crate::report) fn line(&mut self, line: &str) {
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }

    /// A paragraph, broken at words.
    pub(in crate::report) fn wrapped(&mut self, text: &str, ink: Ink) {
        self.hanging("", text, ink);
    }

    /// A paragraph whose first line starts with `lead` and whose others are indented as far.
    pub(in crate::report) fn hanging(&mut self, lead: &str, text: &str, ink: Ink) {
        let text = self.shown(text);
        // Some letters a line, however long the lead is.
        let room = self.width.saturating_sub(lead.chars().count()).max(8);
        for (index, piece) in textwrap::wrap(&text, room).iter().enumerate() {
            let indent = " ".repeat(lead.chars().count());
            let lead = if index == 0 { lead } else { &indent };
            // Each piece by itself, after breaking: codes of colour would count as letters.
            let line = format!("{lead}{}", self.inked(piece, ink));
            self.line(&line);
        }
    }

    /// The text broken at words into lines of so many columns; at least one.
    pub(super) fn pieces(&self, text: &str, columns: usize) -> Vec<String> {
        let text = self.shown(text);
        let lines = textwrap::wrap(&text, columns.max(8));
        lines
            .into_iter()
            .map(std::borrow::Cow::into_owned)
            .collect()
    }

    /// The text in its colour, where there are colours.
    pub(in crate::report) fn inked(&self, text: &str, ink: Ink) -> String {
        let style = ink.style();
        if self.colour && style != Style::new() && !text.is_empty() {
            format!("{style}{text}{style:#}")
        } else {
            text.to_owned()
        }
    }

    /// Without what could steer the terminal, and in ASCII where that is asked for.
    fn shown(&self, text: &str) -> String {
        let text = super::super::printable(text);
        if self.unicode { text } else { to_ascii(&text) }
    }

    pub(in crate::report) fn finish(self) -> String {
        self.text
    }
}

/// Typographic characters in plain ones; letters of names stay as they are.
fn to_ascii(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '“' | '”' => plain.push('"'),
            '‘' | '’' => plain.push('\''),
            '–' | '—' | '−' => plain.push('-'),
            '×' => plain.push('x'),
            '°' => plain.push_str(" deg"),
            '±' => plain.push_str("+/-"),
            '…' => plain.push_str("..."),
            '≤' => plain.push_str("<="),
            '≥' => plain.push_str(">="),
            '→' => plain.push_str("->"),
            '\u{a0}' | '\u{202f}' | '\u{2009}' => plain.push(' '),
            c => plain.push(c),
        }
    }
    plain
}
