//! Things side by side in a given order, each as near to its wish as the others allow.

/// Where things of a row start. `offsets` are the starts that they would have close together;
/// the sum of the squares of the distances from `wishes` is the least that keeps them apart.
pub(crate) fn settled(wishes: &[f64], offsets: &[f64]) -> Vec<f64> {
    // Groups that touch: the sum of their wishes, offsets aside, and how many they are.
    let mut groups: Vec<(f64, usize)> = Vec::new();
    for (wish, offset) in wishes.iter().zip(offsets) {
        groups.push((wish - offset, 1));
        while let [.., before, last] = groups.as_mut_slice() {
            if before.0 / before.1 as f64 <= last.0 / last.1 as f64 {
                break;
            }
            *before = (before.0 + last.0, before.1 + last.1);
            groups.pop();
        }
    }
    let starts = groups.iter().flat_map(|(sum, n)| std::iter::repeat_n(sum / *n as f64, *n));
    starts.zip(offsets).map(|(start, offset)| start + offset).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn things_keep_their_order_and_distance() {
        assert_eq!(settled(&[0.0, 100.0], &[0.0, 24.0]), [0.0, 100.0], "far apart they stay");
        // Two that wish for 0 and 4 and must lie 24 apart: 10 off their wishes each.
        assert_eq!(settled(&[0.0, 4.0], &[0.0, 24.0]), [-10.0, 14.0]);
        // The second wishes to lie before the first: they meet at the mean.
        assert_eq!(settled(&[8.0, 0.0], &[0.0, 2.0]), [3.0, 5.0]);
    }
}
