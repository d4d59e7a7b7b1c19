//! What one may notice, in words, and how sure it is.

/// What may be noticed, what comes first in front.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Symptom {
    /// Something moves or leaves before anybody touches the trigger.
    FiresByItself,
    /// Air flows out while nobody touches the trigger.
    HissesAtRest,
    /// It fires by another act of the hand, before the trigger is pulled that should fire it.
    FiresUntriggered,
    /// It goes on cycling.
    Repeats,
    /// The ball does not leave.
    BallStays,
    /// The ball leaves at the first shot and not at the second.
    FiresOnce,
    /// Air goes on flowing out when the shot is over, where it does not in the sound engine.
    HissesAfter,
    /// A part does not move at all.
    DoesNotMove,
    /// A part or a valve does not come home.
    NotHome,
    /// The store is not full again.
    NotRefilled,
    /// Less drives the ball.
    Weaker,
    /// More drives the ball.
    Harder,
    /// Air flows out while a trigger is held or between, where it does not in the sound engine.
    HissesFiring,
    /// The store fills by a narrower way.
    SlowToRefill,
    /// All that moves is home, and yet it is not as before the shot.
    NotReady,
}

impl Symptom {
    /// All of them, what comes first in front.
    pub const ALL: [Symptom; 15] = [
        Symptom::FiresByItself,
        Symptom::HissesAtRest,
        Symptom::FiresUntriggered,
        Symptom::Repeats,
        Symptom::BallStays,
        Symptom::FiresOnce,
        Symptom::HissesAfter,
        Symptom::DoesNotMove,
        Symptom::NotHome,
        Symptom::NotRefilled,
        Symptom::Weaker,
        Symptom::Harder,
        Symptom::HissesFiring,
        Symptom::SlowToRefill,
        Symptom::NotReady,
    ];

    /// By what it is judged that it shows, as a sentence.
    #[must_use]
    pub fn judged(self) -> &'static str {
        match self {
            Symptom::FiresByItself => {
                "A part or the ball moves before anybody touches a trigger. While the air is only \
                 being turned on, parts may move: then it is told only if the ball leaves, if it \
                 goes on for ever, or if a part that rests where it stands without air is driven \
                 from there and kept away."
            }
            Symptom::HissesAtRest => {
                "All is quiet, no trigger has been touched, and a supply stands open to the open \
                 air by a way out that is shut in the sound engine then."
            }
            Symptom::FiresUntriggered => {
                "The hand does several things in turn, and what the sound engine does only at the \
                 last pull comes at an earlier one."
            }
            Symptom::Repeats => "The shot comes back to the same state again and again.",
            Symptom::BallStays => {
                "The sound engine throws its ball; this one does in no run, or in some runs only."
            }
            Symptom::FiresOnce => {
                "The ball leaves, but the shot ends otherwise than it began, and a second one \
                 from there leaves the ball where it is. Told where nothing else is noticed."
            }
            Symptom::HissesFiring => {
                "Between the first act of the hand and the last a supply stands open to the open \
                 air by a way out that is shut in the sound engine throughout the shot, or by \
                 which less gets out of it, through something narrower."
            }
            Symptom::DoesNotMove => "A part that moves in the sound engine never does.",
            Symptom::NotHome => {
                "All is over, and a part stands elsewhere than where it rests, or a valve that \
                 comes back in the sound engine is shifted. Of a shot that goes round for ever it \
                 is told of what is away all the while."
            }
            Symptom::HissesAfter => {
                "All is over, every trigger is let go, and a supply stands open to the open air."
            }
            Symptom::NotRefilled => {
                "All is over, and a chamber with the role store holds less than in the sound engine \
                 then."
            }
            Symptom::Weaker => {
                "Less pressure comes behind the ball, or it comes by a narrower way, or air gets \
                 away beside it. Told of an engine that fires as the sound one does."
            }
            Symptom::Harder => {
                "The contrary: more pressure comes behind the ball, or by a wider way."
            }
            Symptom::SlowToRefill => "A store fills by a narrower way than in the sound engine.",
            Symptom::NotReady => {
                "All is over and something is not as before the shot. Told where nothing else is \
                 noticed."
            }
        }
    }

    /// As readers look for it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Symptom::FiresByItself => "fires by itself",
            Symptom::FiresUntriggered => "fires by itself without the trigger",
            Symptom::HissesAtRest => "hisses at rest",
            Symptom::Repeats => "goes on cycling",
            Symptom::BallStays => "the ball does not leave",
            Symptom::FiresOnce => "fires only once",
            Symptom::HissesAfter => "goes on hissing after the shot",
            Symptom::HissesFiring => "hisses while firing",
            Symptom::Weaker => "fires weaker",
            Symptom::Harder => "fires harder",
            Symptom::DoesNotMove => "does not move",
            Symptom::NotHome => "does not come home",
            Symptom::NotRefilled => "does not refill",
            Symptom::SlowToRefill => "refills more slowly",
            Symptom::NotReady => "is not ready for the next shot",
        }
    }

    /// The same with where it is, or of what: "hisses at rest, past the drag seal".
    #[must_use]
    pub fn told(self, place: &str) -> String {
        let words = self.words();
        match self {
            _ if place.is_empty() => words.to_owned(),
            Symptom::DoesNotMove
            | Symptom::NotHome
            | Symptom::NotRefilled
            | Symptom::SlowToRefill => format!("{place} {words}"),
            Symptom::FiresUntriggered => {
                format!("fires by itself {place}, without the trigger")
            }
            Symptom::FiresByItself => format!("{words}, {place} first"),
            _ => format!("{words}, {place}"),
        }
    }
}

/// Something that one would notice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Noticed {
    /// What it is.
    pub symptom: Symptom,
    /// Where or of what: "out of the barrel", "the bolt"; may be empty.
    pub place: String,
    /// Whether every run shows it; otherwise some orders of events do.
    pub always: bool,
    /// What happens, as a sentence without full stop.
    pub run: String,
    /// Where the air goes, as a phrase; `None` where none goes astray.
    pub air: Option<String>,
}

/// How sure it is that something is noticed, surest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Surely {
    /// Every run shows it.
    Always,
    /// Every run does in which the orders hold that were seen on the sound engine.
    AsOrdered,
    /// Some orders of events show it.
    Sometimes,
}

impl Noticed {
    /// How sure it is, with what is noticed where all orders of the sound engine hold.
    #[must_use]
    pub fn surely(&self, ordered: &[Noticed]) -> Surely {
        let is_it = |it: &Noticed| (it.symptom, &it.place) == (self.symptom, &self.place);
        match self.always {
            true => Surely::Always,
            false if ordered.iter().any(|it| it.always && is_it(it)) => Surely::AsOrdered,
            false => Surely::Sometimes,
        }
    }
}
