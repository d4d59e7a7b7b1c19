//! From statements to the model.
//!
//! First every name is entered, then every statement is read with all names at hand, so that a
//! cutaway may speak of a thing above the line that declares it. A statement that cannot be read
//! is left out of the model and told once; whoever mentions it stays silent.

mod conditions;
mod contradictions;
mod declare;
mod defects;
mod facts;
mod happenings;
mod landmarks;
mod parts;
mod resolve;
mod solids;
mod valves;
mod ways;

use super::Others;
use super::checks;
use super::cursor::{Cursor, MissingWord};
use super::events::Vocabulary;
use super::gather::{Gathered, LineBlock, called, gather, revised, unreadable};
use super::grammar::{StatementForm, statement};
use super::lines::{Line, LineMark, LineToken};
use super::model::{Chamber, ChamberId, Engine, List, Name, PartId, Role};
use super::names::Names;
use super::solids::StepSide;
use crate::slip::{Severity, Slip};
use crate::text::{Source, Span, Spot, nearest};
pub use facts::HOW;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Proposals that are looked for in one text: whoever has more faults needs other help.
const MOST_PROPOSALS: usize = 100;

/// Why a statement, or a piece of one, is not in the model.
pub(super) enum Unread {
    /// Something else was expected.
    MissingWord(MissingWord),
    /// Told already, or the consequence of something told elsewhere.
    Silent,
}

impl From<MissingWord> for Unread {
    fn from(missing: MissingWord) -> Unread {
        Unread::MissingWord(missing)
    }
}

pub(super) type Read<T> = Result<T, Unread>;

/// What was read of one cutaway.
pub(super) struct Reading {
    pub(super) engine: Engine,
    /// The same for each revision, in the order of the text.
    pub(super) revisions: Vec<Engine>,
    pub(super) slips: Vec<Slip>,
}

/// Reads a cutaway with its revisions.
pub(super) fn reading(source: &Arc<Source>, others: Others) -> Reading {
    let gathered = gather(source, others, &[]);
    let mut slips = gathered.slips.clone();
    let base = gathered.based_on.as_ref().filter(|_| !gathered.lacks_base);
    let base_faults = base.map(|base| faults_of(&base.text, others)).unwrap_or_default();
    let (engine, found) =
        engine_of(source, &gathered, gathered.blocks.clone(), others, &base_faults);
    let mut told: BTreeSet<(&str, String)> = base_faults;
    told.extend(found.iter().map(|slip| (slip.code, slip.message.clone())));
    slips.extend(found);
    let mut revisions = Vec::new();
    for (at, (revision, _)) in gathered.revisions.iter().enumerate() {
        let (blocks, found) = revised(&gathered, at);
        slips.extend(found);
        let (mut revised, mut found) = engine_of(source, &gathered, blocks, others, &told);
        revised.name.id = format!("{}.{}", engine.name.id, revision.name.id);
        revised.name.span = revision.name.span;
        revised.revisions.clear();
        let name = &revision.name.id;
        if revision.is_variant {
            // What is wrong with it is what is to be seen.
            found.retain(|slip| slip.severity == Severity::Stop);
            revised.variant = Some(revision.what.clone().unwrap_or_else(|| name.clone()));
        } else {
            revised.revision = Some(name.clone());
        }
        let kind = if revision.is_variant { "variant" } else { "revision" };
        let of_revision = format!("this is so in {kind} `{name}`");
        slips.extend(found.into_iter().map(|slip| slip.noting(of_revision.as_str())));
        revisions.push(revised);
    }
    Reading { engine, revisions, slips }
}

/// What is told of a cutaway where it is read itself, and so not again where others build on it.
fn faults_of(name: &str, others: Others) -> BTreeSet<(&'static str, String)> {
    let text = others(name.split('.').next().unwrap_or(name));
    let slips = text.map(|text| reading(&text, others).slips).unwrap_or_default();
    slips.into_iter().map(|slip| (slip.code, slip.message)).collect()
}

/// Reads the names of another cutaway, for facts that compare with it; its own are not read.
fn foreign(name: &str, others: Others) -> Option<Engine> {
    let (name, revision) = name.split_once('.').unwrap_or((name, ""));
    let source = others(name)?;
    let gathered = gather(&source, others, &[]);
    let at = gathered.revisions.iter().position(|(known, _)| known.name.id == revision);
    let blocks = match at {
        Some(at) => revised(&gathered, at).0,
        None => gathered.blocks.clone(),
    };
    let of_none = |_: &str| None;
    Some(engine_of(&source, &gathered, blocks, &of_none, &BTreeSet::new()).0)
}

fn engine_of(
    source: &Arc<Source>,
    gathered: &Gathered,
    blocks: Vec<LineBlock>,
    others: Others,
    told: &BTreeSet<(&'static str, String)>,
) -> (Engine, Vec<Slip>) {
    let open_air = Name { id: "open_air".into(), called: Vec::new(), span: Span::default() };
    let engine = Engine {
        name: gathered.name.clone(),
        based_on: gathered.based_on.as_ref().map(|base| base.text.clone()),
        revision: gathered.revision.clone(),
        revisions: gathered.revisions.iter().map(|(revision, _)| revision.clone()).collect(),
        chambers: List::from_iter([Chamber {
            name: open_air,
            role: Role::OpenAir,
            regulated_from: None,
            regulator: None,
            holds: None,
            starts_as: None,
            is_quick: false,
        }]),
        ..Engine::default()
    };
    let mut reader = Reader {
        source: Arc::clone(source),
        engine,
        names: Names::default(),
        slips: Vec::new(),
        lacks_base: gathered.lacks_base,
        told,
        others,
        foreign: BTreeMap::new(),
        proposals_left: MOST_PROPOSALS,
        together: List::default(),
        is_hand_taken_over: false,
        lacking_pushes: BTreeSet::new(),
        room_places: Vec::new(),
    };
    reader.read(&blocks);
    let (engine, mut slips) = (reader.engine, reader.slips);
    let is_whole = slips.iter().chain(&gathered.slips).all(|slip| slip.severity != Severity::Stop);
    if is_whole && !gathered.lacks_base {
        let found = checks::all(source, &engine).into_iter();
        slips.extend(found.filter(|slip| !told.contains(&(slip.code, slip.message.clone()))));
    }
    (engine, slips)
}

/// Everything at hand while one cutaway is read.
struct Reader<'a> {
    source: Arc<Source>,
    engine: Engine,
    names: Names,
    slips: Vec<Slip>,
    lacks_base: bool,
    /// Told where the cutaway that this one changes is read.
    told: &'a BTreeSet<(&'static str, String)>,
    others: Others<'a>,
    /// Engines that facts compare with.
    foreign: BTreeMap<String, Option<Engine>>,
    proposals_left: usize,
    /// For each part the first of those that move as one with it.
    together: List<PartId, PartId>,
    /// Whether what the hand does is said by the cutaway that this one changes.
    is_hand_taken_over: bool,
    /// Parts with a push that could not be read: which one is not known.
    lacking_pushes: BTreeSet<PartId>,
    /// Where chambers lie, until all steps are known.
    room_places: Vec<RoomClause>,
}

/// A chamber, and the side of a step where it lies: the step's part and its name.
type RoomClause = (LineBlock, ChamberId, StepSide, Option<PartId>, Name);

impl Reader<'_> {
    fn read(&mut self, blocks: &[LineBlock]) {
        self.declare(blocks);
        // Whether conditions exclude each other also depends on what moves as one.
        for block in blocks.iter().filter(|block| block.keyword() == "link") {
            let result = self.link(block);
            self.done(block, result);
        }
        self.together = checks::moving_together(&self.engine);
        for block in blocks {
            let result = match block.keyword() {
                "regulator" => self.regulator(block),
                "supply" | "chamber" => self.chamber(block),
                "trigger" => self.trigger(block),
                "hand" => self.hand(block),
                "landmark" => self.landmark(block),
                "way" | "barrel" => self.way(block),
                "ball" => self.ball(block),
                "moving" => self.moving(block),
                "valve" => self.valve(block),
                "quick" => self.quick_exhaust(block),
                "shuttle" | "two-pressure" => self.of_two_inlets(block),
                "seal" => self.seal(block),
                _ => continue,
            };
            self.done(block, result);
        }
        self.read_sizes(blocks);
        self.order_landmarks();
        self.read_mentions(blocks);
        self.engine.add_lips();
        for block in blocks {
            let result = self.defect(block);
            self.done(block, result);
        }
        self.compare_facts();
        self.compare_orders();
    }

    /// Sizes speak of parts, seals and each other.
    fn read_sizes(&mut self, blocks: &[LineBlock]) {
        for block in blocks.iter().filter(|block| block.keyword() == "body") {
            let result = self.body(block);
            self.done(block, result);
        }
        for block in blocks.iter().filter(|block| block.keyword() == "moving") {
            if let Some(part) = self.own::<PartId>(block) {
                self.drawn_part(block, part);
            }
        }
        self.settle_rooms();
    }

    /// What speaks of everything else; the orders also speak in the words of the events.
    fn read_mentions(&mut self, blocks: &[LineBlock]) {
        let plain = Vocabulary::of(&self.engine);
        for block in blocks {
            let result = match block.keyword() {
                "fact" => self.fact(block),
                "event" => self.event(block, &plain),
                "axis" => self.axis(block),
                _ => continue,
            };
            self.done(block, result);
        }
        let with_sayings = Vocabulary::of(&self.engine);
        for block in blocks.iter().filter(|block| block.keyword() == "order") {
            let result = self.order(block, &with_sayings);
            self.done(block, result);
        }
    }

    /// Tells why a statement was not read, and of lines below one that takes none.
    fn done(&mut self, block: &LineBlock, result: Read<()>) {
        self.told_missing(block, result);
        if matches!(block.keyword(), "moving" | "valve" | "body") {
            return;
        }
        if let Some(line) = block.statement.inner.first() {
            self.tell(block, super::gather::belongs_nowhere(block, line));
        }
    }

    /// Tells what was expected and not found.
    fn told_missing<T>(&mut self, block: &LineBlock, result: Read<T>) -> Option<T> {
        match result {
            Ok(value) => Some(value),
            Err(Unread::Silent) => None,
            Err(Unread::MissingWord(missing)) => {
                self.tell(block, unreadable(|span| block.spot(span), missing));
                None
            }
        }
    }

    /// Tells of a fault in a statement. One that was taken over is at fault only through what
    /// changes it, so the slip points there.
    fn tell(&mut self, block: &LineBlock, slip: Slip) {
        let Some(span) = block.taken_over else { return self.slips.push(slip) };
        let is_known = self.told.contains(&(slip.code, slip.message.clone()));
        let speaks_of_others = matches!(block.keyword(), "fact" | "order" | "event" | "axis");
        if is_known || speaks_of_others {
            return;
        }
        let place = slip.spot.clone();
        let slip = Slip { spot: Spot::new(&self.source, span), helps: Vec::new(), ..slip };
        self.slips.push(slip.label(place, "taken over from here, and changed around it"));
    }

    /// Where a word of a statement stands, as a place in the text being read.
    fn place(&self, block: &LineBlock, span: Span) -> Span {
        let is_own = Arc::ptr_eq(&block.source, &self.source);
        block.taken_over.filter(|_| !is_own).unwrap_or(span)
    }

    /// The closest of some words, as long as proposals are looked for at all.
    fn nearest<'w>(
        &mut self,
        word: &str,
        known: impl IntoIterator<Item = &'w str>,
    ) -> Option<&'w str> {
        self.proposals_left = self.proposals_left.checked_sub(1)?;
        nearest(&word.to_lowercase(), known)
    }

    /// Takes one word of a list.
    fn one_of<T: Copy>(
        &mut self,
        block: &LineBlock,
        cursor: &mut Cursor,
        what: &str,
        list: &[(&'static str, T)],
    ) -> Read<T> {
        let token = cursor.name(what)?;
        match list.iter().find(|(word, _)| token.is(word)) {
            Some((_, value)) => Ok(*value),
            None => {
                let words = list.iter().map(|(word, _)| *word);
                self.not_in_list(block, token, what, words);
                Err(Unread::Silent)
            }
        }
    }

    fn not_in_list<'w>(
        &mut self,
        block: &LineBlock,
        token: &LineToken,
        what: &str,
        words: impl Iterator<Item = &'w str> + Clone,
    ) {
        let all: Vec<&str> = words.clone().collect();
        let message = format!("`{}` is not {what}", token.text);
        let mut slip = Slip::stop("word-not-in-list", block.spot(token.span), message)
            .noting(format!("known are {}", all_of_these(&all)));
        if let Some(near) = self.nearest(&token.text, words) {
            slip = slip.write(near);
        }
        self.tell(block, slip);
    }

    /// Reads the clauses of a statement that may come in any order, to the end of the line. `read`
    /// is given the word that begins each; `called` has been read with the names.
    pub(super) fn clauses(
        &mut self,
        block: &LineBlock,
        first: &str,
        cursor: &mut Cursor,
        mut read: impl FnMut(&mut Self, &mut Cursor, &'static str) -> Read<()>,
    ) -> Read<()> {
        while let Some(word) = statement(first).and_then(|it| it.takes(cursor)) {
            match word {
                "called" => {
                    called(cursor)?;
                }
                word => read(self, cursor, word)?,
            }
        }
        self.end_of_line(block, first, cursor);
        Ok(())
    }

    /// That the line of a statement ends here.
    fn end_of_line(&mut self, block: &LineBlock, first: &str, cursor: &Cursor) {
        let may_follow = statement(first).map(StatementForm::may_follow).unwrap_or_default();
        let Some(token) = cursor.peek() else { return };
        let message = if may_follow.is_empty() {
            format!("expected the end of the line; found `{}`", token.text)
        } else {
            let quoted: Vec<String> = may_follow.iter().map(|word| format!("`{word}`")).collect();
            let words = quoted.join(", ");
            format!("expected {words} or the end of the line; found `{}`", token.text)
        };
        let mut slip = Slip::stop("statement-unreadable", block.spot(token.span), message);
        if let Some(near) = self.nearest(&token.text, may_follow.iter().copied()) {
            slip = slip.write(near);
        }
        self.tell(block, slip);
    }
}

/// "`a`, `b` or `c`".
pub(super) fn one_of_these(words: &[&str]) -> String {
    in_a_row(words, "or")
}

/// "`a`, `b` and `c`".
pub(super) fn all_of_these(words: &[&str]) -> String {
    in_a_row(words, "and")
}

fn in_a_row(words: &[&str], joining: &str) -> String {
    let quoted: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
    match quoted.split_last() {
        Some((last, before)) if !before.is_empty() => {
            format!("{} {joining} {last}", before.join(", "))
        }
        _ => quoted.concat(),
    }
}

/// The words of a line behind its first, by what they are.
fn is_name(token: &LineToken) -> bool {
    token.mark == LineMark::Word && is_plain_name(&token.text)
}

fn is_plain_name(text: &str) -> bool {
    let mut chars = text.chars();
    chars.next().is_some_and(|c| c.is_ascii_lowercase())
        && chars.all(|c| matches!(c, 'a'..='z' | '0'..='9' | '_'))
}

/// The words behind `called`, wherever it stands in a line.
fn called_in(line: &Line) -> Vec<String> {
    let Some(at) = line.tokens.iter().position(|token| token.is("called")) else {
        return Vec::new();
    };
    let after = line.tokens[at + 1..].iter();
    let listed = after.take_while(|token| token.mark == LineMark::Quoted || token.is(","));
    listed.filter(|token| token.mark == LineMark::Quoted).map(|token| token.text.clone()).collect()
}
