//! Sections to scale, asked themselves: from the shapes alone, which rooms are one? They must be
//! those that the model joins in that state.
//!
//! A room is what an eye takes for one: what no cut face, ring or ball parts above the axis. Its
//! names are those of the labels whose leaders end in it. A pipe that is broken off leads on to
//! what its label names, and what reaches the edge of the picture is the open air.

use super::engines::{engine, root};
use super::geometry;
use gaugebook::cutaway::Engine;
use gaugebook::cutaway::model::{ChamberId, OPEN_AIR};
use gaugebook::cutaway::sized::SizedEngine;
use gaugebook::drawing::shape::{Align, DrawnShape, NARROW, Pattern, Point, at};
use gaugebook::drawing::{Drawing, DrawingView, sections};
use gaugebook::logic::explore;
use gaugebook::shell::folder::Folder;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;

/// What is narrower than this in a picture is shut to the eye and to us.
const SHUT: f64 = 0.02;

/// Heights of two edges at the left and the right end of a strip.
type Band = [(f64, f64); 2];

/// What is free between two upright lines above the axis.
struct FreeStrip {
    ends: (f64, f64),
    bands: Vec<Band>,
}

/// The shapes that lie nearest to an axis.
fn around(drawing: &Drawing, axis: f64) -> impl Iterator<Item = &DrawnShape> {
    let axes = axes(drawing);
    drawing.shapes.iter().filter(move |shape| {
        let bounds = shape.bounds();
        nearest(&axes, f64::midpoint(bounds.top, bounds.bottom)) == axis
    })
}

fn nearest(axes: &[f64], y: f64) -> f64 {
    let away = |axis: &f64| (axis - y).abs();
    *axes.iter().min_by(|a, b| away(a).total_cmp(&away(b))).unwrap()
}

/// The closed outlines of everything solid, each with those that belong to it.
fn solids(drawing: &Drawing, axis: f64) -> Vec<Vec<Vec<Point>>> {
    let solids = around(drawing, axis).filter_map(|shape| match shape {
        DrawnShape::Cut { outlines, .. } => Some(outlines.clone()),
        DrawnShape::Circle { middle, radius, .. } => {
            let around = (0..64).map(|step| std::f64::consts::TAU * f64::from(step) / 64.0);
            let place = |turn: f64| {
                at(middle.x + radius * libm::cos(turn), middle.y + radius * libm::sin(turn))
            };
            Some(vec![around.map(place).collect()])
        }
        _ => None,
    });
    solids.collect()
}

/// Lines at which something is broken off: narrow ones with more than one bend.
fn breaks(drawing: &Drawing, axis: f64) -> Vec<&Vec<Point>> {
    let lines = around(drawing, axis).filter_map(|shape| match shape {
        DrawnShape::Line { points, pen, closed: false, .. } if *pen == NARROW => Some(points),
        _ => None,
    });
    lines.filter(|points| 3 < points.len()).collect()
}

/// Heights of all axes.
fn axes(drawing: &Drawing) -> Vec<f64> {
    let lines = drawing.shapes.iter().filter_map(|shape| match shape {
        DrawnShape::Line { points, pen, .. } if pen.pattern == Pattern::Chain => points.first(),
        _ => None,
    });
    lines.map(|point| point.y).collect()
}

/// The heights at which edges cross a strip, if they go through all of it.
fn crossings(edges: impl Iterator<Item = (Point, Point)>, ends: (f64, f64)) -> Vec<(f64, f64)> {
    let middle = f64::midpoint(ends.0, ends.1);
    let through = edges.filter(|(a, b)| a.x.min(b.x) < middle && middle < a.x.max(b.x));
    let height = |(a, b): (Point, Point), x: f64| a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x);
    let mut found: Vec<(f64, f64)> =
        through.map(|edge| (height(edge, ends.0), height(edge, ends.1))).collect();
    found.sort_by(|a, b| (a.0 + a.1).total_cmp(&(b.0 + b.1)));
    found
}

fn strips(drawing: &Drawing, axis: f64) -> Vec<FreeStrip> {
    let (solids, breaks) = (solids(drawing, axis), breaks(drawing, axis));
    let corners = solids.iter().flatten().flatten().chain(breaks.iter().copied().flatten());
    let mut cuts: Vec<f64> = corners.map(|point| point.x).chain([0.0, drawing.width]).collect();
    cuts.sort_by(f64::total_cmp);
    cuts.dedup_by(|b, a| *b - *a < 2e-3);
    let strips = cuts.windows(2).map(|pair| {
        let ends = (pair[0], pair[1]);
        let mut bands: Vec<Band> = Vec::new();
        for solid in &solids {
            let edges = solid.iter().flat_map(|outline| {
                outline.iter().copied().zip(outline.iter().copied().cycle().skip(1))
            });
            let heights = crossings(edges, ends);
            bands.extend(heights.chunks_exact(2).map(|pair| [pair[0], pair[1]]));
        }
        for line in &breaks {
            let edges = line.windows(2).map(|pair| (pair[0], pair[1]));
            bands.extend(crossings(edges, ends).into_iter().map(|it| [it, it]));
        }
        bands.sort_by(|a, b| (a[0].0 + a[0].1).total_cmp(&(b[0].0 + b[0].1)));
        let mut free = Vec::new();
        let mut top = (0.0, 0.0);
        let end = [(axis, axis), (axis, axis)];
        for band in bands.into_iter().chain([end]) {
            let bottom =
                (band[0].0.clamp(top.0, axis.max(top.0)), band[0].1.clamp(top.1, axis.max(top.1)));
            if SHUT < (bottom.0 - top.0).max(bottom.1 - top.1) {
                free.push([top, bottom]);
            }
            top = (top.0.max(band[1].0), top.1.max(band[1].1));
        }
        FreeStrip { ends, bands: free }
    });
    strips.collect()
}

/// Sets of things that are one.
struct Groups<T> {
    first: BTreeMap<T, T>,
}

impl<T: Ord + Copy> Groups<T> {
    fn of(&self, mut at: T) -> T {
        while let Some(first) = self.first.get(&at) {
            at = *first;
        }
        at
    }

    fn join(&mut self, a: T, b: T) {
        let (a, b) = (self.of(a), self.of(b));
        if a != b {
            self.first.insert(a.max(b), a.min(b));
        }
    }
}

/// The names whose leaders end in each free region; the open air is in what reaches the edge.
fn named_regions(drawing: &Drawing) -> Vec<BTreeSet<String>> {
    axes(drawing).into_iter().flat_map(|axis| regions_around(drawing, axis)).collect()
}

fn regions_around(drawing: &Drawing, axis: f64) -> Vec<BTreeSet<String>> {
    let strips = strips(drawing, axis);
    let mut joined = Groups { first: BTreeMap::new() };
    for (at, pair) in strips.windows(2).enumerate() {
        for (number, behind) in pair[0].bands.iter().enumerate() {
            for (other, before) in pair[1].bands.iter().enumerate() {
                let top = behind[0].1.max(before[0].0);
                let bottom = behind[1].1.min(before[1].0);
                if SHUT < bottom - top {
                    joined.join((at, number), (at + 1, other));
                }
            }
        }
    }
    let mut regions: BTreeMap<(usize, usize), BTreeSet<String>> = BTreeMap::new();
    for (at, strip) in strips.iter().enumerate() {
        for (number, band) in strip.bands.iter().enumerate() {
            if band[0].0 <= 0.0 {
                let region = regions.entry(joined.of((at, number))).or_default();
                region.insert("open air".to_owned());
            }
        }
    }
    let axes = axes(drawing);
    let here = labels(drawing).into_iter().filter(|(_, place)| nearest(&axes, place.y) == axis);
    for (name, place) in here {
        // What is turned around the axis is below it what it is above.
        let y = if axis < place.y { 2.0 * axis - place.y } else { place.y };
        let here = strips.iter().enumerate();
        let here = here.filter(|(_, strip)| strip.ends.0 <= place.x && place.x < strip.ends.1);
        for (at, strip) in here {
            let is_in =
                |band: &Band| band[0].0.max(band[0].1) <= y && y <= band[1].0.min(band[1].1);
            if let Some(number) = strip.bands.iter().position(is_in) {
                regions.entry(joined.of((at, number))).or_default().insert(name.clone());
            }
        }
    }
    regions.into_values().collect()
}

/// The first line of each label with a leader, and where that ends.
fn labels(drawing: &Drawing) -> Vec<(String, Point)> {
    let leaders = drawing.shapes.iter().filter_map(|shape| match shape {
        DrawnShape::Leader { points } => Some((points.first()?, points.last()?)),
        _ => None,
    });
    let found = leaders.map(|(start, end)| {
        let lines = drawing.shapes.iter().filter_map(|shape| match shape {
            DrawnShape::Text { place, align: Align::Centre, text, .. }
                if (place.x - start.x).abs() < 0.01 && (place.y - start.y).abs() < 50.0 =>
            {
                Some((place.y, text))
            }
            _ => None,
        });
        let first = lines.min_by(|a, b| a.0.total_cmp(&b.0)).unwrap();
        (first.1.clone(), *end)
    });
    found.collect()
}

fn name(engine: &Engine, chamber: ChamberId) -> String {
    match chamber {
        OPEN_AIR => "open air".to_owned(),
        other => {
            let name = &engine.chambers[other].name;
            name.called.first().cloned().unwrap_or_else(|| name.id.replace('_', " "))
        }
    }
}

/// Pairs of names that are in one group, of those that a picture names.
fn pairs(groups: &Groups<&str>, named: &BTreeSet<&str>) -> BTreeSet<(String, String)> {
    let all = named.iter().flat_map(|a| named.iter().map(move |b| (*a, *b)));
    let joined = all.filter(|(a, b)| a < b && groups.of(a) == groups.of(b));
    joined.map(|(a, b)| (a.to_owned(), b.to_owned())).collect()
}

/// What the picture of a state joins and the model does not, and the other way round.
pub(crate) fn disagreements(
    engine: &Engine,
    has_room: &dyn Fn(ChamberId) -> bool,
    view: &DrawingView,
    drawing: &Drawing,
) -> Vec<String> {
    let regions = named_regions(drawing);
    let names: Vec<String> = engine.chambers.ids().map(|at| name(engine, at)).collect();
    let known: BTreeSet<&str> = names.iter().map(String::as_str).collect();
    let mut shown = Groups { first: BTreeMap::new() };
    let mut named = BTreeSet::new();
    for region in &regions {
        let chambers: Vec<&str> =
            region.iter().filter_map(|name| known.get(name.as_str()).copied()).collect();
        named.extend(chambers.iter().copied());
        chambers.windows(2).for_each(|pair| shown.join(pair[0], pair[1]));
    }
    let mut told = Groups { first: BTreeMap::new() };
    let name_of = |at: ChamberId| names[at.place()].as_str();
    let is_drawn = |a: ChamberId, b: ChamberId| has_room(a) || has_room(b);
    for way in engine.ways.iter().filter(|way| view.lets_pass(engine, way)) {
        if is_drawn(way.from, way.to) {
            told.join(name_of(way.from), name_of(way.to));
        }
    }
    for (at, valve) in engine.valves.entries() {
        let pairs = if view.is_shifted(at) { &valve.shifted } else { &valve.rest };
        for (a, b) in pairs.iter().filter(|(a, b)| is_drawn(*a, *b)) {
            told.join(name_of(*a), name_of(*b));
        }
    }
    let (shown, told) = (pairs(&shown, &named), pairs(&told, &named));
    let more = shown.difference(&told).map(|(a, b)| format!("the picture joins {a} and {b}"));
    let less = told.difference(&shown).map(|(a, b)| format!("the picture parts {a} and {b}"));
    let missing = engine.chambers.ids().filter(|at| has_room(*at));
    let missing = missing.filter(|at| !named.contains(name_of(*at)));
    let missing = missing.map(|at| format!("no leader ends in {}", name_of(at)));
    more.chain(less).chain(missing).collect()
}

fn has_room(axes: &[SizedEngine], room: ChamberId) -> bool {
    axes.iter().any(|axis| axis.has_room(room))
}

/// The engines of the demo that have sizes.
fn sized_engines() -> Vec<(Engine, Vec<SizedEngine>)> {
    let folder = Folder::open(root()).unwrap_or_else(|no| panic!("{}", no.message));
    let (folio, _) = folder.read().unwrap_or_else(|no| panic!("{}", no.message));
    let paths = super::engines::cutaways("diagrams");
    let engines = paths.iter().filter_map(|path| {
        let sized = folio.sized(&path.file_stem()?.to_string_lossy())?;
        Some((engine(&fs::read_to_string(path).ok()?, path), sized))
    });
    engines.collect()
}

#[test]
fn a_picture_joins_the_rooms_that_the_model_joins() {
    let mut complaints = Vec::new();
    let engines = sized_engines();
    assert!(engines.iter().any(|(engine, _)| engine.name.id == "hazel"), "it has sizes");
    for (engine, sized) in &engines {
        let found = explore(engine);
        let views: Vec<DrawingView> =
            found.line_states().into_iter().map(DrawingView::of).collect();
        let drawings = sections(engine, Some(sized), &views).unwrap();
        for (at, (view, drawing)) in views.iter().zip(&drawings).enumerate() {
            assert!(drawing.scale.is_some(), "{}, state {at}", engine.name.id);
            let found = geometry::complaints(drawing).into_iter();
            let found =
                found.chain(disagreements(engine, &|at| has_room(sized, at), view, drawing));
            complaints.extend(found.map(|it| format!("{}, state {at}: {it}", engine.name.id)));
        }
    }
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

#[test]
fn a_picture_says_its_scale() {
    let engines = sized_engines();
    let (engine, sized) = engines.iter().find(|(engine, _)| engine.name.id == "hazel").unwrap();
    let drawing =
        sections(engine, Some(sized), &[DrawingView::of(explore(engine).line_states()[0])])
            .unwrap()
            .remove(0);
    // The pellet fills the barrel, whose bore is 17.3 mm on Hazel's page.
    let bore = 0.0173 * drawing.scale.unwrap();
    let is_pellet = |shape: &DrawnShape| matches!(shape, DrawnShape::Circle { radius, filled: false, .. } if (2.0 * radius - bore).abs() < 0.01);
    assert!(drawing.shapes.iter().any(is_pellet), "{bore}");
}

#[test]
fn a_picture_that_parts_rooms_otherwise_is_noticed() {
    let (engine, sized) = sized_engines().swap_remove(0);
    let found = explore(&engine);
    let states = found.line_states();
    let views: Vec<DrawingView> = states.into_iter().map(DrawingView::of).collect();
    let drawings = sections(&engine, Some(sized.as_slice()), &views).unwrap();
    let wrong = |drawing: &Drawing, view| {
        disagreements(&engine, &|at| has_room(&sized, at), view, drawing).len()
    };
    // Another state's picture.
    let opened = views.iter().zip(&drawings).filter(|(_, drawing)| wrong(drawing, &views[0]) != 0);
    assert_ne!(opened.count(), 0);
    // A seal left out.
    let is_ring = |shape: &DrawnShape| {
        matches!(shape, DrawnShape::Cut { hatch: gaugebook::drawing::shape::Hatch::Full, .. })
    };
    let shapes = drawings[0].shapes.iter().filter(|shape| !is_ring(shape)).cloned().collect();
    assert_ne!(wrong(&Drawing { shapes, ..drawings[0].clone() }, &views[0]), 0);
}
