//! Which figure of an engine plays which part in a result: its operating pressure, its store.
//!
//! What the cutaway draws says it first, then the formulas that the writer has written, and words
//! only then.

use super::Folio;
use super::derivable::RULES;
use super::solids::result_named;
use crate::cutaway::Engine;
use crate::cutaway::model::{Element, Name, Role as ChamberRole, Width};
use crate::quantity::Dimension;
use crate::sheet::Ledger;
use crate::sheet::entry::Entry;
use std::collections::BTreeMap;

/// A part that a figure can play in a result.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum FigureRole {
    BottlePressure,
    PressureAfter,
    Pressure,
    Bottle,
    Volume,
    Bore,
    Travel,
    Hole,
    Stroke,
    Mass,
    Speed,
    Rate,
}

/// What is known of a role.
pub(super) struct RolePart {
    pub(super) role: FigureRole,
    /// How formulas of rules write it.
    pub(super) brace: &'static str,
    /// What it is called.
    pub(super) words: &'static str,
    pub(super) dimension: Dimension,
    /// Words by which a figure of its dimension is known.
    pub(super) known_by: &'static [&'static str],
    /// Words by which such a figure is known to be something else.
    pub(super) not: &'static [&'static str],
}

/// The narrower roles come before the wider ones of their dimension.
pub(super) const PARTS: [RolePart; 12] = [
    RolePart {
        role: FigureRole::BottlePressure,
        brace: "{bottle_pressure}",
        words: "the bottle pressure",
        dimension: Dimension::PRESSURE,
        known_by: &["bottle"],
        not: &["drop", "burst", "test"],
    },
    RolePart {
        role: FigureRole::PressureAfter,
        brace: "{after}",
        words: "the pressure left after a shot",
        dimension: Dimension::PRESSURE,
        known_by: &["lowest", "left", "after", "end of shot", "stays"],
        not: &["drop", "burst", "bottle"],
    },
    RolePart {
        role: FigureRole::Pressure,
        brace: "{pressure}",
        words: "the operating pressure",
        dimension: Dimension::PRESSURE,
        known_by: &["operating", "working", "set", "supply", "regulator", "regulated"],
        not: &["drop", "burst", "bottle", "lowest", "stall"],
    },
    RolePart {
        role: FigureRole::Bottle,
        brace: "{bottle}",
        words: "the bottle volume",
        dimension: Dimension::VOLUME,
        known_by: &["bottle"],
        not: &[],
    },
    RolePart {
        role: FigureRole::Volume,
        brace: "{volume}",
        words: "the store volume",
        dimension: Dimension::VOLUME,
        known_by: &["store", "chamber", "reservoir"],
        not: &["bottle"],
    },
    RolePart {
        role: FigureRole::Bore,
        brace: "{bore}",
        words: "the barrel bore",
        dimension: Dimension::LENGTH,
        known_by: &["barrel bore", "bore of the barrel", "caliber"],
        not: &["length", "depth", "stroke", "travel"],
    },
    RolePart {
        role: FigureRole::Travel,
        brace: "{travel}",
        words: "the barrel length",
        dimension: Dimension::LENGTH,
        known_by: &["barrel length", "length of the barrel"],
        not: &[],
    },
    RolePart {
        role: FigureRole::Hole,
        brace: "{hole}",
        words: "a metering or vent hole",
        dimension: Dimension::LENGTH,
        known_by: &["metering", "vent", "hole", "orifice", "drill", "jet"],
        not: &["stroke", "travel", "length", "lift", "depth", "spacing", "wall", "seal", "ring"],
    },
    RolePart {
        role: FigureRole::Stroke,
        brace: "{stroke}",
        words: "a stroke",
        dimension: Dimension::LENGTH,
        known_by: &["stroke", "travel"],
        not: &["bore", "hole"],
    },
    RolePart {
        role: FigureRole::Mass,
        brace: "{mass}",
        words: "the mass of the ball",
        dimension: Dimension::MASS,
        known_by: &["pellet", "ball", "shot mass"],
        not: &["engine", "spool", "bolt"],
    },
    RolePart {
        role: FigureRole::Speed,
        brace: "{speed}",
        words: "the exit speed",
        dimension: Dimension::VELOCITY,
        known_by: &["muzzle", "exit", "speed", "velocity"],
        not: &["sound", "bolt", "spool"],
    },
    RolePart {
        role: FigureRole::Rate,
        brace: "{rate}",
        words: "a spring rate",
        dimension: Dimension::SPRING_RATE,
        known_by: &["spring", "rate"],
        not: &["energy"],
    },
];

/// What is known of a role.
pub(super) fn part(role: FigureRole) -> Option<&'static RolePart> {
    PARTS.iter().find(|part| part.role == role)
}

/// The figures of a sheet that play each role, by name.
pub(super) type Players = BTreeMap<FigureRole, String>;

/// Finds the players of a sheet.
pub(super) fn players(folio: &Folio, sheet: usize) -> Players {
    let mut cast = Cast { ledger: &folio.ledger, sheet, players: Players::new() };
    let engine = folio.ledger.sheets[sheet].engine.as_ref();
    if let Some(routed) = engine.and_then(|engine| folio.routing.of(engine)) {
        cast.by_cutaway(&routed.engine);
    }
    cast.by_formulas();
    cast.by_words();
    let mut players = cast.players;
    if !players.contains_key(&FigureRole::Volume) {
        let drawn = drawn_store_volume(folio, sheet);
        players.extend(drawn.map(|volume| (FigureRole::Volume, volume)));
    }
    players
}

/// The volume of all stores of an engine as its drawing gives it, as a formula; `None` where the
/// drawing does not give it for each.
pub(crate) fn drawn_store_volume(folio: &Folio, sheet: usize) -> Option<String> {
    let engine = folio.ledger.sheets[sheet].engine.as_ref();
    let engine = &folio.routing.of(engine?)?.engine;
    let stores = engine.chambers.iter().filter(|chamber| chamber.role == ChamberRole::Store);
    let volumes = stores.map(|store| {
        let path = format!("{}.volume", store.name.id);
        result_named(folio, sheet, &path).ok().map(|_| format!("cut.{path}"))
    });
    let volumes: Vec<String> = volumes.collect::<Option<_>>()?;
    (!volumes.is_empty()).then(|| volumes.join(" + "))
}

struct Cast<'a> {
    ledger: &'a Ledger,
    sheet: usize,
    players: Players,
}

impl Cast<'_> {
    /// Gives a role to a figure, if it has the right dimension and neither has one yet.
    fn give(&mut self, role: FigureRole, name: &str) {
        let fits = || {
            let dimension = part(role)?.dimension;
            let (sheet, entry, _) = self.ledger.resolve(self.sheet, &[name])?;
            let value = self.ledger.nominal(sheet, entry)?;
            Some(sheet == self.sheet && value.quantity.dimension == dimension)
        };
        let is_taken = self.players.values().any(|player| player == name);
        if !self.players.contains_key(&role) && !is_taken && fits() == Some(true) {
            self.players.insert(role, name.to_owned());
        }
    }

    /// What is drawn at a reading, and what is named as the store, the ball, a narrow way.
    fn by_cutaway(&mut self, engine: &Engine) {
        let supplies = engine.chambers.iter().filter(|chamber| chamber.is_supply());
        let several = 1 < supplies.count();
        for (element, reading) in &engine.readings {
            let role = match *element {
                Element::Chamber(at) => {
                    let chamber = &engine.chambers[at];
                    let is_bottle = several && chamber.regulated_from.is_none();
                    match chamber.role {
                        ChamberRole::Supply if is_bottle => Some(FigureRole::BottlePressure),
                        ChamberRole::Supply => Some(FigureRole::Pressure),
                        ChamberRole::Store => Some(FigureRole::Volume),
                        _ => None,
                    }
                }
                Element::Way(at) if engine.ways[at].barrel => Some(FigureRole::Bore),
                Element::Way(at) => {
                    (engine.ways[at].width != Width::Wide).then_some(FigureRole::Hole)
                }
                _ => None,
            };
            if let Some(role) = role {
                self.give(role, &reading.id);
            }
        }
        let stores = engine.chambers.iter().filter(|chamber| chamber.role == ChamberRole::Store);
        for store in stores {
            let drawn = format!("cut.{}.volume", store.name.id);
            let mut same = self.ledger.sheets[self.sheet].entries.iter().filter(|entry| {
                entry.derived().is_some_and(|it| squeezed(&it.decl.formula.text) == drawn)
            });
            if let Some(same) = same.next() {
                self.give(FigureRole::Volume, &same.name.text);
            }
            self.give_named(FigureRole::Volume, &store.name);
        }
        for way in engine.ways.iter().filter(|way| way.width != Width::Wide) {
            self.give_named(FigureRole::Hole, &way.name);
        }
        if let Some(ball) = &engine.ball {
            self.give_named(FigureRole::Mass, &ball.name);
        }
    }

    /// Gives a role to the only figure that has the words of a thing in its name.
    fn give_named(&mut self, role: FigureRole, thing: &Name) {
        let spoken = thing.id.replace('_', " ");
        let names =
            || std::iter::once(spoken.as_str()).chain(thing.called.iter().map(String::as_str));
        let fitting = self.fitting(role, |cue| names().any(|name| has_words(cue, name)));
        if let [only] = fitting.as_slice() {
            self.give(role, only);
        }
    }

    /// What stands where a rule's formula has a role, in the formulas that are written already.
    fn by_formulas(&mut self) {
        let entries = &self.ledger.sheets[self.sheet].entries;
        let written = entries.iter().filter_map(|entry| entry.derived());
        let written: Vec<String> =
            written.map(|derived| squeezed(&derived.decl.formula.text)).collect();
        let mut found = Vec::new();
        for rule in RULES.iter().filter(|rule| 1 < rule.roles().len()) {
            let template = squeezed(rule.formula);
            let Some((function, _)) = template.split_once('(') else { continue };
            for text in &written {
                for (at, _) in text.match_indices(&format!("{function}(")) {
                    learn(&template, &text[at..], &mut found);
                }
            }
        }
        for (role, name) in found {
            self.give(role, &name);
        }
    }

    fn by_words(&mut self) {
        for part in &PARTS {
            let known = |cue: &str| part.known_by.iter().any(|word| has_words(cue, word));
            if let Some(first) = self.fitting(part.role, known).first() {
                self.give(part.role, first);
            }
        }
        for role in [FigureRole::Pressure, FigureRole::Volume] {
            if let [only] = self.fitting(role, |_| true).as_slice() {
                self.give(role, only);
            }
        }
    }

    /// Readings of a role's dimension whose names fit and do not say something else.
    fn fitting(&self, role: FigureRole, fits: impl Fn(&str) -> bool) -> Vec<String> {
        let Some(part) = part(role) else { return Vec::new() };
        let entries = self.ledger.sheets[self.sheet].entries.iter().enumerate();
        let fitting = entries.filter(|(at, entry)| {
            let is_else = |cue: &String| part.not.iter().any(|word| has_words(cue, word));
            let value = || self.ledger.nominal(self.sheet, *at);
            (entry.reading().is_some() || is_off_drawing(entry))
                && entry.cues.iter().any(|cue| fits(cue))
                && !entry.cues.iter().any(is_else)
                && !self.players.values().any(|player| *player == entry.name.text)
                && value().is_some_and(|value| value.quantity.dimension == part.dimension)
        });
        fitting.map(|(_, entry)| entry.name.text.clone()).collect()
    }
}

/// Whether a figure is one result of the drawing, which is as good as a reading.
fn is_off_drawing(entry: &Entry) -> bool {
    let Some(derived) = entry.derived() else { return false };
    let formula = squeezed(&derived.decl.formula.text);
    let is_name = |c: char| c.is_ascii_alphanumeric() || ['_', '.'].contains(&c);
    formula.starts_with("cut.") && formula.chars().all(is_name)
}

/// Whether a cue holds these words, whole.
fn has_words(cue: &str, words: &str) -> bool {
    format!(" {cue} ").contains(&format!(" {words} "))
}

pub(super) fn squeezed(text: &str) -> String {
    text.split_whitespace().collect()
}

/// Reads off a formula what stands in the places of a template's roles; both begin with the same
/// call and have no blanks.
fn learn(template: &str, written: &str, found: &mut Vec<(FigureRole, String)>) {
    if let Some(part) = PARTS.iter().find(|part| part.brace == template) {
        let is_name =
            written.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_');
        if is_name && !written.is_empty() {
            found.push((part.role, written.to_owned()));
        }
        return;
    }
    let (Some((function, wanted)), Some((other, given))) = (call(template), call(written)) else {
        return;
    };
    if function == other {
        for (wanted, given) in wanted.iter().zip(given) {
            learn(wanted, given, found);
        }
    }
}

/// The name and the arguments of a call that a text begins with.
fn call(text: &str) -> Option<(&str, Vec<&str>)> {
    let open = text.find('(')?;
    let mut arguments = Vec::new();
    let (mut depth, mut start) = (0_usize, open + 1);
    for (at, c) in text.char_indices().skip_while(|(at, _)| *at < open) {
        match c {
            '(' => depth += 1,
            ')' if depth == 1 => {
                arguments.push(text.get(start..at)?);
                return Some((&text[..open], arguments));
            }
            ')' => depth = depth.checked_sub(1)?,
            ',' | ';' if depth == 1 => {
                arguments.push(text.get(start..at)?);
                start = at + 1;
            }
            _ => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn roles_are_read_off_written_formulas() {
        let mut found = Vec::new();
        let template = squeezed("choked_flow(circle_area({hole}), {pressure}, 0.8)");
        learn(&template, "choked_flow(circle_area(feed),line,0.75)*2", &mut found);
        assert_eq!(
            found,
            [(FigureRole::Hole, "feed".to_owned()), (FigureRole::Pressure, "line".to_owned())]
        );
        for other in ["choked_flow(feed_area,line)", "choked_flow(", "choked_flow))", "x"] {
            let mut found = Vec::new();
            learn(&template, other, &mut found);
            assert!(
                found.iter().all(|(role, _)| *role == FigureRole::Pressure),
                "{other}: {found:?}"
            );
        }
    }
}
