#!/usr/bin/env python3
"""Checks the checker: good files pass, every tampered one is refused, the recipe in the docs works."""

import contextlib
import io
import json
import pathlib
import random
import re
import subprocess
import sys
import tempfile

import verify

HERE = pathlib.Path(__file__).resolve().parent
DOCS = HERE.parent.parent / "docs" / "records.md"
LINES = (HERE / "good.jsonl").read_text(encoding="utf-8").splitlines()
HEAD = (HERE / "good.checkpoint").read_text(encoding="utf-8")
EARLIER = (HERE / "earlier.checkpoint").read_text(encoding="utf-8")
SIGNED = "\n— larkfield.example/fernhollow AAAAAAECAwQ=\n"


def run(folder, lines, *heads):
    """Exit code and words of the checker for a ledger and checkpoints."""
    ledger = folder / "ledger.jsonl"
    ledger.write_bytes("".join(line + "\n" for line in lines).encode("utf-8", "surrogatepass"))
    files = [folder / f"{i}.checkpoint" for i in range(len(heads))]
    for file, head in zip(files, heads):
        file.write_text(head, encoding="utf-8", newline="")
    said = io.StringIO()
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
        code = verify.main([str(path) for path in [ledger, *files]])
    return code, said.getvalue()


def numbered(entries):
    """Lines with the index set right, as a careful forger would."""
    return [json.dumps(dict(entry, index=i), ensure_ascii=False) for i, entry in enumerate(entries)]


def entries():
    return [json.loads(line) for line in LINES]


def good():
    later = json.loads(LINES[-1])
    later["record"]["id"] = "0195540a-c212-7000-8000-00000000ffff"
    spelled = [json.dumps(json.loads(line), indent=None, sort_keys=False) for line in LINES]
    yield "as exported", LINES, [HEAD], "holds"
    yield "two checkpoints, newest first", LINES, [HEAD, EARLIER], "first 10 records"
    yield "signed", LINES, [HEAD + SIGNED], "holds"
    yield "spelled with escapes and spaces", spelled, [HEAD], "holds"
    yield "grown since", numbered(entries() + [later]), [HEAD], "last 1 records came later"
    yield "nothing yet", [], ["a\n0\n47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU=\n"], "holds"


def altered():
    """Well-formed files whose history is another one."""
    for i in range(len(LINES)):
        dropped = entries()
        del dropped[i]
        yield f"entry {i} taken out", numbered(dropped), [HEAD]
        later = entries()
        later[i]["received"] = later[i]["received"].replace("T05", "T04")
        yield f"entry {i} received earlier", numbered(later), [HEAD]
        if i:
            swapped = entries()
            swapped[i - 1], swapped[i] = swapped[i], swapped[i - 1]
            yield f"entries {i - 1} and {i} swapped", numbered(swapped), [HEAD]
            put_in = entries()
            put_in.insert(i, json.loads(LINES[i]))
            put_in[i]["record"]["id"] = "0195540a-c212-7000-8000-00000000ffff"
            yield f"entry put in before {i}", numbered(put_in), [HEAD]
    generator = random.Random(1)
    for n in range(200):
        changed = entries()
        place, key = generator.choice(list(leaves([entry["record"] for entry in changed])))
        old = place[key]
        if isinstance(place, list) or generator.random() < 0.7:
            new = not old if isinstance(old, bool) else old + 1 if isinstance(old, int) else "another" if old != "another" else "x"
            place[key] = new
        else:
            del place[key]
        yield f"change {n}: {key} {old!r}", numbered(changed), [HEAD]
    size, root = HEAD.split("\n")[1:3]
    yield "last records cut off", LINES[:-3], [HEAD]
    yield "other root", LINES, [HEAD.replace(root, EARLIER.split("\n")[2])]
    yield "other size", LINES, [HEAD.replace(f"\n{size}\n", f"\n{int(size) - 1}\n")]
    yield "only the earlier one holds", LINES[:-1], [EARLIER, HEAD]


def leaves(values):
    """Every place in records that holds a plain value, but for id and scope, whose change is found before."""
    for value in values:
        for key, inner in list(value.items() if isinstance(value, dict) else enumerate(value)):
            if isinstance(inner, (dict, list)):
                yield from leaves([inner])
            elif key not in ("id", "scope"):
                yield value, key


def broken():
    """Files that are not what they should be."""
    first = LINES[0]
    for name, line in {
        "not JSON": "no",
        "not UTF-8": "\udcff",
        "a fraction": first.replace('"sequence":41', '"sequence":41.0'),
        "too big": first.replace('"sequence":41', '"sequence":9007199254740992'),
        "minus nothing": first.replace('"sequence":41', '"sequence":-0'),
        "not a number": first.replace('"sequence":41', '"sequence":NaN'),
        "one key twice": first.replace('"v":1', '"v":1,"v":1'),
        "half a character": first.replace("tablet-2", "\\ud800"),
        "too deep": first.replace('"v":1', '"v":' + "[" * 100000 + "]" * 100000),
        "wrong index": first.replace('"index":0', '"index":1'),
        "no index": first.replace('"index":0,', ""),
        "one thing more": first.replace('"index":0,', '"index":0,"hash":"00",'),
        "received in local time": first.replace("004Z", "004+00:00"),
        "another ledger": first.replace('"scope":"fernhollow"', '"scope":"alderford"'),
        "the id of another": first.replace("0003e8", "0003e9"),
        "a list": "[]",
        "blank": "",
    }.items():
        assert line != first, name
        yield name, [line, *LINES[1:]], [HEAD]
    origin, size, root, _ = HEAD.split("\n")
    for head in ["", "\n", origin, f"{origin}\n{size}\n{root}", f"\n{size}\n{root}\n", f"{origin}\n0{size}\n{root}\n",
                 f"{origin}\n-1\n{root}\n", f"{origin}\n{size}\n{root[:-1]}\n", f"{origin}\n{size}\n{root}\nmore\n", "x"]:
        yield f"checkpoint {head!r}", LINES, [head]
    yield "two origins", LINES, [HEAD, EARLIER.replace("fernhollow", "alderford")]


def recipe():
    """Runs the shell block of the docs and compares what it prints with the block after it."""
    blocks = re.search(r"```sh\n(.*?)```\s+```text\n(.*?)```", DOCS.read_text(encoding="utf-8"), re.DOTALL)
    assert blocks, f"{DOCS} has no recipe"
    done = subprocess.run(["bash", "-euo", "pipefail", "-c", blocks[1]], cwd=HERE, capture_output=True, text=True, check=False)
    assert done.stdout == blocks[2], f"the recipe prints\n{done.stdout}{done.stderr}and not\n{blocks[2]}"


def main():
    counts = {}
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        for case, lines, heads, words in good():
            code, said = run(folder, lines, *heads)
            assert code == 0 and words in said, f"{case}: {code} {said}"
            counts["good"] = counts.get("good", 0) + 1
        for kind, code, cases in [("altered", 1, altered()), ("broken", 65, broken())]:
            for case, lines, heads in cases:
                found, said = run(folder, lines, *heads)
                assert found == code, f"{case}: exit code {found}, not {code}: {said}"
                assert code != 1 or "DOES NOT HOLD" in said, f"{case}: {said}"
                counts[kind] = counts.get(kind, 0) + 1
        assert run(folder, LINES)[0] == 2
    command = [sys.executable, HERE / "verify.py", HERE / "good.jsonl", HERE / "good.checkpoint"]
    subprocess.run(command, check=True, capture_output=True)
    recipe()
    print(f"verify: {counts['good']} good files pass, {counts['altered']} altered and {counts['broken']} broken ones are refused, the recipe works")


if __name__ == "__main__":
    main()
