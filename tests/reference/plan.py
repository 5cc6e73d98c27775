"""The numbers of sortie-loop.toml and its access files, and what a lock and a team are."""

import tomllib
from pathlib import Path

from quantities import Law, si
from rooms import DIAMETERS, Room, settling_speed
from rooms import Law as RoomLaw

HOUR, MINUTE = 3600.0, 60.0
GAS = 8.314462618
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
        self.early = float("inf")  # a failure of a suit that has not come yet
        self.safe = self.late = self.turned_back = False
        self.troubles = []  # (time, name, mode), not yet come
        self.tried = set()  # ways back
        self.hurt = {}  # name -> (time, limit of treatment)

    @property
    def casualty(self):
        return bool(self.hurt)


class Missed(Exception):
    """Nobody of a team can come in any more."""
