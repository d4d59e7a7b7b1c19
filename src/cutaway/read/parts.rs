//! Moving parts: what pushes them, what holds them, and which move as one.

use super::resolve::both;
use super::{Read, Reader, Unread};
use crate::cutaway::cursor::Cursor;
use crate::cutaway::gather::LineBlock;
use crate::cutaway::grammar::{Under, declared_by, firsts};
use crate::cutaway::lines::{Line, LineMark, LineToken};
use crate::cutaway::model::{
    Direction, Element, Hold, Latch, Name, Obstacle, Pace, PartId, Push, PushKind, Shape, TriggerId,
};
use crate::slip::Slip;

const DIRECTIONS: [(&str, Direction); 2] =
    [("forward", Direction::Forward), ("back", Direction::Back)];

impl Reader<'_> {
    /// `moving NAME  as SHAPE` and its lines.
    pub(super) fn moving(&mut self, block: &LineBlock) -> Read<()> {
        let Some(part) = self.own::<PartId>(block) else { return Err(Unread::Silent) };
        let result = self.moving_head(block, part);
        self.told_missing(block, result);
        let mut seen = Vec::new();
        for line in &block.statement.inner {
            let result = self.part_line(block, part, line, &mut seen);
            if result.is_err() {
                self.lacking_pushes.insert(part);
            }
            self.told_missing(block, result);
        }
        Ok(())
    }

    fn moving_head(&mut self, block: &LineBlock, part: PartId) -> Read<()> {
        let mut cursor = Cursor::new(&block.statement.head, 2);
        self.clauses(block, "moving", &mut cursor, |reader, cursor, word| {
            let pace = match word {
                "light" => Some(Pace::Light),
                "slow" => Some(Pace::Slow),
                _ => None,
            };
            if let Some(pace) = pace {
                reader.engine.parts[part].pace = pace;
                return Ok(());
            }
            let shape = reader.one_of(block, cursor, "a shape", &Shape::ALL)?;
            reader.engine.parts[part].shape = shape;
            Ok(())
        })
    }

    fn part_line<'l>(
        &mut self,
        block: &LineBlock,
        part: PartId,
        line: &'l Line,
        seen: &mut Vec<&'l str>,
    ) -> Read<()> {
        let Some(first) = line.tokens.first() else { return Ok(()) };
        let word = first.text.as_str();
        if matches!(word, "positions" | "rests" | "latch") {
            if seen.contains(&word) {
                let message = format!("`{word}` stands twice below one part");
                self.tell(block, Slip::stop("declared-twice", block.spot(first.span), message));
                return Ok(());
            }
            seen.push(word);
        }
        match word {
            "positions" => Ok(()),
            "rests" => {
                let skipped =
                    if line.tokens.get(1).is_some_and(|token| token.is("at")) { 3 } else { 2 };
                self.end_of_line(block, word, &Cursor::new(line, skipped));
                Ok(())
            }
            "face" | "spring" | "contact" | "finger" => self.push(block, part, line, word),
            "latch" => self.latch(block, part, line),
            "blocked" => self.blocked(block, part, line),
            // Read once everything that they speak of is.
            word if super::solids::LINES.contains(&word) => Ok(()),
            _ => {
                self.unknown_line(block, first, "line below `moving`", Under::Moving);
                Ok(())
            }
        }
    }

    /// `face NAME in CHAMBER pushes forward`, `spring …`, `contact NAME from PART …`.
    fn push(&mut self, block: &LineBlock, part: PartId, line: &Line, word: &str) -> Read<()> {
        let mut cursor = Cursor::new(line, 1);
        let name = self.push_name(block, line, &mut cursor, word)?;
        let kind = match word {
            "face" => {
                let chamber = self.chamber_behind(block, &mut cursor, "in");
                chamber.map(PushKind::Face)
            }
            "contact" => {
                cursor.expect("from")?;
                let token = cursor.peek();
                let by = self.named::<PartId>(block, &mut cursor, "the part that strikes it");
                by.and_then(|by| {
                    let what = "a part is pushed by another one, not by itself";
                    self.must_differ(block, (part, by), token, what).map(|()| PushKind::Contact(by))
                })
            }
            "finger" => Ok(PushKind::Hand),
            _ => Ok(PushKind::Spring),
        };
        if let Err(Unread::MissingWord(missing)) = kind {
            return Err(missing.into());
        }
        cursor.expect("pushes")?;
        let direction = self.one_of(block, &mut cursor, "a direction", &DIRECTIONS);
        let (mut reading, mut preload) = (None, None);
        let (mut when, mut is_blow) = (Ok(Vec::new()), false);
        self.clauses(block, word, &mut cursor, |reader, cursor, word| {
            match word {
                "at" => reading = Some(reader.reading(block, cursor)?),
                "preload" => preload = Some(reader.reading(block, cursor)?),
                "once" => is_blow = true,
                _ => match reader.conditions(block, cursor) {
                    Err(Unread::MissingWord(missing)) => return Err(missing.into()),
                    other => when = other,
                },
            }
            Ok(())
        })?;
        let (kind, (direction, when)) = {
            let rest = both(self, block, direction, when);
            both(self, block, kind, rest)?
        };
        let pushes = &mut self.engine.parts[part].pushes;
        if pushes.iter().any(|push| push.name.id == name.id) {
            let message = format!("`{}` is declared twice in this part", name.id);
            let span = line.tokens.get(1).map_or(line.span, |token| token.span);
            self.tell(block, Slip::stop("declared-twice", block.spot(span), message));
            return Ok(());
        }
        let push = Element::Push(part, pushes.push(Push { name, kind, direction, when, is_blow }));
        self.engine.readings.extend(reading.map(|reading| (push, reading)));
        self.engine.preloads.extend(preload.map(|reading| (push, reading)));
        Ok(())
    }

    /// A lone spring may go without a name.
    fn push_name(
        &mut self,
        block: &LineBlock,
        line: &Line,
        cursor: &mut Cursor,
        word: &str,
    ) -> Read<Name> {
        let is_unnamed = cursor.peek().is_some_and(|token| token.is("pushes"));
        if ["spring", "finger"].contains(&word) && is_unnamed {
            let span = self.place(block, line.tokens[0].span);
            return Ok(Name { id: word.into(), called: Vec::new(), span });
        }
        let token = cursor.name(&format!("the name of the {word}"))?;
        Ok(self.checked_name(block, token))
    }

    /// `latch NAME holds POSITION until TRIGGER`, or `… while CONDITIONS`.
    fn latch(&mut self, block: &LineBlock, part: PartId, line: &Line) -> Read<()> {
        let mut cursor = Cursor::new(line, 1);
        let token = cursor.name("the name of the latch")?;
        let name = self.checked_name(block, token);
        cursor.expect("holds")?;
        let position = cursor.name("the position that it holds")?;
        let is_while = cursor.takes("while");
        if !is_while {
            cursor.expect("until")?;
        }
        let at = self.position_of(block, part, position);
        let hold = match is_while {
            true => self.conditions(block, &mut cursor).map(Hold::While),
            false => self
                .named::<TriggerId>(block, &mut cursor, "the trigger that releases it")
                .map(Hold::Until),
        };
        let (at, hold) = both(self, block, at, hold)?;
        self.end_of_line(block, "latch", &cursor);
        self.engine.parts[part].latch = Some(Latch { name, at, hold });
        Ok(())
    }

    /// `blocked DIRECTION  while CONDITIONS`.
    fn blocked(&mut self, block: &LineBlock, part: PartId, line: &Line) -> Read<()> {
        let mut cursor = Cursor::new(line, 1);
        let direction = self.one_of(block, &mut cursor, "a direction", &DIRECTIONS)?;
        let mut when = Vec::new();
        self.clauses(block, "blocked", &mut cursor, |reader, cursor, _| {
            when = reader.conditions(block, cursor)?;
            Ok(())
        })?;
        self.engine.parts[part].blocks.push(Obstacle { direction, when });
        Ok(())
    }

    /// `link A with B`.
    pub(super) fn link(&mut self, block: &LineBlock) -> Read<()> {
        let mut cursor = Cursor::new(&block.statement.head, 1);
        let first = self.named::<PartId>(block, &mut cursor, "a part");
        if let Err(Unread::MissingWord(missing)) = first {
            return Err(missing.into());
        }
        cursor.expect("with")?;
        let token = cursor.peek();
        let second = self.named::<PartId>(block, &mut cursor, "the part that moves with it");
        let (first, second) = both(self, block, first, second)?;
        self.must_differ(block, (first, second), token, "a part always moves with itself")?;
        self.end_of_line(block, "link", &cursor);
        let (a, b) = (&self.engine.parts[first], &self.engine.parts[second]);
        let (of_a, of_b) = (a.positions.len(), b.positions.len());
        if of_a != of_b {
            let message = format!(
                "parts that move as one have as many positions: `{}` has {of_a}, `{}` has {of_b}",
                a.name.id, b.name.id
            );
            let spot = block.spot(block.statement.head.span);
            self.tell(block, Slip::stop("links-uneven", spot, message));
            return Err(Unread::Silent);
        }
        self.engine.links.push((first, second));
        Ok(())
    }

    /// That a line below a block starts with a word that none starts with.
    pub(super) fn unknown_line(
        &mut self,
        block: &LineBlock,
        token: &LineToken,
        what: &str,
        under: Under,
    ) {
        let message = format!("no {what} starts with `{}`", token.text);
        let known: Vec<&str> = firsts(under).collect();
        let mut slip = Slip::stop("statement-unknown", block.spot(token.span), message)
            .noting(format!("known are {}", super::all_of_these(&known)));
        let is_statement = declared_by(&token.text).is_some() && token.mark == LineMark::Word;
        if let Some(near) = self.nearest(&token.text, known.iter().copied()) {
            slip = slip.write(near);
        } else if is_statement {
            slip = slip.help("start it at the edge of the page");
        }
        self.tell(block, slip);
    }
}
