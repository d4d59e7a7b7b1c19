//! Why a picture cannot be published, in words for its writer.

use super::{LONGEST_SIDE, MOST_DECODED, MOST_PIXELS};
use crate::text::visible;
use std::fmt;

/// Why a picture cannot be published.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum PictureFault {
    /// The file is too large.
    TooManyBytes {
        /// Its size.
        bytes: usize,
        /// The largest one allowed.
        most: usize,
    },
    /// The picture has too many pixels.
    TooLarge {
        /// Width in pixels.
        width: u32,
        /// Height in pixels.
        height: u32,
    },
    /// The picture takes too much memory once it is decoded.
    TooMuchMemory,
    /// A drawing with too many elements, or too deeply nested ones.
    TooManyShapes,
    /// A drawing with names for pieces of its text.
    Entities,
    /// Neither PNG nor JPEG nor SVG.
    OfAnotherKind,
    /// The file cannot be decoded.
    Damaged {
        /// The decoder's words.
        why: String,
    },
    /// A drawing that shows something which lies outside of it.
    RefersOutside {
        /// What it refers to.
        to: String,
    },
    /// A drawing with an element that is not a drawing.
    NotADrawing {
        /// Name of the element.
        element: String,
    },
    /// A drawing with characters that the bundled font does not have.
    NoGlyph {
        /// The characters.
        characters: String,
    },
}

impl PictureFault {
    /// Name of the fault, kebab-case.
    pub(crate) fn code(&self) -> &'static str {
        match self {
            PictureFault::TooManyBytes { .. }
            | PictureFault::TooLarge { .. }
            | PictureFault::TooMuchMemory
            | PictureFault::TooManyShapes => "image-too-large",
            PictureFault::OfAnotherKind
            | PictureFault::Entities
            | PictureFault::Damaged { .. }
            | PictureFault::RefersOutside { .. }
            | PictureFault::NotADrawing { .. }
            | PictureFault::NoGlyph { .. } => "image-unreadable",
        }
    }
}

/// One line, lower case, no full stop: the message of a slip.
impl fmt::Display for PictureFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PictureFault::TooManyBytes { bytes, most } => {
                let [is, most] = [*bytes, *most].map(|n| n.div_ceil(100_000));
                let ([is, is_tenth], [most, most_tenth]) =
                    ([is / 10, is % 10], [most / 10, most % 10]);
                write!(f, "the picture has {is}.{is_tenth} MB, more than {most}.{most_tenth} MB")
            }
            PictureFault::TooLarge { width, height } => {
                let most = MOST_PIXELS / 1_000_000;
                write!(f, "the picture has {width} × {height} pixels, more than {most} million")?;
                write!(f, " or a side longer than {LONGEST_SIDE}")
            }
            PictureFault::TooMuchMemory => {
                let most = MOST_DECODED / 1_000_000;
                write!(
                    f,
                    "the picture takes more than {most} MB once it is decoded: save it with "
                )?;
                write!(f, "eight bits a channel and without a colour profile, or smaller")
            }
            PictureFault::TooManyShapes => {
                write!(f, "the drawing has too many elements once all that refers to others is ")?;
                write!(f, "drawn, or they are nested too deeply")
            }
            PictureFault::Entities => {
                write!(f, "the drawing declares entities: write out what they stand for")
            }
            PictureFault::OfAnotherKind => write!(f, "the picture is neither PNG nor JPEG nor SVG"),
            PictureFault::Damaged { why } => {
                write!(f, "the picture cannot be read: {}", visible(why))
            }
            PictureFault::RefersOutside { to } => {
                write!(f, "the drawing shows `{}`, which is not part of it", visible(to))
            }
            PictureFault::NotADrawing { element } => {
                write!(
                    f,
                    "the drawing holds a `{}` element, which is not published",
                    visible(element)
                )
            }
            PictureFault::NoGlyph { characters } => {
                let signs = visible(characters);
                write!(f, "the bundled font has no sign for `{signs}` in the drawing")
            }
        }
    }
}

impl std::error::Error for PictureFault {}
