//! What is read as a statement, and what is not.

use super::lexicon::lexeme;
use super::{StatedRelation, Statement, first_readings, read};

/// A statement as a line: its relation with the words of its phrases.
fn shown(text: &str) -> Vec<String> {
    let mut found = read(text);
    found.retain(|found| !matches!(found.relation, StatedRelation::Asserted { .. }));
    let found = first_readings(found, |statement| statement);
    let line = |statement: Statement| {
        of_two(&statement.relation, text)
            .or_else(|| of_amounts(&statement.relation, text))
            .unwrap_or_else(|| of_rooms(&statement.relation))
    };
    found.into_iter().map(line).collect()
}

fn words(phrase: &super::Phrase) -> String {
    let words = phrase.words.iter().map(|word| word.stem.as_str());
    let is_glue = |stem: &&str| lexeme(stem).roles.has(super::Role::Glue);
    words.filter(|stem| !is_glue(stem)).collect::<Vec<_>>().join(" ")
}

fn of_two(relation: &StatedRelation, text: &str) -> Option<String> {
    Some(match relation {
        StatedRelation::Compare { left, right, degree, than } => {
            format!("{} | {than:?} {} | {}", words(left), degree.more, words(right))
        }
        StatedRelation::Same { left, right, degree, is_denied } => {
            let just = if *is_denied { "not" } else { "just" };
            format!("{} | {just} as {} | {}", words(left), degree.plain, words(right))
        }
        StatedRelation::Ratio { left, right, factor, .. } => {
            let (low, high) = (factor.low, factor.high);
            format!("{} | {low:.2} to {high:.2} | {}", words(left), words(right))
        }
        StatedRelation::Apart { left, right, degree, by } => {
            let by = &text[by.start..by.end];
            format!("{} | {} by {by} | {}", words(left), degree.more, words(right))
        }
        StatedRelation::Alike { said, is_denied, .. } => {
            let alike = if *is_denied { "not alike" } else { "alike" };
            format!("{alike} | {}", words(said))
        }
        StatedRelation::Extreme { what, degree, .. } => {
            format!("{} | {}", words(what), degree.most)
        }
        _ => return None,
    })
}

fn of_amounts(relation: &StatedRelation, text: &str) -> Option<String> {
    let at = |span: &crate::text::Span| &text[span.start..span.end];
    Some(match relation {
        StatedRelation::Change { what, from, to } => {
            format!("{} | from {} | to {}", words(what), at(from), at(to))
        }
        StatedRelation::Count { said, than, count, .. } => {
            let than = than.map_or_else(String::new, |than| format!("{than:?} "));
            format!("{than}{count} | {}", words(said))
        }
        StatedRelation::Bound { what, than, figure } => {
            format!("{} | {than:?} | {}", words(what), at(figure))
        }
        StatedRelation::Grew { what, by, is_more } => {
            let way = if *is_more { "more" } else { "less" };
            format!("{} | {way} by {}", words(what), at(by))
        }
        StatedRelation::Share { who, factor, is_kept } => {
            let kept = if *is_kept { "keeps" } else { "spends" };
            format!("{} | {kept} {:.2} to {:.2}", words(who), factor.low, factor.high)
        }
        _ => return None,
    })
}

fn of_rooms(relation: &StatedRelation) -> String {
    match relation {
        StatedRelation::Before { first, then } => {
            format!("{} | before | {}", words(first), words(then))
        }
        StatedRelation::Parts { said, .. } => format!("parts | {}", words(said)),
        StatedRelation::Pushes { said, told } => {
            let heading = told.heading;
            format!("pushes {heading:?} | {}", words(said))
        }
        StatedRelation::Joins { said, flow, .. } => format!("{flow:?} | {}", words(said)),
        StatedRelation::Sequence { steps, .. } => {
            steps.iter().map(words).collect::<Vec<_>>().join(" | ")
        }
        StatedRelation::During { state, what, is_open } => {
            let standing = if *is_open { "open" } else { "shut" };
            format!("{} | {standing} | {}", words(state), words(what))
        }
        StatedRelation::Ring { seal, was, size } => {
            format!("{} | {} | {size}", words(seal), was.as_deref().unwrap_or_default())
        }
        _ => String::new(),
    }
}

#[test]
fn what_has_no_form_of_its_own_is_still_seen_as_a_statement() {
    let frames = |text: &str| {
        let told = read(text).into_iter().find_map(|found| match found.relation {
            StatedRelation::Asserted { frames, .. } => Some(format!("{frames:?}")),
            _ => None,
        });
        told.unwrap_or_default()
    };
    for (text, expected) in [
        ("The sleeve stops short because the spring is weak.", "Cause"),
        ("Once the inlet shuts, the plunger creeps home.", "Order"),
        ("The gland is squeezed by two clips.", "Count"),
        ("Gorse has the stiffest hose of the three.", "Count"),
        ("The plunger's air is let into the sump.", "Doing"),
        ("The inlet stands open.", "Standing"),
        ("Replace the gland before the spring.", ""),
        ("Perhaps the inlet stands open.", ""),
        ("Does the inlet stand open?", ""),
        ("You open the inlet first.", ""),
        ("The larger the inlet, the sooner it is over.", ""),
        ("Would that the inlet stood open!", ""),
        ("Pump on to 120 and you'd need twice the strokes.", ""),
    ] {
        let found = frames(text);
        assert!(found.contains(expected), "{text} {found}");
        assert_eq!(found.is_empty(), expected.is_empty(), "{text} {found}");
    }
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
        ("Its rail is every bit as long as that of Gorse.", "rail | just as long | gorse"),
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
        ("Gorse and Elder have the same barrel bore.", "alike | gorse elder barrel bore"),
        ("Gorse has the same barrel bore as Elder.", "alike | gorse barrel bore elder"),
    ] {
        assert_eq!(shown(text), [expected], "{text}");
    }
}

#[test]
fn seals_pushes_and_orders_are_read() {
    for (text, expected) in [
        ("The lid ring keeps the dome from the throat.", "parts | lid ring keep dome throat"),
        (
            "Between the dome and the throat there is nothing but the lid ring.",
            "parts | between dome throat nothing lid ring",
        ),
        ("The coil pushes the plunger back.", "pushes BackHome | coil pushe plunger back"),
        (
            "The plunger is pressed forward by the air in the dome.",
            "pushes Forward | plunger pressed forward air dome",
        ),
        (
            "The lid lifts before the plunger leaves its stop.",
            "lid lift | before | plunger leave stop",
        ),
        (
            "The plunger does not stir until the lid has lifted.",
            "lid lifted | before | plunger not stir",
        ),
        ("Once the lid has shut, the dome fills.", "lid shut | before | dome fill"),
        ("The lid lifts earlier than the plunger leaves.", "lid lift | before | plunger leave"),
        ("No sooner has the lid lifted than the dome fills.", "lid lifted | before | dome fill"),
    ] {
        let found = shown(text);
        assert!(found.contains(&expected.to_owned()), "{text}: {found:?}");
    }
}

#[test]
fn ring_sizes_are_read() {
    for (text, expected) in [
        ("The lid ring is a -110.", "lid ring |  | 110"),
        ("The lid ring, a -110, is soft.", "lid ring |  | 110"),
        ("The rear cap is sealed by a -018.", "rear cap |  | 018"),
        ("A -012 seals the plunger.", "plunger |  | 012"),
        ("For Gorse the lid ring went from a -110 to a -112.", "gorse lid ring went | 110 | 112"),
    ] {
        assert_eq!(shown(text).first().map(String::as_str), Some(expected), "{text}");
    }
    let both = shown("The lid ring, a -110, separates the dome from the throat.");
    assert!(both.contains(&"lid ring |  | 110".to_owned()), "{both:?}");
    assert!(both.contains(&"parts | lid ring 110 separate dome throat".to_owned()), "{both:?}");
    for text in ["The lid ring is larger than a -110.", "The lid ring is not a -110."] {
        assert_eq!(shown(text), Vec::<String>::new(), "{text}");
    }
}

#[test]
fn bounds_counts_and_shares_are_read() {
    for (text, expected) in [
        ("The plunger weighs less than 25 g.", "plunger weigh | Less | 25 g"),
        ("The plunger weighs no more than 25 g.", "plunger weigh | NotMore | 25 g"),
        ("The dwell stays within 10 ms.", "dwell stay | NotMore | 10 ms"),
        ("Gorse's dart does 58 m/s at the least.", "gorse dart | NotLess | 58 m/s"),
        ("At least 60 m/s is what Gorse delivers.", "what gorse deliver | NotLess | 60 m/s"),
        (
            "The dart leaves at no less than sixty metres a second.",
            "dart leave | NotLess | sixty metres a second",
        ),
        ("Gorse has two pilot valves.", "2 | gorse pilot valve"),
        ("Five rings are fitted in Gorse.", "5 | ring fitted gorse"),
        ("Gorse has no hammer.", "0 | gorse hammer"),
        ("Gorse keeps two thirds of its air.", "gorse keep two third air | keeps 0.63 to 0.70"),
        (
            "More than a third of the air of Gorse goes with each shot.",
            "more third air gorse goe each shot | spends 0.33 to inf",
        ),
        ("The plunger grew by 2 mm.", "plunger | more by 2 mm"),
    ] {
        let found = shown(text);
        assert_eq!(found.first().map(String::as_str), Some(expected), "{text}");
    }
}

#[test]
fn states_sequences_and_ways_are_read() {
    for (text, expected) in [
        ("While the plunger is home, the hole is shut.", "plunger home | shut | hole shut"),
        ("The hole is open as long as the plunger is back.", "plunger back | open | hole open"),
        (
            "First the lid lifts, then the plunger leaves, and only then the dome empties.",
            "first lid lift | plunger leave | dome emptie",
        ),
        (
            "The lid lifts, the plunger leaves, the dome empties.",
            "lid lift | plunger leave | dome emptie",
        ),
        (
            "The leap of the plunger follows the lifting of the lid.",
            "lifting lid | before | leap plunger",
        ),
        (
            "Line air reaches the dome through the hole.",
            "Reaches | line air reache dome through hole",
        ),
        (
            "What keeps the dome from the throat is the lid ring.",
            "parts | what keep dome throat lid ring",
        ),
        ("The dome is kept from the throat by the lid ring.", "parts | dome kept throat lid ring"),
        (
            "The lid ring sits between the dome and the throat.",
            "parts | lid ring sit between dome throat",
        ),
    ] {
        assert_eq!(shown(text).first().map(String::as_str), Some(expected), "{text}");
    }
}

#[test]
fn what_is_not_claimed_is_not_read() {
    for text in [
        "Is the sleeve longer than the plunger?",
        "A longer sleeve would be heavier than the plunger.",
        "Suppose the sleeve were twice as long as the plunger.",
        "Check the ring before every tenth shot, more or less.",
        "It is second to none, and quieter than most.",
        "If the lid sticks, the dome fills before the plunger moves.",
        "With a heavier plunger the lid could lift farther.",
        "Take two rings and keep half of the air for later.",
        "Should it weigh more than 25 g, send it back.",
    ] {
        assert_eq!(shown(text), Vec::<String>::new(), "{text}");
    }
}
