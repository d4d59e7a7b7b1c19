//! Words as keys of a map that is asked some hundred times a page.

use std::hash::{BuildHasherDefault, Hash, Hasher};

/// Builds [`WordHasher`]s.
pub(super) type Quick = BuildHasherDefault<WordHasher>;

/// Bytes of a word that fit into a key beside their number.
const SHORT: usize = 15;

/// A word. Short ones, which is nearly all, lie in the key itself: finding one then touches no
/// memory but the map's own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Word {
    /// The bytes, noughts, and in the last byte how many there are.
    Short([u64; 2]),
    /// Any other.
    Long(Box<str>),
}

impl Word {
    pub(super) fn new(text: &str) -> Word {
        if SHORT < text.len() {
            return Word::Long(text.into());
        }
        let mut bytes = [0; SHORT + 1];
        bytes[..text.len()].copy_from_slice(text.as_bytes());
        bytes[SHORT] = text.len() as u8;
        let half = |at: usize| {
            let mut half = [0; 8];
            half.copy_from_slice(&bytes[at..at + 8]);
            u64::from_le_bytes(half)
        };
        Word::Short([half(0), half(8)])
    }

    pub(super) fn into_text(self) -> String {
        match self {
            Word::Long(text) => text.into(),
            Word::Short(halves) => {
                let mut bytes = halves.map(u64::to_le_bytes).concat();
                bytes.truncate(usize::from(bytes[SHORT]));
                // They were a text when they were put in.
                String::from_utf8(bytes).unwrap_or_default()
            }
        }
    }
}

impl Hash for Word {
    fn hash<H: Hasher>(&self, state: &mut H) {
        match self {
            Word::Short(halves) => halves.iter().for_each(|half| state.write_u64(*half)),
            Word::Long(text) => state.write(text.as_bytes()),
        }
    }
}

/// A quick hash. It does not withstand keys chosen to collide, which only the writer of the pages
/// could choose, and only to slow down their own publishing.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct WordHasher(u64);

/// Near 2⁶⁴ divided by the golden ratio (Knuth, The Art of Computer Programming 3, 6.4; memory).
const FACTOR: u64 = 0x9e37_79b9_7f4a_7c15;

impl Hasher for WordHasher {
    fn write(&mut self, bytes: &[u8]) {
        for chunk in bytes.chunks(8) {
            let mut part = [0; 8];
            part[..chunk.len()].copy_from_slice(chunk);
            self.write_u64(u64::from_le_bytes(part));
        }
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
    fn words_come_out_as_they_went_in() {
        for text in ["", "a", "bolt", "fifteen letters", "sixteen letters.", "grüße", "ab\0"] {
            assert_eq!(Word::new(text).into_text(), text);
        }
        assert_ne!(Word::new("ab\0"), Word::new("ab"));
    }
}
