//! From a name in a statement to what it names.

use super::{Read, Reader, Unread};
use crate::cutaway::cursor::Cursor;
use crate::cutaway::gather::Block;
use crate::cutaway::lines::Token;
use crate::cutaway::names::{Found, Kind};
use crate::slip::Slip;

impl Reader<'_> {
    /// Takes a name of this kind.
    pub(super) fn named(
        &mut self,
        block: &Block,
        cursor: &mut Cursor,
        kind: Kind,
        what: &str,
    ) -> Read<usize> {
        let token = cursor.name(what)?;
        self.resolve(block, token, kind)
    }

    /// What a name of this kind leads to.
    pub(super) fn resolve(&mut self, block: &Block, token: &Token, kind: Kind) -> Read<usize> {
        match self.names.find(kind, &token.text) {
            Found::At(at) => return Ok(at),
            Found::Unread => {}
            Found::Other(other) => self.tell(block, other_kind(block, token, kind, other)),
            Found::Nothing => self.nothing_called(block, token, kind),
        }
        Err(Unread::Silent)
    }

    /// That nothing goes by a name.
    pub(super) fn nothing_called(&mut self, block: &Block, token: &Token, kind: Kind) {
        // It may be in the cutaway that could not be had.
        if self.lacks_base {
            return;
        }
        let message = format!("there is no {} `{}`", kind.noun(), token.text);
        let slip = Slip::stop("nothing-of-that-name", block.spot(token.span), message);
        let near = self.near_name(&[kind], &token.text);
        let slip = match (near, kind) {
            (Some(near), _) => slip.write(near),
            (None, Kind::Chamber) => slip.help(format!("add `chamber {}`", token.text)),
            (None, _) => slip,
        };
        self.tell(block, slip);
    }

    /// The closest name of some kinds, those of the first before others.
    pub(super) fn near_name(&mut self, kinds: &[Kind], word: &str) -> Option<String> {
        self.proposals_left = self.proposals_left.checked_sub(1)?;
        kinds.iter().find_map(|kind| self.names.nearest(*kind, word))
    }

    /// Takes a chamber behind a word of the language: `from line`.
    pub(super) fn chamber_behind(
        &mut self,
        block: &Block,
        cursor: &mut Cursor,
        word: &str,
    ) -> Read<usize> {
        cursor.expect(word)?;
        self.named(block, cursor, Kind::Chamber, "a chamber")
    }

    /// That two names that must differ are the same.
    pub(super) fn must_differ(
        &mut self,
        block: &Block,
        (first, second): (usize, usize),
        second_at: Option<&Token>,
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
    block: &Block,
    first: Read<A>,
    second: Read<B>,
) -> Read<(A, B)> {
    match (first, second) {
        (Ok(first), Ok(second)) => Ok((first, second)),
        (Err(first), Err(second)) => {
            // Two places in one line are told only where both are names nobody knows.
            if let Unread::Missing(missing) = first {
                return Err(missing.into());
            }
            let _ = reader.told_missing::<()>(block, Err(second));
            Err(Unread::Silent)
        }
        (Err(unread), _) | (_, Err(unread)) => Err(unread),
    }
}

fn other_kind(block: &Block, token: &Token, wanted: Kind, found: Kind) -> Slip {
    let message =
        format!("`{}` is a {}; a {} is wanted here", token.text, found.noun(), wanted.noun());
    Slip::stop("other-kind-wanted", block.spot(token.span), message)
}
