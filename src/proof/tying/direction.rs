//! Which way a difference goes: "the plug is **lighter** than the sabot by 12 g", "1.2 bar
//! **above** the set pressure". The figure says what is set against what; words say which of the
//! two is meant to be more.

use super::TiedLine;
use super::background::StatedFigure;
use super::mentions::Owner;
use super::supposed::supposed;
use crate::folio::meaning::{content_words, plain};
use crate::folio::words::TextWord;
use crate::proof::checks::relation::statement_false;
use crate::proof::checks::unused::Named;
use crate::proof::figure::{JudgedFigure, PassageProof, Status};
use crate::proof::passage::Passage;
use crate::proof::prose::PageContext;
use crate::quantity::{Amount, Dimension, Figure};
use crate::slip::Slip;
use crate::statement::{Role, Sense, comparative, may};
use crate::text::{Span, SpanSet};
use std::ops::Range;

/// Words between a figure and the word that compares.
const NEAR: usize = 9;
/// Words between a word that compares and the figure behind it: "quieter by some 5 dB".
const BY: usize = 3;
/// Words in which that which something is compared with is named.
const STANDARD: usize = 6;

/// Holds what figures state `here`, in a sentence, against the words that say which way it goes;
/// what statements have settled is left to them. `engine` is what the text before is about, where
/// the page is about several.
pub(super) fn judge(
    passage: &Passage<'_>,
    line: &TiedLine<'_>,
    here: &[(Span, StatedFigure)],
    settled: &SpanSet,
    (engine, context): (Option<usize>, &PageContext<'_>),
    proof: &mut PassageProof,
) {
    for (span, figure) in here.iter().filter(|(span, _)| !settled.overlaps(*span)) {
        let (span, Some(pair)) = (*span, parts(figure, context)) else { continue };
        let told =
            said(line, span, pair, (engine, context)).or_else(|| of_two(line, span, pair, context));
        let Some((at, sense, standard)) = told else { continue };
        let other = if standard == pair[0] { pair[1] } else { pair[0] };
        let (Some(one), Some(two)) = (worth(other, context), worth(standard, context)) else {
            continue;
        };
        let is_more = two < one;
        let is_refused =
            || proof.slips.iter().any(|slip| slip.spot.span.overlaps(passage.spot(span).span));
        let holds = one == two || is_more == (sense == Sense::Up);
        if holds || supposed(passage.text, span).is_some() || is_refused() {
            continue;
        }
        let word = line.words[at].span;
        let word = Span::new(word.start - line.shift, word.end - line.shift);
        let name = |named| super::name_in_formulas(context, named);
        let way = if is_more { "more" } else { "less" };
        let reason = format!("{} is {way} than {}", name(other), name(standard));
        let spot = passage.spot(word);
        // What a figure is only proposed to be refutes nothing.
        let mut figures = proof.figures.iter().filter(|figure| figure.span == span);
        let slip = match figures.any(|figure| figure.status == Status::Untied) {
            true => Slip::mark("near-miss", spot, format!("did you mean the other way? {reason}")),
            false => statement_false(spot, &passage.text[word.start..word.end], reason),
        };
        proof.slips.push(slip);
    }
}

/// "It drops to 84 psi, well **below** the 60 psi at which it shuts": two figures of which words
/// say which is more, as they are written.
pub(super) fn of_figures(passage: &Passage<'_>, proof: &mut PassageProof) {
    let mut here: Vec<&JudgedFigure> = proof.figures.iter().collect();
    here.sort_by_key(|figure| figure.span);
    let mut told = Vec::new();
    for pair in here.windows(2) {
        let [one, other] = pair else { continue };
        let gap = Span::new(one.span.end, other.span.start.max(one.span.end));
        let Some((word, sense)) = set_apart(&passage.text[gap.start..gap.end]) else { continue };
        let (Some(a), Some(b)) = (as_stated(&one.figure), as_stated(&other.figure)) else {
            continue;
        };
        let is_alike = one.figure.unit.dimension == other.figure.unit.dimension
            && one.figure.reference == other.figure.reference
            && one.figure.unit.dimension != Dimension::NONE;
        let holds = if sense == Sense::Up { b <= a } else { a <= b };
        if is_alike && !holds && supposed(passage.text, one.span).is_none() {
            let spot = passage.spot(word.shifted(gap.start));
            let written = |it: &JudgedFigure| &passage.text[it.span.start..it.span.end];
            let way = if a < b { "less" } else { "more" };
            let told_of = format!("{} is {way} than {}", written(one), written(other));
            let message = format!("did you mean the other way? {told_of}");
            told.push(Slip::mark("near-miss", spot, message));
        }
    }
    proof.slips.extend(told);
}

/// A figure's value in SI, where it is one number.
fn as_stated(figure: &Figure) -> Option<f64> {
    let Amount::Point(number) = &figure.amount else { return None };
    let is_plain = figure.bound.is_none() && figure.comparison.is_none();
    is_plain.then(|| figure.unit.to_si(&number.value().into()).to_f64())
}

/// The word between two figures that says which is more, and nothing beside it: ", well above the".
fn set_apart(gap: &str) -> Option<(Span, Sense)> {
    let behind = gap.trim_start_matches([')', ']']);
    let clause = behind.strip_prefix(',').or_else(|| behind.strip_prefix(" is"))?;
    let ahead = gap.len() - clause.len();
    let mut found = None;
    let mut at = 0;
    for word in clause.split_whitespace() {
        at += clause[at..].find(word)?;
        let span = Span::new(ahead + at, ahead + at + word.len());
        at += word.len();
        match word {
            "above" if found.is_none() => found = Some((span, Sense::Up)),
            "below" | "under" if found.is_none() => found = Some((span, Sense::Down)),
            "the" | "its" | "our" if found.is_some() => {}
            "which" | "is" | "well" | "far" | "just" | "still" | "safely" | "comfortably"
            | "so" | "and"
                if found.is_none() => {}
            _ => return None,
        }
    }
    found
}

fn worth((sheet, entry): Named, context: &PageContext<'_>) -> Option<f64> {
    Some(context.folio.ledger.nominal(sheet, entry)?.quantity.si.to_f64())
}

/// The two entries whose difference, or share more or less, a figure states.
fn parts(figure: &StatedFigure, context: &PageContext<'_>) -> Option<[Named; 2]> {
    let ledger = &context.folio.ledger;
    let (formula, sheet) = match figure {
        StatedFigure::Formula(formula) => {
            (crate::formula::parse(formula).ok()?, context.sheet.unwrap_or(usize::MAX))
        }
        StatedFigure::Entry((sheet, entry)) => {
            let derived = ledger.sheets[*sheet].entries[*entry].derived()?;
            (derived.formula.clone()?, *sheet)
        }
    };
    let named = |path: &[String]| {
        let path: Vec<&str> = path.iter().map(String::as_str).collect();
        ledger.resolve(sheet, &path).map(|(sheet, entry, _)| (sheet, entry))
    };
    let [one, other] = formula.apart()?.map(named);
    Some([one?, other?])
}

/// The word that compares, which way it leans, and what it compares with: what is named behind
/// "than", else the other one of that which the clause speaks of.
fn said(
    line: &TiedLine<'_>,
    figure: Span,
    pair: [Named; 2],
    (engine, context): (Option<usize>, &PageContext<'_>),
) -> Option<(usize, Sense, Named)> {
    let place = figure;
    let figure = figure.shifted(line.shift);
    let dimension = context.folio.ledger.nominal(pair[0].0, pair[0].1)?.quantity.dimension;
    let words = &line.words;
    let Range { start: middle, end: behind } = words_of(words, figure);
    let is_whole = |from: usize, upto: usize| {
        from <= upto && !line.text[from..upto].contains([';', ':', '.', '?', '!'])
    };
    let first = middle.saturating_sub(NEAR);
    let near = first..(behind + 3).min(words.len());
    let mut found = near.filter(|at| !(middle..behind).contains(at)).filter_map(|at| {
        let word = &words[at];
        let is_near = line.shift <= word.span.start
            && match at < middle {
                true => is_whole(word.span.end, figure.start),
                false => is_whole(figure.end, word.span.start),
            };
        let (sense, standard) = leans(words, at, (middle, behind), dimension)?;
        let denied = words[at.saturating_sub(3)..at].iter().any(|w| may(&w.stem, Role::None));
        (is_near && !denied).then_some((at, sense, standard))
    });
    let (at, sense, standard) = found.next()?;
    // Two words that compare may be of two things.
    if found.next().is_some() {
        return None;
    }
    let than = standard.and_then(|first| {
        let upto = words[first..].iter().take(STANDARD).take_while(|word| {
            let from = words[first - 1].span.end;
            let is_whole = !line.text[from..word.span.start].contains([',', '(', ';']);
            !figure.overlaps(word.span) && is_whole
        });
        named_in(upto, pair, context)
    });
    let clause = clause_before(line, figure.start.min(words[at].span.start));
    let subject = named_in(clause, pair, context);
    let of_engine = || match line.owner_of(place, context).or(engine) {
        Some(engine) => match pair.map(|(sheet, _)| sheet == engine) {
            [true, false] => Some(pair[1]),
            [false, true] => Some(pair[0]),
            _ => None,
        },
        None => None,
    };
    // "The preload is 9 N harder at full load": the other one follows.
    let after = clause_behind(line, figure.end.max(words[at].span.end));
    if standard.is_none() && named_in(after, pair, context).is_some_and(|it| subject != Some(it)) {
        return None;
    }
    let other = |named: Named| if named == pair[0] { pair[1] } else { pair[0] };
    let meant = match (than, subject) {
        // What is set against itself was misread.
        (Some(than), Some(subject)) if than == subject => None,
        (Some(than), _) => Some(than),
        (None, Some(subject)) => Some(other(subject)),
        // Something is named behind "than", and is not known.
        (None, None) if standard.is_some() => None,
        (None, None) => of_engine(),
    };
    Some((at, sense, meant?))
}

/// The words of the clause that ends at `end`, with those of the one before that "which" takes up.
fn clause_before<'l>(
    line: &'l TiedLine<'_>,
    end: usize,
) -> impl Iterator<Item = &'l TextWord> + Clone {
    let text = line.text;
    let opens = |end: usize| {
        let mark = text[line.shift..end].rfind([',', ';', ':', '(', ')']);
        mark.map_or(line.shift, |at| line.shift + at + 1)
    };
    let mut start = opens(end);
    if ["which", "that"].iter().any(|word| text[start..end].trim_start().starts_with(word)) {
        start = opens(start.saturating_sub(1).max(line.shift));
    }
    let words = line.words.iter();
    words.filter(move |word| start <= word.span.start && word.span.end <= end)
}

/// The words up to the end of the clause.
fn clause_behind<'l>(
    line: &'l TiedLine<'_>,
    start: usize,
) -> impl Iterator<Item = &'l TextWord> + Clone {
    let end = line.text[start..].find([',', ';', ':', '(', ')']);
    let end = end.map_or(line.text.len(), |at| start + at);
    line.words.iter().filter(move |word| start <= word.span.start && word.span.end <= end)
}

/// The one of two figures that words name, by words that only its names hold.
fn named_in<'w>(
    words: impl Iterator<Item = &'w TextWord> + Clone,
    pair: [Named; 2],
    context: &PageContext<'_>,
) -> Option<Named> {
    let hits = |one: Named, other: Named| {
        let (own, others) = (name_words(one, context), name_words(other, context));
        let mut words = words.clone();
        words.any(|word| {
            let word = plain(&word.stem);
            own.iter().any(|known| known == word) && !others.iter().any(|known| known == word)
        })
    };
    match (hits(pair[0], pair[1]), hits(pair[1], pair[0])) {
        (true, false) => Some(pair[0]),
        (false, true) => Some(pair[1]),
        _ => None,
    }
}

/// "The Elm weighs 470 g, and the Fir is 90 g lighter": of two engines, the one that is spoken of
/// is set against the other.
fn of_two(
    line: &TiedLine<'_>,
    figure: Span,
    pair: [Named; 2],
    context: &PageContext<'_>,
) -> Option<(usize, Sense, Named)> {
    let figure = figure.shifted(line.shift);
    let words = &line.words;
    let Range { start: first, end: behind } = words_of(words, figure);
    let word = words.get(behind)?;
    let dimension = context.folio.ledger.nominal(pair[0].0, pair[0].1)?.quantity.dimension;
    let sense = comparative(&word.stem)?.sense(dimension)?;
    let ends = line.text[word.span.end..].trim_start();
    let is_closed = ends.is_empty() || ends.starts_with([',', ';', '.', ')']);
    let is_close = line.text[figure.end..word.span.start].trim().is_empty();
    let Owner::Engine(owner) = line.owner_of(figure, context) else { return None };
    let denied = words[first.saturating_sub(4)..first].iter().any(|w| may(&w.stem, Role::None));
    let standard = match pair.map(|(sheet, _)| sheet == owner) {
        [true, false] => pair[1],
        [false, true] => pair[0],
        _ => return None,
    };
    (is_closed && is_close && !denied).then_some((behind, sense, standard))
}

/// The words that a figure is written with.
fn words_of(words: &[TextWord], figure: Span) -> Range<usize> {
    let first = words.partition_point(|word| word.span.end <= figure.start);
    first..first + words[first..].iter().take_while(|word| figure.contains(word.span)).count()
}

/// Which way a word leans that something is compared by, and where that begins with which.
/// `figure` are the places of its words.
fn leans(
    words: &[TextWord],
    at: usize,
    (first, behind): (usize, usize),
    dimension: Dimension,
) -> Option<(Sense, Option<usize>)> {
    let stem = |at: usize| words.get(at).map_or("", |word| word.stem.as_str());
    // "Quieter **by** 5 dB", "up by a quarter".
    let is_by = |from: usize| (from..first).len() <= BY && stem(first.wrapping_sub(1)) == "by";
    match stem(at) {
        "above" => Some((Sense::Up, Some(at + 1))),
        "below" => Some((Sense::Down, Some(at + 1))),
        "short" | "shy" if stem(at + 1) == "of" => Some((Sense::Down, Some(at + 2))),
        "up" if at + 2 == first && is_by(at) => Some((Sense::Up, None)),
        "down" if at + 2 == first && is_by(at) => Some((Sense::Down, None)),
        word => {
            let sense = comparative(word)?.sense(dimension)?;
            if let Some(than) = (at + 1..at + 4).find(|next| stem(*next) == "than") {
                return Some((sense, Some(than + 1)));
            }
            // "A 4 mm longer spring" is of another one.
            let is_article = matches!(stem(first.wrapping_sub(1)), "a" | "an");
            (at == behind && !is_article || at < first && is_by(at)).then_some((sense, None))
        }
    }
}

/// The words of an entry's names, and the engine's where it is of another.
fn name_words((sheet, entry): Named, context: &PageContext<'_>) -> Vec<String> {
    let sheet = &context.folio.ledger.sheets[sheet];
    let engine = sheet.engine.as_deref().filter(|_| !context.compared().is_empty());
    let cues = sheet.entries[entry].cues.iter().map(String::as_str);
    cues.chain(engine).flat_map(content_words).collect()
}
