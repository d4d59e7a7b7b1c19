//! Page bodies: template expressions printed, Markdown taken apart into blocks of plain text, and
//! HTML put together again around judged figures.
//!
//! This layer asks for printed figures through [`template::Figures`]; it does not know sheets,
//! judging or themes.

mod anchors;
pub mod blocks;
pub(crate) mod html;
mod limits;
pub mod parts;
pub mod template;

use pulldown_cmark::Options;

/// The Markdown that pages are written in: CommonMark with tables, footnotes, definition lists,
/// heading attributes and strikethrough.
pub(crate) const OPTIONS: Options = Options::ENABLE_TABLES
    .union(Options::ENABLE_FOOTNOTES)
    .union(Options::ENABLE_DEFINITION_LIST)
    .union(Options::ENABLE_HEADING_ATTRIBUTES)
    .union(Options::ENABLE_STRIKETHROUGH);
