//! Processor time, peak memory and instructions of another process.
//!
//! The system tells both only for all children of a process together, so each run gets a process of
//! its own in between, which starts it, waits, and prints what it used.

use nix::sys::resource::{UsageWho, getrusage};
use std::fmt;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

/// What a process used.
#[derive(Debug, Clone)]
pub(crate) struct Usage {
    /// Processor time of all threads in user mode, s.
    pub user_seconds: f64,
    /// Processor time that the system spent for them, s.
    pub system_seconds: f64,
    /// Time on the wall, s.
    pub wall_seconds: f64,
    /// Largest resident memory, MB (10⁶ bytes).
    pub peak_megabytes: f64,
}

impl Usage {
    /// Processor time in both modes, s.
    pub(crate) fn seconds(&self) -> f64 {
        self.user_seconds + self.system_seconds
    }
}

impl fmt::Display for Usage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{:8.3} s of processor time ({:.3} user, {:.3} system), {:8.3} s on the wall, {:7.1} MB \
             at most",
            self.seconds(),
            self.user_seconds,
            self.system_seconds,
            self.wall_seconds,
            self.peak_megabytes
        )
    }
}

/// Runs several programs in turn, `rounds` times, so that what else the machine does falls on all
/// of them; gives the median of each, or the last words of one that fails.
pub(crate) fn in_turn(
    programs: &[(&Path, &[String])],
    rounds: usize,
) -> Vec<Result<Usage, String>> {
    let mut runs: Vec<Result<Vec<Usage>, String>> = programs.iter().map(|_| Ok(vec![])).collect();
    for _ in 0..rounds {
        for ((program, arguments), runs) in programs.iter().zip(&mut runs) {
            if let Ok(done) = runs {
                match run(program, arguments) {
                    Ok(usage) => done.push(usage),
                    Err(words) => *runs = Err(words),
                }
            }
        }
    }
    runs.into_iter().map(|runs| runs.map(|runs| median(&runs))).collect()
}

fn median(runs: &[Usage]) -> Usage {
    let middle = |part: fn(&Usage) -> f64| {
        let mut values: Vec<f64> = runs.iter().map(part).collect();
        values.sort_by(f64::total_cmp);
        values[values.len() / 2]
    };
    Usage {
        user_seconds: middle(|usage| usage.user_seconds),
        system_seconds: middle(|usage| usage.system_seconds),
        wall_seconds: middle(|usage| usage.wall_seconds),
        peak_megabytes: middle(|usage| usage.peak_megabytes),
    }
}

fn run(program: &Path, arguments: &[String]) -> Result<Usage, String> {
    let own = std::env::current_exe().unwrap();
    let output = Command::new(own).arg("measure").arg(program).args(arguments).output().unwrap();
    let text = String::from_utf8_lossy(&output.stdout);
    let numbers: Vec<f64> = text.split_whitespace().filter_map(|word| word.parse().ok()).collect();
    match numbers.as_slice() {
        [user, system, wall_seconds, peak_megabytes] if output.status.success() => Ok(Usage {
            user_seconds: *user,
            system_seconds: *system,
            wall_seconds: *wall_seconds,
            peak_megabytes: *peak_megabytes,
        }),
        _ => {
            let words = String::from_utf8_lossy(&output.stderr);
            Err(words.lines().next().unwrap_or("it ended early").to_string())
        }
    }
}

/// Instructions of a run, counted by valgrind: the same number each time, whatever else the machine
/// does. `None` where there is no valgrind.
pub(crate) fn instructions(program: &Path, arguments: &[String]) -> Option<f64> {
    let output = Command::new("valgrind")
        .args(["--tool=cachegrind", "--cache-sim=no", "--cachegrind-out-file=/dev/null"])
        .arg(program)
        .args(arguments)
        .output()
        .ok()?;
    let told = String::from_utf8_lossy(&output.stderr);
    let line = told.lines().find(|line| line.contains("I refs:") || line.contains("I   refs:"))?;
    let digits: String = line.rsplit(':').next()?.chars().filter(char::is_ascii_digit).collect();
    digits.parse().ok().filter(|_| output.status.success())
}

/// The process in between: runs the program and prints user and system seconds, seconds on the
/// wall, megabytes.
pub(crate) fn print_usage_of(program: &str, arguments: &[&str]) {
    let start = Instant::now();
    let status = Command::new(program).args(arguments).stdout(Stdio::null()).status().unwrap();
    let wall_seconds = start.elapsed().as_secs_f64();
    let usage = getrusage(UsageWho::RUSAGE_CHILDREN).unwrap();
    let [user, system] = [usage.user_time(), usage.system_time()]
        .map(|time| time.tv_sec() as f64 + time.tv_usec() as f64 / 1e6);
    // kB on Linux, bytes on macOS (their manual pages of getrusage, memory).
    let unit = if cfg!(target_vendor = "apple") { 1.0 } else { 1024.0 };
    println!("{user} {system} {wall_seconds} {}", usage.max_rss() as f64 * unit / 1e6);
    std::process::exit(status.code().unwrap_or(2));
}
