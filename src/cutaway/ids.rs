//! Places in the lists of a model: each list has a type of its own for them, so that a chamber's
//! place never looks anything up among the ways.

use std::fmt;
use std::marker::PhantomData;
use std::ops::{Index, IndexMut};

/// The place of something in a [`List`].
pub trait Id: Copy + Ord + fmt::Debug {
    /// The place with this number, from 0.
    fn at(place: usize) -> Self;
    /// Its number, from 0.
    fn place(self) -> usize;
}

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(u32);

        impl $name {
            /// The place with this number, from 0.
            pub fn at(place: usize) -> $name {
                $name(u32::try_from(place).unwrap_or(u32::MAX))
            }

            /// Its number, from 0.
            pub fn place(self) -> usize {
                self.0 as usize
            }
        }

        impl Id for $name {
            fn at(place: usize) -> $name {
                $name::at(place)
            }

            fn place(self) -> usize {
                $name::place(self)
            }
        }
    )*};
}

ids! {
    /// A trigger of an engine.
    TriggerId
    /// A chamber of an engine; the open air is one.
    ChamberId
    /// A way of an engine.
    WayId
    /// A moving part of an engine.
    PartId
    /// A position of a part, from rear to front.
    PositionId
    /// A push on a part.
    PushId
    /// A valve of an engine.
    ValveId
    /// A seal of an engine.
    SealId
    /// A landmark of an engine.
    LandmarkId
    /// Conditions joined by `or`.
    ChoiceId
}

impl ChamberId {
    /// The open air: it is always there.
    pub const OPEN_AIR: ChamberId = ChamberId(0);
}

impl PositionId {
    /// The rearmost.
    pub const REAR: PositionId = PositionId(0);

    /// The next one to the front, which the part may lack.
    pub(crate) fn in_front(self) -> PositionId {
        PositionId(self.0.saturating_add(1))
    }

    /// The next one to the rear.
    pub(crate) fn behind(self) -> Option<PositionId> {
        self.0.checked_sub(1).map(PositionId)
    }
}

/// A list that is asked by the places of its own kind only.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct List<I, T> {
    items: Vec<T>,
    places: PhantomData<I>,
}

impl<I: Id, T> List<I, T> {
    /// How many there are.
    pub fn len(&self) -> usize {
        self.items.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.items.is_empty()
    }

    /// What is at a place, if the list reaches so far.
    pub fn get(&self, at: I) -> Option<&T> {
        self.items.get(at.place())
    }

    /// All, in order.
    pub fn iter(&self) -> std::slice::Iter<'_, T> {
        self.items.iter()
    }

    /// All, in order, to be changed.
    pub fn iter_mut(&mut self) -> std::slice::IterMut<'_, T> {
        self.items.iter_mut()
    }

    /// All places, in order.
    pub fn ids(&self) -> impl DoubleEndedIterator<Item = I> + ExactSizeIterator + use<I, T> {
        (0..self.items.len()).map(I::at)
    }

    /// All with their places, in order.
    pub fn entries(&self) -> impl DoubleEndedIterator<Item = (I, &T)> + ExactSizeIterator {
        self.items.iter().enumerate().map(|(at, item)| (I::at(at), item))
    }

    /// Adds one at the end, and says where that is.
    pub fn push(&mut self, item: T) -> I {
        self.items.push(item);
        I::at(self.items.len() - 1)
    }

    /// A list with something else at each place.
    pub(crate) fn map<U>(&self, of: impl Fn(I, &T) -> U) -> List<I, U> {
        self.entries().map(|(at, item)| of(at, item)).collect()
    }
}

impl<I, T> Default for List<I, T> {
    fn default() -> List<I, T> {
        List { items: Vec::new(), places: PhantomData }
    }
}

impl<I, T> FromIterator<T> for List<I, T> {
    fn from_iter<A: IntoIterator<Item = T>>(items: A) -> List<I, T> {
        List { items: items.into_iter().collect(), places: PhantomData }
    }
}

impl<'a, I: Id, T> IntoIterator for &'a List<I, T> {
    type Item = &'a T;
    type IntoIter = std::slice::Iter<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

impl<'a, I: Id, T> IntoIterator for &'a mut List<I, T> {
    type Item = &'a mut T;
    type IntoIter = std::slice::IterMut<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter_mut()
    }
}

impl<I: Id, T> Index<I> for List<I, T> {
    type Output = T;

    fn index(&self, at: I) -> &T {
        &self.items[at.place()]
    }
}

impl<I: Id, T> IndexMut<I> for List<I, T> {
    fn index_mut(&mut self, at: I) -> &mut T {
        &mut self.items[at.place()]
    }
}
