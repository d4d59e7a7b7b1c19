//! What stands behind `while` and `on`: terms joined by `and`.

use super::{Read, Reader, Unread};
use crate::cutaway::checks::exclusion;
use crate::cutaway::cursor::Cursor;
use crate::cutaway::gather::LineBlock;
use crate::cutaway::lines::LineToken;
use crate::cutaway::model::{
    ChamberId, Condition, LandmarkId, PartId, PositionId, TriggerId, ValveId,
};
use crate::cutaway::names::{FoundName, NameKind};
use crate::slip::Slip;
use crate::text::Span;

impl Reader<'_> {
    /// Reads terms until neither `and` nor `or` follows; `and` binds more closely.
    pub(super) fn conditions(
        &mut self,
        block: &LineBlock,
        cursor: &mut Cursor,
    ) -> Read<Vec<Condition>> {
        let first = self.all_of(block, cursor)?;
        if !cursor.peek().is_some_and(|token| token.is("or")) {
            return Ok(first);
        }
        let mut choice = vec![first];
        while cursor.takes("or") {
            choice.push(self.all_of(block, cursor)?);
        }
        Ok(vec![Condition::Either(self.engine.choices.push(choice))])
    }

    /// Reads terms until no `and` follows.
    fn all_of(&mut self, block: &LineBlock, cursor: &mut Cursor) -> Read<Vec<Condition>> {
        let before = cursor.rest();
        let mut terms = Vec::new();
        let mut is_whole = true;
        loop {
            // An unknown name in one term does not keep the others from being read.
            match self.term(block, cursor) {
                Ok(condition) => terms.push(condition),
                Err(Unread::Silent) => is_whole = false,
                Err(missing) => return Err(missing),
            }
            if !cursor.takes("and") {
                break;
            }
        }
        if !is_whole {
            return Err(Unread::Silent);
        }
        let read = &before[..before.len() - cursor.rest().len()];
        self.check_exclusion(block, read, &terms);
        Ok(terms)
    }

    /// Tells of conditions that never hold together.
    fn check_exclusion(&mut self, block: &LineBlock, read: &[LineToken], terms: &[Condition]) {
        let Some(why) = exclusion(&self.engine, &self.together, terms) else { return };
        let Some((first, last)) = read.first().zip(read.last()) else { return };
        let spot = block.spot(Span::new(first.span.start, last.span.end));
        let slip = if block.keyword() == "way" {
            let name = self.quiet_name(block).map(|name| name.id).unwrap_or_default();
            Slip::stop("way-never-opens", spot, format!("`{name}` never opens: {why}"))
        } else {
            Slip::stop("conditions-exclude", spot, format!("this never comes about: {why}"))
        };
        self.tell(block, slip);
    }

    fn term(&mut self, block: &LineBlock, cursor: &mut Cursor) -> Read<Condition> {
        let has_no = cursor.takes("no");
        if has_no || (self.starts_with_pressure(cursor)) {
            cursor.expect("pressure")?;
            let chamber = self.chamber_behind(block, cursor, "in")?;
            let (with, without) = (Condition::Pressure(chamber), Condition::NoPressure(chamber));
            return Ok(if has_no { without } else { with });
        }
        let subject = cursor.name("a condition, as `switch at back`")?;
        let verb = cursor.peek().filter(|token| !token.is("and") && !token.is("or"));
        let word = verb.map_or("", |token| token.text.as_str());
        match word {
            "at" | "from" | "before" => {
                cursor.next();
                self.position(block, cursor, subject, word)
            }
            "shifted" | "resting" => {
                cursor.next();
                let valve = self.resolve::<ValveId>(block, subject)?;
                let is_shifted = word == "shifted";
                Ok(if is_shifted { Condition::Shifted(valve) } else { Condition::Resting(valve) })
            }
            "above" | "below" => {
                cursor.next();
                let first = self.resolve::<ChamberId>(block, subject);
                let token = cursor.peek();
                let names_a_mark =
                    token.is_some_and(|it| self.names.has(NameKind::Landmark, &it.text));
                if names_a_mark || word == "below" {
                    let mark = self.named::<LandmarkId>(block, cursor, "a landmark");
                    let (first, mark) = super::resolve::both(self, block, first, mark)?;
                    let is_reached = word == "above";
                    let (reached, below) =
                        (Condition::Reached(first, mark), Condition::Below(first, mark));
                    return Ok(if is_reached { reached } else { below });
                }
                let second = self.named::<ChamberId>(block, cursor, "the lower chamber");
                let (first, second) = super::resolve::both(self, block, first, second)?;
                let what = "a chamber cannot hold more than itself";
                self.must_differ(block, (first, second), token, what)?;
                Ok(Condition::Above(first, second))
            }
            "pulled" | "released" => {
                cursor.next();
                let trigger = self.resolve::<TriggerId>(block, subject)?;
                let is_pulled = word == "pulled";
                Ok(if is_pulled {
                    Condition::Pulled(trigger)
                } else {
                    Condition::Released(trigger)
                })
            }
            _ => self.bare(block, cursor, subject),
        }
    }

    /// Whether `pressure in …` follows, and not a thing that is called `pressure`.
    fn starts_with_pressure(&self, cursor: &Cursor) -> bool {
        let goes_on = cursor.peek_second().is_some_and(|token| token.is("in"));
        cursor.peek().is_some_and(|token| token.is("pressure"))
            && (goes_on || self.names.find::<PartId>("pressure") == FoundName::Nothing)
    }

    fn position(
        &mut self,
        block: &LineBlock,
        cursor: &mut Cursor,
        subject: &LineToken,
        word: &str,
    ) -> Read<Condition> {
        let part = self.resolve::<PartId>(block, subject);
        let token = cursor.name("a position")?;
        let part = part?;
        let position = self.position_of(block, part, token)?;
        let is_rearmost = position == PositionId::REAR;
        Ok(match word {
            "at" => Condition::At(part, position),
            "from" => Condition::From(part, position),
            _ if is_rearmost => {
                let message =
                    format!("nothing is before `{}`: it is the rearmost position", token.text);
                let spot = block.spot(token.span);
                self.tell(block, Slip::stop("conditions-exclude", spot, message));
                return Err(Unread::Silent);
            }
            _ => Condition::Before(part, position),
        })
    }

    /// The place of a position of a part.
    pub(super) fn position_of(
        &mut self,
        block: &LineBlock,
        part: PartId,
        token: &LineToken,
    ) -> Read<PositionId> {
        let positions = self.engine.parts[part].positions.clone();
        match positions.entries().find(|(_, position)| position.id == token.text) {
            Some((at, _)) => Ok(at),
            None => {
                self.no_position(block, token, &positions);
                Err(Unread::Silent)
            }
        }
    }

    /// A name alone is a trigger that is pulled; of anything else it says too little.
    fn bare(&mut self, block: &LineBlock, cursor: &Cursor, subject: &LineToken) -> Read<Condition> {
        let expected = match self.names.find::<TriggerId>(&subject.text) {
            FoundName::At(at) => return Ok(Condition::Pulled(at)),
            FoundName::Unread => return Err(Unread::Silent),
            FoundName::Nothing => {
                self.unknown_subject(block, subject, cursor.peek());
                return Err(Unread::Silent);
            }
            FoundName::Other(NameKind::Part) => "`at`, `from` or `before` and a position of it",
            FoundName::Other(NameKind::Valve) => "`shifted` or `resting`",
            FoundName::Other(NameKind::Chamber) => "`above` and another chamber or a landmark",
            FoundName::Other(other) => {
                let message = format!(
                    "`{}` is a {}; a condition speaks of parts, valves, chambers and triggers",
                    subject.text,
                    other.noun()
                );
                let slip = Slip::stop("other-kind-wanted", block.spot(subject.span), message);
                self.tell(block, slip);
                return Err(Unread::Silent);
            }
        };
        Err(cursor.missing(format!("{expected} behind `{}`", subject.text)).into())
    }

    fn unknown_subject(
        &mut self,
        block: &LineBlock,
        subject: &LineToken,
        verb: Option<&LineToken>,
    ) {
        if self.lacks_base {
            return;
        }
        let is_bare = verb.is_none();
        if is_bare {
            return self.nothing_called(block, subject, NameKind::Trigger);
        }
        let message = format!("no part, valve, chamber or trigger goes by `{}`", subject.text);
        let mut slip = Slip::stop("nothing-of-that-name", block.spot(subject.span), message);
        let kinds = [NameKind::Part, NameKind::Valve, NameKind::Chamber, NameKind::Trigger];
        if subject.is("not") {
            slip =
                slip.help("there is no `not`: write the position or the state in which it holds");
        } else if let Some(near) = self.near_name(&kinds, &subject.text) {
            slip = slip.write(near);
        }
        self.tell(block, slip);
    }
}
