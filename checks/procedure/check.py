"""Holds the program's check against `model` on random small procedures. Exit code 1 on any deviation."""

import argparse
import collections
import json
import random
import subprocess
import sys

from cases import procedure
from model import Model


def main():
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("program")
    arguments.add_argument("--cases", type=int, default=1000)
    arguments.add_argument("--seed", type=int, default=20)
    given = arguments.parse_args()
    r = random.Random(given.seed)
    cases = [procedure(r) for _ in range(given.cases)]
    lines = "".join(json.dumps(case) + "\n" for case in cases)
    answered = subprocess.run([given.program], input=lines, capture_output=True, text=True, check=True)
    wrong, verdicts, rules, carried = 0, collections.Counter(), collections.Counter(), 0
    for nth, (case, line) in enumerate(zip(cases, answered.stdout.splitlines(), strict=True)):
        got = json.loads(line)
        faults = [got["wrong"]] if "wrong" in got else []
        if not faults:
            model = Model(case["family"], case["procedure"], case["after"], case["rinse_between"], case["outlet"])
            want = {n: model.search(n) for n in (1, 2, 3)}
            for n in (1, 2, 3):
                found = {(s["rule"], s["number"] or 0): s["steps"] for s in got["products"][str(n)]}
                if found != want[n]:
                    faults.append(f"{n} lines: program {sorted(found.items())}, model {sorted(want[n].items())}")
            # One line and two tell all that three do.
            told = {(rule, number or 0) for rule, number in got["told"]}
            if told != set(want[1]) | set(want[2]) or not set(want[3]) <= told:
                faults.append(f"told {sorted(told)}, with three lines {sorted(want[3])}")
            carried += bool(set(want[2]) - set(want[1]))
            verdicts["holds" if not want[3] else "only noted" if {rule for rule, _ in want[3]} <= {"R232", "R235"} else "broken"] += 1
            rules.update({rule for rule, _ in want[3]})
        if faults:
            wrong += 1
            if wrong <= 3:
                print(f"case {nth}:", *faults, case["family"], case["procedure"], case["after"], sep="\n", file=sys.stderr)
    print(f"{len(cases)} procedures, {wrong} deviate; {dict(verdicts)}; {carried} with something only two lines show")
    print("rules broken in:", dict(sorted(rules.items())))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
