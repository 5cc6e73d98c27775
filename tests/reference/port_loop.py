"""The campaign of port-loop.toml, re-stated in SimPy from the written rules of play.

A suitport pair whose suits come indoors through an annex when maintenance is due, a rover that docks and has
a suitport pair of its own, prebreathe from the tissue of each person, metabolic rates of their own. It was
written from the rules and not from the program. Nothing fails but the suit that asks for an early return.
"""

import math
import random
import tomllib
from pathlib import Path

import simpy

from plan import GAS, HOUR, MINUTE
from quantities import Law, si
from rows import KILOPASCAL

HALF_TIME = 360.0 * MINUTE
DAY = 24.0 * HOUR
OXYGEN, NITROGEN = 31.998e-3, 28.0134e-3  # kg/mol
WATER = 2.5e6  # J/kg
COUNTED = (
    "gas_lost_kg oxygen_used_kg nitrogen_used_kg water_used_kg planned_kg eva_done_h overhead_h upkeep_h "
    "door_minutes sorties_done sorties_cancelled sorties_cut_short suit_failures haven_demands haven_planned"
).split()


class PortPlan:
    """The numbers of the campaign file and of its access files."""

    def __init__(self, path):
        path = Path(path)
        f = self.file = tomllib.loads(path.read_text())
        ports = f["architecture"]["ports"]["port"]
        read = lambda name: tomllib.loads((path.parent / f"access/{name}.toml").read_text())
        self.access = {name: read(port["access"]) for name, port in ports.items()}
        self.crew, self.length = f["crew"], si(f["campaign"]["length"])
        home = f["element"]["habitat"]
        self.pressure, self.kelvin, self.x = si(home["pressure"]), si(home["temperature"]), home["oxygen"]
        assert f["element"]["rover"]["pressure"] == home["pressure"]
        # All suits have the same numbers, but for maintenance.
        self.suit = f["suit"]["serviced"]
        quotient = self.suit["respiratory_quotient"]
        # Lusk's line between fat (0.707, 4.686 kcal/L) and carbohydrate (1, 5.047), J per m3 of oxygen
        share = (quotient - 0.707) / (1.0 - 0.707)
        self.energy = (4.686 + (5.047 - 4.686) * share) * 4.184e6
        self.work = Law(self.crew["work"])
        self.reserve = si(f["campaign"]["reserve"])
        self.duty = si(f["campaign"]["duty_day"])
        self.suit_pressure = si(self.suit["pressure"])
        self.wanted = f["campaign"]["prebreathe_ratio"] * self.suit_pressure

    def gas(self, pressure, volume):
        """Kilograms of O2 and N2 of the cabin's air."""
        moles = pressure * volume / (GAS * self.kelvin)
        return moles * self.x * OXYGEN, moles * (1.0 - self.x) * NITROGEN

    def oxygen(self, joules):
        return 1.429 * joules / self.energy


class Person:
    """Nitrogen in the slow tissue, and the last end of a duty day."""

    def __init__(self, nitrogen):
        self.tissue = self.breathed = nitrogen
        self.since, self.rested = 0.0, -math.inf

    def breathe(self, now, nitrogen):
        self.tissue = self.at(now)
        self.since, self.breathed = now, nitrogen

    def at(self, now):
        gone = 0.5 ** ((now - self.since) / HALF_TIME)
        return self.breathed + (self.tissue - self.breathed) * gone


class Sortie:
    """Two people out and in."""

    def __init__(self, campaign, names, activity, port):
        self.c, self.plan, self.names, self.port = campaign, campaign.plan, names, port
        self.work = campaign.plan.file["activity"][activity]
        rng = campaign.rng
        self.power = {n: campaign.plan.work.draw(rng) for n in names}
        self.spent = dict.fromkeys(names, 0.0)
        self.clock, self.elapsed, self.out = None, 0.0, False

    def burn(self, powers, seconds):
        """Life support used, where the clock runs."""
        if self.clock is not None:
            for n in self.names:
                self.spent[n] += powers[n] * seconds

    def play(self, rows, kind="planned"):
        for row in rows:
            before = self.c.env.now
            yield from getattr(self, row["action"].replace(" ", "_"))(row)
            self.elapsed += self.c.env.now - before

    def timed(self, row):
        takes, rng = Law(row["takes"]), self.c.rng
        each = row.get("each")
        drawn = [takes.draw(rng) for _ in (self.names if each else [0])]
        return max(drawn) if each == "at once" else sum(drawn)

    def wait(self, row, seconds=None):
        seconds = self.timed(row) if seconds is None else seconds
        yield self.c.env.timeout(seconds)
        self.burn(self.power, seconds)
        return seconds

    prepare = leak_check = close = pass_ = mate = recharge = wait

    def everybody(self, nitrogen):
        for n in self.names:
            self.c.people[n].breathe(self.c.env.now, nitrogen)

    def purge(self, row):
        seconds = yield from self.wait(row)
        self.c.lose((si(self.plan.suit["purge_flow"]) * seconds * len(self.names), 0.0))
        self.everybody(self.plan.pressure * (1.0 - self.plan.suit["purity"]))

    def prebreathe(self, row):
        p, now = self.plan, self.c.env.now
        breathed = p.pressure * (1.0 - p.suit["purity"])
        # Until the tissue of each meets the ratio: t = half-time log2((P0 - Pa)/(P - Pa)).
        need = [
            HALF_TIME * math.log2((self.c.people[n].at(now) - breathed) / (p.wanted - breathed))
            for n in self.names
            if self.c.people[n].at(now) > p.wanted
        ]
        seconds = max([self.timed(row)] + need)
        yield self.c.env.timeout(seconds)
        rest = si(p.crew["rest"])
        self.c.m["oxygen_used_kg"] += len(self.names) * p.oxygen(rest * seconds)

    def vent(self, row):
        if row["on"] == "suit":  # its gas volume is next to nothing
            yield from self.wait(row)
            return
        if self.clock is None:
            self.clock = self.c.env.now
            self.c.m["haven_demands"] += len(self.names)
            self.everybody(0.0)
        yield from self.wait(row)
        self.c.lose(self.held(row["on"], self.plan.pressure - KILOPASCAL))
        self.rest = self.held(row["on"], KILOPASCAL)

    def held(self, volume, pressure):
        spec = self.plan.access[self.port]["volume"][volume]
        free = si(spec["free"]) * spec.get("count", 1)
        if volume != "gap" and not self.out:
            free -= len(self.names) * si(self.plan.crew["displaces"])
        return self.plan.gas(pressure, free)

    def unmate(self, row):
        yield from self.wait(row)
        self.c.lose(self.rest)  # what is left in the gap goes when the suit leaves

    def open(self, row):
        yield from self.wait(row)
        if row["on"] == "side":
            self.c.lose(self.rest)
        if row["on"] == "suit_hatch" and self.clock is not None:
            self.safe()
            self.everybody(self.plan.pressure * (1.0 - self.plan.x))

    def repress(self, row):
        if row.get("who") == "inside":  # filled behind the team: they are out already
            seconds = self.timed(row)
            yield self.c.env.timeout(seconds)
            self.burn(self.power, seconds)
            return
        yield from self.wait(row)
        if row["on"] == "annex":
            self.safe()
            self.everybody(self.plan.pressure * (1.0 - self.plan.suit["purity"]))

    def don(self, row):
        yield from self.wait(row)

    def doff(self, row):
        yield from self.wait(row)
        self.everybody(self.plan.pressure * (1.0 - self.plan.x))

    def safe(self):
        """The demands close: margin, oxygen and water of each."""
        p, m = self.plan, self.c.m
        primary = si(p.suit["primary"]) * si(p.suit["primary_at"])
        for n in self.names:
            left = (primary - self.spent[n]) / p.work.mean() + si(p.suit["secondary"])
            self.c.margin = min(self.c.margin, left / MINUTE)
            m["oxygen_used_kg"] += p.oxygen(self.spent[n])
            m["water_used_kg"] += self.spent[n] / WATER
        m["haven_planned"] += len(self.names)
        self.clock = None

    def run(self, egress, ingress):
        c, p, m = self.c, self.plan, self.c.m
        begin = c.env.now
        yield from self.play(egress)
        self.out = True
        for n in self.names:
            ratio = c.people[n].at(c.env.now) / p.suit_pressure
            c.ratio = max(c.ratio, ratio)
        way = si(self.work["distance"]) / si(p.crew["walk_speed"])
        wanted = si(self.work["hours"])
        planned = wanted + 2.0 * way
        around = si(self.work.get("overhead", "0 h"))
        # Neither the duty day nor the suits of this file limit the stay; held to that here.
        assert p.duty - (c.env.now - begin) - around - 2.0 * way - HOUR > wanted
        outside = yield from self.excursion(planned, way)
        yield from self.play(ingress)
        overhead = c.env.now - begin - min(outside, planned)
        m["eva_done_h"] += min(outside, planned) * len(self.names) / HOUR
        m["overhead_h"] += (overhead + around) * len(self.names) / HOUR
        m["door_minutes"] += self.elapsed / MINUTE
        m["sorties_done"] += 1
        for n in self.names:
            c.people[n].rested = c.env.now + around / 2.0

    def excursion(self, whole, way):
        c = self.c
        walk = dict.fromkeys(self.names, si(self.plan.crew["walk"]))
        chance = self.plan.file["failure"]["early-return"]["law"]["probability"]
        at = c.rng.random() * whole if c.rng.random() < chance else math.inf
        if at < whole:
            c.m["suit_failures"] += 1
            c.m["sorties_cut_short"] += at < whole - way  # on the way home nothing is cut short
            back = min(at, way, whole - at)
            work = min(max(at - way, 0.0), whole - 2.0 * way)
            walked = at - work
            total = at + back
        else:
            back, work, walked, total = way, whole - 2.0 * way, way, whole
        yield c.env.timeout(total)
        self.burn(walk, walked + back)
        self.burn(self.power, work)
        return total


setattr(Sortie, "pass", Sortie.pass_)


class Campaign:
    """One history: walks from the habitat and traverses, side by side."""

    def __init__(self, plan, seed):
        self.plan, self.rng = plan, random.Random(seed)
        self.env = simpy.Environment()
        nitrogen = plan.pressure * (1.0 - plan.x)
        self.people = {n: Person(nitrogen) for n in plan.crew["names"]}
        self.m = dict.fromkeys(COUNTED, 0.0)
        self.margin, self.ratio = math.inf, 0.0
        self.uses = 0  # sorties since the suits of the habitat were looked after
        self.indoors = False
        self.planned = 0.0

    def lose(self, gas, planned=True):
        oxygen, nitrogen = gas
        self.m["gas_lost_kg"] += oxygen + nitrogen
        self.m["oxygen_used_kg"] += oxygen
        self.m["nitrogen_used_kg"] += nitrogen
        if planned:
            self.m["planned_kg"] += oxygen + nitrogen

    def rested(self, names):
        return all(self.env.now - self.people[n].rested >= 10.0 * HOUR for n in names)

    def survey(self, number, time):
        work = self.plan.file["activity"]["survey"]
        yield self.env.timeout(time)
        size, crew = work["team"], work["crew"]
        names = [crew[(number * size + i) % len(crew)] for i in range(size)]
        if not self.rested(names):
            self.m["sorties_cancelled"] += 1
            return
        lists = self.plan.access["main"]["list"]
        due = self.uses + 1 >= self.plan.file["suit"]["serviced"]["maintenance_every"]
        egress = lists["service-out" if self.indoors else "egress"]
        yield from Sortie(self, names, "survey", "main").run(egress, lists["service-in" if due else "ingress"])
        self.uses += 1
        self.indoors = due
        if due:
            self.uses = 0
            law = Law(self.plan.file["suit"]["serviced"]["maintenance_takes"])
            self.m["upkeep_h"] += sum(law.draw(self.rng) for _ in range(2)) / HOUR

    def crossing(self, rows):
        seconds = sum(Law(row["takes"]).draw(self.rng) for row in rows)
        yield self.env.timeout(seconds)
        self.m["upkeep_h"] += 2 * seconds / HOUR

    def traverse(self, depart):
        work, sleeve = self.plan.file["activity"]["drive"], self.plan.access["sleeve"]
        yield self.env.timeout(depart)
        yield from self.crossing(sleeve["list"]["undock"])
        self.lose(self.plan.gas(self.plan.pressure, si(sleeve["volume"]["tunnel"]["free"])), planned=False)
        names, lists = work["crew"], self.plan.access["aft"]["list"]
        days, per_day = work["traverse"]["days"], work["traverse"]["per_day"]
        for day in range(days):
            for k in range(per_day):
                slot = depart + (day + (k + 0.5) / per_day) * DAY
                yield self.env.timeout(slot - self.env.now)
                if self.rested(names):
                    yield from Sortie(self, names, "drive", "aft").run(lists["egress"], lists["ingress"])
                else:
                    self.m["sorties_cancelled"] += 1
        drive = si(work["traverse"]["drive"]) / si(self.plan.file["element"]["rover"]["speed"])
        yield self.env.timeout(depart + days * DAY + drive - self.env.now)
        yield from self.crossing(sleeve["list"]["dock"])

    def plan_hours(self, activity, sorties):
        work = self.plan.file["activity"][activity]
        way = si(work["distance"]) / si(self.plan.crew["walk_speed"])
        self.planned += sorties * 2 * (si(work["hours"]) + 2.0 * way) / HOUR

    def run(self):
        survey, drive = (self.plan.file["activity"][a] for a in ("survey", "drive"))
        gap = 7.0 * DAY / survey["per_week"]
        count = int(self.plan.length / gap + 0.5)
        for k in range(count):
            self.env.process(self.survey(k, (k + 0.5) * gap))
        t = drive["traverse"]
        for j in range(t["count"]):
            self.env.process(self.traverse(si(t["first"]) + j * si(t["every"])))
        self.plan_hours("survey", count)
        self.plan_hours("drive", t["count"] * t["days"] * t["per_day"])
        self.env.run(until=self.plan.length)
        m = self.m
        m["eva_lost_h"] = self.planned - m["eva_done_h"]
        m["haven_margin_min"] = self.margin
        m["prebreathe_ratio_max"] = self.ratio
        return m
