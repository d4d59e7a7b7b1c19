//! What parts rooms, what pushes which way, where air goes: told by the verb; what the other words
//! name decides who does what.

use super::clause::{BE, ClauseSentence, Phrase};
use super::{StatedRelation, Statement};

/// Verbs of a seal, in the form in which words are compared.
const PARTS: [&str; 34] = [
    "keep",
    "kept",
    "keeping",
    "stop",
    "stopped",
    "close",
    "closed",
    "closing",
    "hold",
    "held",
    "separate",
    "separated",
    "separating",
    "part",
    "parted",
    "parting",
    "seal",
    "sealed",
    "sealing",
    "divide",
    "divided",
    "isolate",
    "isolated",
    "shut",
    "shutting",
    "cut",
    "bar",
    "block",
    "wall",
    "fence",
    "guard",
    "lock",
    "locked",
    "bottle",
];
/// Those that need no further word.
const PARTS_ALONE: [&str; 9] = [
    "separate",
    "separated",
    "separating",
    "part",
    "parted",
    "divide",
    "divided",
    "isolate",
    "isolated",
];
/// Words that stand between the two rooms.
const LINKS: [&str; 6] = ["from", "apart", "off", "out", "against", "between"];

/// Verbs of force.
const PUSHES: [&str; 58] = [
    "push",
    "pushe",
    "pushed",
    "pushing",
    "press",
    "presse",
    "pressed",
    "pressing",
    "drive",
    "driven",
    "driving",
    "drove",
    "force",
    "forced",
    "forcing",
    "throw",
    "thrown",
    "help",
    "helped",
    "bring",
    "brought",
    "bringing",
    "send",
    "sent",
    "sending",
    "return",
    "returned",
    "returning",
    "shove",
    "shoved",
    "draw",
    "drawn",
    "drawing",
    "pull",
    "pulled",
    "pulling",
    "bear",
    "bearing",
    "drag",
    "dragged",
    "suck",
    "sucked",
    "urge",
    "urged",
    "act",
    "acting",
    "lean",
    "carry",
    "carrie",
    "carried",
    "move",
    "moved",
    "moving",
    "work",
    "working",
    "take",
    "slide",
    "thrust",
];

/// Which way a part is pushed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum PushHeading {
    /// Towards the muzzle.
    Forward,
    /// Away from it.
    Back,
    /// To where it rests, or to a position of that name.
    Home,
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
#[rustfmt::skip]
const FLOWS: [(&[&str], AirFlow, bool); 8] = [
    (&["feed", "fed", "feeding", "fill", "filled", "filling", "supplie", "supplied", "supplying",
       "charge", "charged", "refill", "refilled", "refilling", "pressurise", "pressurised"],
     AirFlow::Feeds, false),
    (&["draw", "drawn"], AirFlow::Takes, false),
    (&["take", "taken", "get", "receive", "fetche", "has", "ha", "have"], AirFlow::Takes, true),
    (&["vent", "vented", "venting", "emptie", "empty", "emptied", "emptying", "dump", "dumped",
       "dumping", "exhaust", "exhausted", "discharge", "discharged", "bleed", "drain", "drained",
       "blow", "blown"], AirFlow::Empties, false),
    (&["let", "letting", "admit", "admitted", "pass", "passe", "passed", "passing", "send", "sent",
       "sending", "carrie", "carry", "bring", "deliver", "turn", "direct", "put", "putting"],
     AirFlow::Passes, true),
    (&["reache", "reach", "reached", "enter", "arrive", "flow", "flowing", "go", "goe", "goes",
       "going", "come", "coming", "run", "running", "get", "escape", "leave", "travel"],
     AirFlow::Reaches, true),
    (&["connect", "connected", "join", "joined", "joining", "link", "linked", "open"],
     AirFlow::Joins, false),
    (&["lead", "led", "leading"], AirFlow::Joins, false),
];

/// Words that deny a clause.
const DENIALS: [&str; 12] = [
    "not", "no", "never", "nothing", "neither", "nor", "none", "doesn't", "don't", "isn't",
    "aren't", "cannot",
];

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    let last = sentence.words.len();
    found.extend((0..last).find_map(|at| parts(sentence, at)));
    found.extend((0..last).find_map(|at| pushes(sentence, at)));
    found.extend((0..last).filter_map(|at| joins(sentence, at)));
}

/// Whether a clause is denied; `None` where it is denied twice or only in contrast.
fn denied(sentence: &ClauseSentence<'_>) -> Option<bool> {
    let last = sentence.words.len();
    let denials = (0..last).filter(|at| DENIALS.contains(&sentence.stem(*at)));
    // "Nothing but", "no way except": what follows is what is said.
    let is_meant = |at: &usize| {
        let near = *at + 1..*at + 4;
        let excepts = |at: usize| matches!(sentence.stem(at), "but" | "except" | "other" | "else");
        !near.into_iter().any(excepts)
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
    let links = || (at + 1..last).any(|at| LINKS.contains(&sentence.stem(at)));
    let stands = || {
        ["is", "are", "sit", "stand", "lie", "sitting", "standing", "seal", "there", "go"]
            .iter()
            .any(|word| (0..last).any(|at| sentence.stem(at) == *word))
    };
    let is_between = stem == "between" && stands();
    let is_side = stem == "one" && sentence.stem(at + 1) == "side";
    let is_verb = PARTS.contains(&stem) && (PARTS_ALONE.contains(&stem) || links());
    // "The tail ring" has a ring, "parts" may be things.
    let is_noun = matches!(sentence.before(at, 1), "the" | "a" | "an" | "moving");
    if !(is_between || is_side || is_verb && !is_noun) {
        return None;
    }
    let is_denied = denied(sentence)?;
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
        "back" | "backward" | "backwards" | "rearward" | "rearwards" | "aft" => {
            Some(PushHeading::Back)
        }
        "home" => Some(PushHeading::Home),
        "rear" if matches!(sentence.before(at, 2), "to" | "toward" | "towards") => {
            (after != "face").then_some(PushHeading::Back)
        }
        "front" | "muzzle" if matches!(sentence.before(at, 2), "to" | "toward" | "towards") => {
            Some(PushHeading::Forward)
        }
        _ => None,
    }
}

/// "X pushes the PART back", "the PART is pressed rearward by X".
fn pushes(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let last = sentence.words.len();
    if !PUSHES.contains(&sentence.stem(at)) || matches!(sentence.before(at, 1), "the" | "a") {
        return None;
    }
    let heading = (0..last).find_map(|at| heading(sentence, at))?;
    if denied(sentence)? {
        return None;
    }
    let is_passive =
        BE.contains(&sentence.before(at, 1)) || (at + 1..last).any(|at| sentence.stem(at) == "by");
    let said = sentence.whole()?;
    let is_back = (0..last).any(|at| matches!(sentence.stem(at), "it" | "them"));
    let context = sentence.before.filter(|_| is_back).cloned();
    let relation = StatedRelation::Pushes { said, context, verb: at, is_passive, heading };
    Some(Statement::new(sentence.stretch(0, last), relation))
}

/// "The metering hole leads from the line to the store", "line air reaches the store".
fn joins(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let last = sentence.words.len();
    let stem = sentence.stem(at);
    let (_, flow, is_general) = FLOWS.iter().find(|(verbs, ..)| verbs.contains(&stem))?;
    let speaks_of_air = (0..last).any(|at| {
        matches!(sentence.stem(at), "air" | "pressure" | "through" | "via" | "from" | "into")
    });
    // "Through the feed": a verb by its letters only.
    let is_noun = matches!(sentence.before(at, 1), "the" | "a" | "an" | "its" | "of");
    // What is so while something else is asks for more than where a way leads.
    let is_while = (0..last)
        .any(|at| matches!(sentence.stem(at), "while" | "whenever" | "when" | "during" | "unless"));
    if is_while
        || sentence.tells_order
        || is_noun
        || *is_general && !speaks_of_air
        || denied(sentence)?
    {
        return None;
    }
    let is_passive = BE.contains(&sentence.before(at, 1)) || BE.contains(&sentence.before(at, 2));
    let (first, last) = segment(sentence, at);
    let said = sentence.told(first, last)?;
    let relation = StatedRelation::Joins { said, verb: at - first, flow: *flow, is_passive };
    Some(Statement::new(sentence.stretch(first, last), relation))
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
        let (first, last) = (self.words.first()?, self.words.last()?);
        let span = crate::text::Span::new(first.span.start, last.span.end.max(first.span.start));
        Some(Phrase { span, words: self.words.clone() })
    }
}
