//! The statements that make up one engine: those of the cutaway it is based on, changed by its
//! own, changed by those of a revision.
//!
//! A statement of the same kind and name replaces the old one whole, `without` takes one away, and
//! everything else is added. This step knows which words start a statement and where its name
//! stands, no more.

use super::Others;
use super::cursor::{Cursor, MissingWord};
use super::grammar::{Under, declared_by, firsts, is_said, statement};
use super::lines::{CutawayLine, Line, LineMark, LineToken, lines, statements};
use super::model::{Name, Revision};
use super::names::NameKind;
use crate::slip::Slip;
use crate::text::{Source, Span, Spot, nearest};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Most statements with those taken over, and how often one may be based on the next: some twenty
/// times what a large engine needs.
const MOST_STATEMENTS: usize = 1_000;
const DEEPEST_BASE: usize = 16;

/// More revisions than any engine has: each is read as an engine of its own.
const MOST_REVISIONS: usize = 24;

/// A statement and where it came from.
#[derive(Debug, Clone)]
pub(super) struct LineBlock {
    pub(super) statement: CutawayLine,
    pub(super) source: Arc<Source>,
    /// For one that was taken over: the words of the cutaway being read that brought it here.
    pub(super) taken_over: Option<Span>,
}

impl LineBlock {
    pub(super) fn spot(&self, span: Span) -> Spot {
        Spot::new(&self.source, span)
    }

    /// First word of its line.
    pub(super) fn keyword(&self) -> &str {
        self.statement.head.tokens.first().map_or("", |token| token.text.as_str())
    }
}

/// All statements of one engine.
#[derive(Debug)]
pub(super) struct Gathered {
    pub(super) name: Name,
    pub(super) based_on: Option<LineToken>,
    pub(super) revision: Option<String>,
    pub(super) blocks: Vec<LineBlock>,
    pub(super) revisions: Vec<(Revision, LineBlock)>,
    pub(super) slips: Vec<Slip>,
    /// Whether the cutaway it is based on could not be had, so that names may be missing.
    pub(super) lacks_base: bool,
}

/// Gathers the statements of a cutaway. `path` holds the names of those being gathered for.
pub(super) fn gather(source: &Arc<Source>, others: Others, path: &[String]) -> Gathered {
    let mut gathered = Gathered {
        name: Name { id: stem(&source.name), ..Name::default() },
        based_on: None,
        revision: None,
        blocks: Vec::new(),
        revisions: Vec::new(),
        slips: Vec::new(),
        lacks_base: false,
    };
    let own = own_statements(source, &mut gathered.slips);
    let (head, rest) = match own.split_first() {
        Some((first, rest)) if first.keyword() == "cutaway" => (Some(first), rest),
        _ => (None, own.as_slice()),
    };
    match head {
        Some(head) => read_head(head, &mut gathered),
        None => gathered.slips.push(unnamed(source, own.first())),
    }
    if let Some(base) = gathered.based_on.clone() {
        take_over(source, &base, others, path, &mut gathered);
    }
    let is_change = gathered.based_on.is_some();
    let mut changes = Changes::new(std::mem::take(&mut gathered.blocks));
    for block in rest {
        if matches!(block.keyword(), "revision" | "variant") {
            add_revision(block, &mut gathered);
        } else {
            changes.apply(block.clone(), is_change, &mut gathered.slips);
        }
    }
    gathered.blocks = changes.done();
    if let Some(block) = gathered.blocks.get(MOST_STATEMENTS) {
        let message = format!("the cutaway has over {MOST_STATEMENTS} statements");
        gathered.slips.push(too_large(block.spot(block.statement.head.span), message));
        // None of them can be told apart as the fault.
        gathered.blocks.clear();
        gathered.lacks_base = true;
    }
    gathered
}

fn too_large(spot: Spot, message: String) -> Slip {
    let advice = "tell what an engine does in as few chambers and ways as will show it";
    Slip::stop("cutaway-too-large", spot, message).help(advice)
}

/// The statements of a revision: those of the engine, changed.
pub(super) fn revised(gathered: &Gathered, at: usize) -> (Vec<LineBlock>, Vec<Slip>) {
    let Some((revision, block)) = gathered.revisions.get(at) else {
        return (Vec::new(), Vec::new());
    };
    let from = block.statement.head.span;
    let old = gathered.blocks.iter().cloned();
    let old = old.map(|block| LineBlock { taken_over: block.taken_over.or(Some(from)), ..block });
    let mut changes = Changes::new(old.collect());
    let mut slips = Vec::new();
    let own = statements(block.statement.inner.clone());
    let names =
        |word: &str| own.iter().any(|it| it.head.tokens.first().is_some_and(|t| t.is(word)));
    // Of a variant that has no other ring instead, one that is left out lets air past.
    let leaks = revision.is_variant && !names("seal");
    for statement in &own {
        let source = Arc::clone(&block.source);
        let change = LineBlock { statement: statement.clone(), source, taken_over: None };
        let is_seal = change.statement.head.tokens.get(1).is_some_and(|token| token.is("seal"));
        if leaks && change.keyword() == "without" && is_seal {
            changes.push(None, change);
        } else {
            changes.apply(change, true, &mut slips);
        }
    }
    (changes.done(), slips)
}

/// The slip for a line in which something else was expected.
pub(super) fn unreadable(spot_of: impl Fn(Span) -> Spot, missing: MissingWord) -> Slip {
    let found = missing.found.as_ref().map(|found| format!("found `{found}`"));
    let found = found.unwrap_or_else(|| "the line ends".into());
    let message = format!("expected {}; {found}", missing.expected);
    let slip = Slip::stop("statement-unreadable", spot_of(missing.span), message);
    match (missing.word, missing.found) {
        (Some(word), None) => slip.help(format!("go on with `{word}`")),
        (Some(word), Some(found)) if nearest(&found, [word.as_str()]).is_some() => slip.write(word),
        (Some(word), Some(_)) => slip.help(format!("write `{word}` before it")),
        (None, _) => slip,
    }
}

pub(super) fn stem(file: &str) -> String {
    let name = file.rsplit('/').next().unwrap_or(file);
    name.strip_suffix(".cut").unwrap_or(name).to_owned()
}

/// The statements of a text, with slips for what lies outside of all.
fn own_statements(source: &Arc<Source>, slips: &mut Vec<Slip>) -> Vec<LineBlock> {
    let lines: Vec<Line> = lines(&source.text);
    let unclosed = lines.iter().filter_map(|line| line.unclosed);
    slips.extend(unclosed.map(|span| {
        let message = "the quotation does not end in its line; expected `\"`";
        Slip::stop("statement-unreadable", Spot::new(source, span), message)
    }));
    let worded = lines.into_iter().filter(|line| !line.tokens.is_empty());
    let (orphans, owned) = split_at_first_head(worded.collect());
    if let Some(orphan) = orphans.first() {
        let message = "this line is indented, and there is no statement above to which it belongs";
        let spot = Spot::new(source, orphan.span);
        let slip = Slip::stop("statement-unreadable", spot, message);
        slips.push(slip.help("start it at the edge of the page"));
    }
    let owned = statements(owned).into_iter();
    // An unclosed quotation alone in its line has been told, and says nothing else.
    let owned = owned.filter(|statement| {
        statement.head.tokens[0].mark != LineMark::Quoted || statement.head.unclosed.is_none()
    });
    let block = |statement| LineBlock { statement, source: Arc::clone(source), taken_over: None };
    owned.map(block).collect()
}

fn split_at_first_head(mut lines: Vec<Line>) -> (Vec<Line>, Vec<Line>) {
    let first = lines.iter().position(|line| line.indent == 0).unwrap_or(lines.len());
    let owned = lines.split_off(first);
    (lines, owned)
}

fn read_head(head: &LineBlock, gathered: &mut Gathered) {
    let mut cursor = Cursor::new(&head.statement.head, 1);
    if let Err(missing) = head_words(&mut cursor, gathered) {
        gathered.slips.push(unreadable(|span| head.spot(span), missing));
    }
    if let Some(revision) = &gathered.revision {
        gathered.name.id = format!("{}.{revision}", gathered.name.id);
    }
    if let Some(line) = head.statement.inner.first() {
        gathered.slips.push(belongs_nowhere(head, line));
    }
}

fn head_words(cursor: &mut Cursor, gathered: &mut Gathered) -> Result<(), MissingWord> {
    let name = cursor.name("the name of the engine")?;
    gathered.name = Name { id: name.text.clone(), called: Vec::new(), span: name.span };
    loop {
        if cursor.takes_all("based on") {
            gathered.based_on = Some(cursor.name("the cutaway that this one changes")?.clone());
        } else if cursor.takes("revision") {
            gathered.revision = Some(cursor.name("the name of the revision")?.text.clone());
        } else if cursor.takes("called") {
            gathered.name.called = called(cursor)?;
        } else {
            break;
        }
    }
    if cursor.peek().is_none() {
        return Ok(());
    }
    Err(cursor.missing("`based on`, `revision` or the end of the line".into()))
}

/// The words behind `called`.
pub(super) fn called(cursor: &mut Cursor) -> Result<Vec<String>, MissingWord> {
    let mut words = vec![cursor.quoted("words for it")?.text.clone()];
    while cursor.takes(",") {
        words.push(cursor.quoted("more words for it")?.text.clone());
    }
    Ok(words)
}

/// The slip for an indented line below a statement that has none.
pub(super) fn belongs_nowhere(block: &LineBlock, line: &Line) -> Slip {
    let keyword = block.keyword();
    let message = format!("`{keyword}` takes no lines of its own, and this one is indented");
    Slip::stop("statement-unreadable", block.spot(line.span), message)
        .label(block.spot(block.statement.head.span), "it stands below this one")
        .help("start it at the edge of the page")
}

fn unnamed(source: &Arc<Source>, first: Option<&LineBlock>) -> Slip {
    let span = first.map_or(Span::new(0, 0), |block| block.statement.head.span);
    let message = "a cutaway starts with `cutaway` and the name of the engine";
    let example = format!("start with `cutaway {}`", stem(&source.name));
    Slip::stop("cutaway-unnamed", Spot::new(source, span), message).help(example)
}

/// Takes over the statements of the cutaway that this one is based on.
fn take_over(
    source: &Arc<Source>,
    base: &LineToken,
    others: Others,
    path: &[String],
    gathered: &mut Gathered,
) {
    gathered.lacks_base = true;
    let spot = || Spot::new(source, base.span);
    let (name, revision) = base.text.split_once('.').unwrap_or((base.text.as_str(), ""));
    let mut path = path.to_vec();
    if path.is_empty() {
        path.push(gathered.name.id.clone());
    }
    let is_loop = path.iter().any(|above| above == name);
    // Only those on the loop tell it; for others it is the fault of another text.
    let is_on_it = path.first().is_some_and(|first| first == name);
    path.push(name.to_owned());
    if is_loop {
        if is_on_it {
            let message = format!("these are based on each other: {}", path.join(" → "));
            gathered.slips.push(Slip::stop("base-loop", spot(), message));
        }
        return;
    }
    if DEEPEST_BASE < path.len() {
        let message =
            format!("`based on` leads from one cutaway to the next, over {DEEPEST_BASE} times");
        let slip = Slip::stop("cutaway-too-large", spot(), message);
        gathered.slips.push(slip.help("base it on the engine that was taken apart first"));
        return;
    }
    let Some(text) = others(name).filter(|text| text.name != source.name) else {
        let message = format!("there is no cutaway `{name}` to be based on");
        gathered.slips.push(Slip::stop("cutaway-unknown", spot(), message));
        return;
    };
    let below = gather(&text, others, &path);
    let of_base = ["base-loop", "cutaway-too-large"];
    if let Some(slip) = below.slips.iter().find(|slip| of_base.contains(&slip.code)) {
        gathered.slips.push(Slip::stop(slip.code, spot(), slip.message.clone()));
    }
    let blocks = match below.revisions.iter().position(|(name, _)| name.name.id == revision) {
        Some(at) => revised(&below, at).0,
        None if revision.is_empty() => below.blocks,
        None => {
            let message = format!("`{name}` has no revision `{revision}`");
            gathered.slips.push(Slip::stop("cutaway-unknown", spot(), message));
            return;
        }
    };
    gathered.lacks_base = below.lacks_base;
    let taken_over = Some(base.span);
    gathered.blocks = blocks.into_iter().map(|block| LineBlock { taken_over, ..block }).collect();
}

fn add_revision(block: &LineBlock, gathered: &mut Gathered) {
    let spot_of = |span| block.spot(span);
    let is_variant = block.keyword() == "variant";
    let revision = match revision(&block.statement.head, is_variant) {
        Ok(revision) => revision,
        Err(missing) => return gathered.slips.push(unreadable(spot_of, missing)),
    };
    let before = gathered.revisions.iter().find(|(old, _)| old.name.id == revision.name.id);
    if let Some((old, _)) = before {
        let kind = if old.is_variant { "variant" } else { "revision" };
        let slip = twice(block, revision.name.span, &format!("{kind} `{}`", old.name.id));
        gathered.slips.push(slip.label(spot_of(old.name.span), "first declared here"));
    } else if gathered.revisions.len() == MOST_REVISIONS {
        let message = format!("a cutaway holds at most {MOST_REVISIONS} revisions and variants");
        gathered.slips.push(Slip::stop(
            "statement-unreadable",
            spot_of(revision.name.span),
            message,
        ));
    } else if gathered.revisions.len() < MOST_REVISIONS {
        gathered.revisions.push((revision, block.clone()));
    }
}

fn revision(head: &Line, is_variant: bool) -> Result<Revision, MissingWord> {
    let mut cursor = Cursor::new(head, 1);
    let kind = if is_variant { "variant" } else { "revision" };
    let name = cursor.name(&format!("the name of the {kind}"))?;
    let name = Name { id: name.text.clone(), called: Vec::new(), span: name.span };
    let mut found = Revision { name, since: None, what: None, is_variant };
    if !is_variant && cursor.takes("on") {
        found.since = Some(cursor.name("the date since when, as 2024-09-02")?.text.clone());
    }
    if cursor.peek().is_some() {
        found.what = Some(cursor.quoted("what is different")?.text.clone());
    }
    if cursor.peek().is_some() {
        return Err(cursor.missing("the end of the line".into()));
    }
    Ok(found)
}

fn twice(block: &LineBlock, span: Span, what: &str) -> Slip {
    Slip::stop("declared-twice", block.spot(span), format!("{what} is declared twice"))
}

type Key = (NameKind, String);

/// Statements in order, which others replace, take away or add to.
struct Changes {
    blocks: Vec<Option<LineBlock>>,
    places: BTreeMap<Key, usize>,
}

impl Changes {
    fn new(blocks: Vec<LineBlock>) -> Changes {
        let mut changes = Changes { blocks: Vec::new(), places: BTreeMap::new() };
        for block in blocks {
            changes.push(key(&block.statement.head), block);
        }
        changes
    }

    fn done(self) -> Vec<LineBlock> {
        self.blocks.into_iter().flatten().collect()
    }

    fn push(&mut self, key: Option<(Key, Span)>, block: LineBlock) {
        if let Some((key, _)) = key {
            self.places.insert(key, self.blocks.len());
        }
        self.blocks.push(Some(block));
    }

    fn apply(&mut self, block: LineBlock, is_change: bool, slips: &mut Vec<Slip>) {
        let head = &block.statement.head;
        match block.keyword() {
            "without" => return slips.extend(self.remove(&block, is_change)),
            "cutaway" => return slips.push(twice(&block, head.span, "the engine")),
            word if statement(word).is_none_or(|it| it.under != Under::Page) => {
                return slips.push(unknown_statement(&block));
            }
            _ => {}
        }
        let Some((key, span)) = key(head) else { return self.push(None, block) };
        let old = self.places.get(&key).copied();
        match old.and_then(|at| self.blocks[at].as_ref().map(|old| (at, old))) {
            None => self.push(Some((key, span)), block),
            Some((at, old)) if old.taken_over.is_some() => self.blocks[at] = Some(block),
            Some((_, old)) => {
                let slip = twice(&block, span, &format!("the {} `{}`", key.0.noun(), key.1));
                let first = old.spot(old.statement.head.span);
                slips.push(slip.label(first, "first declared here").help("give it another name"));
            }
        }
    }

    /// Takes away a statement that has no name, by its words.
    fn remove_said(&mut self, block: &LineBlock) -> Option<Slip> {
        let head = &block.statement.head;
        let wanted = said(&head.tokens[1..]);
        let is_it = |old: &&mut Option<LineBlock>| {
            old.as_ref().is_some_and(|old| {
                old.taken_over.is_some() && said(&old.statement.head.tokens) == wanted
            })
        };
        if let Some(old) = self.blocks.iter_mut().find(is_it) {
            *old = None;
            return None;
        }
        let message = format!("there is no `{}` to take away", wanted.join(" "));
        let rest = Span::new(head.tokens[1].span.start, head.span.end);
        Some(Slip::stop("nothing-of-that-name", block.spot(rest), message))
    }

    fn remove(&mut self, block: &LineBlock, is_change: bool) -> Option<Slip> {
        let head = &block.statement.head;
        if !is_change {
            let message =
                "`without` takes away what another cutaway has; this one is based on none";
            return Some(Slip::stop("nothing-of-that-name", block.spot(head.span), message));
        }
        if head.tokens.get(1).is_some_and(|token| is_said(&token.text)) {
            return self.remove_said(block);
        }
        let Some((kind, word, span)) = removed(head) else {
            let missing =
                Cursor::new(head, 1).missing("what to take away, as `way metering`".into());
            return Some(unreadable(|span| block.spot(span), missing));
        };
        let place = self.places.get(&(kind, word.clone())).copied();
        let is_there = place.is_some_and(|at| {
            let old = self.blocks[at].as_ref().is_some_and(|old| old.taken_over.is_some());
            if old {
                self.blocks[at] = None;
            }
            old
        });
        if is_there {
            return None;
        }
        let message = format!("there is no {} `{word}` to take away", kind.noun());
        let slip = Slip::stop("nothing-of-that-name", block.spot(span), message);
        let known = self.places.keys().filter(|(other, _)| *other == kind);
        let near = nearest(&word, known.map(|(_, name)| name.as_str())).map(str::to_owned);
        Some(match near {
            Some(near) => slip.write(near),
            None => slip,
        })
    }
}

fn unknown_statement(block: &LineBlock) -> Slip {
    let word = block.keyword();
    let span = block.statement.head.tokens.first().map_or(block.statement.head.span, |t| t.span);
    let message = format!("no statement starts with `{word}`");
    let slip = Slip::stop("statement-unknown", block.spot(span), message);
    // Looked for first: a line at the edge of the page that belongs below is no misspelt `fact`.
    if statement(word).is_some_and(|it| it.under == Under::Solid) {
        return slip.help("indent it: it belongs to the `body` or `moving` above");
    }
    if statement(word).is_some() || word == "joins" {
        return slip.help("indent it: it belongs to the `moving` or `valve` above");
    }
    let plain = word.to_lowercase();
    match nearest(&plain, firsts(Under::Page)) {
        Some(near) => slip.write(near),
        None => slip,
    }
}

/// What a statement declares, and where the name stands.
fn key(head: &Line) -> Option<(Key, Span)> {
    let mut cursor = Cursor::new(head, 0);
    let kind = declared_by(&cursor.next()?.text)?;
    let name = declared_name(head)?;
    // The words of an event are told apart as a reader would.
    let word = match kind {
        NameKind::Event => name.text.to_lowercase(),
        NameKind::Ball => "ball".into(),
        _ => name.text.clone(),
    };
    Some(((kind, word), name.span))
}

/// The words of a statement without how it is known.
fn said(tokens: &[LineToken]) -> Vec<&str> {
    let words = tokens.iter().map(|token| token.text.as_str());
    words.take_while(|word| *word != "(").collect()
}

/// NameKind, name and place of what `without …` takes away.
fn removed(head: &Line) -> Option<(NameKind, String, Span)> {
    let kind = declared_by(&head.tokens.get(1)?.text)?;
    let rest = Line { tokens: head.tokens[1..].to_vec(), ..head.clone() };
    let name = declared_name(&rest);
    let span = name.as_ref().map_or(head.tokens[1].span, |name| name.span);
    let word = match kind {
        NameKind::Ball => "ball".into(),
        NameKind::Event => name?.text.to_lowercase(),
        _ => name?.text,
    };
    Some((kind, word, span))
}

/// The name that a statement declares. A barrel may go without one.
pub(super) fn declared_name(head: &Line) -> Option<LineToken> {
    let first = head.tokens.first()?;
    if first.is("body") {
        return Some(first.clone());
    }
    let at = if first.is("quick") { 2 } else { 1 };
    let next = head.tokens.get(at).filter(|token| token.mark != LineMark::Sign);
    match next {
        Some(token) if !(first.is("barrel") && token.is("from")) => Some(token.clone()),
        _ => first.is("barrel").then(|| first.clone()),
    }
}
