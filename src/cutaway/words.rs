//! The reference of the language as data: every word, its form, what it means, and a complete
//! small cutaway that uses it. The site publishes it.

use super::aligned;
use super::grammar::form;
use std::sync::LazyLock;

/// One word of the language.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WordDoc {
    /// The word, or the words that belong together.
    pub word: &'static str,
    /// "Statements", "Conditions", "Events", …: words of a group stand together, in the order in
    /// which a reader meets them.
    pub group: &'static str,
    /// The line or clause; capitals stand for what the writer fills in.
    pub form: String,
    /// What it means, as sentences.
    pub meaning: &'static str,
    /// A complete cutaway that reads without slips. One that is `based on hazel` goes on from the
    /// first example of all.
    pub example: String,
    /// What else is good to know; may be empty.
    pub(crate) note: &'static str,
}

static WORDS: LazyLock<Vec<WordDoc>> = LazyLock::new(|| read(include_str!("words.txt")));

/// Every word, in the order of the reference.
#[must_use]
pub fn words() -> &'static [WordDoc] {
    &WORDS
}

fn read(text: &'static str) -> Vec<WordDoc> {
    let mut words: Vec<WordDoc> = Vec::new();
    let mut group = "";
    for line in text.lines().filter(|line| !line.is_empty() && !line.starts_with('#')) {
        if let Some(name) = line.strip_prefix("== ") {
            group = name;
        } else if let Some(word) = line.strip_prefix("= ") {
            words.push(WordDoc { word, group, ..WordDoc::empty() });
        } else if let Some(word) = words.last_mut() {
            word.take(line);
        }
    }
    let first = words.first().map(|word| word.example.clone()).unwrap_or_default();
    for word in &mut words {
        if word.form.is_empty() {
            word.form = form(word.word).unwrap_or_default();
        }
        if !word.example.starts_with("cutaway") {
            word.example.insert_str(0, &first);
        }
        word.example = aligned(&word.example);
    }
    words
}

impl WordDoc {
    fn empty() -> WordDoc {
        WordDoc {
            word: "",
            group: "",
            form: String::new(),
            meaning: "",
            example: String::new(),
            note: "",
        }
    }

    fn take(&mut self, line: &'static str) {
        if let Some(example) = line.strip_prefix("  ") {
            self.example.push_str(example);
            self.example.push('\n');
            return;
        }
        let Some((key, value)) = line.split_once(": ") else { return };
        match key {
            "form" => value.clone_into(&mut self.form),
            "means" => self.meaning = value,
            _ => self.note = value,
        }
    }
}
