//! Figures of another thing, another time or another setting than what the words near them name:
//! "barrel wall 2 mm", "the bore was 11 mm back then", "at 3 bar it reaches 11 m/s".

use super::TiedLine;
use super::evidence::names_quantity;
use super::of_group::group_verdict;
use super::sentence::{Meant, NamedWords, Weighing};
use super::within::is_in_name;
use crate::folio::cues::Cue;
use crate::folio::meaning::plain;
use crate::folio::words::TextWord;
use crate::proof::prose::PageContext;
use crate::quantity::exact::to_f64;
use crate::quantity::judge::interval_of;
use crate::quantity::{Dimension, Verdict};
use crate::statement::{Role, describes, is_light, may};
use crate::text::Span;

/// Words that open a sentence with what its figures hold at.
const AT: [&str; 7] = ["at", "with", "below", "above", "under", "from", "on"];
/// Words behind a figure that may say what it is the size of.
const PHRASE: usize = 4;
/// Two words that speak of a former time.
const THEN: [(&str, &str); 10] = [
    ("as", "found"),
    ("as", "received"),
    ("as", "bought"),
    ("as", "supplied"),
    ("when", "new"),
    ("back", "then"),
    ("those", "day"),
    ("early", "day"),
    ("till", "then"),
    ("until", "then"),
];

impl TiedLine<'_> {
    /// Whether it speaks of a former time: "back then", "in those days".
    fn is_of_then(&self) -> bool {
        let is_then = |pair: &[TextWord]| match pair {
            [one, other] => THEN.contains(&(one.stem.as_str(), other.stem.as_str())),
            _ => false,
        };
        self.words.windows(2).any(is_then)
    }

    /// "The earlier one had a bore of 11 mm", on a page of one engine: it speaks of another.
    fn is_of_another_make(&self, context: &PageContext<'_>) -> bool {
        let is_other = |stem: &str| {
            matches!(stem, "other" | "later" | "earlier" | "next")
                || may(stem, Role::Elder)
                || may(stem, Role::Heir)
        };
        let is_make = |stem: &str| {
            matches!(stem, "one" | "model" | "make" | "version" | "type" | "engine" | "maker")
        };
        let words = self.own_words();
        let is_it = |two: &[TextWord]| is_other(&two[0].stem) && is_make(&two[1].stem);
        let is_alone = context.compared().is_empty() && self.mentions.is_empty();
        is_alone && words.windows(2).any(is_it)
    }
}

impl Weighing<'_> {
    /// Whether the sentence speaks of another time or of another engine than the page's.
    pub(super) fn is_of_another_one(&self) -> bool {
        self.line.is_of_then() || self.line.is_of_another_make(self.context)
    }

    /// Whether a figure is the size of some other thing than what an entry is named for: "a bottle
    /// **of** 6 litres", "in steps of 2 bar", "a 0.5 mm shim".
    pub(super) fn is_of_another_thing(&self, row: usize, named: NamedWords) -> bool {
        let (figure, words, text) = (self.spans[row], &self.line.words, self.line.text);
        if self.groups[row].members[0].unit.dimension == Dimension::NONE {
            return false;
        }
        let upto = words.partition_point(|word| word.span.end <= figure.start);
        let stem = |far: usize| Some(words.get(upto.checked_sub(far)?)?.stem.as_str());
        let is_new = |stem: &str| {
            let says = is_light(stem)
                || describes(stem)
                || names_quantity(stem)
                || may(stem, Role::Cardinal);
            !says && !is_in_name(named, plain(stem), self.context)
        };
        match stem(1) {
            Some("a" | "an" | "another") => {
                let from = words.partition_point(|word| word.span.start < figure.end);
                let mut end = figure.end;
                let joined = words[from..].iter().take(PHRASE).take_while(|word| {
                    let is_joined = text[end..word.span.start].trim().is_empty();
                    end = word.span.end;
                    is_joined
                });
                let noun: Vec<&str> = joined.map(|word| word.stem.as_str()).collect();
                noun.first().is_some_and(|first| is_new(first))
                    && !noun.iter().any(|word| is_in_name(named, plain(word), self.context))
            }
            Some("of") => stem(2).is_some_and(is_new),
            _ => false,
        }
    }

    /// "Hammer **bore** 16 mm", ", **wire** 1.4 mm", "**air** weight 31 g": what stands right
    /// before a figure names something, and not this.
    pub(super) fn is_said_of_another(&self, row: usize, named: NamedWords) -> bool {
        let (text, figure, words) = (self.line.text, self.spans[row], &self.line.words);
        let at = words.partition_point(|word| word.span.end <= figure.start);
        let lexicon = self.context.lexicon();
        let is_noun = |word: &TextWord| {
            let says = is_light(&word.stem) || describes(&word.stem);
            !says && !is_in_name(named, plain(&word.stem), self.context)
        };
        let [before @ .., word] = &words[..at] else { return false };
        if !text[word.span.end..figure.start].trim().is_empty() {
            return false;
        }
        let other = before.last();
        let gap = other.map_or(",", |other| &text[other.span.end..word.span.start]);
        if names_quantity(&word.stem) {
            return gap == " " && other.is_some_and(is_noun);
        }
        if is_in_name(named, plain(&word.stem), self.context) {
            let is_other = |word: &TextWord| is_noun(word) && lexicon.knows(plain(&word.stem));
            return gap == " " && other.is_some_and(is_other);
        }
        let is_known = lexicon.knows(plain(&word.stem));
        is_noun(word) && (is_known || gap.contains([',', ';', ':', '.']))
    }

    /// Whether a figure is of the order of an entry's value.
    pub(super) fn is_of_its_size(&self, row: usize, named: NamedWords) -> bool {
        let (low, high) = interval_of(&self.groups[row].members[0]);
        let value = self.context.folio.ledger.nominal(named.0, named.1);
        let value = value.map_or(0.0, |value| value.quantity.si.to_f64());
        to_f64(&low) < 3.0 * value && value < 3.0 * to_f64(&high)
    }

    /// "Adds 8 mL **to the reservoir**": what goes to what is named is no size of it.
    pub(super) fn goes_to(&self, row: usize, cue: &Cue) -> bool {
        let gap = self.line.text.get(self.spans[row].end..cue.span.start).unwrap_or_default();
        let first = gap.trim_start().split(' ').next().unwrap_or_default();
        let behind = &self.line.text[self.spans[row].end..];
        let is_added = behind.starts_with(" to the ") || behind.starts_with(" to its ");
        let goes = matches!(first, "into" | "onto" | "from" | "off");
        is_added || gap.starts_with(' ') && goes
    }

    /// "Reamed **from 3.0 mm** to its present 3.2 mm": what was before it became what an entry is.
    pub(super) fn was_until_changed(&self, row: usize, named: NamedWords) -> bool {
        let (text, own) = (self.line.text, self.spans[row]);
        let Some(next) = self.spans.get(row + 1) else { return false };
        let between = text.get(own.end..next.start).unwrap_or_default();
        let leads = text[..own.start].trim_end().ends_with(" from");
        let goes_on = between.trim_start().starts_with("to ");
        let is_named = |cue: &Cue| {
            let named = (cue.sheet, cue.entry);
            group_verdict(&self.groups[row], named, self.context) == Some(Verdict::Agree)
        };
        leads
            && goes_on
            && !self.cues.iter().any(is_named)
            && !between.contains([',', ';', '.', '('])
            && group_verdict(&self.groups[row + 1], named, self.context) == Some(Verdict::Agree)
    }

    /// "At 3 bar it still reaches 11 m/s": what holds where something is not as it is known to be
    /// need be nothing that is known.
    pub(super) fn under_another_condition(&self, meant: &mut [Meant]) {
        let own = self.line.own_words();
        let Some(first) = self.spans.first() else { return };
        let before = &own[..own.partition_point(|word| word.span.end <= first.start)];
        let opens = before.first().is_some_and(|word| AT.contains(&word.stem.as_str()));
        let is_condition = opens && before.iter().all(|word| is_light(&word.stem));
        let is_other = match &meant[0] {
            Meant::New { .. } => true,
            Meant::Nothing(_, proposals) => proposals.is_empty(),
            _ => false,
        };
        if !is_condition || !is_other {
            return;
        }
        for meant in &mut meant[1..] {
            let is_wrong = match &meant {
                Meant::Entry(tied, ..) => Verdict::Lenient < tied.judgement.verdict,
                Meant::Nearly(..) => true,
                _ => false,
            };
            if is_wrong {
                *meant = Meant::Supposed;
            }
        }
    }

    /// "The weight **incl. full flask** is", "the energy **with the long barrel**": under which
    /// circumstances a name has its figure.
    pub(super) fn is_qualified(&self, row: usize, cue: &Cue) -> bool {
        let (figure, words) = (self.spans[row], &self.line.words);
        let between = words.get(cue.last..).unwrap_or_default();
        let mut before = "";
        between.iter().take_while(|word| word.span.end <= figure.start).any(|word| {
            let stem = word.stem.as_str();
            let is_beside = self.line.text[word.span.end..figure.start].trim().is_empty();
            // "Measured with a gauge" says how it was taken.
            let is_with = stem == "with" && !describes(before) && !is_beside;
            before = stem;
            is_with || matches!(stem, "incl" | "including" | "excluding" | "without" | "plu")
        })
    }

    /// Whether between a name and its figure stand only words that say nothing else: "the range,
    /// measured twice, is", not "the range did not: raisins stop at".
    pub(super) fn is_plainly_said(&self, row: usize, cue: &Cue) -> bool {
        let (figure, text) = (self.spans[row], self.line.text);
        let gap = match cue.span.end <= figure.start {
            true => Span::new(cue.span.end, figure.start),
            false => Span::new(figure.end, cue.span.start.max(figure.end)),
        };
        let between = || self.line.words.iter().filter(|word| gap.contains(word.span));
        let is_other = |word: &TextWord| {
            let roles = [Role::Verb, Role::Be, Role::Have, Role::Glue, Role::Cardinal];
            let is_known = self.figures.iter().any(|it| it.contains(word.span))
                || self.cues.iter().any(|cue| cue.span.contains(word.span));
            let says = is_light(&word.stem) || roles.iter().any(|role| may(&word.stem, *role));
            !is_known && !says && !describes(&word.stem) && !names_quantity(&word.stem)
        };
        let opens = text[gap.start..gap.end].contains([';', ':']) && 1 < between().count();
        // What stands above a column or before a row says of what all of it is.
        cue.span.end <= self.line.shift || !opens && !between().any(is_other)
    }
}
