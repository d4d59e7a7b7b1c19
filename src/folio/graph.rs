//! What rests on what: named figures of pages and results of engines' models as one graph.
//!
//! A formula may name a result of a cutaway (`rowan.cut.line.pressure`), a cutaway may name a
//! reading (`supply line at line_pressure`). Values are worked out on demand, by
//! [`Ledger::value`]; this makes sure that the demand ends. Claims, bindings and templates ask and
//! are never asked, so they cannot be part of a loop and are no nodes.

use crate::formula::Formula;
use crate::sheet::ledger::{EntryId, ModelResult};
use crate::sheet::{Ledger, Origin};
use crate::slip::Slip;
use crate::text::Spot;
use std::collections::{BTreeMap, BTreeSet};

/// What has a value of its own.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum GraphNode {
    /// A named figure of a page.
    Entry(EntryId),
    /// A result of an engine's model.
    Result(ModelResult),
}

/// Longest chain of figures that rest on each other. A value is worked out on the way back from
/// the end of its chain, which takes stack; no data sheet comes near.
const LONGEST_CHAIN: usize = 200;

/// Finds figures that need themselves and takes their values away; each loop is told once, as a
/// path. The same for chains that are too long.
pub(super) fn cut_loops(ledger: &mut Ledger) -> Vec<Slip> {
    let mut walk = GraphWalk {
        ledger,
        seen: BTreeMap::new(),
        poisoned: Vec::new(),
        sheets_with_long_chains: BTreeSet::new(),
        slips: Vec::new(),
    };
    for (sheet, entries) in ledger.sheets.iter().map(|sheet| sheet.entries.len()).enumerate() {
        for entry in 0..entries {
            walk.from(GraphNode::Entry((sheet, entry)));
        }
    }
    let GraphWalk { poisoned, slips, .. } = walk;
    for node in poisoned {
        match node {
            GraphNode::Entry(entry) => ledger.poison(entry),
            GraphNode::Result(result) => ledger.poison_result(result),
        }
    }
    slips
}

/// A depth-first walk along what figures rest on.
struct GraphWalk<'a> {
    ledger: &'a Ledger,
    /// Links in the longest chain that a node rests on; `None` while the walk is still below it.
    seen: BTreeMap<GraphNode, Option<usize>>,
    poisoned: Vec<GraphNode>,
    sheets_with_long_chains: BTreeSet<usize>,
    slips: Vec<Slip>,
}

/// A node on the way down.
struct GraphStep {
    node: GraphNode,
    /// What it rests on and has not been walked yet.
    left: Vec<GraphNode>,
    /// Links in the longest chain below it so far.
    chain: usize,
}

impl GraphWalk<'_> {
    fn step(&mut self, node: GraphNode) -> GraphStep {
        self.seen.insert(node.clone(), None);
        let mut left = needs(self.ledger, &node);
        left.reverse();
        GraphStep { node, left, chain: 0 }
    }

    fn from(&mut self, start: GraphNode) {
        if self.seen.contains_key(&start) {
            return;
        }
        let mut path = vec![self.step(start)];
        while let Some(at) = path.last_mut() {
            if let Some(next) = at.left.pop() {
                match self.seen.get(&next) {
                    Some(Some(chain)) => at.chain = at.chain.max(chain + 1),
                    Some(None) => self.looped(&path, &next),
                    None => path.push(self.step(next)),
                }
            } else if let Some(done) = path.pop() {
                let chain = self.bounded(&done);
                self.seen.insert(done.node, Some(chain));
                if let Some(above) = path.last_mut() {
                    above.chain = above.chain.max(chain + 1);
                }
            }
        }
    }

    /// Ends a chain that has become too long, and returns the links of what is left of it.
    fn bounded(&mut self, done: &GraphStep) -> usize {
        let (GraphNode::Entry(entry), true) = (&done.node, LONGEST_CHAIN < done.chain) else {
            return done.chain;
        };
        // What lies above it goes on to be cut off, silently.
        if self.sheets_with_long_chains.insert(entry.0) {
            let name = &self.ledger.sheets[entry.0].entries[entry.1].name.text;
            let message =
                format!("`{name}` rests on a chain of more than {LONGEST_CHAIN} formulas");
            let slip = Slip::stop("formula-fault", spot(self.ledger, *entry), message);
            self.slips.push(slip.help("work some of them out in one formula"));
        }
        self.poisoned.push(done.node.clone());
        0
    }

    /// A way down that came back to `node`.
    fn looped(&mut self, path: &[GraphStep], node: &GraphNode) {
        let start = path.iter().position(|step| step.node == *node).unwrap_or(0);
        let mut members: Vec<GraphNode> =
            path[start..].iter().map(|step| step.node.clone()).collect();
        // It is told at a figure that is written on a page.
        let first =
            members.iter().position(|node| matches!(node, GraphNode::Entry(_))).unwrap_or(0);
        members.rotate_left(first);
        self.slips.extend(loop_slip(self.ledger, &members));
        self.poisoned.append(&mut members);
    }
}

/// What a node rests on.
fn needs(ledger: &Ledger, node: &GraphNode) -> Vec<GraphNode> {
    let (sheet, entry) = match node {
        GraphNode::Entry((sheet, entry)) => (*sheet, &ledger.sheets[*sheet].entries[*entry]),
        GraphNode::Result(result) => {
            return ledger.rests_on(result).into_iter().map(GraphNode::Entry).collect();
        }
    };
    match &entry.origin {
        Origin::Derived(derived) => {
            derived.formula.as_ref().map_or_else(Vec::new, |formula| named(ledger, formula, sheet))
        }
        Origin::Reading(reading) => match &reading.decl.like {
            Some(lender) if reading.statements.is_empty() => {
                let path = [lender.text.as_str(), entry.name.text.as_str()];
                let lent = ledger.resolve(usize::MAX, &path);
                lent.map(|(sheet, entry, _)| GraphNode::Entry((sheet, entry))).into_iter().collect()
            }
            _ => Vec::new(),
        },
    }
}

/// What a formula names, seen from a sheet.
fn named(ledger: &Ledger, formula: &Formula, sheet: usize) -> Vec<GraphNode> {
    let names = formula.names();
    let nodes = names.iter().filter_map(|(path, _)| {
        let path: Vec<&str> = path.iter().map(String::as_str).collect();
        match ledger.resolve(sheet, &path) {
            Some((sheet, entry, _)) => Some(GraphNode::Entry((sheet, entry))),
            None => ledger.result_named(sheet, &path).map(GraphNode::Result),
        }
    });
    nodes.collect()
}

fn spot(ledger: &Ledger, (sheet, entry): EntryId) -> Spot {
    let source = &ledger.sheets[sheet].source;
    let entry = &ledger.sheets[sheet].entries[entry];
    let formula = entry.derived().map(|derived| derived.decl.formula.inside());
    Spot::new(source, formula.unwrap_or(entry.name.span))
}

/// A loop, as the path that leads from its first node back to it.
fn loop_slip(ledger: &Ledger, path: &[GraphNode]) -> Option<Slip> {
    let Some(GraphNode::Entry(first)) = path.first() else { return None };
    let told = |node: &GraphNode| {
        let (sheet, name) = match node {
            GraphNode::Entry((sheet, entry)) => {
                (*sheet, ledger.sheets[*sheet].entries[*entry].name.text.clone())
            }
            GraphNode::Result(result) => {
                (result.sheet, format!("{}.{}", result.model.word(), result.path.join(".")))
            }
        };
        match &ledger.sheets[sheet].engine {
            Some(engine) if sheet != first.0 => format!("{engine}.{name}"),
            _ => name,
        }
    };
    let names: Vec<String> = path.iter().chain(path.first()).map(told).collect();
    let own = &ledger.sheets[first.0].entries[first.1].name.text;
    let message = format!("`{own}` needs itself: {}", names.join(" → "));
    let slip = Slip::stop("formula-loop", spot(ledger, *first), message);
    let is_derived = ledger.sheets[first.0].entries[first.1].derived().is_some();
    Some(slip.help(match is_derived {
        true => "turn one of them into a reading",
        false => "state a value for one of them",
    }))
}
