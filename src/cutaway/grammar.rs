//! The statements of the language as one table: what each declares, which clauses it has and in
//! which order, as the reference shows them.
//!
//! Reading, what may follow, proposals, the columns of an aligned text and the published forms all
//! come from here; what a clause means is said where it is read.

use super::cursor::Cursor;
use super::names::NameKind;

/// Where a statement stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Under {
    /// At the edge of the page.
    Page,
    /// Below `moving`.
    Moving,
    /// Below `valve`.
    Valve,
    /// Below `body`.
    Body,
    /// Below `body` and `moving` alike.
    Solid,
}

impl Under {
    /// Whether a line of this place may stand at another.
    fn is_at(self, other: Under) -> bool {
        let is_solid = matches!(other, Under::Body | Under::Moving);
        self == other || (self == Under::Solid && is_solid)
    }
}

/// One piece of a statement.
#[derive(Debug, Clone, Copy)]
pub(super) struct Clause {
    /// Words that begin it.
    starts: &'static [&'static str],
    /// As the reference shows it; capitals stand for what the writer fills in.
    form: &'static str,
    /// Its column in an aligned text, from 1; lines of one family share their columns.
    column: usize,
    /// Whether it may be left out, and may come in any order behind those that may not.
    is_free: bool,
}

/// One statement, or one line below a block.
#[derive(Debug)]
pub(super) struct StatementForm {
    /// Its first word.
    pub(super) first: &'static str,
    pub(super) under: Under,
    /// What its name stands for, if it declares one.
    pub(super) declares: Option<NameKind>,
    /// What follows its first word, up to the clauses.
    head: &'static str,
    /// Words of the first column, the first word among them.
    pub(super) head_words: usize,
    /// Lines of one family are aligned with each other; the empty one with nothing.
    family: &'static str,
    clauses: &'static [Clause],
    /// By what its last clause may go on.
    goes_on: &'static [&'static str],
}

const fn due(column: usize, starts: &'static [&'static str], form: &'static str) -> Clause {
    Clause { starts, form, column, is_free: false }
}

const fn free(column: usize, starts: &'static [&'static str], form: &'static str) -> Clause {
    Clause { starts, form, column, is_free: true }
}

const fn at(column: usize) -> Clause {
    free(column, &["at"], "at READING")
}

const fn when(column: usize) -> Clause {
    free(column, &["while"], "while CONDITIONS")
}

const fn called(column: usize) -> Clause {
    free(column, &["called"], "called \"WORDS\"")
}

const fn pushes(column: usize) -> Clause {
    due(column, &["pushes"], "pushes DIRECTION")
}

const WIDTH: Clause = free(2, &["wide", "narrow", "bleed", "one way"], "WIDTH  one way");
const PRELOAD: Clause = free(3, &["preload"], "preload READING");
const HOLDS: Clause = free(2, &["holds"], "holds LANDMARK");
const RELIEVES: Clause = free(3, &["relieves at"], "relieves at LANDMARK");
const HOW: Clause = due(1, &["("], "(HOW)");
const INLETS: Clause = due(1, &["from"], "from INLET, INLET to CHAMBER");
const LIES: Clause = free(2, &["around", "behind", "in"], "around PART STEP");
const LENGTH: Clause = due(1, &["length"], "length LENGTH");
const JOINS: Clause = due(1, &["joins"], "joins CHAMBER to CHAMBER WIDTH, …");
const JOINS_GO_ON: &[&str] = &[",", "wide", "narrow", "bleed"];
/// Stands for any word with a slash: `3/2`.
const SLASH: &str = "/";

/// A statement at the edge of the page.
const fn page(
    (first, head): (&'static str, &'static str),
    declares: Option<NameKind>,
    family: &'static str,
    clauses: &'static [Clause],
) -> StatementForm {
    let under = Under::Page;
    StatementForm { first, under, declares, head, head_words: 2, family, clauses, goes_on: &[] }
}

/// A line below a block.
const fn below(
    under: Under,
    (first, head): (&'static str, &'static str),
    family: &'static str,
    clauses: &'static [Clause],
) -> StatementForm {
    StatementForm { under, ..page((first, head), None, family, clauses) }
}

/// A line below `valve`: one clause and no name.
const fn valve_line(
    first: &'static str,
    clauses: &'static [Clause],
    goes_on: &'static [&'static str],
) -> StatementForm {
    StatementForm {
        head_words: 1,
        goes_on,
        ..below(Under::Valve, (first, ""), "valve line", clauses)
    }
}

const NAME: &str = "NAME";

static STATEMENTS: [StatementForm; 51] = [
    page(
        ("cutaway", NAME),
        None,
        "",
        &[free(1, &["based on"], "based on NAME"), free(2, &["revision"], "revision NAME")],
    ),
    page(("without", "KIND NAME"), None, "", &[]),
    page(
        ("revision", NAME),
        None,
        "",
        &[free(1, &["on"], "on DATE"), free(2, &[], "\"WHAT IS DIFFERENT\"")],
    ),
    page(("variant", NAME), None, "", &[free(1, &[], "\"WHAT IS DIFFERENT\"")]),
    page(("trigger", NAME), Some(NameKind::Trigger), "trigger", &[called(1)]),
    StatementForm {
        goes_on: &[","],
        ..page(("hand", "TRIGGER pulled, TRIGGER released any time, …"), None, "", &[])
    },
    page(
        ("landmark", NAME),
        Some(NameKind::Landmark),
        "landmark",
        &[free(1, &["above"], "above LANDMARK"), called(2)],
    ),
    page(("supply", NAME), Some(NameKind::Chamber), "chamber", &[HOLDS, LIES, at(2), called(3)]),
    page(
        ("regulator", NAME),
        Some(NameKind::Regulator),
        "regulator",
        &[due(1, &["from"], "from SUPPLY to LINE"), HOLDS, LIES, at(2), called(3)],
    ),
    page(
        ("chamber", NAME),
        Some(NameKind::Chamber),
        "chamber",
        &[
            free(1, &["role"], "role ROLE"),
            free(2, &["quick"], "quick"),
            free(2, &["starts as"], "starts as SUPPLY"),
            LIES,
            at(2),
            called(3),
        ],
    ),
    page(
        ("way", NAME),
        Some(NameKind::Way),
        "way",
        &[due(1, &["from"], "from CHAMBER to CHAMBER"), WIDTH, RELIEVES, at(3), when(4), called(5)],
    ),
    page(
        ("barrel", NAME),
        Some(NameKind::Way),
        "way",
        &[due(1, &["from"], "from CHAMBER"), WIDTH, at(3), when(4), called(5)],
    ),
    page(
        ("ball", NAME),
        Some(NameKind::Ball),
        "ball",
        &[
            due(1, &["in"], "in CHAMBER"),
            free(2, &["none at rest"], "none at rest"),
            free(3, &["fed while"], "fed while CONDITIONS"),
            called(4),
        ],
    ),
    page(
        ("moving", NAME),
        Some(NameKind::Part),
        "moving",
        &[free(1, &["as"], "as SHAPE"), free(2, &["light", "slow"], "light"), called(3)],
    ),
    page(("link", "PART"), None, "", &[due(1, &["with"], "with PART")]),
    page(
        ("valve", NAME),
        Some(NameKind::Valve),
        "valve",
        &[
            due(1, &[SLASH], "PORTS/2"),
            free(2, &["solenoid", "mechanical", "air"], "DRIVE"),
            called(3),
        ],
    ),
    StatementForm {
        head_words: 3,
        ..page(
            ("quick", "exhaust NAME"),
            Some(NameKind::Valve),
            "quick",
            &[
                due(1, &["from"], "from INLET to CONSUMER"),
                due(2, &["out"], "out CHAMBER"),
                called(3),
            ],
        )
    },
    page(("shuttle", NAME), Some(NameKind::Valve), "inlets", &[INLETS, called(2)]),
    page(("two-pressure", NAME), Some(NameKind::Valve), "inlets", &[INLETS, called(2)]),
    page(
        ("seal", NAME),
        Some(NameKind::Seal),
        "seal",
        &[
            due(1, &["on", "in"], "on PART"),
            due(2, &["between"], "between CHAMBER and CHAMBER"),
            free(3, &["size"], "size SIZE"),
            free(4, &["lip"], "lip CHAMBER"),
            when(5),
            called(6),
        ],
    ),
    page(("fact", "A  much larger than B"), None, "said", &[HOW]),
    page(("order", "EVENT before EVENT"), None, "said", &[HOW]),
    page(
        ("event", "\"WORDS\""),
        Some(NameKind::Event),
        "event",
        &[due(1, &["is"], "is EVENT"), free(2, &["after"], "after FIGURE")],
    ),
    StatementForm {
        goes_on: &[",", "around"],
        ..page(("axis", "NAME: A, B around C, D"), Some(NameKind::Axis), "", &[])
    },
    page(("leaking", "SEAL"), None, "wrong", &[free(1, &["narrow", "bleed"], "narrow")]),
    page(("reversed", "SEAL"), None, "wrong", &[]),
    page(("clogged", "WAY"), None, "wrong", &[]),
    page(("broken", "PART.SPRING"), None, "wrong", &[]),
    page(("jammed", "PART"), None, "wrong", &[free(1, &["at"], "at POSITION")]),
    page(("resting", "PART"), None, "wrong", &[due(1, &["at"], "at POSITION")]),
    page(("stuck", "VALVE"), None, "wrong", &[due(1, &["shifted", "resting"], "shifted")]),
    below(Under::Moving, ("positions", "A, B"), "", &[]),
    below(Under::Moving, ("rests", "POSITION"), "", &[]),
    below(
        Under::Moving,
        ("face", NAME),
        "push",
        &[due(1, &["in"], "in CHAMBER"), pushes(2), at(3), when(4)],
    ),
    below(Under::Moving, ("spring", NAME), "push", &[pushes(2), at(3), PRELOAD, when(4)]),
    below(Under::Moving, ("finger", NAME), "push", &[pushes(2), when(4)]),
    below(
        Under::Moving,
        ("contact", NAME),
        "push",
        &[due(1, &["from"], "from PART"), pushes(2), free(3, &["once"], "once"), at(3), when(4)],
    ),
    below(Under::Moving, ("blocked", "DIRECTION"), "", &[when(1)]),
    StatementForm {
        goes_on: &["and", "or"],
        ..below(
            Under::Moving,
            ("latch", NAME),
            "latch",
            &[due(1, &["holds"], "holds POSITION"), due(2, &["until", "while"], "until TRIGGER")],
        )
    },
    StatementForm { head_words: 1, ..page(("body", ""), Some(NameKind::Body), "", &[]) },
    below(
        Under::Solid,
        ("step", NAME),
        "step",
        &[LENGTH, free(2, &["dia"], "dia SIZE to SIZE"), free(3, &["bore"], "bore SIZE to SIZE")],
    ),
    StatementForm {
        head_words: 1,
        ..below(
            Under::Solid,
            ("groove", ""),
            "step",
            &[LENGTH, due(2, &["floor"], "floor SIZE"), due(3, &["for"], "for SEAL")],
        )
    },
    below(
        Under::Solid,
        ("hole", "SIZE"),
        "",
        &[
            due(1, &["at"], "at LENGTH"),
            free(2, &["times"], "times COUNT"),
            free(3, &["for"], "for WAY"),
        ],
    ),
    below(Under::Solid, ("joint", ""), "", &[]),
    below(Under::Body, ("insert", NAME), "", &[due(1, &["at", "with"], "with STEP on STEP")]),
    below(Under::Body, ("tube", NAME), "", &[due(1, &["at"], "at LENGTH")]),
    below(
        Under::Moving,
        ("place", "POSITION"),
        "place",
        &[
            due(1, &["at", "with"], "at LENGTH from POSITION"),
            free(2, &["sealing"], "sealing DIAMETER"),
        ],
    ),
    valve_line("rest", &[JOINS], JOINS_GO_ON),
    valve_line("shifted", &[JOINS], JOINS_GO_ON),
    valve_line("shifts", &[due(1, &["while", "on"], "while CONDITIONS")], &["and", "or"]),
    valve_line("returns", &[due(1, &["after", "while"], "after TIME")], &["and", "or"]),
];

/// Everything at the edge of the page that declares nothing and is taken away by its words.
const SAID: [&str; 3] = ["link", "fact", "order"];

/// The statement with this first word.
pub(super) fn statement(first: &str) -> Option<&'static StatementForm> {
    STATEMENTS.iter().find(|statement| statement.first == first)
}

/// First words of all statements that stand here, in the order of the reference.
pub(super) fn firsts(under: Under) -> impl Iterator<Item = &'static str> + Clone {
    STATEMENTS.iter().filter(move |it| it.under.is_at(under)).map(|it| it.first)
}

/// The kind of name that a statement declares, by its first word.
pub(super) fn declared_by(first: &str) -> Option<NameKind> {
    statement(first)?.declares
}

/// Whether a statement is taken away by its words.
pub(super) fn is_said(first: &str) -> bool {
    SAID.contains(&first)
}

/// The form of a statement as the reference shows it, by its first words.
pub(super) fn form(words: &str) -> Option<String> {
    let statement = statement(words.split(' ').next()?)?;
    let head = format!("{} {}", statement.first, statement.head);
    let clauses = statement.clauses.iter().map(|clause| clause.form);
    let pieces = std::iter::once(head.trim_end()).chain(clauses);
    Some(pieces.collect::<Vec<_>>().join("  "))
}

impl StatementForm {
    /// Words that may follow once all that is due has been read.
    pub(super) fn may_follow(&self) -> Vec<&'static str> {
        let free = self.clauses.iter().filter(|clause| clause.is_free);
        let words = free.flat_map(|clause| clause.starts.iter().copied());
        self.goes_on.iter().copied().chain(words).collect()
    }

    /// Takes the word that begins a clause which may come now, if one follows.
    pub(super) fn takes(&self, cursor: &mut Cursor) -> Option<&'static str> {
        self.may_follow().into_iter().find(|words| cursor.takes_all(words))
    }

    /// Whether lines of this kind share their columns with those of another.
    pub(super) fn is_aligned_with(&self, other: &StatementForm) -> bool {
        !self.family.is_empty() && self.family == other.family
    }

    /// Whether its columns are brought into line at all.
    pub(super) fn is_aligned(&self) -> bool {
        self.is_aligned_with(self)
    }

    /// The column that starts with a word, from 1.
    pub(super) fn column_of(&self, word: &str) -> Option<usize> {
        let begins = |start: &&str| match *start {
            SLASH => word.contains('/'),
            start => start.split(' ').next() == Some(word),
        };
        let mut clauses = self.clauses.iter();
        clauses.find(|clause| clause.starts.iter().any(&begins)).map(|clause| clause.column)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutaway::words;

    #[test]
    fn every_statement_is_in_the_reference() {
        for it in &STATEMENTS {
            let mut entries = words().iter();
            let is_it = |word: &str| word.split(' ').next() == Some(it.first);
            assert!(entries.any(|entry| is_it(entry.word)), "{}", it.first);
        }
    }

    #[test]
    fn no_two_statements_start_alike() {
        for (at, it) in STATEMENTS.iter().enumerate() {
            assert!(STATEMENTS[..at].iter().all(|other| other.first != it.first), "{}", it.first);
        }
    }
}
