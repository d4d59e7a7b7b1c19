//! Watching a folio's folders for changes.
//!
//! Folders are watched, not files: editors replace a file by renaming another one over it.

use super::{DeskEvent, DeskFault};
use notify_debouncer_full::notify::{EventKind, RecommendedWatcher, RecursiveMode};
use notify_debouncer_full::{
    DebounceEventResult, DebouncedEvent, Debouncer, RecommendedCache, new_debouncer,
};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError, Weak, mpsc};
use std::time::Duration;

/// Folders of a folio that a site is made from.
const SOURCES: [&str; 3] = ["content", "diagrams", "themes"];

/// How long it must be quiet before a change counts: editors save in several steps.
const QUIET: Duration = Duration::from_millis(120);

type Eyes = Debouncer<RecommendedWatcher, RecommendedCache>;

/// Watches until it is dropped.
pub(super) struct Watcher {
    folio: PathBuf,
    inner: Arc<Mutex<Inner>>,
}

struct Inner {
    eyes: Option<Eyes>,
    watched: BTreeSet<PathBuf>,
}

/// Watches folders that were made after the start.
pub(super) struct MoreFolders {
    folio: PathBuf,
    inner: Weak<Mutex<Inner>>,
}

impl Watcher {
    /// Sends `()` to `changed` after every change of a source.
    pub(super) fn start(
        folio: &Path,
        ignore: &[PathBuf],
        changed: mpsc::Sender<()>,
        tell: Arc<dyn Fn(DeskEvent) + Send + Sync>,
    ) -> Result<Watcher, DeskFault> {
        let fault = |why: String| DeskFault::Watch { folder: folio.to_path_buf(), why };
        // Some systems report real paths, whatever path was given to watch.
        let real = |path: &Path| path.canonicalize().unwrap_or_else(|_| path.to_path_buf());
        let folio = folio.canonicalize().map_err(|e| fault(e.to_string()))?;
        let ignore: Vec<PathBuf> = ignore.iter().map(|path| real(path)).collect();
        let seen_from = folio.clone();
        let see = move |result: DebounceEventResult| match result {
            Ok(events) => {
                if events.iter().any(|event| matters(event, &seen_from, &ignore)) {
                    // Nobody listens any more when the desk is being closed.
                    let _ = changed.send(());
                }
            }
            Err(errors) => {
                let why = errors.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ");
                tell(DeskEvent::Blind { why });
            }
        };
        let mut eyes = new_debouncer(QUIET, None, see).map_err(|e| fault(e.to_string()))?;
        eyes.watch(&folio, RecursiveMode::NonRecursive).map_err(|e| fault(e.to_string()))?;
        let mut inner = Inner { eyes: Some(eyes), watched: BTreeSet::new() };
        inner.watch_sources(&folio).map_err(fault)?;
        Ok(Watcher { folio, inner: Arc::new(Mutex::new(inner)) })
    }

    /// For the thread that hears of changes.
    pub(super) fn more_folders(&self) -> MoreFolders {
        MoreFolders { folio: self.folio.clone(), inner: Arc::downgrade(&self.inner) }
    }
}

impl Drop for Watcher {
    fn drop(&mut self) {
        let eyes = self.inner.lock().unwrap_or_else(PoisonError::into_inner).eyes.take();
        // Waits for the watching thread, which holds the sender of changes.
        if let Some(eyes) = eyes {
            eyes.stop();
        }
    }
}

impl std::fmt::Debug for Watcher {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Watcher").field("folio", &self.folio).finish_non_exhaustive()
    }
}

impl MoreFolders {
    /// Watches source folders that have appeared, and forgets those that have gone.
    pub(super) fn watch(&self) {
        if let Some(inner) = self.inner.upgrade() {
            let mut inner = inner.lock().unwrap_or_else(PoisonError::into_inner);
            // A folder that cannot be watched was told at the start, or is gone again.
            let _ = inner.watch_sources(&self.folio);
        }
    }
}

impl Inner {
    fn watch_sources(&mut self, folio: &Path) -> Result<(), String> {
        let Some(eyes) = &mut self.eyes else { return Ok(()) };
        for name in SOURCES {
            let folder = folio.join(name);
            if !folder.is_dir() {
                self.watched.remove(&folder);
            } else if self.watched.insert(folder.clone()) {
                eyes.watch(&folder, RecursiveMode::Recursive).map_err(|e| e.to_string())?;
            }
        }
        Ok(())
    }
}

fn matters(event: &DebouncedEvent, folio: &Path, ignore: &[PathBuf]) -> bool {
    if matches!(event.kind, EventKind::Access(_)) {
        return false;
    }
    // No path: the system lost count and asks to look everywhere.
    event.paths.is_empty() || event.paths.iter().any(|path| is_source(path, folio, ignore))
}

fn is_source(path: &Path, folio: &Path, ignore: &[PathBuf]) -> bool {
    let Ok(inside) = path.strip_prefix(folio) else { return false };
    let in_sources =
        inside.iter().next().is_some_and(|first| SOURCES.iter().any(|name| first == *name));
    in_sources
        && !ignore.iter().any(|ignored| path.starts_with(ignored))
        && !path.file_name().is_some_and(|name| is_scratch(&name.to_string_lossy()))
}

/// Files that editors make while they save.
fn is_scratch(name: &str) -> bool {
    let endings = ["~", ".swp", ".swx", ".tmp", ".part", "___jb_tmp___", "___jb_old___"];
    name.starts_with(".#") || name == "4913" || endings.iter().any(|ending| name.ends_with(ending))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_sources_matter() {
        let folio = Path::new("/folio");
        let ignore = [PathBuf::from("/folio/content/site")];
        let matters = |path: &str| is_source(Path::new(path), folio, &ignore);
        for source in ["/folio/content", "/folio/content/a/b.md", "/folio/themes/sheet/a.css"] {
            assert!(matters(source), "{source}");
        }
        for other in [
            "/folio",
            "/folio/site/index.html",
            "/folio/contents/a.md",
            "/elsewhere/content/a.md",
            "/folio/content/site/index.html",
            "/folio/content/rowan.md~",
            "/folio/content/.rowan.md.swp",
            "/folio/content/.#rowan.md",
            "/folio/content/4913",
        ] {
            assert!(!matters(other), "{other}");
        }
    }
}
