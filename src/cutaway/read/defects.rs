//! What is wrong with a piece: `leaking SEAL`, `clogged WAY`, `jammed PART` and their like.

use super::{Read, Reader, Unread};
use crate::cutaway::cursor::Cursor;
use crate::cutaway::gather::LineBlock;
use crate::cutaway::grammar::statement;
use crate::cutaway::lines::LineToken;
use crate::cutaway::model::{
    ChamberId, Defect, Element, Part, PartId, PushKind, SealId, Shape, ValveId, ValveKind, WayId,
    Width, Wrong,
};
use crate::cutaway::names::{FoundName, NamedThing};
use crate::slip::Slip;

impl Reader<'_> {
    /// A statement that says what is wrong; nothing for all others. `without seal` is left among
    /// the statements of a variant, in which a seal that is taken away lets air past.
    pub(super) fn defect(&mut self, block: &LineBlock) -> Read<()> {
        let word = block.keyword();
        if word == "without" {
            let seal = block.statement.head.tokens.get(2).ok_or(Unread::Silent)?;
            let thing = Element::Seal(self.resolve::<SealId>(block, seal)?);
            self.engine.suffer(Defect { thing, wrong: Wrong::LeftOut });
            return Ok(());
        }
        if word == "resting" {
            return self.rests_elsewhere(block);
        }
        if !matches!(word, "leaking" | "reversed" | "clogged" | "broken" | "jammed" | "stuck") {
            return Ok(());
        }
        let mut cursor = Cursor::new(&block.statement.head, 1);
        let token = cursor.name("what is wrong")?;
        let (thing, wrong) = match word {
            "leaking" => {
                let wrong = Wrong::Leaking(self.gap(&mut cursor));
                (self.what_leaks(block, token)?, wrong)
            }
            "reversed" => (self.lip_seal(block, token)?, Wrong::Reversed),
            "clogged" => (Element::Way(self.resolve::<WayId>(block, token)?), Wrong::Clogged),
            "jammed" => (self.what_jams(block, token, &mut cursor)?, Wrong::Jammed),
            "broken" => (self.spring(block, token)?, Wrong::Broken),
            _ => {
                let valve = Element::Valve(self.resolve::<ValveId>(block, token)?);
                let shifted = cursor.takes("shifted");
                if !shifted {
                    let states =
                        "`shifted` where it never returns, `resting` where it never shifts";
                    let takes = cursor.takes("resting");
                    takes.then_some(()).ok_or_else(|| cursor.missing(states.into()))?;
                }
                (valve, Wrong::Stuck { shifted })
            }
        };
        self.end_of_line(block, word, &cursor);
        self.engine.suffer(Defect { thing, wrong });
        Ok(())
    }

    /// A latch, or a part and where it stands.
    fn what_jams(
        &mut self,
        block: &LineBlock,
        token: &LineToken,
        cursor: &mut Cursor,
    ) -> Read<Element> {
        let is_it = |part: &Part| part.latch.as_ref().is_some_and(|it| it.name.id == token.text);
        if let Some((part, _)) = self.engine.parts.entries().find(|(_, part)| is_it(part)) {
            return Ok(Element::Latch(part));
        }
        let part = self.resolve::<PartId>(block, token)?;
        if cursor.peek().is_some() {
            self.place_at_rest(block, cursor, part)?;
        }
        Ok(Element::Part(part))
    }

    /// `resting PART  at POSITION`.
    fn rests_elsewhere(&mut self, block: &LineBlock) -> Read<()> {
        let mut cursor = Cursor::new(&block.statement.head, 1);
        let token = cursor.name("the part")?;
        let part = self.resolve::<PartId>(block, token)?;
        self.place_at_rest(block, &mut cursor, part)?;
        self.end_of_line(block, "resting", &cursor);
        Ok(())
    }

    /// `at POSITION`: where the part rests from now on.
    fn place_at_rest(&mut self, block: &LineBlock, cursor: &mut Cursor, part: PartId) -> Read<()> {
        cursor.expect("at")?;
        let position = cursor.name("the position")?;
        self.engine.parts[part].rest = self.position_of(block, part, position)?;
        Ok(())
    }

    /// How wide the gap is.
    fn gap(&self, cursor: &mut Cursor) -> Width {
        match statement("leaking").and_then(|it| it.takes(cursor)) {
            Some("narrow") => Width::Narrow,
            Some("bleed") => Width::Bleed,
            _ => Width::Wide,
        }
    }

    /// A seal, a check valve, a membrane.
    fn what_leaks(&mut self, block: &LineBlock, token: &LineToken) -> Read<Element> {
        if let Some(way) = self.place_of::<WayId>(token).filter(|at| self.engine.ways[*at].one_way)
        {
            return Ok(Element::Way(way));
        }
        let is_membrane = |at: &ValveId| self.engine.valves[*at].kind == ValveKind::QuickExhaust;
        if let Some(valve) = self.place_of::<ValveId>(token).filter(is_membrane) {
            return Ok(Element::Valve(valve));
        }
        let is_sheet = |at: &PartId| self.engine.parts[*at].shape == Shape::Diaphragm;
        if let Some(part) = self.place_of::<PartId>(token).filter(is_sheet) {
            return Ok(Element::Part(part));
        }
        Ok(Element::Seal(self.resolve::<SealId>(block, token)?))
    }

    fn lip_seal(&mut self, block: &LineBlock, token: &LineToken) -> Read<Element> {
        let seal = self.resolve::<SealId>(block, token)?;
        let item = &self.engine.seals[seal];
        if item.lip.is_some() {
            return Ok(Element::Seal(seal));
        }
        let room = &self.engine.chambers[item.between.0].name.id;
        let help = format!("say which chamber it holds in its line, as `lip {room}`");
        let message = format!("`{}` holds both ways: only a lip seal can be reversed", token.text);
        let slip = Slip::stop("other-kind-wanted", block.spot(token.span), message);
        self.tell(block, slip.help(help));
        Err(Unread::Silent)
    }

    /// `PART.SPRING`, a part with one spring, or a valve that a spring brings back.
    fn spring(&mut self, block: &LineBlock, token: &LineToken) -> Read<Element> {
        if let Some(valve) = self.place_of::<ValveId>(token) {
            return Ok(Element::Valve(valve));
        }
        if let Some(part) = self.place_of::<PartId>(token) {
            let pushes = self.engine.parts[part].pushes.entries();
            let mut springs = pushes.filter(|(_, push)| push.kind == PushKind::Spring);
            if let (Some((only, _)), None) = (springs.next(), springs.next()) {
                return Ok(Element::Push(part, only));
            }
        }
        self.no_spring_of_valve(block, token)?;
        match self.compared_push(block, token)? {
            Some((part, push)) if self.engine.parts[part].pushes[push].kind == PushKind::Spring => {
                Ok(Element::Push(part, push))
            }
            _ => {
                let message = format!("`{}` is no spring", token.text);
                let slip = Slip::stop("other-kind-wanted", block.spot(token.span), message);
                self.tell(block, slip.help("name it after its part, as `bolt.return`"));
                Err(Unread::Silent)
            }
        }
    }

    /// What is written as the spring of a valve: that has no name of its own.
    fn no_spring_of_valve(&mut self, block: &LineBlock, token: &LineToken) -> Read<()> {
        let first = token.text.split_once('.').map(|(first, _)| first);
        let valve = first.filter(|it| matches!(self.names.find::<ValveId>(it), FoundName::At(_)));
        let Some(valve) = valve else { return Ok(()) };
        let message = format!("the spring of the valve `{valve}` has no name of its own");
        let slip = Slip::stop("other-kind-wanted", block.spot(token.span), message);
        self.tell(block, slip.write(valve));
        Err(Unread::Silent)
    }

    fn place_of<I: NamedThing>(&self, token: &LineToken) -> Option<I> {
        match self.names.find::<I>(&token.text) {
            FoundName::At(at) => Some(at),
            _ => None,
        }
    }

    /// That a chamber is one of the two that a seal keeps apart.
    pub(super) fn must_be_sealed(
        &mut self,
        block: &LineBlock,
        (one, other): (ChamberId, ChamberId),
        lip: ChamberId,
        token: Option<&LineToken>,
    ) -> Read<()> {
        if lip == one || lip == other {
            return Ok(());
        }
        let name = |at: ChamberId| self.engine.chambers[at].name.id.clone();
        let message = format!("the seal does not touch `{}`", name(lip));
        let help = format!("a lip holds the air of `{}` or of `{}`", name(one), name(other));
        let span = token.map_or(block.statement.head.span, |token| token.span);
        let slip = Slip::stop("other-kind-wanted", block.spot(span), message);
        self.tell(block, slip.help(help));
        Err(Unread::Silent)
    }
}
