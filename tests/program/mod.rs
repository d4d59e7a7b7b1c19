//! The program itself, run by the tests that include this module.

use std::io::Write;
use std::process::{Command, Output, Stdio};

/// Runs the program with arguments and a text on its standard input.
pub(crate) fn run(arguments: &[&str], input: &[u8]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_gaugebook"))
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut stdin = child.stdin.take().expect("a pipe");
    let input = input.to_owned();
    let writer = std::thread::spawn(move || {
        // A program that ends early closes the pipe; that is its right.
        let _ = stdin.write_all(&input);
    });
    let output = child.wait_with_output().expect("the program ends");
    writer.join().expect("written");
    output
}
