//! "Did you mean": restricted edit distance (Damerau, adjacent transpositions count one).

/// Number of single edits (insert, delete, substitute, swap neighbours) between two words, counted
/// in characters. Gives up beyond `limit` and returns `None`.
pub(crate) fn edit_distance(a: &str, b: &str, limit: usize) -> Option<usize> {
    let a: Vec<char> = a.chars().collect();
    let b: Vec<char> = b.chars().collect();
    if a.len().abs_diff(b.len()) > limit {
        return None;
    }
    let mut before_last: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i];
        for j in 1..=b.len() {
            let substitution = last[j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let mut best = substitution.min(last[j] + 1).min(row[j - 1] + 1);
            if 1 < i && 1 < j && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(before_last[j - 2] + 1);
            }
            row.push(best);
        }
        before_last = std::mem::replace(&mut last, row);
    }
    last.last().copied().filter(|distance| *distance <= limit)
}

/// The closest of `candidates` within two edits (one for words of up to four letters), if any.
/// Of several equally close ones the shortest wins, then the first.
pub(crate) fn nearest<'a>(
    word: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    let limit = if word.chars().count() <= 4 { 1 } else { 2 };
    candidates
        .into_iter()
        .filter_map(|candidate| Some((edit_distance(word, candidate, limit)?, candidate)))
        .min_by_key(|(distance, candidate)| (*distance, candidate.len()))
        .map(|(_, candidate)| candidate)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_swap_of_neighbours_is_one_edit() {
        assert_eq!(edit_distance("bore", "broe", 2), Some(1));
        assert_eq!(edit_distance("bore", "stroke", 2), None);
    }

    #[test]
    fn short_words_need_to_be_closer() {
        assert_eq!(nearest("sores", ["stores", "store"]), Some("stores"));
        assert_eq!(nearest("is", ["from", "called"]), None);
    }
}
