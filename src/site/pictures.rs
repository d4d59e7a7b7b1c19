//! Pictures beside the pages, made fit for publishing: of sensible size, readable everywhere, and
//! without anything the writer did not mean to show.
//!
//! - Photographs (PNG, JPEG) are decoded and encoded again, so that place, camera and every other
//!   note inside the file are gone; a photo stored sideways is turned first; one wider than
//!   [`WIDEST`] is scaled down. Colour profiles go as well, so wide-gamut photos look a little
//!   duller: a profile can name the device and its owner.
//! - Drawings (SVG) are resolved to plain shapes, so no script, link or outside reference is left,
//!   and no font is needed: texts become outlines of the bundled one.
//!
//! Bytes in, bytes out, the same for the same input. Must not know pages or files: whose picture it
//! is, its alt text and credit are somebody else's.

mod drawing;
mod fault;
mod limits;
mod photo;
mod references;

pub use drawing::png_of_svg;
pub(crate) use fault::PictureFault;

/// Width in pixels to which wider photographs are scaled down: twice the measure of a text column,
/// so that fine-grained screens have enough.
pub(crate) const WIDEST: u32 = 1600;

/// Largest file taken, in bytes.
pub(crate) const MOST_BYTES: usize = 40_000_000;

/// Largest photograph taken, in pixels (width times height), its longest side, and what it may
/// take in memory once it is decoded, in bytes.
pub(crate) const MOST_PIXELS: u64 = 40_000_000;
pub(crate) const LONGEST_SIDE: u32 = 20_000;
pub(crate) const MOST_DECODED: u64 = 160_000_000;

/// A picture as it is published.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    pub(crate) bytes: Vec<u8>,
    /// `png`, `jpg` or `svg`, by what the file is, whatever it was called.
    pub(crate) extension: &'static str,
    /// Width in CSS pixels, at least 1.
    pub width: u32,
    /// Height in CSS pixels, at least 1.
    pub height: u32,
}

/// Makes a picture fit for publishing. What it is is seen from the bytes.
///
/// # Errors
/// When it is too large, damaged, of another kind, or a drawing that needs something from outside
/// or a character that the bundled font does not have.
pub fn prepare(bytes: &[u8]) -> Result<Picture, PictureFault> {
    if MOST_BYTES < bytes.len() {
        return Err(PictureFault::TooManyBytes { bytes: bytes.len(), most: MOST_BYTES });
    }
    if bytes.starts_with(b"\x89PNG\r\n\x1a\n") || bytes.starts_with(b"\xff\xd8\xff") {
        return photo::prepare(bytes);
    }
    match std::str::from_utf8(bytes) {
        Ok(text) if text.trim_start_matches('\u{feff}').trim_start().starts_with('<') => {
            drawing::prepare(text.trim_start_matches('\u{feff}'))
        }
        _ => Err(PictureFault::OfAnotherKind),
    }
}
