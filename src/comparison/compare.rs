//! Two engines side by side: rows grouped by anatomy, each with what is the same or different.

use super::matching::{Matching, Sure, matched};
use super::sequence::{Sequence, aligned};
use super::thing::Facing;
use super::words::Two;
use super::{Side, facts, fixed_rows, folding, moving_rows};
use crate::cutaway::model::Element;
use crate::text::{listed, once_each};
use std::collections::BTreeSet;

/// The groups of rows, in the order in which they are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Anatomy {
    /// Chambers and what they are for.
    Chambers,
    /// Ways and what opens them.
    Ways,
    /// Moving parts, the faces and contacts that push them, latches and links.
    Parts,
    /// Triggers and valves.
    Valves,
    /// Springs.
    Springs,
    /// Seals and what they keep apart.
    Seals,
    /// Ball and barrel.
    BallAndBarrel,
    /// Ring sizes: told, but no part of the structure.
    Sizes,
    /// Ordinal facts: told, but no part of the structure.
    Facts,
}

impl Anatomy {
    /// All groups with their headings.
    pub const ALL: [(Anatomy, &'static str); 9] = [
        (Anatomy::Chambers, "Chambers"),
        (Anatomy::Ways, "Ways"),
        (Anatomy::Parts, "Moving parts and what pushes them"),
        (Anatomy::Valves, "Triggers and valves"),
        (Anatomy::Springs, "Springs"),
        (Anatomy::Seals, "Seals"),
        (Anatomy::BallAndBarrel, "Ball and barrel"),
        (Anatomy::Sizes, "Sizes"),
        (Anatomy::Facts, "Which is larger"),
    ];
}

/// How the two sides of a row stand to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RowStanding {
    /// The same in both.
    Same,
    /// In both, but not the same.
    Different,
    /// Only the first engine has it.
    OnlyFirst,
    /// Only the second engine has it.
    OnlySecond,
}

impl RowStanding {
    /// The same seen with the two engines changed about.
    #[must_use]
    pub fn turned(self) -> RowStanding {
        match self {
            RowStanding::OnlyFirst => RowStanding::OnlySecond,
            RowStanding::OnlySecond => RowStanding::OnlyFirst,
            other => other,
        }
    }
}

/// One sentence of a row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sentence {
    /// Without full stop.
    pub text: String,
    /// Whether it tells a difference of structure that no other row tells. What follows from
    /// another row, sizes and looks are told, but not counted.
    pub counts: bool,
}

/// One thing of both engines, or of one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Its group.
    pub anatomy: Anatomy,
    /// The thing in the first and in the second engine; facts have none.
    pub(crate) things: [Option<Element>; 2],
    /// What each engine calls it, or for a fact its words.
    pub names: [Option<String>; 2],
    /// How sure it is that the two are the same thing.
    pub sure: Option<Sure>,
    /// Why they are taken for the same.
    pub(crate) why: String,
    /// Same or different.
    pub standing: RowStanding,
    /// What is the same, or what differs, with the evidence.
    pub says: Vec<Sentence>,
}

impl Row {
    /// Whether it tells a difference of structure that no other row tells.
    pub(super) fn tells_a_difference(&self) -> bool {
        self.says.iter().any(|says| says.counts)
    }
}

/// What two engines have in common and what not.
#[derive(Debug, Clone)]
pub struct Likeness {
    /// The engines' names, as sentences say them.
    pub titles: [String; 2],
    /// What is what.
    pub matching: Matching,
    /// Rows, grouped by anatomy.
    pub rows: Vec<Row>,
    /// How many differences of structure the rows tell.
    pub differences: usize,
    /// The told runs beside each other.
    pub sequence: Sequence,
    /// What is to be marked in the pictures of each.
    pub marks: [BTreeSet<Element>; 2],
}

impl Likeness {
    /// Whether everything is matched and the same.
    pub(crate) fn is_same_structure(&self) -> bool {
        self.differences == 0
    }

    /// The answer in one sentence: "Ash beside Rowan: same structure; same order in 27 of 27
    /// events".
    #[must_use]
    pub fn answer(&self) -> String {
        let [first, second] = &self.titles;
        let as_far = match self.sequence.open.iter().any(Option::is_some) {
            true => ", as far as both shots are decided",
            false => "",
        };
        format!("{second} beside {first}: {}; {}{as_far}", self.verdict(), self.sequence.verdict())
    }

    /// Whether both fire in the same order, as a sentence without full stop, with one of the events
    /// that tell them apart: "Ash beside Rowan: no, 21 of 24 events come in the same order; for
    /// one, the ball leaves after the store is shut in Rowan, before it in Ash".
    #[must_use]
    pub fn order_answer(&self) -> String {
        let [first, second] = &self.titles;
        let sequence = &self.sequence;
        let answer = match sequence.open.iter().any(Option::is_some) {
            _ if sequence.all == 0 => "not known",
            true => "not decided",
            false if sequence.is_same() => "yes",
            false => "no",
        };
        let but = match answer {
            "no" if sequence.same == sequence.all && !sequence.ends_alike => {
                ", but the end differs"
            }
            "no" if sequence.same == sequence.all => {
                ", but what brings them about, or how certain the order is, differs"
            }
            _ => "",
        };
        let one = match sequence.says.first() {
            Some(says) if answer == "no" && but.is_empty() => format!("; for one, {says}"),
            _ => String::new(),
        };
        let share = match sequence.all {
            0 => sequence.verdict(),
            all => format!("{} of {all} events come in the same order", sequence.same),
        };
        format!("{second} beside {first}: {answer}, {share}{but}{one}")
    }

    /// "same structure"; "same structure, but sizes or facts differ in 2 points"; "same but for
    /// the mouth and the bolt (3 differences in structure)"; "6 differences in structure: the
    /// pilot, …"; "32 differences in structure".
    #[must_use]
    pub fn verdict(&self) -> String {
        let mut verdict = self.verdict_of_pairing();
        if self.matching.facing == Facing::TurnedRound {
            let second = &self.titles[1];
            verdict = format!("{verdict}, with {second} turned round: its forward is back here");
        }
        match self.matching.is_whole {
            true => verdict,
            false => format!("{verdict}, under the best of the pairings looked at"),
        }
    }

    fn verdict_of_pairing(&self) -> String {
        let count = match self.differences {
            0 => return self.same_but_for_sizes(),
            1 => "1 difference in structure".to_owned(),
            count => format!("{count} differences in structure"),
        };
        let is_structure = |row: &&Row| row.anatomy < Anatomy::Sizes;
        let (differing, same): (Vec<&Row>, Vec<&Row>) =
            self.rows.iter().filter(is_structure).partition(|row| row.tells_a_difference());
        let names = differing.iter().filter_map(|row| row.names.iter().flatten().next());
        // A room and the line that leads to it may bear one name.
        let named = once_each(names.map(|name| format!("the {name}")));
        match differing.len() {
            few if few <= FEW && 2 * few <= same.len() => {
                format!("same but for {} ({count})", listed(&named, "and"))
            }
            some if some <= NAMED => format!("{count}: {}", listed(&named, "and")),
            _ => count,
        }
    }

    fn same_but_for_sizes(&self) -> String {
        let differing = |row: &&Row| row.standing == RowStanding::Different;
        match self.rows.iter().filter(differing).count() {
            0 => "same structure".to_owned(),
            1 => "same structure, but a size or a fact differs".to_owned(),
            points => format!("same structure, but sizes or facts differ in {points} points"),
        }
    }
}

/// Things that may differ between engines that are told to be the same but for them.
const FEW: usize = 3;
/// Things that are named where more differ.
const NAMED: usize = 8;

/// Compares two engines by structure and by the order of events.
#[must_use]
pub fn compare(first: Side<'_>, second: Side<'_>) -> Likeness {
    let engines = [first.engine, second.engine];
    let matching = matched(first.engine, second.engine);
    let two = Two::new(engines, &matching);
    let mut rows = fixed_rows::chambers(&two);
    rows.extend(fixed_rows::ways(&two));
    rows.extend(moving_rows::parts(&two));
    rows.extend(moving_rows::valves(&two));
    rows.extend(fixed_rows::seals(&two));
    rows.extend(fixed_rows::ball(&two));
    rows.extend(fixed_rows::sizes(&two));
    rows.extend(facts::rows(&two));
    folding::fold(&two, &mut rows);
    rows.sort_by_key(|row| row.anatomy);
    let counted = rows.iter().flat_map(|row| &row.says).filter(|says| says.counts);
    let differences = counted.count();
    let marks = [0, 1].map(|side| marked(&rows, side));
    let sequence = aligned([first, second], &two);
    let titles = two.titles.clone();
    Likeness { titles, rows, differences, sequence, marks, matching }
}

/// What is to be marked in the pictures of one engine: pieces with what they belong to.
fn marked(rows: &[Row], side: usize) -> BTreeSet<Element> {
    let is_alone =
        |row: &Row| [RowStanding::OnlyFirst, RowStanding::OnlySecond].contains(&row.standing);
    let differing = rows.iter().filter(|row| row.tells_a_difference() || is_alone(row));
    let things = differing.filter_map(|row| row.things[side]);
    let whole = things.map(|thing| thing.owner().unwrap_or(thing));
    whole.filter(|thing| !matches!(thing, Element::Trigger(_) | Element::Ball)).collect()
}

/// A row for things that both have: the same where nothing is told against it.
pub(super) fn row_of_both(
    two: &Two<'_>,
    anatomy: Anatomy,
    (first, second): (Element, Element),
    differing: Vec<Sentence>,
    same: impl FnOnce() -> String,
) -> Row {
    let pair = two.matching.pair_of(first);
    let is_same = differing.is_empty();
    let mut says = differing;
    if is_same {
        says.push(Sentence { text: same(), counts: false });
    }
    Row {
        anatomy,
        things: [Some(first), Some(second)],
        names: [Some(two.label(0, first)), Some(two.label(1, second))],
        sure: pair.map(|pair| pair.sure),
        why: pair.map(|pair| pair.why.clone()).unwrap_or_default(),
        standing: if is_same { RowStanding::Same } else { RowStanding::Different },
        says,
    }
}

/// A row for a thing that only one has.
pub(super) fn row_of_one(
    two: &Two<'_>,
    anatomy: Anatomy,
    side: usize,
    thing: Element,
    what: &str,
) -> Row {
    let mut row = Row {
        anatomy,
        things: [None, None],
        names: [None, None],
        sure: None,
        why: String::new(),
        standing: [RowStanding::OnlyFirst, RowStanding::OnlySecond][side],
        says: vec![counted(two.only(side, what))],
    };
    row.things[side] = Some(thing);
    row.names[side] = Some(two.label(side, thing));
    row
}

/// A sentence that tells a difference of structure.
pub(super) fn counted(text: String) -> Sentence {
    Sentence { text, counts: true }
}

/// A sentence that is told only.
pub(super) fn told(text: String) -> Sentence {
    Sentence { text, counts: false }
}
