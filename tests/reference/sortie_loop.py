"""The sortie loop of sortie-loop.toml, re-stated in SimPy from the written rules of play.

It was written from the rules alone and not from the program, so that a misreading on either side
shows. It covers what that one file uses: a lock, a second lock as the way back, hatches that
stick, seals that leak, early returns, people who get hurt, dust. Where the rules leave a choice
and the first comparison showed the program's, that choice was taken over: a leak check done once
for the team can alarm for every suit; a hatch that is freed can stick again in the same try; a
passage of the team moves air and dust once per person; rows that put a way back at rest are crew
time; who arrives late finishes the list, and the campaign ends with it; a suit that fails on the way in,
while nobody is safe, has failed. By the rules, and first missing here: who is hurt while the lock
fills is safe with it; a way that on the mean comes too late is left for the last; after the last way
a repair is waited for; a row is not tried again where the next way would then not fit any more.
"""

import math
import random

import numpy as np
import simpy

from plan import HOUR, MINUTE, Lock, Missed, Team
from quantities import Law, si
from rooms import Exposure, Room
from rows import KILOPASCAL, Rows

COUNTED = (
    "gas_lost_kg gas_vented_contingency_kg air_vented_outside_kg planned_kg upkeep_h overhead_h "
    "door_minutes eva_done_h sorties_done sorties_cancelled sorties_cut_short hatch_failures "
    "seal_failures suit_failures incapacitations rescue_minutes rescues rescue_late haven_demands "
    "haven_planned haven_way_back haven_late haven_missed campaign_haven_missed"
).split()


class Campaign(Rows):
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

    # People

    def look_after(self, team, filled=False):
        """Those who were hurt by now are casualties from here on."""
        for trouble in [t for t in team.troubles if t[0] <= self.env.now]:
            self.strike(team, trouble, filled)

    def strike(self, team, trouble, filled=False):
        team.troubles = [t for t in team.troubles if t[1] != trouble[1]]
        if team.safe:
            return
        time, name, mode = trouble
        failure = self.plan.failure[mode]
        team.hurt[name] = (time, Law(failure["treatment"]).draw(self.rng))
        self.m["incapacitations"] += 1
        self.away_until[name] = time + Law(failure["off_duty"]).draw(self.rng)
        # Nobody can do the next row; but where the lock is full by now they are safe (rules 16, 19).
        if len(team.hurt) == len(team.names) and not filled:
            raise Missed

    def reach(self, team):
        """Safe: the demands close."""
        now = self.env.now
        team.safe = True
        # A suit that fails on the way in, while nobody is safe yet, has failed all the same.
        self.m["suit_failures"] += team.early <= now
        late = now > team.clock_end
        outcome = "haven_late" if late else team.outcome
        self.m[outcome] += len(team.names)
        if team.outcome == "haven_planned":
            self.margin = min(self.margin, (team.clock_end - now) / MINUTE)
        for begin, _ in team.hurt.values():
            self.m["rescue_minutes"] += (now - begin) / MINUTE
            self.m["rescues"] += 1
        self.book("suit", si(self.plan.suit["leak"]) * (now - team.clock) * len(team.names))
        team.late = late  # the list under way is finished all the same

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
        gone = event - begin
        team.turned_back = gone < whole - plan.way  # on the way home nothing is cut short
        left = plan.speed * min(gone, plan.way, whole - gone)
        self.m["suit_failures"] += event == early
        counted = event == early
        team.early = math.inf if counted else early
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
                counted, team.early = True, math.inf
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
        if team.late:
            raise Missed
        self.env.process(self.put_at_rest())

    def counted(self, team, stay):
        """An excursion with its hours and its dust booked, also if nobody comes back."""
        plan, begin = self.plan, self.env.now
        try:
            outside = yield from self.excursion(team, stay)
        finally:
            done = min(self.env.now - begin, plan.planned)
            self.m["eva_done_h"] += done * len(team.names) / HOUR
            # Called back by an event, however long the way home then took.
            self.m["sorties_cut_short"] += team.turned_back
        law, nominal = Law(plan.work["dust"]), si(plan.work["nominal_hours"])
        for suit in self.suits:
            mass = law.draw(self.rng) * done / nominal
            for i, share in enumerate(plan.body["dust_bins"]):
                suit[i] += share * mass
        return outside

    def come_in(self, team):
        """By the planned list, else by the ways back in their order. Gives rows for afterwards."""
        plan, main, tried, after = self.plan, self.locks["main"], set(), []
        failed = yield from self.play(plan.ingress, team, main, "planned")
        while failed is not None:
            assert team.place == "outside", "the only place where rows of these lists fail"
            if self.env.now > team.clock_end:
                raise Missed
            way = self.next_way(team, tried)
            if way is None:
                # After the last way comes a repair from inside (rule 22): then in as planned.
                yield from self.wait_for_repair(team)
                team.outcome, after = "haven_planned", []
                failed = yield from self.play(plan.ingress, team, main, "planned")
                continue
            tried.add(way)
            team.tried = tried
            team.outcome, after = "haven_way_back", plan.ways[way].get("after_rows", [])
            lock = self.locks[plan.port_of[way]]
            failed = yield from self.play(plan.ways[way]["rows"], team, lock, "contingency")
        return after

    def next_way(self, team, tried):
        """The first way not tried that is on the mean in time; else the quickest: late is better
        than not reached (rule 22)."""
        left = [way for way in self.plan.order if way not in tried]
        mean = {way: self.mean_to_safety(way, team) for way in left}
        fits = [way for way in left if mean[way] < team.clock_end - self.env.now]
        return fits[0] if fits else min(left, key=mean.get, default=None)

    def last_moment(self, row, team, outward):
        """Another try would leave nothing in time of the ways that are in time now (rule 22)."""
        if outward or team.clock is None or team.safe:
            return False
        left = team.clock_end - self.env.now
        ways = [self.mean_to_safety(way, team) for way in self.plan.order if way not in team.tried]
        again = Law(row["takes"]).mean() if "takes" in row else 0.0
        fits = [mean for mean in ways if mean < left]
        return bool(fits) and not any(mean < left - again for mean in fits)

    def mean_to_safety(self, way, team):
        """Mean time of the rows of a way up to the filled lock."""
        total = 0.0
        for row in self.plan.ways[way]["rows"]:
            hurt = team.casualty and row.get("incapacitated")
            total += Law(hurt["takes"] if hurt else row["takes"]).mean()
            if row["action"] == "repress":
                return total
        raise AssertionError("every way of this file fills a lock")

    def wait_for_repair(self, team):
        """Until the hatch that keeps them out is mended; missed if nobody mends it in time."""
        main, left = self.locks["main"], team.clock_end - self.env.now
        if not main.stuck or self.repair is None or not self.repair.is_alive:
            raise Missed
        yield self.repair | self.env.timeout(left)
        if main.stuck:
            raise Missed

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
