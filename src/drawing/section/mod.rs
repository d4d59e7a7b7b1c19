//! The section: to scale where the cutaway has sizes, else from made-up ones (`proportions`), and
//! stamped so. Both are drawn by the same writer (`scaled`).
//!
//! Line kinds are those of ISO 128: wide outlines, narrow leaders and hatching, long dash and dot
//! for the axis.

mod flow;
mod labels;
mod legend;
mod plane;
mod ports;
mod proportions;
mod scaled;
mod solids;
mod springs;
mod voids;

use super::shape::Drawing;
use super::view::DrawingView;
use crate::cutaway::model::Engine;
use crate::cutaway::sized::SizedEngine;
use scaled::SectionSource;

/// The section of an engine, if the order of things along an axis is known.
#[must_use]
pub fn section(engine: &Engine, view: &DrawingView) -> Option<Drawing> {
    sections(engine, None, std::slice::from_ref(view))?.pop()
}

/// The sections of an engine in several states, on one frame: what does not move stays where it
/// is, its label too. To scale where the sizes are given and tell how all parts stand.
#[must_use]
pub fn sections(
    engine: &Engine,
    sized: Option<&[SizedEngine]>,
    views: &[DrawingView],
) -> Option<Vec<Drawing>> {
    let stated = sized.map(|axes| axes.iter().map(SectionSource::Stated).collect::<Vec<_>>());
    stated.and_then(|sources| scaled::sections(engine, &sources, views)).or_else(|| {
        let made_up = proportions::proportions(engine, views);
        let sources: Vec<SectionSource> = made_up.iter().map(SectionSource::MadeUp).collect();
        scaled::sections(engine, &sources, views)
    })
}
