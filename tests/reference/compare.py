"""Means of a campaign by sortie_loop.py and by `vestibule run` on the same file, side by side.

Usage: compare.py CAMPAIGN.toml campaigns.csv RECORDS.json NUMBER. Each difference is allowed
4 standard errors of the difference of two independent means. For one measure that is exceeded by
chance with probability 6.3e-5; both seeds are fixed.
"""

import csv
import json
import math
import sys

import numpy as np
import simpy

from plan import Plan
from sortie_loop import Campaign

SEED = 20261125
MEANS = (
    "gas_lost_kg gas_vented_contingency_kg air_vented_outside_kg eva_done_h eva_lost_h overhead_h "
    "upkeep_h sorties_done sorties_cancelled sorties_cut_short hatch_failures seal_failures "
    "suit_failures incapacitations rescue_late haven_demands haven_planned haven_way_back "
    "haven_late haven_missed campaign_haven_missed haven_margin_min campaign_length_d "
    "dust_to_cabin_g dust_in_lock_g dust_filter_load_g dust_average_max_mg_m3 dust_peak_mg_m3"
).split()
# Ratios of sums: name here, numerator and denominator here, denominator in the file.
RATIOS = (
    ("gas_lost_per_sortie_kg", "planned_kg", "sorties_done", "sorties_done"),
    ("door_to_door_min", "door_minutes", "sorties_done", "sorties_done"),
    ("rescue_min", "rescue_minutes", "rescues", None),
)


def mean(values):
    """Mean and its standard error."""
    values = values[np.isfinite(values)]
    return values.mean(), values.std(ddof=1) / math.sqrt(len(values))


def ratio(tops, bottoms):
    """Ratio of sums and its standard error, with the campaign as the unit."""
    whole = tops.sum() / bottoms.sum()
    rest = tops - whole * bottoms
    return whole, rest.std(ddof=1) / math.sqrt(len(rest)) / bottoms.mean()


def read(path):
    """Columns of campaigns.csv; an empty cell is no number."""
    with open(path, newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    number = lambda text: float(text) if text else math.nan
    names = [name for name in rows[0] if name != "architecture" and not name.endswith("_note")]
    return {name: np.array([number(row[name]) for row in rows]) for name in names}


def record(name, theirs, ours, campaigns):
    (expected, error), (got, other) = theirs, ours
    return {
        "group": "sortie loop",
        "what": f"{name}, mean of a campaign, within 4 standard errors",
        "source": f"re-statement in SimPy {simpy.__version__}, {campaigns} campaigns",
        "expected": float(expected),
        "got": float(got),
        # 1e-9: two ways to sum what does not vary at all
        "tolerance": 4.0 * math.hypot(error, other) + 1e-9 * abs(float(expected)),
    }


def main(campaign, results, records, number):
    plan, number = Plan(campaign), int(number)
    played = [Campaign(plan, SEED * 1_000_003 + i).run() for i in range(number)]
    theirs = {name: np.array([m[name] for m in played], dtype=float) for name in played[0]}
    ours = read(results)
    found = [record(name, mean(theirs[name]), mean(ours[name]), number) for name in MEANS]
    for name, top, bottom, divisor in RATIOS:
        if divisor is None:
            # A ratio of rare things: rescues of a campaign are its incapacitations less those
            # never safe, so the mean is taken per campaign with any.
            with np.errstate(invalid="ignore"):
                per_campaign = theirs[top] / theirs[bottom]
            found.append(record(name, mean(per_campaign), mean(ours[name]), number))
            continue
        tops = np.where(ours[divisor] > 0.0, ours[name] * ours[divisor], 0.0)
        here = ratio(theirs[top], theirs[bottom])
        found.append(record(name, here, ratio(tops, ours[divisor]), number))
    with open(records, "w", encoding="utf-8") as file:
        json.dump(found, file, indent=1)


if __name__ == "__main__":
    main(*sys.argv[1:])
