//! Listening, on this machine only.

use std::io;
use std::net::SocketAddr;

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

/// Serves until `stop` comes, and lets what is under way come to its end.
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
    axum::serve(listener, router(app)).with_graceful_shutdown(stop).await?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

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
