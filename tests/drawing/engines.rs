//! Engines to draw, made by hand: what the language would give for them stands in their builders.

use gaugebook::cutaway::Engine;
use gaugebook::cutaway::model::*;

/// A name.
pub fn name(id: &str) -> Name {
    Name { id: id.to_string(), ..Name::default() }
}

/// An engine under way; things are named, and looked up by name.
pub struct Builder(pub Engine);

impl Builder {
    pub fn new(id: &str) -> Builder {
        let mut builder = Builder(Engine { name: name(id), ..Engine::default() });
        builder.0.triggers.push(name("trigger"));
        builder.chamber("open_air", Role::OpenAir);
        builder
    }

    pub fn chamber(&mut self, id: &str, role: Role) -> usize {
        self.0.chambers.push(Chamber {
            name: name(id),
            role,
            regulated_from: None,
            regulator: None,
            at: None,
        });
        self.0.chambers.len() - 1
    }

    fn at(&self, id: &str) -> usize {
        self.0.chamber(id).unwrap_or_else(|| panic!("no chamber {id}"))
    }

    fn part(&self, id: &str) -> usize {
        self.0.part(id).unwrap_or_else(|| panic!("no part {id}"))
    }

    /// `switch at back`, `bolt before caught`, `pressure in x`, … joined by ` and `.
    pub fn when(&self, text: &str) -> Vec<Condition> {
        let terms = text.split(" and ").filter(|term| !term.is_empty());
        terms.map(|term| self.condition(term)).collect()
    }

    fn condition(&self, term: &str) -> Condition {
        let words: Vec<&str> = term.split(' ').collect();
        let place = |part: &str, position: &str| {
            let part = self.part(part);
            let positions = self.0.parts[part].positions.iter();
            (part, find(positions, position).unwrap_or_else(|| panic!("no position {position}")))
        };
        match words.as_slice() {
            ["pressure", "in", c] => Condition::Pressure(self.at(c)),
            ["no", "pressure", "in", c] => Condition::NoPressure(self.at(c)),
            [part, "at", position] => {
                let (part, at) = place(part, position);
                Condition::At(part, at)
            }
            [part, "from", position] => {
                let (part, at) = place(part, position);
                Condition::From(part, at)
            }
            [part, "before", position] => {
                let (part, at) = place(part, position);
                Condition::Before(part, at)
            }
            [a, "above", b] => Condition::Above(self.at(a), self.at(b)),
            ["trigger"] => Condition::Pulled(0),
            _ => panic!("what is {term}"),
        }
    }

    pub fn way(&mut self, id: &str, from: &str, to: &str, width: Width, when: &str) -> &mut Way {
        let (from, to, when) = (self.at(from), self.at(to), self.when(when));
        self.0.ways.push(Way {
            name: name(id),
            from,
            to,
            width,
            one_way: false,
            barrel: false,
            when,
        });
        self.0.ways.last_mut().unwrap()
    }

    pub fn moving(&mut self, id: &str, shape: Shape, positions: &str, rest: &str) {
        let positions: Vec<Name> = positions.split(' ').map(name).collect();
        let rest = find(positions.iter(), rest).unwrap();
        self.0.parts.push(Part {
            name: name(id),
            shape,
            positions,
            rest,
            pushes: Vec::new(),
            latch: None,
        });
    }

    /// A push on the last part; `on` is a chamber, `spring` or a part that strikes it.
    pub fn push(&mut self, id: &str, on: &str, direction: Direction, when: &str) {
        let kind = match (on, self.0.chamber(on)) {
            ("spring", _) => PushKind::Spring,
            (_, Some(chamber)) => PushKind::Face(chamber),
            (part, None) => PushKind::Contact(self.part(part)),
        };
        let when = self.when(when);
        let push = Push { name: name(id), kind, direction, when };
        self.0.parts.last_mut().unwrap().pushes.push(push);
    }

    pub fn valve(
        &mut self,
        id: &str,
        kind: ValveKind,
        rest: &[(&str, &str)],
        shifted: &[(&str, &str)],
    ) -> &mut Valve {
        let pairs = |joins: &[(&str, &str)]| {
            joins.iter().map(|(a, b)| (self.at(a), self.at(b))).collect::<Vec<_>>()
        };
        let (rest, shifted) = (pairs(rest), pairs(shifted));
        self.0.valves.push(Valve {
            name: name(id),
            kind,
            drive: Drive::Solenoid,
            rest,
            shifted,
            shifts: vec![Condition::Pulled(0)],
            on_edge: true,
            returns: Returns::Spring,
        });
        self.0.valves.last_mut().unwrap()
    }

    pub fn barrel(&mut self, from: &str, ball: &str, fed: &str) {
        self.way("barrel", from, "open_air", Width::Wide, "").barrel = true;
        let (chamber, fed) = (self.at(from), self.when(fed));
        self.0.ball = Some(Ball { name: name(ball), chamber, fed });
    }

    pub fn seal(&mut self, id: &str, on: Option<&str>, between: (&str, &str)) {
        let on = on.map(|part| self.part(part));
        let between = (self.at(between.0), self.at(between.1));
        self.0.seals.push(Seal { name: name(id), on, between, size: None, when: Vec::new() });
    }

    /// `a, b around c, barrel`.
    pub fn axis(&mut self, id: &str, places: &str) {
        let thing = |word: &str| match (word, self.0.chamber(word)) {
            ("barrel", _) => OnAxis::Barrel,
            (_, Some(chamber)) => OnAxis::Chamber(chamber),
            _ => OnAxis::Part(self.part(word)),
        };
        let places = places.split(", ").map(|place| {
            let mut things: Vec<OnAxis> = place.split(" around ").map(thing).collect();
            things.reverse();
            things
        });
        let places = places.collect();
        self.0.axes.push(Axis { name: name(id), places });
    }
}

use Direction::{Back, Forward};

/// Switch and shaft apart, brought back by the supply's own pressure.
pub fn rowan() -> Engine {
    let mut b = Builder::new("rowan");
    b.chamber("bottle", Role::Supply);
    let line = b.chamber("line", Role::Supply);
    b.0.chambers[line].regulated_from = Some(1);
    b.0.chambers[line].regulator = Some(name("reg"));
    b.0.chambers[line].at = Some(name("operating_pressure"));
    b.chamber("store", Role::Store);
    let room = b.chamber("switch_room", Role::Pilot);
    b.0.chambers[room].name.called = vec!["switch room".into(), "rear chamber".into()];
    b.chamber("tube", Role::Drive);
    b.chamber("breech", Role::Breech);
    b.moving("switch", Shape::Spool, "back front", "front");
    b.push("rear", "switch_room", Forward, "");
    b.push("front", "store", Back, "");
    b.moving("bolt", Shape::Bolt, "back caught home", "back");
    b.push("sail", "tube", Forward, "");
    b.push("collar", "line", Back, "");
    b.way("metering", "line", "store", Width::Narrow, "");
    b.way("mouth", "store", "tube", Width::Wide, "switch at back and bolt before caught");
    b.way("relief", "tube", "open_air", Width::Wide, "switch at front");
    b.way("nose", "tube", "breech", Width::Wide, "bolt at home");
    b.barrel("breech", "pellet", "bolt at back");
    let valve = b.valve(
        "pilot",
        ValveKind::Boxes(3),
        &[("line", "switch_room")],
        &[("switch_room", "open_air")],
    );
    valve.returns = Returns::After(name("dwell"));
    b.seal("rear_seal", Some("switch"), ("switch_room", "store"));
    b.seal("stem_seal", Some("switch"), ("store", "tube"));
    b.seal("sail_seal", Some("bolt"), ("tube", "breech"));
    b.axis("main", "switch_room, switch, store around tube, bolt, breech, barrel");
    b.0
}

/// One spool that does everything, with a mechanical return spring.
pub fn hazel() -> Engine {
    let mut b = Builder::new("hazel");
    b.chamber("line", Role::Supply);
    b.chamber("store", Role::Store);
    b.chamber("rear_room", Role::Drive);
    b.chamber("breech", Role::Breech);
    b.moving("spool", Shape::Spool, "back front", "back");
    b.push("rear", "rear_room", Forward, "");
    b.push("front", "store", Back, "");
    b.push("return_spring", "spring", Back, "");
    b.way("metering", "line", "store", Width::Narrow, "");
    b.way("ports", "store", "breech", Width::Wide, "spool at front");
    b.barrel("breech", "pellet", "spool at back");
    b.valve("pilot", ValveKind::Boxes(3), &[("rear_room", "open_air")], &[("line", "rear_room")])
        .returns = Returns::After(name("dwell"));
    b.seal("nose_seal", Some("spool"), ("store", "breech"));
    b.seal("rear_seal", Some("spool"), ("rear_room", "store"));
    b.axis("main", "rear_room, spool, store, breech, barrel");
    b.0
}

/// Stacked tubes: a hammer held by a sear strikes a poppet; a bolt is linked to the hammer.
pub fn oak() -> Engine {
    let mut b = Builder::new("oak");
    b.chamber("line", Role::Supply);
    b.chamber("store", Role::Store);
    b.chamber("blow_room", Role::Drive);
    b.chamber("breech", Role::Breech);
    b.moving("hammer", Shape::Hammer, "back front", "back");
    b.push("main_spring", "spring", Forward, "");
    b.push("kick", "blow_room", Back, "");
    b.0.parts[0].latch = Some(Latch { name: name("sear"), at: 0, trigger: 0 });
    b.moving("poppet", Shape::Poppet, "shut open", "shut");
    b.push("blow", "hammer", Forward, "hammer at front");
    b.push("stem", "store", Back, "");
    b.push("poppet_spring", "spring", Back, "");
    b.moving("bolt", Shape::Bolt, "back home", "back");
    b.0.links.push((0, 2));
    b.way("metering", "line", "store", Width::Wide, "").one_way = true;
    b.way("seat", "store", "blow_room", Width::Wide, "poppet at open");
    b.way("transfer", "blow_room", "breech", Width::Wide, "bolt at home");
    b.way("leak", "blow_room", "open_air", Width::Bleed, "");
    b.barrel("breech", "pellet", "bolt at back");
    b.seal("bolt_seal", Some("bolt"), ("breech", "open_air"));
    b.axis("lower", "hammer, blow_room, poppet, store");
    b.axis("upper", "bolt, breech, barrel");
    b.0
}

/// As the Rowan, but its switch room is vented by a quick exhaust.
pub fn ash() -> Engine {
    let mut b = Builder::new("ash");
    b.chamber("line", Role::Supply);
    b.chamber("store", Role::Store);
    b.chamber("pilot_line", Role::Pilot);
    b.chamber("switch_room", Role::Pilot);
    b.chamber("tube", Role::Drive);
    b.chamber("breech", Role::Breech);
    b.moving("switch", Shape::Spool, "back front", "front");
    b.push("rear", "switch_room", Forward, "");
    b.push("front", "store", Back, "");
    b.push("keeper", "spring", Forward, "");
    b.moving("bolt", Shape::Bolt, "back home", "back");
    b.push("sail", "tube", Forward, "");
    b.push("collar", "line", Back, "");
    b.way("metering", "line", "store", Width::Narrow, "");
    b.way("mouth", "store", "tube", Width::Wide, "switch at back");
    b.way("relief", "tube", "open_air", Width::Wide, "switch at front");
    b.way("nose", "tube", "breech", Width::Wide, "bolt at home");
    b.barrel("breech", "pellet", "bolt at back");
    b.valve(
        "pilot",
        ValveKind::Boxes(3),
        &[("line", "pilot_line")],
        &[("pilot_line", "open_air")],
    )
    .returns = Returns::After(name("dwell"));
    let when = b.when("switch_room above pilot_line");
    let vent = b.valve(
        "vent",
        ValveKind::QuickExhaust,
        &[("pilot_line", "switch_room")],
        &[("switch_room", "open_air")],
    );
    (vent.drive, vent.on_edge, vent.shifts) = (Drive::Air, false, when);
    b.seal("rear_seal", Some("switch"), ("switch_room", "store"));
    b.axis("main", "switch_room, switch, store around tube, bolt, breech, barrel");
    b.0
}

/// All of them.
pub fn all() -> Vec<Engine> {
    vec![rowan(), hazel(), oak(), ash()]
}
