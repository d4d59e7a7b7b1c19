//! What a drawing becomes once everything that refers to something else is drawn in its place.
//!
//! A pattern, clip, mask, marker or `use` is drawn as often as it is referred to, so thirty lines
//! can stand for a thousand million shapes, and a long chain of them for a stack without end. Both
//! are counted here, before anything is drawn; rather too many than too few.

use super::PictureFault;
use super::drawing::MOST_NODES;
use resvg::usvg::roxmltree::{Document, Node};
use std::collections::{BTreeMap, BTreeSet};

/// Deepest nesting of elements, one referring to the next included.
const DEEPEST: usize = 200;

/// Most times that a rule of a style sheet is held against an element.
const MOST_LOOKUPS: usize = 20_000_000;

/// Elements that draw what they refer to, or take something over from it. Others only lead away
/// from the drawing when clicked, or are told by the resolver.
const REFERRING: [&str; 7] =
    ["use", "pattern", "linearGradient", "radialGradient", "textPath", "filter", "feImage"];

/// Attributes that hand something down to every shape below them, once for each shape or, for
/// markers, for each of its vertices.
const PAINTS: [&str; 2] = ["fill", "stroke"];
const MARKERS: [&str; 4] = ["marker", "marker-start", "marker-mid", "marker-end"];

/// Refuses a drawing that refers to something outside of it.
pub(super) fn refuse_outside(document: &Document<'_>) -> Result<(), PictureFault> {
    // The resolver tells of pictures itself, those inside of the drawing excepted.
    let elements = document.descendants().filter(|node| node.tag_name().name() != "feImage");
    match elements.filter_map(|node| reference(&node)).find(|to| !to.trim().starts_with('#')) {
        Some(to) => Err(PictureFault::RefersOutside { to: to.chars().take(80).collect() }),
        None => Ok(()),
    }
}

/// Refuses a drawing that becomes too large or too deep, or that refers to itself.
pub(super) fn refuse_expansion(document: &Document<'_>) -> Result<(), PictureFault> {
    let ids = document.descendants().filter_map(|node| Some((node.attribute("id")?, node)));
    // The first of equal ids is the one that is drawn.
    let mut by_id = BTreeMap::new();
    ids.for_each(|(id, node)| {
        by_id.entry(id).or_insert(node);
    });
    let rules = rules(document)?;
    let mut weigher = Weigher { by_id, rules, weights: BTreeMap::new(), open: BTreeSet::new() };
    let weight = weigher.weigh(document.root_element(), 0)?;
    match weight.shapes <= u64::from(MOST_NODES) {
        true => Ok(()),
        false => Err(PictureFault::TooManyShapes),
    }
}

/// What an element stands for.
#[derive(Debug, Clone, Copy, Default)]
struct ReferenceWeight {
    /// Elements that are drawn for it.
    shapes: u64,
    /// Vertices in it that could carry a marker.
    vertices: u64,
}

impl ReferenceWeight {
    fn add(&mut self, other: ReferenceWeight) {
        self.shapes = self.shapes.saturating_add(other.shapes);
        self.vertices = self.vertices.saturating_add(other.vertices);
    }
}

struct Weigher<'a, 'd> {
    by_id: BTreeMap<&'a str, Node<'a, 'd>>,
    rules: Vec<ReferenceRule<'a>>,
    weights: BTreeMap<usize, ReferenceWeight>,
    open: BTreeSet<usize>,
}

impl<'a, 'd: 'a> Weigher<'a, 'd> {
    fn weigh(&mut self, node: Node<'a, 'd>, depth: usize) -> Result<ReferenceWeight, PictureFault> {
        let key = node.id().get_usize();
        if let Some(weight) = self.weights.get(&key) {
            return Ok(*weight);
        }
        if DEEPEST < depth || !self.open.insert(key) {
            return Err(PictureFault::TooManyShapes);
        }
        let mut weight = ReferenceWeight { shapes: 1, vertices: vertices(&node) };
        for child in node.children().filter(Node::is_element) {
            weight.add(self.weigh(child, depth + 1)?);
        }
        if let Some(target) = reference(&node).and_then(|to| self.target(to)) {
            let stood_for = self.weigh(target, depth + 1)?;
            if ["use", "feImage"].contains(&node.tag_name().name()) {
                weight.add(stood_for);
            }
        }
        let inside = weight;
        for (name, to) in self.references(&node) {
            let Some(target) = self.target(to) else { continue };
            let one = self.weigh(target, depth + 1)?;
            let times = match name {
                // Shared, not drawn again.
                _ if target.tag_name().name().ends_with("Gradient") => 0,
                name if PAINTS.contains(&name) => inside.shapes,
                name if MARKERS.contains(&name) => inside.vertices,
                _ => 1,
            };
            weight.shapes = weight.shapes.saturating_add(one.shapes.saturating_mul(times));
            weight.vertices = weight.vertices.saturating_add(one.vertices.saturating_mul(times));
        }
        self.open.remove(&key);
        self.weights.insert(key, weight);
        Ok(weight)
    }

    fn target(&self, to: &str) -> Option<Node<'a, 'd>> {
        self.by_id.get(to.trim().strip_prefix('#')?).copied()
    }

    /// What an element refers to by `url(#…)`: in its attributes, its style and the rules for it.
    fn references(&self, node: &Node<'a, 'd>) -> BTreeSet<(&'a str, &'a str)> {
        let mut found = BTreeSet::new();
        for attribute in node.attributes() {
            match attribute.name() {
                "style" => found.extend(declared(attribute.value())),
                name => found.extend(addresses(attribute.value()).map(|to| (name, to))),
            }
        }
        let rules = self.rules.iter().filter(|rule| rule.may_mean(node));
        found.extend(rules.flat_map(|rule| rule.references.iter().copied()));
        found
    }
}

/// Numbers in the outline of a shape, of which it takes at least one for a vertex.
fn vertices(node: &Node<'_, '_>) -> u64 {
    let numbers = |text: &str| {
        let is_part = |c: char| c.is_ascii_digit() || c == '.';
        text.split(|c| !is_part(c)).filter(|part| !part.is_empty()).count() as u64
    };
    match node.tag_name().name() {
        "line" => 2,
        "path" | "polyline" | "polygon" => {
            ["d", "points"].iter().filter_map(|name| node.attribute(*name)).map(numbers).sum()
        }
        _ => 0,
    }
}

/// What an element draws in its place or takes something over from.
fn reference<'a>(node: &Node<'a, '_>) -> Option<&'a str> {
    let is_one = REFERRING.contains(&node.tag_name().name());
    let mut attributes = node.attributes().filter(|_| is_one);
    attributes.find(|attribute| attribute.name() == "href").map(|it| it.value())
}

/// A rule of a style sheet that refers to something.
struct ReferenceRule<'a> {
    selectors: Vec<&'a str>,
    references: Vec<(&'a str, &'a str)>,
}

impl ReferenceRule<'_> {
    /// Whether the rule could be about an element. Only the plainest selectors are looked at
    /// closely.
    fn may_mean(&self, node: &Node<'_, '_>) -> bool {
        let classes = node.attribute("class").unwrap_or_default();
        let is_plain = |name: &str| name.chars().all(|c| c.is_alphanumeric() || "-_".contains(c));
        self.selectors.iter().any(|selector| match selector.split_at_checked(1) {
            Some((".", class)) if is_plain(class) => {
                classes.split_whitespace().any(|it| it == class)
            }
            Some(("#", id)) if is_plain(id) => node.attribute("id") == Some(id),
            _ if is_plain(selector) => node.tag_name().name() == *selector,
            _ => true,
        })
    }
}

fn rules<'a>(document: &'a Document<'_>) -> Result<Vec<ReferenceRule<'a>>, PictureFault> {
    let sheets = document.descendants().filter(|node| node.tag_name().name() == "style");
    let texts = sheets.flat_map(|sheet| sheet.descendants().filter(Node::is_text));
    let parts = texts.filter_map(|node| node.text()).flat_map(|text| text.split('}'));
    let parts: Vec<_> = parts.filter_map(|part| part.split_once('{')).collect();
    let elements = document.descendants().filter(Node::is_element).count();
    if MOST_LOOKUPS < parts.len().saturating_mul(elements) {
        return Err(PictureFault::TooManyShapes);
    }
    let rules = parts.into_iter().map(|(selectors, body)| ReferenceRule {
        selectors: selectors.split(',').map(str::trim).collect(),
        references: declared(body).collect(),
    });
    Ok(rules.filter(|rule| !rule.references.is_empty()).collect())
}

/// Properties and what they refer to.
fn declared(style: &str) -> impl Iterator<Item = (&str, &str)> {
    style
        .split(';')
        .filter_map(|line| line.split_once(':'))
        .flat_map(|(name, value)| addresses(value).map(move |to| (name.trim(), to)))
}

/// What stands in `url(…)`.
fn addresses(value: &str) -> impl Iterator<Item = &str> {
    value
        .split("url(")
        .skip(1)
        .filter_map(|rest| rest.split(')').next())
        .map(|to| to.trim_matches(|c: char| c.is_whitespace() || c == '"' || c == '\''))
}
