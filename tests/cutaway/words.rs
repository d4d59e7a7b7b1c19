//! The published reference: every word is there, and every example reads.

use super::support::shown;
use gaugebook::cutaway::model::{Role, Shape};
use gaugebook::cutaway::{self, HOW, words};
use gaugebook::text::Source;
use std::collections::BTreeSet;

#[test]
fn every_example_is_a_cutaway_without_slips_that_uses_its_word() {
    let first = Source::new("diagrams/hazel.cut", words()[0].example.as_str());
    let others = |name: &str| (name == "hazel").then(|| first.clone());
    let mut complaints = Vec::new();
    for word in words() {
        let source = Source::new("diagrams/example.cut", word.example.as_str());
        let (_, slips) = cutaway::read(&source, &others);
        if !slips.is_empty() {
            complaints.push(format!("{} ({}):\n{}", word.word, word.group, shown(&slips)));
        }
        let is_default = word.meaning.contains("where nothing is said");
        let uses = word.example.contains(word.word);
        if !uses && !is_default {
            complaints.push(format!("{}: the example does without it", word.word));
        }
    }
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

#[test]
fn every_word_of_a_list_has_its_entry() {
    let of = |group: &str| -> BTreeSet<&str> {
        words().iter().filter(|word| word.group == group).map(|word| word.word).collect()
    };
    let roles = Role::ALL.iter().map(|(word, _)| *word).chain(["open_air"]);
    assert_eq!(of("Roles of a chamber"), roles.collect());
    let shapes = Shape::ALL.iter().map(|(word, _)| *word);
    assert_eq!(of("Shapes of a moving part"), shapes.collect());
    assert_eq!(of("How a fact is known"), HOW.into_iter().collect());
    for word in words() {
        let is_told = !word.form.is_empty() && !word.meaning.is_empty() && !word.example.is_empty();
        assert!(is_told, "{}", word.word);
    }
}
