"""Dust of one volume, after the formulas of the dust literature, and what people in it breathe.

Two fine bins float and settle; what falls stays on the floor and goes back slowly. Between two
changes the state is y(t) = exp(M t) y(0), by Sylvester's formula.
"""

import math

import numpy as np

DIAMETERS = (1.2e-6, 5.0e-6)  # one that stands for each fine bin
DAY = 86400.0


def settling_speed(diameter, density, shape, gravity, kelvin, pressure):
    """Stokes' law with slip correction (Davies' constants), viscosity by Sutherland's law."""
    mu = 1.716e-5 * (kelvin / 273.15) ** 1.5 * (273.15 + 110.4) / (kelvin + 110.4)
    path = 66.4e-9 * (kelvin / 293.15) * (101325.0 / pressure)
    path *= (1.0 + 110.4 / 293.15) / (1.0 + 110.4 / kelvin)
    knudsen = 2.0 * path / diameter
    slip = 1.0 + knudsen * (1.257 + 0.400 * math.exp(-1.10 / knudsen))
    return density * diameter**2 * gravity * slip / (18.0 * mu * shape)


class Law:
    """exp(M t) of one bin: f taken by a filter, d settling, r going back; 1/s."""

    def __init__(self, f, d, r):
        self.f = f
        a, b, p, q = -(f + d), r, d, -r
        root = math.sqrt(((a - q) / 2.0) ** 2 + b * p)
        self.l1, self.l2 = (a + q) / 2.0 + root, (a + q) / 2.0 - root
        gap = self.l1 - self.l2
        self.a1, self.a2 = (a - self.l2) / gap, (self.l1 - a) / gap
        self.q1, self.q2 = (q - self.l2) / gap, (self.l1 - q) / gap
        self.b, self.p = b / gap, p / gap

    def after(self, air, floor, dt):
        e1, e2 = math.exp(self.l1 * dt), math.exp(self.l2 * dt)
        new_air = (self.a1 * e1 + self.a2 * e2) * air + self.b * (e1 - e2) * floor
        new_floor = self.p * (e1 - e2) * air + (self.q1 * e1 + self.q2 * e2) * floor
        return new_air, new_floor

    def breathed(self, air, floor, dt):
        """Integral of the airborne mass; numbers or arrays. A slow root of 0 grows like t."""
        w1 = np.expm1(self.l1 * dt) / self.l1 if self.l1 != 0.0 else dt
        w2 = np.expm1(self.l2 * dt) / self.l2
        return (self.a1 * w1 + self.a2 * w2) * air + self.b * (w1 - w2) * floor


class Room:
    """One volume with air. `vacuum` holds everything where it is."""

    def __init__(self, volume, laws, vacuum=False):
        self.volume, self.laws, self.vacuum = volume, laws, vacuum
        self.air, self.floor = [0.0, 0.0], [0.0, 0.0]
        self.coarse = 0.0  # on the floor
        self.time = 0.0
        self.history = []  # (time, air, air, floor, floor) after each change
        self.came = 0.0  # dust that came in, kg

    def run(self, now):
        """To the present time."""
        dt, self.time = now - self.time, now
        if dt > 0.0 and not self.vacuum:
            for i, law in enumerate(self.laws):
                self.air[i], self.floor[i] = law.after(self.air[i], self.floor[i], dt)

    def note(self):
        self.history.append((self.time, *self.air, *self.floor))

    def arrive(self, now, mass, airborne):
        """Dust by bin comes in: part of the fine bins to the air, the rest to the floor."""
        self.run(now)
        for i in range(2):
            self.air[i] += airborne * mass[i]
            self.floor[i] += (1.0 - airborne) * mass[i]
        self.coarse += mass[2] + mass[3]
        self.came += sum(mass)
        self.note()

    def clean(self, now, share):
        self.run(now)
        self.floor = [x * (1.0 - share) for x in self.floor]
        self.coarse *= 1.0 - share
        self.note()

    def evacuate(self, now, kept):
        """The gas goes, but for a share, and takes its dust along."""
        self.run(now)
        self.air = [x * kept for x in self.air]

    def settle(self, now):
        """Vacuum: what floated lies on the floor."""
        self.run(now)
        self.floor = [a + f for a, f in zip(self.air, self.floor)]
        self.air, self.vacuum = [0.0, 0.0], True

    def fill(self, now):
        self.run(now)
        self.vacuum = False


def cross(now, inner, outer, share):
    """Air of two rooms at equal pressure mixes through an opening."""
    inner.run(now)
    outer.run(now)
    for i in range(2):
        go, come = share * inner.air[i], share * outer.air[i]
        inner.air[i] += come - go
        outer.air[i] += go - come
        inner.came += come
        outer.came += go
    inner.note()
    outer.note()


def track(now, inner, outer, share):
    """Feet carry part of the outer floor in."""
    inner.run(now)
    outer.run(now)
    for i in range(2):
        moved = share * outer.floor[i]
        outer.floor[i] -= moved
        inner.floor[i] += moved
        inner.came += moved
    moved = share * outer.coarse
    outer.coarse -= moved
    inner.coarse += moved
    inner.came += moved
    inner.note()


class Exposure:
    """Integral of the concentration of one room over time, at any times."""

    def __init__(self, room, end):
        self.room = room
        rows = [(0.0, 0.0, 0.0, 0.0, 0.0)] + [row for row in room.history if row[0] <= end]
        self.rows = np.array(rows)
        times = self.rows[:, 0]
        spans = np.diff(times, append=end)
        self.total = np.concatenate([[0.0], np.cumsum(self.parts(self.rows, spans).sum(axis=0))])
        self.filtered = float((self.parts(self.rows, spans).sum(axis=1)
                               * [law.f for law in room.laws]).sum())  # fmt: skip

    def parts(self, rows, dt):
        laws = self.room.laws
        return np.array([laws[i].breathed(rows[:, 1 + i], rows[:, 3 + i], dt) for i in range(2)])

    def at(self, times):
        k = np.searchsorted(self.rows[:, 0], times, side="right") - 1
        rows = self.rows[k]
        inside = self.parts(rows, times - rows[:, 0]).sum(axis=0)
        return (self.total[k] + inside) / self.room.volume

    def of_person(self, stays, times):
        """The same for somebody who was there during `stays` (pairs of times, in order)."""
        begins, ends = (np.array(side) for side in zip(*stays))
        whole = self.at(ends) - self.at(begins)
        before = np.concatenate([[0.0], np.cumsum(whole)])
        k = np.searchsorted(begins, times, side="right") - 1
        known = np.maximum(k, 0)
        part = self.at(np.clip(times, begins[known], ends[known])) - self.at(begins[known])
        return np.where(k >= 0, before[known] + part, 0.0)

    def worst_average(self, people, events, end):
        """Highest 24-hour average: ends of windows are events, a day after each, and the end."""
        times = np.unique(np.concatenate([events, np.array(events) + DAY, [end]]))
        times = times[times <= end]
        worst = 0.0
        for stays in people:
            now = self.of_person(stays, times)
            earlier = self.of_person(stays, np.maximum(times - DAY, 0.0))
            worst = max(worst, float((now - earlier).max()) / DAY)
        return worst
