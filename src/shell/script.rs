//! Judging a script or subtitles against engines: `gaugebook proof --script take3.vtt --engine
//! rowan`. Of a comparison every engine is named.

use super::edition::FolioStanding;
use super::folder::{Folder, NoFolio, engine_sheet};
use super::plain_file;
use crate::proof::speech;
use crate::text::Source;
use std::path::Path;

/// Largest script, in bytes: that of a page.
const LARGEST_SCRIPT: u64 = crate::page::LARGEST_PAGE as u64;

/// Judges a script; also gives it as it is said.
///
/// # Errors
/// When the folio or the script cannot be read, or an engine is not there.
pub fn judge(
    folder: &Folder,
    script: &Path,
    engines: &[String],
) -> Result<(FolioStanding, String), NoFolio> {
    let no = |message: String| NoFolio { message };
    let (folio, _) = folder.read()?;
    let sheets: Vec<usize> =
        engines.iter().map(|engine| engine_sheet(&folio, engine)).collect::<Result<_, _>>()?;
    let bytes = plain_file::read(script, LARGEST_SCRIPT)
        .map_err(|error| no(format!("{} cannot be read: {error}", script.display())))?;
    let text = String::from_utf8(bytes)
        .map_err(|_| no(format!("{} is no UTF-8 text", script.display())))?;
    let source = Source::new(script.display().to_string(), text);
    let found = speech::judge(&folio, &sheets, &source);
    let standing = FolioStanding {
        pages: 1,
        slips: found.slips,
        coverage: found.coverage,
        ..FolioStanding::default()
    };
    Ok((standing, found.said))
}
