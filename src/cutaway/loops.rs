//! Loops among arrows, and things grouped together: what facts, orders and ways have in common.

use std::collections::BTreeMap;

/// More loops than these are not told of one text.
const MOST_LOOPS: usize = 10;

/// Loops of arrows `(from, to)`, each as the positions of its arrows in order. One arrow of each
/// loop, the last of the list, is taken away before the next loop is looked for.
pub(super) fn loops(arrows: &[(usize, usize)]) -> Vec<Vec<usize>> {
    let mut left: Vec<usize> = (0..arrows.len()).collect();
    let mut found = Vec::new();
    while found.len() < MOST_LOOPS {
        let Some(path) = first_loop(arrows, &left) else { break };
        let last = path.iter().max().copied();
        left.retain(|arrow| Some(*arrow) != last);
        found.push(path);
    }
    found
}

fn first_loop(arrows: &[(usize, usize)], left: &[usize]) -> Option<Vec<usize>> {
    let mut next = after_peeling(arrows, left);
    // Every place that is left has an arrow that leads on, so a walk must come back.
    let first = left.iter().copied().find(|arrow| next.contains_key(&arrows[*arrow].0))?;
    let mut walk: Vec<usize> = Vec::new();
    let mut met: BTreeMap<usize, usize> = BTreeMap::new();
    let mut place = arrows[first].0;
    loop {
        if let Some(at) = met.get(&place) {
            return Some(walk.split_off(*at));
        }
        met.insert(place, walk.len());
        let arrow = next.remove(&place)?;
        walk.push(arrow);
        place = arrows[arrow].1;
    }
}

/// For each place from which arrows lead on for ever, one arrow that does: places where arrows
/// end are peeled off until none is left.
fn after_peeling(arrows: &[(usize, usize)], left: &[usize]) -> BTreeMap<usize, usize> {
    let mut leaving: BTreeMap<usize, usize> = BTreeMap::new();
    let mut arriving: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for arrow in left {
        let (from, to) = arrows[*arrow];
        *leaving.entry(from).or_default() += 1;
        arriving.entry(to).or_default().push(from);
    }
    let mut ends: Vec<usize> =
        arriving.keys().copied().filter(|place| is_end(&leaving, *place)).collect();
    while let Some(end) = ends.pop() {
        for from in arriving.remove(&end).unwrap_or_default() {
            let count = leaving.entry(from).or_default();
            *count = count.saturating_sub(1);
            if *count == 0 {
                ends.push(from);
            }
        }
    }
    let goes_on = |place: &usize| !is_end(&leaving, *place);
    let lasting = left.iter().rev().map(|arrow| (arrows[*arrow], *arrow));
    let lasting = lasting.filter(|((from, to), _)| goes_on(from) && goes_on(to));
    lasting.map(|((from, _), arrow)| (from, arrow)).collect()
}

/// Whether no arrow leads on from a place.
fn is_end(leaving: &BTreeMap<usize, usize>, place: usize) -> bool {
    leaving.get(&place).is_none_or(|count| *count == 0)
}

/// Things put together into groups.
#[derive(Debug, Clone)]
pub(super) struct ChamberGroups {
    above: Vec<usize>,
}

impl ChamberGroups {
    /// Every thing alone.
    pub(super) fn new(count: usize) -> ChamberGroups {
        ChamberGroups { above: (0..count).collect() }
    }

    /// The group of a thing, named after one of its members.
    pub(super) fn of(&mut self, mut at: usize) -> usize {
        while self.above[at] != at {
            self.above[at] = self.above[self.above[at]];
            at = self.above[at];
        }
        at
    }

    /// Puts the groups of two things together.
    pub(super) fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.of(a), self.of(b));
        self.above[a.max(b)] = a.min(b);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn loops_are_paths_of_arrows() {
        assert_eq!(loops(&[(0, 1), (1, 2)]), Vec::<Vec<usize>>::new());
        assert_eq!(loops(&[(9, 0), (0, 1), (1, 2), (2, 0), (2, 7)]), [[1, 2, 3]]);
        assert_eq!(loops(&[(3, 3)]), [[0]]);
        assert_eq!(loops(&[(0, 1), (1, 0), (5, 6), (6, 5)]).len(), 2);
    }

    #[test]
    fn groups_grow_together() {
        let mut groups = ChamberGroups::new(4);
        groups.join(3, 1);
        groups.join(0, 3);
        assert_eq!((0..4).map(|at| groups.of(at)).collect::<Vec<_>>(), [0, 0, 2, 0]);
    }
}
