//! Why a picture cannot be published, in words for its writer.

use super::MOST_PIXELS;
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
    /// A drawing with too many elements, or too deeply nested ones.
    TooManyShapes,
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
            | PictureFault::TooManyShapes => "image-too-large",
            PictureFault::OfAnotherKind
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
                write!(f, "the picture has {width} × {height} pixels, more than {most} million")
            }
            PictureFault::TooManyShapes => {
                write!(f, "the drawing has too many elements, or they are nested too deeply")
            }
            PictureFault::OfAnotherKind => write!(f, "the picture is neither PNG nor JPEG nor SVG"),
            PictureFault::Damaged { why } => write!(f, "the picture cannot be read: {why}"),
            PictureFault::RefersOutside { to } => {
                write!(f, "the drawing shows `{to}`, which is not part of it")
            }
            PictureFault::NotADrawing { element } => {
                write!(f, "the drawing holds a `{element}` element, which is not published")
            }
            PictureFault::NoGlyph { characters } => {
                write!(f, "the bundled font has no sign for `{characters}` in the drawing")
            }
        }
    }
}

impl std::error::Error for PictureFault {}
