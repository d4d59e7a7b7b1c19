//! Pictures of one thing in several states, on one page: what several of them show alike is written
//! once, in the first that shows it, and the others refer to it.
//!
//! Each is a picture of its own, with a title and a description, and can be shown without the
//! others being in sight. Nothing in a drawing covers anything else, so the order of its pieces
//! is free. Whoever needs a picture alone writes it whole ([`Drawing::svg`]).

use super::shape::{Drawing, DrawnShape};
use super::svg::{SURROUNDING, Xml, number, plain, write_run};
use std::collections::BTreeMap;

/// The pictures as `svg` elements for one page; all ids begin with `prefix`.
pub(crate) fn series(drawings: &[Drawing], prefix: &str) -> Vec<String> {
    let groups = groups(drawings);
    let always = always_said(drawings);
    let pictures = drawings.iter().enumerate();
    pictures.map(|(at, it)| picture(it, at, &groups, (&always, prefix))).collect()
}

/// Pieces that stand in the same pictures of a series.
struct SharedPieces<'a> {
    /// The pictures, the first one first.
    pictures: Vec<usize>,
    /// Lines of one pen beside each other.
    shapes: Vec<&'a DrawnShape>,
}

/// All pieces, by the pictures that they stand in.
fn groups(drawings: &[Drawing]) -> Vec<SharedPieces<'_>> {
    // Pieces are the same if they are written the same.
    let mut pieces: BTreeMap<String, (&DrawnShape, Vec<usize>)> = BTreeMap::new();
    for (at, drawing) in drawings.iter().enumerate() {
        for shape in &drawing.shapes {
            let (_, pictures) = pieces.entry(written([shape])).or_insert((shape, Vec::new()));
            if pictures.last() != Some(&at) {
                pictures.push(at);
            }
        }
    }
    let mut groups: BTreeMap<Vec<usize>, Vec<&DrawnShape>> = BTreeMap::new();
    for (shape, pictures) in pieces.into_values() {
        groups.entry(pictures).or_default().push(shape);
    }
    let groups = groups.into_iter().map(|(pictures, mut shapes)| {
        shapes.sort_by_key(|shape| shape.open_pen());
        SharedPieces { pictures, shapes }
    });
    groups.collect()
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
            let id = format!("{prefix}-part-{id}");
            match group.pictures.as_slice() {
                [only] if *only == at => page.out.push_str(&written(group.shapes.iter().copied())),
                [first, _, ..] if *first == at => page.element("g", &[("id", &id)], |page| {
                    page.out.push_str(&written(group.shapes.iter().copied()));
                }),
                [_, others @ ..] if others.contains(&at) => {
                    page.element("use", &[("href", &format!("#{id}"))], |_| {});
                }
                _ => {}
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
            is_to_scale: false,
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
        for end in ["L1 9", "L2 9", "L3 9", "L4 9", "Not to scale."] {
            assert_eq!(all.matches(end).count(), 1, "{end} in {all}");
        }
        let shared = all.split("<g id=\"").find(|group| group.contains("L1 9")).unwrap();
        let (id, _) = shared.split_once('"').unwrap();
        assert_eq!(all.matches(&format!("href=\"#{id}\"")).count(), 2, "{all}");
        assert!(pictures[2].contains("<title id=\"_h-2-title\">Hazel, front</title>"), "{all}");
        assert!(pictures[2].contains("<desc id=\"_h-2-desc\">Spool stands front.</desc>"));
        assert!(pictures[2].contains("aria-describedby=\"_h-desc _h-2-desc\""));
    }

    #[test]
    fn one_picture_refers_to_nothing() {
        let picture = series(&[drawing("back", &[1.0])], "_h").concat();
        assert!(!picture.contains("<use") && !picture.contains("<g"), "{picture}");
        assert!(picture.contains(">Not to scale. Spool stands back.</desc>"), "{picture}");
    }
}
