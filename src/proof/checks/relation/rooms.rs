//! Statements about rooms and what moves between them: what a seal keeps apart, what pushes which
//! way, where air goes. What the words of a clause name decides who does what in it.

use super::carried::ToldState;
use super::places::{is_home_elsewhere, place_aimed_at};
use super::{StatementAnswer, StatementNames, StatementStanding};
use crate::cutaway::model::{
    ChamberId, Condition, Direction, Engine, Part, PartId, Push, PushId, PushKind, Seal, SealId,
    ValveId, WayId,
};
use crate::folio::routing::Routed;
use crate::folio::things::{Mention, Thing};
use crate::folio::words::TextWord;
use crate::statement::{Phrase, PushHeading, Role, SaidBeside, ToldPush, describes, is_light, may};

/// Words of a clause that name nothing known, at the most: with more of them it speaks of
/// something else.
const MOST_UNKNOWN: usize = 3;

/// The things that a clause names.
pub(super) struct NamedThings<'p> {
    pub(super) words: &'p [TextWord],
    pub(super) mentions: Vec<Mention>,
    /// The engine that is spoken of.
    engine: &'p Engine,
}

impl<'p> NamedThings<'p> {
    pub(super) fn of(
        names: &StatementNames<'_>,
        routed: &'p Routed,
        phrase: &'p Phrase,
    ) -> NamedThings<'p> {
        let words = phrase.words.as_slice();
        NamedThings { words, mentions: names.things_in(routed, words), engine: &routed.engine }
    }

    /// "With the spool in front" names where it stands, not a face of it.
    fn leave_places(&mut self, beside: &SaidBeside) {
        let words = self.words;
        self.mentions.retain(|mention| {
            let is_push = |thing: &Thing| matches!(thing, Thing::Push(..));
            let place = words[mention.first].span;
            !mention.things.iter().all(is_push) || !beside.tells_state(place)
        });
    }

    /// What of one kind is named, with the place where it is.
    fn all<T: PartialEq>(&self, of: impl Fn(&Thing) -> Option<T>) -> Vec<(usize, T)> {
        let mut found: Vec<(usize, T)> = Vec::new();
        for mention in &self.mentions {
            for thing in mention.things.iter().filter_map(&of) {
                if !found.iter().any(|(_, known)| *known == thing) {
                    found.push((mention.first, thing));
                }
            }
        }
        found
    }

    pub(super) fn rooms(&self) -> Vec<(usize, ChamberId)> {
        self.all(|thing| match thing {
            Thing::Room(at) => Some(*at),
            _ => None,
        })
    }

    fn seals(&self) -> Vec<(usize, SealId)> {
        self.all(|thing| match thing {
            Thing::Seal(at) => Some(*at),
            _ => None,
        })
    }

    fn parts(&self) -> Vec<(usize, PartId)> {
        self.all(|thing| match thing {
            Thing::Part(at) => Some(*at),
            _ => None,
        })
    }

    fn pushes(&self) -> Vec<(usize, (PartId, PushId))> {
        self.all(|thing| match thing {
            Thing::Push(part, at) => Some((*part, *at)),
            _ => None,
        })
    }

    pub(super) fn ways(&self) -> Vec<(usize, AirPassage)> {
        self.all(|thing| match thing {
            Thing::Way(at) => Some(AirPassage::Way(*at)),
            Thing::Valve(at) => Some(AirPassage::Valve(*at)),
            _ => None,
        })
    }

    /// How many words name nothing known.
    fn unknown(&self) -> usize {
        let is_named = |at: usize| self.mentions.iter().any(|m| (m.first..m.last).contains(&at));
        let is_engine = |stem: &str| self.engine.name.id.split('_').any(|word| word == stem);
        const TOLD: [Role; 14] = [
            Role::Connects,
            Role::Leads,
            Role::Reaches,
            Role::Draws,
            Role::Takes,
            Role::Pushes,
            Role::OfAir,
            Role::Heading,
            Role::Feeds,
            Role::Empties,
            Role::Passes,
            Role::Parts,
            Role::Open,
            Role::Shut,
        ];
        let is_told = |stem: &str| {
            let is_frame = matches!(stem, "behind" | "past" | "straight" | "directly");
            let mut positions = self.engine.parts.iter().flat_map(|part| part.positions.iter());
            is_frame
                || positions.any(|position| position.id == stem)
                || TOLD.iter().any(|role| may(stem, *role))
        };
        let says =
            |stem: &str| !is_light(stem) && !describes(stem) && !is_engine(stem) && !is_told(stem);
        let unknown = self.words.iter().enumerate();
        unknown.filter(|(at, word)| !is_named(*at) && says(&word.stem)).count()
    }

    /// Whether few enough words name nothing known.
    pub(super) fn is_clear(&self) -> bool {
        self.unknown() <= MOST_UNKNOWN && !self.chooses_one()
    }

    /// "The smallest ring", "the other plunger": which of several is meant, the name alone does
    /// not tell.
    fn chooses_one(&self) -> bool {
        self.mentions.iter().any(|mention| {
            let before = mention.first.checked_sub(1).map(|at| self.stem(at));
            before.is_some_and(|stem| {
                let tells = [Role::Superlative, Role::Comparative, Role::Chooses, Role::Ordinal];
                stem == "other" || tells.iter().any(|role| may(stem, *role))
            })
        })
    }

    /// Whether few enough words name nothing known for a sentence to be refuted: most of what is
    /// written is true, and more of them may well say something else.
    pub(super) fn is_plain(&self) -> bool {
        self.unknown() == 0
    }

    /// Whether a seal, a part or a push is named in a clause that is to be about rooms and ways.
    pub(super) fn names_beside(&self, verb: usize) -> bool {
        let seals = self.seals();
        let acts = |at: &usize| *at < verb;
        let parts = self.parts().into_iter().map(|(at, _)| at);
        !seals.is_empty()
            || parts.chain(self.pushes().into_iter().map(|(at, _)| at)).any(|it| acts(&it))
    }

    /// Whether a word before a place names something that is not known.
    pub(super) fn names_before(&self, place: usize) -> bool {
        let is_named = |at: usize| self.mentions.iter().any(|m| (m.first..m.last).contains(&at));
        let is_engine = |stem: &str| self.engine.name.id.split('_').any(|word| word == stem);
        let says = |stem: &str| !is_light(stem) && !is_engine(stem) && !may(stem, Role::OfAir);
        (0..place).any(|at| !is_named(at) && says(self.stem(at)))
    }

    pub(super) fn stem(&self, at: usize) -> &str {
        self.words.get(at).map_or("", |word| word.stem.as_str())
    }

    pub(super) fn says(&self, wanted: &str) -> bool {
        self.words.iter().any(|word| word.stem == wanted)
    }
}

/// Whether a push lasts, as far as a state is told: air does only while it is there.
fn lasts(state: ToldState, engine: &Engine, push: &Push) -> Option<bool> {
    match push.kind {
        PushKind::Spring => state.meets(engine, &push.when),
        _ => matches!(state, ToldState::Any | ToldState::Until).then_some(true),
    }
}

/// What air passes through.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum AirPassage {
    Way(WayId),
    Valve(ValveId),
}

impl StatementNames<'_> {
    /// "The land seal keeps the store from the switch room".
    pub(super) fn parts(&self, said: &Phrase, is_denied: bool) -> Option<StatementAnswer> {
        self.of_each(&[said], |routed, name| {
            let beside = (self.told_state(routed), self.beside.is_only);
            parted((self, routed, name), (said, is_denied), beside)
        })
    }

    /// "The spring pushes the bolt back".
    pub(super) fn pushes(&self, said: &Phrase, told: ToldPush) -> Option<StatementAnswer> {
        let context = self.context.filter(|_| told.points_back);
        self.of_each(&[said], |routed, name| {
            let shows_all = self.shows_all_springs(&routed.engine, name);
            let beside = (self.told_state(routed), self.beside);
            pushed((self, routed), (name, shows_all), (said, context), told, beside)
        })
    }

    /// "The trigger shifts the pilot": where it does so by itself; by way of something else it may
    /// as well.
    pub(super) fn trips(&self, said: &Phrase) -> Option<StatementAnswer> {
        self.of_each(&[said], |routed, name| {
            let engine = &routed.engine;
            let named = NamedThings::of(self, routed, said);
            let ways = named.ways();
            let triggers = named.all(|thing| match thing {
                Thing::Trigger(at) => Some(*at),
                _ => None,
            });
            let ([(_, trigger)], [(_, AirPassage::Valve(at))]) =
                (triggers.as_slice(), ways.as_slice())
            else {
                return None;
            };
            let valve = engine.valves.get(*at)?;
            let shifts = valve.shifts.contains(&Condition::Pulled(*trigger));
            let is_alone = named.rooms().is_empty() && named.parts().is_empty();
            let words = valve.name.spoken();
            (shifts && is_alone && named.is_clear()).then(|| StatementAnswer {
                standing: StatementStanding::Holds,
                reason: format!("the {words} shifts when the trigger is pulled"),
                question: format!("shifts({name}, {words})"),
            })
        })
    }
}

pub(super) fn spoken(engine: &Engine, at: ChamberId) -> Option<String> {
    engine.chambers.get(at).map(|room| room.name.spoken())
}

/// The pushes that a clause names: by their names, by the room whose air it is, by the part that
/// strikes.
fn sources(
    engine: &Engine,
    named: &NamedThings<'_>,
    part: PartId,
    striker: Option<PartId>,
) -> Vec<(PartId, PushId)> {
    let pushes: Vec<(PartId, PushId)> = named.pushes().into_iter().map(|(_, push)| push).collect();
    if !pushes.is_empty() {
        return pushes;
    }
    let of_kind = |wanted: &dyn Fn(PushKind) -> bool| -> Vec<(PartId, PushId)> {
        let pushes = engine.parts.get(part).into_iter().flat_map(|part| part.pushes.entries());
        pushes.filter(|(_, push)| wanted(push.kind)).map(|(at, _)| (part, at)).collect()
    };
    if let Some(striker) = striker {
        return of_kind(&|kind| kind == PushKind::Contact(striker));
    }
    // "Against the plug bears a spring".
    let is_opposed = |at: usize| {
        (1..5).any(|back| at.checked_sub(back).is_some_and(|at| named.stem(at) == "against"))
    };
    let rooms = named.rooms().into_iter().filter(|(at, _)| !is_opposed(*at));
    let rooms: Vec<ChamberId> = rooms.map(|(_, room)| room).collect();
    let is_spring = |at: &usize| matches!(named.stem(*at), "spring" | "coil" | "wire");
    let mut springs = (0..named.words.len()).filter(is_spring);
    // A room may be named beside a spring, or a way that a part goes may be the name of one: "drawn
    // back by its spring" where a room is called the back.
    let by_spring = springs.any(|at| !is_opposed(at));
    of_kind(&|kind| match kind {
        PushKind::Face(room) => rooms.contains(&room),
        kind => by_spring && kind == PushKind::Spring,
    })
}

/// "Air that fills the sump sends it home": the only part that air of the rooms named pushes.
fn only_part_moved(engine: &Engine, named: &NamedThings<'_>) -> Option<PartId> {
    let rooms = named.rooms();
    let is_moved = |part: &Part| {
        let in_room = |kind| rooms.iter().any(|(_, room)| PushKind::Face(*room) == kind);
        part.pushes.iter().any(|push| in_room(push.kind))
    };
    let mut moved = engine.parts.entries().filter(|(_, part)| is_moved(part));
    let (first, _) = moved.next()?;
    (named.says("it") && moved.next().is_none()).then_some(first)
}

/// Which way "home" is for a part: to where it rests, unless another position has that name.
fn wanted(
    engine: &Engine,
    part: PartId,
    (heading, words): (PushHeading, &[TextWord]),
) -> Option<Direction> {
    let part = engine.parts.get(part)?;
    let first = part.positions.ids().next()?;
    let towards = |at| if at == first { Direction::Back } else { Direction::Forward };
    match heading {
        PushHeading::Forward => Some(Direction::Forward),
        PushHeading::Back => Some(Direction::Back),
        PushHeading::BackHome => Some(Direction::Back).filter(|_| part.rest == first),
        PushHeading::Home => Some(towards(part.rest)).filter(|_| !is_home_elsewhere(part)),
        PushHeading::Placed => {
            let at = place_aimed_at(part, words)?;
            let is_end = at == first || Some(at) == part.positions.ids().next_back();
            is_end.then(|| towards(at))
        }
        PushHeading::Restored => Some(towards(part.rest)).filter(|rest| *rest == Direction::Back),
    }
}

fn parted(
    (names, routed, name): (&StatementNames<'_>, &Routed, &str),
    (said, is_denied): (&Phrase, bool),
    (state, is_only): (ToldState, bool),
) -> Option<StatementAnswer> {
    let engine = &routed.engine;
    let named = NamedThings::of(names, routed, said);
    let (seals, rooms) = (named.seals(), named.rooms());
    let [(_, one), (_, other)] = rooms.as_slice() else { return None };
    let between = |seal: &&Seal| [(*one, *other), (*other, *one)].contains(&seal.between);
    let is_lasting = engine.seals.iter().filter(between).all(|seal| seal.when.is_empty());
    // "Only while": whether it does at other times is not asked.
    if is_only && (!state.is_any() || 1 < engine.seals.iter().filter(between).count())
        || seals.is_empty() && !state.is_any() && !is_lasting
    {
        return None;
    }
    if seals.is_empty() && is_denied && named.says("nothing") && named.is_clear() {
        return parted_by_nothing(engine, name, [*one, *other]);
    }
    if seals.is_empty() && named.is_clear() {
        return parted_by_size(engine, name, &named, ([*one, *other], is_denied));
    }
    let [(_, seal)] = seals.as_slice() else { return None };
    // "No ring parts them, only the disc does": what is denied is another one.
    let is_of_others = is_denied && named.stem(0) == "no";
    if is_of_others || !named.is_clear() {
        return None;
    }
    let seal = engine.seals.get(*seal)?;
    let (a, b) = seal.between;
    let lies_there = between(&seal);
    // What lies elsewhere parts them in no state.
    let is_met = if lies_there { state.meets(engine, &seal.when)? } else { true };
    let holds = lies_there && is_met;
    if holds == is_denied && !named.is_plain() {
        return None;
    }
    let room = |at: ChamberId| spoken(engine, at);
    let words = seal.name.spoken();
    let then = if is_met { "" } else { ", and does not seal then" };
    let reason = format!("the {words} is between the {} and the {}{then}", room(a)?, room(b)?);
    let standing = StatementStanding::of(holds != is_denied);
    let question = format!("separates({name}, {words}, {}, {})", room(*one)?, room(*other)?);
    Some(StatementAnswer { standing, reason, question })
}

/// "Nothing seals the breech against the open air", where a ring or a seat does.
fn parted_by_nothing(
    engine: &Engine,
    name: &str,
    rooms: [ChamberId; 2],
) -> Option<StatementAnswer> {
    let [one, other] = rooms;
    let parts = |seal: &&Seal| [(one, other), (other, one)].contains(&seal.between);
    let words = engine.seals.iter().find(parts)?.name.spoken();
    let (one, other) = (spoken(engine, one)?, spoken(engine, other)?);
    Some(StatementAnswer {
        standing: StatementStanding::Fails,
        reason: format!("the {words} is between the {one} and the {other}"),
        question: format!("not separates({name}, {words}, {one}, {other})"),
    })
}

/// "A -014 keeps the tail from the shoulder": the only seal between two rooms, by its size.
fn parted_by_size(
    engine: &Engine,
    name: &str,
    named: &NamedThings<'_>,
    (rooms, is_denied): ([ChamberId; 2], bool),
) -> Option<StatementAnswer> {
    let is_size = |stem: &&str| stem.len() == 3 && stem.bytes().all(|it| it.is_ascii_digit());
    let said = named.words.iter().map(|word| word.stem.as_str()).find(is_size)?;
    let [one, other] = rooms;
    let parts = |seal: &&Seal| [(one, other), (other, one)].contains(&seal.between);
    let mut seals = engine.seals.iter().filter(parts);
    let (seal, None) = (seals.next()?, seals.next()) else { return None };
    let size = seal.size.as_ref()?.id.trim_start_matches('-');
    let words = seal.name.spoken();
    let (one, other) = (spoken(engine, one)?, spoken(engine, other)?);
    Some(StatementAnswer {
        standing: StatementStanding::of((size == said) != is_denied),
        reason: format!("the {words} between the {one} and the {other} is a -{size}"),
        question: format!("separates({name}, -{said}, {one}, {other})"),
    })
}

fn pushed(
    (names, routed): (&StatementNames<'_>, &Routed),
    (name, shows_all): (&str, bool),
    (said, context): (&Phrase, Option<&Phrase>),
    told: ToldPush,
    (state, beside): (ToldState, &SaidBeside),
) -> Option<StatementAnswer> {
    let ToldPush { points_back, verb, is_passive, heading, is_denied } = told;
    let engine = &routed.engine;
    let mut named = NamedThings::of(names, routed, said);
    named.leave_places(beside);
    let named = named;
    let told = context.map(|context| NamedThings::of(names, routed, context));
    let parts = named.parts();
    // "The ram returns": it pushes nothing.
    let is_against = |at: usize| at.checked_sub(2).is_some_and(|at| named.stem(at) == "against");
    let is_alone = !is_passive && !points_back;
    let is_subject = |at: usize| at < verb && is_alone && !is_against(at);
    let (part, striker) = match parts.as_slice() {
        [(at, _)] if is_subject(*at) => return None,
        [(_, part)] => (*part, None),
        [(first, one), (_, two)] if (*first < verb) != is_passive => (*two, Some(*one)),
        [(_, one), (_, two)] => (*one, Some(*two)),
        [] => {
            let spoken_of = told.as_ref().and_then(|told| told.parts().first().copied());
            let part = spoken_of.map(|(_, part)| part);
            (part.or_else(|| only_part_moved(engine, &named))?, None)
        }
        _ => return None,
    };
    let mut sources = sources(engine, &named, part, striker);
    if let (true, Some(told)) = (sources.is_empty(), &told) {
        sources = self::sources(engine, told, part, None);
    }
    let moved = engine.parts.get(part)?;
    let wanted = wanted(engine, part, (heading, named.words))?;
    let ours: Vec<_> = sources.iter().filter(|(of, _)| *of == part).collect();
    let pushes: Vec<_> = ours.iter().filter_map(|(_, push)| moved.pushes.get(*push)).collect();
    let first = pushes.first();
    if (first.is_none() || is_denied) && (beside.is_only || !state.is_any()) {
        return None;
    }
    if first.is_none() || is_denied {
        let asked = (part, wanted, is_denied);
        return kind_of_push(engine, (name, shows_all), &named, asked, &sources);
    }
    let all_alike = pushes.iter().all(|push| first.is_some_and(|f| f.direction == push.direction));
    // What strikes a part one way may well bring it back by some other means.
    let is_struck = striker.is_some() && first.is_some_and(|push| push.direction != wanted);
    if !named.is_clear() || !all_alike || is_struck {
        return None;
    }
    let is_return = matches!(heading, PushHeading::Home | PushHeading::Restored);
    let is_which = is_return || beside.is_only;
    let does = first?.direction == wanted;
    let lasts = pushes.iter().all(|push| lasts(state, engine, push) == Some(true));
    let is_told = if does { lasts } else { named.is_plain() };
    is_told.then(|| pushed_by(name, moved, &pushes, (wanted, is_which))).flatten()
}

/// Which way these push a part; `is_which`: nothing else is said to push it so.
fn pushed_by(
    name: &str,
    moved: &Part,
    pushes: &[&Push],
    (wanted, is_which): (Direction, bool),
) -> Option<StatementAnswer> {
    let push = pushes.first()?;
    let (what, words) = (push.name.spoken(), moved.name.spoken());
    let question = format!("pushes({name}, {what}, {words}, {})", wanted.word());
    let is_named = |other: &Push| pushes.iter().any(|push| push.name == other.name);
    let others = moved.pushes.iter().filter(|other| other.direction == wanted && !is_named(other));
    let others: Vec<String> = others.map(|push| push.name.spoken()).collect();
    if is_which && push.direction == wanted && !others.is_empty() {
        // Which of several brings it back is another question than what pushes it.
        let others = others.join(" and the ");
        let reason = format!("the {others} pushes the {words} {} too", wanted.word());
        return Some(StatementAnswer { standing: StatementStanding::Open, reason, question });
    }
    let reason = format!("the {what} pushes the {words} {}", push.direction.word());
    let standing = StatementStanding::of(push.direction == wanted);
    Some(StatementAnswer { standing, reason, question })
}

/// "A spring brings it back", "no spring returns it": what is named is of another part, or only its
/// kind is told, and no push of that kind does so.
fn kind_of_push(
    engine: &Engine,
    (name, shows_all): (&str, bool),
    named: &NamedThings<'_>,
    (part, wanted, is_denied): (PartId, Direction, bool),
    sources: &[(PartId, PushId)],
) -> Option<StatementAnswer> {
    let moved = engine.parts.get(part)?;
    let words = moved.name.spoken();
    let pushes = moved.pushes.iter().filter(|push| push.direction == wanted);
    let by: Vec<String> = pushes.clone().map(|push| push.name.spoken()).collect();
    let is_meant = |(of, push): &(PartId, PushId)| {
        *of == part && moved.pushes.get(*push).is_some_and(|push| push.direction == wanted)
    };
    let says_spring = ["spring", "coil", "wire"].iter().any(|word| named.says(word));
    // "Air brings it back": where every push that way is a face, or none.
    let is_air = |push: &Push| matches!(push.kind, PushKind::Face(_));
    let is_unnamed = sources.is_empty() && named.rooms().is_empty();
    let says_air = named.says("air") && !says_spring && is_unnamed;
    let by_air = says_air && pushes.clone().all(is_air);
    let by_no_air = says_air && !pushes.clone().any(is_air);
    // A cutaway need not show every spring, unless as many are counted.
    let is_absent = match (sources.is_empty(), says_spring) {
        (false, _) => false,
        (true, true) => !is_denied && !shows_all,
        (true, false) => !by_air && !by_no_air,
    };
    let does = by_air || sources.iter().any(is_meant);
    if is_absent || by.is_empty() || !named.is_clear() || does == is_denied && !named.is_plain() {
        return None;
    }
    // What pushes another part may push this one by way of it.
    let meets = |of: PartId, part: PartId| {
        let known = engine.parts.get(of).into_iter().flat_map(|part| part.pushes.iter());
        known.clone().any(|push| push.kind == PushKind::Contact(part))
    };
    let is_passed_on = |(of, _): &(PartId, PushId)| {
        *of != part && (meets(*of, part) || meets(part, *of) || !engine.links.is_empty())
    };
    if sources.iter().any(is_passed_on) {
        return None;
    }
    let reason = format!("the {words} is pushed {} by the {}", wanted.word(), by.join(" and the "));
    let what = sources.first().and_then(|(of, at)| engine.parts.get(*of)?.pushes.get(*at));
    let unnamed = || if says_spring { "spring" } else { "air" }.to_owned();
    let what = what.map_or_else(unnamed, |push| push.name.spoken());
    let question = format!("pushes({name}, {what}, {words}, {})", wanted.word());
    let standing = StatementStanding::of(does != is_denied);
    Some(StatementAnswer { standing, reason, question })
}
