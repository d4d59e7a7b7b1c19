//! How a cutaway is written: a first one step by step, then every word of the language.

use super::Frame;
use serde::Serialize;

/// The reference of the cutaway language. What the event logic takes for granted is the theme's
/// text.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct CutawayPage {
    /// What surrounds it.
    pub frame: Frame,
    /// A first cutaway, step by step.
    pub walk: Vec<WalkPart>,
    /// The same cutaway, whole, as typed.
    pub whole: String,
    /// The words, group by group.
    pub groups: Vec<WordGroup>,
    /// Questions about one engine that claims may ask.
    pub questions: Vec<AskableRow>,
    /// Questions about two engines.
    pub comparing: Vec<AskableRow>,
}

/// One step of the walk.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct WalkPart {
    /// Anchor, without `#` (`step-3`).
    pub anchor: String,
    /// What is written in this step.
    pub title: String,
    /// What is told, in order.
    pub blocks: Vec<WalkBlock>,
}

/// A piece of a step.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct WalkBlock {
    /// "text", "cutaway" (its next lines), "page" (typed on the engine's page) or "says" (what the
    /// program says).
    pub kind: String,
    /// A paragraph as finished HTML; empty for lines.
    pub html: String,
    /// Lines as typed; empty for a paragraph.
    pub lines: String,
}

/// Words of the language that belong together.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct WordGroup {
    /// Anchor, without `#` (`group-statements`).
    pub anchor: String,
    /// What they have in common.
    pub label: String,
    /// The words.
    pub words: Vec<WordRow>,
}

/// One word.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct WordRow {
    /// Anchor, without `#` (`word-statements-way`).
    pub anchor: String,
    /// The word.
    pub word: String,
    /// How it is written, capitals being the writer's.
    pub form: String,
    /// What it means (finished HTML).
    pub meaning_html: String,
    /// What else is good to know (finished HTML); may be empty.
    pub note_html: String,
    /// An example, as typed.
    pub example: String,
    /// Whether the example goes on from that of the first word.
    pub goes_on: bool,
}

/// A question that a claim may ask.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct AskableRow {
    /// Anchor, without `#` (`question-happens`).
    pub anchor: String,
    /// How it is written.
    pub form: String,
    /// When it holds, in words.
    pub meaning: String,
}
