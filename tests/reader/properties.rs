//! What holds for every text.

use gaugebook::quantity::reader::{ReadOptions, read, read_whole};
use gaugebook::quantity::{Amount, Figure};
use proptest::prelude::*;

fn options() -> impl Strategy<Value = ReadOptions> {
    (any::<bool>(), any::<bool>()).prop_map(|(decimal_comma, spoken)| ReadOptions {
        decimal_comma,
        spoken,
        column_unit: None,
        ..ReadOptions::default()
    })
}

/// Texts made of what figures are made of, so that the interesting paths are met.
fn figure_like() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        "[0-9]{1,4}",
        "[0-9]{0,2}[.,/][0-9]{1,3}",
        Just(" ".to_owned()),
        Just("\u{a0}".to_owned()),
        Just("\n".to_owned()),
        prop::sample::select(vec![
            "psi", "bar", "mm", "in", "in.", "\"", "°C", "%", "±", "(", ")", "(k=2)", "-", "–",
            "\u{2212}", "to", "and", ", ", "between", "from", "about", "~", "≥", "½", "×", "10^3",
            "⁻³", "two", "point", "hundred", "half", "a", "of an", "O-rings", "gauge", "#", "M3",
            "\u{fffc}", "é", "ø", "“", "”", "max", "or", "x", ":1", "times", "e5", "/min",
        ])
        .prop_map(str::to_owned),
    ];
    prop::collection::vec(piece, 0..24).prop_map(|pieces| pieces.concat())
}

fn sound(text: &str, options: &ReadOptions) -> Result<(), TestCaseError> {
    let found = read(text, options);
    let mut before = 0;
    for figure in &found.figures {
        let span = figure.span;
        prop_assert!(before <= span.start && span.start < span.end && span.end <= text.len());
        prop_assert!(text.is_char_boundary(span.start) && text.is_char_boundary(span.end));
        if let Some(noun) = figure.noun {
            prop_assert!(text.get(noun.start..noun.end).is_some_and(|noun| !noun.is_empty()));
        }
        before = span.end;
    }
    for fault in &found.faults {
        prop_assert!(text.get(fault.span.start..fault.span.end).is_some());
    }
    for pair in found.figures.iter().filter_map(|figure| figure.pair) {
        let units: Vec<_> = found
            .figures
            .iter()
            .filter(|figure| figure.pair == Some(pair))
            // "3/64 in (0.047 in)": a fraction may be restated in its own unit.
            .map(|figure| (figure.unit.dimension, &figure.unit.code, is_fraction(figure)))
            .collect();
        prop_assert!(1 < units.len(), "a pair of one");
        for (at, unit) in units.iter().enumerate() {
            prop_assert_eq!(unit.0, units[0].0);
            prop_assert!(!units[..at].contains(unit));
        }
    }
    let again = read(text, options);
    prop_assert_eq!(&again.figures, &found.figures);
    if let Err(fault) = read_whole(text, options) {
        prop_assert!(text.get(fault.span.start..fault.span.end).is_some());
    }
    Ok(())
}

fn is_fraction(figure: &Figure) -> bool {
    matches!(&figure.amount, Amount::Point(number) if number.fraction.is_some())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4000))]

    #[test]
    fn any_text_is_read_soundly(text in any::<String>(), options in options()) {
        sound(&text, &options)?;
    }

    #[test]
    fn texts_full_of_figures_are_read_soundly(text in figure_like(), options in options()) {
        sound(&text, &options)?;
    }
}

/// A fifth of a megabyte of each; a reader that looks back or ahead without limit would not end in
/// a lifetime of tests on one of them.
#[test]
fn hostile_texts_end() {
    let seeds = [
        "1",
        "1,",
        "1 ",
        "1-",
        "1/",
        "1.",
        "-",
        "(",
        "1 (",
        "\"",
        "1 and ",
        "1, 1, ",
        "1 ± ",
        "1 mm (",
        "one ",
        "one hundred and ",
        "a ",
        "point ",
        "in ",
        "1 in ",
        "½",
        "1×10",
        "⁻",
        "a1",
        "://",
        "a@",
        "x ",
        "between 1 and ",
        "about ",
        "2 or ",
        "two small ",
        "1 mm ",
        "1 psi (1 bar, ",
        "0,5 ",
        "9",
        "\u{a0}",
        "\n",
        "1\n",
        "1  ",
        "e9",
        "1e",
        "from 1 to ",
        "1 ratio of ",
        "1:1",
        "12:30",
        "2026-",
        "1 of a ",
        "2 moving ",
    ];
    for seed in seeds {
        let text = seed.repeat(200_000 / seed.len());
        for spoken in [false, true] {
            let found = read(&text, &ReadOptions { spoken, ..ReadOptions::default() });
            assert!(found.figures.len() <= text.len());
        }
    }
}
