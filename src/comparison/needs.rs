//! Conditions in a form in which two of them can be compared.
//!
//! `bolt before caught` in one engine and `bolt at back` in another may say the same. So what a
//! list of conditions says of each part is kept as the set of positions at which it may stand.

use crate::cutaway::model::{
    ChamberId, ChoiceId, Condition, Engine, LandmarkId, PartId, PositionId, TriggerId, ValveId,
};
use std::collections::{BTreeMap, BTreeSet};

/// What a list of conditions asks for, by what it speaks of. Asks that are always met are left
/// out; one that can never be met has an empty set.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Needs {
    /// Positions at which each part may stand.
    pub(super) stands: BTreeMap<PartId, BTreeSet<PositionId>>,
    /// Whether each valve may be at rest (`false`) or shifted (`true`).
    pub(super) valves: BTreeMap<ValveId, BTreeSet<bool>>,
    /// Triggers that must be pulled.
    pub(super) pulled: BTreeSet<TriggerId>,
    /// Triggers that must not be pulled.
    pub(super) released: BTreeSet<TriggerId>,
    /// Whether each chamber may hold less than a landmark (`false`) or as much (`true`).
    pub(super) marks: BTreeMap<(ChamberId, LandmarkId), BTreeSet<bool>>,
    /// Whether each chamber may be without (`false`) or with pressure (`true`).
    pub(super) pressure: BTreeMap<ChamberId, BTreeSet<bool>>,
    /// Pairs of which the first must hold more than the second.
    pub(super) above: BTreeSet<(ChamberId, ChamberId)>,
    /// Choices of which one must be met.
    pub(super) choices: BTreeSet<ChoiceId>,
}

impl Needs {
    /// What these conditions ask for together.
    pub(super) fn of(engine: &Engine, conditions: &[Condition]) -> Needs {
        let mut needs = Needs::default();
        for condition in conditions {
            needs.add(engine, *condition);
        }
        needs.stands.retain(|part, stands| stands.len() < engine.parts[*part].positions.len());
        needs
    }

    fn add(&mut self, engine: &Engine, condition: Condition) {
        match condition {
            Condition::At(part, at) => self.stand(engine, part, |position| position == at),
            Condition::From(part, at) => self.stand(engine, part, |position| at <= position),
            Condition::Before(part, at) => self.stand(engine, part, |position| position < at),
            Condition::Shifted(valve) => narrow(self.valves.entry(valve), true),
            Condition::Resting(valve) => narrow(self.valves.entry(valve), false),
            Condition::Pulled(trigger) => {
                self.pulled.insert(trigger);
            }
            Condition::Released(trigger) => {
                self.released.insert(trigger);
            }
            Condition::Reached(chamber, mark) => narrow(self.marks.entry((chamber, mark)), true),
            Condition::Below(chamber, mark) => narrow(self.marks.entry((chamber, mark)), false),
            Condition::Pressure(chamber) => narrow(self.pressure.entry(chamber), true),
            Condition::NoPressure(chamber) => narrow(self.pressure.entry(chamber), false),
            Condition::Above(high, low) => {
                self.above.insert((high, low));
            }
            Condition::Either(choice) => match Needs::stands_of_one_part(engine, choice) {
                Some((part, stands)) => self.stand(engine, part, |at| stands.contains(&at)),
                None => {
                    self.choices.insert(choice);
                }
            },
        }
    }

    /// A choice that speaks of one part only says where that may stand.
    pub(super) fn stands_of_one_part(
        engine: &Engine,
        choice: ChoiceId,
    ) -> Option<(PartId, BTreeSet<PositionId>)> {
        let mut of_part = None;
        let mut all = BTreeSet::new();
        for conditions in &engine.choices[choice] {
            let mut needs = Needs::default();
            conditions.iter().for_each(|condition| needs.add(engine, *condition));
            let stands = std::mem::take(&mut needs.stands);
            let mut stands = stands.into_iter();
            let (Some((part, places)), None) = (stands.next(), stands.next()) else { return None };
            if needs != Needs::default() || *of_part.get_or_insert(part) != part {
                return None;
            }
            all.extend(places);
        }
        Some((of_part?, all))
    }

    fn stand(&mut self, engine: &Engine, part: PartId, may: impl Fn(PositionId) -> bool) {
        let all = engine.parts[part].positions.ids();
        let stands = self.stands.entry(part).or_insert_with(|| all.collect());
        stands.retain(|position| may(*position));
    }
}

type NeedEntry<'a, I> = std::collections::btree_map::Entry<'a, I, BTreeSet<bool>>;

/// Leaves only one of the two.
fn narrow<I: Ord>(entry: NeedEntry<'_, I>, wanted: bool) {
    let both = || BTreeSet::from([false, true]);
    entry.or_insert_with(both).retain(|state| *state == wanted);
}
