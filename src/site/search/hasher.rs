//! A quick hash for words. It does not withstand keys chosen to collide, which only the writer of
//! the pages could choose, and only to slow down their own publishing.

use std::hash::{BuildHasherDefault, Hasher};

/// Builds [`WordHasher`]s.
pub(super) type Quick = BuildHasherDefault<WordHasher>;

/// Multiplies and turns, eight bytes at a time.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct WordHasher(u64);

/// Near 2⁶⁴ divided by the golden ratio (Knuth, The Art
/// of Computer Programming 3, 6.4; memory).
const FACTOR: u64 = 0x9e37_79b9_7f4a_7c15;

impl WordHasher {
    fn mix(&mut self, part: u64) {
        self.0 = (self.0.rotate_left(26) ^ part).wrapping_mul(FACTOR);
    }
}

impl Hasher for WordHasher {
    fn write(&mut self, bytes: &[u8]) {
        for chunk in bytes.chunks(8) {
            let mut part = [0; 8];
            part[..chunk.len()].copy_from_slice(chunk);
            self.mix(u64::from_le_bytes(part));
        }
    }

    fn write_u8(&mut self, byte: u8) {
        self.mix(byte.into());
    }

    fn finish(&self) -> u64 {
        // The map takes its places from the low bits, which a product mixes least.
        self.0.rotate_left(26)
    }
}
