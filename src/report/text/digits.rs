//! Digits five lines tall, so that a number can be read from the machine.

use super::pen::Pen;

/// Rows of `#` and space, three columns each, for the characters of a signed decimal number.
fn glyph(c: char) -> [&'static str; 5] {
    match c {
        '0' => ["###", "# #", "# #", "# #", "###"],
        '1' => [" # ", "## ", " # ", " # ", "###"],
        '2' => ["###", "  #", "###", "#  ", "###"],
        '3' => ["###", "  #", " ##", "  #", "###"],
        '4' => ["# #", "# #", "###", "  #", "  #"],
        '5' => ["###", "#  ", "###", "  #", "###"],
        '6' => ["###", "#  ", "###", "# #", "###"],
        '7' => ["###", "  #", "  #", " # ", " # "],
        '8' => ["###", "# #", "###", "# #", "###"],
        '9' => ["###", "# #", "###", "  #", "###"],
        '-' => ["   ", "   ", "###", "   ", "   "],
        '+' => ["   ", " # ", "###", " # ", "   "],
        // Narrower than a digit, so that the number stays together.
        '.' => ["  ", "  ", "  ", "  ", "# "],
        _ => ["  "; 5],
    }
}

/// The five lines of a number; every column twice as wide as it is tall, since cells are.
pub(super) fn large(number: &str, unicode: bool) -> [String; 5] {
    let ink = if unicode { "██" } else { "##" };
    let cell = |c| if c == '#' { ink } else { "  " };
    std::array::from_fn(|row| {
        number
            .chars()
            .flat_map(|c| glyph(c)[row].chars().chain([' ']))
            .map(cell)
            .collect()
    })
}

/// Thousandths per side and on the diameter, large, where both fit beside each other.
pub(super) fn beside(pen: &mut Pen, [per_side, on_diameter]: [String; 2]) {
    const LABELS: [&str; 2] = ["thou per side", "thou on the diameter"];
    let [left, right] = [per_side, on_diameter].map(|number| large(&number, pen.unicode));
    let columns = |lines: &[String; 5]| lines[0].chars().count();
    let column = columns(&left).max(LABELS[0].len()) + 4;
    if 2 + column + columns(&right).max(LABELS[1].len()) > pen.width {
        return;
    }
    for (left, right) in left.iter().zip(&right) {
        pen.line(&format!("  {left:<column$}{right}"));
    }
    pen.line(&format!("  {:<column$}{}", LABELS[0], LABELS[1]));
    pen.blank();
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_lines_of_a_number_are_equally_long() {
        let lines = large("-0.25", false);
        assert!(lines.iter().all(|line| line.len() == lines[0].len()));
        // The minus sign is the only ink of the third line before the nought's left edge.
        assert!(lines[2].starts_with("######  ##"));
    }

    #[test]
    fn every_character_of_a_number_has_its_own_shape() {
        let characters: Vec<char> = "0123456789-+.".chars().collect();
        for (i, &a) in characters.iter().enumerate() {
            assert!(characters[..i].iter().all(|&b| glyph(a) != glyph(b)), "{a}");
        }
    }
}
