//! What parts rooms, what pushes which way, where air goes: told by the verb; what the other words
//! name decides who does what.

use super::clause::{ClauseSentence, Phrase};
use super::lexicon::{Role, Roles};
use super::{StatedRelation, Statement, ToldPush};
use crate::text::Span;

/// Which way a part is pushed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum PushHeading {
    /// Towards the muzzle.
    Forward,
    /// Away from it.
    Back,
    /// "Back": away from it, for what rests there; what rests in front may be meant to go home.
    BackHome,
    /// To where it rests, or to a position of that name.
    Home,
    /// "Brings it back": away from the muzzle, or to where it rests.
    Restored,
    /// To a place that its name or its place tells: "on to its seat", "shut".
    Placed,
}

/// What a verb says of air and the rooms beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum AirFlow {
    /// "A feeds B".
    Feeds,
    /// "B takes its air from A".
    Takes,
    /// "A empties into B", "the hole vents A to B".
    Empties,
    /// "lets A's air into B".
    Passes,
    /// "Air of A reaches B".
    Reaches,
    /// "joins A and B".
    Joins,
}

/// Verbs of air, and whether they may be said of other things: then air must be spoken of.
const FLOWS: [(Role, AirFlow, bool); 8] = [
    (Role::Feeds, AirFlow::Feeds, false),
    (Role::Draws, AirFlow::Takes, false),
    (Role::Takes, AirFlow::Takes, true),
    (Role::Empties, AirFlow::Empties, false),
    (Role::Passes, AirFlow::Passes, true),
    (Role::Reaches, AirFlow::Reaches, true),
    (Role::Connects, AirFlow::Joins, false),
    (Role::Leads, AirFlow::Joins, false),
];

/// Whether a sentence with words of these roles may hold any of this.
pub(super) fn wakes(says: Roles) -> bool {
    const PARTED: Roles = Roles::of(&[Role::PartsAlone, Role::Link]);
    const OF_AIR: Roles = Roles::of(&[Role::Takes, Role::Passes, Role::Reaches]);
    const ALONE: Roles =
        Roles::of(&[Role::Feeds, Role::Draws, Role::Empties, Role::Connects, Role::Leads]);
    says.has(Role::Between)
        || says.has(Role::Parts) && says.meets(PARTED)
        || says.has(Role::Pushes)
        || says.has(Role::Comes) && says.has(Role::Heading)
        || says.has(Role::Trips)
        || says.meets(ALONE)
        || says.has(Role::OfAir) && says.meets(OF_AIR)
}

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    let last = sentence.words.len();
    found.extend((0..last).find_map(|at| parts(sentence, at)));
    found.extend((0..last).find_map(|at| pushes(sentence, at)));
    found.extend((0..last).filter_map(|at| joins(sentence, at)));
    found.extend(trips(sentence));
}

/// "The trigger shifts the pilot".
fn trips(sentence: &ClauseSentence<'_>) -> Option<Statement> {
    let is_told = sentence.has(Role::Trips) && !sentence.has(Role::Denial);
    let is_ordered = sentence.has(Role::Order) || sentence.has(Role::When);
    let last = sentence.words.len();
    let said = sentence.told(0, last).filter(|_| is_told && !is_ordered)?;
    Some(Statement::new(sentence.stretch(0, last), StatedRelation::Trips { said }))
}

/// Whether a clause is denied; `None` where it is denied twice or only in contrast.
fn denied(sentence: &ClauseSentence<'_>) -> Option<bool> {
    let last = sentence.words.len();
    let denials = (0..last).filter(|at| sentence.is(*at, Role::Denial));
    // "Nothing but", "no way except": what follows is what is said.
    let is_meant = |at: &usize| {
        let near = *at + 1..*at + 4;
        let excepts = |at: usize| matches!(sentence.stem(at), "but" | "except" | "other" | "else");
        // "Through a jet no wider than a pin" denies nothing of the clause; "no longer" does.
        let compares = sentence.is(*at + 1, Role::Comparative)
            && (sentence.stem(*at + 1) != "longer" || sentence.stem(*at + 2) == "than");
        !compares && !near.into_iter().any(excepts)
    };
    let denials: Vec<usize> = denials.filter(is_meant).collect();
    let turns = (0..last).any(|at| matches!(sentence.stem(at), "but" | "rather" | "instead"));
    match denials.as_slice() {
        [] => Some(false),
        // "Isn't the gland but the flap".
        [_] if turns => matches!(sentence.stem(denials[0]), "isn't" | "not").then_some(false),
        [_] => Some(true),
        _ => None,
    }
}

/// "The land seal keeps the store's air from the switch room", "between A and B there is only C".
fn parts(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let last = sentence.words.len();
    let stem = sentence.stem(at);
    let links = || (at + 1..last).any(|at| sentence.is(at, Role::Link));
    let stands = || {
        ["is", "are", "sit", "stand", "lie", "sitting", "standing", "seal", "there", "go"]
            .iter()
            .any(|word| (0..last).any(|at| sentence.stem(at) == *word))
    };
    let is_between = stem == "between" && stands();
    let is_side = stem == "one" && sentence.stem(at + 1) == "side";
    let is_verb = sentence.is(at, Role::Parts) && (sentence.is(at, Role::PartsAlone) || links());
    // "The tail ring" has a ring, "parts" may be things.
    let is_noun = matches!(sentence.before(at, 1), "the" | "a" | "an" | "moving");
    // What another clause names is nothing to this one.
    let is_of_several = (1..last).any(|at| sentence.gap(at).contains([';', '—', '–']));
    if is_of_several || !(is_between || is_side || is_verb && !is_noun) {
        return None;
    }
    let is_denied = denied(sentence)?;
    if is_denied && !sentence.denies_verb(0, at) {
        return None;
    }
    let said = sentence.whole()?;
    let relation = StatedRelation::Parts { said, is_denied };
    Some(Statement::new(sentence.stretch(0, last), relation))
}

/// Which way a word points.
fn heading(sentence: &ClauseSentence<'_>, at: usize) -> Option<PushHeading> {
    let after = sentence.stem(at + 1);
    let before = sentence.before(at, 1);
    match sentence.stem(at) {
        "forward" | "forwards" | "frontward" | "ahead" | "muzzleward" => Some(PushHeading::Forward),
        "back" if after == "of" || matches!(before, "the" | "its" | "from" | "on") => None,
        // "Back on its seat", "back to where it rests".
        "back" if matches!(after, "on" | "onto" | "to" | "into" | "in") => Some(PushHeading::Home),
        "back" if (at.saturating_sub(6)..at).any(|at| sentence.is(at, Role::Restores)) => {
            Some(PushHeading::Restored)
        }
        "back" => Some(PushHeading::BackHome),
        "backward" | "backwards" | "rearward" | "rearwards" | "aft" => Some(PushHeading::Back),
        "home" => Some(PushHeading::Home),
        "rear" if matches!(sentence.before(at, 2), "to" | "toward" | "towards") => {
            (after != "face").then_some(PushHeading::Back)
        }
        "muzzle" if before == "the" && sentence.before(at, 3) == "away" => Some(PushHeading::Back),
        "front" | "muzzle" if matches!(sentence.before(at, 2), "to" | "toward" | "towards") => {
            Some(PushHeading::Forward)
        }
        _ => None,
    }
}

/// "X pushes the PART back", "the PART is pressed rearward by X".
fn pushes(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    if !sentence.is(at, Role::Pushes) && !sentence.is(at, Role::Comes) {
        return None;
    }
    let (from, to) = main_clause(sentence, at);
    let is_moved = sentence.is(at, Role::Comes) && moved_by(sentence, (at + 1, to));
    let is_verb = sentence.is(at, Role::Pushes) || is_moved;
    // "Lets the ram return": what lets it does not push.
    let is_let = (from..at).any(|at| matches!(sentence.stem(at), "let" | "letting" | "make"));
    if !is_verb || is_let || matches!(sentence.before(at, 1), "the" | "a") {
        return None;
    }
    let returns = matches!(sentence.stem(at), "return" | "returned" | "returning");
    let mut headings = (from..to).filter_map(|at| heading(sentence, at));
    let heading = headings.next();
    if headings.any(|other| heading != Some(other)) {
        // "Forward by air and rearward by its spring": read apart.
        return None;
    }
    let heading =
        heading.or(returns.then_some(PushHeading::Restored)).unwrap_or(PushHeading::Placed);
    // "No spring pushes", "does not push": what is denied elsewhere leaves open what is said here.
    let is_denied = denied(sentence)?;
    // "A room that is never shut pushes it": what is denied is another verb.
    if is_denied && !sentence.denies_verb(from, at) {
        return None;
    }
    let is_passive = is_moved
        || sentence.is_before(at, 1, Role::Be)
        || (at + 1..to).any(|at| sentence.stem(at) == "by");
    let said = sentence.told(from, to)?;
    let points_back = (from..to).any(|at| matches!(sentence.stem(at), "it" | "them"));
    let verb = at - from;
    let told = ToldPush { points_back, verb, is_passive, heading, is_denied };
    let relation = StatedRelation::Pushes { said, told };
    Some(Statement::new(sentence.stretch(from, to), relation))
}

/// "Comes back by its spring", "because of the air", "under the push of": what moves it stands
/// behind the verb.
fn moved_by(sentence: &ClauseSentence<'_>, (from, to): (usize, usize)) -> bool {
    (from..to).any(|at| match sentence.stem(at) {
        "by" | "under" => true,
        "because" | "out" => sentence.stem(at + 1) == "of",
        "thank" | "owing" | "due" => sentence.stem(at + 1) == "to",
        _ => false,
    })
}

/// The clause of a verb without the one that tells when: "… once the dome is empty".
fn main_clause(sentence: &ClauseSentence<'_>, verb: usize) -> (usize, usize) {
    let last = sentence.words.len();
    let tells_when = |at: usize| {
        let is_order = sentence.is(at, Role::Order) || sentence.is(at, Role::When);
        let is_cause = sentence.stem(at) == "because" && sentence.stem(at + 1) != "of";
        is_order && sentence.stem(at) != "time" || sentence.stem(at) == "while" || is_cause
    };
    let is_strong = |at: usize| {
        let joins = matches!(sentence.stem(at), "and" | "but" | "yet" | "so" | "nor");
        sentence.gap(at).contains([';', ':', '—', '–']) || joins && sentence.is_parted(at)
    };
    let to = (verb + 1..last).find(|at| tells_when(*at) || is_strong(*at)).unwrap_or(last);
    let start = (1..=verb).rev().find(|at| is_strong(*at)).unwrap_or(0);
    let behind_comma = || (start + 1..=verb).rev().find(|at| sentence.is_parted(*at));
    let from = if tells_when(start) { behind_comma().unwrap_or(start) } else { start };
    (from, to)
}

/// "The metering hole leads from the line to the store", "line air reaches the store".
fn joins(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let last = sentence.words.len();
    let (_, flow, is_general) = FLOWS.iter().find(|(verbs, ..)| sentence.is(at, *verbs))?;
    let (first, close) = segment(sentence, at);
    let speaks_of_air = (first..close).any(|at| {
        matches!(sentence.stem(at), "air" | "pressure" | "through" | "via" | "from" | "into")
    });
    // "Through the feed": a verb by its letters only.
    let is_noun = is_article(sentence.before(at, 1))
        || sentence.before(at, 1) == "of"
        || is_named_by_noun(sentence, at);
    // What is so while something else is asks for more than where a way leads.
    let is_while = (0..last).any(|at| {
        let stem = sentence.stem(at);
        let is_all_through = stem == "time" && sentence.before(at, 1) == "whole";
        is_all_through
            || matches!(
                stem,
                "while" | "whenever" | "when" | "during" | "unless" | "because" | "throughout"
            )
    });
    if is_while
        || sentence.tells_order
        || is_noun
        || *is_general && !speaks_of_air
        || denied(sentence)?
    {
        return None;
    }
    let is_passive = sentence.is_before(at, 1, Role::Be) || sentence.is_before(at, 2, Role::Be);
    let said = sentence.told(first, close)?;
    let relation = StatedRelation::Joins { said, verb: at - first, flow: *flow, is_passive };
    Some(Statement::new(sentence.stretch(first, close), relation))
}

fn is_article(word: &str) -> bool {
    matches!(word, "the" | "a" | "an" | "its")
}

/// "The pilot vent": one pilot vents, so that this is no verb, unless something lets it.
fn is_named_by_noun(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    let written = |at: usize| {
        let span = sentence.words[at].span();
        sentence.text.get(span.start..span.end).unwrap_or_default().to_lowercase()
    };
    let is_several = |word: &str| word.ends_with('s') || word.ends_with("ed");
    let lets = |at: usize| matches!(sentence.stem(at), "let" | "make" | "made" | "help" | "have");
    2 <= at
        && !is_several(&written(at))
        && !is_several(&written(at - 1))
        && !sentence.is(at - 1, Role::Glue)
        && is_article(sentence.stem(at - 2))
        && !sentence.is_parted(at)
        && !(0..at).any(lets)
}

/// The words between commas around a verb, with those before and behind them that a preposition
/// opens: "Out of the bottle, through the trip, the sump draws its air".
fn segment(sentence: &ClauseSentence<'_>, at: usize) -> (usize, usize) {
    let opens = |at: usize| {
        matches!(
            sentence.stem(at),
            "out" | "from" | "past" | "through" | "by" | "via" | "into" | "to" | "in" | "on"
        )
    };
    let last = sentence.words.len();
    let start = |end: usize| (1..=end).rev().find(|at| sentence.is_parted(*at)).unwrap_or(0);
    let end = |from: usize| (from + 1..last).find(|at| sentence.is_parted(*at)).unwrap_or(last);
    let mut first = start(at);
    while 0 < first && opens(start(first - 1)) {
        first = start(first - 1);
    }
    let mut close = end(at);
    while close < last && opens(close) {
        close = end(close);
    }
    (first, close)
}

impl ClauseSentence<'_> {
    /// All its words.
    fn whole(&self) -> Option<Phrase> {
        let (first, last) = (self.words.first()?.span(), self.words.last()?.span());
        let span = Span::new(first.start, last.end.max(first.start));
        Some(Phrase::of_words(span, &self.words.iter().collect::<Vec<_>>()))
    }
}
