//! Chambers, regulators, ways, the ball and seals.

use super::resolve::both;
use super::{Read, Reader, Unread, called_in};
use crate::cutaway::cursor::Cursor;
use crate::cutaway::gather::{Block, called, declared_name};
use crate::cutaway::lines::Token;
use crate::cutaway::model::{
    Ball, ChamberId, Condition, Element, Name, OPEN_AIR, PartId, Role, Seal, Way, Width,
};
use crate::cutaway::names::{Found, Kind, Named, as_name};
use crate::slip::Slip;

const WIDTHS: [(&str, Width); 3] =
    [("wide", Width::Wide), ("narrow", Width::Narrow), ("bleed", Width::Bleed)];

impl Reader<'_> {
    pub(super) fn trigger(&mut self, block: &Block) -> Read<()> {
        let mut cursor = Cursor::new(&block.statement.head, 2);
        if cursor.takes("called") {
            called(&mut cursor)?;
        }
        self.end_of_line(block, &cursor, &["called"]);
        Ok(())
    }

    /// `chamber NAME  role ROLE` and `supply NAME  at READING`.
    pub(super) fn chamber(&mut self, block: &Block) -> Read<()> {
        let Some(at) = self.own::<ChamberId>(block) else { return Err(Unread::Silent) };
        let mut cursor = Cursor::new(&block.statement.head, 2);
        let is_supply = block.keyword() == "supply";
        let may_follow: &[&str] =
            if is_supply { &["at", "called"] } else { &["role", "at", "called"] };
        loop {
            if cursor.takes("at") {
                let reading = self.reading(block, &mut cursor)?;
                self.engine.readings.insert(Element::Chamber(at), reading);
            } else if !is_supply && cursor.takes("role") {
                let role = self.one_of(block, &mut cursor, "a role", &Role::ALL)?;
                self.engine.chambers[at].role = role;
            } else if cursor.takes("called") {
                called(&mut cursor)?;
            } else {
                break;
            }
        }
        self.end_of_line(block, &cursor, may_follow);
        Ok(())
    }

    /// `regulator NAME  from SUPPLY to LINE  at READING`.
    pub(super) fn regulator(&mut self, block: &Block) -> Read<()> {
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
        let mut at = None;
        loop {
            if cursor.takes("at") {
                at = Some(self.reading(block, &mut cursor)?);
            } else if cursor.takes("called") {
                called(&mut cursor)?;
            } else {
                break;
            }
        }
        self.end_of_line(block, &cursor, &["at", "called"]);
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
        self.names.place(Kind::Regulator, &name, to.place());
        let line = &mut self.engine.chambers[to];
        line.role = Role::Supply;
        line.regulated_from = Some(from);
        line.regulator = Some(name);
        if let Some(reading) = at {
            self.engine.readings.insert(Element::Chamber(to), reading);
        }
        Ok(())
    }

    /// `way NAME  from A to B  narrow  one way  at READING  while …` and `barrel  from BREECH`.
    pub(super) fn way(&mut self, block: &Block) -> Read<()> {
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
                Err(Unread::Missing(missing)) => return Err(missing.into()),
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
        let mut way =
            Way { name, from, to, width: Width::Wide, one_way: false, barrel, when: Vec::new() };
        let reading = self.way_details(block, &mut cursor, &mut way)?;
        let name = way.name.clone();
        let at = self.engine.ways.push(way);
        self.engine.readings.extend(reading.map(|reading| (Element::Way(at), reading)));
        self.names.place(Kind::Way, &name, at.place());
        Ok(())
    }

    fn way_details(
        &mut self,
        block: &Block,
        cursor: &mut Cursor,
        way: &mut Way,
    ) -> Read<Option<Name>> {
        let mut reading = None;
        loop {
            let width = cursor.peek().and_then(|token| {
                WIDTHS.iter().find(|(word, _)| token.is(word)).map(|(_, width)| *width)
            });
            if let Some(width) = width {
                cursor.next();
                way.width = width;
            } else if cursor.takes_both("one", "way") {
                way.one_way = true;
            } else if cursor.takes("at") {
                reading = Some(self.reading(block, cursor)?);
            } else if cursor.takes("while") {
                way.when = self.conditions(block, cursor)?;
            } else if cursor.takes("called") {
                called(cursor)?;
            } else {
                break;
            }
        }
        let may_follow = ["wide", "narrow", "bleed", "one way", "at", "while", "called"];
        self.end_of_line(block, cursor, &may_follow);
        Ok(reading)
    }

    /// `ball NAME  in CHAMBER  fed while …`.
    pub(super) fn ball(&mut self, block: &Block) -> Read<()> {
        let Some(name) = self.quiet_name(block) else { return Err(Unread::Silent) };
        let mut cursor = Cursor::new(&block.statement.head, 2);
        let chamber = self.chamber_behind(block, &mut cursor, "in")?;
        let mut fed = Vec::new();
        loop {
            if cursor.takes("fed") {
                cursor.expect("while")?;
                fed = self.conditions(block, &mut cursor)?;
            } else if cursor.takes("called") {
                called(&mut cursor)?;
            } else {
                break;
            }
        }
        self.end_of_line(block, &cursor, &["fed while", "called"]);
        self.names.place(Kind::Ball, &name, 0);
        self.engine.ball = Some(Ball { name, chamber, fed });
        Ok(())
    }

    /// `seal NAME  on PART  between A and B  size -012  while …`.
    pub(super) fn seal(&mut self, block: &Block) -> Read<()> {
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
        let mut seal = Seal { name, on, between, size: None, when: Vec::new() };
        self.seal_details(block, &mut cursor, &mut seal)?;
        let name = seal.name.clone();
        let at = self.engine.seals.push(seal);
        self.names.place(Kind::Seal, &name, at.place());
        Ok(())
    }

    fn seal_details(&mut self, block: &Block, cursor: &mut Cursor, seal: &mut Seal) -> Read<()> {
        loop {
            if cursor.takes("size") {
                let token = cursor.name("the size of the ring, as -012")?;
                let span = self.place(block, token.span);
                seal.size = Some(Name { id: token.text.clone(), called: Vec::new(), span });
            } else if cursor.takes("while") {
                seal.when = self.conditions(block, cursor)?;
            } else if cursor.takes("called") {
                called(cursor)?;
            } else {
                break;
            }
        }
        self.end_of_line(block, cursor, &["size", "while", "called"]);
        Ok(())
    }

    /// `while` and what follows, where it stands.
    pub(super) fn while_here(
        &mut self,
        block: &Block,
        cursor: &mut Cursor,
    ) -> Read<Vec<Condition>> {
        if cursor.takes("while") { self.conditions(block, cursor) } else { Ok(Vec::new()) }
    }

    pub(super) fn reading(&mut self, block: &Block, cursor: &mut Cursor) -> Read<Name> {
        let token: &Token = cursor.name("the name of a reading")?;
        Ok(self.checked_name(block, token))
    }

    /// The place of what a statement declares.
    pub(super) fn own<I: Named>(&self, block: &Block) -> Option<I> {
        let token = declared_name(&block.statement.head)?;
        match self.names.find(&token.text) {
            Found::At(at) => Some(at),
            _ => None,
        }
    }

    /// The name that a statement declares; its faults are told when names are entered.
    pub(super) fn quiet_name(&self, block: &Block) -> Option<Name> {
        let head = &block.statement.head;
        let token = declared_name(head)?;
        let span = self.place(block, token.span);
        let name = as_name(&token.text);
        let id = if name.is_empty() { token.text } else { name };
        Some(Name { id, called: called_in(head), span })
    }
}
