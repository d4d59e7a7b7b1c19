//! Ordinal facts: what is larger than what, and how that is known.

use super::{Read, Reader, Unread, foreign};
use crate::cutaway::cursor::Cursor;
use crate::cutaway::events::term_path;
use crate::cutaway::gather::LineBlock;
use crate::cutaway::lines::{LineMark, LineToken};
use crate::cutaway::model::{
    Element, Engine, Fact, Known, PartId, PushId, PushKind, Relation, Term,
};
use crate::cutaway::names::{FoundName, NameKind};
use crate::slip::Slip;
use crate::text::Span;

/// Comparing words that say "larger".
const LARGER: [&str; 9] =
    ["larger", "greater", "bigger", "stronger", "stiffer", "wider", "longer", "higher", "heavier"];
/// Comparing words that say "smaller".
const SMALLER: [&str; 8] =
    ["smaller", "less", "weaker", "softer", "narrower", "shorter", "lower", "lighter"];

/// How a fact can be known: what stands in its brackets.
pub const HOW: [&str; 11] = [
    "seen",
    "felt",
    "heard",
    "by hand",
    "measured",
    "timed",
    "reckoned",
    "reported",
    "estimated",
    "assumed",
    "maker says",
];

/// What a term is, for what can be compared with what.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum FactSort {
    Push,
    Chamber,
    Way,
    Part,
}

impl FactSort {
    fn noun(self) -> &'static str {
        match self {
            FactSort::Push => "a push",
            FactSort::Chamber => "a chamber",
            FactSort::Way => "a way",
            FactSort::Part => "a part",
        }
    }

    /// The kind of names among which it is looked for.
    fn kind(self) -> NameKind {
        match self {
            FactSort::Chamber => NameKind::Chamber,
            FactSort::Way => NameKind::Way,
            FactSort::Push | FactSort::Part => NameKind::Part,
        }
    }
}

/// One side of a fact: its terms, what they are, and where they stand.
struct FactSide {
    terms: Vec<Term>,
    sort: FactSort,
    span: Span,
}

impl Reader<'_> {
    /// `fact A + B  much larger than C  (seen)` and `fact A larger than B once spent  (felt)`.
    pub(super) fn fact(&mut self, block: &LineBlock) -> Read<()> {
        let mut cursor = Cursor::new(&block.statement.head, 1);
        let before_left = cursor;
        let left = self.side(block, &mut cursor, None);
        if let Err(Unread::MissingWord(missing)) = left {
            return Err(missing.into());
        }
        let is_much = cursor.takes("much");
        let (word, relation, is_turned) = self.comparing(block, &mut cursor)?;
        let mut before_right = cursor;
        let right = self.side(block, &mut cursor, None);
        if let Err(Unread::MissingWord(missing)) = right {
            return Err(missing.into());
        }
        let spent = match once_spent(&mut cursor)? {
            Some(span) => Some((Relation::LargerOnceSpent, span)),
            None => self.beside_a_landmark(block, &mut cursor)?,
        };
        let known = self.known(block, &mut cursor)?;
        let (mut left, mut right) = super::resolve::both(self, block, left, right)?;
        // A chamber and a way may share a name: the other side says which is meant.
        if left.sort != right.sort {
            right = self.side(block, &mut before_right, Some(left.sort))?;
        }
        if left.sort != right.sort {
            left = self.side(block, &mut { before_left }, Some(right.sort))?;
        }
        if left.sort != right.sort {
            let message =
                format!("{} cannot be compared with {}", left.sort.noun(), right.sort.noun());
            let spot = block.spot(Span::new(left.span.start, right.span.end));
            let slip = Slip::stop("fact-incomparable", spot, message);
            self.tell(block, slip.noting(
                "pushes compare with pushes, chambers with chambers, ways with ways, parts with parts",
            ));
            return Err(Unread::Silent);
        }
        let relation = match relation {
            Relation::Larger if is_much => Relation::MuchLarger,
            other => other,
        };
        let (left, right) = if is_turned { (right, left) } else { (left, right) };
        let relation = match spent {
            Some((wanted @ Relation::LargerFrom(_), span)) => {
                self.larger_at_times(block, relation, &left, (wanted, span))?
            }
            Some(wanted) => self.larger_at_times(block, relation, &right, wanted)?,
            None => relation,
        };
        let span = self.place(block, block.statement.head.span);
        let (left, right) = (left.terms, right.terms);
        self.engine.facts.push(Fact { left, relation, right, word, known, span });
        Ok(())
    }

    /// `below LANDMARK` or `above LANDMARK` behind the right side, and where it stands.
    fn beside_a_landmark(
        &mut self,
        block: &LineBlock,
        cursor: &mut Cursor,
    ) -> Read<Option<(Relation, Span)>> {
        let Some(word) = cursor.peek().filter(|token| token.is("below") || token.is("above"))
        else {
            return Ok(None);
        };
        cursor.next();
        let end = cursor.peek().map_or(word.span.end, |token| token.span.end);
        let mark = self.named(block, cursor, "a landmark")?;
        let relation = match word.is("below") {
            true => Relation::LargerBelow(mark),
            false => Relation::LargerFrom(mark),
        };
        Ok(Some((relation, Span::new(word.span.start, end))))
    }

    /// The relation with `once spent`, `below …` or `above …` behind it: it speaks of pressure, and
    /// of this side of it.
    fn larger_at_times(
        &mut self,
        block: &LineBlock,
        relation: Relation,
        side: &FactSide,
        (wanted, span): (Relation, Span),
    ) -> Read<Relation> {
        let has_pressure = |term: &Term| match term {
            Term::Own(Element::Push(part, push)) => {
                matches!(self.engine.parts[*part].pushes[*push].kind, PushKind::Face(_))
            }
            Term::Own(_) => false,
            // What pushes in another engine is not known here.
            Term::Foreign(..) => true,
        };
        let said = block.spot(span);
        let said = said.source.slice(span);
        let pushes = side.sort == FactSort::Push;
        let terms = side.terms.iter().map(|term| term_path(&self.engine, term));
        let what = terms.collect::<Vec<_>>().join(" + ");
        let (code, message, help) = match relation {
            Relation::Larger if pushes && side.terms.iter().any(has_pressure) => {
                return Ok(wanted);
            }
            Relation::Larger if pushes => (
                "fact-incomparable",
                format!(
                    "no pressure pushes in `{what}`, so there is none of which `{said}` speaks"
                ),
                format!("leave `{said}` out"),
            ),
            Relation::Larger => (
                "fact-incomparable",
                format!("`{said}` compares pushes; `{what}` is {}", side.sort.noun()),
                format!("leave `{said}` out"),
            ),
            Relation::Equal => (
                "statement-unreadable",
                format!("`{said}` says which side is larger; these are said to be the same"),
                format!("leave `{said}` out"),
            ),
            _ => (
                "statement-unreadable",
                "`much` speaks of spent pressure already".into(),
                format!("leave out `much` or `{said}`"),
            ),
        };
        let slip = Slip::stop(code, block.spot(span), message).help(help);
        self.tell(block, slip);
        Err(Unread::Silent)
    }

    fn side(
        &mut self,
        block: &LineBlock,
        cursor: &mut Cursor,
        preferred: Option<FactSort>,
    ) -> Read<FactSide> {
        let mut terms = Vec::new();
        let mut sort: Option<FactSort> = None;
        let mut span: Option<Span> = None;
        let mut is_whole = true;
        loop {
            let token = cursor.name("what is compared, as `switch.rear`")?;
            let start = span.map_or(token.span.start, |span| span.start);
            span = Some(Span::new(start, token.span.end));
            match self.compared(block, token, preferred) {
                Ok((term, of)) => {
                    let before = sort.get_or_insert(of);
                    if *before != of {
                        let message = format!("{} cannot be added to {}", of.noun(), before.noun());
                        let slip = Slip::stop("fact-incomparable", block.spot(token.span), message);
                        self.tell(block, slip);
                        is_whole = false;
                    }
                    terms.push(term);
                }
                Err(Unread::Silent) => is_whole = false,
                Err(missing) => return Err(missing),
            }
            if !cursor.takes("+") {
                break;
            }
        }
        terms.sort();
        match (sort, span) {
            (Some(sort), Some(span)) if is_whole => Ok(FactSide { terms, sort, span }),
            _ => Err(Unread::Silent),
        }
    }

    /// The comparing word, what it says, and whether it names the smaller side first.
    fn comparing(
        &mut self,
        block: &LineBlock,
        cursor: &mut Cursor,
    ) -> Read<(String, Relation, bool)> {
        if cursor.takes_all("same as") || cursor.takes_all("equal to") {
            return Ok(("same as".into(), Relation::Equal, false));
        }
        let token = cursor.name("a comparing word, as `larger than`")?;
        let word = token.text.as_str();
        let is_larger = LARGER.contains(&word);
        if !is_larger && !SMALLER.contains(&word) {
            let known = LARGER.iter().chain(&SMALLER).copied();
            let known = known.chain(["same as", "equal to"]);
            self.not_in_list(block, token, "a comparing word", known);
            return Err(Unread::Silent);
        }
        cursor.expect("than")?;
        Ok((word.to_owned(), Relation::Larger, !is_larger))
    }

    /// How it is known, in brackets at the end.
    pub(super) fn known(&mut self, block: &LineBlock, cursor: &mut Cursor) -> Read<Known> {
        let start = cursor.missing(String::new()).span.start;
        let nothing_said = "how it is known in brackets, as `(seen)`";
        if !cursor.takes("(") {
            return Err(cursor.missing(nothing_said.into()).into());
        }
        let words = cursor.rest().iter().take_while(|token| token.mark == LineMark::Word);
        let words: Vec<&LineToken> = words.collect();
        let Some((first, last)) = words.first().zip(words.last()) else {
            return Err(cursor.missing(nothing_said.into()).into());
        };
        let how = words.iter().map(|token| token.text.as_str()).collect::<Vec<_>>().join(" ");
        for _ in &words {
            cursor.next();
        }
        let end = cursor.peek().map_or(last.span.end, |token| token.span.end);
        cursor.expect(")")?;
        self.end_of_line(block, block.keyword(), cursor);
        if !HOW.contains(&how.as_str()) {
            let token = LineToken {
                mark: LineMark::Word,
                text: how,
                span: Span::new(first.span.start, last.span.end),
            };
            self.not_in_list(block, &token, "a way to know a fact", HOW.into_iter());
            return Err(Unread::Silent);
        }
        Ok(Known { how, span: self.place(block, Span::new(start, end)) })
    }

    /// A push by its path, `bolt.return`; `None` for something else.
    pub(super) fn compared_push(
        &mut self,
        block: &LineBlock,
        token: &LineToken,
    ) -> Read<Option<(PartId, PushId)>> {
        Ok(match self.compared(block, token, Some(FactSort::Push))? {
            (Term::Own(Element::Push(part, push)), _) => Some((part, push)),
            _ => None,
        })
    }

    fn compared(
        &mut self,
        block: &LineBlock,
        token: &LineToken,
        preferred: Option<FactSort>,
    ) -> Read<(Term, FactSort)> {
        let Some((first, path)) = token.text.split_once('.') else {
            return self.plain_term(block, token, preferred);
        };
        match self.names.find::<PartId>(first) {
            FoundName::At(part) => return self.push_term(block, token, part, path),
            FoundName::Unread => return Err(Unread::Silent),
            _ => {}
        }
        if first == self.engine.name.id {
            let text = path.to_owned();
            let by = token.text.len() - path.len();
            let span = Span::new(token.span.start + by, token.span.end);
            return self.compared(block, &LineToken { mark: token.mark, text, span }, preferred);
        }
        self.foreign_term(block, token, (first, path), preferred)
    }

    fn plain_term(
        &mut self,
        block: &LineBlock,
        token: &LineToken,
        preferred: Option<FactSort>,
    ) -> Read<(Term, FactSort)> {
        let mut sorts = [FactSort::Chamber, FactSort::Way, FactSort::Part];
        sorts.sort_by_key(|sort| Some(*sort) != preferred);
        for sort in sorts {
            let word = &token.text;
            let found = match sort {
                FactSort::Chamber => self.names.find(word).map(Element::Chamber),
                FactSort::Way => self.names.find(word).map(Element::Way),
                FactSort::Part | FactSort::Push => self.names.find(word).map(Element::Part),
            };
            match found {
                FoundName::At(element) => return Ok((Term::Own(element), sort)),
                FoundName::Unread => return Err(Unread::Silent),
                FoundName::Other(_) | FoundName::Nothing => {}
            }
        }
        if self.lacks_base {
            return Err(Unread::Silent);
        }
        if self.names.has(NameKind::Valve, &token.text) {
            self.tell(block, valve_in_a_fact(block, token));
            return Err(Unread::Silent);
        }
        let message = format!("no chamber, way or part goes by `{}`", token.text);
        let mut slip = Slip::stop("nothing-of-that-name", block.spot(token.span), message);
        let near = self.near_name(&sorts.map(FactSort::kind), &token.text);
        slip = match near {
            Some(near) => slip.write(near),
            None => slip.help("a push is named after its part, as `switch.rear`"),
        };
        self.tell(block, slip);
        Err(Unread::Silent)
    }

    fn push_term(
        &mut self,
        block: &LineBlock,
        token: &LineToken,
        part: PartId,
        push: &str,
    ) -> Read<(Term, FactSort)> {
        let pushes = &self.engine.parts[part].pushes;
        if let Some((at, _)) = pushes.entries().find(|(_, known)| known.name.id == push) {
            return Ok((Term::Own(Element::Push(part, at)), FactSort::Push));
        }
        if self.lacking_pushes.contains(&part) {
            return Err(Unread::Silent);
        }
        let names: Vec<String> = pushes.iter().map(|push| push.name.id.clone()).collect();
        let of = &self.engine.parts[part].name.id;
        let message = format!("nothing that pushes `{of}` is called `{push}`");
        let start = token.span.end - push.len().min(token.span.end);
        let span = Span::new(start, token.span.end);
        let mut slip = Slip::stop("nothing-of-that-name", block.spot(span), message);
        if let Some(near) = self.nearest(push, names.iter().map(String::as_str)) {
            slip = slip.write(near);
        }
        self.tell(block, slip);
        Err(Unread::Silent)
    }

    fn foreign_term(
        &mut self,
        block: &LineBlock,
        token: &LineToken,
        (first, path): (&str, &str),
        preferred: Option<FactSort>,
    ) -> Read<(Term, FactSort)> {
        let others = self.others;
        let known = self.foreign.entry(first.to_owned()).or_insert_with(|| foreign(first, others));
        if known.is_none() {
            let message = format!("there is no part and no cutaway `{first}`");
            let span = Span::new(token.span.start, token.span.start + first.len());
            let mut slip = Slip::stop("cutaway-unknown", block.spot(span), message);
            if let Some(near) = self.near_name(&[NameKind::Part], first) {
                slip = slip.write(near);
            }
            self.tell(block, slip);
            return Err(Unread::Silent);
        }
        // A revision's name may stand between: `hazel.A.store`.
        let revision = path
            .split_once('.')
            .filter(|(name, _)| known.as_ref().is_some_and(|engine| engine.part(name).is_none()));
        let (engine, path) = match revision {
            Some((revision, path)) => (format!("{first}.{revision}"), path),
            None => (first.to_owned(), path),
        };
        let known =
            self.foreign.entry(engine.clone()).or_insert_with(|| foreign(&engine, others)).as_ref();
        match known.and_then(|known| sort_of(known, path, preferred)) {
            Some(sort) => Ok((Term::Foreign(engine, path.to_owned()), sort)),
            None => {
                let message = format!("the cutaway `{engine}` has nothing called `{path}`");
                let start = token.span.end - path.len().min(token.span.end);
                let spot = block.spot(Span::new(start, token.span.end));
                self.tell(block, Slip::stop("nothing-of-that-name", spot, message));
                Err(Unread::Silent)
            }
        }
    }
}

fn valve_in_a_fact(block: &LineBlock, token: &LineToken) -> Slip {
    let message = format!("`{}` is a valve, and a valve always counts as wide", token.text);
    Slip::stop("fact-incomparable", block.spot(token.span), message)
        .help("leave the fact out: it is not needed")
}

/// `once spent` behind the right side: where it stands.
fn once_spent(cursor: &mut Cursor) -> Read<Option<Span>> {
    let Some(once) = cursor.peek().filter(|token| token.is("once")) else { return Ok(None) };
    cursor.next();
    let end = cursor.peek().map_or(once.span.end, |token| token.span.end);
    cursor.expect("spent")?;
    Ok(Some(Span::new(once.span.start, end)))
}

/// What a path of another engine names; of several things the preferred one.
fn sort_of(engine: &Engine, path: &str, preferred: Option<FactSort>) -> Option<FactSort> {
    if let Some((part, push)) = path.split_once('.') {
        let part = &engine.parts[engine.part(part)?];
        return part.pushes.iter().any(|known| known.name.id == push).then_some(FactSort::Push);
    }
    let there = [
        engine.chamber(path).map(|_| FactSort::Chamber),
        engine.way(path).map(|_| FactSort::Way),
        engine.part(path).map(|_| FactSort::Part),
    ];
    let mut sorts = there.into_iter().flatten();
    sorts.clone().find(|sort| Some(*sort) == preferred).or_else(|| sorts.next())
}
