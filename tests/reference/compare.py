"""Means and spreads of a campaign by a re-statement and by `vestibule run` on the same file, side by side.

Usage: compare.py locks|ports CAMPAIGN.toml campaigns.csv RECORDS.json NUMBER. Each difference is allowed 4 standard
errors of the difference of two independent numbers. For one of them that is exceeded by chance with probability
6.3e-5; both seeds are fixed. A spread is the standard deviation from campaign to campaign; its error follows from
the fourth moment.
"""

import csv
import json
import math
import sys

import numpy as np
import simpy

import port_loop
import sortie_loop
from plan import Plan

SEED = 20261125
# What is compared by its mean; those behind the bar by their spread too.
LOCKS = (
    "gas_lost_kg gas_vented_contingency_kg air_vented_outside_kg eva_done_h eva_lost_h overhead_h upkeep_h "
    "sorties_done sorties_cancelled sorties_cut_short hatch_failures seal_failures suit_failures incapacitations "
    "rescue_late haven_demands haven_planned haven_way_back haven_late haven_missed campaign_haven_missed "
    "haven_margin_min campaign_length_d dust_to_cabin_g dust_in_lock_g dust_filter_load_g dust_average_max_mg_m3 "
    "dust_peak_mg_m3"
).split()
PORTS = (
    "gas_lost_kg oxygen_used_kg nitrogen_used_kg water_used_kg eva_done_h eva_lost_h overhead_h upkeep_h sorties_done "
    "sorties_cancelled sorties_cut_short suit_failures haven_demands haven_planned haven_margin_min "
    "prebreathe_ratio_max"
).split()
# Flags and near-certain counts have the spread that their mean says.
NO_SPREAD = {"campaign_haven_missed", "haven_late", "haven_missed"}
# Ratios of sums: name here, numerator and denominator here, denominator in the file.
PER_SORTIE = (
    ("gas_lost_per_sortie_kg", "planned_kg", "sorties_done", "sorties_done"),
    ("door_to_door_min", "door_minutes", "sorties_done", "sorties_done"),
)
RESCUES = (("rescue_min", "rescue_minutes", "rescues", None),)
CASES = {
    "locks": ("sortie loop", Plan, sortie_loop.Campaign, LOCKS, PER_SORTIE + RESCUES),
    "ports": ("ports, rover, prebreathe", port_loop.PortPlan, port_loop.Campaign, PORTS, PER_SORTIE),
}


def mean(values):
    """Mean and its standard error."""
    values = values[np.isfinite(values)]
    return values.mean(), values.std(ddof=1) / math.sqrt(len(values))


def spread(values):
    """Standard deviation and its standard error."""
    values = values[np.isfinite(values)]
    sd = values.std(ddof=1)
    fourth = ((values - values.mean()) ** 4).mean()
    error = math.sqrt(max(fourth - sd**4, 0.0) / len(values)) / (2.0 * sd) if sd > 0.0 else 0.0
    return sd, error


def ratio(tops, bottoms):
    """Ratio of sums and its standard error, with the campaign as the unit."""
    whole = tops.sum() / bottoms.sum()
    rest = tops - whole * bottoms
    return whole, rest.std(ddof=1) / math.sqrt(len(rest)) / bottoms.mean()


def read(path):
    """Columns of campaigns.csv; an empty cell is no number."""
    with open(path, newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))

    def number(text):
        try:
            return float(text)
        except ValueError:
            return math.nan

    names = [name for name in rows[0] if name != "architecture"]
    return {name: np.array([number(row[name]) for row in rows]) for name in names}


def record(group, name, what, theirs, ours, campaigns):
    (expected, error), (got, other) = theirs, ours
    return {
        "group": group,
        "what": f"{name}, {what} of a campaign, within 4 standard errors",
        "source": f"re-statement in SimPy {simpy.__version__}, {campaigns} campaigns",
        "expected": float(expected),
        "got": float(got),
        # 1e-9: two ways to sum what does not vary at all
        "tolerance": 4.0 * math.hypot(error, other) + 1e-9 * abs(float(expected)),
    }


def main(case, campaign, results, records, number):
    group, plan_of, play, means, ratios = CASES[case]
    plan, number = plan_of(campaign), int(number)
    played = [play(plan, SEED * 1_000_003 + i).run() for i in range(number)]
    theirs = {name: np.array([m[name] for m in played], dtype=float) for name in played[0]}
    ours = read(results)
    found = [record(group, n, "mean", mean(theirs[n]), mean(ours[n]), number) for n in means]
    spreads = [n for n in means if n not in NO_SPREAD]
    found += [record(group, n, "spread", spread(theirs[n]), spread(ours[n]), number) for n in spreads]
    for name, top, bottom, divisor in ratios:
        if divisor is None:
            # A ratio of rare things: rescues of a campaign are its incapacitations less those
            # never safe, so the mean is taken per campaign with any.
            with np.errstate(invalid="ignore"):
                per_campaign = theirs[top] / theirs[bottom]
            found.append(record(group, name, "mean", mean(per_campaign), mean(ours[name]), number))
            continue
        tops = np.where(ours[divisor] > 0.0, ours[name] * ours[divisor], 0.0)
        here = ratio(theirs[top], theirs[bottom])
        found.append(record(group, name, "ratio", here, ratio(tops, ours[divisor]), number))
    with open(records, "w", encoding="utf-8") as file:
        json.dump(found, file, indent=1)


if __name__ == "__main__":
    main(*sys.argv[1:])
