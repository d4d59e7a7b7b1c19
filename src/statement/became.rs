//! "The bob was made lighter", "the revision lengthened the barrel", "the pressure went up from
//! one to the next": which way something changed from one engine to its heir, and not how much.

use super::clause::ClauseSentence;
use super::degree::{Degree, comparative, plain};
use super::lexicon::{Role, Roles};
use super::{StatedRelation, Statement};

/// Verbs that make something more of what a word of degree says.
const MAKES: [(&str, &str); 14] = [
    ("lengthened", "long"),
    ("shortened", "short"),
    ("widened", "wide"),
    ("narrowed", "narrow"),
    ("lightened", "light"),
    ("enlarged", "large"),
    ("increased", "large"),
    ("reduced", "small"),
    ("raised", "high"),
    ("lowered", "low"),
    ("thickened", "thick"),
    ("stiffened", "stiff"),
    ("deepened", "deep"),
    ("strengthened", "strong"),
];

/// Whether a sentence with words of these roles may hold any of this.
pub(super) fn wakes(says: Roles) -> bool {
    const TELLS: Roles = Roles::of(&[Role::Comparative, Role::Grows, Role::Shrinks, Role::Alters]);
    says.meets(TELLS)
        && !says.meets(Roles::of(&[Role::Denial, Role::Order, Role::When, Role::Factor]))
}

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    let last = sentence.words.len();
    let is_amount = (0..last).any(|at| sentence.figure_at(at).is_some());
    let compares = (0..last).any(|at| matches!(sentence.stem(at), "than" | "as" | "by"));
    if is_amount || compares || !is_of_revision(sentence) {
        return;
    }
    let told = (1..last).find_map(|at| made(sentence, at).or_else(|| went(sentence, at)));
    let Some((degree, places)) = told else { return };
    let kept = |at: &usize| !places.contains(at) && !is_frame(sentence.stem(*at));
    let clause = sentence.of_words((0..last).filter(kept));
    let Some(what) = clause.phrase(0, clause.words.len()) else { return };
    let relation = StatedRelation::Became { what, degree };
    found.push(Statement::new(sentence.stretch(0, last), relation));
}

/// Whether it is told of the making of one engine from another, and not of a shot.
fn is_of_revision(sentence: &ClauseSentence<'_>) -> bool {
    let last = sentence.words.len();
    let says = |at: usize| {
        matches!(sentence.stem(at), "revision" | "redesign" | "redrawing" | "redrawn" | "drawing")
    };
    let one_to_next = |at: usize| sentence.stem(at) == "one" && sentence.stem(at + 1) != "of";
    let leads = sentence.stem(0) == "from" && (0..last).any(one_to_next);
    let is_for = sentence.stem(0) == "for"
        && (1..5).any(|at| sentence.is_parted(at) || sentence.is(at, Role::Heir));
    leads || is_for || (0..last).any(says)
}

fn is_frame(stem: &str) -> bool {
    matches!(
        stem,
        "revision" | "redesign" | "redrawing" | "redrawn" | "drawing" | "next" | "one" | "from"
    )
}

/// "Was made lighter", "lengthened".
fn made(sentence: &ClauseSentence<'_>, at: usize) -> Option<(&'static Degree, [usize; 2])> {
    if let Some((_, word)) = MAKES.iter().find(|(verb, _)| *verb == sentence.stem(at)) {
        return Some((plain(word)?, [at, at]));
    }
    let degree = sentence.comparative(at)?;
    let near = (at.saturating_sub(6)..at).rev();
    let verb = near.into_iter().find(|at| matches!(sentence.stem(*at), "made" | "make"))?;
    Some((degree, [verb, at]))
}

/// "Went up", "grew", "came down", "fell".
fn went(sentence: &ClauseSentence<'_>, at: usize) -> Option<(&'static Degree, [usize; 2])> {
    let moves = matches!(sentence.stem(at), "went" | "came" | "gone" | "come");
    let word = match (sentence.stem(at), sentence.stem(at + 1)) {
        ("grew" | "grown" | "rose" | "risen", _) => "greater",
        ("shrank" | "shrunk" | "fell" | "fallen" | "dropped", _) => "smaller",
        (_, "up") if moves => "greater",
        (_, "down") if moves => "smaller",
        _ => return None,
    };
    Some((comparative(word)?, [at, at + usize::from(moves)]))
}
