"""Simulated shops: kits of four facings whose true capacities stray from the computed ones, sales skewed to a few."""

import math

import numpy as np

from advisor.learning.heard import SHARED_BY_SOURCE
from advisor.learning.posterior import STEP, Installation, Posterior, learn
from advisor.learning.spreads import SpreadParts, spread_parts

#: An organic kit as sold: the product's own spreads.
PARTS = spread_parts(0.11, 0.07)
WHOLE = math.hypot(0.11, 0.07, 0.05)
INSTALLATION = PARTS.installation(WHOLE)
FACINGS = ("organic", "aramid", "carbon_organic", "ceramic")


def simulated(
    rng,
    kits,
    outcomes,
    *,
    overrated=0.0,
    bad=None,
    booked_wrong=0.02,
    demand_spreads=(0.03, 0.10),
    parts=PARTS,
    margin=(0.0, 0.35),
    beds=0,
):
    """(records, kit -> facing, kit -> true ln factor). ``bad``: a kit whose true factor is exp(-overrated).

    ``outcomes``: how many in all, sold to kits as one over their rank, or how many of each. ``beds``: how many test
    beds gave the torques, each with an error common to all its cars; none: every torque errs for itself.
    """
    facing = rng.integers(0, len(FACINGS), kits)
    common, own = rng.normal(0, parts.facing, len(FACINGS)), rng.normal(0, parts.kit, kits)
    if bad is not None:
        own[bad] = -overrated - common[facing[bad]]
    rank = 1 / (1 + np.arange(kits))
    if np.isscalar(outcomes):
        which = rng.choice(kits, outcomes, p=rank / rank.sum())
    else:
        which = np.repeat(np.arange(kits), outcomes)
    records = []
    bed_errors = rng.normal(0, 1, beds) if beds else np.zeros(1)
    common_part = math.sqrt(SHARED_BY_SOURCE) if beds else 0.0
    for kit in range(kits):
        count = int((which == kit).sum())
        known = rng.choice(demand_spreads, count)
        load = -rng.uniform(*margin, count)
        capacity = common[facing[kit]] + own[kit] + rng.normal(0, INSTALLATION, count)
        bed = rng.integers(0, beds, count) if beds else np.zeros(count, dtype=int)
        error = common_part * bed_errors[bed] + math.sqrt(1 - common_part**2) * rng.normal(0, 1, count)
        slipped = load + error * known > capacity
        slipped = np.where(rng.random(count) < booked_wrong, ~slipped, slipped)
        for place in range(count):
            records.append(
                Installation(
                    f"{kit:03d}-{place:05d}",
                    f"k{kit}",
                    FACINGS[facing[kit]],
                    float(load[place]),
                    float(np.hypot(INSTALLATION, known[place])),
                    bool(slipped[place]),
                    source=f"bed {bed[place]}" if beds else "",
                    shared=float(common_part * known[place]),
                )
            )
    kits_of = {f"k{kit}": FACINGS[facing[kit]] for kit in range(kits)}
    truth = {f"k{kit}": float(common[facing[kit]] + own[kit]) for kit in range(kits)}
    return records, kits_of, truth


def coverage(shops, outcomes, *, kits=12, seed=0, how=None, **more):
    """(share of 90 % intervals that hold the truth, mean error, error of physics alone, mean width) over shops."""
    held = total = 0
    errors, alone, widths = [], [], []
    for number in range(shops):
        records, kits_of, truth = simulated(np.random.default_rng(seed + number), kits, outcomes, **more)
        found = how(records, kits_of) if how else learn(records, kits_of, dict.fromkeys(kits_of, PARTS)).kits
        for kit, true in truth.items():
            low, high = found[kit].quantile(0.05), found[kit].quantile(0.95)
            held += low <= true <= high
            total += 1
            errors.append((found[kit].mean - true) ** 2)
            alone.append(true**2)
            widths.append(high - low)
    return held / total, math.sqrt(np.mean(errors)), math.sqrt(np.mean(alone)), float(np.mean(widths))


#: Pairs (facing, kit) of spreads tried where how far facings and kits stray is itself in doubt.
UNSURE = ((0.05, 0.05), (0.05, 0.12), (0.05, 0.20), (0.10, 0.05), (0.10, 0.12), (0.10, 0.20))


def learn_unsure(records, kits):
    """As `learn`, how far facings and kits stray being learned too: pairs of spreads weighed by what they explain."""
    records = sorted(records)
    runs = [learn(records, kits, dict.fromkeys(kits, SpreadParts(*pair)), step=2 * STEP) for pair in UNSURE]
    evidence = np.array([run.evidence for run in runs])
    weights = _whole(np.exp(evidence - evidence.max()))
    grid = np.round(np.arange(-1.4, 1.4001, STEP), 9)
    posteriors = {}
    for kit in kits:
        mixed = np.zeros(len(grid))
        for weight, run in zip(weights, runs):
            posterior = run.kits[kit]
            cell = posterior.grid[1] - posterior.grid[0]
            mixed += weight * np.interp(grid, posterior.grid, posterior.weights, left=0, right=0) / cell
        posteriors[kit] = Posterior(grid, _whole(mixed))
    return posteriors


def _whole(values):
    return values / values.sum()
