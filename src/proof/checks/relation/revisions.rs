//! Statements of a change against the revisions of an engine, which are read as any sentence is:
//! "bleed hole opened up from 0.6 to 0.9 mm".

use super::amounts::with_unit_of;
use super::{StatementAnswer, StatementNames, StatementStanding};
use crate::statement::{Phrase, StatedRelation, is_light, read};

impl StatementNames<'_> {
    /// "Went from 21 g to 18 g", as a revision has it.
    pub(super) fn revised(&self, what: &Phrase, from: &str, into: &str) -> Option<StatementAnswer> {
        self.as_revised(what, |home, revision, relation| {
            let StatedRelation::Change { from: was, to: is, .. } = relation else { return None };
            let is = revision.get(is.start..is.end)?;
            let was = with_unit_of(revision.get(was.start..was.end)?, is);
            let before = self.held(&with_unit_of(from, into), was.clone(), home)?;
            let after = self.held(into, is.to_owned(), home)?;
            StatementAnswer::all(vec![before, after])
        })
    }

    /// "Grew by 2 mm", as a revision has it.
    pub(super) fn revised_by(
        &self,
        what: &Phrase,
        by: &str,
        is_more: bool,
    ) -> Option<StatementAnswer> {
        self.as_revised(what, |home, revision, relation| {
            let StatedRelation::Change { from: was, to: is, .. } = relation else { return None };
            let is = revision.get(is.start..is.end)?;
            let was = with_unit_of(revision.get(was.start..was.end)?, is);
            let question = if is_more { format!("{is} - {was}") } else { format!("{was} - {is}") };
            self.held(by, question, home)
        })
    }

    /// "From a -010 to a -009", as a revision has it.
    pub(super) fn ring_revised(
        &self,
        seal: &Phrase,
        was: &str,
        size: &str,
    ) -> Option<StatementAnswer> {
        self.as_revised(seal, |_, revision, relation| {
            let StatedRelation::Ring { was: Some(old), size: new, .. } = relation else {
                return None;
            };
            let standing = StatementStanding::of(old == was && new == size);
            let reason = format!("the revision says: {revision}");
            let question = format!("ring from -{was} to -{size}");
            Some(StatementAnswer { standing, reason, question })
        })
    }

    /// Asks of the revision, or the dated event, that changed what a phrase names.
    fn as_revised(
        &self,
        what: &Phrase,
        ask: impl Fn(usize, &str, &StatedRelation) -> Option<StatementAnswer>,
    ) -> Option<StatementAnswer> {
        let homes = self.homes(what);
        let [home] = homes.as_slice() else { return None };
        let page = self.folio.pages.iter().find(|page| page.sheet == Some(*home))?;
        let revisions = page.front.revisions.iter().filter_map(|known| known.changed.as_ref());
        let revisions = revisions.map(|changed| changed.text.as_str());
        let events = self.folio.timeline.iter().filter(|event| event.sheet == *home);
        let mut answers: Vec<StatementAnswer> = Vec::new();
        for revision in revisions.chain(events.map(|event| event.what.as_str())) {
            let told = read(revision).into_iter().find_map(|told| {
                let subject = match &told.relation {
                    StatedRelation::Change { what, .. } => what,
                    StatedRelation::Ring { seal, was: Some(_), .. } => seal,
                    _ => return None,
                };
                let is_it = self.is_of_revision(what, subject);
                is_it.then(|| ask(*home, revision, &told.relation)).flatten()
            });
            answers.extend(told);
        }
        // A timeline may tell what a revision tells.
        let first = answers.first()?.standing;
        let is_one = answers.iter().all(|answer| answer.standing == first);
        answers.pop().filter(|_| is_one)
    }

    /// Whether all words of a phrase that some figure or thing is known by are of what a revision
    /// changed, and one at least.
    fn is_of_revision(&self, what: &Phrase, changed: &Phrase) -> bool {
        let words = self.said_words(what);
        let is_known = |word: &&&str| {
            let things = self.own.and_then(|own| self.routed_of(own));
            let is_thing = things.is_some_and(|(routed, _)| routed.things.speak_of(word));
            is_thing || !self.folio.cues.sheets_knowing(word).is_empty()
        };
        let known: Vec<&&str> = words.content.iter().filter(is_known).collect();
        let is_of = |word: &&&str| !is_light(word) && changed.has(word);
        !known.is_empty() && known.iter().all(is_of)
    }
}
