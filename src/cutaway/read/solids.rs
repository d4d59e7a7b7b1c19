//! Sizes: the steps of the body and of moving parts, where parts stand, and where chambers lie.

use super::{Read, Reader, Unread};
use crate::cutaway::cursor::Cursor;
use crate::cutaway::gather::LineBlock;
use crate::cutaway::grammar::Under;
use crate::cutaway::lines::{Line, LineMark, LineToken};
use crate::cutaway::model::{ChamberId, Name, PartId, Seal, SealId, WayId};
use crate::cutaway::names::FoundName;
use crate::cutaway::solids::{
    Diameter, DrawnHole, DrawnInsert, DrawnJoint, DrawnPlace, DrawnSize, DrawnSolid, DrawnStep,
    InsertPlace, PlaceKind, RoomPlace, SizeKind, StepKind, StepSide,
};
use crate::formula::{Syntax, parse_with};
use crate::slip::Slip;
use crate::text::Span;
use std::sync::Arc;

/// Words at which a size ends.
const ENDS: [&str; 11] =
    ["length", "dia", "bore", "floor", "for", "to", "at", "from", "with", "times", "sealing"];

/// First words of lines about sizes, below the body or a part.
pub(super) const LINES: [&str; 5] = ["step", "groove", "hole", "joint", "place"];

impl Reader<'_> {
    /// `body` and its lines.
    pub(super) fn body(&mut self, block: &LineBlock) -> Read<()> {
        self.end_of_line(block, "body", &Cursor::new(&block.statement.head, 1));
        let mut solid = DrawnSolid::default();
        let mut joints = Vec::new();
        for line in &block.statement.inner {
            let Some(first) = line.tokens.first() else { continue };
            let is_piece = first.is("insert") || first.is("tube");
            if !is_piece && !LINES[..4].iter().any(|word| first.is(word)) {
                self.unknown_line(block, first, "line below `body`", Under::Body);
                continue;
            }
            let result = match is_piece {
                true => self.insert_line(block, line, &mut solid, &mut joints),
                false => self.solid_line(block, line, &mut solid),
            };
            self.told_missing(block, result);
            let last = solid.inserts.last();
            if last.is_some_and(|insert| !matches!(insert.place, InsertPlace::Beside(_))) {
                self.must_have_outside(block, line, &solid);
            }
        }
        for (insert, tokens) in joints {
            let own = self.step_of(block, &solid, &tokens[0]);
            let against = self.step_of(block, &solid, &tokens[1]);
            if let (Ok(own), Ok(against)) = (own, against) {
                solid.inserts[insert].place = InsertPlace::With { own, against };
            }
        }
        self.joints_between_steps(block, &mut solid);
        self.engine.drawn.body = Some(solid);
        Ok(())
    }

    /// The lines of a moving part that speak of sizes.
    pub(super) fn drawn_part(&mut self, block: &LineBlock, part: PartId) {
        let mut solid = DrawnSolid::default();
        let lines = || block.statement.inner.iter();
        for line in lines().filter(|line| LINES[..4].iter().any(|word| starts(line, word))) {
            let result = self.solid_line(block, line, &mut solid);
            self.told_missing(block, result);
            self.must_have_outside(block, line, &solid);
        }
        self.joints_between_steps(block, &mut solid);
        for line in lines().filter(|line| starts(line, "place")) {
            let result = self.place_line(block, part, line, &mut solid);
            self.told_missing(block, result);
        }
        if !solid.steps.is_empty() || !solid.places.is_empty() {
            self.engine.drawn.parts.insert(part, solid);
        }
    }

    /// A joint has a step of the same chain on each side; others are told and left out.
    fn joints_between_steps(&mut self, block: &LineBlock, solid: &mut DrawnSolid) {
        let ends = |step| {
            step == solid.steps.len() || solid.inserts.iter().any(|insert| insert.first == step)
        };
        let mut before = 0;
        let mut kept = Vec::new();
        for joint in std::mem::take(&mut solid.joints) {
            if joint.step != before && !ends(joint.step) {
                before = joint.step;
                kept.push(joint);
                continue;
            }
            let message = "expected a step behind this `joint`, and one in front of it";
            let spot = block.spot(joint.span);
            self.tell(block, Slip::stop("statement-unreadable", spot, message));
        }
        solid.joints = kept;
    }

    /// Only of the body itself the outside need not be known.
    fn must_have_outside(&mut self, block: &LineBlock, line: &Line, solid: &DrawnSolid) {
        let is_bare = |step: &DrawnStep| matches!(step.kind, StepKind::Plain { outer: None, .. });
        if starts(line, "step") && solid.steps.last().is_some_and(is_bare) {
            let end = line.span.end;
            let message = "expected `dia`, the outside of the step; the line ends";
            let spot = block.spot(Span::new(end, end));
            self.tell(block, Slip::stop("statement-unreadable", spot, message));
        }
    }

    fn solid_line(&mut self, block: &LineBlock, line: &Line, solid: &mut DrawnSolid) -> Read<()> {
        let mut cursor = Cursor::new(line, 1);
        match line.tokens[0].text.as_str() {
            "step" => {
                let step = self.step(block, &mut cursor)?;
                if let Some(name) = step.name.as_ref().filter(|it| solid.step(&it.id).is_some()) {
                    let message = format!("the step `{}` is declared twice", name.id);
                    let spot = block.spot(line.tokens[1].span);
                    self.tell(block, Slip::stop("declared-twice", spot, message));
                }
                solid.steps.push(step);
            }
            "groove" => {
                cursor.expect("length")?;
                let length = self.size(block, &mut cursor, "how wide the groove is")?;
                cursor.expect("floor")?;
                let floor = self.size(block, &mut cursor, "the diameter of its floor")?;
                cursor.expect("for")?;
                let token = cursor.name("the seal that sits in it")?;
                let is_gone = block.taken_over.is_some() && !self.has_seal(&token.text);
                let seal = match is_gone {
                    true => None,
                    false => Some(self.seal_named(block, token)?),
                };
                self.end_of_line(block, "groove", &cursor);
                let kind = StepKind::Groove { floor, seal };
                solid.steps.push(DrawnStep { name: None, length, kind });
            }
            "joint" => {
                self.end_of_line(block, "joint", &cursor);
                let span = line.tokens[0].span;
                solid.joints.push(DrawnJoint { step: solid.steps.len(), span });
            }
            _ => {
                let hole = self.hole(block, &mut cursor, solid)?;
                solid.holes.extend(hole);
            }
        }
        Ok(())
    }

    /// `hole SIZE  at LENGTH  times COUNT  for WAY`; nothing where a variant has taken that way.
    fn hole(
        &mut self,
        block: &LineBlock,
        cursor: &mut Cursor,
        solid: &DrawnSolid,
    ) -> Read<Option<DrawnHole>> {
        let diameter = self.size(block, cursor, "the diameter of the hole")?;
        cursor.expect("at")?;
        let at = self.size(block, cursor, "how far its middle is from the rear end")?;
        let (mut count, mut way, mut is_gone) = (1, None, false);
        self.clauses(block, "hole", cursor, |reader, cursor, word| {
            if word == "times" {
                count = reader.count(cursor)?;
                return Ok(());
            }
            let token = cursor.name("the way that goes through it")?;
            let is_part = !block.statement.head.tokens.first().is_some_and(|it| it.is("body"));
            if is_part {
                let message = "a hole in a moving part joins what lies on its two sides";
                let slip = Slip::stop("statement-unreadable", block.spot(token.span), message);
                let help = "leave out `for`, or drill the hole of this way in the body";
                reader.tell(block, slip.help(help));
                return Err(Unread::Silent);
            }
            let found = reader.names.find::<WayId>(&token.text);
            is_gone = block.taken_over.is_some() && matches!(found, FoundName::Nothing);
            if !is_gone {
                way = Some(reader.resolve(block, token)?);
            }
            Ok(())
        })?;
        let insert = solid.inserts.len().checked_sub(1);
        Ok((!is_gone).then_some(DrawnHole { diameter, at, count, insert, way }))
    }

    /// How many there are of a thing: a whole number, at least one.
    fn count(&self, cursor: &mut Cursor) -> Read<u32> {
        let found = cursor.peek().and_then(|token| token.text.parse().ok());
        let Some(count @ 1..=999) = found else {
            return Err(cursor.missing("how many there are, as `4`".to_owned()).into());
        };
        cursor.next();
        Ok(count)
    }

    /// `insert NAME  at LENGTH`, `insert NAME  with STEP on STEP`, `tube NAME  at LENGTH`: the
    /// steps are told once all of them are read.
    fn insert_line(
        &mut self,
        block: &LineBlock,
        line: &Line,
        solid: &mut DrawnSolid,
        joints: &mut Vec<(usize, [LineToken; 2])>,
    ) -> Read<()> {
        let mut cursor = Cursor::new(line, 1);
        let word = line.tokens[0].text.as_str();
        let is_tube = word == "tube";
        let what = if is_tube { "the name of its axis" } else { "the name of the insert" };
        let token = cursor.name(what)?;
        let name = self.checked_name(block, token);
        let span = self.place(block, line.span);
        let first = solid.steps.len();
        let place = if !is_tube && cursor.takes("with") {
            let own = cursor.name("a step of the insert")?.clone();
            cursor.expect("on")?;
            let against = cursor.name("the step that it meets")?.clone();
            joints.push((solid.inserts.len(), [own, against]));
            InsertPlace::With { own: first, against: first }
        } else {
            if !is_tube && !cursor.peek().is_some_and(|token| token.is("at")) {
                let expected = "`with STEP on STEP`, the first of them a step of the insert, or \
                                `at LENGTH`";
                return Err(cursor.missing(expected.to_owned()).into());
            }
            cursor.expect("at")?;
            let size = self.size(block, &mut cursor, "where its rear end is")?;
            if is_tube { InsertPlace::Beside(size) } else { InsertPlace::At(size) }
        };
        self.end_of_line(block, word, &cursor);
        solid.inserts.push(DrawnInsert { name, first, place, span });
        Ok(())
    }

    fn step(&mut self, block: &LineBlock, cursor: &mut Cursor) -> Read<DrawnStep> {
        let name = match cursor.peek() {
            Some(token) if !token.is("length") => {
                let token = cursor.name("the name of the step, or `length`")?;
                Some(self.checked_name(block, token))
            }
            _ => None,
        };
        cursor.expect("length")?;
        let length = self.size(block, cursor, "how long the step is")?;
        let (mut outer, mut bore) = (None, None);
        self.clauses(block, "step", cursor, |reader, cursor, word| {
            let rear = reader.size(block, cursor, "a diameter")?;
            let front = match cursor.takes("to") {
                true => Some(reader.size(block, cursor, "the diameter at the front end")?),
                false => None,
            };
            let found = Some(Box::new(Diameter { rear, front }));
            if word == "dia" {
                outer = found
            } else {
                bore = found
            }
            Ok(())
        })?;
        Ok(DrawnStep { name, length, kind: StepKind::Plain { outer, bore } })
    }

    /// `place POSITION  at LENGTH`, `at LENGTH from POSITION`, `with STEP on STEP sealing SIZE`.
    fn place_line(
        &mut self,
        block: &LineBlock,
        part: PartId,
        line: &Line,
        solid: &mut DrawnSolid,
    ) -> Read<()> {
        let mut cursor = Cursor::new(line, 1);
        let token = cursor.name("a position of the part")?;
        let position = self.position_of(block, part, token)?;
        let kind = if cursor.takes("with") {
            if self.engine.drawn.body.is_none() && block.taken_over.is_some() {
                // The body was taken away.
                return Ok(());
            }
            let token = cursor.name("a step of the part")?;
            let own = self.step_of(block, solid, token)?;
            cursor.expect("on")?;
            let token = cursor.name("the step of the body that it meets")?;
            let body = self.engine.drawn.body.clone().unwrap_or_default();
            let against = self.step_of(block, &body, token)?;
            let sealing = match cursor.takes("sealing") {
                true => Some(Box::new(self.size(
                    block,
                    &mut cursor,
                    "the diameter at which it seals",
                )?)),
                false => None,
            };
            PlaceKind::With { own, against, sealing }
        } else {
            cursor.expect("at")?;
            let size = self.size(block, &mut cursor, "where its rear end is")?;
            match cursor.takes("from") {
                false => PlaceKind::At(size),
                true => {
                    let token = cursor.name("another position of the part")?;
                    PlaceKind::From(size, self.position_of(block, part, token)?)
                }
            }
        };
        self.end_of_line(block, "place", &cursor);
        if solid.places.iter().any(|place| place.position == position) {
            let message = format!("where it stands at `{}` is said twice", token.text);
            self.tell(block, Slip::stop("declared-twice", block.spot(token.span), message));
            return Ok(());
        }
        solid.places.push(DrawnPlace { position, kind, span: self.place(block, line.span) });
        Ok(())
    }

    /// `around PART STEP` and so on, behind its first word.
    pub(super) fn room_place(
        &mut self,
        block: &LineBlock,
        cursor: &mut Cursor,
        (word, chamber): (&str, ChamberId),
    ) -> Read<()> {
        let side = match word {
            "in" if cursor.takes("front") => {
                cursor.expect("of")?;
                StepSide::InFront
            }
            word => {
                let mut sides = StepSide::ALL.into_iter();
                sides.find(|(known, _)| *known == word).map_or(StepSide::Around, |(_, side)| side)
            }
        };
        let part = match cursor.takes("body") {
            true => None,
            false => Some(self.named::<PartId>(block, cursor, "`body` or a moving part")?),
        };
        let token = cursor.name("a step of it")?;
        let name = Name { id: token.text.clone(), called: Vec::new(), span: token.span };
        self.room_places.push((block.clone(), chamber, side, part, name));
        Ok(())
    }

    /// Once all steps are read: where the chambers lie.
    pub(super) fn settle_rooms(&mut self) {
        for (block, chamber, side, part, name) in std::mem::take(&mut self.room_places) {
            let drawn = &self.engine.drawn;
            let solid = match part {
                None => drawn.body.as_ref(),
                Some(part) => drawn.parts.get(&part),
            };
            if solid.is_none() && block.taken_over.is_some() {
                // A variant may draw the part anew without sizes.
                continue;
            }
            let solid = solid.cloned().unwrap_or_default();
            let token = LineToken { mark: LineMark::Word, text: name.id.clone(), span: name.span };
            if let Ok(step) = self.step_of(&block, &solid, &token) {
                let place = RoomPlace { side, part, step };
                self.engine.drawn.rooms.insert(chamber, place);
            }
        }
    }

    /// The number of a step by its name.
    fn step_of(&mut self, block: &LineBlock, solid: &DrawnSolid, token: &LineToken) -> Read<usize> {
        if let Some(step) = solid.step(&token.text) {
            return Ok(step);
        }
        let known: Vec<String> =
            solid.steps.iter().filter_map(|step| Some(step.name.as_ref()?.id.clone())).collect();
        let message = format!("there is no step `{}`", token.text);
        let slip = Slip::stop("nothing-of-that-name", block.spot(token.span), message);
        let near = self.nearest(&token.text, known.iter().map(String::as_str)).map(str::to_owned);
        let slip = match near {
            Some(near) => slip.write(near),
            None if known.is_empty() => slip.help("give a step that name: `step NAME  length …`"),
            None => slip.noting(format!("there are {}", known.join(", "))),
        };
        self.tell(block, slip);
        Err(Unread::Silent)
    }

    fn has_seal(&self, name: &str) -> bool {
        self.engine.seals.iter().any(|seal| seal.name.id == name) || self.names.is_unread(name)
    }

    fn seal_named(&mut self, block: &LineBlock, token: &LineToken) -> Read<SealId> {
        let is_it = |(at, seal): (SealId, &Seal)| (seal.name.id == token.text).then_some(at);
        if let Some(at) = self.engine.seals.entries().find_map(is_it) {
            return Ok(at);
        }
        if self.names.is_unread(&token.text) {
            return Err(Unread::Silent);
        }
        let known: Vec<String> = self.engine.seals.iter().map(|it| it.name.id.clone()).collect();
        let message = format!("there is no seal `{}`", token.text);
        let slip = Slip::stop("nothing-of-that-name", block.spot(token.span), message);
        let near = self.nearest(&token.text, known.iter().map(String::as_str)).map(str::to_owned);
        self.tell(
            block,
            match near {
                Some(near) => slip.write(near),
                None => slip.help("declare it: `seal NAME  on PART  between CHAMBER and CHAMBER`"),
            },
        );
        Err(Unread::Silent)
    }

    /// A word within a size that was meant to end it.
    fn misspelt(&mut self, block: &LineBlock, size: Span) -> Option<Slip> {
        let mut lines = std::iter::once(&block.statement.head).chain(&block.statement.inner);
        let is_here = |line: &&Line| line.span.start <= size.start && size.end <= line.span.end;
        let line = lines.find(is_here)?;
        let known: &[&str] = match line.tokens.first()?.text.as_str() {
            "step" => &["length", "dia", "bore", "to"],
            "groove" => &["length", "floor", "for"],
            _ => &["at", "from", "times", "for"],
        };
        let within = line.tokens.iter().filter(|it| size.start < it.span.start);
        let within = within.filter(|it| it.span.end <= size.end);
        let words = within.filter(|it| 3 <= it.text.len() && it.mark == LineMark::Word);
        let words: Vec<&LineToken> =
            words.filter(|it| it.text.chars().all(char::is_alphabetic)).collect();
        words.into_iter().find_map(|token| {
            let near = self.nearest(&token.text, known.iter().copied())?;
            let message = format!("the size does not end before `{}`", token.text);
            Some(Slip::stop("statement-unreadable", block.spot(token.span), message).write(near))
        })
    }

    /// The engine whose cutaway states a block, where that is another one: its file has its name.
    fn other_engine(&self, block: &LineBlock) -> Option<String> {
        let is_own = Arc::ptr_eq(&block.source, &self.source);
        let file = block.source.name.rsplit('/').next()?;
        (!is_own).then(|| file.trim_end_matches(".cut").to_owned())
    }

    /// A size: everything up to the next clause. What is wrong with it is told, and it is then as
    /// one that is not known.
    fn size(&mut self, block: &LineBlock, cursor: &mut Cursor, what: &str) -> Read<DrawnSize> {
        let mut span: Option<Span> = None;
        while let Some(token) = cursor.peek() {
            if token.mark != LineMark::Quoted && ENDS.contains(&token.text.as_str()) {
                break;
            }
            let start = span.map_or(token.span.start, |span| span.start);
            span = Some(Span::new(start, token.span.end));
            cursor.next();
        }
        let Some(span) = span else {
            return Err(cursor.missing(format!("{what}, as `4.0 mm \u{b1} 0.02 mm`")).into());
        };
        let text = block.source.slice(span).to_owned();
        let unknown = DrawnSize {
            kind: SizeKind::Unknown,
            text: text.clone(),
            span: self.place(block, span),
            borrowed_from: self.other_engine(block),
        };
        if text == "unknown" {
            return Ok(unknown);
        }
        let plain = text.trim_start_matches('~').trim_start();
        let syntax = Syntax { uncertain_literals: true, ..Syntax::default() };
        match parse_with(plain, syntax) {
            Ok(formula) if formula.is_comparison() => {
                let message = format!("expected {what}; found a comparison");
                self.tell(block, Slip::stop("statement-unreadable", block.spot(span), message));
                Ok(unknown)
            }
            Ok(formula) => {
                let is_estimate = plain.len() < text.len();
                let kind = match is_estimate {
                    true => SizeKind::Estimated(formula),
                    false => SizeKind::Stated(formula),
                };
                Ok(DrawnSize { kind, ..unknown })
            }
            Err(faults) => {
                if let Some(slip) = self.misspelt(block, span) {
                    self.tell(block, slip);
                    return Ok(unknown);
                }
                for fault in faults {
                    let start = span.end - plain.len();
                    let at = fault.span.shifted(start);
                    let slip =
                        Slip::stop("statement-unreadable", block.spot(at), fault.message.clone());
                    self.tell(
                        block,
                        match fault.help {
                            Some(help) => slip.help(help),
                            None => slip,
                        },
                    );
                }
                Ok(unknown)
            }
        }
    }
}

fn starts(line: &Line, word: &str) -> bool {
    line.tokens.first().is_some_and(|first| first.is(word))
}
