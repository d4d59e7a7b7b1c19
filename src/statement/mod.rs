//! The statement reader: finds what a sentence says of things beside figures.
//!
//! ```text
//! "Ash's store is half as large again as Rowan's."
//!  ^^^^^^^^^^^    ^^^^^^^^^^^^^^^^^^^    ^^^^^^^^    one thing, a relation, another thing
//! ```
//!
//! A breakdown is mostly relation and order: "wider than", "three times the", "closes before",
//! "keeps A from B". Each relation has a file of its own that knows the forms in which English
//! writes it. The reader works sentence by sentence on words alone, in linear time. What it is
//! not sure of it leaves: a missed statement costs a check, an invented one costs trust.
//!
//! It knows no readings, no cutaways and no engines: it hands on phrases, and whoever knows the
//! folio says what they name (`proof/checks/relation`). It judges nothing.

mod alike;
mod apart;
mod assertion;
mod became;
mod beside;
mod bound;
mod cause;
mod clause;
mod coordination;
mod count;
mod dated;
mod degree;
mod lexicon;
mod likeness;
mod mood;
mod order;
mod ranking;
mod ratio;
mod ring;
mod room;
mod sayings;
mod share;
mod state;
mod variants;

pub(crate) use assertion::AssertionFrame;
pub(crate) use beside::SaidBeside;
pub(crate) use clause::Phrase;
pub(crate) use dated::DateBound;
pub(crate) use degree::{Degree, Sense, comparative, measures, speaks_of};
pub(crate) use lexicon::{
    Role, cardinal, chooses, describes, is_degree, is_light, joins_clause, may, names_kin,
};
pub(crate) use ratio::Factor;
pub(crate) use room::{AirFlow, PushHeading};

use crate::folio::words::sentences;
use crate::text::Span;
use crate::text::calendar::WrittenDate;
use clause::{ClauseSentence, PassageFigures};
use lexicon::Roles;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What a sentence says, as far as it is a relation.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Statement {
    /// The clause that says it.
    pub(crate) span: Span,
    pub(crate) relation: StatedRelation,
    /// What the sentence before speaks of: for what is left out or told by a pronoun.
    pub(crate) before: Option<Phrase>,
    /// The sentence that says it.
    pub(crate) sentence: Span,
    /// What the sentence says beside it.
    pub(crate) beside: Arc<SaidBeside>,
}

impl Statement {
    fn new(span: Span, relation: StatedRelation) -> Statement {
        Statement { span, relation, before: None, sentence: span, beside: Arc::default() }
    }
}

/// How one quantity stands to another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Than {
    /// "wider than".
    More,
    /// "narrower than".
    Less,
    /// "no narrower than".
    NotLess,
    /// "no wider than", "not as wide as".
    NotMore,
}

impl Than {
    pub(crate) fn denied(self) -> Than {
        match self {
            Than::More => Than::NotMore,
            Than::Less => Than::NotLess,
            Than::NotLess => Than::Less,
            Than::NotMore => Than::More,
        }
    }
}

/// What a clause says of a push beside the things that it names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct ToldPush {
    /// Whether "it" stands for something that the sentence before names.
    pub(crate) points_back: bool,
    /// Place of the verb among the words.
    pub(crate) verb: usize,
    pub(crate) is_passive: bool,
    pub(crate) heading: PushHeading,
    pub(crate) is_denied: bool,
}

/// A relation between things.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum StatedRelation {
    /// "the bolt is heavier than the switch".
    Compare { left: Phrase, right: Phrase, degree: &'static Degree, than: Than },
    /// "as long as".
    Same { left: Phrase, right: Phrase, degree: &'static Degree, is_denied: bool },
    /// "twice as long as", "a third of the area of": `left` is `factor` times `right`.
    Ratio { left: Phrase, right: Phrase, degree: Option<&'static Degree>, factor: Factor },
    /// "5 mm longer than": `by` is the figure's place.
    Apart { left: Phrase, right: Phrase, degree: &'static Degree, by: Span },
    /// "There are 8 mm between A and B": whichever is more.
    Between { left: Phrase, right: Phrase, by: Span },
    /// "went from 21 g to 18 g", from the engine it descends from.
    Change { what: Phrase, from: Span, to: Span },
    /// "have the same bore", "the bore was not changed": a figure of several engines, or the rings
    /// of several seals; `is_change`: a figure is what it was before.
    Alike { said: Phrase, degree: Option<&'static Degree>, is_denied: bool, is_change: bool },
    /// "the heaviest": more than every other; of a pair, more than the other one.
    Extreme { what: Phrase, degree: &'static Degree, is_of_pair: bool, is_denied: bool },
    /// "A before B": in every run, the first before the second.
    Before { first: Phrase, then: Phrase },
    /// "the land seal keeps the store from the switch room": which words are whose is for those to
    /// say who know the names.
    Parts { said: Phrase, is_denied: bool },
    /// "the spring pushes the bolt back".
    Pushes { said: Phrase, told: ToldPush },
    /// "the metering hole leads from the line to the store".
    Joins { said: Phrase, verb: usize, flow: AirFlow, is_passive: bool },
    /// "The trigger shifts the pilot".
    Trips { said: Phrase },
    /// "The sinking pocket lets the disc lift".
    SetsOff { cause: Phrase, effect: Phrase },
    /// "A while B stands so".
    Amid { what: Phrase, state: Phrase },
    /// "first A, then B, and only then C"; `is_told`: words say that it is an order.
    Sequence { steps: Vec<Phrase>, is_told: bool },
    /// "while the spool is forward, the hole is shut".
    During { state: Phrase, what: Phrase, is_open: bool },
    /// "The hole stays open throughout", "never opens": all through a shot.
    Throughout { what: Phrase, is_open: bool },
    /// "Thanks to a wider jet": than that of the other one, which is taken for granted.
    Granted { left: Phrase, degree: &'static Degree },
    /// "The bob was made lighter": than before.
    Became { what: Phrase, degree: &'static Degree },
    /// "the land ring is a -016", "went from a -010 to a -009"; sizes without their dash.
    Ring { seal: Phrase, was: Option<String>, size: String },
    /// "Gorse has three trips"; `is_some`: there may be more of them, "two rings are soft".
    Count { said: Phrase, noun: Phrase, than: Option<Than>, count: f64, is_some: bool },
    /// "weighs less than 25 g": `figure` is the figure's place.
    Bound { what: Phrase, than: Than, figure: Span },
    /// "grew by 2 mm", from the engine it descends from.
    Grew { what: Phrase, by: Span, is_more: bool },
    /// "keeps two thirds of its air", "spends nearly all of it".
    Share { who: Phrase, factor: Factor, is_kept: bool },
    /// "the drawings were done in September 2032".
    Dated { what: Phrase, date: WrittenDate, bound: DateBound },
    /// Each of these: "both A and B push it".
    Each { parts: Vec<StatedRelation> },
    /// A whole sentence that says something of these sorts in a form that none of the others has.
    Asserted { said: Phrase, frames: Vec<AssertionFrame>, is_past: bool },
}

/// Words of a sentence at the most: what goes on for longer is a list, and reading it clause by
/// clause would take time that grows faster than the text.
const MOST_WORDS: usize = 90;

/// Finds the statements of a passage of plain text, in the order in which they stand. A clause that
/// can be read in several ways is given in all of them, the likeliest first: whoever knows what
/// words name takes the first that names something.
pub(crate) fn read(text: &str) -> Vec<Statement> {
    let figures = PassageFigures::of(text);
    let sentences = sentences(text).into_iter();
    let sentences = sentences.map(|span| ClauseSentence::new(text, span, &figures));
    let mut found = Vec::new();
    let mut before: Option<ClauseSentence<'_>> = None;
    for whole in sentences {
        read_sentence(&whole, before.as_ref(), &mut found);
        before = Some(whole);
    }
    found
}

/// What reads a sentence, whether words of some roles may hold anything for it, and the role of
/// words by which it is to be left alone.
struct StatementReader {
    wakes: fn(Roles) -> bool,
    barred_by: Option<Role>,
    read: fn(&ClauseSentence<'_>, &mut Vec<Statement>),
}

impl StatementReader {
    fn may_read(&self, says: Roles) -> bool {
        self.barred_by.is_none_or(|role| !says.has(role)) && (self.wakes)(says)
    }
}

macro_rules! readers {
    ($($module:ident $barred_by:expr,)*) => {
        [$(StatementReader {
            wakes: $module::wakes,
            barred_by: $barred_by,
            read: $module::read,
        },)*]
    };
}

const READERS: [StatementReader; 15] = readers![
    order None,
    cause Some(Role::Broken),
    apart Some(Role::Bars),
    likeness Some(Role::Bars),
    alike Some(Role::Bars),
    share Some(Role::Bars),
    ratio Some(Role::Bars),
    became Some(Role::Bars),
    ring None,
    bound Some(Role::Bars),
    count None,
    room Some(Role::Broken),
    state Some(Role::Broken),
    dated None,
    assertion None,
];

fn read_sentence<'a>(
    whole: &ClauseSentence<'a>,
    before: Option<&ClauseSentence<'a>>,
    found: &mut Vec<Statement>,
) {
    if !READERS.iter().any(|reader| (reader.wakes)(whole.roles())) {
        return;
    }
    // "Pull the trigger and the pilot is first to wake": what comes of it.
    let led = variants::led_by_trigger(whole).filter(mood::is_claim);
    let sentence = led.as_ref().map(Cow::Borrowed).or_else(|| claim(whole));
    let Some(sentence) = sentence else { return };
    let first = found.len();
    found.extend(ranking::ranked(led.as_ref().unwrap_or(whole)));
    read_clause(&sentence, found);
    let others = variants::others(&sentence);
    others.iter().for_each(|variant| read_clause(variant, found));
    let variants = std::iter::once(&*sentence).chain(&others);
    let pairs = variants.flat_map(|it| [coordination::of_each(it), variants::gapped(it)]);
    found.extend(pairs.flatten().filter_map(|it| said_of_each(&it)));
    if first == found.len() && !order::follows_on(&sentence) {
        return;
    }
    let before = before.and_then(claim).and_then(|before| before.phrase(0, before.words.len()));
    found.extend(before.as_ref().and_then(|before| order::across(before, &sentence)));
    let beside = Arc::new(SaidBeside::of(whole));
    for statement in found.iter_mut().skip(first) {
        statement.before.clone_from(&before);
        statement.sentence = whole.span;
        statement.beside = Arc::clone(&beside);
    }
}

fn read_clause(clause: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    // Such a sentence is read without its aside; that it asserts something is counted.
    let readers = match clause.denies_aside() {
        true => &READERS[READERS.len() - 1..],
        false => &READERS[..],
    };
    for reader in readers.iter().filter(|reader| reader.may_read(clause.roles())) {
        (reader.read)(clause, found);
    }
}

/// What is said of each of two things, where it is the same of both.
fn said_of_each(clauses: &[ClauseSentence<'_>; 2]) -> Option<Statement> {
    let is_judged = |it: &Statement| {
        !matches!(it.relation, StatedRelation::Asserted { .. } | StatedRelation::Count { .. })
    };
    let [one, other] = clauses.each_ref().map(|clause| {
        let mut found = Vec::new();
        read_clause(clause, &mut found);
        found.into_iter().find(is_judged)
    });
    let (one, other) = (one?, other?);
    let kind = std::mem::discriminant(&one.relation);
    let is_alike = kind == std::mem::discriminant(&other.relation);
    let span = Span::new(one.span.start.min(other.span.start), one.span.end.max(other.span.end));
    let relation = StatedRelation::Each { parts: vec![one.relation, other.relation] };
    is_alike.then(|| Statement::new(span, relation))
}

/// A sentence without what only opens or softens it, where it claims something and is no list.
fn claim<'s, 'a>(whole: &'s ClauseSentence<'a>) -> Option<Cow<'s, ClauseSentence<'a>>> {
    if MOST_WORDS < whole.words.len() {
        return None;
    }
    let sentence = variants::without_fillers(whole);
    mood::is_claim(&sentence).then_some(sentence)
}

/// The first of those that overlap, in the order in which they stand. A ring's size is told beside
/// something else: "the lid ring, a -110, parts the dome from the throat".
pub(crate) fn first_readings<T>(found: Vec<T>, of: impl Fn(&T) -> &Statement) -> Vec<T> {
    let mut kept: Vec<T> = Vec::new();
    // Where the kept ones start and end: those of a sort do not overlap.
    let mut told: [BTreeMap<usize, usize>; 2] = Default::default();
    for statement in found {
        let Statement { span, relation, .. } = of(&statement);
        let told = &mut told[usize::from(matches!(relation, StatedRelation::Ring { .. }))];
        let last = told.range(..span.end).next_back();
        if last.is_none_or(|(_, end)| *end <= span.start) {
            told.insert(span.start, span.end);
            kept.push(statement);
        }
    }
    kept.sort_by_key(|statement| of(statement).span);
    kept
}

#[cfg(test)]
mod tests;
