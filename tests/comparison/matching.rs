//! What is taken for what, and how sure that is.

use super::support::{engine, text};
use gaugebook::comparison::{Matching, Pair, Side, Sure, compare, matched};
use gaugebook::cutaway::Engine;
use gaugebook::cutaway::model::{Element, PartId, PositionId};
use gaugebook::logic::Exploration;

fn pair(matching: &Matching, thing: Element) -> &Pair {
    matching.pair_of(thing).unwrap()
}

fn sure(first: &Engine, second: &Engine, chamber: &str) -> Option<Sure> {
    let thing = Element::Chamber(first.chamber(chamber).unwrap());
    matched(first, second).pair_of(thing).map(|pair| pair.sure)
}

/// Rowan with the words of its text changed, each for another.
fn rowan_with(changes: &[(&str, &str)]) -> Engine {
    let path = super::support::here().join("engines/rowan.cut");
    let mut rowan = std::fs::read_to_string(path).unwrap();
    for (old, new) in changes {
        assert!(rowan.contains(old), "{old}");
        rowan = rowan.replace(old, new);
    }
    text(&rowan).engine
}

#[test]
fn structure_and_name_together_are_surest() {
    let rowan = engine("rowan").engine;
    assert_eq!(sure(&rowan, &rowan_with(&[]), "store"), Some(Sure::StructureAndName));
}

#[test]
fn another_name_is_found_by_structure() {
    let rowan = engine("rowan").engine;
    let other = rowan_with(&[
        ("chamber store        role store", "chamber tank         role store"),
        ("in store ", "in tank "),
        ("to store ", "to tank "),
        ("from store ", "from tank "),
        ("between store ", "between tank "),
        ("before store fills", "before tank fills"),
        ("is store fills", "is tank fills"),
    ]);
    assert_eq!(sure(&rowan, &other, "store"), Some(Sure::StructureUnique));
    let matching = matched(&rowan, &other);
    let store = pair(&matching, Element::Chamber(rowan.chamber("store").unwrap()));
    assert_eq!(store.second, Element::Chamber(other.chamber("tank").unwrap()));
    assert_eq!(store.why, "4 of 4 ties agree; nothing else fits as well");
}

#[test]
fn of_two_alike_the_name_decides_and_without_it_that_is_told() {
    let both = engine("side_by_side").engine;
    let mut other = both.clone();
    let named = matched(&both, &other);
    assert!(named.pairs.iter().all(|pair| pair.first == pair.second));
    for part in &mut other.parts {
        part.name.id.push_str("_other");
        part.pushes.iter_mut().for_each(|push| push.name.id.push_str("_other"));
    }
    for chamber in other.chambers.iter_mut().skip(1) {
        chamber.name.id.push_str("_other");
    }
    let unnamed = matched(&both, &other);
    let [left, right] = ["left", "right"].map(|name| Element::Part(both.part(name).unwrap()));
    assert_eq!(pair(&unnamed, left).sure, Sure::StructureAmbiguous);
    assert!(pair(&unnamed, left).why.ends_with("centre other would fit as well"));
    // The way that only opens when the right one is out tells that one apart.
    assert_eq!(pair(&unnamed, right).second, right);
    assert_eq!(pair(&unnamed, right).sure, Sure::StructureUnique);
}

#[test]
fn name_and_role_alone_are_least_sure() {
    let head = "cutaway one\nsupply line\nchamber far  role store\nchamber near  role pilot\n";
    let first = format!(
        "{head}way feed  from line to near\nway out  from near to open_air  narrow\n\
         way drain  from far to open_air  narrow\n"
    );
    let second = format!(
        "{head}way feed  from line to near\nway out  from near to open_air  narrow\n\
         way fill  from line to far\n"
    );
    let (first, second) = (text(&first).engine, text(&second).engine);
    assert_eq!(sure(&first, &second, "far"), Some(Sure::NameAndRole));
    assert_eq!(sure(&first, &second, "near"), Some(Sure::StructureAndName));
}

#[test]
fn a_name_alone_matches_nothing_of_another_kind_or_role() {
    let first = text(
        "cutaway one\nsupply line\nchamber alder  role store\nchamber birch  role pilot\n\
         way fill  from line to alder\nway bleed_off  from birch to open_air  bleed\n\
         way cross  from alder to birch  narrow\n",
    );
    let second = text(
        "cutaway two\nsupply line\nchamber birch  role store\nchamber alder  role pilot\n\
         way bleed_off  from line to birch\nway fill  from alder to open_air  bleed\n\
         way cross  from birch to alder  narrow\n",
    );
    let (first, second) = (first.engine, second.engine);
    let matching = matched(&first, &second);
    let chamber = |engine: &Engine, name: &str| Element::Chamber(engine.chamber(name).unwrap());
    let way = |engine: &Engine, name: &str| Element::Way(engine.way(name).unwrap());
    assert_eq!(matching.second_of(chamber(&first, "alder")), Some(chamber(&second, "birch")));
    assert_eq!(matching.second_of(way(&first, "fill")), Some(way(&second, "bleed_off")));
    assert_eq!(pair(&matching, chamber(&first, "alder")).sure, Sure::StructureUnique);
}

/// The breech is shut at a position of its own in one, and where the outlet opens in the other:
/// more begins and ends there than at the position of the same name.
#[test]
fn a_position_is_known_by_what_begins_or_ends_there() {
    let bolt = |positions: &str, shut: &str, late: &str| {
        text(&format!(
            "cutaway one\nsupply line\nchamber tube  role drive\nchamber breech  role breech\n\
             way feed  from line to tube\nway outlet  from tube to breech  while bolt from {late}\n\
             way neck  from breech to open_air  while bolt before {shut}\nbarrel  from breech\n\
             moving bolt\n  positions {positions}\n  rests back\n\
             \x20 face f  in tube  pushes forward\n  spring s  pushes back\n\
             seal tip  on bolt  between breech and open_air  while bolt from {shut}\n"
        ))
        .engine
    };
    let first = bolt("back, shut, ported, home", "shut", "ported");
    let second = bolt("back, ported, home", "ported", "ported");
    let matching = matched(&first, &second);
    let place = |at: usize| Element::Position(PartId::at(0), PositionId::at(at));
    let partners = [0, 1, 2, 3].map(|at| matching.second_of(place(at)));
    let there = |at: usize| Some(place(at));
    assert_eq!(partners, [there(0), there(1), None, there(2)]);
}

/// Two engines of a hundred of everything, and two that are not the same.
#[test]
fn very_large_engines_are_compared_too() {
    let large = |name: &str, odd: usize, width: &str| {
        let mut lines = vec![format!("cutaway {name}"), "supply line".to_owned()];
        for at in 0..100 {
            let role = if at == odd { "store" } else { "room" };
            lines.push(format!("chamber c{at}  role {role}"));
            lines.push(format!(
                "way w{at}  from line to c{at}{}",
                if at == 50 { width } else { "" }
            ));
            lines.push(format!("way x{at}  from c{at} to open_air  while p{at} at out"));
            lines.push(format!("moving p{at}\n  positions in, out\n  rests in"));
            lines.push(format!("  face f  in c{at}  pushes forward\n  spring s  pushes back"));
        }
        let text = gaugebook::text::Source::new("large.cut", lines.join("\n"));
        gaugebook::cutaway::read(&text, &|_| None).0
    };
    let run = Exploration::default();
    let first = large("one", 3, "");
    for (width, verdict) in [
        ("", "same structure"),
        (
            "  narrow",
            "same but for the w50 (1 difference in structure), under the best of the pairings looked at",
        ),
    ] {
        let second = large("two", 96, width);
        let chamber = |engine: &Engine, name: &str| Element::Chamber(engine.chamber(name).unwrap());
        let [one, other] = [&first, &second].map(|engine| Side { engine, run: &run });
        let likeness = compare(one, other);
        assert_eq!(likeness.verdict(), verdict);
        let odd = pair(&likeness.matching, chamber(&first, "c3"));
        assert_eq!(odd.second, chamber(&second, "c96"));
    }
}
