"""What each row of a list does, by the written rules of play: time, chances, gas, dust, places."""

import math

from quantities import Law, si
from rooms import cross, track

KILOPASCAL = 1e3


class Rows:
    """The rows of a campaign; its state is set up in sortie_loop.py."""

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
                if done or self.last_moment(row, team, outward):
                    break
            if not done and row.get("if_fails") != "go on":
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
            lock.open[which] = True  # air crosses at each passage and at closing
            return True
        if lock.stuck:
            if self.rng.random() >= row.get("frees", 0.0):
                return False
            self.unstick(lock)
        # A hatch that was freed has still to open: the movement is asked like any other.
        if lock.name == "main" and self.chance("hatch-stuck-shut"):
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
        limit = si(self.plan.file["campaign"]["pressure_rate"])
        rise = (self.plan.pressure - lock.pressure) / limit
        if rise > 0.0:
            yield self.env.timeout(max(self.time_of(row, team), rise))
            self.run_leaks()
            lock.pressure = self.plan.pressure
            lock.room.fill(self.env.now)
        if team.place == lock.name and team.clock is not None and not team.safe:
            self.look_after(team, filled=True)
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
            # Who came in after their life support had ended is treated no more.
            self.m["rescue_late"] += not team.late and self.env.now - begin > limit
        return True


setattr(Rows, "pass", Rows.pass_)
