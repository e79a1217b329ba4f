# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""How far the found times of the levels are from the true ones.

    times.py RESULTS TRUTH

RESULTS/NAME/result.json of captures made by variants.py, TRUTH/NAME.truth.json.  A line a capture,
then the median and the 90th percentile of |error| where a fault takes 20 mW or more: over all steps,
and over those whose standard error is stated as 1 s or less.  A supply takes 0.1 to 0.3 s for a
step, and its truth is when the step began.
"""
import json
import os
import sys

FAULT_W = 0.02
SURE_S = 1.0


def true_starts(truth):
    """When the current changed, frames' clock."""
    out = []
    levels = truth["levels"]
    for i, level in enumerate(levels):
        out.append(level["start"])
        following = levels[i + 1]["start"] if i + 1 < len(levels) else None
        if following is None or following - level["end"] > 0.05:
            out.append(level["end"])
    return out


def quantile(values, share):
    values = sorted(values)
    return values[min(len(values) - 1, int(share * len(values)))] if values else float("nan")


def main():
    results, truths = sys.argv[1:3]
    every, sure = [], []
    for name in sorted(os.listdir(results)):
        path = os.path.join(results, name, "result.json")
        if not os.path.exists(path):
            print(f"{name}: no result")
            continue
        with open(path, encoding="utf-8") as fh:
            levels = json.load(fh)["supply"]["levels"]
        with open(os.path.join(truths, name + ".truth.json"), encoding="utf-8") as fh:
            truth = json.load(fh)
        starts = true_starts(truth)
        found = [level for level in levels if "start_sigma_s" in level]
        # In order; where a level is too short to be listed, by the nearest.
        pairs = zip(found, starts) if len(found) == len(starts) else (
            (level, min(starts, key=lambda t: abs(t - level["start_s"]))) for level in found)
        rows = [(level["start_s"] - t, level["start_sigma_s"]) for level, t in pairs]
        power_w = max([s["power_w"] for s in truth["sources"] if s["is_fault"]], default=0)
        print(f"{name:22s} {power_w:6.3f} W  " + " ".join(f"{e:+.2f}({s:.2f})" for e, s in rows))
        if power_w >= FAULT_W:
            every += [abs(e) for e, _ in rows]
            sure += [abs(e) for e, s in rows if s <= SURE_S]
    for what, errors in (("all steps", every), ("stated to 1 s", sure)):
        print(f"{what}: {len(errors)}, median {quantile(errors, 0.5):.2f} s, "
              f"90 % {quantile(errors, 0.9):.2f} s")


if __name__ == "__main__":
    main()
