//! `gaugebook draw`: pictures of an engine for a talk or a video.

use super::folder::{Folder, NoFolio};
use super::shot::routed;
use super::writers_file::{self, NewFile};
use super::{CommandOutcome, plain_file, terminal};
use crate::cutaway::Engine;
use crate::cutaway::sized::SizedEngine;
use crate::drawing::{Caption, Circuit, Drawing, DrawingView, PaperSheet, even, frame, sections};
use crate::logic::{Exploration, State};
use crate::site::pictures::png_of_svg;
use crate::view_model::pose_words;
use clap::{Args, ValueEnum};
use rayon::prelude::*;
use std::fs;
use std::path::PathBuf;

/// Draws an engine from its cutaway: its rest, one state of the shot, or all of them.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  gaugebook draw rowan                       rowan-circuit-00.svg: the circuit at rest
  gaugebook draw rowan --view section --pose all --format png --width 1920 --height 1080
                                             numbered frames of one shot, for a video
  gaugebook draw rowan --pose 4 --format png --transparent --ink '#ffffff'
                                             one frame to lay over a dark picture")]
pub(crate) struct DrawCommand {
    /// The engine's name: that of its cutaway in diagrams/
    engine: String,
    /// The folder that holds `content` and `diagrams`
    #[arg(default_value = ".")]
    folio: PathBuf,
    /// What to draw; the section needs an `axis` in the cutaway
    #[arg(long, value_enum, default_value = "circuit")]
    view: DrawnPicture,
    /// Which state: its number in `gaugebook shot` (0 is at rest), or all
    #[arg(long, value_name = "NUMBER|all", default_value = "0")]
    pose: String,
    /// File format
    #[arg(long, value_enum, default_value = "svg")]
    format: PictureFormat,
    /// Width in pixels
    #[arg(long, default_value_t = 1600, value_parser = clap::value_parser!(u32).range(64..=16_000))]
    width: u32,
    /// Height in pixels
    #[arg(long, default_value_t = 900, value_parser = clap::value_parser!(u32).range(64..=16_000))]
    height: u32,
    /// No ground behind the lines
    #[arg(long)]
    transparent: bool,
    /// Colour of the lines, as #rrggbb
    #[arg(long, value_name = "COLOUR", default_value = "#111111", value_parser = colour)]
    ink: String,
    /// Colour of the ground, as #rrggbb
    #[arg(long, value_name = "COLOUR", default_value = "#ffffff", value_parser = colour)]
    paper: String,
    /// Folder to write to
    #[arg(long, value_name = "FOLDER", default_value = ".")]
    to: PathBuf,
    /// Write over files that are there already
    #[arg(long)]
    overwrite: bool,
}

/// Largest file that a picture takes the place of, in bytes.
const LARGEST_PICTURE: u64 = 1 << 30;

/// What is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum DrawnPicture {
    /// Symbols and lines, to the conventions of ISO 1219-1
    Circuit,
    /// Things along the axis: to scale where the cutaway has sizes, else in made-up ones
    Section,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum PictureFormat {
    /// Lines that stay sharp
    Svg,
    /// Pixels
    Png,
}

fn colour(text: &str) -> Result<String, String> {
    let digits = text.strip_prefix('#').unwrap_or("");
    let is_colour = digits.len() == 6 && digits.bytes().all(|b| b.is_ascii_hexdigit());
    is_colour.then(|| text.to_owned()).ok_or_else(|| "write it as #rrggbb".to_owned())
}

/// Runs the command.
pub(crate) fn run(arguments: &DrawCommand) -> CommandOutcome {
    match draw(arguments) {
        Ok(names) => terminal::told(CommandOutcome::Clean, |out| {
            names.iter().try_for_each(|name| writeln!(out, "{name}"))
        }),
        Err(no) => super::could_not_run(&no.message),
    }
}

fn draw(arguments: &DrawCommand) -> Result<Vec<String>, NoFolio> {
    let no = |message: String| NoFolio { message };
    let (folio, _) = Folder::open(&arguments.folio)?.read()?;
    let routed = routed(&folio, &arguments.engine)?;
    let engine = &routed.engine;
    let sized = folio.sized(&arguments.engine);
    let shot = routed.shot.as_ref().map(|shot| &shot.found);
    let states = shot.map(Exploration::line_states).unwrap_or_default();
    let poses = wanted(arguments, states.len()).map_err(no)?;
    let mut drawings = drawings(arguments.view, (engine, sized.as_deref()), &states).ok_or_else(|| {
        no(format!(
            "diagrams/{}.cut does not say in which order things lie: add `axis main: …`, or draw \
             the circuit",
            arguments.engine
        ))
    })?;
    even(&mut drawings);
    let words = shot.map(|found| pose_words(engine, found)).unwrap_or_default();
    let sheet = PaperSheet {
        ink: arguments.ink.clone(),
        paper: (!arguments.transparent).then(|| arguments.paper.clone()),
        ..PaperSheet::new(arguments.width, arguments.height)
    };
    let wanted = drawings.iter().enumerate().filter(|(number, _)| poses.contains(number));
    let wanted: Vec<(usize, &Drawing)> = wanted.collect();
    let files = wanted.par_iter().map(|(number, drawing)| {
        let events = words.get(*number).map(|words| words.join("; ")).unwrap_or_default();
        let svg = frame(drawing, &sheet, &Caption { step: *number, words: events });
        let (bytes, ending) = match arguments.format {
            PictureFormat::Svg => (svg.into_bytes(), "svg"),
            PictureFormat::Png => {
                let png = png_of_svg(&svg, arguments.width).map_err(|fault| fault.to_string())?;
                (png, "png")
            }
        };
        let view = match arguments.view {
            DrawnPicture::Circuit => "circuit",
            DrawnPicture::Section => "section",
        };
        let name = format!("{}-{view}-{number:02}.{ending}", arguments.engine);
        let path = arguments.to.join(&name);
        Ok(NewFile { path, bytes })
    });
    let files = files.collect::<Result<Vec<NewFile>, String>>().map_err(no)?;
    let names = files.iter().map(|file| file.path.display().to_string()).collect();
    keep(files, arguments.overwrite).map_err(no)?;
    Ok(names)
}

/// Writes the pictures. What is there already is overwritten only if the user says so.
fn keep(files: Vec<NewFile>, overwrite: bool) -> Result<(), String> {
    let there = |file: &NewFile| fs::symlink_metadata(&file.path).is_ok();
    let differs = |file: &NewFile| !writers_file::holds(&file.path, &file.bytes);
    let (old, new): (Vec<NewFile>, Vec<NewFile>) =
        files.into_iter().filter(differs).partition(there);
    match old.first() {
        Some(first) if !overwrite => {
            return Err(format!(
                "{} is there already and holds something else; draw to another folder with --to, or \
                 write over it with --overwrite",
                first.path.display()
            ));
        }
        _ => {}
    }
    writers_file::create(&new)?;
    for file in &old {
        let before = plain_file::read(&file.path, LARGEST_PICTURE)
            .map_err(|fault| format!("{} cannot be overwritten: {fault}", file.path.display()))?;
        writers_file::replace(&file.path, &before, &file.bytes)?;
    }
    Ok(())
}

/// The numbers of the states to draw, of so many.
fn wanted(arguments: &DrawCommand, states: usize) -> Result<Vec<usize>, String> {
    if arguments.pose == "all" {
        if states == 0 {
            return Err("the cutaway has slips of its own; `gaugebook shot` tells them".to_owned());
        }
        return Ok((0..states).collect());
    }
    let number: usize = arguments
        .pose
        .parse()
        .map_err(|_| format!("--pose takes a number or `all`; found `{}`", arguments.pose))?;
    // Where no state is known to be reached, it is drawn at rest.
    if number < states.max(1) {
        return Ok(vec![number]);
    }
    Err(format!(
        "there is no pose {number}: the shot of {} has poses 0 to {}",
        arguments.engine,
        states.saturating_sub(1)
    ))
}

/// The pictures of all states, whichever are wanted: what one of them shows open, and the frame of
/// all, hold for each.
fn drawings(
    picture: DrawnPicture,
    (engine, sized): (&Engine, Option<&[SizedEngine]>),
    states: &[&State],
) -> Option<Vec<Drawing>> {
    let mut views: Vec<DrawingView> = states.iter().map(|state| DrawingView::of(state)).collect();
    if views.is_empty() {
        views.push(DrawingView::default());
    }
    match picture {
        DrawnPicture::Circuit => {
            let circuit = Circuit::of(engine);
            Some(views.iter().map(|view| circuit.drawing(engine, view)).collect())
        }
        DrawnPicture::Section => sections(engine, sized, &views),
    }
}
