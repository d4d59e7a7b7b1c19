//! What a cutaway says of sizes: each body as a chain of steps from its rear end, as one measures
//! it; where its parts stand; and where the chambers lie.
//!
//! A size is a formula of the folio (a literal with its ±, or names of figures); what it is worth
//! is known where the pages are.

use super::model::{Name, PartId, PositionId, SealId, WayId};
use crate::formula::Formula;
use crate::text::Span;
use std::ops::Range;

/// How a size is known.
#[derive(Debug, Clone)]
pub(crate) enum SizeKind {
    /// Stated: a literal, or figures of the folio.
    Stated(Formula),
    /// Estimated (`~12 mm`).
    Estimated(Formula),
    /// Not known.
    Unknown,
}

/// A length or a diameter.
#[derive(Debug, Clone)]
pub(crate) struct DrawnSize {
    pub(crate) kind: SizeKind,
    /// As written.
    pub(crate) text: String,
    pub(crate) span: Span,
    /// The engine whose cutaway states it, where that is another one: what the own page has no
    /// figure for is borrowed from that one's.
    pub(crate) borrowed_from: Option<String>,
}

/// A diameter along a step: another one at its front end makes a cone.
#[derive(Debug, Clone)]
pub(crate) struct Diameter {
    pub(crate) rear: DrawnSize,
    pub(crate) front: Option<DrawnSize>,
}

/// What a step of a chain is.
#[derive(Debug, Clone)]
pub(crate) enum StepKind {
    /// A piece of a rod, a tube or a bore.
    Plain {
        /// Outside; of the body it need not be known.
        outer: Option<Box<Diameter>>,
        /// Inside; full without.
        bore: Option<Box<Diameter>>,
    },
    /// A groove for a ring, as wide as the step is long.
    Groove {
        /// Diameter of its floor.
        floor: DrawnSize,
        /// The seal in it; none where a variant has taken that away.
        seal: Option<SealId>,
    },
}

/// A step of a chain.
#[derive(Debug, Clone)]
pub(crate) struct DrawnStep {
    pub(crate) name: Option<Name>,
    pub(crate) length: DrawnSize,
    pub(crate) kind: StepKind,
}

/// A hole across.
#[derive(Debug, Clone)]
pub(crate) struct DrawnHole {
    pub(crate) diameter: DrawnSize,
    /// From the rear end of its piece to its middle.
    pub(crate) at: DrawnSize,
    /// How many of them there are around the axis.
    pub(crate) count: u32,
    /// Number of the insert that it is drilled in; `None` for the body or a part itself.
    pub(crate) insert: Option<usize>,
    /// The way that goes through it and on to where the sizes show nothing; without one it joins
    /// what lies on its two sides.
    pub(crate) way: Option<WayId>,
}

/// Where an insert sits in the body.
#[derive(Debug, Clone)]
pub(crate) enum InsertPlace {
    /// Its rear end is so far in front of the rear end of the body.
    At(DrawnSize),
    /// The front of one of its steps meets the rear of another one of the body.
    With {
        /// Number of its own step.
        own: usize,
        /// Number of the other.
        against: usize,
    },
    /// None: it is a tube of the body on an axis of its own, of the same name, whose rear end is so
    /// far in front of the rear end of the body.
    Beside(DrawnSize),
}

/// A piece that sits in the body and does not move: a sleeve, a seat, a plug; or a tube beside.
#[derive(Debug, Clone)]
pub(crate) struct DrawnInsert {
    pub(crate) name: Name,
    /// Number of its first step among those of the body; it goes on to that of the next insert.
    pub(crate) first: usize,
    pub(crate) place: InsertPlace,
    pub(crate) span: Span,
}

/// Where a part stands at one of its positions.
#[derive(Debug, Clone)]
pub(crate) enum PlaceKind {
    /// Its rear end is so far in front of the rear end of the body.
    At(DrawnSize),
    /// It is so far in front of where it stands at another position.
    From(DrawnSize, PositionId),
    /// A step of it meets a step of the body.
    With {
        /// Number of the part's step.
        own: usize,
        /// Number of the body's step.
        against: usize,
        /// Diameter at which the faces seal there, by a ring in one of them or a rim.
        sealing: Option<Box<DrawnSize>>,
    },
}

/// Where a part stands at one of its positions.
#[derive(Debug, Clone)]
pub(crate) struct DrawnPlace {
    pub(crate) position: PositionId,
    pub(crate) kind: PlaceKind,
    pub(crate) span: Span,
}

/// Where a chain comes apart into two pieces.
#[derive(Debug, Clone)]
pub(crate) struct DrawnJoint {
    /// Number of the step in front of it.
    pub(crate) step: usize,
    /// Its line in the file that it is read from.
    pub(crate) span: Span,
}

/// The body or a moving part, with sizes.
#[derive(Debug, Clone, Default)]
pub(crate) struct DrawnSolid {
    /// From its rear end to its front end; behind those of the body come those of its inserts.
    pub(crate) steps: Vec<DrawnStep>,
    /// In the order of their steps.
    pub(crate) inserts: Vec<DrawnInsert>,
    pub(crate) holes: Vec<DrawnHole>,
    /// Where it comes apart, in the order of its steps.
    pub(crate) joints: Vec<DrawnJoint>,
    /// Where it stands; nothing for the body.
    pub(crate) places: Vec<DrawnPlace>,
}

/// On which side of a step a chamber lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum StepSide {
    /// Around it.
    Around,
    /// In its bore.
    Within,
    /// At its rear face.
    Behind,
    /// At its front face.
    InFront,
}

impl StepSide {
    /// The words that begin each.
    pub(crate) const ALL: [(&'static str, StepSide); 4] = [
        ("around", StepSide::Around),
        ("in", StepSide::Within),
        ("behind", StepSide::Behind),
        ("in front of", StepSide::InFront),
    ];
}

/// Where a chamber lies.
#[derive(Debug, Clone)]
pub(crate) struct RoomPlace {
    pub(crate) side: StepSide,
    /// `None` for the body.
    pub(crate) part: Option<PartId>,
    /// Number of the step.
    pub(crate) step: usize,
}

impl DrawnSolid {
    /// The steps of each piece that is made by itself: what lies between joints, and each insert.
    pub(crate) fn made(&self) -> Vec<Range<usize>> {
        let inserts = self.inserts.iter().map(|insert| insert.first);
        let mut starts: Vec<usize> =
            self.joints.iter().map(|joint| joint.step).chain(inserts).chain([0]).collect();
        starts.sort_unstable();
        starts.dedup();
        let ends = starts.iter().skip(1).copied().chain([self.steps.len()]);
        starts.iter().copied().zip(ends).map(|(start, end)| start..end).collect()
    }

    /// The step of this name.
    pub(crate) fn step(&self, name: &str) -> Option<usize> {
        self.steps.iter().position(|step| step.name.as_ref().is_some_and(|it| it.id == name))
    }

    /// All sizes, in the order of the text, each with what it is the size of.
    pub(crate) fn sizes(&self) -> Vec<(String, &DrawnSize)> {
        let mut sizes = Vec::new();
        for (at, step) in self.steps.iter().enumerate() {
            let name = self.step_name(at);
            for insert in self.inserts.iter().filter(|insert| insert.first == at) {
                if let InsertPlace::At(size) | InsertPlace::Beside(size) = &insert.place {
                    sizes.push((format!("place of `{}`", insert.name.id), size));
                }
            }
            sizes.push((format!("length of {name}"), &step.length));
            match &step.kind {
                StepKind::Plain { outer, bore } => {
                    for (what, diameter) in [("diameter", outer), ("bore", bore)] {
                        let Some(diameter) = diameter else { continue };
                        sizes.push((format!("{what} of {name}"), &diameter.rear));
                        let front = diameter.front.iter();
                        sizes.extend(front.map(|it| (format!("front {what} of {name}"), it)));
                    }
                }
                StepKind::Groove { floor, .. } => {
                    sizes.push((format!("floor of {name}"), floor));
                }
            }
        }
        for (at, hole) in self.holes.iter().enumerate() {
            sizes.push((format!("diameter of hole {}", at + 1), &hole.diameter));
            sizes.push((format!("place of hole {}", at + 1), &hole.at));
        }
        for place in &self.places {
            let number = place.position.place() + 1;
            match &place.kind {
                PlaceKind::At(size) => sizes.push((format!("place at position {number}"), size)),
                PlaceKind::From(size, from) => {
                    let from = from.place() + 1;
                    sizes.push((format!("way to position {number} from position {from}"), size));
                }
                PlaceKind::With { sealing, .. } => sizes.extend(
                    sealing
                        .iter()
                        .map(|it| (format!("sealing diameter at position {number}"), &**it)),
                ),
            }
        }
        sizes
    }

    /// What a step is called in messages: its name, or its number.
    pub(crate) fn step_name(&self, at: usize) -> String {
        let name = self.steps.get(at).and_then(|step| step.name.as_ref());
        name.map_or_else(|| format!("step {}", at + 1), |name| format!("`{}`", name.id))
    }
}
