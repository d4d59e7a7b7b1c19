//! Arguments, disk, clock, network: everything outside the program's own values.
//!
//! Each command is one file; all of them print through the streams given here and end with an
//! [`CommandOutcome`].

mod accept;
pub(crate) mod align;
pub mod atomic_publish;
pub(crate) mod compare;
pub mod desk;
pub(crate) mod desk_command;
pub(crate) mod draw;
pub mod edition;
pub mod folder;
mod folders;
mod inventory;
mod measured;
pub(crate) mod next;
pub(crate) mod plain_file;
pub(crate) mod progress;
pub(crate) mod proof;
pub(crate) mod publish;
pub(crate) mod reckon;
pub mod script;
pub(crate) mod shot;
pub(crate) mod spot;
pub(crate) mod start;
pub(crate) mod tell;
pub(crate) mod terminal;
pub(crate) mod writers_file;

use crate::text::Date;
use clap::{Parser, Subcommand};
use std::io::{self, Write};
use std::process::ExitCode;

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum CommandOutcome {
    /// Nothing to complain about.
    Clean,
    /// There are slips.
    Slips,
    /// The command could not run; the reason has been told.
    CouldNotRun,
}

impl CommandOutcome {
    /// How two things ended, one after the other: the worse of both.
    pub(crate) fn or(self, other: CommandOutcome) -> CommandOutcome {
        self.max(other)
    }
}

impl From<CommandOutcome> for ExitCode {
    fn from(outcome: CommandOutcome) -> ExitCode {
        ExitCode::from(match outcome {
            CommandOutcome::Clean => 0,
            CommandOutcome::Slips => 1,
            CommandOutcome::CouldNotRun => 2,
        })
    }
}

/// Publishes engine teardowns in which every stated figure has been recomputed and judged.
#[derive(Debug, Parser)]
#[command(name = "gaugebook", version, max_term_width = 96)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    Start(start::Start),
    Proof(proof::ProofCommand),
    Publish(publish::Publish),
    Desk(desk_command::DeskCommand),
    Next(next::NextCommand),
    Shot(shot::ShotCommand),
    Compare(compare::CompareCommand),
    Draw(draw::DrawCommand),
    Align(align::AlignArguments),
    Measured(measured::MeasuredCommand),
    Reckon(reckon::Reckon),
    Spot(spot::SpotArguments),
}

/// Runs the program with the arguments of the process.
#[must_use]
pub fn run() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            if !error.use_stderr() {
                let _ = error.print();
                return ExitCode::SUCCESS;
            }
            let _ = write!(terminal::stderr(), "{}", error.render());
            return ExitCode::from(2);
        }
    };
    spread_work();
    let ended = match arguments.command {
        Command::Start(arguments) => start::run(&arguments),
        Command::Proof(arguments) => proof::run(&arguments),
        Command::Publish(arguments) => publish::run(&arguments),
        Command::Desk(arguments) => desk_command::run(&arguments),
        Command::Next(arguments) => next::run(&arguments),
        Command::Shot(arguments) => shot::run(&arguments),
        Command::Compare(arguments) => compare::run(&arguments),
        Command::Draw(arguments) => draw::run(&arguments),
        Command::Align(arguments) => align::run(&arguments),
        Command::Measured(arguments) => measured::run(&arguments),
        Command::Spot(arguments) => spot::run(
            &arguments,
            &mut io::stdin().lock(),
            &mut terminal::stdout(),
            &mut terminal::stderr(),
        ),
        Command::Reckon(arguments) => reckon::run(
            &arguments,
            &mut io::stdin().lock(),
            &mut terminal::stdout(),
            &mut terminal::stderr(),
        ),
    };
    ended.into()
}

/// Stack of a thread that judges and makes pages. Depth has limits of its own; this is room for
/// what they forget, and memory only where it is used.
const STACK: usize = 64 << 20;

/// Lets work be done on this thread alone where no others are to be had; without this, the first
/// command that spreads its work would panic.
fn spread_work() {
    let many = || rayon::ThreadPoolBuilder::new().stack_size(STACK);
    let threads = if many().build().is_ok() {
        many()
    } else {
        rayon::ThreadPoolBuilder::new().num_threads(1).use_current_thread()
    };
    let _ = threads.build_global();
}

/// How a command that reads and writes streams ended. Whoever closes the pipe has seen enough.
fn streamed(ended: io::Result<CommandOutcome>, errors: &mut dyn Write) -> CommandOutcome {
    match ended {
        Ok(ended) => ended,
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => CommandOutcome::Clean,
        Err(error) => {
            let _ = writeln!(errors, "cannot go on: {error}");
            CommandOutcome::CouldNotRun
        }
    }
}

/// Reads the day of `--date`.
fn day(text: &str) -> Result<Date, String> {
    let date = Date::read(text).filter(Date::is_whole);
    date.ok_or_else(|| "write year, month and day: 2026-01-31".to_owned())
}

/// Tells why a command could not run.
fn could_not_run(message: &str) -> CommandOutcome {
    let _ = writeln!(terminal::stderr(), "gaugebook: {message}");
    CommandOutcome::CouldNotRun
}
