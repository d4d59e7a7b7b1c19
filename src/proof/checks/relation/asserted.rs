//! Assertions in forms that no question is made of: counted as not judged where they are about
//! things that are known.

use super::{StatementAnswer, StatementNames, StatementStanding};
use crate::folio::things::Thing;
use crate::statement::{AssertionFrame, Phrase, Role, is_degree, is_light, may};

/// Words behind a number at the most up to the noun that it counts.
const NEAR: usize = 4;

/// What a sentence names, with the places of its words.
struct KnownThings {
    /// Engines.
    engines: usize,
    /// Things of a cutaway, and words of figures' names beside them.
    nouns: Vec<(usize, String)>,
    /// How many of the nouns are things of a cutaway.
    things: usize,
    /// Whether something is named that stands open or shut.
    has_passage: bool,
}

impl StatementNames<'_> {
    /// What is asserted in none of the forms that become a question.
    pub(super) fn asserted(
        &self,
        said: &Phrase,
        frames: &[AssertionFrame],
        is_past: bool,
    ) -> Option<StatementAnswer> {
        let known = self.known_things(said);
        let is_told = |frame: &&AssertionFrame| {
            known.bear(**frame, said) && !(is_past && is_lasting(**frame))
        };
        let frame = *frames.iter().find(is_told)?;
        let mut names: Vec<&str> = known.nouns.iter().map(|(_, name)| name.as_str()).collect();
        names.dedup();
        let names = names.join(", ");
        let about = if names.is_empty() { "an engine".to_owned() } else { names };
        let what = match frame {
            AssertionFrame::Cause => "a cause",
            AssertionFrame::Order => "an order",
            AssertionFrame::Change => "a change",
            AssertionFrame::Bound => "a bound",
            AssertionFrame::Degree => "a comparison",
            AssertionFrame::Count => "a count",
            AssertionFrame::Doing => "what does what",
            AssertionFrame::Standing => "what is open",
        };
        Some(StatementAnswer {
            standing: StatementStanding::Unasked,
            reason: "no question could be made of its words; a claim bound to it asks one"
                .to_owned(),
            question: format!("{what}: {about}"),
        })
    }

    fn known_things(&self, said: &Phrase) -> KnownThings {
        let named = self.engines(said, None);
        let homes: Vec<usize> = match named.as_slice() {
            [] => self.own.into_iter().collect(),
            _ => named.clone(),
        };
        let words = said.words.as_slice();
        let mut known =
            KnownThings { engines: named.len(), nouns: Vec::new(), things: 0, has_passage: false };
        for (routed, _) in homes.iter().filter_map(|home| self.routed_of(*home)) {
            for mention in self.things_in(routed, words) {
                if known.nouns.iter().any(|(at, _)| (mention.first..mention.last).contains(at)) {
                    continue;
                }
                let stems = words[mention.first..mention.last].iter();
                let name = stems.map(|word| word.stem.as_str()).collect::<Vec<_>>().join(" ");
                let opens = |thing: &Thing| {
                    matches!(thing, Thing::Way(_) | Thing::Valve(_) | Thing::Room(_))
                };
                known.has_passage |= mention.things.iter().any(opens);
                known.nouns.extend((mention.first..mention.last).map(|at| (at, name.clone())));
                known.things += 1;
            }
        }
        for (at, word) in words.iter().enumerate() {
            let stem = word.stem.as_str();
            let knowing = self.folio.cues.sheets_knowing(stem);
            let is_known = knowing.iter().any(|sheet| homes.contains(sheet));
            let is_noun = !is_light(stem) && !is_degree(stem) && self.last_name(word).is_none();
            if is_known && is_noun && !known.nouns.iter().any(|(place, _)| *place == at) {
                known.nouns.push((at, stem.to_owned()));
            }
        }
        known.nouns.sort_unstable();
        known
    }
}

/// Whether a sort of assertion is of how things are, so that what was once is not of them.
fn is_lasting(frame: AssertionFrame) -> bool {
    !matches!(frame, AssertionFrame::Cause | AssertionFrame::Order | AssertionFrame::Change)
}

impl KnownThings {
    /// Whether enough is known for a sentence to be about it.
    fn bear(&self, frame: AssertionFrame, said: &Phrase) -> bool {
        let mut names: Vec<&String> = self.nouns.iter().map(|(_, name)| name).collect();
        names.sort_unstable();
        names.dedup();
        let all = names.len() + self.engines;
        match frame {
            AssertionFrame::Cause | AssertionFrame::Change => !names.is_empty(),
            // Of a shot, or of what happened when.
            AssertionFrame::Order => 2 <= self.things.min(names.len()) || 2 <= self.engines,
            AssertionFrame::Bound => 1 <= all,
            AssertionFrame::Count => self.counts(said),
            AssertionFrame::Degree => {
                2 <= all || !names.is_empty() && said.is(Role::Superlative) || 2 <= self.engines
            }
            AssertionFrame::Doing => 2 <= self.things.min(names.len()),
            AssertionFrame::Standing => {
                let tells = |stem: &str| {
                    may(stem, Role::Open) || may(stem, Role::Shut) && !may(stem, Role::Denial)
                };
                self.has_passage && said.words.iter().any(|word| tells(&word.stem))
            }
        }
    }

    /// Whether a number stands before a noun that is known.
    fn counts(&self, said: &Phrase) -> bool {
        let counts = |stem: &str| may(stem, Role::Cardinal) || matches!(stem, "no" | "single");
        let is_noun = |at: usize| self.nouns.iter().any(|(place, _)| *place == at);
        let mut words = said.words.iter().enumerate();
        words.any(|(at, word)| counts(&word.stem) && (at + 1..at + NEAR).any(is_noun))
    }
}
