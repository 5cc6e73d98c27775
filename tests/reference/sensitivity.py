"""Indices of sensitivity by SALib and numpy, from the designs and outputs of sensitivity.rs.

Usage: sensitivity.py ASKED.json ANSWERED.json.
"""

import json
import sys
from importlib.metadata import version

import numpy as np
from SALib.analyze import morris, sobol
from scipy import stats

SALIB = f"SALib {version('SALib')}"
NUMPY = f"numpy {np.__version__}, scipy {version('scipy')}"
SAME = 1e-9  # two ways to one formula in double precision
FACTORS = ["x1", "x2", "x3"]
PROBLEM = {"num_vars": 3, "names": FACTORS, "bounds": [[0.0, 1.0]] * 3}


def records(group, source, name, expected, got, tolerance):
    pairs = zip(FACTORS if len(expected) > 1 else [""], expected, got)
    return [
        {
            "group": group,
            "what": f"{name} {factor}".strip(),
            "source": source,
            "expected": float(e),
            "got": g,
            "tolerance": tolerance,
        }
        for factor, e, g in pairs
    ]


def of_sobol(case):
    """SALib centres by the mean of all outputs and divides by the variance with n, this program by the mean of A and
    B and with n - 1. The first order moves by that difference of means times mean(f_ABi - f_A), over the variance;
    both by 1 / (2 n)."""
    y = np.array(case["y"])
    found = sobol.analyze(PROBLEM, y, calc_second_order=False, seed=1)
    rows = y.reshape(-1, 5)
    a, b, ab = rows[:, 0], rows[:, 4], rows[:, 1:4]
    shift = abs(y.mean() - 0.5 * (a.mean() + b.mean())) * np.abs((ab - a[:, None]).mean(axis=0)).max()
    n = 1.0 / len(a)
    first = 1.01 * shift / y.var() + n
    return records("sensitivity, Ishigami, 1024 rows", SALIB, "first order", found["S1"], case["first"], first) + records(
        "sensitivity, Ishigami, 1024 rows", SALIB, "total", found["ST"], case["total"], n
    )


def of_effects(case):
    x, y = np.array(case["x"]), np.array(case["y"])
    found = morris.analyze(PROBLEM, x, y, num_levels=4, seed=1)
    group = "sensitivity, Ishigami, 40 trajectories"
    return sum((records(group, SALIB, k, found[k], case[k], 1e-8) for k in ("mu", "mu_star", "sigma")), [])


def standardise(x):
    return (x - x.mean(axis=0)) / x.std(axis=0)


def least_squares(x, y):
    """Coefficients, adjusted R2, and standard errors HC3 with the intercept in the regression."""
    design = np.column_stack([np.ones(len(y)), x])
    coefficients, *_ = np.linalg.lstsq(design, y, rcond=None)
    residual = y - design @ coefficients
    n, k = x.shape
    r2 = 1.0 - residual @ residual / (n - k - 1) / (y @ y / (n - 1))
    inverse = np.linalg.inv(design.T @ design)
    leverage = np.einsum("ij,jk,ik->i", design, inverse, design)
    scores = design * (residual / (1.0 - leverage))[:, None]
    errors = np.sqrt(np.diag(inverse @ (scores.T @ scores) @ inverse))
    return coefficients[1:], r2, errors[1:]


def of_regression(case):
    x, y = np.array(case["x"]), np.array(case["y"])
    group = "sensitivity, regression, 300 runs"
    plain, plain_r2, errors = least_squares(standardise(x), standardise(y))
    half = stats.t.ppf(0.975, len(y) - 4) * errors
    ranks_x, ranks_y = standardise(stats.rankdata(x, axis=0)), standardise(stats.rankdata(y))
    ranks, ranks_r2, _ = least_squares(ranks_x, ranks_y)
    partial = []
    for i in range(3):
        others = np.delete(ranks_x, i, axis=1)
        left = [v - others @ np.linalg.lstsq(others, v, rcond=None)[0] for v in (ranks_x[:, i], ranks_y)]
        partial.append(stats.pearsonr(*left).statistic)
    found = [
        ("coefficient", plain, case["plain"]),
        ("half interval of the coefficient", half, case["half"]),
        ("R2", [plain_r2], [case["plain_r2"]]),
        ("coefficient of ranks", ranks, case["ranks"]),
        ("R2 of ranks", [ranks_r2], [case["ranks_r2"]]),
        ("partial rank correlation", partial, case["partial"]),
    ]
    return sum((records(group, NUMPY, name, e, g, SAME) for name, e, g in found), [])


def main(asked, answered):
    with open(asked, encoding="utf-8") as file:
        cases = json.load(file)
    kinds = {"sobol": of_sobol, "effects": of_effects, "regression": of_regression}
    with open(answered, "w", encoding="utf-8") as file:
        json.dump(sum((kinds[case["kind"]](case) for case in cases), []), file, indent=1)


if __name__ == "__main__":
    main(*sys.argv[1:])
