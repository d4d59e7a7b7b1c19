//! Splits text into the words that search works on. The script `search.js` does the same; both are
//! held to one table of examples.

/// The words of `text`: runs of letters and digits in lower case; a point or comma between two
/// ASCII digits belongs to the number; superscript two and three and the micro sign are read as
/// the characters they stand for.
#[must_use]
pub fn tokens(text: &str) -> Vec<String> {
    let mut words = Vec::new();
    each_token(&folded(text), |word| words.push(word.to_owned()));
    words
}

/// The text in the form in which words are compared.
pub(super) fn folded(text: &str) -> String {
    if text.is_ascii() {
        return text.to_ascii_lowercase();
    }
    text.chars().map(plain).collect::<String>().to_lowercase()
}

/// The words of a folded text, one by one.
pub(super) fn each_token<'t>(text: &'t str, mut each: impl FnMut(&'t str)) {
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
            each(&text[start..at]);
        }
        after_digit = character.is_ascii_digit();
    }
    if let Some(start) = start {
        each(&text[start..]);
    }
}

/// Bytes of words.
const IN_WORDS: [bool; 256] = {
    let mut in_words = [false; 256];
    let mut byte = 0;
    while byte < 256 {
        in_words[byte] = (byte as u8).is_ascii_alphanumeric();
        byte += 1;
    }
    in_words
};

/// The same for most texts, a few times faster.
fn each_ascii_token<'t>(text: &'t str, mut each: impl FnMut(&'t str)) {
    let bytes = text.as_bytes();
    let in_word = |at: usize| bytes.get(at).is_some_and(|b| IN_WORDS[usize::from(*b)]);
    let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let mut at = 0;
    while at < bytes.len() {
        if !in_word(at) {
            at += 1;
            continue;
        }
        let start = at;
        loop {
            at += 1;
            while in_word(at) {
                at += 1;
            }
            let joins = matches!(bytes.get(at), Some(b'.' | b',')) && digit(at - 1);
            if !(joins && digit(at + 1)) {
                break;
            }
        }
        each(&text[start..at]);
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
