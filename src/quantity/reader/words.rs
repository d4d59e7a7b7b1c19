//! Looking at the words beside a figure: small, bounded steps to the left and right.
//!
//! Every function here looks at a bounded number of bytes, so that a text of any shape is read in
//! linear time. It knows letters and blanks, nothing of numbers or units.

/// Counts steps where a test asks how the work grows with the text; nothing otherwise.
pub(super) mod work {
    #[cfg(test)]
    thread_local! {
        static STEPS: std::cell::Cell<usize> = const { std::cell::Cell::new(0) };
    }

    /// One step.
    #[inline]
    pub(in crate::quantity::reader) fn step() {
        #[cfg(test)]
        STEPS.with(|steps| steps.set(steps.get() + 1));
    }

    /// The steps that something takes.
    #[cfg(test)]
    pub(in crate::quantity::reader) fn of(something: impl FnOnce()) -> usize {
        STEPS.with(|steps| steps.set(0));
        something();
        STEPS.with(std::cell::Cell::get)
    }
}

/// Longest word that is looked at, in bytes.
const LONGEST_WORD: usize = 32;
/// Most blanks that may stand between two words that belong together.
const MOST_BLANKS: usize = 8;

/// Length of the blank at `at`: blank, tab, line break, no-break blank, thin blanks.
pub(super) fn blank(bytes: &[u8], at: usize) -> Option<usize> {
    match *bytes.get(at)? {
        b' ' | b'\t' | b'\n' | b'\r' => Some(1),
        0xC2 if bytes.get(at + 1) == Some(&0xA0) => Some(2),
        0xE2 if matches!(bytes.get(at + 1..at + 3), Some([0x80, 0x89 | 0xAF])) => Some(3),
        _ => None,
    }
}

/// Length of the blank that ends at `at`.
fn blank_before(bytes: &[u8], at: usize) -> Option<usize> {
    let ends = |length: usize| {
        at.checked_sub(length).is_some_and(|start| blank(bytes, start) == Some(length))
    };
    (1..=3).find(|length| ends(*length))
}

/// Where the blanks after `at` end. An empty line, or more than a few blanks, is not crossed.
pub(super) fn skip_blanks(bytes: &[u8], at: usize) -> usize {
    let mut end = at;
    let mut breaks = 0;
    work::step();
    for _ in 0..MOST_BLANKS {
        let Some(length) = blank(bytes, end) else { return end };
        breaks += usize::from(bytes[end] == b'\n');
        if 1 < breaks {
            return at;
        }
        end += length;
    }
    if blank(bytes, end).is_some() { at } else { end }
}

/// Where the blanks before `at` begin, under the same limits.
pub(super) fn skip_blanks_back(bytes: &[u8], at: usize) -> usize {
    let mut start = at;
    let mut breaks = 0;
    work::step();
    for _ in 0..MOST_BLANKS {
        let Some(length) = blank_before(bytes, start) else { return start };
        start -= length;
        breaks += usize::from(bytes[start] == b'\n');
        if 1 < breaks {
            return at;
        }
    }
    if blank_before(bytes, start).is_some() { at } else { start }
}

/// The run of ASCII letters at `at`, cut at a sane length.
pub(super) fn word_at(text: &str, at: usize) -> &str {
    let rest = &text.as_bytes()[at.min(text.len())..];
    let length = rest.iter().take(LONGEST_WORD).take_while(|b| b.is_ascii_alphabetic()).count();
    &text[at.min(text.len())..at.min(text.len()) + length]
}

/// The next word behind blanks and where it starts; empty if something else stands there.
pub(super) fn next_word(text: &str, at: usize) -> (&str, usize) {
    let start = skip_blanks(text.as_bytes(), at);
    (word_at(text, start), start)
}

/// The run of ASCII letters that ends at `at`.
pub(super) fn word_ending(text: &str, at: usize) -> &str {
    let before = &text.as_bytes()[..at];
    let length =
        before.iter().rev().take(LONGEST_WORD).take_while(|b| b.is_ascii_alphabetic()).count();
    &text[at - length..at]
}

/// The word before the blanks before `at` and where it starts; a full stop after a short word
/// (`Fig. 4`, `approx. 8`) is passed over.
pub(super) fn word_before(text: &str, at: usize) -> (&str, usize) {
    let mut end = skip_blanks_back(text.as_bytes(), at);
    if 0 < end && text.as_bytes()[end - 1] == b'.' {
        let word = word_ending(text, end - 1);
        if word.is_empty() || 6 < word.len() {
            return ("", end);
        }
        end -= 1;
    }
    let word = word_ending(text, end);
    (word, end - word.len())
}

/// Whether `word` is one of `list`, without regard to case. Lists hold small letters.
pub(super) fn one_of(word: &str, list: &[&str]) -> bool {
    !word.is_empty() && list.iter().any(|known| word.eq_ignore_ascii_case(known))
}

/// Whether `word` is one of `list`, which is sorted and in small letters; without regard to case.
pub(super) fn in_sorted(word: &str, list: &[&str]) -> bool {
    let mut buffer = [0; LONGEST_WORD];
    let Some(small) = buffer.get_mut(..word.len()) else { return false };
    small.copy_from_slice(word.as_bytes());
    small.make_ascii_lowercase();
    !word.is_empty() && list.binary_search_by(|known| known.as_bytes().cmp(small)).is_ok()
}

/// WordPhrases sorted into lists by one of their bytes, so that most places are turned away by one
/// look.
#[derive(Debug)]
pub(super) struct WordPhrases<T: 'static> {
    by_byte: Vec<Vec<(&'static str, T)>>,
}

impl<T: Copy> WordPhrases<T> {
    /// WordPhrases to be looked for behind a place.
    pub(super) fn behind(list: &'static [(&'static str, T)]) -> WordPhrases<T> {
        WordPhrases::by(list, |phrase| phrase.bytes().next())
    }

    /// WordPhrases to be looked for before a place.
    pub(super) fn before(list: &'static [(&'static str, T)]) -> WordPhrases<T> {
        WordPhrases::by(list, |phrase| phrase.bytes().next_back())
    }

    fn by(
        list: &'static [(&'static str, T)],
        byte: impl Fn(&'static str) -> Option<u8>,
    ) -> WordPhrases<T> {
        let mut by_byte: Vec<Vec<(&'static str, T)>> = (0..256).map(|_| Vec::new()).collect();
        for (phrase, meaning) in list {
            let at = usize::from(byte(phrase).unwrap_or(0));
            by_byte[at].push((phrase, *meaning));
        }
        WordPhrases { by_byte }
    }

    /// The phrase before `end`: where it starts, and its meaning.
    pub(super) fn find_before(&self, text: &str, end: usize) -> Option<(usize, T)> {
        let stop = skip_blanks_back(text.as_bytes(), end);
        let last = text.as_bytes()[stop.checked_sub(1)?].to_ascii_lowercase();
        self.by_byte[usize::from(last)].iter().find_map(|(phrase, meaning)| {
            phrase_before(text, stop, phrase).map(|start| (start, *meaning))
        })
    }

    /// The phrase behind `at`: where it ends, and its meaning.
    pub(super) fn find_behind(&self, text: &str, at: usize) -> Option<(usize, T)> {
        let start = skip_blanks(text.as_bytes(), at);
        let first = text.as_bytes().get(start)?.to_ascii_lowercase();
        self.by_byte[usize::from(first)].iter().find_map(|(phrase, meaning)| {
            phrase_after(text, start, phrase).map(|end| (end, *meaning))
        })
    }
}

/// Where `phrase` starts if the text before `end` ends with it, as whole words, without regard to
/// case; a blank in the phrase stands for any few blanks. Blanks before `end` are passed over.
pub(super) fn phrase_before(text: &str, end: usize, phrase: &str) -> Option<usize> {
    let bytes = text.as_bytes();
    let wanted = phrase.as_bytes();
    let mut at = skip_blanks_back(bytes, end);
    for wanted in wanted.iter().rev() {
        work::step();
        if *wanted == b' ' {
            let start = skip_blanks_back(bytes, at);
            if start == at {
                return None;
            }
            at = start;
        } else {
            at = at.checked_sub(1)?;
            if !bytes[at].eq_ignore_ascii_case(wanted) {
                return None;
            }
        }
    }
    let opens_word = wanted.first().is_some_and(u8::is_ascii_alphanumeric);
    let joined = opens_word && 0 < at && is_word_byte(bytes[at - 1]);
    (!joined && text.is_char_boundary(at)).then_some(at)
}

/// Where `phrase` ends if it stands behind blanks at `at`, as whole words, without regard to case.
pub(super) fn phrase_after(text: &str, at: usize, phrase: &str) -> Option<usize> {
    let bytes = text.as_bytes();
    let mut end = skip_blanks(bytes, at);
    for wanted in phrase.bytes() {
        work::step();
        if wanted == b' ' {
            let after = skip_blanks(bytes, end);
            if after == end {
                return None;
            }
            end = after;
        } else {
            if !bytes.get(end)?.eq_ignore_ascii_case(&wanted) {
                return None;
            }
            end += 1;
        }
    }
    let joined = bytes.get(end).is_some_and(|b| is_word_byte(*b))
        && phrase.bytes().next_back().is_some_and(|b| b.is_ascii_alphanumeric());
    (!joined && text.is_char_boundary(end)).then_some(end)
}

/// Words that go on behind a complete figure.
#[rustfmt::skip]
const CLOSING: &[&str] = &[
    "a", "above", "absolute", "across", "after", "against", "and", "apart", "as", "at", "because",
    "before", "behind", "below", "beside", "better", "between", "but", "by", "deep", "does",
    "during", "even", "faster", "for", "from", "gauge", "had", "has", "high", "higher", "if", "in",
    "instead", "into", "is", "it", "less", "long", "longer", "lower", "more", "of", "off", "on",
    "only", "or", "out", "over", "past", "per", "rather", "shorter", "since", "slower", "so",
    "than", "that", "the", "then", "thick", "through", "to", "too", "under", "until", "up", "was",
    "were", "when", "where", "which", "while", "wide", "will", "with", "within", "without",
];

/// Whether what stands at `at` may follow a complete figure: the end, punctuation or a word that
/// begins no noun.
pub(super) fn closes(text: &str, at: usize) -> bool {
    let (word, start) = next_word(text, at);
    if word.is_empty() {
        let first = text[start..].chars().next();
        return first
            .is_none_or(|c| !c.is_alphanumeric() && (start != at || !"-_'’/^".contains(c)));
    }
    start != at && in_sorted(word, CLOSING)
}

/// Letters, digits and every byte of a character beyond ASCII.
pub(super) fn is_word_byte(byte: u8) -> bool {
    byte.is_ascii_alphanumeric() || byte == b'_' || 0x80 <= byte
}

/// The part of the sentence before `at`, at most `most` bytes of it.
pub(super) fn clause_before(text: &str, from: usize, at: usize, most: usize) -> &str {
    let mut start = at.saturating_sub(most).max(from);
    while !text.is_char_boundary(start) {
        start += 1;
    }
    let window = &text[start.min(at)..at];
    let stop = window.rfind(". ").or(window.rfind(".\n")).or(window.rfind(';'));
    &window[stop.map_or(0, |stop| stop + 1)..]
}

/// The part of the sentence after `at`, at most `most` bytes of it.
pub(super) fn clause_after(text: &str, at: usize, most: usize) -> &str {
    let mut end = at.saturating_add(most).min(text.len());
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let window = &text[at..end.max(at)];
    let stop = window.find(". ").or(window.find(".\n")).or(window.find(';'));
    &window[..stop.unwrap_or(window.len())]
}

/// Whether `phrase` (small letters) stands in `window` as whole words, without regard to case.
pub(super) fn holds_phrase(window: &str, phrase: &str) -> bool {
    let (window, wanted) = (window.as_bytes(), phrase.as_bytes());
    if window.len() < wanted.len() {
        return false;
    }
    (0..=window.len() - wanted.len()).any(|at| {
        work::step();
        // Most places are inside a word.
        (at == 0 || !is_word_byte(window[at - 1]))
            && window[at..at + wanted.len()].eq_ignore_ascii_case(wanted)
            && window.get(at + wanted.len()).is_none_or(|b| !is_word_byte(*b))
    })
}

#[cfg(test)]
mod tests {
    use super::CLOSING;

    #[test]
    fn lists_are_sorted() {
        assert!(CLOSING.is_sorted());
    }
}
