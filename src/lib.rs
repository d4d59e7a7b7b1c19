//! Gaugebook: engine teardowns as an offline reference site in which every stated figure has been
//! recomputed and judged before it is published.
//!
//! Layers, lowest first; a layer imports only from those above it in this list. A test holds the
//! code to it.

pub mod text;

pub(crate) mod linear_assignment;

pub mod slip;

pub mod quantity;

pub mod tables;

pub mod formula;

pub mod geometry;

pub mod cutaway;

pub mod logic;

pub mod faults;

pub mod comparison;

pub mod drawing;

pub mod page;

pub mod sheet;

pub mod folio;

pub mod body;

pub(crate) mod statement;

pub mod proof;

pub mod site;

pub(crate) mod view_model;

pub(crate) mod publication;

pub mod shell;
