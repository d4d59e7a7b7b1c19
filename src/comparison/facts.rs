//! Rows for ordinal facts: which face, chamber, way or spring is the larger one, and how that is
//! known. Sizes are no part of the structure, so these rows are told and not counted.

use super::compare::{Anatomy, Row, RowStanding, told};
use super::words::Two;
use crate::cutaway::events::spoken_fact;
use crate::cutaway::model::{Fact, Relation, Term};

/// One row for each fact of both or of one engine.
pub(super) fn rows(two: &Two<'_>) -> Vec<Row> {
    let mut rows = Vec::new();
    let mut met = vec![false; two.engines[1].facts.len()];
    for fact in &two.engines[0].facts {
        let others = two.engines[1].facts.iter().enumerate().filter(|(at, _)| !met[*at]);
        let speaking = others.filter_map(|(at, other)| Some((at, agreement(two, fact, other)?)));
        // One that agrees before one that does not, in whatever order they are written.
        let found = speaking.max_by_key(|(at, agrees)| (*agrees, std::cmp::Reverse(*at)));
        let Some((at, agrees)) = found else {
            rows.push(only(two, 0, fact));
            continue;
        };
        met[at] = true;
        rows.push(both(two, fact, &two.engines[1].facts[at], agrees));
    }
    let alone = two.engines[1].facts.iter().zip(met).filter(|(_, met)| !met);
    rows.extend(alone.map(|(fact, _)| only(two, 1, fact)));
    rows
}

fn both(two: &Two<'_>, first: &Fact, second: &Fact, agrees: bool) -> Row {
    let names = [spoken_fact(two.engines[0], first), spoken_fact(two.engines[1], second)];
    let [title, other_title] = &two.titles;
    let (how, other_how) = (&first.known.how, &second.known.how);
    let text = match agrees {
        true if how == other_how => format!("{} in both ({how})", &names[0]),
        true => {
            let fact = &names[0];
            format!("{fact} in both ({how} in {title}, {other_how} in {other_title})")
        }
        false => {
            let (here, there) = (&names[0], &names[1]);
            format!("in {title} {here} ({how}), in {other_title} {there} ({other_how})")
        }
    };
    Row {
        anatomy: Anatomy::Facts,
        things: [None, None],
        names: names.map(Some),
        sure: None,
        why: String::new(),
        standing: if agrees { RowStanding::Same } else { RowStanding::Different },
        says: vec![told(text)],
    }
}

fn only(two: &Two<'_>, side: usize, fact: &Fact) -> Row {
    let words = spoken_fact(two.engines[side], fact);
    let title = &two.titles[side];
    let other = &two.engines[1 - side].name.id;
    let mut terms = fact.left.iter().chain(&fact.right);
    let speaks_of_other =
        terms.any(|term| matches!(term, Term::Foreign(engine, _) if engine == other));
    let (what, how) = (&words, &fact.known.how);
    // A fact that speaks of both engines is nothing that one of them lacks.
    let (standing, text) = if speaks_of_other {
        (RowStanding::Different, format!("{title}: {what} ({how})"))
    } else {
        let standing = [RowStanding::OnlyFirst, RowStanding::OnlySecond][side];
        (standing, format!("said of {title} only: {what} ({how})"))
    };
    let mut names = [None, None];
    names[side] = Some(words);
    Row {
        anatomy: Anatomy::Facts,
        things: [None, None],
        names,
        sure: None,
        why: String::new(),
        standing,
        says: vec![told(text)],
    }
}

/// Whether two facts that speak of the same things say the same of them; `None` where they speak
/// of different things.
fn agreement(two: &Two<'_>, first: &Fact, second: &Fact) -> Option<bool> {
    let crossed =
        same_terms(two, &first.left, &second.right) && same_terms(two, &first.right, &second.left);
    let straight =
        same_terms(two, &first.left, &second.left) && same_terms(two, &first.right, &second.right);
    let speaks_of_spent = |fact: &Fact| fact.relation.is_of_a_time();
    if speaks_of_spent(first) || speaks_of_spent(second) {
        return agreement_at_times(two, (first, second), straight, crossed);
    }
    if straight {
        return Some(first.relation == second.relation);
    }
    let both_equal = first.relation == Relation::Equal && second.relation == Relation::Equal;
    crossed.then_some(both_equal)
}

/// A fact of spent pressure and one of full pressure speak of different things, whichever side
/// they call larger; only what is much larger wins with spent pressure too.
fn agreement_at_times(
    two: &Two<'_>,
    (first, second): (&Fact, &Fact),
    straight: bool,
    crossed: bool,
) -> Option<bool> {
    match (first.relation, second.relation) {
        (Relation::LargerOnceSpent, Relation::LargerOnceSpent) => straight.then_some(true),
        (Relation::MuchLarger, _) | (_, Relation::MuchLarger) => crossed.then_some(false),
        // At full pressure all landmarks are passed.
        (Relation::Larger, Relation::LargerFrom(_))
        | (Relation::LargerFrom(_), Relation::Larger) => crossed.then_some(false),
        (Relation::LargerBelow(a), Relation::LargerBelow(b))
        | (Relation::LargerFrom(a), Relation::LargerFrom(b)) => {
            // Landmarks are partners by their order from the lowest.
            let height = |side: usize, mark| two.engines[side].landmarks[mark].height;
            (straight && height(0, a) == height(1, b)).then_some(true)
        }
        _ => None,
    }
}

fn same_terms(two: &Two<'_>, first: &[Term], second: &[Term]) -> bool {
    let there = |term: &Term| match term {
        Term::Own(element) => two.partner(0, *element).map(Term::Own),
        Term::Foreign(..) => Some(term.clone()),
    };
    let mut left: Vec<&Term> = second.iter().collect();
    let all_found = first.iter().all(|term| {
        let wanted = there(term);
        let found = left.iter().position(|other| wanted.as_ref() == Some(*other));
        found.map(|at| left.remove(at)).is_some()
    });
    all_found && left.is_empty()
}
