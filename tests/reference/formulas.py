"""Answers the questions of cases.rs with general-purpose libraries: CoolProp, scipy, numpy.

Usage: formulas.py ASKED.json ANSWERED.json. Each question names a function of this file; it gives
the expected value, its source and the largest difference allowed, with the reason beside it. No
formula of the program is repeated here where a library has the law or the differential equation.
"""

import functools
import json
import math
import sys

import CoolProp
import numpy as np
import scipy
from CoolProp.CoolProp import PropsSI
from scipy import constants, integrate, stats
from scipy.stats import qmc

COOLPROP = f"CoolProp {CoolProp.__version__}"
SCIPY = f"scipy {scipy.__version__}"
NUMPY = f"numpy {np.__version__}"
SAME = 1e-9  # two ways to one formula in double precision; worst seen 6e-11
GROUPS = {}


def answers(group, source):
    """Registers a function that gives (expected, relative tolerance)."""

    def register(function):
        GROUPS[function.__name__] = (group, source, function)
        return function

    return register


# Gas -------------------------------------------------------------------------------------------


@answers("gas density", f"{COOLPROP}, mixture of real O2 and N2")
def density(_, pressure, oxygen, kelvin):
    """The ideal gas misses by B p/(R T), B second virial coefficient: about -5 cm3/mol for N2 and
    -16 for O2 at 290 K (-22 at 273 K). Allowed: 22 cm3/mol with the O2 share and 6 with the rest,
    and 3e-5 for the two tables of atomic weights."""
    fluids = [("Oxygen", oxygen), ("Nitrogen", 1.0 - oxygen)]
    name = "&".join(f"{fluid}[{share:.12g}]" for fluid, share in fluids if share > 0.0)
    expected = PropsSI("D", "T", kelvin, "P", pressure, f"HEOS::{name}")
    virial = (22.0 * oxygen + 6.0 * (1.0 - oxygen)) * 1e-6
    return expected, virial * pressure / (constants.R * kelvin) + 3e-5


@answers("air and water", f"{COOLPROP}, air at 1 atm")
def viscosity(_, kelvin):
    """Sutherland's law is good to 2 % from 200 to 400 K (common practice)."""
    return PropsSI("V", "T", kelvin, "P", 101325.0, "Air"), 0.02


@answers("air and water", f"viscosity of {COOLPROP} in mu/P sqrt(pi R T/(2 M))")
def free_path(_, kelvin, pressure):
    """Handbooks differ by 1 or 2 % in the constant of the kinetic theory (0.491 or 0.499)."""
    mu = PropsSI("V", "T", kelvin, "P", pressure, "Air")
    mass = PropsSI("M", "Air")
    return mu / pressure * math.sqrt(math.pi * constants.R * kelvin / (2.0 * mass)), 0.03


@answers("air and water", COOLPROP)
def vaporisation(_, kelvin):
    """Given as 2.5 MJ/kg: two digits and a half."""
    steam, water = (PropsSI("H", "T", kelvin, "Q", q, "Water") for q in (1, 0))
    return steam - water, 2e-3


@answers("constants and units", f"{SCIPY} constants")
def gas_constant(_):
    """Exact since 2019; written to ten digits."""
    return constants.R, 1e-10


@answers("constants and units", f"{SCIPY} constants")
def unit(words, number):
    """mmHg and torr differ by 1.4e-7; calorie and Btu are those of the steam tables."""
    (name,) = words
    if name in ("degF", "degC"):
        scale = {"degF": "Fahrenheit", "degC": "Celsius"}[name]
        return float(constants.convert_temperature(number, scale, "Kelvin")), 1e-12
    factor = {
        "psi": constants.psi,
        "mmHg": constants.torr,
        "atm": constants.atm,
        "bar": constants.bar,
        "lbm": constants.lb,
        "ft3": constants.foot**3,
        "in": constants.inch,
        "ft": constants.foot,
        "btu/h": constants.Btu_IT / constants.hour,
        "kcal/h": 1000.0 * constants.calorie_IT / constants.hour,
        "d": constants.day,
    }[name]
    return number * factor, 2e-7 if name == "mmHg" else 1e-12


# Laws ------------------------------------------------------------------------------------------


def frozen(name, numbers):
    """(scipy law, map applied to its values)."""
    same = lambda x: x
    if name in ("triangular", "log_triangular"):
        log = name == "log_triangular"
        low, mode, high = np.log(numbers) if log else numbers
        law = stats.triang((mode - low) / (high - low), loc=low, scale=high - low)
        return law, math.exp if log else same
    if name == "uniform":
        low, high = numbers
        return stats.uniform(low, high - low), same
    if name == "log_uniform":
        return stats.loguniform(*numbers), same
    if name == "cut_normal":
        return stats.norm(*numbers), lambda x: max(x, 0.0)
    if name == "lognormal":
        median, factor = numbers
        return stats.lognorm(math.log(factor) / stats.norm.ppf(0.95), scale=median), same
    if name == "weibull":
        life, shape = numbers
        return stats.weibull_min(shape, scale=life), same
    if name == "exponential":
        return stats.expon(scale=1.0 / numbers[0]), same
    if name == "jeffreys_beta":
        failures, demands = numbers
        return stats.beta(failures + 0.5, demands - failures + 0.5), same
    if name == "jeffreys_gamma":
        events, exposure = numbers
        return stats.gamma(events + 0.5, scale=1.0 / exposure), same
    raise KeyError(name)


@answers("laws: quantile", f"{SCIPY} stats")
def quantile(words, *numbers):
    law, shape = frozen(words[0], numbers[:-1])
    return shape(float(law.ppf(numbers[-1]))), SAME


@answers("laws: mean", f"{SCIPY} integrate, value times density")
def mean(words, *numbers):
    """By quadrature of value times density, in pieces so that no kink lies inside one."""
    law, shape = frozen(words[0], numbers)
    # Far tails hold less than 1e-14 of the mean of any of these laws.
    places = sorted({float(law.ppf(q)) for q in (1e-18, 1e-9, 1e-3, 0.1, 0.5, 0.9, 0.999)})
    far = float(law.isf(1e-18))
    places += [float(law.isf(1e-6)), float(law.isf(1e-11)), far]
    low, high = law.support()
    places = [p for p in places if math.isfinite(p)] + [e for e in (low, high) if math.isfinite(e)]
    if words[0].endswith("triangular"):
        places.append(float(np.log(numbers[1])) if words[0].startswith("log") else numbers[1])
    if words[0] == "cut_normal":
        places.append(0.0)
    places = sorted(set(places))
    if words[0] in ("jeffreys_beta", "jeffreys_gamma", "weibull"):
        # The density may be infinite at 0; in y = sqrt(x) or a higher root it is not.
        value = lambda y: y**4 * law.pdf(y**4) * 4.0 * y**3 if y > 0.0 else 0.0
        places = [p**0.25 for p in places]
    else:
        value = lambda x: shape(x) * law.pdf(x)
    pieces = zip(places, places[1:])
    parts = [integrate.quad(value, a, b, epsabs=0.0, epsrel=1e-11, limit=200) for a, b in pieces]
    return math.fsum(part[0] for part in parts), SAME


@answers("laws: quantile", f"{SCIPY} stats")
def normal_below(_, z):
    return float(stats.norm.cdf(z)), SAME


# Intervals -------------------------------------------------------------------------------------


ROOT = 4e-12  # scipy finds exact limits by a root finder that stops at 2e-12


def share_interval(seen, n, method):
    return stats.binomtest(int(seen), int(n)).proportion_ci(0.95, method=method)


@answers("intervals", f"{SCIPY} binomtest, exact")
def exact_low(_, seen, n):
    return share_interval(seen, n, "exact").low, SAME, ROOT


@answers("intervals", f"{SCIPY} binomtest, exact")
def exact_high(_, seen, n):
    return share_interval(seen, n, "exact").high, SAME, ROOT


@answers("intervals", f"{SCIPY} binomtest, wilson")
def wilson_low(_, seen, n):
    return share_interval(seen, n, "wilson").low, SAME


@answers("intervals", f"{SCIPY} binomtest, wilson")
def wilson_high(_, seen, n):
    return share_interval(seen, n, "wilson").high, SAME


@answers("intervals", f"{SCIPY} stats.beta")
def beta_lower(_, a, b, p):
    return float(stats.beta.ppf(p, a, b)), SAME


@answers("intervals", f"{SCIPY} stats.beta")
def beta_upper(_, a, b, p):
    return float(stats.beta.isf(p, a, b)), SAME


@answers("intervals", f"{SCIPY} stats.t")
def student(_, freedom):
    return float(stats.t.isf(0.025, freedom)), SAME


@answers("intervals", f"{SCIPY} stats.chi2")
def poisson_low(_, seen):
    return (float(stats.chi2.ppf(0.025, 2.0 * seen)) / 2.0 if seen else 0.0), SAME


@answers("intervals", f"{SCIPY} stats.chi2")
def poisson_high(_, seen):
    return float(stats.chi2.isf(0.025, 2.0 * seen + 2.0)) / 2.0, SAME


@answers("intervals", f"{SCIPY} stats.binom")
def binomial(_, n, q, k):
    return float(stats.binom.cdf(k, n, q)), SAME


@answers("intervals", f"{SCIPY} stats.binom")
def binomial_rank(_, n, q, _k):
    return float(stats.binom.ppf(0.975, n, q)), 0.0


# Differential equations ------------------------------------------------------------------------

ODE = f"{SCIPY} solve_ivp, DOP853 or LSODA at rtol 1e-12"
SOLVED = 1e-8  # what the solver's error can add up to


def solve(rate, start, span, method="DOP853", event=None):
    scale = max(abs(x) for x in start)
    found = integrate.solve_ivp(
        rate, (0.0, span), start, method=method, rtol=1e-12, atol=1e-14 * scale, events=event
    )
    assert found.success, found.message
    return found


def time_to(rate, start, level, span):
    """When the first component falls to a level."""

    def event(_, y):
        return y[0] - level

    event.terminal = True
    found = solve(rate, [start], span, event=event)
    return float(found.t_events[0][0])


@answers("pump-down", ODE)
def pump_down(_, volume, speed, conductance, neighbour, start, end):
    rate = lambda _, p: [(-speed * p[0] + conductance * (neighbour - p[0])) / volume]
    return time_to(rate, start, end, 1e5), SOLVED


def relaxing(volume, k1, p1, k2, p2, start, span):
    """Pressure between two leaks, and what went out through the second."""
    rate = lambda _, y: [
        (k1 * (p1 - y[0]) + k2 * (p2 - y[0])) / volume,
        k2 * (y[0] - p2),
    ]
    return solve(rate, [start, 0.0], span).y[:, -1]


@answers("leaks", ODE)
def relax_pressure(_, *numbers):
    return float(relaxing(*numbers)[0]), SOLVED


@answers("leaks", ODE)
def relax_loss(_, *numbers):
    return float(relaxing(*numbers)[1]), SOLVED


@answers("venting", f"{ODE}, nozzle flow with gamma = 1.4")
def vent(_, volume, diameter, discharge, start, end, ambient, oxygen, kelvin):
    """Mass balance of an isothermal volume with isentropic flow in the valve, in general gamma:
    the flow at the throat pressure, which is ambient or, when choked, the critical one."""
    g = 1.4
    special_r = constants.R / (oxygen * 31.998e-3 + (1.0 - oxygen) * 28.0134e-3)
    area = discharge * math.pi * diameter**2 / 4.0
    critical = (2.0 / (g + 1.0)) ** (g / (g - 1.0))

    def rate(_, y):
        p = y[0]
        throat = max(ambient / p, critical)
        head = throat ** (2.0 / g) - throat ** ((g + 1.0) / g)
        flux = p * math.sqrt(2.0 * g / ((g - 1.0) * special_r * kelvin) * max(head, 0.0))
        return [-area * flux * special_r * kelvin / volume]

    # In two runs where the flow stops choking, so that no step meets the kink.
    turn = min(max(ambient / critical, end), start)
    first = time_to(rate, start, turn, 1e5) if turn < start else 0.0
    second = time_to(rate, turn, end, 1e5) if end < turn else 0.0
    return first + second, 1e-7


def room(filter_, deposit, resuspend, clean, air, floor, span):
    """Air, surfaces, integral of air. Stiff over a month, hence LSODA there."""
    rate = lambda _, y: [
        -(filter_ + deposit) * y[0] + resuspend * y[1],
        deposit * y[0] - (resuspend + clean) * y[1],
        y[0],
    ]
    method = "LSODA" if span > 1e5 else "DOP853"
    scale = air + floor
    found = integrate.solve_ivp(
        rate, (0.0, span), [air, floor, 0.0], method=method, rtol=1e-12, atol=1e-18 * scale
    )
    assert found.success, found.message
    return found.y[:, -1]


# Over a month some stocks fall by tens of powers of ten; below 1e-15 of the dust only an absolute
# difference means something.
LEAST = 1e-15


@answers("dust in a room", ODE)
def room_air(_, *numbers):
    return float(room(*numbers)[0]), 1e-7, LEAST * (numbers[4] + numbers[5])


@answers("dust in a room", ODE)
def room_floor(_, *numbers):
    return float(room(*numbers)[1]), 1e-7, LEAST * (numbers[4] + numbers[5])


@answers("dust in a room", ODE)
def room_breathed(_, *numbers):
    return float(room(*numbers)[2]), 1e-7, 0.0


@answers("dust in a room", f"{SCIPY} integrate.quad")
def puff(_, mass, volume, rate, begin, end):
    value = lambda t: mass / volume * math.exp(-rate * t)
    return integrate.quad(value, begin, end, epsabs=0.0, epsrel=1e-12, limit=500)[0], SAME


@answers("prebreathe", ODE)
def tissue(_, start, breathed, span, half):
    rate = lambda _, y: [math.log(2.0) / half * (breathed - y[0])]
    return float(solve(rate, [start], span).y[0, -1]), SOLVED


@answers("prebreathe", ODE)
def tissue_time(_, start, breathed, target, half):
    rate = lambda _, y: [math.log(2.0) / half * (breathed - y[0])]
    return time_to(rate, start, target, 1e6), SOLVED


# Luck ------------------------------------------------------------------------------------------


def fnv1a64(text):
    """Fowler, Noll and Vo's hash, written out: no library here has it."""
    value = 0xCBF29CE484222325
    for byte in text.encode():
        value = (value ^ byte) * 0x100000001B3 % 2**64
    return value


@answers("random numbers", f"{NUMPY} random.Philox")
def random_numbers(words, index):
    """numpy steps its 256-bit counter once before the first block. Equal to the last bit: a
    uniform number is the middle of one of 2^52 cells, and half a cell is allowed."""
    seed, campaign, path, occasion, purpose = map(int, words)
    scheme = fnv1a64("philox4x64-10 campaign path occasion purpose/1")
    block, place = divmod(int(index), 4)
    counter = [campaign, path, occasion, purpose << 32 | block]
    whole = (sum(word << 64 * i for i, word in enumerate(counter)) - 1) % 2**256
    counter = [whole >> 64 * i & 2**64 - 1 for i in range(4)]
    key = seed | scheme << 64
    generator = np.random.Philox(counter=np.array(counter, dtype=np.uint64), key=key)
    word = int(generator.random_raw(4)[place])
    return ((word >> 12) + 0.5) * 2.0**-52, 0.0, 2.0**-53


# Designs of sweeps --------------------------------------------------------------------------


@functools.lru_cache
def sobol_points(factors, points):
    return qmc.Sobol(factors, scramble=False).random(points)


@answers("designs", f"{SCIPY} qmc.Sobol, not scrambled")
def sobol(_, factors, point, factor):
    """Both take Joe and Kuo's directions: equal to the last bit."""
    return float(sobol_points(int(factors), int(point) + 1)[int(point), int(factor)]), 0.0


def fill(make):
    """Mean of scipy's squared centred discrepancy over 100 designs of scipy's, and 4 standard
    deviations of it: a fixed design of ours fails by chance about once in ten thousand seeds."""
    found = [qmc.discrepancy(make(seed)) for seed in range(100)]
    return float(np.mean(found)), 0.0, 4.0 * float(np.std(found, ddof=1))


@answers("designs", f"{SCIPY} qmc.Sobol, scrambled, and qmc.discrepancy")
def sobol_discrepancy(_, factors, points):
    return fill(lambda seed: qmc.Sobol(int(factors), rng=seed).random(int(points)))


@answers("designs", f"{SCIPY} qmc.LatinHypercube and qmc.discrepancy")
def hypercube_discrepancy(_, factors, points):
    return fill(lambda seed: qmc.LatinHypercube(int(factors), rng=seed).random(int(points)))


def record(case):
    """The record of one case; a third value of an answer is an absolute allowance on top."""
    group, source, function = GROUPS[case["kind"]]
    expected, relative, *absolute = function(case["words"], *case["numbers"])
    what = case["what"]
    if group == "gas density":
        what += f" (miss of the ideal gas {case['got'] / expected - 1.0:+.3%})"
    return {
        "group": group,
        "what": what,
        "source": source,
        "expected": expected,
        "got": case["got"],
        "tolerance": relative * abs(expected) + sum(absolute),
    }


def main(asked, answered):
    with open(asked, encoding="utf-8") as file:
        cases = json.load(file)
    with open(answered, "w", encoding="utf-8") as file:
        json.dump([record(case) for case in cases], file, indent=1)


if __name__ == "__main__":
    main(*sys.argv[1:])
