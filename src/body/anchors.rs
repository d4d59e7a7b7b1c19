//! Ids of a page's headings, no two of them equal.

use std::collections::{BTreeMap, BTreeSet};

/// The ids that are given, and which number each name goes on with.
#[derive(Debug, Default)]
pub(super) struct Anchors {
    taken: BTreeSet<String>,
    next: BTreeMap<String, usize>,
}

impl Anchors {
    /// The id that is wanted, with a number behind it if it is taken.
    pub(super) fn free(&mut self, wanted: &str) -> String {
        let next = self.next.entry(wanted.to_owned()).or_insert(1);
        loop {
            let id = if *next == 1 { wanted.to_owned() } else { format!("{wanted}-{next}") };
            *next += 1;
            if self.taken.insert(id.clone()) {
                return id;
            }
        }
    }

    /// How many ids were tried, those that were taken among them.
    #[cfg(test)]
    fn tries(&self) -> usize {
        self.next.values().map(|next| next - 1).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_ids_are_equal_whatever_is_written() {
        let mut anchors = Anchors::default();
        let ids = ["a", "a", "a-2", "a", "a-2", "a-3"].map(|wanted| anchors.free(wanted));
        assert_eq!(ids, ["a", "a-2", "a-2-2", "a-3", "a-2-3", "a-3-2"]);
    }

    #[test]
    fn each_id_is_tried_about_once_however_many_are_equal() {
        let mut anchors = Anchors::default();
        // Every second one stands where the numbers would lead.
        for at in 0..10_000 {
            anchors.free(&format!("a-{}", 2 * at));
            anchors.free("a");
        }
        assert!(anchors.tries() < 40_000, "{}", anchors.tries());
    }
}
