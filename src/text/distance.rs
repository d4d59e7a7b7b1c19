//! "Did you mean": restricted edit distance (Damerau, adjacent transpositions count one).

/// Number of single edits (insert, delete, substitute, swap neighbours) between two words, counted
/// in characters. Gives up beyond `limit` and returns `None`.
pub(crate) fn edit_distance(a: &str, b: &str, limit: usize) -> Option<usize> {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    within(&a, &b, limit, &mut 0)
}

/// Looks only at pairs of letters that lie at most `limit` apart, and counts them: a word may be as
/// long as a page.
fn within(a: &[char], b: &[char], limit: usize, pairs: &mut usize) -> Option<usize> {
    if a.len().abs_diff(b.len()) > limit {
        return None;
    }
    // Beyond the band every distance is more than the limit.
    let beyond = limit + 1;
    let mut before_last = vec![beyond; b.len() + 1];
    let mut last: Vec<usize> = (0..=b.len()).map(|j| j.min(beyond)).collect();
    let mut row = vec![beyond; b.len() + 1];
    for i in 1..=a.len() {
        let (first, end) = (i.saturating_sub(limit).max(1), (i + limit).min(b.len()));
        row[first - 1] = if first == 1 { i.min(beyond) } else { beyond };
        let mut least = row[first - 1];
        for j in first..=end {
            *pairs += 1;
            let substitution = last[j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let mut best = substitution.min(last[j] + 1).min(row[j - 1] + 1);
            if 1 < i && 1 < j && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(before_last[j - 2] + 1);
            }
            row[j] = best.min(beyond);
            least = least.min(row[j]);
        }
        if end < b.len() {
            row[end + 1] = beyond;
        }
        if limit < least {
            return None;
        }
        std::mem::swap(&mut before_last, &mut last);
        std::mem::swap(&mut last, &mut row);
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

    /// The whole table of distances, without a band.
    fn plain(a: &[char], b: &[char]) -> usize {
        let mut table = vec![vec![0_usize; b.len() + 1]; a.len() + 1];
        for i in 0..=a.len() {
            for j in 0..=b.len() {
                table[i][j] = match (i, j) {
                    (0, _) | (_, 0) => i + j,
                    _ => {
                        let differs = usize::from(a[i - 1] != b[j - 1]);
                        let best = table[i - 1][j - 1] + differs;
                        let best = best.min(table[i - 1][j] + 1).min(table[i][j - 1] + 1);
                        let swapped =
                            1 < i && 1 < j && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
                        if swapped { best.min(table[i - 2][j - 2] + 1) } else { best }
                    }
                };
            }
        }
        table[a.len()][b.len()]
    }

    proptest::proptest! {
        #[test]
        fn a_band_gives_what_the_whole_table_does(a in "[abc]{0,9}", b in "[abc]{0,9}") {
            let [x, y] = [&a, &b].map(|word| word.chars().collect::<Vec<char>>());
            for limit in 0..4 {
                let wanted = Some(plain(&x, &y)).filter(|distance| *distance <= limit);
                proptest::prop_assert_eq!(edit_distance(&a, &b, limit), wanted);
            }
        }
    }

    #[test]
    fn long_words_are_compared_in_a_band() {
        let long = vec!['a'; 100_000];
        let mut pairs = 0;
        assert_eq!(within(&long, &long[1..], 2, &mut pairs), Some(1));
        assert!(pairs <= 5 * long.len(), "{pairs}");
    }

    #[test]
    fn short_words_need_to_be_closer() {
        assert_eq!(nearest("sores", ["stores", "store"]), Some("stores"));
        assert_eq!(nearest("is", ["from", "called"]), None);
    }
}
