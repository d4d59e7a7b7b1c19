//! Two lists paired off at the least total cost.
//!
//! Figures of a sentence with the names beside them, things of one engine with those of another:
//! both are one puzzle, and solved pair by pair the second pair is wrong whenever the first is
//! close. It knows costs only, not what is paired.

/// Pairs each row with a column of its own at the least total cost, for a matrix with at least as
/// many columns as rows. Gives the column of each row.
///
/// Shortest augmenting paths with potentials (Kuhn 1955, Munkres 1957; the O(n²m) form of Jonker
/// and Volgenant 1987).
pub(crate) fn least_cost(cost: &[Vec<f64>]) -> Vec<usize> {
    let rows = cost.len();
    let columns = cost.first().map_or(0, Vec::len);
    let mut row_potential = vec![0.0; rows + 1];
    let mut column_potential = vec![0.0; columns + 1];
    let mut row_of = vec![0usize; columns + 1];
    let mut way = vec![0usize; columns + 1];
    for row in 1..=rows {
        row_of[0] = row;
        let mut column = 0;
        let mut least = vec![f64::INFINITY; columns + 1];
        let mut used = vec![false; columns + 1];
        while row_of[column] != 0 {
            used[column] = true;
            let current = row_of[column];
            let mut delta = f64::INFINITY;
            let mut next = 0;
            for j in (1..=columns).filter(|j| !used[*j]) {
                let reduced =
                    cost[current - 1][j - 1] - row_potential[current] - column_potential[j];
                if reduced < least[j] {
                    least[j] = reduced;
                    way[j] = column;
                }
                if least[j] < delta {
                    delta = least[j];
                    next = j;
                }
            }
            for j in 0..=columns {
                if used[j] {
                    row_potential[row_of[j]] += delta;
                    column_potential[j] -= delta;
                } else {
                    least[j] -= delta;
                }
            }
            column = next;
        }
        while column != 0 {
            let previous = way[column];
            row_of[column] = row_of[previous];
            column = previous;
        }
    }
    let mut chosen = vec![columns; rows];
    for column in 1..=columns {
        if row_of[column] != 0 {
            chosen[row_of[column] - 1] = column - 1;
        }
    }
    chosen
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn total(cost: &[Vec<f64>], columns: &[usize]) -> f64 {
        columns.iter().enumerate().map(|(row, column)| cost[row][*column]).sum()
    }

    proptest! {
        /// Against trying every assignment.
        #[test]
        fn no_other_assignment_is_cheaper(
            cost in proptest::collection::vec(proptest::collection::vec(0.0..50.0f64, 4), 3)
        ) {
            let found = least_cost(&cost);
            let mut best = f64::INFINITY;
            for a in 0..4 { for b in 0..4 { for c in 0..4 {
                if a != b && b != c && a != c {
                    best = best.min(total(&cost, &[a, b, c]));
                }
            }}}
            prop_assert!((total(&cost, &found) - best).abs() < 1e-9);
        }
    }
}
