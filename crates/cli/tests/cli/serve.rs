//! Serving: to this machine only, until it is told to stop.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};

use crate::desk::Desk;

/// A server that runs, and its port.
fn serving(desk: &Desk, args: &[&str]) -> (Child, u16) {
    let mut child = desk
        .command(env!("CARGO_BIN_EXE_ouncewise"))
        .args(args)
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let said = BufReader::new(child.stderr.take().unwrap());
    let line = said
        .lines()
        .map(Result::unwrap)
        .find(|line| line.starts_with("Open http://127.0.0.1:"))
        .expect("it says where to look");
    let port = line["Open http://127.0.0.1:".len()..].split(' ').next().unwrap().parse().unwrap();
    (child, port)
}

fn ask(port: u16, path: &str, host: &str) -> String {
    let mut stream = TcpStream::connect(("127.0.0.1", port)).unwrap();
    write!(stream, "GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n").unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    answer
}

fn stop(mut child: Child) {
    let told = Command::new("kill").arg(child.id().to_string()).status().unwrap();
    assert!(told.success());
    assert_eq!(child.wait().unwrap().code(), Some(0));
}

#[test]
fn an_empty_ledger_is_served_with_what_to_do_first() {
    let desk = Desk::new();
    let (child, port) = serving(&desk, &["serve", "--listen", "127.0.0.1:0"]);
    let page = ask(port, "/", "localhost");
    assert!(page.starts_with("HTTP/1.1 200"), "{page}");
    assert!(page.contains("Bring in a sheet"), "{page}");
    assert!(ask(port, "/", "example.org").starts_with("HTTP/1.1 421"));
    stop(child);
}

#[test]
fn the_demo_serves_its_pages() {
    let desk = Desk::new();
    let (child, port) = serving(&desk, &["demo", "--listen", "127.0.0.1:0"]);
    let page = ask(port, "/", "127.0.0.1");
    assert!(page.contains("Larkfield Counters: this week"), "{page}");
    stop(child);
}

#[test]
fn no_address_that_others_reach_is_served() {
    let desk = Desk::new();
    let refused = desk.run(["serve", "--listen", "0.0.0.0:0"]).ends(2);
    refused.says("no sign-in yet").says("127.0.0.1");
    let (child, port) = serving(&desk, &["serve", "--listen", "127.0.0.1:0"]);
    desk.run(["serve", "--listen", &format!("127.0.0.1:{port}")]).ends(69).says("another port");
    stop(child);
}
