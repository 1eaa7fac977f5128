//! What the terminal says when the server starts: the address, and its QR code.

use std::io::{self, IsTerminal};
use std::net::SocketAddr;

use qrcode::render::unicode::Dense1x2;
use qrcode::{EcLevel, QrCode};

use super::Listen;
use super::desk::Desk;

/// Black on white, whatever the terminal's own colours are.
const PAPER: (&str, &str) = ("\u{1b}[30;107m", "\u{1b}[0m");

const LET_IN: &str = if cfg!(windows) {
    "Only this machine reaches it. To let phones in, end it, and start\n  seepline serve --network\n\
     or seepline-network.cmd, which came with the program.\n"
} else {
    "Only this machine reaches it. To let phones in, end it, and start\n  seepline serve --network\n"
};

/// Whether the terminal shows block characters.
pub(crate) fn draws_blocks() -> bool {
    if cfg!(windows) {
        // Every font of the console has them (Windows' own list of glyphs, WGL4); what goes into a file is read by the
        // code page of whoever opens it.
        io::stdout().is_terminal()
    } else {
        supports_unicode::supports_unicode()
    }
}

/// For the standard output.
pub(super) fn greeting(desk: &Desk, listen: &Listen, addresses: &[SocketAddr]) -> String {
    let code = desk.pairing.code();
    let base = base(listen, addresses);
    let pair = format!("{base}/pair?key={code}");
    let mut text =
        format!("The page is at {base}\nTo pair a phone, scan the code, or open\n  {pair}\n");
    if listen.network || listen.name.is_some() {
        text += &drawn(&pair);
    } else {
        text += LET_IN;
    }
    let others = addresses
        .iter()
        .filter(|a| listen.network && format!("http://{a}") != base);
    text.extend(others.map(|a| format!("Also at http://{a}/pair?key={code}\n")));
    text += "Keep the address to yourself: whoever has it can use the page.\n\
             Ctrl-C ends it, and so does closing this window.\n";
    text
}

fn base(listen: &Listen, addresses: &[SocketAddr]) -> String {
    if let Some(name) = &listen.name {
        return format!("https://{name}");
    }
    // A phone cannot reach this machine by its own loopback address.
    let outside = addresses.iter().find(|a| !a.ip().is_loopback());
    let first = outside.or(addresses.first());
    first.map_or_else(String::new, |address| format!("http://{address}"))
}

/// Empty where the address is too long for a code, which leaves the address itself.
fn drawn(address: &str) -> String {
    // The least correction makes the fewest modules: the code has to fit the terminal.
    let Ok(code) = QrCode::with_error_correction_level(address, EcLevel::L) else {
        return String::new();
    };
    if !draws_blocks() {
        return in_ascii(&code);
    }
    let stdout = io::stdout();
    if anstream::AutoStream::choice(&stdout) == anstream::ColorChoice::Never {
        return in_blocks(&code);
    }
    let lines = code.render::<Dense1x2>().build();
    let line = |line: &str| format!("{}{line}{}\n", PAPER.0, PAPER.1);
    lines.lines().map(line).collect()
}

/// Light blocks for the light modules: most terminals write light on dark.
fn in_blocks(code: &QrCode) -> String {
    let mut drawing = code.render::<Dense1x2>();
    drawing
        .dark_color(Dense1x2::Light)
        .light_color(Dense1x2::Dark);
    drawing.build() + "\n"
}

/// Two characters a module, which is then about square.
fn in_ascii(code: &QrCode) -> String {
    let mut drawing = code.render::<char>();
    drawing
        .module_dimensions(2, 1)
        .dark_color(' ')
        .light_color('#');
    drawing.build() + "\n"
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The quiet zone is four modules wide (ISO/IEC 18004, section 9.1); the address needs version 4, 33
    /// modules a side, at level L (78 bytes, table 7).
    #[test]
    fn the_code_fits_a_terminal_in_blocks_and_in_plain_characters() {
        let address = format!("http://192.168.100.100:7337/pair?key={}", "0".repeat(32));
        assert_eq!(address.len(), 69);
        let code = QrCode::with_error_correction_level(&address, EcLevel::L).unwrap();
        let side = 33 + 2 * 4;
        let (blocks, plain) = (in_blocks(&code), in_ascii(&code));
        assert!(blocks.lines().all(|l| l.chars().count() == side));
        assert_eq!(blocks.lines().count(), side.div_ceil(2));
        assert!(plain.lines().all(|l| l.len() == 2 * side));
        assert!(plain.lines().next().unwrap().chars().all(|c| c == '#'));
    }
}
