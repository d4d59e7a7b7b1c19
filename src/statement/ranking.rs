//! "It is the pilot that moves first, not the plunger", "the lid goes first, the sleeve follows":
//! things told by their rank in an order.

use super::clause::{ClauseSentence, Phrase};
use super::lexicon::{Role, Roles};
use super::{StatedRelation, Statement};

/// Verbs that only say that it is a thing's turn.
const TURNS: [&str; 19] = [
    "go",
    "goe",
    "come",
    "came",
    "move",
    "act",
    "wake",
    "stir",
    "start",
    "respond",
    "react",
    "follow",
    "following",
    "answer",
    "work",
    "is",
    "are",
    "be",
    "it's",
];

/// A piece of a sentence that gives a thing its rank.
struct RankedPiece {
    rank: u8,
    /// What it says beside the rank.
    told: Phrase,
    /// Whether the word of its rank opens it: "then the ball stirs".
    is_led: bool,
    /// Whether it is set against the others: "not the plunger".
    is_against: bool,
}

/// Things in the order of the ranks that a sentence gives them.
pub(super) fn ranked(sentence: &ClauseSentence<'_>) -> Option<Statement> {
    const OTHERWISE: Roles = Roles::of(&[Role::Order, Role::When, Role::Superlative, Role::Mood]);
    let says = sentence.roles();
    let last = sentence.words.len();
    let follows = |at: usize| matches!(sentence.stem(at), "follow" | "following");
    let is_order = |at: usize| sentence.is(at, Role::Order) && !follows(at);
    if !says.has(Role::Ordinal) || says.meets(OTHERWISE) && (0..last).any(is_order) {
        return None;
    }
    let cuts = |at: usize| {
        sentence.is_parted(at) || matches!(sentence.stem(at), "and" | "with" | "but" | "not")
    };
    let mut starts: Vec<usize> = (1..last).filter(|at| cuts(*at)).collect();
    starts.insert(0, 0);
    starts.push(last);
    let mut pieces = Vec::new();
    for pair in starts.windows(2) {
        let [from, to] = *pair else { continue };
        // A word that only joins.
        if (from..to).any(|at| !sentence.is(at, Role::Turn) && sentence.stem(at) != "with") {
            pieces.push(piece(sentence, (from, to))?);
        }
    }
    let is_first = |piece: &RankedPiece| piece.rank == 1;
    let against = pieces.iter().filter(|piece| piece.is_against).count();
    let is_whole = pieces.iter().filter(|piece| is_first(piece)).count() == 1
        && (against == 0 || pieces.len() == 2);
    let denials = (0..last).filter(|at| sentence.is(*at, Role::Denial)).count();
    // Clauses led by such words are a sequence as others are.
    let is_told = pieces.iter().any(|piece| !piece.is_led);
    if !is_whole || !is_told || pieces.len() < 2 || denials != against {
        return None;
    }
    pieces.sort_by_key(|piece| piece.rank);
    let steps = pieces.into_iter().map(|piece| piece.told).collect();
    let relation = StatedRelation::Sequence { steps, is_told: true };
    Some(Statement::new(sentence.stretch(0, last), relation))
}

fn piece(sentence: &ClauseSentence<'_>, (from, to): (usize, usize)) -> Option<RankedPiece> {
    let is_against = sentence.stem(from) == "not";
    let rank_of = |at: usize| match sentence.stem(at) {
        "first" => Some(1),
        "second" => Some(2),
        "third" => Some(3),
        "fourth" => Some(4),
        "follow" | "following" | "next" | "then" | "afterward" => Some(5),
        "last" | "lastly" | "finally" => Some(9),
        _ => None,
    };
    let told = (from..to).filter_map(|at| Some((at, rank_of(at)?)));
    let ranks: Vec<(usize, u8)> = told.collect();
    let (place, rank) = match ranks.as_slice() {
        [] if is_against => (to, 6),
        [(at, rank)] if !is_against => (*at, *rank),
        _ => return None,
    };
    // "Then the ball stirs": behind the word of its rank a verb tells what happens.
    let opens =
        (from..place).all(|at| matches!(sentence.stem(at), "and" | "with" | "but" | "only"));
    let is_led = opens && sentence.stem(place + 1) != "to";
    let is_frame = |at: usize| {
        let stem = sentence.stem(at);
        let is_to = stem == "to" && TURNS.contains(&sentence.stem(at + 1));
        at == place
            || is_to
            || TURNS.contains(&stem) && !is_led
            || matches!(stem, "not" | "and" | "with" | "but" | "that")
            // "It is the pilot that …".
            || stem == "it" && matches!(sentence.stem(at + 1), "is" | "wa")
    };
    let kept = sentence.of_words((from..to).filter(|at| !is_frame(*at)));
    let told = kept.told(0, kept.words.len())?;
    Some(RankedPiece { rank, told, is_led, is_against })
}
