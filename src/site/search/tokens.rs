//! Splits text into the words that search works on. The script `search.js` does the same; both are
//! held to one table of examples.

use crate::text::runs::alphanumerics;
use std::ops::Range;

/// The words of `text`: runs of letters and digits in lower case; a point or comma between two
/// ASCII digits belongs to the number; superscript two and three and the micro sign are read as
/// the characters they stand for.
#[cfg(test)]
pub(crate) fn tokens(text: &str) -> Vec<String> {
    let mut words = Vec::new();
    let text = folded(text);
    each_token(&text, |word| words.push(text[word].to_owned()));
    words
}

/// The text in the form in which words are compared.
pub(super) fn folded(text: &str) -> String {
    if text.is_ascii() {
        return text.to_ascii_lowercase();
    }
    text.chars().map(plain).collect::<String>().to_lowercase()
}

/// Where the words of a folded text stand, one by one.
pub(super) fn each_token(text: &str, mut each: impl FnMut(Range<usize>)) {
    if text.is_ascii() {
        return each_ascii_token(text, each);
    }
    let mut start = None;
    let mut after_digit = false;
    for (at, character) in text.char_indices() {
        let inside_number = matches!(character, '.' | ',')
            && start.is_some()
            && after_digit
            && text.as_bytes().get(at + 1).is_some_and(u8::is_ascii_digit);
        if character.is_alphanumeric() || inside_number {
            start = start.or(Some(at));
        } else if let Some(start) = start.take() {
            each(start..at);
        }
        after_digit = character.is_ascii_digit();
    }
    if let Some(start) = start {
        each(start..text.len());
    }
}

/// The same for most texts, a few times faster.
fn each_ascii_token(text: &str, mut each: impl FnMut(Range<usize>)) {
    let bytes = text.as_bytes();
    let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let mut at = 0;
    while at < bytes.len() {
        let start = at;
        at += alphanumerics(&bytes[at..]);
        if at == start {
            at += 1;
            continue;
        }
        while matches!(bytes.get(at), Some(b'.' | b',')) && digit(at - 1) && digit(at + 1) {
            at += 1 + alphanumerics(&bytes[at + 1..]);
        }
        each(start..at);
    }
}

fn plain(character: char) -> char {
    match character {
        '²' => '2',
        '³' => '3',
        'µ' => 'μ',
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shared_table_holds() {
        let table = include_str!("../../../tests/search_tokens.txt");
        let rows: Vec<(String, Vec<String>)> = table
            .lines()
            .filter(|line| line.starts_with('['))
            .map(|line| serde_json::from_str(line).unwrap())
            .collect();
        assert!(rows.len() >= 20, "{}", rows.len());
        for (text, expected) in rows {
            assert_eq!(tokens(&text), expected, "{text:?}");
        }
    }
}
