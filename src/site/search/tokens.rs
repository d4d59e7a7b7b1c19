//! Splits text into the words that search works on. The script `search.js` does the same; both are
//! held to one table of examples.

/// The words of `text`: runs of letters and digits in lower case; a point or comma between two
/// ASCII digits belongs to the number; superscript two and three and the micro sign are read as
/// the characters they stand for.
#[must_use]
pub fn tokens(text: &str) -> Vec<String> {
    let text: String = text.chars().map(plain).collect::<String>().to_lowercase();
    let mut words = Vec::new();
    let mut word = String::new();
    let mut characters = text.chars().peekable();
    while let Some(character) = characters.next() {
        let inside_number = matches!(character, '.' | ',')
            && word.ends_with(|last: char| last.is_ascii_digit())
            && characters.peek().is_some_and(char::is_ascii_digit);
        if character.is_alphanumeric() || inside_number {
            word.push(character);
        } else if !word.is_empty() {
            words.push(std::mem::take(&mut word));
        }
    }
    if !word.is_empty() {
        words.push(word);
    }
    words
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
