"""SIGKILL at random while four clients append records through a proxy that loses replies.

A client sends the same record again until it is acknowledged. At the end every acknowledged record is in its ledger
exactly once, at the place that was told, nothing is there twice, and the ledgers verify.
"""

import argparse
import contextlib
import datetime
import http.client
import json
import os
import random
import re
import signal
import socket
import socketserver
import subprocess
import sys
import tempfile
import threading
import time

CLIENTS = 4
SITE = "fernhollow"
# How often the proxy swallows a request, and how often a reply.
LOSES_REQUEST = 0.05
LOSES_REPLY = 0.2


class Missed(Exception):
    """A promise that was not kept."""


class Server:
    """The program, serving a store."""

    def __init__(self, program, data):
        self.command = [program, "serve", "--data", data]
        self.port = 0
        self.process = None

    def start(self):
        self.process = subprocess.Popen(
            [*self.command, "--listen", f"127.0.0.1:{self.port}"], stderr=subprocess.PIPE, text=True
        )
        for line in self.process.stderr:
            found = re.search(r"http://127\.0\.0\.1:(\d+)", line)
            if found:
                # The same port ever after, as for people who keep a page open.
                self.port = int(found[1])
                return
        raise Missed(f"the server did not start: exit code {self.process.wait()}")

    def kill(self):
        self.process.kill()
        self.process.wait()
        self.process.stderr.close()

    def stop(self):
        self.process.send_signal(signal.SIGTERM)
        code = self.process.wait(timeout=30)
        self.process.stderr.close()
        if code != 0:
            raise Missed(f"asked to stop, the server ended with {code}")


class Proxy(socketserver.ThreadingTCPServer):
    """Passes requests on, and loses some of them or their replies."""

    daemon_threads = True
    allow_reuse_address = True

    def __init__(self, server, seed):
        super().__init__(("127.0.0.1", 0), Pass)
        self.server_behind = server
        self.random = random.Random(seed)
        self.lock = threading.Lock()
        self.lost_requests = 0
        self.lost_replies = 0

    def loses(self, chance):
        with self.lock:
            return self.random.random() < chance

    def handle_error(self, request, client_address):
        """A client that has gone is none of ours."""


class Pass(socketserver.StreamRequestHandler):
    """One request."""

    def handle(self):
        head = b""
        while not head.endswith(b"\r\n\r\n"):
            line = self.rfile.readline()
            if not line:
                return
            head += line
        length = int(re.search(rb"(?i)content-length: (\d+)", head)[1])
        body = self.rfile.read(length)
        proxy = self.server
        if proxy.loses(LOSES_REQUEST):
            proxy.lost_requests += 1
            return
        reply = b""
        with contextlib.suppress(OSError), socket.create_connection(
            ("127.0.0.1", proxy.server_behind.port), timeout=20
        ) as behind:
            behind.sendall(head + body)
            while chunk := behind.recv(65536):
                reply += chunk
        if reply and proxy.loses(LOSES_REPLY):
            proxy.lost_replies += 1
            return
        self.wfile.write(reply)


def uuid7(rng):
    """A UUID of version 7 (RFC 9562), made where the record was."""
    ms = int(time.time() * 1000)
    value = (ms << 80) | (0x7 << 76) | (rng.getrandbits(12) << 64) | (0b10 << 62) | rng.getrandbits(62)
    text = f"{value:032x}"
    return "-".join((text[:8], text[8:12], text[12:16], text[16:20], text[20:]))


class Client(threading.Thread):
    """Records catches, and sends each one until somebody has said that it is kept."""

    def __init__(self, number, port):
        super().__init__(daemon=True)
        self.number = number
        self.port = port
        self.random = random.Random(1000 + number)
        self.done = threading.Event()
        self.acknowledged = {}
        self.sent = 0
        self.again = 0
        self.miss = None

    def run(self):
        try:
            sequence = 0
            while not self.done.is_set():
                count = self.random.choice([1, 1, 1, 2, 5])
                records = [self.record(sequence + i) for i in range(count)]
                sequence += count
                self.until_kept(records)
        except Missed as miss:
            self.miss = miss

    def record(self, sequence):
        now = datetime.datetime.now(datetime.timezone.utc)
        amount = f"{29 + self.random.random() * 2:.1f} mL"
        return {
            "record": {
                "v": 1,
                "id": uuid7(self.random),
                "scope": SITE,
                "subject": {"machine": "counter-1", "line": str(self.random.choice([1, 4, 5]))},
                "at": now.isoformat(timespec="milliseconds"),
                "device": f"tablet-{self.number}",
                "sequence": sequence,
                "entered": "at-machine",
                "body": {
                    "kind": "catch-taken",
                    "state": "as-found",
                    "amount": amount,
                    "draw": "7 s",
                    "measure": "cylinder",
                },
            },
            "person": f"Crew {self.number}",
        }

    def until_kept(self, records):
        self.sent += len(records)
        body = json.dumps({"records": records})
        while not self.done.is_set():
            answer = self.post(body)
            if answer is not None:
                for record, became in zip(records, answer["records"], strict=True):
                    if became["outcome"] not in ("added", "already-there"):
                        raise Missed(f"client {self.number}: {became}")
                    if became["id"] != record["record"]["id"]:
                        raise Missed(f"client {self.number}: another id was told: {became}")
                    self.acknowledged[became["id"]] = became["index"]
                return
            self.again += 1
            time.sleep(0.005)

    def post(self, body):
        """What was answered, or nothing where nobody did."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=20)
        try:
            headers = {"Content-Type": "application/json", "Connection": "close"}
            connection.request("POST", "/api/v1/records", body, headers)
            response = connection.getresponse()
            text = response.read()
        except (OSError, http.client.HTTPException):
            return None
        finally:
            connection.close()
        if response.status in (200, 201):
            return json.loads(text)
        if response.status == 503:
            return None
        raise Missed(f"client {self.number}: {response.status} {text[:500]!r}")


def ledger(port):
    """All records of the ledger, page by page."""
    entries = []
    path = f"/api/v1/ledgers/{SITE}/records?limit=200"
    while path:
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
        connection.request("GET", path)
        response = connection.getresponse()
        page = json.loads(response.read())
        connection.close()
        if response.status != 200:
            raise Missed(f"{path}: {page}")
        entries += page["items"]
        path = page["next"]
    return entries


def hold(port, clients):
    """Every acknowledged record is there once, in its place."""
    acknowledged = {}
    for client in clients:
        acknowledged |= dict(client.acknowledged)
    entries = ledger(port)
    places = {}
    for place, entry in enumerate(entries):
        if entry["index"] != place:
            raise Missed(f"record {place} of the ledger is number {entry['index']}")
        identity = entry["record"]["id"]
        if identity in places:
            raise Missed(f"{identity} is there twice: {places[identity]} and {place}")
        places[identity] = place
    for identity, place in acknowledged.items():
        if places.get(identity) != place:
            raise Missed(f"{identity} was acknowledged at {place}, and is at {places.get(identity)}")
    return len(entries), len(acknowledged)


def total(clients):
    return sum(len(client.acknowledged) for client in clients)


def check(program, kills, seed):
    rng = random.Random(seed)
    started = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="ouncewise-api.") as folder:
        data = os.path.join(folder, "store")
        subprocess.run(
            [program, "demo", "--no-serve", "--quiet", "--keep", data], check=True, stdout=subprocess.DEVNULL
        )
        server = Server(program, data)
        server.start()
        before, _ = hold(server.port, [])
        proxy = Proxy(server, seed)
        threading.Thread(target=proxy.serve_forever, daemon=True).start()
        clients = [Client(number, proxy.server_address[1]) for number in range(CLIENTS)]
        for client in clients:
            client.start()
        silent = 0
        for round_ in range(kills):
            had = total(clients)
            patience = time.monotonic() + 20
            while total(clients) == had and time.monotonic() < patience:
                time.sleep(0.002)
                misses(clients)
            silent += total(clients) == had
            time.sleep(rng.uniform(0, 0.06))
            server.kill()
            server.start()
            if round_ % 20 == 19:
                hold(server.port, clients)
        time.sleep(0.5)
        for client in clients:
            client.done.set()
        for client in clients:
            client.join(timeout=30)
        misses(clients)
        proxy.shutdown()
        there, acknowledged = hold(server.port, clients)
        server.stop()
        verified = subprocess.run([program, "verify", "--data", data], capture_output=True, text=True, check=False)
        if verified.returncode != 0:
            raise Missed(f"the ledgers do not verify: {verified.stdout}{verified.stderr}")
        if silent * 4 > kills:
            raise Missed(f"{silent} of {kills} servers died before they answered once: this shows nothing")
        if proxy.lost_replies == 0 or proxy.lost_requests == 0:
            raise Missed("the proxy lost nothing: this shows nothing")
        again = sum(client.again for client in clients)
        print(
            f"api: killed {kills} times (seed {seed}), {proxy.lost_replies} replies and {proxy.lost_requests} requests lost, "
            f"sent again {again} times: {acknowledged} records acknowledged, 0 missing, 0 twice, "
            f"{there - before - acknowledged} unacknowledged ones kept; the ledgers verify; "
            f"{time.monotonic() - started:.0f} s"
        )


def misses(clients):
    for client in clients:
        if client.miss is not None:
            raise client.miss


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("program", help="the program to serve with")
    parser.add_argument("--kills", type=int, default=200, help="how often the server is killed")
    parser.add_argument("--seed", type=int, default=20260302, help="seed of the moments")
    args = parser.parse_args()
    try:
        check(args.program, args.kills, args.seed)
    except Missed as miss:
        print(f"api: MISSED: {miss}", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
