//! The one model of complaints. A [`Slip`] names a fault in a writer's text, points at it, says
//! what it works out as, and what to write instead.
//!
//! Slips are made by constructor functions that stand beside the check that finds them; there is
//! no central list of all faults. This layer knows texts, not figures: whatever a slip says about a
//! quantity arrives as finished words.

#![warn(clippy::indexing_slicing)]

mod json;
mod render;

pub use json::{SCHEMA, to_json};
pub use render::{Paint, render, summary};

use crate::text::Spot;

/// What a slip does to publishing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Told, never counted against the folio.
    Note,
    /// Published with a visible mark and a count; stops under `--strict`.
    Mark,
    /// Stops publishing.
    Stop,
}

impl Severity {
    /// The word used in JSON.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Severity::Note => "note",
            Severity::Mark => "mark",
            Severity::Stop => "stop",
        }
    }
}

/// Another place that belongs to the story, with what it shows ("stated here as 128 psi").
#[derive(Debug, Clone)]
pub struct Label {
    /// Where.
    pub spot: Spot,
    /// What the reader should see there.
    pub(crate) text: String,
}

/// Something to do about a slip: a sentence and, where it is certain, the edit.
#[derive(Debug, Clone)]
pub struct Help {
    /// What to do, as one short phrase.
    pub text: String,
    /// Text to put in the place of the slip's span.
    pub replacement: Option<String>,
}

/// One complaint.
#[derive(Debug, Clone)]
pub struct Slip {
    /// Name of the fault, kebab-case; also the name of its catalogue page.
    pub code: &'static str,
    /// What it does to publishing.
    pub severity: Severity,
    /// One line, lower case, no full stop; enough when nothing else can be shown.
    pub message: String,
    /// The smallest wrong piece of text.
    pub spot: Spot,
    /// Other places that matter.
    pub labels: Vec<Label>,
    /// What the figure works out as, with units, when something was recomputed.
    pub(crate) works_out: Option<String>,
    /// The single edit that would make it right ("digits swapped: 128 psi").
    pub likely: Option<String>,
    /// Rules and numbers behind the message.
    pub notes: Vec<String>,
    /// What to write or do.
    pub helps: Vec<Help>,
}

impl Slip {
    /// A slip that stops publishing.
    pub(crate) fn stop(code: &'static str, spot: Spot, message: impl Into<String>) -> Slip {
        Slip::new(code, Severity::Stop, spot, message)
    }

    /// A slip that publishes with a visible mark.
    pub(crate) fn mark(code: &'static str, spot: Spot, message: impl Into<String>) -> Slip {
        Slip::new(code, Severity::Mark, spot, message)
    }

    /// A remark.
    pub(crate) fn note(code: &'static str, spot: Spot, message: impl Into<String>) -> Slip {
        Slip::new(code, Severity::Note, spot, message)
    }

    fn new(code: &'static str, severity: Severity, spot: Spot, message: impl Into<String>) -> Slip {
        Slip {
            code,
            severity,
            message: message.into(),
            spot,
            labels: Vec::new(),
            works_out: None,
            likely: None,
            notes: Vec::new(),
            helps: Vec::new(),
        }
    }

    /// Adds another place.
    pub(crate) fn label(mut self, spot: Spot, text: impl Into<String>) -> Slip {
        self.labels.push(Label { spot, text: text.into() });
        self
    }

    /// Adds what the figure works out as.
    pub(crate) fn works_out(mut self, text: impl Into<String>) -> Slip {
        self.works_out = Some(text.into());
        self
    }

    /// Adds the likely slip.
    pub(crate) fn likely(mut self, text: impl Into<String>) -> Slip {
        self.likely = Some(text.into());
        self
    }

    /// Adds a rule or number behind the message.
    pub(crate) fn noting(mut self, text: impl Into<String>) -> Slip {
        self.notes.push(text.into());
        self
    }

    /// Adds what to do, without an edit.
    pub(crate) fn help(mut self, text: impl Into<String>) -> Slip {
        self.helps.push(Help { text: text.into(), replacement: None });
        self
    }

    /// Adds what to write in the place of the span.
    pub(crate) fn write(mut self, replacement: impl Into<String>) -> Slip {
        let replacement = replacement.into();
        self.helps.push(Help { text: replacement.clone(), replacement: Some(replacement) });
        self
    }
}

/// Orders slips for people: by file, then by place; equal ones are merged.
pub(crate) fn arrange(slips: &mut Vec<Slip>) {
    slips.sort_by(|a, b| {
        (&a.spot.source.name, a.spot.span, a.code, &a.message).cmp(&(
            &b.spot.source.name,
            b.spot.span,
            b.code,
            &b.message,
        ))
    });
    slips.dedup_by(|a, b| {
        a.code == b.code
            && a.spot.span == b.spot.span
            && a.spot.source.name == b.spot.source.name
            && a.message == b.message
    });
}
