//! Listening, on this machine only.

use std::io;
use std::net::SocketAddr;
use std::time::Duration;

use thiserror::Error;
use tokio::net::TcpListener;

use crate::{App, router};

/// Why nothing is served.
#[derive(Debug, Error)]
pub enum ServeError {
    /// The address can be reached from elsewhere, and there is no sign-in yet.
    #[error(
        "{0} can be reached from other machines, and anybody who reaches it could read and record everything: there is no sign-in yet"
    )]
    NotLoopback(SocketAddr),
    /// The address cannot be listened on.
    #[error("{0} cannot be listened on: {1}")]
    Listen(SocketAddr, io::Error),
    /// The network broke down.
    #[error("serving stopped: {0}")]
    Stopped(#[from] io::Error),
}

/// Takes an address of this machine; port 0 takes any that is free.
///
/// # Errors
///
/// If the address is not loopback, or taken.
pub async fn bind(address: SocketAddr) -> Result<TcpListener, ServeError> {
    if !address.ip().is_loopback() {
        return Err(ServeError::NotLoopback(address));
    }
    TcpListener::bind(address).await.map_err(|e| ServeError::Listen(address, e))
}

/// How long what is under way may take to come to its end. A request may stop half way and never
/// come to one; what was acknowledged is on disk by then.
const LAST_WORDS: Duration = Duration::from_secs(5);

/// Serves until `stop` comes, and lets what is under way come to its end, for a few seconds.
///
/// # Errors
///
/// If the listener is not loopback, or breaks down.
pub async fn serve(
    listener: TcpListener,
    app: App,
    stop: impl Future<Output = ()> + Send + 'static,
) -> Result<(), ServeError> {
    let address = listener.local_addr()?;
    if !address.ip().is_loopback() {
        return Err(ServeError::NotLoopback(address));
    }
    let (tell, told) = tokio::sync::oneshot::channel::<()>();
    let stop = async move {
        stop.await;
        // Nobody listens where serving came to its end first.
        let _ = tell.send(());
    };
    let late = async {
        // An error is as good: nothing is left to wait for.
        let _ = told.await;
        tokio::time::sleep(LAST_WORDS).await;
    };
    tokio::select! {
        ended = axum::serve(listener, router(app)).with_graceful_shutdown(stop) => Ok(ended?),
        () = late => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use tokio::io::AsyncWriteExt as _;

    use super::*;

    // Whoever begins to ask and never comes to an end.
    #[tokio::test]
    async fn half_a_request_does_not_keep_it_from_ending() {
        let listener = bind("127.0.0.1:0".parse().unwrap()).await.unwrap();
        let address = listener.local_addr().unwrap();
        let app = crate::testing::empty().await.app;
        let (tell, told) = tokio::sync::oneshot::channel::<()>();
        let serving = tokio::spawn(serve(listener, app, async { told.await.unwrap() }));
        let mut half = tokio::net::TcpStream::connect(address).await.unwrap();
        half.write_all(b"GET / HTTP/1.1\r\nHost:").await.unwrap();
        tokio::time::sleep(Duration::from_millis(50)).await;
        tell.send(()).unwrap();
        let ended = tokio::time::timeout(LAST_WORDS + Duration::from_secs(25), serving).await;
        ended.expect("it ends").unwrap().unwrap();
        drop(half);
    }

    #[tokio::test]
    async fn only_this_machine_is_served() {
        for open in ["0.0.0.0:0", "[::]:0", "192.0.2.1:0"] {
            let refused = bind(open.parse().unwrap()).await.unwrap_err();
            assert!(matches!(refused, ServeError::NotLoopback(_)), "{refused}");
        }
        let taken = bind("127.0.0.1:0".parse().unwrap()).await.unwrap();
        let twice = bind(taken.local_addr().unwrap()).await.unwrap_err();
        assert!(matches!(twice, ServeError::Listen(..)), "{twice}");
    }
}
