//! Slips about files as a whole.

use crate::slip::Slip;
use crate::text::{Source, Span, Spot};

/// Where the files of a folio's own theme lie.
pub(crate) const OWN_THEME: &str = "themes/sheet/";

/// The note that a file is not used.
pub(crate) fn unused(name: &str, why: &str) -> Slip {
    Slip::note("file-unused", whole(name), format!("nothing uses this file: {why}"))
}

/// A file as a whole, for slips about it.
pub(crate) fn whole(name: &str) -> Spot {
    Spot::new(&Source::new(name, ""), Span::new(0, 0))
}
