//! The cutaways of a folio as the proof sees them: read, explored, and what is wrong with them.

use crate::cutaway::{self, Engine};
use crate::logic::{Clocks, Ending, Exploration, explore, explore_with};
use crate::slip::{Severity, Slip};
use crate::text::{Source, Spot};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The cutaway of one engine.
#[derive(Debug)]
pub struct Routed {
    /// Its file.
    pub source: Arc<Source>,
    /// The model.
    pub engine: Engine,
    /// What can happen in one shot; `None` where the cutaway has slips that stop publishing.
    pub shot: Option<Shot>,
}

/// What can happen in one shot.
#[derive(Debug)]
pub struct Shot {
    /// With clocks that outlast the motion.
    pub found: Exploration,
    /// With clocks that may end at any moment; `None` where there is no clock.
    pub racing: Option<Exploration>,
}

impl Shot {
    fn of(engine: &Engine) -> Shot {
        let found = explore(engine);
        let has_clock = !found.assumptions.is_empty();
        let racing = has_clock.then(|| explore_with(engine, Clocks::Race));
        Shot { found, racing }
    }
}

/// The cutaways of a folio, by the name of their engine; a revision goes by `rowan.A`.
#[derive(Debug, Default)]
pub struct Routing {
    /// By engine.
    pub engines: BTreeMap<String, Routed>,
}

impl Routing {
    /// The cutaway of an engine.
    #[must_use]
    pub fn of(&self, engine: &str) -> Option<&Routed> {
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
            let is_sound = slips.iter().all(|slip| slip.severity != Severity::Stop);
            let shot = is_sound.then(|| Shot::of(&engine));
            if let Some(shot) = &shot {
                slips.extend(judge_shot(source, &engine, shot));
            }
            let routed = |engine: Engine, shot| Routed { source: Arc::clone(source), engine, shot };
            let revisions = cutaway::revisions(source, &others).into_iter().map(|engine| {
                let shot = is_sound.then(|| Shot::of(&engine));
                routed(engine, shot)
            });
            let revisions = revisions.collect();
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

/// What is wrong with a shot: that of the told run stops publishing, that of another run is marked.
fn judge_shot(source: &Arc<Source>, engine: &Engine, shot: &Shot) -> Vec<Slip> {
    let found = &shot.found;
    let spot = || Spot::new(source, engine.name.span);
    let mut slips: Vec<Slip> = Vec::new();
    if let Some(why) = found.unrest.first() {
        let message = format!("the rest state of `{}` does not hold: {why}", engine.name.id);
        let mut slip = Slip::stop("rest-state-moves", spot(), message);
        for more in &found.unrest[1..] {
            slip = slip.noting(more.clone());
        }
        slips.push(slip.help("change where the parts rest, or what pushes them"));
        return slips;
    }
    if found.is_cut_short {
        let message = "so many orders of events are possible that they were not all followed";
        let slip = Slip::mark("shot-undecided", spot(), message);
        slips.push(slip.help("add `order … before …` for what is known"));
    }
    let told = found.line.last().map_or(0, |step| found.steps[*step].to);
    let mut told_before: Vec<String> = Vec::new();
    for (state, ending) in &found.endings {
        let Some((code, message)) = trouble(engine, ending) else { continue };
        if told_before.contains(&message) {
            continue;
        }
        let is_told = *state == told && found.ending() == Some(ending);
        let is_open = matches!(ending, Ending::Undecided(_));
        let mut slip = if is_told && !is_open {
            Slip::stop(code, spot(), message.clone())
        } else if is_told {
            Slip::mark(code, spot(), message.clone())
        } else {
            Slip::mark(code, spot(), format!("in another order of events {message}"))
        };
        if let Some(step) = found.steps.iter().find(|step| step.to == *state) {
            slip = slip.noting(format!("before that: {}", step.why));
        }
        if let Ending::Undecided(need) = ending {
            for fact in &need.facts {
                slip = slip.help(format!("write `{fact}` with how it is known"));
            }
        } else if !is_told {
            slip = slip.help("add `order … before …` if the order is known");
        }
        told_before.push(message);
        slips.push(slip);
    }
    slips
}

/// An ending that is not the rest state: name of the fault and message.
#[must_use]
pub fn trouble(engine: &Engine, ending: &Ending) -> Option<(&'static str, String)> {
    let name = engine.name.spoken();
    match ending {
        Ending::AtRest => None,
        Ending::Stuck(what) => {
            let what =
                if what.is_empty() { String::new() } else { format!(": {}", what.join(", ")) };
            Some(("shot-sticks", format!("the shot of {name} does not come back to rest{what}")))
        }
        Ending::Repeats(_) => Some((
            "shot-repeats",
            format!("{name} goes on cycling by itself while nobody touches the trigger"),
        )),
        Ending::Vents(path) => {
            Some(("shot-vents", format!("air escapes for ever after the shot: {path}")))
        }
        Ending::Undecided(need) => {
            Some(("shot-undecided", format!("it is not decidable here {}", need.what)))
        }
    }
}
