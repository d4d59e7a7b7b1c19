//! "while the spool is forward the hole is shut", "with its pilot off, the A feeds the tail".

use super::clause::ClauseSentence;
use super::lexicon::{Role, Roles, lexeme};
use super::order::around;
use super::{StatedRelation, Statement};

/// What words may do that say that air passes.
const OPENS: Roles = Roles::of(&[
    Role::Open,
    Role::Feeds,
    Role::Draws,
    Role::Empties,
    Role::Passes,
    Role::Reaches,
    Role::Connects,
    Role::Leads,
]);

/// Whether a sentence with words of these roles may hold any of this.
pub(super) fn wakes(says: Roles) -> bool {
    says.has(Role::Shut) || says.meets(OPENS)
}

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    for at in 0..sentence.words.len() {
        let length = match (sentence.stem(at), sentence.stem(at + 1), sentence.stem(at + 2)) {
            ("while" | "whenever" | "with" | "when", _, _) => 1,
            ("as" | "so", "long", "as") => 3,
            ("the", "whole", "time") if 0 < at => 3,
            ("at", "rest", _) if at == 0 => 1,
            _ => continue,
        };
        found.extend(during(sentence, at, at + length));
    }
    found.extend((1..sentence.words.len()).find_map(|at| amid(sentence, at)));
    found.extend(throughout(sentence));
}

/// "The hole stays open throughout the shot", "is never shut".
fn throughout(sentence: &ClauseSentence<'_>) -> Option<Statement> {
    const ORDERS: Roles = Roles::of(&[Role::Order, Role::When, Role::Cause, Role::Comparative]);
    let last = sentence.words.len();
    let lasts = |at: usize| match sentence.stem(at) {
        "throughout" => true,
        "all" => sentence.stem(at + 1) == "through" || sentence.stem(at + 2) == "time",
        _ => false,
    };
    let never = (0..last).any(|at| sentence.stem(at) == "never");
    let (opens, shuts) = (
        (0..last).any(|at| matches!(sentence.stem(at), "open" | "opens" | "opened")),
        (0..last).any(|at| matches!(sentence.stem(at), "shut" | "close" | "closes" | "closed")),
    );
    let denials = (0..last).filter(|at| sentence.is(*at, Role::Denial)).count();
    let tells = (0..last).any(lasts) != never && opens != shuts && denials == usize::from(never);
    let is_plain = tells && !sentence.roles().meets(ORDERS) && !sentence.tells_order;
    let what = sentence.told(0, last).filter(|_| is_plain)?;
    let relation = StatedRelation::Throughout { what, is_open: opens != never };
    Some(Statement::new(sentence.stretch(0, last), relation))
}

/// "A opens while B is still shut": an event, told by a verb of its own.
fn amid(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    if sentence.stem(at) != "while" {
        return None;
    }
    let (what, state) = around(sentence, at)?;
    let span = sentence.stretch(0, sentence.words.len());
    let is_event = !what.is(Role::Be) && !what.is(Role::Denial) && !state.is(Role::Denial);
    is_event.then_some(Statement::new(span, StatedRelation::Amid { what, state }))
}

/// The state stands behind the word that opens it; what holds in it, before that word or behind
/// the next comma.
fn during(sentence: &ClauseSentence<'_>, at: usize, from: usize) -> Option<Statement> {
    let last = sentence.words.len();
    let opens = (0..at).all(|at| matches!(sentence.stem(at), "and" | "but" | "even" | "only"));
    let comma = (from + 1..last).find(|at| sentence.is_parted(*at));
    let (state, what) = if opens {
        // "While the plunger stands home the gate is open": two words behind the subject.
        let stands = |at: &usize| {
            sentence.is(*at, Role::Be)
                || matches!(sentence.stem(*at), "stand" | "sit" | "stay" | "remain" | "lie")
        };
        // "With the spool shifted there is no way out": the next clause opens so.
        let there = (from + 2..last).find(|at| sentence.stem(*at) == "there");
        let at_rest = (sentence.stem(from) == "rest").then_some(from + 1);
        let cut = comma
            .or(there)
            .or(at_rest)
            .or_else(|| second_thing(sentence, from))
            .or_else(|| Some((from + 1..last).find(stands)? + 2))?;
        ((from, cut), (cut, last))
    } else {
        let start = (1..at).rev().find(|at| sentence.is_parted(*at)).unwrap_or(0);
        let end = at - usize::from(sentence.before(at, 1) == "even");
        ((from, comma.unwrap_or(last)), (start, end))
    };
    let (state, what) = (sentence.told(state.0, state.1)?, sentence.told(what.0, what.1)?);
    let is_open = match (what.is(Role::Shut), what.roles().meets(OPENS)) {
        (true, _) => false,
        (false, true) => true,
        _ => return None,
    };
    // "Isn't open" is shut, and "isn't shut" is left.
    let denies = |stem: &str| stem.ends_with("n't") || stem.ends_with("n’t");
    let is_denied = what.words.iter().any(|word| denies(&word.stem));
    if is_denied && what.is(Role::Shut) {
        return None;
    }
    let is_open = is_open && !is_denied;
    // Two denials, and a denied "shut", are left.
    let mut shut: Vec<&str> = what.words.iter().map(|word| word.stem.as_str()).collect();
    shut.retain(|stem| lexeme(stem).roles.has(Role::Shut));
    shut.sort_unstable();
    shut.dedup();
    if 1 < shut.len() {
        return None;
    }
    let span = sentence.stretch(0, last);
    Some(Statement::new(span, StatedRelation::During { state, what, is_open }))
}

/// "With the ram at the back the gap is shut": where an article opens a second thing right behind
/// the place of the first.
fn second_thing(sentence: &ClauseSentence<'_>, from: usize) -> Option<usize> {
    let is_article = |at: usize| matches!(sentence.stem(at), "the" | "a" | "an" | "its");
    let opens = |at: usize| {
        let is_place =
            matches!(sentence.stem(at), "off" | "on" | "forward" | "home" | "shut" | "open");
        !sentence.is(at, Role::Light) || is_place
    };
    let is_with = sentence.before(from, 1) == "with";
    (from + 2..sentence.words.len()).find(|at| is_with && is_article(*at) && opens(*at - 1))
}
