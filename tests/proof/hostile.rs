//! Whatever is typed, the answer is a page and its slips: no panic, no end of memory, no waiting.

use super::support::Texts;
use gaugebook::slip::Slip;
use proptest::prelude::*;
use std::path::Path;

const FRONT: &str = "---\ntitle: Rowan\nengine: rowan\nsources: {bench: {kind: measured}}\n\
                     readings_from: bench\nreadings:\n  operating_pressure: 128 psi\n  \
                     metering_bore: 0.90 mm\nderived:\n  metering_area: circle_area(metering_bore)\n";

/// Judges every page of a folio whose only page has this front matter and body.
fn judged(front: &str, body: &str) -> Vec<Slip> {
    let mut texts =
        Texts { imprint: "title: Test bench\npressure: gauge\n".to_owned(), ..Texts::default() };
    texts.pages.insert("content/rowan.md".to_owned(), format!("{front}---\n\n{body}\n"));
    all(&texts)
}

fn all(texts: &Texts) -> Vec<Slip> {
    let (folio, mut slips) = texts.index();
    for page in &folio.pages {
        slips.extend(texts.judge(&folio, &page.name).slips);
    }
    for slip in &slips {
        let _ = gaugebook::slip::render(slip, gaugebook::slip::Paint::plain());
    }
    slips
}

fn codes(slips: &[Slip]) -> Vec<&'static str> {
    let mut codes: Vec<&str> = slips.iter().map(|slip| slip.code).collect();
    codes.sort_unstable();
    codes.dedup();
    codes
}

#[test]
fn thousands_of_figures_in_one_sentence_are_read() {
    let many = "and an operating pressure of 128 psi ".repeat(3_000);
    // Each stands beside its name, however many there are.
    assert!(judged(FRONT, &format!("It has {many}.")).is_empty());
    let names = "operating pressure metering bore ".repeat(3_000);
    assert!(judged(FRONT, &format!("{names} 128 psi and 0.90 mm.")).is_empty());
    let bound = "[128 psi](by:operating_pressure) ".repeat(3_000);
    assert!(judged(FRONT, &bound).is_empty());
}

#[test]
fn a_page_as_large_as_a_page_may_be_is_judged() {
    let sentence = "The operating pressure is 128 psi (8.83 bar), the metering bore 0.90 mm. ";
    let paragraph = sentence.repeat(8);
    let page = format!("{paragraph}\n\n").repeat(120_000 / paragraph.len());
    assert!(judged(FRONT, &page).is_empty());
    let one = sentence.repeat(60_000 / sentence.len());
    assert!(judged(FRONT, &one).is_empty());
}

#[test]
fn deep_nesting_is_survived() {
    for body in [
        "> ".repeat(5_000) + "128 psi",
        "- ".repeat(5_000) + "128 psi",
        "*".repeat(20_000) + "128 psi",
        "[".repeat(20_000) + "128 psi",
        "![".repeat(10_000) + "128 psi",
        "(".repeat(20_000) + "128 psi",
        "`".repeat(20_000),
        "#".repeat(20_000),
        "| a ".repeat(5_000)
            + "|\n"
            + &"|---".repeat(5_000)
            + "|\n"
            + &"| 1 mm ".repeat(5_000)
            + "|\n",
        "[^1]: ".repeat(3_000),
        "a\n: ".repeat(3_000),
        "1. ".repeat(3_000) + "128 psi",
        "[x](<by: ".repeat(3_000),
    ] {
        judged(FRONT, &body);
    }
}

#[test]
fn templates_without_end_are_stopped() {
    for body in [
        "{% for a in range(100000) %}{% for b in range(100000) %}x{% endfor %}{% endfor %}",
        "{% macro f() %}{{ f() }}{% endmacro %}{{ f() }}",
        "{{ 'x' * 1000000000 }}",
        "{{ [1] * 1000000000 }}",
        "{{ 10 ** 100000000 }}",
        "{% set n = namespace(x='aaaaaaaaaa') %}\
         {% for i in range(60) %}{% set n.x = n.x ~ n.x %}{% endfor %}{{ n.x }}",
        "{% for i in range(99999) %}{{ 'many words and more of them, ' * 99 }}{% endfor %}",
        &format!("{{% for i in range(9999) %}}{}{{% endfor %}}", "words ".repeat(20_000)),
        &"{{ 'x' * 90000000 }}".repeat(2_000),
        &format!("{{{{ 'x'{} }}}}", "|replace('x', 'xxxxxxxxxxxxxxxxxxxxxxxxxxx')".repeat(40)),
        &format!("{{% set a = 'xxxxxxxxxx' %}}{}", "{% set a = a ~ a %}".repeat(60)),
        "{{ reckon('1 mm ^ 999999999') }}",
        "{{ reckon('2 ^ 2 ^ 2 ^ 2 ^ 2 ^ 2 ^ 2') }}",
        "{% include 'content/rowan.md' %}",
        "{{ self }}",
        "{{ metering_bore.a.b.c }}",
        "{{ metering_bore + 1 }}",
        "{{",
        "{%",
        "{% endfor %}",
        "{{ metering_bore | as('kPa') }}",
        "{{ metering_bore | as(3) }}",
    ] {
        assert_eq!(codes(&judged(FRONT, body)), ["template-fault"], "{body}");
    }
}

#[test]
fn what_a_template_cannot_work_out_is_told_in_our_words() {
    for (sum, told) in [
        ("1 // 0", "`1 // 0` cannot be worked out"),
        ("'a' + 1", "`'a' + 1` cannot be worked out"),
        ("range('a')", "`range('a')` cannot be worked out"),
    ] {
        let slips = judged(FRONT, &format!("{{{{ {sum} }}}}"));
        assert!(slips.iter().any(|slip| slip.message == told), "{sum}: {slips:?}");
    }
}

#[test]
fn monstrous_numbers_are_told_and_not_worked_with() {
    let nines = "9".repeat(100_000);
    for text in [
        format!("The metering bore is {nines} mm."),
        "The metering bore is 1e999999999 mm.".to_owned(),
        "The metering bore is 1×10^999999 mm.".to_owned(),
        format!("The metering bore is 0.{nines} mm."),
        format!("The metering bore is 1/{nines} in."),
        format!("[{nines} mm](by:metering_bore)"),
        "[1 mm](<by: metering_bore ^ 999999999>)".to_owned(),
        "[1 mm](<by: 9^9^9^9^9 * metering_bore>)".to_owned(),
        format!("[1 mm](<by: {}metering_bore{}>)", "(".repeat(20_000), ")".repeat(20_000)),
        format!("[1 mm](<by: {}metering_bore>)", "-".repeat(20_000)),
        format!("[1 mm](<by: metering_bore{}>)", " + metering_bore".repeat(5_000)),
        format!("[1 mm](<by: {}metering_bore{}>)", "sqrt(".repeat(5_000), ")".repeat(5_000)),
    ] {
        let slips = judged(FRONT, &text);
        assert!(!slips.is_empty(), "{}", &text[..text.len().min(60)]);
    }
}

#[test]
fn front_matter_of_junk_is_told() {
    for more in [
        "readings: [[[[[[]]]]]]\n".to_owned(),
        format!("readings: {}\n", "[".repeat(20_000)),
        format!("family: {}\n", "{a: ".repeat(20_000)),
        "family: &a [*a]\n".to_owned(),
        format!("called: {}\n", "x ".repeat(100_000)),
        (0..19_000).map(|at| format!("k{at}: 1\n")).collect::<String>(),
        "derived: {a: b, b: c, c: a}\n".to_owned(),
        "family: !!binary abc\n".to_owned(),
        "family: \"\\uD800\"\n".to_owned(),
        "? [a, b]\n: c\n".to_owned(),
    ] {
        let front = format!("---\ntitle: Rowan\n{more}");
        assert!(!judged(&front, "Text.").is_empty(), "{}", &front[..front.len().min(60)]);
    }
}

/// Engines that lean on one another in a long chain, in a ring, and by borrowing.
#[test]
fn a_thousand_engines_that_need_each_other_are_judged() {
    let mut texts =
        Texts { imprint: "title: Test bench\npressure: gauge\n".to_owned(), ..Texts::default() };
    let count = 1_000;
    for at in 0..count {
        let (before, next) = ((at + count - 1) % count, (at + 1) % count);
        let chain = if at == 0 { "1 mm".to_owned() } else { format!("e{before}.chain + 1 mm") };
        let page = format!(
            "---\ntitle: E{at}\nengine: e{at}\nsources: {{b: {{kind: measured}}}}\n\
             readings_from: b\nreadings:\n  bore: {{like: e{next}}}\n  own: 1.{at:03} mm\n\
             derived:\n  chain: {chain}\n  ring: e{next}.ring * 1\n---\n\nIts own is 1.{at:03} mm.\n"
        );
        texts.pages.insert(format!("content/e{at:04}.md"), page);
    }
    let slips = all(&texts);
    let loops = slips.iter().filter(|slip| slip.code == "formula-loop").count();
    // The ring of formulas, and that of borrowed readings.
    assert_eq!(loops, 2, "{:?}", codes(&slips));
}

/// A page of the demo folio with a few random edits.
fn broken() -> impl Strategy<Value = (usize, Vec<(prop::sample::Index, prop::sample::Index, usize)>)>
{
    let edit = (any::<prop::sample::Index>(), any::<prop::sample::Index>(), 0..14usize);
    (0..8usize, prop::collection::vec(edit, 1..6))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 16, ..ProptestConfig::default() })]

    #[test]
    fn a_broken_page_is_judged((page, edits) in broken()) {
        let mut texts = Texts::load(Path::new(env!("CARGO_MANIFEST_DIR")));
        let name = texts.pages.keys().nth(page % texts.pages.len()).unwrap().clone();
        let mut chars: Vec<char> = texts.pages[&name].chars().collect();
        for (at, other, what) in edits {
            let (at, other) = (at.index(chars.len()), other.index(chars.len()));
            let odd = ["9", ".", "-", "±", "{{", "%}", "](by:", "\"", "\n", "|", "é", "(", ": ", "\u{feff}"];
            if what < 4 {
                let end = (at + 1 + other % 30).min(chars.len());
                let piece: Vec<char> = chars.drain(at..end).collect();
                if what < 2 {
                    let place = other.min(chars.len());
                    chars.splice(place..place, piece);
                }
            } else {
                chars.splice(at..at, odd[what].chars());
            }
        }
        texts.pages.insert(name.clone(), chars.into_iter().collect());
        let (folio, _) = texts.index();
        for slip in texts.judge(&folio, &name).slips {
            prop_assert!(slip.spot.span.end <= slip.spot.source.text.len());
            let _ = gaugebook::slip::render(&slip, gaugebook::slip::Paint::plain());
        }
    }
}

#[test]
fn long_expressions_and_chains_of_choices_are_slips() {
    let terms = |one: &str| format!("It is {{{{ {}1 }}}}.", one.repeat(8_000));
    for one in ["1+", "not ", "-", "a.", "(", "[", "1|abs|", "1~", "1 and ", "1 if 1 else "] {
        assert_eq!(codes(&judged(FRONT, &terms(one))), ["template-fault"], "{one}");
    }
    let choices = format!("{{% if 0 %}}{}{{% endif %}}", "{% elif 0 %}".repeat(2_100));
    assert_eq!(codes(&judged(FRONT, &choices)), ["template-fault"]);
}

#[test]
fn thousands_of_equal_headings_are_read() {
    let body = "{% for i in range(6000) %}\n## a\n{% endfor %}";
    assert!(judged(FRONT, body).iter().all(|slip| slip.code == "reading-unused"));
}
