//! What can be said already: which results follow from the readings there are, which are one
//! reading away, and which measurement unlocks most.

use super::ledger::Ledger;
use super::print::{derived_style, in_unit, valued};
use crate::formula::{self, Outcome, Value, standard_uncertainty};
use crate::quantity::{Dimension, Kind, Quantity};
use std::collections::BTreeMap;

/// A result that follows from readings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Follows {
    /// What it is, in words.
    pub(crate) what: String,
    /// The formula, ready for `derived:`.
    pub(crate) formula: String,
    pub(crate) value: String,
    /// Whether the sheet has it already.
    pub(crate) stated: bool,
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

/// A role that a reading can play in a result.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Role {
    Pressure,
    PressureAfter,
    Volume,
    Hole,
    Bore,
    Travel,
    Mass,
    Speed,
    Bottle,
    BottlePressure,
    Rate,
    Stroke,
    Ring,
    Dwell,
}

/// What each role is called, and the words by which a reading of its dimension is known.
const ROLES: [(Role, &str, Dimension, &[&str]); 13] = [
    (
        Role::Pressure,
        "the operating pressure",
        Dimension::PRESSURE,
        &["operating", "working", "set", "store pressure", "supply", "regulator", "regulated"],
    ),
    (
        Role::PressureAfter,
        "the pressure left after a shot",
        Dimension::PRESSURE,
        &["lowest", "left", "after", "end of shot", "stays"],
    ),
    (Role::BottlePressure, "the bottle pressure", Dimension::PRESSURE, &["bottle"]),
    (Role::Bottle, "the bottle volume", Dimension::VOLUME, &["bottle"]),
    (Role::Volume, "the store volume", Dimension::VOLUME, &["store", "chamber", "reservoir"]),
    (
        Role::Hole,
        "a metering or vent hole",
        Dimension::LENGTH,
        &["metering", "vent", "hole", "orifice", "pilot", "feed", "drill"],
    ),
    (
        Role::Bore,
        "the barrel bore",
        Dimension::LENGTH,
        &["barrel bore", "bore of the barrel", "caliber", "ball", "pellet diameter"],
    ),
    (
        Role::Travel,
        "the barrel length",
        Dimension::LENGTH,
        &["barrel length", "length of the barrel"],
    ),
    (Role::Mass, "the mass of the ball", Dimension::MASS, &["pellet", "ball", "shot mass"]),
    (Role::Speed, "the exit speed", Dimension::VELOCITY, &["muzzle", "exit", "speed", "velocity"]),
    (Role::Rate, "a spring rate", Dimension::SPRING_RATE, &["spring", "rate"]),
    (Role::Stroke, "a stroke", Dimension::LENGTH, &["stroke", "travel"]),
    (Role::Dwell, "the dwell", Dimension::TIME, &["dwell", "open time"]),
];

/// A result: what it is, its formula with roles in braces, and the roles.
struct Rule {
    what: &'static str,
    formula: &'static str,
    roles: &'static [Role],
}

const RULES: [Rule; 15] = [
    Rule { what: "area of {hole}", formula: "circle_area({hole})", roles: &[Role::Hole] },
    Rule {
        what: "choked flow through {hole}",
        formula: "choked_flow(circle_area({hole}), {pressure}, 0.8)",
        roles: &[Role::Hole, Role::Pressure],
    },
    Rule {
        what: "energy stored in the air",
        formula: "stored_energy({volume}, {pressure})",
        roles: &[Role::Volume, Role::Pressure],
    },
    Rule {
        what: "mass of the stored air",
        formula: "air_mass({volume}, {pressure})",
        roles: &[Role::Volume, Role::Pressure],
    },
    Rule {
        what: "share of the air that stays, slow shot (isothermal)",
        formula: "retained_share({pressure}, {after})",
        roles: &[Role::Pressure, Role::PressureAfter],
    },
    Rule {
        what: "share of the air that stays, quick shot (adiabatic)",
        formula: "retained_share_adiabatic({pressure}, {after})",
        roles: &[Role::Pressure, Role::PressureAfter],
    },
    Rule {
        what: "air per shot",
        formula: "air_per_shot({volume}, {pressure}, {after})",
        roles: &[Role::Volume, Role::Pressure, Role::PressureAfter],
    },
    Rule {
        what: "shots per bottle",
        formula: "shots_per_bottle({bottle}, {bottle_pressure}, {pressure}, air_per_shot({volume}, {pressure}, {after}))",
        roles: &[
            Role::Bottle,
            Role::BottlePressure,
            Role::Pressure,
            Role::Volume,
            Role::PressureAfter,
        ],
    },
    Rule {
        what: "energy of the ball",
        formula: "kinetic_energy({mass}, {speed})",
        roles: &[Role::Mass, Role::Speed],
    },
    Rule {
        what: "energy of the ball over its area",
        formula: "energy_per_area({mass}, {speed}, {bore})",
        roles: &[Role::Mass, Role::Speed, Role::Bore],
    },
    Rule { what: "area of the barrel bore", formula: "circle_area({bore})", roles: &[Role::Bore] },
    Rule {
        what: "ideal exit speed, no loss, no heat",
        formula: "exit_speed({volume}, {pressure}, {bore}, {travel}, {mass})",
        roles: &[Role::Volume, Role::Pressure, Role::Bore, Role::Travel, Role::Mass],
    },
    Rule {
        what: "time to fill the store again through {hole}",
        formula: "fill_time({volume}, circle_area({hole}), {pressure}, {after}, 0.95 * absolute({pressure}), 0.8)",
        roles: &[Role::Volume, Role::Hole, Role::Pressure, Role::PressureAfter],
    },
    Rule {
        what: "change of the spring's force over the stroke",
        formula: "{rate} * {stroke}",
        roles: &[Role::Rate, Role::Stroke],
    },
    Rule {
        what: "air lost through {hole} during the dwell",
        formula: "choked_flow(circle_area({hole}), {pressure}, 0.8) * {dwell}",
        roles: &[Role::Hole, Role::Pressure, Role::Dwell],
    },
];

/// Works out what follows from the readings of one sheet.
pub(crate) fn next(ledger: &Ledger, sheet: usize) -> Next {
    let players = players(ledger, sheet);
    let mut next = Next::default();
    let mut unlocks: BTreeMap<Role, usize> = BTreeMap::new();
    for rule in &RULES {
        let missing: Vec<Role> =
            rule.roles.iter().filter(|role| !players.contains_key(role)).copied().collect();
        match missing.as_slice() {
            [] => next.follows.extend(follow(ledger, sheet, rule, &players)),
            [role] => {
                *unlocks.entry(*role).or_default() += 1;
                let needs = role_words(*role);
                next.lacks.push(Lacks { what: filled(rule.what, &players), needs });
            }
            _ => {}
        }
    }
    next.follows.extend(holes(ledger, sheet));
    next.follows.extend(rings(ledger, sheet));
    let mut ranked: Vec<(Role, usize)> = unlocks.into_iter().collect();
    ranked.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
    next.measure_first =
        ranked.into_iter().take(3).map(|(role, count)| (role_words(role), count)).collect();
    next
}

fn role_words(role: Role) -> &'static str {
    ROLES
        .iter()
        .find(|(known, ..)| *known == role)
        .map_or("another reading", |(_, words, ..)| words)
}

/// The first reading that can play each role, by its dimension and words.
fn players(ledger: &Ledger, sheet: usize) -> BTreeMap<Role, String> {
    let mut players: BTreeMap<Role, String> = BTreeMap::new();
    let mut used: Vec<usize> = Vec::new();
    let entries = &ledger.sheets[sheet].entries;
    // The narrower roles come before the wider ones of their dimension.
    let order = [
        Role::BottlePressure,
        Role::PressureAfter,
        Role::Pressure,
        Role::Bottle,
        Role::Volume,
        Role::Bore,
        Role::Travel,
        Role::Hole,
        Role::Stroke,
        Role::Mass,
        Role::Speed,
        Role::Rate,
        Role::Dwell,
    ];
    for role in order {
        let Some((_, _, dimension, words)) = ROLES.iter().find(|(known, ..)| *known == role) else {
            continue;
        };
        let found = (0..entries.len()).find(|index| {
            let entry = &entries[*index];
            !used.contains(index)
                && entry.reading().is_some()
                && ledger
                    .nominal(sheet, *index)
                    .is_some_and(|value| value.quantity.dimension == *dimension)
                && entry.cues.iter().any(|cue| words.iter().any(|word| cue.contains(word)))
        });
        if let Some(index) = found {
            used.push(index);
            players.insert(role, entries[index].name.text.clone());
        }
    }
    let alone = |dimension: Dimension| {
        let mut fitting = (0..entries.len()).filter(|index| {
            !used.contains(index)
                && entries[*index].reading().is_some()
                && ledger.nominal(sheet, *index).is_some_and(|v| v.quantity.dimension == dimension)
        });
        let first = fitting.next()?;
        fitting.next().is_none().then(|| entries[first].name.text.clone())
    };
    for (role, dimension) in
        [(Role::Pressure, Dimension::PRESSURE), (Role::Volume, Dimension::VOLUME)]
    {
        if !players.contains_key(&role)
            && let Some(name) = alone(dimension)
        {
            players.insert(role, name);
        }
    }
    players
}

const BRACES: [(Role, &str); 14] = [
    (Role::Hole, "{hole}"),
    (Role::Pressure, "{pressure}"),
    (Role::PressureAfter, "{after}"),
    (Role::Volume, "{volume}"),
    (Role::Bore, "{bore}"),
    (Role::Travel, "{travel}"),
    (Role::Mass, "{mass}"),
    (Role::Speed, "{speed}"),
    (Role::Bottle, "{bottle}"),
    (Role::BottlePressure, "{bottle_pressure}"),
    (Role::Rate, "{rate}"),
    (Role::Stroke, "{stroke}"),
    (Role::Dwell, "{dwell}"),
    (Role::Ring, "{ring}"),
];

fn with_names(text: &str, players: &BTreeMap<Role, String>) -> String {
    BRACES.iter().fold(text.to_owned(), |text, (role, brace)| match players.get(role) {
        Some(name) => text.replace(brace, name),
        None => text,
    })
}

/// The words of a rule with names in words.
fn filled(text: &str, players: &BTreeMap<Role, String>) -> String {
    BRACES.iter().fold(text.to_owned(), |text, (role, brace)| {
        let words = match players.get(role) {
            Some(name) => format!("the {}", name.replace('_', " ")),
            None => role_words(*role).to_owned(),
        };
        text.replace(brace, &words)
    })
}

fn follow(
    ledger: &Ledger,
    sheet: usize,
    rule: &Rule,
    players: &BTreeMap<Role, String>,
) -> Option<Follows> {
    let formula = with_names(rule.formula, players);
    made(ledger, sheet, filled(rule.what, players), formula)
}

fn made(ledger: &Ledger, sheet: usize, what: String, formula: String) -> Option<Follows> {
    let parsed = formula::parse(&formula).ok()?;
    let scope = ledger.scope(sheet);
    let value: Value = match formula::evaluate(&parsed, &scope, &ledger.sheets[sheet].conventions) {
        Ok(Outcome::Value(value)) => value,
        _ => return None,
    };
    let squeezed = |text: &str| text.split_whitespace().collect::<String>();
    let stated = ledger.sheets[sheet].entries.iter().any(|entry| {
        entry
            .derived()
            .is_some_and(|derived| squeezed(&derived.decl.formula.text) == squeezed(&formula))
    });
    Some(Follows { what, formula, value: printed(&value, &scope), stated })
}

fn printed(value: &Value, scope: &dyn formula::Scope) -> String {
    let expanded = 2.0 * standard_uncertainty(value, scope);
    let style = derived_style(&value.quantity, None, expanded);
    let quantity: &Quantity = &value.quantity;
    match quantity.kind {
        Kind::Ratio => {
            let percent = crate::quantity::units::table().by_code("%");
            let unit = percent.cloned().unwrap_or(style.unit);
            in_unit(quantity, &unit, style.resolution)
        }
        _ => in_unit(quantity, &style.unit, style.resolution),
    }
}

/// Two holes at one pressure: the ratio of their areas is the ratio of their choked flows.
fn holes(ledger: &Ledger, sheet: usize) -> Option<Follows> {
    let entries = &ledger.sheets[sheet].entries;
    let words =
        ROLES.iter().find(|(role, ..)| *role == Role::Hole).map(|(_, _, _, words)| *words)?;
    let mut found = (0..entries.len()).filter(|index| {
        entries[*index].reading().is_some()
            && entries[*index].cues.iter().any(|cue| words.iter().any(|word| cue.contains(word)))
            && ledger
                .nominal(sheet, *index)
                .is_some_and(|v| v.quantity.dimension == Dimension::LENGTH)
    });
    let (first, second) = (found.next()?, found.next()?);
    let (a, b) = (&entries[first].name.text, &entries[second].name.text);
    let what = format!(
        "area of the {} to that of the {}; at equal upstream pressure and loss the same ratio of choked flows",
        b.replace('_', " "),
        a.replace('_', " ")
    );
    made(ledger, sheet, what, format!("({b} / {a})^2"))
}

/// Two rings: what is the same and what differs.
fn rings(ledger: &Ledger, sheet: usize) -> Option<Follows> {
    let entries = &ledger.sheets[sheet].entries;
    let mut found = entries.iter().enumerate().filter_map(|(index, entry)| {
        let stated = entry.reading()?.statements.first()?;
        let dash = stated.written.strip_prefix("AS568 ")?;
        valued(ledger, sheet, index)?;
        Some((entry.name.text.clone(), crate::tables::ring(dash).ok()?))
    });
    let ((name_a, a), (name_b, b)) = (found.next()?, found.next()?);
    Some(Follows {
        what: format!("{} against {}", name_b.replace('_', " "), name_a.replace('_', " ")),
        formula: format!("{name_b}.inside - {name_a}.inside"),
        value: crate::tables::compare_rings(a, b).sentence(),
        stated: false,
    })
}
