//! Events in the writer's words, their order, and the order of things along an axis.

use super::{Read, Reader, Unread};
use crate::cutaway::cursor::Cursor;
use crate::cutaway::events::{EventFault, Vocabulary, event_words};
use crate::cutaway::gather::{LineBlock, stem};
use crate::cutaway::lines::LineToken;
use crate::cutaway::loops::loops;
use crate::cutaway::model::{
    Axis, ChamberId, Element, Event, HandAct, MOST_ORDERS, Name, Order, PartId, Saying, TriggerId,
    WayId,
};
use crate::cutaway::names::{FoundName, NameKind};
use crate::slip::Slip;
use crate::text::{Span, Spot};
use std::collections::BTreeMap;
use std::sync::Arc;

impl Reader<'_> {
    /// `event "WORDS" is EVENT  after READING`.
    pub(super) fn event(&mut self, block: &LineBlock, vocabulary: &Vocabulary) -> Read<()> {
        let mut cursor = Cursor::new(&block.statement.head, 1);
        let words = cursor.quoted("the words for the event")?;
        cursor.expect("is")?;
        let event = self.happening(block, &mut cursor, vocabulary, |token| token.is("after"))?;
        let mut after = None;
        self.clauses(block, "event", &mut cursor, |reader, cursor, _| {
            after = Some(reader.reading(block, cursor)?);
            Ok(())
        })?;
        let span = self.place(block, words.span);
        let words = Name { id: words.text.clone(), called: Vec::new(), span };
        self.engine.sayings.push(Saying { words, event, after });
        Ok(())
    }

    /// `order EVENT before EVENT  (timed)`.
    pub(super) fn order(&mut self, block: &LineBlock, vocabulary: &Vocabulary) -> Read<()> {
        let mut cursor = Cursor::new(&block.statement.head, 1);
        let first = self
            .happening(block, &mut cursor, vocabulary, |token| token.is("before") || token.is("("));
        if let Err(Unread::MissingWord(missing)) = first {
            return Err(missing.into());
        }
        cursor.expect("before")?;
        let then = self.happening(block, &mut cursor, vocabulary, |token| token.is("("));
        if let Err(Unread::MissingWord(missing)) = then {
            return Err(missing.into());
        }
        let known = self.known(block, &mut cursor)?;
        let (first, then) = super::resolve::both(self, block, first, then)?;
        let head = block.statement.head.span;
        if let Event::Pulled(_) = then {
            let message = format!(
                "nothing comes before \u{201c}{}\u{201d}: with it the shot begins",
                event_words(&self.engine, then)
            );
            let slip = Slip::stop("orders-contradict", block.spot(head), message);
            self.tell(block, slip.help("take the order out"));
            return Ok(());
        }
        if self.engine.orders.len() == MOST_ORDERS {
            let message = format!("an engine has no more than {MOST_ORDERS} orders");
            let slip = Slip::stop("statement-unreadable", block.spot(head), message);
            self.tell(block, slip.help("take out those that a shot keeps anyway"));
            return Ok(());
        }
        let span = self.place(block, head);
        let is_own = Arc::ptr_eq(&block.source, &self.source);
        let taken_from = (!is_own).then(|| stem(&block.source.name));
        self.engine.orders.push(Order { first, then, known, taken_from, span });
        Ok(())
    }

    /// `hand TRIGGER pulled, TRIGGER released any time`.
    pub(super) fn hand(&mut self, block: &LineBlock) -> Read<()> {
        let mut cursor = Cursor::new(&block.statement.head, 1);
        let mut acts = Vec::new();
        loop {
            let token = cursor.name("a trigger")?;
            let trigger = self.resolve::<TriggerId>(block, token)?;
            let pulls = cursor.takes("pulled");
            if !pulls {
                cursor.expect("released")?;
            }
            let waits = !cursor.takes_all("any time");
            acts.push(HandAct { trigger, pulls, waits });
            if !cursor.takes(",") {
                break;
            }
        }
        self.end_of_line(block, "hand", &cursor);
        // What the cutaway says itself goes before what it takes over.
        if self.engine.hand.is_empty() || self.is_hand_taken_over {
            self.is_hand_taken_over = block.taken_over.is_some();
            self.engine.hand = acts;
        } else if block.taken_over.is_none() {
            let message = "what the hand does is said twice";
            let span = block.statement.head.span;
            self.tell(block, Slip::stop("declared-twice", block.spot(span), message));
        }
        Ok(())
    }

    /// The event in the words up to one that ends it.
    fn happening(
        &mut self,
        block: &LineBlock,
        cursor: &mut Cursor,
        vocabulary: &Vocabulary,
        ends: impl Fn(&LineToken) -> bool,
    ) -> Read<Event> {
        let mut words: Vec<&LineToken> = Vec::new();
        while let Some(token) = cursor.peek().filter(|token| !ends(token)) {
            words.push(token);
            cursor.next();
        }
        let Some((first, last)) = words.first().zip(words.last()) else {
            return Err(cursor.missing("an event, as `switch leaves front`".into()).into());
        };
        let text = words.iter().map(|token| token.text.as_str()).collect::<Vec<_>>().join(" ");
        let wants_proposal = self.proposals_left.checked_sub(1);
        match vocabulary.event(&text, wants_proposal.is_some()) {
            Ok(event) => Ok(event),
            Err(_) if self.lacks_base || self.speak_of_unread(&words) => Err(Unread::Silent),
            Err(fault) => {
                self.proposals_left = wants_proposal.unwrap_or(0);
                let span = Span::new(first.span.start, last.span.end);
                self.tell(block, unreadable_event(block.spot(span), fault));
                Err(Unread::Silent)
            }
        }
    }

    /// Whether words name something that could not be read.
    fn speak_of_unread(&self, words: &[&LineToken]) -> bool {
        words.iter().any(|token| self.names.is_unread(&token.text))
    }

    /// Tells of orders that lead in a circle.
    pub(super) fn compare_orders(&mut self) {
        let mut places: BTreeMap<Event, usize> = BTreeMap::new();
        let mut place = |event| {
            let next = places.len();
            *places.entry(event).or_insert(next)
        };
        let orders = self.engine.orders.clone();
        let arrows: Vec<(usize, usize)> =
            orders.iter().map(|order| (place(order.first), place(order.then))).collect();
        for path in loops(&arrows) {
            let path: Vec<&Order> = path.iter().map(|at| &orders[*at]).collect();
            let Some(last) = path.iter().max_by_key(|order| order.span) else { continue };
            let spoken = |order: &&Order| event_words(&self.engine, order.first);
            let mut words: Vec<String> = path.iter().map(spoken).collect();
            words.extend(words.first().cloned());
            let message = format!("these orders lead in a circle: {}", words.join(", then "));
            let mut slip =
                Slip::stop("orders-contradict", Spot::new(&self.source, last.span), message);
            for order in path.iter().filter(|order| order.span != last.span) {
                slip = slip.label(Spot::new(&self.source, order.span), "the other way round here");
            }
            self.tell_whole(slip);
        }
    }

    /// `axis NAME: A, B around C, D`, from rear to front.
    pub(super) fn axis(&mut self, block: &LineBlock) -> Read<()> {
        let mut cursor = Cursor::new(&block.statement.head, 1);
        let name = cursor.name("the name of the axis")?;
        let name = self.checked_name(block, name);
        cursor.expect(":")?;
        let mut axis = Axis { name, places: Vec::new() };
        loop {
            let mut place = Vec::new();
            loop {
                let token = cursor.name("a chamber, a moving part or the barrel")?;
                if let Some(thing) = self.on_axis(block, token) {
                    let is_there = axis.places.iter().chain([&place]).any(|p| p.contains(&thing));
                    if is_there {
                        let message = format!("`{}` stands twice on this axis", token.text);
                        self.tell(
                            block,
                            Slip::stop("declared-twice", block.spot(token.span), message),
                        );
                    } else {
                        place.push(thing);
                    }
                }
                if !cursor.takes("around") {
                    break;
                }
            }
            // `A around B`: the inner one comes first in the model.
            place.reverse();
            if !place.is_empty() {
                axis.places.push(place);
            }
            if !cursor.takes(",") {
                break;
            }
        }
        self.end_of_line(block, "axis", &cursor);
        self.engine.axes.push(axis);
        Ok(())
    }

    fn on_axis(&mut self, block: &LineBlock, token: &LineToken) -> Option<Element> {
        if let FoundName::At(chamber) = self.names.find::<ChamberId>(&token.text) {
            return Some(Element::Chamber(chamber));
        }
        match self.names.find::<PartId>(&token.text) {
            FoundName::At(part) => return Some(Element::Part(part)),
            FoundName::Unread => return None,
            _ => {}
        }
        match self.names.find::<WayId>(&token.text) {
            FoundName::At(way) if self.engine.ways[way].barrel => return Some(Element::Way(way)),
            FoundName::Unread => return None,
            _ => {}
        }
        if self.lacks_base {
            return None;
        }
        let message = format!("no chamber and no moving part goes by `{}`", token.text);
        let mut slip = Slip::stop("nothing-of-that-name", block.spot(token.span), message);
        if let Some(near) = self.near_name(&[NameKind::Chamber, NameKind::Part], &token.text) {
            slip = slip.write(near);
        }
        self.tell(block, slip);
        None
    }
}

fn unreadable_event(spot: Spot, fault: EventFault) -> Slip {
    let whole = spot.text().split_whitespace().collect::<Vec<_>>().join(" ");
    let slip = Slip::stop("event-unreadable", spot, fault.message);
    match fault.proposal {
        Some(proposal) if proposal != whole => slip.write(proposal),
        _ => slip.help("an event reads as `switch leaves front`, `pilot shifts` or `store fills`"),
    }
}
