//! The cutaways of a folio as the proof sees them: read, explored, and what is wrong with them.

use super::things::Things;
use crate::comparison::{ReachedMilestone, Side, milestones_of};
use crate::cutaway::model::{Condition, Element, Event, Way};
use crate::cutaway::{self, Engine, event_words};
use crate::faults::{self, SoundEngine};
use crate::logic::{
    Clocks, Ending, Exploration, ball_stays, blows_through, explore, explore_again, explore_with,
    idle, keeps_pressure, out_of_place, round, starts_by_itself, stays, traps_air, turning_point,
    why_never,
};
use crate::sheet::declare::ring_unknown;
use crate::slip::{Severity, Slip};
use crate::tables;
use crate::text::{Source, Span, Spot};
use rayon::prelude::*;
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, OnceLock};

/// The cutaway of one engine.
#[derive(Debug, Clone)]
pub(crate) struct Routed {
    pub(crate) source: Arc<Source>,
    pub(crate) engine: Engine,
    /// What can happen in one shot; `None` where the cutaway has slips that stop publishing.
    pub(crate) shot: Option<Shot>,
    /// What prose calls its things.
    pub(crate) things: Things,
}

/// What can happen in one shot.
#[derive(Debug, Clone)]
pub(crate) struct Shot {
    /// With clocks that outlast the motion.
    pub(crate) found: Exploration,
    /// With clocks that may end at any moment; `None` where there is no clock.
    pub(crate) racing: Option<Exploration>,
    /// For a variant, what can happen with all orders that were seen on the sound engine; `None`
    /// where they are taken for granted anyway.
    pub(crate) ordered: Option<Exploration>,
    /// How the told run reaches each milestone, once somebody has asked.
    milestones: OnceLock<Vec<ReachedMilestone>>,
}

impl Shot {
    fn of(engine: &Engine) -> Shot {
        let found = explore(engine);
        let racing = found.rests_on_clocks.then(|| explore_with(engine, Clocks::Race));
        Shot { racing, ..Shot::following(found) }
    }

    /// A shot of which only these runs are known.
    fn following(found: Exploration) -> Shot {
        Shot { found, racing: None, ordered: None, milestones: OnceLock::new() }
    }
}

impl Routed {
    /// How its shot reaches each milestone; nothing where its shot is not known.
    pub(crate) fn milestones(&self) -> &[ReachedMilestone] {
        let Some(shot) = &self.shot else { return &[] };
        let side = Side { engine: &self.engine, run: &shot.found };
        shot.milestones.get_or_init(|| milestones_of(side))
    }

    /// The same with these events told apart: where they are about pressures at which nothing else
    /// happens, its shot is followed once more, pausing there.
    pub(crate) fn telling(&self, events: &[Event]) -> Cow<'_, Routed> {
        let Some(shot) = &self.shot else { return Cow::Borrowed(self) };
        let passed_by = events.iter().filter(|event| !shot.found.happens(**event));
        let rooms: BTreeSet<_> = passed_by.filter_map(|it| Some(it.landmark()?.0)).collect();
        if rooms.is_empty() {
            return Cow::Borrowed(self);
        }
        let mut engine = self.engine.clone();
        // What happens at less comes before what happens at more.
        let marks = || self.engine.landmarks.ids();
        engine.watched = rooms.iter().flat_map(|room| marks().map(|at| (*room, at))).collect();
        engine.orders.retain(|order| !shot.found.void_orders.contains(order));
        let again = |run: &Exploration, clocks: Clocks| explore_again(&engine, run, clocks);
        let found = again(&shot.found, Clocks::Wait);
        let racing = shot.racing.as_ref().map(|run| again(run, Clocks::Race));
        let shot = Some(Shot { racing, ..Shot::following(found) });
        Cow::Owned(Routed { engine, shot, ..self.clone() })
    }
}

/// The cutaways of a folio, by the name of their engine; a revision goes by `rowan.A`.
#[derive(Debug, Default)]
pub struct Routing {
    pub(crate) engines: BTreeMap<String, Routed>,
}

impl Routing {
    /// The cutaway of an engine.
    pub(crate) fn of(&self, engine: &str) -> Option<&Routed> {
        self.engines.get(engine)
    }
}

/// Reads and explores cutaways, in the order of their files.
#[must_use]
pub fn read(sources: &[Arc<Source>]) -> (Routing, Vec<Slip>) {
    let others = |name: &str| {
        let file = format!("diagrams/{name}.cut");
        sources.iter().find(|source| source.name == file).map(Arc::clone)
    };
    let read: Vec<(Routed, Vec<Routed>, Vec<Slip>)> = sources
        .par_iter()
        .map(|source| {
            let (engine, mut slips) = cutaway::read(source, &others);
            slips.extend(judge_rings(source, &engine));
            let is_sound = slips.iter().all(|slip| slip.severity != Severity::Stop);
            let shot = is_sound.then(|| Shot::of(&engine));
            if let Some(shot) = &shot {
                slips.extend(judge_shot(source, &engine, shot));
            }
            slips.extend(starter_left(source));
            let routed = |engine: Engine, shot| {
                let things = Things::of(&engine);
                Routed { source: Arc::clone(source), engine, shot, things }
            };
            let beside = shot.as_ref().map(|shot| SoundEngine::new(&engine, &shot.found));
            let revisions = cutaway::revisions(source, &others).into_iter().map(|revised| {
                let found = beside.as_ref().map(|sound| match revised.variant {
                    // What the sound engine's clocks do is not known of one with something wrong.
                    Some(_) => {
                        let found = faults::explored(&revised, sound);
                        let ordered = faults::explored_as_ordered(&revised, &found);
                        Shot { ordered, ..Shot::following(found) }
                    }
                    None => Shot::of(&revised),
                });
                routed(revised, found)
            });
            let revisions = revisions.collect();
            drop(beside);
            (routed(engine, shot), revisions, slips)
        })
        .collect();
    let mut routing = Routing::default();
    let mut slips = Vec::new();
    for (routed, revisions, found) in read {
        slips.extend(found);
        for revision in revisions {
            routing.engines.insert(revision.engine.name.id.clone(), revision);
        }
        let name = routed.engine.name.clone();
        let stem = stem(&routed.source.name);
        if !name.id.is_empty() && name.id != stem {
            slips.push(named_otherwise(&routed.source, &name, stem));
        }
        routing.engines.insert(stem.to_owned(), routed);
    }
    (routing, slips)
}

/// `rowan` of `diagrams/rowan.cut`.
fn stem(file: &str) -> &str {
    let name = file.rsplit('/').next().unwrap_or(file);
    name.strip_suffix(".cut").unwrap_or(name)
}

fn named_otherwise(source: &Arc<Source>, name: &cutaway::model::Name, stem: &str) -> Slip {
    let message = format!("the cutaway is named `{}`, its file `{stem}.cut`", name.id);
    Slip::stop("cutaway-misnamed", Spot::new(source, name.span), message)
        .write(stem)
        .help(format!("or rename the file to `{}.cut`", name.id))
}

/// What stands behind every statement of a first cutaway that was not drawn from an engine.
const STARTER: &str = "# starter";

/// Statements of a first cutaway that nobody has looked at.
fn starter_left(source: &Arc<Source>) -> Option<Slip> {
    let mut at = 0;
    let mut left: Vec<Span> = Vec::new();
    for line in source.text.split_inclusive('\n') {
        let written = line.trim_end();
        if written.ends_with(STARTER) && !written.starts_with('#') {
            left.push(Span::new(at + written.len() - STARTER.len(), at + written.len()));
        }
        at += line.len();
    }
    let message = match left.as_slice() {
        [] => return None,
        [_] => "a line here is still that of the first cutaway, whatever the engine".to_owned(),
        _ => format!(
            "{} lines are still those of the first cutaway, whatever the engine",
            left.len()
        ),
    };
    let slip = Slip::stop("starter-left", Spot::new(source, left[0]), message);
    Some(slip.help(format!(
        "change what is otherwise in your engine, and delete `{STARTER}` behind what you have seen"
    )))
}

/// What is wrong with a shot: that of the told run stops publishing, that of another run is marked.
fn judge_shot(source: &Arc<Source>, engine: &Engine, shot: &Shot) -> Vec<Slip> {
    let found = &shot.found;
    let spot = || Spot::new(source, engine.name.span);
    if let Some(why) = found.unrest.first() {
        let message = format!("the rest state of `{}` does not hold: {why}", engine.name.id);
        let mut slip = Slip::stop("rest-state-moves", spot(), message);
        for more in &found.unrest[1..] {
            slip = slip.noting(more.clone());
        }
        if let Some(event) = starts_by_itself(engine, found) {
            slip = slip.noting(format!(
                "it starts by itself: \u{201c}{event}\u{201d} comes before any trigger is pulled"
            ));
        }
        return vec![slip.help("change where the parts rest, or what pushes them")];
    }
    let mut slips: Vec<Slip> = Vec::new();
    if found.is_cut_short {
        let message = "so many orders of events are possible that they were not all followed";
        let slip = Slip::mark("shot-undecided", spot(), message);
        slips.push(slip.help("add `order … before …` for what is known"));
    }
    let mut told_before: Vec<String> = Vec::new();
    for (state, ending) in &found.endings {
        let Some((code, message)) = trouble(engine, found, ending) else { continue };
        if !told_before.contains(&message) {
            let blamed = match ending {
                Ending::Stuck(_) => out_of_place(engine, &found.states[*state]),
                _ => None,
            };
            let about = match ending {
                Ending::Undecided(need) => Spot::new(source, need.about),
                _ => blamed.as_ref().map_or_else(spot, |it| Spot::new(source, it.about)),
            };
            let told = (*state, ending);
            let mut slip = ending_slip(about, engine, found, told, (code, &message));
            if let Some(it) = blamed {
                let kept = keeps_pressure(engine, found).into_iter().map(|room| {
                    let room = Element::Chamber(room).the(engine);
                    format!("{room} fills and never loses its pressure again")
                });
                let why = std::iter::once(it.why).filter(|why| !why.is_empty());
                slip = why.chain(kept).fold(slip, Slip::noting);
            }
            slips.push(slip);
            told_before.push(message);
        }
    }
    slips.extend(unasked(source, engine, found));
    if told_before.is_empty() && !found.is_cut_short {
        slips.extend(stays_shut(source, engine, found));
        slips.extend(stands_open(source, engine, found));
        slips.extend(unasked_at_rest(source, engine, found));
    }
    slips
}

/// A run that does not end at rest.
fn ending_slip(
    spot: Spot,
    engine: &Engine,
    found: &Exploration,
    (state, ending): (usize, &Ending),
    (code, message): (&'static str, &str),
) -> Slip {
    let told = found.line.last().map_or(0, |step| found.steps[*step].to);
    let is_told = state == told && found.ending() == Some(ending);
    let mut slip = match (is_told, ending) {
        (true, Ending::Undecided(_)) => Slip::mark(code, spot, message),
        (true, _) => Slip::stop(code, spot, message),
        (false, _) => Slip::mark(code, spot, format!("in another order of events {message}")),
    };
    if let Ending::Undecided(need) = ending {
        if let Some(step) = found.steps.iter().find(|step| step.to == state) {
            slip = slip.noting(format!("before that: {}", step.why));
        }
        for fact in &need.facts {
            slip = slip.help(format!("write `{fact}` with how it is known"));
        }
        return slip;
    }
    if let Ending::Repeats(head) = ending {
        let steps = round(found, *head);
        let events = steps.iter().filter_map(|step| step.events.first());
        let words: Vec<String> = events.map(|event| event_words(engine, *event)).collect();
        slip = slip.noting(format!("it goes round through: {}", words.join(", ")));
    }
    if let Some((first, then)) = turning_point(found, state, ending) {
        let words = |event: Event| event_words(engine, event);
        let (first, then) = (words(first), words(then));
        return slip
            .noting(format!(
                "that is so when \u{201c}{then}\u{201d} comes before \u{201c}{first}\u{201d}"
            ))
            .help(format!("if it cannot, write `order {first} before {then} (…)`"));
    }
    slip
}

/// What a writer would want to know of a shot without asking.
fn unasked(source: &Arc<Source>, engine: &Engine, found: &Exploration) -> Vec<Slip> {
    let mut slips = Vec::new();
    let ball = engine.ball.as_ref().zip(ball_stays(engine, found));
    slips.extend(ball.map(|(ball, why)| {
        let message = format!("the {} leaves in no run: {why}", ball.name.spoken());
        let slip = Slip::mark("ball-stays", Spot::new(source, ball.name.span), message);
        slip.help("look which way should bring pressure behind it, and what opens that")
    }));
    slips.extend(blows_through(engine, found).map(|what| {
        let slip = Slip::mark("blows-through", Spot::new(source, engine.name.span), what);
        slip.help("if it is meant to, leave it: readers are told; if not, look what should shut")
    }));
    slips.extend(idle(engine).into_iter().filter_map(|thing| {
        let name = thing.name(engine)?;
        let message = format!("nothing in this cutaway hangs on `{}`", name.id);
        let spot = Spot::new(source, name.span);
        Some(match thing {
            // The trigger that is there without being declared has no place.
            Element::Trigger(_) if name.span == Span::default() => return None,
            Element::Trigger(_) => Slip::mark("trigger-idle", spot, message)
                .help("say what it shifts or releases, or take it out"),
            _ => Slip::note("part-idle", spot, message)
                .help("say what it opens, shuts, shifts or pushes, if it does"),
        })
    }));
    slips
}

/// The same where the shot comes back to rest: elsewhere it follows from what is told already.
fn unasked_at_rest(source: &Arc<Source>, engine: &Engine, found: &Exploration) -> Vec<Slip> {
    let mut slips = Vec::new();
    // Why a ball stays is told by the parts that do.
    let stays = if ball_stays(engine, found).is_some() { Vec::new() } else { stays(engine, found) };
    slips.extend(stays.into_iter().map(|(part, why)| {
        let name = &engine.parts[part].name;
        let message = format!("the {} moves in no run", name.spoken());
        Slip::mark("part-stays", Spot::new(source, name.span), message).noting(why)
    }));
    slips.extend(traps_air(engine, found).into_iter().map(|(part, room)| {
        let name = &engine.parts[part].name;
        let room = Element::Chamber(room).the(engine);
        let message = format!("the {} moves against air that is shut in {room}", name.spoken());
        let slip = Slip::mark("air-trapped", Spot::new(source, name.span), message);
        slip.help(format!("say by which way the air leaves {room}, if it does"))
    }));
    slips.extend(found.void_orders.iter().map(|order| {
        let words = |event: Event| event_words(engine, event);
        let (first, then) = (words(order.first), words(order.then));
        let message = format!("the order \u{201c}{first} before {then}\u{201d} says nothing here");
        let slip = Slip::mark("order-void", Spot::new(source, order.span), message);
        slip.noting(format!(
            "\u{201c}{first}\u{201d} never happens: {}",
            why_never(engine, found, order.first)
        ))
    }));
    slips
}

/// Ways that open in no run.
fn stays_shut(source: &Arc<Source>, engine: &Engine, found: &Exploration) -> Vec<Slip> {
    let shut = engine.ways.entries().filter(|(at, way)| {
        !way.barrel && !found.states.iter().any(|state| state.is_open(engine, *at))
    });
    shut.map(|(at, way)| {
        let message = format!("the way `{}` never opens in one shot", way.name.id);
        let slip = Slip::mark("way-stays-shut", Spot::new(source, way.name.span), message);
        slip.noting(why_never(engine, found, Event::Opens(at)))
    })
    .collect()
}

/// Seals that are said to keep two chambers apart while a way between them stands open that their
/// own part opens. What a valve or another part opens is another passage beside the ring.
fn stands_open(source: &Arc<Source>, engine: &Engine, found: &Exploration) -> Vec<Slip> {
    let mut slips = Vec::new();
    for seal in &engine.seals {
        let between = |way: &Way| {
            let ends = (way.from, way.to);
            // A check valve is a seal of its own, one way.
            let is_plain = !way.barrel && !way.one_way;
            let is_own = way.when.iter().any(|condition| match condition {
                Condition::At(part, _) | Condition::From(part, _) | Condition::Before(part, _) => {
                    seal.on == Some(*part)
                }
                _ => false,
            });
            is_plain && is_own && (ends == seal.between || (ends.1, ends.0) == seal.between)
        };
        let mut ways = engine.ways.entries().filter(|(_, way)| between(way));
        let open = ways.find(|(at, _)| {
            let mut states = found.states.iter();
            states.any(|state| state.holds(engine, &seal.when) && state.is_open(engine, *at))
        });
        let spot = || Spot::new(source, seal.name.span);
        if let Some((_, way)) = open {
            let message = format!(
                "the seal `{}` is said to seal while the way `{}` stands open past it",
                seal.name.id, way.name.id
            );
            let slip = Slip::mark("seal-stands-open", spot(), message);
            slips.push(slip.help("say with `while …` when it seals, or when the way is open"));
        } else if !found.states.iter().any(|state| state.holds(engine, &seal.when)) {
            let message = format!("the seal `{}` never seals in one shot", seal.name.id);
            slips.push(Slip::mark("seal-stands-open", spot(), message));
        }
    }
    slips
}

/// Ring sizes that do not exist.
fn judge_rings(source: &Arc<Source>, engine: &Engine) -> Vec<Slip> {
    let sizes = engine.seals.iter().filter_map(|seal| seal.size.as_ref());
    // What another cutaway brings is told there.
    let own = sizes.filter(|size| source.slice(size.span).contains(&size.id));
    own.filter(|size| size.id.starts_with('-'))
        .filter_map(|size| {
            let fault = tables::ring(&size.id).err()?;
            Some(ring_unknown(Spot::new(source, size.span), &fault))
        })
        .collect()
}

/// An ending that is not the rest state: name of the fault and message.
pub(crate) fn trouble(
    engine: &Engine,
    found: &Exploration,
    ending: &Ending,
) -> Option<(&'static str, String)> {
    let name = engine.name.spoken();
    match ending {
        Ending::AtRest => None,
        Ending::Stuck(what) => {
            let what =
                if what.is_empty() { String::new() } else { format!(": {}", what.join(", ")) };
            Some(("shot-sticks", format!("the shot of {name} does not come back to rest{what}")))
        }
        Ending::Repeats(state) => {
            let pulled = &found.states[*state].pulled;
            let held = engine.triggers.iter().zip(pulled).find(|(_, pulled)| **pulled);
            let when = match held {
                Some((trigger, _)) => format!("as long as the {} is held", trigger.spoken()),
                None => "while nobody touches the trigger".to_owned(),
            };
            Some(("shot-repeats", format!("{name} goes on cycling by itself {when}")))
        }
        Ending::Vents(path) => {
            Some(("shot-vents", format!("air escapes for ever after the shot: {path}")))
        }
        Ending::Undecided(need) => {
            Some(("shot-undecided", format!("it is not decidable here {}", need.what)))
        }
    }
}
