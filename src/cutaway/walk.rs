//! A first cutaway, written step by step for somebody who has never written one. The site
//! publishes it before the words of the language.

use std::sync::LazyLock;

/// One step of the walk.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WalkStep {
    /// What is written in this step.
    pub(crate) title: &'static str,
    /// What is told, in order.
    pub pieces: Vec<WalkPiece>,
}

/// A piece of a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WalkPiece {
    /// A paragraph, with code between backticks.
    Text(String),
    /// The next lines of the cutaway.
    Cutaway(String),
    /// Lines that are typed elsewhere: on the engine's page.
    Page(String),
    /// What the program says.
    Says(String),
}

static WALK: LazyLock<Vec<WalkStep>> = LazyLock::new(|| read(include_str!("walk.txt")));

/// The steps, in order.
#[must_use]
pub fn walk() -> &'static [WalkStep] {
    &WALK
}

/// The cutaway that the walk writes, whole.
#[must_use]
pub fn walked() -> String {
    let pieces = walk().iter().flat_map(|step| &step.pieces);
    let parts = pieces.filter_map(|piece| match piece {
        WalkPiece::Cutaway(lines) => Some(lines.as_str()),
        _ => None,
    });
    parts.collect::<Vec<_>>().join("\n")
}

fn read(text: &'static str) -> Vec<WalkStep> {
    let mut steps: Vec<WalkStep> = Vec::new();
    let mut is_new_block = true;
    for line in text.lines().filter(|line| !line.starts_with('#')) {
        if let Some(title) = line.strip_prefix("== ") {
            steps.push(WalkStep { title, pieces: Vec::new() });
        } else if let Some(step) = steps.last_mut()
            && !line.is_empty()
        {
            step.take(line, is_new_block);
        }
        is_new_block = line.is_empty();
    }
    steps
}

impl WalkStep {
    /// Takes a line into the last piece if it goes on with it, or as a new one. Blank lines part
    /// paragraphs; in the cutaway they stay.
    fn take(&mut self, line: &str, is_new_block: bool) {
        use WalkPiece::{Cutaway, Page, Says, Text};
        let marked = ["  ", "| ", "> "].into_iter().find(|mark| line.starts_with(mark));
        let kept = &line[marked.map_or(0, str::len)..];
        match (marked, self.pieces.last_mut()) {
            (Some("  "), Some(Cutaway(lines))) => {
                if is_new_block {
                    lines.push('\n');
                }
                push_line(lines, kept);
            }
            (Some("| "), Some(Page(lines))) | (Some("> "), Some(Says(lines))) => {
                push_line(lines, kept);
            }
            (Some("  "), _) => self.pieces.push(Cutaway(format!("{kept}\n"))),
            (Some("| "), _) => self.pieces.push(Page(format!("{kept}\n"))),
            (Some(_), _) => self.pieces.push(Says(format!("{kept}\n"))),
            (None, _) => self.pieces.push(Text(kept.to_owned())),
        }
    }
}

fn push_line(lines: &mut String, line: &str) {
    lines.push_str(line);
    lines.push('\n');
}
