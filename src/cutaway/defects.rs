//! What can be wrong with one piece of an engine: what it is called, and the engine with it.

use super::model::{
    ChamberId, Condition, Direction, Element, Engine, Hold, Name, OPEN_AIR, Obstacle, PushKind,
    Returns, ValveKind, Way, Width,
};
use std::collections::BTreeSet;

/// What never holds: the open air has no pressure of its own.
pub(crate) const NEVER: Condition = Condition::Pressure(OPEN_AIR);

/// What is wrong with a piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wrong {
    /// Air gets past it where it should not, by a gap so wide: a seal, a check valve, a membrane.
    Leaking(Width),
    /// A seal is not there.
    LeftOut,
    /// A lip seal sits the wrong way round.
    Reversed,
    /// A way never opens.
    Clogged,
    /// A spring pushes no more.
    Broken,
    /// A part moves no more; a latch lets go no more.
    Jammed,
    /// A valve never returns once it has shifted, or never shifts.
    Stuck {
        /// Which of the two.
        shifted: bool,
    },
}

/// A piece of an engine and what is wrong with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Defect {
    /// The piece.
    pub(crate) thing: Element,
    /// What is wrong with it.
    pub(crate) wrong: Wrong,
}

impl Defect {
    /// The piece, without article: "drag seal", "return spring of the spool".
    pub(crate) fn look_at(self, engine: &Engine) -> String {
        let name = self.thing.spoken(engine);
        match (self.thing, self.wrong) {
            (Element::Push(part, at), _) => {
                let spring = engine.parts[part].pushes[at].spring();
                format!("{spring} of the {}", Element::Part(part).spoken(engine))
            }
            (Element::Valve(_), Wrong::Broken) => format!("spring of the {name}"),
            (Element::Valve(_), Wrong::Leaking(_)) => format!("membrane of the {name}"),
            _ => name,
        }
    }

    /// What is wrong, as a sentence: "the drag seal leaks".
    pub(crate) fn words(self, engine: &Engine) -> String {
        let wrong = match (self.wrong, self.thing) {
            (Wrong::Leaking(_), Element::Way(_)) => "lets air back",
            (Wrong::Leaking(_), Element::Part(_) | Element::Valve(_)) => "is torn",
            (Wrong::Leaking(_), _) => "leaks",
            (Wrong::LeftOut, _) => "is left out",
            (Wrong::Reversed, _) => "sits the wrong way round",
            (Wrong::Clogged, _) => "is clogged",
            (Wrong::Broken, _) => "is broken",
            (Wrong::Jammed, _) => "is jammed",
            (Wrong::Stuck { shifted: true }, _) => "never returns once it has shifted",
            (Wrong::Stuck { shifted: false }, _) => "never shifts",
        };
        format!("the {} {wrong}", self.look_at(engine))
    }

    /// The same with what it does no more, or does now: "the drain is clogged: no air passes from
    /// the ram room to the open air".
    pub(crate) fn explained(self, engine: &Engine) -> String {
        let words = self.words(engine);
        match self.effect(engine) {
            Some(effect) => format!("{words}: {effect}"),
            None => words,
        }
    }

    fn effect(self, engine: &Engine) -> Option<String> {
        let the = |room: ChamberId| Element::Chamber(room).the(engine);
        let passes = |(one, other)| format!("air passes from {} to {}", the(one), the(other));
        Some(match (self.wrong, self.thing) {
            (Wrong::Leaking(_) | Wrong::LeftOut, Element::Seal(at)) => {
                let (one, other) = engine.seals[at].between;
                format!("it does not keep {} from {}", the(one), the(other))
            }
            (Wrong::Leaking(_), Element::Way(at)) => {
                passes((engine.ways[at].to, engine.ways[at].from))
            }
            (Wrong::Clogged, Element::Way(at)) => {
                format!("no {}", passes((engine.ways[at].from, engine.ways[at].to)))
            }
            (Wrong::Reversed, _) => passes(self.leaks_between(engine).first().copied()?),
            (Wrong::Jammed, Element::Latch(part)) => {
                format!("it never lets go of {}", Element::Part(part).the(engine))
            }
            (Wrong::Broken, Element::Push(part, at)) => {
                let to = engine.parts[part].pushes[at].direction.word();
                format!("it does not push the {} {to}", Element::Part(part).spoken(engine))
            }
            (Wrong::Jammed, Element::Part(at)) => {
                let part = &engine.parts[at];
                format!("it stays at {}", part.positions[part.rest].spoken())
            }
            (Wrong::Stuck { shifted }, Element::Valve(at)) => {
                let valve = &engine.valves[at];
                let joints = if shifted { &valve.shifted } else { &valve.rest };
                match joints.is_empty() {
                    true => "it goes on joining nothing".to_owned(),
                    false => format!("it goes on joining {}", super::spoken::joins(joints, the)),
                }
            }
            (Wrong::Leaking(_), _) => {
                let (one, other) = self.leaks_between(engine).first().copied()?;
                format!("air passes between {} and {}", the(one), the(other))
            }
            _ => return None,
        })
    }

    /// The rooms between which air then gets where it should not, in the direction in which it may,
    /// if only one.
    fn leaks_between(self, engine: &Engine) -> Vec<(ChamberId, ChamberId)> {
        match self.thing {
            Element::Seal(at) => {
                let (a, b) = engine.seals[at].between;
                let is_turned = self.wrong == Wrong::Reversed && engine.seals[at].lip == Some(b);
                vec![if is_turned { (b, a) } else { (a, b) }]
            }
            Element::Valve(at) if engine.valves[at].kind == ValveKind::QuickExhaust => {
                let valve = &engine.valves[at];
                valve.rest.iter().chain(&valve.shifted).copied().collect()
            }
            Element::Part(at) => {
                let rooms = engine.parts[at].pushes.iter().filter_map(|push| match push.kind {
                    PushKind::Face(chamber) => Some(chamber),
                    PushKind::Spring | PushKind::Hand | PushKind::Contact(_) => None,
                });
                let rooms: BTreeSet<ChamberId> = rooms.collect();
                let mut rooms = rooms.into_iter();
                let one = rooms.next();
                one.map(|one| (one, rooms.next().unwrap_or(OPEN_AIR))).into_iter().collect()
            }
            _ => Vec::new(),
        }
    }
}

impl Engine {
    /// The engine with this wrong with it.
    #[must_use]
    pub(crate) fn with_defect(mut self, defect: Defect) -> Engine {
        self.suffer(defect);
        self
    }

    /// Comes to have this wrong with it.
    pub(crate) fn suffer(&mut self, defect: Defect) {
        let leaks = defect.leaks_between(self);
        match (defect.wrong, defect.thing) {
            (Wrong::Leaking(_), Element::Way(at)) => self.ways[at].one_way = false,
            (Wrong::Leaking(_) | Wrong::LeftOut | Wrong::Reversed, thing) => {
                let width = match defect.wrong {
                    Wrong::Leaking(width) => width,
                    _ => Width::Wide,
                };
                let when = match thing {
                    Element::Seal(at) => self.seals[at].when.clone(),
                    _ => Vec::new(),
                };
                let one_way = defect.wrong == Wrong::Reversed;
                let name = format!("leak past the {}", defect.look_at(self));
                for between in leaks {
                    let way = passage(name.clone(), between, when.clone());
                    self.ways.push(Way { one_way, width, ..way });
                }
            }
            (Wrong::Clogged, Element::Way(at)) => self.ways[at].when = vec![NEVER],
            (Wrong::Broken, Element::Push(part, at)) => {
                self.parts[part].pushes[at].when = vec![NEVER];
            }
            (Wrong::Broken | Wrong::Stuck { shifted: true }, Element::Valve(at)) => {
                self.valves[at].returns = Returns::While(vec![NEVER]);
            }
            (Wrong::Stuck { shifted: false }, Element::Valve(at)) => {
                self.valves[at].shifts = vec![NEVER];
            }
            (Wrong::Jammed, Element::Part(at)) => {
                let ways = [Direction::Forward, Direction::Back];
                let blocks = ways.map(|direction| Obstacle { direction, when: Vec::new() });
                self.parts[at].blocks.extend(blocks);
            }
            (Wrong::Jammed, Element::Latch(part)) => {
                if let Some(latch) = &mut self.parts[part].latch {
                    latch.hold = Hold::While(Vec::new());
                }
            }
            _ => {}
        }
        self.defects.push(defect);
    }

    /// What lets air through a lip seal the other way: nothing, where that is the open air, which
    /// never holds more.
    pub(crate) fn add_lips(&mut self) {
        let lips = self.seals.iter().filter_map(|seal| {
            let lip = seal.lip?;
            let (a, b) = seal.between;
            let other = if lip == a { b } else { a };
            let name = format!("lip of the {}", seal.name.spoken());
            let way = passage(name, (other, lip), seal.when.clone());
            (other != OPEN_AIR).then_some(Way { one_way: true, ..way })
        });
        let lips: Vec<Way> = lips.collect();
        for way in lips {
            self.ways.push(way);
        }
    }
}

/// A wide way that no statement declares.
fn passage(id: String, (from, to): (ChamberId, ChamberId), when: Vec<Condition>) -> Way {
    let name = Name { id, ..Name::default() };
    let (width, one_way, barrel, relieves_at) = (Width::Wide, false, false, None);
    Way { name, from, to, width, one_way, barrel, when, relieves_at }
}
