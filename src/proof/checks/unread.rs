//! Numbers that cannot be read for certain.

use crate::proof::passage::Passage;
use crate::quantity::reader::ReadFault;
use crate::slip::Slip;

/// The fault of letters that may be a unit mistyped, or a word that the reader does not know.
pub(crate) const UNIT: &str = "unread-unit";

/// A number whose reading would be a guess.
pub(crate) fn slip(passage: &Passage<'_>, fault: &ReadFault) -> Slip {
    let spot = passage.spot(fault.span);
    let slip = match fault.code {
        UNIT => Slip::mark(UNIT, spot, fault.message.clone()),
        code => Slip::stop(code, spot, fault.message.clone()),
    };
    match &fault.help {
        Some(help) => slip.help(help.clone()),
        None => slip,
    }
}
