//! Broken input by the thousand: whatever bytes arrive, the answer is a value or a fault, never a
//! panic, and it comes before long.
//!
//! To add a reader, add a line to [`READERS`]: a name, what it does with bytes, and good input to
//! break. Each case is repeatable by its number.

use gaugebook::site::pictures;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc;
use std::time::Duration;

const CASES: u64 = 50_000;

/// No reader takes longer for a small input, not even on a slow machine.
const LONGEST: Duration = Duration::from_secs(20);

type Reader = (&'static str, fn(&[u8]), fn() -> Vec<Vec<u8>>);

const READERS: [Reader; 1] = [("pictures", |bytes| drop(pictures::prepare(bytes)), some_pictures)];

fn some_pictures() -> Vec<Vec<u8>> {
    let svg = "<svg xmlns='http://www.w3.org/2000/svg' width='60' height='40'><defs>\
               <linearGradient id='g'><stop offset='0' stop-color='#369'/></linearGradient>\
               <mask id='m'><rect width='9' height='9' fill='url(#g)'/></mask></defs>\
               <g mask='url(#m)' transform='rotate(5)'><path d='M0 0 L9 9 A2 2 0 0 1 5 5 Z'/>\
               <circle cx='9' cy='9' r='4'/><rect x='1' y='2' width='9' height='9' rx='2'/>\
               <polyline points='1,1 5,5 9,1' stroke-dasharray='2 1' style='stroke-width:2'/>\
               <text x='2' y='30' font-size='4'>⌀ 0.9 mm</text></g></svg>";
    let png = pictures::png_of_svg(svg, 20).unwrap();
    vec![svg.as_bytes().to_vec(), png]
}

/// Knuth's MMIX generator (memory).
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, end: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % end.max(1)
    }
}

/// One to four random edits: bytes changed, pieces cut, doubled or moved.
fn broken(good: &[Vec<u8>], case: u64) -> Vec<u8> {
    let mut numbers = Numbers(case);
    let mut bytes = good[numbers.below(good.len())].clone();
    for _ in 0..=numbers.below(4) {
        let at = numbers.below(bytes.len());
        let end = (at + numbers.below(40)).min(bytes.len());
        let piece = bytes[at..end].to_vec();
        match numbers.below(5) {
            0 if at < bytes.len() => bytes[at] = numbers.below(256) as u8,
            1 => drop(bytes.drain(at..end)),
            2 => drop(bytes.splice(at..at, piece.repeat(1 + numbers.below(9)))),
            3 => {
                let other = numbers.below(bytes.len());
                bytes.splice(other..other, piece);
            }
            _ => {
                let odd = ["9999999999", "-1", "1e39", "'", "\"", "<", "&", "\0", "é", "{{", "|"];
                bytes.splice(at..at, odd[numbers.below(odd.len())].bytes());
            }
        }
    }
    bytes
}

#[test]
fn broken_input_is_answered_and_in_time() {
    for (name, read, good) in READERS {
        let good = good();
        for case in 0..CASES {
            let bytes = broken(&good, case);
            let text = String::from_utf8_lossy(&bytes).into_owned();
            // In a thread of its own: a reader that never ends can be told, not stopped.
            let (done, answers) = mpsc::channel();
            std::thread::spawn(move || {
                let answer = catch_unwind(AssertUnwindSafe(|| read(&bytes)));
                let _ = done.send(answer.is_ok());
            });
            let answer = answers.recv_timeout(LONGEST);
            assert_eq!(answer, Ok(true), "{name}, case {case}: panic or no end for {text:?}");
        }
    }
}
