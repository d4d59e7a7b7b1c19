//! What a shot shows that nobody asked about: a ball that stays, air that blows through.

use super::air::escape;
use super::state::{Ending, Exploration};
use super::{why, why_never};
use crate::cutaway::model::{Condition, Element, Engine, Event};

/// Why the ball leaves in no run; `None` where it does in some, or where runs are not decided.
pub(crate) fn ball_stays(engine: &Engine, found: &Exploration) -> Option<String> {
    engine.ball.as_ref()?;
    let is_open = found.endings.iter().any(|(_, end)| matches!(end, Ending::Undecided(_)));
    let leaves = found.steps.iter().any(|step| step.events.contains(&Event::BallLeaves));
    (!leaves && !is_open && !found.is_cut_short)
        .then(|| why_never(engine, found, Event::BallLeaves))
}

/// Where air flows from a supply to the open air for as long as a trigger is held: all is quiet
/// then but for the air. What vents when all is over is told as that.
pub(crate) fn blows_through(engine: &Engine, found: &Exploration) -> Option<String> {
    if found.endings.iter().any(|(_, end)| matches!(end, Ending::Vents(_))) {
        return None;
    }
    found.steps.iter().find_map(|step| {
        let Some(Event::Released(trigger)) = step.events.first() else { return None };
        let (supply, path) = escape(engine, &found.states[step.from])?;
        let trigger = Element::Trigger(*trigger).the(engine);
        Some(format!("while {trigger} is held, {}", why::escape(engine, supply, &path)))
    })
}

/// Triggers of which nothing in the cutaway speaks.
pub(crate) fn idle_triggers(engine: &Engine) -> Vec<Element> {
    let conditions: Vec<Condition> = engine.conditions().collect();
    let latches = || engine.parts.iter().filter_map(|part| part.latch.as_ref());
    let idle = engine.triggers.ids().filter(|at| {
        !conditions.contains(&Condition::Pulled(*at)) && latches().all(|it| it.trigger != *at)
    });
    idle.map(Element::Trigger).collect()
}
