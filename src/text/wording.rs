//! Small helps for sentences.

/// "a", "a and b", "a, b and c" with `last` before the last one; empty for none.
pub(crate) fn listed(items: &[String], last: &str) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [before @ .., end] => format!("{} {last} {end}", before.join(", ")),
    }
}

/// Each of some words once, where it stands first.
pub(crate) fn once_each(items: impl Iterator<Item = String>) -> Vec<String> {
    let mut kept: Vec<String> = Vec::new();
    for item in items {
        if !kept.contains(&item) {
            kept.push(item);
        }
    }
    kept
}

/// With a capital letter at its beginning.
pub(crate) fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A name as a title: each word with a capital letter ("Rowan Deep" of `rowan_deep`).
pub(crate) fn proper_name(name: &str) -> String {
    let words = name.split(['_', ' ']).map(capitalised);
    words.collect::<Vec<String>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_end_with_the_last_word() {
        let words = ["a", "b", "c"].map(str::to_owned);
        let told = [0, 1, 2, 3].map(|count| listed(&words[..count], "and"));
        assert_eq!(told, ["", "a", "a and b", "a, b and c"]);
        assert_eq!(listed(&words, "or"), "a, b or c");
    }

    #[test]
    fn only_the_first_letter_is_made_a_capital() {
        assert_eq!(["", "élan", "Air x"].map(capitalised), ["", "Élan", "Air x"]);
    }
}
