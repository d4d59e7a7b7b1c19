//! What is said of things, and of what opens, moves or holds them, in words.

use super::matching::{Matching, common_order};
use super::needs::Needs;
use crate::cutaway::model::{
    ChamberId, ChoiceId, Condition, Direction, Element, LandmarkId, Name, PartId, PositionId,
    TriggerId, ValveId,
};
use crate::cutaway::{Engine, condition_words};
use crate::text;
use std::collections::{BTreeMap, BTreeSet};

/// Two engines, their titles, and what is what in them.
pub(super) struct Two<'a> {
    pub(super) engines: [&'a Engine; 2],
    pub(super) titles: [String; 2],
    pub(super) matching: &'a Matching,
    /// A number for each thing that hangs on structure alone, partners' the same.
    pub(super) order: [BTreeMap<Element, u64>; 2],
}

/// A thing of which conditions are said.
pub(super) struct Subject<'a> {
    /// With its article: "the mouth", "the front face of the switch".
    pub(super) name: &'a str,
    pub(super) does: Does,
}

/// What a thing does while its conditions hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Does {
    Open,
    Act,
    Seal,
    Shift,
    Return,
    DropIn,
}

impl Does {
    /// What stands in front of a sentence on it: "to act, "; of a way that goes without saying.
    fn aim(self) -> &'static str {
        match self {
            Does::Open => "",
            Does::Act => "to act, ",
            Does::Seal => "to seal, ",
            Does::Shift => "to shift, ",
            Does::Return => "to return, ",
            Does::DropIn => "to drop in, ",
        }
    }

    /// What is said of one that needs nothing, where there is more to say than that.
    fn always(self) -> &'static str {
        match self {
            Does::Open => "is always open",
            Does::Act => "always acts",
            Does::Seal => "always seals",
            Does::Shift | Does::Return | Does::DropIn => "does not",
        }
    }
}

impl<'a> Two<'a> {
    pub(super) fn new(engines: [&'a Engine; 2], matching: &'a Matching) -> Two<'a> {
        let order = common_order(engines, matching);
        Two { engines, titles: titles(engines), matching, order }
    }

    /// With the things of the first engine in its own order, and those of the second by their
    /// partners: so the first is told alike whatever it is set beside.
    pub(super) fn in_order_of_first(mut self) -> Two<'a> {
        let [own, _] = common_order([self.engines[0]; 2], &Matching::default());
        let things: Vec<Element> = self.order[1].keys().copied().collect();
        for thing in things {
            let partner = self.partner(1, thing).and_then(|partner| own.get(&partner));
            if let Some(number) = partner {
                self.order[1].insert(thing, *number);
            }
        }
        self.order[0] = own;
        self
    }

    /// The same with the two engines changed about; `matching` is the one turned.
    pub(super) fn turned(&self, matching: &'a Matching) -> Two<'a> {
        let [first, second] = self.engines;
        let [title, other] = self.titles.clone();
        let [order, of_other] = self.order.clone();
        let (engines, titles, order) = ([second, first], [other, title], [of_other, order]);
        Two { engines, titles, matching, order }
    }

    /// Which way a push goes, seen with the second engine turned as it is compared.
    pub(super) fn direction(&self, side: usize, direction: Direction) -> Direction {
        if side == 0 { direction } else { self.matching.facing.of(direction) }
    }

    /// What a thing is called, without article.
    pub(super) fn name(&self, side: usize, thing: Element) -> String {
        thing.name(self.engines[side]).map_or_else(|| "joint".to_owned(), Name::spoken)
    }

    /// The same for a table, where pieces need the part that they belong to: "rear of switch".
    pub(super) fn label(&self, side: usize, thing: Element) -> String {
        let name = self.name(side, thing);
        match thing.owner() {
            Some(owner) => format!("{name} of {}", self.name(side, owner)),
            None => name,
        }
    }

    /// What two things are called of which the first stands in a sentence on the first engine, the
    /// second in one on the second: two that are not the same must not sound as if they were.
    /// `things` are those of the second engine that its words speak of.
    pub(super) fn apart(
        &self,
        here: String,
        there: String,
        things: impl IntoIterator<Item = Element>,
    ) -> (String, String) {
        let which = if here == there { self.which(things) } else { String::new() };
        (here, format!("{there}{which}"))
    }

    /// Which thing of the second engine is meant, where one of the first is called alike: "(Rowan's
    /// shaft)", after what the first calls the same.
    fn which(&self, things: impl IntoIterator<Item = Element>) -> String {
        let title = &self.titles[0];
        let told = things.into_iter().find_map(|thing| match self.partner(1, thing) {
            None => Some(format!(" (which {title} lacks)")),
            Some(partner) => {
                let name = self.name(0, partner);
                (name != self.name(1, thing)).then(|| format!(" ({title}\u{2019}s {name})"))
            }
        });
        told.unwrap_or_else(|| " (another one)".to_owned())
    }

    /// What differs of one thing, by the name that each engine gives it: "the switch is a spool in
    /// Rowan, the poppet a poppet in Oak". The names come with their article.
    pub(super) fn differs(
        &self,
        [name, other]: [&str; 2],
        does: &str,
        here: &str,
        there: &str,
    ) -> String {
        let [title, other_title] = &self.titles;
        let other = if name == other { String::new() } else { format!("{other} ") };
        format!("{name} {does} {here} in {title}, {other}{there} in {other_title}")
    }

    /// What a chamber is called, with article.
    pub(super) fn chamber(&self, side: usize, chamber: ChamberId) -> String {
        format!("the {}", self.name(side, Element::Chamber(chamber)))
    }

    /// What a thing of one engine is in the other.
    pub(super) fn partner(&self, side: usize, thing: Element) -> Option<Element> {
        if side == 0 { self.matching.second_of(thing) } else { self.matching.first_of(thing) }
    }

    /// Whether the two chambers, of the first and the second engine, are the same.
    pub(super) fn same_chamber(&self, first: ChamberId, second: ChamberId) -> bool {
        self.partner(0, Element::Chamber(first)) == Some(Element::Chamber(second))
    }

    /// Whether the two pairs of chambers are the same, whichever is named first.
    pub(super) fn same_two(
        &self,
        first: (ChamberId, ChamberId),
        second: (ChamberId, ChamberId),
    ) -> bool {
        let straight = self.same_chamber(first.0, second.0) && self.same_chamber(first.1, second.1);
        straight || self.same_chamber(first.0, second.1) && self.same_chamber(first.1, second.0)
    }

    /// "only Rowan: …".
    pub(super) fn only(&self, side: usize, what: &str) -> String {
        format!("only {}: {what}", self.titles[side])
    }

    /// "line and store".
    pub(super) fn both_chambers(
        &self,
        side: usize,
        (one, other): (ChamberId, ChamberId),
    ) -> String {
        format!("{} and {}", self.chamber(side, one), self.chamber(side, other))
    }

    /// Sentences on what the conditions of two partners ask for differently, each true from both
    /// sides: "Rowan's mouth also needs the bolt short of caught; Ash's does not".
    pub(super) fn need_differences(
        &self,
        needs: [&Needs; 2],
        subjects: [&Subject<'_>; 2],
    ) -> Vec<String> {
        let asks = [0, 1].map(|side| asks(needs[side]));
        let need = |side: usize, ask: Ask| self.need(side, needs[side], ask);
        let mut says = Vec::new();
        let mut met = BTreeSet::new();
        let mut alone: [Vec<Ask>; 2] = [Vec::new(), Vec::new()];
        for ask in &asks[0] {
            let Some(other) = self.same_ask(*ask, &asks[1]) else {
                alone[0].push(*ask);
                continue;
            };
            met.insert(other);
            if !self.alike(needs, *ask, other) {
                says.push(self.both_need(subjects, need(0, *ask), (need(1, other), other)));
            }
        }
        alone[1].extend(asks[1].iter().filter(|ask| !met.contains(ask)));
        if let ([one], [other]) = (alone[0].as_slice(), alone[1].as_slice()) {
            says.push(self.both_need(subjects, need(0, *one), (need(1, *other), *other)));
            return says;
        }
        let mut told: Vec<String> = Vec::new();
        for side in [0, 1] {
            for ask in &alone[side] {
                let needed = need(side, *ask);
                let is_another = side == 1 && told.contains(&needed);
                let another = if is_another { self.which(ask.thing()) } else { String::new() };
                let others = [asks[side].len() - alone[side].len(), asks[1 - side].len()];
                let also = if others[0] == 0 { "needs" } else { "also needs" };
                let does = subjects[side].does;
                let rest = if others[1] == 0 { does.always() } else { "does not" };
                let (own, of_other) =
                    (self.own(side, subjects), self.own_short(1 - side, subjects));
                says.push(format!(
                    "{}{own} {also} {needed}{another}; {of_other} {rest}",
                    does.aim()
                ));
                told.push(needed);
            }
        }
        says
    }

    fn both_need(
        &self,
        subjects: [&Subject<'_>; 2],
        here: String,
        (there, asked): (String, Ask),
    ) -> String {
        let (here, there) = self.apart(here, there, asked.thing());
        let (own, other) = (self.own(0, subjects), self.own_short(1, subjects));
        format!("{}{own} needs {here}, {other} {there}", subjects[0].does.aim())
    }

    /// "Rowan's mouth".
    fn own(&self, side: usize, subjects: [&Subject<'_>; 2]) -> String {
        let name = subjects[side].name;
        let bare = name.strip_prefix("the ").or_else(|| name.strip_prefix("a ")).unwrap_or(name);
        format!("{}\u{2019}s {bare}", self.titles[side])
    }

    /// "Ash's", where both are called alike.
    fn own_short(&self, side: usize, subjects: [&Subject<'_>; 2]) -> String {
        if subjects[0].name == subjects[1].name {
            return format!("{}\u{2019}s", self.titles[side]);
        }
        self.own(side, subjects)
    }

    /// What an ask speaks of, with article.
    fn asked_of(&self, side: usize, ask: Ask) -> String {
        match ask {
            Ask::Stands(part) => format!("the {}", self.name(side, Element::Part(part))),
            Ask::Valve(valve) => format!("the {}", self.name(side, Element::Valve(valve))),
            Ask::Pulled(trigger) | Ask::Released(trigger) => {
                format!("the {}", self.name(side, Element::Trigger(trigger)))
            }
            Ask::Pressure(chamber) | Ask::Above(chamber, _) | Ask::Mark(chamber, _) => {
                format!("the pressure in {}", self.chamber(side, chamber))
            }
            Ask::Choice(_) => String::new(),
        }
    }

    fn same_ask(&self, ask: Ask, others: &[Ask]) -> Option<Ask> {
        let there = |thing: Element| self.partner(0, thing);
        let wanted = match ask {
            Ask::Stands(part) => match there(Element::Part(part))? {
                Element::Part(other) => Ask::Stands(other),
                _ => return None,
            },
            Ask::Valve(valve) => match there(Element::Valve(valve))? {
                Element::Valve(other) => Ask::Valve(other),
                _ => return None,
            },
            Ask::Pulled(trigger) => match there(Element::Trigger(trigger))? {
                Element::Trigger(other) => Ask::Pulled(other),
                _ => return None,
            },
            Ask::Released(trigger) => match there(Element::Trigger(trigger))? {
                Element::Trigger(other) => Ask::Released(other),
                _ => return None,
            },
            // Landmarks are partners by their order from the lowest.
            Ask::Mark(chamber, mark) => {
                let height = self.engines[0].landmarks[mark].height;
                let mut others = self.engines[1].landmarks.entries();
                let (mark, _) = others.find(|(_, other)| other.height == height)?;
                Ask::Mark(self.there(chamber)?, mark)
            }
            Ask::Pressure(chamber) => Ask::Pressure(self.there(chamber)?),
            Ask::Choice(choice) => match there(Element::Choice(choice, 0))? {
                Element::Choice(other, _) => Ask::Choice(other),
                _ => return None,
            },
            Ask::Above(high, low) => Ask::Above(self.there(high)?, self.there(low)?),
        };
        others.contains(&wanted).then_some(wanted)
    }

    fn there(&self, chamber: ChamberId) -> Option<ChamberId> {
        match self.partner(0, Element::Chamber(chamber)) {
            Some(Element::Chamber(other)) => Some(other),
            _ => None,
        }
    }

    /// Whether two asks of partners want the same of them. Positions that only one of the two
    /// parts has are told with the part.
    fn alike(&self, needs: [&Needs; 2], first: Ask, second: Ask) -> bool {
        match (first, second) {
            (Ask::Stands(part), Ask::Stands(other)) => {
                let positions = self.engines[0].parts[part].positions.ids();
                positions.into_iter().all(|position| {
                    match self.partner(0, Element::Position(part, position)) {
                        Some(Element::Position(_, there)) => {
                            needs[0].stands[&part].contains(&position)
                                == needs[1].stands[&other].contains(&there)
                        }
                        _ => true,
                    }
                })
            }
            (Ask::Valve(valve), Ask::Valve(other)) => {
                needs[0].valves[&valve] == needs[1].valves[&other]
            }
            (Ask::Mark(chamber, mark), Ask::Mark(other, there)) => {
                needs[0].marks[&(chamber, mark)] == needs[1].marks[&(other, there)]
            }
            (Ask::Pressure(chamber), Ask::Pressure(other)) => {
                needs[0].pressure[&chamber] == needs[1].pressure[&other]
            }
            (Ask::Choice(choice), Ask::Choice(other)) => self.same_choice(choice, other),
            _ => true,
        }
    }

    /// Whether each of the conditions that `or` joins asks for the same as its partner.
    fn same_choice(&self, choice: ChoiceId, other: ChoiceId) -> bool {
        let [here, there] = [&self.engines[0].choices[choice], &self.engines[1].choices[other]];
        let is_alike = |one: usize| match self.partner(0, Element::Choice(choice, one)) {
            Some(Element::Choice(at, two)) if at == other => {
                self.ask_alike(&here[one], &there[two])
            }
            _ => false,
        };
        here.len() == there.len() && (0..here.len()).all(is_alike)
    }

    /// Whether the conditions of two partners ask for the same.
    pub(super) fn ask_alike(&self, here: &[Condition], there: &[Condition]) -> bool {
        let needs = [Needs::of(self.engines[0], here), Needs::of(self.engines[1], there)];
        let subject = Subject { name: "", does: Does::Act };
        self.need_differences([&needs[0], &needs[1]], [&subject, &subject]).is_empty()
    }

    /// What an ask wants: "the switch at back", "the pilot shifted", "pressure in the tube".
    fn need(&self, side: usize, needs: &Needs, ask: Ask) -> String {
        let of = self.asked_of(side, ask);
        match ask {
            Ask::Choice(choice) => condition_words(self.engines[side], Condition::Either(choice)),
            Ask::Stands(part) => format!("{of} {}", self.stands(side, part, &needs.stands[&part])),
            Ask::Valve(valve) => match needs.valves[&valve].first() {
                Some(true) => format!("{of} shifted"),
                Some(false) => format!("{of} at rest"),
                None => format!("{of} both shifted and at rest, which never is"),
            },
            Ask::Pulled(_) => format!("{of} pulled"),
            Ask::Released(_) => format!("{of} released"),
            Ask::Mark(chamber, mark) => {
                let is_reached = needs.marks[&(chamber, mark)].contains(&true);
                let word = if is_reached { "at least" } else { "less than" };
                let mark = self.engines[side].landmarks[mark].name.spoken();
                format!("{word} {mark} in {}", self.chamber(side, chamber))
            }
            Ask::Pressure(chamber) => {
                let is_wanted = needs.pressure[&chamber].contains(&true);
                let there = if is_wanted { "pressure" } else { "no pressure" };
                format!("{there} in {}", self.chamber(side, chamber))
            }
            Ask::Above(high, low) => {
                let (high, low) = (self.chamber(side, high), self.chamber(side, low));
                format!("more pressure in {high} than in {low}")
            }
        }
    }

    /// "at back", "from caught on", "short of home", "at back or home".
    fn stands(&self, side: usize, part: PartId, stands: &BTreeSet<PositionId>) -> String {
        let positions = &self.engines[side].parts[part].positions;
        let name = |at: PositionId| self.name(side, Element::Position(part, at));
        let (Some(low), Some(high)) = (stands.first(), stands.last()) else {
            return "at two positions at once, which never is".to_owned();
        };
        let is_run = high.place() - low.place() + 1 == stands.len();
        match (is_run, *low, *high) {
            _ if stands.len() == 1 => format!("at {}", name(*low)),
            (true, low, high) if positions.get(high.in_front()).is_none() => {
                format!("from {} on", name(low))
            }
            (true, PositionId::REAR, high) => format!("short of {}", name(high.in_front())),
            _ => format!("at {}", listed(stands.iter().map(|at| name(*at)), "or")),
        }
    }
}

/// One thing that a list of conditions asks for, by what it speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Ask {
    Stands(PartId),
    Valve(ValveId),
    Pulled(TriggerId),
    Released(TriggerId),
    Mark(ChamberId, LandmarkId),
    Pressure(ChamberId),
    Above(ChamberId, ChamberId),
    Choice(ChoiceId),
}

impl Ask {
    /// What it speaks of; nothing for conditions joined by "or".
    fn thing(self) -> Option<Element> {
        Some(match self {
            Ask::Stands(part) => Element::Part(part),
            Ask::Valve(valve) => Element::Valve(valve),
            Ask::Pulled(trigger) | Ask::Released(trigger) => Element::Trigger(trigger),
            Ask::Pressure(chamber) | Ask::Above(chamber, _) | Ask::Mark(chamber, _) => {
                Element::Chamber(chamber)
            }
            Ask::Choice(_) => return None,
        })
    }
}

fn asks(needs: &Needs) -> Vec<Ask> {
    let stands = needs.stands.keys().map(|part| Ask::Stands(*part));
    let valves = needs.valves.keys().map(|valve| Ask::Valve(*valve));
    let pulled = needs.pulled.iter().map(|trigger| Ask::Pulled(*trigger));
    let pressure = needs.pressure.keys().map(|chamber| Ask::Pressure(*chamber));
    let above = needs.above.iter().map(|(high, low)| Ask::Above(*high, *low));
    let released = needs.released.iter().map(|trigger| Ask::Released(*trigger));
    let marks = needs.marks.keys().map(|(chamber, mark)| Ask::Mark(*chamber, *mark));
    let hands = pulled.chain(released);
    let choices = needs.choices.iter().map(|choice| Ask::Choice(*choice));
    let pressures = marks.chain(pressure).chain(above);
    stands.chain(valves).chain(hands).chain(pressures).chain(choices).collect()
}

/// The words as a list; "nothing" for none.
pub(super) fn listed(words: impl IntoIterator<Item = String>, last: &str) -> String {
    let words: Vec<String> = words.into_iter().collect();
    if words.is_empty() { "nothing".to_owned() } else { text::listed(&words, last) }
}

/// How the two engines are called in sentences.
pub(super) fn titles(engines: [&Engine; 2]) -> [String; 2] {
    let [first, second] = engines.map(|engine| match engine.name.spoken().as_str() {
        "" => "the engine".to_owned(),
        // A revision or a variant: `rowan.torn`.
        name => match name.split_once('.') {
            Some((engine, form)) => format!("{} ({form})", text::proper_name(engine)),
            None => text::proper_name(name),
        },
    });
    if first == second {
        return [format!("{first} (first)"), format!("{second} (second)")];
    }
    [first, second]
}
