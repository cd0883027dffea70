"""Runs the examples of docs/api.md as they stand, in their order, and holds what they print against what is written there.

A line that begins with `$ ` is run by bash, with the lines after it that begin with `> `; what follows is what it prints.
`…` stands for anything.
"""

import pathlib
import re
import subprocess
import sys
import tempfile

WRITTEN = "http://127.0.0.1:8037"


def examples(text):
    """Commands with what they are to print."""
    for block in re.findall(r"```console\n(.*?)```", text, re.S):
        command, wanted = None, []
        for line in block.splitlines():
            if line.startswith("$ "):
                if command is not None:
                    yield command, "\n".join(wanted)
                command, wanted = line[2:], []
            elif line.startswith("> "):
                command += "\n" + line[2:]
            else:
                wanted.append(line)
        yield command, "\n".join(wanted)


def fits(wanted, printed):
    pattern = ".*".join(re.escape(part) for part in wanted.split("…"))
    return re.fullmatch(pattern, printed.strip(), re.S) is not None


def main():
    address = sys.argv[1]
    text = pathlib.Path("docs/api.md").read_text(encoding="utf-8")
    count = 0
    with tempfile.TemporaryDirectory(prefix="ouncewise-api.") as folder:
        for command, wanted in examples(text):
            ran = subprocess.run(
                ["bash", "-euo", "pipefail", "-c", command.replace(WRITTEN, address)],
                cwd=folder, capture_output=True, text=True, check=False,
            )
            if ran.returncode != 0 or not fits(wanted, ran.stdout):
                print(f"api: MISSED: an example of docs/api.md\n$ {command}\nis to print\n{wanted}\nand printed (exit code "
                      f"{ran.returncode})\n{ran.stdout}{ran.stderr}", file=sys.stderr)
                return 1
            count += 1
    print(f"api: {count} examples of docs/api.md print what is written there")
    return 0


if __name__ == "__main__":
    sys.exit(main())
