//! What pushes a part, and which way it goes: signs of forces from levels and ordinal facts.

use super::air::{Groups, Stages, joints};
use super::state::{Level, Need, State};
use crate::cutaway::fact_line;
use crate::cutaway::model::{
    ChamberId, Condition, Direction, Element, Engine, LandmarkId, List, PartId, Push, PushId,
    PushKind, Relation, Term,
};
use crate::text::listed;
use std::collections::BTreeSet;

/// A push on a part.
pub(super) type PushOn = (PartId, PushId);

/// Which way a part goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Balance {
    /// Nothing pushes, or all pushes cancel.
    Still,
    /// It is pushed this way: by these, against these, as these facts decide.
    Goes { to: Direction, by: Vec<PushOn>, against: Vec<PushOn>, facts: Vec<usize> },
    /// Pushes oppose each other and nothing decides.
    Undecided { forward: Vec<PushOn>, back: Vec<PushOn> },
}

impl Balance {
    /// Which way it goes, where that is decided and it does.
    pub(super) fn direction(&self) -> Option<Direction> {
        match self {
            Balance::Goes { to, .. } => Some(*to),
            Balance::Still | Balance::Undecided { .. } => None,
        }
    }
}

/// An ordinal fact between pushes, given or concluded from others.
#[derive(Debug, Clone)]
struct ForceRule {
    left: Vec<PushOn>,
    right: Vec<PushOn>,
    relation: Relation,
    /// The facts it rests on.
    facts: Vec<usize>,
}

/// The pressures of each room of which something hangs: landmarks in conditions and facts, and what
/// is left where something without pressure wins against it. And those that somebody speaks of.
fn stages(engine: &Engine, rules: &[ForceRule]) -> List<ChamberId, Stages> {
    let mut stages = engine.chambers.map(|_, _| Stages::default());
    let height = |mark: LandmarkId| engine.landmarks[mark].height;
    for condition in engine.conditions() {
        if let Condition::Reached(at, mark) | Condition::Below(at, mark) = condition {
            stages[at].landmarks.insert(height(mark));
        }
    }
    let ordered = engine.orders.iter().flat_map(|order| [order.first, order.then]);
    let said = ordered.chain(engine.sayings.iter().map(|saying| saying.event));
    let watched = said.filter_map(|event| event.landmark()).chain(engine.watched.iter().copied());
    watched.for_each(|(room, mark)| _ = stages[room].landmarks.insert(height(mark)));
    for way in &engine.ways {
        stages[way.from].landmarks.extend(way.relieves_at.map(height));
    }
    let face = |(part, push): &PushOn| match engine.parts[*part].pushes[*push].kind {
        PushKind::Face(room) => Some(room),
        PushKind::Spring | PushKind::Hand | PushKind::Contact(_) => None,
    };
    for rule in rules {
        let (left, right) = (rule.left.iter().filter_map(face), rule.right.iter().filter_map(face));
        match rule.relation {
            Relation::LargerOnceSpent if left.clone().next().is_none() => {
                right.for_each(|room| stages[room].when_spent = true);
            }
            Relation::LargerBelow(mark) => right.for_each(|room| {
                stages[room].landmarks.insert(height(mark));
            }),
            Relation::LargerFrom(mark) => left.for_each(|room| {
                stages[room].landmarks.insert(height(mark));
            }),
            _ => {}
        }
    }
    stages
}

/// All that the facts say of pushes, worked out once for an engine.
#[derive(Debug)]
pub(super) struct Rules {
    rules: Vec<ForceRule>,
    /// The group of parts that move as one, by part: the first among them.
    pub(super) linked: List<PartId, PartId>,
    /// The pressures of each room of which something hangs.
    pub(super) stages: List<ChamberId, Stages>,
}

impl Rules {
    pub(super) fn new(engine: &Engine) -> Rules {
        let mut rules: Vec<ForceRule> = engine
            .facts
            .iter()
            .enumerate()
            .filter_map(|(at, fact)| {
                let (left, right) = (pushes(&fact.left)?, pushes(&fact.right)?);
                Some(ForceRule { left, right, relation: fact.relation, facts: vec![at] })
            })
            .collect();
        let turned: Vec<ForceRule> = rules
            .iter()
            .filter(|rule| rule.relation == Relation::Equal)
            .map(|rule| ForceRule {
                left: rule.right.clone(),
                right: rule.left.clone(),
                ..rule.clone()
            })
            .collect();
        rules.extend(turned);
        conclude(&mut rules);
        let stages = stages(engine, &rules);
        Rules { rules, linked: groups(engine), stages }
    }

    /// What pushes a group of linked parts one way, were there pressure before every face.
    pub(super) fn pushing<'a>(
        &'a self,
        engine: &'a Engine,
        state: &'a State,
        group: PartId,
        to: Direction,
    ) -> impl Iterator<Item = (PushOn, &'a Push)> {
        let parts = engine.parts.ids().filter(move |part| self.linked[*part] == group);
        parts.flat_map(move |part| {
            let all = engine.parts[part].pushes.entries();
            all.filter(move |(_, push)| push.direction == to)
                .filter(move |(at, _)| !state.spent.contains(&(part, *at)))
                .filter(|(_, push)| state.holds(engine, &push.when))
                .map(move |(at, push)| ((part, at), push))
        })
    }

    /// Which way a group of linked parts goes in a state.
    pub(super) fn balance(&self, engine: &Engine, state: &State, group: PartId) -> Balance {
        let acting = |wanted: Direction| -> Vec<PushOn> {
            let pushes = self.pushing(engine, state, group, wanted);
            pushes.filter(|(_, push)| acts(state, push.kind)).map(|(at, _)| at).collect()
        };
        let (forward, back) = (acting(Direction::Forward), acting(Direction::Back));
        let goes = |to: Direction, by: &[PushOn], against: &[PushOn], facts: BTreeSet<usize>| {
            Balance::Goes {
                to,
                by: by.to_vec(),
                against: against.to_vec(),
                facts: facts.into_iter().collect(),
            }
        };
        match (forward.is_empty(), back.is_empty()) {
            (true, true) => return Balance::Still,
            (false, true) => return goes(Direction::Forward, &forward, &back, BTreeSet::new()),
            (true, false) => return goes(Direction::Back, &back, &forward, BTreeSet::new()),
            (false, false) => {}
        }
        let by_hand = |side: &[PushOn]| {
            side.iter().any(|(part, at)| engine.parts[*part].pushes[*at].kind == PushKind::Hand)
        };
        match (by_hand(&forward), by_hand(&back)) {
            (true, false) => return goes(Direction::Forward, &forward, &back, BTreeSet::new()),
            (false, true) => return goes(Direction::Back, &back, &forward, BTreeSet::new()),
            _ => {}
        }
        let weigh = Weigh::new(engine, state, self);
        let (strong, weak, equal) = weigh.struck(&forward, &back);
        let with_equal = |mut facts: BTreeSet<usize>| {
            facts.extend(&equal);
            facts
        };
        if strong.is_empty() && weak.is_empty() {
            return Balance::Still;
        }
        // `beats` is true of any side against nothing.
        if let Some(facts) = weigh.beats(&strong, &weak).filter(|_| !strong.is_empty()) {
            return goes(Direction::Forward, &forward, &back, with_equal(facts));
        }
        if let Some(facts) = weigh.beats(&weak, &strong).filter(|_| !weak.is_empty()) {
            return goes(Direction::Back, &back, &forward, with_equal(facts));
        }
        if weigh.cancels(&strong, &weak) {
            return Balance::Still;
        }
        Balance::Undecided { forward: strong, back: weak }
    }

    /// What would decide an undecided group of parts.
    pub(super) fn need(
        &self,
        engine: &Engine,
        state: &State,
        group: PartId,
        forward: &[PushOn],
        back: &[PushOn],
    ) -> Need {
        let weigh = Weigh::new(engine, state, self);
        let ways = [(forward, back), (back, forward)];
        let answers: Vec<_> =
            ways.into_iter().filter_map(|(strong, weak)| weigh.proposal(strong, weak)).collect();
        let line = |(strong, relation, weak): &(Vec<Term>, Relation, Vec<Term>)| {
            fact_line(engine, strong, *relation, weak, "…")
        };
        let part = &engine.parts[group];
        let what = format!(
            "whether the {} moves forward or back from {}{}",
            part.name.spoken(),
            part.positions[state.positions[group]].spoken(),
            pressures(engine, state, forward.iter().chain(back))
        );
        let facts = answers.iter().map(line).collect();
        Need { about: part.name.span, what, facts, answers }
    }
}

/// How much the rooms hold that push: ", with the store spent and the tube full".
fn pressures<'a>(
    engine: &Engine,
    state: &State,
    pushes: impl Iterator<Item = &'a PushOn>,
) -> String {
    let mut told: Vec<String> = Vec::new();
    for (part, push) in pushes {
        let PushKind::Face(room) = engine.parts[*part].pushes[*push].kind else { continue };
        let level = state.levels[room].word();
        let words = format!("{} {level}", Element::Chamber(room).the(engine));
        if !told.contains(&words) {
            told.push(words);
        }
    }
    match told.is_empty() {
        true => String::new(),
        false => format!(", with {}", listed(&told, "and")),
    }
}

/// The group of parts that move as one, by part: the first among them.
pub(super) fn groups(engine: &Engine) -> List<PartId, PartId> {
    let mut linked: List<PartId, PartId> = engine.parts.ids().collect();
    for (a, b) in &engine.links {
        let (keep, give) = (linked[*a].min(linked[*b]), linked[*a].max(linked[*b]));
        linked.iter_mut().filter(|of| **of == give).for_each(|of| *of = keep);
    }
    linked
}

/// Whether a push pushes: a face only with pressure before it.
pub(super) fn acts(state: &State, kind: PushKind) -> bool {
    match kind {
        PushKind::Face(chamber) => state.levels[chamber] != Level::Empty,
        PushKind::Spring | PushKind::Hand | PushKind::Contact(_) => true,
    }
}

fn pushes(terms: &[Term]) -> Option<Vec<PushOn>> {
    let push = |term: &Term| match term {
        Term::Own(Element::Push(part, push)) => Some((*part, *push)),
        _ => None,
    };
    terms.iter().map(push).collect()
}

/// Adds what follows by chains: a larger than b, b larger than c.
fn conclude(rules: &mut Vec<ForceRule>) {
    const MOST: usize = 400;
    let mut from = 0;
    while from < rules.len() && rules.len() < MOST {
        let mut found: Vec<ForceRule> = Vec::new();
        for first in &rules[..] {
            for second in &rules[from..] {
                for (upper, lower) in [(first, second), (second, first)] {
                    let leads_on = |rule: &ForceRule| !rule.relation.is_of_a_time();
                    let chains = leads_on(upper)
                        && leads_on(lower)
                        && upper.right.len() == 1
                        && upper.right == lower.left
                        && upper.left != lower.right;
                    if !chains {
                        continue;
                    }
                    let relation = together(upper.relation, lower.relation);
                    let is_known = |rule: &ForceRule| {
                        rule.left == upper.left
                            && rule.right == lower.right
                            && rule.relation == relation
                    };
                    if rules.iter().chain(&found).any(is_known) {
                        continue;
                    }
                    let facts = upper.facts.iter().chain(&lower.facts).copied().collect();
                    let (left, right) = (upper.left.clone(), lower.right.clone());
                    found.push(ForceRule { left, right, relation, facts });
                }
            }
        }
        from = rules.len();
        found.truncate(MOST - rules.len());
        rules.extend(found);
    }
}

/// What follows from two relations that hold whenever.
fn together(a: Relation, b: Relation) -> Relation {
    match (a, b) {
        (Relation::MuchLarger, _) | (_, Relation::MuchLarger) => Relation::MuchLarger,
        (Relation::Equal, Relation::Equal) => Relation::Equal,
        _ => Relation::Larger,
    }
}

/// Two sides on a pair of scales.
struct Weigh<'a> {
    engine: &'a Engine,
    state: &'a State,
    rules: &'a [ForceRule],
    groups: Groups,
}

impl<'a> Weigh<'a> {
    fn new(engine: &'a Engine, state: &'a State, rules: &'a Rules) -> Weigh<'a> {
        let groups = Groups::new(engine, state, &joints(engine, state));
        Weigh { engine, state, rules: &rules.rules, groups }
    }

    /// The facts by which one side wins: each push of the weaker side is outweighed by pushes of
    /// the stronger that are not needed twice.
    fn beats(&self, strong: &[PushOn], weak: &[PushOn]) -> Option<BTreeSet<usize>> {
        let Some(first) = weak.first() else {
            return Some(BTreeSet::new());
        };
        self.rules
            .iter()
            .filter(|rule| rule.relation != Relation::Equal)
            .filter(|rule| rule.right.contains(first))
            .filter(|rule| rule.left.iter().all(|push| strong.contains(push)))
            .filter(|rule| self.applies(rule, weak))
            .find_map(|rule| {
                let left_over = without(strong, &rule.left);
                let mut facts = self.beats(&left_over, &without(weak, &rule.right))?;
                facts.extend(&rule.facts);
                Some(facts)
            })
    }

    /// Both sides without the pairs that are the same by a fact and stand at equal pressure, and
    /// the facts by which they cancel.
    fn struck(
        &self,
        forward: &[PushOn],
        back: &[PushOn],
    ) -> (Vec<PushOn>, Vec<PushOn>, BTreeSet<usize>) {
        let (mut forward, mut back) = (forward.to_vec(), back.to_vec());
        let mut facts = BTreeSet::new();
        for rule in self.rules.iter().filter(|rule| rule.relation == Relation::Equal) {
            let ([left], [right]) = (rule.left.as_slice(), rule.right.as_slice()) else { continue };
            let is_level = self.is_level_with(*left, *right) && self.is_level_with(*right, *left);
            if is_level && forward.contains(left) && back.contains(right) {
                forward = without(&forward, &[*left]);
                back = without(&back, &[*right]);
                facts.extend(&rule.facts);
            }
        }
        (forward, back, facts)
    }

    /// Whether both sides are equal by facts, at equal pressure.
    fn cancels(&self, forward: &[PushOn], back: &[PushOn]) -> bool {
        self.rules.iter().any(|rule| {
            let sorted = |pushes: &[PushOn]| pushes.iter().copied().collect::<BTreeSet<_>>();
            rule.relation == Relation::Equal
                && sorted(&rule.left) == sorted(forward)
                && sorted(&rule.right) == sorted(back)
                && self.pairs(rule, back).all(|(left, right)| self.is_level_with(left, right))
        })
    }

    fn pairs<'b>(
        &'b self,
        rule: &'b ForceRule,
        weak: &'b [PushOn],
    ) -> impl Iterator<Item = (PushOn, PushOn)> + 'b {
        let acting = rule.right.iter().copied().filter(|push| weak.contains(push));
        acting.flat_map(|right| rule.left.iter().map(move |left| (*left, right)))
    }

    /// The fact by which one side would win, claiming no more than it must and nothing that a fact
    /// denies already.
    fn proposal(
        &self,
        strong: &[PushOn],
        weak: &[PushOn],
    ) -> Option<(Vec<Term>, Relation, Vec<Term>)> {
        let relations = [Relation::Larger, Relation::LargerOnceSpent, Relation::MuchLarger];
        let mut rules = relations.into_iter().map(|relation| ForceRule {
            left: strong.to_vec(),
            right: weak.to_vec(),
            relation,
            facts: Vec::new(),
        });
        let rule = rules.find(|rule| self.applies(rule, weak) && !self.is_denied(rule))?;
        let terms = |pushes: &[PushOn]| -> Vec<Term> {
            pushes.iter().map(|(part, push)| Term::Own(Element::Push(*part, *push))).collect()
        };
        Some((terms(strong), rule.relation, terms(weak)))
    }

    /// Whether a fact, given or concluded, says the opposite: that what is part of the right side
    /// outweighs all of the left.
    fn is_denied(&self, wanted: &ForceRule) -> bool {
        self.rules.iter().any(|known| {
            known.left.iter().all(|push| wanted.right.contains(push))
                && wanted.left.iter().all(|push| known.right.contains(push))
                && excludes(known.relation, wanted.relation)
        })
    }

    /// Whether a rule, which speaks of working pressure, holds as the pressures stand.
    fn applies(&self, rule: &ForceRule, weak: &[PushOn]) -> bool {
        match rule.relation {
            Relation::LargerOnceSpent => return self.is_once_spent(rule, weak),
            Relation::LargerBelow(mark) => {
                let is_low = |room| self.state.reached[room] < self.engine.landmarks[mark].height;
                let mut acting = rule.right.iter().filter(|push| weak.contains(push));
                return acting.all(|push| self.chamber(*push).is_none_or(is_low))
                    && self.pairs(rule, weak).all(|(left, right)| self.is_level_with(left, right))
                    && !self.is_outdone_at_one_pressure(rule);
            }
            Relation::LargerFrom(mark) => {
                let is_high = |room| self.engine.landmarks[mark].height <= self.state.reached[room];
                return rule.left.iter().all(|push| self.chamber(*push).is_none_or(is_high))
                    && self.pairs(rule, weak).all(|(left, right)| self.is_level_with(left, right));
            }
            Relation::Larger | Relation::MuchLarger | Relation::Equal => {}
        }
        self.pairs(rule, weak).all(|(left, right)| {
            match (self.chamber(left), self.chamber(right)) {
                // A spring that wins against the full pressure wins against any.
                (None, _) => true,
                (Some(chamber), None) => {
                    Level::Drawn <= self.state.levels[chamber]
                        || rule.relation == Relation::MuchLarger
                }
                (Some(_), Some(_)) => {
                    rule.relation == Relation::MuchLarger || self.is_level_with(left, right)
                }
            }
        })
    }

    /// Whether another fact says that the right side of a rule is larger where neither holds more:
    /// then the rule speaks of a left side that does, and says nothing as the pressures stand.
    fn is_outdone_at_one_pressure(&self, rule: &ForceRule) -> bool {
        let is_opposite = |known: &ForceRule| {
            matches!(known.relation, Relation::Larger | Relation::MuchLarger)
                && known.left == rule.right
                && known.right == rule.left
        };
        let holds_no_more = || {
            let chambers = rule.left.iter().filter_map(|left| self.chamber(*left).map(|_| *left));
            let mut pairs =
                chambers.flat_map(|left| rule.right.iter().map(move |right| (left, *right)));
            pairs.all(|(left, right)| {
                self.chamber(right).is_some() && self.is_level_with(right, left)
            })
        };
        let has_air = rule.left.iter().any(|left| self.chamber(*left).is_some());
        has_air && self.rules.iter().any(is_opposite) && holds_no_more()
    }

    /// Whether the right side of a rule has only spent pressure, and the left more than that.
    fn is_once_spent(&self, rule: &ForceRule, weak: &[PushOn]) -> bool {
        let level = |push: &PushOn| self.chamber(*push).map(|chamber| self.state.levels[chamber]);
        let acting = rule.right.iter().filter(|push| weak.contains(push));
        acting.filter_map(level).all(|level| level == Level::Spent)
            && rule.left.iter().filter_map(level).all(|level| Level::Spent < level)
    }

    /// Whether the first push has at least the pressure of the second.
    fn is_level_with(&self, left: PushOn, right: PushOn) -> bool {
        let (Some(a), Some(b)) = (self.chamber(left), self.chamber(right)) else {
            return true;
        };
        if self.groups.of[a] == self.groups.of[b] {
            return true;
        }
        // Regions between landmarks decide; only within one do levels.
        if self.state.reached[a] != self.state.reached[b] {
            return self.state.reached[b] < self.state.reached[a];
        }
        match (self.state.levels[a], self.state.levels[b]) {
            (Level::Full(a), Level::Full(b)) => a == b || self.is_above(a, b),
            (Level::Full(_) | Level::Drawn, Level::Drawn | Level::Spent) => true,
            // Drawn is nearly full: it stands for the working pressure.
            (Level::Drawn, Level::Full(_)) => true,
            _ => false,
        }
    }

    /// Whether one supply is above another: regulated down to it, or by a fact.
    fn is_above(&self, high: ChamberId, low: ChamberId) -> bool {
        let mut at = self.engine.chambers[low].regulated_from;
        let mut steps = 0;
        while let Some(from) = at {
            if from == high {
                return true;
            }
            steps += 1;
            at = self.engine.chambers[from].regulated_from.filter(|_| steps < 64);
        }
        self.engine.facts.iter().any(|fact| {
            fact.left == [Term::Own(Element::Chamber(high))]
                && fact.right == [Term::Own(Element::Chamber(low))]
        })
    }

    fn chamber(&self, (part, push): PushOn) -> Option<ChamberId> {
        match self.engine.parts[part].pushes[push].kind {
            PushKind::Face(chamber) => Some(chamber),
            PushKind::Spring | PushKind::Hand | PushKind::Contact(_) => None,
        }
    }
}

fn without(all: &[PushOn], some: &[PushOn]) -> Vec<PushOn> {
    all.iter().copied().filter(|push| !some.contains(push)).collect()
}

/// Whether a fact leaves no room for one that names the other side the larger.
fn excludes(known: Relation, wanted: Relation) -> bool {
    if known.is_of_a_time() || wanted.is_of_a_time() {
        // What is said of some pressures only what is much larger denies.
        let other = if known.is_of_a_time() { wanted } else { known };
        return other == Relation::MuchLarger;
    }
    true
}
