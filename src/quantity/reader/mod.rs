//! The figure reader: finds every stated figure in a text.
//!
//! ```text
//! "The store holds about 128 psi (8.83 bar)."
//!                        ^^^^^^^  ^^^^^^^^     two figures, the first hedged, one pair
//! ```
//!
//! Linear passes: `pieces` scans the bytes for numbers and what follows each, `statements` joins
//! numbers into ranges, tolerances and lists, `marks`, `cues` and `pairs` read the words around
//! them. The reader works in a closed world: what is not listed is not a figure, or a fault with
//! its place, and never a guess. It prefers to miss a figure over inventing one.
//!
//! It knows plain text only: no Markdown, no pages, no readings; and it judges nothing.

mod after;
mod comparison;
mod compound;
mod cues;
mod faults;
mod frames;
mod glue;
mod inch;
mod limits;
mod marks;
mod never;
mod nouns;
mod pairs;
mod pieces;
mod ratio;
mod say;
mod spelled;
mod statements;
mod unread;
mod whole;
mod words;

pub(crate) use say::said;
pub(crate) use spelled::{SMALL, TENS};
pub use whole::read_whole;

use super::{Figure, Unit};
use crate::text::Span;
use after::UnitDoubt;
use statements::ReadStatement;

/// How to read a text.
#[derive(Debug, Clone, Default)]
pub struct ReadOptions {
    /// Whether `2,5` is two and a half.
    pub decimal_comma: bool,
    /// Unit of bare numbers: that of the column head over a table cell.
    pub column_unit: Option<&'static Unit>,
    /// Whether the text is spoken: "one fourteen" is 114, "point eight" 0.8, "p s i" psi.
    pub spoken: bool,
    /// What "mil" means where it is not a thousandth of an inch, as the imprint declares.
    pub mil: Option<&'static Unit>,
    /// Unit of a spoken number without one: `1` where what the number states is still to say.
    pub carried: Option<&'static Unit>,
}

/// A number that looks like a figure but cannot be read with certainty.
#[derive(Debug, Clone)]
pub struct ReadFault {
    /// The number, with its unit where that is the trouble.
    pub span: Span,
    /// `ambiguous-number`, `ambiguous-inch`, `unlisted-unit`, `unread-unit` or `number-too-long`.
    pub code: &'static str,
    /// One line, lower case.
    pub message: String,
    /// What to write instead.
    pub(crate) help: Option<String>,
}

/// What a text states.
#[derive(Debug, Clone, Default)]
pub struct Found {
    /// In reading order, not overlapping.
    pub figures: Vec<Figure>,
    /// In reading order.
    pub faults: Vec<ReadFault>,
}

/// Why a text as a whole is not one figure.
#[derive(Debug, Clone)]
pub struct WholeFault {
    /// The part that does not fit.
    pub span: Span,
    /// One line, lower case.
    pub message: String,
    /// What to write instead.
    pub help: Option<String>,
}

/// Finds the figures of one block of plain text (code and images stand as U+FFFC), or of a whole
/// text with several paragraphs. Linear in the length of the text.
///
/// ```
/// use gaugebook::quantity::reader::{ReadOptions, read};
/// let found = read("A seat of 8.0 ± 0.2 mm on an M3 screw.", &ReadOptions::default());
/// assert_eq!(found.figures.len(), 1);
/// ```
#[must_use]
pub fn read(text: &str, options: &ReadOptions) -> Found {
    let pieces = pieces::pieces(text, options);
    let statements = statements(text, &pieces.all, options);
    let mut faults = pieces.faults;
    for piece in &pieces.all {
        match piece.doubt {
            Some(UnitDoubt::Inch(word)) => {
                faults.push(faults::inch(text, piece.start..piece.number_end, word));
            }
            Some(UnitDoubt::Unlisted(unit)) => {
                faults.push(faults::unlisted(text, piece.start, unit))
            }
            Some(UnitDoubt::Unread(word)) => faults.push(faults::unread(text, piece.start, word)),
            Some(UnitDoubt::Fps(word)) => faults.push(faults::fps(text, piece.start, word)),
            None => {}
        }
    }
    faults.sort_by_key(|fault| fault.span);
    Found { figures: statements.into_iter().map(|statement| statement.figure).collect(), faults }
}

/// The statements of a text, with the words around them settled.
fn statements(
    text: &str,
    pieces: &[pieces::NumberPiece],
    options: &ReadOptions,
) -> Vec<ReadStatement> {
    let mut statements = statements::statements(text, pieces, options);
    let mut before = 0;
    for statement in &mut statements {
        marks::marks(text, statement, before);
        cues::cues(text, statement, before);
        comparison::comparison(text, statement);
        before = statement.figure.span.end;
    }
    share_over_lists(&mut statements);
    pairs::pair(text, &mut statements);
    statements
}

/// A hedge, bound, reference or kind told before a list holds for all its members.
fn share_over_lists(statements: &mut [ReadStatement]) {
    for at in 1..statements.len() {
        let (before, rest) = statements.split_at_mut(at);
        let (Some(first), Some(next)) = (before.last(), rest.first_mut()) else { continue };
        if first.list != next.list {
            continue;
        }
        let first = &first.figure;
        next.figure.hedge = next.figure.hedge.or(first.hedge);
        next.figure.bound = next.figure.bound.or(first.bound);
        next.figure.reference = next.figure.reference.or(first.reference);
        if next.figure.kind_yields && !first.kind_yields {
            next.figure.kind = first.kind;
            next.figure.kind_yields = false;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::words::work;
    use super::{ReadOptions, read};

    /// Steps for a piece repeated so often, in a paragraph of its own.
    fn steps(piece: &str, times: usize, tail: &str) -> usize {
        let text = piece.repeat(times) + tail;
        work::of(|| drop(read(&text, &ReadOptions::default())))
    }

    #[test]
    fn the_work_grows_with_the_text_and_no_faster() {
        for (piece, tail) in [
            ("1mm ", ""),
            ("1 ± ", "1 mm"),
            ("(1 mm ", ""),
            ("1.1, ", "and 1.1 mm"),
            ("1 and ", "1 mm"),
            ("1 mm (", ""),
            ("1 mm / 1 cm / ", ""),
            ("1 mm / 1 in / 1 cm / 1 m / ", ""),
            ("the seal, 1 mm wide; ", "1 mm"),
            ("seal bore seat ", "1 mm 2 mm 3 mm"),
            ("1 bar/min·", "s"),
            ("one hundred and ", "mm"),
            ("two thirds of a ", "metre"),
            ("7:4:", "1"),
            ("about over under ", "3 mm"),
            ("128 pis ", "."),
        ] {
            let [few, many] = [200, 1600].map(|times| steps(piece, times, tail));
            // Eight times the text; squares would make it sixty-four.
            assert!(many < 10 * few + 1000, "{piece:?}: {few} steps became {many}");
            assert!(200 < few, "{piece:?}: only {few} steps were counted");
        }
        let blanks = |times: usize| {
            work::of(|| {
                let text = "3 times ".repeat(times) + &" ".repeat(times);
                drop(read(&text, &ReadOptions::default()));
            })
        };
        assert!(blanks(1600) < 10 * blanks(200) + 1000);
    }
}
