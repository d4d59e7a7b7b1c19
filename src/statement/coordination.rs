//! "Both A and B push it", "neither A nor B parts them", "A and B push it": what is said of each.

use super::clause::ClauseSentence;
use super::lexicon::{Role, Roles};

/// Words with which a clause says what its subject does.
const DOES: Roles = Roles::of(&[
    Role::Be,
    Role::Have,
    Role::Verb,
    Role::Pushes,
    Role::Parts,
    Role::Feeds,
    Role::Empties,
    Role::Passes,
    Role::Reaches,
    Role::Leads,
    Role::Comes,
    Role::Trips,
]);

/// What is said of two things together and of neither alone.
const MUTUAL: Roles = Roles::of(&[Role::Alike, Role::Differs, Role::Connects, Role::Between]);

/// A sentence whose subject is two things, once with each of them.
pub(super) fn of_each<'a>(sentence: &ClauseSentence<'a>) -> Option<[ClauseSentence<'a>; 2]> {
    let last = sentence.words.len();
    let leads = |at: &usize| matches!(sentence.stem(*at), "both" | "neither");
    // "The one and the other are both …" has it behind.
    let joins = |at: usize| matches!(sentence.stem(at), "and" | "nor");
    let lead = (0..last.min(12)).find(leads).filter(|lead| (*lead..last).any(joins));
    let from = lead.map_or(0, |lead| lead + 1);
    let joint = match lead.map(|lead| sentence.stem(lead)) {
        Some("neither") => "nor",
        _ => "and",
    };
    let and = (from + 1..last.min(from + 10)).find(|at| sentence.stem(*at) == joint)?;
    let verb = (and + 2..last.min(and + 10)).find(|at| is_verb(sentence, *at))?;
    let is_parted = (from + 1..verb).any(|at| sentence.is_parted(at));
    let does_within = (from..and).any(|at| is_verb(sentence, at) && from < at);
    if is_parted || does_within || is_mutual(sentence) || verb + 1 == last {
        return None;
    }
    let ahead = 0..lead.unwrap_or(0);
    // "Nor A pushes it" denies as "neither" does.
    let denial = (joint == "nor").then_some(and);
    let with = |from: usize, to: usize| {
        sentence.of_words(ahead.clone().chain(denial).chain(from..to).chain(verb..last))
    };
    Some([with(from, and), with(and + 1, verb)])
}

fn is_verb(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    let opens_noun = |stem: &str| {
        matches!(stem, "the" | "a" | "an" | "its" | "of" | "in" | "on" | "at" | "to" | "and")
    };
    sentence.words[at].roles().meets(DOES) && !opens_noun(sentence.before(at, 1))
}

/// "A and B together", "A and B are kept apart".
fn is_mutual(sentence: &ClauseSentence<'_>) -> bool {
    let together = ["together", "altogether", "apart", "meet", "each", "them", "two"];
    let says = |at: usize| together.contains(&sentence.stem(at));
    let is_passive =
        |at: usize| sentence.is(at, Role::Parts) && sentence.is_before(at, 1, Role::Be);
    let all = || 0..sentence.words.len();
    sentence.roles().meets(MUTUAL) || all().any(says) || all().any(is_passive)
}
