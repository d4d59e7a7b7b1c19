//! Numbers that cannot be read for certain.

use crate::proof::passage::Passage;
use crate::quantity::reader::ReadFault;
use crate::slip::Slip;

/// A number whose reading would be a guess.
pub(crate) fn slip(passage: &Passage<'_>, fault: &ReadFault) -> Slip {
    let slip = Slip::stop(fault.code, passage.spot(fault.span), fault.message.clone());
    match &fault.help {
        Some(help) => slip.help(help.clone()),
        None => slip,
    }
}
