//! Copies of an engine with every name changed and every list in another order.

use gaugebook::cutaway::Engine;
use gaugebook::cutaway::model::{
    Chamber, Condition, Direction, Element, Event, Hold, Id, List, Name, Part, PartId, PositionId,
    PushKind, Returns, Term, Valve, ValveKind, Way, Width,
};

/// A list in another order, and the new place of each of its things.
struct Order(Vec<usize>);

impl Order {
    /// `kept` things at the beginning stay where they are.
    fn of(count: usize, kept: usize, seed: &mut u64) -> Order {
        let mut order: Vec<usize> = (0..count).collect();
        for at in (kept + 1..count).rev() {
            order.swap(at, kept + next(seed) % (at - kept + 1));
        }
        Order(order)
    }

    fn to<I: Id>(&self, old: I) -> I {
        I::at(self.0.iter().position(|place| *place == old.place()).unwrap())
    }

    fn list<I: Id, T: Clone>(&self, old: &List<I, T>) -> List<I, T> {
        self.0.iter().map(|at| old[I::at(*at)].clone()).collect()
    }
}

/// The engine with a few things changed or taken away that nothing else speaks of.
pub(crate) fn mutated(engine: &Engine, mut seed: u64) -> Engine {
    let seed = &mut seed;
    let mut copy = engine.clone();
    copy.facts.clear();
    copy.orders.clear();
    copy.sayings.clear();
    copy.axes.clear();
    for _ in 0..1 + next(seed) % 4 {
        let what = next(seed) % 6;
        let count = [copy.ways.len(), copy.seals.len(), copy.parts.len()][what % 3];
        if count == 0 {
            continue;
        }
        let at = next(seed) % count;
        match what {
            0 => copy.ways = all_but(&copy.ways, at),
            1 => copy.seals = all_but(&copy.seals, at),
            2 => {
                let part = &mut copy.parts[PartId::at(at)];
                let push = next(seed) % part.pushes.len().max(1);
                part.pushes = all_but(&part.pushes, push);
            }
            3 => {
                let way = &mut copy.ways.iter_mut().nth(at).unwrap();
                way.width = if way.width == Width::Wide { Width::Narrow } else { Width::Wide };
            }
            4 => copy.seals.iter_mut().nth(at).unwrap().when.clear(),
            _ => {
                let part = &mut copy.parts[PartId::at(at)];
                for push in part.pushes.iter_mut().take(1) {
                    push.direction = match push.direction {
                        Direction::Forward => Direction::Back,
                        Direction::Back => Direction::Forward,
                    };
                }
            }
        }
    }
    copy
}

fn all_but<I: Id, T: Clone>(list: &List<I, T>, at: usize) -> List<I, T> {
    let kept = list.iter().enumerate().filter(|(place, _)| *place != at);
    kept.map(|(_, thing)| thing.clone()).collect()
}

/// The next of a row of numbers that look random (Knuth's 64-bit congruence).
fn next(seed: &mut u64) -> usize {
    *seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    (*seed >> 33) as usize
}

struct Orders {
    chambers: Order,
    ways: Order,
    parts: Order,
    pushes: List<PartId, Order>,
    seals: Order,
    valves: Order,
}

/// The engine with other names and in another order. Triggers and positions keep their order,
/// which means something.
pub(crate) fn shuffled(engine: &Engine, mut seed: u64) -> Engine {
    let seed = &mut seed;
    let parts = engine.parts.iter();
    let orders = Orders {
        chambers: Order::of(engine.chambers.len(), 1, seed),
        ways: Order::of(engine.ways.len(), 0, seed),
        parts: Order::of(engine.parts.len(), 0, seed),
        pushes: parts.map(|part| Order::of(part.pushes.len(), 0, seed)).collect(),
        valves: Order::of(engine.valves.len(), 0, seed),
        seals: Order::of(engine.seals.len(), 0, seed),
    };
    let mut copy = engine.clone();
    copy.chambers = orders.chambers.list(&engine.chambers);
    copy.ways = orders.ways.list(&engine.ways);
    copy.parts = orders.parts.list(&engine.parts);
    copy.valves = orders.valves.list(&engine.valves);
    copy.seals = orders.seals.list(&engine.seals);
    let facts = Order::of(engine.facts.len(), 0, seed).0;
    copy.facts = facts.iter().map(|at| engine.facts[*at].clone()).collect();
    for (at, part) in copy.parts.iter_mut().enumerate() {
        let order = &orders.pushes[PartId::at(orders.parts.0[at])];
        part.pushes = order.list(&part.pushes);
    }
    orders.redirect(&mut copy);
    rename(&mut copy);
    copy
}

impl Orders {
    fn redirect(&self, engine: &mut Engine) {
        engine.chambers.iter_mut().for_each(|chamber: &mut Chamber| {
            chamber.regulated_from = chamber.regulated_from.map(|from| self.chambers.to(from));
            chamber.starts_as = chamber.starts_as.map(|from| self.chambers.to(from));
        });
        for latch in engine.parts.iter_mut().filter_map(|part: &mut Part| part.latch.as_mut()) {
            if let Hold::While(when) = &mut latch.hold {
                self.conditions(when);
            }
        }
        engine.ways.iter_mut().for_each(|way: &mut Way| {
            (way.from, way.to) = (self.chambers.to(way.from), self.chambers.to(way.to));
            if !way.one_way && way.relieves_at.is_none() {
                std::mem::swap(&mut way.from, &mut way.to);
            }
            self.conditions(&mut way.when);
        });
        engine.parts.iter_mut().flat_map(|part: &mut Part| part.pushes.iter_mut()).for_each(
            |push| {
                push.kind = match push.kind {
                    PushKind::Face(chamber) => PushKind::Face(self.chambers.to(chamber)),
                    PushKind::Contact(part) => PushKind::Contact(self.parts.to(part)),
                    PushKind::Spring => PushKind::Spring,
                    PushKind::Hand => PushKind::Hand,
                };
                self.conditions(&mut push.when);
            },
        );
        engine.valves.iter_mut().for_each(|valve: &mut Valve| {
            for (one, other) in valve.rest.iter_mut().chain(&mut valve.shifted) {
                (*one, *other) = (self.chambers.to(*one), self.chambers.to(*other));
                // A quick exhaust at rest passes air from the first to the second only.
                if valve.kind != ValveKind::QuickExhaust {
                    std::mem::swap(one, other);
                }
            }
            self.conditions(&mut valve.shifts);
            if let Returns::While(conditions) = &mut valve.returns {
                self.conditions(conditions);
            }
        });
        for choice in engine.choices.iter_mut().flatten() {
            self.conditions(choice);
        }
        for block in engine.parts.iter_mut().flat_map(|part: &mut Part| &mut part.blocks) {
            self.conditions(&mut block.when);
        }
        for (one, other) in &mut engine.links {
            (*one, *other) = (self.parts.to(*one), self.parts.to(*other));
        }
        for seal in &mut engine.seals {
            seal.on = seal.on.map(|part| self.parts.to(part));
            let (one, other) = seal.between;
            seal.between = (self.chambers.to(other), self.chambers.to(one));
            seal.lip = seal.lip.map(|lip| self.chambers.to(lip));
            self.conditions(&mut seal.when);
        }
        if let Some(ball) = &mut engine.ball {
            ball.chamber = self.chambers.to(ball.chamber);
            self.conditions(&mut ball.fed);
        }
        self.facts_and_events(engine);
    }

    fn facts_and_events(&self, engine: &mut Engine) {
        for term in
            engine.facts.iter_mut().flat_map(|fact| fact.left.iter_mut().chain(&mut fact.right))
        {
            if let Term::Own(element) = term {
                *element = self.element(*element);
            }
        }
        for order in &mut engine.orders {
            (order.first, order.then) = (self.event(order.first), self.event(order.then));
        }
        for saying in &mut engine.sayings {
            saying.event = self.event(saying.event);
        }
        for thing in engine.axes.iter_mut().flat_map(|axis| axis.places.iter_mut().flatten()) {
            *thing = self.element(*thing);
        }
    }

    fn conditions(&self, conditions: &mut [Condition]) {
        conditions.reverse();
        for condition in conditions {
            *condition = match *condition {
                Condition::At(part, at) => Condition::At(self.parts.to(part), at),
                Condition::From(part, at) => Condition::From(self.parts.to(part), at),
                Condition::Before(part, at) => Condition::Before(self.parts.to(part), at),
                Condition::Shifted(at) => Condition::Shifted(self.valves.to(at)),
                Condition::Resting(at) => Condition::Resting(self.valves.to(at)),
                Condition::Pulled(at) => Condition::Pulled(at),
                Condition::Released(at) => Condition::Released(at),
                Condition::Reached(at, mark) => Condition::Reached(self.chambers.to(at), mark),
                Condition::Below(at, mark) => Condition::Below(self.chambers.to(at), mark),
                Condition::Pressure(at) => Condition::Pressure(self.chambers.to(at)),
                Condition::NoPressure(at) => Condition::NoPressure(self.chambers.to(at)),
                Condition::Above(one, other) => {
                    Condition::Above(self.chambers.to(one), self.chambers.to(other))
                }
                Condition::Either(at) => Condition::Either(at),
            };
        }
    }

    fn element(&self, element: Element) -> Element {
        match element {
            Element::Chamber(at) => Element::Chamber(self.chambers.to(at)),
            Element::Regulator(at) => Element::Regulator(self.chambers.to(at)),
            Element::Pressure(at, mark) => Element::Pressure(self.chambers.to(at), mark),
            Element::Part(at) => Element::Part(self.parts.to(at)),
            Element::Valve(at) => Element::Valve(self.valves.to(at)),
            Element::Position(part, at) => Element::Position(self.parts.to(part), at),
            Element::Push(part, at) => Element::Push(self.parts.to(part), self.pushes[part].to(at)),
            Element::Latch(part) => Element::Latch(self.parts.to(part)),
            Element::Joint(at, shifted, joint) => {
                Element::Joint(self.valves.to(at), shifted, joint)
            }
            Element::Way(at) => Element::Way(self.ways.to(at)),
            Element::Seal(at) => Element::Seal(self.seals.to(at)),
            Element::Trigger(_) | Element::Ball | Element::Choice(..) => element,
        }
    }

    fn event(&self, event: Event) -> Event {
        event.of(self.element(event.subject())).unwrap()
    }
}

/// The engine turned round end for end: what was forward is back, and of each part the first
/// position is the last.
pub(crate) fn turned_round(engine: &Engine) -> Engine {
    let mut copy = engine.clone();
    let place = |part: PartId, at: PositionId| {
        PositionId::at(engine.parts[part].positions.len() - 1 - at.place())
    };
    for (part, item) in copy.parts.iter_mut().enumerate() {
        let part = PartId::at(part);
        let mut positions: Vec<Name> = item.positions.iter().cloned().collect();
        positions.reverse();
        item.positions = positions.into_iter().collect();
        item.rest = place(part, item.rest);
        for push in &mut item.pushes {
            push.direction = opposite(push.direction);
            turn(&mut push.when, &place);
        }
        for block in &mut item.blocks {
            block.direction = opposite(block.direction);
            turn(&mut block.when, &place);
        }
        if let Some(latch) = &mut item.latch {
            latch.at = place(part, latch.at);
            if let Hold::While(when) = &mut latch.hold {
                turn(when, &place);
            }
        }
    }
    copy.ways.iter_mut().for_each(|way| turn(&mut way.when, &place));
    copy.seals.iter_mut().for_each(|seal| turn(&mut seal.when, &place));
    copy.ball.iter_mut().for_each(|ball| turn(&mut ball.fed, &place));
    copy.choices.iter_mut().flatten().for_each(|choice| turn(choice, &place));
    for valve in &mut copy.valves {
        turn(&mut valve.shifts, &place);
        if let Returns::While(when) = &mut valve.returns {
            turn(when, &place);
        }
    }
    let event = |event: Event| match event {
        Event::Leaves(part, at) => Event::Leaves(part, place(part, at)),
        Event::Reaches(part, at) => Event::Reaches(part, place(part, at)),
        other => other,
    };
    for order in &mut copy.orders {
        (order.first, order.then) = (event(order.first), event(order.then));
    }
    copy.sayings.iter_mut().for_each(|saying| saying.event = event(saying.event));
    copy.axes.iter_mut().for_each(|axis| axis.places.reverse());
    copy
}

fn opposite(direction: Direction) -> Direction {
    match direction {
        Direction::Forward => Direction::Back,
        Direction::Back => Direction::Forward,
    }
}

/// The same conditions of parts that are turned round. What holds at none or at all positions is
/// not written, so the next position of the other side is always there.
fn turn(conditions: &mut Vec<Condition>, place: &dyn Fn(PartId, PositionId) -> PositionId) {
    let behind = |at: PositionId| at.place().checked_sub(1).map(PositionId::at);
    conditions.retain_mut(|condition| {
        *condition = match *condition {
            Condition::At(part, at) => Condition::At(part, place(part, at)),
            // In front of or at one: turned, behind the one that was next behind it.
            Condition::From(part, at) => match behind(at) {
                Some(behind) => Condition::Before(part, place(part, behind)),
                None => return false,
            },
            Condition::Before(part, at) => match behind(at) {
                Some(behind) => Condition::From(part, place(part, behind)),
                None => return true,
            },
            other => other,
        };
        true
    });
}

/// Gives every name a word that no engine here has.
fn rename(engine: &mut Engine) {
    let mut count = 0;
    let mut fresh = |name: &mut Name| {
        count += 1;
        *name = Name { id: format!("n{count}"), called: Vec::new(), span: name.span };
    };
    fresh(&mut engine.name);
    engine.triggers.iter_mut().for_each(&mut fresh);
    engine.chambers.iter_mut().skip(1).for_each(|chamber| fresh(&mut chamber.name));
    engine.ways.iter_mut().for_each(|way| fresh(&mut way.name));
    for part in &mut engine.parts {
        fresh(&mut part.name);
        part.positions.iter_mut().for_each(&mut fresh);
        part.pushes.iter_mut().for_each(|push| fresh(&mut push.name));
        part.latch.iter_mut().for_each(|latch| fresh(&mut latch.name));
    }
    engine.valves.iter_mut().for_each(|valve| fresh(&mut valve.name));
    engine.seals.iter_mut().for_each(|seal| fresh(&mut seal.name));
    engine.ball.iter_mut().for_each(|ball| fresh(&mut ball.name));
}
