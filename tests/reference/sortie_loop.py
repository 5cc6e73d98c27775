"""The sortie loop of sortie-loop.toml, re-stated in SimPy from the written rules of play.

Nothing here was taken from the program: it was written from the rules alone, so that a
misreading on either side shows. It covers what that one file uses: a lock, a second lock as the
way back, hatches that stick, seals that leak, early returns, people who get hurt, dust.
"""

import math
import random
import tomllib
from pathlib import Path

import numpy as np
import simpy

from quantities import Law, si
from rooms import DIAMETERS, Exposure, Room, cross, settling_speed, track
from rooms import Law as RoomLaw

HOUR, MINUTE = 3600.0, 60.0
GAS = 8.314462618
KILOPASCAL = 1e3
LEVEL = 1e-6  # Pa


class Plan:
    """The numbers of the campaign file and of its two access files."""

    def __init__(self, path):
        path = Path(path)
        self.file = tomllib.loads(path.read_text())
        ports = self.file["architecture"]["lock"]["port"]
        self.access = {
            name: tomllib.loads((path.parent / f"access/{port['access']}.toml").read_text())
            for name, port in ports.items()
        }
        f = self.file
        self.crew, self.home = f["crew"], f["element"]["habitat"]
        self.suit, self.work = f["suit"]["plain"], f["activity"]["survey"]
        self.failure, self.body = f["failure"], f["body"]
        self.length = si(f["campaign"]["length"])
        self.pressure = si(self.home["pressure"])
        self.kelvin = si(self.home["temperature"])
        x = self.home["oxygen"]
        self.molar_mass = x * 31.998e-3 + (1.0 - x) * 28.0134e-3
        self.lists()
        self.walking()
        self.slots = self.slot_times()
        self.rooms = self.room_laws()

    def lists(self):
        main, side = self.access["main"]["list"], self.access["side"]["list"]
        self.egress, self.ingress, self.restore = main["egress"], main["ingress"], main["restore"]
        self.ways = dict(main["way_back"]) | dict(side["way_back"])
        self.order = self.file["architecture"]["lock"]["ways_back"]
        self.port_of = {name: "main" for name in main["way_back"]}
        self.port_of |= {name: "side" for name in side["way_back"]}
        free = self.ways["free-the-outer-hatch"]["rows"]
        use = free[-1]
        names = [f"{row['action']} {row['on']}" for row in self.ingress]
        free[-1:] = self.ingress[names.index(use["after"]) + 1 :]
        names = [row["action"] for row in self.ingress]
        to_safety = self.ingress[: names.index("repress") + 1]
        self.mean_to_safety = sum(Law(row["takes"]).mean() for row in to_safety)
        # Of a row side by side the mean of the slowest is a little more; the duty day of this
        # file is never what decides.
        self.mean_ingress = sum(Law(row["takes"]).mean() for row in self.ingress)

    def walking(self):
        self.distance = si(self.work["distance"])
        self.speed = si(self.crew["walk_speed"])
        self.way = self.distance / self.speed
        self.planned = si(self.work["hours"]) + 2.0 * self.way
        self.primary = si(self.suit["primary"])
        self.supply = self.primary + si(self.suit["secondary"])

    def slot_times(self):
        spacing = 7.0 * 24.0 * HOUR / self.work["per_week"]
        count = int(self.length / spacing + 0.5)
        times = [(k + 0.5) * spacing for k in range(count)]
        return [t for t in times if t < self.length]

    def room_laws(self):
        volume, b = si(self.home["volume"]), self.body
        flow = si(self.home["filter_flow"]) * self.home["filter_efficiency"] / volume
        back = si(self.home["resuspension"])
        cabin, lock = [], []
        for diameter in DIAMETERS:
            grain = (si(b["dust_density"]), b["dust_shape"], si(b["gravity"]))
            speed = settling_speed(diameter, *grain, self.kelvin, self.pressure)
            settles = self.home["deposition"] * speed / si(self.home["height"])
            cabin.append(RoomLaw(flow, settles, back))
            # The files give a lock no filter; a lock is 2 m high unless they say otherwise.
            lock.append(RoomLaw(0.0, speed / 2.0, 0.0))
        return volume, cabin, lock

    def mass(self, pressure, volume):
        return pressure * volume * self.molar_mass / (GAS * self.kelvin)


class Lock:
    """State of one port: its chamber and two hatches."""

    def __init__(self, plan, name):
        a = plan.access[name]
        self.name, volume = name, a["volume"]["lock"]
        self.free = si(volume["free"]) - si(volume.get("gear", "0 m3"))
        self.at_vacuum = volume["rest"] == "outside"
        self.pressure = 0.0 if self.at_vacuum else plan.pressure
        self.open = {key: a["opening"][key]["rest"] == "open" for key in ("outer", "inner")}
        self.leak = {key: si(a["opening"][key]["leak"]) for key in ("outer", "inner")}
        self.shares = a["opening"]["inner"]["air_share"], a["opening"]["inner"]["floor_share"]
        self.stuck = self.leaking = False
        self.room = Room(self.free, plan.rooms[2], vacuum=self.at_vacuum)

    def at_rest(self, plan):
        if self.stuck or self.open["outer"]:
            return False
        return self.open["inner"] and self.pressure > plan.pressure - LEVEL


class Team:
    """Two people on one sortie."""

    def __init__(self, names):
        self.names = names
        self.place = "cabin"
        self.clock = self.clock_end = None
        self.safe = self.turned_back = False
        self.troubles = []  # (time, name, mode), not yet come
        self.hurt = {}  # name -> (time, limit of treatment)

    @property
    def casualty(self):
        return bool(self.hurt)


class Missed(Exception):
    """Nobody of a team can come in any more."""


class Campaign:
    """One history."""

    def __init__(self, plan, seed):
        self.plan, self.rng = plan, random.Random(seed)
        self.env = simpy.Environment()
        self.over = self.env.event()
        volume, cabin, _ = plan.rooms
        self.cabin = Room(volume, cabin)
        self.locks = {name: Lock(plan, name) for name in plan.access}
        recovery = plan.access["main"]["pump"]["main"]["recovery"]
        self.recovery = Law(recovery).draw(self.rng)  # unknown: once per campaign
        self.suits = [[0.0] * 4 for _ in range(2)]
        names = plan.crew["names"]
        self.away_until = dict.fromkeys(names, 0.0)
        self.out, self.held = set(), set()
        self.stays = {name: [[0.0, math.inf]] for name in names}
        self.events = [0.0]
        self.leaked_to, self.leak_lost = 0.0, 0.0
        self.repair = None
        self.attempts = []  # (begin, crew) of repairs under way
        self.m = dict.fromkeys(COUNTED, 0.0)
        self.margin = math.inf

    # Books

    def book(self, kind, kilograms):
        """Gas that went outside with a row of a list, or from suits."""
        self.m["gas_lost_kg"] += kilograms
        self.m["air_vented_outside_kg"] += kilograms
        if kind == "contingency":
            self.m["gas_vented_contingency_kg"] += kilograms
        if kind == "planned":
            self.m["planned_kg"] += kilograms

    def run_leaks(self):
        """Leaks up to now, with the state as it was until now."""
        dt, self.leaked_to = self.env.now - self.leaked_to, self.env.now
        plan, rate = self.plan, si(self.plan.home["leak"])
        for lock in self.locks.values():
            if lock.pressure <= KILOPASCAL:
                rate += lock.leak["inner"]  # lost at once in an empty chamber
            else:
                factor = plan.failure["seal-leaks"]["factor"] if lock.leaking else 1.0
                rate += lock.leak["outer"] * factor * lock.pressure / plan.pressure
        self.leak_lost += rate * dt

    def upkeep(self, seconds):
        self.m["upkeep_h"] += seconds / HOUR

    # Rows

    def time_of(self, row, team, takes=None):
        takes = Law(row["takes"] if takes is None else takes)
        if row.get("each") == "at once":
            return max(takes.draw(self.rng) for _ in team.names)
        if row.get("each") == "in turn":
            return sum(takes.draw(self.rng) for _ in team.names)
        return takes.draw(self.rng)

    def play(self, rows, team, lock, kind, outward=False):
        """Rows one after the other; gives the row that failed, or None."""
        for row in rows:
            tries = 1
            if row.get("if_fails", "").startswith("retry "):
                tries += int(row["if_fails"].split()[1])
            for _ in range(tries):
                self.look_after(team)
                done = yield from self.row(row, team, lock, kind, outward)
                self.events.append(self.env.now)
                if done:
                    break
            else:
                if row.get("if_fails") != "go on":
                    return row
        return None

    def row(self, row, team, lock, kind, outward):
        action = row["action"].replace(" ", "_")
        return (yield from getattr(self, action)(row, team, lock, kind, outward))

    def passes(self, row, team):
        """Time goes by; always works."""
        yield self.env.timeout(self.time_of(row, team))
        return True

    def prepare(self, row, team, *_):
        return (yield from self.passes(row, team))

    wait = recharge = prebreathe = prepare

    def don(self, row, team, *_):
        yield self.env.timeout(self.time_of(row, team))
        for name in team.names:
            self.stays[name][-1][1] = self.env.now
        return True

    def leak_check(self, row, team, *_):
        yield self.env.timeout(self.time_of(row, team))
        # Every suit that is checked can alarm, also where the row is done once for the team.
        return all(self.rng.random() >= row["false_alarm"] for _ in team.names)

    def purge(self, row, team, lock, kind, _):
        time = self.time_of(row, team)
        yield self.env.timeout(time)
        self.book(kind, si(self.plan.suit["purge_flow"]) * time * len(team.names))
        return True

    def volume_now(self, team, lock):
        inside = len(team.names) if team.place == lock.name else 0
        return lock.free - inside * si(self.plan.crew["displaces"])

    def depress(self, row, team, lock, kind, _):
        plan, pump = self.plan, self.plan.access["main"]["pump"]["main"]
        if team.place == lock.name and team.clock is None:
            team.clock, team.clock_end = self.env.now, self.env.now + plan.supply
            self.m["haven_demands"] += len(team.names)
        volume, stop = self.volume_now(team, lock), si(row["to"])
        time = volume / si(pump["speed"]) * math.log(lock.pressure / stop)
        yield self.env.timeout(time)
        self.book(kind, (1.0 - self.recovery) * plan.mass(lock.pressure - stop, volume))
        self.to_pressure(lock, stop)
        return True

    def vent(self, row, team, lock, kind, _):
        yield self.env.timeout(self.time_of(row, team))
        volume = self.volume_now(team, lock)
        self.book(kind, self.plan.mass(lock.pressure - KILOPASCAL, volume))
        self.to_pressure(lock, KILOPASCAL)
        return True

    def to_pressure(self, lock, pressure):
        self.run_leaks()
        lock.room.evacuate(self.env.now, pressure / lock.pressure)
        lock.pressure = pressure

    def open(self, row, team, lock, kind, _):
        which = row["on"]
        if lock.open[which]:
            return True  # its result holds: free
        yield self.env.timeout(self.time_of(row, team))
        if which == "inner":
            lock.open[which] = True
            cross(self.env.now, self.cabin, lock.room, lock.shares[0])
            return True
        if lock.stuck:
            if self.rng.random() >= row.get("frees", 0.0):
                return False
            self.unstick(lock)
        elif lock.name == "main" and self.chance("hatch-stuck-shut"):
            self.m["hatch_failures"] += 1
            lock.stuck = True
            self.repair = self.env.process(self.mend(lock, "hatch-stuck-shut"))
            return False
        if lock.pressure > 0.0:
            self.book(kind, self.plan.mass(lock.pressure, self.volume_now(team, lock)))
            self.run_leaks()
            lock.pressure = 0.0
        lock.room.settle(self.env.now)
        lock.open[which] = True
        return True

    def chance(self, mode):
        return self.rng.random() < self.plan.failure[mode]["law"]["probability"]

    def unstick(self, lock):
        lock.stuck = False
        if self.repair is not None and self.repair.is_alive:
            self.repair.interrupt()

    def close(self, row, team, lock, *_):
        which = row["on"]
        if not lock.open[which]:
            return True
        yield self.env.timeout(self.time_of(row, team))
        lock.open[which] = False
        if which == "inner":
            cross(self.env.now, self.cabin, lock.room, lock.shares[0])
        elif lock.name == "main" and not lock.leaking and self.chance("seal-leaks"):
            self.m["seal_failures"] += 1
            self.run_leaks()
            lock.leaking = True
        return True

    def pass_(self, row, team, lock, kind, outward):
        which, takes, works = row["on"], None, True
        if team.casualty and "incapacitated" in row:
            takes = row["incapacitated"]["takes"]
            works = self.rng.random() < row["incapacitated"]["probability"]
        yield self.env.timeout(self.time_of(row, team, takes))
        if not works:
            return False
        if which == "inner":
            for _ in team.names:
                cross(self.env.now, self.cabin, lock.room, lock.shares[0])
                if not outward:
                    track(self.env.now, self.cabin, lock.room, lock.shares[1])
        sides = ("cabin", lock.name) if which == "inner" else (lock.name, "outside")
        team.place = sides[outward]
        return True

    def clean(self, row, team, lock, *_):
        if team.casualty and row["incapacitated"] == "skip":
            return True
        yield self.env.timeout(self.time_of(row, team))
        removes = self.plan.access["main"]["stage"]["brush"]["removes"]
        self.suits = [[m * (1.0 - r) for m, r in zip(suit, removes)] for suit in self.suits]
        return True

    def repress(self, row, team, lock, *_):
        rise = (self.plan.pressure - lock.pressure) / si(self.plan.file["campaign"]["pressure_rate"])
        if rise > 0.0:
            yield self.env.timeout(max(self.time_of(row, team), rise))
            self.run_leaks()
            lock.pressure = self.plan.pressure
            lock.room.fill(self.env.now)
        if team.place == lock.name and team.clock is not None and not team.safe:
            self.look_after(team)
            self.reach(team)
        return True

    def doff(self, row, team, *_):
        yield self.env.timeout(self.time_of(row, team))
        share, airborne = self.plan.suit["doff_sheds"], self.plan.body["dust_airborne"]
        for suit in self.suits:
            self.cabin.arrive(self.env.now, [m * share for m in suit], airborne)
            suit[:] = [m * (1.0 - share) for m in suit]
        for name in team.names:
            self.stays[name].append([self.env.now, math.inf])
        for begin, limit in team.hurt.values():
            self.m["rescue_late"] += self.env.now - begin > limit
        return True

    # People

    def look_after(self, team):
        """Those who were hurt by now are casualties from here on."""
        for trouble in [t for t in team.troubles if t[0] <= self.env.now]:
            self.strike(team, trouble)

    def strike(self, team, trouble):
        team.troubles = [t for t in team.troubles if t[1] != trouble[1]]
        if team.safe:
            return
        time, name, mode = trouble
        failure = self.plan.failure[mode]
        team.hurt[name] = (time, Law(failure["treatment"]).draw(self.rng))
        self.m["incapacitations"] += 1
        self.away_until[name] = time + Law(failure["off_duty"]).draw(self.rng)
        if len(team.hurt) == len(team.names):
            raise Missed

    def reach(self, team):
        """Safe: the demands close."""
        now = self.env.now
        team.safe = True
        late = now > team.clock_end
        outcome = "haven_late" if late else team.outcome
        self.m[outcome] += len(team.names)
        if team.outcome == "haven_planned":
            self.margin = min(self.margin, (team.clock_end - now) / MINUTE)
        for begin, _ in team.hurt.values():
            self.m["rescue_minutes"] += (now - begin) / MINUTE
            self.m["rescues"] += 1
        self.book("suit", si(self.plan.suit["leak"]) * (now - team.clock) * len(team.names))
        if late:
            raise Missed

    def excursion(self, team, stay):
        """Out, at work and back, until the team stands at the door. Gives the hours outside."""
        plan, begin = self.plan, self.env.now
        whole = 2.0 * plan.way + stay
        for name in team.names:
            first = [
                (begin + self.rng.expovariate(si(plan.failure[mode]["law"]["rate"])), name, mode)
                for mode in ("walks-with-help", "must-be-carried")
            ]
            team.troubles.append(min(first))
        early = begin + self.rng.random() * whole if self.chance("early-return") else math.inf
        team.troubles.sort()
        event = min(early, team.troubles[0][0])
        if event >= begin + whole:
            yield self.env.timeout(whole)
            return whole
        yield self.env.timeout(event - begin)
        team.turned_back = event - begin < plan.way + stay
        gone = event - begin
        left = plan.speed * min(gone, plan.way, whole - gone)
        self.m["suit_failures"] += event == early
        counted = event == early
        speed, lift = plan.speed, 0.0
        while True:
            if team.troubles and team.troubles[0][0] <= self.env.now:
                mode = team.troubles[0][2]
                self.strike(team, team.troubles[0])
                if mode == "must-be-carried":
                    lift = Law(plan.crew["lift"]).draw(self.rng)
                    speed = Law(plan.crew["stretcher_speed"]).draw(self.rng)
                else:
                    speed = si(plan.crew["helped_speed"])
            need = lift + left / speed
            follows = team.troubles[0][0] - self.env.now if team.troubles else math.inf
            step = min(need, follows)
            if not counted and self.env.now <= early < self.env.now + step:
                self.m["suit_failures"] += 1
                counted = True
            yield self.env.timeout(step)
            if step == need:
                return self.env.now - begin
            walked = max(step - lift, 0.0)
            lift = max(lift - step, 0.0)
            left -= speed * walked

    # A sortie

    def sortie(self, number):
        names = self.plan.crew["names"]
        size = self.plan.work["team"]
        team = Team([names[(number * size + i) % len(names)] for i in range(size)])
        if not self.may_go(team):
            self.m["sorties_cancelled"] += 1
            return
        self.out |= set(team.names)
        try:
            yield from self.out_and_in(team)
        except Missed:
            yield from self.end_badly(team)
        self.out -= set(team.names)

    def may_go(self, team):
        now = self.env.now
        able = {n for n, until in self.away_until.items() if until <= now and n not in self.out}
        staying = able - set(team.names)
        least = self.plan.home["inside_least"]
        ready = set(team.names) <= able - self.held and len(staying) >= least
        return ready and self.locks["main"].at_rest(self.plan)

    def out_and_in(self, team):
        plan, main = self.plan, self.locks["main"]
        begin = self.env.now
        team.outcome = "haven_planned"
        failed = yield from self.play(plan.egress, team, main, "planned", outward=True)
        if failed is not None:
            self.m["sorties_cancelled"] += 1
            which = "inner" if team.place == "cabin" else "outer"
            rows = [(row["action"], row["on"]) for row in plan.ingress]
            entry = rows.index(("pass", which)) + 1
            yield from self.play(plan.ingress[entry:], team, main, "planned")
            self.overhead(begin, team, 0.0, done=False)
            return
        used, elapsed = self.env.now - team.clock, self.env.now - begin
        team.egress = elapsed
        duty = si(plan.file["campaign"]["duty_day"]) - elapsed - 2.0 * plan.way - plan.mean_ingress
        reserve = si(plan.file["campaign"]["reserve"])
        supply = plan.primary - used - 2.0 * plan.way - plan.mean_to_safety - reserve
        stay = min(si(plan.work["hours"]), duty, supply)
        assert stay > 0.0, "this file never sends a team in at once"
        self.m["sorties_done"] += 1
        outside, after = None, []
        try:
            outside = yield from self.counted(team, stay)
            if self.env.now > team.clock_end:
                raise Missed  # no list starts after the clock's end
            after = yield from self.come_in(team)
            # Rows that put a way back at rest are crew time like its others.
            yield from self.play(after, team, self.locks["side"], "contingency")
        finally:
            self.overhead(begin, team, outside, done=True)
        if after:
            self.locks["side"].room.settle(self.env.now)
        self.env.process(self.put_at_rest())

    def counted(self, team, stay):
        """An excursion with its hours and its dust booked, also if nobody comes back."""
        plan, begin = self.plan, self.env.now
        try:
            outside = yield from self.excursion(team, stay)
        finally:
            done = min(self.env.now - begin, plan.planned)
            self.m["eva_done_h"] += done * len(team.names) / HOUR
            # Back before the work that was wanted, however long the way home then took.
            self.m["sorties_cut_short"] += team.turned_back or stay < si(plan.work["hours"])
        law, nominal = Law(plan.work["dust"]), si(plan.work["nominal_hours"])
        for suit in self.suits:
            mass = law.draw(self.rng) * done / nominal
            for i, share in enumerate(plan.body["dust_bins"]):
                suit[i] += share * mass
        return outside

    def come_in(self, team):
        """By the planned list, else by the ways back in their order. Gives rows for afterwards."""
        plan, tried = self.plan, set()
        failed = yield from self.play(plan.ingress, team, self.locks["main"], "planned")
        while failed is not None:
            assert team.place == "outside", "the only place where rows of these lists fail"
            way = next((w for w in plan.order if w not in tried), None)
            if way is None or self.env.now > team.clock_end:
                raise Missed
            tried.add(way)
            team.outcome = "haven_way_back"
            lock = self.locks[plan.port_of[way]]
            failed = yield from self.play(plan.ways[way]["rows"], team, lock, "contingency")
        return plan.ways[way].get("after_rows", []) if tried else []

    def overhead(self, begin, team, outside, done):
        elapsed = self.env.now - begin
        if outside is None:  # nobody came back from there
            outside = elapsed - team.egress
        credited = min(outside, self.plan.planned)
        self.m["overhead_h"] += (elapsed - credited) * len(team.names) / HOUR
        if done:
            self.m["door_minutes"] += (elapsed - outside) / MINUTE

    def end_badly(self, team):
        """Somebody is late or missed: the campaign ends with it."""
        if not team.safe:
            if self.env.now < team.clock_end:
                yield self.env.timeout(team.clock_end - self.env.now)
            self.m["haven_missed"] += len(team.names)
            self.book("suit", si(self.plan.suit["leak"]) * self.plan.supply * len(team.names))
        self.m["campaign_haven_missed"] = 1.0
        self.over.succeed()
        yield self.env.event()

    # Upkeep

    def mend(self, lock, mode):
        repair = self.plan.failure[mode]["repair"]
        while True:
            worker = self.worker()
            if worker is None:
                yield self.env.timeout(HOUR)
                continue
            self.held.add(worker)
            begin = self.env.now
            self.attempts.append(begin)
            try:
                yield self.env.timeout(Law(repair["takes"]).draw(self.rng))
                works = self.rng.random() < repair["success"]
            except simpy.Interrupt:
                return  # freed by hand
            finally:
                self.held.discard(worker)
                if begin in self.attempts:
                    self.attempts.remove(begin)
                    self.upkeep((self.env.now - begin) * repair["crew"])
            if works:
                break
        self.run_leaks()
        lock.stuck = lock.leaking = False  # as new
        self.env.process(self.put_at_rest())

    def worker(self):
        now = self.env.now
        for name, until in self.away_until.items():
            if until <= now and name not in self.out | self.held:
                return name
        return None

    def put_at_rest(self):
        """The list `restore`, once the hatch is mended and nobody is outside."""
        main = self.locks["main"]
        if main.stuck or self.out or main.at_rest(self.plan):
            return
        begin = self.env.now
        yield from self.play(self.plan.restore, Team([]), main, "contingency")
        self.upkeep(self.env.now - begin)

    def inspections(self):
        campaign, main = self.plan.file["campaign"], self.locks["main"]
        while True:
            yield self.env.timeout(si(campaign["inspection_every"]))
            self.upkeep(Law(campaign["inspection_hours"]).draw(self.rng))
            if main.leaking:
                self.env.process(self.mend(main, "seal-leaks"))

    def cleanings(self):
        home = self.plan.home
        while True:
            yield self.env.timeout(si(home["cleaning_every"]))
            self.upkeep(si(home["cleaning_takes"]))
            self.cabin.clean(self.env.now, home["cleaning_removes"])
            self.events.append(self.env.now)

    # All of it

    def slot(self, number, time):
        yield self.env.timeout(time)
        yield from self.sortie(number)

    def run(self):
        for number, time in enumerate(self.plan.slots):
            self.env.process(self.slot(number, time))
        self.env.process(self.inspections())
        self.env.process(self.cleanings())
        self.env.run(until=self.over | self.env.timeout(self.plan.length))
        return self.results()

    def results(self):
        end, m, plan = self.env.now, self.m, self.plan
        self.run_leaks()
        m["gas_lost_kg"] += self.leak_lost
        for begin in self.attempts:
            self.upkeep(end - begin)
        self.attempts = []
        planned = len(plan.slots)
        m["sorties_cancelled"] = planned - m["sorties_done"]
        m["eva_lost_h"] = planned * plan.work["team"] * plan.planned / HOUR - m["eva_done_h"]
        m["campaign_length_d"] = end / 86400.0
        m["haven_margin_min"] = self.margin
        self.dust(end)
        return m

    def dust(self, end):
        m = self.m
        self.cabin.run(end)
        m["dust_to_cabin_g"] = self.cabin.came * 1e3
        m["dust_in_lock_g"] = sum(lock.room.came for lock in self.locks.values()) * 1e3
        exposure = Exposure(self.cabin, end)
        m["dust_filter_load_g"] = exposure.filtered * 1e3
        most = exposure.rows[:, 1:3].sum(axis=1).max() / self.cabin.volume
        m["dust_peak_mg_m3"] = float(most) * 1e6
        average = exposure.worst_average(self.stays.values(), np.array(self.events), end)
        m["dust_average_max_mg_m3"] = average * 1e6


setattr(Campaign, "pass", Campaign.pass_)

COUNTED = (
    "gas_lost_kg gas_vented_contingency_kg air_vented_outside_kg planned_kg upkeep_h overhead_h "
    "door_minutes eva_done_h sorties_done sorties_cancelled sorties_cut_short hatch_failures "
    "seal_failures suit_failures incapacitations rescue_minutes rescues rescue_late haven_demands "
    "haven_planned haven_way_back haven_late haven_missed campaign_haven_missed"
).split()
