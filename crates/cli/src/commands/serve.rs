//! `ouncewise serve`: the pages and the API, for a browser of this machine.

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;

use ouncewise_report::{Exit, Failure};
use ouncewise_store::{Clock, Location, Store};
use ouncewise_web::{App, ServeError, bind};

use super::opened;
use crate::args::Serve;
use crate::output::Output;

/// Where it listens unless told otherwise.
pub const USUAL: SocketAddr = SocketAddr::new(IpAddr::V4(Ipv4Addr::LOCALHOST), 8037);

/// Runs it.
pub fn run(args: &Serve, output: &Output) -> Result<Exit, Failure> {
    opened::block_on(async {
        let listener = bind(args.listen.unwrap_or(USUAL)).await.map_err(|e| refused(&e))?;
        let mappings = mappings(&opened::location(&args.data)?);
        let store = opened::make(&args.data).await?;
        until_stopped(store, listener, Clock::system(), mappings, output).await?;
        Ok(Exit::Done)
    })
}

/// Where readings of sheets are remembered beside a store.
pub fn mappings(location: &Location) -> Option<PathBuf> {
    match location {
        Location::Dir(dir) => Some(dir.join("mappings")),
        Location::Url(_) => None,
    }
}

/// Serves a store until somebody stops it, and closes it.
pub async fn until_stopped(
    store: Store,
    listener: tokio::net::TcpListener,
    clock: Clock,
    mappings: Option<PathBuf>,
    output: &Output,
) -> Result<(), Failure> {
    let address = listener.local_addr().map_err(|e| refused(&ServeError::Stopped(e)))?;
    let store = Arc::new(store);
    let app = App::new(store.clone(), clock, mappings);
    // Heard from before it says that it serves: who reads that line may stop it at once.
    let stopped = stopped();
    output
        .say(&format!("Open http://{address} in a browser of this machine. Stop it with Ctrl-C."));
    ouncewise_web::serve(listener, app, stopped).await.map_err(|e| refused(&e))?;
    output.say("Stopped. What was recorded is on disk.");
    if let Ok(store) = Arc::try_unwrap(store) {
        store.close().await?;
    }
    Ok(())
}

/// Listens for being asked to stop, from the call on; what it returns ends when that happens.
///
/// Where signals cannot be heard, it is stopped the hard way; the store is made for that.
#[cfg(unix)]
fn stopped() -> impl Future<Output = ()> + Send {
    use tokio::signal::unix::{SignalKind, signal};
    let heard = [SignalKind::interrupt(), SignalKind::terminate()].map(signal);
    async move {
        let [Ok(mut interrupt), Ok(mut terminate)] = heard else {
            return std::future::pending().await;
        };
        tokio::select! {
            _ = interrupt.recv() => {}
            _ = terminate.recv() => {}
        }
    }
}

/// Listens for being asked to stop; what it returns ends when that happens.
#[cfg(not(unix))]
async fn stopped() {
    if tokio::signal::ctrl_c().await.is_err() {
        std::future::pending::<()>().await;
    }
}

/// Why nothing is served, and what to do.
pub fn refused(error: &ServeError) -> Failure {
    match error {
        ServeError::NotLoopback(_) => Failure::usage(error.to_string())
            .hint("listen on 127.0.0.1, and use it on this machine"),
        ServeError::Listen(..) => Failure::new(Exit::Unavailable, error.to_string()).hint(
            "another program may hold it: name another port, such as --listen 127.0.0.1:8038",
        ),
        ServeError::Stopped(_) => Failure::new(Exit::Unavailable, error.to_string()),
    }
}
