//! Entries of a data sheet: readings and derived figures.

use super::statement::Stated;
use crate::formula::{Formula, Value};
use crate::page::front::{DerivedDecl, ReadingDecl};
use crate::page::yaml::Text;
use std::sync::OnceLock;

/// A reading with its statements.
#[derive(Debug)]
pub struct ReadingEntry {
    pub(crate) decl: ReadingDecl,
    /// Its statements, read; the first one gives the value.
    pub statements: Vec<Stated>,
    /// Number of its first input ([`crate::formula::InputId::Named`]); members follow.
    pub(super) input: u32,
    /// Whether some statement could not be read or it needs itself, which has been told.
    pub(crate) poisoned: bool,
}

/// A derived figure.
#[derive(Debug)]
pub struct DerivedEntry {
    pub(crate) decl: DerivedDecl,
    /// Its formula; `None` when it could not be read or loops, which has been told.
    pub(crate) formula: Option<Formula>,
    /// Its value at the nominal inputs, worked out once.
    pub(super) nominal: OnceLock<Option<Value>>,
}

/// Where an entry's value comes from.
#[derive(Debug)]
pub enum Origin {
    /// From statements.
    Reading(Box<ReadingEntry>),
    /// From a formula.
    Derived(Box<DerivedEntry>),
}

/// A named figure.
#[derive(Debug)]
pub struct Entry {
    /// Name in formulas, with its place.
    pub name: Text,
    /// What prose calls it: the words of the name and every alias, in small letters.
    pub(crate) cues: Vec<String>,
    /// Where its value comes from.
    pub(crate) origin: Origin,
}

impl Entry {
    /// The name in words.
    pub(crate) fn words(&self) -> String {
        self.name.text.replace('_', " ")
    }

    /// The reading, if it is one.
    #[must_use]
    pub fn reading(&self) -> Option<&ReadingEntry> {
        match &self.origin {
            Origin::Reading(reading) => Some(reading),
            Origin::Derived(_) => None,
        }
    }

    /// The derived figure, if it is one.
    pub(crate) fn derived(&self) -> Option<&DerivedEntry> {
        match &self.origin {
            Origin::Derived(derived) => Some(derived),
            Origin::Reading(_) => None,
        }
    }

    /// Anchor of its row on the page of its engine.
    pub(crate) fn anchor(&self) -> String {
        match self.origin {
            Origin::Reading(_) => format!("_reading-{}", self.name.text),
            Origin::Derived(_) => format!("_derived-{}", self.name.text),
        }
    }
}
