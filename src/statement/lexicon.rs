//! What words do in a sentence: looked up once a word, and asked as bits from then on.

use super::degree::{Degree, forms_of_degrees};
use super::sayings::listed_sayings;
use crate::folio::words::TextWord;
use crate::quantity::reader::{SMALL, TENS};
use ahash::AHashMap;
use std::sync::LazyLock;

macro_rules! roles {
    ($($(#[$meaning:meta])* $role:ident,)*) => {
        /// What a word may do in a sentence; its words stand in `lexicon.txt`.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub(crate) enum Role { $($(#[$meaning])* $role,)* }
        const ROLES: &[(&str, Role)] = &[$((stringify!($role), Role::$role),)*];
    };
}

roles! {
    /// Says nothing of which thing is meant.
    Light,
    /// Names nothing itself.
    Glue,
    /// Form of "to be".
    Be,
    /// Form of "to have", and verbs that stand for it.
    Have,
    /// Surely the verb of its clause.
    Verb,
    /// Denies what its clause says.
    Denial,
    /// Ends a phrase when it opens another clause.
    Turn,
    /// Begins a clause behind a comma.
    Joint,
    /// Opens a sentence and names nothing.
    Opener,
    /// Begins what stands between commas and may be left out.
    Aside,
    /// Says how far something is known: "as far as we can tell".
    Known,
    /// Says that something is as it was: until something else happens.
    Stays,
    /// Verb of what a trigger does to a valve.
    Trips,
    /// Begins what stands behind the last comma and may be left out.
    Tail,
    /// Begins what is only set against what is said: "the store, not the dome, …".
    Contrast,
    /// Participle that no rule forms.
    Participle,
    /// Says that a source is believed: "if the log is right".
    Trusted,
    /// Puts off what a clause says: it is not said to be so.
    Mood,
    /// Says that it is so no more.
    Past,
    /// Sets two amounts apart.
    Differs,
    /// Says that sizes are told of something else, or not for certain.
    Bars,
    /// Says that a thing is not as it is drawn.
    Broken,
    /// Before a comparative: it is how it seems or ought to be.
    Seems,
    /// Says which of several is meant, so that the rest of a name is not enough.
    Chooses,
    /// Begins an order or a supposition when it stands first.
    Command,
    /// Begins the subject of a clause.
    Subject,
    /// Before a figure: somebody else says it, or it was true of something else.
    Hearsay,
    /// Sets one thing against another.
    SetsAgainst,
    /// Behind a thing's name: a figure is of what it does and not of what it is.
    Moves,
    /// Names a length that is taken along a thing.
    Along,
    /// Names one that is taken across it.
    Across,
    /// Plain word of degree: "wide".
    Plain,
    /// "wider".
    Comparative,
    /// "widest".
    Superlative,
    /// Stands on both sides of what is as much: "as long as".
    As,
    /// Strengthens or softens a comparison and leaves it true or false.
    Shade,
    /// Compares by itself: "outweighs".
    Outdoing,
    /// Says that things are alike.
    Alike,
    /// Says that something became another: denied, it says that they are alike.
    Changed,
    /// Number in words.
    Cardinal,
    /// Begins with a digit.
    Digit,
    /// Has letters beyond ASCII.
    Beyond,
    /// May begin a turn of phrase.
    Saying,
    /// Of a sentence: marks part it into three or more.
    Listed,
    /// Ends a factor: "twice", "a third", "three times".
    Factor,
    /// Verb of a share or of many times as much.
    Amounts,
    /// Verb of a change from one amount to another.
    Alters,
    /// Verb of a change by an amount, upwards.
    Grows,
    /// The same, downwards.
    Shrinks,
    /// Has its amount behind it, upwards: "gained 15 cm³".
    Gains,
    /// The same, downwards.
    Sheds,
    /// Air that stays.
    Kept,
    /// Air that goes.
    Spent,
    /// A number behind it only tells which ones are meant: "the two".
    Which,
    /// Behind a number: it is part of something else.
    OfPart,
    /// Verb of a ring's size that sits somewhere.
    Sits,
    /// Counts several together: "a dozen".
    Counts,
    /// Begins or makes up a number in words beside those that count things.
    Numeral,
    /// Behind it stands by how much, or from what.
    Extent,
    /// Sets a bound to a figure, alone or with others: "at least", "no more than".
    Bounds,
    /// A ring's size behind it is only set beside another.
    Beside,
    /// Its sentence tells an order, or what is so while something else is.
    TellsOrder,
    /// May set one event before another.
    Order,
    /// "when".
    When,
    /// Before "when" it says that something is over: "has already".
    Done,
    /// Begins the next step of a sequence.
    Next,
    /// Numbers a step.
    Ordinal,
    /// Names the engine that another one was developed from.
    Elder,
    /// Names the one developed from it.
    Heir,
    /// Means two engines together.
    Pair,
    /// Means several together.
    All,
    /// What is said holds of none of them.
    None,
    /// Verb of a seal.
    Parts,
    /// Verb of a seal that needs no further word.
    PartsAlone,
    /// Stands between two rooms.
    Link,
    /// Parts two rooms without a verb: "between A and B", "on one side".
    Between,
    /// Verb of force.
    Pushes,
    /// Verb of what is moved, without what moves it.
    Comes,
    /// Verb of what brings back.
    Restores,
    /// Which way a part is pushed.
    Heading,
    /// Says that air is spoken of.
    OfAir,
    /// Says that no air passes.
    Shut,
    /// Says that it does.
    Open,
    /// "A feeds B".
    Feeds,
    /// "B draws its air from A".
    Draws,
    /// "B takes air from A".
    Takes,
    /// "A empties into B".
    Empties,
    /// "lets air into B".
    Passes,
    /// "Air of A reaches B".
    Reaches,
    /// "connects A and B".
    Connects,
    /// "leads from A to B".
    Leads,
    /// Says what something comes of.
    Cause,
    /// Verb of what brings an event about: "sets … going", "lets … lift".
    SetsOff,
}

/// A set of roles.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Roles(u128);

impl Roles {
    /// What words of figures may do.
    pub(super) const IN_FIGURES: Roles =
        Roles::of(&[Role::Digit, Role::Cardinal, Role::Numeral, Role::Factor, Role::Beyond]);

    pub(super) const fn of(roles: &[Role]) -> Roles {
        let (mut bits, mut at) = (0, 0);
        while at < roles.len() {
            bits |= 1 << roles[at] as u32;
            at += 1;
        }
        Roles(bits)
    }

    pub(super) const fn with(self, others: Roles) -> Roles {
        Roles(self.0 | others.0)
    }

    pub(super) const fn shared(self, others: Roles) -> Roles {
        Roles(self.0 & others.0)
    }

    pub(super) const fn meets(self, others: Roles) -> bool {
        self.0 & others.0 != 0
    }

    /// With a further one.
    pub(super) const fn and(self, role: Role) -> Roles {
        self.with(Roles::of(&[role]))
    }

    pub(crate) const fn has(self, role: Role) -> bool {
        self.meets(Roles::of(&[role]))
    }
}

/// What is known of a word.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Lexeme {
    pub(crate) roles: Roles,
    /// As a plain word of degree, as a comparative, as a superlative.
    pub(super) degrees: [Option<&'static Degree>; 3],
    number: Option<f64>,
}

impl Lexeme {
    const fn of(roles: &[Role]) -> Lexeme {
        Lexeme { roles: Roles::of(roles), degrees: [None; 3], number: None }
    }
}

static UNKNOWN: Lexeme = Lexeme::of(&[]);
static DIGITS: Lexeme = Lexeme::of(&[Role::Digit]);
/// "You'd", "it'll".
static CLIPPED: Lexeme = Lexeme::of(&[Role::Mood]);

/// What a name does.
pub(super) static NAME: Lexeme = Lexeme::of(&[]);
static BEYOND: Lexeme = Lexeme::of(&[Role::Beyond]);

static LEXICON: LazyLock<AHashMap<&str, Lexeme>> = LazyLock::new(|| {
    let mut lexicon: AHashMap<&str, Lexeme> = AHashMap::new();
    let first_words = listed_sayings().filter_map(|(_, saying)| saying.split(' ').next());
    let listed = listed().flat_map(|(role, words)| words.map(move |word| (role, word)));
    for (role, word) in listed.chain(first_words.map(|word| (Role::Saying, word))) {
        let lexeme = lexicon.entry(word).or_default();
        lexeme.roles = lexeme.roles.and(role);
    }
    let degrees = [Role::Plain, Role::Comparative, Role::Superlative];
    for (form, word, degree) in forms_of_degrees() {
        let lexeme = lexicon.entry(word).or_default();
        lexeme.roles = lexeme.roles.and(degrees[form]);
        lexeme.degrees[form].get_or_insert(degree);
    }
    let tens = TENS.iter().zip(2..).map(|(word, tens)| (*word, 10.0 * f64::from(tens)));
    let small = SMALL.iter().zip(0..).map(|(word, small)| (*word, f64::from(small)));
    for (word, number) in small.skip(1).chain(tens) {
        let lexeme = lexicon.entry(word).or_default();
        lexeme.roles = lexeme.roles.and(Role::Cardinal);
        lexeme.number = Some(number);
    }
    lexicon
});

/// The roles of `lexicon.txt`, a line each, with their words.
fn listed() -> impl Iterator<Item = (Role, std::str::SplitWhitespace<'static>)> {
    let lines = include_str!("lexicon.txt").lines().filter_map(|line| line.split_once(':'));
    lines.filter_map(|(name, words)| {
        let (_, role) = ROLES.iter().find(|(known, _)| *known == name)?;
        Some((*role, words.split_whitespace()))
    })
}

/// What some of these words may do.
pub(super) fn roles_of<'w>(words: impl Iterator<Item = &'w TextWord>) -> Roles {
    words.fold(Roles::default(), |roles, word| roles.with(lexeme(&word.stem).roles))
}

/// What is known of a word, in the form in which words are compared.
pub(super) fn lexeme(stem: &str) -> &'static Lexeme {
    if let Some(known) = LEXICON.get(stem) {
        return known;
    }
    match stem.as_bytes() {
        [b'0'..=b'9', ..] => &DIGITS,
        [.., b'\'', b'd'] | [.., b'\'', b'l', b'l'] => &CLIPPED,
        bytes if !bytes.is_ascii() => &BEYOND,
        _ => &UNKNOWN,
    }
}

/// Whether a word, in the form in which words are compared, says nothing of what is meant.
pub(crate) fn is_light(stem: &str) -> bool {
    lexeme(stem).roles.has(Role::Light)
}

/// Whether a word only describes what another one names, as its ending tells: adverbs, participles
/// and adjectives of quality. Which of several is meant is told by other words: "front", "second".
pub(crate) fn describes(stem: &str) -> bool {
    // Of "-ous" the plural s is taken off.
    const ENDINGS: [&str; 7] = ["ly", "ed", "ou", "ful", "less", "able", "ible"];
    let is_formed = 4 < stem.len() && !stem.ends_with("eed");
    is_formed && ENDINGS.iter().any(|ending| stem.ends_with(ending))
}

/// Whether a word may do this in a sentence.
pub(crate) fn may(stem: &str, role: Role) -> bool {
    lexeme(stem).roles.has(role)
}

/// Whether a word says which of several is meant: "the first Two", "the spare ram".
pub(crate) fn chooses(stem: &str) -> bool {
    lexeme(stem).roles.has(Role::Chooses)
}

/// Whether a word may only hold a clause together: its verb says no more than the relation does.
pub(crate) fn joins_clause(stem: &str) -> bool {
    lexeme(stem).roles.meets(Roles::of(&[Role::Be, Role::Have, Role::Verb, Role::Amounts]))
}

/// Whether a word stands for an engine by its kinship to another: "the older one".
pub(crate) fn names_kin(stem: &str) -> bool {
    lexeme(stem).roles.meets(Roles::of(&[Role::Elder, Role::Heir]))
}

/// Whether a word is one of degree in any of its forms.
pub(crate) fn is_degree(stem: &str) -> bool {
    lexeme(stem).degrees.iter().any(Option::is_some)
}

/// A whole number, spelled or in digits.
pub(crate) fn cardinal(stem: &str) -> Option<f64> {
    let known = lexeme(stem);
    let written = || stem.parse().ok().filter(|value| (1.0..1e6).contains(value));
    if known.roles.has(Role::Digit) { written() } else { known.number }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_that_only_describe_are_told_by_their_endings() {
        assert!(
            ["freshly", "polished", "generou", "careful", "movable"].map(describes) == [true; 5]
        );
        assert!(["feed", "seed", "bed", "front", "spring"].map(describes) == [false; 5]);
    }

    #[test]
    fn every_line_has_a_role_and_every_role_that_is_listed_has_words() {
        let lines = include_str!("lexicon.txt").lines();
        let lines = lines.filter(|line| !line.starts_with('#') && !line.is_empty());
        assert_eq!(listed().count(), lines.count());
        let degrees = [Role::Plain, Role::Comparative, Role::Superlative];
        let made = [
            &degrees[..],
            &[Role::Cardinal, Role::Digit, Role::Beyond],
            &[Role::Saying, Role::Listed],
        ]
        .concat();
        for (name, role) in ROLES.iter().filter(|(_, role)| !made.contains(role)) {
            assert!(listed().any(|(listed, _)| listed == *role), "{name}");
        }
        assert!(ROLES.len() <= 128, "one bit a role");
    }
}
