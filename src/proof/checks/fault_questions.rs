//! Claims about engines with something wrong: what one would notice of them.

use super::questions::{Question, QuestionAnswer};
use crate::faults::{Noticed, SoundEngine, Symptom, noticed};
use crate::folio::routing::{Routed, Routing};
use crate::logic::Ending;

/// Questions about one engine or one variant, by the names that claims use.
pub(crate) const QUESTIONS: [Question; 5] = [
    Question {
        name: "repeats",
        form: "repeats(rowan.torn)",
        meaning: "every run goes on cycling by itself",
    },
    Question {
        name: "never_leaves",
        form: "never_leaves(rowan.torn)",
        meaning: "the ball leaves in no run",
    },
    Question {
        name: "fires_by_itself",
        form: "fires_by_itself(rowan.torn)",
        meaning: "something moves before anybody touches the trigger, or it fires by an act of the \
                  hand before that of the trigger",
    },
    Question {
        name: "hisses_at_rest",
        form: "hisses_at_rest(rowan.torn)",
        meaning: "air flows out while nobody touches the trigger, where it does not in the sound \
                  engine",
    },
    Question {
        name: "comes_home",
        form: "comes_home(rowan.torn)",
        meaning: "in every run all parts stand in the end where they rest",
    },
];

/// The answer to one of these questions.
pub(super) fn answer(name: &str, routing: &Routing, asked: &Routed) -> Option<QuestionAnswer> {
    let (symptom, is_denied) = match name {
        "repeats" => (Symptom::Repeats, false),
        "never_leaves" => (Symptom::BallStays, false),
        "fires_by_itself" => (Symptom::FiresByItself, false),
        "hisses_at_rest" => (Symptom::HissesAtRest, false),
        _ => (Symptom::NotHome, true),
    };
    let id = asked.engine.name.id.as_str();
    let sound = routing.of(id.split('.').next().unwrap_or(id)).unwrap_or(asked);
    let (shot, of_sound) = (asked.shot.as_ref()?, sound.shot.as_ref()?);
    let told =
        noticed((&asked.engine, &shot.found), &SoundEngine::new(&sound.engine, &of_sound.found));
    let is_asked = |it: &Noticed| {
        let also = symptom == Symptom::FiresByItself && it.symptom == Symptom::FiresUntriggered;
        it.symptom == symptom || also
    };
    let found = told.into_iter().find(is_asked);
    let is_open = shot.found.is_cut_short
        || shot.found.endings.iter().any(|(_, end)| matches!(end, Ending::Undecided(_)));
    let words = symptom.words();
    Some(match found {
        Some(it) if it.always => QuestionAnswer { holds: Some(!is_denied), reason: it.run },
        Some(it) => {
            QuestionAnswer { holds: None, reason: format!("{}, in some orders of events", it.run) }
        }
        None if is_open => {
            QuestionAnswer { holds: None, reason: "not every run was followed to its end".into() }
        }
        None => QuestionAnswer { holds: Some(is_denied), reason: format!("in no run: {words}") },
    })
}
