//! Suppositions in plain words: what would be, were something otherwise.

use crate::text::Span;

/// Words that make a clause a supposition.
const MARKERS: [&str; 9] =
    ["would", "wouldn't", "could", "might", "suppose", "supposing", "imagine", "you'd", "it'd"];
/// Verbs that open one: "Were the pressure reduced to …", "Had it been …".
const OPENERS: [&str; 3] = ["were", "had", "should"];
/// Words that open the clause that says under what condition; "a stroke of 9 mm" is one that is not
/// there yet.
const CONDITIONS: [&str; 8] = ["if", "with", "at", "without", "from", "on", "a", "an"];
/// Verbs that bid: "Put both at 4 bar and the dial says …".
const BIDS: [&str; 16] = [
    "put", "set", "take", "turn", "open", "raise", "drop", "give", "let", "make", "halve",
    "double", "fit", "swap", "pump", "try",
];
/// Words that begin what is said to follow from a bid.
const SUBJECTS: [&str; 12] =
    ["the", "you", "it", "we", "they", "that", "this", "a", "an", "your", "its", "there"];
/// Verbs behind which "to" names another value than that which is.
const CHANGES: [&str; 8] = ["fall", "drop", "rise", "shrink", "grow", "raise", "lower", "reduce"];

/// How a figure stands in a supposition.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Supposed {
    /// It is what is supposed: it need be nothing that is.
    Condition,
    /// It is what would follow.
    Consequence,
}

/// Whether a figure of `text` is supposed to be, and as what.
pub(super) fn supposed(text: &str, figure: Span) -> Option<Supposed> {
    // A clause may be as long as a page; what is far away supposes nothing here.
    let from = text.floor_char_boundary(figure.start.saturating_sub(IN_SIGHT));
    let upto = text.floor_char_boundary((figure.end + IN_SIGHT).min(text.len()));
    let (text, figure) = (&text[from..upto], Span::new(figure.start - from, figure.end - from));
    let before = &text[..figure.start];
    let start = before
        .char_indices()
        .rev()
        .find(|(at, c)| ends(&before[*at..], *c))
        .map_or(0, |(at, c)| at + c.len_utf8());
    let end = figure.end + length(&text[figure.end..]);
    let (own_before, own_behind) =
        (words(&text[start..figure.start]), words(&text[figure.end..end]));
    let first = own_before.first().map_or("", String::as_str);
    let marks = |words: &[String]| words.iter().any(|word| MARKERS.contains(&word.as_str()));
    if OPENERS.contains(&first) || marks(&own_behind) {
        return Some(Supposed::Condition);
    }
    if marks(&own_before) {
        let is_change = own_before.iter().rev().take(3).any(|word| word == "to")
            && own_before.iter().rev().take(5).any(|word| CHANGES.contains(&word.as_str()));
        return Some(if is_change { Supposed::Condition } else { Supposed::Consequence });
    }
    let after_and = own_before.iter().skip_while(|word| *word != "and").nth(1);
    if BIDS.contains(&first) && after_and.is_some_and(|word| SUBJECTS.contains(&word.as_str())) {
        return Some(Supposed::Consequence);
    }
    let rest = &text[end..];
    let sentence = rest.find(['.', ';', ':', '!', '?']).unwrap_or(rest.len());
    (CONDITIONS.contains(&first) && marks(&words(&rest[..sentence]))).then_some(Supposed::Condition)
}

/// Bytes on either side of a figure that are looked at.
const IN_SIGHT: usize = 600;

/// Whether a clause ends at `c`, which begins `rest`.
fn ends(rest: &str, c: char) -> bool {
    let blank = rest[c.len_utf8()..].starts_with([' ', '\n']);
    matches!(c, ',' | ';' | ':' | '!' | '?' | '.') && (blank || rest.len() == c.len_utf8())
}

/// Bytes up to the end of the clause.
fn length(text: &str) -> usize {
    text.char_indices().find(|(at, c)| ends(&text[*at..], *c)).map_or(text.len(), |(at, _)| at)
}

fn words(text: &str) -> Vec<String> {
    let words = text.split(|c: char| !c.is_alphanumeric() && !matches!(c, '\'' | '’'));
    words
        .filter(|word| !word.is_empty())
        .map(|word| word.to_lowercase().replace('’', "'"))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_would_be_is_no_statement_of_what_is() {
        let found = |text: &str| {
            let start = text.find(|c: char| c.is_ascii_digit()).expect("a figure");
            supposed(text, Span::new(start, start + 1))
        };
        let condition = Some(Supposed::Condition);
        assert_eq!(found("A hole of 2 mm would fill it sooner."), condition);
        assert_eq!(found("Were you to open the jet to 2 mm, it would hiss."), condition);
        assert_eq!(found("If you go down to 6 bar, the bolt would hang."), condition);
        assert_eq!(found("A stroke of 9 mm, a third of the bore, would do."), condition);
        assert_eq!(found("The lift could drop to 2 mm."), condition);
        assert_eq!(found("The room would then hold 2 ml."), Some(Supposed::Consequence));
        assert_eq!(found("You'd need 9 strokes for that."), Some(Supposed::Consequence));
        let follows = Some(Supposed::Consequence);
        assert_eq!(found("Open the jet wide and the store is back in 9 s."), follows);
        assert_eq!(found("Open the jet and set the regulator to 9 bar."), None);
        assert_eq!(found("The hole is 2 mm; a larger one would hiss."), None);
        assert_eq!(found("It would hiss. The hole is 2 mm."), None);
        assert_eq!(found("The hole is 2 mm, more than we could see."), None);
    }
}
