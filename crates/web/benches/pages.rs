//! How long pages take under a steady stream of requests, beside a bare handler of the same framework that gives the same
//! bytes, in the same run.
//!
//! `cargo bench -p ouncewise-web --bench pages -- PORT PATH [RATE] [SECONDS]` asks the server that listens on PORT of this
//! machine: so many requests a second, each on a connection of its own, whether the earlier ones were answered or not.
//! The time of each runs from when it was due, so that a slow answer does not hide those that waited for it.

#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]
#![expect(clippy::disallowed_methods, reason = "a benchmark reads the clock")]

use std::time::{Duration, Instant};

use axum::Router;
use axum::http::header;
use axum::response::IntoResponse;
use axum::routing::get;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};

#[tokio::main]
async fn main() {
    let args: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    let [port, path, rest @ ..] = args.as_slice() else {
        // `cargo bench` without arguments runs every benchmark there is.
        println!("pages: needs the port of a running server, and a path");
        return;
    };
    let number = |at: usize, or: u64| rest.get(at).and_then(|n| n.parse().ok()).unwrap_or(or);
    let (rate, seconds) = (number(0, 200), number(1, 30));
    let port: u16 = port.parse().expect("a port");

    let answer = ask(port, path).await;
    let body_from =
        answer.windows(4).position(|w| w == b"\r\n\r\n").expect("an answer has a head") + 4;
    let head = String::from_utf8_lossy(&answer[..body_from]).to_lowercase();
    assert!(head.starts_with("http/1.1 200"), "{head}");
    let packed = head.contains("content-encoding: gzip");
    println!(
        "page: {} bytes{}",
        answer.len() - body_from,
        if packed { ", compressed" } else { "" }
    );

    let bare_port = bare(answer[body_from..].to_vec()).await;
    // Both in turns, so that what happens on the machine happens to both.
    let (mut ours, mut peer) = (Vec::new(), Vec::new());
    let turns = (seconds / 5).max(1);
    for _ in 0..turns {
        ours.extend(stream(port, path, rate, seconds / turns).await);
        peer.extend(stream(bare_port, "/", rate, seconds / turns).await);
    }
    let (ours, peer) = (tell("ours", ours), tell("bare", peer));
    println!("ratio of the 99th percentiles: {:.1}", ours / peer);
}

/// A server whose one page is ready.
async fn bare(page: Vec<u8>) -> u16 {
    let page = axum::body::Bytes::from(page);
    let handler = get(move || {
        let page = page.clone();
        async move { ([(header::CONTENT_TYPE, "text/html")], page).into_response() }
    });
    let listener = TcpListener::bind("127.0.0.1:0").await.expect("a free port");
    let port = listener.local_addr().expect("a bound port").port();
    tokio::spawn(async move { axum::serve(listener, Router::new().route("/", handler)).await });
    port
}

async fn stream(port: u16, path: &str, rate: u64, seconds: u64) -> Vec<Duration> {
    let begun = Instant::now();
    let mut waiting = Vec::new();
    for nth in 0..rate * seconds {
        let due = begun + Duration::from_nanos(1_000_000_000 / rate * nth);
        tokio::time::sleep_until(due.into()).await;
        let path = path.to_owned();
        waiting.push(tokio::spawn(async move {
            let answer = ask(port, &path).await;
            assert!(answer.starts_with(b"HTTP/1.1 200"), "an answer that is none");
            due.elapsed()
        }));
    }
    let mut times = Vec::with_capacity(waiting.len());
    for one in waiting {
        times.push(one.await.expect("every request is answered"));
    }
    times
}

async fn ask(port: u16, path: &str) -> Vec<u8> {
    let mut connection = TcpStream::connect(("127.0.0.1", port)).await.expect("a server");
    let request = format!(
        "GET {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nAccept-Encoding: gzip\r\nConnection: close\r\n\r\n"
    );
    connection.write_all(request.as_bytes()).await.expect("a server that listens");
    let mut answer = Vec::new();
    connection.read_to_end(&mut answer).await.expect("an answer");
    answer
}

/// Prints percentiles; gives the 99th, in milliseconds.
fn tell(who: &str, mut times: Vec<Duration>) -> f64 {
    times.sort_unstable();
    let at = |share: f64| times[((times.len() - 1) as f64 * share) as usize].as_secs_f64() * 1e3;
    println!(
        "{who}: {} requests, median {:.2} ms, 99 % within {:.2} ms, the slowest {:.2} ms",
        times.len(),
        at(0.5),
        at(0.99),
        at(1.0)
    );
    at(0.99)
}
