//! Short words as keys of a map that is asked some hundred times a page.

use std::hash::{BuildHasherDefault, Hash, Hasher};
use std::ops::Range;

/// Builds [`ShortHasher`]s.
pub(super) type Quick = BuildHasherDefault<ShortHasher>;

/// Bytes of a word that fit into a key beside their number.
const LONGEST: usize = 15;

/// A word of up to 15 bytes, which is nearly every one: its bytes, noughts, and in the last byte
/// how many there are. It lies in the key itself, so that finding one touches no memory but the
/// map's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Short([u64; 2]);

impl Short {
    /// The word, if it is short.
    pub(super) fn new(text: &str) -> Option<Short> {
        Short::at(text, &(0..text.len()))
    }

    /// The word in `place` of a text, if it is short.
    pub(super) fn at(text: &str, place: &Range<usize>) -> Option<Short> {
        let length = place.len();
        if LONGEST < length {
            return None;
        }
        let mut bytes = [0; LONGEST + 1];
        // A fixed number of bytes is copied a few times quicker than a number of them.
        match text.as_bytes().get(place.start..=place.start + LONGEST) {
            Some(sixteen) => bytes.copy_from_slice(sixteen),
            None => bytes[..length].copy_from_slice(&text.as_bytes()[place.clone()]),
        }
        let inside = u128::from_le_bytes(bytes) & ((1 << (8 * length)) - 1);
        let whole = inside | (length as u128) << (8 * LONGEST);
        Some(Short([whole as u64, (whole >> 64) as u64]))
    }

    /// The word as text.
    pub(super) fn text(self) -> String {
        let mut bytes = self.0.map(u64::to_le_bytes).concat();
        bytes.truncate(usize::from(bytes[LONGEST]));
        // They were a text when they were put in.
        String::from_utf8(bytes).unwrap_or_default()
    }
}

impl Hash for Short {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.0.iter().for_each(|half| state.write_u64(*half));
    }
}

/// A quick hash of [`Short`] words. It does not withstand keys chosen to collide, which only the
/// writer of the pages could choose, and only to slow down their own publishing.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct ShortHasher(u64);

/// Near 2⁶⁴ divided by the golden ratio (Knuth, The Art of Computer Programming 3, 6.4; memory).
const FACTOR: u64 = 0x9e37_79b9_7f4a_7c15;

impl Hasher for ShortHasher {
    fn write(&mut self, bytes: &[u8]) {
        bytes.iter().for_each(|byte| self.write_u64(u64::from(*byte)));
    }

    fn write_u64(&mut self, part: u64) {
        self.0 = (self.0.rotate_left(26) ^ part).wrapping_mul(FACTOR);
    }

    fn finish(&self) -> u64 {
        // The map takes its places from the low bits, which a product mixes least.
        self.0.rotate_left(26)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_words_come_out_as_they_went_in() {
        for text in ["", "a", "bolt", "fifteen letters", "grüße", "ab\0"] {
            assert_eq!(Short::new(text).unwrap().text(), text);
        }
        assert_eq!(Short::at("a long text with a bolt in it", &(19..23)), Short::new("bolt"));
        assert_eq!(Short::new("sixteen letters."), None);
        assert_ne!(Short::new("ab\0"), Short::new("ab"));
    }
}
