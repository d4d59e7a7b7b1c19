//! The rooms of an axis in a row from rear to front, and which of them each part reaches.
//!
//! The order is the writer's. Where things lie around one another, either may come first in the
//! row: the order is taken in which parts reach most of what they have to do with. What a part
//! needs and no room gives (a place for its spring, for its end, for a room of another axis that
//! pushes it) is put in beside it.

use super::facts::{faces, is_one_pair, is_steered, tells};
use crate::cutaway::model::{
    Axis, ChamberId, Direction, Element, Engine, OPEN_AIR, PartId, PushKind, Role, Way,
};
use std::collections::BTreeSet;

/// What lies between two walls across the bore.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum AxisCell {
    /// A room; the open air where a hole leads out.
    Room(ChamberId),
    /// Space for a part's end or spring. A part grows wider or narrower in it, or neither.
    Spare(Option<Direction>),
}

/// A part with the cells of its row that it reaches.
#[derive(Debug, Clone)]
pub(super) struct PartSpan {
    pub(super) part: PartId,
    /// The cells in which its rear and its front end lie.
    pub(super) cells: (usize, usize),
    /// The cells of a spring that pushes it forward and of one that pushes it back.
    pub(super) springs: [Option<usize>; 2],
}

/// An axis as a row.
#[derive(Debug, Clone, Default)]
pub(super) struct CellRow {
    pub(super) cells: Vec<AxisCell>,
    /// From rear to front; two neighbours have one cell in common at most.
    pub(super) spans: Vec<PartSpan>,
    /// Whether the barrel begins at the last cell.
    pub(super) has_barrel: bool,
}

/// Most places with several things of which both orders are tried.
const TRIED: usize = 5;

impl CellRow {
    /// The row of an axis.
    pub(super) fn of(engine: &Engine, axis: &Axis) -> CellRow {
        let nested = axis.places.iter().filter(|place| 1 < place.len()).count().min(TRIED);
        let orders = (0..1_usize << nested).map(|turned| {
            let mut number = 0;
            let mut things = Vec::new();
            for place in &axis.places {
                let is_nested = 1 < place.len();
                // The outer one is the first in the first order.
                let as_written = is_nested && turned >> number & 1 == 1;
                number += usize::from(is_nested);
                if as_written {
                    things.extend(place.iter().copied());
                } else {
                    things.extend(place.iter().rev().copied());
                }
            }
            AxisOrder::of(engine, &things).row(engine)
        });
        let mut best: Option<(usize, CellRow)> = None;
        for row in orders {
            let worth = row.worth(engine);
            if best.as_ref().is_none_or(|(known, _)| *known < worth) {
                best = Some((worth, row));
            }
        }
        best.map(|(_, row)| row).unwrap_or_default()
    }

    /// The part that passes from a cell into the next.
    pub(super) fn through(&self, cell: usize) -> Option<usize> {
        self.spans.iter().position(|span| span.cells.0 <= cell && cell < span.cells.1)
    }

    /// The rooms on both sides of the wall in front of a cell, and beyond a spare cell there: what
    /// a seal in the wall keeps apart.
    pub(super) fn apart(&self, cell: usize) -> Option<(ChamberId, ChamberId)> {
        let is_spare = matches!(self.cells.get(cell + 1), Some(AxisCell::Spare(_)));
        match (self.cells.get(cell), self.cells.get(cell + 2)) {
            (Some(AxisCell::Room(a)), Some(AxisCell::Room(b))) if is_spare => Some((*a, *b)),
            _ => self.sides(cell),
        }
    }

    /// The rooms on both sides of the wall in front of a cell.
    pub(super) fn sides(&self, cell: usize) -> Option<(ChamberId, ChamberId)> {
        match (self.cells.get(cell), self.cells.get(cell + 1)) {
            (Some(AxisCell::Room(a)), Some(AxisCell::Room(b))) => Some((*a, *b)),
            _ => None,
        }
    }

    /// How much of what the model says can be seen in it.
    fn worth(&self, engine: &Engine) -> usize {
        let mut worth = 0;
        for span in &self.spans {
            for cell in &self.cells[span.cells.0..=span.cells.1] {
                if let AxisCell::Room(room) = cell {
                    worth += 10 * usize::from(faces(engine, span.part, *room) != [false; 2]);
                }
            }
            for cell in span.cells.0..span.cells.1 {
                if let Some(pair) = self.sides(cell) {
                    let seals = engine.seals.iter().filter(|it| it.on == Some(span.part));
                    worth += 3 * usize::from(is_steered(engine, span.part, pair));
                    worth += 2 * seals.filter(|it| is_one_pair(it.between, pair)).count();
                }
            }
        }
        worth
    }
}

/// A part and what it has to do with, by number of the room in the row.
struct PartReach {
    part: PartId,
    /// How many rooms lie behind it.
    slot: usize,
    /// The last room behind it and in front of it that it reaches.
    ends: (Option<usize>, Option<usize>),
}

/// Rooms and parts of an axis in one order.
struct AxisOrder {
    rooms: Vec<ChamberId>,
    parts: Vec<PartReach>,
    has_barrel: bool,
}

impl AxisOrder {
    fn of(engine: &Engine, things: &[Element]) -> AxisOrder {
        let mut row = AxisOrder { rooms: Vec::new(), parts: Vec::new(), has_barrel: false };
        for thing in things {
            let had_barrel = std::mem::take(&mut row.has_barrel);
            match *thing {
                Element::Chamber(at) if !row.rooms.contains(&at) => row.rooms.push(at),
                Element::Part(part) if row.parts.iter().all(|it| it.part != part) => {
                    row.parts.push(PartReach { part, slot: row.rooms.len(), ends: (None, None) });
                }
                Element::Way(at) => {
                    let is_first = |way: &Way| row.rooms.last() == Some(&way.from);
                    let is_behind = row.parts.iter().all(|it| it.slot < row.rooms.len());
                    let way = engine.ways.get(at);
                    let is_plain = |way: &&Way| way.barrel && way.when.is_empty();
                    row.has_barrel = way.filter(is_plain).is_some_and(is_first) && is_behind;
                }
                _ => row.has_barrel = had_barrel,
            }
        }
        row.reach(engine);
        row
    }

    /// Finds how far each part reaches; two neighbours share one room at most.
    fn reach(&mut self, engine: &Engine) {
        let count = self.parts.len();
        let wants: Vec<Vec<usize>> =
            self.parts.iter().map(|it| self.wants(engine, it.part)).collect();
        let slots: Vec<usize> = self.parts.iter().map(|it| it.slot).collect();
        for at in 0..=count {
            // The rooms between two neighbours, or an end.
            let from = at.checked_sub(1).map_or(0, |it| slots[it]);
            let to = slots.get(at).copied().unwrap_or(self.rooms.len());
            let behind = at.checked_sub(1).and_then(|it| wants.get(it));
            let before = wants.get(at);
            let worth = |side: Option<&Vec<usize>>, rooms: std::ops::Range<usize>| -> usize {
                side.map_or(0, |side| side[rooms].iter().sum())
            };
            let cuts =
                (from..to).map(|cut| (worth(behind, from..cut + 1) + worth(before, cut..to), cut));
            let Some((_, cut)) = cuts.max_by_key(|(worth, cut)| (*worth, usize::MAX - cut)) else {
                continue;
            };
            if let Some(it) = at.checked_sub(1) {
                let wanted = |room: &usize| 0 < wants[it][*room];
                self.parts[it].ends.1 = (from..cut + 1).rev().find(wanted);
            }
            if at < count {
                self.parts[at].ends.0 = (cut..to).find(|room| 0 < wants[at][*room]);
            }
        }
    }

    /// How much a part has to do with each room of the row.
    fn wants(&self, engine: &Engine, part: PartId) -> Vec<usize> {
        let wants = self.rooms.iter().map(|room| {
            let is_end = |pair: (ChamberId, ChamberId)| pair.0 == *room || pair.1 == *room;
            let seals = engine.seals.iter().filter(|it| it.on == Some(part));
            let ways = engine.ways.iter().filter(|way| tells(way, part));
            3 * usize::from(faces(engine, part, *room) != [false; 2])
                + usize::from(seals.map(|it| it.between).any(is_end))
                + usize::from(ways.map(|way| (way.from, way.to)).any(is_end))
        });
        wants.collect()
    }

    /// Puts in what parts need beside the rooms.
    fn row(&self, engine: &Engine) -> CellRow {
        let mut row = CellRow { has_barrel: self.has_barrel, ..CellRow::default() };
        let mut pockets = BTreeSet::new();
        let needs = self.parts.iter().map(|it| self.needs(engine, it, &mut pockets));
        let needs: Vec<PartNeeds> = needs.collect();
        let mut places = Vec::new();
        let mut own = Vec::new();
        for slot in 0..=self.rooms.len() {
            let here = self.parts.iter().zip(&needs).filter(|(it, _)| it.slot == slot);
            for (_, needs) in here {
                own.push(row.cells.len());
                row.cells.extend(&needs.own);
            }
            let Some(room) = self.rooms.get(slot) else { continue };
            let ends = || self.parts.iter().zip(&needs);
            if ends().any(|(it, needs)| it.ends.0 == Some(slot) && needs.spare.0) {
                row.cells.push(AxisCell::Spare(None));
            }
            let has_neck = row.cells.contains(&AxisCell::Room(OPEN_AIR));
            if !has_neck && ends().any(|(it, needs)| it.ends.1 == Some(slot) && needs.neck) {
                row.cells.push(AxisCell::Room(OPEN_AIR));
            }
            places.push(row.cells.len());
            row.cells.push(AxisCell::Room(*room));
            if ends().any(|(it, needs)| it.ends.1 == Some(slot) && needs.spare.1) {
                row.cells.push(AxisCell::Spare(None));
            }
        }
        for ((it, needs), start) in self.parts.iter().zip(&needs).zip(own) {
            let end = start + needs.own.len();
            let place = |room: Option<usize>| room.and_then(|room| places.get(room)).copied();
            let first = place(it.ends.0).map(|at| at - usize::from(needs.spare.0));
            let last = place(it.ends.1).map(|at| at + usize::from(needs.spare.1));
            // A part right in front of another has its end in the cell of that one's.
            let first = first.unwrap_or(start - usize::from(needs.is_behind_shared));
            let last = last.unwrap_or(end.saturating_sub(1));
            let spring = |way: Direction, end: usize| {
                let own = needs.own.iter().position(|cell| *cell == AxisCell::Spare(Some(way)));
                has_spring(engine, it.part, way).then(|| own.map_or(end, |own| start + own))
            };
            let springs = [spring(Direction::Forward, first), spring(Direction::Back, last)];
            row.spans.push(PartSpan { part: it.part, cells: (first, last), springs });
        }
        row
    }

    /// What a part needs beside the rooms that it reaches.
    fn needs(
        &self,
        engine: &Engine,
        it: &PartReach,
        pockets: &mut BTreeSet<ChamberId>,
    ) -> PartNeeds {
        let is_end = |other: &PartReach, room| other.ends.0 == room || other.ends.1 == room;
        let is_alone = |room| self.parts.iter().filter(|other| is_end(other, room)).count() == 1;
        let room = |at: Option<usize>| at.and_then(|at| self.rooms.get(at)).copied();
        let (rear, front) = (room(it.ends.0), room(it.ends.1));
        let pushed = |room: Option<ChamberId>| room.map(|room| faces(engine, it.part, room));
        let is_breech = |room: Option<ChamberId>| {
            room.is_some_and(|room| engine.chambers[room].role == Role::Breech)
        };
        let opens_barrel =
            self.has_barrel && it.ends.1.is_some_and(|at| at + 1 == self.rooms.len());
        // Its end would be pushed the other way.
        let spare = (
            pushed(rear) == Some([false, true]) && is_alone(it.ends.0),
            pushed(front) == Some([true, false]) && is_alone(it.ends.1) && !opens_barrel,
        );
        let mut own: [Vec<AxisCell>; 2] = [Vec::new(), Vec::new()];
        for push in &engine.parts[it.part].pushes {
            let PushKind::Face(room) = push.kind else { continue };
            if !self.rooms.contains(&room) && pockets.insert(room) {
                own[usize::from(push.direction == Direction::Back)].push(AxisCell::Room(room));
            }
        }
        let takes_spring = |room: Option<ChamberId>, end, spare: bool, way: usize| {
            let is_against = pushed(room).is_some_and(|pushed| pushed[way]);
            spare || room.is_some() && is_alone(end) && !is_breech(room) && !is_against
        };
        let ways = [Direction::Forward, Direction::Back];
        let taken =
            [takes_spring(rear, it.ends.0, spare.0, 1), takes_spring(front, it.ends.1, spare.1, 0)];
        let [mut behind, mut before] = own;
        if has_spring(engine, it.part, ways[0]) && !taken[0] {
            behind.push(AxisCell::Spare(Some(ways[0])));
        }
        if has_spring(engine, it.part, ways[1]) && !taken[1] {
            before.insert(0, AxisCell::Spare(Some(ways[1])));
        }
        let is_behind_shared = rear.is_none() && behind.is_empty() && self.follows(it);
        if rear.is_none() && behind.is_empty() && !is_behind_shared {
            behind.push(AxisCell::Spare(None));
        }
        if front.is_none() && before.is_empty() {
            before.push(AxisCell::Spare(None));
        }
        let neck = it.ends.1.is_some_and(|room| self.needs_neck(engine, it, room));
        behind.extend(before);
        PartNeeds { own: behind, spare, neck, is_behind_shared }
    }

    /// Whether a part stands right in front of another, no room between them.
    fn follows(&self, it: &PartReach) -> bool {
        let before = self.parts.iter().take_while(|other| other.part != it.part).last();
        before.is_some_and(|other| other.slot == it.slot && other.ends.1.is_none())
    }

    /// Whether a part opens the room at its front end to the open air, and has nothing to do with
    /// what lies between that and the room behind it.
    fn needs_neck(&self, engine: &Engine, it: &PartReach, at: usize) -> bool {
        let room = self.rooms[at];
        let behind = at.checked_sub(1).map(|at| (self.rooms[at], room));
        let seals = |pair| {
            let mut seals = engine.seals.iter().filter(|seal| seal.on == Some(it.part));
            seals.any(|seal| is_one_pair(seal.between, pair))
        };
        let is_border = |pair| is_steered(engine, it.part, pair) || seals(pair);
        !self.rooms.contains(&OPEN_AIR)
            && is_steered(engine, it.part, (OPEN_AIR, room))
            && !behind.is_some_and(is_border)
    }
}

/// What a part needs beside the rooms that it reaches.
struct PartNeeds {
    /// Cells at its own place, from rear to front.
    own: Vec<AxisCell>,
    /// Whether its rear and its front end lie in spare cells beyond the last rooms.
    spare: (bool, bool),
    /// Whether the open air lies behind its last room.
    neck: bool,
    /// Whether its rear end lies in the cell of the part behind it.
    is_behind_shared: bool,
}

fn has_spring(engine: &Engine, part: PartId, way: Direction) -> bool {
    let mut pushes = engine.parts[part].pushes.iter();
    pushes.any(|push| push.kind == PushKind::Spring && push.direction == way)
}
