//! The formatter: it changes blanks where they mean nothing, and nothing else.

use super::support::{cutaways, here, read, same_as};
use gaugebook::cutaway::aligned;
use proptest::prelude::*;

/// What a text stands for, without places.
fn meaning(text: &str) -> (String, Vec<String>) {
    let (engine, slips) = read(text);
    let debug = format!("{engine:?}");
    let mut plain = String::new();
    let mut rest = debug.as_str();
    while let Some(at) = rest.find("Span {") {
        plain.push_str(&rest[..at]);
        rest = &rest[at + rest[at..].find('}').unwrap()..];
    }
    plain.push_str(rest);
    let mut told: Vec<String> =
        slips.iter().map(|slip| format!("{} {}", slip.code, slip.message)).collect();
    told.sort();
    (plain, told)
}

#[test]
fn untidy_cutaways_are_aligned_as_a_person_would() {
    let text = std::fs::read_to_string(here().join("aligning/untidy.cut")).unwrap();
    same_as(&here().join("aligning/tidy.cut"), &aligned(&text));
}

#[test]
fn fixtures_keep_their_meaning() {
    for path in cutaways("clean").into_iter().chain(cutaways("faults")).chain(cutaways("aligning"))
    {
        let text = std::fs::read_to_string(&path).unwrap();
        assert_eq!(meaning(&aligned(&text)), meaning(&text), "{}", path.display());
    }
}

/// Words and signs of the language, and some that are none.
const PIECES: &str = "\
    way metering from line to store narrow one while switch at back and called chamber supply \
    role moving positions rests front , face in pushes forward spring valve 3/2 rest joins \
    shifted shifts on trigger returns after dwell fact larger than ( seen ) + : axis around \
    barrel ball seal between revision without size -012 order event is leaves \"open “a” é \
    cutaway rowan based link with quick exhaust out";

/// A line of a cutaway, or something like one, with any blanks and comments.
fn any_line() -> impl Strategy<Value = String> {
    let plain = PIECES.split_whitespace().collect::<Vec<_>>();
    let odd = vec!["\"rear room\"", "# note"];
    let words = prop::sample::select([plain, odd].concat());
    let blanks = prop::sample::select(vec![" ", "  ", "\t", " \t ", "\u{a0}", ""]);
    let indents = prop::sample::select(vec!["", "", "", "  ", " ", "\t", "    ", "      "]);
    (indents, prop::collection::vec((words, blanks), 0..9)).prop_map(|(indent, words)| {
        let words: String = words.iter().map(|(word, blank)| format!("{word}{blank}")).collect();
        format!("{indent}{words}")
    })
}

proptest! {
    #[test]
    fn aligning_changes_no_meaning_and_not_twice(
        lines in prop::collection::vec(any_line(), 0..12),
        end in prop::sample::select(vec!["\n", "\r\n"]),
    ) {
        let text = lines.join(end);
        let once = aligned(&text);
        prop_assert_eq!(aligned(&once), once.clone());
        prop_assert_eq!(meaning(&once), meaning(&text));
        let words = |text: &str| text.split_whitespace().collect::<String>();
        prop_assert_eq!(words(&once), words(&text));
    }
}
