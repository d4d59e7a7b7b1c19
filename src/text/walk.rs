//! Walks: a first file, written step by step for somebody who has never written one. The site
//! publishes them before the words of a language.

/// A walk.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Walkthrough {
    /// Its steps, in order.
    pub steps: Vec<WalkStep>,
}

/// One step of a walk.
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
    /// The next lines of the file.
    Lines(String),
    /// Lines that are typed in another file.
    Elsewhere(String),
    /// What the program says.
    Says(String),
}

impl Walkthrough {
    /// Reads a walk: steps start with `==`; lines that start with two blanks belong to the file,
    /// those with `|` to another one, those with `>` are the program's, all others paragraphs.
    pub(crate) fn read(text: &'static str) -> Walkthrough {
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
        Walkthrough { steps }
    }

    /// All pieces, in order.
    pub fn pieces(&self) -> impl Iterator<Item = &WalkPiece> {
        self.steps.iter().flat_map(|step| &step.pieces)
    }

    /// The lines of the file, step by step.
    pub fn lines(&self) -> impl Iterator<Item = &str> {
        self.pieces().filter_map(|piece| match piece {
            WalkPiece::Lines(lines) => Some(lines.as_str()),
            _ => None,
        })
    }
}

impl WalkStep {
    /// Takes a line into the last piece if it goes on with it, or as a new one. Blank lines part
    /// paragraphs; in the file they stay.
    fn take(&mut self, line: &str, is_new_block: bool) {
        use WalkPiece::{Elsewhere, Lines, Says, Text};
        let marked = ["  ", "| ", "> "].into_iter().find(|mark| line.starts_with(mark));
        let kept = &line[marked.map_or(0, str::len)..];
        match (marked, self.pieces.last_mut()) {
            (Some("  "), Some(Lines(lines))) => {
                if is_new_block {
                    lines.push('\n');
                }
                push_line(lines, kept);
            }
            (Some("| "), Some(Elsewhere(lines))) | (Some("> "), Some(Says(lines))) => {
                push_line(lines, kept);
            }
            (Some("  "), _) => self.pieces.push(Lines(format!("{kept}\n"))),
            (Some("| "), _) => self.pieces.push(Elsewhere(format!("{kept}\n"))),
            (Some(_), _) => self.pieces.push(Says(format!("{kept}\n"))),
            (None, _) => self.pieces.push(Text(kept.to_owned())),
        }
    }
}

fn push_line(lines: &mut String, line: &str) {
    lines.push_str(line);
    lines.push('\n');
}
