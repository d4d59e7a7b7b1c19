//! `gaugebook shot`: one shot of an engine, event by event, with why.

use super::folder::{Folder, NoFolio};
use super::reckon::ReckonFormat;
use super::{CommandOutcome, terminal};
use crate::cutaway::model::Event;
use crate::cutaway::{Engine, event_words};
use crate::folio::Folio;
use crate::folio::routing::{Routed, trouble};
use crate::logic::{Ending, Exploration, OrderPiece, Step, Telling, telling};
use crate::sheet::print::ShownWidth;
use crate::slip::{Paint, Severity, render};
use crate::text::listed;
use crate::view_model::{ForcedPart, VariantRow, forced_parts, otherwise, step_numbers, variant};
use clap::Args;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::io::Write;
use std::path::PathBuf;

/// Tells one shot of an engine, event by event, from its cutaway.
#[derive(Debug, Args)]
#[command(after_help = "Example:
  gaugebook shot rowan")]
pub(crate) struct ShotCommand {
    /// The engine's name: that of its cutaway in diagrams/
    engine: String,
    /// The folder that holds `content` and `diagrams`
    #[arg(default_value = ".")]
    folio: PathBuf,
    /// How to tell it
    #[arg(long, value_enum, default_value_t = ReckonFormat::Text)]
    format: ReckonFormat,
}

/// Runs the command.
pub(crate) fn run(arguments: &ShotCommand) -> CommandOutcome {
    let told = Folder::open(&arguments.folio).and_then(|folder| {
        let (folio, slips) = folder.read()?;
        let routed = routed(&folio, &arguments.engine)?;
        let own = slips.iter().filter(|slip| slip.spot.source.name == routed.source.name);
        let is_clean = own.clone().all(|slip| slip.severity == Severity::Note);
        let ended = if is_clean { CommandOutcome::Clean } else { CommandOutcome::Slips };
        Ok(terminal::told(ended, |out| {
            if arguments.format == ReckonFormat::Json {
                let shot = routed.shot.as_ref().map(|shot| {
                    let mut told = to_json(&routed.engine, &shot.found);
                    told["forces"] = json!(forced_parts(&folio, &arguments.engine));
                    told["variant"] = json!(variant(&folio.routing, &arguments.engine));
                    told
                });
                return writeln!(out, "{}", shot.unwrap_or_default());
            }
            for slip in own {
                writeln!(out, "{}", render(slip, Paint::plain()))?;
            }
            let Some(shot) = &routed.shot else { return Ok(()) };
            if let Some(told) = variant(&folio.routing, &arguments.engine) {
                tell_variant(out, &told)?;
            }
            tell(out, &routed.engine, &shot.found)?;
            tell_forces(out, &forced_parts(&folio, &arguments.engine))
        }))
    });
    told.unwrap_or_else(|no| super::could_not_run(&no.message))
}

/// The cutaway of an engine named by the user.
///
/// # Errors
/// When there is none; the ones that there are.
pub(super) fn routed<'a>(folio: &'a Folio, engine: &str) -> Result<&'a Routed, NoFolio> {
    folio.routing.of(engine).ok_or_else(|| {
        let known: Vec<&str> = folio.routing.engines.keys().map(String::as_str).collect();
        let known = if known.is_empty() { "none".to_owned() } else { known.join(", ") };
        let message = format!(
            "there is no cutaway diagrams/{engine}.cut that can be read; this folio has {known}"
        );
        NoFolio { message }
    })
}

/// What is otherwise than in the sound engine, what one would notice, and where the air goes.
fn tell_variant(out: &mut dyn Write, told: &VariantRow) -> std::io::Result<()> {
    writeln!(out, "{}", told.what)?;
    for wrong in &told.wrong {
        writeln!(out, "  what is otherwise: {wrong}")?;
    }
    writeln!(out, "  what you would notice first: {}", told.first)?;
    let lines = [("how that comes", &told.run), ("where the air goes", &told.air)];
    for (head, text) in lines.iter().filter(|(_, text)| !text.is_empty()) {
        writeln!(out, "  {head}: {text}")?;
    }
    for then in &told.then {
        writeln!(out, "  then: {then}")?;
    }
    if !told.doubted.is_empty() {
        let orders = told.doubted.join(", ");
        writeln!(out, "  seen on the sound engine, and not taken for granted here: {orders}")?;
    }
    writeln!(out)
}

/// What is taken for granted and what is stated, once and above; then the steps in their order.
fn tell(out: &mut dyn Write, engine: &Engine, found: &Exploration) -> std::io::Result<()> {
    let telling = telling(engine, found);
    for text in &found.assumptions {
        writeln!(out, "taken for granted: {text}")?;
    }
    for (order, how) in &telling.stated {
        writeln!(out, "stated: {order} ({how})")?;
    }
    let mut teller = Teller { out, engine, found, telling: &telling };
    match &telling.order {
        Some(order_pieces) => teller.order_pieces(order_pieces, "")?,
        None => {
            for step in 0..found.line.len() {
                teller.step(step, "")?;
            }
            teller.line(
                "which of these may come in another order was not looked at: too many runs",
            )?;
        }
    }
    teller.ending()
}

struct Teller<'a> {
    out: &'a mut dyn Write,
    engine: &'a Engine,
    found: &'a Exploration,
    telling: &'a Telling,
}

impl Teller<'_> {
    fn line(&mut self, text: &str) -> std::io::Result<()> {
        writeln!(self.out, "{text}")
    }

    fn order_pieces(&mut self, order_pieces: &[OrderPiece], strand: &str) -> std::io::Result<()> {
        for piece in order_pieces {
            match piece {
                OrderPiece::Step(step) => self.step(*step, strand)?,
                OrderPiece::Either { strands, hangs_on } => {
                    self.strands(strands, hangs_on, strand)?
                }
                OrderPiece::Tangle { steps, hangs_on } => {
                    self.line("     in an order of which only some is certain:")?;
                    for (step, later) in steps {
                        self.step(*step, &format!("{strand}~"))?;
                        if !later.is_empty() {
                            let later = step_numbers(later);
                            self.line(&format!("       it may also come after {later}"))?;
                        }
                    }
                    self.line(&format!("     what is open hangs on {hangs_on}"))?;
                }
            }
        }
        Ok(())
    }

    fn strands(
        &mut self,
        strands: &[Vec<OrderPiece>],
        hangs_on: &str,
        within: &str,
    ) -> std::io::Result<()> {
        let is_single = strands.iter().all(|strand| strand.len() == 1);
        let letters = ('a'..='z').cycle().zip(strands);
        let named: Vec<String> = letters.map(|(letter, _)| format!("{within}{letter}")).collect();
        self.line(&match is_single {
            true => "     in either order:".to_owned(),
            false => {
                format!("     side by side, each of {} in its own order:", listed(&named, "and"))
            }
        })?;
        for (strand, name) in strands.iter().zip(&named) {
            self.order_pieces(strand, name)?;
        }
        self.line(&format!("     which comes first hangs on {hangs_on}"))
    }

    fn step(&mut self, number: usize, strand: &str) -> std::io::Result<()> {
        let words = words(self.engine, &self.found.steps[self.found.line[number]]).join("; ");
        let strand = if strand.is_empty() { String::new() } else { format!("{strand} ") };
        writeln!(self.out, "{:>3}  {strand}{words}", number + 1)?;
        for reason in &self.telling.reasons[number] {
            writeln!(self.out, "       {reason}")?;
        }
        Ok(())
    }

    fn ending(&mut self) -> std::io::Result<()> {
        for text in &self.telling.in_some {
            writeln!(self.out, "\n{text}")?;
        }
        for text in otherwise(self.engine, self.found) {
            writeln!(self.out, "\n{text}")?;
        }
        let found = self.found;
        match found.ending() {
            Some(Ending::AtRest) => self.line("\nafter one shot everything is at rest again")?,
            Some(ending) => {
                if let Some((_, what)) = trouble(self.engine, found, ending) {
                    writeln!(self.out, "\n{what}")?;
                }
                if let Ending::Undecided(need) = ending {
                    for fact in &need.facts {
                        writeln!(self.out, "  would be decided by: {fact}")?;
                    }
                }
            }
            None => self.line("\nnot followed to its end")?,
        }
        writeln!(self.out, "{} states looked at", found.states.len())
    }
}

fn words(engine: &Engine, step: &Step) -> Vec<String> {
    step.events.iter().map(|event| event_words(engine, *event)).collect()
}

/// What is left over on each part, and the pressure at which it lets go.
fn tell_forces(out: &mut dyn Write, parts: &[ForcedPart]) -> std::io::Result<()> {
    for part in parts {
        writeln!(out, "\nforces on the {}, without friction:", part.name)?;
        for moment in &part.moments {
            let net = &moment.net;
            let force = match &net.force.value {
                Some(force) => format!("net {} {}", with_width(force), net.direction),
                None if net.between.is_empty() => net.force.needs.clone(),
                None => {
                    let end = |(end, direction): &(ShownWidth, &str)| {
                        format!("{} {direction}", end.shown.written)
                    };
                    let ends: Vec<String> = net.between.iter().map(end).collect();
                    format!("between {}", listed(&ends, "and"))
                }
            };
            writeln!(out, "{:>3}  {force}: {}", moment.from, net.so)?;
            for lets_go in &moment.lets_go {
                if let Some(pressure) = &lets_go.pressure.value {
                    writeln!(out, "       lets go {} {}", lets_go.when, with_width(pressure))?;
                }
            }
        }
    }
    Ok(())
}

fn with_width(of: &ShownWidth) -> String {
    match &of.plus_minus {
        Some(width) => format!("{} \u{b1} {}", of.shown.written, width.written),
        None => of.shown.written.clone(),
    }
}

/// The same for other tools, as one JSON object.
fn to_json(engine: &Engine, found: &Exploration) -> Value {
    let telling = telling(engine, found);
    let said = |event: Event| {
        let saying = engine.sayings.iter().find(|saying| saying.event == event);
        saying.map(|saying| saying.words.id.as_str())
    };
    let mut happened = BTreeSet::new();
    let steps = found.line.iter().enumerate().map(|(number, step)| {
        let events = found.steps[*step].events.iter().map(|event| {
            let said = said(*event).filter(|_| happened.insert(*event));
            json!({ "event": event_words(engine, *event), "said": said })
        });
        json!({
            "number": number + 1,
            "events": events.collect::<Vec<Value>>(),
            "why": telling.reasons[number],
        })
    });
    let stated = telling.stated.iter().map(|(order, how)| json!({ "order": order, "known": how }));
    let ending = found.ending().and_then(|ending| trouble(engine, found, ending));
    let needs = match found.ending() {
        Some(Ending::Undecided(need)) => need.facts.clone(),
        _ => Vec::new(),
    };
    json!({
        "engine": engine.name.id,
        "taken_for_granted": found.assumptions,
        "stated": stated.collect::<Vec<Value>>(),
        "steps": steps.collect::<Vec<Value>>(),
        "order": telling.order.as_ref().map(|order| order_json(order)),
        "in_some_runs_only": telling.in_some,
        "otherwise": otherwise(engine, found),
        "comes_to_rest": found.always_ends_at_rest(),
        "ending": ending.map(|(_, what)| what),
        "would_be_decided_by": needs,
    })
}

/// Passages in certain order: a number is a step, an object is a group whose order is open.
fn order_json(order_pieces: &[OrderPiece]) -> Value {
    let each = order_pieces.iter().map(|piece| match piece {
        OrderPiece::Step(step) => json!(step + 1),
        OrderPiece::Either { strands, hangs_on } => {
            let strands: Vec<Value> = strands.iter().map(|strand| order_json(strand)).collect();
            json!({ "either": strands, "hangs_on": hangs_on })
        }
        OrderPiece::Tangle { steps, hangs_on } => {
            let steps = steps.iter().map(|(step, later)| {
                let later: Vec<usize> = later.iter().map(|step| step + 1).collect();
                json!({ "step": step + 1, "may_come_after": later })
            });
            json!({ "partly": steps.collect::<Vec<Value>>(), "hangs_on": hangs_on })
        }
    });
    each.collect()
}
