//! How wide a text is: needed to keep labels apart before anything is drawn.
//!
//! The widths are those of the bundled font, which is a wide one, so that a text set in a reader's
//! own font takes less room than was left for it. Must not know what the texts say.

/// Advance widths of the characters from blank to `~`, in thousandths of the size (DejaVu Sans).
const WIDTHS: [u16; 95] = [
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337, 636, 636, 636,
    636, 636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632,
    575, 775, 752, 295, 295, 656, 557, 863, 748, 787, 603, 787, 695, 635, 611, 732, 684, 989, 685,
    611, 685, 390, 337, 390, 838, 500, 500, 613, 635, 550, 635, 615, 352, 635, 634, 278, 278, 579,
    278, 974, 634, 612, 635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636, 337, 636, 838,
];

/// What every other character is taken for: as wide as the widest of them that labels use.
const OTHER: u16 = 1000;

/// Width of a text of the given size, in the same unit as the size.
pub(crate) fn width(text: &str, size: f64) -> f64 {
    let thousandths: f64 = text.chars().map(|c| f64::from(advance(c))).sum();
    thousandths * size / 1000.0
}

/// Width of a bold text: the bold letters of the usual fonts are a tenth wider.
pub(crate) fn bold_width(text: &str, size: f64) -> f64 {
    width(text, size) * 1.1
}

fn advance(c: char) -> u16 {
    let at = (c as usize).checked_sub(usize::from(b' '));
    at.and_then(|at| WIDTHS.get(at)).copied().unwrap_or(OTHER)
}

/// Breaks a text between words so that no line is wider than `most`, if its words allow.
pub(crate) fn wrapped(text: &str, size: f64, most: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let longer = lines.last().map(|line| format!("{line} {word}"));
        match (longer, lines.last_mut()) {
            (Some(longer), Some(last)) if width(&longer, size) <= most => *last = longer,
            _ => lines.push(word.to_string()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_is_as_wide_as_its_letters() {
        // H 752, a 613, z 525, e 615, l 278: read from the font's own table of advances.
        assert!((width("Hazel", 10.0) - 27.83).abs() < 1e-9);
        assert!((width("é", 10.0) - 10.0).abs() < 1e-9, "others are taken for wide");
    }

    #[test]
    fn lines_break_between_words_only() {
        assert_eq!(wrapped("bolt before caught", 10.0, 50.0), ["bolt", "before", "caught"]);
        assert_eq!(wrapped("bolt before caught", 10.0, 70.0), ["bolt before", "caught"]);
        assert_eq!(wrapped("", 10.0, 60.0), Vec::<String>::new());
    }
}
