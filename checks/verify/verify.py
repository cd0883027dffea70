#!/usr/bin/env python3
"""Checks an exported ledger against checkpoints, without any part of Ouncewise.

    verify.py LEDGER.jsonl CHECKPOINT...

LEDGER.jsonl has one entry a line: {"index":0,"received":"...","record":{...}}.
Each CHECKPOINT is a text file of three lines: whose ledger, how many records, root in base64.
Several checkpoints, older and newer, narrow down where a history was changed.
Exit code: 0 all checkpoints hold, 1 not all, 2 called wrongly, 65 a file is not what it should be.
What this shows is that records were not altered since a checkpoint was handed out; not that the
work was done. Only Python's standard library is used.
"""

import base64
import hashlib
import json
import re
import sys

MAX_INTEGER = 2**53 - 1
RECEIVED = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z")


class Fault(Exception):
    """Something in a file that does not fit."""


# Canonical bytes (RFC 8785, without fractions)


def strict_object(members):
    result = {}
    for key, value in members:
        if key in result:
            raise Fault(f"the key {key!r} is there twice")
        result[key] = value
    return result


def refuse_number(text):
    raise Fault(f"the number {text} is not whole")


def whole_number(text):
    number = int(text) if len(text) < 20 else MAX_INTEGER + 1
    if abs(number) > MAX_INTEGER or text == "-0":
        raise Fault(f"the number {text} has no one spelling")
    return number


def parse(text):
    try:
        return json.loads(
            text,
            object_pairs_hook=strict_object,
            parse_float=refuse_number,
            parse_constant=refuse_number,
            parse_int=whole_number,
        )
    except (ValueError, RecursionError) as error:
        raise Fault(f"not JSON: {error}") from None


def canonical(value):
    if isinstance(value, dict):
        keys = sorted(value, key=lambda key: key.encode("utf-16-be", "surrogatepass"))
        return "{" + ",".join(canonical(key) + ":" + canonical(value[key]) for key in keys) + "}"
    if isinstance(value, list):
        return "[" + ",".join(map(canonical, value)) + "]"
    # The standard library escapes exactly what RFC 8785 does.
    return json.dumps(value, ensure_ascii=False)


# The tree (RFC 6962)


def leaf_hash(leaf):
    return hashlib.sha256(b"\x00" + leaf).digest()


def node_hash(left, right):
    return hashlib.sha256(b"\x01" + left + right).digest()


class Tree:
    """Grows leaf by leaf; keeps the roots of its full subtrees, largest first."""

    def __init__(self):
        self.size = 0
        self.roots = []

    def push(self, leaf):
        size = self.size
        while size & 1:
            leaf = node_hash(self.roots.pop(), leaf)
            size >>= 1
        self.roots.append(leaf)
        self.size += 1

    def root(self):
        if not self.roots:
            return hashlib.sha256().digest()
        result = self.roots[-1]
        for left in reversed(self.roots[:-1]):
            result = node_hash(left, result)
        return result


# Files


def read_checkpoint(path):
    """Origin, size and root. Signature lines after a blank line are not looked at."""
    with open(path, encoding="utf-8", newline="") as file:
        lines = file.read().split("\n")
    if len(lines) < 4 or lines[3] != "" or not lines[0]:
        raise Fault(f"{path}: a checkpoint has three lines: whose ledger, how many records, root in base64")
    if not re.fullmatch(r"0|[1-9][0-9]{0,15}", lines[1]):
        raise Fault(f"{path}: line 2 is not a number of records")
    try:
        root = base64.b64decode(lines[2], validate=True)
    except ValueError:
        root = b""
    if len(root) != 32:
        raise Fault(f"{path}: line 3 is not a root in base64")
    return lines[0], int(lines[1]), root


def read_entry(text, index, ids, scopes):
    """The leaf of one line; everything about it that can be wrong by itself is checked."""
    entry = parse(text)
    if not isinstance(entry, dict) or set(entry) != {"index", "received", "record"}:
        raise Fault("an entry has index, received and record, and nothing else")
    if entry["index"] is True or entry["index"] != index:
        raise Fault(f"index {entry['index']} stands where {index} belongs")
    if not isinstance(entry["received"], str) or not RECEIVED.fullmatch(entry["received"]):
        raise Fault("received is not a time such as 2026-03-02T05:41:09.004Z")
    record = entry["record"]
    if not isinstance(record, dict) or not all(isinstance(record.get(key), str) for key in ("id", "scope")):
        raise Fault("a record has an id and a scope")
    earlier = ids.setdefault(record["id"], index)
    if earlier != index:
        raise Fault(f"the record {record['id']} is entry {earlier} already")
    scopes.add(record["scope"])
    if len(scopes) > 1:
        raise Fault(f"records of two ledgers: {' and '.join(sorted(scopes))}")
    try:
        return canonical({"received": entry["received"], "record": record}).encode("utf-8")
    except (UnicodeEncodeError, RecursionError) as error:
        raise Fault(f"the record has no canonical bytes: {error}") from None


def verify(ledger, checkpoints):
    """Prints what was found; whether all checkpoints hold."""
    heads = sorted((size, path, origin, root) for path in checkpoints for origin, size, root in [read_checkpoint(path)])
    origins = sorted({origin for _, _, origin, _ in heads})
    if len(origins) > 1:
        raise Fault(f"checkpoints of different ledgers: {', '.join(origins)}")
    wanted = {size for size, _, _, _ in heads}
    tree, ids, scopes = Tree(), {}, set()
    roots = {0: tree.root()}
    with open(ledger, "rb") as file:
        for index, line in enumerate(file):
            try:
                tree.push(leaf_hash(read_entry(line.decode("utf-8"), index, ids, scopes)))
            except (Fault, UnicodeDecodeError) as fault:
                raise Fault(f"{ledger}: line {index + 1}: {fault}") from None
            if tree.size in wanted:
                roots[tree.size] = tree.root()
    print(f"{ledger}: {tree.size} records of {', '.join(scopes) or 'nobody'}; checkpoints of {origins[0]}")
    holds, unchanged = True, 0
    for size, path, _, root in heads:
        if roots.get(size) == root:
            print(f"{path}: holds: the first {size} records are as they were")
            unchanged = size if holds else unchanged
            continue
        holds = False
        if size > tree.size:
            print(f"{path}: DOES NOT HOLD: of {size} records {size - tree.size} are missing")
        else:
            where = f"of the first {size} records one after the first {unchanged}"
            print(f"{path}: DOES NOT HOLD: {where} was changed, taken out or put in")
    if tree.size > heads[-1][0]:
        print(f"the last {tree.size - heads[-1][0]} records came later: no checkpoint given vouches for them")
    return holds


def main(arguments):
    if len(arguments) < 2:
        print(__doc__.strip(), file=sys.stderr)
        return 2
    try:
        return 0 if verify(arguments[0], arguments[1:]) else 1
    except (Fault, OSError, UnicodeDecodeError) as fault:
        print(f"cannot be verified: {fault}", file=sys.stderr)
        return 65


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
