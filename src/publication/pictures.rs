//! The pictures that pages show or lead to.

use super::{Sink, Sources};
use crate::folio::Folio;
use crate::proof::PageProof;
use crate::proof::checks::drawn::is_picture;
use crate::site::pictures;
use crate::view_model::PublishedPicture;
use std::collections::BTreeMap;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};

/// A picture made fit for publishing, or why not: name of the fault and message.
pub(super) type PictureFit = Result<PublishedPicture, (&'static str, String)>;

/// Pictures of the folio. Each is made fit for publishing when a page first shows it and goes to
/// the sink at once, so that no more of them are in memory than are being worked on.
pub(super) struct Pictures<'a> {
    sources: &'a dyn Sources,
    /// Where they go as long as publishing is not held up; `None` where they are only judged.
    sink: Option<(&'a dyn Sink, &'a AtomicBool)>,
    /// What came of each; the outer fault is the sink's.
    by_path: BTreeMap<&'a str, OnceLock<Result<PictureFit, String>>>,
}

impl<'a> Pictures<'a> {
    pub(super) fn new(
        sources: &'a dyn Sources,
        folio: &'a Folio,
        sink: Option<(&'a dyn Sink, &'a AtomicBool)>,
    ) -> Pictures<'a> {
        let paths = folio.files.iter().filter(|path| is_picture(path));
        let by_path = paths.map(|path| (path.as_str(), OnceLock::new())).collect();
        Pictures { sources, sink, by_path }
    }

    /// What came of a picture; `None` for what is none of the folio's pictures.
    pub(super) fn get(&self, path: &str) -> Result<Option<&PictureFit>, String> {
        let Some(slot) = self.by_path.get(path) else { return Ok(None) };
        slot.get_or_init(|| self.prepare(path)).as_ref().map(Some).map_err(String::clone)
    }

    fn prepare(&self, path: &str) -> Result<PictureFit, String> {
        let picture = match self.sources.bytes(path, pictures::MOST_BYTES as u64) {
            Ok(bytes) => pictures::prepare(&bytes),
            Err(error) => {
                let code = if error.is_too_large { "image-too-large" } else { "image-unreadable" };
                return Ok(Err((code, format!("{path} cannot be read: {}", error.why))));
            }
        };
        let picture = match picture {
            Ok(picture) => picture,
            Err(fault) => return Ok(Err((fault.code(), fault.to_string()))),
        };
        let address = picture_name(path, &picture);
        if let Some((sink, held_up)) = self.sink
            && !held_up.load(Ordering::Relaxed)
        {
            sink.put(&address, &picture.bytes)?;
        }
        Ok(Ok(PublishedPicture { address, width: picture.width, height: picture.height }))
    }

    /// Those that a page shows or leads to and that are fit for it. A fault of the sink is told at
    /// the end, when nothing else stops publishing.
    pub(super) fn asked_for_by(&self, proof: &PageProof) -> BTreeMap<String, PublishedPicture> {
        let paths = proof.pictures.iter().chain(&proof.wanted.files).map(|(path, _)| path);
        let fit = paths.filter_map(|path| match self.get(path) {
            Ok(Some(Ok(picture))) => Some((path.clone(), picture.clone())),
            _ => None,
        });
        fit.collect()
    }
}

/// Name on the site of a file beside the pages.
pub(super) fn site_name(path: &str) -> String {
    path.strip_prefix("content/").unwrap_or(path).to_owned()
}

/// The same for a picture, with the ending of what it really is.
fn picture_name(path: &str, picture: &pictures::Picture) -> String {
    let name = site_name(path);
    let stem = name.rsplit_once('.').map_or(name.as_str(), |(stem, _)| stem);
    format!("{stem}.{}", picture.extension)
}
