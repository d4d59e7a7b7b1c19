//! Pictures of one thing in several states, on one page: what several of them show alike is written
//! once, in the first that shows it, and the others refer to it, moved to where it stands there.
//!
//! Each is a picture of its own, with a title and a description, and can be shown without the
//! others being in sight. Nothing in a drawing covers anything else, so the order of its pieces
//! is free. Whoever needs a picture alone writes it whole ([`Drawing::svg`]).

use super::shape::{Drawing, DrawnShape};
use super::svg::{SURROUNDING, Xml, hundredths, number, plain, write_run};
use std::collections::BTreeMap;

/// The pictures as `svg` elements for one page; all ids begin with `prefix`.
pub(crate) fn series(drawings: &[Drawing], prefix: &str) -> Vec<String> {
    let groups = groups(drawings);
    let always = always_said(drawings);
    let pictures = drawings.iter().enumerate();
    pictures.map(|(at, it)| picture(it, at, &groups, (&always, prefix))).collect()
}

/// Pieces that stand in the same pictures of a series, all of them moved alike between these.
struct SharedPieces<'a> {
    /// The pictures, the first one first, and how far from their place in that one they stand in
    /// each, in hundredths.
    pictures: Vec<(usize, Shift)>,
    /// As they stand in the first; lines of one pen beside each other.
    shapes: Vec<&'a DrawnShape>,
}

/// To the right and down, in hundredths.
type Shift = (i64, i64);

/// A piece that is written so short is written again where it stands elsewhere.
const SHORT: usize = 150;

/// All pieces, by the pictures that they stand in and how they move.
fn groups(drawings: &[Drawing]) -> Vec<SharedPieces<'_>> {
    // Pieces are the same if they are written the same, long ones wherever they stand.
    type Seen<'a> = (&'a DrawnShape, Vec<(usize, (f64, f64))>);
    let mut pieces: BTreeMap<(String, usize), Seen> = BTreeMap::new();
    for (at, drawing) in drawings.iter().enumerate() {
        let mut counts: BTreeMap<String, usize> = BTreeMap::new();
        for shape in &drawing.shapes {
            let (text, place) = written_anywhere(shape);
            let count = counts.entry(text.clone()).or_default();
            *count += 1;
            let (_, pictures) = pieces.entry((text, *count)).or_insert((shape, Vec::new()));
            pictures.push((at, place));
        }
    }
    let mut groups: BTreeMap<Vec<(usize, Shift)>, Vec<&DrawnShape>> = BTreeMap::new();
    for (shape, pictures) in pieces.into_values() {
        let first = pictures.first().map_or((0.0, 0.0), |(_, place)| *place);
        let moved =
            |place: (f64, f64)| (hundredths(place.0 - first.0), hundredths(place.1 - first.1));
        let pictures = pictures.into_iter().map(|(at, place)| (at, moved(place))).collect();
        groups.entry(pictures).or_default().push(shape);
    }
    let groups = groups.into_iter().map(|(pictures, mut shapes)| {
        shapes.sort_by_key(|shape| shape.run_of());
        SharedPieces { pictures, shapes }
    });
    groups.collect()
}

/// How a piece is written, and its place: a long one as if it stood at the corner.
fn written_anywhere(shape: &DrawnShape) -> (String, (f64, f64)) {
    let text = written([shape]);
    if text.len() < SHORT {
        return (text, (0.0, 0.0));
    }
    let bounds = shape.bounds();
    let mut cornered = shape.clone();
    cornered.shift(-bounds.left, -bounds.top);
    (written([&cornered]), (bounds.left, bounds.top))
}

fn written<'a>(shapes: impl IntoIterator<Item = &'a DrawnShape>) -> String {
    let shapes: Vec<DrawnShape> = shapes.into_iter().cloned().collect();
    let mut page = Xml::default();
    for run in shapes.chunk_by(DrawnShape::joins) {
        write_run(&mut page, run, SURROUNDING);
    }
    page.out
}

/// The sentences that are true of every picture.
fn always_said(drawings: &[Drawing]) -> Vec<&String> {
    let Some((first, others)) = drawings.split_first() else { return Vec::new() };
    let in_all = |said: &&String| others.iter().all(|other| other.description.contains(said));
    let always = first.description.iter().filter(in_all);
    if others.is_empty() { Vec::new() } else { always.collect() }
}

fn picture(
    drawing: &Drawing,
    at: usize,
    groups: &[SharedPieces<'_>],
    (always, prefix): (&[&String], &str),
) -> String {
    let (title, own) = (format!("{prefix}-{at}-title"), format!("{prefix}-{at}-desc"));
    let shared = format!("{prefix}-desc");
    let told = if always.is_empty() { own.clone() } else { format!("{shared} {own}") };
    let [width, height] = [drawing.width, drawing.height].map(number);
    let view_box = format!("0 0 {width} {height}");
    let attributes = [
        // The bench reads the pictures as XML.
        ("xmlns", "http://www.w3.org/2000/svg"),
        ("class", "drawing"),
        ("role", "img"),
        ("aria-labelledby", &title),
        ("aria-describedby", &told),
        ("viewBox", &view_box),
        ("width", &width),
        ("height", &height),
    ];
    let mut page = Xml::default();
    page.element("svg", &[&attributes, &plain(SURROUNDING)[..]].concat(), |page| {
        page.text_element("title", &[("id", &title)], &drawing.title);
        if at == 0 && !always.is_empty() {
            let always: Vec<&str> = always.iter().map(|said| said.as_str()).collect();
            page.text_element("desc", &[("id", &shared)], &always.join(" "));
        }
        let said = drawing.description.iter().filter(|said| !always.contains(said));
        let said: Vec<&str> = said.map(String::as_str).collect();
        page.text_element("desc", &[("id", &own)], &said.join(" "));
        for (id, group) in groups.iter().enumerate() {
            let id = format!("{prefix}-{id}");
            match group.pictures.as_slice() {
                [only] if only.0 == at => page.out.push_str(&written(group.shapes.iter().copied())),
                [first, _, ..] if first.0 == at => page.element("g", &[("id", &id)], |page| {
                    page.out.push_str(&written(group.shapes.iter().copied()));
                }),
                [_, others @ ..] => {
                    let Some((_, moved)) = others.iter().find(|it| it.0 == at) else { continue };
                    let [x, y] = [moved.0, moved.1].map(|it| number(it as f64 / 100.0));
                    let href = format!("#{id}");
                    let place = [("href", &*href), ("x", &*x), ("y", &*y)].into_iter();
                    let all: Vec<_> = place.filter(|(_, value)| *value != "0").collect();
                    page.element("use", &all, |_| {});
                }
                [] => {}
            }
        }
    });
    page.out
}

#[cfg(test)]
mod tests {
    use super::super::shape::{NARROW, at};
    use super::*;

    fn drawing(state: &str, ends: &[f64]) -> Drawing {
        let line = |x: &f64| DrawnShape::line(&[at(0.0, 0.0), at(*x, 9.0)], NARROW);
        Drawing {
            title: format!("Hazel, {state}"),
            description: vec!["Not to scale.".into(), format!("Spool stands {state}.")],
            width: 10.0,
            height: 10.0,
            scale: None,
            shapes: ends.iter().map(line).collect(),
        }
    }

    #[test]
    fn what_is_alike_is_written_once_and_found_by_all() {
        let drawings = [
            drawing("back", &[1.0, 2.0]),
            drawing("middle", &[1.0, 3.0, 4.0]),
            drawing("front", &[4.0, 1.0]),
        ];
        let pictures = series(&drawings, "_h");
        let all = pictures.concat();
        for end in ["l1 9", "l2 9", "l3 9", "l4 9", "Not to scale."] {
            assert_eq!(all.matches(end).count(), 1, "{end} in {all}");
        }
        let shared = all.split("<g id=\"").find(|group| group.contains("l1 9")).unwrap();
        let (id, _) = shared.split_once('"').unwrap();
        assert_eq!(all.matches(&format!("href=\"#{id}\"")).count(), 2, "{all}");
        assert!(pictures[2].contains("<title id=\"_h-2-title\">Hazel, front</title>"), "{all}");
        assert!(pictures[2].contains("<desc id=\"_h-2-desc\">Spool stands front.</desc>"));
        assert!(pictures[2].contains("aria-describedby=\"_h-desc _h-2-desc\""));
    }

    #[test]
    fn a_long_piece_is_written_once_wherever_it_stands() {
        let comb: Vec<_> = (0..60).map(|n| at(f64::from(n), f64::from(n % 2))).collect();
        let drawings = [0.0, 2.345, 7.0].map(|moved| {
            let mut shape = DrawnShape::line(&comb, NARROW);
            shape.shift(moved, 0.0);
            Drawing { shapes: vec![shape], ..drawing("back", &[]) }
        });
        let pictures = series(&drawings, "_h");
        assert_eq!(pictures.concat().matches("<path").count(), 1, "{pictures:?}");
        assert!(pictures[1].contains("<use href=\"#_h-0\" x=\"2.35\"/>"), "{pictures:?}");
        assert!(pictures[2].contains("<use href=\"#_h-0\" x=\"7\"/>"), "{pictures:?}");
    }

    #[test]
    fn one_picture_refers_to_nothing() {
        let picture = series(&[drawing("back", &[1.0])], "_h").concat();
        assert!(!picture.contains("<use") && !picture.contains("<g"), "{picture}");
        assert!(picture.contains(">Not to scale. Spool stands back.</desc>"), "{picture}");
    }
}
