//! Entering names: chambers, triggers, parts with their positions, and valves have their place in
//! the model before anything else is read.

use super::{Reader, all_of_these, called_in, is_name, is_plain_name};
use crate::cutaway::gather::{LineBlock, declared_name};
use crate::cutaway::grammar::{Under, declared_by, firsts};
use crate::cutaway::lines::{Line, LineMark, LineToken};
use crate::cutaway::model::{
    Chamber, Drive, Landmark, List, Name, OPEN_AIR, Pace, Part, PositionId, Returns, Role, Shape,
    Valve, ValveKind,
};
use crate::cutaway::names::{NameKind, as_name};
use crate::slip::Slip;
use std::collections::BTreeMap;

impl Reader<'_> {
    /// Enters all names.
    pub(super) fn declare(&mut self, blocks: &[LineBlock]) {
        self.names.add(NameKind::Chamber, &self.engine.chambers[OPEN_AIR].name.clone(), Some(0));
        for block in blocks {
            let Some(kind) = declared_by(block.keyword()) else { continue };
            if matches!(kind, NameKind::Event | NameKind::Axis | NameKind::Body) {
                continue;
            }
            if let Some(name) = self.name_of(block) {
                self.enter(block, kind, name);
            }
        }
        let regulators = blocks.iter().filter(|block| block.keyword() == "regulator");
        for block in regulators {
            self.regulated(block);
        }
        if self.engine.triggers.is_empty() {
            let trigger = Name { id: "trigger".into(), ..Name::default() };
            self.names.add(NameKind::Trigger, &trigger, Some(0));
            self.engine.triggers.push(trigger);
        }
    }

    /// The name that a statement declares, with what it is called.
    pub(super) fn name_of(&mut self, block: &LineBlock) -> Option<Name> {
        let head = &block.statement.head;
        let Some(token) = declared_name(head) else {
            let place = head.tokens.first()?.span.end;
            let message = format!("expected a name behind `{}`", block.keyword());
            self.tell(
                block,
                Slip::stop("statement-unreadable", block.spot((place..place).into()), message),
            );
            return None;
        };
        let name = self.checked_name(block, &token);
        Some(Name { called: called_in(head), ..name })
    }

    /// A name as the language wants it; others are told and brought into its form.
    pub(super) fn checked_name(&mut self, block: &LineBlock, token: &LineToken) -> Name {
        let name = as_name(&token.text);
        if !is_name(token) {
            let message = format!(
                "the name `{}` holds more than small letters, digits and `_`, or starts otherwise",
                token.text
            );
            let slip = Slip::stop("name-unusable", block.spot(token.span), message);
            let starts_well = is_plain_name(&name);
            let example = format!("start it with a letter, as `a{name}`");
            self.tell(
                block,
                if starts_well { slip.write(name.as_str()) } else { slip.help(example) },
            );
        }
        // Under the name that it should have, so that the slip is the only one.
        let id = if name.is_empty() { token.text.clone() } else { name };
        Name { id, called: Vec::new(), span: self.place(block, token.span) }
    }

    fn enter(&mut self, block: &LineBlock, kind: NameKind, name: Name) {
        if kind == NameKind::Chamber && name.id == "open_air" {
            let message = "the open air is always there and needs no statement";
            let slip = Slip::stop("declared-twice", block.spot(name.span), message);
            return self.tell(block, slip);
        }
        self.check_openers(block, kind, &name);
        let at = match kind {
            NameKind::Trigger => Some(self.engine.triggers.len()),
            NameKind::Landmark => Some(self.engine.landmarks.len()),
            NameKind::Chamber => Some(self.engine.chambers.len()),
            NameKind::Valve => Some(self.engine.valves.len()),
            NameKind::Part => self.part_shell(block, &name),
            // The place of the others is known when they have been read; until then they are
            // only known to be there.
            _ => None,
        };
        let taken = self.names.add(kind, &name, at);
        if let Some(words) = taken.first().filter(|_| at.is_some()) {
            let message = format!("another {} goes by \"{words}\" already", kind.noun());
            self.tell(
                block,
                Slip::stop("declared-twice", block.spot(block.statement.head.span), message),
            );
        }
        match kind {
            NameKind::Trigger => {
                self.engine.triggers.push(name);
            }
            NameKind::Chamber => {
                let role = if block.keyword() == "supply" { Role::Supply } else { Role::Room };
                self.engine.chambers.push(chamber(name, role));
            }
            NameKind::Valve => {
                self.engine.valves.push(valve_shell(name));
            }
            NameKind::Landmark => {
                self.engine.landmarks.push(Landmark { name, above: None, height: 1 });
            }
            _ => {}
        }
    }

    /// A way and a valve both open and close, so an event could not tell one from the other; above
    /// a chamber or a landmark may something stand.
    fn check_openers(&mut self, block: &LineBlock, kind: NameKind, name: &Name) {
        let (other, message) = match kind {
            NameKind::Way => (NameKind::Valve, OPENERS),
            NameKind::Valve => (NameKind::Way, OPENERS),
            NameKind::Chamber => (NameKind::Landmark, PRESSURES),
            NameKind::Landmark => (NameKind::Chamber, PRESSURES),
            _ => return,
        };
        if self.names.has(other, &name.id) {
            let message = message.replace("NAME", &name.id);
            let token = declared_name(&block.statement.head);
            let span = token.map_or(block.statement.head.span, |token| token.span);
            let slip = Slip::stop("declared-twice", block.spot(span), message);
            self.tell(block, slip.help("give one of them another name"));
        }
    }

    /// A regulator declares the line that it feeds, where nothing else does.
    fn regulated(&mut self, block: &LineBlock) {
        let head = &block.statement.head;
        let Some(at) = head.tokens.iter().position(|token| token.is("to")) else { return };
        let Some(token) = head.tokens.get(at + 1).filter(|token| token.mark != LineMark::Sign)
        else {
            return;
        };
        if self.names.has(NameKind::Chamber, &token.text) {
            return;
        }
        let name = self.checked_name(block, token);
        self.names.add(NameKind::Chamber, &name, Some(self.engine.chambers.len()));
        self.engine.chambers.push(chamber(name, Role::Supply));
    }

    /// A part with its positions; `None`, and told, without them.
    fn part_shell(&mut self, block: &LineBlock, name: &Name) -> Option<usize> {
        let mut parts = block.statement.inner.iter();
        let Some(line) = parts.find(|line| line.tokens.first().is_some_and(|t| t.is("positions")))
        else {
            self.incomplete(
                block,
                "does not say between which `positions` it moves",
                "write `positions back, front`, rear to front",
            );
            return None;
        };
        let positions = self.positions(block, line);
        if positions.len() < 2 {
            let message = format!("`{}` needs two positions or more, rear to front", name.id);
            self.tell(block, Slip::stop("block-incomplete", block.spot(line.span), message));
            return None;
        }
        // Without one the slip stops everything; the other lines are worth reading all the same.
        let rest = self.rest_position(block, &positions).or_else(|| positions.ids().last())?;
        let part = self.engine.parts.push(Part {
            name: name.clone(),
            shape: Shape::default(),
            positions,
            rest,
            pushes: List::default(),
            latch: None,
            blocks: Vec::new(),
            pace: Pace::default(),
        });
        Some(part.place())
    }

    fn positions(&mut self, block: &LineBlock, line: &Line) -> List<PositionId, Name> {
        let mut positions: List<PositionId, Name> = List::default();
        for token in line.tokens[1..].iter().filter(|token| !token.is(",")) {
            if token.mark == LineMark::Sign {
                let message = format!("expected the name of a position; found `{}`", token.text);
                self.tell(
                    block,
                    Slip::stop("statement-unreadable", block.spot(token.span), message),
                );
                break;
            }
            if positions.iter().any(|position| position.id == token.text) {
                let message = format!("the position `{}` is declared twice", token.text);
                self.tell(block, Slip::stop("declared-twice", block.spot(token.span), message));
                continue;
            }
            let name = self.checked_name(block, token);
            positions.push(name);
        }
        positions
    }

    fn rest_position(
        &mut self,
        block: &LineBlock,
        positions: &List<PositionId, Name>,
    ) -> Option<PositionId> {
        let mut lines = block.statement.inner.iter();
        let line = lines.find(|line| line.tokens.first().is_some_and(|token| token.is("rests")));
        let Some(line) = line else {
            let example = positions.iter().last().map_or("front", |position| position.id.as_str());
            let help = format!("write `rests {example}`, or the position where it really rests");
            self.incomplete(block, "does not say where it `rests`", &help);
            return None;
        };
        let token = line.tokens.get(1).filter(|token| !token.is("at")).or(line.tokens.get(2));
        let Some(token) = token else {
            let message = "expected the position where it rests; the line ends";
            let end = line.span.end;
            self.tell(
                block,
                Slip::stop("statement-unreadable", block.spot((end..end).into()), message),
            );
            return None;
        };
        let mut known = positions.entries();
        let found = known.find_map(|(at, name)| (name.id == token.text).then_some(at));
        if found.is_none() {
            self.no_position(block, token, positions);
        }
        found
    }

    /// That a part has no such position.
    pub(super) fn no_position(
        &mut self,
        block: &LineBlock,
        token: &LineToken,
        positions: &List<PositionId, Name>,
    ) {
        let known: Vec<&str> = positions.iter().map(|position| position.id.as_str()).collect();
        let message =
            format!("there is no position `{}`; known are {}", token.text, all_of_these(&known));
        let slip = Slip::stop("nothing-of-that-name", block.spot(token.span), message);
        let near = self.nearest(&token.text, known.iter().copied()).map(str::to_owned);
        self.tell(
            block,
            match near {
                Some(near) => slip.write(near),
                None => slip,
            },
        );
    }

    /// That a block lacks a line.
    pub(super) fn incomplete(&mut self, block: &LineBlock, lacks: &str, help: &str) {
        // A line with a misspelt first word is told as that.
        let has_unknown_line = block.statement.inner.iter().any(|line| {
            line.tokens.first().is_some_and(|first| !is_known_line(block.keyword(), first))
        });
        if has_unknown_line {
            return;
        }
        let head = &block.statement.head;
        let name = declared_name(head);
        let span = name.as_ref().map_or(head.span, |name| name.span);
        let name = name.map_or_else(|| block.keyword().to_owned(), |name| name.text);
        let slip = Slip::stop("block-incomplete", block.spot(span), format!("`{name}` {lacks}"));
        self.tell(block, slip.help(help));
    }
}

const OPENERS: &str = "a way and a valve go by `NAME`, and either can open and close";
const PRESSURES: &str = "a chamber and a landmark go by `NAME`, and a pressure may be above either";

fn is_known_line(keyword: &str, first: &LineToken) -> bool {
    let under = if keyword == "moving" { Under::Moving } else { Under::Valve };
    firsts(under).any(|word| first.is(word))
}

fn chamber(name: Name, role: Role) -> Chamber {
    Chamber {
        name,
        role,
        regulated_from: None,
        regulator: None,
        holds: None,
        starts_as: None,
        is_quick: false,
    }
}

fn valve_shell(name: Name) -> Valve {
    Valve {
        name,
        kind: ValveKind::Boxes(3),
        drive: Drive::Mechanical,
        rest: Vec::new(),
        shifted: Vec::new(),
        widths: BTreeMap::new(),
        shifts: Vec::new(),
        on_edge: false,
        returns: Returns::Spring,
    }
}
