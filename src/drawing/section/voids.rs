//! What lies free in a section, and which room each piece of it belongs to.
//!
//! Rooms reach from their spots to where the way to the next is narrowest.

use super::plane::{NEAR, Trapezoid, gaps, strips};
use crate::cutaway::model::{ChamberId, OPEN_AIR};

/// A spot of a room in the picture.
#[derive(Debug, Clone, Copy)]
pub(super) struct RoomSeed {
    pub(super) chamber: ChamberId,
    pub(super) x: f64,
    pub(super) y: f64,
}

/// A free piece, and whose it is.
#[derive(Debug, Clone)]
pub(super) struct FreePiece {
    pub(super) piece: Trapezoid,
    pub(super) room: Option<ChamberId>,
    strip: usize,
}

/// All that is free.
#[derive(Debug, Clone)]
pub(super) struct VoidMap {
    pub(super) pieces: Vec<FreePiece>,
    links: Vec<VoidBorder>,
    throats: Vec<HoleThroat>,
}

/// Where a hole across opens into the bore of its body, above the axis.
#[derive(Debug, Clone, Copy)]
pub(super) struct HoleMouth {
    pub(super) left: f64,
    pub(super) right: f64,
    /// Height of the bore.
    pub(super) y: f64,
}

/// A hole between what lies free in it and in the bore under it.
#[derive(Debug, Clone, Copy)]
pub(super) struct HoleThroat {
    /// The piece in the hole and the one in the bore.
    pieces: (usize, usize),
    pub(super) mouth: HoleMouth,
}

impl HoleThroat {
    /// In the measure of [`VoidBorder::area`].
    fn area(&self) -> f64 {
        (self.mouth.right - self.mouth.left).powi(2) / 4.0
    }
}

/// Where two free pieces meet.
#[derive(Debug, Clone, Copy)]
pub(super) struct VoidBorder {
    /// The one behind and the one in front.
    pieces: (usize, usize),
    pub(super) x: f64,
    pub(super) top: f64,
    pub(super) bottom: f64,
}

impl HoleMouth {
    /// Whether it parts a free piece: one that lies in the hole and goes on into the bore.
    fn parts(&self, piece: &Trapezoid) -> bool {
        let is_in = self.left - NEAR < piece.left && piece.right < self.right + NEAR;
        let (top, bottom) = (piece.top.0.max(piece.top.1), piece.bottom.0.min(piece.bottom.1));
        is_in && top < self.y - NEAR && self.y + NEAR < bottom
    }
}

impl VoidBorder {
    /// The ring that it stands for, over π; a circle where it lies across the axis.
    fn area(&self) -> f64 {
        let (top, bottom) = (self.top * self.top, self.bottom * self.bottom);
        if self.top < 0.0 && 0.0 < self.bottom { top.max(bottom) } else { (top - bottom).abs() }
    }
}

impl VoidMap {
    /// What solids leave free between `along`, to `edge` above and below the axis. The open air is
    /// what reaches that edge; what nothing reaches is nobody's.
    pub(super) fn of(
        solids: &[Trapezoid],
        (along, edge): ((f64, f64), f64),
        (seeds, mouths): (&[RoomSeed], &[HoleMouth]),
    ) -> VoidMap {
        let (mut pieces, mut throats) = (Vec::new(), Vec::new());
        for (strip, at) in strips(solids, &[along.0, along.1]).iter().zip(0..) {
            for piece in gaps(strip, edge) {
                let free = |piece| FreePiece { piece, room: None, strip: at };
                let Some(mouth) = mouths.iter().find(|it| it.parts(&piece)) else {
                    pieces.push(free(piece));
                    continue;
                };
                let height = (mouth.y, mouth.y);
                throats
                    .push(HoleThroat { pieces: (pieces.len(), pieces.len() + 1), mouth: *mouth });
                pieces.push(free(Trapezoid { bottom: height, ..piece }));
                pieces.push(free(Trapezoid { top: height, ..piece }));
            }
        }
        let mut map = VoidMap { links: links(&pieces), pieces, throats };
        let mut best: Vec<Option<(f64, f64, ChamberId)>> = vec![None; map.pieces.len()];
        let outer = map.pieces.iter().enumerate().filter(|(_, it)| {
            let (top, bottom) = (it.piece.top.0, it.piece.bottom.0);
            top <= NEAR - edge || edge - NEAR <= bottom
        });
        let outer: Vec<usize> = outer.map(|(at, _)| at).collect();
        let starts =
            seeds.iter().filter_map(|seed| Some((vec![map.piece_at(seed)?], seed.chamber)));
        let air = std::iter::once((outer, OPEN_AIR));
        for (starts, chamber) in starts.chain(air).collect::<Vec<_>>() {
            for (at, reached) in map.reached(&starts).into_iter().enumerate() {
                let Some((wide, far)) = reached else { continue };
                let is_nearer = best[at].is_none_or(|(known_wide, known_far, _)| {
                    known_wide < wide || known_wide <= wide && far < known_far
                });
                if is_nearer {
                    best[at] = Some((wide, far, chamber));
                }
            }
        }
        for (piece, best) in map.pieces.iter_mut().zip(best) {
            piece.room = best.map(|(_, _, room)| room);
        }
        map.mirror();
        map
    }

    /// Below the axis is the same as above it, though holes across are drawn above only.
    fn mirror(&mut self) {
        for at in 0..self.pieces.len() {
            let piece = self.pieces[at].piece;
            let middle = f64::midpoint(piece.left, piece.right);
            let (top, bottom) = piece.edges_at(middle);
            if 0.0 < top && self.pieces[at].room != Some(OPEN_AIR) {
                let above = (middle, -f64::midpoint(top, bottom));
                self.pieces[at].room = self.room_at(above).or(self.pieces[at].room);
            }
        }
    }

    /// The free piece that a seed means: the one nearest to its place.
    fn piece_at(&self, seed: &RoomSeed) -> Option<usize> {
        let away = |it: &FreePiece| {
            let x = seed.x.clamp(it.piece.left, it.piece.right);
            let (top, bottom) = it.piece.edges_at(x);
            libm::hypot(x - seed.x, (top - seed.y).max(seed.y - bottom).max(0.0))
        };
        let all = self.pieces.iter().enumerate();
        let nearest = all.min_by(|(_, a), (_, b)| away(a).total_cmp(&away(b)));
        nearest.map(|(at, _)| at)
    }

    /// For each piece the narrowest place on the widest way to it, and how far that is.
    fn reached(&self, starts: &[usize]) -> Vec<Option<(f64, f64)>> {
        let mut known: Vec<Option<(f64, f64)>> = vec![None; self.pieces.len()];
        let mut is_done = vec![false; self.pieces.len()];
        for start in starts {
            known[*start] = Some((f64::INFINITY, 0.0));
        }
        loop {
            let open = known.iter().enumerate().filter(|(at, _)| !is_done[*at]);
            let next = open.filter_map(|(at, it)| it.map(|(wide, far)| (at, wide, far)));
            let next = next.max_by(|a, b| a.1.total_cmp(&b.1).then(b.2.total_cmp(&a.2)));
            let Some((at, wide, far)) = next else { return known };
            is_done[at] = true;
            let links = self.links.iter().map(|it| (it.pieces, it.area()));
            let throats = self.throats.iter().map(|it| (it.pieces, it.area()));
            for (pieces, area) in links.chain(throats) {
                let other = match pieces {
                    (a, b) if a == at => b,
                    (a, b) if b == at => a,
                    _ => continue,
                };
                let piece = &self.pieces[other].piece;
                let far = far + (piece.right - piece.left);
                let wide = wide.min(area);
                let is_better = known[other].is_none_or(|(known_wide, known_far)| {
                    known_wide < wide || known_wide <= wide && far < known_far
                });
                if !is_done[other] && is_better {
                    known[other] = Some((wide, far));
                }
            }
        }
    }

    /// The free pieces of a room.
    pub(super) fn room(&self, room: ChamberId) -> Vec<Trapezoid> {
        let own = self.pieces.iter().filter(|it| it.room == Some(room));
        own.map(|it| it.piece).collect()
    }

    /// The room of the free piece at a place.
    pub(super) fn room_at(&self, place: (f64, f64)) -> Option<ChamberId> {
        self.free_at(place)?.room
    }

    fn free_at(&self, (x, y): (f64, f64)) -> Option<&FreePiece> {
        self.pieces.iter().find(|it| {
            let (top, bottom) = it.piece.edges_at(x);
            it.piece.left <= x && x < it.piece.right && top <= y && y <= bottom
        })
    }

    /// A place in the largest free piece of a room above the axis.
    pub(super) fn largest(&self, room: ChamberId) -> Option<(f64, f64)> {
        let own = self.pieces.iter().map(|it| (it.room, &it.piece));
        let own = own.filter(|(at, piece)| *at == Some(room) && piece.top.0 < 0.0);
        let area = |it: &Trapezoid| (it.right - it.left) * it.height();
        let (_, piece) = own.max_by(|a, b| area(a.1).total_cmp(&area(b.1)))?;
        let x = f64::midpoint(piece.left, piece.right);
        Some((x, piece.edges_at(x).0 + NEAR))
    }

    /// A place well within the free piece at a place, above the axis.
    pub(super) fn free_below(&self, place: (f64, f64)) -> Option<(f64, f64)> {
        let (top, bottom) = self.free_at(place)?.piece.edges_at(place.0);
        let y = if 0.0 < bottom { 0.6 * top } else { top + 0.3 * (bottom - top) };
        Some((place.0, y))
    }

    /// The widest border of two rooms above the axis, with whether the first lies behind it.
    pub(super) fn border(&self, rooms: (ChamberId, ChamberId)) -> Option<(VoidBorder, bool)> {
        let here = self.links.iter().filter_map(|link| {
            let [behind, before] = [link.pieces.0, link.pieces.1].map(|at| self.pieces[at].room);
            let is_first = (behind, before) == (Some(rooms.0), Some(rooms.1));
            let is_second = (behind, before) == (Some(rooms.1), Some(rooms.0));
            (is_first || is_second).then_some((*link, is_first))
        });
        let above = here.filter(|(link, _)| link.top < 0.0);
        above.max_by(|a, b| a.0.area().total_cmp(&b.0.area()))
    }

    /// The widest hole across between two rooms, with whether the first lies in it; none where
    /// they meet in a wider place too.
    pub(super) fn throat(&self, rooms: (ChamberId, ChamberId)) -> Option<(HoleThroat, bool)> {
        let here = self.throats.iter().filter_map(|throat| {
            let [hole, bore] = [throat.pieces.0, throat.pieces.1].map(|at| self.pieces[at].room);
            let is_first = (hole, bore) == (Some(rooms.0), Some(rooms.1));
            let is_second = (hole, bore) == (Some(rooms.1), Some(rooms.0));
            (is_first || is_second).then_some((*throat, is_first))
        });
        let widest = here.max_by(|a, b| a.0.area().total_cmp(&b.0.area()))?;
        let wider = self.border(rooms).filter(|(border, _)| widest.0.area() < border.area());
        wider.is_none().then_some(widest)
    }

    /// Whether a place is free.
    pub(super) fn is_free(&self, place: (f64, f64)) -> bool {
        self.free_at(place).is_some()
    }

    /// A place for an arrow of this length near a border, above the axis, in one of the two rooms
    /// where there is room for it.
    pub(super) fn beside(
        &self,
        border: &VoidBorder,
        rooms: (ChamberId, ChamberId),
        long: f64,
    ) -> Option<(f64, f64)> {
        let half = long / 2.0 + 2.5;
        let fitting = self.pieces.iter().filter_map(|it| {
            it.room.filter(|room| *room == rooms.0 || *room == rooms.1)?;
            let (left, right) = (it.piece.left + half, it.piece.right - half);
            (left <= right && 8.0 <= it.piece.height() && it.piece.top.0 < -8.0).then(|| {
                let x = border.x.clamp(left, right);
                let (top, bottom) = it.piece.edges_at(x);
                let y = if 0.0 < bottom { 0.5 * top } else { f64::midpoint(top, bottom) };
                // In the open air, too, it stands before the border.
                (x, if border.top < 0.0 { y.max(0.7 * border.top) } else { y })
            })
        });
        let away = |place: (f64, f64)| (place.0 - border.x).abs() + (place.1 - border.top).abs();
        fitting.min_by(|a, b| away(*a).total_cmp(&away(*b)))
    }

    /// The height of the wall over a room at a place above the axis.
    pub(super) fn wall_over(&self, room: ChamberId, x: f64) -> Option<f64> {
        let here = self.pieces.iter().filter(|it| it.room == Some(room));
        let here = here.filter(|it| it.piece.left <= x && x < it.piece.right);
        here.map(|it| it.piece.edges_at(x).0).filter(|top| *top < 0.0).reduce(f64::min)
    }

    /// Where a room lies right under the outermost wall above the axis: from where to where, with
    /// the height of the wall. What is lower than `least` does not count.
    pub(super) fn under_wall(&self, room: ChamberId, least: f64) -> Vec<(f64, f64, f64)> {
        let mut found: Vec<(f64, f64, f64)> = Vec::new();
        for it in self.pieces.iter().filter(|it| it.room == Some(room)) {
            let above = self.pieces.iter().filter(|other| {
                other.strip == it.strip && other.piece.bottom.0 <= it.piece.top.0 + NEAR
            });
            let (left, right) = (it.piece.left, it.piece.right);
            let top = it.piece.top.0.max(it.piece.top.1);
            if it.piece.height() < least {
                continue;
            }
            // Nothing but the open air is free above it, and no hole opens there.
            let is_mouth = self.throats.iter().any(|throat| {
                let mouth = throat.mouth;
                mouth.left - NEAR < left && right < mouth.right + NEAR
            });
            if is_mouth || above.count() != 1 || 0.0 <= top {
                continue;
            }
            match found.last_mut() {
                Some(last) if left - last.1 < NEAR && (last.2 - top).abs() < NEAR => last.1 = right,
                _ => found.push((left, right, top)),
            }
        }
        found
    }
}

fn links(pieces: &[FreePiece]) -> Vec<VoidBorder> {
    let mut links = Vec::new();
    for (at, behind) in pieces.iter().enumerate() {
        let next = pieces.iter().enumerate().skip(at + 1);
        let next = next.take_while(|(_, it)| it.strip <= behind.strip + 1);
        for (other, before) in next.filter(|(_, it)| it.strip == behind.strip + 1) {
            let top = behind.piece.top.1.max(before.piece.top.0);
            let bottom = behind.piece.bottom.1.min(before.piece.bottom.0);
            if 1e-3 < bottom - top {
                links.push(VoidBorder { pieces: (at, other), x: before.piece.left, top, bottom });
            }
        }
    }
    links
}
