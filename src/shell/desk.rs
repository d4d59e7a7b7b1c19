//! The desk: the site as it will be, in a browser beside the editor, fresh after every save.
//!
//! One thread watches `content/`, `diagrams/` and `themes/`, one rebuilds, and a small server
//! hands out what was built last. Nothing is written to disk, and nothing is reachable from other
//! machines or from other sites open in the browser. Pages are published with a policy that allows
//! no connections; the desk loosens it on the fly so that they can be reloaded (`inject`).
//!
//! Must not know how a site is made: it gets names and bytes.

mod http;
mod inject;
mod serve;
mod streams;
mod watch;

use serve::Server;
use std::collections::BTreeMap;
use std::fmt;
use std::io;
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::atomic::Ordering;
use std::sync::mpsc::{self, RecvTimeoutError};
use std::sync::{Arc, PoisonError, RwLock};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

/// Port used unless another one is asked for. Not registered for anything (memory).
pub(crate) const USUAL_PORT: u16 = 7417;

/// How often open pages are told that the desk is still there.
const STILL_HERE: Duration = Duration::from_secs(15);

/// What there is to see.
#[derive(Debug, Clone, Default)]
pub struct DeskState {
    /// The site: names with `/` between their parts, as they would be published.
    pub files: BTreeMap<String, Arc<[u8]>>,
    /// The slips for people, as a piece of HTML or as a whole page.
    pub slips_html: String,
    /// One short line about the state, such as "3 slips, 12 marks"; shown on every page.
    pub headline: String,
}

/// What can be asked of a desk.
#[derive(Debug, Clone, Default)]
pub struct DeskOptions {
    /// The port; 0 for any free one; `None` for [`USUAL_PORT`], or any free one if that is taken.
    pub port: Option<u16>,
    /// Folders below the watched ones whose changes mean nothing, such as a site published there.
    pub ignore: Vec<PathBuf>,
}

/// What happens at a desk, as lines for the terminal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DeskEvent {
    /// The desk can be visited.
    Open {
        /// Where.
        url: String,
    },
    /// The site was built again.
    Built {
        /// The new state's headline.
        headline: String,
        /// How long it took, in milliseconds.
        milliseconds: u128,
    },
    /// Changes can no longer be seen.
    Blind {
        /// The system's words.
        why: String,
    },
}

impl fmt::Display for DeskEvent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            DeskEvent::Open { url } => {
                write!(f, "open {url} in a browser; it follows what you save. End with Ctrl-C")
            }
            DeskEvent::Built { headline, milliseconds } => {
                write!(f, "built in {milliseconds} ms: {headline}")
            }
            DeskEvent::Blind { why } => write!(f, "changes may go unseen: {why}"),
        }
    }
}

/// Why a desk could not be opened.
#[derive(Debug)]
#[non_exhaustive]
pub enum DeskFault {
    /// The port is taken or forbidden.
    Port {
        /// The port.
        port: u16,
        /// The system's words.
        cause: io::Error,
    },
    /// The folio's folders cannot be watched.
    Watch {
        /// The folder.
        folder: PathBuf,
        /// The system's words.
        why: String,
    },
    /// The system gives no threads or sockets.
    System(io::Error),
}

impl fmt::Display for DeskFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            DeskFault::Port { port, cause } => write!(
                f,
                "port {port} cannot be used ({cause}); choose another one with --port, or 0 for \
                 any free one"
            ),
            DeskFault::Watch { folder, why } => {
                write!(f, "cannot watch `{}` for changes: {why}", folder.display())
            }
            DeskFault::System(cause) => write!(f, "the desk cannot be opened: {cause}"),
        }
    }
}

impl std::error::Error for DeskFault {}

/// Opens a desk and keeps it open until Ctrl-C, which ends the program at once: nothing is on its
/// way to the disk. `rebuild` is called at once and after every change; `tell` gets what happens,
/// from several threads.
///
/// # Errors
/// When the port is taken or the folio cannot be watched.
pub(crate) fn run(
    folio: &Path,
    options: &DeskOptions,
    rebuild: impl Fn() -> DeskState + Send + 'static,
    tell: impl Fn(DeskEvent) + Send + Sync + 'static,
) -> Result<(), DeskFault> {
    // Without it the system ends the program as well, but then that counts as a failure.
    let _ = ctrlc::set_handler(|| std::process::exit(0));
    let _desk = Desk::open(folio, options, rebuild, tell)?;
    loop {
        thread::park();
    }
}

/// An open desk. Dropping it closes it.
#[derive(Debug)]
pub struct Desk {
    address: SocketAddr,
    watcher: Option<watch::Watcher>,
    server: Arc<Server>,
    serving: Option<JoinHandle<()>>,
}

/// What is served now; replaced as a whole.
type Current = Arc<RwLock<Arc<DeskState>>>;

impl Desk {
    /// Opens a desk; see [`run`].
    ///
    /// # Errors
    /// As for [`run`].
    pub fn open(
        folio: &Path,
        options: &DeskOptions,
        rebuild: impl Fn() -> DeskState + Send + 'static,
        tell: impl Fn(DeskEvent) + Send + Sync + 'static,
    ) -> Result<Desk, DeskFault> {
        let tell: Arc<dyn Fn(DeskEvent) + Send + Sync> = Arc::new(tell);
        let listener = listen(options.port)?;
        let address = listener.local_addr().map_err(DeskFault::System)?;
        let (changed, changes) = mpsc::channel();
        let watcher = watch::Watcher::start(folio, &options.ignore, changed, Arc::clone(&tell))?;
        let current: Current = Arc::default();
        let first = build(&rebuild, &current, &*tell);
        let server = Arc::new(Server::new(address, Arc::clone(&current)));
        server.streams.announce(first);
        let answering = Arc::clone(&server);
        let serving = thread::Builder::new()
            .spawn(move || answering.serve(&listener))
            .map_err(DeskFault::System)?;
        let mut desk =
            Desk { address, watcher: None, server: Arc::clone(&server), serving: Some(serving) };
        let more_folders = watcher.more_folders();
        desk.watcher = Some(watcher);
        let builder_tell = Arc::clone(&tell);
        let builder = move || {
            loop {
                match changes.recv_timeout(STILL_HERE) {
                    Ok(()) => {
                        while changes.try_recv().is_ok() {}
                        more_folders.watch();
                        let headline = build(&rebuild, &current, &*builder_tell);
                        server.streams.announce(headline);
                    }
                    Err(RecvTimeoutError::Timeout) => server.streams.still_here(),
                    Err(RecvTimeoutError::Disconnected) => return,
                }
            }
        };
        thread::Builder::new().spawn(builder).map_err(DeskFault::System)?;
        tell(DeskEvent::Open { url: desk.url() });
        Ok(desk)
    }

    /// Where the desk can be visited.
    #[must_use]
    pub fn url(&self) -> String {
        format!("http://{}/", self.address)
    }

    /// Address and port.
    #[must_use]
    pub fn address(&self) -> SocketAddr {
        self.address
    }
}

impl Drop for Desk {
    /// Nobody is waited for but the thread that accepts connections. A build that is on its way
    /// ends by itself, and the builder with it once the watcher is gone.
    fn drop(&mut self) {
        self.server.is_closed.store(true, Ordering::SeqCst);
        drop(self.watcher.take());
        self.server.streams.close();
        // Wakes the thread that waits for connections.
        let woken = TcpStream::connect(self.address);
        if let Some(serving) = self.serving.take().filter(|_| woken.is_ok()) {
            let _ = serving.join();
        }
    }
}

fn listen(port: Option<u16>) -> Result<TcpListener, DeskFault> {
    let at = |port| TcpListener::bind((Ipv4Addr::LOCALHOST, port));
    let fault = |port| move |cause| DeskFault::Port { port, cause };
    let listener = match port {
        Some(port) => at(port).map_err(fault(port))?,
        None => at(USUAL_PORT).or_else(|_| at(0)).map_err(fault(USUAL_PORT))?,
    };
    Ok(listener)
}

/// Builds the site and puts it in place; gives its headline. A builder that panics leaves the last
/// good site in place.
fn build(
    rebuild: &impl Fn() -> DeskState,
    current: &Current,
    tell: &(dyn Fn(DeskEvent) + Send + Sync),
) -> String {
    let start = Instant::now();
    let state = catch_unwind(AssertUnwindSafe(rebuild)).unwrap_or_else(|_| {
        let last = current.read().unwrap_or_else(PoisonError::into_inner);
        DeskState {
            files: last.files.clone(),
            slips_html: "<h1>This is a fault in gaugebook, not in your pages</h1>\
                         <p>The site shown is the last one that could be built. The terminal \
                         has the details.</p>"
                .to_string(),
            headline: "a fault in gaugebook: see the terminal".to_string(),
        }
    });
    let headline = state.headline.clone();
    *current.write().unwrap_or_else(PoisonError::into_inner) = Arc::new(state);
    let milliseconds = start.elapsed().as_millis();
    tell(DeskEvent::Built { headline: headline.clone(), milliseconds });
    headline
}
