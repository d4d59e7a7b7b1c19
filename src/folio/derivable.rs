//! What can be said already: which results follow from the readings there are, which are one
//! reading away, and which measurement unlocks most.

use super::Folio;
use super::roles::{FigureRole, PARTS, Players, part, players, squeezed};
use crate::formula::{
    self, Formula, Margin, Outcome, Truth, Value, functions, standard_uncertainty,
};
use crate::quantity::Dimension;
use crate::quantity::print::{Style, in_unit};
use crate::quantity::units::parse_unit;
use crate::sheet::Ledger;
use crate::sheet::print::valued;
use std::collections::BTreeMap;

/// A result that follows from readings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Follows {
    /// What it is, in words.
    pub(crate) what: String,
    /// A name for it that the sheet does not have.
    pub(crate) name: String,
    /// The formula, ready for `derived:`.
    pub(crate) formula: String,
    pub(crate) value: String,
    /// The figure of the sheet that is this already.
    pub(crate) stated: Option<String>,
}

/// A result that lacks one reading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Lacks {
    /// What it would be, in words.
    pub(crate) what: String,
    /// The reading it needs, in words.
    pub(crate) needs: &'static str,
}

/// What an engine's readings give.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Next {
    pub(crate) follows: Vec<Follows>,
    /// What lacks one reading.
    pub(crate) lacks: Vec<Lacks>,
    /// Readings to take first, most useful first, with how many results each unlocks.
    pub(crate) measure_first: Vec<(&'static str, usize)>,
}

/// A result: its name, what it is, and its formula, all with roles in braces.
pub(super) struct DerivableRule {
    name: &'static str,
    what: &'static str,
    pub(super) formula: &'static str,
    /// What must be certain for the formula to hold; empty for nothing.
    holds: &'static str,
    /// Whether two of its players must share a word, as a spring and the stroke of the same part.
    of_one_part: bool,
}

impl DerivableRule {
    const fn new(name: &'static str, what: &'static str, formula: &'static str) -> DerivableRule {
        DerivableRule { name, what, formula, holds: "", of_one_part: false }
    }

    /// The roles in its formula and in what must hold.
    pub(super) fn roles(&self) -> Vec<FigureRole> {
        let named = |part: &&super::roles::RolePart| {
            self.formula.contains(part.brace) || self.holds.contains(part.brace)
        };
        PARTS.iter().filter(named).map(|part| part.role).collect()
    }
}

/// What feeds an emptied store is choked: ISO 6358-1 has 0.528 as the critical ratio of an ideal
/// nozzle.
pub(crate) const CHOKED: &str = "absolute({after}) / absolute({pressure}) < 0.528";

pub(super) const RULES: [DerivableRule; 13] = [
    DerivableRule::new("{hole}_area", "area of {hole}", "circle_area({hole})"),
    DerivableRule {
        holds: CHOKED,
        ..DerivableRule::new(
            "{hole}_flow",
            "flow through {hole} while the store is at its lowest",
            "choked_flow(circle_area({hole}), {pressure}, 0.8)",
        )
    },
    DerivableRule::new(
        "stored_energy",
        "energy stored in the air",
        "stored_energy({volume}, {pressure})",
    ),
    DerivableRule::new("stored_air", "mass of the stored air", "air_mass({volume}, {pressure})"),
    DerivableRule::new(
        "share_left",
        "share of the air that stays, between a slow shot and a quick one",
        "retained_share({pressure}, {after})",
    ),
    DerivableRule::new(
        "air_per_shot",
        "air per shot",
        "air_per_shot({volume}, {pressure}, {after})",
    ),
    DerivableRule::new(
        "shots_per_bottle",
        "shots per bottle",
        "shots_per_bottle({bottle}, {bottle_pressure}, {pressure}, air_per_shot({volume}, {pressure}, {after}))",
    ),
    DerivableRule::new("ball_energy", "energy of the ball", "kinetic_energy({mass}, {speed})"),
    DerivableRule::new(
        "ball_energy_over_area",
        "energy of the ball over its area",
        "energy_per_area({mass}, {speed}, {bore})",
    ),
    DerivableRule::new("{bore}_area", "area of the barrel bore", "circle_area({bore})"),
    DerivableRule::new(
        "ideal_exit_speed",
        "ideal exit speed, no loss, no heat",
        "exit_speed({volume}, {pressure}, {bore}, {travel}, {mass})",
    ),
    DerivableRule::new(
        "refill_time",
        "time to fill the store again through {hole}",
        "fill_time({volume}, circle_area({hole}), {pressure}, {after}, {pressure}, 0.8)",
    ),
    DerivableRule {
        of_one_part: true,
        ..DerivableRule::new(
            "{rate}_force_change",
            "change of the spring's force over the stroke",
            "{rate} * {stroke}",
        )
    },
];

/// Works out what follows from the readings of one sheet.
pub(crate) fn next(folio: &Folio, sheet: usize) -> Next {
    let sheet = Derivable { ledger: &folio.ledger, sheet, players: players(folio, sheet) };
    let mut next = Next::default();
    let mut unlocks: BTreeMap<FigureRole, usize> = BTreeMap::new();
    for rule in &RULES {
        let roles = rule.roles();
        let missing: Vec<FigureRole> =
            roles.into_iter().filter(|role| !sheet.players.contains_key(role)).collect();
        match missing.as_slice() {
            [] => next.follows.extend(sheet.follow(rule)),
            [role] => {
                *unlocks.entry(*role).or_default() += 1;
                let needs = role_words(*role);
                next.lacks.push(Lacks { what: sheet.in_words(rule.what), needs });
            }
            _ => {}
        }
    }
    next.follows.extend(sheet.holes());
    next.follows.extend(sheet.rings());
    let mut ranked: Vec<(FigureRole, usize)> = unlocks.into_iter().collect();
    ranked.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
    next.measure_first =
        ranked.into_iter().take(3).map(|(role, count)| (role_words(role), count)).collect();
    next
}

fn role_words(role: FigureRole) -> &'static str {
    part(role).map_or("another reading", |part| part.words)
}

/// A sheet with the figures that play a role in results.
struct Derivable<'a> {
    ledger: &'a Ledger,
    sheet: usize,
    players: Players,
}

impl Derivable<'_> {
    fn with_names(&self, text: &str) -> String {
        PARTS.iter().fold(text.to_owned(), |text, part| match self.players.get(&part.role) {
            Some(name) => text.replace(part.brace, name),
            None => text,
        })
    }

    /// The words of a rule with names in words.
    fn in_words(&self, text: &str) -> String {
        PARTS.iter().fold(text.to_owned(), |text, part| {
            let words = match self.players.get(&part.role) {
                Some(name) => format!("the {}", name.replace('_', " ")),
                None => part.words.to_owned(),
            };
            text.replace(part.brace, &words)
        })
    }

    fn follow(&self, rule: &DerivableRule) -> Option<Follows> {
        if !rule.holds.is_empty() && !self.is_certain(&self.with_names(rule.holds)) {
            return None;
        }
        if rule.of_one_part && !self.share_a_word(&rule.roles()) {
            return None;
        }
        let (name, formula) = (self.with_names(rule.name), self.with_names(rule.formula));
        self.made(&name, self.in_words(rule.what), formula)
    }

    fn is_certain(&self, comparison: &str) -> bool {
        let Ok(parsed) = formula::parse(comparison) else { return false };
        let truth = self.evaluated(&parsed);
        matches!(truth, Some(Outcome::Truth(Truth::True(Margin::Certain))))
    }

    fn share_a_word(&self, roles: &[FigureRole]) -> bool {
        let names: Vec<&String> = roles.iter().filter_map(|role| self.players.get(role)).collect();
        let [first, others @ ..] = names.as_slice() else { return false };
        let shared = |word: &str| others.iter().all(|name| name.split('_').any(|w| w == word));
        first.split('_').any(shared)
    }

    fn evaluated(&self, formula: &Formula) -> Option<Outcome> {
        let conventions = &self.ledger.sheets[self.sheet].conventions;
        formula::evaluate(formula, &self.ledger.scope(self.sheet), conventions).ok()
    }

    fn made(&self, name: &str, what: String, formula: String) -> Option<Follows> {
        let parsed = formula::parse(&formula).ok()?;
        let Some(Outcome::Value(value)) = self.evaluated(&parsed) else { return None };
        let sheet = &self.ledger.sheets[self.sheet];
        let same = sheet.entries.iter().find(|entry| {
            let written = entry.derived().map(|derived| squeezed(&derived.decl.formula.text));
            written.is_some_and(|written| written == squeezed(&formula))
        });
        let stated = same.map(|entry| entry.words());
        let name = self.free_name(name);
        let value = self.printed(&parsed, &value);
        Some(Follows { what, name, formula, value, stated })
    }

    /// A name that no figure of the sheet has.
    fn free_name(&self, name: &str) -> String {
        let sheet = &self.ledger.sheets[self.sheet];
        let numbered = (2..).map(|number| format!("{name}_{number}"));
        let mut names = std::iter::once(name.to_owned()).chain(numbered);
        names.find(|name| sheet.entry(name).is_none()).unwrap_or_default()
    }

    /// The value in the unit of its function, else in the usual one of its kind.
    fn printed(&self, formula: &Formula, value: &Value) -> String {
        let expanded = 2.0 * standard_uncertainty(value, &self.ledger.scope(self.sheet));
        let function = formula.function().and_then(functions::find);
        let unit = function.and_then(|function| parse_unit(function.unit)).map(|unit| unit.unit);
        let unit = unit.filter(|unit| unit.dimension == value.quantity.dimension);
        let style = Style::computed(&value.quantity, unit, expanded, false);
        in_unit(&value.quantity, &style.unit, style.resolution)
    }

    /// Two holes: the ratio of their areas is that of their flows at the same pressures and loss.
    fn holes(&self) -> Option<Follows> {
        let hole = part(FigureRole::Hole)?;
        let entries = self.ledger.sheets[self.sheet].entries.iter().enumerate();
        let has = |cue: &str, words: &[&str]| cue.split(' ').any(|word| words.contains(&word));
        let mut found = entries.filter(|(at, entry)| {
            let value = || self.ledger.nominal(self.sheet, *at);
            entry.reading().is_some()
                && entry.cues.iter().any(|cue| has(cue, hole.known_by))
                && !entry.cues.iter().any(|cue| has(cue, hole.not))
                && value().is_some_and(|value| value.quantity.dimension == Dimension::LENGTH)
        });
        let ((_, first), (_, second)) = (found.next()?, found.next()?);
        let (a, b) = (&first.name.text, &second.name.text);
        let what = format!(
            "area of the {} to that of the {}; of their flows too where both have the same pressures \
             and loss",
            second.words(),
            first.words()
        );
        self.made(&format!("{b}_to_{a}"), what, format!("({b} / {a})^2"))
    }

    /// Two rings: what is the same and what differs.
    fn rings(&self) -> Option<Follows> {
        let entries = &self.ledger.sheets[self.sheet].entries;
        let mut found = entries.iter().enumerate().filter_map(|(index, entry)| {
            let stated = entry.reading()?.statements.first()?;
            let dash = stated.written.strip_prefix("AS568 ")?;
            valued(self.ledger, self.sheet, index)?;
            Some((entry, crate::tables::ring(dash).ok()?))
        });
        let ((first, a), (second, b)) = (found.next()?, found.next()?);
        let what = format!("{} against {}", second.words(), first.words());
        let (first, second) = (&first.name.text, &second.name.text);
        let formula = format!("{second}.inside - {first}.inside");
        let made = self.made(&format!("{second}_over_{first}"), what, formula)?;
        Some(Follows { value: crate::tables::compare_rings(a, b).sentence(), ..made })
    }
}
