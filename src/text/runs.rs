//! Lengths of words, eight bytes at a time: texts are taken apart several times a page, and most of
//! that is looking for the ends of words.

/// One in every byte.
const ONES: u64 = u64::MAX / 255;
/// The highest bit of every byte.
const HIGHS: u64 = ONES << 7;

/// Number of ASCII letters and underscores at the beginning of `bytes`.
pub(crate) fn letters(bytes: &[u8]) -> usize {
    run(bytes, |eight| among(eight | (ONES * 0x20), b'a', b'z') | among(eight, b'_', b'_'))
}

/// Number of ASCII letters and digits at the beginning of `bytes`.
pub(crate) fn alphanumerics(bytes: &[u8]) -> usize {
    run(bytes, |eight| among(eight | (ONES * 0x20), b'a', b'z') | among(eight, b'0', b'9'))
}

/// Length of the run of bytes whose highest bit `marked` sets.
fn run(bytes: &[u8], marked: impl Fn(u64) -> u64) -> usize {
    let ends = |eight: u64| (!marked(eight) & HIGHS).trailing_zeros() as usize / 8;
    let mut chunks = bytes.chunks_exact(8);
    let mut length = 0;
    for chunk in &mut chunks {
        let mut eight = [0; 8];
        eight.copy_from_slice(chunk);
        let inside = ends(u64::from_le_bytes(eight));
        length += inside;
        if inside < 8 {
            return length;
        }
    }
    let rest = chunks.remainder();
    // Noughts behind the text end the run.
    let mut eight = [0; 8];
    eight[..rest.len()].copy_from_slice(rest);
    length + ends(u64::from_le_bytes(eight))
}

/// The highest bit of every byte from `first` to `last`; both are ASCII, as are the bytes found.
fn among(eight: u64, first: u8, last: u8) -> u64 {
    // With the highest bit set no byte borrows from the next (Warren, Hacker's Delight, 2-18 and
    // 6-1; memory).
    let high = eight | HIGHS;
    let from_first = high - ONES * u64::from(first);
    let past_last = high - ONES * u64::from(last + 1);
    from_first & !past_last & !eight & HIGHS
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn every_byte_counts_as_it_should() {
        for byte in 0..=u8::MAX {
            let letter = byte.is_ascii_alphabetic() || byte == b'_';
            // In the first and in the last chunk, beside bytes of every kind.
            for before in ["", "abcdefg", "abcdefgh", "abcdefghijk"] {
                let mut bytes = before.as_bytes().to_vec();
                bytes.extend([byte, 0xff, b'-', 0x80]);
                let known = before.len() + usize::from(letter);
                assert_eq!(letters(&bytes), known, "{byte} after {before:?}");
                let known = before.len() + usize::from(byte.is_ascii_alphanumeric());
                assert_eq!(alphanumerics(&bytes), known, "{byte} after {before:?}");
            }
        }
    }

    proptest! {
        #[test]
        fn they_count_like_one_byte_at_a_time(bytes in proptest::collection::vec(any::<u8>(), 0..40)) {
            let plain = |inside: fn(&u8) -> bool| bytes.iter().take_while(|b| inside(b)).count();
            prop_assert_eq!(letters(&bytes), plain(|b| b.is_ascii_alphabetic() || *b == b'_'));
            prop_assert_eq!(alphanumerics(&bytes), plain(u8::is_ascii_alphanumeric));
        }
    }
}
