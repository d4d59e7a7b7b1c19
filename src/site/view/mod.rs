//! What a theme is given: finished plain data, one struct per page kind.
//!
//! Everything is text that only needs to be laid out. Numbers are already rounded and written in
//! each unit system, verdicts are words, bodies are HTML. A theme may choose, order and repeat; it
//! has nothing to compute with. Addresses in [`Link`] are relative to the site's root (a theme puts
//! [`Frame::root`] before them); anchors are bare names without `#`.

mod comparison;
mod engine;
mod frame;
mod language;
mod reference;
mod shot;
mod standing;
mod structure;

pub use comparison::{Cell, Column, ComparisonPage, ComparisonRow, Difference, Missing, RowGroup};
pub use engine::{
    ClaimRow, DerivedRow, EnginePage, KeyFigure, QuestionRow, ReadingGroup, ReadingRow,
    RevisionRow, Statement,
};
pub use frame::{Caution, Frame, Heading, Link, Navigation, Shown, Site, UnitSystem};
pub use language::{AskableRow, CutawayPage, WalkBlock, WalkPart, WordGroup, WordRow};
pub use reference::{
    ArticlePage, AsidesPage, ChecksPage, EngineCard, Family, FaultPage, FaultRow, FunctionRow,
    GlossaryPage, HomePage, IndexEntry, PageAside, PageWaiver, SearchPage, Term, UnitGroup,
    UnitRow,
};
pub use shot::{FactRow, LevelCell, Pose, SealRow, SequenceRow, Shot};
pub use standing::{
    AsideRow, CorrectionRow, Coverage, MarkRow, SourceRow, Standing, Verdict, WaiverRow,
};

pub(crate) use structure::{
    CircuitPicture, LaneCell, LaneRow, Structure, StructureCell, StructureGroup, StructureRow,
};

use serde::Serialize;

/// One page, of whatever kind. The template of a kind is named after it (`engine.html`).
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub enum View {
    /// One engine.
    Engine(Box<EnginePage>),
    /// Several engines side by side.
    Comparison(Box<ComparisonPage>),
    /// Running text about anything else, and the safety page.
    Article(Box<ArticlePage>),
    /// Terms explained.
    Glossary(Box<GlossaryPage>),
    /// The first page of the site.
    Home(Box<HomePage>),
    /// How figures are checked.
    Checks(Box<ChecksPage>),
    /// How a cutaway is written.
    Cutaway(Box<CutawayPage>),
    /// One fault of the catalogue.
    Fault(Box<FaultPage>),
    /// All asides and waivers of the folio.
    Asides(Box<AsidesPage>),
    /// Search, and the list of all pages.
    Search(Box<SearchPage>),
}

impl View {
    /// The template that shows this page.
    pub(crate) fn template(&self) -> &'static str {
        match self {
            View::Engine(_) => "engine.html",
            View::Comparison(_) => "comparison.html",
            View::Article(_) => "article.html",
            View::Glossary(_) => "glossary.html",
            View::Home(_) => "home.html",
            View::Checks(_) => "checks.html",
            View::Cutaway(_) => "cutaway.html",
            View::Fault(_) => "fault.html",
            View::Asides(_) => "asides.html",
            View::Search(_) => "search.html",
        }
    }

    /// The frame that every page has.
    #[must_use]
    pub fn frame(&self) -> &Frame {
        match self {
            View::Engine(page) => &page.frame,
            View::Comparison(page) => &page.frame,
            View::Article(page) => &page.frame,
            View::Glossary(page) => &page.frame,
            View::Home(page) => &page.frame,
            View::Checks(page) => &page.frame,
            View::Cutaway(page) => &page.frame,
            View::Fault(page) => &page.frame,
            View::Asides(page) => &page.frame,
            View::Search(page) => &page.frame,
        }
    }
}
