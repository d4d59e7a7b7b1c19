//! "The emptying of the tail sets the spool going", "the dart leaves because the gap opens".

use super::clause::{ClauseSentence, Phrase};
use super::lexicon::{Role, Roles};
use super::{StatedRelation, Statement};

/// Whether a sentence with words of these roles may hold any of this.
pub(super) fn wakes(says: Roles) -> bool {
    const TELLS: Roles = Roles::of(&[Role::SetsOff, Role::Cause]);
    says.meets(TELLS) && !says.meets(Roles::of(&[Role::Denial, Role::Order, Role::When]))
}

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    let last = sentence.words.len();
    let told = (1..last).filter_map(|at| match sentence.stem(at) {
        "because" if sentence.stem(at + 1) != "of" => {
            Some((sentence.told(at + 1, last)?, sentence.told(0, at)?))
        }
        _ if sentence.is(at, Role::SetsOff) => sets_off(sentence, at),
        _ => None,
    });
    let span = sentence.stretch(0, last);
    found.extend(
        told.map(|(cause, effect)| Statement::new(span, StatedRelation::SetsOff { cause, effect })),
    );
}

/// "The sinking pocket lets the disc lift", "the ball is set going by the sear".
fn sets_off(sentence: &ClauseSentence<'_>, at: usize) -> Option<(Phrase, Phrase)> {
    let last = sentence.words.len();
    let is_noun = matches!(sentence.before(at, 1), "the" | "a" | "an" | "its" | "to" | "of");
    let has_reason = (0..last).any(|at| sentence.stem(at) == "because");
    if is_noun || has_reason || sentence.tells_order {
        return None;
    }
    if sentence.is_before(at, 1, Role::Be) {
        let by = (at + 1..last).find(|at| sentence.stem(*at) == "by")?;
        return Some((sentence.told(by + 1, last)?, sentence.told(0, by)?));
    }
    Some((sentence.told(0, at)?, sentence.told(at, last)?))
}
