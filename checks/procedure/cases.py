"""Random small families and procedures: mostly sensible, with a few edits that often break something."""

KINDS = ("clean", "calibrate", "renew", "start-up", "take-out", "change")


def quoted(text):
    return '"' + text + '"'


def family(r):
    parts = [f"part-{i}" for i in range(r.choice((1, 1, 2)))]
    lines = [
        'family = "made"',
        f"isolation = {quoted(r.choice(('plug', 'plug', 'switch', 'none', 'hard-wired')))}",
        f"pressure = {quoted(r.choice(('stored', 'none')))}",
        f"cover = {quoted(r.choice(('none', 'none', 'line', 'machine')))}",
        'metering = "rate"',
        f"adjuster = {quoted(r.choice(('screw', 'screw', 'none')))}",
    ]
    if r.random() < 0.6:
        lines.append('flush = "30 s"')
    for tool in ("brush", "basin"):
        if r.random() < 0.6:
            lines += [f"[kit.{tool}]", 'name.en = "it"', f"per = {quoted(r.choice(('line', 'line', 'machine')))}"]
    shared = []
    for i, part in enumerate(parts):
        lines += [f"[parts.{part}]", f'name.en = "{part}"', f"lubricant = {quoted(r.choice(('must', 'may', 'never')))}"]
        lines.append(f"wetted = {'true' if r.random() < 0.7 else 'false'}")
        if i == 1 and r.random() < 0.4:
            lines.append("shared = true")
            shared.append(part)
    return "\n".join(lines) + "\n", [p for p in parts if p not in shared], shared, lines


def sensible(r, text, own, kind):
    """The steps of a sensible round, stage by stage: (over, [(do, answers)])."""
    cover = "cover = \"line\"" in text
    must = [p for p in own if f'[parts.{p}]\nname.en = "{p}"\nlubricant = "must"' in text]
    work = [("remove all", None), (f"look {own[0]}", {"good": "next", "worn": r.choice(("keep", "out"))}), ("wash all", None)]
    if kind in ("renew", "change"):
        work = [("remove all", None)] + [(f"ask spare {p}", {"yes": "next", "no": "keep"}) for p in own[:1]]
        work += [(f"renew {own[0]}", None), (f"look {', '.join(own)}", {"good": "next", "worn": "keep"}), ("wash all", None)]
    work += [(f"lubricate {p}", None) for p in must] + [("refit all", None)]
    if cover:
        work = [("open", None)] + work + [("close", None)]
    product = "new-product" if kind == "change" else "product"
    # Often without the strip at the outlet, which only some food codes ask.
    fill = [("feed detergent; run 30 s", None), ("feed water; run 30 s", None), ("feed sanitiser; run 30 s", None),
            ("test outlet", {"right": "n5", "wrong": r.choice(("next", "next", "next", "n5", "out"))}),
            ("feed water; run 30 s; ask why", {"yes": "out", "no": "out"}), ("soak 60 s", None), ("feed none; drain", None), (f"feed {product}; run until air-free", None)]
    if r.random() < 0.3:
        del fill[3:5]
    catch = [("catch", {"on": "next", "off": "keep", "undecided": "keep"}), ("release", None)]
    stages = [
        ("machine", [("mix detergent; mix sanitiser", None), ("test sanitiser", {"right": "next", "wrong": "out"})]),
        ("lines", [("withhold", None), ("feed none; relieve", None)]),
        ("machine", [("isolate", None)]),
        ("lines", work),
        ("machine", [("restore", None)]),
        ("lines", fill),
        ("lines", catch),
    ]
    if "isolation = \"none\"" in text or "isolation = \"hard-wired\"" in text:
        stages = [s for s in stages if s[1][0][0] not in ("isolate", "restore")]
    if kind == "calibrate":
        stages = [("lines", [("withhold; run until air-free", None)] + catch)]
    if kind == "take-out":
        stages = [("machine", [("mix detergent", None)]), ("lines", [("withhold", None), ("feed detergent; run 30 s", None),
                  ("feed water; run 30 s", None), ("feed none; relieve; drain", None), ("tag", None)])]
    if r.random() < 0.3:
        stages = [s for s in stages if s[0] == "machine" or r.random() < 0.9] or stages
    return stages


LINE_ACTS = ("withhold", "tag", "relieve", "feed none", "feed product", "feed water", "feed sanitiser", "feed detergent",
             "feed new-product", "run", "run 30 s", "run 10 s", "run until air-free", "soak 60 s", "soak 20 s", "drain",
             "remove all", "refit all", "wash all", "release", "adjust", "isolate", "restore", "wash brush", "mix sanitiser")
MACHINE_ACTS = ("isolate", "restore", "mix detergent", "mix sanitiser", "wash brush")


def procedure(r):
    text, own, shared, _ = family(r)
    kind = r.choice(KINDS)
    stages = [(over, list(steps)) for over, steps in sensible(r, text, own, kind)]
    if shared and r.random() < 0.5:
        at = next((i for i, (o, s) in enumerate(stages) if s[0][0] == "isolate"), len(stages) - 1)
        cover = 'cover = "machine"' in text
        work = ["remove all", f"look {shared[0]}", "wash all", "refit all"]
        work = (["open"] if cover else []) + work + (["close"] if cover else [])
        extra = [(w, {"good": "next", "worn": "next"} if w.startswith("look") else None) for w in work]
        stages.insert(at + 1, ("machine", extra))
    for _ in range(r.choice((0, 0, 1, 1, 2))):
        over, steps = stages[r.randrange(len(stages))]
        at = r.randrange(len(steps))
        edit = r.choice(("drop", "twice", "swap", "insert"))
        if edit == "drop" and len(steps) > 1:
            del steps[at]
        elif edit == "twice":
            steps.insert(at, steps[at])
        elif edit == "swap" and at + 1 < len(steps):
            steps[at], steps[at + 1] = steps[at + 1], steps[at]
        elif edit == "insert":
            steps.insert(at, (r.choice(MACHINE_ACTS if over == "machine" else LINE_ACTS), None))
    renews = f"renews = [{quoted(own[0])}]\n" if kind == "renew" else ""
    out = [
        f"kind = {quoted(kind)}\nfamily = \"made\"\ncontact = \"60 s\"\n{renews}"
        'title.en = "t"\npurpose.en = "p"\nlanguages.en = "written"\n'
    ]
    for i, (over, steps) in enumerate(stages):
        where = "machine" if over == "machine" else r.choice(("each-line", "all-lines"))
        out.append(f'[[stage]]\nid = "s{i}"\nover = {quoted(where)}\n')
        for at, (do, answers) in enumerate(steps):
            out.append("[[stage.step]]")
            out.append(f'id = "n{at}"\ndo = {quoted(do)}\nsay.en = "{do}"')
            if answers:
                back = at > 0 and r.random() < 0.15
                targets = dict(answers)
                for name, to in targets.items():
                    if to == "keep":
                        targets[name] = r.choice(("next", "out", "leave"))
                if back:
                    targets[list(targets)[-1]] = f"n{r.randrange(at)}"
                    out.append(f"at_most = {r.choice((1, 2))}\nor_else = \"out\"")
                out.append("answers = { " + ", ".join(f"{n} = {quoted(t)}" for n, t in targets.items()) + " }")
            if r.random() < 0.05:
                out.append(f"under = [{quoted(r.choice(('rinse', 'drain', 'drain-no-rinse')))}]")
    out.append('[[stage]]\nid = "out"\nover = "each-line"\nsent = true\n[[stage.step]]\nsay.en = "t"')
    out.append('do = "withhold; tag"' if r.random() < 0.9 else 'do = "withhold"')
    return {
        "family": text, "procedure": "\n".join(out) + "\n",
        "after": r.choice(("drain-no-rinse", "drain", "rinse")), "rinse_between": r.random() < 0.8,
        "outlet": r.random() < 0.6,
    }
