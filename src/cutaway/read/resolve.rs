//! From a name in a statement to what it names.

use super::{Read, Reader, Unread};
use crate::cutaway::cursor::Cursor;
use crate::cutaway::gather::LineBlock;
use crate::cutaway::lines::{LineMark, LineToken};
use crate::cutaway::model::{ChamberId, Id};
use crate::cutaway::names::{FoundName, NameKind, NamedThing};
use crate::slip::Slip;
use crate::text::Span;

/// Names of more words are not looked for in words that stand apart.
const MOST_WORDS: usize = 4;

/// Words that, in the name of a chamber, speak of where the air comes from.
const SUPPLYING: [&str; 4] = ["supply", "bottle", "mains", "compressor"];

impl Reader<'_> {
    /// Takes a name of this kind.
    pub(super) fn named<I: NamedThing>(
        &mut self,
        block: &LineBlock,
        cursor: &mut Cursor,
        what: &str,
    ) -> Read<I> {
        let token = cursor.name(what)?;
        if let Some((joined, span)) = self.in_several_words::<I>(token, cursor) {
            let (noun, words) = (I::KIND.noun(), joined.replace('_', " "));
            let message = format!("there is no {noun} `{words}`: a name is one word");
            let slip = Slip::stop("nothing-of-that-name", block.spot(span), message);
            self.tell(block, slip.write(joined));
            return Err(Unread::Silent);
        }
        self.resolve(block, token)
    }

    /// A name written as it is spoken, `dump room` for `dump_room`: as one word, and where all of
    /// it stands. Takes its further words.
    fn in_several_words<I: NamedThing>(
        &self,
        first: &LineToken,
        cursor: &mut Cursor,
    ) -> Option<(String, Span)> {
        if matches!(self.names.find::<I>(&first.text), FoundName::At(_) | FoundName::Unread) {
            return None;
        }
        let words = cursor.rest().iter().take(MOST_WORDS - 1);
        let words: Vec<&LineToken> =
            words.take_while(|token| token.mark == LineMark::Word).collect();
        let mut joined = first.text.clone();
        for (at, word) in words.iter().enumerate() {
            joined = format!("{joined}_{}", word.text);
            if self.names.has(I::KIND, &joined) {
                for _ in 0..=at {
                    cursor.next();
                }
                return Some((joined, Span::new(first.span.start, word.span.end)));
            }
        }
        None
    }

    /// What a name of this kind leads to.
    pub(super) fn resolve<I: NamedThing>(
        &mut self,
        block: &LineBlock,
        token: &LineToken,
    ) -> Read<I> {
        match self.names.find(&token.text) {
            FoundName::At(at) => return Ok(at),
            FoundName::Unread => {}
            FoundName::Other(other) => self.tell(block, other_kind(block, token, I::KIND, other)),
            FoundName::Nothing => self.nothing_called(block, token, I::KIND),
        }
        Err(Unread::Silent)
    }

    /// That nothing goes by a name.
    pub(super) fn nothing_called(&mut self, block: &LineBlock, token: &LineToken, kind: NameKind) {
        // It may be in the cutaway that could not be had.
        if self.lacks_base {
            return;
        }
        let message = format!("there is no {} `{}`", kind.noun(), token.text);
        let slip = Slip::stop("nothing-of-that-name", block.spot(token.span), message);
        let near = self.near_name(&[kind], &token.text);
        let slip = match (near, kind) {
            (Some(near), _) => slip.write(near),
            (None, NameKind::Chamber) => slip.help(chamber_to_add(&token.text)),
            (None, _) => slip,
        };
        self.tell(block, slip);
    }

    /// The closest name of some kinds, those of the first before others.
    pub(super) fn near_name(&mut self, kinds: &[NameKind], word: &str) -> Option<String> {
        self.proposals_left = self.proposals_left.checked_sub(1)?;
        kinds.iter().find_map(|kind| self.names.nearest(*kind, word))
    }

    /// Takes a chamber behind a word of the language: `from line`.
    pub(super) fn chamber_behind(
        &mut self,
        block: &LineBlock,
        cursor: &mut Cursor,
        word: &str,
    ) -> Read<ChamberId> {
        cursor.expect(word)?;
        self.named(block, cursor, "a chamber")
    }

    /// That two names that must differ are the same.
    pub(super) fn must_differ<I: Id>(
        &mut self,
        block: &LineBlock,
        (first, second): (I, I),
        second_at: Option<&LineToken>,
        what: &str,
    ) -> Read<()> {
        if first != second {
            return Ok(());
        }
        let span = second_at.map_or(block.statement.head.span, |token| token.span);
        self.tell(block, Slip::stop("joined-to-itself", block.spot(span), what));
        Err(Unread::Silent)
    }
}

/// Both, or why one of them was not read; the fault of either is told.
pub(super) fn both<A, B>(
    reader: &mut Reader,
    block: &LineBlock,
    first: Read<A>,
    second: Read<B>,
) -> Read<(A, B)> {
    match (first, second) {
        (Ok(first), Ok(second)) => Ok((first, second)),
        (Err(first), Err(second)) => {
            // Two places in one line are told only where both are names nobody knows.
            if let Unread::MissingWord(missing) = first {
                return Err(missing.into());
            }
            let _ = reader.told_missing::<()>(block, Err(second));
            Err(Unread::Silent)
        }
        (Err(unread), _) | (_, Err(unread)) => Err(unread),
    }
}

/// What would declare a chamber that is not there: one that sounds like a supply as a supply.
fn chamber_to_add(name: &str) -> String {
    let gives_air = name.split('_').any(|word| SUPPLYING.contains(&word));
    match name {
        "air" => "add `supply air`; the air around us is `open_air`".into(),
        "bottle" => "add `supply bottle`".into(),
        _ if gives_air || name == "line" => {
            format!("add `supply {name}`, or `regulator … from bottle to {name}`")
        }
        _ => format!("add `chamber {name}`"),
    }
}

fn other_kind(block: &LineBlock, token: &LineToken, wanted: NameKind, found: NameKind) -> Slip {
    let message =
        format!("`{}` is a {}; a {} is wanted here", token.text, found.noun(), wanted.noun());
    Slip::stop("other-kind-wanted", block.spot(token.span), message)
}
