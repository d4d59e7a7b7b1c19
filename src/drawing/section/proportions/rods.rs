//! Parts as rods that pass walls: where they are thick and close, and where they are thin and open.
//!
//! Lengths are those of the picture's model, a thousandth of a metre each.

use crate::cutaway::model::SealId;

/// Free length at both sides of a wall that the steps of a rod keep.
pub(super) const FREE: f64 = 5.0;
/// Length of what closes a bore, with a ring in its middle; how far before the bore it stands open.
const LAND: f64 = 8.0;
const LEAD: f64 = 2.0;
/// Thickness of a wall that nothing slides in.
const WALL: f64 = 12.0;
/// Distance of a ring from the end of its bore, and of two rings.
const EDGE: f64 = 6.0;
const PITCH: f64 = 9.0;

/// A wall across the bore, with what passes it.
#[derive(Debug, Clone, Default)]
pub(super) struct WallPlan {
    /// Number of the part in its row.
    pub(super) part: Option<usize>,
    /// Radius of its bore, where a part passes.
    pub(super) radius: f64,
    /// By position of the part, whether it is open.
    pub(super) open: Vec<bool>,
    /// Seals on the part and in the wall.
    pub(super) seals: (Vec<SealId>, Vec<SealId>),
    /// Distance of two positions of the part.
    pub(super) step: f64,
}

/// A stretch of a rod, from the rear of the wall where the part is at its rear end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct RodStretch {
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) is_thin: bool,
}

/// Seals, each with the middle of its ring.
pub(super) type WallRings = Vec<(SealId, f64)>;

/// What a wall and the rod in it come to.
#[derive(Debug, Clone, Default)]
pub(super) struct WallShape {
    pub(super) long: f64,
    /// The rod near the wall, from end to end.
    pub(super) rod: Vec<RodStretch>,
    /// Middles of rings on the rod and in the wall, from the rear of the wall.
    pub(super) rings: (WallRings, WallRings),
}

impl WallPlan {
    /// Travel of the part.
    pub(super) fn travel(&self) -> f64 {
        self.step * self.open.len().saturating_sub(1) as f64
    }

    /// The wall, as thick as its rings need.
    pub(super) fn shape(&self) -> WallShape {
        if self.part.is_none() {
            return WallShape { long: WALL, ..WallShape::default() };
        }
        let changes = self.open.windows(2).filter(|pair| pair[0] != pair[1]).count();
        let first = self.open.first().copied().unwrap_or(false);
        match changes {
            0 if !first && !self.seals.0.is_empty() => self.always_sealed(),
            1 if self.seals.1.is_empty() => self.opening(first),
            _ => self.by_cells(),
        }
    }

    fn ends(&self, long: f64) -> (f64, f64) {
        (-self.travel() - FREE, long + FREE)
    }

    /// Rings on the rod that stay in their bore all the way.
    fn always_sealed(&self) -> WallShape {
        let seals = &self.seals.0;
        let rings = seals.iter().enumerate().map(|(at, seal)| (*seal, EDGE + PITCH * at as f64));
        let between = PITCH * seals.len().saturating_sub(1) as f64;
        let long = self.travel() + 2.0 * EDGE + between;
        let (from, to) = self.ends(long);
        let rod = vec![RodStretch { from, to, is_thin: false }];
        let body = self.seals.1.iter().enumerate();
        let body = body.map(|(at, seal)| (*seal, long - EDGE - PITCH * at as f64));
        WallShape { long, rod, rings: (rings.collect(), body.collect()) }
    }

    /// A land that leaves its bore to the front, or comes into it from behind.
    fn opening(&self, is_open_first: bool) -> WallShape {
        let count = self.open.len();
        let turn = self.open.iter().position(|open| *open != is_open_first).unwrap_or(0) as f64;
        let closed = if is_open_first { count as f64 - turn } else { turn };
        let long = (closed * self.step).max(WALL);
        let (from, to) = self.ends(long);
        let land = if is_open_first {
            -LEAD - (turn - 1.0) * self.step - LAND
        } else {
            long + LEAD - turn * self.step
        };
        let land = (land, land + LAND);
        let rod = if is_open_first {
            let rear = RodStretch { from, to: land.1, is_thin: false };
            [rear, RodStretch { from: land.1, to, is_thin: true }]
        } else {
            let rear = RodStretch { from, to: land.0, is_thin: true };
            [rear, RodStretch { from: land.0, to, is_thin: false }]
        };
        let ring = self.seals.0.first().map(|seal| (*seal, land.0 + LAND / 2.0));
        WallShape { long, rod: rod.to_vec(), rings: (ring.into_iter().collect(), Vec::new()) }
    }

    /// A thick or a thin stretch for each position.
    fn by_cells(&self) -> WallShape {
        let long = self.step - 2.0 * LEAD;
        let (from, to) = self.ends(long);
        let cell = |at: usize| -LEAD - at as f64 * self.step;
        let last = self.open.len().saturating_sub(1);
        let mut rod = vec![RodStretch { from, to: cell(last), is_thin: false }];
        let mut rings = Vec::new();
        for (at, open) in self.open.iter().enumerate().rev() {
            let from = cell(at);
            rod.push(RodStretch { from, to: from + self.step, is_thin: *open });
            let seal = self.seals.0.first().filter(|_| !open);
            rings.extend(seal.map(|seal| (*seal, from + self.step / 2.0)));
        }
        rod.push(RodStretch { from: cell(0) + self.step, to, is_thin: false });
        let body = self.seals.1.first().map(|seal| (*seal, long / 2.0));
        WallShape { long, rod, rings: (rings, body.into_iter().collect()) }
    }
}
