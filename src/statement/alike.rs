//! "Have the same bore", "the stroke is unchanged", "both are alike in", "the barrels match".

use super::clause::ClauseSentence;
use super::degree::plain;
use super::lexicon::{Role, Roles, lexeme};
use super::{StatedRelation, Statement};
use crate::folio::words::TextWord;

/// Whether a sentence with words of these roles may hold any of this.
pub(super) fn wakes(says: Roles) -> bool {
    says.meets(Roles::of(&[Role::Alike, Role::Changed, Role::Cardinal]))
}

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    let last = sentence.words.len();
    let says = |words: &[&str]| (0..last).any(|at| words.contains(&sentence.stem(at)));
    let is_alike = (0..last).any(|at| {
        is_of_one(sentence, at)
            || sentence.is(at, Role::Alike)
            && sentence.stem(at) != "exactly"
            // "At the same time" and "all the same" say nothing of sizes.
            && !(sentence.stem(at) == "share" && sentence.stem(at + 1) == "of")
            && !matches!(sentence.stem(at + 1), "time" | "way" | "thing" | "moment" | "drawer")
    });
    let is_changed = sentence.has(Role::Changed);
    // "Neither … nor" denies once.
    let denials = (0..last).filter(|at| sentence.is(*at, Role::Denial));
    let denials = denials.filter(|at| sentence.stem(*at) != "nor").count();
    let compares = says(&["than", "from", "by", "because"]);
    if is_alike == is_changed || 1 < denials || compares {
        return;
    }
    let is_denied = is_changed != (denials == 1);
    if is_changed && denials == 0 {
        // "The nose was changed": in what, it does not say.
        return;
    }
    // "When the Two was drawn up, nobody touched the jet": what is said stands behind the comma.
    let comma = (2..last).find(|at| sentence.is_parted(*at));
    let from = comma.filter(|_| is_changed && matches!(sentence.stem(0), "when" | "since" | "for"));
    let Some(said) = sentence.phrase(from.unwrap_or(0), last) else { return };
    let tells = Roles::of(&[Role::Alike, Role::Changed]);
    let is_figure = |word: &TextWord| sentence.is_figure(word.span);
    let said = said.without(|word| {
        let is_one = word.stem == "one" || word.stem == "nobody";
        is_one || lexeme(&word.stem).roles.meets(tells) || is_figure(word)
    });
    let degrees = (0..last).filter(|at| matches!(sentence.stem(*at), "equally" | "just"));
    let weighs = says(&["weigh", "weighed"]).then(|| plain("heavy")).flatten();
    let degree = degrees.into_iter().find_map(|at| sentence.plain(at + 1)).or(weighs);
    let relation = StatedRelation::Alike { said, degree, is_denied, is_change: is_changed };
    found.push(Statement::new(sentence.stretch(0, last), relation));
}

/// "Are of one size", "all turned to one diameter".
fn is_of_one(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    let measures = |at: usize| {
        matches!(
            sentence.stem(at),
            "size" | "diameter" | "width" | "length" | "bore" | "weight" | "dash"
        )
    };
    let leads = matches!(sentence.before(at, 1), "of" | "to" | "have" | "share" | "has" | "ha");
    sentence.stem(at) == "one" && leads && (measures(at + 1) || measures(at + 2))
}
