//! Names that only help to say what a figure is of: a share of what they name ("a third of the
//! bore"), or the room between two things ("between stem and bore").

use super::evidence::names_quantity;
use crate::folio::cues::Cue;
use crate::folio::meaning::plain;
use crate::folio::words::TextWord;
use crate::proof::prose::PageContext;
use crate::statement::{Role, chooses, describes, is_light, may};
use crate::text::Span;

/// Words before "of the …", or before "the …", that take a part or a multiple of it, as a formula
/// writes it.
const SHARES: [(&str, &str); 13] = [
    ("half", "/ 2"),
    ("third", "/ 3"),
    ("quarter", "/ 4"),
    ("fourth", "/ 4"),
    ("fifth", "/ 5"),
    ("sixth", "/ 6"),
    ("eighth", "/ 8"),
    ("tenth", "/ 10"),
    ("hundredth", "/ 100"),
    ("twice", "* 2"),
    ("double", "* 2"),
    ("thrice", "* 3"),
    ("treble", "* 3"),
];
/// As many words stand between a share and its figure.
const NEAR: usize = 2;
/// Words within which the two ends of a room are named.
const PAIR: usize = 8;

/// Whether a name stands in a phrase for something else than what it names. `figures` are spans
/// that are no words.
pub(super) fn names_another(text: &str, words: &[TextWord], cue: &Cue, figures: &[Span]) -> bool {
    let Some(before) = words.get(..cue.first) else { return false };
    share(before).is_some()
        || is_whole(text, before)
        || is_end(text, words, cue, figures)
        || is_of_compound(text, words, cue, figures)
}

/// "Piston **seal**: 2.6 mm", "barrel **wall** 2 mm": a noun right behind a name makes it that of
/// another thing.
fn is_of_compound(text: &str, words: &[TextWord], cue: &Cue, figures: &[Span]) -> bool {
    let (Some(noun), Some(last)) = (words.get(cue.last), words.get(cue.last.wrapping_sub(1)))
    else {
        return false;
    };
    let is_joined = &text[last.span.end..noun.span.start] == " " && !last.possessive;
    let behind = &text[noun.span.end..];
    let next = noun.span.end + behind.len() - behind.trim_start().len();
    let is_figure = figures.binary_search_by_key(&next, |figure| figure.start).is_ok();
    let is_said = behind.starts_with([':', ',', '.', ';', ')'])
        || is_figure
        || words.get(cue.last + 1).is_some_and(|next| {
            let is_beside = &text[noun.span.end..next.span.start] == " ";
            is_beside && (may(&next.stem, Role::Be) || is_light(&next.stem))
        })
        || behind.is_empty();
    let typed = &text[noun.span.start..noun.span.end];
    let is_typed =
        typed.bytes().all(|b| b.is_ascii_lowercase()) && 2 < typed.len() || typed == "OD";
    let is_noun = is_typed
        && !typed.ends_with('s')
        && !describes(&noun.stem)
        && (!is_light(&noun.stem) || ENDS.contains(&typed))
        && !NO_NOUNS.iter().any(|role| may(&noun.stem, *role));
    let is_size = SIZES.contains(&typed) || names_quantity(&noun.stem);
    is_joined && is_said && is_noun && !is_size
}

/// Whether a word, in its plain form, stands in a name of an entry.
pub(super) fn is_in_name(named: (usize, usize), word: &str, context: &PageContext<'_>) -> bool {
    context.folio.cues.names(named.0, named.1).iter().flatten().any(|known| plain(known) == word)
}

/// "Hammer **bore**", where the bore is that of the barrel: a part of something else, by the word
/// right before.
pub(super) fn is_of_another_part(
    text: &str,
    words: &[TextWord],
    cue: &Cue,
    context: &PageContext<'_>,
) -> bool {
    let Some(before) = cue.first.checked_sub(1).and_then(|at| words.get(at)) else { return false };
    let lexicon = context.lexicon();
    let word = plain(&before.stem);
    &text[before.span.end..cue.span.start] == " "
        && !is_light(&before.stem)
        && !describes(&before.stem)
        && !NO_NOUNS.iter().any(|role| may(&before.stem, *role))
        && lexicon.knows(word)
        && !names_quantity(word)
        && !is_in_name((cue.sheet, cue.entry), word, context)
}

/// Roles of words that are no nouns.
const NO_NOUNS: [Role; 8] = [
    Role::Verb,
    Role::Moves,
    Role::Be,
    Role::Have,
    Role::Cardinal,
    Role::Glue,
    Role::Plain,
    Role::Comparative,
];
/// Words for a place on what is named.
const ENDS: [&str; 6] = ["end", "start", "top", "bottom", "front", "rear"];
/// Words behind a name for what it names itself.
const SIZES: [&str; 14] = [
    "average", "mean", "nominal", "maximum", "minimum", "size", "value", "figure", "rating",
    "setting", "reading", "spec", "itself", "alone",
];

/// "**Of the stroke** 2 mm is lost": what is said of a part.
fn is_whole(text: &str, before: &[TextWord]) -> bool {
    let [.., of, the] = before else { return false };
    let start = text[..of.span.start].trim_end();
    of.stem == "of" && the.stem == "the" && (start.is_empty() || start.ends_with(['.', ';', ',']))
}

/// How far a phrase leaves open that it means another thing of the name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Definiteness {
    Definite,
    /// "A bore of 2 mm" may be another one than the bore.
    Indefinite,
    /// "A thin stem" is hardly the stem.
    OfAnother,
}

/// Words for what is not the one at hand.
const OTHERS: [&str; 6] = ["old", "other", "previous", "former", "another", "original"];

/// How the phrase of a name begins.
pub(super) fn definiteness(words: &[TextWord], cue: &Cue) -> Definiteness {
    let stem = |far: usize| {
        let at = cue.first.checked_sub(far)?;
        words.get(at).map(|word| word.stem.as_str())
    };
    let is_article = |word: Option<&str>| matches!(word, Some("a" | "an"));
    match stem(1) {
        article if is_article(article) => Definiteness::Indefinite,
        Some(word) if !is_light(word) && is_article(stem(2)) => Definiteness::OfAnother,
        // "The first disc", "her old disc": there are others.
        Some(word) if chooses(word) || OTHERS.contains(&word) => Definiteness::OfAnother,
        _ => Definiteness::Definite,
    }
}

/// "A third of the …", "half the …", "twice the …": what is done to what is named behind it, and
/// whether there are several of it ("two thirds").
fn share(before: &[TextWord]) -> Option<(&'static str, bool)> {
    let mut ahead = before.iter().rev().map(|word| word.stem.as_str()).peekable();
    ahead.next_if(|word| ["the", "it", "its", "their", "this", "that"].contains(word));
    ahead.next_if_eq(&"of");
    let word = ahead.next()?;
    let (_, formula) = SHARES.iter().find(|(known, _)| *known == word)?;
    let is_several = |word| word != "one" && may(word, Role::Cardinal);
    Some((formula, ahead.next().is_some_and(is_several)))
}

/// The share that stands right beside a figure, in words: "a quarter of the bore, 3.1 mm".
pub(super) fn share_beside(
    text: &str,
    words: &[TextWord],
    cues: &[Cue],
    figure: Span,
) -> Option<((usize, usize), &'static str)> {
    // The last word that says something is that of the name.
    let before = &words[..words.partition_point(|word| word.span.end <= figure.start)];
    let last = before.iter().rev().take(NEAR + 1).find(|word| !is_light(&word.stem))?;
    let cue = cues.iter().rev().find(|cue| cue.span.end == last.span.end)?;
    if text[last.span.end..figure.start].contains([';', '.']) {
        return None;
    }
    let (formula, is_several) = share(words.get(..cue.first)?)?;
    (!is_several).then_some(((cue.sheet, cue.entry), formula))
}

/// "Between … and …" around a name or before it, with no figure among them.
fn is_end(text: &str, words: &[TextWord], cue: &Cue, figures: &[Span]) -> bool {
    let from = cue.first.saturating_sub(PAIR);
    let Some(opens) = words[from..cue.first].iter().rposition(|word| word.stem == "between") else {
        return false;
    };
    let opens = from + opens;
    let Some(joins) = words.iter().skip(opens).take(PAIR).position(|word| word.stem == "and")
    else {
        return false;
    };
    let joins = &words[opens + joins];
    let ends = cue.span.end.max(joins.span.end);
    let phrase = Span::new(words[opens].span.start, ends);
    let is_near = joins.span.end <= cue.span.start
        || words
            .iter()
            .filter(|word| cue.span.end <= word.span.start)
            .take(2)
            .any(|word| word.span == joins.span);
    is_near
        && !text[phrase.start..phrase.end].contains([',', ';', ':', '.'])
        && !figures.iter().any(|figure| phrase.contains(*figure))
}
