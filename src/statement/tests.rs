//! What is read as a statement, and what is not.

use super::{Relation, Statement, read};

/// A statement as a line: its relation with the words of its phrases.
fn shown(text: &str) -> Vec<String> {
    let words = |phrase: &super::Phrase| {
        phrase.words.iter().map(|word| word.stem.as_str()).collect::<Vec<_>>().join(" ")
    };
    let line = |statement: Statement| match statement.relation {
        Relation::Compare { left, right, degree, than } => {
            format!("{} | {:?} {} | {}", words(&left), than, degree.more, words(&right))
        }
        Relation::Same { left, right, degree, is_denied } => {
            format!(
                "{} | {} as {} | {}",
                words(&left),
                if is_denied { "not" } else { "just" },
                degree.plain,
                words(&right)
            )
        }
        Relation::Ratio { left, right, factor, .. } => {
            format!(
                "{} | {:.2} to {:.2} | {}",
                words(&left),
                factor.low,
                factor.high,
                words(&right)
            )
        }
        Relation::Apart { left, right, degree, by } => format!(
            "{} | {} by {} | {}",
            words(&left),
            degree.more,
            &text[by.start..by.end],
            words(&right)
        ),
        Relation::Change { what, from, to } => format!(
            "{} | from {} | to {}",
            words(&what),
            &text[from.start..from.end],
            &text[to.start..to.end]
        ),
        Relation::Alike { who, noun } => format!("{} | same {}", words(&who), words(&noun)),
        Relation::Extreme { what, degree, .. } => format!("{} | {}", words(&what), degree.most),
        Relation::Before { first, then } => {
            format!("{} | before | {}", words(&first), words(&then))
        }
        Relation::Parts { seal, one, other, .. } => {
            format!("{} | parts | {} | {}", words(&seal), words(&one), words(&other))
        }
        Relation::Pushes { what, part, is_forward } => {
            format!(
                "{} | {} | {}",
                words(&what),
                if is_forward { "forward" } else { "back" },
                words(&part)
            )
        }
        Relation::Joins { way, from, to } => {
            format!("{} | joins | {} | {}", words(&way), words(&from), words(&to))
        }
    };
    read(text).into_iter().map(line).collect()
}

#[test]
fn comparisons_are_read() {
    for (text, expected) in [
        ("Elder's plunger is heavier than the sleeve.", "elder plunger | More heavier | sleeve"),
        (
            "Elder has a larger reservoir than Gorse.",
            "elder reservoir | More larger | gorse reservoir",
        ),
        ("The inlet is no wider than the outlet.", "inlet | NotMore wider | outlet"),
        ("Its tube is every bit as long as that of Gorse.", "tube | just as long | gorse"),
        ("The sleeve isn't as heavy as the plunger.", "sleeve | Less heavy | plunger"),
        ("The spool is lighter than the one it replaced.", "spool | More lighter | replaced"),
    ] {
        assert_eq!(shown(text), [expected.replace("Less heavy", "Less heavier")], "{text}");
    }
}

#[test]
fn ratios_are_read_with_the_room_of_their_words() {
    for (text, expected) in [
        ("The sleeve is twice as long as the plunger.", "sleeve | 1.90 to 2.10 | plunger"),
        (
            "The front face has two thirds the area of the rear face.",
            "front face area | 0.63 to 0.70 | rear face area",
        ),
        ("The reservoir is half as large again as Gorse's.", "reservoir | 1.42 to 1.58 | gorse"),
        ("Gorse's dwell is about three times that of Elder.", "gorse dwell | 2.64 to 3.36 | elder"),
        ("The rod is more than a third of the bore.", "rod | 0.33 to inf | bore"),
    ] {
        assert_eq!(shown(text), [expected], "{text}");
    }
}

#[test]
fn differences_changes_and_equals_are_read() {
    for (text, expected) in [
        ("The plunger is 1.5 mm longer than the sleeve.", "plunger | longer by 1.5 mm | sleeve"),
        (
            "The plunger is about 2 mm longer than that of Gorse.",
            "plunger | longer by 2 mm | gorse",
        ),
        (
            "Gorse's plunger is longer than Elder's by 2 mm.",
            "gorse plunger | longer by 2 mm | elder",
        ),
        ("The plunger went from 21.4 g to 17.9 g.", "plunger | from 21.4 g | to 17.9 g"),
        ("Gorse and Elder have the same barrel bore.", "gorse elder | same barrel bore"),
        ("Gorse has the same barrel bore as Elder.", "gorse elder | same barrel bore"),
    ] {
        assert_eq!(shown(text), [expected], "{text}");
    }
}

#[test]
fn seals_pushes_and_orders_are_read() {
    for (text, expected) in [
        ("The lid ring keeps the dome from the throat.", "lid ring | parts | dome | throat"),
        (
            "The lid ring, a -110, separates the dome from the throat.",
            "lid ring | parts | dome | throat",
        ),
        (
            "Between the dome and the throat there is nothing but the lid ring.",
            "lid ring | parts | dome | throat",
        ),
        ("The coil pushes the plunger back.", "coil | back | plunger"),
        ("The plunger is pressed forward by the air in the dome.", "air dome | forward | plunger"),
        (
            "The lid lifts before the plunger leaves its stop.",
            "lid lift | before | plunger leave stop",
        ),
        (
            "The plunger does not stir until the lid has lifted.",
            "lid lifted | before | plunger not stir",
        ),
        ("Once the lid has shut, the dome fills.", "lid shut | before | dome fill"),
    ] {
        let found = shown(text);
        assert_eq!(found, [expected], "{text}");
    }
}

#[test]
fn what_is_not_claimed_is_not_read() {
    for text in [
        "Is the sleeve longer than the plunger?",
        "A longer sleeve would be heavier than the plunger.",
        "Suppose the sleeve were twice as long as the plunger.",
        "We think the sleeve is heavier than the plunger.",
        "Check the ring before every tenth shot, more or less.",
        "It is second to none, and quieter than most.",
        "If the lid sticks, the dome fills before the plunger moves.",
    ] {
        assert_eq!(shown(text), Vec::<String>::new(), "{text}");
    }
}
