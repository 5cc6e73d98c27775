"""Two pictures from a results folder, with pandas and matplotlib.

    python3 runs/recipes/two_pictures.py runs/larkspur/results pictures/

The cells (`# %%`) run one by one in an editor that knows them, or in a notebook.
A picture informs a trade study. The programme's own standards, flight rules and licensed practice decide.
"""

# %% Where the results are, and where the pictures go
import sys
from pathlib import Path

import matplotlib

matplotlib.use("Agg")  # no screen needed
import matplotlib.pyplot as plt
import pandas as pd

results = Path(sys.argv[1] if len(sys.argv) > 1 else "runs/larkspur/results")
pictures = Path(sys.argv[2] if len(sys.argv) > 2 else "pictures")
pictures.mkdir(parents=True, exist_ok=True)

# %% One line for a table. An empty cell means "not estimable"; `note` says why
summary = pd.read_csv(results / "summary.csv")
compare = pd.read_csv(results / "compare.csv")
order = list(dict.fromkeys(summary["architecture"]))  # as in the campaign file

# %% A table to read: mean of some measures, an architecture per column
shown = ["eva_lost_h", "gas_lost_kg", "door_to_door_min", "upkeep_h"]
table = summary.pivot(index="measure", columns="architecture", values="mean")
print(table.loc[shown, order].to_string(float_format="%.4g"))

# %% A chance that was never seen is not 0: its upper bound is what the campaigns played can say
risk = summary[summary["measure"] == "campaign_haven_missed"].set_index("architecture").loc[order]
for name, row in risk.iterrows():
    seen = f"{row['mean']:.2g}" if row["mean"] > 0 else "none seen"
    print(f"{name}: safe haven not reached in time, per campaign: {seen}, at most {row['mean_high95']:.2g}")

# %% First picture: EVA crew-hours lost, mean and its 95 % interval
hours = summary[summary["measure"] == "eva_lost_h"].set_index("architecture").loc[order]
fig, ax = plt.subplots(figsize=(7, 0.5 * len(order) + 1.4), layout="constrained")
below = hours["mean"] - hours["mean_low95"]
above = hours["mean_high95"] - hours["mean"]
ax.errorbar(hours["mean"], order, xerr=[below, above], fmt="o", capsize=3)
ax.invert_yaxis()
ax.set_xlabel("EVA crew-hours lost per campaign (mean, 95 % interval)")
fig.savefig(pictures / "hours_lost.png", dpi=120)

# %% Second picture: differences from the first architecture, campaign by campaign
# All architectures are played on common random numbers, so a difference is much sharper than the
# intervals of two means suggest. An interval that excludes 0 is a difference.
paired = compare[(compare["measure"] == "eva_lost_h") & (compare["reference"] == order[0])]
paired = paired.dropna(subset=["difference", "difference_low95", "difference_high95"])
fig, ax = plt.subplots(figsize=(7, 0.5 * len(paired) + 1.4), layout="constrained")
below = paired["difference"] - paired["difference_low95"]
above = paired["difference_high95"] - paired["difference"]
ax.errorbar(paired["difference"], paired["architecture"], xerr=[below, above], fmt="o", capsize=3)
ax.axvline(0.0, linewidth=1)
ax.invert_yaxis()
ax.set_xlabel(f"EVA crew-hours lost: more than with {order[0]} (paired, 95 % interval)")
fig.savefig(pictures / "differences.png", dpi=120)

# %% What the second picture says, in words
for _, row in paired.iterrows():
    low, high = row["difference_low95"], row["difference_high95"]
    clear = "differs" if low > 0 or high < 0 else "is not told apart"
    print(f"{row['architecture']} {clear} from {order[0]}: {low:.4g} to {high:.4g} h")
