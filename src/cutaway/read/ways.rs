//! Chambers, regulators, ways, the ball and seals.

use super::resolve::both;
use super::{Read, Reader, Unread, called_in};
use crate::cutaway::cursor::Cursor;
use crate::cutaway::gather::{LineBlock, declared_name};
use crate::cutaway::lines::LineToken;
use crate::cutaway::model::{
    Ball, ChamberId, Element, Name, OPEN_AIR, PartId, Role, Seal, Way, WayId, Width,
};
use crate::cutaway::names::{FoundName, NameKind, NamedThing, as_name};
use crate::slip::Slip;

pub(super) const WIDTHS: [(&str, Width); 3] =
    [("wide", Width::Wide), ("narrow", Width::Narrow), ("bleed", Width::Bleed)];

impl Reader<'_> {
    pub(super) fn trigger(&mut self, block: &LineBlock) -> Read<()> {
        let mut cursor = Cursor::new(&block.statement.head, 2);
        self.clauses(block, "trigger", &mut cursor, |_, _, _| Ok(()))
    }

    /// `chamber NAME  role ROLE` and `supply NAME  at READING`.
    pub(super) fn chamber(&mut self, block: &LineBlock) -> Read<()> {
        let Some(at) = self.own::<ChamberId>(block) else { return Err(Unread::Silent) };
        let mut cursor = Cursor::new(&block.statement.head, 2);
        self.clauses(block, block.keyword(), &mut cursor, |reader, cursor, word| {
            match word {
                "at" => reader.drawn_at(block, cursor, Element::Chamber(at))?,
                "holds" => reader.holds(block, cursor, at)?,
                "starts as" => {
                    let from = reader.named(block, cursor, "the supply that filled it")?;
                    reader.engine.chambers[at].starts_as = Some(from);
                }
                "around" | "behind" | "in" => reader.room_place(block, cursor, (word, at))?,
                "quick" => reader.engine.chambers[at].is_quick = true,
                _ => {
                    let role = reader.one_of(block, cursor, "a role", &Role::ALL)?;
                    reader.engine.chambers[at].role = role;
                }
            }
            Ok(())
        })
    }

    /// `regulator NAME  from SUPPLY to LINE  at READING`.
    pub(super) fn regulator(&mut self, block: &LineBlock) -> Read<()> {
        let Some(name) = self.quiet_name(block) else { return Err(Unread::Silent) };
        let mut cursor = Cursor::new(&block.statement.head, 2);
        cursor.expect("from")?;
        let source = cursor.peek();
        let from = self.named::<ChamberId>(block, &mut cursor, "the supply it takes from");
        cursor.expect("to")?;
        let to_token = cursor.peek();
        let to = self.named::<ChamberId>(block, &mut cursor, "the line that it feeds");
        let (from, to) = both(self, block, from, to)?;
        self.must_differ(block, (from, to), to_token, "a regulator leads to another line")?;
        self.clauses(block, "regulator", &mut cursor, |reader, cursor, word| match word {
            "holds" => reader.holds(block, cursor, to),
            "around" | "behind" | "in" => reader.room_place(block, cursor, (word, to)),
            _ => reader.drawn_at(block, cursor, Element::Chamber(to)),
        })?;
        let role = self.engine.chambers[from].role;
        if role != Role::Supply {
            let span = source.map_or(block.statement.head.span, |token| token.span);
            let id = self.engine.chambers[from].name.id.clone();
            let message = format!("a regulator takes from a supply; `{id}` is none");
            let slip = Slip::stop("regulator-without-supply", block.spot(span), message);
            let label = self.engine.chambers[from].name.span;
            self.tell(
                block,
                slip.label(block.spot(label), "declared here")
                    .help(format!("write `supply {id}` where it is declared")),
            );
            return Err(Unread::Silent);
        }
        self.names.place(NameKind::Regulator, &name, to.place());
        let line = &mut self.engine.chambers[to];
        line.role = Role::Supply;
        line.regulated_from = Some(from);
        line.regulator = Some(name);
        Ok(())
    }

    /// `way NAME  from A to B  narrow  one way  at READING  while …` and `barrel  from BREECH`.
    pub(super) fn way(&mut self, block: &LineBlock) -> Read<()> {
        let Some(name) = self.quiet_name(block) else { return Err(Unread::Silent) };
        let barrel = block.keyword() == "barrel";
        let is_named = !(barrel && block.statement.head.tokens.get(1).is_none_or(|t| t.is("from")));
        let mut cursor = Cursor::new(&block.statement.head, 1 + usize::from(is_named));
        let from = self.chamber_behind(block, &mut cursor, "from");
        let (from, to) = if barrel {
            (from?, OPEN_AIR)
        } else {
            // A missing word ends the reading, an unknown name does not.
            let from = match from {
                Err(Unread::MissingWord(missing)) => return Err(missing.into()),
                other => other,
            };
            cursor.expect("to")?;
            let token = cursor.peek();
            let to = self.named::<ChamberId>(block, &mut cursor, "the chamber it leads to");
            let (from, to) = both(self, block, from, to)?;
            let what = "a way leads from one chamber to another, not to itself";
            self.must_differ(block, (from, to), token, what)?;
            (from, to)
        };
        let mut way = Way {
            name,
            from,
            to,
            width: Width::Wide,
            one_way: false,
            barrel,
            when: Vec::new(),
            relieves_at: None,
        };
        // Its place, once all of it has been read.
        let at = WayId::at(self.engine.ways.len());
        self.clauses(block, block.keyword(), &mut cursor, |reader, cursor, word| {
            match word {
                "one way" => way.one_way = true,
                "at" => reader.drawn_at(block, cursor, Element::Way(at))?,
                "while" => way.when = reader.conditions(block, cursor)?,
                "relieves at" => {
                    way.relieves_at = Some(reader.named(block, cursor, "a landmark")?);
                }
                word => {
                    let width = WIDTHS.iter().find(|(known, _)| *known == word);
                    way.width = width.map_or(way.width, |(_, width)| *width);
                }
            }
            Ok(())
        })?;
        self.names.place(NameKind::Way, &way.name, at.place());
        self.engine.ways.push(way);
        Ok(())
    }

    /// `ball NAME  in CHAMBER  none at rest  fed while …`.
    pub(super) fn ball(&mut self, block: &LineBlock) -> Read<()> {
        let Some(name) = self.quiet_name(block) else { return Err(Unread::Silent) };
        let mut cursor = Cursor::new(&block.statement.head, 2);
        let chamber = self.chamber_behind(block, &mut cursor, "in")?;
        let (mut fed, mut lies_at_rest) = (Vec::new(), true);
        self.clauses(block, "ball", &mut cursor, |reader, cursor, word| {
            match word {
                "none at rest" => lies_at_rest = false,
                _ => fed = reader.conditions(block, cursor)?,
            }
            Ok(())
        })?;
        self.names.place(NameKind::Ball, &name, 0);
        self.engine.ball = Some(Ball { name, chamber, lies_at_rest, fed });
        Ok(())
    }

    /// `seal NAME  on PART  between A and B  size -012  while …`.
    pub(super) fn seal(&mut self, block: &LineBlock) -> Read<()> {
        let Some(name) = self.quiet_name(block) else { return Err(Unread::Silent) };
        let mut cursor = Cursor::new(&block.statement.head, 2);
        let on = if cursor.takes("on") {
            self.named::<PartId>(block, &mut cursor, "the part that carries it").map(Some)
        } else {
            if cursor.takes("in") {
                cursor.expect("body")?;
            }
            Ok(None)
        };
        cursor.expect("between")?;
        let first = self.named::<ChamberId>(block, &mut cursor, "the first chamber");
        cursor.expect("and")?;
        let token = cursor.peek();
        let second = self.named::<ChamberId>(block, &mut cursor, "the second chamber");
        let between = both(self, block, first, second);
        let (on, between) = both(self, block, on, between)?;
        self.must_differ(block, between, token, "a seal keeps two chambers apart, not one")?;
        let mut seal = Seal { name, on, between, size: None, lip: None, when: Vec::new() };
        self.clauses(block, "seal", &mut cursor, |reader, cursor, word| {
            match word {
                "size" => {
                    let token = cursor.name("the size of the ring, as -012")?;
                    let span = reader.place(block, token.span);
                    let id = token.text.clone();
                    seal.size = Some(Name { id, called: Vec::new(), span });
                }
                "lip" => {
                    let token = cursor.peek();
                    let lip = reader.named::<ChamberId>(block, cursor, "the chamber it holds")?;
                    reader.must_be_sealed(block, between, lip, token)?;
                    seal.lip = Some(lip);
                }
                _ => seal.when = reader.conditions(block, cursor)?,
            }
            Ok(())
        })?;
        let name = seal.name.clone();
        let at = self.engine.seals.push(seal);
        self.names.place(NameKind::Seal, &name, at.place());
        Ok(())
    }

    /// The reading behind `at`, which states the size of something.
    pub(super) fn drawn_at(
        &mut self,
        block: &LineBlock,
        cursor: &mut Cursor,
        thing: Element,
    ) -> Read<()> {
        let reading = self.reading(block, cursor)?;
        self.engine.readings.insert(thing, reading);
        Ok(())
    }

    pub(super) fn reading(&mut self, block: &LineBlock, cursor: &mut Cursor) -> Read<Name> {
        let token: &LineToken = cursor.name("the name of a reading")?;
        Ok(self.checked_name(block, token))
    }

    /// The place of what a statement declares.
    pub(super) fn own<I: NamedThing>(&self, block: &LineBlock) -> Option<I> {
        let token = declared_name(&block.statement.head)?;
        match self.names.find(&token.text) {
            FoundName::At(at) => Some(at),
            _ => None,
        }
    }

    /// The name that a statement declares; its faults are told when names are entered.
    pub(super) fn quiet_name(&self, block: &LineBlock) -> Option<Name> {
        let head = &block.statement.head;
        let token = declared_name(head)?;
        let span = self.place(block, token.span);
        let name = as_name(&token.text);
        let id = if name.is_empty() { token.text } else { name };
        Some(Name { id, called: called_in(head), span })
    }
}
