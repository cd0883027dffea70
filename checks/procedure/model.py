"""The semantics of `docs/procedures.md` once more, as a plain breadth-first search over the full product of lines.

Written from the page, not from the program: states are tuples, and nothing is packed, reduced or ordered for speed.
"""

from collections import deque
import tomllib

SUPPLIES = ("none", "product", "new-product", "water", "detergent", "sanitiser")
ANSWERS = {"look": ("good", "worn"), "test": ("right", "wrong"), "catch": ("on", "off", "undecided")}
FACTS = ("off", "seen", "worn", "washed", "greased", "spare", "renewed", "refitted")


class Broken(Exception):
    pass


def seconds(text):
    number, unit = text.split()
    return int(number) * {"s": 1, "min": 60, "h": 3600, "day": 86400, "days": 86400}[unit]


class Model:
    def __init__(self, family, procedure, after, rinse_between, outlet):
        self.f = tomllib.loads(family)
        self.p = tomllib.loads(procedure)
        self.after, self.rinse_between, self.outlet = after, rinse_between, outlet
        self.kind = self.p["kind"]
        self.contact = seconds(self.p.get("contact", "0 s"))
        self.flush = seconds(self.f.get("flush", "0 s"))
        self.parts = self.f.get("parts", {})
        self.own = {k for k, v in self.parts.items() if not v.get("shared")}
        self.common = set(self.parts) - self.own
        self.wetted = {k for k, v in self.parts.items() if v.get("wetted")}
        self.powered = self.f["isolation"] != "none"
        self.stages = [self.place(i) for i in range(len(self.p["stage"]))]
        first, self.first = 1, []
        for stage in self.stages:
            self.first.append(first)
            first += len(stage["steps"])

    # The text put together: passages in their places, steps of other food codes left out, targets found.

    def place(self, index):
        stage = self.p["stage"][index]
        everything = []
        for nth, step in enumerate(stage["step"]):
            if "use" in step:
                everything += [(s, nth + 1) for s in self.f["passage"][step["use"]]["step"]]
            else:
                everything.append((step, 0))
        here = [i for i, (s, _) in enumerate(everything) if not s.get("under") or self.after in s["under"]]

        def on(at):
            if at < len(here):
                return ("step", at)
            for later in range(index + 1, len(self.p["stage"])):
                if not self.p["stage"][later].get("sent"):
                    return ("stage", later)
            return ("end",)

        def find(target, at, within):
            if target == "next":
                return on(at + 1)
            if target == "leave":
                return on(len(here))
            if target == "end":
                return ("end",)
            for i, (s, w) in enumerate(everything):
                if w == within and s.get("id") == target:
                    return on(sum(1 for h in here if h < i))
            for later in range(index + 1, len(self.p["stage"])):
                if self.p["stage"][later]["id"] == target:
                    return ("stage", later)
            return None

        steps, slots = [], 0
        for at, i in enumerate(here):
            step, within = everything[i]
            acts = [a.strip() for a in step.get("do", "").split(";") if a.strip()]
            verb = acts[-1].split()[0] if acts else ""
            if verb == "ask":
                names = ("yes", "no") if acts[-1].startswith("ask spare ") else tuple(step.get("answers", {}))
            else:
                names = ANSWERS.get(verb, ())
            targets = step.get("answers", {})
            answers = [(n, find(targets[n], at, within) if n in targets else None) for n in names]
            then = find(step["then"], at, within) if "then" in step else on(at + 1)
            back = [g for g in ([g for _, g in answers] if answers else [then]) if g and g[0] == "step" and g[1] <= at]
            slot = None
            if back:
                slot, slots = slots, slots + 1
                other = find(step["or_else"], at, within)
            steps.append({
                "acts": acts, "answers": answers, "then": then, "slot": slot,
                "at_most": step.get("at_most", 0), "or_else": other if back else None,
            })
        return {"over": stage["over"], "sent": stage.get("sent", False), "steps": steps}

    # States.

    def start(self, lines):
        new = self.kind == "start-up"
        cut = new and self.f["isolation"] in ("plug", "switch")
        nothing = {fact: frozenset() for fact in FACTS}
        line = {
            "stage": self.next_stage(0), "step": 0, "loops": (0, 0, 0, 0),
            "holds": "none" if new else "product", "feed": "none" if new else "product", "trace": "none", "outlet": "unread",
            "portion": "lost" if self.kind in ("calibrate", "start-up", "change") else "standing",
            "withheld": new, "tagged": new, "released": False, "pressure": self.f["pressure"] == "stored" and not new,
            "open": False, "air": new, "clean": False, "sanitised": self.kind in ("calibrate", "renew", "take-out"),
            "unfit": False, **nothing,
        }
        shared = {
            "stage": 0, "step": 0, "loops": (0, 0, 0, 0), "sent": False, "power": self.powered and not cut, "open": False,
            "sanitiser": "none", "detergent": False, "brush": 0, "basin": 0, "nozzle": 0 if new else -1, **nothing,
        }
        state = (shared, [dict(line) for _ in range(lines)])
        self.settle(state)
        return state

    def next_stage(self, start):
        for i in range(start, len(self.stages)):
            s = self.stages[i]
            if not s["sent"] and s["over"] != "machine" and s["steps"]:
                return i
        return 255

    def comes_to(self, stage):
        s = self.stages[stage]
        return self.next_stage(stage) if s["over"] == "machine" or not s["steps"] else stage

    def settle(self, state):
        shared, lines = state
        while shared["stage"] < len(self.stages):
            s = self.stages[shared["stage"]]
            if s["over"] == "machine":
                busy = (not s["sent"] or shared["sent"]) and shared["step"] < len(s["steps"])
            else:
                busy = any(line["stage"] == shared["stage"] for line in lines)
            if busy:
                return
            shared.update(stage=shared["stage"] + 1, step=0, loops=(0, 0, 0, 0), sent=False)
        shared["stage"] = 255

    def turn(self, state):
        shared, lines = state
        if shared["stage"] == 255:
            return None
        s = self.stages[shared["stage"]]
        if s["over"] == "machine":
            return shared["stage"], shared["step"], None
        here = [i for i, line in enumerate(lines) if line["stage"] == shared["stage"]]
        who = min(here, key=lambda i: (lines[i]["step"], i)) if s["over"] == "all-lines" else min(here)
        return shared["stage"], lines[who]["step"], who

    # Verbs.

    def check(self, fails, rule):
        if fails:
            raise Broken(rule)

    def serving(self, state):
        shared, lines = state
        for line in lines:
            if line["withheld"]:
                continue
            own = "new-product" if self.kind == "change" and line["released"] else "product"
            self.check(line["holds"] != own or line["feed"] != own or line["trace"] != "none", "R201")
            self.check(line["open"] or line["off"] or shared["open"] or shared["off"], "R202")

    def do(self, state, who, act, answer, notes, over):
        words = act.split(None, 1)
        verb, rest = words[0], words[1] if len(words) > 1 else ""
        shared, lines = state
        line = lines[who] if who is not None else None
        any_open = shared["open"] or bool(shared["off"])
        impossible = "R225"
        on = not self.powered or shared["power"]
        if verb == "isolate":
            self.check(not self.powered, impossible)
            self.check(self.f["isolation"] == "hard-wired", "R231")
            shared["power"] = False
        elif verb == "restore":
            self.check(not self.powered, impossible)
            self.check(any_open or any(l["open"] or l["off"] for l in lines), "R206")
            shared["power"] = True
        elif verb in ("open", "close"):
            place = line if self.f["cover"] == "line" else shared
            if self.f["cover"] == "none":
                raise Broken(impossible)
            self.check(place["open"] == (verb == "open"), impossible)
            self.check(verb == "open" and shared["power"], "R204")
            place["open"] = verb == "open"
        elif verb == "mix":
            if rest == "sanitiser":
                shared["sanitiser"] = "untested"
            else:
                shared["detergent"], shared["basin"] = True, 0
        elif act == "test outlet":
            self.check(line["holds"] != "sanitiser", impossible)
            line["outlet"] = "right" if answer == "right" else "wrong"
        elif verb == "test":
            self.check(shared["sanitiser"] == "none", impossible)
            shared["sanitiser"] = "right" if answer == "right" else "wrong"
        elif act == "wash brush":
            self.check(not shared["detergent"], impossible)
            shared["brush"] = 0
        elif verb == "ask":
            if rest.startswith("spare ") and answer == "yes":
                part = rest.split()[1]
                place = line if part in self.own else shared
                place["spare"] |= {part}
        elif verb in ("remove", "look", "wash", "renew", "lubricate", "refit"):
            if rest == "all":
                chosen = self.common if over == "machine" else self.own
            else:
                chosen = {p.strip() for p in rest.split(",")}
            if chosen & self.common:
                self.on_parts(state, None, verb, chosen & self.common, rest == "all", answer, notes)
            if chosen & self.own:
                self.on_parts(state, who, verb, chosen & self.own, rest == "all", answer, notes)
        elif verb == "withhold":
            line["withheld"] = True
        elif verb == "tag":
            self.check(not line["withheld"], impossible)
            line["tagged"] = True
        elif verb == "relieve":
            if line["feed"] == "none":
                line["pressure"] = False
        elif verb == "feed":
            self.check(rest == "detergent" and not shared["detergent"], impossible)
            self.check(rest == "sanitiser" and shared["sanitiser"] == "none", impossible)
            if rest != line["feed"]:
                line["air"], line["portion"] = True, "lost"
            line["feed"] = rest
            if rest != "none" and self.f["pressure"] == "stored":
                line["pressure"] = True
        elif verb == "run":
            self.check(not on or line["feed"] == "none", impossible)
            self.check(line["open"] or line["off"] or any_open, "R205")
            self.run(shared, line, rest)
            if line["holds"] in ("product", "new-product") and self.common & self.wetted:
                shared["nozzle"] = who + 1 if shared["nozzle"] in (0, who + 1) else -1
        elif verb == "soak":
            self.check(line["holds"] not in ("sanitiser", "detergent"), "R215")
            if line["holds"] == "sanitiser":
                unread = line["outlet"] == "unread"
                self.check(line["outlet"] == "wrong" or (unread and self.outlet), "R234")
                self.check(seconds(rest) < self.contact, "R215")
                if unread:
                    notes.add("R235")
                line["sanitised"] = True
        elif verb == "drain":
            self.check(line["feed"] != "none", impossible)
            line["holds"], line["air"], line["outlet"] = "none", True, "unread"
            if line["trace"] == "sanitiser" and self.after != "rinse":
                line["trace"] = "none"
        elif verb == "catch":
            self.check(not on, impossible)
            self.check(line["open"] or line["off"] or any_open, "R205")
            ready = line["holds"] in ("product", "new-product") and line["feed"] == line["holds"] and not line["air"]
            self.check(not ready, "R222")
            line["portion"] = answer or "undecided"
        elif verb == "adjust":
            self.check(self.f["adjuster"] == "none", impossible)
            self.check(line["portion"] in ("lost", "standing"), "R224")
            line["portion"] = "lost"
        elif verb == "release":
            self.release(state, who, on, any_open, notes)
        else:
            raise ValueError(act)
        self.serving(state)

    def run(self, shared, line, rest):
        feed = line["feed"]
        product = feed in ("product", "new-product")
        self.check(product and line["trace"] == "sanitiser", "R216")
        self.check(product and line["trace"] == "detergent", "R217")
        if feed == "water":
            just = line["sanitised"] and line["holds"] in ("none", "sanitiser")
            self.check(self.after == "drain-no-rinse" and just, "R218")
        if feed == "sanitiser":
            self.check(shared["sanitiser"] != "right", "R214")
            self.check(self.rinse_between and line["trace"] == "detergent", "R213")
            self.check(not line["clean"], "R212")
        enough = rest == "until air-free" or (seconds(rest) if rest else 0) >= self.flush
        self.check(line["holds"] != feed and not enough, "R230")
        if product:
            line["clean"] = False
            if rest == "until air-free":
                line["air"] = False
        elif feed == "water":
            line["trace"] = "none"
        elif feed == "detergent":
            line["trace"], line["clean"], line["sanitised"] = "detergent", True, False
        elif feed == "sanitiser":
            line["trace"] = "sanitiser"
        line["holds"], line["outlet"] = feed, "unread"

    def on_parts(self, state, who, verb, chosen, every, answer, notes):
        shared, lines = state
        place = shared if who is None else lines[who]
        if every:
            chosen = chosen - place["off"] if verb == "remove" else chosen & place["off"]
            self.check(not chosen, "R225")
        affected = lines if who is None else [lines[who]]
        if verb == "remove":
            opened = shared["open"] or (who is not None and lines[who]["open"])
            self.check(self.f["cover"] != "none" and not opened, "R225")
            self.check(shared["power"], "R204")
            for line in affected:
                self.check(line["pressure"], "R203")
                self.check(line["feed"] != "none", "R233")
        self.check(verb == "refit" and shared["power"], "R204")
        self.check(verb == "wash" and not shared["detergent"], "R225")
        if verb == "remove":
            self.check(bool(chosen & place["off"]), "R225")
            place["off"] |= chosen
        else:
            self.check(not chosen <= place["off"], "R225")
        if verb == "look":
            place["seen"] |= chosen
            if answer == "worn":
                place["worn"] |= chosen
        elif verb == "wash":
            place["washed"] |= chosen
            place["greased"] -= chosen
        elif verb == "lubricate":
            self.check(any(self.parts[p]["lubricant"] == "never" for p in chosen), "R211")
            place["greased"] |= chosen
        elif verb == "renew":
            self.check(not chosen <= place["spare"], "R226")
            place["spare"] -= chosen
            place["worn"] -= chosen
            place["greased"] -= chosen
            place["seen"] |= chosen
            place["washed"] |= chosen
            place["renewed"] |= chosen
            if who is None and self.common & self.wetted <= chosen:
                shared["nozzle"] = 0
        elif verb == "refit":
            needs = {p for p in chosen if self.parts[p]["lubricant"] == "must"}
            wrong = None
            if chosen & place["worn"]:
                wrong = "R209"
            elif not chosen <= place["seen"]:
                wrong = "R207"
            elif not chosen <= place["washed"]:
                wrong = "R208"
            elif not needs <= place["greased"]:
                wrong = "R210"
            if wrong and not all(line["tagged"] for line in affected):
                raise Broken(wrong)
            if wrong:
                for line in affected:
                    line["unfit"] = True
            for fact in FACTS[:-2]:
                place[fact] -= chosen
            if not wrong:
                place["refitted"] |= chosen
        if verb in ("remove", "refit"):
            for line in affected:
                line["sanitised"], line["air"], line["portion"] = False, True, "lost"
        if verb == "wash" and who is not None:
            for tool in ("brush", "basin"):
                if self.f.get("kit", {}).get(tool, {}).get("per") != "line":
                    if shared[tool] not in (0, who + 1):
                        notes.add("R232")
                    shared[tool] = who + 1

    def release(self, state, who, on, any_open, notes):
        shared, lines = state
        line = lines[who]
        wanted = "new-product" if self.kind == "change" else "product"
        self.check(self.kind == "take-out", "R229")
        self.check(line["open"] or line["off"] or any_open, "R220")
        self.check(line["holds"] != wanted or line["feed"] != wanted or line["trace"] != "none", "R201")
        self.check(line["unfit"], "R209")
        self.check(not line["sanitised"], "R219")
        renewed = line["renewed"] | shared["renewed"]
        self.check(self.kind == "renew" and not set(self.p.get("renews", ())) <= renewed, "R229")
        self.check(self.kind == "clean" and not self.own <= line["refitted"], "R229")
        self.check(line["portion"] not in ("on", "standing"), "R223")
        self.check(not on, "R221")
        if self.common & self.wetted and shared["nozzle"] not in (0, who + 1):
            notes.add("R232")
        if self.kind == "change" and not self.wetted <= renewed:
            notes.add("R232")
        line["withheld"], line["tagged"], line["released"] = False, False, True

    def end(self, state):
        shared, lines = state
        on = not self.powered or shared["power"]
        for line in lines:
            standing = line["holds"] in ("detergent", "sanitiser") or line["trace"] != "none"
            self.check(standing or line["open"] or line["off"] or shared["open"] or shared["off"], "R228")
            if line["withheld"]:
                self.check(not line["tagged"], "R227")
                empty = line["holds"] == "none" and line["feed"] == "none" and not line["pressure"]
                self.check(self.kind == "take-out" and not (empty and line["clean"]), "R229")
                continue
            renewed = line["renewed"] | shared["renewed"]
            owed = {
                "take-out": True, "change": not line["released"], "start-up": not line["released"],
                "renew": not set(self.p.get("renews", ())) <= renewed,
                "clean": not self.own <= line["refitted"],
            }.get(self.kind, False)
            self.check(owed, "R229")
            self.check(not line["sanitised"], "R219")
            self.check(line["portion"] not in ("on", "standing"), "R223")
            self.check(not on, "R221")

    # The search.

    def go(self, state, turn, step, goto):
        shared, lines = state
        stage, at, who = turn
        place = shared if who is None else lines[who]
        if step["slot"] is not None and goto[0] == "step" and goto[1] <= at:
            if place["loops"][step["slot"]] < step["at_most"]:
                loops = list(place["loops"])
                loops[step["slot"]] += 1
                place["loops"] = tuple(loops)
            else:
                goto = step["or_else"]
        fresh = {"step": 0, "loops": (0, 0, 0, 0)}
        if goto[0] == "step":
            place["step"] = goto[1]
        elif who is not None:
            place.update(fresh, stage=255 if goto[0] == "end" else self.comes_to(goto[1]))
        elif goto[0] == "end":
            shared.update(fresh, stage=255)
            for line in lines:
                line.update(fresh, stage=255)
        else:
            sent = self.stages[goto[1]]["sent"]
            shared.update(fresh, stage=goto[1], sent=sent)
            for line in lines:
                waits = line["stage"] != 255 and sent and not self.stages[line["stage"]]["sent"]
                if line["stage"] < goto[1] or waits:
                    line.update(fresh, stage=self.comes_to(goto[1]))
        self.settle(state)

    def search(self, lines):
        """Every broken rule with the step that breaks it (0 at the end) and the length of the shortest way to it."""

        def key(state):
            return tuple(sorted(state[0].items())), tuple(tuple(sorted(l.items())) for l in state[1])

        def copy(state):
            return dict(state[0]), [dict(l) for l in state[1]]

        first = self.start(lines)
        seen, queue, found = {key(first)}, deque([(first, 0)]), {}
        while queue:
            state, length = queue.popleft()
            turn = self.turn(state)
            if turn is None:
                try:
                    self.end(state)
                except Broken as broken:
                    found.setdefault((str(broken), 0), length)
                continue
            stage, at, who = turn
            step = self.stages[stage]["steps"][at]
            number = self.first[stage] + at
            for name, goto in step["answers"] or [(None, step["then"])]:
                if goto is None:
                    continue
                after, notes = copy(state), set()
                try:
                    for nth, act in enumerate(step["acts"]):
                        last = nth == len(step["acts"]) - 1
                        self.do(after, who, act, name if last else None, notes, self.stages[stage]["over"])
                except Broken as broken:
                    found.setdefault((str(broken), number), length + 1)
                    continue
                for note in notes:
                    found.setdefault((note, number), length + 1)
                self.go(after, turn, step, goto)
                k = key(after)
                if k not in seen:
                    seen.add(k)
                    queue.append((after, length + 1))
        return found
