"""Quantities with units and laws, as campaign files write them: only what sortie-loop.toml uses."""

import math
import re

UNITS = {
    "min": 60.0, "h": 3600.0, "d": 86400.0, "m": 1.0, "km": 1e3, "m3": 1.0, "Pa": 1.0,
    "kPa": 1e3, "psi": 6894.757293168, "K": 1.0, "W": 1.0, "kg": 1.0, "g": 1e-3, "kg/d": 1 / 86400,
    "g/h": 1e-3 / 3600, "kg/min": 1 / 60, "m3/h": 1 / 3600, "m3/min": 1 / 60, "km/h": 1 / 3.6,
    "m/s2": 1.0, "kg/m3": 1.0, "mg/m3": 1e-6, "/h": 1 / 3600, "kPa/min": 1e3 / 60,
}  # fmt: skip


def si(text):
    """A quantity in SI; pure numbers are written bare."""
    if isinstance(text, (int, float)):
        return float(text)
    number, unit = re.fullmatch(r"(\S+) (\S+)", text).groups()
    return float(number) * UNITS[unit]


class Law:
    """A number that may not be certain: fixed, or triangular, or triangular in its logarithm."""

    def __init__(self, spec):
        self.log = False
        if isinstance(spec, dict):
            assert set(spec) <= {"low", "mode", "high", "scale"}, spec
            self.low, self.mode, self.high = (si(spec[key]) for key in ("low", "mode", "high"))
            self.log = spec.get("scale") == "log"
        else:
            self.low = self.mode = self.high = si(spec)

    def draw(self, rng):
        if self.low == self.high:
            return self.low
        if self.log:
            logs = (math.log(x) for x in (self.low, self.high, self.mode))
            return math.exp(rng.triangular(*logs))
        return rng.triangular(self.low, self.high, self.mode)

    def mean(self):
        assert not self.log
        return (self.low + self.mode + self.high) / 3.0
