//! The reference of the cutaway language, from the words, the walk and the questions.

use super::frame::{Frame, made};
use super::reference::paragraphs;
use super::{Edition, View};
use crate::body::blocks::anchor;
use crate::comparison::claims::QUESTIONS as COMPARING;
use crate::cutaway::{WALK, WordDoc, walked, words};
use crate::faults::Symptom;
use crate::proof::checks::{fault_questions, questions};
use crate::site::search::SearchDocument;
use crate::text::{WalkPiece, Walkthrough, capitalised};
use serde::Serialize;
use std::sync::LazyLock;

/// Questions about one engine.
fn asked_of_one() -> impl Iterator<Item = &'static questions::Question> {
    questions::QUESTIONS.iter().chain(&fault_questions::QUESTIONS)
}

/// The reference of the cutaway language. What the event logic takes for granted is the theme's
/// text.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct CutawayPage {
    pub(crate) frame: Frame,
    /// A first cutaway, step by step.
    pub(crate) walk: Vec<WalkPart>,
    /// The same cutaway, whole, as typed.
    pub(crate) whole: String,
    /// The words, group by group.
    pub(crate) groups: Vec<WordGroup>,
    /// What may be noticed of an engine with something wrong.
    pub(crate) symptoms: Vec<AskableRow>,
    /// Questions about one engine that claims may ask.
    pub(crate) questions: Vec<AskableRow>,
    /// Questions about two engines.
    pub(crate) comparing: Vec<AskableRow>,
}

/// One step of the walk.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct WalkPart {
    /// Anchor, without `#` (`step-3`).
    pub(crate) anchor: String,
    /// What is written in this step.
    pub(crate) title: String,
    /// What is told, in order.
    pub(crate) blocks: Vec<WalkBlock>,
}

/// A piece of a step.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct WalkBlock {
    /// "text", "file" (its next lines), "elsewhere" (typed in another file) or "says" (what the
    /// program says).
    pub(crate) kind: String,
    /// A paragraph as finished HTML; empty for lines.
    pub(crate) html: String,
    /// Lines as typed; empty for a paragraph.
    pub(crate) lines: String,
}

/// Words of the language that belong together.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct WordGroup {
    /// Anchor, without `#` (`group-statements`).
    pub(crate) anchor: String,
    /// What they have in common.
    pub(crate) label: String,
    pub(crate) words: Vec<WordRow>,
}

/// One word.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct WordRow {
    /// Anchor, without `#` (`word-statements-way`).
    pub(crate) anchor: String,
    pub(crate) word: String,
    /// How it is written, capitals being the writer's.
    pub(crate) form: String,
    /// What it means (finished HTML).
    pub(crate) meaning_html: String,
    /// What else is good to know (finished HTML); may be empty.
    pub(crate) note_html: String,
    /// An example, as typed.
    pub(crate) example: String,
    /// Whether the example goes on from that of the first word.
    pub(crate) goes_on: bool,
}

/// A question that a claim may ask, or a symptom that is judged.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct AskableRow {
    /// Anchor, without `#` (`question-happens`).
    pub(crate) anchor: String,
    /// How it is written.
    pub(crate) form: String,
    /// When it holds or shows, in words.
    pub(crate) meaning: String,
}

/// Title of the page.
pub(super) const TITLE: &str = "How a cutaway is written";
const SUMMARY: &str = "The language of cutaways: a first one step by step, then every word of it.";
/// Its address.
pub(super) const ADDRESS: &str = "cutaway.html";

/// How a cutaway is written.
pub(crate) fn cutaway_page(edition: &Edition) -> View {
    let one =
        asked_of_one().map(|question| askable(question.name, question.form, question.meaning));
    let two = COMPARING.iter().map(|(name, _, asks)| {
        let meaning = asks.strip_prefix("whether ").unwrap_or(asks);
        askable(name, &format!("{name}(rowan, ash)"), meaning)
    });
    View::Cutaway(Box::new(CutawayPage {
        frame: made(edition, ADDRESS, TITLE, "Method", SUMMARY),
        walk: walk_parts(&WALK),
        whole: walked(),
        groups: GROUPS.clone(),
        symptoms: symptoms(),
        questions: one.collect(),
        comparing: two.collect(),
    }))
}

fn symptoms() -> Vec<AskableRow> {
    let row = |symptom: &Symptom| AskableRow {
        anchor: format!("_symptom-{}", anchor(symptom.words())),
        form: capitalised(symptom.words()),
        meaning: symptom.judged().to_owned(),
    };
    Symptom::ALL.iter().map(row).collect()
}

/// The same for the search index.
pub(super) fn cutaway_document() -> SearchDocument {
    let steps_heads = step_heads(&WALK);
    let words_heads = GROUPS
        .iter()
        .flat_map(|group| group.words.iter().map(|word| (word.anchor.clone(), word.word.clone())));
    let names = asked_of_one().map(|question| question.name);
    let names = names.chain(COMPARING.iter().map(|(name, ..)| *name));
    let asked_heads = names.map(|name| (format!("_question-{name}"), name.to_owned()));
    let meanings = words().iter().flat_map(|word| [word.meaning, word.note]);
    let judged = Symptom::ALL.iter().map(|symptom| symptom.judged());
    SearchDocument {
        title: TITLE.to_owned(),
        address: ADDRESS.to_owned(),
        kind: "Method".to_owned(),
        headings: steps_heads.chain(words_heads).chain(asked_heads).collect(),
        text: told(&WALK).chain(meanings).chain(judged).collect::<Vec<_>>().join("\n"),
        ..SearchDocument::default()
    }
}

/// A walk as the page shows it.
pub(super) fn walk_parts(walk: &Walkthrough) -> Vec<WalkPart> {
    let parts = walk.steps.iter().zip(step_heads(walk)).map(|(step, (anchor, title))| WalkPart {
        anchor,
        title,
        blocks: step.pieces.iter().map(block).collect(),
    });
    parts.collect()
}

/// Anchors and titles of its steps.
pub(super) fn step_heads(walk: &Walkthrough) -> impl Iterator<Item = (String, String)> {
    let numbered = walk.steps.iter().zip(1..);
    numbered.map(|(step, number)| (format!("_step-{number}"), step.title.to_owned()))
}

/// Its paragraphs, for the search.
pub(super) fn told(walk: &Walkthrough) -> impl Iterator<Item = &str> {
    walk.pieces().filter_map(|piece| match piece {
        WalkPiece::Text(text) => Some(text.as_str()),
        _ => None,
    })
}

fn block(piece: &WalkPiece) -> WalkBlock {
    let lines = |kind: &str, lines: &str| WalkBlock {
        kind: kind.to_owned(),
        lines: lines.to_owned(),
        ..WalkBlock::default()
    };
    match piece {
        WalkPiece::Text(text) => {
            WalkBlock { kind: "text".to_owned(), html: paragraphs(text), ..WalkBlock::default() }
        }
        WalkPiece::Lines(text) => lines("file", text),
        WalkPiece::Elsewhere(text) => lines("elsewhere", text),
        WalkPiece::Says(text) => lines("says", text),
    }
}

/// The words of the language, for the page and for the search index.
static GROUPS: LazyLock<Vec<WordGroup>> = LazyLock::new(groups);

fn groups() -> Vec<WordGroup> {
    let first = words().first().map_or("", |word| word.example.as_str());
    let mut groups: Vec<WordGroup> = Vec::new();
    for word in words() {
        let mut row = row(word, first);
        // A word may have two meanings in a group: what a part does, what the ball does.
        let is_taken = |group: &WordGroup| group.words.iter().any(|w| w.anchor == row.anchor);
        if groups.iter().any(is_taken) {
            row.anchor.push_str("-2");
        }
        match groups.last_mut() {
            Some(group) if group.label == word.group => group.words.push(row),
            _ => groups.push(WordGroup {
                anchor: format!("_group-{}", anchor(word.group)),
                label: word.group.to_owned(),
                words: vec![row],
            }),
        }
    }
    groups
}

fn row(word: &WordDoc, first: &str) -> WordRow {
    let own = own_lines(&word.example, first);
    WordRow {
        anchor: format!("_word-{}-{}", anchor(word.group), anchor(word.word)),
        word: word.word.to_owned(),
        form: word.form.to_owned(),
        meaning_html: paragraphs(word.meaning),
        note_html: paragraphs(word.note),
        example: own.clone().unwrap_or_else(|| word.example.clone()),
        goes_on: own.is_some(),
    }
}

/// The lines of an example behind those of the first one; `None` where it does not go on from it.
/// Blanks do not count: aligning an example whole may have moved columns.
fn own_lines(example: &str, first: &str) -> Option<String> {
    let mut lines = example.lines();
    for expected in first.lines() {
        if !lines.next()?.split_whitespace().eq(expected.split_whitespace()) {
            return None;
        }
    }
    let own: String = lines.flat_map(|line| [line, "\n"]).collect();
    (!own.is_empty()).then_some(own)
}

fn askable(name: &str, form: &str, meaning: &str) -> AskableRow {
    AskableRow {
        anchor: format!("_question-{name}"),
        form: form.to_owned(),
        meaning: meaning.to_owned(),
    }
}
