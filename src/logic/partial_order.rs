//! The told run as a partial order: what is certain in it, and which of its steps may come in
//! another order.

use super::runs::{AllRuns, Happening, happenings};
use super::state::Exploration;
use crate::cutaway::model::{Element, Engine, Event, PartId, Returns};
use crate::text::listed;

/// A piece of the told run. It comes after all pieces before it, in every run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum OrderPiece {
    /// A step of the told run, from 0.
    Step(usize),
    /// Strands that run side by side: certain within each, open between any two.
    Either {
        strands: Vec<Vec<OrderPiece>>,
        /// What decides between them, in words.
        hangs_on: String,
    },
    /// Steps of which some pairs are certain and some open, and which are no strands.
    Tangle {
        /// Each with the later ones that may come before it.
        steps: Vec<(usize, Vec<usize>)>,
        /// What decides between them, in words.
        hangs_on: String,
    },
}

impl OrderPiece {
    /// The steps in it, strand by strand.
    pub(crate) fn steps(&self) -> Vec<usize> {
        match self {
            OrderPiece::Step(step) => vec![*step],
            OrderPiece::Either { strands, .. } => {
                strands.iter().flatten().flat_map(OrderPiece::steps).collect()
            }
            OrderPiece::Tangle { steps, .. } => steps.iter().map(|(step, _)| *step).collect(),
        }
    }
}

/// The order of the told run.
pub(super) fn order_pieces(
    engine: &Engine,
    found: &Exploration,
    runs: &AllRuns,
) -> Vec<OrderPiece> {
    let told = happenings(found, &found.line);
    let decides = |pieces: &[Vec<usize>]| {
        let mut words: Vec<String> = Vec::new();
        let events = pieces.iter().flatten().filter_map(|step| told[*step].first());
        for pace in events.map(|first| pace(engine, first.event)) {
            if !words.contains(&pace) {
                words.push(pace);
            }
        }
        listed(&words, "and")
    };
    let order = StepOrder { told: &told, runs, decides: &decides };
    order.series(&(0..told.len()).collect::<Vec<_>>())
}

/// Which lists of things of one run, in the order in which it has them, make one piece each: what
/// is in one piece comes, in every run, before what is in the next.
pub(crate) fn pieces(runs: &AllRuns, told: &[Vec<Happening>]) -> Vec<Vec<usize>> {
    let order = StepOrder { told, runs, decides: &|_| String::new() };
    order.pieces(&(0..told.len()).collect::<Vec<_>>())
}

struct StepOrder<'a> {
    /// What happens in each step.
    told: &'a [Vec<Happening>],
    runs: &'a AllRuns,
    decides: &'a dyn Fn(&[Vec<usize>]) -> String,
}

impl StepOrder<'_> {
    /// Whether all of one step comes before all of another in every run.
    fn is_sure(&self, first: usize, then: usize) -> bool {
        let before = |one: &Happening, other: &Happening| self.runs.comes_before(*one, *other);
        self.told[first].iter().all(|one| self.told[then].iter().all(|other| before(one, other)))
    }

    /// Steps in the order of the told run, as pieces that come one after the other.
    fn pieces(&self, steps: &[usize]) -> Vec<Vec<usize>> {
        let mut pieces = Vec::new();
        let mut rest = steps;
        while !rest.is_empty() {
            // The piece goes on as long as something behind it may come before something in it.
            let mut end = 1;
            let mut at = 0;
            while at < end {
                let open = |later: &usize| !self.is_sure(rest[at], rest[*later]);
                end = (end..rest.len()).rev().find(open).map_or(end, |later| later + 1);
                at += 1;
            }
            pieces.push(rest[..end].to_vec());
            rest = &rest[end..];
        }
        pieces
    }

    fn series(&self, steps: &[usize]) -> Vec<OrderPiece> {
        self.pieces(steps).iter().map(|piece| self.piece(piece)).collect()
    }

    fn piece(&self, piece: &[usize]) -> OrderPiece {
        if let [step] = piece {
            return OrderPiece::Step(*step);
        }
        let strands = self.strands(piece);
        if 1 < strands.len() {
            let hangs_on = (self.decides)(&strands);
            let strands = strands.iter().map(|strand| self.series(strand)).collect();
            return OrderPiece::Either { strands, hangs_on };
        }
        let later = |at: usize| {
            let open = |then: &&usize| !self.is_sure(piece[at], **then);
            piece[at + 1..].iter().filter(open).copied().collect::<Vec<usize>>()
        };
        let steps: Vec<(usize, Vec<usize>)> =
            (0..piece.len()).map(|at| (piece[at], later(at))).collect();
        let each: Vec<Vec<usize>> = piece.iter().map(|step| vec![*step]).collect();
        OrderPiece::Tangle { steps, hangs_on: (self.decides)(&each) }
    }

    /// Steps that no certain order joins, however indirectly, in strands of their own.
    fn strands(&self, piece: &[usize]) -> Vec<Vec<usize>> {
        let mut strands: Vec<Vec<usize>> = Vec::new();
        for step in piece {
            let is_joined =
                |strand: &Vec<usize>| strand.iter().any(|other| self.is_sure(*other, *step));
            let (joined, apart): (Vec<_>, Vec<_>) = strands.into_iter().partition(is_joined);
            let mut joined: Vec<usize> = joined.into_iter().flatten().collect();
            joined.push(*step);
            joined.sort_unstable();
            strands = apart;
            strands.push(joined);
        }
        strands.sort();
        strands
    }
}

/// What decides which of two events comes first where nothing that is said does.
pub(crate) fn hangs_on(engine: &Engine, first: Event, then: Event) -> String {
    let (one, other) = (pace(engine, first), pace(engine, then));
    if one == other { one } else { format!("{one} against {other}") }
}

/// What makes an event early or late.
fn pace(engine: &Engine, event: Event) -> String {
    let the = |thing: Element| thing.the(engine);
    let part = |at: PartId| format!("the mass and friction of {}", the(Element::Part(at)));
    match event {
        Event::Pulled(at) | Event::Released(at) => {
            format!("when the hand is at {}", the(Element::Trigger(at)))
        }
        Event::Returns(at) if matches!(engine.valves[at].returns, Returns::After(_)) => {
            format!("the dwell of {}", the(Element::Valve(at)))
        }
        Event::Shifts(at) | Event::Returns(at) => {
            format!("how fast {} answers", the(Element::Valve(at)))
        }
        Event::Unlatches(at) | Event::Latches(at) => part(at),
        Event::Leaves(at, _) | Event::Reaches(at, _) => part(at),
        Event::Opens(at) | Event::Closes(at) => format!("what works {}", the(Element::Way(at))),
        Event::Fills(at) | Event::Rises(at, _) => {
            format!("how fast {} fills", the(Element::Chamber(at)))
        }
        Event::Drops(at) | Event::Empties(at) | Event::Falls(at, _) => {
            format!("how fast {} empties", the(Element::Chamber(at)))
        }
        Event::BallLeaves => format!("how fast {} gets out", the(Element::Ball)),
        Event::BallFed => format!("how fast the next {} drops", Element::Ball.spoken(engine)),
    }
}
