//! How much work a layout may take, in steps that are the same on every machine.

/// Steps that may still be taken. A step is a pair of things compared or a node looked at, some
/// nanoseconds each.
#[derive(Debug)]
pub(crate) struct Steps {
    taken: u64,
    limit: u64,
}

impl Steps {
    pub(crate) fn up_to(limit: u64) -> Steps {
        Steps { taken: 0, limit }
    }

    pub(crate) fn take(&mut self, steps: usize) {
        self.taken += steps as u64;
    }

    pub(crate) fn taken(&self) -> u64 {
        self.taken
    }

    pub(crate) fn left(&self) -> u64 {
        self.limit.saturating_sub(self.taken)
    }

    pub(crate) fn are_spent(&self) -> bool {
        self.left() == 0
    }

    /// A share of what is left, to be given back by [`Steps::take_back`].
    pub(crate) fn share(&self, of: u64) -> Steps {
        Steps::up_to(self.left() / of.max(1))
    }

    /// Counts what a share took.
    pub(crate) fn take_back(&mut self, share: &Steps) {
        self.taken += share.taken;
    }
}
